//! Measures on the way: judged, counted as evidence, also seen, asked for as it goes back.

use app::bay::NewJob;

use crate::given::{SHEET, agreed, did, new_job, opened, p_of};

#[test]
fn a_measure_in_its_limits_is_ticked() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["off:tray"]).unwrap();
    let open = bay.show(&job).unwrap().measures;
    let ids: Vec<&str> = open.iter().map(|line| line.measure.as_str()).collect();
    assert_eq!(ids, ["gap", "coil"]);
    assert_eq!(open[0].limits, "0.1 to 0.3 mm");
    // Half of the last digit, ±0.005 mm, lies within 0.1 to 0.3 (GUM F.2.2.1).
    let answer = did(&mut bay, &job, &["measure:tray/gap@0.21,digit=0.01"]).unwrap();
    assert_eq!(answer.recorded[0].what, "Tray, Gap behind the tray: 0.21 mm");
    assert_eq!(bay.show(&job).unwrap().measures.len(), 1);
    let tray = bay.tray(&job).unwrap().measures;
    assert_eq!(tray[0].verdict.as_deref(), Some("in"));
    assert_eq!(tray[0].row().read, "0.21 mm");
    assert_eq!(tray[1].read, None);
}

#[test]
fn limits_are_in_the_sheets_unit_and_values_in_any() {
    let (mut bay, job) = agreed(5000.0);
    let inch = did(&mut bay, &job, &["measure:tray/gap@0.0118in"]).unwrap();
    assert!(inch.recorded.iter().any(|one| one.what.ends_with("0.0118 in")));
    assert_eq!(bay.tray(&job).unwrap().measures[0].verdict.as_deref(), Some("in"));
    did(&mut bay, &job, &["measure:tray/gap@0.31mm"]).unwrap();
    assert_eq!(bay.tray(&job).unwrap().measures[0].verdict.as_deref(), Some("out"));
    // At the limit itself half of the chance lies on either side (JCGM 106, 7.3).
    let close = "measure:tray/gap@0.3mm,accuracy=2%";
    let answer = did(&mut bay, &job, &[close]).unwrap();
    assert!(answer.remarks.iter().any(|r| r.contains("too close")), "{answer:?}");
    assert_eq!(bay.tray(&job).unwrap().measures[0].verdict.as_deref(), Some("not-sure"));
}

/// A feeler of 0.20 goes in, one of 0.25 does not (*common practice*): any gap between is as likely
/// (GUM 4.3.7).
#[test]
fn a_feeler_gauge_tells_two_values() {
    let (mut bay, job) = agreed(5000.0);
    for (typed, verdict, read) in [
        ("measure:tray/gap@0.20..0.25", "in", "0.2 to 0.25 mm"),
        (
            "measure:tray/gap@0.28..0.32mm",
            "not-sure",
            "0.28 to 0.32 mm, too close to tell",
        ),
        ("measure:tray/gap@0.30..0.35", "out", "0.3 to 0.35 mm, OUT of its limits"),
    ] {
        did(&mut bay, &job, &[typed]).unwrap();
        let line = bay.tray(&job).unwrap().measures.remove(0);
        assert_eq!(line.verdict.as_deref(), Some(verdict), "{typed}");
        assert_eq!(line.row().read, read);
    }
    let wrong = did(&mut bay, &job, &["measure:tray/gap@0.25..0.20"]).unwrap_err();
    assert!(wrong.hint.is_some_and(|hint| hint.contains("smaller value first")));
}

#[test]
fn one_that_answers_a_check_moves_the_odds_as_that_check_does() {
    let (mut bay, job) = agreed(5000.0);
    let (mut other, its) = agreed(5000.0);
    let measured = did(&mut bay, &job, &["measure:tray/coil@9.2ohm"]).unwrap();
    let checked = did(&mut other, &its, &["off:tray", "check:ohm-look@9.2ohm"]).unwrap();
    let kinds: Vec<(&str, bool)> =
        measured.recorded.iter().map(|one| (one.kind.as_str(), one.implied)).collect();
    assert_eq!(kinds, [("item.off", true), ("reading", false)]);
    for id in ["one", "two"] {
        assert!((p_of(&measured, id) - p_of(&checked, id)).abs() < 1e-12, "{id}");
    }
    assert!(p_of(&measured, "two") > 0.5, "high is eight times as likely with it");
    let back = bay.undo(&job).unwrap();
    assert!(back.what.iter().any(|what| what.contains("9.2 ohm")), "{back:?}");
    assert!(bay.tray(&job).unwrap().measures.is_empty(), "the tray is back on too");
}

#[test]
fn one_out_of_its_limits_is_for_the_owner_to_decide() {
    let (mut bay, job) = agreed(5000.0);
    let answer = did(&mut bay, &job, &["measure:tray/gap@0.42"]).unwrap();
    assert!(answer.remarks.iter().any(|r| r.contains("also seen")), "{answer:?}");
    assert!(!bay.next(&job).unwrap().loose_ends.is_empty(), "it is unsafe");
    did(&mut bay, &job, &["answer:1=later,signed=J. Vantory"]).unwrap();
    let ends = bay.next(&job).unwrap().loose_ends;
    assert!(ends.iter().all(|end| !end.what.contains("unsafe")), "{ends:?}");
}

#[test]
fn what_is_not_measured_is_asked_for_as_it_goes_back() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["off:tray", "measure:tray/gap@0.2"]).unwrap();
    let answer = did(&mut bay, &job, &["on:tray"]).unwrap();
    let asked = "not measured yet at Tray: Coil behind the tray (at most 7 ohm)";
    assert!(answer.remarks.iter().any(|remark| remark == asked), "{answer:?}");
}

#[test]
fn a_wrong_measure_is_named_with_what_is_right() {
    let (mut bay, job) = agreed(5000.0);
    for (typed, said) in [
        ("measure:tray/gape@0.2", "`gape`"),
        ("measure:trey/gap@0.2", "trey"),
        ("measure:tray@0.2", "ITEM/ID"),
        ("measure:tray/gap=0.2", "measure:ITEM/ID@"),
        ("measure:tray/gap@7ohm", "gap"),
        ("measure:tray/gap@wide", "wide"),
    ] {
        let problem = did(&mut bay, &job, &[typed]).unwrap_err();
        let told = format!("{} {:?}", problem.what, problem.hint);
        assert!(told.contains(said), "{typed}: {told}");
    }
    assert!(bay.tray(&job).unwrap().measures.is_empty(), "nothing was kept");
}

/// Copper has no resistance at −234.5 °C (references/fasten.md, S29 and S30): 7.9 ohm at 60 °C are
/// 7.9 · 254.5 / 294.5 = 6.83 ohm at the 20 °C that limits and bands are given for.
#[test]
fn a_warm_winding_is_brought_to_the_temperature_of_its_limits() {
    let bands = "  unit = \"ohm\"\n  bands = [";
    let sheet = SHEET.replace(bands, &format!("  material = \"copper\"\n{bands}"));
    assert_ne!(sheet, SHEET);
    let new = NewJob { sheet: Some(sheet), authorised: Some(5000.0), ..new_job() };
    for (typed, verdict) in [
        ("measure:tray/coil@7.9ohm,part-c=60", "in"),
        ("measure:tray/coil@7.9ohm,part-c=20", "out"),
        ("measure:tray/coil@8.2ohm,part-c=60", "out"),
    ] {
        let (mut bay, job) = opened(&new);
        did(&mut bay, &job, &[typed]).unwrap();
        let read = bay.tray(&job).unwrap().measures;
        assert_eq!(read[1].verdict.as_deref(), Some(verdict), "{typed}");
    }
}
