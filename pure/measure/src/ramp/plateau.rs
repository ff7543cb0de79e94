//! Where the current ends: whether it is settled, clipped by the probe or held by a limit,
//! and at which level.

use super::noise::{finest_step, follow_factor};
use super::solve::{fit, residuals};
use super::trace::{Trace, least, quantile};
use crate::reading::count_f64;
use crate::robust::median;

/// What may still be missing of a settled current, as a share of it.
const SETTLED: f64 = 0.02;

/// Share of the time since the rise began that is fitted.
const END_SHARE: f64 = 0.3;

/// Sum of squares, in noise variances, that another time constant must save.
const OTHER_TAU: f64 = 12.0;

/// Samples that repeat the greatest value exactly where a probe clips.
const STUCK: usize = 10;

/// The end of a rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Plateau {
    /// Current to which it settles, A.
    pub(crate) final_a: f64,
    /// Standard uncertainty of that, A.
    pub(crate) u_a: f64,
    /// Whether next to nothing of it is missing at the end.
    pub(crate) settled: bool,
    /// How the top is cut off.
    pub(crate) cut: Cut,
}

/// What cuts the top off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cut {
    /// Nothing.
    No,
    /// The probe or the recorder: the samples stand at one value.
    Range,
    /// The supply or the driver: a corner with the noise going on.
    Limit,
}

/// Judges the end of the rise that begins at `from` (s, A).
pub(crate) fn plateau(trace: &Trace, from: (f64, f64)) -> Option<Plateau> {
    let samples = &trace.samples;
    let first = samples.partition_point(|s| s.0 < from.0);
    let rising = samples.get(first..)?;
    let end_s = rising.last()?.0;
    let few = rising.len().div_ceil(20).max(5).min(rising.len());
    let last: Vec<f64> = rising[rising.len() - few..].iter().map(|s| s.1).collect();
    let last_a = median(&last)?;
    let level = from.1 + 0.632 * (last_a - from.1);
    let reached = rising.iter().find(|s| s.1 >= level)?.0;
    let last_tau_s = (reached - from.0).max(trace.every_s);
    let window_s = END_SHARE * (end_s - from.0);
    let start = rising.partition_point(|s| s.0 < end_s - window_s);
    let part = &rising[start.min(rising.len().saturating_sub(8))..];
    let begin_s = part.first()?.0;
    let tau_s = end_tau(part, begin_s, last_tau_s, trace.noise.white());
    let decay = |t: f64| (-(t - begin_s) / tau_s).exp();
    let rows = part.iter().map(|(t, a)| ([1.0, decay(*t)], *a));
    let solved = fit::<2>(rows.clone())?;
    let n = count_f64(part.len());
    let colour = follow_factor(&residuals(rows, &solved.at)).sqrt();
    let scatter = (solved.sse / (n - 2.0).max(1.0)).max(trace.noise.white().powi(2));
    let u = |k: usize| (scatter * solved.spread[k]).sqrt() * colour;
    let missing = (solved.at[1].abs() + 2.0 * u(1)) * decay(end_s);
    let (final_a, u_a) = (solved.at[0], u(0));
    let near = missing <= SETTLED * final_a.abs() && 2.0 * u_a <= SETTLED * final_a.abs();
    let settled = near && end_s - from.0 >= 3.0 * last_tau_s;
    // A rise that still goes on is cut short, whatever its shape.
    let cut = match cut(trace, from) {
        Cut::Limit if !near => Cut::No,
        cut @ (Cut::No | Cut::Range | Cut::Limit) => cut,
    };
    Some(Plateau { final_a, u_a, settled, cut })
}

/// Time constant of the end: the 63 % time, unless another one fits clearly better (iron
/// that saturates ends its rise quicker than it begins it).
fn end_tau(part: &[(f64, f64)], begin_s: f64, tau_s: f64, white: f64) -> f64 {
    let sse = |tau: f64| {
        let rows = part.iter().map(|(t, a)| ([1.0, (-(t - begin_s) / tau).exp()], *a));
        fit::<2>(rows).map_or(f64::INFINITY, |solved| solved.sse)
    };
    let score = |ln_tau: f64| sse(ln_tau.exp());
    let other = least(((0.1 * tau_s).ln(), (1.5 * tau_s).ln()), score).exp();
    let n = count_f64(part.len());
    let variance = (sse(other) / (n - 3.0).max(1.0)).max(white * white);
    if sse(tau_s) - sse(other) > OTHER_TAU * variance { other } else { tau_s }
}

/// A flat top behind a corner. An exponential that settles takes longer and longer for
/// each step up; a cut one arrives at speed.
fn cut(trace: &Trace, from: (f64, f64)) -> Cut {
    let values: Vec<f64> =
        trace.samples.iter().filter(|s| s.0 >= from.0).map(|s| s.1).collect();
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let at_most = |a: f64| most - a <= 1e-9 * most.abs();
    let Some(first) = values.iter().position(|a| at_most(*a)) else { return Cut::No };
    let there = values[first..].iter().filter(|a| at_most(**a)).count();
    let stuck = there >= STUCK && 2 * there >= values.len() - first;
    if stuck && (strikes_the_top(trace, from, most) || noise_stops(trace, &values, most))
    {
        return Cut::Range;
    }
    let top = quantile(&values, 0.9);
    if arrives_at_speed(trace, from, top) { Cut::Limit } else { Cut::No }
}

/// Whether the noise of the rise is far coarser than the step in which values are written,
/// while the top has none.
fn noise_stops(trace: &Trace, values: &[f64], most: f64) -> bool {
    let below: Vec<f64> = values.iter().copied().filter(|a| *a < 0.97 * most).collect();
    let bends: Vec<f64> = below.windows(3).map(|w| w[0] - 2.0 * w[1] + w[2]).collect();
    // Bends of noise turn their sign at three of four, those of a curve stay.
    let turns = bends.windows(2).filter(|w| w[0] * w[1] < 0.0).count();
    if 2 * turns < bends.len() {
        return false;
    }
    let sizes: Vec<f64> = bends.iter().map(|b| b.abs()).collect();
    let scatter = median(&sizes).unwrap_or(0.0) / 2.45 * 1.4826;
    let step = finest_step(values).unwrap_or(0.0);
    let whole: Vec<f64> = trace.samples.iter().map(|s| s.1).collect();
    let step = step.max(finest_step(&whole).unwrap_or(0.0));
    below.len() > 20 && scatter > 0.6 * step.max(1e-4 * most)
}

/// Whether the current reaches its greatest value without slowing down. An exponential takes
/// ln(a/b) time constants from a missing share a to b; cut off on its way it takes less than
/// the half of that for its last steps.
fn strikes_the_top(trace: &Trace, from: (f64, f64), most: f64) -> bool {
    let values: Vec<f64> = trace.samples.iter().map(|s| s.1).collect();
    let step = finest_step(&values).unwrap_or(0.0) / (most - from.1);
    let (near, there) = ((4.0 * step).clamp(0.03, 0.1), (0.5 * step).max(0.001));
    let expected = (near / there).ln() / (0.2 / near).ln();
    let begin = trace.samples.partition_point(|s| s.0 < from.0);
    let rise = &trace.samples[begin..];
    let stays = |run: &[(f64, f64)]| run.iter().all(|s| s.1 >= most);
    let Some(at) = rise.windows(STUCK).position(stays) else { return false };
    let below = |share: f64| {
        let level = from.1 + share * (most - from.1);
        rise[..at].iter().rfind(|s| s.1 < level)
    };
    let (Some(low), Some(high), first) = (below(0.8), below(1.0 - near), rise[at]) else {
        return false;
    };
    first.0 - high.0 - trace.every_s < 0.6 * expected * (high.0 - low.0 + trace.every_s)
}

/// Whether the last steps up to a level take no longer than the ones before. Of an
/// exponential 80 to 90 % takes 0.69 time constants, 90 to 97 % 1.20.
fn arrives_at_speed(trace: &Trace, from: (f64, f64), level: f64) -> bool {
    let noise = trace.noise.white();
    let climb = level - from.1;
    if 0.03 * climb < 4.0 * noise {
        return false;
    }
    let crossed = |share: f64| {
        let mut samples = trace.samples.iter().filter(|s| s.0 >= from.0);
        let last_below = samples.rfind(|s| s.1 < from.1 + share * climb);
        last_below.map(|s| s.0)
    };
    let shares = [0.5, 0.65, 0.8, 0.9, 0.97].map(crossed);
    let [Some(half), Some(early), Some(low), Some(middle), Some(high)] = shares else {
        return false;
    };
    let every = trace.every_s;
    let (first, second, third) = (early - half, low - early, middle - low);
    let last = high - middle;
    // Iron that saturates quickens the rise before it settles: that is no corner.
    let no_knee = second > 0.9 * first && third > 0.6 * second;
    no_knee && third > 6.0 * every && last < 0.95 * third
}
