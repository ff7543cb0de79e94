//! Kinds of files, each behind one trait, and the choice between them by their first bytes.

use std::fmt;

use crate::csv::Csv;
use crate::mdf::Mdf4;
use crate::parquet::Parquet;
use crate::source::fill;
use crate::{ByteSource, LogError, Options, Recording};

/// A kind of recorded file.
pub trait Format: fmt::Debug + Sync {
    /// What it is called.
    fn name(&self) -> &'static str;

    /// True if a file that begins so is of this kind.
    fn knows(&self, head: &[u8]) -> bool;

    /// Reads a recording.
    ///
    /// # Errors
    /// [`LogError`] if there is no table, no time in it, or too much of it.
    fn read(
        &self,
        source: &dyn ByteSource,
        options: &Options,
    ) -> Result<Recording, LogError>;
}

/// The kinds that are known; what none of the others knows is text.
const FORMATS: [&dyn Format; 3] = [&Parquet, &Mdf4, &Csv];

/// Bytes by which a kind of file is known.
const HEAD: usize = 64;

/// Kinds of files that are no recording that can be read, by their first bytes.
const OTHERS: [(&[u8], &str, &str); 5] = [
    (b"PK\x03\x04", "a spreadsheet or another zip archive", "save its table as CSV"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet of an old kind", "save its table as CSV"),
    (b"\x1f\x8b", "compressed with gzip", "unpack it first"),
    (b"\x28\xb5\x2f\xfd", "compressed with zstd", "unpack it first"),
    (b"%PDF", "a PDF", "export the recording itself, as CSV"),
];

/// Reads a recording of any kind that is known: CSV, Parquet or ASAM MDF 4.
///
/// # Errors
/// [`LogError`] if there is no table, no time in it, or too much of it.
pub fn read(source: &dyn ByteSource, options: &Options) -> Result<Recording, LogError> {
    if source.size() > options.max_bytes as u64 {
        return Err(LogError::TooLarge { what: "bytes", limit: options.max_bytes });
    }
    let mut head = [0; HEAD];
    let count = fill(source, 0, &mut head)?;
    let head = &head[..count];
    for (first, what, hint) in OTHERS {
        if head.starts_with(first) {
            return Err(LogError::OtherKind { what, hint });
        }
    }
    let format = FORMATS.into_iter().find(|format| format.knows(head));
    format.ok_or(LogError::Empty)?.read(source, options)
}

/// Reads a recording from bytes, of whatever kind they are.
///
/// # Errors
/// As [`read`].
pub fn read_csv(bytes: &[u8], options: &Options) -> Result<Recording, LogError> {
    read(&bytes, options)
}
