//! One time line out of clocks that pass midnight, step back or repeat.

use crate::cell::{DAY_S, TimeForm};

/// A fall of a clock of more than this is midnight.
const MIDNIGHT_FALL_S: f64 = 43_200.0;

/// A jump forward of more than this many median intervals that the next row takes back
/// is a wrong stamp, not a gap.
const WILD: f64 = 10.0;

/// A time line: one time a row, `NaN` for rows to leave out.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Timeline {
    pub(crate) times: Vec<f64>,
    pub(crate) remarks: Vec<String>,
}

/// Makes the times never fall. `raw` has `NaN` where a row has no time.
pub(crate) fn straighten(mut raw: Vec<f64>, form: TimeForm) -> Timeline {
    let mut remarks = Vec::new();
    if form == TimeForm::Clock {
        let nights = over_midnight(&mut raw);
        if nights > 0 {
            remarks.push(format!("the clock passes midnight {nights} times"));
        }
    }
    let wild = drop_wild(&mut raw);
    if wild > 0 {
        remarks.push(format!("{wild} rows left out: their time stamp is out of order"));
    }
    let typical = median_interval(&rising_only(&raw)).unwrap_or(0.0);
    let mut shift = 0.0;
    let mut last: Option<(usize, f64)> = None;
    let mut back: Vec<(usize, f64)> = Vec::new();
    for (row, time) in raw.iter_mut().enumerate() {
        if time.is_nan() {
            continue;
        }
        *time += shift;
        if let Some((_, before)) = last.filter(|(_, before)| *time < *before) {
            back.push((row + 1, before - *time));
            shift += before + typical - *time;
            *time = before + typical;
        }
        last = Some((row, *time));
    }
    if let Some((row, most)) = back.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)) {
        let s = if back.len() == 1 { "once" } else { "more than once" };
        remarks.push(format!(
            "the clock steps back {s}, most by {most:.3} s at data row {row}: \
             what follows was moved on to one usual interval after"
        ));
    }
    Timeline { times: raw, remarks }
}

/// Median of the positive intervals, s.
pub(crate) fn median_interval(times: &[f64]) -> Option<f64> {
    let mut gaps: Vec<f64> =
        times.windows(2).map(|w| w[1] - w[0]).filter(|gap| *gap > 0.0).collect();
    gaps.sort_unstable_by(f64::total_cmp);
    let last = gaps.len().checked_sub(1)?;
    // One middle where the number is odd, two where it is even.
    Some(f64::midpoint(gaps[last.div_ceil(2)], gaps[last >> 1]))
}

fn rising_only(raw: &[f64]) -> Vec<f64> {
    raw.iter().copied().filter(|t| !t.is_nan()).collect()
}

fn over_midnight(raw: &mut [f64]) -> usize {
    let mut nights = 0;
    let mut shift = 0.0;
    let mut before = f64::NEG_INFINITY;
    for time in raw.iter_mut().filter(|t| !t.is_nan()) {
        if *time + shift < before - MIDNIGHT_FALL_S {
            shift += DAY_S;
            nights += 1;
        }
        *time += shift;
        before = *time;
    }
    nights
}

/// Leaves out single rows whose stamp lies apart from both neighbours: behind the row
/// before while the next goes on, or far ahead while the next comes back.
fn drop_wild(raw: &mut [f64]) -> usize {
    let typical = median_interval(&rising_only(raw)).unwrap_or(0.0);
    let rows: Vec<usize> = (0..raw.len()).filter(|i| !raw[*i].is_nan()).collect();
    let mut dropped = 0;
    for at in 1..rows.len().saturating_sub(1) {
        let [before, here, after] = [at - 1, at, at + 1].map(|i| raw[rows[i]]);
        let behind = here < before && after >= before;
        let ahead = here > after && after >= before && here - before > WILD * typical;
        if behind || ahead {
            raw[rows[at]] = f64::NAN;
            dropped += 1;
        }
    }
    dropped
}
