//! The log: verified, exported, taken in by another store; the papers come from it alone.

use app::bay::{Bay, HandOver, Standing, fixed_clock};
use job::Seen;
use store::{MemoryStore, SqliteStore, Store};

use crate::given::{agreed, did};

fn elsewhere(store: Box<dyn Store>) -> Bay {
    Bay::with(store, "Ede", fixed_clock("2031-01-01T00:00:00Z", "UTC"))
}

#[test]
fn the_papers_are_the_same_bytes_from_the_job_alone_in_any_store() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["check:inner-look=second", "repair:renew-two", "on:tray"])
        .unwrap();
    let handed = bay.hand_over(&job, &HandOver::default()).unwrap();
    let papers = handed.papers.unwrap();
    let told = app::bay::Told { km: Some(30.0), lamp: Some(false), ..Default::default() };
    bay.follow_up(&job, &told).unwrap();
    assert_eq!(bay.report(&job, Standing::HandedOver).unwrap(), papers);
    assert_ne!(
        bay.report(&job, Standing::Now).unwrap(),
        papers,
        "the follow-up counts now"
    );

    let mut archive = Vec::new();
    bay.export(&mut archive).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let stores: [Box<dyn Store>; 2] = [
        Box::new(MemoryStore::new().unwrap()),
        Box::new(SqliteStore::open(&folder.path().join("jobs.db")).unwrap()),
    ];
    for store in stores {
        let mut other = elsewhere(store);
        let counts = other.import(&mut archive.as_slice()).unwrap();
        assert!(counts.events > 4 && counts.blobs > 2);
        assert_eq!(other.report(&job, Standing::HandedOver).unwrap(), papers);
        assert_eq!(other.import(&mut archive.as_slice()).unwrap().events, 0);
    }
}

#[test]
fn a_report_names_a_head_that_the_log_must_hold() {
    let (mut bay, job) = agreed(5000.0);
    let head = bay.hand_over(&job, &HandOver::default()).unwrap().head;
    let seen = |id: &str| vec![Seen { id: id.to_owned(), by: "the report".to_owned() }];
    assert!(bay.verify(&seen(&head)).unwrap().sound);
    let other = "f".repeat(64);
    let answer = bay.verify(&seen(&other)).unwrap();
    assert!(!answer.sound && answer.findings[0].what.contains("cut short"));
}

#[test]
fn a_broken_archive_changes_nothing() {
    let (bay, _) = agreed(5000.0);
    let mut archive = Vec::new();
    bay.export(&mut archive).unwrap();
    let half = &archive[..archive.len().div_euclid(2)];
    let mut other = elsewhere(Box::new(MemoryStore::new().unwrap()));
    assert_eq!(other.import(&mut &half[..]).unwrap_err().kind, "archive");
    assert!(other.jobs(app::bay::Shown::All).unwrap().cars.is_empty());
}
