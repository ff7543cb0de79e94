//! The steps of a recording fitted together: each freed of what the answer before it
//! left, and of samples that only cost time.

use crate::lag::{self, Fit, LagFit};
use crate::robust::mean;
use crate::steps::{Step, Tail};

/// Time constants after which what is left of the step before is below 0.3 %.
const DECAYED_TAUS: f64 = 6.0;

/// Time constants after the arrival that a command must be held for.
const HELD_TAUS: f64 = 2.0;

/// Time constants after which a value on a grid takes its settled count.
const SETTLED_TAUS: f64 = 3.0;

/// Noise in grains from which the grid no longer shifts a mean.
const DITHERED: f64 = 0.5;

/// Relative standard uncertainty of τ as a description, from experience.
const FIRST_ORDER: f64 = 0.002;

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

/// Looks at the steps before it again: each puts right what the one before took wrongly.
const LOOKS: usize = 3;

/// Share of an answer that it may leave to the next step before another look is needed.
const LEFT_OVER: f64 = 0.01;

/// Fits several times: the look before tells what each answer leaves for the step after.
pub(crate) fn fit_rested(steps: &[&Step]) -> Option<Fitted> {
    let most = most_samples(steps.len());
    let thinned: Vec<Step> = steps.iter().map(|s| s.thinned(most)).collect();
    let mut all = lag::fit_best(&thinned.iter().collect::<Vec<_>>())?;
    let mut each = lag::fit_each(&thinned);
    let mut rested = thinned;
    for look in 0..LOOKS {
        if look > 0 && !leaves_much(steps, (&all, &each)) {
            break;
        }
        let settled_s = 2.0 * (longest_delay(steps, &all) + DECAYED_TAUS * all.tau_s);
        rested = steps
            .iter()
            .map(|step| step.rested(left_by(steps, step, (&all, &each)), settled_s, most))
            .collect();
        all = lag::fit_best(&rested.iter().collect::<Vec<_>>())?;
        each = lag::fit_each(&rested);
    }
    let mut all = lag::bounded(all, &rested.iter().collect::<Vec<_>>());
    widen(&mut all, &rested);
    Some(Fitted { steps: rested, all, each })
}

/// Widens the interval of τ by what least squares cannot see: a grid without noise shifts
/// the settled level of every step alike, and no part is of first order to the last digit.
fn widen(all: &mut LagFit, steps: &[Step]) {
    let grain = steps.iter().map(|s| s.grain).fold(0.0, f64::max);
    let dithered = all.sse / all.dof > (DITHERED * grain).powi(2);
    let by_grid = if grain > 0.0 && !dithered {
        let shifted: Vec<Step> = steps
            .iter()
            .zip(&all.fits)
            .map(|(step, fit)| {
                let from = fit.arrival_s + SETTLED_TAUS * all.tau_s;
                step.shifted(from, grain.copysign(fit.gain_y) / 12.0_f64.sqrt())
            })
            .collect();
        let moved = lag::fit_best(&shifted.iter().collect::<Vec<_>>());
        moved.map_or(0.0, |moved| (moved.tau_s - all.tau_s).abs())
    } else {
        0.0
    };
    let by = 1.96 * by_grid.hypot(FIRST_ORDER * all.tau_s);
    all.low_s = all.low_s.map(|low| (all.tau_s - (all.tau_s - low).hypot(by)).max(0.0));
    all.high_s = all.high_s.map(|high| all.tau_s + (high - all.tau_s).hypot(by));
}

fn before(steps: &[&Step], step: &Step) -> Option<usize> {
    steps.iter().position(|s| step.follows(s))
}

/// What the answer before a step leaves: from that step's own fit, or from the fit of all
/// where that step could not be used itself.
fn left_by(
    steps: &[&Step],
    step: &Step,
    (all, each): (&LagFit, &[Option<LagFit>]),
) -> Option<Tail> {
    let single = before(steps, step).and_then(|at| each.get(at)?.as_ref());
    if let Some(single) = single {
        return tail(single);
    }
    let one = |(step, fit): (&&Step, &Fit)| {
        let delay = fit.arrival_s - f64::midpoint(step.between.0, step.between.1);
        (delay.max(0.0), fit.gain_y / (step.to - step.from))
    };
    let (delays, gains): (Vec<f64>, Vec<f64>) =
        steps.iter().zip(&all.fits).map(one).unzip();
    Some(Tail {
        arrival_s: step.rest_from? + mean(&delays)?,
        gain_y: step.led? * mean(&gains)?,
        tau_s: all.tau_s,
        decays_s: DECAYED_TAUS * all.tau_s,
    })
}

/// True where some answer is still more than a hundredth short when the next step comes.
fn leaves_much(steps: &[&Step], fitted: (&LagFit, &[Option<LagFit>])) -> bool {
    steps.iter().any(|step| {
        left_by(steps, step, fitted).is_some_and(|tail| {
            let age = (step.between.0 - tail.arrival_s) / tail.tau_s;
            (-age).exp() > LEFT_OVER
        })
    })
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
    let Some(lag) = lag::fit_best(&thinned.iter().collect::<Vec<_>>()) else {
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
