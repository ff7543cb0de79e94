//! Items off and on: what is implied, what blocks, what is recorded.

use app::{Exit, bay::Happened};

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

/// The smallest PNG: 1 × 1, grey (PNG specification, 5.3 and 11.2.2: chunks and IHDR).
const PNG: &[u8] =
    b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55";

#[test]
fn cells_are_marked_on_a_photo_of_their_item() {
    let (mut bay, job) = agreed(5000.0);
    let photo = |of: &str| Happened::Photo {
        bytes: PNG.to_vec(),
        of: Some(of.to_owned()),
        caption: String::new(),
    };
    did(&mut bay, &job, &["off:tray"]).unwrap();
    bay.did(&job, &[photo("item:tray")], None).unwrap();
    let taken = bay.tray(&job).unwrap().photos.remove(0);
    assert_eq!((taken.item.as_str(), taken.width, taken.height), ("tray", 1, 1));
    assert!(taken.holes.is_empty());
    let typed =
        format!("holes:{}=tray-bolt/1@0.25x0.5;tray-bolt/3@0.75x0.5", taken.event);
    did(&mut bay, &job, &[&typed]).unwrap();
    let photos = bay.tray(&job).unwrap().photos;
    assert_eq!(photos.len(), 1, "the marks are on the photo, not a second one");
    let marked: Vec<(u32, f64)> = photos[0].holes.iter().map(|h| (h.cell, h.x)).collect();
    assert_eq!(marked, [(1, 0.25), (3, 0.75)]);
    let [_, file] = bay.report_pages(&job, app::bay::Standing::Now).unwrap();
    let text = report::text(&file, 120);
    assert!(text.contains("marked: 1, 3"), "on the paper too: {text}");
    bay.undo(&job).unwrap();
    assert!(bay.tray(&job).unwrap().photos[0].holes.is_empty());
    for (typed, said) in [
        (format!("holes:{}=tray-bolt/5@0.1x0.1", taken.event), "no hole 5"),
        (format!("holes:{}=tray-blt/1@0.1x0.1", taken.event), "tray-blt"),
        (format!("holes:{}=tray-bolt/1@1.2x0.1", taken.event), "between 0 and 1"),
        (format!("holes:{}=tray-bolt/1", taken.event), "holes:PHOTO="),
        ("holes:ffff=tray-bolt/1@0.1x0.1".to_owned(), "no photo"),
    ] {
        let problem = did(&mut bay, &job, &[&typed]).unwrap_err();
        let told = format!("{} {:?}", problem.what, problem.hint);
        assert!(told.contains(said), "{typed}: {told}");
    }
    assert!(bay.did(&job, &[photo("item:nothing")], None).is_err());
    bay.did(&job, &[photo("check:inner-look")], None).unwrap();
}
