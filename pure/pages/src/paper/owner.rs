//! The report for the owner, in the order in which an owner asks.

use super::given::{
    AlsoSeen, Bill, CodeSeen, Finding, JobHead, LooseEnd, RepairDone, Sure, Trial,
    Urgency, also_seen, bill, codes, findings, how_sure,
};
use crate::{Block, Entry, Mark, Page, Photo, Table, Words, say};

/// What the report for the owner is filled from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OwnerReport {
    /// Vehicle, workshop, dates.
    pub head: JobHead,
    /// What the owner told, in the owner's words.
    pub complaint: String,
    /// Codes in memory when it came.
    pub codes: Vec<CodeSeen>,
    /// What was noted before anything was touched, one line each.
    pub noted_first: Vec<String>,
    /// What was looked at.
    pub findings: Vec<Finding>,
    /// The cause in one sentence; empty: not known.
    pub cause: String,
    /// What was seen on the way.
    pub also_seen: Vec<AlsoSeen>,
    /// What was done.
    pub done: Vec<RepairDone>,
    /// The bill.
    pub bill: Bill,
    /// How sure it is fixed.
    pub sure: Sure,
    /// A trial, where one was agreed.
    pub trial: Option<Trial>,
    /// What to watch, one line each.
    pub watch: Vec<String>,
    /// What is unresolved, or was.
    pub loose_ends: Vec<LooseEnd>,
    /// Photos that the owner should see.
    pub photos: Vec<Photo>,
}

/// What you told us, what we found, what we did, how sure we are, what to watch.
#[must_use]
pub fn owner_report(report: &OwnerReport) -> Page {
    let head = &report.head;
    let mut page = head.page("Repair report");
    told(&mut page, report);
    found(&mut page, report);
    did(&mut page, report);
    how_sure(&mut page, &report.sure, head.shown);
    if let Some(trial) = &report.trial {
        page.subheading("Trial agreed");
        page.paragraphs(&trial.terms);
        if !trial.until.is_empty() {
            page.paragraphs(&format!("Until {}.", trial.until));
        }
    }
    watch(&mut page, report);
    page.blocks.push(Block::Sign(vec!["Workshop, date".into(), "Owner, date".into()]));
    page.quiet(head.workshop_line());
    page
}

fn told(page: &mut Page, report: &OwnerReport) {
    page.heading("What you told us");
    page.paragraphs(&report.complaint);
    if !report.codes.is_empty() {
        page.subheading("Fault codes in memory");
        page.list(false, codes(&report.codes));
    }
    if !report.noted_first.is_empty() {
        page.subheading("Noted before anything was touched");
        page.list(false, &report.noted_first);
    }
}

fn found(page: &mut Page, report: &OwnerReport) {
    page.heading("What we found");
    if !report.cause.is_empty() {
        page.lead(&report.cause);
    }
    if report.findings.is_empty() {
        page.paragraphs("Nothing has been looked at yet.");
    }
    page.table(findings(&report.findings));
    page.table(also_seen(&report.also_seen, &report.head.currency));
    page.blocks.extend(report.photos.iter().cloned().map(Block::Photo));
}

fn did(page: &mut Page, report: &OwnerReport) {
    page.heading("What we did");
    if report.done.is_empty() {
        page.paragraphs("No repair was done.");
    }
    let entries = report
        .done
        .iter()
        .map(|done| {
            let why = if done.why.is_empty() {
                String::new()
            } else {
                format!(": {}", done.why)
            };
            Entry { text: Words::from(format!("{}{why}", done.what)), mark: Mark::Done }
        })
        .collect();
    page.entries(false, entries);
    let mut parts = Table::new(&["Part", "Number", "Make", ">Count", ">Price"]);
    for part in report.done.iter().flat_map(|done| &done.parts) {
        parts.row(vec![
            Words::from(&part.title),
            Words::from(&part.number),
            Words::from(&part.make),
            Words::from(say::trimmed(part.count, 2)),
            Words::from(say::money(part.price, &report.head.currency)),
        ]);
    }
    page.table(parts);
    bill(page, &report.bill, &report.head.currency);
}

fn watch(page: &mut Page, report: &OwnerReport) {
    page.heading("What to watch");
    let undecided = report.also_seen.iter().filter(|seen| seen.decided.is_empty());
    let seen: Vec<String> = undecided
        .map(|seen| match seen.urgency {
            Urgency::Unsafe => {
                format!("{}: unsafe to drive with, have it done first.", seen.what)
            }
            Urgency::Soon => format!("{}: have it done soon.", seen.what),
            Urgency::Watch => format!("{}: have it looked at again.", seen.what),
        })
        .collect();
    let quiet = report.watch.is_empty() && seen.is_empty();
    page.list(false, report.watch.iter().chain(&seen));
    let open: Vec<Entry> = report
        .loose_ends
        .iter()
        .filter(|end| end.settled.is_empty())
        .map(|end| {
            let accepted = if end.accepted.is_empty() {
                String::new()
            } else {
                format!(" (accepted in writing: {})", end.accepted)
            };
            Entry {
                text: Words::from(format!("{}{accepted}", end.what)),
                mark: Mark::Open,
            }
        })
        .collect();
    if quiet && open.is_empty() {
        page.paragraphs("Nothing in particular. If the lamp comes on again, ring us before anybody clears it.");
    }
    if !open.is_empty() {
        page.subheading("Loose ends");
        page.entries(false, open);
    }
}
