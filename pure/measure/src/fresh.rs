//! What a channel's values themselves tell: the grid of its converter, and stretches in
//! which the link repeated itself.

use crate::reading::count_f64;
use crate::steps::{Sample, ends, in_halves};

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
    let (least, most) = ends(samples);
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
    let halves = in_halves(samples, Hops::of);
    let Some(all) = halves.into_iter().reduce(Hops::followed_by) else { return false };
    let share = count_f64(all.turns) / count_f64(all.changes.max(1));
    share >= NOISY && all.repeats < all.changes
}

/// How a value goes from sample to sample.
#[derive(Debug, PartialEq)]
struct Hops {
    changes: usize,
    /// Changes that go back on the one before.
    turns: usize,
    repeats: usize,
    /// First and last value, and first and last change; 0 without one.
    values: Option<(f64, f64)>,
    first: f64,
    last: f64,
}

impl Hops {
    fn of(samples: &[Sample]) -> Self {
        let values = samples.first().zip(samples.last()).map(|(a, b)| (a.1, b.1));
        let mut hops =
            Self { changes: 0, turns: 0, repeats: 0, values, first: 0.0, last: 0.0 };
        for pair in samples.windows(2) {
            hops.take(pair[1].1 - pair[0].1);
        }
        hops
    }

    fn take(&mut self, change: f64) {
        if change == 0.0 {
            self.repeats += 1;
            return;
        }
        self.changes += 1;
        self.turns += usize::from(change * self.last < 0.0);
        self.first = if self.changes == 1 { change } else { self.first };
        self.last = change;
    }

    /// With the next samples behind these.
    fn followed_by(mut self, next: Self) -> Self {
        let (Some((start, from)), Some((to, end))) = (self.values, next.values) else {
            return if self.values.is_none() { next } else { self };
        };
        self.values = Some((start, end));
        self.take(to - from);
        if next.changes > 0 {
            self.turns += next.turns + usize::from(next.first * self.last < 0.0);
            self.first = if self.changes == 0 { next.first } else { self.first };
            self.last = next.last;
        }
        self.changes += next.changes;
        self.repeats += next.repeats;
        self
    }
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

#[cfg(test)]
mod tests {
    use super::Hops;

    #[test]
    fn pieces_give_what_the_whole_gives() {
        let values = [1.0, 1.0, 2.0, 1.5, 1.5, 1.0, 3.0, 3.0, 2.0, 4.0];
        let samples: Vec<(f64, f64)> = values.iter().map(|value| (0.0, *value)).collect();
        let whole = Hops::of(&samples);
        // Ups and downs counted by hand.
        assert_eq!((whole.changes, whole.turns, whole.repeats), (6, 4, 3));
        for cut in 0..=samples.len() {
            let (one, other) = samples.split_at(cut);
            let both = Hops::of(one).followed_by(Hops::of(other));
            assert_eq!(both, whole, "{cut}");
        }
    }
}
