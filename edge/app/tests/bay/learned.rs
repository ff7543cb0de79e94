//! Minutes of snags: what earlier jobs noted counts in a new one, and in no job under way.

use app::bay::{Bay, NewJob};

use crate::given::{SHEET, bay, did, new_job, same};

const SNAG: &str =
    "  [[item.snag]]\n  title = \"Bolt seized\"\n  p = 0.5\n  minutes = 12.0\n";

/// The sheet with a snag at its tray.
fn with_snag(title: &str) -> NewJob {
    let snag = SNAG.replace("Bolt seized", title);
    let sheet = SHEET.replace(
        "  [[item.seal]]\n  id = \"tray-ring\"",
        &format!("{snag}  [[item.seal]]\n  id = \"tray-ring\""),
    );
    NewJob { sheet: Some(sheet), authorised: Some(5000.0), ..new_job() }
}

fn open(bay: &mut Bay, title: &str) -> (String, Vec<String>) {
    let answer = bay.new_job(&with_snag(title)).unwrap();
    (answer.job, answer.remarks)
}

/// Money that a snag adds where nobody says how long it took.
fn price(bay: &mut Bay, job: &str) -> f64 {
    did(bay, job, &["off:tray"]).unwrap();
    let before = bay.show(job).unwrap().spent;
    did(bay, job, &["snag:tray"]).unwrap();
    bay.show(job).unwrap().spent - before
}

#[test]
fn noted_minutes_count_beside_the_sheets_in_the_next_job() {
    let mut bay = bay();
    let (first, told) = open(&mut bay, "Bolt seized");
    assert!(!told.iter().any(|remark| remark.contains("your own jobs")), "{told:?}");
    let (under_way, _) = open(&mut bay, "Bolt seized");
    did(&mut bay, &first, &["off:tray", "snag:tray=min=20", "snag:tray/1=min=28"])
        .unwrap();
    let (next, told) = open(&mut bay, "Bolt seized");
    let said = "Tray, Bolt seized: 20 min by your own jobs, the sheet says 12 min";
    assert!(told.iter().any(|remark| remark == said), "{told:?}");
    let sheets = price(&mut bay, &under_way);
    same(price(&mut bay, &next), sheets * (12.0 + 20.0 + 28.0) / 3.0 / 12.0);
}

#[test]
fn what_was_taken_back_or_is_another_snag_teaches_nothing() {
    let mut bay = bay();
    let (first, _) = open(&mut bay, "Bolt seized");
    did(&mut bay, &first, &["off:tray"]).unwrap();
    did(&mut bay, &first, &["snag:tray=min=200"]).unwrap();
    bay.undo(&first).unwrap();
    did(&mut bay, &first, &["snag:tray=min=90,note=stud snapped, drilled"]).unwrap();
    did(&mut bay, &first, &["snag:tray"]).unwrap();
    for title in ["Bolt seized", "Clip broken"] {
        let (_, told) = open(&mut bay, title);
        assert!(!told.iter().any(|remark| remark.contains("your own jobs")), "{told:?}");
    }
}

#[test]
fn a_snag_of_a_later_sheet_is_known_by_its_title() {
    let mut bay = bay();
    let (first, _) = open(&mut bay, "Bolt seized");
    did(&mut bay, &first, &["off:tray", "snag:tray=min=20"]).unwrap();
    let mut later = with_snag("Bolt seized");
    later.sheet =
        later.sheet.map(|text| text.replace("minutes = 12.0", "minutes = 10.0"));
    let told = bay.new_job(&later).unwrap().remarks;
    let said = "Tray, Bolt seized: 15 min by your own jobs, the sheet says 10 min";
    assert!(told.iter().any(|remark| remark == said), "{told:?}");
    let (_, told) = open(&mut bay, "Bolt rounded");
    assert!(!told.iter().any(|remark| remark.contains("your own jobs")), "{told:?}");
}
