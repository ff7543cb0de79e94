//! Bands of values that name the outcomes of a measured or recorded check.

use std::ops::Range;

use units::{Quantity, Unit, UnitError};

use crate::kinds::Kind;
use crate::names::Directory;
use crate::near::did_you_mean;
use crate::table::{Table, short};
use crate::take::{Reader, Within};
use crate::{Band, OutcomeIx, ReadingBands, RecordingBands};

/// The metrics of a recording that a check may be judged by (`recording/1`).
pub const METRICS: [&str; 6] = [
    "dead_time_s",
    "time_constant_s",
    "gain",
    "slew_per_s",
    "steady_error",
    "hysteresis",
];

/// Most bands of one check.
const MOST_BANDS: usize = 32;

impl<'a> Reader<'a> {
    /// `[check.reading]`, where there is one.
    pub(crate) fn reading(
        &mut self,
        check: &Table<'a>,
        ids: &Directory<'a>,
    ) -> Option<ReadingBands> {
        let table = self.sub(check, "reading", Kind::Reading)?;
        let quantity = self.quantity(&table);
        let unit = self.unit(&table, quantity);
        let bands = self.bands(check, &table, ids);
        let material = self.word(&table, "material", &["copper"]).map(str::to_owned);
        let reference_c = self.number(&table, "reference_c", Within::Any);
        if material.is_some() && quantity.is_some_and(|q| q != Quantity::Resistance) {
            let what = "`material` is for readings of resistance only";
            self.notes.error("material", table.key_span("material"), what);
        }
        Some(ReadingBands {
            quantity: quantity?.name().to_owned(),
            unit: unit?.symbol(),
            bands,
            reference_c: reference_c.or(material.is_some().then_some(20.0)),
            material,
        })
    }

    /// The quantity of a reading or a measure.
    pub(crate) fn quantity(&mut self, table: &Table<'a>) -> Option<Quantity> {
        if !table.has("quantity") {
            self.missing(table, "quantity", "\"resistance\"");
        }
        let (name, span) = self.string(table, "quantity")?;
        let quantity = Quantity::parse(name);
        if quantity.is_err() {
            let names = || Quantity::ALL.iter().map(|quantity| quantity.name());
            let hint = did_you_mean(name, names()).unwrap_or_else(|| {
                format!("known: {}", names().collect::<Vec<_>>().join(", "))
            });
            let what = format!("`{}` is not a known quantity", short(name));
            self.notes.error("unknown-quantity", span, what).hint(hint);
        }
        quantity.ok()
    }

    /// Its unit, which must be one of that quantity.
    pub(crate) fn unit(
        &mut self,
        table: &Table<'a>,
        quantity: Option<Quantity>,
    ) -> Option<Unit> {
        if !table.has("unit") {
            self.missing(table, "unit", "\"ohm\"");
        }
        let (name, span) = self.string(table, "unit")?;
        let unit = match Unit::parse(name) {
            Ok(unit) => unit,
            Err(wrong) => {
                let near = if let UnitError::UnknownUnit { near: Some(near), .. } = wrong
                {
                    Some(format!("did you mean `{near}`?"))
                } else {
                    did_you_mean(name, Unit::known())
                };
                let hint = near.unwrap_or_else(|| {
                    let known = Unit::known().join(", ");
                    format!("known, some with a prefix as in mV or kPa: {known}")
                });
                let what = format!("`{}` is not a known unit", short(name));
                self.notes.error("unknown-unit", span, what).hint(hint);
                return None;
            }
        };
        if let Some(quantity) = quantity.filter(|quantity| *quantity != unit.quantity()) {
            let what = format!("`{name}` measures {}, not {quantity}", unit.quantity());
            self.notes
                .error("unit-mismatch", span, what)
                .hint(format!("use a unit such as `{}`", quantity.base_unit()));
        }
        Some(unit)
    }

    /// `[check.recording]`, where there is one.
    pub(crate) fn recording(
        &mut self,
        check: &Table<'a>,
        ids: &Directory<'a>,
    ) -> Option<RecordingBands> {
        let table = self.sub(check, "recording", Kind::Recording)?;
        if !table.has("metric") {
            self.missing(&table, "metric", "\"time_constant_s\"");
        }
        let metric = self.word(&table, "metric", &METRICS);
        let bands = self.bands(check, &table, ids);
        Some(RecordingBands { metric: metric?.to_owned(), bands })
    }

    /// Bands in rising order that cover every value once and name every outcome.
    fn bands(
        &mut self,
        check: &Table<'a>,
        table: &Table<'a>,
        ids: &Directory<'a>,
    ) -> Vec<Band> {
        if !table.has("bands") {
            self.missing(table, "bands", "[ { outcome = \"good\", below = 7.0 }, … ]");
            return Vec::new();
        }
        let tables = self.subs(table, "bands", (Kind::Band, MOST_BANDS));
        let mut bands: Vec<(Band, Range<usize>)> = Vec::new();
        let mut whole = true;
        for band in tables {
            let read = band.as_ref().and_then(|band| self.band(check, band, ids));
            match (read, band) {
                (Some(read), Some(band)) => bands.push((read, band.span)),
                _ => whole = false,
            }
        }
        if !whole {
            return Vec::new();
        }
        bands.sort_by(|(a, _), (b, _)| {
            let start = |band: &Band| band.from.unwrap_or(f64::NEG_INFINITY);
            start(a).total_cmp(&start(b))
        });
        self.cover_every_value(&bands, table);
        self.name_every_outcome(&bands, table, ids);
        bands.into_iter().map(|(band, _)| band).collect()
    }

    fn band(
        &mut self,
        check: &Table<'a>,
        band: &Table<'a>,
        ids: &Directory<'a>,
    ) -> Option<Band> {
        if !band.has("outcome") {
            self.missing(band, "outcome", "one of the outcomes");
        }
        let named = self.string(band, "outcome");
        let outcome = named.and_then(|named| self.outcome(check, ids, ("bands", named)));
        let from = self.number(band, "from", Within::Any);
        let below = self.number(band, "below", Within::Any);
        if from.is_none() && band.has("from") || below.is_none() && band.has("below") {
            return None;
        }
        if let (Some(from), Some(below)) = (from, below)
            && from >= below
        {
            let what = format!("this band is empty: from {from} below {below}");
            self.notes.error("bands", band.span.clone(), what);
            return None;
        }
        Some(Band { outcome: OutcomeIx::from(outcome?), from, below })
    }

    fn cover_every_value(&mut self, bands: &[(Band, Range<usize>)], table: &Table<'a>) {
        let (Some((first, first_span)), Some((last, last_span))) =
            (bands.first(), bands.last())
        else {
            let span = table.value_span("bands");
            self.notes.error("bands", span, "there is no band");
            return;
        };
        if let Some(from) = first.from {
            let what = format!("no band names a value below {from}");
            self.notes
                .error("bands", first_span.clone(), what)
                .hint("leave `from` out of the lowest band");
        }
        if let Some(below) = last.below {
            let what = format!("no band names a value of {below} or more");
            self.notes
                .error("bands", last_span.clone(), what)
                .hint("leave `below` out of the highest band");
        }
        for pair in bands.windows(2) {
            let [(lower, _), (upper, span)] = pair else { continue };
            let wrong = match (lower.below, upper.from) {
                (Some(below), Some(from)) if below < from => {
                    Some(format!("a gap: no band names a value from {below} to {from}"))
                }
                (Some(below), Some(from)) if below > from => Some(format!(
                    "an overlap: two bands name a value from {from} to {below}"
                )),
                (Some(_), Some(_)) => None,
                _ => Some("an overlap: two bands name the same values".to_owned()),
            };
            if let Some(what) = wrong {
                self.notes
                    .error("bands", span.clone(), what)
                    .hint("let each band begin `from` where the one before ends `below`");
            }
        }
    }

    fn name_every_outcome(
        &mut self,
        bands: &[(Band, Range<usize>)],
        table: &Table<'a>,
        ids: &Directory<'a>,
    ) {
        for (place, id) in ids.iter().enumerate() {
            if bands.iter().all(|(band, _)| band.outcome.at() != place) {
                let what =
                    format!("no band names the outcome `{id}`: only a tap can give it");
                let span = table.value_span("bands");
                self.notes.warn("bands", span, what);
            }
        }
    }
}
