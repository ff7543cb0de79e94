//! Which column is the time, why, and how it is written.

use super::cell::{Mark, number};
use super::clock::{Order, day_number, moment, order};
use super::head::Head;
use crate::columns::{find, shown};
use crate::error::LogError;
use crate::header::{Column, is_time, looks_like_time, time_unit};
use crate::share;
use crate::timeline::{DAY_S, Runs};

/// Share of a time column's cells that must be times.
const READABLE: f64 = 0.8;

/// Above these, a time stamp counts so many parts of a second since 1970 where no unit says
/// otherwise: 1e11 s is the year 5138, 1e11 ms the year 1973.
const SINCE_1970: [(f64, f64, &str); 3] = [
    (1e17, 1e-9, "nanoseconds"),
    (1e14, 1e-6, "microseconds"),
    (1e11, 1e-3, "milliseconds"),
];

/// Rows further apart than this are more likely counted in another unit.
const SLOW_S: f64 = 5.0;

/// How a time column is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeForm {
    /// Numbers in some unit.
    Number,
    /// `HH:MM:SS.fff`, with or without a date.
    Clock(Order),
}

/// The time column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TimeColumn {
    pub(crate) at: usize,
    pub(crate) form: TimeForm,
    /// Seconds in one of its units.
    pub(crate) factor: f64,
    pub(crate) runs: Runs,
    /// A column that holds the date of a clock.
    pub(crate) date: Option<usize>,
    /// The first time, s.
    pub(crate) start_s: f64,
    pub(crate) remark: String,
}

/// A cell of a time column in its own unit.
pub(crate) fn time_cell(text: &str, form: TimeForm, mark: Mark) -> Option<f64> {
    match form {
        TimeForm::Number => number(text, mark),
        TimeForm::Clock(order) => moment(text, order).map(|moment| moment.s),
    }
}

/// Finds the time column by the name or unit asked for, by its own name, or because it
/// comes first and rises.
pub(crate) fn time_column(
    head: &Head,
    asked: Option<&str>,
) -> Result<TimeColumn, LogError> {
    if let Some(asked) = asked {
        let at = find(&head.columns, asked)?;
        let form = form(at, head)
            .ok_or_else(|| LogError::TimeUnreadable(head.columns[at].name.clone()))?;
        return Ok(described(head, at, form, "as asked"));
    }
    let name = |at: usize| head.columns[at].name.as_str();
    let mut named: Vec<usize> =
        (0..head.columns.len()).filter(|at| looks_like_time(name(*at))).collect();
    named.sort_by_key(|at| !is_time(name(*at)));
    for at in named {
        // A name that means nothing but time is believed, whatever its clock does.
        let fits =
            |form: &TimeForm| is_time(name(at)) || rises(at, *form, head) >= READABLE;
        if let Some(form) = form(at, head).filter(fits) {
            return Ok(described(head, at, form, "by its name"));
        }
    }
    if let Some(form) = form(0, head)
        && rises(0, form, head) >= 1.0
    {
        return Ok(described(head, 0, form, "the first column, and it rises"));
    }
    // One column of clocks is the time, whatever it is called.
    let clock = |at: &usize| matches!(form(*at, head), Some(TimeForm::Clock(_)));
    let clocks: Vec<usize> = (0..head.columns.len()).filter(clock).collect();
    if let ([at], true) = (clocks.as_slice(), clocks.len() == 1)
        && let Some(form) = form(*at, head)
    {
        return Ok(described(head, *at, form, "the only one that holds clocks"));
    }
    Err(LogError::NoTime(shown(&head.columns)))
}

fn described(head: &Head, at: usize, form: TimeForm, why: &str) -> TimeColumn {
    let cells =
        || head.rows.iter().filter_map(move |row| row.get(at)).map(String::as_str);
    let times = || cells().filter_map(move |cell| time_cell(cell, form, head.mark));
    let mut date = None;
    let (factor, said, runs) = match form {
        TimeForm::Clock(order) => {
            let dated =
                cells().filter_map(|c| moment(c, order)).any(|moment| moment.dated);
            date = if dated { None } else { date_column(head, at, order) };
            let of = match date {
                Some(date) => format!(", its date from `{}`", head.columns[date].name),
                None => String::new(),
            };
            let runs = if dated || date.is_some() { Runs::On } else { Runs::Daily };
            (1.0, format!("read as a clock{of}"), runs)
        }
        TimeForm::Number => {
            let (factor, said) = counted(&head.columns[at], &times().collect::<Vec<_>>());
            (factor, said, Runs::On)
        }
    };
    let day = |row: &Vec<String>| match (date, form) {
        (Some(date), TimeForm::Clock(order)) => {
            Some(day_number(row.get(date)?, order)? * DAY_S)
        }
        (Some(_) | None, _) => Some(0.0),
    };
    let first = head.rows.iter().find_map(|row| {
        let time = time_cell(row.get(at)?, form, head.mark)?;
        Some(day(row)? + time * factor)
    });
    let remark = format!("time: column `{}` ({why}), {said}", head.columns[at].name);
    TimeColumn { at, form, factor, runs, date, start_s: first.unwrap_or(0.0), remark }
}

/// Seconds in one unit of a time in numbers, and what to say of it.
pub(crate) fn counted(column: &Column, times: &[f64]) -> (f64, String) {
    if let Some(unit) = time_unit(column) {
        return (unit.factor(), format!("in {unit}"));
    }
    let largest = times.iter().copied().map(f64::abs).fold(0.0, f64::max);
    if let Some((_, factor, name)) =
        SINCE_1970.into_iter().find(|(above, ..)| largest > *above)
    {
        return (factor, format!("taken as {name} since 1970"));
    }
    let apart = (times.last().zip(times.first()))
        .map_or(0.0, |(last, first)| (last - first) / share(times.len().max(2) - 1, 1));
    let slow = if apart > SLOW_S {
        format!(
            ", rows {apart:.1} s apart: if it counts something else, name its unit in the \
                 header, such as `time [ms]`"
        )
    } else {
        String::new()
    };
    (1.0, format!("taken as seconds{slow}"))
}

/// A column of dates that stands beside a clock without one.
fn date_column(head: &Head, clock: usize, order: Order) -> Option<usize> {
    (0..head.columns.len()).filter(|at| *at != clock).find(|at| {
        let mut cells =
            head.rows.iter().filter_map(|row| row.get(*at)).filter(|c| !c.is_empty());
        let name = head.columns[*at].name.to_lowercase();
        let named =
            ["date", "datum", "day", "fecha", "data"].iter().any(|w| name.contains(w));
        named
            && cells.clone().count() > 0
            && cells.all(|c| day_number(c, order).is_some())
    })
}

fn form(at: usize, head: &Head) -> Option<TimeForm> {
    let cells: Vec<&String> =
        head.rows.iter().filter_map(|r| r.get(at)).filter(|c| !c.is_empty()).collect();
    let fits = |form: TimeForm| {
        let read =
            cells.iter().filter(|c| time_cell(c, form, head.mark).is_some()).count();
        read > 0 && share(read, cells.len()) >= READABLE
    };
    let dates = (0..head.columns.len()).filter(|other| {
        *other == at || head.columns[*other].name.to_lowercase().contains("dat")
    });
    let all = dates.flat_map(|at| head.rows.iter().filter_map(move |row| row.get(at)));
    let order = order(all.map(String::as_str));
    [TimeForm::Clock(order), TimeForm::Number].into_iter().find(|form| fits(*form))
}

/// Share of the steps from cell to cell that do not fall; 0 if none rises.
fn rises(at: usize, form: TimeForm, head: &Head) -> f64 {
    let cells = head.rows.iter().filter_map(|row| row.get(at));
    let times: Vec<f64> = cells.filter_map(|c| time_cell(c, form, head.mark)).collect();
    if times.len() < 2 {
        return if times.is_empty() { 0.0 } else { 1.0 };
    }
    if times.windows(2).all(|w| w[1] <= w[0]) {
        return 0.0;
    }
    let fine = times.windows(2).filter(|w| w[1] >= w[0]).count();
    share(fine, times.len() - 1)
}
