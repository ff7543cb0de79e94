//! A file that is read, or standard input; never more of it than is allowed.

use std::fmt;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use logs::ByteSource;

use crate::Problem;

/// Where bytes come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// `-`.
    StandardInput,
    /// A file.
    File(PathBuf),
}

impl From<PathBuf> for Source {
    fn from(path: PathBuf) -> Self {
        if path.as_os_str() == "-" { Self::StandardInput } else { Self::File(path) }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::StandardInput => out.write_str("-"),
            Self::File(path) => path.display().fmt(out),
        }
    }
}

impl Source {
    /// Its bytes, at most `most` of them.
    ///
    /// # Errors
    /// Where it is not there, is no file, is larger, or the disk fails.
    pub fn bytes(&self, most: usize) -> Result<Vec<u8>, Problem> {
        let mut bytes = Vec::new();
        let limit = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
        let read = match self {
            Self::StandardInput => io::stdin().lock().take(limit).read_to_end(&mut bytes),
            Self::File(path) => {
                File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes))
            }
        };
        read.map_err(|error| self.refused(&error))?;
        if bytes.len() > most {
            return Err(Problem::wrong(
                "too-large",
                format!("the file is larger than {most} bytes, the most that is read"),
            )
            .in_file(self));
        }
        Ok(bytes)
    }

    /// The source to be read by place: a large file never lies in memory whole.
    ///
    /// # Errors
    /// As [`Source::bytes`].
    pub(crate) fn by_place(&self, most: usize) -> Result<ByPlace, Problem> {
        let Self::File(path) = self else {
            return Ok(ByPlace::InMemory(self.bytes(most)?));
        };
        let opened = File::open(path).and_then(|file| {
            let about = file.metadata()?;
            Ok((file, about))
        });
        let (file, about) = opened.map_err(|error| self.refused(&error))?;
        // A pipe has no places, and its size is not known.
        if !about.is_file()
            || usize::try_from(about.len()).map_or(true, |size| size > most)
        {
            return Ok(ByPlace::InMemory(self.bytes(most)?));
        }
        Ok(ByPlace::OnDisk(Mutex::new(file), about.len()))
    }

    /// Its text, at most `most` bytes of UTF-8.
    ///
    /// # Errors
    /// As [`Source::bytes`], and where it is not UTF-8.
    pub fn text(&self, most: usize) -> Result<String, Problem> {
        String::from_utf8(self.bytes(most)?).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            let before = error.as_bytes().get(..at).unwrap_or_default();
            let line = before.split(|byte| *byte == b'\n').count();
            let tail = before.rsplit(|byte| *byte == b'\n').next().unwrap_or_default();
            let column = 1 + String::from_utf8_lossy(tail).chars().count();
            let mut problem = Problem::wrong("not-utf8", "the file is not UTF-8 text")
                .in_file(self)
                .hint("save it as UTF-8; the place named is the first byte that is not");
            if let Some(place) = &mut problem.place {
                place.line = u32::try_from(line).ok();
                place.column = u32::try_from(column).ok();
            }
            problem
        })
    }

    fn refused(&self, error: &io::Error) -> Problem {
        let is = |kinds: &[io::ErrorKind]| kinds.contains(&error.kind());
        if is(&[io::ErrorKind::NotFound, io::ErrorKind::NotADirectory]) {
            Problem::wrong("not-found", "there is no such file")
                .hint("check the name and the folder")
        } else if is(&[io::ErrorKind::IsADirectory]) {
            Problem::wrong("not-a-file", "this is a folder").hint("name a file in it")
        } else if is(&[io::ErrorKind::InvalidInput, io::ErrorKind::InvalidFilename]) {
            Problem::wrong("not-found", "this can't be the name of a file")
        } else {
            Problem::could_not("unreadable", format!("the file can't be read: {error}"))
        }
        .in_file(self)
    }
}

/// Bytes that are read by place.
#[derive(Debug)]
pub(crate) enum ByPlace {
    /// All of them.
    InMemory(Vec<u8>),
    /// A file with its size.
    OnDisk(Mutex<File>, u64),
}

impl ByteSource for ByPlace {
    fn size(&self) -> u64 {
        match self {
            Self::InMemory(bytes) => bytes.as_slice().size(),
            Self::OnDisk(_, size) => *size,
        }
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::InMemory(bytes) => bytes.as_slice().read_at(at, into),
            Self::OnDisk(file, _) => {
                let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
                file.seek(SeekFrom::Start(at))?;
                file.read(into)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Source;
    use crate::Exit;

    #[test]
    fn a_missing_file_a_folder_and_a_large_file_are_wrong_and_name_it() {
        let folder = tempfile::tempdir().unwrap();
        let missing = Source::from(folder.path().join("missing.toml"));
        let problem = missing.bytes(10).unwrap_err();
        assert_eq!((problem.kind.as_str(), problem.exit), ("not-found", Exit::Wrong));
        assert!(problem.place.unwrap().file.ends_with("missing.toml"));
        let as_folder = Source::from(folder.path().to_owned()).bytes(10).unwrap_err();
        assert_eq!(as_folder.kind, "not-a-file");
        let path = folder.path().join("large");
        std::fs::write(&path, "01234567890").unwrap();
        assert_eq!(Source::from(path.clone()).bytes(10).unwrap_err().kind, "too-large");
        assert_eq!(Source::from(path).bytes(11).unwrap().len(), 11);
    }

    #[test]
    fn text_that_is_not_utf8_says_where() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("latin.toml");
        std::fs::write(&path, b"a\nb\xe4").unwrap();
        let place = Source::from(path).text(99).unwrap_err().place.unwrap();
        assert_eq!((place.line, place.column), (Some(2), Some(2)));
    }
}
