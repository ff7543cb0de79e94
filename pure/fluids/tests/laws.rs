//! Laws that hold for every oil and dipstick, and what nonsense is refused.
#![cfg(test)]

use fluids::{
    FitInput, Grade, LevelInput, Point, ThicknessInput, UseInput, Walther, oil_grade,
    oil_level, oil_thickness, oil_use,
};
use proptest::prelude::*;

fn point(celsius: f64, mm2_s: f64) -> Point {
    Point::new(celsius, mm2_s).expect("a point")
}

/// Just below 2 mm²/s, where the standard's two forms of Z do not meet.
#[test]
fn a_point_near_two_is_met() {
    let (cold, warm) = (point(40.0, 3.0), point(100.0, 1.999_76));
    let line = Walther::through(cold, warm).expect("two points");
    let back = line.viscosity_mm2_s(100.0).expect("within the charts");
    assert!((back / 1.999_76 - 1.0).abs() < 1e-9, "{back}");
}

proptest! {
    #[test]
    fn warmer_is_thinner_and_the_points_are_met(
        warm in 0.5..40.0_f64,
        times in 1.5..20.0_f64,
        at_c in 0.0..140.0_f64,
        more in 1.0..20.0_f64,
    ) {
        let known = [point(40.0, warm * times), point(100.0, warm)];
        let line = Walther::through(known[0], known[1]).expect("two points");
        for point in known {
            let back = line.viscosity_mm2_s(point.celsius).expect("within the charts");
            prop_assert!((back / point.mm2_s - 1.0).abs() < 1e-9);
        }
        if let (Ok(one), Ok(next)) =
            (line.viscosity_mm2_s(at_c), line.viscosity_mm2_s(at_c + more))
        {
            prop_assert!(next < one);
        }
    }

    #[test]
    fn what_is_filled_brings_it_to_full(
        between in 0.2..5.0_f64,
        share in 0.0..1.0_f64,
        misread in 0.0..0.3_f64,
    ) {
        let read = LevelInput { between_litres: between, share, misread, sump_litres: None, warmer_k: 0.0 };
        let answer = oil_level(&read).expect("answers");
        let above = answer.above_low_litres.expect("between the marks");
        prop_assert!((above + answer.fill_litres - between).abs() < 1e-9);
        let [low, high] = answer.fill_range_litres.expect("between the marks");
        prop_assert!(low <= answer.fill_litres && answer.fill_litres <= high);
        prop_assert!(answer.first_pour_litres <= answer.fill_litres);
    }

    #[test]
    fn nothing_is_answered_with_a_number_that_is_none(numbers in prop::array::uniform6(any::<f64>())) {
        let [one, two, three, four, five, six] = numbers;
        let mut input = UseInput::new(one, two);
        input.rise_litres = three;
        input.misread_litres = four;
        input.above_low_litres = Some(five);
        input.fuel_l_per_100km = Some(six);
        if let Ok(answer) = oil_use(&input) {
            prop_assert!(answer.range_litres_per_1000_km.iter().all(|rate| rate.is_finite()));
            prop_assert!(answer.next_look_km.is_none_or(f64::is_finite));
        }
        if let (Ok(one), Ok(other)) = (Point::new(one, two), Point::new(three, four)) {
            let asked = ThicknessInput { known: [one, other], at_c: vec![five] };
            if let Ok(answer) = oil_thickness(&asked) {
                prop_assert!(answer.a.is_finite() && answer.b.is_finite());
            }
        }
    }
}

#[test]
fn points_that_contradict_each_other_are_refused() {
    assert!(Walther::through(point(40.0, 5.0), point(100.0, 32.0)).is_err());
    assert!(Walther::through(point(40.0, 32.0), point(45.0, 30.0)).is_err());
    for wrong in ["40", "40=", "=32", "40=x", "40=-3", "1000=5", "40=NaN", "-300=9"] {
        assert!(wrong.parse::<Point>().is_err(), "{wrong}");
    }
}

/// Below 2 mm²/s the short form would be off; water-thin fuel oils are there.
#[test]
fn thin_liquids_take_the_long_form() {
    let line = Walther::through(point(20.0, 4.0), point(80.0, 1.5)).expect("two points");
    let back = line.viscosity_mm2_s(80.0).expect("within the charts");
    assert!((back - 1.5).abs() < 1e-9);
    let short = {
        let height = |mm2_s: f64| (mm2_s + 0.7_f64).log10().log10();
        let place = |celsius: f64| (celsius + 273.15_f64).log10();
        let slope = (height(4.0) - height(1.5)) / (place(80.0) - place(20.0));
        let at = height(4.0) - slope * (place(120.0) - place(20.0));
        10_f64.powf(10_f64.powf(at)) - 0.7
    };
    let long = line.viscosity_mm2_s(120.0).expect("within the charts");
    assert!((long - short).abs() > 0.001, "{long} {short}");
}

#[test]
fn a_rate_is_refused_where_the_reading_cannot_tell_it() {
    let mut input = UseInput::new(0.3, 1000.0);
    input.misread_litres = 0.1; // 33 % of what was used
    input.above_low_litres = Some(0.4);
    let unsure = oil_use(&input).expect("answers");
    assert_eq!((unsure.litres_per_1000_km, unsure.finding.as_deref()), (None, None));
    // By the greatest use that may be, 0.4 l for 1000 km: half of 0.4 l lasts 500 km.
    assert!((unsure.next_look_km.expect("by the greatest") - 500.0).abs() < 1e-9);
    input.misread_litres = 0.05;
    assert!(oil_use(&input).expect("answers").litres_per_1000_km.is_some());
    let rose = UseInput { rise_litres: 0.5, ..UseInput::new(0.0, 800.0) };
    let answer = oil_use(&rose).expect("answers");
    assert_eq!(answer.litres_per_1000_km, None);
    assert!(answer.remarks.iter().any(|remark| remark.contains("fuel or coolant")));
}

#[test]
fn use_is_capped_by_the_service_and_named() {
    let mut input = UseInput::new(1.2, 1000.0);
    input.above_low_litres = Some(1.0);
    input.service_km = Some(200.0);
    let answer = oil_use(&input).expect("answers");
    assert_eq!(answer.finding.as_deref(), Some("cause")); // above 1 l: common practice
    assert_eq!(answer.next_look_by.as_deref(), Some("service"));
    let finding =
        |litres| oil_use(&UseInput::new(litres, 1000.0)).expect("answers").finding;
    assert_eq!(finding(0.6).as_deref(), Some("also-seen"));
    assert_eq!(finding(0.2).as_deref(), Some("usual"));
}

#[test]
fn outside_the_marks_the_dipstick_tells_no_litres() {
    let read = |above_mm| {
        oil_level(&LevelInput::by_mm(1.0, (above_mm, 14.0), 1.0).expect("a reading"))
            .expect("answers")
    };
    let low = read(-5.0);
    assert_eq!((low.stands.as_str(), low.above_low_litres), ("below-low", None));
    assert!((low.fill_litres - 1.0).abs() < 1e-12 && low.fill_range_litres.is_none());
    let high = read(17.0);
    assert_eq!((high.stands.as_str(), high.fill_litres), ("above-full", 0.0));
    assert!((high.over_litres.expect("too much") - 3.0 / 14.0).abs() < 1e-9);
    assert!(LevelInput::by_mm(1.0, (3.0, 0.0), 0.0).is_err());
    assert!(LevelInput::by_mm(1.0, (f64::NAN, 14.0), 0.0).is_err());
}

fn grade(text: &str) -> Grade {
    text.parse().expect("grade reads")
}

#[test]
fn a_grade_is_judged_only_by_what_is_known() {
    let mut oil = FitInput {
        grade: Some(grade("5W-30")),
        at_100_mm2_s: Some(11.0),
        ..FitInput::default()
    };
    assert_eq!(oil_grade(&oil).expect("answers").fits, None);
    oil.hths = Some(3.1);
    oil.crank = Some((5800.0, -30.0));
    oil.pump = Some((18_000.0, -35.0));
    let answer = oil_grade(&oil).expect("answers");
    assert_eq!((answer.fits, answer.requirements.len()), (Some(true), 4));
    assert_eq!(answer.warm, ["30"]);
    assert_eq!(answer.cold, ["5W", "10W", "15W", "20W", "25W"]);
    // 12.5 belongs to 40, not to 30: below, not at most.
    oil.at_100_mm2_s = Some(12.5);
    assert_eq!(oil_grade(&oil).expect("answers").fits, Some(false));
}

/// One reprint of SAE J300 prints cranking of 10W at −30 °C; it is −25 °C.
#[test]
fn the_misprint_of_10w_is_not_inherited() {
    assert!((grade("10W").winter().expect("cold side").crank.1 + 25.0).abs() < 1e-12);
    // A value at −30 °C within the limit is the safe side; one at −20 °C tells nothing.
    let oil = |mpas, celsius| FitInput {
        grade: Some(grade("10W")),
        crank: Some((mpas, celsius)),
        ..FitInput::default()
    };
    let cranking = |mpas, celsius| {
        oil_grade(&oil(mpas, celsius)).expect("answers").requirements[0].fits
    };
    assert_eq!(cranking(6900.0, -30.0), Some(true));
    assert_eq!(cranking(3000.0, -20.0), None);
    assert_eq!(cranking(7100.0, -20.0), Some(false));
    assert_eq!(cranking(7001.0, -25.0), Some(false));
}

/// Secondary texts print "0.3 l for 1000 km"; the limit is 0.3 % of the fuel.
#[test]
fn the_limit_of_use_goes_by_the_fuel() {
    let limit = |fuel| {
        let input =
            UseInput { fuel_l_per_100km: Some(fuel), ..UseInput::new(0.1, 1000.0) };
        oil_use(&input).expect("answers").fuel_limit_l_per_1000_km.expect("fuel is known")
    };
    assert!((limit(5.0) - 0.15).abs() < 1e-12 && (limit(10.0) - 0.3).abs() < 1e-12);
}

#[test]
fn another_grade_replaces_only_where_cold_is_as_good_and_warm_the_same() {
    let replaces = |have: &str, asked: &str| {
        let input = FitInput {
            grade: Some(grade(have)),
            asked: Some(grade(asked)),
            ..FitInput::default()
        };
        oil_grade(&input).expect("answers").replaces
    };
    assert_eq!(replaces("0W-30", "5W-30"), Some(true));
    assert_eq!(replaces("10W-30", "5W-30"), Some(false));
    assert_eq!(replaces("5W-40", "5W-30"), Some(false));
    assert_eq!(replaces("30", "5W-30"), Some(false));
    for wrong in ["", "5W-35", "W30", "-5W-30", "5W-30x", "7W-30", "99999999999W-30"] {
        assert!(wrong.parse::<Grade>().is_err(), "{wrong}");
    }
    assert!(oil_grade(&FitInput::default()).is_err());
}
