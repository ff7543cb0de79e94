//! Recorded files: bytes to channels, each with the times at which it was really read.
//!
//! A diagnostics link asks its signals in turn and writers repeat what they last heard.
//! A repeated cell is no sample, so a [`Channel`] holds fresh samples only.

mod cell;
mod decode;
mod error;
mod header;
mod read;
mod refresh;
mod sniff;
mod timeline;

pub use error::LogError;
pub use read::{Options, read_csv};

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
    /// Every column but the time, in file order.
    pub channels: Vec<Channel>,
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
    /// The channel whose name is, or as the only one contains, the text; case does not
    /// matter.
    ///
    /// # Errors
    /// [`LogError::NoColumn`] or [`LogError::ManyColumns`], with the columns there are.
    pub fn channel(&self, name: &str) -> Result<&Channel, LogError> {
        let names: Vec<&str> = self.channels.iter().map(|c| c.name.as_str()).collect();
        header::find_column(&names, name).map(|at| &self.channels[at])
    }
}

impl Channel {
    /// Median time between fresh samples, s; `None` with fewer than two.
    pub fn median_interval_s(&self) -> Option<f64> {
        let times: Vec<f64> = self.samples.iter().map(|s| s.0).collect();
        timeline::median_interval(&times)
    }
}
