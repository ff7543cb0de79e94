//! Where a file's bytes come from: memory, or a place that is read piece by piece.

use std::io;

use crate::LogError;

/// The bytes of a file, read by place, so that a large one never lies in memory whole.
/// More than one thread may read at once.
pub trait ByteSource: Sync {
    /// How many bytes there are.
    fn size(&self) -> u64;

    /// Reads from `at` on into `into`; how many bytes were read, 0 at the end only.
    ///
    /// # Errors
    /// What the place answers.
    fn read_at(&self, at: u64, into: &mut [u8]) -> io::Result<usize>;
}

impl ByteSource for &[u8] {
    fn size(&self) -> u64 {
        self.len() as u64
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> io::Result<usize> {
        let rest = usize::try_from(at).ok().and_then(|at| self.get(at..));
        let rest = rest.unwrap_or_default();
        let count = rest.len().min(into.len());
        into[..count].copy_from_slice(&rest[..count]);
        Ok(count)
    }
}

/// Reads until `into` is full or the file ends; how many bytes were read.
pub(crate) fn fill(
    source: &dyn ByteSource,
    at: u64,
    into: &mut [u8],
) -> Result<usize, LogError> {
    let mut done = 0;
    while done < into.len() {
        let read = source
            .read_at(at + done as u64, &mut into[done..])
            .map_err(|error| LogError::Unreadable(error.to_string()))?;
        if read == 0 {
            break;
        }
        done += read;
    }
    Ok(done)
}
