//! CSV bytes to a recording.

use csv::{Reader, ReaderBuilder, StringRecord, Trim};

use crate::cell::{clock_s, number};
use crate::decode::decode;
use crate::error::LogError;
use crate::header::{Column, TimeColumn, column, time_cell, time_column, unit_row};
use crate::refresh::{Turns, turns};
use crate::sniff::{is_comment, separator};
use crate::timeline::{median_interval, straighten};
use crate::{Channel, Recording};

/// Rows read before columns are chosen.
const LOOKED_AT: usize = 400;

/// Lines before the header that may be something else.
const PREAMBLE: usize = 40;

/// How to read a file, and how much of it at most.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Options {
    /// Name of the time column; `None`: it is found.
    pub time: Option<String>,
    /// Separator; `None`: it is found.
    pub separator: Option<u8>,
    /// Most bytes read.
    pub max_bytes: usize,
    /// Most columns read.
    pub max_columns: usize,
    /// Most cells kept.
    pub max_cells: usize,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            time: None,
            separator: None,
            max_bytes: 2 << 30,
            max_columns: 512,
            max_cells: 200_000_000,
        }
    }
}

/// Reads a recording from CSV bytes: any separator, a unit in the header or a row of
/// units, decimal comma or point, seconds or a clock, gaps, repeats, broken encodings.
///
/// # Errors
/// [`LogError`] if there is no table, no time in it, or too much of it.
pub fn read_csv(bytes: &[u8], options: &Options) -> Result<Recording, LogError> {
    if bytes.len() > options.max_bytes {
        return Err(LogError::TooLarge { what: "bytes", limit: options.max_bytes });
    }
    let (text, encoding) = decode(bytes);
    if text.trim().is_empty() {
        return Err(LogError::Empty);
    }
    let mut remarks: Vec<String> = encoding.map(str::to_owned).into_iter().collect();
    let separator = if let Some(given) = options.separator {
        given
    } else {
        let (byte, name) = separator(&text)?;
        remarks.push(format!("columns separated by {name}"));
        byte
    };
    let mut reader = reader(&text, separator);
    let table = table(&mut reader, options)?;
    remarks.extend(table.remarks.iter().cloned());
    let cells = cells(&table, &mut reader, options)?;
    remarks.extend(cells.remarks());
    assemble(&table, cells, remarks)
}

/// A table with its header read, its time column known, and its first rows.
struct Table {
    header: StringRecord,
    columns: Vec<Column>,
    time: TimeColumn,
    first_rows: Vec<StringRecord>,
    remarks: Vec<String>,
}

fn table(reader: &mut Reader<&[u8]>, options: &Options) -> Result<Table, LogError> {
    let mut rows = first_rows(reader)?;
    if rows.is_empty() {
        return Err(LogError::OneColumn);
    }
    if rows[0].len() > options.max_columns {
        return Err(LogError::TooLarge { what: "columns", limit: options.max_columns });
    }
    let mut remarks = Vec::new();
    let is_value = |cell: &str| number(cell).is_some() || clock_s(cell).is_some();
    let headless = rows[0].iter().filter(|c| !c.is_empty()).all(is_value);
    let (header, mut columns) = if headless {
        remarks.push("no header: columns are named by their place".to_owned());
        let unnamed = |_| Column { name: String::new(), unit: None };
        (StringRecord::new(), rows[0].iter().map(unnamed).collect())
    } else {
        let header = rows.remove(0);
        let columns: Vec<Column> = header.iter().map(column).collect();
        (header, columns)
    };
    name_apart(&mut columns);
    if let Some(units) =
        rows.first().and_then(|r| unit_row(&r.iter().collect::<Vec<_>>()))
    {
        remarks.push("the row under the header holds units".to_owned());
        for (column, unit) in columns.iter_mut().zip(units) {
            column.unit = column.unit.take().or(unit);
        }
        rows.remove(0);
    }
    let looked_at: Vec<Vec<String>> = rows
        .iter()
        .filter(|r| **r != header)
        .map(|r| r.iter().map(str::to_owned).collect())
        .collect();
    if looked_at.is_empty() {
        return Err(LogError::NoRows);
    }
    let time = time_column(&columns, options.time.as_deref(), &looked_at)?;
    remarks.push(time.remark.clone());
    Ok(Table { header, columns, time, first_rows: rows, remarks })
}

/// A reader past the comments and blank lines before the header.
fn reader(text: &str, separator: u8) -> Reader<&[u8]> {
    let mut body = text;
    for _ in 0..PREAMBLE {
        match body.split_once('\n') {
            Some((line, rest)) if is_comment(line) => body = rest,
            _ => break,
        }
    }
    ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(body.as_bytes())
}

/// The header and the rows under it, from the first row with two filled cells.
fn first_rows(reader: &mut Reader<&[u8]>) -> Result<Vec<StringRecord>, LogError> {
    reader
        .records()
        .skip_while(|r| r.as_ref().is_ok_and(|r| filled(r) < 2))
        .take(LOOKED_AT)
        .collect::<Result<_, _>>()
        .map_err(|e| LogError::Csv(e.to_string()))
}

fn filled(record: &StringRecord) -> usize {
    record.iter().filter(|c| !c.is_empty()).count()
}

/// Gives columns of one name a number, so that each can be asked for.
fn name_apart(columns: &mut [Column]) {
    for at in 0..columns.len() {
        if columns[at].name.is_empty() {
            columns[at].name = format!("column {}", at + 1);
        }
        let same = columns[..at].iter().filter(|c| c.name == columns[at].name).count();
        if same > 0 {
            columns[at].name = format!("{} ({})", columns[at].name, same + 1);
        }
    }
}

/// The values of a table by column, with what was odd about its rows.
struct Cells {
    times: Vec<f64>,
    values: Vec<Vec<f64>>,
    rows: usize,
    repeated_headers: usize,
    ragged: usize,
    untimed: usize,
    unreadable: usize,
}

fn cells(
    table: &Table,
    reader: &mut Reader<&[u8]>,
    options: &Options,
) -> Result<Cells, LogError> {
    let width = table.columns.len();
    let most_rows = options.max_cells.checked_div(width).unwrap_or(0);
    let mut cells = Cells {
        times: Vec::new(),
        values: vec![Vec::new(); width],
        rows: 0,
        repeated_headers: 0,
        ragged: 0,
        untimed: 0,
        unreadable: 0,
    };
    for record in &table.first_rows {
        cells.take(record, table);
    }
    let mut record = StringRecord::new();
    while reader.read_record(&mut record).map_err(|e| LogError::Csv(e.to_string()))? {
        if cells.rows >= most_rows {
            return Err(LogError::TooLarge { what: "cells", limit: options.max_cells });
        }
        cells.take(&record, table);
    }
    if cells.times.iter().all(|t| t.is_nan()) {
        return Err(LogError::NoRows);
    }
    Ok(cells)
}

impl Cells {
    fn take(&mut self, record: &StringRecord, table: &Table) {
        if *record == table.header {
            self.repeated_headers += 1;
        } else {
            self.push(record, &table.time);
        }
    }

    fn push(&mut self, record: &StringRecord, time: &TimeColumn) {
        self.rows += 1;
        if record.len() != self.values.len() {
            self.ragged += 1;
        }
        let stamp = record.get(time.at).and_then(|c| time_cell(c, time.form));
        if stamp.is_none() {
            self.untimed += 1;
        }
        let stamp = stamp.map_or(f64::NAN, |t| t * time.factor);
        self.times.push(if stamp.is_finite() { stamp } else { f64::NAN });
        for (at, column) in self.values.iter_mut().enumerate() {
            let cell = record.get(at).unwrap_or_default();
            let value = number(cell);
            if value.is_none() && at != time.at && !means_empty(cell) {
                self.unreadable += 1;
            }
            column.push(value.unwrap_or(f64::NAN));
        }
    }

    fn remarks(&self) -> Vec<String> {
        [
            (self.repeated_headers, "repeats of the header left out"),
            (self.ragged, "rows are shorter or longer than the header"),
            (self.untimed, "rows left out: no time"),
            (self.unreadable, "cells left out: no number"),
        ]
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{count} {what}"))
        .collect()
    }
}

fn means_empty(cell: &str) -> bool {
    ["", "-", "nan", "n/a", "na", "null"]
        .iter()
        .any(|word| cell.eq_ignore_ascii_case(word))
}

fn assemble(
    table: &Table,
    cells: Cells,
    mut remarks: Vec<String>,
) -> Result<Recording, LogError> {
    let line = straighten(cells.times, table.time.form);
    remarks.extend(line.remarks);
    let mut times = line.times;
    let signals: Vec<usize> =
        (0..table.columns.len()).filter(|i| *i != table.time.at).collect();
    let mut values = cells.values;
    values.remove(table.time.at);
    let doubled = drop_doubles(&mut times, &values);
    if doubled > 0 {
        remarks.push(format!(
            "{doubled} rows left out: repeats of the row before, time included"
        ));
    }
    let Some(start) = times.iter().copied().find(|t| !t.is_nan()) else {
        return Err(LogError::NoRows);
    };
    let used: Vec<f64> = times.iter().copied().filter(|t| !t.is_nan()).collect();
    let duration_s = used.last().map_or(0.0, |end| end - start);
    let turns = turns(&values);
    let row_interval_s = median_interval(&used);
    remarks.extend(turns.iter().map(|t| turn_remark(t, row_interval_s)));
    let channels = signals
        .iter()
        .zip(&values)
        .enumerate()
        .map(|(signal, (at, values))| Channel {
            name: table.columns[*at].name.clone(),
            unit: table.columns[*at].unit.clone(),
            samples: fresh_samples(&times, start, values, |row| {
                turns.as_ref().is_none_or(|t| t.fresh(signal, row))
            }),
        })
        .collect();
    let polled_rows = turns.map(|t| t.rows);
    let kept = used.len();
    Ok(Recording {
        rows: cells.rows,
        kept,
        duration_s,
        row_interval_s,
        polled_rows,
        channels,
        remarks,
    })
}

fn fresh_samples(
    times: &[f64],
    start: f64,
    values: &[f64],
    fresh: impl Fn(usize) -> bool,
) -> Vec<(f64, f64)> {
    let rows = times.iter().zip(values).enumerate();
    rows.filter(|(row, (t, v))| !t.is_nan() && !v.is_nan() && fresh(*row))
        .map(|(_, (t, v))| (t - start, *v))
        .collect()
}

/// Leaves out rows that repeat the row before with its time.
fn drop_doubles(times: &mut [f64], values: &[Vec<f64>]) -> usize {
    let mut dropped = 0;
    let mut before: Option<usize> = None;
    for row in 0..times.len() {
        if times[row].is_nan() {
            continue;
        }
        let same = before.is_some_and(|b| {
            times[b].to_bits() == times[row].to_bits()
                && values.iter().all(|v| v[b].to_bits() == v[row].to_bits())
        });
        if same {
            times[row] = f64::NAN;
            dropped += 1;
        } else {
            before = Some(row);
        }
    }
    dropped
}

fn turn_remark(turns: &Turns, row_interval_s: Option<f64>) -> String {
    let every = row_interval_s.map_or(String::new(), |s| {
        format!(
            ", about every {:.2} s",
            s * f64::from(u32::try_from(turns.rows).unwrap_or(0))
        )
    });
    let silent = match turns.silent() {
        0 => String::new(),
        n => format!("; {n} never change, so their turn cannot be seen"),
    };
    format!(
        "signals are asked in turn: each is fresh once in {} rows{every}, repeated cells are \
         no samples; the turn is known in {:.0} of 100 rows{silent}",
        turns.rows,
        100.0 * turns.known()
    )
}
