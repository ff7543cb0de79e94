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

/// More loose ends than this would not stay on one side of A5.
const MOST_ENDS: usize = 6;

/// The sheet under the wiper; meant for A5.
#[must_use]
pub fn wiper_sheet(sheet: &WiperSheet) -> Page {
    let mut page = Page::new(&sheet.plate, &sheet.language);
    page.head(vec![
        pair("Vehicle", &sheet.vehicle),
        pair("Job", &sheet.job),
        pair("Day", &sheet.day),
    ]);
    // Who reads this does not know the job: silence is never a leave to start.
    if !sheet.do_not_start.is_empty() {
        page.stop("DO NOT START");
        page.paragraphs(&sheet.do_not_start);
    } else if sheet.off.is_empty() && sheet.loose_ends.is_empty() {
        page.paragraphs("Nothing noted here speaks against starting the engine.");
    } else {
        page.stop("ASK BEFORE YOU START");
    }
    if !sheet.off.is_empty() {
        page.heading("Off now");
        page.paragraphs(&sheet.off.join(", "));
    }
    page.heading("Loose ends");
    if sheet.loose_ends.is_empty() {
        page.paragraphs("None.");
    }
    let open = |text: &String| Entry { text: Words::from(text), mark: Mark::Open };
    page.entries(false, sheet.loose_ends.iter().take(MOST_ENDS).map(open).collect());
    if sheet.loose_ends.len() > MOST_ENDS {
        let more = sheet.loose_ends.len() - MOST_ENDS;
        page.paragraphs(&format!("And {more} more: see the car's page."));
    }
    if !sheet.ask.is_empty() {
        page.quiet(format!("Ask: {}", sheet.ask));
    }
    page
}
