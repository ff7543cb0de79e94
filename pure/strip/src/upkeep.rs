//! What the way out asks for besides bolts: seals, fluids, caps, duties, and when not to start.

use sheet::{Item, ItemIx, ItemSet, Measure, RepairIx, Reuse, Sheet, Source};

use crate::answer::{DutyDue, FluidDue, MeasureDue, Renew};

/// The caution word of an open oil, fuel or hydraulic port.
const KEEP_CLEAN: &str = "keep-clean";

/// Items in the order given.
fn items<'a>(sheet: &'a Sheet, order: &'a [ItemIx]) -> impl Iterator<Item = &'a Item> {
    order.iter().filter_map(|ix| sheet.items.get(ix.at()))
}

/// Seals and single-use fasteners to renew, and seals to look at.
pub(crate) fn renew(sheet: &Sheet, back: &[ItemIx]) -> Vec<Renew> {
    let entry = |item: &Item, kind: &str, id: &str, count: u32, when: &str| Renew {
        item: item.id.clone(),
        kind: kind.to_owned(),
        id: id.to_owned(),
        count,
        when: when.to_owned(),
    };
    let mut renew = Vec::new();
    for item in items(sheet, back) {
        for seal in &item.seals {
            let when = match seal.reuse {
                Reuse::Never => "always",
                Reuse::IfUndamaged => "if-damaged",
                Reuse::Yes => continue,
            };
            renew.push(entry(item, "seal", &seal.id, seal.count, when));
        }
        let once = item.fasteners.iter().filter(|fastener| fastener.single_use);
        renew.extend(once.map(|f| entry(item, "fastener", &f.id, f.count, "always")));
    }
    renew
}

/// Money for the single-use parts of all that goes back.
pub(crate) fn parts_cost(sheet: &Sheet, back: &[ItemIx]) -> f64 {
    // Folded from +0: an empty sum of floats is −0, which would print as "-0".
    items(sheet, back).fold(0.0, |sum, item| sum + item.refit_parts)
}

/// Fluids that run out.
pub(crate) fn fluids(sheet: &Sheet, off: &[ItemIx]) -> Vec<FluidDue> {
    let every =
        items(sheet, off).flat_map(|item| item.fluids.iter().map(move |f| (item, f)));
    every
        .map(|(item, fluid)| FluidDue {
            item: item.id.clone(),
            fluid: fluid.id.clone(),
            litres: fluid.litres,
        })
        .collect()
}

/// What is to be measured at these items; what is measured before an item comes off is too
/// late where it is off already.
pub(crate) fn measures(
    sheet: &Sheet,
    (taken, off_before): (&[ItemIx], ItemSet),
    language: &str,
) -> Vec<MeasureDue> {
    let due = |item: &Item, measure: &Measure| MeasureDue {
        item: item.id.clone(),
        id: measure.id.clone(),
        title: measure.title.in_language(language).to_owned(),
        how: measure.how.in_language(language).to_owned(),
        quantity: measure.quantity.clone(),
        unit: measure.unit.clone(),
        least: measure.least,
        most: measure.most,
        when: measure.when.clone(),
        urgency: measure.urgency.clone(),
        answers: measure
            .answers
            .and_then(|check| sheet.checks.get(check.at()))
            .map(|check| check.id.clone()),
    };
    let mut measures = Vec::new();
    for ix in taken {
        let Some(item) = sheet.items.get(ix.at()) else { continue };
        let late = off_before.has(*ix);
        let wanted = item.measures.iter().filter(|m| !late || m.when != "before");
        measures.extend(wanted.map(|measure| due(item, measure)));
    }
    measures
}

/// Items that leave a port open: cap it now, take the cap off on the way out.
pub(crate) fn caps(sheet: &Sheet, off: &[ItemIx]) -> Vec<String> {
    let open = items(sheet, off).filter(|item| is_open(item));
    open.map(|item| item.id.clone()).collect()
}

pub(crate) fn is_open(item: &Item) -> bool {
    item.caution.iter().any(|word| word == KEEP_CLEAN)
}

/// Items that forbid starting the engine while they are off: a fluid is out, or it rotates.
pub(crate) fn not_startable(sheet: &Sheet, off: &[ItemIx]) -> Vec<String> {
    let held = items(sheet, off).filter(|item| item.rotating || !item.fluids.is_empty());
    held.map(|item| item.id.clone()).collect()
}

/// Duties that arise because an item was off or a repair done, in sheet order.
pub(crate) fn duties(
    sheet: &Sheet,
    off: ItemSet,
    repairs: &[RepairIx],
    language: &str,
) -> Vec<DutyDue> {
    let cause = |source: &Source| match *source {
        Source::Item(item) if off.has(item) => {
            sheet.items.get(item.at()).map(|i| i.id.clone())
        }
        Source::Repair(repair) if repairs.contains(&repair) => {
            sheet.repairs.get(repair.at()).map(|repair| repair.id.clone())
        }
        Source::Item(_) | Source::Repair(_) => None,
    };
    let due = sheet.duties.iter().map(|duty| DutyDue {
        id: duty.id.clone(),
        title: duty.title.in_language(language).to_owned(),
        minutes: duty.minutes,
        wait_minutes: duty.wait_min,
        before: duty.before.clone(),
        because: duty.because.iter().filter_map(cause).collect(),
    });
    due.filter(|duty| !duty.because.is_empty()).collect()
}
