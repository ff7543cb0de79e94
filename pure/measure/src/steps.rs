//! Steps of a command, and the piece of the actual value that answers each.

use crate::cores::in_two;
use crate::fresh::grain;
use crate::reading::count_f64;
use crate::robust::{median, spread};

/// A sample: time in s, value.
pub(crate) type Sample = (f64, f64);

/// Samples a command must rest before and after a step.
const REST: usize = 3;

/// Samples that may lie between two rests for the change to be a step.
const BETWEEN: usize = 1;

/// Share of the command's range within which it rests.
const STILL: f64 = 0.03;

/// Most that noise may widen the rest to, as a share of the range.
const STILL_MOST: f64 = 0.1;

/// Least share of the command's range that a step must span.
const SPANS: f64 = 0.1;

/// Least step in drifts of the rests beside it.
const DRIFT: f64 = 3.0;

/// Samples kept of all steps, and least and most of them on one side of one step.
const KEPT: usize = 200_000;
const MOST_KEPT: (usize, usize) = (200, 20_000);

/// Steps fitted at most, and how many of them follow one another: of a longer recording runs
/// of steps from all of its length.
const MOST_STEPS: usize = 128;
const RUN: usize = 8;

/// Neighbours looked at in a long channel: so many runs of so many.
const LOOKED_AT: (usize, usize) = (64, 2_048);

/// From so many samples on, a second thread is worth its start.
const LONG: usize = 200_000;

/// A gap of more than this many median intervals spoils a step.
const GAP: f64 = 3.0;

/// Drift before a step as a share of the move that spoils it.
const STILL_MOVING: f64 = 0.1;

/// A rest of the command: sample indices and level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rest {
    pub(crate) first: usize,
    pub(crate) last: usize,
    pub(crate) level: f64,
}

/// A step of the command with the actual samples around it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Step {
    /// Last time at the old command and first time at the new one, s.
    pub(crate) between: (f64, f64),
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Actual samples from the rest before to the end of the rest after.
    pub(crate) samples: Vec<Sample>,
    /// How many of them lie before the step.
    pub(crate) before: usize,
    /// When the command came to rest before the step; `None`: the recording begins so.
    pub(crate) rest_from: Option<f64>,
    /// Change of the command that led to that rest; `None`: no quick one.
    pub(crate) led: Option<f64>,
    /// Medians of the actual value before the step and at the end.
    pub(crate) levels: (f64, f64),
    /// Step of the actual value's grid; 0 without one.
    pub(crate) grain: f64,
}

impl Step {
    /// The step without its samples.
    fn bare(&self) -> Self {
        let Self { between, from, to, before, rest_from, led, levels, grain, samples: _ } =
            *self;
        let samples = Vec::new();
        Self { between, from, to, samples, before, rest_from, led, levels, grain }
    }

    /// True if this step leaves the rest that another one led to.
    pub(crate) fn follows(&self, other: &Self) -> bool {
        self.rest_from.is_some_and(|from| from.to_bits() == other.between.1.to_bits())
    }

    /// Change of the actual value.
    pub(crate) fn change(&self) -> f64 {
        self.levels.1 - self.levels.0
    }

    /// The actual samples after the step.
    pub(crate) fn after(&self) -> &[Sample] {
        &self.samples[self.before..]
    }

    /// The step as it is fitted: what is left of the answer before it put right, without
    /// the samples in which that is large, and without most of what is long settled.
    pub(crate) fn rested(&self, tail: Option<Tail>, settled_s: f64, most: usize) -> Self {
        let keep = self.before.saturating_sub(REST);
        let from = tail.map_or(f64::NEG_INFINITY, |tail| tail.arrival_s + tail.decays_s);
        let cut = self.samples.partition_point(|s| s.0 < from).min(keep);
        let enough = self.samples.partition_point(|s| s.0 <= self.between.1 + settled_s);
        let end = enough.max(self.before + 4 * REST).min(self.samples.len());
        let left = |t: f64| {
            tail.map_or(0.0, |tail| {
                tail.gain_y * (-(t - tail.arrival_s).max(0.0) / tail.tau_s).exp()
            })
        };
        let samples: Vec<Sample> =
            self.samples[cut..end].iter().map(|s| (s.0, s.1 + left(s.0))).collect();
        let before = self.before - cut;
        let level = median(&samples[..before].iter().map(|s| s.1).collect::<Vec<_>>());
        let levels = (level.unwrap_or(self.levels.0), self.levels.1);
        Self { samples, before, levels, ..self.bare() }.thinned(most)
    }

    /// The step with every value from a time on moved.
    pub(crate) fn shifted(&self, from_s: f64, by: f64) -> Self {
        let moved = |s: &Sample| if s.0 >= from_s { (s.0, s.1 + by) } else { *s };
        Self { samples: self.samples.iter().map(moved).collect(), ..self.bare() }
    }

    /// At most so many samples on each side, evenly taken: more cost time only.
    pub(crate) fn evenly(self, most: usize) -> Self {
        let after = self.samples.len() - self.before;
        if self.before <= most && after <= most {
            return self;
        }
        let every = |n: usize| n.div_ceil(most.max(1)).max(1);
        self.picked(every(self.before), |at| at.is_multiple_of(every(after)))
    }

    /// At most about so many samples on each side for a fit: half of them those next to
    /// the step, the rest ever farther apart, so that a quick answer keeps its samples.
    pub(crate) fn thinned(&self, most: usize) -> Self {
        let every = |n: usize| n.div_ceil(most.max(1)).max(1);
        let after = self.samples.len() - self.before;
        if after <= most {
            return self.picked(every(self.before), |_| true);
        }
        let near = (most >> 1).max(1);
        let growth = (count_f64(after) / count_f64(near)).ln() / count_f64(near);
        let mut next = count_f64(near);
        self.picked(every(self.before), |at| {
            let taken = at < near || count_f64(at) >= next;
            if at >= near && taken {
                next = count_f64(at) * growth.exp();
            }
            taken
        })
    }

    /// Every so many samples before the step, counted from it outward so that those next
    /// to it stay, and those after it that are taken by their number.
    fn picked(&self, every: usize, mut takes: impl FnMut(usize) -> bool) -> Self {
        let (quiet, answer) = self.samples.split_at(self.before);
        let mut samples: Vec<Sample> =
            quiet.iter().rev().step_by(every).copied().collect();
        samples.reverse();
        let before = samples.len();
        let numbered = answer.iter().enumerate();
        samples.extend(numbered.filter(|(at, _)| takes(*at)).map(|(_, sample)| *sample));
        Self { samples, before, ..self.bare() }
    }

    /// The last third of the samples after the step, two at least where there are.
    pub(crate) fn settled(&self) -> &[Sample] {
        last_third(self.after())
    }
}

fn last_third(samples: &[Sample]) -> &[Sample] {
    let n = samples.len();
    &samples[n - n.div_ceil(3).max(2).min(n)..]
}

/// What the answer to the step before still leaves: `gain_y` e^(−(t − arrival)/τ) short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Tail {
    pub(crate) arrival_s: f64,
    pub(crate) gain_y: f64,
    pub(crate) tau_s: f64,
    /// From the arrival until it is small.
    pub(crate) decays_s: f64,
}

/// Steps found, and why others were left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Steps {
    pub(crate) found: usize,
    pub(crate) usable: Vec<Step>,
    pub(crate) left_out: Vec<&'static str>,
    /// How many were not looked at, since there are enough without them.
    pub(crate) passed_over: usize,
}

/// Where the command rests.
pub(crate) fn rests(command: &[Sample]) -> Vec<Rest> {
    let Some(still) = stillness(command) else { return Vec::new() };
    let mut rests = Vec::new();
    let mut first = 0;
    while first < command.len() {
        let (mut sum, mut count, mut end) = (command[first].1, 1.0, first + 1);
        while end < command.len() && (command[end].1 - sum / count).abs() <= still {
            sum += command[end].1;
            count += 1.0;
            end += 1;
        }
        if end - first >= REST {
            rests.push(Rest { first, last: end - 1, level: sum / count });
            first = end;
        } else {
            first += 1;
        }
    }
    rests
}

/// How far a resting command may wander; `None` for a command that never changes.
pub(crate) fn stillness(command: &[Sample]) -> Option<f64> {
    let range = range(command);
    let differences = of_neighbours(command, |one, next| next.1 - one.1);
    let noise = 4.0 * spread(&differences)?;
    (range > 0.0).then(|| noise.clamp(STILL * range, STILL_MOST * range))
}

pub(crate) fn range(samples: &[Sample]) -> f64 {
    let (low, high) = ends(samples);
    (high - low).max(0.0)
}

/// The least and the greatest value, of a long channel by both cores.
pub(crate) fn ends(samples: &[Sample]) -> (f64, f64) {
    let of = |part: &[Sample]| {
        part.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, value)| {
            (
                if *value < low { *value } else { low },
                if *value > high { *value } else { high },
            )
        })
    };
    let join = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
    let ends = in_halves(samples, of).into_iter().reduce(join);
    ends.unwrap_or((f64::INFINITY, f64::NEG_INFINITY))
}

/// Something of both halves of a channel, a long one's by a thread each.
pub(crate) fn in_halves<T: Send>(
    samples: &[Sample],
    of: impl Fn(&[Sample]) -> T + Sync,
) -> Vec<T> {
    let (one, other) = samples.split_at(samples.len().div_ceil(2));
    in_two(&[one, other], samples.len() >= LONG, |half| of(half))
}

/// Finds the steps of a command and cuts out what answers them.
pub(crate) fn find_steps(command: &[Sample], actual: &[Sample]) -> Steps {
    let rests = rests(command);
    let least = SPANS * range(command);
    let gaps = (gap_of(command), gap_of(actual));
    let grain = grain(actual);
    let kept = KEPT
        .checked_div(rests.len().min(MOST_STEPS))
        .unwrap_or(KEPT)
        .clamp(MOST_KEPT.0, MOST_KEPT.1);
    let quick = |before: &Rest, after: &Rest| after.first - before.last <= BETWEEN + 1;
    let mut found = Vec::new();
    for (at, pair) in rests.windows(2).enumerate() {
        let (before, after) = (pair[0], pair[1]);
        // A ramp read now and then rests nowhere: its rests drift as fast as it goes.
        let drift = |rest: &Rest| (command[rest.last].1 - command[rest.first].1).abs();
        let most = DRIFT * drift(&before).max(drift(&after));
        if (after.level - before.level).abs() < most {
            continue;
        }
        let led = at.checked_sub(1).and_then(|at| rests.get(at));
        let led =
            led.filter(|led| quick(led, &before)).map(|led| before.level - led.level);
        if !quick(&before, &after) || (after.level - before.level).abs() < least {
            continue;
        }
        found.push((before, after, led));
    }
    let chosen = spread_out(found.len());
    let passed_over = found.len() - chosen.len();
    let mut steps = Steps { found: found.len(), passed_over, ..Steps::default() };
    for (before, after, led) in chosen.into_iter().filter_map(|at| found.get(at).copied())
    {
        match cut(command, actual, (before, after), gaps) {
            Ok(step) => steps.usable.push(Step { led, grain, ..step }.evenly(kept)),
            Err(why) => steps.left_out.push(why),
        }
    }
    steps
}

/// Places of all steps, or of runs from all of a long recording, first and last ones included.
fn spread_out(count: usize) -> Vec<usize> {
    if count <= MOST_STEPS {
        return (0..count).collect();
    }
    let runs = MOST_STEPS.div_euclid(RUN);
    let last = count - RUN;
    let starts = (0..runs).map(|run| (run * last).div_euclid(runs - 1));
    starts.flat_map(|start| start..start + RUN).collect()
}

/// Something of all pairs of neighbours, in a long channel of runs from all of its length.
fn of_neighbours(samples: &[Sample], of: impl Fn(&Sample, &Sample) -> f64) -> Vec<f64> {
    let (runs, run) = LOOKED_AT;
    let pairs = |part: &[Sample]| -> Vec<f64> {
        part.windows(2).map(|pair| of(&pair[0], &pair[1])).collect()
    };
    if samples.len() <= 2 * runs * run {
        return pairs(samples);
    }
    let last = samples.len() - run;
    let starts = (0..runs).map(|at| (at * last).div_euclid(runs - 1));
    starts.flat_map(|start| pairs(&samples[start..start + run])).collect()
}

fn cut(
    command: &[Sample],
    actual: &[Sample],
    (before, after): (Rest, Rest),
    gaps: (f64, f64),
) -> Result<Step, &'static str> {
    let between = (command[before.last].0, command[after.first].0);
    let rest_start = command[before.first].0;
    let end = if after.last + 1 == command.len() {
        f64::INFINITY
    } else {
        command[after.last].0
    };
    // The first half of the rest before may still answer the step before.
    let settled_from = f64::midpoint(rest_start, between.0);
    let (first, last) = (
        actual.partition_point(|s| s.0 < settled_from),
        actual.partition_point(|s| s.0 <= end),
    );
    let samples = actual[first.min(last)..last].to_vec();
    let count = samples.partition_point(|s| s.0 <= between.0);
    if count < 2 || samples.len() - count < 3 {
        return Err("too few fresh samples around it");
    }
    let start = samples[count - 1].0;
    let commanded = &command[before.last..=after.last];
    if has_gap(&samples, gaps.1) || has_gap(commanded, gaps.0) {
        return Err("a gap in the recording lies in it");
    }
    let values = |part: &[Sample]| part.iter().map(|s| s.1).collect::<Vec<_>>();
    let level = |part: &[Sample]| median(&values(part)).unwrap_or(0.0);
    let (quiet, answer) = samples.split_at(count);
    let levels = (level(quiet), level(last_third(answer)));
    let drift = level(&quiet[count.div_ceil(2)..]) - level(&quiet[..count.div_ceil(2)]);
    // From neighbours, so that a drift is not taken for noise.
    let hops: Vec<f64> = quiet.windows(2).map(|w| w[1].1 - w[0].1).collect();
    let noise = spread(&hops).unwrap_or(0.0);
    let moved = (levels.1 - levels.0).abs();
    if start < between.1 && drift.abs() > (STILL_MOVING * moved).max(2.0 * noise) {
        return Err("the actual value was still moving before it");
    }
    let (from, to) = (before.level, after.level);
    let rest_from = (before.first > 0).then_some(rest_start);
    let before = count;
    let (led, grain) = (None, 0.0);
    Ok(Step { between, from, to, samples, before, rest_from, led, levels, grain })
}

/// Three median intervals of a channel: what counts as a gap in it.
fn gap_of(samples: &[Sample]) -> f64 {
    let intervals = of_neighbours(samples, |one, next| next.0 - one.0);
    median(&intervals).map_or(f64::INFINITY, |usual| GAP * usual)
}

fn has_gap(part: &[Sample], gap: f64) -> bool {
    gap > 0.0 && part.windows(2).any(|w| w[1].0 - w[0].0 > gap)
}
