//! Whether a table has one column a signal, or one signal a row, which the row names (the wide
//! and the long form; Wickham, Tidy Data, J. Stat. Softw. 59(10), 2014).

use std::collections::{HashMap, HashSet};

use units::Unit;

use super::cell::{Cell, cell};
use super::head::{Head, with_unit};
use super::time::TimeColumn;
use crate::header::Column;
use crate::share;

/// Words of a header over the names of signals.
const NAMES: [&str; 18] = [
    "name",
    "signal",
    "channel",
    "kanal",
    "variable",
    "parameter",
    "sensor",
    "pid",
    "did",
    "item",
    "tag",
    "label",
    "quantity",
    "measurement",
    "bezeichnung",
    "messgröße",
    "nom",
    "nombre",
];

/// Words of a header over their values.
const VALUES: [&str; 9] = [
    "value", "val", "wert", "messwert", "reading", "valeur", "valor", "valore", "waarde",
];

/// Words of a header over their units.
const UNITS: [&str; 7] =
    ["unit", "units", "einheit", "unité", "unidad", "unità", "eenheid"];

/// Share of a column's cells that must be names, or values.
const NEARLY_ALL: f64 = 0.95;
/// The same where the header calls them values: words may stand among them.
const CALLED_SO: f64 = 0.5;
/// Share of the rows that must be of another signal than the row before, where the header
/// does not tell.
const IN_TURN: f64 = 0.5;

/// Columns of a table with one signal a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Long {
    pub(super) name: usize,
    pub(super) value: usize,
    pub(super) unit: Option<usize>,
    left_out: Vec<usize>,
}

impl Long {
    /// How the table was taken, in words.
    pub(super) fn words(&self, columns: &[Column]) -> String {
        let name = |at: &usize| format!("`{}`", columns[*at].name);
        let left_out: Vec<String> = self.left_out.iter().map(name).collect();
        let (names, values) = (name(&self.name), name(&self.value));
        let mut words =
            format!("one signal a row, named by {names}, its value in {values}");
        if !left_out.is_empty() {
            words.push_str("; not read: ");
            words.push_str(&left_out.join(", "));
        }
        words
    }
}

/// True for a header that says of numbers only that they are values.
pub(super) fn is_plain_value(column: &Column) -> bool {
    called(&column.name, &VALUES)
}

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hold {
    Names,
    Units,
    Values,
    Nothing,
}

/// Finds out whether each row is of one signal, which it names: one column of names that
/// take turns or are called so, and one of values.
pub(super) fn long(head: &Head, time: &TimeColumn) -> Option<Long> {
    let others = (0..head.columns.len())
        .filter(|at| *at != time.at && Some(*at) != time.date)
        .map(|at| (at, holds(head, at)));
    let others: Vec<(usize, Hold)> = others.collect();
    let of = |hold: Hold| -> Vec<usize> {
        others.iter().filter(|(_, what)| *what == hold).map(|(at, _)| *at).collect()
    };
    let (names, values, units) = (of(Hold::Names), of(Hold::Values), of(Hold::Units));
    let one = |all: &[usize], words: &[&str]| -> Option<usize> {
        let called: Vec<usize> =
            all.iter().copied().filter(|at| is_called(head, *at, words)).collect();
        match (all, called.as_slice()) {
            ([at], _) | (_, [at]) => Some(*at),
            _ => None,
        }
    };
    let (name, value) = (one(&names, &NAMES)?, one(&values, &VALUES)?);
    let unit = if let [unit] = units.as_slice() { Some(*unit) } else { None };
    // Beside another column of numbers a header alone may mean something else.
    let whole = NAMES.contains(&head.columns[name].name.to_lowercase().as_str());
    let called = values.len() == 1
        && is_called(head, name, &NAMES)
        && (whole || is_called(head, value, &VALUES));
    // Of what else tells rows apart nothing may be lost.
    let told = names.iter().all(|at| *at == name || follows(head, *at, (name, unit)));
    let found = told && (called || in_turn(head, name));
    let left_out = others.iter().map(|(at, _)| *at);
    let left_out = left_out.filter(|at| *at != name && *at != value && Some(*at) != unit);
    let left_out = left_out.collect();
    found.then_some(Long { name, value, unit, left_out })
}

fn cells(head: &Head, at: usize) -> impl Iterator<Item = &str> {
    head.rows.iter().map(move |row| row.get(at).map_or("", String::as_str))
}

fn holds(head: &Head, at: usize) -> Hold {
    let is_empty = |text: &&str| cell(text, head.mark) == Cell::Empty;
    let filled = || cells(head, at).filter(|text| !is_empty(text));
    let count = filled().count();
    if count == 0 {
        return Hold::Nothing;
    }
    let part =
        |is: &dyn Fn(&str) -> bool| share(filled().filter(|c| is(c)).count(), count);
    let is_value =
        |text: &str| cell(text, head.mark) != Cell::Words || with_unit(text).is_some();
    let least = if is_called(head, at, &VALUES) { CALLED_SO } else { NEARLY_ALL };
    if part(&is_value) >= least {
        return Hold::Values;
    }
    let units = || part(&|text| Unit::parse(text).is_ok()) >= 1.0;
    if is_called(head, at, &UNITS) || !is_called(head, at, &NAMES) && units() {
        return Hold::Units;
    }
    let names = part(&|text| !is_value(text)) >= NEARLY_ALL
        && share(count, head.rows.len()) >= NEARLY_ALL;
    if names { Hold::Names } else { Hold::Nothing }
}

fn is_called(head: &Head, at: usize, words: &[&str]) -> bool {
    called(&head.columns[at].name, words)
}

fn called(name: &str, words: &[&str]) -> bool {
    let name = name.to_lowercase();
    name.split(|c: char| !c.is_alphanumeric()).any(|word| words.contains(&word))
}

/// True if a column's cell is always the same for the same name and unit.
fn follows(head: &Head, at: usize, (name, unit): (usize, Option<usize>)) -> bool {
    let mut known: HashMap<(&str, &str), &str> = HashMap::new();
    head.rows.iter().all(|row| {
        let cell = |at: usize| row.get(at).map_or("", String::as_str);
        let key = (cell(name), unit.map_or("", cell));
        *known.entry(key).or_insert(cell(at)) == cell(at)
    })
}

/// True if a few names come again and again, mostly another one than before.
fn in_turn(head: &Head, name: usize) -> bool {
    let names: Vec<&str> = cells(head, name).collect();
    let few = names.iter().collect::<HashSet<_>>().len();
    let others = names.windows(2).filter(|pair| pair[0] != pair[1]).count();
    few > 1
        && names.len() >= 2 * few
        && share(others, names.len().saturating_sub(1)) >= IN_TURN
}
