//! The torque a fastener gets, orders and passes, the wrench, and the guess from a head.
#![cfg(test)]

use std::collections::BTreeSet;

use fasten::{
    FastenerInput, GENERAL_VALUE, Joint, Kind, LengthFit, LengthInput, MAKER, Material,
    Pattern, Scale, Stages, WrenchFit, choose_wrench, crow_foot, guess_thread,
    length_fit, passes, torque_for, wrench_fits,
};

fn m8_bolt() -> FastenerInput {
    let mut bolt = FastenerInput::new(Kind::Bolt);
    bolt.thread = Some("M8".parse().expect("thread reads"));
    bolt.class = Some("8.8".parse().expect("class reads"));
    bolt.head_mm = Some(13.0);
    bolt
}

#[track_caller]
fn no_torque(fastener: &FastenerInput, part: &str) {
    let torque = torque_for(fastener);
    assert_eq!(torque.torque_nm, None, "{part}");
    assert!(torque.source.contains(part), "{}", torque.source);
}

#[test]
fn the_maker_wins_whatever_else_is_known() {
    for (kind, joint) in [(Kind::Bolt, Joint::Hard), (Kind::Plug, Joint::Gasketed)] {
        let mut fastener =
            FastenerInput { kind, joint, maker_torque_nm: Some(21.5), ..m8_bolt() };
        fastener.into = Some(Material::Plastic);
        let torque = torque_for(&fastener);
        assert_eq!((torque.torque_nm, torque.source.as_str()), (Some(21.5), MAKER));
    }
    let turned =
        FastenerInput { maker_torque_nm: Some(30.0), angle_deg: 90.0, ..m8_bolt() };
    assert!(torque_for(&turned).remarks[0].contains("90°"));
    for wrong in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        no_torque(
            &FastenerInput { maker_torque_nm: Some(wrong), ..m8_bolt() },
            "no torque",
        );
    }
}

#[test]
fn a_general_value_is_marked_and_names_its_method() {
    let torque = torque_for(&m8_bolt());
    assert_eq!(torque.source, GENERAL_VALUE);
    let torque_nm = torque.torque_nm.expect("hard joint, class known");
    assert!((torque_nm / 24.6 - 1.0).abs() < 0.012, "{torque_nm}"); // printed list, M8 8.8
    let method = torque.method.expect("computed");
    for part in ["VDI 2230", "friction 0.12", "90 % of yield 640"] {
        assert!(method.contains(part), "{method}");
    }
}

#[test]
fn soft_plastic_stretch_and_clips_get_none() {
    no_torque(&FastenerInput { joint: Joint::Gasketed, ..m8_bolt() }, "gasket");
    no_torque(&FastenerInput { joint: Joint::Soft, ..m8_bolt() }, "soft joint");
    no_torque(&FastenerInput { into: Some(Material::Plastic), ..m8_bolt() }, "plastic");
    no_torque(&FastenerInput { angle_deg: 90.0, ..m8_bolt() }, "angle");
    no_torque(&FastenerInput { single_use: true, ..m8_bolt() }, "stretch");
    for kind in [Kind::Clip, Kind::Clamp, Kind::Connector, Kind::Plug] {
        no_torque(&FastenerInput { kind, ..m8_bolt() }, &kind.to_string());
    }
    no_torque(&FastenerInput { class: None, ..m8_bolt() }, "class not known");
    no_torque(&FastenerInput { thread: None, ..m8_bolt() }, "M8 (hexagon, heavy flange)");
    no_torque(&FastenerInput { thread: None, head_mm: None, ..m8_bolt() }, "measure it");
    let nut_class = Some("8".parse().expect("reads as a grade"));
    no_torque(&FastenerInput { class: nut_class, ..m8_bolt() }, "class of a nut");
}

#[test]
fn a_thread_weaker_than_its_bolt_gets_none() {
    let mut bolt = m8_bolt();
    bolt.into = Some(Material::Aluminium);
    assert!(
        torque_for(&bolt).remarks.iter().any(|remark| remark.contains("14.0 mm or more"))
    );
    bolt.stack_mm = Some(10.0);
    bolt.length_mm = Some(25.0);
    assert_eq!(torque_for(&bolt).source, GENERAL_VALUE);
    bolt.length_mm = Some(20.0);
    no_torque(&bolt, "weaker than the bolt");
}

fn all_patterns() -> impl Iterator<Item = Pattern> {
    let spirals = (1..=5_u32).flat_map(|rows| {
        (rows..=40).map(move |bolts| Pattern::spiral(bolts, rows).expect("within limits"))
    });
    let circles =
        (1..=256).map(|bolts| Pattern::crosswise(bolts).expect("within limits"));
    circles.chain(spirals)
}

#[test]
fn every_bolt_is_visited_once_and_loosened_backwards() {
    for pattern in all_patterns() {
        let order = pattern.order();
        let visited: BTreeSet<_> = order.iter().copied().collect();
        assert_eq!(visited, (1..=pattern.bolts()).collect(), "{pattern:?}");
        assert_eq!(order.len(), visited.len(), "{pattern:?}");
        assert_eq!(order.len(), pattern.places().len(), "{pattern:?}");
        let mut back = pattern.loosening();
        back.reverse();
        assert_eq!(back, order, "{pattern:?}");
    }
    assert!(Pattern::crosswise(0).is_err() && Pattern::crosswise(257).is_err());
    assert!(Pattern::spiral(3, 4).is_err() && Pattern::spiral(10, 0).is_err());
}

#[test]
fn crosswise_goes_straight_across_and_a_spiral_outward() {
    for bolts in (2..=256_u32).step_by(2) {
        let order = Pattern::crosswise(bolts).expect("within limits").order();
        assert_eq!((order[0], order[1]), (1, 1 + (bolts >> 1)), "{bolts}");
    }
    for pattern in all_patterns().filter(|pattern| pattern.rows().is_some()) {
        let places = pattern.places();
        let ring = |bolt: &u32| {
            let place = places[usize::try_from(*bolt).expect("small") - 1];
            place.right.abs().max(place.down.abs())
        };
        let rings: Vec<f64> = pattern.order().iter().map(ring).collect();
        assert!(rings.is_sorted(), "{pattern:?} {rings:?}");
    }
}

#[test]
fn passes_rise_to_the_full_torque_and_end_with_a_round() {
    for pattern in all_patterns() {
        let passes = passes(pattern, &Stages::usual(pattern.bolts()));
        assert!(passes.is_sorted_by(|one, next| one.share <= next.share));
        let last = passes.last().expect("at least one pass");
        assert!((last.share - 1.0).abs() < 1e-12);
        if pattern.rows().is_none() {
            let round: Vec<_> = (1..=pattern.bolts()).collect();
            assert_eq!(last.order, round, "{pattern:?}");
        }
    }
    let pair = Pattern::crosswise(2).expect("a pair");
    assert_eq!(passes(pair, &Stages::usual(2)).len(), 2); // evenly in two passes: common practice
    for wrong in ["", "30,60", "0,100", "60,30,100", "30,30,100", "x,100", "30,NaN,100"] {
        assert!(wrong.parse::<Stages>().is_err(), "{wrong}");
    }
    let own: Stages = "25,50,75,100".parse().expect("rises");
    let eight = Pattern::crosswise(8).expect("eight");
    assert_eq!(passes(eight, &own).len(), 5);
}

#[test]
fn of_the_wrenches_the_smallest_that_holds_it_is_taken() {
    let have: Vec<Scale> = ["5..25", "20..100", "40..200"]
        .iter()
        .map(|scale| scale.parse().expect("scale reads"))
        .collect();
    let taken = |torque_nm: f64| {
        let choice = choose_wrench(&have, torque_nm).expect("torque makes sense");
        choice.map(|choice| choice.scale.to_nm)
    };
    assert_eq!(taken(24.5), Some(25.0));
    assert_eq!(taken(25.5), Some(100.0));
    assert_eq!(taken(4.9), None);
    assert_eq!(taken(150.0), Some(200.0));
    assert_eq!(taken(201.0), None);
    for wrong in ["200..40", "40", "40-200", "a..b", "-5..20", "40..40", "1..NaN"] {
        assert!(wrong.parse::<Scale>().is_err(), "{wrong}");
    }
}

#[test]
fn the_wrench_refuses_what_it_cannot_do() {
    assert!(crow_foot(24.0, 300.0, 300.0, 180.0).is_err()); // no arm left
    assert!(crow_foot(24.0, 300.0, 50.0, f64::NAN).is_err());
    assert!(crow_foot(-1.0, 300.0, 50.0, 0.0).is_err());
    let back = crow_foot(24.0, 300.0, 50.0, 180.0).expect("points back");
    assert!((back - 28.8).abs() < 1e-9);
    assert!(wrench_fits((100.0, 20.0), 50.0).is_err());
    assert_eq!(
        wrench_fits((40.0, 100.0), 30.0),
        Ok(WrenchFit::TooSmall { least_nm: 40.0 })
    );
}

#[test]
fn a_head_never_names_one_thread_where_two_carry_it() {
    let text = guess_thread(13.0).expect("a width").to_string();
    assert!(text.starts_with("a guess") && text.contains("M8") && text.contains("M10"));
    let inch = guess_thread(12.7).expect("a width").to_string();
    assert!(inch.contains("5/16-18 UNC"), "{inch}");
    assert!(guess_thread(11.7).expect("a width").alternatives.is_empty());
    assert!(guess_thread(f64::NAN).is_err() && guess_thread(-13.0).is_err());
}

#[test]
fn a_swapped_length_is_judged_by_what_it_does() {
    let fit = |length_mm: f64, hole_depth_mm: f64| {
        length_fit(&LengthInput {
            thread: "M6".parse().expect("thread reads"),
            length_mm,
            stack_mm: 10.0,
            hole_depth_mm,
            into: None,
        })
        .expect("lengths make sense")
    };
    assert!(matches!(fit(16.0, 0.0), LengthFit::Sound { .. }));
    assert!(matches!(fit(8.0, 0.0), LengthFit::TooShort { .. }));
    assert!(matches!(fit(100.0, 0.0), LengthFit::Sound { .. })); // through: never bottoms
    assert!(matches!(fit(30.0, 15.0), LengthFit::TooLong { .. }));
}
