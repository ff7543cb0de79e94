//! One car: whether it may be started, what is off, the next step, what happened.

use super::next::{NextStep, next_step_blocks};
use crate::{Block, Entry, Mark, Page, Table, Words, pair, say};

/// Something that happened, as it stands in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventLine {
    /// Its id, for undo.
    pub id: String,
    /// When, as it is to be read.
    pub when: String,
    /// What.
    pub what: String,
    /// Whether it may be undone with one tap.
    pub undo: bool,
}

/// How likely a cause is.
#[derive(Debug, Clone, PartialEq)]
pub struct OddsLine {
    /// The cause in words.
    pub title: String,
    /// How likely.
    pub p: f64,
}

/// What the page of one car is filled from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CarView {
    /// The job.
    pub job: String,
    /// The plate.
    pub plate: String,
    /// The vehicle in words.
    pub vehicle: String,
    /// The complaint.
    pub complaint: String,
    /// Language of the page.
    pub language: String,
    /// ISO 4217 currency.
    pub currency: String,
    /// Why the engine must not be started; `None`: it may.
    pub do_not_start: Option<String>,
    /// The next step.
    pub next: Option<NextStep>,
    /// What is off.
    pub off: Vec<String>,
    /// Loose ends.
    pub loose_ends: Vec<String>,
    /// Duties still open.
    pub duties: Vec<String>,
    /// Spent until now.
    pub spent: f64,
    /// What the owner agreed to.
    pub authorised: Option<f64>,
    /// Causes, in the order of the sheet, *something else* last.
    pub odds: Vec<OddsLine>,
    /// How likely it is fixed.
    pub fixed: f64,
    /// What happened last, newest first.
    pub events: Vec<EventLine>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// The page of one car.
#[must_use]
pub fn car_page(view: &CarView) -> Page {
    let title = if view.plate.is_empty() { &view.job } else { &view.plate };
    let mut page = Page::new(title, &view.language);
    if let Some(why) = &view.do_not_start {
        page.stop(format!("DO NOT START: {why}"));
    }
    page.head(vec![
        pair("Vehicle", &view.vehicle),
        pair("Job", &view.job),
        pair("Complaint", &view.complaint),
        pair("Spent", say::money(view.spent, &view.currency)),
        pair(
            "Agreed up to",
            view.authorised
                .map_or_else(String::new, |sum| say::money(sum, &view.currency)),
        ),
    ]);
    page.heading("Next");
    match &view.next {
        Some(step) => page.blocks.extend(next_step_blocks(step)),
        None => page.paragraphs("Nothing is open here."),
    }
    if !view.off.is_empty() {
        page.heading("Off now");
        page.list(false, &view.off);
    }
    let open: Vec<Entry> = view
        .loose_ends
        .iter()
        .chain(&view.duties)
        .map(|text| Entry { text: Words::from(text), mark: Mark::Open })
        .collect();
    if !open.is_empty() {
        page.heading("Loose ends");
        page.entries(false, open);
    }
    odds(&mut page, view);
    if !view.events.is_empty() {
        page.heading("What happened");
        let mut table = Table::new(&["When", "What", "Undo"]);
        for event in &view.events {
            let undo =
                if event.undo { format!("undo {}", event.id) } else { String::new() };
            table.row(vec![
                Words::from(&event.when),
                Words::from(&event.what),
                Words::from(undo),
            ]);
        }
        page.blocks.push(Block::Table(table));
    }
    page.remarks(&view.remarks);
    page
}

fn odds(page: &mut Page, view: &CarView) {
    if view.odds.is_empty() {
        return;
    }
    page.heading("How likely");
    let mut pairs: Vec<_> =
        view.odds.iter().map(|line| pair(&line.title, say::chance(line.p))).collect();
    if view.fixed > 0.0 {
        pairs.push(pair("It is fixed", say::chance(view.fixed)));
    }
    page.facts(pairs);
}
