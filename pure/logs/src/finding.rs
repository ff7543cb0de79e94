//! What is odd about a channel, each with its figures.

use std::fmt;

/// What every channel of a file shows, kept or not.
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    /// Column name without its unit.
    pub name: String,
    /// Unit as the file gives it.
    pub unit: Option<String>,
    /// Fresh samples.
    pub fresh: usize,
    /// Median time between them, s; `None` with fewer than two.
    pub median_interval_s: Option<f64>,
    /// Rows from one refresh to the next where the link asks in turn; `None`: every filled
    /// cell is fresh.
    pub every_rows: Option<usize>,
    /// What is odd.
    pub found: Vec<Finding>,
}

/// Something odd about a channel.
#[derive(Debug, Clone, PartialEq)]
pub enum Finding {
    /// It holds no value at all.
    NoValue,
    /// It holds thousands marks, which can't be told from decimal marks: not read.
    Thousands {
        /// The first such cell.
        text: String,
        /// Its data row, from 1.
        row: usize,
    },
    /// It holds one value throughout.
    Constant {
        /// The value.
        value: f64,
    },
    /// Pauses of more than three median intervals.
    Gaps {
        /// How many.
        count: usize,
        /// The longest, s.
        longest_s: f64,
        /// When the longest begins, s.
        at_s: f64,
    },
    /// The value stays for longer than its own liveliness makes likely.
    Stuck {
        /// When it begins, s.
        from_s: f64,
        /// How long it stays, s.
        lasts_s: f64,
        /// Fresh samples that are the same.
        samples: usize,
    },
    /// All values lie on a grid.
    Steps {
        /// One count.
        step: f64,
        /// How many counts lie between least and greatest.
        counts: usize,
    },
    /// It often reads the end of its range, where more would look the same.
    AtEnd {
        /// The end.
        value: f64,
        /// The upper end, or the lower one.
        end: RangeEnd,
        /// Share of the cells that read it.
        share: f64,
    },
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeEnd {
    /// The least value.
    Lower,
    /// The greatest value.
    Upper,
}

impl Findings {
    /// Counts moments from another one on.
    pub(crate) fn count_from(&mut self, start_s: f64) {
        for found in &mut self.found {
            match found {
                Finding::Gaps { at_s: at, .. } | Finding::Stuck { from_s: at, .. } => {
                    *at -= start_s;
                }
                Finding::NoValue
                | Finding::Thousands { .. }
                | Finding::Constant { .. }
                | Finding::Steps { .. }
                | Finding::AtEnd { .. } => {}
            }
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoValue => f.write_str("holds no value"),
            Self::Thousands { text, row } => write!(
                f,
                "not read: `{text}` in data row {row} has thousands marks; write numbers \
                 without them"
            ),
            Self::Constant { value } => write!(f, "is {value} throughout"),
            Self::Gaps { count, longest_s, at_s } => write!(
                f,
                "{count} pauses longer than three usual intervals, the longest {longest_s:.3} s \
                 from {at_s:.3} s on"
            ),
            Self::Stuck { from_s, lasts_s, samples } => write!(
                f,
                "stays the same for {lasts_s:.3} s from {from_s:.3} s on, {samples} fresh \
                 samples: stuck, or at rest"
            ),
            Self::Steps { step, counts } => {
                write!(
                    f,
                    "is counted in steps of {}, {counts} of them in its range",
                    short(*step)
                )
            }
            Self::AtEnd { value, end, share } => {
                let end = match end {
                    RangeEnd::Lower => "lower",
                    RangeEnd::Upper => "upper",
                };
                write!(
                    f,
                    "reads {value}, the {end} end of its range, in {:.0} of 100 cells: it may \
                     have been beyond",
                    100.0 * share
                )
            }
        }
    }
}

/// Four figures that count.
fn short(value: f64) -> String {
    let wide = format!("{value:.3e}");
    wide.parse::<f64>().map_or(wide, |rounded| rounded.to_string())
}
