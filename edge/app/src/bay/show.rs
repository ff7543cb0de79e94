//! `show`: the whole of one job, and the words of its events.

use job::{
    Body,
    body::{CheckResult, Code, CodeState, FastenerState, SealState, Tightened},
    fold::Fate,
};
use schemars::JsonSchema;
use serde::Serialize;

use super::{
    Bay, Problem,
    car::{Car, ItemName, LooseEndLine, OddsWords},
    measured::metric_words,
    measures::{self, MeasureLine},
    tray_view::coming,
};
use crate::Answer;

/// An event in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ShownEvent {
    /// Its id.
    pub event: String,
    /// When, RFC 3339.
    pub at: String,
    /// Who.
    pub who: String,
    /// Its kind.
    pub kind: String,
    /// What it says.
    pub what: String,
    /// counts, corrected, withdrawn, repeated or not-read.
    pub fate: String,
    /// Whether `undo` takes it back now.
    pub undo: bool,
}

/// Answer `show/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ShowAnswer {
    /// The job.
    pub job: String,
    /// Plate, where it is known.
    pub plate: Option<String>,
    /// The vehicle in words.
    pub vehicle: String,
    /// The owner's name.
    pub owner: String,
    /// How to reach the owner.
    pub phone: String,
    /// The complaint.
    pub complaint: String,
    /// Fault codes.
    pub codes: Vec<String>,
    /// The sheet's id; null: none.
    pub sheet: Option<String>,
    /// on-hand, handed-over or passed-on.
    pub state: String,
    /// Spent so far, money.
    pub spent: f64,
    /// What the owner agreed to, money.
    pub authorised: Option<f64>,
    /// ISO 4217 code.
    pub currency: String,
    /// What is off.
    pub off: Vec<ItemName>,
    /// Open loose ends.
    pub loose_ends: Vec<LooseEndLine>,
    /// Why the engine must not be started.
    pub do_not_start: Vec<String>,
    /// Odds now.
    pub odds: Vec<OddsWords>,
    /// Probability that it is fixed.
    pub p_fixed: f64,
    /// Every event, newest first.
    pub events: Vec<ShownEvent>,
    /// Remarks.
    pub remarks: Vec<String>,
    /// What is still to be measured at what is off or comes off next.
    pub measures: Vec<MeasureLine>,
}

impl Answer for ShowAnswer {
    const NAME: &'static str = "show/1";
}

impl Bay {
    /// The whole of one job.
    ///
    /// # Errors
    /// No such job, or the store can't be read.
    pub fn show(&self, name: &str) -> Result<ShowAnswer, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let complaint = car.facts.opened.as_ref().and_then(|o| o.what.complaint.clone());
        let state = if car.facts.reopened || !car.facts.closed() {
            "on-hand"
        } else if car.facts.passed_on.is_some() {
            "passed-on"
        } else {
            "handed-over"
        };
        Ok(ShowAnswer {
            plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
            vehicle: car.vehicle.vehicle.clone(),
            owner: car.owner.name.clone(),
            phone: car.owner.phone.clone(),
            complaint: Car::text(self, complaint.as_deref())?,
            codes: car.facts.codes.clone(),
            sheet: car.has_sheet.then(|| car.sheet.id.clone()),
            state: state.to_owned(),
            spent: car.spent(),
            authorised: car.facts.authorised.as_ref().map(|said| said.what.sum),
            currency: car.economy.currency.clone(),
            off: car.facts.off.iter().map(|item| car.item_name(item)).collect(),
            measures: measures::open(&car, coming(&car)),
            loose_ends: car.loose_ends(),
            do_not_start: car.facts.do_not_start.clone(),
            odds: car.odds_words(),
            p_fixed: car.odds.fixed(),
            events: events(&car),
            remarks: car.remarks.clone(),
            job: car.job,
        })
    }
}

fn events(car: &Car) -> Vec<ShownEvent> {
    let shown = car.facts.history.iter().map(|line| {
        let fate = match line.fate {
            Fate::Counts => "counts",
            Fate::Corrected(_) => "corrected",
            Fate::Withdrawn(_) => "withdrawn",
            Fate::Repeated(_) => "repeated",
            Fate::NotRead => "not-read",
        };
        ShownEvent {
            event: line.id.clone(),
            at: line.at.clone(),
            who: line.who.clone(),
            kind: line.kind.clone(),
            what: line.body.as_ref().map_or_else(String::new, |body| words_of(car, body)),
            fate: fate.to_owned(),
            undo: car.facts.undo.as_ref() == Some(&line.id),
        }
    });
    let mut shown: Vec<ShownEvent> = shown.collect();
    shown.reverse();
    shown
}

/// What an event says, in words.
#[expect(clippy::wildcard_enum_match_arm, reason = "`rarer_words` has the other kinds")]
pub(super) fn words_of(car: &Car, body: &Body) -> String {
    match body {
        Body::CheckDone(done) => {
            let title = car.title("check", &done.check);
            format!("{title}: {}", result_words(car, &done.check, &done.result))
        }
        Body::RepairDone(done) => format!("Done: {}", car.title("repair", &done.repair)),
        Body::ProofDone(done) => {
            let word = if done.shown { "it showed again" } else { "it stayed away" };
            let over = done
                .exposure
                .map_or_else(String::new, |amount| format!(", over {amount}"));
            format!("{}: {word}{over}", car.title("proof", &done.proof))
        }
        Body::ItemOff(off) => format!("Off: {}", car.title("item", &off.item)),
        Body::ItemOn(on) => {
            let how = match on.how {
                Tightened::Torque => "at its torque",
                Tightened::TorqueAngle => "at its torque and angle",
                Tightened::ByFeel => "by feel",
                Tightened::Hand => "by hand",
            };
            format!("Back on, {how}: {}", car.title("item", &on.item))
        }
        Body::SnagMet(snag) => {
            let place = snag.snag.and_then(|at| usize::try_from(at).ok());
            let item = car.sheet.items.iter().find(|item| item.id == snag.item);
            let title = item.zip(place).and_then(|(item, at)| item.snags.get(at));
            let what =
                title.map_or("a snag", |snag| snag.title.in_language(&car.language));
            format!("Snag at {}: {what}", car.title("item", &snag.item))
        }
        Body::FastenerNoted(noted) => {
            let state = match noted.state {
                FastenerState::Back => "back",
                FastenerState::Missing => "missing",
                FastenerState::Broken => "broken",
                FastenerState::Replaced => "replaced",
                FastenerState::LeftOver => "left over",
                FastenerState::FoundElsewhere => "found",
            };
            let title = car.title("item", &noted.item);
            format!("{title}: {} `{}` {state}", noted.count, noted.fastener)
        }
        Body::SealNoted(noted) => {
            let state = match noted.state {
                SealState::Found => "found",
                SealState::NotFound => "not found",
                SealState::NeverFitted => "never fitted",
                SealState::Damaged => "damaged",
                SealState::Renewed => "renewed",
            };
            format!(
                "{}: {} `{}` {state}",
                car.title("item", &noted.item),
                noted.count,
                noted.seal
            )
        }
        Body::DutyDone(done) => format!("Duty done: {}", car.title("duty", &done.duty)),
        Body::CodeRead(read) => {
            let one = |code: &Code| format!("{} ({})", code.code, state_word(code.state));
            let codes: Vec<String> = read.codes.iter().map(one).collect();
            format!("Codes read: {}", codes.join(", "))
        }
        other => rarer_words(car, other),
    }
}

/// The word of a code's state.
pub(super) fn state_word(state: CodeState) -> &'static str {
    match state {
        CodeState::Stored => "stored",
        CodeState::Pending => "pending",
        CodeState::Permanent => "permanent",
    }
}

/// What came of a check, in words.
pub(super) fn result_words(car: &Car, check: &str, result: &CheckResult) -> String {
    match result {
        CheckResult::Outcome { outcome } => {
            let listed = car.sheet.checks.iter().find(|entry| entry.id == check);
            let found =
                listed.and_then(|c| c.outcomes.iter().find(|(id, _)| id == outcome));
            let title = found.map_or("", |(_, text)| text.in_language(&car.language));
            if title.is_empty() { outcome.clone() } else { title.to_owned() }
        }
        CheckResult::CouldNotTell => "couldn't tell".to_owned(),
        CheckResult::Reading { measured, .. } => measures::value(measured),
        CheckResult::Recording { .. } => metric_words(result),
    }
}

#[expect(clippy::wildcard_enum_match_arm, reason = "`words_of` has the other kinds")]
fn rarer_words(car: &Car, body: &Body) -> String {
    let money = |sum: f64| pages::say::money(sum, &car.economy.currency);
    match body {
        Body::JobOpened(_) => "Taken in".to_owned(),
        Body::JobSet(_) => "Settings of the job".to_owned(),
        Body::SheetChanged(_) => "Another sheet".to_owned(),
        Body::CodeErased(_) => "Codes erased".to_owned(),
        Body::SetsNoted(sets) => format!("Set {} times over {}", sets.seen, sets.over),
        Body::BeforeNoted(noted) => match noted.value {
            Some(value) => format!("Noted first, {}: {value}", before_word(noted.what)),
            None => format!("Noted first, {}", before_word(noted.what)),
        },
        Body::Advised(advised) => {
            format!("Advised: {}", car.title(&advised.next.kind, &advised.next.id))
        }
        Body::Quoted(quoted) => {
            format!(
                "Quoted: {}",
                pages::say::usually(quoted.p50, quoted.p90, &quoted.currency)
            )
        }
        Body::Authorised(yes) => format!("Agreed up to {}", money(yes.sum)),
        Body::Declined(no) => format!("Declined: {}", no.what),
        Body::Refused(no) => format!("Not to be proposed: {}", no.action),
        Body::CapNoted(cap) => {
            format!("{}: {} caps", car.title("item", &cap.item), cap.count)
        }
        Body::FluidOut(out) => format!("`{}` out", out.fluid),
        Body::FluidIn(fluid) => format!("`{}` filled in", fluid.fluid),
        Body::Ticked(ticked) => format!("Ticked: {}", ticked.what),
        Body::AlsoSeen(_) => "Also seen".to_owned(),
        Body::AlsoAnswered(_) => "Answer to something also seen".to_owned(),
        Body::LooseEndRaised(_) => "Loose end raised".to_owned(),
        Body::LooseEndSettled(end) => format!("Settled: {}", end.of),
        Body::LooseEndAccepted(end) => format!("Accepted in writing: {}", end.of),
        Body::PartOrdered(part) => format!("Ordered: {}", part.title),
        Body::PartCame(_) => "Part came".to_owned(),
        Body::Waiting(waiting) => format!("Waits for {}", waiting.wait_for.word()),
        Body::HandedOver(_) => "Handed over".to_owned(),
        Body::PassedOn(_) => "Passed on".to_owned(),
        Body::Asked(asked) => format!("Owner asked by {}", asked.how),
        Body::Answered(_) => "Owner answered".to_owned(),
        Body::Comeback(_) => "It came back".to_owned(),
        Body::RecordingAdded(_) => "Recording".to_owned(),
        Body::Withdrawn(_) => "Taken back".to_owned(),
        Body::Corrected(_) => "Corrected".to_owned(),
        Body::Reading(reading) => measures::words(car, reading),
        other => {
            let word = other.kind().word();
            pages::say::sentence(&word.replace('.', " "))
        }
    }
}

/// A line of perishable evidence in words.
pub(super) fn before_word(what: job::body::Before) -> &'static str {
    use job::body::Before;
    match what {
        Before::Odometer => "odometer",
        Before::Lamps => "lamps that are on",
        Before::Codes => "codes: stored, pending, permanent",
        Before::FreezeFrame => "freeze frame",
        Before::SelfTests => "self-tests that are complete",
        Before::BatteryRest => "battery at rest",
        Before::BatteryCranking => "battery while cranking",
        Before::BatteryRunning => "battery while running",
        Before::OilLevel => "oil level, before topping up",
        Before::FluidLook => "look and smell of the fluids",
        Before::Recording => "recording as found",
        Before::ColdStart => "how it starts cold",
        Before::Damage => "damage, in photos",
        Before::FuelLevel => "fuel level",
        Before::WheelKey => "locking-wheel key",
    }
}
