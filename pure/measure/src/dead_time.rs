//! Dead time from arrivals that are known well and commands that are known to the
//! interval between two samples.
//!
//! A command seen new at one sample and old at the one before changed somewhere between:
//! each step says that the dead time lies in (arrival − new, arrival − old). Steps at
//! different phases narrow each other.

use crate::chance::at_most;
use crate::estimate::{COVER, Estimate};
use crate::reading::count_f64;
use crate::robust::{mean, variance};

/// Points on which the chance of each dead time is computed.
const POINTS: u32 = 2_000;

/// Below this sum of log chances a step the steps do not share one dead time.
const APART: f64 = -1.5;

/// Steps up to which the range of the command, not noise, makes the interval. It is then
/// nearly even and its ends are as likely as its middle: a command often comes with a row.
const FEW: usize = 3;

/// Probability left out on each side for so few steps.
const FEW_SIDE: f64 = 0.01;

/// Where in its range the command of a single step is put: (1 − 1/4) of the middle.
const ON_A_ROW: f64 = 0.375;

/// One step: the range that its command leaves, and how well its arrival is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) u: f64,
}

/// The dead time shared by the steps, with what to say about it.
/// `even`: the rows come by a clock, so that a command from the same clock always
/// changes at a row.
pub(crate) fn combine(
    ranges: &[Range],
    common_u: f64,
    even: bool,
) -> (Estimate, Option<&'static str>) {
    let Some((first, last)) = ends(ranges) else { return (Estimate::default(), None) };
    let width = (last - first) / f64::from(POINTS);
    if width <= 0.0 {
        return (Estimate::of_u(first, common_u, None), None);
    }
    let grid: Vec<f64> = (0..=POINTS).map(|i| first + width * f64::from(i)).collect();
    let logs: Vec<f64> = grid.iter().map(|theta| log_chance(ranges, *theta)).collect();
    let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if best < APART * (2.0 + count_f64(ranges.len())) {
        return (apart(ranges), Some("the dead time differs from step to step"));
    }
    let weights: Vec<f64> = logs.iter().map(|l| (l - best).exp()).collect();
    let total: f64 = weights.iter().sum();
    let value = grid.iter().zip(&weights).map(|(t, w)| t * w).sum::<f64>() / total;
    let cut = |p: f64| quantile_of(&grid, &weights, p * total);
    let widen = |half: f64| half.hypot(1.96 * common_u);
    let side = if ranges.len() <= FEW { FEW_SIDE } else { (1.0 - COVER) / 2.0 };
    let low = (value - widen(value - cut(side))).max(0.0);
    let high = value + widen(cut(1.0 - side) - value);
    if let ([range], true) = (ranges, even) {
        return (one_on_a_clock(*range, common_u), None);
    }
    if in_step(ranges) {
        let seen =
            mean(&ranges.iter().map(|r| r.low).collect::<Vec<_>>()).unwrap_or(value);
        let note = "the command always changes at the same phase of the log: \
                    it is taken to act at the row that first shows it";
        let u = mean(&ranges.iter().map(|r| r.u).collect::<Vec<_>>()).unwrap_or(0.0);
        let least = (seen - widen(1.96 * u)).max(0.0).min(low);
        return (Estimate::new(seen.max(0.0), least, high), Some(note));
    }
    (Estimate::new(value, low, high), None)
}

/// One step in a log by a clock: the command may have acted at the row that first shows
/// it, or anywhere since the row before; a quarter for the first, the rest for the second.
fn one_on_a_clock(range: Range, common_u: f64) -> Estimate {
    let reach = 1.96 * range.u.hypot(common_u);
    let value = range.low + ON_A_ROW * (range.high - range.low);
    let low = (range.low - reach).max(0.0);
    Estimate::new(value.max(0.0), low, (range.high + reach).max(low))
}

fn ends(ranges: &[Range]) -> Option<(f64, f64)> {
    let low = ranges.iter().map(|r| r.low - 5.0 * r.u).fold(f64::INFINITY, f64::min);
    let high =
        ranges.iter().map(|r| r.high + 5.0 * r.u).fold(f64::NEG_INFINITY, f64::max);
    let first = low.max(0.0);
    (low.is_finite() && high.is_finite() && high >= first).then_some((first, high))
}

fn log_chance(ranges: &[Range], theta: f64) -> f64 {
    let one = |r: &Range| {
        let u = r.u.max(1e-3 * (r.high - r.low)).max(1e-9);
        let p = at_most((theta - r.low) / u, None) - at_most((theta - r.high) / u, None);
        p.max(1e-12).ln()
    };
    ranges.iter().map(one).sum()
}

fn quantile_of(grid: &[f64], weights: &[f64], target: f64) -> f64 {
    let mut sum = 0.0;
    for (theta, weight) in grid.iter().zip(weights) {
        sum += weight;
        if sum >= target {
            return *theta;
        }
    }
    grid.last().copied().unwrap_or(0.0)
}

/// Mean of the middles with the spread seen from step to step.
fn apart(ranges: &[Range]) -> Estimate {
    let middles: Vec<f64> =
        ranges.iter().map(|r| f64::midpoint(r.low, r.high).max(0.0)).collect();
    Estimate::of_mean(&middles).map_or(Estimate::default(), |e| Estimate {
        low: e.low.map(|low| low.max(0.0)),
        ..e
    })
}

/// True where two steps or more change at one phase of the log: log and command run
/// by one clock, and more steps will not narrow the range.
fn in_step(ranges: &[Range]) -> bool {
    let widths: Vec<f64> = ranges.iter().map(|r| r.high - r.low).collect();
    let lows: Vec<f64> = ranges.iter().map(|r| r.low).collect();
    let us: Vec<f64> = ranges.iter().map(|r| r.u).collect();
    let (Some(width), Some(u)) = (mean(&widths), mean(&us)) else { return false };
    let even = widths.iter().all(|w| (w - width).abs() <= 0.02 * width);
    // Arrivals known worse than a tenth of the range cannot show a phase.
    ranges.len() >= 2
        && even
        && u <= 0.1 * width
        && variance(&lows).is_some_and(|v| v.sqrt() <= 0.04 * width + 1.2 * u)
}
