//! Items off and on: what is implied, what blocks, what is recorded.

use app::Exit;

use crate::given::{agreed, did};

#[test]
fn what_must_have_come_off_is_recorded_with_the_check() {
    let (mut bay, job) = agreed(5000.0);
    let answer = did(&mut bay, &job, &["check:inner-look=first"]).unwrap();
    let said: Vec<(&str, bool)> =
        answer.recorded.iter().map(|one| (one.kind.as_str(), one.implied)).collect();
    assert_eq!(said, [("item.off", true), ("check.done", false)]);
    let off = bay.next(&job).unwrap().off;
    assert_eq!((off[0].item.as_str(), off[0].fasteners), ("tray", 4));
    let answer = did(&mut bay, &job, &["off:pipe"]).unwrap();
    let said: Vec<bool> = answer.recorded.iter().map(|one| one.implied).collect();
    assert_eq!(said, [true, false], "the belt came off before the pipe behind it");
    assert!(answer.do_not_start[0].contains("oil"), "{:?}", answer.do_not_start);
}

#[test]
fn a_seal_that_is_not_found_blocks_the_refit_until_it_is_found_or_accepted() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["off:tray", "seal:tray/tray-ring=not-found"]).unwrap();
    let problem = did(&mut bay, &job, &["on:tray"]).unwrap_err();
    assert_eq!((problem.kind.as_str(), problem.exit), ("loose-end", Exit::Wrong));
    assert!(problem.what.contains("tray-ring") && problem.what.contains("not found"));
    did(&mut bay, &job, &["seal:tray/tray-ring=found,where=in the bore"]).unwrap();
    let answer = did(&mut bay, &job, &["on:tray=torque"]).unwrap();
    assert_eq!(answer.loose_ends, 0);
    assert!(answer.remarks.iter().any(|remark| remark.contains("tray-ring")), "renew it");

    did(&mut bay, &job, &["off:tray", "seal:tray/tray-ring=not-found"]).unwrap();
    let end = bay.next(&job).unwrap().loose_ends[0].id.clone();
    did(&mut bay, &job, &[&format!("accept:{end}=Owner knows, none was ever fitted")])
        .unwrap();
    did(&mut bay, &job, &["on:tray"]).unwrap();
}

#[test]
fn one_refusal_keeps_the_whole_call_out() {
    let (mut bay, job) = agreed(5000.0);
    let before = bay.show(&job).unwrap().events.len();
    let problem =
        did(&mut bay, &job, &["off:tray", "seal:tray/tray-ring=not-found", "on:tray"]);
    assert!(problem.is_err());
    assert_eq!(bay.show(&job).unwrap().events.len(), before);
}

#[test]
fn fasteners_left_over_and_broken_are_loose_ends() {
    let (mut bay, job) = agreed(5000.0);
    let answer = did(
        &mut bay,
        &job,
        &[
            "off:belt",
            "fastener:tray/tray-bolt=broken",
            "fastener:tray/tray-bolt=left-over",
        ],
    )
    .unwrap();
    assert_eq!(answer.new_loose_ends.len(), 2);
    let answer = did(&mut bay, &job, &["fastener:tray/tray-bolt=replaced"]).unwrap();
    assert_eq!(answer.loose_ends, 1);
    let problem = did(&mut bay, &job, &["fastener:tray/tray-bolts=missing"]).unwrap_err();
    assert_eq!(problem.hint.unwrap(), "did you mean `tray-bolt`?");
}

#[test]
fn the_torque_that_was_shown_is_recorded_with_the_refit() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["off:tray", "on:tray=torque,wrench=5 to 25 N·m"]).unwrap();
    did(&mut bay, &job, &["off:tray", "on:tray=by-feel"]).unwrap();
    let [_, file] = bay.report_pages(&job, app::bay::Standing::Now).unwrap();
    let text = report::text(&file, 120);
    for word in ["4 bolts M6 × 20 mm", "9 N·m", "5 to 25 N·m", "maker", "by feel"] {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn labels_have_one_cell_a_hole_and_keep_their_numbers() {
    let (mut bay, job) = agreed(5000.0);
    let sheet = report::LabelSheet::default();
    assert_eq!(bay.labels(&job, &sheet).unwrap_err().kind, "nothing-off");
    did(&mut bay, &job, &["off:tray"]).unwrap();
    assert!(bay.labels(&job, &sheet).unwrap().starts_with(b"%PDF"));
    assert!(bay.under_wiper(&job).unwrap().starts_with(b"%PDF"));
}
