//! Hysteresis from slow ramps, by the two-parameter model of a sticking valve
//! (Choudhury, Thornhill and Shah, Control Eng. Practice 13 (2005) 641-658): deadband
//! plus stickband S, slip jump J, both in the unit of the command; width = S − J.
#![cfg(test)]

use std::fmt::Write as _;

use logs::{Options, read_csv};
use measure::{RecordingAnswer, RecordingMeta, judge_recording};

/// A triangle of ±10 in 40 s a turn, 100 rows a second, five turns.
fn triangle(t: f64) -> f64 {
    let turn = (t / 40.0).fract();
    if turn < 0.25 {
        40.0 * turn
    } else if turn < 0.75 {
        20.0 - 40.0 * turn
    } else {
        40.0 * turn - 40.0
    }
}

/// The valve: sticks on reversal until the input has moved S, then slips by J and moves
/// along at a distance of (S − J)/2.
fn sticking(s: f64, j: f64) -> RecordingAnswer {
    let (mut out, mut held_at, mut up, mut stuck) = (0.0, 0.0, true, false);
    let mut before = 0.0;
    let mut text = "time_s,commanded,actual\n".to_owned();
    for row in 0..20_000_u32 {
        let t = f64::from(row) * 0.01;
        let x = triangle(t);
        if row > 0 && (x > before) != up {
            (up, stuck, held_at) = (x > before, true, before);
        }
        if stuck && (x - held_at).abs() >= s {
            stuck = false;
        }
        if !stuck {
            out = if up { x - (s - j) / 2.0 } else { x + (s - j) / 2.0 };
        }
        before = x;
        writeln!(text, "{t:.2},{x:.4},{out:.4}").expect("text");
    }
    let log = read_csv(text.as_bytes(), &Options::default()).expect("a recording");
    let channel = |name| log.channel(name).expect("a channel");
    judge_recording(channel("commanded"), channel("actual"), RecordingMeta::from(&log))
        .expect("an answer")
}

/// Published check values: S 5, J 2 and S 3, J 0 both give a width of 3.0; S = J gives 0;
/// tolerance as published.
#[test]
fn slow_ramps_show_the_hysteresis() {
    for (s, j, width) in
        [(5.0, 2.0, 3.0), (3.0, 0.0, 3.0), (0.0, 0.0, 0.0), (5.0, 5.0, 0.0)]
    {
        let answer = sticking(s, j);
        let got = answer.hysteresis;
        assert!(
            got.value.is_some_and(|v| (v - width).abs() < 0.05),
            "S {s} J {j}: {got:?} is not {width}"
        );
        assert!(
            got.low <= Some(width) && Some(width) <= got.high,
            "S {s} J {j}: {got:?}"
        );
        let slips = answer.remarks.iter().any(|r| r.contains("then slips by about"));
        assert_eq!(slips, j > 0.0, "S {s} J {j}: {:?}", answer.remarks);
    }
}

/// A stair up and down whose levels are missed by half the width from either side: the
/// width by construction, settled values and so without lag.
#[test]
fn a_stair_up_and_down_shows_the_width() {
    let levels = [20.0, 40.0, 60.0, 80.0, 60.0, 40.0, 20.0, 40.0, 60.0, 40.0, 20.0];
    let width = 3.0;
    let (mut actual, mut target) = (20.0, 20.0);
    let mut before = 20.0;
    let mut text = "time_s,commanded,actual\n".to_owned();
    for row in 0..1_100_u32 {
        let command = levels[usize::try_from(row.div_euclid(100)).expect("small")];
        if command > before {
            target = command - width / 2.0;
        } else if command < before {
            target = command + width / 2.0;
        }
        before = command;
        actual += (target - actual) * (1.0 - (-0.1_f64 / 0.5).exp());
        let noise = 0.2 * (f64::from((row * 7_919) % 1_009) / 504.5 - 1.0);
        writeln!(text, "{:.1},{command},{:.3}", f64::from(row) * 0.1, actual + noise)
            .expect("text");
    }
    let log = read_csv(text.as_bytes(), &Options::default()).expect("a recording");
    let channel = |name| log.channel(name).expect("a channel");
    let meta = RecordingMeta::from(&log);
    let answer =
        judge_recording(channel("commanded"), channel("actual"), meta).expect("one");
    let got = answer.hysteresis;
    assert!(
        got.value.is_some_and(|v| (v - width).abs() < 0.35),
        "{got:?} {:?}",
        answer.remarks
    );
}
