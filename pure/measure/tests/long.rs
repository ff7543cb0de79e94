//! A recording with more steps than are fitted: what is left out changes nothing but time.
#![cfg(test)]

use logs::Channel;
use measure::{RecordingMeta, judge_recording};

const STEPS: usize = 400;
/// Samples a step, and a second.
const HELD: usize = 50;
const PER_S: f64 = 10.0;
/// Dead time and time constant, s.
const TRUTH: (f64, f64) = (0.3, 0.6);

fn channel(name: &str, samples: Vec<(f64, f64)>) -> Channel {
    Channel { name: name.to_owned(), unit: None, samples }
}

#[test]
fn runs_of_steps_from_all_of_it_give_the_made_answer() {
    let (dead_s, tau_s) = TRUTH;
    let held_s = f64::from(u32::try_from(HELD).unwrap()) / PER_S;
    let (mut command, mut actual) = (Vec::new(), Vec::new());
    let mut level = 0.0;
    for step in 0..=STEPS {
        let to = if step % 2 == 0 { 20.0 } else { 80.0 };
        let from = level;
        for at in 0..HELD {
            let since = f64::from(u32::try_from(at).unwrap()) / PER_S;
            let t = f64::from(u32::try_from(step).unwrap()) * held_s + since;
            command.push((t, to));
            let gone = ((since - dead_s).max(0.0) / -tau_s).exp();
            actual.push((t, to + (from - to) * gone));
        }
        level = to;
    }
    let answer = judge_recording(
        &channel("command", command),
        &channel("actual", actual),
        RecordingMeta::default(),
    )
    .unwrap();
    assert_eq!(answer.steps, STEPS);
    let said = "128 of 400 steps were fitted";
    assert!(answer.remarks.iter().any(|r| r.contains(said)), "{:?}", answer.remarks);
    assert!((answer.time_constant_s.value.unwrap() - tau_s).abs() < 0.01);
    assert!((answer.dead_time_s.value.unwrap() - dead_s).abs() < 0.06);
    let first = answer.each.first().unwrap().at_s;
    let last = answer.each.last().unwrap().at_s;
    assert!(first < 10.0 * held_s && last > (390.0) * held_s, "{first} to {last}");
}
