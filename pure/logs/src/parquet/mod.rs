//! Apache Parquet: columns of a table in groups of rows, each packed by itself.

mod batches;
mod column;
mod guard;

use std::thread;

use parquet::basic::Compression;
use parquet::file::metadata::{ParquetMetaData, ParquetMetaDataReader, RowGroupMetaData};

use crate::assemble::{Table, assemble};
use crate::columns::{find, shown};
use crate::csv::{counted, kept};
use crate::error::LogError;
use crate::header::{self, Column, is_time, looks_like_time, name_apart};
use crate::options::Options;
use crate::source::{ByteSource, fill};
use crate::timeline::Runs;
use crate::{Recording, format, so_many};
use column::{Cursor, Kind, kind};

/// Why a file is refused.
type Refused = &'static str;

/// First and last bytes of a file.
const MAGIC: &[u8] = b"PAR1";

/// Length of the footer and the last bytes.
const TAIL: u64 = 8;

/// Bytes of a footer at most.
const FOOTER: u64 = 64 << 20;

/// Rows looked at to find the time.
const LOOKED_AT: usize = 400;

/// Parquet files.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parquet;

impl format::Format for Parquet {
    fn name(&self) -> &'static str {
        "Parquet"
    }

    fn knows(&self, head: &[u8]) -> bool {
        head.starts_with(MAGIC)
    }

    fn read(
        &self,
        source: &dyn ByteSource,
        options: &Options,
    ) -> Result<Recording, LogError> {
        let meta = meta(source)?;
        let (columns, mut cursors, mut remarks) = columns(&meta, options)?;
        let time = time(source, &meta, &columns, (&mut cursors, options))?;
        remarks.insert(0, "read as Parquet".to_owned());
        remarks.push(time.remark.clone());
        let mut signals = columns;
        signals.remove(time.at);
        let kept = kept(&signals, options);
        let gather = batches::gather((source, &meta), cursors, (&time, &kept, options))?;
        assemble(Table { columns: signals, kept, runs: time.runs, remarks }, gather)
    }
}

fn broken(why: impl Into<String>) -> LogError {
    LogError::Broken { kind: "Parquet", why: why.into() }
}

fn meta(source: &dyn ByteSource) -> Result<ParquetMetaData, LogError> {
    let size = source.size();
    let cut = || broken("it ends too early");
    let mut tail = [0; 8];
    let at = size.checked_sub(TAIL).filter(|at| *at >= 4).ok_or_else(cut)?;
    fill(source, at, &mut tail)?;
    let (length, magic) = tail.split_at(4);
    if magic != MAGIC {
        return Err(cut());
    }
    let length = length.iter().rev().fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
    let from = at.checked_sub(length).filter(|_| length <= FOOTER).ok_or_else(cut)?;
    let footer = bytes(source, from, length)?;
    guard::footer(&footer).map_err(broken)?;
    sheltered(|| {
        ParquetMetaDataReader::decode_metadata(&footer).map_err(|e| e.to_string())
    })?
    .map_err(broken)
}

fn bytes(source: &dyn ByteSource, from: u64, length: u64) -> Result<Vec<u8>, LogError> {
    if from.checked_add(length).is_none_or(|end| end > source.size()) {
        return Err(broken("a column lies outside the file"));
    }
    let length = usize::try_from(length).map_err(|_| broken("a column is too large"))?;
    let mut bytes = vec![0; length];
    let read = fill(source, from, &mut bytes)?;
    bytes.truncate(read);
    Ok(bytes)
}

/// Runs on a thread of its own, so that what the library did not expect of a broken file
/// ends there.
fn sheltered<T: Send>(work: impl FnOnce() -> T + Send) -> Result<T, LogError> {
    thread::scope(|scope| scope.spawn(work).join())
        .map_err(|_| broken("its structure is not as described"))
}

type Columns = (Vec<Column>, Vec<Cursor>, Vec<String>);

/// The columns that can be read.
fn columns(meta: &ParquetMetaData, options: &Options) -> Result<Columns, LogError> {
    let described = meta.file_metadata().schema_descr().columns();
    if described.len() > options.max_columns {
        return Err(LogError::TooLarge { what: "columns", limit: options.max_columns });
    }
    let (mut columns, mut cursors) = (Vec::new(), Vec::new());
    for (at, column) in described.iter().enumerate() {
        if let Some(kind) = kind(column) {
            columns.push(header::column(&column.path().parts().join(".")));
            cursors.push(Cursor::new(at, kind, column.clone()));
        }
    }
    if columns.len() < 2 {
        let what = "a Parquet file with fewer than two columns of single values";
        let hint = "write the time and each signal as a column of numbers";
        return Err(LogError::OtherKind { what, hint });
    }
    name_apart(&mut columns);
    let left = described.len() - columns.len();
    let remark = so_many(left, "column", "columns") + " left out: lists or bytes";
    Ok((columns, cursors, (left > 0).then_some(remark).into_iter().collect()))
}

/// The time column.
struct Time {
    at: usize,
    /// Seconds in one of its numbers.
    factor: f64,
    start: f64,
    runs: Runs,
    remark: String,
}

fn time(
    source: &dyn ByteSource,
    meta: &ParquetMetaData,
    columns: &[Column],
    (cursors, options): (&mut [Cursor], &Options),
) -> Result<Time, LogError> {
    let name = |at: usize| columns[at].name.as_str();
    let all = 0..columns.len();
    let stamps = |at: &usize| matches!(cursors[*at].kind, Kind::Time(..));
    let mut tried: Vec<(usize, &str)> = Vec::new();
    if let Some(asked) = &options.time {
        tried.push((find(columns, asked)?, "as asked"));
    } else {
        tried.extend(
            all.clone().filter(|at| is_time(name(*at))).map(|at| (at, "by its name")),
        );
        tried.extend(all.clone().filter(stamps).map(|at| (at, "it holds time stamps")));
        let may = all.filter(|at| looks_like_time(name(*at)));
        tried.extend(may.map(|at| (at, "by its name")));
        tried.push((0, "the first column, and it rises"));
    }
    for (at, why) in tried {
        let values = first_values(source, meta, &mut cursors[at])?;
        let steps = values.len().saturating_sub(1);
        let steady = values.windows(2).filter(|w| w[1] >= w[0]).count() * 10 >= steps * 8;
        let rises = values.last() > values.first() && steady;
        let sure = why == "as asked" || is_time(name(at)) || rises;
        let Some(start) = values.first().filter(|_| sure || values.len() == 1) else {
            continue;
        };
        let (factor, said, runs) = match cursors[at].kind {
            Kind::Time(factor, runs) => (factor, "in time stamps".to_owned(), runs),
            Kind::Text if name(at).contains("date") => {
                (1.0, "read as a clock".to_owned(), Runs::On)
            }
            Kind::Text => (1.0, "read as a clock".to_owned(), Runs::Daily),
            Kind::Number(_) | Kind::Unsigned | Kind::Half => {
                let (factor, said) = counted(&columns[at], &values);
                (factor, said, Runs::On)
            }
        };
        let remark = format!("time: column `{}` ({why}), {said}", name(at));
        return Ok(Time { at, factor, start: *start, runs, remark });
    }
    Err(LogError::NoTime(shown(columns)))
}

fn first_values(
    source: &dyn ByteSource,
    meta: &ParquetMetaData,
    cursor: &mut Cursor,
) -> Result<Vec<f64>, LogError> {
    let Some(group) = meta.row_groups().first() else { return Err(LogError::NoRows) };
    sheltered(|| {
        enter(source, group, cursor)?;
        cursor.next(LOOKED_AT).map_err(broken)
    })??;
    Ok(cursor.values.iter().copied().filter(|v| !v.is_nan()).collect())
}

fn enter(
    source: &dyn ByteSource,
    group: &RowGroupMetaData,
    cursor: &mut Cursor,
) -> Result<(), LogError> {
    let chunk =
        group.columns().get(cursor.at).ok_or_else(|| broken("a column is missing"))?;
    if matches!(chunk.compression(), Compression::BROTLI(_) | Compression::LZO) {
        let what = "a Parquet file packed with Brotli or LZO";
        return Err(LogError::OtherKind {
            what,
            hint: "write it with zstd, snappy or gzip",
        });
    }
    let from = chunk.dictionary_page_offset().unwrap_or_else(|| chunk.data_page_offset());
    let place = u64::try_from(from).ok().zip(u64::try_from(chunk.compressed_size()).ok());
    let (from, length) = place.ok_or_else(|| broken("a column lies before the file"))?;
    let bytes = bytes(source, from, length)?;
    cursor.enter(chunk, (from, bytes), rows(group)).map_err(broken)
}

/// How many rows a group has, as it says.
fn rows(group: &RowGroupMetaData) -> usize {
    usize::try_from(group.num_rows()).unwrap_or(0)
}
