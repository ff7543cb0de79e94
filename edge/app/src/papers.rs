//! Files that a verb writes, papers and archives: into their folder, whole or not at all.

use std::fs;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use pages::Page;
use schemars::JsonSchema;
use serde::Serialize;

use crate::{Answer, Problem};

/// Answer `papers/1`: what was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PapersAnswer {
    /// The job; null: none in particular.
    pub job: Option<String>,
    /// The files.
    pub files: Vec<String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl Answer for PapersAnswer {
    const NAME: &'static str = "papers/1";
}

/// Answer `demo/1`: the story that ran and what it left.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DemoAnswer {
    /// How it went, line by line.
    pub lines: Vec<String>,
    /// The job.
    pub job: String,
    /// The store with it.
    pub store: String,
    /// The files.
    pub files: Vec<String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl Answer for DemoAnswer {
    const NAME: &'static str = "demo/1";
}

/// Makes a folder with those above it.
///
/// # Errors
/// Where something else has its name or the disk fails.
pub fn folder(path: &Path) -> Result<(), Problem> {
    if path.exists() && !path.is_dir() {
        return Err(Problem::wrong("not-a-folder", "this is a file")
            .in_file(path.display())
            .hint("name a folder"));
    }
    fs::create_dir_all(path).map_err(|error| {
        Problem::could_not("unwritable", format!("the folder can't be made: {error}"))
            .in_file(path.display())
    })
}

/// Writes a file: a new one beside it first, which then takes its place.
///
/// # Errors
/// Where it can't be written, or what `fill` says.
pub fn write(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> Result<(), Problem>,
) -> Result<(), Problem> {
    let failed = |error: std::io::Error| {
        Problem::could_not("unwritable", format!("the file can't be written: {error}"))
            .in_file(path.display())
    };
    let Some(name) = path.file_name().filter(|_| !path.is_dir()) else {
        return Err(Problem::wrong("not-a-file", "this is a folder")
            .in_file(path.display())
            .hint("name a file in it"));
    };
    if let Some(above) = path.parent().filter(|above| !above.as_os_str().is_empty()) {
        folder(above)?;
    }
    let mut beside = name.to_owned();
    beside.push(".part");
    let beside: PathBuf = path.with_file_name(beside);
    let written = (|| {
        let mut out = BufWriter::new(fs::File::create(&beside).map_err(failed)?);
        fill(&mut out)?;
        let file = out.into_inner().map_err(|error| failed(error.into_error()))?;
        file.sync_all().map_err(failed)?;
        fs::rename(&beside, path).map_err(failed)
    })();
    if written.is_err() {
        // Where even this fails, what is told is what failed first.
        let _ = fs::remove_file(&beside);
    }
    written
}

/// Writes those bytes as a file.
///
/// # Errors
/// As [`write()`].
pub fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    write(path, |out| {
        out.write_all(bytes).map_err(|error| {
            let what = format!("the file can't be written: {error}");
            Problem::could_not("unwritable", what).in_file(path.display())
        })
    })
}

/// A file that a page goes into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageFile {
    path: PathBuf,
    paper: bool,
}

impl PageFile {
    /// The file of that name: `.pdf` for A4, `.html` for a screen.
    ///
    /// # Errors
    /// A name that ends in neither.
    pub fn named(path: PathBuf) -> Result<Self, String> {
        let kind = path.extension().and_then(|kind| kind.to_str()).unwrap_or("");
        let paper = kind.eq_ignore_ascii_case("pdf");
        if paper || kind.eq_ignore_ascii_case("html") {
            return Ok(Self { path, paper });
        }
        Err("a page is a PDF or HTML: let its name end in .pdf or .html".to_owned())
    }

    /// Where it lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes the page.
    ///
    /// # Errors
    /// A page that can't be set, and as [`write()`].
    pub fn write(&self, page: Page) -> Result<(), Problem> {
        if !self.paper {
            return write_bytes(&self.path, report::document(&page).as_bytes());
        }
        let title = page.title.as_str().to_owned();
        let set = report::pdf(&[page], &report::PdfOptions::a4(&title));
        write_bytes(&self.path, &set.map_err(|error| Problem::could_not("paper", error))?)
    }
}

#[cfg(test)]
mod tests {
    use super::{write, write_bytes};
    use crate::Problem;

    #[test]
    fn a_file_that_fails_halfway_leaves_the_old_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep/owner.pdf");
        write_bytes(&path, b"old").unwrap();
        let failed = write(&path, |out| {
            out.write_all(b"ne").unwrap();
            Err(Problem::could_not("paper", "no more"))
        });
        assert_eq!(failed.unwrap_err().kind, "paper");
        assert_eq!(std::fs::read(&path).unwrap(), b"old");
        let names: Vec<_> = std::fs::read_dir(path.parent().unwrap()).unwrap().collect();
        assert_eq!(names.len(), 1);
        write_bytes(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        let beside = write_bytes(folder.path(), b"").unwrap_err();
        assert_eq!(beside.kind, "not-a-file");
    }
}
