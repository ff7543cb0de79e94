//! What a channel's values themselves tell: the grid of its converter, and stretches in
//! which the link repeated itself.

use crate::reading::count_f64;
use crate::steps::Sample;

/// Share of repeats among neighbours below which a channel is lively.
const LIVELY: f64 = 0.2;

/// Repeats in a row that a lively channel shows less than once in 3000 samples.
const REPEATS: usize = 5;

/// Share of changes that turn back from which a channel counts as noisy; pure noise has
/// two thirds.
const NOISY: f64 = 0.4;

/// Samples looked at for the grid.
const LOOKED_AT: usize = 20_000;

/// Most values of a grid, and how often each must be taken on average.
const MOST_VALUES: usize = 512;
const OFTEN: usize = 8;

/// Step of the converter's grid; 0 where the values do not lie on a coarse one.
pub(crate) fn grain(samples: &[Sample]) -> f64 {
    let every = samples.len().div_ceil(LOOKED_AT).max(1);
    let mut values: Vec<f64> = samples.iter().step_by(every).map(|s| s.1).collect();
    values.sort_unstable_by(f64::total_cmp);
    let range = values.last().zip(values.first()).map_or(0.0, |(high, low)| high - low);
    let gaps = values.windows(2).map(|w| w[1] - w[0]).filter(|gap| *gap > 1e-9 * range);
    let distinct = gaps.clone().count() + 1;
    let least = gaps.fold(f64::INFINITY, f64::min);
    let gridded = distinct * OFTEN < values.len() && distinct <= MOST_VALUES;
    if gridded && least.is_finite() { least } else { 0.0 }
}

/// Stretches (first and last time, s) in which a value that otherwise never rests repeats
/// to the last digit. At its least and greatest value a channel may be at its stop.
pub(crate) fn repeated(samples: &[Sample]) -> Vec<(f64, f64)> {
    if !noisy(samples) {
        return Vec::new();
    }
    let least = samples.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    let most = samples.iter().map(|s| s.1).fold(f64::NEG_INFINITY, f64::max);
    let mut stretches = Vec::new();
    let (mut usual, mut start) = (0_usize, 0);
    for i in 1..=samples.len() {
        let same = |s: &Sample| s.1.to_bits() == samples[start].1.to_bits();
        if samples.get(i).is_some_and(same) {
            continue;
        }
        let repeats = i - 1 - start;
        let inside = samples[start].1 > least && samples[start].1 < most;
        if repeats < REPEATS {
            usual += repeats;
        } else if inside {
            stretches.push((samples[start].0, samples[i - 1].0));
        }
        start = i;
    }
    let share = count_f64(usual) / count_f64(samples.len());
    if share <= LIVELY { stretches } else { Vec::new() }
}

/// True where the value goes to and fro: what sticks without noise may stick truly.
fn noisy(samples: &[Sample]) -> bool {
    let (mut turns, mut changes, mut repeats, mut last) =
        (0_usize, 0_usize, 0_usize, 0.0);
    for pair in samples.windows(2) {
        let change = pair[1].1 - pair[0].1;
        if change == 0.0 {
            repeats += 1;
            continue;
        }
        changes += 1;
        turns += usize::from(change * last < 0.0);
        last = change;
    }
    let share = count_f64(turns) / count_f64(changes.max(1));
    share >= NOISY && repeats < changes
}

/// The samples without those inside a stretch; the one that begins it is a sample.
pub(crate) fn without(samples: &[Sample], stretches: &[(f64, f64)]) -> Vec<Sample> {
    let mut at = 0;
    let mut kept = Vec::with_capacity(samples.len());
    for sample in samples {
        while stretches.get(at).is_some_and(|(_, end)| *end < sample.0) {
            at += 1;
        }
        let inside = stretches
            .get(at)
            .is_some_and(|(start, end)| *start < sample.0 && sample.0 <= *end);
        if !inside {
            kept.push(*sample);
        }
    }
    kept
}
