//! Hysteresis: how far apart, in units of the command, the way up and the way down lie
//! once lag is taken out.

use crate::estimate::Estimate;
use crate::reading::count_f64;
use crate::robust::median;
use crate::steps::{Sample, Step, range, stillness};

/// Actual samples that a ramp must hold.
const RAMP_SAMPLES: usize = 8;

/// Share of the command's range that a ramp must span.
const RAMP_SPANS: f64 = 0.3;

/// Share of the range by which the command must come back for a turn.
const TURNS: f64 = 0.05;

/// Largest change from sample to sample, as a share of the ramp.
const LARGEST_HOP: f64 = 0.2;

/// What the recording says of hysteresis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    pub(crate) width: Estimate,
    pub(crate) note: Option<&'static str>,
}

/// From settled levels reached both ways, else from slow ramps; `lag_s` is dead time
/// plus time constant where steps gave them, `gain` the slope of actual over command.
pub(crate) fn hysteresis(
    command: &[Sample],
    actual: &[Sample],
    steps: &[&Step],
    lag: (Option<f64>, Option<f64>),
) -> Option<Found> {
    let still = stillness(command)?;
    if let Some(found) = lag.1.and_then(|gain| from_levels(steps, still, gain)) {
        return Some(found);
    }
    from_ramps(command, actual, lag.0)
}

/// The same command level, once reached from below and once from above.
fn from_levels(steps: &[&Step], still: f64, gain: f64) -> Option<Found> {
    if gain == 0.0 {
        return None;
    }
    let (ups, downs): (Vec<_>, Vec<_>) = steps
        .iter()
        .filter_map(|s| {
            let level = median(&s.settled().iter().map(|v| v.1).collect::<Vec<_>>())?;
            Some((s.to > s.from, s.to, level))
        })
        .partition(|(up, _, _)| *up);
    let mut widths = Vec::new();
    for (_, to, from_below) in &ups {
        let same = downs.iter().filter(|(_, command, _)| (command - to).abs() <= still);
        let reached: Vec<f64> = same.map(|(_, _, level)| *level).collect();
        if let Some(from_above) = median(&reached) {
            widths.push((from_above - from_below) / gain);
        }
    }
    let width = Estimate::of_mean(&widths)?;
    let note = "hysteresis: settled values at the same command, reached from both sides";
    Some(Found { width, note: Some(note) })
}

/// A slow way of the command in one direction: actual = a + b · command there.
#[derive(Debug, Clone, Copy)]
struct Line {
    up: bool,
    a: f64,
    b: f64,
    middle: f64,
    rate: f64,
}

fn from_ramps(
    command: &[Sample],
    actual: &[Sample],
    lag_s: Option<f64>,
) -> Option<Found> {
    let lines: Vec<Line> = ramps(command)
        .into_iter()
        .filter_map(|ramp| line(&command[ramp.0..=ramp.1], actual, lag_s.unwrap_or(0.0)))
        .collect();
    let (ups, downs): (Vec<&Line>, Vec<&Line>) = lines.iter().partition(|l| l.up);
    let mut widths = Vec::new();
    for (up, down) in ups.iter().zip(&downs) {
        let middle = f64::midpoint(up.middle, down.middle);
        let at = |line: &Line| (middle - line.a) / line.b;
        widths.push(at(up) - at(down));
    }
    if let Some(lag_s) = lag_s {
        let width = Estimate::of_mean(&widths)?;
        let rate = lines.iter().map(|l| l.rate).fold(0.0, f64::max);
        let taken = 2.0 * rate * lag_s > 0.2 * width.value.unwrap_or(0.0).abs();
        let note = if taken {
            "hysteresis: from ramps; the lag taken out is not small beside it"
        } else {
            "hysteresis: from ramps up and down, lag taken out"
        };
        return Some(Found { width, note: Some(note) });
    }
    let most = widths.iter().copied().reduce(f64::max)?;
    let note = "hysteresis: no step tells the lag, so the ramps give an upper bound only";
    Some(Found { width: Estimate::at_most(most.max(0.0)), note: Some(note) })
}

/// Ways of the command from one turn to the next that are straight and no step.
fn ramps(command: &[Sample]) -> Vec<(usize, usize)> {
    let range = range(command);
    let turns = turns(command, TURNS * range);
    let whole = turns.windows(2).map(|w| (w[0], w[1]));
    whole
        .filter(|(first, last)| {
            let way = &command[*first..=*last];
            let span = (command[*last].1 - command[*first].1).abs();
            let hop = way.windows(2).map(|w| (w[1].1 - w[0].1).abs()).fold(0.0, f64::max);
            let even = span > 0.0 && hop <= LARGEST_HOP * span;
            way.len() > RAMP_SAMPLES
                && span >= RAMP_SPANS * range
                && even
                && straight(way)
        })
        .collect()
}

/// Where the command turns by more than a threshold, its ends included.
fn turns(command: &[Sample], threshold: f64) -> Vec<usize> {
    let mut turns = vec![0];
    let (mut low, mut high) = (0, 0);
    let mut up: Option<bool> = None;
    for i in 1..command.len() {
        if command[i].1 < command[low].1 {
            low = i;
        }
        if command[i].1 >= command[high].1 {
            high = i;
        }
        let (fell, rose) =
            (command[high].1 - command[i].1, command[i].1 - command[low].1);
        if up != Some(false) && fell > threshold {
            turns.push(high);
            (up, low) = (Some(false), i);
        } else if up != Some(true) && rose > threshold {
            turns.push(low);
            (up, high) = (Some(true), i);
        }
    }
    turns.push(command.len().saturating_sub(1));
    turns.dedup();
    turns
}

/// True if no sample strays from the line between the ends by more than a tenth.
fn straight(way: &[Sample]) -> bool {
    let (Some(from), Some(to)) = (way.first(), way.last()) else { return false };
    let slope = (to.1 - from.1) / (to.0 - from.0);
    slope.is_finite()
        && way.iter().all(|s| {
            (s.1 - from.1 - slope * (s.0 - from.0)).abs() <= 0.1 * (to.1 - from.1).abs()
        })
}

fn line(ramp: &[Sample], actual: &[Sample], lag_s: f64) -> Option<Line> {
    let (from, to) = (ramp.first()?, ramp.last()?);
    let pairs: Vec<(f64, f64)> = actual
        .iter()
        .filter(|s| s.0 - lag_s >= from.0 && s.0 - lag_s <= to.0)
        .filter_map(|s| Some((between(ramp, s.0 - lag_s)?, s.1)))
        .collect();
    if pairs.len() < RAMP_SAMPLES {
        return None;
    }
    // After a turn the part may stick for a third of the way before it follows.
    let skip = pairs.len().div_ceil(3);
    let pairs = &pairs[skip..pairs.len() - pairs.len().div_ceil(20)];
    let n = count_f64(pairs.len());
    let (mx, my) =
        pairs.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0 / n, sum.1 + p.1 / n));
    let sxx: f64 = pairs.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let sxy: f64 = pairs.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    let b = sxy / sxx;
    let rate = ((to.1 - from.1) / (to.0 - from.0)).abs();
    (b.is_finite() && b != 0.0).then_some(Line {
        up: to.1 > from.1,
        a: my - b * mx,
        b,
        middle: my,
        rate,
    })
}

fn between(ramp: &[Sample], t: f64) -> Option<f64> {
    let at = ramp.partition_point(|s| s.0 <= t);
    let (a, b) = (ramp.get(at.checked_sub(1)?)?, ramp.get(at).or(ramp.last())?);
    if b.0 <= a.0 {
        return Some(a.1);
    }
    Some(a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0))
}
