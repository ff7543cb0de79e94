//! A command and what actually happened: dead time, time constant, gain, slew limit,
//! steady error and hysteresis, each with its interval or the bound that is carried.

use std::borrow::Cow;

use logs::Channel;

use crate::alike::{Kind, groups, pooled};
use crate::answer::FEWEST;
pub use crate::answer::{
    AlikeSteps, ChannelRate, Condition, EachStep, LikeExposure, RecordingAnswer,
    RecordingError, RecordingMeta, SideMetrics, StepMetrics,
};
use crate::answered::{Answered, ENDS, Scale, WITHIN_MOVE, part};
use crate::change::{ChangeWithin, within};
use crate::conditions::Conditions;
use crate::estimate::Estimate;
use crate::fresh::{repeated, without};
use crate::hysteresis::hysteresis;
use crate::lag::LagFit;
use crate::moves::{OVERSHOOTS, dead_time, gain, overshoot, overshoot_of, side};
use crate::reading::count_f64;
use crate::rested::{Fitted, fit_rested, held_long_enough};
use crate::robust::{mean, median, spread};
use crate::settled::{steady_error, step_error};
use crate::slew::slew;
use crate::steps::{Step, find_steps};

/// Time constants after which a first-order answer counts as settled.
const SETTLED_TAUS: f64 = 3.0;

/// Samples of one step that a picture needs.
const DRAWN: usize = 2_400;

/// Intervals looked at to tell a clock.
const LOOKED_AT: usize = 10_000;

/// Judges how an actual value follows its command.
///
/// # Errors
/// [`RecordingError`] where nothing at all can be judged; what single metrics lack is
/// null in the answer, with a remark.
pub fn judge_recording(
    command: &Channel,
    actual: &Channel,
    meta: RecordingMeta,
) -> Result<RecordingAnswer, RecordingError> {
    judge_recording_in(command, actual, meta, &Conditions::default())
}

/// As [`judge_recording`], and says in which conditions each step was made.
///
/// # Errors
/// As [`judge_recording`].
pub fn judge_recording_in(
    command: &Channel,
    actual: &Channel,
    meta: RecordingMeta,
    conditions: &Conditions<'_>,
) -> Result<RecordingAnswer, RecordingError> {
    if command.name == actual.name {
        return Err(RecordingError::SameColumn(command.name.clone()));
    }
    check(command)?;
    check(actual)?;
    let mut answer = blank(meta);
    let (command, actual) = &alive(command, actual, &mut answer);
    let steps = find_steps(&command.samples, &actual.samples);
    answer.steps = steps.found;
    if steps.found == 0 {
        answer.remarks.push(format!(
            "`{}` never steps: record while it is commanded from one value to another",
            command.name
        ));
    }
    if steps.passed_over > 0 {
        answer.remarks.push(format!(
            "{} of {} steps were fitted, in runs from all of the recording: more would not \
             narrow the answer",
            steps.found - steps.passed_over,
            steps.found
        ));
    }
    let mut reasons = steps.left_out.clone();
    reasons.sort_unstable();
    reasons.dedup();
    for why in reasons {
        let count = steps.left_out.iter().filter(|w| **w == why).count();
        answer.remarks.push(format!("{count} of {} steps not used: {why}", steps.found));
    }
    judge_steps(&steps.usable, conditions, even(&command.samples), &mut answer);
    if !steps.usable.is_empty() {
        judge_settled(&steps.usable, (command, actual), &mut answer);
    }
    judge_hysteresis(&steps.usable, (command, actual), &mut answer);
    Ok(answer)
}

/// Both channels without the stretches in which the link repeated the actual value; the
/// command is not believed there either.
fn alive<'a>(
    command: &'a Channel,
    actual: &'a Channel,
    answer: &mut RecordingAnswer,
) -> (Cow<'a, Channel>, Cow<'a, Channel>) {
    let stretches = repeated(&actual.samples);
    if stretches.is_empty() {
        return (Cow::Borrowed(command), Cow::Borrowed(actual));
    }
    let seconds: f64 = stretches.iter().map(|(from, to)| to - from).sum();
    answer.remarks.push(format!(
        "`{}` stands still to the last digit {}, {seconds:.1} s in all: left out as \
         repeats of the link",
        actual.name,
        logs::so_often(stretches.len())
    ));
    let without = |channel: &Channel| {
        Cow::Owned(Channel {
            name: channel.name.clone(),
            unit: channel.unit.clone(),
            samples: without(&channel.samples, &stretches),
        })
    };
    (without(command), without(actual))
}

/// True where the rows come by a clock, to one part in a hundred.
fn even(samples: &[(f64, f64)]) -> bool {
    let intervals: Vec<f64> =
        samples.windows(2).take(LOOKED_AT).map(|w| w[1].0 - w[0].0).collect();
    match (median(&intervals), spread(&intervals)) {
        (Some(usual), Some(spread)) => spread <= 0.01 * usual,
        _ => false,
    }
}

fn blank(meta: RecordingMeta) -> RecordingAnswer {
    RecordingAnswer {
        rows: meta.rows,
        kept: meta.kept,
        duration_s: meta.duration_s,
        channels: meta.channels,
        steps: 0,
        dead_time_s: Estimate::default(),
        time_constant_s: Estimate::default(),
        gain: Estimate::default(),
        slew_per_s: Estimate::default(),
        steady_error: Estimate::default(),
        hysteresis: Estimate::default(),
        remarks: meta.remarks,
        up: None,
        down: None,
        overshoot: Estimate::default(),
        each: Vec::new(),
        alike: Vec::new(),
        like: None,
        change: None,
        per_step: Vec::new(),
    }
}

fn check(channel: &Channel) -> Result<(), RecordingError> {
    if channel.samples.len() < FEWEST {
        let fresh = channel.samples.len();
        return Err(RecordingError::TooFew { channel: channel.name.clone(), fresh });
    }
    let (first, last) = (channel.samples.first(), channel.samples.last());
    if first.map(|s| s.0) >= last.map(|s| s.0) {
        return Err(RecordingError::TimeStands(channel.name.clone()));
    }
    Ok(())
}

/// What a recording without a command says: its signals and their rates.
pub fn only_rates(meta: RecordingMeta) -> RecordingAnswer {
    blank(meta)
}

fn judge_steps(
    steps: &[Step],
    conditions: &Conditions<'_>,
    even: bool,
    answer: &mut RecordingAnswer,
) {
    let scale = Scale::of(steps);
    let kinds: Vec<Answered> = steps.iter().map(|s| scale.answered(s)).collect();
    let of = |kind: Answered| -> Vec<&Step> {
        steps.iter().zip(&kinds).filter(|(_, k)| **k == kind).map(|(s, _)| s).collect()
    };
    let (silent, small, fast, carried) = (
        of(Answered::No),
        of(Answered::TooSmall),
        of(Answered::TooFast),
        of(Answered::Yes),
    );
    for (these, what) in [
        (&silent, "the actual value does not answer"),
        (&small, "the answer is below ten counts of the actual value, too small to fit"),
    ] {
        if !these.is_empty() {
            answer.remarks.push(format!(
                "{} of {} steps: {what}",
                these.len(),
                steps.len()
            ));
        }
    }
    // Few carried among many too fast are those that noise lengthened.
    let (carried, fast) = if carried.len() < fast.len() {
        (Vec::new(), carried.into_iter().chain(fast).collect())
    } else {
        (held(&carried, answer), fast)
    };
    let fitted = fit_rested(&carried);
    if let Some(fitted) = &fitted {
        judge_lag(fitted, even, answer);
        let in_conditions: Vec<Vec<Condition>> =
            carried.iter().map(|step| during(step, conditions)).collect();
        let fitted_steps: Vec<&Step> = fitted.steps.iter().collect();
        answer.alike = pooled(&fitted_steps, &in_conditions, even);
        judge_overshoot(&carried, scale, answer);
    } else if !fast.is_empty() {
        bound_lag(&fast, answer);
    } else if !silent.is_empty() {
        answer.gain = plain_gain(&silent);
    }
    let fit_of = |step: &Step| {
        let at = carried.iter().position(|c| std::ptr::eq(*c, step))?;
        fitted.as_ref()?.each.get(at)?.as_ref()
    };
    answer.per_step =
        steps.iter().map(|step| metrics(step, fit_of(step), scale)).collect();
    for (metrics, step) in answer.per_step.iter_mut().zip(steps) {
        metrics.conditions = during(step, conditions);
    }
    answer.change = change_within(&answer.per_step);
    answer.each = answer.per_step.iter().map(EachStep::from).collect();
}

/// A change of the time constant from step to step, each freed of the mean of its kind.
fn change_within(steps: &[StepMetrics]) -> Option<ChangeWithin> {
    let timed: Vec<(&StepMetrics, f64)> =
        steps.iter().filter_map(|s| Some((s, s.time_constant_s?))).collect();
    let kinds: Vec<Kind<'_>> = timed.iter().map(|(s, _)| Kind::from(*s)).collect();
    let mut freed: Vec<f64> = timed.iter().map(|(_, tau)| *tau).collect();
    for group in groups(&kinds) {
        let of: Vec<f64> = group.iter().map(|at| timed[*at].1).collect();
        let middle = median(&of)?;
        for at in group {
            freed[at] -= middle;
        }
    }
    let series: Vec<(f64, f64)> = timed.iter().map(|(s, tau)| (s.at_s, *tau)).collect();
    within("time_constant_s", &series, &freed)
}

/// The samples that a picture needs: of each stretch the first, least, greatest and last.
fn drawn(step: &Step) -> Vec<(f64, f64)> {
    if step.samples.len() <= DRAWN {
        return step.samples.clone();
    }
    let stretch = 4 * step.samples.len().div_ceil(DRAWN);
    let mut kept = Vec::with_capacity(DRAWN);
    for run in step.samples.chunks(stretch) {
        let by = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let ends =
            [run.first(), run.iter().min_by(by), run.iter().max_by(by), run.last()];
        let mut four: Vec<(f64, f64)> = ends.into_iter().flatten().copied().collect();
        four.sort_by(|a, b| a.0.total_cmp(&b.0));
        kept.extend(four);
    }
    kept
}

fn during(step: &Step, conditions: &Conditions<'_>) -> Vec<Condition> {
    let end = step.samples.last().map_or(step.between.1, |s| s.0);
    conditions.during(step.between.0, end)
}

/// Overshoot, and what it makes of the first-order numbers: an answer that swings is not
/// of first order, and its curve begins before the one fitted to it.
fn judge_overshoot(steps: &[&Step], scale: Scale, answer: &mut RecordingAnswer) {
    answer.overshoot = overshoot(steps, scale);
    let share = answer.overshoot.value.or(answer.overshoot.low).unwrap_or(0.0);
    if share <= OVERSHOOTS {
        return;
    }
    answer.remarks.push(format!(
        "the answer goes {:.0} % beyond where it settles: it is not of first order, so dead \
         time and time constant have bounds only",
        100.0 * share
    ));
    let bound = |e: Estimate| Estimate { value: None, low: None, high: e.high };
    answer.dead_time_s = bound(answer.dead_time_s);
    answer.time_constant_s = bound(answer.time_constant_s);
    for side in [&mut answer.up, &mut answer.down].into_iter().flatten() {
        side.dead_time_s = bound(side.dead_time_s);
        side.time_constant_s = bound(side.time_constant_s);
    }
}

/// The steps held long enough, or all where none was; said either way.
fn held<'a>(steps: &[&'a Step], answer: &mut RecordingAnswer) -> Vec<&'a Step> {
    let (kept, short) = held_long_enough(steps);
    if short == 0 {
        return kept;
    }
    let used = if kept.is_empty() { "used all the same" } else { "left out" };
    let steps_are = logs::so_many(short, "step is", "steps are");
    answer.remarks.push(format!(
        "{steps_are} over before the answer is, {used}: hold the command longer"
    ));
    if kept.is_empty() { steps.to_vec() } else { kept }
}

/// Change over change, from the levels alone.
fn plain_gain(steps: &[&Step]) -> Estimate {
    let gains: Vec<f64> = steps.iter().map(|s| s.change() / (s.to - s.from)).collect();
    Estimate::of_mean(&gains).unwrap_or_default()
}

fn judge_lag(fitted: &Fitted, even: bool, answer: &mut RecordingAnswer) {
    let lag = &fitted.all;
    let steps: &[&Step] = &fitted.steps.iter().collect::<Vec<_>>();
    let limited = slew(steps, lag);
    if let Some(slew) = limited {
        answer.slew_per_s = slew.per_s;
    }
    let each = steps.iter().zip(&fitted.each);
    let single: Vec<(&Step, &LagFit)> =
        each.filter_map(|(s, f)| Some((*s, f.as_ref()?))).collect();
    answer.time_constant_s = shared_tau(&single, lag, answer);
    if limited.is_some_and(|s| s.limited) {
        let longest = answer.time_constant_s.high;
        answer.time_constant_s = Estimate { value: None, low: None, high: longest };
        answer.remarks.push(
            "the moves are straight lines: the rate is limited, a time constant does not \
             describe them"
                .to_owned(),
        );
    } else if limited.is_some() {
        answer
            .remarks
            .push("no slew limit shows: it is at least the fastest rate seen".to_owned());
    }
    let (dead, notes) = dead_time(steps, lag, even);
    answer.dead_time_s = dead;
    answer.remarks.extend(notes);
    if let Some(gain) = gain(steps, lag) {
        answer.gain = gain;
    }
    [answer.up, answer.down] = [true, false].map(|up| side(steps, up, even));
}

/// The shared τ, or the mean of the steps where one τ does not fit them all.
fn shared_tau(
    single: &[(&Step, &LagFit)],
    lag: &LagFit,
    answer: &mut RecordingAnswer,
) -> Estimate {
    let pooled = Estimate { value: Some(lag.tau_s), low: lag.low_s, high: lag.high_s };
    let apart: f64 = single.iter().map(|(_, f)| f.sse).sum();
    let more = count_f64(single.len().saturating_sub(1));
    let left = lag.dof - more;
    if more < 1.0 || left < 1.0 {
        return pooled;
    }
    // One τ against one τ a step: the F statistic; 3 exceeds its 99 % point in practice.
    let f = (lag.sse - apart) / more / (apart / left).max(1e-300);
    if f < 3.0 {
        return pooled;
    }
    let tau = |(_, fit): &(&Step, &LagFit)| fit.tau_s;
    let (ups, downs): (Vec<_>, Vec<_>) =
        single.iter().copied().partition(|(s, _)| s.to > s.from);
    let [up, down] = [ups, downs].map(|side| side.iter().map(tau).collect::<Vec<_>>());
    if let (Some(up_s), Some(down_s)) = (mean(&up), mean(&down)) {
        answer.remarks.push(format!(
            "the time constant differs between steps: up {up_s:.3} s ({} steps), down \
             {down_s:.3} s ({} steps)",
            up.len(),
            down.len()
        ));
    } else {
        answer.remarks.push("the time constant differs from step to step".to_owned());
    }
    let all: Vec<f64> = single.iter().map(tau).collect();
    Estimate::of_mean(&all)
        .map_or(pooled, |e| Estimate { low: e.low.map(|low| low.max(0.0)), ..e })
}

/// Every step settled by its first sample near the end: dead time + 3 time constants
/// (95 %) fit in between.
fn bound_lag(steps: &[&Step], answer: &mut RecordingAnswer) {
    let arrived = |step: &&Step| {
        let mut after = step.after().iter();
        let first = after.find(|s| part(step, **s) >= 1.0 - ENDS);
        first.map(|s| s.0 - step.between.0)
    };
    let times: Vec<f64> = steps.iter().filter_map(arrived).collect();
    let Some(most) = times.iter().copied().reduce(f64::max) else { return };
    answer.dead_time_s = Estimate::at_most(most);
    answer.time_constant_s = Estimate::at_most(most / 3.0);
    answer.gain = plain_gain(steps);
    let rate = |s: &&Step| s.change().abs();
    let move_size = steps.iter().map(rate).reduce(f64::min).unwrap_or(0.0);
    answer.slew_per_s = Estimate::at_least((1.0 - 2.0 * ENDS) * move_size / most);
    answer.remarks.push(format!(
        "fewer than {WITHIN_MOVE} fresh samples lie within a move: each step settled within \
         {most:.2} s, more the log cannot say; record only command and actual value for a \
         higher rate"
    ));
}

fn metrics(step: &Step, fit: Option<&LagFit>, scale: Scale) -> StepMetrics {
    let at_s = f64::midpoint(step.between.0, step.between.1);
    let one = fit.and_then(|f| f.fits.first());
    StepMetrics {
        at_s,
        from: step.from,
        to: step.to,
        dead_time_s: one.map(|f| (f.arrival_s - at_s).max(0.0)),
        time_constant_s: fit.map(|f| f.tau_s),
        gain: one.map(|f| f.gain_y / (step.to - step.from)),
        steady_error: step_error(step),
        overshoot: fit.and_then(|_| overshoot_of(step, scale)).map(|peak| peak.share),
        conditions: Vec::new(),
        samples: drawn(step).iter().map(|s| (s.0 - at_s, s.1)).collect(),
    }
}

/// Steps whose last third is flat to within the noise of one time constant's tail.
fn settled_steps<'a>(steps: &'a [Step], answer: &RecordingAnswer) -> Vec<&'a Step> {
    let most = |e: Estimate| e.value.or(e.high);
    let needed = most(answer.dead_time_s).unwrap_or(0.0)
        + SETTLED_TAUS * most(answer.time_constant_s).unwrap_or(0.0);
    steps
        .iter()
        .filter(|s| s.settled().first().is_some_and(|f| f.0 >= s.between.1 + needed))
        .collect()
}

fn judge_settled(
    steps: &[Step],
    (command, actual): (&Channel, &Channel),
    answer: &mut RecordingAnswer,
) {
    if command.unit != actual.unit {
        answer.remarks.push(
            "steady error not judged: command and actual value have different units"
                .to_owned(),
        );
        return;
    }
    if command.unit.is_none() {
        answer.remarks.push(
            "steady error: no units given, command and actual value taken as alike"
                .to_owned(),
        );
    }
    let settled = settled_steps(steps, answer);
    match steady_error(&settled) {
        Some(error) => answer.steady_error = error,
        None => {
            answer.remarks.push("steady error not judged: no step settled".to_owned());
        }
    }
}

fn judge_hysteresis(
    steps: &[Step],
    (command, actual): (&Channel, &Channel),
    answer: &mut RecordingAnswer,
) {
    let settled = settled_steps(steps, answer);
    let (dead, tau) = (answer.dead_time_s, answer.time_constant_s);
    let u = |e: Estimate| e.u().unwrap_or(0.0);
    let lag = dead.value.zip(tau.value).map(|(d, t)| ((d, u(dead)), (t, u(tau))));
    let changes: Vec<f64> =
        settled.iter().map(|s| s.change() / (s.to - s.from)).collect();
    let gain = answer.gain.value.or_else(|| median(&changes));
    match hysteresis(&command.samples, &actual.samples, &settled, (lag, gain)) {
        Some(found) => {
            answer.hysteresis = found.width;
            answer.remarks.extend(found.note);
        }
        None => answer.remarks.push(
            "hysteresis not judged: it needs slow ramps up and down, or one command reached \
             from both sides"
                .to_owned(),
        ),
    }
}
