//! Measures on the way: what is to be measured at what is off or comes off, and what was read.

use job::body::{Measured, Reading, Verdict};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{Item, ItemIx, ItemSet, Measure};
use units::{Quantity, Unit};

use super::{Problem, car::Car};
use crate::near::known_names;

/// Something measured on the way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureLine {
    /// The item's id.
    pub item: String,
    /// The item's title.
    pub at: String,
    /// Its id, unique within the item.
    pub measure: String,
    /// What.
    pub title: String,
    /// Instructions; empty: none.
    pub how: String,
    /// Its limits in words, with the unit.
    pub limits: String,
    /// Unit of the limits.
    pub unit: String,
    /// Whether a feeler gauge may tell it: a length.
    pub gap: bool,
    /// before (the item comes off), off or refit.
    pub when: String,
    /// What was read last, in words; null: nothing yet.
    pub read: Option<String>,
    /// in, out or not-sure; null: nothing was read yet.
    pub verdict: Option<String>,
}

impl MeasureLine {
    fn of(car: &Car, item: &Item, measure: &Measure) -> Self {
        let taken = car.facts.taken(&item.id, &measure.id);
        Self {
            item: item.id.clone(),
            at: item.title.in_language(&car.language).to_owned(),
            measure: measure.id.clone(),
            title: measure.title.in_language(&car.language).to_owned(),
            how: measure.how.in_language(&car.language).to_owned(),
            limits: limits(measure),
            unit: measure.unit.clone(),
            gap: Unit::parse(&measure.unit)
                .is_ok_and(|unit| unit.quantity() == Quantity::Length),
            when: measure.when.clone(),
            read: taken.map(|(line, _)| value(&line.measured)),
            verdict: taken.map(|(_, taken)| taken.verdict.word().to_owned()),
        }
    }

    /// The line as a page shows it.
    #[must_use]
    pub fn row(&self) -> pages::MeasureRow {
        let read = self.read.clone().unwrap_or_default();
        pages::MeasureRow {
            what: format!("{}, {}", self.at, self.title),
            when: self.when.clone(),
            how: self.how.clone(),
            limits: self.limits.clone(),
            typed: format!("measure:{}/{}@VALUE", self.item, self.measure),
            read: match self.verdict.as_deref() {
                Some("in") | None => read,
                Some("out") => format!("{read}, OUT of its limits"),
                Some(_) => format!("{read}, too close to tell"),
            },
        }
    }
}

/// The limits of a measure in words.
fn limits(measure: &Measure) -> String {
    pages::say::limits((measure.least, measure.most), &measure.unit)
}

/// A value in words.
pub(super) fn value(measured: &Measured) -> String {
    let say = |value| pages::say::significant(value, 4);
    match measured.below {
        Some(below) => {
            format!("{} to {} {}", say(measured.value), say(below), measured.unit)
        }
        None => format!("{} {}", say(measured.value), measured.unit),
    }
}

/// All measures of these items, in sheet order.
pub(super) fn all(car: &Car, items: ItemSet) -> Vec<MeasureLine> {
    let listed = items.iter().filter_map(|ix| car.sheet.items.get(ix.at()));
    let lines = listed.flat_map(|item| {
        item.measures.iter().map(|measure| MeasureLine::of(car, item, measure))
    });
    lines.collect()
}

/// What is still to be measured at what is off, and at what comes off next.
pub(super) fn open(car: &Car, coming: ItemSet) -> Vec<MeasureLine> {
    let off = car.off();
    let mut open = all(car, off);
    open.retain(|line| line.when != "before");
    open.extend(all(car, coming.minus(off)));
    open.retain(|line| line.read.is_none());
    open
}

/// What of an item is still to be measured as it goes back, in words.
pub(super) fn not_measured(car: &Car, at: ItemIx) -> Option<String> {
    let mut open = all(car, ItemSet::one(at));
    open.retain(|line| line.read.is_none() && line.when != "before");
    let titles: Vec<String> =
        open.iter().map(|line| format!("{} ({})", line.title, line.limits)).collect();
    let first = open.first()?;
    Some(format!("not measured yet at {}: {}", first.at, pages::say::and(&titles)))
}

/// A measure by the ids of its item and its own.
pub(super) fn find<'c>(
    car: &'c Car,
    item: &str,
    measure: &str,
) -> Result<(ItemIx, &'c Item, &'c Measure), Problem> {
    let (at, item) = car.item(item)?;
    let known = || item.measures.iter().map(|known| known.id.as_str());
    let found = item.measures.iter().find(|known| known.id == measure);
    let found = found.ok_or_else(|| {
        let what = format!("item `{}` has no measure `{measure}`", item.id);
        Problem::wrong("unknown-id", what).maybe_hint(known_names(measure, known()))
    })?;
    Ok((at.into(), item, found))
}

/// What was out of its limits, where that is what was seen; none: it was described.
pub(super) fn also_seen(car: &Car, event: &str) -> Option<String> {
    let line = car.facts.readings.iter().find(|line| line.event == event)?;
    let taken = line.taken.as_ref()?;
    let (_, item, measure) = find(car, &taken.item, &taken.measure).ok()?;
    Some(format!(
        "{}, {}: {} ({})",
        item.title.in_language(&car.language),
        measure.title.in_language(&car.language),
        value(&line.measured),
        limits(measure)
    ))
}

/// A reading in words, of a measure or of anything else.
pub(super) fn words(car: &Car, reading: &Reading) -> String {
    let value = value(&reading.measured);
    let Some(taken) = &reading.taken else {
        return format!("{}: {value}", pages::say::sentence(&reading.quantity));
    };
    let found = find(car, &taken.item, &taken.measure).ok();
    let title = found.map_or(taken.measure.as_str(), |(_, _, measure)| {
        measure.title.in_language(&car.language)
    });
    let said = match taken.verdict {
        Verdict::In => String::new(),
        Verdict::Out => ", out of its limits".to_owned(),
        Verdict::NotSure => ", too close to its limits to tell".to_owned(),
    };
    let within = found
        .filter(|_| taken.verdict != Verdict::In)
        .map_or_else(String::new, |(_, _, measure)| format!(" ({})", limits(measure)));
    format!("{}, {title}: {value}{said}{within}", car.title("item", &taken.item))
}
