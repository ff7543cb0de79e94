//! Choice of a column by its name or its unit, and what to offer where that fails.

use units::Unit;

use crate::error::LogError;
use crate::header::{Column, column};

/// Letters of an asked name that are repeated in an error.
const SHOWN: usize = 80;

/// Index of the column whose name is, or as the only one contains, the text, or the only
/// one with that unit. A name with a unit behind it tells columns of one name apart.
pub(crate) fn find(columns: &[Column], asked: &str) -> Result<usize, LogError> {
    let wanted = column(asked);
    let name = wanted.name.to_lowercase();
    let named = |fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let fits = |at: &usize| fits(&columns[*at].name.to_lowercase());
        (0..columns.len()).filter(fits).collect()
    };
    let unit = wanted.unit.as_deref();
    let with_unit = |mut found: Vec<usize>| {
        found.retain(|at| unit.is_some_and(|unit| has_unit(&columns[*at], unit)));
        found
    };
    let mut found = Vec::new();
    if !name.is_empty() {
        found = with_unit(named(&|other| other == name));
        if found.is_empty() {
            found = with_unit(named(&|other| other.contains(&name)));
        }
        if found.is_empty() {
            found = named(&|other| other == name);
        }
        if found.is_empty() {
            found = named(&|other| other == asked.trim().to_lowercase());
        }
        if found.is_empty() {
            found = named(&|other| other.contains(&name));
        }
    }
    if found.is_empty() {
        let unit = if name.is_empty() { unit.unwrap_or_default() } else { asked.trim() };
        found = (0..columns.len())
            .filter(|at| !unit.is_empty() && has_unit(&columns[*at], unit))
            .collect();
    }
    let asked: String = asked.chars().take(SHOWN).collect();
    match found.as_slice() {
        [at] => Ok(*at),
        [] => {
            let near = nearest(columns, &name);
            Err(LogError::NoColumn { asked, columns: shown(columns), near })
        }
        many => {
            let many: Vec<Column> = many.iter().map(|at| columns[*at].clone()).collect();
            Err(LogError::ManyColumns { asked, columns: shown(&many) })
        }
    }
}

/// The columns as a person is shown them, with their units.
pub(crate) fn shown(columns: &[Column]) -> Vec<String> {
    let one = |column: &Column| match &column.unit {
        Some(unit) => format!("{} [{unit}]", column.name),
        None => column.name.clone(),
    };
    columns.iter().map(one).collect()
}

/// The same unit, however it is spelt.
fn has_unit(column: &Column, unit: &str) -> bool {
    let Some(own) = column.unit.as_deref() else { return false };
    let same = || Unit::parse(own).ok().zip(Unit::parse(unit).ok());
    own == unit || same().is_some_and(|(a, b)| a.symbol() == b.symbol())
}

/// The column whose name, or a word of it, is a few letters from the text.
fn nearest(columns: &[Column], asked: &str) -> Option<String> {
    let most = asked.chars().count().div_ceil(3).min(3);
    let off = |column: &Column| {
        let name = column.name.to_lowercase();
        let words = name.split([' ', '_', '.', '-']);
        let words = words.map(|word| letters_off(word, asked)).min();
        words.into_iter().chain([letters_off(&name, asked)]).min()
    };
    let near = columns.iter().filter_map(|c| Some((off(c)?, c)));
    let near = near.min_by_key(|(off, _)| *off).filter(|(off, _)| *off <= most);
    near.filter(|_| most > 0).map(|(_, column)| column.name.clone())
}

/// Letters to put in, take out, change or swap with the next one (optimal string alignment).
fn letters_off(a: &str, b: &str) -> usize {
    let letters = |text: &str| text.chars().take(SHOWN).collect::<Vec<char>>();
    let (a, b) = (letters(a), letters(b));
    let mut before: Vec<usize> = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let mut least =
                (last[j] + usize::from(x != y)).min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i - 1] == *y && b[j - 1] == *x {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        (before, last) = (last, row);
    }
    last[b.len()]
}
