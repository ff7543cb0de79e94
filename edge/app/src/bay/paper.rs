//! What the papers of a job are filled from: the owner's report.

use job::{
    Body, Fact,
    body::{AlsoAnswer, CheckDone, Urgency},
    fold::EndState,
};
use pages::{
    AlsoSeen, Bill, BillLine, Charged, CodeSeen, Count, Counted, Finding, JobHead,
    LooseEnd, OwnerReport, PartUsed, RepairDone, Shown, Sure, Trial,
};
use sheet::{ProofKind, SuspectIx};

use super::{
    Bay, Problem,
    car::Car,
    measures,
    photos::photos,
    said::day,
    show::{before_word, result_words, state_word},
};

/// How sure it should be before nothing more is asked.
pub(super) const TARGET: f64 = 0.95;

/// Less than this is rounding, money.
const HALF_A_COIN: f64 = 0.005;

/// Above this the cause is named.
const LIKELY: f64 = 0.5;

/// The hand-over that a paper belongs to.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Over {
    /// When, RFC 3339; empty: the vehicle is still here.
    pub(super) at: String,
    /// Head of the log.
    pub(super) head: String,
    /// Odometer, km.
    pub(super) odometer_km: Option<f64>,
    /// What was charged, where it differs.
    pub(super) charged: Option<f64>,
}

/// All that the owner gets to read.
pub(super) fn owner_report(
    bay: &Bay,
    car: &Car,
    over: &Over,
) -> Result<OwnerReport, Problem> {
    let opened = car.facts.opened.as_ref();
    let complaint = opened.and_then(|opened| opened.what.complaint.as_deref());
    Ok(OwnerReport {
        head: head(car, over),
        complaint: Car::text(bay, complaint)?,
        codes: codes(car),
        noted_first: noted_first(bay, car)?,
        findings: findings(car),
        cause: cause(car),
        also_seen: also_seen(bay, car)?,
        done: repairs(car),
        bill: bill(car, over),
        sure: sure(car),
        trial: trial(bay, car)?,
        watch: vec![
            "If the lamp comes on again or the weakness is back, ring us before anybody clears it."
                .to_owned(),
        ],
        loose_ends: loose_ends(bay, car)?,
        photos: photos(bay, car)?,
    })
}

fn head(car: &Car, over: &Over) -> JobHead {
    let km = |km: Option<f64>| {
        km.map_or_else(String::new, |km| pages::say::distance(km, Shown::Metric))
    };
    let opened = car.facts.opened.as_ref();
    JobHead {
        workshop: car.vehicle.workshop.clone(),
        workshop_lines: car.vehicle.workshop_lines.clone(),
        job: car.job.clone(),
        vehicle: car.vehicle.vehicle.clone(),
        plate: car.vehicle.plate.clone(),
        taken_in: opened.map_or_else(String::new, |opened| day(&opened.at)),
        handed_over: day(&over.at),
        odometer_in: km(opened.and_then(|opened| opened.what.odometer_km)),
        odometer_out: km(over.odometer_km),
        log_head: over.head.clone(),
        currency: car.economy.currency.clone(),
        language: car.language.clone(),
        shown: Shown::Metric,
    }
}

fn codes(car: &Car) -> Vec<CodeSeen> {
    let read = || car.facts.codes_read.iter().flat_map(|read| &read.what);
    let state = |code: &str| {
        read().find(|seen| seen.code == code).map_or("", |seen| state_word(seen.state))
    };
    let one = |code: &String| CodeSeen {
        code: code.clone(),
        text: String::new(),
        state: state(code).to_owned(),
    };
    car.facts.codes.iter().map(one).collect()
}

fn noted_first(bay: &Bay, car: &Car) -> Result<Vec<String>, Problem> {
    let mut lines = Vec::new();
    for line in &car.facts.before {
        let noted = &line.what;
        let word = pages::say::sentence(before_word(noted.what));
        let unit = noted.unit.as_deref().unwrap_or("");
        let said = match noted.value {
            Some(value) => format!("{} {unit}", pages::say::trimmed(value, 2)),
            None if noted.not_to_be_had => "not to be had".to_owned(),
            None => Car::text(bay, noted.blob.as_deref())?,
        };
        lines.push(format!("{word}: {said}"));
    }
    Ok(lines)
}

/// The checks that count, in the order in which they were done.
pub(super) fn checks_done(car: &Car) -> impl Iterator<Item = &CheckDone> {
    car.facts.history.iter().filter(|line| line.counts()).filter_map(|line| {
        if let Some(Body::CheckDone(done)) = &line.body { Some(done) } else { None }
    })
}

fn findings(car: &Car) -> Vec<Finding> {
    let one = |done: &CheckDone| {
        let words = result_words(car, &done.check, &done.result);
        let measured = matches!(
            done.result,
            job::body::CheckResult::Reading { .. }
                | job::body::CheckResult::Recording { .. }
        );
        let (outcome, reading) = if measured {
            (likeliest_outcome(car, done), words)
        } else {
            (words, String::new())
        };
        Finding { what: car.title("check", &done.check), outcome, reading }
    };
    checks_done(car).map(one).collect()
}

/// The outcome in whose band a measured value most likely lies.
fn likeliest_outcome(car: &Car, done: &CheckDone) -> String {
    use job::body::CheckResult;
    let weights = match &done.result {
        CheckResult::Reading { weights, .. } | CheckResult::Recording { weights, .. } => {
            weights
        }
        CheckResult::Outcome { .. } | CheckResult::CouldNotTell => return String::new(),
    };
    let best = weights.iter().max_by(|a, b| a.1.total_cmp(b.1));
    best.map_or_else(String::new, |(outcome, _)| {
        let outcome = CheckResult::Outcome { outcome: outcome.clone() };
        result_words(car, &done.check, &outcome)
    })
}

/// The cause in one sentence, with how likely it is; empty where none is likely.
fn cause(car: &Car) -> String {
    let all = car.odds.present.iter().zip(&car.odds.fixed_from).map(|(b, f)| b + f);
    let best = all.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
    match best {
        Some((at, p)) if p >= LIKELY && at < car.sheet.suspects.len() => {
            let title = car.cause_title(SuspectIx::from(at));
            format!("Most likely: {title} ({}).", pages::say::chance(p))
        }
        Some(_) | None => String::new(),
    }
}

fn also_seen(bay: &Bay, car: &Car) -> Result<Vec<AlsoSeen>, Problem> {
    let mut seen = Vec::new();
    for also in &car.facts.also {
        let decided = match also.answer {
            None => "",
            Some(AlsoAnswer::DoNow) => "to be done now",
            Some(AlsoAnswer::Done) => "done",
            Some(AlsoAnswer::Later) => "later",
            Some(AlsoAnswer::No) => "no",
        };
        seen.push(AlsoSeen {
            what: measures::also_seen(car, &also.id)
                .map_or_else(|| Car::text(bay, also.seen.text.as_deref()), Ok)?,
            urgency: match also.seen.urgency {
                Urgency::Unsafe => pages::Urgency::Unsafe,
                Urgency::Soon => pages::Urgency::Soon,
                Urgency::Watch => pages::Urgency::Watch,
            },
            price_now: also.seen.price_now,
            price_later: also.seen.price_later,
            decided: decided.to_owned(),
        });
    }
    Ok(seen)
}

fn repairs(car: &Car) -> Vec<RepairDone> {
    let mut done = Vec::new();
    let listed = |id: &str| car.sheet.repairs.iter().find(|repair| repair.id == id);
    for line in car.facts.history.iter().filter(|line| line.counts()) {
        let Some(Body::RepairDone(repair)) = &line.body else { continue };
        let used = repair.parts.as_ref().map(|parts| {
            parts
                .iter()
                .map(|part| {
                    (part.title.clone(), part.number.clone(), part.count, part.price)
                })
                .collect()
        });
        let own = || {
            let parts = listed(&repair.repair).map_or(&[][..], |repair| &repair.parts);
            parts
                .iter()
                .map(|part| {
                    let title = part.title.in_language(&car.language).to_owned();
                    (title, part.number.clone(), part.count, part.price)
                })
                .collect::<Vec<_>>()
        };
        let parts = used.unwrap_or_else(own);
        done.push(RepairDone {
            what: car.title("repair", &repair.repair),
            why: String::new(),
            minutes: repair
                .minutes
                .or(listed(&repair.repair).map(|repair| repair.minutes)),
            parts: parts
                .into_iter()
                .map(|(title, number, count, price)| PartUsed {
                    title,
                    number: number.unwrap_or_default(),
                    make: String::new(),
                    count,
                    price: count * price,
                })
                .collect(),
        });
    }
    done
}

fn bill(car: &Car, over: &Over) -> Bill {
    let spent = car.facts.spent.priced(&car.economy);
    let lines = [
        ("Work", spent.labour),
        ("Waiting in the bay", spent.waiting),
        ("Consumables", spent.consumables),
        ("Parts", spent.parts),
        ("Single-use parts at refitting", spent.refit_parts),
        ("Snags", spent.snags),
        ("Also seen, done", spent.extras),
    ];
    let left_off = over.charged.map_or(0.0, |charged| charged - spent.total);
    let agreed = if left_off < 0.0 { "Left off, as agreed" } else { "Added, as agreed" };
    let quoted = car.facts.quoted.last().map(|said| (said.what.p50, said.what.p90));
    Bill {
        lines: lines
            .into_iter()
            .filter(|(_, amount)| *amount > 0.0)
            .chain((left_off.abs() >= HALF_A_COIN).then_some((agreed, left_off)))
            .map(|(what, amount)| BillLine {
                what: what.to_owned(),
                amount,
                charged: Charged::Charged,
            })
            .collect(),
        tax: None,
        total: over.charged.unwrap_or(spent.total),
        quoted,
        authorised: car.facts.authorised.as_ref().map(|said| said.what.sum),
    }
}

fn sure(car: &Car) -> Sure {
    let repaired = car.facts.done.iter().any(|done| done.kind == "repair");
    let count = car.odds.count.map(|count| Count { clear: 0.0, ..count });
    let unit = car.recurrence.map(|count| count.over.unit).unwrap_or_default();
    Sure {
        p_fixed: repaired.then(|| car.odds.fixed()),
        count,
        fixed_before: before_driving(car),
        clear: car.odds.count.map_or(0.0, |count| count.clear),
        counted: Counted::from(unit),
        target: Some(TARGET),
        repeats: repeats(car),
        why_unknown: if repaired {
            String::new()
        } else {
            "nothing was repaired.".to_owned()
        },
    }
}

/// Probability that it was fixed before anything was driven.
pub(super) fn before_driving(car: &Car) -> f64 {
    let drives = |fact: &Fact| match fact {
        Fact::Driven { .. } => true,
        Fact::Proof { proof, .. } => {
            let found = car.sheet.proofs.get(proof.at());
            found.is_some_and(|proof| matches!(proof.kind, ProofKind::Exposure(_)))
        }
        Fact::Check { .. }
        | Fact::CouldNotTell { .. }
        | Fact::Reading { .. }
        | Fact::Repair { .. } => false,
    };
    let still: Vec<Fact> =
        car.facts.evidence.iter().filter(|fact| !drives(fact)).cloned().collect();
    weigh::weigh(&car.sheet, &car.economy, car.recurrence.as_ref(), &still)
        .map_or_else(|_| car.odds.fixed(), |odds| odds.fixed())
}

/// Checks done again after the repair, one sentence each.
fn repeats(car: &Car) -> Vec<String> {
    let mut said = Vec::new();
    for fact in &car.facts.evidence {
        let Fact::Proof { proof, shown, .. } = fact else { continue };
        let Some(proof) = car.sheet.proofs.get(proof.at()) else { continue };
        if matches!(proof.kind, ProofKind::Repeat { .. }) {
            let word = if *shown { "it still shows" } else { "good" };
            said.push(format!("{}: {word}.", proof.title.in_language(&car.language)));
        }
    }
    said
}

fn trial(bay: &Bay, car: &Car) -> Result<Option<Trial>, Problem> {
    let agreed =
        car.facts.notes.iter().rev().find(|n| n.what.of.as_deref() == Some("trial"));
    let Some(agreed) = agreed else { return Ok(None) };
    let terms = Car::text(bay, Some(&agreed.what.blob))?;
    Ok(Some(Trial { terms, until: String::new() }))
}

fn loose_ends(bay: &Bay, car: &Car) -> Result<Vec<LooseEnd>, Problem> {
    let mut ends = Vec::new();
    for end in &car.facts.loose_ends {
        let own = Car::text(bay, end.text.as_deref())?;
        let what = if own.is_empty() {
            end.what.clone()
        } else {
            format!("{}: {own}", end.what)
        };
        let (mut accepted, mut settled) = (String::new(), String::new());
        match &end.state {
            EndState::Open => {}
            EndState::Settled { at, how } => {
                let how = Car::text(bay, how.as_deref())?;
                format!("settled {} {how}", day(at)).trim().clone_into(&mut settled);
            }
            EndState::Accepted { at, by, blob } => {
                let words = Car::text(bay, blob.as_deref())?;
                accepted = format!("{by}, {}: {words}", day(at));
            }
        }
        ends.push(LooseEnd { what, accepted, settled });
    }
    Ok(ends)
}
