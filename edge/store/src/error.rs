//! What can go wrong with a store, in plain words.

use std::io;

use job::EventError;
use rusqlite::ErrorCode;

/// Why a store could not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder of the store is not there.
    #[error(
        "there is no folder `{0}`: make it first, or name another place for the jobs"
    )]
    NoFolder(String),
    /// The file can't be opened.
    #[error(
        "`{path}` can't be opened ({what}): it must be a file that this user may write"
    )]
    CantOpen {
        /// The file.
        path: String,
        /// What the system says.
        what: String,
    },
    /// The file is something else.
    #[error("`{0}` is not a job store of this program: name another file")]
    NotAStore(String),
    /// A newer program made the store.
    #[error(
        "this job store has form {found}, this program knows up to {known}: use the newer program"
    )]
    Newer {
        /// Form of the file.
        found: i64,
        /// Newest form that is known here.
        known: i64,
    },
    /// The folder can't keep a write-ahead log.
    #[error(
        "`{0}` can't keep a write-ahead log: put the jobs on a disk of this machine, not on a network share"
    )]
    NoWal(String),
    /// The reference is there with other words.
    #[error("reference {0} was used for another entry: make a new one for each tap")]
    Conflict(String),
    /// The draft can't become an event.
    #[error(transparent)]
    Event(#[from] EventError),
    /// The blob is too large.
    #[error("{bytes} bytes are too many for one file: at most {limit} are kept")]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The limit.
        limit: usize,
    },
    /// The disk is full.
    #[error(
        "the disk is full: the entry was not kept; free some space and enter it again"
    )]
    Full,
    /// Another program holds the store.
    #[error("another program is writing to the job store: try again in a moment")]
    Busy,
    /// The disk failed; this store takes nothing more until it is opened anew.
    #[error(
        "the disk failed ({0}): this entry may not have been kept; look at the disk, then start again"
    )]
    Disk(String),
    /// The file is damaged.
    #[error(
        "the job store is damaged ({0}): run `witmark log verify`, and take the last archive"
    )]
    Damaged(String),
    /// Reading or writing an archive failed.
    #[error("the archive can't be read or written: {0}")]
    Io(#[from] io::Error),
    /// An archive is wrong.
    #[error("the archive was not taken in: line {line}: {what}")]
    Archive {
        /// Line, from 1; 0: the whole.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// No random numbers from the system.
    #[error("the system gives no random numbers: {0}")]
    NoRandom(String),
    /// Nothing was to be appended.
    #[error("there was nothing to append")]
    Nothing,
    /// A failure on purpose.
    #[error("write {0} failed on purpose")]
    OnPurpose(u64),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        let text = error.to_string();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(
                ErrorCode::SystemIoFailure
                | ErrorCode::CannotOpen
                | ErrorCode::ReadOnly
                | ErrorCode::PermissionDenied,
            ) => Self::Disk(text),
            Some(_) | None => Self::Damaged(text),
        }
    }
}
