//! Warnings about a sheet that is right but may not do what its writer thinks.

use toml::de::DeValue;

use crate::remark::Notes;
use crate::table::{Table, in_order};
use crate::{Check, Sheet};

/// A part above this sum (in the sheet's currency) wants a check that points to it.
const DEAR_PART: f64 = 500.0;
/// Rows that differ by less tell nothing apart.
const SAME: f64 = 1e-9;
/// An outcome points to a cause if it is so much likelier there than elsewhere.
const POINTS: f64 = 2.0;

/// Where the suspects, checks and repairs of a sheet stand.
pub(crate) struct Places<'s, 'a> {
    pub(crate) suspects: &'s [Option<Table<'a>>],
    pub(crate) checks: &'s [Option<Table<'a>>],
    pub(crate) repairs: &'s [Option<Table<'a>>],
}

/// Adds every warning about a sheet without errors.
pub(crate) fn remark(
    sheet: &Sheet,
    places: &Places<'_, '_>,
    top: &Table<'_>,
    notes: &mut Notes,
) {
    comeback_below_pass_on(sheet, top, notes);
    suspects_without_repair(sheet, places, notes);
    suspects_alike(sheet, places, notes);
    for (check, table) in sheet.checks.iter().zip(places.checks.iter().flatten()) {
        check_tells_nothing(check, table, notes);
        certain_rows(check, table, notes);
    }
    for (place, table) in places.repairs.iter().flatten().enumerate() {
        repair(sheet, place, table, notes);
    }
}

fn comeback_below_pass_on(sheet: &Sheet, top: &Table<'_>, notes: &mut Notes) {
    let economy = &sheet.economy;
    if economy.comeback >= economy.pass_on {
        return;
    }
    let entries = top.value("economy").and_then(|value| value.get_ref().as_table());
    let span = entries
        .and_then(|entries| entries.get_key_value("comeback"))
        .map(|(key, _)| key.span());
    let what = format!(
        "`comeback` {} lies below `pass_on` {}: the plan may advise handing the car back \
         unfixed",
        economy.comeback, economy.pass_on
    );
    notes
        .warn("comeback-below-pass-on", span.unwrap_or(top.span.clone()), what)
        .hint("a comeback usually costs more than passing the job on");
}

fn suspects_without_repair(sheet: &Sheet, places: &Places<'_, '_>, notes: &mut Notes) {
    for (place, table) in places.suspects.iter().flatten().enumerate() {
        if sheet.repairs.iter().all(|repair| repair.fixes[place] <= 0.0) {
            let what = format!("no repair puts the {} right", table.called);
            notes
                .warn("no-repair", table.value_span("id"), what)
                .hint("name it in `fixes` of a repair");
        }
    }
}

/// Suspects whose rows are the same in every check, grouped under the first of them.
fn suspects_alike(sheet: &Sheet, places: &Places<'_, '_>, notes: &mut Notes) {
    let alike = |a: usize, b: usize| {
        sheet.checks.iter().all(|check| same(&check.given[a], &check.given[b]))
    };
    let count = sheet.suspects.len();
    let mut told = vec![false; count];
    for first in 0..count {
        let more: Vec<usize> = (first + 1..count)
            .filter(|other| !told[*other] && alike(first, *other))
            .collect();
        if told[first] || more.is_empty() {
            continue;
        }
        for other in &more {
            told[*other] = true;
        }
        let names: Vec<String> = std::iter::once(&first)
            .chain(&more)
            .map(|place| format!("`{}`", sheet.suspects[*place].id))
            .collect();
        let Some(table) = places.suspects.iter().flatten().nth(first) else { continue };
        let what = format!("no check tells these suspects apart: {}", names.join(", "));
        notes.warn("alike", table.value_span("id"), what).hint(
            "give them rows of their own in `[check.given]`, or make them one suspect",
        );
    }
}

fn same(a: &[f64], b: &[f64]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= SAME)
}

fn check_tells_nothing(check: &Check, table: &Table<'_>, notes: &mut Notes) {
    if check.outcomes.len() < 2 || !check.given.iter().all(|row| same(row, &check.fine)) {
        return;
    }
    let what =
        format!("the {} tells nothing apart: all its rows are the same", table.called);
    notes
        .warn("tells-nothing", table.value_span("id"), what)
        .hint("name the suspects that it shows in `[check.given]`");
}

/// Rows that hold an outcome to be certain or impossible.
fn certain_rows(check: &Check, table: &Table<'_>, notes: &mut Notes) {
    let Some(DeValue::Table(given)) = table.value("given").map(toml::Spanned::get_ref)
    else {
        return;
    };
    if check.outcomes.len() < 2 {
        return;
    }
    for (name, value) in in_order(given) {
        let DeValue::Table(row) = value.get_ref() else { continue };
        let share = |outcome: &str| match row.get(outcome).map(toml::Spanned::get_ref) {
            Some(DeValue::Float(number)) => number.as_str().parse().unwrap_or(0.0),
            Some(DeValue::Integer(number)) => number.as_str().parse().unwrap_or(0.0),
            _ => 0.0_f64,
        };
        let never = check.outcomes.iter().find(|(id, _)| share(id) <= 0.0);
        if let Some((outcome, _)) = never.filter(|_| !name.get_ref().starts_with("x-")) {
            let what = format!(
                "the row `{}` holds `{outcome}` to be impossible (0), so one slip of the \
                 hand rules it out for good",
                name.get_ref()
            );
            notes
                .warn("certain", value.span(), what)
                .hint("give even the unlikely 0.01 or so");
        }
    }
}

fn repair(sheet: &Sheet, place: usize, table: &Table<'_>, notes: &mut Notes) {
    let repair = &sheet.repairs[place];
    if repair.fixes.last().is_some_and(|share| *share > 0.0) {
        let what = format!(
            "the {} names `unlisted`: it claims to put right what the sheet does not know",
            table.called
        );
        notes.warn("repairs-unlisted", table.value_span("fixes"), what);
    }
    if repair.fixes.iter().all(|share| *share <= 0.0) {
        let what = format!("the {} puts nothing right", table.called);
        notes
            .warn("repairs-nothing", table.value_span("id"), what)
            .hint("name what it puts right: `fixes = { suspect-id = 0.9 }`");
        return;
    }
    let dearest = repair.parts.iter().map(|part| part.price).fold(0.0, f64::max);
    let price = if repair.parts.is_empty() { repair.parts_price } else { dearest };
    let pointed = (0..repair.fixes.len())
        .any(|cause| repair.fixes[cause] > 0.0 && pointed_to(sheet, cause));
    if price > DEAR_PART && !pointed {
        let what = format!(
            "the {} needs a part of {price}, and no check points to what it puts right",
            table.called
        );
        notes
            .warn("dear-part", table.value_span("parts"), what)
            .hint("add a check that confirms it before the money is spent");
    }
}

/// Whether an outcome of some check is much likelier with this cause than with the others
/// and than on a fixed vehicle (which an outcome that only acquits the others is not).
fn pointed_to(sheet: &Sheet, cause: usize) -> bool {
    let weights = sheet.weights();
    let total: f64 =
        weights.iter().enumerate().filter(|(at, _)| *at != cause).map(|(_, w)| w).sum();
    sheet.checks.iter().any(|check| {
        (0..check.outcomes.len()).any(|outcome| {
            let others: f64 = (0..weights.len())
                .filter(|other| *other != cause)
                .map(|other| weights[other] * check.given[other][outcome])
                .sum();
            let elsewhere =
                if total > 0.0 { others / total } else { check.fine[outcome] };
            let usual = elsewhere.max(check.fine[outcome]);
            check.given[cause][outcome] > POINTS * usual
        })
    })
}
