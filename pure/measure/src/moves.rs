//! What moves of one kind say together: dead time, gain, overshoot, and both directions
//! by themselves.

use crate::answer::SideMetrics;
use crate::answered::Scale;
use crate::dead_time::{Range, combine};
use crate::estimate::Estimate;
use crate::lag::{LagFit, arrival_spread, fit};
use crate::reading::count_f64;
use crate::robust::{mean, median};
use crate::settled::pool;
use crate::steps::Step;

/// Share of the move above which an answer is said to overshoot.
pub(crate) const OVERSHOOTS: f64 = 0.05;

/// Samples above the settled level that show a peak well enough to measure it.
const AT_PEAK: usize = 3;

/// Noise of a median of three over that of one value.
const OF_THREE: f64 = 0.67;

/// Dead time shared by the steps, with what to say about it. `even`: the rows come by a
/// clock.
pub(crate) fn dead_time(
    steps: &[&Step],
    lag: &LagFit,
    even: bool,
) -> (Estimate, Vec<String>) {
    let mut slopes = Vec::new();
    let mut ranges = Vec::new();
    let mut edges = 0;
    for (step, fit) in steps.iter().zip(&lag.fits) {
        let Some((variance, slope)) = arrival_spread(step, fit, lag.tau_s) else {
            continue;
        };
        slopes.push(slope);
        edges += usize::from(fit.at_edge);
        ranges.push(Range {
            low: fit.arrival_s - step.between.1,
            high: fit.arrival_s - step.between.0,
            u: (variance * lag.variance()).sqrt(),
        });
    }
    let u_tau = match (lag.low_s, lag.high_s) {
        (Some(low), Some(high)) => (high - low) / 3.92,
        _ => lag.tau_s,
    };
    let common = mean(&slopes).unwrap_or(0.0).abs() * u_tau;
    let (estimate, note) = combine(&ranges, common, even);
    let mut notes: Vec<String> = note.map(str::to_owned).into_iter().collect();
    if edges > 0 {
        notes.push(format!(
            "{edges} steps: the answer begins within the interval that shows the command"
        ));
    }
    (estimate, notes)
}

/// Change of the settled value over change of the command.
pub(crate) fn gain(steps: &[&Step], lag: &LagFit) -> Option<Estimate> {
    let sigma = lag.variance().sqrt();
    let single: Vec<(f64, f64)> = steps
        .iter()
        .zip(&lag.fits)
        .map(|(step, fit)| {
            let command = step.to - step.from;
            let n =
                count_f64(step.before).recip() + count_f64(step.settled().len()).recip();
            (fit.gain_y / command, sigma * n.sqrt() / command.abs())
        })
        .collect();
    pool(&single, lag.dof)
}

/// The steps of one direction fitted by themselves; `None` where the log carries none.
pub(crate) fn side(steps: &[&Step], up: bool, even: bool) -> Option<SideMetrics> {
    let these: Vec<&Step> =
        steps.iter().filter(|s| (s.to > s.from) == up).copied().collect();
    let lag = fit(&these)?;
    Some(SideMetrics {
        steps: these.len(),
        dead_time_s: dead_time(&these, &lag, even).0,
        time_constant_s: Estimate {
            value: Some(lag.tau_s),
            low: lag.low_s,
            high: lag.high_s,
        },
        gain: gain(&these, &lag).unwrap_or_default(),
    })
}

/// How far one step goes beyond where it settles, as a share of its move; `None` where the
/// log does not show it. Below the noise it is 0.
pub(crate) fn overshoot_of(step: &Step, scale: Scale) -> Option<Peak> {
    let values: Vec<f64> = step.after().iter().map(|s| s.1).collect();
    let settled = median(&step.settled().iter().map(|s| s.1).collect::<Vec<_>>())?;
    let change = settled - step.levels.0;
    if change == 0.0 || values.len() < AT_PEAK {
        return None;
    }
    let beyond = |value: f64| (value - settled) / change;
    let most = values
        .windows(AT_PEAK)
        .filter_map(|w| median(w).map(beyond))
        .fold(f64::NEG_INFINITY, f64::max);
    let noise = OF_THREE * scale.noise() / change.abs();
    let seen = values.iter().filter(|v| beyond(**v) > 0.5 * most).count();
    let shows = most > 4.0 * noise && most > 1e-6;
    Some(Peak {
        share: if shows { most } else { 0.0 },
        noise,
        clear: !shows || seen >= AT_PEAK,
    })
}

/// The farthest a step went beyond where it settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Peak {
    pub(crate) share: f64,
    pub(crate) noise: f64,
    /// Samples enough lie about the peak to measure it.
    clear: bool,
}

/// Overshoot of the steps together: a value where most show it, a lower bound where the
/// samples may have missed the peak, an upper one where none shows.
pub(crate) fn overshoot(steps: &[&Step], scale: Scale) -> Estimate {
    let peaks: Vec<Peak> =
        steps.iter().filter_map(|step| overshoot_of(step, scale)).collect();
    let shown: Vec<Peak> = peaks.iter().filter(|p| p.share > 0.0).copied().collect();
    let shares: Vec<f64> = shown.iter().map(|p| p.share).collect();
    let noise = peaks.iter().map(|p| p.noise).fold(0.0, f64::max);
    if peaks.is_empty() {
        return Estimate::default();
    }
    if 2 * shown.len() <= peaks.len() {
        let most = peaks.iter().map(|p| p.share).fold(4.0 * noise, f64::max);
        return Estimate::at_most(most);
    }
    if 2 * shown.iter().filter(|p| p.clear).count() <= shown.len() {
        let least = shares.iter().copied().fold(f64::INFINITY, f64::min);
        return Estimate::at_least((least - 2.0 * noise).max(0.0));
    }
    match shares.as_slice() {
        [only] => Estimate::of_u(*only, 1.5 * noise, None),
        many => Estimate::of_mean(many).map_or(Estimate::default(), |e| {
            widened(e, noise / count_f64(many.len()).sqrt())
        }),
    }
}

fn widened(estimate: Estimate, u: f64) -> Estimate {
    let value = estimate.value.unwrap_or(0.0);
    let reach = |end: f64| (end - value).abs().hypot(2.0 * u);
    Estimate {
        value: estimate.value,
        low: estimate.low.map(|low| (value - reach(low)).max(0.0)),
        high: estimate.high.map(|high| value + reach(high)),
    }
}
