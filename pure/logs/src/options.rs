//! How to read a file, and how much of it at most.

use std::thread::available_parallelism;

/// How to read a file, and how much of it at most.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Options {
    /// Name or unit of the time column; `None`: it is found.
    pub time: Option<String>,
    /// Columns whose samples are kept, each as for [`crate::Recording::channel`]; those not
    /// found are not kept. `None`: all are. Figures are given of every column.
    pub keep: Option<Vec<String>>,
    /// Separator; `None`: it is found.
    pub separator: Option<u8>,
    /// Most bytes read.
    pub max_bytes: usize,
    /// Most columns read.
    pub max_columns: usize,
    /// Most cells read.
    pub max_cells: usize,
    /// Threads at work on a large file; the answer does not depend on it.
    pub threads: usize,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            time: None,
            keep: None,
            separator: None,
            max_bytes: 2 << 30,
            max_columns: 512,
            max_cells: 200_000_000,
            threads: available_parallelism().map_or(1, usize::from),
        }
    }
}
