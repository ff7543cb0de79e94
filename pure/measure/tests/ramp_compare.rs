//! Ramps before against ramps after, with known truth.
#![cfg(test)]

#[expect(dead_code, reason = "the tests of single ramps use the rest")]
mod ramp_truth;

use measure::compare::Change;
use measure::{
    RampAnswer, RampCompareAnswer, RampInput, RampMetric, RampSide, compare_ramps,
    judge_ramp,
};
use ramp_truth::{Chance, Coil, Probe, base, probe, record, run};

fn quiet() -> Probe {
    Probe { noise_a: 0.002, length_s: 0.1, ..probe() }
}

/// Rises of one coil: each stroke has a little more or less friction than the last.
fn strokes(coil: Coil, seeds: std::ops::Range<u64>) -> Vec<RampAnswer> {
    seeds
        .map(|seed| {
            let mut chance = Chance(0x5eed ^ seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
            let preload_n = coil.preload_n * (1.0 + 0.02 * chance.normal());
            let probe = quiet();
            let truth = run(&Coil { preload_n, ..coil }, probe.length_s);
            let samples = record(&truth, &probe, seed);
            let volts = Some(coil.volts);
            let input = RampInput { current: &samples, volts, ..RampInput::default() };
            judge_ramp(&input).unwrap()
        })
        .collect()
}

fn strikes(coil: Coil) -> f64 {
    run(&coil, probe().length_s).contact_s.unwrap()
}

fn compared(
    before: &[RampAnswer],
    after: &[RampAnswer],
    celsius: [Option<f64>; 2],
) -> RampCompareAnswer {
    let [was, is] = celsius;
    compare_ramps(
        RampSide { ramps: before, celsius: was },
        RampSide { ramps: after, celsius: is },
    )
}

fn metric<'a>(answer: &'a RampCompareAnswer, name: &str) -> &'a RampMetric {
    answer.metrics.iter().find(|metric| metric.metric == name).unwrap()
}

fn said(answer: &RampCompareAnswer, words: &str) -> bool {
    answer.remarks.iter().any(|remark| remark.contains(words))
}

/// A plunger that was stiff strikes later by what the stepped equations say.
#[test]
fn a_freed_plunger_strikes_sooner_by_the_true_time() {
    let stiff = Coil { preload_n: 1.3, ..base() };
    let truth = strikes(base()) - strikes(stiff);
    let answer = compared(&strokes(stiff, 0..6), &strokes(base(), 10..16), [None; 2]);
    let contact = metric(&answer, "contact_s");
    assert_eq!(contact.verdict, Change::Changed, "{contact:?}");
    assert!(truth < -0.5e-3, "{truth}");
    let (low, high) = (contact.effect.low.unwrap(), contact.effect.high.unwrap());
    assert!(low <= truth && truth <= high, "{truth} outside {low} to {high}");
    for same in ["resistance_ohm", "inductance_h"] {
        assert_eq!(
            metric(&answer, same).verdict,
            Change::Same,
            "{:?}",
            metric(&answer, same)
        );
    }
}

/// The same coil twice: a change is called as seldom as 95 % intervals allow, and most
/// intervals cover zero.
#[test]
fn the_same_coil_twice_is_not_changed() {
    let (mut changed, mut covers) = (0, 0);
    let tries = 40;
    for nth in 0..tries {
        let first = 100 + 20 * nth;
        let before = strokes(base(), first..first + 4);
        let after = strokes(base(), first + 10..first + 14);
        let answer = compared(&before, &after, [None; 2]);
        let contact = metric(&answer, "contact_s");
        changed += u32::from(contact.verdict == Change::Changed);
        let (low, high) = (contact.effect.low.unwrap(), contact.effect.high.unwrap());
        covers += u32::from(low <= 0.0 && 0.0 <= high);
    }
    // Binomial: of 40 with 0.05, more than 6 come in less than 1 of 100 such tests.
    assert!(changed <= 6, "{changed} of {tries} called changed");
    assert!(covers >= 34, "{covers} of {tries} cover zero");
}

/// A higher supply alone pulls in sooner, a warm winding alone later: no effect is shown.
#[test]
fn another_drive_is_refused_in_words() {
    let before = strokes(base(), 0..4);
    let higher = strokes(Coil { volts: 13.5, ..base() }, 10..14);
    let answer = compared(&before, &higher, [None; 2]);
    for times in ["contact_s", "motion_s"] {
        let metric = metric(&answer, times);
        assert_eq!((metric.effect.value, metric.verdict), (None, Change::NotDecided));
        assert!(times == "motion_s" || metric.before.value.is_some(), "{metric:?}");
    }
    assert!(said(&answer, "12.00 V before and 13.50 V after"), "{:?}", answer.remarks);
    assert_eq!(metric(&answer, "resistance_ohm").verdict, Change::Same);

    // Copper from 20 to 60 °C: (60 + 234.5) / (20 + 234.5) (IEC 60028).
    let easy = Coil { preload_n: 0.5, ..base() };
    let before = strokes(easy, 0..4);
    let warm = strokes(Coil { ohm: 10.0 * 294.5 / 254.5, ..easy }, 10..14);
    let answer = compared(&before, &warm, [Some(20.0), Some(60.0)]);
    assert_eq!(metric(&answer, "contact_s").effect.value, None);
    assert!(said(&answer, "a warm winding pulls in later"), "{:?}", answer.remarks);
    let ohm = metric(&answer, "resistance_ohm");
    assert_eq!(ohm.verdict, Change::Same, "{ohm:?}");
    assert!(ohm.effect.value.unwrap().abs() < 0.02, "{ohm:?}");
    let unknown = compared(&before, &warm, [None; 2]);
    let ohm = metric(&unknown, "resistance_ohm");
    assert_eq!(ohm.verdict, Change::Changed, "{ohm:?}");
    assert!(said(&unknown, "0.39 %"), "{:?}", unknown.remarks);
}

/// One rise on each side shows the difference and decides nothing.
#[test]
fn one_rise_on_each_side_decides_nothing() {
    let stiff = Coil { preload_n: 1.3, ..base() };
    let answer = compared(&strokes(stiff, 0..1), &strokes(base(), 10..11), [None; 2]);
    let contact = metric(&answer, "contact_s");
    assert_eq!(contact.verdict, Change::NotDecided);
    assert!(contact.effect.value.unwrap() < 0.0 && contact.effect.high.unwrap() < 0.0);
    assert!(said(&answer, "1 before and 1 after"), "{:?}", answer.remarks);
    // A plunger that does not move has no time: nothing is made up.
    let blocked = strokes(Coil { blocked: true, ..base() }, 0..1);
    let answer = compared(&blocked, &strokes(base(), 10..11), [None; 2]);
    let contact = metric(&answer, "contact_s");
    assert_eq!((contact.before.value, contact.effect.value), (None, None));
    let none = compared(&[], &strokes(base(), 0..1), [None; 2]);
    assert!(none.metrics.iter().all(|metric| metric.effect.value.is_none()));
}

/// Where neither resistance nor temperature is known, times are not set against each other.
#[test]
fn an_unknown_winding_is_not_taken_for_a_like_one() {
    let cut = |ramps: Vec<RampAnswer>| -> Vec<RampAnswer> {
        ramps
            .into_iter()
            .map(|ramp| RampAnswer { resistance_ohm: None, ..ramp })
            .collect()
    };
    let (before, after) = (cut(strokes(base(), 0..4)), cut(strokes(base(), 10..14)));
    let effect = |celsius| {
        let answer = compared(&before, &after, celsius);
        metric(&answer, "contact_s").effect.value
    };
    assert_eq!(effect([None; 2]), None);
    assert_eq!(effect([Some(20.0), Some(60.0)]), None);
    assert!(effect([Some(20.0), Some(24.0)]).is_some());
}
