//! Meters of the workshop: what a reading does not say is taken from the one that reads it.

use job::body::Measured;
use units::Unit;

use crate::Problem;
use crate::settings::{Meter, MeterIn, no_meter};

/// The reading with the figures of its meter: the one that is named, else the only one of the
/// workshop that reads such a quantity, unless an accuracy or a digit was said.
pub(super) fn filled(
    meters: &[Meter],
    measured: &Measured,
    remarks: &mut Vec<String>,
) -> Result<Measured, Problem> {
    let unit = Unit::parse(&measured.unit)
        .map_err(|error| Problem::wrong("reading", error.to_string()))?;
    let meter = match &measured.meter {
        Some(id) => {
            let found = meters.iter().find(|meter| meter.id == *id);
            Some(found.ok_or_else(|| no_meter(meters, id))?)
        }
        None if measured.accuracy.is_some() || measured.digit.is_some() => None,
        // A feeler gauge or marks, not the meter of that quantity.
        None if measured.below.is_some() => None,
        None => only(meters, unit, remarks),
    };
    let Some(meter) = meter else { return Ok(measured.clone()) };
    let MeterIn { digit, range, leads } = meter.in_unit(unit)?;
    Ok(Measured {
        accuracy: measured.accuracy.clone().or_else(|| meter.accuracy.clone()),
        digit: measured.digit.or(digit),
        range: measured.range.or(range),
        leads: measured.leads.or(leads),
        meter: Some(meter.id.clone()),
        ..measured.clone()
    })
}

/// The only meter that reads that quantity; where there are more, a remark asks which.
fn only<'m>(
    meters: &'m [Meter],
    unit: Unit,
    remarks: &mut Vec<String>,
) -> Option<&'m Meter> {
    let reads = |meter: &&Meter| {
        Unit::parse(&meter.unit).is_ok_and(|own| own.quantity() == unit.quantity())
    };
    let fit: Vec<&Meter> = meters.iter().filter(reads).collect();
    match fit.as_slice() {
        [one] => return Some(one),
        [] => {}
        more => {
            let ids: Vec<String> =
                more.iter().map(|meter| format!("meter={}", meter.id)).collect();
            remarks.push(format!("read with which meter? add {}", ids.join(" or ")));
        }
    }
    None
}
