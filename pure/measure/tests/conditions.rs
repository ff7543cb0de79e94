//! Conditions: what is similar, warm-up cycles, and what of a drive counts.
#![cfg(test)]

use std::fmt::Write as _;

use logs::{Channel, Options, read_csv};
use measure::{Conditions, Frame, FrameError, exposure};

fn channel(name: &str, unit: &str, samples: &[(f64, f64)]) -> Channel {
    Channel {
        name: name.to_owned(),
        unit: Some(unit.to_owned()),
        samples: samples.to_vec(),
    }
}

/// 13 CCR 1968.2(c): within 375 1/min and 20 points of load, the same warm-up state.
#[test]
fn similar_ends_where_the_regulation_says() {
    let frame = Frame::parse("rpm=1427,load=28,warm").expect("a frame");
    let like = |rpm: f64, load: f64, warm: bool| {
        frame.is_like(&Frame { rpm: Some(rpm), load: Some(load), warm: Some(warm) })
    };
    assert!(like(1802.0, 28.0, true) && like(1052.0, 28.0, true));
    assert!(!like(1803.0, 28.0, true) && !like(1051.0, 28.0, true));
    assert!(like(1427.0, 48.0, true) && !like(1427.0, 48.1, true));
    assert!(!like(1427.0, 28.0, false));
    assert_eq!(Frame::parse("coolant=85").expect("warm").warm, Some(true));
    for (text, wrong) in
        [("", FrameError::Nothing), ("gear=3", FrameError::Part("gear=3".into()))]
    {
        assert_eq!(Frame::parse(text), Err(wrong));
    }
}

/// 13 CCR 1968.2(c): a rise of 22.2 K to at least 71.1 °C; 22.0 K to 71.0 °C is none.
#[test]
fn a_warm_up_needs_its_rise_and_its_end() {
    let cycles = |temperatures: &[f64]| {
        let times = (0_u32..).map(f64::from);
        let samples: Vec<(f64, f64)> = times.zip(temperatures.iter().copied()).collect();
        let coolant = channel("coolant", "°C", &samples);
        let conditions = Conditions { coolant: Some(&coolant), ..Conditions::default() };
        let frame = Frame { warm: Some(true), ..Frame::default() };
        exposure(&conditions, &frame).expect("an answer").warm_ups
    };
    assert_eq!(cycles(&[49.0, 60.0, 71.0]), Some(0));
    assert_eq!(cycles(&[49.0, 60.0, 71.2]), Some(1));
    assert_eq!(cycles(&[60.0, 75.0, 82.1]), Some(0));
    assert_eq!(cycles(&[20.0, 85.0, 90.0, 88.0, 60.0, 85.0]), Some(2));
}

/// Four minutes by construction: one in like conditions at 60 km/h, so one kilometre.
#[test]
fn minutes_and_kilometres_in_like_conditions_add_up() {
    let mut text =
        "time_s,engine rpm [rpm],load [%],coolant [°C],vehicle speed [km/h]\n".to_owned();
    for t in 0..=240_u32 {
        let (rpm, load, coolant) = match t.div_euclid(60) {
            0 => (800, 20, 30),
            1 => (1900, 60, 60),
            2 => (1900, 62, 85),
            _ => (3000, 62, 85),
        };
        writeln!(text, "{t},{rpm},{load},{coolant},60").expect("text");
    }
    let log = read_csv(text.as_bytes(), &Options::default()).expect("a log");
    let frame = Frame::parse("rpm=1900,load=62,warm").expect("a frame");
    let like = exposure(&Conditions::find(&log), &frame).expect("an answer");
    assert!((like.min - 1.0).abs() < 1e-9, "{like:?}");
    assert!(like.km.is_some_and(|km| (km - 1.0).abs() < 1e-9), "{like:?}");
    assert!((like.of_min - 4.0).abs() < 1e-9, "{like:?}");
    assert!(like.of_km.is_some_and(|km| (km - 4.0).abs() < 1e-9), "{like:?}");
    assert_eq!(like.warm_ups, Some(1));
    let minutes: f64 = like.cells.iter().map(|cell| cell.min).sum();
    assert!((minutes - 4.0).abs() < 1e-9, "{like:?}");
    // An hour without a row is not driven through.
    let gap = text.replace("\n120,", "\n3720,");
    let cut: String = gap
        .lines()
        .filter(|line| {
            line.split(',').next().is_none_or(|t| {
                t.parse().is_ok_and(|t: f64| t <= 120.0 || t > 3000.0) || t == "time_s"
            })
        })
        .fold(String::new(), |text, line| text + line + "\n");
    let log = read_csv(cut.as_bytes(), &Options::default()).expect("a log");
    let like = exposure(&Conditions::find(&log), &frame).expect("an answer");
    assert!(like.of_min < 2.1, "{like:?}");
}

#[test]
fn what_was_not_recorded_is_asked_for() {
    let rpm = channel("rpm", "1/min", &[(0.0, 800.0), (1.0, 900.0)]);
    let conditions = Conditions { rpm: Some(&rpm), ..Conditions::default() };
    let load = Frame::parse("rpm=800,load=20").expect("a frame");
    assert_eq!(exposure(&conditions, &load), Err(FrameError::NoChannel("load")));
    let speed = Frame::parse("rpm=800").expect("a frame");
    let like = exposure(&conditions, &speed).expect("an answer");
    assert_eq!((like.km, like.warm_ups), (None, None));
}
