//! Meters of the workshop: only the value is typed, and it counts as if all were.

use app::settings::Meter;

use crate::given::{agreed, did, p_of};

fn meter(id: &str, unit: &str) -> Meter {
    Meter {
        id: id.to_owned(),
        quantity: None,
        unit: unit.to_owned(),
        accuracy: Some("0.8%+2d".to_owned()),
        digit: Some(if unit == "kohm" { 0.0001 } else { 0.1 }),
        range: None,
        leads: Some(if unit == "kohm" { 0.0003 } else { 0.3 }),
    }
}

#[test]
fn a_value_read_with_the_workshops_meter_counts_as_if_all_were_typed() {
    let (mut typed, its) = agreed(5000.0);
    let all = "check:ohm-look@7.4ohm,accuracy=0.8%+2d,digit=0.1,leads=0.3";
    let all = did(&mut typed, &its, &[all]).unwrap();
    for unit in ["ohm", "kohm"] {
        let (bay, job) = agreed(5000.0);
        let mut bay = bay.meters(vec![meter("clamp", "A"), meter("dmm", unit)]);
        let value = did(&mut bay, &job, &["check:ohm-look@7.4ohm"]).unwrap();
        bay.undo(&job).unwrap();
        let named = did(&mut bay, &job, &["check:ohm-look@7.4ohm,meter=dmm"]).unwrap();
        for answer in [value, named] {
            assert!((p_of(&answer, "two") - p_of(&all, "two")).abs() < 1e-12, "{unit}");
        }
    }
}

#[test]
fn what_is_typed_goes_before_the_meter() {
    let (bay, job) = agreed(5000.0);
    let mut bay = bay.meters(vec![meter("dmm", "ohm")]);
    let exact = did(&mut bay, &job, &["check:ohm-look@7.4ohm,digit=0.001"]).unwrap();
    let (mut plain, its) = agreed(5000.0);
    let expected = did(&mut plain, &its, &["check:ohm-look@7.4ohm,digit=0.001"]).unwrap();
    assert!((p_of(&exact, "two") - p_of(&expected, "two")).abs() < 1e-12);
}

#[test]
fn of_two_meters_the_one_that_is_named_reads() {
    let (bay, job) = agreed(5000.0);
    let mut bay = bay.meters(vec![meter("old", "ohm"), meter("new", "ohm")]);
    let asked = did(&mut bay, &job, &["measure:tray/coil@6.1ohm"]).unwrap();
    let which = "read with which meter? add meter=old or meter=new";
    assert!(asked.remarks.iter().any(|remark| remark == which), "{:?}", asked.remarks);
    let named = did(&mut bay, &job, &["measure:tray/coil@6.1,meter=new"]).unwrap();
    assert!(!named.remarks.iter().any(|remark| remark == which));
    for (typed, said) in [
        ("measure:tray/coil@6.1,meter=nwe", "there are: old, new"),
        ("measure:tray/gap@0.2,meter=new", "it reads `ohm`"),
    ] {
        let problem = did(&mut bay, &job, &[typed]).unwrap_err();
        let told = format!("{} {:?}", problem.what, problem.hint);
        assert!(told.contains(said), "{told}");
    }
}
