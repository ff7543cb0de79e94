//! The closed world in which a paper is set: two fonts, one template, the data.

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::ReportError;

/// Inter by The Inter Project Authors, OFL-1.1 (`fonts/OFL.txt`).
static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let files: [&'static [u8]; 2] = [
        include_bytes!("../fonts/Inter-Regular.otf"),
        include_bytes!("../fonts/Inter-Bold.otf"),
    ];
    files.into_iter().filter_map(|file| Font::new(Bytes::new(file), 0)).collect()
});

static BOOK: LazyLock<LazyHash<FontBook>> =
    LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));

static LIBRARY: LazyLock<LazyHash<Library>> =
    LazyLock::new(|| LazyHash::new(Library::builder().build()));

/// A template and the files that it may read; everything else is denied.
pub(crate) struct Closed {
    main: Source,
    files: Vec<(FileId, Bytes)>,
}

impl Closed {
    /// A world around one template and its `(path, bytes)` files.
    pub(crate) fn new(
        template: &str,
        files: Vec<(String, Vec<u8>)>,
    ) -> Result<Self, ReportError> {
        let main = Source::new(id("main.typ")?, template.to_owned());
        let files = files
            .into_iter()
            .map(|(path, bytes)| Ok((id(&path)?, Bytes::new(bytes))))
            .collect::<Result<_, ReportError>>()?;
        Ok(Self { main, files })
    }
}

fn id(path: &str) -> Result<FileId, ReportError> {
    let path = VirtualPath::new(path)
        .map_err(|_| ReportError::Setting(format!("the path {path} is not usable")))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for Closed {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files
            .iter()
            .find(|(known, _)| *known == id)
            .map(|(_, bytes)| bytes.clone())
            .ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
