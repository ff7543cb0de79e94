//! Duties as money: what must be done after a repair, which no plan counts.

use sheet::{ItemSet, RepairIx, Source};

use super::car::Car;

/// Money for the duties that arise from items that were off and from that repair, those apart
/// that are done since.
pub(super) fn duty_money(car: &Car, off: ItemSet, repair: Option<RepairIx>) -> f64 {
    let arises = |source: &Source| match source {
        Source::Item(item) => off.has(*item),
        Source::Repair(of) => {
            let done = car.sheet.repairs.get(of.at()).is_some_and(|repair| {
                car.facts
                    .done
                    .iter()
                    .any(|done| done.kind == "repair" && done.id == repair.id)
            });
            done || repair == Some(*of)
        }
    };
    let done = |id: &str| car.facts.duties.iter().any(|duty| duty.id == id && duty.done);
    let open = car.sheet.duties.iter().filter(|duty| duty.because.iter().any(arises));
    open.filter(|duty| !done(&duty.id))
        .map(|duty| car.economy.work(duty.minutes) + car.economy.waiting(duty.wait_min))
        .fold(0.0, |sum, money| sum + money)
}

/// Place of a repair on the sheet.
pub(super) fn repair_place(car: &Car, id: &str) -> Option<RepairIx> {
    let place = car.sheet.repairs.iter().position(|repair| repair.id == id)?;
    Some(RepairIx::from(place))
}
