//! How far means of samples scatter, at the scale at which they are compared.

use super::trace::quantile;
use crate::reading::count_f64;

/// Fewest means at a scale that still tell its scatter.
const FEWEST_MEANS: usize = 24;

/// The share of second differences that is taken, and the size of a normal one there: at
/// least this share of a ramp is straight enough to show the scatter alone.
const STRAIGHT: (f64, f64) = (0.3, 0.385_32);

/// Scales that are kept of stairs, all alike: enough for any recording.
const STAIR_SCALES: usize = 6;

/// Scatter of means of 1, 2, 4, … samples: standard deviations that a smooth signal and a
/// few sharp bends do not move.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Noise {
    /// One scatter a doubling.
    scales: Vec<f64>,
}

impl Noise {
    /// From the samples in order. Second differences of neighbouring means forget the
    /// signal's slope; their lesser part forgets its bends.
    pub(crate) fn of(values: &[f64]) -> Self {
        let step = finest_step(values).unwrap_or(0.0);
        let floor = step / 12.0_f64.sqrt();
        if stairs(values, step) {
            return Self { scales: vec![floor; STAIR_SCALES] };
        }
        let mut scales: Vec<f64> = Vec::new();
        let mut means = values.to_vec();
        while means.len() >= FEWEST_MEANS || scales.is_empty() {
            // Where the probe stands at the end of its range there is no noise to see.
            let bends: Vec<f64> = bends(&means).filter(|bend| *bend > 0.0).collect();
            let seen = quantile(&bends, STRAIGHT.0) / STRAIGHT.1 / 6.0_f64.sqrt();
            // Means of independent samples scatter by 1/√2 a doubling, never by less.
            let least = scales.last().map_or(floor, |last| last / 2.0_f64.sqrt());
            scales.push(seen.max(least));
            means = means
                .chunks_exact(2)
                .map(|pair| f64::midpoint(pair[0], pair[1]))
                .collect();
        }
        Self { scales }
    }

    /// Of one sample.
    pub(crate) fn white(&self) -> f64 {
        self.scales.first().copied().unwrap_or(0.0)
    }

    /// Of the difference of two means of `count` samples far apart: what wanders at every
    /// coarser scale adds up, half of each octave's variance (for independent samples the
    /// sum is √2 times one mean's).
    pub(crate) fn of_difference(&self, count: usize) -> f64 {
        let finest = usize::try_from(count.max(1).ilog2()).unwrap_or(0);
        let last = self.scales.len().saturating_sub(1);
        let coarser: f64 =
            self.scales.iter().skip(finest.min(last)).map(|s| s * s / 2.0).sum();
        let beyond = self.scales.last().map_or(0.0, |s| s * s / 2.0);
        let plain = self.of_mean(count);
        (2.0 * (coarser + beyond)).sqrt().max(2.0_f64.sqrt() * plain)
    }

    /// Of a mean of `count` samples.
    pub(crate) fn of_mean(&self, count: usize) -> f64 {
        let doublings = usize::try_from(count.max(1).ilog2()).unwrap_or(0);
        let known = doublings.min(self.scales.len().saturating_sub(1));
        let further = count_f64(count) / count_f64(1 << known);
        self.scales.get(known).copied().unwrap_or(0.0) / further.sqrt()
    }
}

/// Sizes of the second differences.
fn bends(values: &[f64]) -> impl Iterator<Item = f64> + '_ {
    values.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs())
}

/// Whether the values climb in steps that no noise blurs: rounding then does not average
/// out.
fn stairs(values: &[f64], step: f64) -> bool {
    let level = bends(values).filter(|bend| *bend < 0.01 * step).count();
    let single = bends(values).filter(|bend| *bend < 2.01 * step).count();
    let all = values.len().saturating_sub(2);
    step > 0.0 && 2 * level > all && 20 * (all - single) < all - level
}

/// The finest step between the values, if most of them repeat.
pub(crate) fn finest_step(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let steps: Vec<f64> =
        sorted.windows(2).map(|w| w[1] - w[0]).filter(|step| *step > 0.0).collect();
    let repeated = 2 * (steps.len() + 1) < values.len();
    let least = steps.iter().copied().reduce(f64::min)?;
    // Sums of rounded decimals differ in their last bits: those are no steps.
    let span = sorted.last()? - sorted.first()?;
    let coarse =
        steps.iter().copied().filter(|step| *step > 1e-9 * span).reduce(f64::min);
    repeated.then_some(coarse.unwrap_or(least))
}

/// Factor by which residuals that follow each other widen the variance of what is fitted
/// to them, (1 + r)/(1 − r) of their neighbours' correlation r (an AR(1) process), ≥ 1.
pub(crate) fn follow_factor(residuals: &[f64]) -> f64 {
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let products: f64 = residuals.windows(2).map(|w| w[0] * w[1]).sum();
    if squares > 0.0 {
        let r = (products / squares).clamp(0.0, 0.97);
        (1.0 + r) / (1.0 - r)
    } else {
        1.0
    }
}
