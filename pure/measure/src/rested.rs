//! The steps of a recording fitted together: each freed of what the answer before it
//! left, and of samples that only cost time.

use crate::lag::{self, Fit, LagFit};
use crate::steps::{Step, Tail};

/// Time constants after which what is left of the step before is below 0.3 %.
const DECAYED_TAUS: f64 = 6.0;

/// Time constants after the arrival that a command must be held for.
const HELD_TAUS: f64 = 2.0;

/// Samples on one side of the steps that are enough for all of them.
const ALL_SAMPLES: usize = 60_000;

/// Least and most of them for one step.
const FEWEST_SAMPLES: usize = 100;
const MOST_SAMPLES: usize = 2_000;

/// Steps as they were fitted, the fit of all, and of each by itself.
pub(crate) struct Fitted {
    pub(crate) steps: Vec<Step>,
    pub(crate) all: LagFit,
    pub(crate) each: Vec<Option<LagFit>>,
}

/// Fits twice: the first look tells what each answer leaves for the step after it.
pub(crate) fn fit_rested(steps: &[&Step]) -> Option<Fitted> {
    let most = most_samples(steps.len());
    let thinned: Vec<Step> = steps.iter().map(|s| s.thinned(most)).collect();
    let first = lag::fit(&thinned.iter().collect::<Vec<_>>())?;
    let singles: Vec<Option<LagFit>> = thinned.iter().map(|s| lag::fit(&[s])).collect();
    let settled_s = 2.0 * (longest_delay(steps, &first) + DECAYED_TAUS * first.tau_s);
    let rested: Vec<Step> = steps
        .iter()
        .map(|step| {
            let before = steps.iter().position(|s| step.follows(s));
            let single = before.and_then(|at| singles.get(at)?.as_ref());
            step.rested(single.and_then(tail), settled_s, most)
        })
        .collect();
    let all = lag::fit(&rested.iter().collect::<Vec<_>>())?;
    let each = rested.iter().map(|s| lag::fit(&[s])).collect();
    Some(Fitted { steps: rested, all, each })
}

fn most_samples(steps: usize) -> usize {
    (ALL_SAMPLES.checked_div(steps).unwrap_or(0)).clamp(FEWEST_SAMPLES, MOST_SAMPLES)
}

fn tail(single: &LagFit) -> Option<Tail> {
    let fit = single.fits.first()?;
    let decays_s = DECAYED_TAUS * single.tau_s;
    Some(Tail {
        arrival_s: fit.arrival_s,
        gain_y: fit.gain_y,
        tau_s: single.tau_s,
        decays_s,
    })
}

fn longest_delay(steps: &[&Step], lag: &LagFit) -> f64 {
    let delay = |(step, fit): (&&Step, &Fit)| fit.arrival_s - step.between.0;
    steps.iter().zip(&lag.fits).map(delay).fold(0.0, f64::max)
}

/// The steps whose command was held until the answer was over, and how many were not;
/// what a step cut short would add is mostly doubt.
pub(crate) fn held_long_enough<'a>(steps: &[&'a Step]) -> (Vec<&'a Step>, usize) {
    let most = most_samples(steps.len());
    let thinned: Vec<Step> = steps.iter().map(|s| s.thinned(most)).collect();
    let Some(lag) = lag::fit(&thinned.iter().collect::<Vec<_>>()) else {
        return (steps.to_vec(), 0);
    };
    let held = |(step, fit): &(&&Step, &Fit)| {
        let end = step.samples.last().map_or(0.0, |s| s.0);
        end >= fit.arrival_s + HELD_TAUS * lag.tau_s
    };
    let kept: Vec<&Step> =
        steps.iter().zip(&lag.fits).filter(held).map(|(s, _)| *s).collect();
    let short = steps.len() - kept.len();
    (kept, short)
}
