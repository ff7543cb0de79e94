//! `torque/1` as a whole: who gets a torque and who gets none, tools, turn, measurement.
#![cfg(test)]

use fasten::{
    CrowFoot, GENERAL_VALUE, Joint, JointGive, MAKER, Material, Measured, Pattern,
    Stages, Stiffness, Stretch, TorqueAnswer, TorqueAsk, TurnAsk, torque_answer,
};
use proptest::prelude::*;

fn m8() -> TorqueAsk {
    TorqueAsk::new("M8".parse().expect("thread"), "8.8".parse().expect("class"))
}

#[track_caller]
fn answer(ask: &TorqueAsk) -> TorqueAnswer {
    torque_answer(ask).expect("answers")
}

#[track_caller]
fn none(ask: &TorqueAsk, part: &str) {
    let answer = answer(ask);
    assert_eq!(answer.torque_nm, None, "{part}");
    assert_eq!((answer.preload_kn, answer.set_nm), (None, None), "{part}");
    let reason = answer.no_torque_because.expect("says why");
    assert!(reason.contains(part), "{reason}");
}

#[test]
fn gasketed_soft_plastic_and_stretched_get_no_computed_torque() {
    none(&TorqueAsk { joint: Joint::Gasketed, ..m8() }, "gasket");
    none(&TorqueAsk { joint: Joint::Soft, ..m8() }, "soft");
    none(&TorqueAsk { into: Some(Material::Plastic), ..m8() }, "plastic");
    none(&TorqueAsk { stretch: Stretch::Yields, ..m8() }, "stretch");
    none(&TorqueAsk { then_deg: Some(90.0), ..m8() }, "angle");
    none(&TorqueAsk { class: None, ..m8() }, "class");
    none(&TorqueAsk { thread: None, ..m8() }, "thread");
}

#[test]
fn the_maker_wins_and_a_stretch_bolt_is_renewed() {
    let ask = TorqueAsk {
        joint: Joint::Gasketed,
        stretch: Stretch::Yields,
        maker_nm: Some(20.0),
        then_deg: Some(90.0),
        ..m8()
    };
    let stretched = answer(&ask);
    assert_eq!(stretched.torque_nm, Some(20.0));
    assert_eq!(stretched.source.as_deref(), Some(MAKER));
    assert!(stretched.renew && stretched.preload_kn.is_none());
    assert!(stretched.remarks.iter().any(|remark| remark.contains("never used again")));
    let eight = Pattern::crosswise(8).expect("eight");
    let several = TorqueAsk { pattern: Some((eight, Stages::usual(8))), ..ask };
    let passes = answer(&several).pattern.expect("eight bolts").tighten;
    assert_eq!(passes.len(), 3); // no torque over what was turned by angle
    let plain = answer(&TorqueAsk { maker_nm: Some(20.0), ..m8() });
    assert!(!plain.renew);
    // 20 N·m over the lever of M8 at 0.12, 1.3162 mm.
    assert!((plain.preload_kn.expect("by friction") - 20.0 / 1.3162).abs() < 0.01);
    let high = answer(&TorqueAsk { maker_nm: Some(60.0), ..m8() });
    assert_eq!(high.torque_nm, Some(60.0));
    assert!(high.remarks.iter().any(|remark| remark.contains("yields at")));
    for wrong in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        assert!(torque_answer(&TorqueAsk { maker_nm: Some(wrong), ..m8() }).is_err());
    }
}

#[test]
fn a_head_alone_is_answered_with_a_guess() {
    let ask = TorqueAsk { head_mm: Some(13.0), ..TorqueAsk::default() };
    none(&ask, "measure");
    let guess = answer(&ask).guess.expect("a guess");
    let threads: Vec<_> = guess.iter().map(|one| one.thread.as_str()).collect();
    assert_eq!(threads, ["M8", "M10"]);
    assert_eq!(guess[1].heads, ["small flange"]);
}

#[test]
fn a_weak_thread_limits_the_torque() {
    let ask = |engaged_mm| TorqueAsk {
        into: Some(Material::Aluminium),
        engaged_mm: Some(engaged_mm),
        ..m8()
    };
    let (short, long) = (answer(&ask(8.0)), answer(&ask(14.0)));
    assert_eq!((short.pulls_first, long.pulls_first), (Some(true), Some(false)));
    assert_eq!(long.thread_limit_nm, None);
    let needed_mm = short.needed_mm.expect("material and length are known");
    assert!((needed_mm - 13.4).abs() < 0.1); // for 130 N/mm² shear, M8 8.8
    let limit_nm = short.thread_limit_nm.expect("the thread limits");
    let share = limit_nm / short.torque_nm.expect("a torque");
    assert!((share - 8.0 / needed_mm).abs() < 1e-6);
    assert_eq!(short.source.as_deref(), Some(GENERAL_VALUE));
}

/// A plain hexagon straight on cast aluminium gives, a flange head does not.
#[test]
fn a_head_that_sinks_in_is_said_so() {
    let sinks = |ask: &TorqueAsk| {
        answer(ask).remarks.iter().any(|remark| remark.contains("under the head"))
    };
    let plain = TorqueAsk { under: Some(Material::Aluminium), ..m8() };
    assert!(sinks(&plain));
    let flange = fasten::HeadStyle::SmallFlange;
    assert!(!sinks(&TorqueAsk { head_style: Some(flange), ..plain }));
    assert!(!sinks(&TorqueAsk { under: Some(Material::Steel), ..m8() }));
    none(&TorqueAsk { under: Some(Material::Plastic), ..m8() }, "plastic");
}

#[test]
fn tools_follow_the_torque() {
    let ask = TorqueAsk {
        crow_foot: Some(CrowFoot {
            wrench_mm: 300.0,
            extension_mm: 50.0,
            angle_deg: 0.0,
        }),
        wrenches: vec![
            "5..25".parse().expect("scale"),
            "20..100".parse().expect("scale"),
        ],
        pattern: Some((Pattern::crosswise(8).expect("eight"), Stages::usual(8))),
        maker_nm: Some(24.0),
        ..TorqueAsk::default()
    };
    let answer = answer(&ask);
    assert!((answer.set_nm.expect("crow-foot") - 20.57).abs() < 0.01); // common practice
    assert!((answer.wrench.expect("one fits").scale.to_nm - 25.0).abs() < 1e-12);
    let pattern = answer.pattern.expect("eight bolts");
    assert_eq!(pattern.tighten.len(), 4);
    let first = &pattern.tighten[0];
    assert!((first.torque_nm.expect("known") - 7.2).abs() < 1e-9);
    assert!((first.set_nm.expect("known") - 0.3 * 20.571_428).abs() < 1e-5);
}

#[test]
fn a_turn_starts_from_a_torque_that_leaves_something_to_do() {
    let stiffness = Stiffness::new(200.0, 600.0).expect("stiffnesses");
    let ask = |snug_nm| TorqueAsk {
        turn: Some(TurnAsk { snug_nm, give: JointGive::Known(stiffness) }),
        ..m8()
    };
    let turn = |snug_nm| answer(&ask(snug_nm)).turn.expect("a turn").degrees;
    // 18.63 kN · (1/200 + 1/600) mm/kN · 360/1.25 per mm.
    assert!((turn(0.0) - 18.627 * (1.0 / 200.0 + 1.0 / 600.0) * 288.0).abs() < 0.01);
    assert!(turn(10.0) < turn(5.0));
    assert!(torque_answer(&ask(30.0)).is_err());
    assert!(torque_answer(&ask(f64::NAN)).is_err());
    let give = JointGive::Grip { grip_mm: 40.0, parts: Material::Plastic };
    let plastic = TorqueAsk { turn: Some(TurnAsk { snug_nm: 5.0, give }), ..m8() };
    assert!(torque_answer(&plastic).is_err());
    let soft = TorqueAsk { joint: Joint::Soft, ..ask(5.0) };
    assert_eq!(answer(&soft).turn, None);
}

#[test]
fn scatter_is_at_least_1_and_a_measurement_possible() {
    assert!(torque_answer(&TorqueAsk { scatter: Some(0.9), ..m8() }).is_err());
    let measured = |torque_nm, thread_nm| TorqueAsk {
        measured: Some(Measured { torque_nm, preload_kn: 20.0, thread_nm }),
        ..m8()
    };
    assert!(torque_answer(&measured(3.0, None)).is_err()); // the pitch alone takes 4.0 N·m
    assert!(torque_answer(&measured(30.0, Some(31.0))).is_err());
    let found = answer(&measured(30.0, None)).friction_found.expect("friction");
    assert!(found.thread.is_none() && found.total > 0.1 && found.total < 0.2);
}

proptest! {
    /// The torque of a friction gives back that friction.
    #[test]
    fn friction_comes_back(
        friction in 0.05..0.4_f64,
        size in prop::sample::select(&["M6", "M8x1", "M12", "M24", "3/8-16 UNC"][..]),
    ) {
        let thread: fasten::Thread = size.parse().expect("thread");
        let mut ask = TorqueAsk { thread: Some(thread), ..TorqueAsk::default() };
        let class = if thread.is_metric() { "8.8" } else { "grade 5" };
        ask.class = Some(class.parse().expect("class"));
        ask.friction = format!("{friction}").parse().expect("friction");
        let first = answer(&ask);
        ask.measured = Some(Measured {
            torque_nm: first.torque_nm.expect("a torque"),
            preload_kn: first.preload_kn.expect("a preload"),
            thread_nm: None,
        });
        let found = answer(&ask).friction_found.expect("friction").total;
        // VDI 2230 prints 0.159 and 0.578 where ISO 16047 has 1/(2π) and 0.577.
        prop_assert!((found / friction - 1.0).abs() < 0.005, "{found} {friction}");
    }
}
