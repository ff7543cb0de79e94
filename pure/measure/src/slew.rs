//! Is the move a straight line (a slew limit) or a first-order approach?

use crate::along::least_between;
use crate::chance::quantile;
use crate::estimate::{COVER, Estimate};
use crate::lag::{LagFit, fit_best};
use crate::reading::count_f64;
use crate::steps::Step;

/// Points along the rate and along the arrival.
const GRID: u32 = 24;

/// How well the best is found, in spacings of those points.
const FINE: f64 = 1e-3;

/// Steps, and samples on each side of one, that are enough to tell the two apart.
const STEPS: usize = 20;
const SAMPLES: usize = 200;

/// How much better by the Bayesian information criterion the line must be; 10 is *very
/// strong* (Kass and Raftery 1995).
const CLEARLY: f64 = 10.0;

/// What the moves say of a slew limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slew {
    /// The limit, or the bound that the fastest move sets.
    pub(crate) per_s: Estimate,
    /// The straight line describes the moves better than the first-order approach.
    pub(crate) limited: bool,
}

/// Judges the slew limit of steps that the lag model was fitted to.
pub(crate) fn slew(steps: &[&Step], lag: &LagFit) -> Option<Slew> {
    let fastest = lag.fits.iter().map(|f| f.gain_y.abs() / lag.tau_s).fold(0.0, f64::max);
    let every = steps.len().div_ceil(STEPS).max(1);
    let few: Vec<Step> =
        steps.iter().step_by(every).map(|s| s.thinned(SAMPLES)).collect();
    let few: &[&Step] = &few.iter().collect::<Vec<_>>();
    judge(few, &fit_best(few)?, fastest)
}

fn judge(steps: &[&Step], lag: &LagFit, fastest: f64) -> Option<Slew> {
    let samples = count_f64(steps.iter().map(|s| s.samples.len()).sum());
    let sse = |rate: f64| -> f64 { steps.iter().map(|s| line_sse(s, rate)).sum() };
    let slowest = steps
        .iter()
        .map(|s| s.change().abs() / (s.samples.last().map_or(0.0, |l| l.0) - s.between.0))
        .fold(f64::INFINITY, f64::min);
    // A first-order approach starts at its steepest, so no line is steeper than 3 times.
    let (low, high) = (slowest.ln(), (3.0 * fastest).ln());
    if !low.is_finite() || !high.is_finite() || low >= high {
        return None;
    }
    let best = best_between((low, high), f64::NEG_INFINITY, &|at: f64| sse(at.exp()));
    let limited = samples * (lag.sse / best.1.max(1e-300)).ln() > CLEARLY;
    if !limited {
        return Some(Slew { per_s: Estimate::at_least(fastest), limited });
    }
    let t = quantile(f64::midpoint(1.0, COVER), Some(lag.dof));
    let limit = best.1 * (1.0 + t * t / lag.dof);
    let end = |sign: f64| {
        let inside = |step: &f64| sse((best.0 + sign * step).exp()) <= limit;
        let reach = (1..=100_u32).map(|i| f64::from(i) * 0.01).take_while(inside).last();
        (best.0 + sign * (reach.unwrap_or(0.0) + 0.01)).exp()
    };
    Some(Slew { per_s: Estimate::new(best.0.exp(), end(-1.0), end(1.0)), limited })
}

/// Least sum of squares of a straight move at a rate, over its arrival.
fn line_sse(step: &Step, rate: f64) -> f64 {
    let takes = step.change().abs() / rate;
    let last = step.samples.last().map_or(step.between.1, |s| s.0);
    let sse = |arrival: f64| sse_at(step, arrival, takes);
    let (_, least) = best_between((step.between.0, last), step.between.0, &sse);
    least
}

/// Where a function is least and what it is there: a look at places evenly apart, then closer
/// about the best, not below `floor`.
fn best_between(
    (low, high): (f64, f64),
    floor: f64,
    f: &impl Fn(f64) -> f64,
) -> (f64, f64) {
    let spacing = (high - low) / f64::from(GRID);
    let mut best = (low, f64::INFINITY);
    for i in 0..=GRID {
        let at = low + spacing * f64::from(i);
        let here = f(at);
        if here < best.1 {
            best = (at, here);
        }
    }
    let within = ((best.0 - spacing).max(floor), best.0 + spacing);
    least_between(within, best, FINE * spacing, f)
}

fn sse_at(step: &Step, arrival: f64, takes: f64) -> f64 {
    let (mut n, mut f, mut ff, mut y, mut fy, mut yy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (t, value) in &step.samples {
        let part = ((t - arrival) / takes).clamp(0.0, 1.0);
        let value = value - step.levels.0;
        n += 1.0;
        f += part;
        ff += part * part;
        y += value;
        fy += part * value;
        yy += value * value;
    }
    let spread_f = ff - f * f / n;
    let spread_y = yy - y * y / n;
    if spread_f <= 1e-12 {
        return spread_y.max(0.0);
    }
    let slope = (fy - f * y / n) / spread_f;
    (spread_y - slope * slope * spread_f).max(0.0)
}
