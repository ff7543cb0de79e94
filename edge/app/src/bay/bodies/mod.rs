//! What happened becomes the bodies of events, given how the job stands.

use job::{
    Body,
    body::{
        AlsoAnswered, AlsoSeen, Before, BeforeNoted, CapNoted, CheckDone, CheckResult,
        Code, CodeErased, CodeRead, DutyDone, FastenerNoted, FluidIn, FluidOut, ItemOff,
        ProofDone, RepairDone, SealNoted, SealState, SnagMet, Ticked,
    },
};

use super::{
    Bay, CheckSaid, Happened, Problem,
    car::Car,
    measured, meters, seen,
    tray::{back_on, off_first, way_open},
};
use crate::near::known_names;
use crate::settings::Meter;

mod measure;
mod photo;
mod recording;
mod talk;

/// Bodies to append for one thing that happened.
#[derive(Debug, Default)]
pub(super) struct Planned {
    /// Said with it: items that must have come off for it.
    pub(super) implied: Vec<Body>,
    /// The thing itself.
    pub(super) main: Vec<Body>,
    /// What to know beside it.
    pub(super) remarks: Vec<String>,
}

impl Planned {
    fn of(body: impl Into<Body>) -> Self {
        Self { main: vec![body.into()], ..Self::default() }
    }
}

impl Bay {
    /// The bodies that one thing becomes; blobs are kept on the way.
    pub(super) fn bodies(
        &mut self,
        car: &Car,
        happened: &Happened,
    ) -> Result<Planned, Problem> {
        match happened {
            Happened::Check { check, said } => checked(car, check, said, &self.meters),
            Happened::Repair(repair) => repaired(car, repair),
            Happened::Proof { proof, shown, exposure, self_test } => {
                proved(car, proof, *shown, (*exposure, *self_test))
            }
            Happened::Off(item) => {
                let (implied, remarks) = off_first(car, item)?;
                let body = ItemOff { item: item.clone(), ..ItemOff::default() };
                Ok(Planned { implied, remarks, ..Planned::of(body) })
            }
            Happened::On { item, how, wrench } => {
                let (body, remarks) = back_on(car, item, *how, wrench.as_deref())?;
                Ok(Planned { remarks, ..Planned::of(body) })
            }
            Happened::Fastener { .. }
            | Happened::Seal { .. }
            | Happened::Cap { .. }
            | Happened::Fluid { .. }
            | Happened::Snag { .. } => self.of_tray(car, happened),
            Happened::Measure { item, measure, measured } => {
                measure::measured_at(car, (item, measure), measured, &self.meters)
            }
            Happened::Duty(duty) => {
                if car.has_sheet {
                    car.duty(duty)?;
                }
                Ok(Planned::of(DutyDone { duty: duty.clone(), ..DutyDone::default() }))
            }
            Happened::Tick(what) => Ok(Planned::of(Ticked { what: what.clone() })),
            Happened::Seen { .. } | Happened::SeenAnswered { .. } => {
                self.of_seen(car, happened)
            }
            Happened::Code { .. } | Happened::Erased(_) | Happened::Before { .. } => {
                self.of_codes(car, happened)
            }
            Happened::Recording { .. } => self.of_recording(car, happened),
            Happened::Photo { bytes, of, caption } => {
                self.photo(car, bytes, of.as_deref(), caption)
            }
            Happened::Holes { photo, holes } => photo::marked(car, photo, holes),
            Happened::Authorised { .. }
            | Happened::Declined(_)
            | Happened::Refused(_)
            | Happened::Note(_)
            | Happened::Waiting(_)
            | Happened::Accept { .. }
            | Happened::Settle { .. }
            | Happened::Raise { .. }
            | Happened::Ordered(_)
            | Happened::Came { .. }
            | Happened::Comeback { .. } => self.of_talk(car, happened),
        }
    }

    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "`bodies` sends each kind to its own"
    )]
    fn of_tray(&mut self, car: &Car, happened: &Happened) -> Result<Planned, Problem> {
        match happened {
            Happened::Fastener { item, fastener, state, count, note } => {
                if car.has_sheet {
                    car.fastener(item, fastener)?;
                }
                Ok(Planned::of(FastenerNoted {
                    item: item.clone(),
                    fastener: fastener.clone(),
                    state: *state,
                    count: *count,
                    holes: Vec::new(),
                    torque_nm: None,
                    angle_deg: None,
                    wrench: None,
                    note: self.keep_text(note)?,
                }))
            }
            Happened::Seal { item, seal, state, count, note } => {
                let all = if car.has_sheet { car.seal(item, seal)? } else { 1 };
                let known = car.facts.tray_of(item);
                let lost = known
                    .and_then(|tray| tray.seals.iter().find(|entry| entry.id == *seal))
                    .map_or(0, |seal| seal.not_found);
                let usual =
                    if *state == SealState::Found && lost > 0 { lost } else { all };
                Ok(Planned::of(SealNoted {
                    item: item.clone(),
                    seal: seal.clone(),
                    state: *state,
                    count: count.unwrap_or(usual),
                    note: self.keep_text(note)?,
                }))
            }
            Happened::Cap { item, moved, count } => Ok(Planned::of(CapNoted {
                item: item.clone(),
                moved: *moved,
                count: *count,
            })),
            Happened::Fluid { fluid, filled: true, litres, price } => {
                Ok(Planned::of(FluidIn {
                    fluid: fluid.clone(),
                    litres: *litres,
                    price: *price,
                }))
            }
            Happened::Fluid { fluid, litres, .. } => Ok(Planned::of(FluidOut {
                fluid: fluid.clone(),
                item: None,
                litres: *litres,
            })),
            Happened::Snag { item, snag, minutes, parts, note } => {
                let listed =
                    if car.has_sheet { car.item(item)?.1.snags.len() } else { 0 };
                let plain = note.is_empty() || (minutes.is_none() && parts.is_none());
                let snag = snag.or((listed == 1 && plain).then_some(0));
                Ok(Planned::of(SnagMet {
                    item: item.clone(),
                    snag,
                    minutes: *minutes,
                    parts: *parts,
                    note: self.keep_text(note)?,
                }))
            }
            other => Err(misplaced(other)),
        }
    }

    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "`bodies` sends each kind to its own"
    )]
    fn of_seen(&mut self, car: &Car, happened: &Happened) -> Result<Planned, Problem> {
        match happened {
            Happened::Seen { urgency, item, part, minutes, text } => {
                if let Some(item) = item.as_ref().filter(|_| car.has_sheet) {
                    car.item(item)?;
                }
                let priced = part.is_some() || minutes.is_some();
                let (now, later) = seen::prices(
                    car,
                    item.as_deref(),
                    part.unwrap_or(0.0),
                    minutes.unwrap_or(0.0),
                );
                Ok(Planned::of(AlsoSeen {
                    urgency: *urgency,
                    price_now: priced.then_some(now),
                    price_later: priced.then_some(later),
                    item: item.clone(),
                    text: self.keep_text(text)?,
                    photo: None,
                }))
            }
            Happened::SeenAnswered { of, answer, signed } => {
                let by_place = of.parse::<usize>().ok().and_then(|at| at.checked_sub(1));
                let found = match by_place {
                    Some(at) => car.facts.also.get(at),
                    None => car
                        .facts
                        .also
                        .iter()
                        .find(|also| also.id.starts_with(of.as_str())),
                };
                let also = found.ok_or_else(|| {
                    Problem::wrong(
                        "unknown-id",
                        format!("nothing also seen is called `{of}`"),
                    )
                    .hint("its place in the list, from 1, or the id of its entry")
                })?;
                Ok(Planned::of(AlsoAnswered {
                    of: also.id.clone(),
                    answer: *answer,
                    by: "owner".to_owned(),
                    signed: self.keep_text(signed)?,
                    price: None,
                }))
            }
            other => Err(misplaced(other)),
        }
    }

    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "`bodies` sends each kind to its own"
    )]
    fn of_codes(&mut self, car: &Car, happened: &Happened) -> Result<Planned, Problem> {
        match happened {
            Happened::Code { code, state, frame } => {
                let frame = self.keep_text(frame)?;
                let codes = vec![Code { code: code.clone(), state: *state, frame }];
                Ok(Planned::of(CodeRead { codes }))
            }
            Happened::Erased(codes) => {
                let frame_noted = car.facts.frame_noted;
                let mut planned =
                    Planned::of(CodeErased { codes: codes.clone(), frame_noted });
                if !frame_noted {
                    planned.remarks.push(
                        "no freeze frame was noted before the codes were erased: what it said \
                         is gone; write down what you remember of it"
                            .to_owned(),
                    );
                }
                Ok(planned)
            }
            Happened::Before { what, value } => self.before(*what, value),
            other => Err(misplaced(other)),
        }
    }

    fn before(&mut self, what: Before, value: &str) -> Result<Planned, Problem> {
        let mut body = BeforeNoted {
            what,
            value: None,
            unit: None,
            words: Vec::new(),
            blob: None,
            not_to_be_had: value.is_empty(),
        };
        let unit = match what {
            Before::Odometer => Some("km"),
            Before::BatteryRest | Before::BatteryCranking | Before::BatteryRunning => {
                Some("V")
            }
            Before::OilLevel | Before::FuelLevel => Some("share"),
            Before::Lamps
            | Before::Codes
            | Before::FreezeFrame
            | Before::SelfTests
            | Before::FluidLook
            | Before::Recording
            | Before::ColdStart
            | Before::Damage
            | Before::WheelKey => None,
        };
        if body.not_to_be_had {
            return Ok(Planned::of(body));
        }
        if let Some(unit) = unit {
            let number = value.trim_end_matches(unit).trim();
            let number = crate::typed::amount(number).map_err(|wrong| {
                Problem::wrong("form", format!("`{value}` is no value in {unit}"))
                    .hint(wrong)
            })?;
            body.value = Some(number);
            body.unit = Some(unit.to_owned());
        } else {
            body.blob = self.keep_text(value)?;
        }
        Ok(Planned::of(body))
    }
}

fn misplaced(happened: &Happened) -> Problem {
    Problem::wrong("form", format!("`{}` can't be recorded here", happened.word()))
}

fn checked(
    car: &Car,
    id: &str,
    said: &CheckSaid,
    known: &[Meter],
) -> Result<Planned, Problem> {
    if !car.has_sheet {
        return Err(no_sheet("check"));
    }
    let (at, check) = car.check(id)?;
    let mut planned = Planned::default();
    let result = match said {
        CheckSaid::Skip => CheckResult::CouldNotTell,
        CheckSaid::Outcome(outcome) => {
            let known = || check.outcomes.iter().map(|(id, _)| id.as_str());
            if !known().any(|id| id == outcome) {
                return Err(Problem::wrong(
                    "unknown-id",
                    format!("check `{id}` has no outcome `{outcome}`"),
                )
                .maybe_hint(known_names(outcome, known().chain(["skip"]))));
            }
            CheckResult::Outcome { outcome: outcome.clone() }
        }
        CheckSaid::Reading(value) => {
            let measured = meters::filled(known, value, &mut planned.remarks)?;
            let weights = measured::reading(check, &measured, &mut planned.remarks)?;
            CheckResult::Reading { measured, weights }
        }
    };
    if *said != CheckSaid::Skip {
        let (implied, remarks) = way_open(car, &check.ways, (check.on, check.assembled));
        planned.implied = implied;
        planned.remarks.extend(remarks);
    }
    if car.spoiled(at.into()) {
        planned.remarks.push(format!(
            "what was done before has spoiled `{id}`: look at it with care"
        ));
    }
    planned.main.push(
        CheckDone { check: id.to_owned(), result, minutes: None, note: None }.into(),
    );
    Ok(planned)
}

fn repaired(car: &Car, id: &str) -> Result<Planned, Problem> {
    if !car.has_sheet {
        let done = RepairDone { repair: id.to_owned(), ..RepairDone::default() };
        return Ok(Planned::of(done));
    }
    let (_, repair) = car.repair(id)?;
    let (implied, mut remarks) =
        way_open(car, &repair.ways, (repair.on, repair.assembled));
    for check in super::next::root_open(car, id) {
        remarks.push(format!(
            "`{}` is still to be answered: why did it fail? ({})",
            check.check, check.title
        ));
    }
    let done = RepairDone { repair: id.to_owned(), ..RepairDone::default() };
    Ok(Planned { implied, remarks, ..Planned::of(done) })
}

fn proved(
    car: &Car,
    id: &str,
    shown: bool,
    (exposure, self_test_ran): (Option<f64>, Option<bool>),
) -> Result<Planned, Problem> {
    if !car.has_sheet {
        return Err(no_sheet("proof"));
    }
    car.proof(id)?;
    let mut planned = Planned::of(ProofDone {
        proof: id.to_owned(),
        shown,
        exposure,
        self_test_ran,
        ..ProofDone::default()
    });
    planned.remarks.extend(car.facts.can_drive(&car.sheet));
    Ok(planned)
}

fn no_sheet(what: &str) -> Problem {
    Problem::wrong(
        "no-sheet",
        format!("this job has no sheet, so no {what} is known to it"),
    )
    .hint("write it down with note=TEXT, or take the vehicle in with a sheet")
}
