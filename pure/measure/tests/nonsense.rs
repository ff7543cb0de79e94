//! Input that makes no sense is an error in plain words, and nothing panics.
#![cfg(test)]

use logs::Channel;
use measure::bench::{BenchError, share};
use measure::{
    Accuracy, BenchInput, JudgeError, JudgeInput, Leads, Limits, Material,
    PartTemperature, RecordingMeta, Verdict, band_weights, bench, judge, judge_recording,
};
use proptest::prelude::*;
use units::Unit;

fn ohm() -> Unit {
    Unit::parse("ohm").expect("a unit")
}

fn limits(text: &str) -> Limits {
    Limits::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

fn refused(change: impl FnOnce(&mut JudgeInput)) -> JudgeError {
    let mut input = JudgeInput::of(7.9, ohm());
    change(&mut input);
    judge(&input).expect_err("it makes no sense")
}

#[test]
fn nonsense_is_refused() {
    assert!(matches!(refused(|i| i.value = Some(f64::NAN)), JudgeError::Nonsense(_)));
    assert_eq!(refused(|i| i.value = None), JudgeError::NoValue);
    assert_eq!(refused(|i| i.repeats = vec![1.0, 2.0]), JudgeError::ValueAndRepeats);
    let one = |i: &mut JudgeInput| (i.value, i.repeats) = (None, vec![7.9]);
    assert_eq!(refused(one), JudgeError::OneRepeat);
    for risk in [0.0, -0.1, 0.6, f64::NAN, f64::INFINITY] {
        assert_eq!(refused(|i| i.risk = risk), JudgeError::Risk, "{risk}");
    }
    for digit in [0.0, -1.0, f64::NAN] {
        assert!(matches!(refused(|i| i.digit = Some(digit)), JudgeError::Nonsense(_)));
    }
    let leads = |value, u| move |i: &mut JudgeInput| i.leads = Some(Leads { value, u });
    assert!(matches!(refused(leads(-0.1, None)), JudgeError::Nonsense(_)));
    assert!(matches!(refused(leads(0.1, Some(f64::NAN))), JudgeError::Nonsense(_)));
    let digits = |i: &mut JudgeInput| i.accuracy = Accuracy::parse("0.8%+2d", ohm()).ok();
    assert_eq!(refused(digits), JudgeError::DigitMissing);
    let warm = |part_c| {
        move |i: &mut JudgeInput| {
            let material = Material::Copper;
            let half = None;
            i.temperature = Some(PartTemperature {
                material,
                part_c,
                part_half_width_k: half,
                reference_c: 20.0,
            });
        }
    };
    for part_c in [-234.5, -300.0, 1e9, f64::NAN] {
        assert!(matches!(refused(warm(part_c)), JudgeError::Temperature(_)), "{part_c}");
    }
    let volts = |i: &mut JudgeInput| {
        i.unit = Unit::parse("V").expect("a unit");
        warm(60.0)(i);
    };
    assert!(matches!(refused(volts), JudgeError::NotAResistance(_)));
    assert!(Material::parse("tin").is_err());
}

#[test]
fn typed_limits_and_accuracies_are_read_or_refused() {
    for wrong in
        ["", "..", "7", "8.4..6.6", "a..b", "6,6..8.4", "NaN..1", "6.6...8.4", "1..2..3"]
    {
        assert!(Limits::parse(wrong).is_err(), "{wrong}");
    }
    let one = Limits::parse(" 6.6.. ").expect("one side");
    assert_eq!((one.low(), one.high()), (Some(6.6), None));
    let low = Limits::parse("..-0.1").expect("one side");
    assert_eq!((low.low(), low.high()), (None, Some(-0.1)));
    let half = |text: &str| {
        Accuracy::parse(text, ohm()).and_then(|a| a.half_width(10.0, Some(0.1)))
    };
    for (text, wanted) in [
        ("0.8%+2d", 0.28),
        ("0.5%", 0.05),
        ("2d", 0.2),
        ("0.05ohm", 0.05),
        ("+0.02", 0.02),
        ("50mohm", 0.05),
        ("\u{b1}(0.8% + 2 digits)", 0.28),
        ("1%+0.02", 0.12),
        ("0", 0.0),
    ] {
        let got = half(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((got - wanted).abs() < 1e-12, "{text}: {got}");
    }
    for wrong in
        ["", "-1%", "0.8%+", "2d+3d", "good", "1V", "NaN%", "1e999%", "0,8%", "2dd"]
    {
        assert!(half(wrong).is_err(), "{wrong}");
    }
}

/// The trade's own trap: 9.56 ohm at 90 °C is a good coil of 7.5 (common practice).
#[test]
fn a_warm_coil_is_good_and_an_edge_is_not_sure() {
    let mut input = JudgeInput::of(9.56, ohm());
    input.limits = Some(limits("6.6..8.4"));
    assert_eq!(judge(&input).expect("an answer").verdict, Some(Verdict::Out));
    let (material, part_c) = (Material::Copper, 90.0);
    input.temperature = Some(PartTemperature {
        material,
        part_c,
        part_half_width_k: None,
        reference_c: 20.0,
    });
    assert_eq!(judge(&input).expect("an answer").verdict, Some(Verdict::In));
    let mut edge = JudgeInput::of(8.4, ohm());
    edge.limits = Some(limits("6.6..8.4"));
    let exact = judge(&edge).expect("an answer");
    assert_eq!((exact.u, exact.p_within), (0.0, Some(1.0)));
    edge.accuracy = Accuracy::parse("0.1", ohm()).ok();
    let unsure = judge(&edge).expect("an answer");
    assert_eq!(unsure.verdict, Some(Verdict::NotSure));
    assert!((unsure.p_within.expect("limits") - 0.5).abs() < 1e-9);
    edge.limits = None;
    let plain = judge(&edge).expect("an answer");
    assert_eq!((plain.p_within, plain.verdict), (None, None));
    let half =
        JudgeInput { value: Some(8.4), limits: Some(limits("..8.4")), risk: 0.5, ..edge };
    assert_eq!(judge(&half).expect("an answer").verdict, Some(Verdict::In));
}

#[test]
fn nine_repeats_use_students_t_and_ten_do_not() {
    let repeats =
        |n: u32| (0..n).map(|i| 7.0 + 0.1 * f64::from(i % 3)).collect::<Vec<_>>();
    let input =
        |n| JudgeInput { value: None, repeats: repeats(n), ..JudgeInput::of(0.0, ohm()) };
    assert_eq!(judge(&input(9)).expect("an answer").dof, Some(8.0));
    assert_eq!(judge(&input(10)).expect("an answer").dof, None);
}

#[test]
fn a_value_on_the_edge_of_two_bands_moves_nothing_between_them() {
    let bands = [(None, Some(7.0)), (Some(7.0), None)];
    let even = band_weights(7.0, 0.1, None, &bands);
    assert!((even[0] - 0.5).abs() < 1e-12 && (even[1] - 0.5).abs() < 1e-12);
    assert_eq!(band_weights(7.0, 0.0, None, &bands), [0.0, 1.0]);
    assert_eq!(
        band_weights(1.0, 0.0, None, &[(Some(2.0), Some(3.0)), (Some(5.0), None)]),
        [1.0, 0.0]
    );
    assert!(band_weights(f64::NAN, 0.1, None, &bands).is_empty());
    assert!(band_weights(7.0, 0.1, None, &[]).is_empty());
}

/// 12 V on 8 ohm: 1.5 A and 18 W (Ohm's law). 40 g of copper take 385 × 0.04 = 15.4 J/K,
/// so at constant power 135 K take 115.5 s; power falls as the coil warms: longer.
#[test]
fn the_bench_says_current_power_and_how_long() {
    let input = BenchInput {
        volts: 12.0,
        resistance_ohm: 8.0,
        coil_c: 20.0,
        limit_c: 155.0,
        copper_kg: Some(0.04),
        strokes: 20,
        stuck: 0,
    };
    let answer = bench(&input).expect("an answer");
    assert!(
        (answer.current_a - 1.5).abs() < 1e-12 && (answer.power_w - 18.0).abs() < 1e-12
    );
    let hold = answer.hold_s.expect("a time");
    let mean_factor = 1.0 + 135.0 / (2.0 * 254.5);
    assert!((hold - 115.5 * mean_factor).abs() < 1e-9, "{hold}");
    let high = answer.stuck_share.expect("a share").high;
    assert!((high - (1.0 - 0.05_f64.powf(1.0 / 20.0))).abs() < 1e-9);
    assert!(answer.remarks.iter().any(|r| r.contains("0 of 20 stuck still allows 13.9")));
    for wrong in [
        BenchInput { volts: 0.0, ..input },
        BenchInput { resistance_ohm: f64::NAN, ..input },
        BenchInput { limit_c: 20.0, ..input },
        BenchInput { copper_kg: Some(-1.0), ..input },
        BenchInput { stuck: 21, ..input },
    ] {
        assert!(bench(&wrong).is_err(), "{wrong:?}");
    }
    assert_eq!(share(0, 0, 0.95), Err(BenchError::NotPositive("the number of strokes")));
    assert_eq!(share(3, 3, 0.95).map(|s| s.high), Ok(1.0));
}

fn channel(name: &str, samples: Vec<(f64, f64)>) -> Channel {
    Channel { name: name.to_owned(), unit: None, samples }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_typed_text_is_read_or_refused(text in "\\PC{0,24}|[0-9.+%d -]{0,16}") {
        if let Ok(accuracy) = Accuracy::parse(&text, ohm()) {
            let half = accuracy.half_width(7.9, Some(0.1));
            prop_assert!(half.is_ok_and(|h| h >= 0.0));
        }
        let _ = Limits::parse(&text);
    }

    #[test]
    fn any_reading_is_judged_or_refused(
        repeats in proptest::collection::vec(prop_oneof![Just(7.9), Just(7.900_000_000_1), any::<f64>()], 0..14),
        half in prop_oneof![Just(0.0), 0.0_f64..1e3, any::<f64>()],
        low in any::<f64>(),
        risk in 0.0_f64..0.6,
    ) {
        let mut input = JudgeInput { value: None, repeats, risk, ..JudgeInput::of(0.0, ohm()) };
        input.limits = Limits::new(Some(low), None).ok();
        input.accuracy = Accuracy::parse(&format!("{half:e}"), ohm()).ok();
        if let Ok(answer) = judge(&input) {
            prop_assert!(answer.value.is_finite() && answer.u.is_finite() && answer.u >= 0.0);
            prop_assert!(answer.p_within.is_none_or(|p| (0.0..=1.0).contains(&p)));
        }
    }

    #[test]
    fn weights_sum_to_one(value in -1e3_f64..1e3, u in 0.0_f64..1e2, cut in -1e3_f64..1e3, dof in proptest::option::of(0.5_f64..50.0)) {
        let bands = [(None, Some(cut)), (Some(cut), Some(cut + 1.0)), (Some(cut + 1.0), None)];
        let weights = band_weights(value, u, dof, &bands);
        prop_assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        prop_assert!(weights.iter().all(|w| (0.0..=1.0).contains(w)));
    }

    #[test]
    fn any_recording_is_judged_or_refused(
        gaps in proptest::collection::vec(0.0_f64..2.0, 0..120),
        levels in proptest::collection::vec(prop_oneof![Just(0.0), Just(10.0), Just(1e12), -1.0_f64..1.0], 120),
        actual in proptest::collection::vec(prop_oneof![Just(0.0), Just(5.0), -1e9_f64..1e9], 120),
    ) {
        let mut t = 0.0;
        let times: Vec<f64> = gaps.iter().map(|gap| { t += gap; t }).collect();
        let held = |i: usize| levels[i - i % 8];
        let command = channel("a", times.iter().enumerate().map(|(i, t)| (*t, held(i))).collect());
        let actual = channel("b", times.iter().copied().zip(actual).collect());
        if let Ok(answer) = judge_recording(&command, &actual, RecordingMeta::default()) {
            for e in [answer.dead_time_s, answer.time_constant_s, answer.gain, answer.slew_per_s, answer.steady_error, answer.hysteresis] {
                prop_assert!([e.value, e.low, e.high].iter().flatten().all(|x| x.is_finite()));
                if let (Some(low), Some(value)) = (e.low, e.value) {
                    prop_assert!(low <= value + 1e-9 * value.abs());
                }
            }
        }
    }
}
