//! What the papers of a job are filled from, and how each piece is said.

use weigh::Count;

use crate::{
    Mark, Page, Table, Words, pair,
    say::{self, Counted, Shown},
};

/// Whose vehicle it is, who worked on it, and where the log stood.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JobHead {
    /// Name of the workshop.
    pub workshop: String,
    /// Its address and telephone, one line each.
    pub workshop_lines: Vec<String>,
    /// Number or name of the job.
    pub job: String,
    /// The vehicle in words.
    pub vehicle: String,
    /// Its plate.
    pub plate: String,
    /// The day it came, as it is to be read.
    pub taken_in: String,
    /// The day it went, empty: it is still here.
    pub handed_over: String,
    /// Odometer when it came, as it is to be read.
    pub odometer_in: String,
    /// Odometer when it went.
    pub odometer_out: String,
    /// Head of the job log.
    pub log_head: String,
    /// ISO 4217 currency of all money.
    pub currency: String,
    /// Language of the page.
    pub language: String,
    /// Units on the page.
    pub shown: Shown,
}

/// A fault code as it was found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CodeSeen {
    /// The code, SAE J2012 form.
    pub code: String,
    /// What it says.
    pub text: String,
    /// stored, pending, permanent.
    pub state: String,
}

/// Something looked at and what it showed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Finding {
    /// What was looked at.
    pub what: String,
    /// What it showed.
    pub outcome: String,
    /// What was measured, with its unit; empty: nothing.
    pub reading: String,
}

/// How soon something seen on the way wants doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Urgency {
    /// Not to be driven with.
    Unsafe,
    /// Before long.
    Soon,
    /// To be looked at again.
    Watch,
}

/// Something seen on the way that is not the fault.
#[derive(Debug, Clone, PartialEq)]
pub struct AlsoSeen {
    /// What it is.
    pub what: String,
    /// How soon.
    pub urgency: Urgency,
    /// Price while access was open.
    pub price_now: Option<f64>,
    /// Price later.
    pub price_later: Option<f64>,
    /// What the owner decided; empty: not yet.
    pub decided: String,
}

/// A part that went in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartUsed {
    /// What it is.
    pub title: String,
    /// Its number.
    pub number: String,
    /// new maker, new other, used, rebuilt; and its batch, where known.
    pub make: String,
    /// How many.
    pub count: f64,
    /// Price of all of them.
    pub price: f64,
}

/// A repair that was done.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RepairDone {
    /// What was done.
    pub what: String,
    /// Why.
    pub why: String,
    /// Minutes that it took.
    pub minutes: Option<f64>,
    /// Parts that went in.
    pub parts: Vec<PartUsed>,
}

/// How a line of the bill is dealt with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Charged {
    /// To pay.
    #[default]
    Charged,
    /// A gift.
    Goodwill,
    /// Somebody else pays.
    Warranty,
    /// Not asked for.
    NotCharged,
}

/// A line of the bill.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BillLine {
    /// What for.
    pub what: String,
    /// How much.
    pub amount: f64,
    /// Whether it is asked for.
    pub charged: Charged,
}

/// The bill, and what had been said about it before.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bill {
    /// Its lines.
    pub lines: Vec<BillLine>,
    /// Tax in it, where shown: per cent and amount.
    pub tax: Option<(f64, f64)>,
    /// What is to pay.
    pub total: f64,
    /// What was quoted: usually, seldom above.
    pub quoted: Option<(f64, f64)>,
    /// What the owner had agreed to.
    pub authorised: Option<f64>,
}

/// How sure it is that the vehicle is fixed, and from what.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sure {
    /// Probability that it is fixed; `None`: nothing is claimed.
    pub p_fixed: Option<f64>,
    /// How often the fault set before the repair, where it was counted.
    pub count: Option<Count>,
    /// Probability that it was fixed before any of that driving; a curve is drawn where it
    /// leads to `p_fixed`.
    pub fixed_before: f64,
    /// Driven clear since, in the unit of the count.
    pub clear: f64,
    /// What the count counts.
    pub counted: Counted,
    /// What is wanted.
    pub target: Option<f64>,
    /// Checks done again after the repair, one sentence each.
    pub repeats: Vec<String>,
    /// Why nothing is claimed.
    pub why_unknown: String,
}

/// A trial that the owner agreed to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Trial {
    /// What was agreed.
    pub terms: String,
    /// Until when or how far.
    pub until: String,
}

/// Something unresolved.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LooseEnd {
    /// What it is.
    pub what: String,
    /// Who accepted it in writing, and when; empty: it is open.
    pub accepted: String,
    /// How it was settled; empty: it is not.
    pub settled: String,
}

impl JobHead {
    pub(crate) fn page(&self, title: &str) -> Page {
        let mut page = Page::new(title, &self.language);
        page.head(vec![
            pair("Vehicle", &self.vehicle),
            pair("Plate", &self.plate),
            pair("Job", &self.job),
            pair("Taken in", &self.taken_in),
            pair("Handed over", &self.handed_over),
            pair("Odometer", self.odometer()),
        ]);
        page
    }

    fn odometer(&self) -> String {
        match (self.odometer_in.is_empty(), self.odometer_out.is_empty()) {
            (false, false) if self.odometer_in != self.odometer_out => {
                format!("{} to {}", self.odometer_in, self.odometer_out)
            }
            (false, _) => self.odometer_in.clone(),
            (true, _) => self.odometer_out.clone(),
        }
    }

    /// Name, address and telephone on one line.
    pub(crate) fn workshop_line(&self) -> String {
        std::iter::once(&self.workshop)
            .chain(&self.workshop_lines)
            .filter(|line| !line.is_empty())
            .cloned()
            .collect::<Vec<_>>()
            .join(" · ")
    }
}

impl Urgency {
    /// How it is said.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Unsafe => "unsafe to drive",
            Self::Soon => "soon",
            Self::Watch => "watch",
        }
    }
}

impl Charged {
    fn words(self) -> &'static str {
        match self {
            Self::Charged => "",
            Self::Goodwill => "goodwill",
            Self::Warranty => "warranty",
            Self::NotCharged => "not charged",
        }
    }
}

/// The codes, one entry each.
pub(crate) fn codes(codes: &[CodeSeen]) -> Vec<String> {
    codes
        .iter()
        .map(|CodeSeen { code, text, state }| {
            let text = if text.is_empty() { String::new() } else { format!(", {text}") };
            let state =
                if state.is_empty() { String::new() } else { format!(" ({state})") };
            format!("{code}{text}{state}")
        })
        .collect()
}

/// What was looked at and what it showed.
pub(crate) fn findings(findings: &[Finding]) -> Table {
    let mut table = Table::new(&["Looked at", "It showed", "Measured"]);
    for Finding { what, outcome, reading } in findings {
        table.row(vec![what.into(), outcome.into(), reading.into()]);
    }
    table
}

/// What was seen on the way.
pub(crate) fn also_seen(seen: &[AlsoSeen], currency: &str) -> Table {
    let mut table = Table::new(&["Also seen", "How soon", ">Then", ">Later", "Decided"]);
    let price = |amount: Option<f64>| {
        Words::from(
            amount.map_or_else(String::new, |amount| say::money(amount, currency)),
        )
    };
    for AlsoSeen { what, urgency, price_now, price_later, decided } in seen {
        table.row(vec![
            what.into(),
            urgency.words().into(),
            price(*price_now),
            price(*price_later),
            decided.into(),
        ]);
    }
    table
}

/// The bill with its sum, and what had been said before.
pub(crate) fn bill(page: &mut Page, bill: &Bill, currency: &str) {
    let mut table = Table::new(&["For", "", ">Amount"]);
    for BillLine { what, amount, charged } in &bill.lines {
        let amount = say::money(*amount, currency);
        table.row(vec![what.into(), charged.words().into(), amount.into()]);
    }
    if table.rows.is_empty() {
        return;
    }
    let total = vec!["To pay".into(), "".into(), say::money(bill.total, currency).into()];
    table.marked(Mark::Sum, total);
    page.table(table);
    let mut said = Vec::new();
    if let Some((percent, amount)) = bill.tax {
        let percent = say::trimmed(percent, 2);
        said.push(format!("Tax of {percent} % in it: {}.", say::money(amount, currency)));
    }
    if let Some((usual, above)) = bill.quoted {
        said.push(format!("Quoted: {}.", say::usually(usual, above, currency)));
    }
    if let Some(sum) = bill.authorised {
        said.push(format!("Agreed up to {}.", say::money(sum, currency)));
    }
    page.quiet(said.join(" "));
}

/// How often it used to show, in words: `twice in 400 km`.
pub(crate) fn how_often(count: &Count, counted: Counted, shown: Shown) -> String {
    let times = say::times(count.seen);
    format!("{times} in {}", say::exposure(count.over, counted, shown))
}

/// The section *How sure we are*.
pub(crate) fn how_sure(page: &mut Page, sure: &Sure, shown: Shown) {
    page.heading("How sure we are");
    match sure.p_fixed {
        Some(p) => {
            page.lead(format!("{} that it is fixed.", say::sentence(&say::chance(p))));
        }
        None if sure.why_unknown.is_empty() => {
            page.lead("We put no number on it.");
        }
        None => page.lead(format!("We put no number on it: {}", sure.why_unknown)),
    }
    let clear = say::exposure(sure.clear, sure.counted, shown);
    match &sure.count {
        Some(count) => {
            let often = how_often(count, sure.counted, shown);
            if count.seen < 0.5 {
                page.paragraphs(&format!("Before the repair it was seen {often}."));
            } else if sure.clear > 0.0 {
                page.paragraphs(&format!(
                    "It stayed away for {clear}, where it used to show about {often}."
                ));
            } else {
                page.paragraphs(&format!(
                    "It used to show about {often}; since the repair nothing has been driven yet that counts."
                ));
            }
            if let Some(more) = still_to_go(sure, count) {
                let more = say::exposure(more, sure.counted, shown);
                let target = say::chance(sure.target.unwrap_or(0.0));
                page.paragraphs(&format!("Another {more} without it would make it {target}."));
            }
        }
        None if sure.clear > 0.0 => page.paragraphs(&format!(
            "It stayed away for {clear}; how often it used to show is not known, so that distance proves nothing by itself."
        )),
        None => {}
    }
    page.list(false, &sure.repeats);
    if let Some(count) = sure.count.filter(|count| curve_agrees(sure, count)) {
        page.blocks.push(crate::Block::Drawing(crate::proof_curve(&crate::ProofCurve {
            count,
            fixed: sure.fixed_before,
            clear: sure.clear,
            target: sure.target,
            counted: sure.counted,
            shown,
        })));
    }
}

/// The curve is drawn only where it tells the same as the figure above it.
fn curve_agrees(sure: &Sure, count: &Count) -> bool {
    let drawn = weigh::prove::posterior(sure.fixed_before, count.ln_silent(sure.clear));
    sure.p_fixed.is_some_and(|p| (p - drawn).abs() < 0.01)
}

fn still_to_go(sure: &Sure, count: &Count) -> Option<f64> {
    let needed = weigh::prove::needed(count, sure.fixed_before, sure.target?)?;
    Some(needed - sure.clear).filter(|more| *more >= 0.5)
}
