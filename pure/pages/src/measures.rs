//! What is measured on the way, as lines of a page.

use serde::Serialize;

use crate::{Entry, Mark, Page, Words, say};

/// Something measured on the way.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct MeasureRow {
    /// What, and where.
    pub what: String,
    /// before (it comes off), off or refit.
    pub when: String,
    /// Instructions; empty: none.
    pub how: String,
    /// Its limits in words.
    pub limits: String,
    /// How it is entered; empty: nowhere.
    pub typed: String,
    /// What was read and what that says of the limits; empty: nothing yet.
    pub read: String,
}

/// Adds the lines, what was read ticked, under a heading; nothing where there are none.
pub fn measures(page: &mut Page, rows: &[MeasureRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("Measures on the way");
    page.entries(false, rows.iter().map(entry).collect());
}

/// One line: when, what, the limits, then what was read, else how.
fn entry(row: &MeasureRow) -> Entry {
    let MeasureRow { what, when, how, limits, typed, read } = row;
    if !read.is_empty() {
        let text = Words::from(format!("{what}: {read} ({limits})"));
        return Entry { text, mark: Mark::Done };
    }
    let when = say::measured_when(when);
    let how = if how.is_empty() { String::new() } else { format!(". {how}") };
    let typed = if typed.is_empty() { String::new() } else { format!(" ({typed})") };
    let text = Words::from(format!("{what}, {when}: {limits}{how}{typed}"));
    Entry { text, mark: Mark::Open }
}
