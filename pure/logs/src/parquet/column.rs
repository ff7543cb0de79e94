//! One column of a Parquet file, row group after row group, as numbers.

use std::sync::Arc;

use bytes::{Buf, Bytes};
use parquet::basic::{ConvertedType, LogicalType, TimeUnit, Type};
use parquet::column::reader::{ColumnReader, ColumnReaderImpl, get_column_reader};
use parquet::data_type::{ByteArray, DataType, DoubleType, FixedLenByteArray, Int96};
use parquet::errors::ParquetError;
use parquet::file::metadata::ColumnChunkMetaData;
use parquet::file::reader::{ChunkReader, Length};
use parquet::file::serialized_reader::SerializedPageReader;
use parquet::schema::types::{ColumnDescPtr, ColumnDescriptor};

use super::{Refused, guard};
use crate::csv::{Mark, Order, moment, number};
use crate::half::half;
use crate::timeline::{DAY_S, Runs};

/// Half of a day, s, in the moments of the old 96-bit time: 1970 is Julian day 2 440 588.
const JULIAN_1970: f64 = 2_440_588.0;

/// Why a batch was not read.
const CANNOT_BE_UNPACKED: Refused = "a page cannot be unpacked";

/// What the numbers of a column are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Numbers, so many in one written.
    Number(f64),
    /// Whole numbers that are never negative.
    Unsigned,
    /// Numbers of 16 bits.
    Half,
    /// Times, seconds in one written; the first is taken off while they are whole numbers.
    Time(f64, Runs),
    /// Numbers or clocks as text.
    Text,
}

/// What a column holds; `None`: nothing that is read here.
pub(super) fn kind(column: &ColumnDescriptor) -> Option<Kind> {
    if column.max_rep_level() > 0 {
        return None;
    }
    let part = |unit: TimeUnit| match unit {
        TimeUnit::MILLIS => 1e-3,
        TimeUnit::MICROS => 1e-6,
        TimeUnit::NANOS => 1e-9,
    };
    let logical = column.logical_type_ref();
    let known = match logical {
        Some(LogicalType::Timestamp(of)) => Some(Kind::Time(part(of.unit), Runs::On)),
        Some(LogicalType::Time(of)) => Some(Kind::Time(part(of.unit), Runs::Daily)),
        Some(LogicalType::Decimal(of)) => {
            Some(Kind::Number(10_f64.powi(of.scale.saturating_neg())))
        }
        Some(LogicalType::Integer(of)) if !of.is_signed => Some(Kind::Unsigned),
        Some(LogicalType::Float16) => Some(Kind::Half),
        Some(_) | None => None,
    };
    let old = [
        (ConvertedType::TIMESTAMP_MILLIS, Kind::Time(1e-3, Runs::On)),
        (ConvertedType::TIMESTAMP_MICROS, Kind::Time(1e-6, Runs::On)),
        (ConvertedType::TIME_MILLIS, Kind::Time(1e-3, Runs::Daily)),
        (ConvertedType::TIME_MICROS, Kind::Time(1e-6, Runs::Daily)),
        (
            ConvertedType::DECIMAL,
            Kind::Number(10_f64.powi(column.type_scale().saturating_neg())),
        ),
        (ConvertedType::UINT_32, Kind::Unsigned),
        (ConvertedType::UINT_64, Kind::Unsigned),
    ];
    let converted = || {
        let own = |(of, _): &&(ConvertedType, Kind)| *of == column.converted_type();
        old.iter().find(own).map(|(_, kind)| *kind)
    };
    let known = known.or_else(converted);
    match column.physical_type() {
        Type::INT32 | Type::INT64 => Some(known.unwrap_or(Kind::Number(1.0))),
        Type::INT96 => Some(Kind::Time(1.0, Runs::On)),
        Type::BOOLEAN | Type::FLOAT | Type::DOUBLE => Some(Kind::Number(1.0)),
        Type::BYTE_ARRAY => {
            Some(known.filter(|k| matches!(k, Kind::Number(_))).unwrap_or(Kind::Text))
        }
        Type::FIXED_LEN_BYTE_ARRAY => {
            known.filter(|k| matches!(k, Kind::Number(_) | Kind::Half))
        }
    }
}

/// Bytes of a column chunk at its place in the file.
#[derive(Debug, Clone)]
struct Chunk {
    from: u64,
    bytes: Bytes,
}

impl Length for Chunk {
    fn len(&self) -> u64 {
        self.from + self.bytes.len() as u64
    }
}

impl Chunk {
    fn rest(&self, start: u64, length: Option<usize>) -> Result<Bytes, ParquetError> {
        let from =
            start.checked_sub(self.from).and_then(|from| usize::try_from(from).ok());
        let from = from.filter(|from| *from <= self.bytes.len());
        let end = from.and_then(|from| match length {
            Some(length) => from.checked_add(length),
            None => Some(self.bytes.len()),
        });
        match from.zip(end.filter(|end| *end <= self.bytes.len())) {
            Some((from, end)) => Ok(self.bytes.slice(from..end)),
            None => Err(ParquetError::EOF("a page lies outside its column".to_owned())),
        }
    }
}

impl ChunkReader for Chunk {
    type T = bytes::buf::Reader<Bytes>;

    fn get_read(&self, start: u64) -> Result<Self::T, ParquetError> {
        Ok(self.rest(start, None)?.reader())
    }

    fn get_bytes(&self, start: u64, length: usize) -> Result<Bytes, ParquetError> {
        self.rest(start, Some(length))
    }
}

/// Goes through one column.
pub(super) struct Cursor {
    pub(super) at: usize,
    pub(super) kind: Kind,
    described: ColumnDescPtr,
    reader: Option<ColumnReader>,
    levels: Vec<i16>,
    /// Whole number that times are counted from.
    base: Option<i64>,
    order: Order,
    /// Cells of the last batch, `NaN` where empty.
    pub(super) values: Vec<f64>,
}

impl Cursor {
    pub(super) fn new(at: usize, kind: Kind, described: ColumnDescPtr) -> Self {
        let (levels, values) = (Vec::new(), Vec::new());
        let order = Order::DayFirst;
        Self { at, kind, described, reader: None, levels, base: None, order, values }
    }

    /// Goes to a row group, whose chunk lies at a place of the file.
    pub(super) fn enter(
        &mut self,
        chunk: &ColumnChunkMetaData,
        (from, bytes): (u64, Vec<u8>),
        rows: usize,
    ) -> Result<(), Refused> {
        guard::pages(&bytes)?;
        let source = Arc::new(Chunk { from, bytes: Bytes::from(bytes) });
        let pages = SerializedPageReader::new(source, chunk, rows, None)
            .map_err(|_| "a column is packed in a way that is not read")?;
        self.reader =
            Some(get_column_reader(Arc::clone(&self.described), Box::new(pages)));
        Ok(())
    }

    /// Reads the next cells, at most so many.
    pub(super) fn next(&mut self, rows: usize) -> Result<(), Refused> {
        let Self { kind, reader, levels, base, order, values, described, .. } = self;
        let filled = described.max_def_level();
        let mut batch = Batch { levels, values, filled, rows };
        batch.values.clear();
        let scale = match kind {
            Kind::Number(scale) => *scale,
            Kind::Time(..) | Kind::Unsigned | Kind::Half | Kind::Text => 1.0,
        };
        let mut whole = |value: i64| match kind {
            Kind::Time(..) => exact(value.saturating_sub(*base.get_or_insert(value))),
            Kind::Unsigned => natural(value.cast_unsigned()),
            Kind::Number(_) | Kind::Half | Kind::Text => exact(value) * scale,
        };
        let positive = *kind == Kind::Unsigned;
        let narrow = |value: i32| {
            if positive { i64::from(value.cast_unsigned()) } else { i64::from(value) }
        };
        let decimal = |bytes: &[u8]| great_end(bytes).map_or(f64::NAN, |v| v * scale);
        match reader {
            None => Ok(()),
            Some(ColumnReader::BoolColumnReader(r)) => {
                batch.read(r, |v| f64::from(u8::from(*v)))
            }
            Some(ColumnReader::Int32ColumnReader(r)) => {
                batch.read(r, |v| whole(narrow(*v)))
            }
            Some(ColumnReader::Int64ColumnReader(r)) => batch.read(r, |v| whole(*v)),
            Some(ColumnReader::Int96ColumnReader(r)) => batch.read(r, julian),
            Some(ColumnReader::FloatColumnReader(r)) => batch.read(r, |v| f64::from(*v)),
            Some(ColumnReader::DoubleColumnReader(r)) => batch.read_doubles(r),
            Some(ColumnReader::ByteArrayColumnReader(r)) => {
                if *kind == Kind::Text {
                    batch.read(r, |v| text(v, *order))
                } else {
                    batch.read(r, |v| decimal(v.data()))
                }
            }
            Some(ColumnReader::FixedLenByteArrayColumnReader(r)) => {
                if *kind == Kind::Half {
                    batch.read(r, little_half)
                } else {
                    batch.read(r, |v| decimal(v.data()))
                }
            }
        }
    }
}

/// A batch that is being read.
struct Batch<'a> {
    levels: &'a mut Vec<i16>,
    values: &'a mut Vec<f64>,
    /// Level at which a cell is filled; 0: all are.
    filled: i16,
    rows: usize,
}

impl Batch<'_> {
    /// As `read`, without another list.
    fn read_doubles(
        &mut self,
        reader: &mut ColumnReaderImpl<DoubleType>,
    ) -> Result<(), Refused> {
        self.levels.clear();
        let levels = (self.filled > 0).then_some(&mut *self.levels);
        reader
            .read_records(self.rows, levels, None, self.values)
            .map_err(|_| CANNOT_BE_UNPACKED)?;
        self.values.iter_mut().for_each(|value| *value = finite(*value));
        if self.filled > 0 && self.values.len() < self.levels.len() {
            let mut raw = std::mem::take(self.values).into_iter();
            let cells = self.levels.iter().map(|level| {
                let cell = if *level == self.filled { raw.next() } else { None };
                cell.unwrap_or(f64::NAN)
            });
            self.values.extend(cells);
        }
        Ok(())
    }

    fn read<T: DataType>(
        &mut self,
        reader: &mut ColumnReaderImpl<T>,
        mut number: impl FnMut(&T::T) -> f64,
    ) -> Result<(), Refused> {
        let mut raw: Vec<T::T> = Vec::with_capacity(self.rows);
        self.levels.clear();
        let optional = self.filled > 0;
        let levels = optional.then_some(&mut *self.levels);
        reader
            .read_records(self.rows, levels, None, &mut raw)
            .map_err(|_| CANNOT_BE_UNPACKED)?;
        let mut cell = |value: &T::T| finite(number(value));
        if !optional || raw.len() == self.levels.len() {
            self.values.extend(raw.iter().map(cell));
            return Ok(());
        }
        let mut raw = raw.iter();
        for level in self.levels.iter() {
            let value = if *level == self.filled { raw.next() } else { None };
            self.values.push(value.map_or(f64::NAN, &mut cell));
        }
        Ok(())
    }
}

/// A cell's value; minus zero is zero, and what is not finite is none.
fn finite(value: f64) -> f64 {
    if value.is_finite() { value + 0.0 } else { f64::NAN }
}

#[expect(clippy::cast_precision_loss, reason = "beyond 2^53 the nearest number is meant")]
fn exact(value: i64) -> f64 {
    value as f64
}

#[expect(clippy::cast_precision_loss, reason = "beyond 2^53 the nearest number is meant")]
fn natural(value: u64) -> f64 {
    value as f64
}

/// A number of 16 bits, little end first.
fn little_half(value: &FixedLenByteArray) -> f64 {
    let [low, high] = *value.data() else { return f64::NAN };
    half(u16::from_le_bytes([low, high]))
}

/// Seconds since 1970 of a time in 96 bits: nanoseconds of the day, then the Julian day.
fn julian(value: &Int96) -> f64 {
    let words = value.data();
    let [low, high, day] = [0, 1, 2].map(|at| words.get(at).copied().unwrap_or(0));
    let nanoseconds = f64::from(high) * 4_294_967_296.0 + f64::from(low);
    (f64::from(day) - JULIAN_1970) * DAY_S + nanoseconds * 1e-9
}

fn text(value: &ByteArray, order: Order) -> f64 {
    let Ok(text) = std::str::from_utf8(value.data()) else { return f64::NAN };
    let clock = || moment(text, order).map(|moment| moment.s);
    number(text, Mark::Point).or_else(clock).unwrap_or(f64::NAN)
}

/// A number in big-end two's complement, of so many bytes; `None`: there are none.
fn great_end(bytes: &[u8]) -> Option<f64> {
    let negative = *bytes.first()? > 0x7f;
    // The distance of a negative number from minus one has all bits turned.
    let turned = if negative { 0xff } else { 0 };
    let size = bytes.iter().fold(0.0, |sum, b| sum * 256.0 + f64::from(b ^ turned));
    Some(if negative { -1.0 - size } else { size })
}
