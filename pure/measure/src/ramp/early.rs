//! Before the plunger moves the coil is a resistance and an inductance: the current rises as
//! one exponential. Motion makes a voltage against it, so the current lags behind.

use super::dips::Dip;
use super::solve::fit;
use super::trace::{Trace, least};
use crate::estimate::Estimate;
use crate::reading::count_f64;

/// Means that are fitted at most.
const MOST: usize = 120;

/// Means that are fitted at least.
const FEWEST: usize = 10;

/// What the exponential may miss of the end current without meaning anything: iron is not
/// quite linear, and rests of eddy currents.
const MODEL: f64 = 4e-4;

/// Sum of squares, in noise variances, that a lag must explain to be real.
const LAG: f64 = 25.0;

/// Rise of the sum of squares, in noise variances, that bounds 95 % of its start.
const BOUND: f64 = 5.0;

/// The early rise.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Early {
    /// Time constant, s.
    pub(crate) tau_s: Option<f64>,
    /// Start of motion, s.
    pub(crate) motion: Estimate,
    /// Whether one exponential follows the rise all the way up.
    pub(crate) single: bool,
}

/// The part of a trace that is fitted, and the end current, where it is known.
struct Part<'a> {
    points: &'a [(f64, f64)],
    final_a: Option<f64>,
    variance: f64,
}

/// A fitted exponential with or without a lag.
#[derive(Debug, Clone, Copy)]
struct Rise {
    sse: f64,
    tau_s: f64,
    /// Of the lag, A in units of its window; below 0: the current lags.
    lag: f64,
}

impl Part<'_> {
    fn end_s(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.0)
    }

    /// The best exponential with its own start, and a lag that grows with the power of the
    /// time since it began.
    fn rise(&self, lag: Option<(f64, f64)>) -> Rise {
        let end = self.end_s();
        let score =
            |ln_tau: f64| self.with(ln_tau.exp(), lag).map_or(f64::INFINITY, |r| r.sse);
        let (low, high) = ((0.02 * end).ln(), (30.0 * end).ln());
        let places = 14_u32;
        let step = (high - low) / f64::from(places);
        let coarse = (0..=places)
            .map(|k| low + f64::from(k) * step)
            .min_by(|a, b| score(*a).total_cmp(&score(*b)))
            .unwrap_or(low);
        let ln_tau = least((coarse - step, coarse + step), score);
        self.with(ln_tau.exp(), lag).unwrap_or(Rise {
            sse: f64::INFINITY,
            tau_s: ln_tau.exp(),
            lag: 0.0,
        })
    }

    fn with(&self, tau_s: f64, lag: Option<(f64, f64)>) -> Option<Rise> {
        let end = self.end_s();
        let row = move |t: f64| {
            let lagged = lag.map_or(0.0, |(from, power)| {
                ((t - from).max(0.0) / (end - from).max(1e-12)).powf(power)
            });
            (-(-t / tau_s).exp(), lagged)
        };
        let points = self.points.iter();
        let (sse, lag) = match (self.final_a, lag) {
            (Some(last), None) => {
                (fit::<1>(points.map(|(t, a)| ([row(*t).0], a - last)))?.sse, 0.0)
            }
            (Some(last), Some(_)) => {
                let rows = points.map(|(t, a)| ([row(*t).0, row(*t).1], a - last));
                let solved = fit::<2>(rows)?;
                (solved.sse, solved.at[1])
            }
            (None, None) => {
                (fit::<2>(points.map(|(t, a)| ([row(*t).0, 1.0], *a)))?.sse, 0.0)
            }
            (None, Some(_)) => {
                let rows = points.map(|(t, a)| ([row(*t).0, row(*t).1, 1.0], *a));
                let solved = fit::<3>(rows)?;
                (solved.sse, solved.at[1])
            }
        };
        Some(Rise { sse, tau_s, lag })
    }
}

/// Judges the rise up to the stroke, or up to its end where the current never falls.
pub(crate) fn early(trace: &Trace, final_a: Option<f64>, stroke: Option<&Dip>) -> Early {
    let peak_s = stroke.map(|dip| dip.peak_s);
    let top = trace.samples.iter().map(|s| s.1).fold(0.0, f64::max);
    let reach = |share: f64| {
        trace.samples.iter().find(|s| s.1 >= share * top).map_or(f64::INFINITY, |s| s.0)
    };
    let mut until_s = reach(0.15).max(2.0 * trace.every_s * count_f64(FEWEST));
    // Past its top the current shows the lag that noise may hide before.
    let last_s = stroke
        .map_or_else(|| reach(0.93), |dip| dip.peak_s + 0.25 * (dip.low_s - dip.peak_s));
    let last_s = last_s.max(until_s);
    let mut kept: Option<Early> = None;
    while until_s < last_s * 1.12 {
        let means = means(trace, until_s.min(last_s));
        until_s *= 1.12;
        if means.0.len() < FEWEST {
            continue;
        }
        let variance = means.1.powi(2).max((MODEL * top).powi(2));
        let part = Part { points: &means.0, final_a, variance };
        let plain = part.rise(None);
        let lagging = lags(&part, plain, final_a.is_some());
        match lagging {
            Some(found) if peak_s.is_some() => return before_the_top(found, peak_s),
            _ => {}
        }
        let freedom = count_f64(means.0.len()) - 2.0;
        let fits = plain.sse <= part.variance * (freedom + 5.0 * (2.0 * freedom).sqrt());
        // Without a known end a short piece of an exponential is any exponential.
        let known = final_a.is_some() || plain.tau_s < part.end_s();
        if known && (fits || kept.is_none()) {
            kept = Some(Early {
                tau_s: Some(plain.tau_s),
                single: fits,
                ..Early::default()
            });
        }
        if !fits && peak_s.is_none() {
            kept = kept.map(|early| Early { single: false, ..early });
            break;
        }
    }
    let motion = peak_s.map_or_else(Estimate::default, |high| Estimate {
        value: None,
        low: Some(0.0),
        high: Some(high),
    });
    Early { motion, ..kept.unwrap_or_default() }
}

/// A falling current is a moving plunger: motion begins before the top.
fn before_the_top(found: Early, peak_s: Option<f64>) -> Early {
    let top = peak_s.unwrap_or(f64::INFINITY);
    let bound = |time: Option<f64>| time.map(|t| t.min(top));
    let Estimate { value, low, high } = found.motion;
    Early {
        motion: Estimate { value: bound(value), low: bound(low), high: bound(high) },
        ..found
    }
}

/// Where a lag is real: its start, and the time constant with it.
fn lags(part: &Part<'_>, plain: Rise, end_known: bool) -> Option<Early> {
    let end = part.end_s();
    let at = |place: f64, power: f64| part.rise(Some((place * end, power)));
    let variance = |sse: f64| {
        (sse / (count_f64(part.points.len()) - 4.0).max(1.0)).max(part.variance)
    };
    let some = [0.1, 0.4, 0.7].map(|place| at(place, 3.0));
    let best = some.iter().copied().min_by(|a, b| a.sse.total_cmp(&b.sse))?;
    if best.lag >= 0.0 || plain.sse - best.sse < LAG * variance(best.sse) {
        return None;
    }
    let profile = |power: f64| {
        let places: Vec<(f64, Rise)> =
            (0..24_u32).map(|k| f64::from(k) / 25.0).map(|p| (p, at(p, power))).collect();
        let best = places.iter().min_by(|a, b| a.1.sse.total_cmp(&b.1.sse))?;
        let bound = best.1.sse + BOUND * variance(best.1.sse);
        let low = places.iter().find(|p| p.1.sse <= bound)?.0;
        let high = places.iter().rfind(|p| p.1.sse <= bound)?.0;
        Some((best.0, low, high, best.1.tau_s))
    };
    let (value, low, _, tau_s) = profile(3.0)?;
    let earlier = profile(6.0).map_or(0.0, |p| p.1).min(low);
    // At the very beginning it only says that no start can be told.
    let motion = Estimate {
        value: (value > 0.0).then_some(value * end),
        low: Some((earlier - 0.1).max(0.0) * end),
        high: Some(end),
    };
    let tau_s = (end_known || tau_s < end).then_some(tau_s);
    Some(Early { tau_s, motion, single: false })
}

/// Means of the samples up to a time, at most [`MOST`], and the scatter of one.
fn means(trace: &Trace, until_s: f64) -> (Vec<(f64, f64)>, f64) {
    // The very first samples may still hold the switch-on itself.
    let begin_s = 2.5 * trace.every_s;
    let begin =
        trace.samples.partition_point(|s| s.0 < begin_s && begin_s < 0.1 * until_s);
    let end = trace.samples.partition_point(|s| s.0 <= until_s);
    let samples = trace.samples.get(begin..end).unwrap_or_default();
    let group = samples.len().div_ceil(MOST).max(1);
    let n = count_f64(group);
    let middle = |part: &[(f64, f64)]| {
        let sum = part.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0, sum.1 + s.1));
        (sum.0 / n, sum.1 / n)
    };
    let means = samples.chunks_exact(group).map(middle).collect();
    (means, trace.noise.of_mean(group))
}
