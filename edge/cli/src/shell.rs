//! What every command knows of where it runs: form and units of the output.

use std::cell::RefCell;
use std::path::PathBuf;

use app::papers::PageFile;
use app::{Answer, Document, Problem, Problems};
use pages::{Page, Shown};

use crate::arguments::{Global, Units};
use crate::output::Output;

/// Width of a page where nothing is known of the terminal, columns.
const USUAL_WIDTH: usize = 80;
/// Wider text is hard to read, columns.
const MOST_WIDTH: usize = 110;

/// Where a command runs.
#[derive(Debug)]
pub(crate) struct Shell {
    /// Whether answers and errors are JSON.
    pub(crate) json: bool,
    /// Units of pages.
    pub(crate) shown: Shown,
    /// Width of pages, columns.
    pub(crate) width: usize,
    /// Where jobs are kept, if it was said.
    pub(crate) store: Option<PathBuf>,
    /// The file that the page goes into too, until it is written.
    page: RefCell<Option<PageFile>>,
}

impl Shell {
    /// From the flags that every command takes.
    pub(crate) fn new(global: &Global) -> Self {
        let columns = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
        Self {
            json: global.json,
            shown: match global.units {
                Units::Metric => Shown::Metric,
                Units::Us => Shown::Us,
            },
            width: columns.unwrap_or(USUAL_WIDTH).clamp(report::LEAST_WIDTH, MOST_WIDTH),
            store: global.store.clone(),
            page: RefCell::new(global.page.clone()),
        }
    }

    /// An answer as its document or its page, as asked for.
    pub(crate) fn answer<T: Answer>(
        &self,
        answer: T,
        page: impl FnOnce(&T) -> Page,
    ) -> Result<Output, Problems> {
        let file = self.page.take();
        if self.json && file.is_none() {
            return document(answer);
        }
        let page = page(&answer);
        if let Some(file) = file {
            file.write(page.clone())?;
        }
        if self.json { document(answer) } else { Ok(Output::Page(page)) }
    }

    /// Says so where a page was wanted and the command has none.
    pub(crate) fn no_page(&self) -> Result<(), Problem> {
        match self.page.take() {
            None => Ok(()),
            Some(file) => Err(Problem::usage("this command has no page to write")
                .in_file(file.path().display())
                .hint("leave --page out")),
        }
    }

    /// An answer as its document or a text of its own, as asked for.
    pub(crate) fn text<T: Answer>(
        &self,
        answer: T,
        text: impl FnOnce(&T) -> String,
    ) -> Result<Output, Problems> {
        if self.json { document(answer) } else { Ok(Output::Text(text(&answer))) }
    }
}

fn document<T: Answer>(answer: T) -> Result<Output, Problems> {
    let json = Document::of(answer).json();
    json.map(Output::Json).map_err(|error| Problem::could_not("json", error).into())
}
