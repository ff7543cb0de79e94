//! Why a recorded file cannot be read.

use std::fmt;

/// Why a recorded file cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LogError {
    /// No bytes, or blanks only.
    Empty,
    /// Larger than the limits allow.
    TooLarge {
        /// What there is too much of.
        what: &'static str,
        /// The limit.
        limit: usize,
    },
    /// No separator splits it into two columns or more.
    OneColumn,
    /// A row that the CSV reader refuses.
    Csv(String),
    /// No column by that name.
    NoColumn {
        /// What was asked for.
        asked: String,
        /// What there is.
        columns: Vec<String>,
    },
    /// More than one column fits the name.
    ManyColumns {
        /// What was asked for.
        asked: String,
        /// The columns that fit.
        columns: Vec<String>,
    },
    /// No column looks like time.
    NoTime(Vec<String>),
    /// The time column holds no time.
    TimeUnreadable(String),
    /// A header and no data row with a time.
    NoRows,
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the recording is empty"),
            Self::TooLarge { what, limit } => {
                write!(f, "the recording has too many {what}: at most {limit} are read")
            }
            Self::OneColumn => f.write_str(
                "the recording has one column only: separate its columns by comma, \
                 semicolon, tab or |",
            ),
            Self::Csv(why) => write!(f, "the recording cannot be read: {why}"),
            Self::NoColumn { asked, columns } => {
                write!(f, "no column `{asked}`; there are: {}", columns.join(", "))
            }
            Self::ManyColumns { asked, columns } => write!(
                f,
                "`{asked}` fits more than one column, write more of its name: {}",
                columns.join(", ")
            ),
            Self::NoTime(columns) => write!(
                f,
                "no column looks like time: name it with --time; there are: {}",
                columns.join(", ")
            ),
            Self::TimeUnreadable(column) => {
                write!(f, "column `{column}` holds no time: seconds or HH:MM:SS are read")
            }
            Self::NoRows => f.write_str("the recording has no row with a time"),
        }
    }
}

impl std::error::Error for LogError {}
