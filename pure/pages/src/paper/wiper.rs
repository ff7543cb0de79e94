//! The sheet under the wiper: whose it is, what is open, and whether it may be started.

use crate::{Entry, Mark, Page, Words, pair};

/// What the sheet is filled from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WiperSheet {
    /// The plate.
    pub plate: String,
    /// The vehicle in words.
    pub vehicle: String,
    /// The job.
    pub job: String,
    /// Why the engine must not be started; empty: it may.
    pub do_not_start: String,
    /// What is off now.
    pub off: Vec<String>,
    /// What is unresolved.
    pub loose_ends: Vec<String>,
    /// Who to ask.
    pub ask: String,
    /// The day, as it is to be read.
    pub day: String,
    /// Language of the page.
    pub language: String,
}

/// The sheet under the wiper; meant for A5.
#[must_use]
pub fn wiper_sheet(sheet: &WiperSheet) -> Page {
    let mut page = Page::new(&sheet.plate, &sheet.language);
    page.head(vec![
        pair("Vehicle", &sheet.vehicle),
        pair("Job", &sheet.job),
        pair("Day", &sheet.day),
    ]);
    if sheet.do_not_start.is_empty() {
        page.paragraphs("The engine may be started.");
    } else {
        page.stop("DO NOT START");
        page.paragraphs(&sheet.do_not_start);
    }
    if !sheet.off.is_empty() {
        page.heading("Off now");
        page.list(false, &sheet.off);
    }
    page.heading("Loose ends");
    if sheet.loose_ends.is_empty() {
        page.paragraphs("None.");
    }
    let open = |text: &String| Entry { text: Words::from(text), mark: Mark::Open };
    page.entries(false, sheet.loose_ends.iter().map(open).collect());
    if !sheet.ask.is_empty() {
        page.quiet(format!("Ask: {}", sheet.ask));
    }
    page
}
