//! Column names, their units, and which column is the time.

use units::{Quantity, Unit};

use crate::cell::{TimeForm, clock_s, number};
use crate::decode::mend_label;
use crate::error::LogError;
use crate::sniff::share;

/// A column as the header gives it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    pub(crate) name: String,
    pub(crate) unit: Option<String>,
}

/// The time column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TimeColumn {
    pub(crate) at: usize,
    pub(crate) form: TimeForm,
    /// Seconds in one of its units.
    pub(crate) factor: f64,
    pub(crate) remark: String,
}

/// Share of a time column's cells that must be times.
const READABLE: f64 = 0.8;

/// A time stamp above this is milliseconds since 1970 where no unit says otherwise.
const SURELY_MS: f64 = 1e11;

/// Splits `Name [unit]` and, where the unit is known, `Name (unit)`.
pub(crate) fn column(text: &str) -> Column {
    let text = mend_label(text.trim());
    let bracketed = text.strip_suffix(']').and_then(|t| t.rsplit_once('['));
    let known = || {
        let (name, unit) = text.strip_suffix(')')?.rsplit_once('(')?;
        Unit::parse(unit).is_ok().then_some((name, unit))
    };
    match bracketed.or_else(known) {
        Some((name, unit)) => {
            Column { name: name.trim().to_owned(), unit: plain_unit(unit) }
        }
        None => Column { name: text, unit: None },
    }
}

fn plain_unit(text: &str) -> Option<String> {
    let text = mend_label(text.trim().trim_matches(['[', ']', '(', ')']).trim());
    (!text.is_empty() && text != "-").then_some(text)
}

/// The units of a row that holds units and no values, one a column.
pub(crate) fn unit_row(cells: &[&str]) -> Option<Vec<Option<String>>> {
    let filled = || cells.iter().map(|c| c.trim()).filter(|c| !c.is_empty());
    let no_value =
        filled().all(|c| number(c).is_none() && clock_s(c).is_none() && c.len() <= 16);
    let units: Vec<_> = cells.iter().map(|c| plain_unit(c)).collect();
    let one_known = units.iter().flatten().any(|u| Unit::parse(u).is_ok());
    (no_value && one_known).then_some(units)
}

/// Index of the column whose name is, or as the only one contains, the text.
pub(crate) fn find_column(names: &[&str], asked: &str) -> Result<usize, LogError> {
    let wanted = column(asked).name.to_lowercase();
    let owned =
        |at: &[usize]| at.iter().map(|i| names[*i].to_owned()).collect::<Vec<_>>();
    let exact: Vec<usize> =
        (0..names.len()).filter(|i| names[*i].to_lowercase() == wanted).collect();
    let found = if exact.is_empty() && !wanted.is_empty() {
        (0..names.len()).filter(|i| names[*i].to_lowercase().contains(&wanted)).collect()
    } else {
        exact
    };
    let asked = || asked.chars().take(80).collect::<String>();
    match found.as_slice() {
        [at] => Ok(*at),
        [] => {
            let all: Vec<usize> = (0..names.len()).collect();
            Err(LogError::NoColumn { asked: asked(), columns: owned(&all) })
        }
        many => Err(LogError::ManyColumns { asked: asked(), columns: owned(many) }),
    }
}

/// Finds the time column by the name asked for, by its own name, or because it comes
/// first and rises; `rows` are the first rows of the file.
pub(crate) fn time_column(
    columns: &[Column],
    asked: Option<&str>,
    rows: &[Vec<String>],
) -> Result<TimeColumn, LogError> {
    let names: Vec<&str> = columns.iter().map(|c| c.name.as_str()).collect();
    let describe = |at: usize, form: TimeForm, why: &str| {
        let cells = || rows.iter().filter_map(|r| r.get(at));
        let large = cells().filter_map(|c| number(c)).any(|v| v.abs() > SURELY_MS);
        let (factor, unit) = unit_factor(&columns[at], form, large);
        let remark = format!("time: column `{}` ({why}), {unit}", names[at]);
        TimeColumn { at, form, factor, remark }
    };
    if let Some(asked) = asked {
        let at = find_column(&names, asked)?;
        let form = form(at, rows)
            .ok_or_else(|| LogError::TimeUnreadable(names[at].to_owned()))?;
        return Ok(describe(at, form, "as asked"));
    }
    let mut named: Vec<usize> =
        (0..columns.len()).filter(|i| looks_like_time(names[*i])).collect();
    named.sort_by_key(|i| !is_time(names[*i]));
    for at in named {
        // A name that means nothing but time is believed, whatever its clock does.
        let fits =
            |form: &TimeForm| is_time(names[at]) || rises(at, *form, rows) >= READABLE;
        if let Some(form) = form(at, rows).filter(fits) {
            return Ok(describe(at, form, "by its name"));
        }
    }
    match form(0, rows) {
        Some(form) if rises(0, form, rows) >= 1.0 => {
            Ok(describe(0, form, "the first column, and it rises"))
        }
        _ => Err(LogError::NoTime(names.iter().map(|n| (*n).to_owned()).collect())),
    }
}

fn is_time(name: &str) -> bool {
    let exact = [
        "time",
        "zeit",
        "t",
        "ts",
        "t_s",
        "t_ms",
        "time_s",
        "time_ms",
        "timestamp",
        "s",
        "sec",
        "ms",
        "seconds",
        "elapsed",
        "uhrzeit",
        "clock",
        "temps",
        "tiempo",
        "tempo",
    ];
    exact.contains(&name.to_lowercase().as_str())
}

fn looks_like_time(name: &str) -> bool {
    let lower = name.to_lowercase();
    is_time(name)
        || ["time", "zeit", "clock", "elapsed", "sekunde", "second"]
            .iter()
            .any(|word| lower.contains(word))
}

fn unit_factor(column: &Column, form: TimeForm, large: bool) -> (f64, String) {
    if form == TimeForm::Clock {
        return (1.0, "read as a clock".to_owned());
    }
    let lower = column.name.to_lowercase();
    let suffix = lower.rsplit(['_', ' ', '-', '.']).next().unwrap_or_default();
    let stated = column.unit.as_deref().and_then(|u| Unit::parse(u).ok());
    let named = || Unit::parse(suffix).ok().filter(|_| suffix != "t");
    let unit = stated.or_else(named).filter(|u| u.quantity() == Quantity::Time);
    match unit {
        Some(unit) => (unit.factor(), format!("in {unit}")),
        None if large => (1e-3, "taken as milliseconds since 1970".to_owned()),
        None => (1.0, "taken as seconds".to_owned()),
    }
}

/// A cell of a time column in its own unit.
pub(crate) fn time_cell(text: &str, form: TimeForm) -> Option<f64> {
    match form {
        TimeForm::Number => number(text),
        TimeForm::Clock => clock_s(text),
    }
}

fn form(at: usize, rows: &[Vec<String>]) -> Option<TimeForm> {
    let cells: Vec<&String> =
        rows.iter().filter_map(|r| r.get(at)).filter(|c| !c.trim().is_empty()).collect();
    let fits = |form: TimeForm| {
        let read = cells.iter().filter(|c| time_cell(c, form).is_some()).count();
        read > 0 && share(read, cells.len()) >= READABLE
    };
    [TimeForm::Clock, TimeForm::Number].into_iter().find(|form| fits(*form))
}

/// Share of the steps from cell to cell that do not fall; 0 if none rises.
fn rises(at: usize, form: TimeForm, rows: &[Vec<String>]) -> f64 {
    let times: Vec<f64> = rows
        .iter()
        .filter_map(|r| r.get(at))
        .filter_map(|c| time_cell(c, form))
        .collect();
    if times.len() < 2 {
        return if times.is_empty() { 0.0 } else { 1.0 };
    }
    if times.windows(2).all(|w| w[1] <= w[0]) {
        return 0.0;
    }
    let fine = times.windows(2).filter(|w| w[1] >= w[0]).count();
    share(fine, times.len() - 1)
}
