//! The copy for the file: evidence, torque record, parts, time, duties, loose ends.

use super::given::{bill, codes, how_sure};
use super::owner::OwnerReport;
use crate::{
    Block, DEFERS, Entry, Mark, MeasureRow, Overlay, Page, Photo, Table, TrayItem, Words,
    measures, overlay, pair, say, tray_drawing,
};

/// One thing that happened, in the order of the log.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Evidence {
    /// When, as it is to be read.
    pub when: String,
    /// Who did it.
    pub who: String,
    /// What was done or looked at.
    pub what: String,
    /// What came out, with readings.
    pub result: String,
}

/// How one kind of fastener was tightened.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TorqueRow {
    /// The item that it holds.
    pub item: String,
    /// The fastener: `3 bolts M8x1.25 × 16`.
    pub fastener: String,
    /// The value to reach, N·m.
    pub wanted_nm: Option<f64>,
    /// The maker's, a general value, or this workshop's.
    pub source: String,
    /// torque, torque and angle, by feel, not done.
    pub how: String,
    /// Which wrench, its range and last check.
    pub wrench: String,
    /// Whether it is tight and carries its stripe.
    pub done: bool,
}

/// Minutes really taken for something.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TimeRow {
    /// For what.
    pub what: String,
    /// What the sheet says.
    pub sheet_min: Option<f64>,
    /// What it took.
    pub taken_min: f64,
}

/// A duty and whether it is done.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DutyRow {
    /// What it is.
    pub title: String,
    /// When and by whom; empty: open.
    pub done: String,
}

/// What the copy for the file is filled from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FileReport {
    /// All that the owner gets to read.
    pub owner: OwnerReport,
    /// What happened, in order.
    pub evidence: Vec<Evidence>,
    /// Recordings before and after.
    pub recordings: Vec<Overlay>,
    /// The torque record.
    pub torque: Vec<TorqueRow>,
    /// What was touched, hole by hole.
    pub tray: Vec<TrayItem>,
    /// Photos of it on which holes are marked.
    pub tray_photos: Vec<Photo>,
    /// What was measured on the way.
    pub measures: Vec<MeasureRow>,
    /// Minutes taken.
    pub time: Vec<TimeRow>,
    /// Duties after the repair.
    pub duties: Vec<DutyRow>,
    /// The sheet: its title, id and version.
    pub sheet: String,
    /// Hash of the sheet as frozen in the job.
    pub sheet_hash: String,
    /// Caution words that applied.
    pub cautions: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// The copy for the file.
#[must_use]
pub fn file_report(report: &FileReport) -> Page {
    let owner = &report.owner;
    let head = &owner.head;
    let mut page = head.page("File copy");
    page.cautions(report.cautions.iter().map(String::as_str));
    complaint(&mut page, owner);
    page.heading("Evidence");
    page.table(evidence(&report.evidence));
    page.blocks.extend(report.recordings.iter().map(|one| Block::Drawing(overlay(one))));
    how_sure(&mut page, &owner.sure, head.shown);
    torque_record(&mut page, report);
    tray(&mut page, report);
    measures(&mut page, &report.measures);
    parts(&mut page, owner);
    time(&mut page, &report.time);
    if !owner.bill.lines.is_empty() {
        page.heading("Bill");
        bill(&mut page, &owner.bill, &head.currency);
    }
    duties(&mut page, &report.duties);
    loose_ends(&mut page, owner);
    page.heading("Log");
    page.facts(vec![
        pair("Sheet", &report.sheet),
        pair("Sheet hash", &report.sheet_hash),
        pair("Log head", &head.log_head),
    ]);
    page.remarks(&report.remarks);
    page.blocks.push(Block::Sign(vec!["Workshop, date".into()]));
    page.quiet(DEFERS);
    page.quiet(head.workshop_line());
    page
}

/// Every hole with what became of its fastener.
fn tray(page: &mut Page, report: &FileReport) {
    if report.tray.is_empty() {
        return;
    }
    page.heading("Tray");
    page.blocks.push(Block::Drawing(tray_drawing("What became of each", &report.tray)));
    page.blocks.extend(report.tray_photos.iter().cloned().map(Block::Photo));
}

fn complaint(page: &mut Page, owner: &OwnerReport) {
    page.heading("Complaint");
    page.paragraphs(&owner.complaint);
    page.list(false, codes(&owner.codes));
    if !owner.noted_first.is_empty() {
        page.subheading("Noted before anything was touched");
        page.list(false, &owner.noted_first);
    }
}

fn evidence(rows: &[Evidence]) -> Table {
    let mut table = Table::new(&["When", "What", "Result", "Who"]);
    for Evidence { when, who, what, result } in rows {
        table.row(vec![when.into(), what.into(), result.into(), who.into()]);
    }
    table
}

fn torque_record(page: &mut Page, report: &FileReport) {
    page.heading("Torque record");
    if report.torque.is_empty() {
        page.paragraphs("No fastener was taken off.");
    }
    let shown = report.owner.head.shown;
    let mut table = Table::new(&["Item", "Fastener", ">Torque", "From", "How", "Wrench"]);
    for row in &report.torque {
        let wanted = row.wanted_nm.map_or_else(String::new, |nm| say::torque(nm, shown));
        let mark = if row.done { Mark::Done } else { Mark::Open };
        let cells =
            [&row.item, &row.fastener, &wanted, &row.source, &row.how, &row.wrench];
        table.marked(mark, cells.into_iter().map(Words::from).collect());
    }
    page.table(table);
}

fn parts(page: &mut Page, owner: &OwnerReport) {
    let mut table = Table::new(&["Part", "Number", "Make", ">Count", ">Price", "For"]);
    for done in &owner.done {
        for part in &done.parts {
            let price = say::money(part.price, &owner.head.currency);
            let count = say::trimmed(part.count, 2);
            let cells =
                [&part.title, &part.number, &part.make, &count, &price, &done.what];
            table.row(cells.into_iter().map(Words::from).collect());
        }
    }
    if !table.rows.is_empty() {
        page.heading("Parts");
        page.table(table);
    }
}

fn time(page: &mut Page, rows: &[TimeRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("Time");
    let mut table = Table::new(&["For", ">Sheet", ">Taken"]);
    for TimeRow { what, sheet_min, taken_min } in rows {
        let sheet = sheet_min.map_or_else(String::new, say::minutes);
        table.row(vec![what.into(), sheet.into(), say::minutes(*taken_min).into()]);
    }
    let sum: f64 = rows.iter().map(|row| row.taken_min).sum();
    let known = rows.iter().all(|row| row.sheet_min.is_some());
    let sheet_sum: f64 = rows.iter().filter_map(|row| row.sheet_min).sum();
    let sheet = if known { say::minutes(sheet_sum) } else { String::new() };
    table.marked(
        Mark::Sum,
        vec!["Together".into(), sheet.into(), say::minutes(sum).into()],
    );
    page.table(table);
}

fn duties(page: &mut Page, rows: &[DutyRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("Duties");
    let entries = rows
        .iter()
        .map(|DutyRow { title, done }| {
            if done.is_empty() {
                Entry { text: Words::from(format!("{title}: open")), mark: Mark::Open }
            } else {
                Entry { text: Words::from(format!("{title} ({done})")), mark: Mark::Done }
            }
        })
        .collect();
    page.entries(false, entries);
}

fn loose_ends(page: &mut Page, owner: &OwnerReport) {
    page.heading("Loose ends");
    if owner.loose_ends.is_empty() {
        page.paragraphs("None.");
    }
    let entries = owner
        .loose_ends
        .iter()
        .map(|end| {
            let (more, mark) = if !end.settled.is_empty() {
                (format!(": {}", end.settled), Mark::Done)
            } else if end.accepted.is_empty() {
                (": open".to_owned(), Mark::Open)
            } else {
                (format!(": accepted in writing, {}", end.accepted), Mark::Open)
            };
            Entry { text: Words::from(format!("{}{more}", end.what)), mark }
        })
        .collect();
    page.entries(false, entries);
}
