//! Recorded files: bytes to channels, each with the times at which it was really read.
//!
//! A diagnostics link asks its signals in turn and writers repeat what they last heard.
//! A repeated cell is no sample, so a [`Channel`] holds fresh samples only.

mod assemble;
mod bits;
mod columns;
mod csv;
mod error;
mod figures;
mod finding;
mod format;
mod gather;
mod half;
mod header;
mod mdf;
mod median;
mod options;
mod parquet;
mod refresh;
mod slots;
mod source;
mod timeline;
mod track;

pub use error::LogError;
pub use finding::{Finding, Findings, RangeEnd};
pub use format::{Format, read, read_csv};
pub use options::Options;
pub use source::ByteSource;

/// A recorded file as channels.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// Data rows in the file.
    pub rows: usize,
    /// Data rows that were used.
    pub kept: usize,
    /// From the first used row to the last, s.
    pub duration_s: f64,
    /// Median time from row to row, s; `None` with fewer than two rows.
    pub row_interval_s: Option<f64>,
    /// Rows from one refresh of a signal to its next where the link asks in turn.
    pub polled_rows: Option<usize>,
    /// The columns that were asked for, else every column but the time; in file order.
    pub channels: Vec<Channel>,
    /// Figures of every column but the time, in file order.
    pub findings: Vec<Findings>,
    /// What was found and how it was taken.
    pub remarks: Vec<String>,
}

/// One signal.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Column name without its unit.
    pub name: String,
    /// Unit as the file gives it.
    pub unit: Option<String>,
    /// Fresh samples: time in s, never falling, and value.
    pub samples: Vec<(f64, f64)>,
}

impl Recording {
    /// The channel whose name is, or as the only one contains, the text, or whose unit it is;
    /// case does not matter.
    ///
    /// # Errors
    /// [`LogError::NoColumn`] or [`LogError::ManyColumns`], with the columns there are;
    /// [`LogError::Thousands`] where its numbers can't be read; [`LogError::NotKept`] where
    /// it was not among the columns asked for.
    pub fn channel(&self, name: &str) -> Result<&Channel, LogError> {
        let column =
            |f: &Findings| header::Column { name: f.name.clone(), unit: f.unit.clone() };
        let all: Vec<header::Column> = self.findings.iter().map(column).collect();
        let found = &self.findings[columns::find(&all, name)?];
        for finding in &found.found {
            if let Finding::Thousands { text, row } = finding {
                let (column, cell) = (found.name.clone(), text.clone());
                return Err(LogError::Thousands { column, cell, row: *row });
            }
        }
        let kept = self.channels.iter().find(|channel| channel.name == found.name);
        kept.ok_or_else(|| LogError::NotKept(found.name.clone()))
    }
}

impl Channel {
    /// Median time between fresh samples, s; `None` with fewer than two.
    pub fn median_interval_s(&self) -> Option<f64> {
        median::median(|| timeline::intervals(self.samples.iter().map(|s| s.0)))
    }
}

/// A count with its noun, `one` where it is one.
#[must_use]
pub fn so_many(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// How often, in words.
#[must_use]
pub fn so_often(count: usize) -> String {
    if count == 1 { "once".to_owned() } else { format!("{count} times") }
}

/// Part of a whole, 0 for an empty whole.
#[expect(clippy::cast_precision_loss, reason = "counts stay far below 2^53")]
pub(crate) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}
