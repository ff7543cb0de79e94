//! Why a recorded file cannot be read.

use std::fmt;

/// Why a recorded file cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LogError {
    /// No bytes, or blanks only.
    Empty,
    /// The place where the bytes lie does not give them.
    Unreadable(String),
    /// Larger than the limits allow.
    TooLarge {
        /// What there is too much of.
        what: &'static str,
        /// The limit.
        limit: usize,
    },
    /// A file of another kind, and what to do with it.
    OtherKind {
        /// What it is.
        what: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// A Parquet or MDF file that does not hold together.
    Broken {
        /// Which kind of file.
        kind: &'static str,
        /// What is wrong and where.
        why: String,
    },
    /// No separator splits it into two columns or more.
    OneColumn,
    /// No column by that name or unit.
    NoColumn {
        /// What was asked for.
        asked: String,
        /// What there is, with units.
        columns: Vec<String>,
        /// A name that is a few letters off.
        near: Option<String>,
    },
    /// More than one column fits the name or unit.
    ManyColumns {
        /// What was asked for.
        asked: String,
        /// The columns that fit, with units.
        columns: Vec<String>,
    },
    /// The column was not among those asked for when the file was read.
    NotKept(String),
    /// The numbers of the column hold thousands marks.
    Thousands {
        /// The column.
        column: String,
        /// The first such cell.
        cell: String,
        /// Its data row, from 1.
        row: usize,
    },
    /// No column looks like time.
    NoTime(Vec<String>),
    /// The time column holds no time.
    TimeUnreadable(String),
    /// A header and no data row with a time.
    NoRows,
    /// The newest row stands first.
    Backwards,
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the recording is empty"),
            Self::Unreadable(why) => write!(f, "the recording cannot be read: {why}"),
            Self::TooLarge { what, limit } => {
                write!(f, "the recording has too many {what}: at most {limit} are read")
            }
            Self::OtherKind { what, hint } => {
                write!(f, "the file is {what}, which is not read here: {hint}")
            }
            Self::Broken { kind, why } => {
                write!(f, "the {kind} file is broken: {why}; export it again")
            }
            Self::OneColumn => f.write_str(
                "the recording has one column only: separate its columns by comma, \
                 semicolon, tab or |",
            ),
            Self::NoColumn { asked, columns, near } => {
                write!(f, "no column `{asked}`")?;
                if let Some(near) = near {
                    write!(f, ", did you mean `{near}`?")?;
                }
                write!(f, "; there are: {}", columns.join(", "))
            }
            Self::ManyColumns { asked, columns } => write!(
                f,
                "`{asked}` fits more than one column, write more of its name: {}",
                columns.join(", ")
            ),
            Self::NotKept(column) => {
                write!(f, "column `{column}` was not kept when the recording was read")
            }
            Self::Thousands { column, cell, row } => write!(
                f,
                "column `{column}` holds thousands marks, `{cell}` in data row {row}: they \
                 cannot be told from decimal marks, export without them"
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
            Self::Backwards => f.write_str(
                "the rows run backwards in time: sort them by time, the oldest first",
            ),
        }
    }
}

impl std::error::Error for LogError {}
