//! The job log behind one trait: [`SqliteStore`], [`MemoryStore`], and [`FailingStore`],
//! which fails on purpose.
//!
//! A store has no clock: whoever appends says when. An event is acknowledged only after it
//! is committed; a repeated tap gets the old answer.

pub mod archive;
mod error;
mod failing;
mod hex;
mod memory;
mod random;
mod schema;
mod sqlite;

use std::io::{BufRead, Write};

pub use archive::{Counts, Limits};
pub use error::StoreError;
pub use failing::{FailingStore, When};
pub use memory::MemoryStore;
pub use random::{random_hex, random_reference};
pub use sqlite::SqliteStore;

use job::{Draft, Finding, Heads, Seen, Stored};

/// Largest blob, bytes.
pub const MAX_BLOB_BYTES: usize = 32 * 1024 * 1024;

/// What a store knows of a blob.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Blob {
    /// Its bytes.
    Here(Vec<u8>),
    /// It was erased and never comes back.
    Erased,
    /// It was never here.
    Unknown,
}

/// The job log: append-only events and erasable blobs.
pub trait Store: Send {
    /// The writer whose chain this store goes on with.
    fn writer(&self) -> String;

    /// Appends all drafts in one transaction, or none. A draft whose reference is there
    /// already with the same words gets the old event; an `erased` draft erases its blob.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where a reference is there with other words, and whatever
    /// keeps the store from committing.
    fn append_all(&mut self, drafts: &[Draft]) -> Result<Vec<Stored>, StoreError>;

    /// All events of a job, in the order in which they were stored.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn events(&self, job: &str) -> Result<Vec<Stored>, StoreError>;

    /// All events, in the order in which they were stored.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn all(&self) -> Result<Vec<Stored>, StoreError>;

    /// The jobs, in the order in which their first events were stored.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn jobs(&self) -> Result<Vec<String>, StoreError>;

    /// The last event of every writer.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn heads(&self) -> Result<Heads, StoreError>;

    /// Keeps a blob under a new salt; the same bytes twice are two blobs.
    ///
    /// # Errors
    /// [`StoreError::TooLarge`], and whatever keeps the store from committing.
    fn put_blob(&mut self, bytes: &[u8]) -> Result<String, StoreError>;

    /// A blob.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn blob(&self, id: &str) -> Result<Blob, StoreError>;

    /// Writes everything as one archive (form: [`archive`]).
    ///
    /// # Errors
    /// Where the store can't be read or `out` can't be written.
    fn export(&self, out: &mut dyn Write) -> Result<Counts, StoreError>;

    /// Takes in an archive, all of it or nothing; what is here already stays as it is. The
    /// counts are of what is new.
    ///
    /// # Errors
    /// [`StoreError::Archive`] where anything about it is wrong or beyond the limits.
    fn import(
        &mut self,
        archive: &mut dyn BufRead,
        limits: &Limits,
    ) -> Result<Counts, StoreError>;

    /// Appends one draft, see [`Store::append_all`].
    ///
    /// # Errors
    /// As there.
    fn append(&mut self, draft: &Draft) -> Result<Stored, StoreError> {
        let stored = self.append_all(std::slice::from_ref(draft))?;
        stored.into_iter().next().ok_or(StoreError::Nothing)
    }

    /// What is wrong with the log, `seen` being heads from elsewhere.
    ///
    /// # Errors
    /// Where the store can't be read.
    fn verify(&self, seen: &[Seen]) -> Result<Vec<Finding>, StoreError> {
        Ok(job::verify(&self.all()?, seen))
    }
}
