//! The torque a fastener gets, orders and passes, the wrench, and the guess from a head.
#![cfg(test)]

use std::collections::BTreeSet;

use fasten::{
    FastenerInput, GENERAL_VALUE, Joint, Kind, LengthFit, LengthInput, MAKER, Material,
    WrenchFit, crosswise, crow_foot, guess_thread, length_fit, loosening,
    tightening_passes, torque_for, wrench_fits,
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

#[test]
fn every_bolt_is_visited_once_and_across_first() {
    for bolts in 1..=256_u32 {
        let order = crosswise(bolts).expect("within limits");
        let visited: BTreeSet<_> = order.iter().copied().collect();
        assert_eq!(visited, (1..=bolts).collect(), "{bolts}");
        assert_eq!(order.len(), visited.len(), "{bolts}");
        if bolts.is_multiple_of(2) {
            assert_eq!((order[0], order[1]), (1, 1 + (bolts >> 1)), "{bolts}");
        }
        let mut back = loosening(bolts).expect("within limits");
        back.reverse();
        assert_eq!(back, order);
    }
    assert!(crosswise(0).is_err() && crosswise(257).is_err());
}

#[test]
fn passes_rise_to_the_full_torque_and_end_with_a_round() {
    for bolts in 1..=40 {
        let passes = tightening_passes(bolts, 24.0).expect("within limits");
        assert!(passes.windows(2).all(|pair| pair[0].fraction <= pair[1].fraction));
        let last = passes.last().expect("at least one pass");
        assert!((last.torque_nm - 24.0).abs() < 1e-12);
        assert_eq!(last.order, (1..=bolts).collect::<Vec<_>>());
    }
    let pair = tightening_passes(2, 10.0).expect("a pair");
    assert_eq!(pair.len(), 2); // evenly in two passes: common practice
    assert!(tightening_passes(4, f64::NAN).is_err());
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
