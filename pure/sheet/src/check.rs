//! Checks: outcomes, their probabilities by cause, and repairs with their parts.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use crate::kinds::Kind;
use crate::names::Directory;
use crate::near::nearest;
use crate::table::{Table, Value, in_order, kind_of};
use crate::take::{Reader, Within};
use crate::{Check, Item, Part, Repair, Text};

/// Most outcomes of a check.
pub const MOST_OUTCOMES: usize = 8;
/// Most parts of a repair.
const MOST_PARTS: usize = 64;

impl<'a> Reader<'a> {
    /// Reads a check.
    pub(crate) fn check(
        &mut self,
        table: &Table<'a>,
        place: usize,
        items: &[Item],
    ) -> Check {
        let id = self.names.checks.id(place);
        let ids = self.names.outcomes.get(place).cloned().unwrap_or_default();
        self.count_outcomes(table, &ids);
        let (fine, given) = self.given(table, &ids);
        let access = self.access(table, items);
        Check {
            id: id.to_owned(),
            title: self.title(table, id),
            how: self.text(table, "how").unwrap_or_default(),
            minutes: self.amount(table, "minutes"),
            wait_min: self.amount(table, "wait_min"),
            cost: self.amount(table, "cost"),
            ways: access.ways,
            on: access.on,
            assembled: access.assembled,
            needs: self.equipment(table, "needs"),
            needs_fault: self.flag(table, "needs_fault").unwrap_or(false),
            spoils: self.spoils(table),
            alike: Vec::new(),
            fixes: self.by_cause(table, "fixes", false),
            caution: self.cautions(table),
            outcomes: self.outcomes(table, &ids),
            given,
            fine,
            reading: self.reading(table, &ids),
            recording: self.recording(table, &ids),
        }
    }

    fn count_outcomes(&mut self, table: &Table<'a>, ids: &Directory<'a>) {
        let list = self.list(table, "outcomes");
        if !table.has("outcomes") {
            self.missing(table, "outcomes", "[\"good\", \"bad\"]");
        } else if list.is_empty() && table.value("outcomes").is_some() {
            let span = table.value_span("outcomes");
            self.notes
                .error("no-outcome", span, format!("the {} has no outcome", table.called))
                .hint("name at least two, as in [\"good\", \"bad\"]");
        }
        if let Some(over) = list.get(MOST_OUTCOMES) {
            let what = format!("a check has at most {MOST_OUTCOMES} outcomes");
            self.notes.error("too-many", over.span(), what);
        }
        if list.len() == 1 && ids.len() == 1 {
            let what =
                format!("the {} has one outcome only: it tells nothing", table.called);
            self.notes.warn("tells-nothing", table.value_span("outcomes"), what);
        }
    }

    /// Each outcome with what the repairer taps; its id where there is no text.
    fn outcomes(
        &mut self,
        table: &Table<'a>,
        ids: &Directory<'a>,
    ) -> Vec<(String, Text)> {
        let mut texts: Vec<Option<Text>> = vec![None; ids.len()];
        for (name, value) in self.named(table, "outcome") {
            let Some(at) = self.outcome(table, ids, ("outcome", name)) else { continue };
            texts[at] = self.text_of(ids.id(at), value);
        }
        let named = ids.iter().zip(texts);
        named
            .map(|(id, text)| (id.to_owned(), text.unwrap_or_else(|| Text::plain(id))))
            .collect()
    }

    /// The entries of a table within a check whose keys are names.
    fn named(
        &mut self,
        table: &Table<'a>,
        key: &str,
    ) -> Vec<((&'a str, Range<usize>), &'a Value<'a>)> {
        let Some(value) = table.value(key) else { return Vec::new() };
        let DeValue::Table(entries) = value.get_ref() else {
            let what =
                format!("`{key}` must be a table, not {}", kind_of(value.get_ref()));
            self.notes
                .error("wrong-type", value.span(), what)
                .hint(format!("write `[check.{key}]` and a line for each below"));
            return Vec::new();
        };
        entries_of(entries)
    }

    /// The place of an outcome that a key or a value names.
    pub(crate) fn outcome(
        &mut self,
        table: &Table<'a>,
        ids: &Directory<'a>,
        (inside, (id, span)): (&str, (&str, Range<usize>)),
    ) -> Option<usize> {
        let place = ids.place(id);
        // A check without outcomes has had its remark.
        if place.is_some() || id.starts_with("x-") || ids.len() == 0 {
            return place;
        }
        if inside == "outcome" && table.kind.keys().contains(&id) {
            if let Some(what) = table.belongs(id) {
                self.notes.error("unknown-key", span, what);
            }
            return None;
        }
        let full = self.notes.full();
        let near = nearest(id, ids.iter().filter(|_| !full)).map(str::to_owned);
        self.unresolved("outcome", (id, span), near);
        None
    }

    /// The row of a fixed vehicle, and a row for each cause (`unlisted` last).
    fn given(
        &mut self,
        table: &Table<'a>,
        ids: &Directory<'a>,
    ) -> (Vec<f64>, Vec<Vec<f64>>) {
        let causes = self.names.suspects.len() + 1;
        let mut fine = None;
        let mut otherwise = None;
        let mut rows: Vec<Option<Vec<f64>>> = vec![None; causes];
        for ((name, span), value) in self.named(table, "given") {
            let row = match name {
                "fine" => &mut fine,
                "otherwise" => &mut otherwise,
                _ => match self.given_cause(table, (name, span)) {
                    Some(cause) => &mut rows[cause],
                    None => continue,
                },
            };
            *row = self.row(table, ids, (name, value));
        }
        let there = table.value("given").is_some_and(|given| {
            given.get_ref().as_table().is_none_or(|rows| rows.contains_key("fine"))
        });
        let span = table.value_span("given");
        if !there && !self.notes.proposes("fine", &span) {
            let what =
                format!("the {} does not say what a fixed vehicle gives", table.called);
            self.notes
                .error("missing-key", span, what)
                .hint("add `fine = { … }` below `[check.given]`");
        }
        let even =
            || vec![1.0 / f64::from(u32::try_from(ids.len()).unwrap_or(1)); ids.len()];
        let fine = fine.unwrap_or_else(even);
        let otherwise = otherwise.unwrap_or_else(|| fine.clone());
        let given = rows
            .into_iter()
            .map(|row| row.unwrap_or_else(|| otherwise.clone()))
            .collect();
        (fine, given)
    }

    /// The cause of a row; a key of the check itself is told where it belongs.
    fn given_cause(
        &mut self,
        table: &Table<'a>,
        named: (&'a str, Range<usize>),
    ) -> Option<usize> {
        if self.names.cause(named.0).is_none()
            && let Some(what) = table.belongs(named.0)
        {
            self.notes.error("unknown-key", named.1, what);
            return None;
        }
        self.cause(table, "given", named)
    }

    /// One row: a probability for each outcome, divided by their sum.
    fn row(
        &mut self,
        table: &Table<'a>,
        ids: &Directory<'a>,
        (name, value): (&str, &'a Value<'a>),
    ) -> Option<Vec<f64>> {
        let DeValue::Table(entries) = value.get_ref() else {
            let what = format!(
                "`{name}` must give a probability for each outcome, not {}",
                kind_of(value.get_ref())
            );
            self.notes
                .error("wrong-type", value.span(), what)
                .hint(format!("write `{name} = {{ outcome = 0.9, … }}`"));
            return None;
        };
        let mut row = vec![0.0; ids.len()];
        let mut whole = true;
        for ((outcome, span), value) in entries_of(entries) {
            let place = self.outcome(table, ids, ("given", (outcome, span)));
            let share = self.number_of(outcome, value, Within::Share);
            match (place, share) {
                (Some(place), Some(share)) => row[place] = share,
                _ => whole &= outcome.starts_with("x-"),
            }
        }
        let sum: f64 = row.iter().sum();
        if !whole || ids.len() == 0 {
            return None;
        }
        if sum <= 0.0 {
            let what = format!("the row `{name}` gives no outcome any probability");
            self.notes
                .error("empty-row", value.span(), what)
                .hint("at least one must be above 0");
            return None;
        }
        Some(row.into_iter().map(|share| share / sum).collect())
    }

    /// Reads a repair.
    pub(crate) fn repair(
        &mut self,
        table: &Table<'a>,
        place: usize,
        items: &[Item],
    ) -> Repair {
        let id = self.names.repairs.id(place);
        let (parts_price, parts) = self.parts(table);
        let access = self.access(table, items);
        Repair {
            id: id.to_owned(),
            title: self.title(table, id),
            how: self.text(table, "how").unwrap_or_default(),
            minutes: self.amount(table, "minutes"),
            wait_min: self.amount(table, "wait_min"),
            parts_price,
            parts,
            ways: access.ways,
            on: access.on,
            assembled: access.assembled,
            fixes: self.by_cause(table, "fixes", false),
            again: self.number(table, "again", Within::Share).unwrap_or(0.0),
            needs: self.equipment(table, "needs"),
            spoils: self.spoils(table),
            caution: self.cautions(table),
        }
    }

    /// `parts` as money, or as a list of parts with their prices; deposits apart.
    fn parts(&mut self, table: &Table<'a>) -> (f64, Vec<Part>) {
        let listed = table
            .value("parts")
            .is_some_and(|value| matches!(value.get_ref(), DeValue::Array(_)));
        if !listed {
            return (self.amount(table, "parts"), Vec::new());
        }
        let tables = self.subs(table, "parts", (Kind::Part, MOST_PARTS));
        let mut parts = Vec::new();
        for table in tables.iter().flatten() {
            parts.push(self.part(table));
        }
        (parts.iter().map(|part| part.count * part.price).sum(), parts)
    }

    fn part(&mut self, table: &Table<'a>) -> Part {
        Part {
            title: self.title(table, "part"),
            number: self.label(table, "number"),
            count: self.number(table, "count", Within::Positive).unwrap_or(1.0),
            price: self.required(table, "price", Within::Amount).unwrap_or(0.0),
            lead_h: self.number(table, "lead_h", Within::Amount),
            returnable: self.flag(table, "returnable"),
            restock_percent: self.number(table, "restock_percent", Within::Amount),
            deposit: self.number(table, "deposit", Within::Amount),
        }
    }
}

fn entries_of<'a>(
    entries: &'a DeTable<'a>,
) -> Vec<((&'a str, Range<usize>), &'a Value<'a>)> {
    let plain = |(key, value): (&'a toml::Spanned<toml::de::DeString<'a>>, _)| {
        ((&**key.get_ref(), key.span()), value)
    };
    in_order(entries).into_iter().map(plain).collect()
}
