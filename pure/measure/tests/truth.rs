//! Steps with known truth: recovery, and how often the intervals cover it.
#![cfg(test)]

use logs::{Options, Recording, read_csv};
use measure::compare::Change;
use measure::synth::{StepLog, step_log};
use measure::{
    Estimate, RecordingAnswer, RecordingError, RecordingMeta, compare, judge_recording,
};

fn recording(log: &StepLog) -> Recording {
    read_csv(step_log(log).as_bytes(), &Options::default()).expect("a recording")
}

fn judged(log: &StepLog) -> RecordingAnswer {
    judge(&recording(log)).unwrap_or_else(|e| panic!("{e}"))
}

fn judge(recording: &Recording) -> Result<RecordingAnswer, RecordingError> {
    let channel = |name| recording.channel(name).expect("a channel");
    judge_recording(
        channel("commanded"),
        channel("actual"),
        RecordingMeta::from(recording),
    )
}

fn covers(estimate: Estimate, truth: f64) -> bool {
    estimate.low.is_some_and(|low| low <= truth)
        && estimate.high.is_some_and(|h| truth <= h)
}

fn said(answer: &RecordingAnswer, words: &str) -> bool {
    answer.remarks.iter().any(|r| r.contains(words))
}

/// Steps at phases of the log that the seed picks, as a hand on a switch would.
fn at_random_phases(seed: u64, rate_hz: f64, steps: u32) -> StepLog {
    let hundred = |k: u32| {
        f64::from(u32::try_from(seed.wrapping_mul(7_919) % 997).unwrap() * (k + 1) % 997)
            / 997.0
    };
    let level = |k: u32| if k.is_multiple_of(2) { 60.0 } else { 20.0 };
    let steps: Vec<(f64, f64)> =
        (0..steps).map(|k| (4.0 + 8.0 * f64::from(k) + hundred(k), level(k))).collect();
    let duration_s = 4.0 + 8.0 * f64::from(u32::try_from(steps.len()).unwrap());
    StepLog { seed, rate_hz, steps, duration_s, ..StepLog::default() }
}

#[test]
fn ten_rows_a_second_recover_the_truth_and_cover_it_as_often_as_said() {
    let truths = [(0.2, 0.25), (0.3, 0.6), (0.2, 1.2)];
    let (mut runs, mut tau_covered, mut dead_covered, mut gain_covered) = (0, 0, 0, 0);
    for seed in 0..180_u64 {
        let (dead_time_s, tau) = truths[usize::try_from(seed % 3).unwrap()];
        let steps = if seed % 2 == 0 { 6 } else { 2 };
        let log = StepLog {
            dead_time_s,
            tau_up_s: tau,
            tau_down_s: tau,
            ..at_random_phases(seed, 10.0, steps)
        };
        let answer = judged(&log);
        let (got_tau, got_dead) = (answer.time_constant_s, answer.dead_time_s);
        let near = |estimate: Estimate, truth: f64| {
            estimate.value.is_some_and(|v| (v - truth).abs() <= (0.15 * truth).max(0.05))
        };
        assert!(near(got_tau, tau), "seed {seed}: tau {tau}, {got_tau:?}");
        if steps == 6 {
            assert!(
                near(got_dead, dead_time_s),
                "seed {seed}: {dead_time_s}, {got_dead:?}"
            );
        }
        runs += 1;
        tau_covered += i32::from(covers(got_tau, tau));
        dead_covered += i32::from(covers(got_dead, dead_time_s));
        gain_covered += i32::from(covers(answer.gain, 1.0));
    }
    for (what, covered) in
        [("tau", tau_covered), ("dead", dead_covered), ("gain", gain_covered)]
    {
        let percent = 100.0 * f64::from(covered) / f64::from(runs);
        assert!((90.0..=98.5).contains(&percent), "{what} covered in {percent} of 100");
    }
}

#[test]
fn up_and_down_are_said_apart_where_they_differ() {
    let log = StepLog { tau_up_s: 1.4, tau_down_s: 0.5, ..at_random_phases(7, 10.0, 8) };
    let answer = judged(&log);
    assert!(
        said(&answer, "the time constant differs between steps: up 1."),
        "{:?}",
        answer.remarks
    );
    let tau = answer.time_constant_s;
    assert!(tau.low.unwrap() < 0.95 && tau.high.unwrap() > 0.95, "{tau:?}");
    let even = judged(&StepLog { tau_up_s: 0.8, tau_down_s: 0.8, ..log });
    assert!(!said(&even, "differs"), "{:?}", even.remarks);
}

/// One of ten signals a row, each fresh once in 0.9 s: a quick actuator gives bounds
/// only, a slow one its value.
#[test]
fn a_slow_link_gives_bounds_for_a_quick_actuator_and_values_for_a_slow_one() {
    for seed in 0..20 {
        let quick = StepLog {
            rate_hz: 11.1,
            jitter_s: 0.01,
            signals: 10,
            ..at_random_phases(seed, 11.1, 6)
        };
        let answer = judged(&quick);
        assert_eq!(
            answer.time_constant_s.value, None,
            "seed {seed}: {:?} {:?}",
            answer.remarks, answer.channels
        );
        assert_eq!(answer.dead_time_s.value, None, "seed {seed}");
        assert!(
            answer.time_constant_s.high.is_some_and(|high| high >= 0.6),
            "seed {seed}"
        );
        assert!(answer.dead_time_s.high.is_some_and(|high| high >= 0.2), "seed {seed}");
        assert!(answer.slew_per_s.value.is_none());
        assert!(said(&answer, "fewer than 3 fresh samples"), "{:?}", answer.remarks);
        let fresh: Vec<usize> = answer.channels.iter().map(|c| c.fresh).collect();
        assert!(
            fresh.iter().all(|f| (40..=60).contains(f)),
            "{fresh:?} of {}",
            answer.rows
        );
    }
    let steps = (0..6_u32).map(|k| {
        (20.0 + 40.37 * f64::from(k), if k.is_multiple_of(2) { 60.0 } else { 20.0 })
    });
    let slow = StepLog {
        rate_hz: 11.1,
        signals: 10,
        tau_up_s: 4.0,
        tau_down_s: 4.0,
        steps: steps.collect(),
        duration_s: 260.0,
        ..StepLog::default()
    };
    let answer = judged(&slow);
    let tau = answer.time_constant_s;
    assert!(
        tau.value.is_some_and(|v| (v - 4.0).abs() < 0.3) && covers(tau, 4.0),
        "{tau:?}"
    );
    assert!(covers(answer.dead_time_s, 0.2), "{:?}", answer.dead_time_s);
}

#[test]
fn what_the_data_cannot_judge_is_null_with_a_remark() {
    let rest = judged(&StepLog { steps: Vec::new(), ..StepLog::default() });
    assert_eq!(
        (rest.steps, rest.time_constant_s, rest.gain),
        (0, Estimate::default(), Estimate::default())
    );
    assert!(said(&rest, "`commanded` never steps"), "{:?}", rest.remarks);
    let stuck = judged(&StepLog { gain: 0.0, ..StepLog::default() });
    assert_eq!(stuck.time_constant_s, Estimate::default());
    assert_eq!(stuck.dead_time_s, Estimate::default());
    assert!(
        said(&stuck, "6 of 6 steps: the actual value does not answer"),
        "{:?}",
        stuck.remarks
    );
    assert!(stuck.gain.value.is_some_and(|g| g.abs() < 0.05), "{:?}", stuck.gain);
    let dead = judged(&StepLog { gain: 0.0, noise: 0.0, ..StepLog::default() });
    assert!(said(&dead, "does not answer"), "{:?}", dead.remarks);
    let short = recording(&StepLog { duration_s: 0.45, ..StepLog::default() });
    assert!(matches!(judge(&short), Err(RecordingError::TooFew { fresh: 5, .. })));
    let text = format!("time_s,commanded,actual\n{}", "1,2,3\n1,4,5\n".repeat(6));
    let still = read_csv(text.as_bytes(), &Options::default()).expect("a recording");
    assert!(matches!(judge(&still), Err(RecordingError::TimeStands(_))));
    let log = recording(&StepLog::default());
    let same =
        judge_recording(&log.channels[0], &log.channels[0], RecordingMeta::from(&log));
    assert!(matches!(same, Err(RecordingError::SameColumn(_))));
}

#[test]
fn steps_that_nobody_can_judge_are_counted_and_left_out() {
    let steps =
        vec![(5.0, 60.0), (5.6, 20.0), (15.0, 60.0), (25.03, 20.0), (35.07, 60.0)];
    let log = StepLog {
        steps,
        duration_s: 45.0,
        tau_up_s: 1.0,
        tau_down_s: 1.0,
        ..StepLog::default()
    };
    let answer = judged(&log);
    assert_eq!(answer.steps, 5);
    assert!(said(&answer, "still moving before it"), "{:?}", answer.remarks);
    assert!(covers(answer.time_constant_s, 1.0), "{:?}", answer.time_constant_s);
    let whole = step_log(&StepLog::default());
    let cut: Vec<&str> = whole
        .lines()
        .filter(|line| {
            let time = line.split(',').next().and_then(|t| t.parse::<f64>().ok());
            time.is_none_or(|t| !(14.5..16.5).contains(&t))
        })
        .collect();
    let gap =
        read_csv(cut.join("\n").as_bytes(), &Options::default()).expect("a recording");
    let answer = judge(&gap).expect("an answer");
    assert!(said(&answer, "1 of 6 steps not used: a gap"), "{:?}", answer.remarks);
    assert!(covers(answer.time_constant_s, 0.6));
}

#[test]
fn rows_and_command_on_one_clock_put_the_step_at_the_row_that_shows_it() {
    let at = [5.0, 14.0, 23.0, 32.0, 41.0, 50.0];
    let levels = [60.0, 20.0, 60.0, 20.0, 60.0, 20.0];
    let steps = at.into_iter().zip(levels).collect();
    let log = StepLog { jitter_s: 0.0, noise: 0.1, steps, ..StepLog::default() };
    let dead = judged(&log).dead_time_s;
    assert!(dead.value.is_some_and(|v| (v - 0.2).abs() < 0.01), "{dead:?}");
    assert!(
        dead.low.is_some_and(|l| l <= 0.2) && dead.high.is_some_and(|h| h > 0.27),
        "{dead:?}"
    );
}

/// A straight move of 40 a second, sampled at 20 Hz: rate by construction.
#[test]
fn a_rate_limit_is_told_from_a_first_order_approach() {
    let mut text = "time_s,commanded [%],actual [%]\n".to_owned();
    let mut actual = 20.0_f64;
    for row in 0..1200_u32 {
        let command = if row % 400 < 200 { 20.0 } else { 60.0 };
        actual += (command - actual).clamp(-2.0, 2.0);
        let noise = 0.1 * (f64::from((row * 7_919) % 1_009) / 504.5 - 1.0);
        text += &[f64::from(row) * 0.05, command, actual + noise]
            .map(|v| v.to_string())
            .join(",");
        text.push('\n');
    }
    let log = read_csv(text.as_bytes(), &Options::default()).expect("a recording");
    let answer = judge(&log).expect("an answer");
    let slew = answer.slew_per_s;
    assert!(
        slew.value.is_some_and(|v| (v - 40.0).abs() < 0.5) && covers(slew, 40.0),
        "{slew:?}"
    );
    assert_eq!(answer.time_constant_s.value, None);
    assert!(said(&answer, "straight lines"), "{:?}", answer.remarks);
    let first_order = judged(&at_random_phases(3, 10.0, 6)).slew_per_s;
    assert_eq!(first_order.value, None);
    // The steepest of 40 (1 - e^(-t/0.6)) is 66.7.
    assert!(
        first_order.low.is_some_and(|low| (low - 66.7).abs() < 7.0),
        "{first_order:?}"
    );
}

#[test]
fn a_steady_error_is_found_where_units_agree() {
    let log = StepLog { gain: 0.9, ..at_random_phases(11, 10.0, 6) };
    let text = step_log(&log);
    let answer = judged(&log);
    assert!(said(&answer, "taken as alike"));
    assert!(covers(answer.gain, 0.9), "{:?}", answer.gain);
    // Settled at 0.9 of 60 and of 20: -6 and -2 in turn, so -4 in the middle.
    assert!(covers(answer.steady_error, -4.0), "{:?}", answer.steady_error);
    let apart = text.replacen("commanded,actual", "commanded [%],actual [kPa]", 1);
    let log = read_csv(apart.as_bytes(), &Options::default()).expect("a recording");
    let answer = judge(&log).expect("an answer");
    assert_eq!(answer.steady_error, Estimate::default());
    assert!(said(&answer, "different units"));
}

/// The whole of the flow: a slow actuator before a repair, a quick one after.
#[test]
fn before_and_after_are_told_apart_and_the_same_is_the_same() {
    let slow = StepLog { tau_up_s: 1.4, tau_down_s: 1.4, ..at_random_phases(1, 10.0, 8) };
    let quick =
        StepLog { tau_up_s: 0.6, tau_down_s: 0.6, ..at_random_phases(2, 10.0, 8) };
    let (before, after) = (judged(&slow), judged(&quick));
    let changed = compare(&before, &after, None);
    assert_eq!(changed.verdict, Change::Changed);
    assert!(covers(changed.effect, -0.8), "{:?}", changed.effect);
    let again = judged(&StepLog { seed: 5, ..quick.clone() });
    assert_eq!(compare(&after, &again, None).verdict, Change::Same);
    let few = judged(&StepLog { steps: quick.steps[..2].to_vec(), ..quick });
    let undecided = compare(&before, &few, None);
    assert_eq!(undecided.verdict, Change::NotDecided);
    assert_eq!(undecided.more_steps, Some(2), "{undecided:?}");
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_does_not() {
    let log = StepLog::default();
    assert_eq!(step_log(&log), step_log(&log));
    assert_ne!(step_log(&log), step_log(&StepLog { seed: 2, ..log }));
    assert!(step_log(&StepLog::default()).starts_with("time_s,commanded,actual\n"));
    let nothing = StepLog { rate_hz: 0.0, ..StepLog::default() };
    assert_eq!(step_log(&nothing), "time_s,commanded,actual\n");
}

/// Twice the command and the actual value: the same times, the same gain; ten times the
/// clock: ten times the times.
#[test]
fn scale_moves_what_it_must_and_nothing_else() {
    let base = recording(&at_random_phases(9, 10.0, 6));
    let scaled = |by: (f64, f64)| {
        let mut log = base.clone();
        for sample in log.channels.iter_mut().flat_map(|c| c.samples.iter_mut()) {
            *sample = (sample.0 * by.0, sample.1 * by.1);
        }
        judge(&log).expect("an answer")
    };
    let (plain, doubled, slow) =
        (scaled((1.0, 1.0)), scaled((1.0, 2.0)), scaled((10.0, 1.0)));
    let close = |a: Estimate, b: Estimate, by: f64| {
        for (a, b) in [(a.value, b.value), (a.low, b.low), (a.high, b.high)] {
            let (a, b) = (a.unwrap() * by, b.unwrap());
            assert!((a - b).abs() <= 1e-3 * b.abs(), "{a} {b}");
        }
    };
    close(plain.time_constant_s, doubled.time_constant_s, 1.0);
    close(plain.dead_time_s, doubled.dead_time_s, 1.0);
    close(plain.gain, doubled.gain, 1.0);
    close(plain.time_constant_s, slow.time_constant_s, 10.0);
    close(plain.dead_time_s, slow.dead_time_s, 10.0);
}
