//! One time line out of clocks that pass midnight, step back or repeat.

use crate::gather::Times;
use crate::median::median;
use crate::{so_many, so_often};

/// Seconds in a day, for clocks that pass midnight.
pub(crate) const DAY_S: f64 = 86_400.0;

/// A fall of a clock of more than this is midnight.
const MIDNIGHT_FALL_S: f64 = 43_200.0;

/// A jump forward of more than this many median intervals that the next row takes back
/// is a wrong stamp, not a gap.
const WILD: f64 = 10.0;

/// How a time column runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Runs {
    /// A number that goes on.
    On,
    /// The time of day, which begins again at midnight.
    Daily,
}

/// Makes times never fall, `NaN` where a row is left out; what was done, in words.
pub(crate) fn straighten(times: &mut Times, runs: Runs) -> Vec<String> {
    let mut remarks = Vec::new();
    if runs == Runs::Daily {
        let nights = over_midnight(times);
        if nights > 0 {
            remarks.push(format!("the clock passes midnight {}", so_often(nights)));
        }
    }
    let wild = drop_wild(times);
    if wild > 0 {
        let rows = so_many(wild, "row", "rows");
        remarks.push(format!("{rows} left out: the time stamp is out of order"));
    }
    let typical = median_interval(times).unwrap_or(0.0);
    let mut shift = 0.0;
    let mut last: Option<f64> = None;
    let (mut back, mut most) = (0, (0, 0.0));
    for row in 0..times.len() {
        let mut time = times.get(row);
        if time.is_nan() {
            continue;
        }
        time += shift;
        if let Some(before) = last.filter(|before| time < *before) {
            back += 1;
            if before - time > most.1 {
                most = (row + 1, before - time);
            }
            shift += before + typical - time;
            time = before + typical;
        }
        times.set(row, time);
        last = Some(time);
    }
    if back > 0 {
        let s = so_often(back);
        remarks.push(format!(
            "the clock steps back {s}, most by {:.3} s at data row {}: \
             what follows was moved on to one usual interval after",
            most.1, most.0
        ));
    }
    remarks
}

/// Median of the positive intervals, s.
pub(crate) fn median_interval(times: &Times) -> Option<f64> {
    median(|| intervals(times.used()))
}

/// From each time to the next.
pub(crate) fn intervals(times: impl Iterator<Item = f64>) -> impl Iterator<Item = f64> {
    let mut before = f64::NAN;
    times.filter_map(move |time| {
        let interval = time - before;
        before = time;
        (!interval.is_nan()).then_some(interval)
    })
}

fn over_midnight(times: &mut Times) -> usize {
    let mut nights = 0;
    let mut shift = 0.0;
    let mut before = f64::NEG_INFINITY;
    for row in 0..times.len() {
        let time = times.get(row);
        if time.is_nan() {
            continue;
        }
        if time + shift < before - MIDNIGHT_FALL_S {
            shift += DAY_S;
            nights += 1;
        }
        times.set(row, time + shift);
        before = time + shift;
    }
    nights
}

/// Leaves out single rows whose stamp lies apart from both neighbours: behind the row
/// before while the next goes on, or far ahead while the next comes back.
fn drop_wild(times: &mut Times) -> usize {
    let typical = median_interval(times).unwrap_or(0.0);
    let mut dropped = 0;
    // The row before, the row in question; the next one decides.
    let (mut before, mut here): (Option<f64>, Option<(usize, f64)>) = (None, None);
    for row in 0..times.len() {
        let after = times.get(row);
        if after.is_nan() {
            continue;
        }
        if let Some((at, time)) = here {
            let wild = before.is_some_and(|before| {
                let behind = time < before && after >= before;
                let ahead =
                    time > after && after >= before && time - before > WILD * typical;
                behind || ahead
            });
            if wild {
                times.set(at, f64::NAN);
                dropped += 1;
            } else {
                before = Some(time);
            }
        }
        here = Some((row, after));
    }
    dropped
}
