//! When did it change: the one step of the mean that a series of values shows best, with
//! neighbours that tell the same counted once.

use schemars::JsonSchema;
use serde::Serialize;

use crate::estimate::Estimate;
use crate::reading::count_f64;
use crate::robust::{mean, repeats};

/// Values on each side that a change needs.
const EDGE: usize = 3;

/// Multiple of ln n that the gain must pass, in variances: about 1 in 20 series of pure
/// noise does (simulated).
const PENALTY: f64 = 3.0;

/// Where a series changes its mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanStep {
    /// Values before the change.
    pub after: usize,
    /// Sum of squares that it explains: k (n − k)/n (m₁ − m₂)².
    pub gain: f64,
    /// Sum of squares that it leaves.
    pub left: f64,
    /// How many neighbouring residuals tell the same, at least 1.
    pub repeats: f64,
    /// It is more than noise makes.
    pub clear: bool,
}

/// The best single change of the mean (generalised likelihood ratio), three values or more
/// on each side; `None` of fewer than eight values.
pub fn mean_step(values: &[f64]) -> Option<MeanStep> {
    let n = values.len();
    let middle = mean(values).filter(|_| n >= 2 * EDGE + 2)?;
    let all: f64 = values.iter().map(|v| (v - middle).powi(2)).sum();
    let mut sum = 0.0;
    let mut best: Option<(usize, f64)> = None;
    for (k, value) in (1..).zip(values) {
        sum += value - middle;
        if k < EDGE || n - k < EDGE {
            continue;
        }
        let (left, right) = (count_f64(k), count_f64(n - k));
        // Σ from the mean: m₁ − m₂ = Σ n/(k (n − k)).
        let gain = sum * sum * count_f64(n) / (left * right);
        if best.is_none_or(|(_, most)| gain > most) {
            best = Some((k, gain));
        }
    }
    let (after, gain) = best?;
    let (head, tail) = values.split_at(after);
    let (before, later) = (mean(head)?, mean(tail)?);
    let from = |middle: f64| move |value: &f64| value - middle;
    let residuals: Vec<f64> =
        head.iter().map(from(before)).chain(tail.iter().map(from(later))).collect();
    let repeats = repeats(&residuals);
    let left = (all - gain).max(0.0);
    let variance = left / (count_f64(n) - 2.0);
    let clear = gain > PENALTY * count_f64(n).ln() * variance * repeats && gain > 0.0;
    Some(MeanStep { after, gain, left, repeats, clear })
}

/// When the answer of an actuator changed within one recording.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChangeWithin {
    /// What changed.
    pub metric: &'static str,
    /// Between these two times, s.
    pub between_s: (f64, f64),
    /// Mean before.
    pub before: Estimate,
    /// Mean after.
    pub after: Estimate,
}

/// Looks for a change in values at times, unlike steps freed of what sets them apart.
pub(crate) fn within(
    metric: &'static str,
    series: &[(f64, f64)],
    freed: &[f64],
) -> Option<ChangeWithin> {
    let step = mean_step(freed).filter(|step| step.clear)?;
    let values = |part: &[(f64, f64)]| -> Vec<f64> { part.iter().map(|s| s.1).collect() };
    let (before, after) = series.split_at_checked(step.after)?;
    Some(ChangeWithin {
        metric,
        between_s: (before.last()?.0, after.first()?.0),
        before: Estimate::of_mean(&values(before))?,
        after: Estimate::of_mean(&values(after))?,
    })
}
