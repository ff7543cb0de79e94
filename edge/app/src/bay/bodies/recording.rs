//! A recording that was added: kept, judged, and what it says of its check or proof.

use std::collections::BTreeMap;

use job::body::{CheckDone, CheckResult, ProofDone, RecordingAdded};
use sheet::{Check, ProofKind};

use super::{Bay, Car, Happened, Planned, Problem, misplaced};
use crate::bay::measured::{metric_words, of_recording, recorded};

/// Share of the weight on one side beyond which a recording decides a proof.
const SURE: f64 = 0.95;

impl Bay {
    pub(super) fn of_recording(
        &mut self,
        car: &Car,
        happened: &Happened,
    ) -> Result<Planned, Problem> {
        let Happened::Recording { as_found, bytes, check, columns } = happened else {
            return Err(misplaced(happened));
        };
        let columns: BTreeMap<String, String> = columns.iter().cloned().collect();
        let answer = recorded(bytes, &columns)?;
        let found = made_for(car, check.as_deref())?;
        let blob = self.keep(bytes)?;
        let mut planned = Planned::of(RecordingAdded {
            blob: blob.clone(),
            check: found.map(|(_, check)| check.id.clone()),
            columns,
            as_found: *as_found,
        });
        let Some((at, check)) = found else {
            planned.remarks.extend(answer.remarks);
            return Ok(planned);
        };
        let Some(result) = of_recording(check, &answer, &blob) else {
            planned.remarks.push(format!(
                "this recording is too slow or too short to say anything of `{}`",
                check.id
            ));
            planned.remarks.extend(answer.remarks);
            return Ok(planned);
        };
        planned.remarks.push(metric_words(&result));
        let repaired = car.facts.done.iter().any(|done| done.kind == "repair");
        if repaired && !as_found {
            prove(car, at, &result, &mut planned);
        } else if !car.answered(at.into()) {
            let check = check.id.clone();
            planned
                .main
                .push(CheckDone { check, result, minutes: None, note: None }.into());
        } else {
            planned.remarks.push(format!(
                "`{}` was answered already: the recording is kept and moves nothing",
                check.id
            ));
        }
        Ok(planned)
    }
}

/// The check that a recording was made for: the one named, else the only one there is.
fn made_for<'c>(
    car: &'c Car,
    named: Option<&str>,
) -> Result<Option<(usize, &'c Check)>, Problem> {
    if let Some(id) = named {
        return car.check(id).map(Some);
    }
    let mut judged = car
        .sheet
        .checks
        .iter()
        .enumerate()
        .filter(|(_, check)| check.recording.is_some());
    let first = judged.next();
    Ok(if judged.next().is_some() { None } else { first })
}

/// A check recorded again after a repair is the proof that repeats it.
fn prove(car: &Car, check: usize, result: &CheckResult, planned: &mut Planned) {
    let CheckResult::Recording { weights, .. } = result else { return };
    let repeats = car.sheet.proofs.iter().find_map(|proof| match &proof.kind {
        ProofKind::Repeat { check: of, clear } if of.at() == check => {
            Some((proof, clear))
        }
        ProofKind::Repeat { .. } | ProofKind::Exposure(_) | ProofKind::Shows(_) => None,
    });
    let Some((proof, clear)) = repeats else {
        planned.remarks.push("no proof of this sheet repeats that check".to_owned());
        return;
    };
    let outcomes = car.sheet.checks.get(check).map_or(&[][..], |check| &check.outcomes);
    let weight = |id: &String| weights.get(id).copied().unwrap_or(0.0);
    let good: f64 = outcomes
        .iter()
        .zip(clear)
        .filter(|(_, clear)| **clear)
        .map(|((id, _), _)| weight(id))
        .sum();
    if (1.0 - SURE..SURE).contains(&good) {
        planned.remarks.push(format!(
            "the recording does not decide `{}`: {} that it is good; record more steps",
            proof.id,
            pages::say::chance(good)
        ));
        return;
    }
    let likeliest = outcomes.iter().max_by(|a, b| weight(&a.0).total_cmp(&weight(&b.0)));
    planned.main.push(
        ProofDone {
            proof: proof.id.clone(),
            shown: good < SURE,
            outcome: likeliest.map(|(id, _)| id.clone()),
            ..ProofDone::default()
        }
        .into(),
    );
}
