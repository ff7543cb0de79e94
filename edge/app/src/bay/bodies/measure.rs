//! A measure of an item becomes one reading, judged when it is taken.

use job::{
    Body,
    body::{Measured, Reading, Verdict},
};
use sheet::{ItemIx, ItemSet};

use super::{Planned, no_sheet};
use crate::bay::{
    Problem,
    car::Car,
    measured, measures, meters,
    tray::{come_off, way_open},
};
use crate::settings::Meter;

/// The reading, with what must have come off for it.
pub(super) fn measured_at(
    car: &Car,
    (item, measure): (&str, &str),
    value: &Measured,
    known: &[Meter],
) -> Result<Planned, Problem> {
    if !car.has_sheet {
        return Err(no_sheet("measure"));
    }
    let (at, item, measure) = measures::find(car, item, measure)?;
    let check = measure.answers.and_then(|check| car.sheet.checks.get(check.at()));
    let mut value = value.clone();
    if value.unit.is_empty() {
        value.unit.clone_from(&measure.unit);
    }
    let mut planned = Planned::default();
    let value = meters::filled(known, &value, &mut planned.remarks)?;
    if measure.when == "off" {
        planned.implied = off_for(car, at);
    }
    if let Some(check) = check {
        let (way, remarks) = way_open(car, &check.ways, (check.on, check.assembled));
        let more = way.into_iter().filter(|body| !planned.implied.contains(body));
        let more: Vec<Body> = more.collect();
        planned.implied.extend(more);
        planned.remarks.extend(remarks);
    }
    let taken = measured::taken((item, measure), check, &value, &mut planned.remarks)?;
    planned.remarks.extend(match taken.verdict {
        Verdict::In => None,
        Verdict::Out => Some(
            "out of its limits: it is also seen, and the owner decides on it".to_owned(),
        ),
        Verdict::NotSure => Some(
            "too close to a limit for this meter: measure again, or with a better one"
                .to_owned(),
        ),
    });
    let body = Reading {
        quantity: measure.quantity.clone(),
        measured: value,
        taken: Some(taken),
        blob: None,
    };
    planned.main.push(body.into());
    Ok(planned)
}

/// What comes off for a measure of an item that never was off.
fn off_for(car: &Car, at: ItemIx) -> Vec<Body> {
    let was_off = car.facts.ever_off.has(at);
    let closure = car.sheet.items.get(at.at()).map(|item| item.closure);
    let wanted = closure.filter(|_| !was_off).unwrap_or(ItemSet::EMPTY);
    come_off(car, wanted.minus(car.off()))
}
