//! What a job amounts to: evidence, money, tray, duties, waiting, follow-ups.
#![cfg(test)]
#![expect(clippy::float_cmp, reason = "sums of few whole or listed amounts are exact")]

mod support;

use job::{
    Body, Fact, Kind,
    body::{
        Answered, Asked, Authorised, Before, BeforeNoted, CheckDone, CheckResult,
        CodeErased, Comeback, Declined, EconomyPatch, EndsWord, FastenerState,
        HandedOver, ItemOff, JobOpened, JobSet, PartCame, PartOrdered, PartUsed, Refused,
        RepairDone, RustWord, SetsNoted, SnagMet, TorqueUsed, UnitWord, WaitFor, Waiting,
    },
    fold::{Hole, no_sheet},
};
use sheet::{CheckIx, ExposureUnit, ItemIx, ItemSet, OutcomeIx, ProofIx, RepairIx, Rust};
use support::{Pen, bolt, cleaned, did, drove, flap, looked, off, on, reading};

fn set(items: &[u8]) -> ItemSet {
    items.iter().map(|item| ItemIx(*item)).collect()
}

/// All sums by hand from the invented sheet: strips 1 + 6, check 4, repair 30, refits 8 + 1,
/// duty 3, proof 20 minutes; waiting 10 (shield) + 5 (check); the rates are 60 and 12 an hour.
#[test]
fn a_plain_job_adds_up() {
    let mut pen = Pen::new("w");
    pen.write(JobOpened { codes: vec!["P0299".into()], ..JobOpened::default() });
    pen.write(off("cover"));
    pen.write(off("shield"));
    pen.write(looked("stuck"));
    pen.write(cleaned());
    pen.write(SnagMet { item: "shield".into(), snag: Some(0), ..SnagMet::default() });
    pen.write(on("shield"));
    pen.write(on("cover"));
    pen.write(did("learn"));
    pen.write(drove(false));
    let facts = pen.fold();
    assert_eq!(
        facts.evidence,
        [
            Fact::Check { check: CheckIx(0), outcome: OutcomeIx(1) },
            Fact::Repair { repair: RepairIx(0) },
            Fact::Proof { proof: ProofIx(0), shown: false, exposure: None },
        ]
    );
    assert_eq!((facts.off, facts.ever_off), (ItemSet::EMPTY, set(&[0, 1])));
    let bill = facts.spent.priced(&flap().economy);
    assert_eq!(facts.spent.labour_minutes, 73.0);
    assert_eq!((bill.labour, bill.waiting), (73.0, 3.0));
    assert_eq!((bill.consumables, bill.parts, bill.refit_parts), (8.0, 22.0, 3.5));
    assert_eq!(bill.snags, 15.0);
    assert_eq!(bill.total, 124.5);
    assert_eq!(facts.can_hand_over(&flap()), [""; 0]);
    assert_eq!(facts.loose_ends, []);
    assert_eq!(facts.remarks, [""; 0]);
    assert_eq!(facts.history.len(), 10);
}

#[test]
fn minutes_and_parts_taken_down_count_instead_of_the_sheets() {
    let mut pen = Pen::new("w");
    pen.write(ItemOff { item: "cover".into(), minutes: Some(2.5), broken: true });
    let part =
        PartUsed { title: "Seal kit".into(), number: None, count: 2.0, price: 4.5 };
    pen.write(RepairDone { parts: Some(vec![part]), minutes: Some(45.0), ..cleaned() });
    let facts = pen.fold();
    assert_eq!((facts.spent.labour_minutes, facts.spent.parts), (47.5, 9.0));
    assert!(facts.done.iter().all(|done| done.timed));
    assert!(facts.tray_of("cover").unwrap().broken);
}

#[test]
fn amounts_that_cannot_be_right_are_left_out_with_a_remark() {
    let mut pen = Pen::new("w");
    pen.write(ItemOff { item: "cover".into(), minutes: Some(1e300), broken: false });
    pen.write(ItemOff { item: "shield".into(), minutes: Some(-5.0), broken: false });
    let part = PartUsed { title: "x".into(), number: None, count: 1e200, price: 1e200 };
    pen.write(RepairDone { parts: Some(vec![part]), ..cleaned() });
    let facts = pen.fold();
    assert_eq!((facts.spent.labour_minutes, facts.spent.parts), (37.0, 22.0));
    assert_eq!(facts.remarks.len(), 3);
}

#[test]
fn readings_weigh_and_could_not_tell_moves_nothing() {
    let mut pen = Pen::new("w");
    pen.write(reading(7.9));
    pen.write(CheckDone { result: CheckResult::CouldNotTell, ..looked("free") });
    let facts = pen.fold();
    assert_eq!(
        facts.evidence,
        [
            Fact::Reading { check: CheckIx(0), weights: vec![0.25, 0.75] },
            Fact::CouldNotTell { check: CheckIx(0) },
        ]
    );
    assert_eq!(facts.readings[0].measured.value, 7.9);
    assert_eq!(facts.spent.labour_minutes, 8.0);
}

#[test]
fn what_the_sheet_does_not_know_is_a_remark() {
    let mut pen = Pen::new("w");
    pen.write(looked("no-such-outcome"));
    pen.write(RepairDone { repair: "pray".into(), ..cleaned() });
    pen.write(did("sing"));
    pen.write(off("roof"));
    let facts = pen.fold();
    assert_eq!(facts.evidence, []);
    assert_eq!(facts.remarks.len(), 4);
    assert!(facts.remarks.iter().all(|r| r.starts_with("the sheet of this job has no")));
    assert_eq!(facts.can_hand_over(&flap()), ["roof is off"]);
    pen.write(on("roof"));
    assert_eq!(pen.fold().can_hand_over(&flap()), [""; 0]);
}

/// A job without any sheet still has its tray, its minutes and its money.
#[test]
fn a_job_without_a_sheet_works() {
    let mut pen = Pen::new("w");
    pen.write(ItemOff { item: "pump".into(), minutes: Some(12.0), broken: false });
    pen.write(job::body::FastenerNoted {
        item: "pump".into(),
        fastener: "pump-bolt".into(),
        ..bolt(FastenerState::LeftOver, 1)
    });
    let sheet = no_sheet(flap().economy);
    let facts = job::fold(&sheet, &pen.events);
    assert_eq!(facts.spent.labour_minutes, 12.0);
    assert_eq!(facts.can_hand_over(&sheet).len(), 2);
}

/// What lies in front must be off too: a fact of geometry that the sheet states.
#[test]
fn what_lies_in_front_is_taken_as_off() {
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    let facts = pen.fold();
    assert_eq!(facts.off, set(&[0, 1, 2]));
    assert_eq!(facts.off_closed(&flap()), facts.off);
    assert_eq!(facts.spent.labour_minutes, 12.0);
    assert_eq!(facts.remarks.len(), 2);
    pen.write(off("shield"));
    let facts = pen.fold();
    assert_eq!(facts.spent.labour_minutes, 12.0, "named later, it is not paid twice");
    assert_eq!(
        facts.loose_ends.iter().filter(|end| end.id.contains("contra")).count(),
        0
    );
}

/// The fold never argues: a check whose items are on is a fact.
#[test]
fn a_check_without_its_way_in_is_a_fact() {
    let mut pen = Pen::new("w");
    pen.write(looked("free"));
    let facts = pen.fold();
    assert_eq!(facts.evidence.len(), 1);
    assert_eq!((facts.off, facts.remarks.len()), (ItemSet::EMPTY, 0));
}

#[test]
fn holes_go_into_the_tray_and_back() {
    let mut pen = Pen::new("w");
    let holes =
        |pen: &Pen| pen.fold().tray_of("shield").unwrap().fasteners[0].holes.clone();
    pen.write(off("shield"));
    assert_eq!(holes(&pen), [Hole::InTray; 3]);
    let mut second = bolt(FastenerState::Broken, 1);
    second.holes = vec![2];
    pen.write(second);
    assert_eq!(holes(&pen), [Hole::InTray, Hole::Broken, Hole::InTray]);
    pen.write(on("shield"));
    assert_eq!(holes(&pen), [Hole::Back, Hole::Broken, Hole::Back]);
    pen.write(bolt(FastenerState::Replaced, 1));
    assert_eq!(holes(&pen), [Hole::Back; 3]);
}

#[test]
fn torques_and_the_wrench_are_remembered() {
    let mut pen = Pen::new("w");
    pen.write(off("shield"));
    let mut refit = on("shield");
    refit.wrench = Some("20-100".into());
    refit.torques = vec![TorqueUsed {
        fastener: "shield-bolt".into(),
        torque_nm: Some(20.0),
        angle_deg: None,
        source: Some("maker".into()),
    }];
    pen.write(refit);
    let facts = pen.fold();
    assert_eq!(facts.wrench.as_deref(), Some("20-100"));
    assert_eq!(facts.torques.len(), 1);
    assert_eq!(facts.torques[0].torque_nm, Some(20.0));
}

#[test]
fn settings_lie_on_top_of_the_sheets_and_money_is_never_converted() {
    let mut pen = Pen::new("w");
    let patch = |currency: &str, rate: f64| EconomyPatch {
        currency: Some(currency.into()),
        labour_per_hour: Some(rate),
        rust: Some(RustWord::Bad),
        ..EconomyPatch::default()
    };
    pen.write(JobSet { economy: Some(patch("EUR", 80.0)), ..JobSet::default() });
    let (economy, remarks) = pen.fold().economy.on(&flap().economy);
    assert_eq!((economy.labour_per_hour, economy.rust), (80.0, Rust::Bad));
    assert_eq!((economy.bay_per_hour, remarks.len()), (12.0, 0));
    pen.write(JobSet { economy: Some(patch("CHF", 99.0)), ..JobSet::default() });
    let (economy, remarks) = pen.fold().economy.on(&flap().economy);
    assert_eq!((economy, remarks.len()), (flap().economy, 1));
}

#[test]
fn a_count_replaces_the_sheets_and_an_empty_one_says_nothing() {
    let mut pen = Pen::new("w");
    let count = |seen, over| SetsNoted {
        seen,
        over,
        unit: UnitWord::Starts,
        ends: EndsWord::Now,
        at_km: Vec::new(),
    };
    pen.write(count(0, 100.0));
    assert_eq!(pen.fold().recurrence, None);
    assert_eq!(pen.fold().remarks.len(), 1);
    pen.write(count(3, 60.0));
    let noted = pen.fold().recurrence.unwrap();
    assert_eq!((noted.seen, noted.over.amount), (3, 60.0));
    assert_eq!(noted.over.unit, ExposureUnit::Starts);
}

#[test]
fn the_job_says_whom_it_waits_for() {
    let mut pen = Pen::new("w");
    let waits = |pen: &Pen| pen.fold().waits.map(|waits| waits.wait_for);
    pen.write(JobOpened::default());
    assert_eq!(waits(&pen), Some(WaitFor::Me));
    pen.write(Waiting { wait_for: WaitFor::Owner });
    let since = pen.fold().waits.unwrap().since;
    pen.write(bolt(FastenerState::Missing, 0));
    assert_eq!(pen.fold().waits.unwrap().since, since);
    pen.write(Authorised { sum: 250.0, ..Authorised::default() });
    assert_eq!(waits(&pen), Some(WaitFor::Me));
    let part = pen.write(PartOrdered { title: "Coil".into(), ..PartOrdered::default() });
    pen.write(Waiting { wait_for: WaitFor::Part });
    pen.write(PartCame { of: part, ..PartCame::default() });
    assert_eq!(waits(&pen), Some(WaitFor::Me));
    assert!(pen.fold().parts[0].came.is_some());
    pen.write(HandedOver::default());
    assert_eq!(waits(&pen), None);
    assert!(pen.fold().closed());
    pen.write(Comeback { same_fault: true, ..Comeback::default() });
    assert_eq!(waits(&pen), Some(WaitFor::Me));
    assert!(!pen.fold().closed());
}

#[test]
fn refused_and_declined_are_not_proposed_again() {
    let mut pen = Pen::new("w");
    pen.write(Refused { action: "check:look".into(), why: None });
    pen.write(Declined { what: "repair:clean".into(), ..Declined::default() });
    assert_eq!(pen.fold().without, ["check:look", "repair:clean"]);
}

/// Silence is not distance: only what the owner said counts, once.
#[test]
fn follow_ups_add_the_distance_since_the_answer_before() {
    let mut pen = Pen::new("w");
    pen.write(HandedOver { odometer_km: Some(1000.0), ..HandedOver::default() });
    pen.write(Asked { how: "phone".into() });
    assert_eq!(pen.fold().evidence, []);
    let said = |km: f64, lamp: Option<bool>, cleared: Option<bool>| Answered {
        odometer_km: Some(km),
        lamp,
        cleared,
        ..Answered::default()
    };
    pen.write(said(1400.0, Some(false), Some(false)));
    pen.write(said(1500.0, None, None));
    pen.write(said(1600.0, Some(false), None));
    pen.write(said(1700.0, Some(false), Some(true)));
    pen.write(said(1750.0, Some(true), None));
    let facts = pen.fold();
    assert_eq!(
        facts.evidence,
        [
            Fact::Driven { amount: 400.0, shown: false },
            Fact::Driven { amount: 200.0, shown: false },
            Fact::Driven { amount: 50.0, shown: true },
        ]
    );
    pen.write(Comeback {
        same_fault: true,
        odometer_km: Some(1760.0),
        ..Comeback::default()
    });
    assert_eq!(pen.fold().evidence.len(), 3, "the lamp was told of already");
}

#[test]
fn a_clear_drive_without_its_self_test_proves_nothing() {
    let mut pen = Pen::new("w");
    let mut drive = drove(false);
    drive.self_test_ran = Some(false);
    pen.write(drive);
    let facts = pen.fold();
    assert_eq!((facts.evidence.len(), facts.remarks.len()), (0, 1));
    assert_eq!(facts.spent.labour_minutes, 20.0);
}

#[test]
fn erasing_codes_before_the_freeze_frame_is_remarked() {
    let mut pen = Pen::new("w");
    pen.write(CodeErased::default());
    assert_eq!(pen.fold().remarks.len(), 1);
    let mut pen = Pen::new("w");
    pen.write(BeforeNoted {
        what: Before::FreezeFrame,
        value: None,
        unit: None,
        words: Vec::new(),
        blob: Some("0".repeat(64)),
        not_to_be_had: false,
    });
    pen.write(CodeErased::default());
    assert_eq!(pen.fold().remarks, [""; 0]);
}

#[test]
fn an_unknown_kind_is_kept_and_the_job_is_read_only() {
    let mut pen = Pen::new("w");
    pen.write(off("cover"));
    let text = String::from_utf8(pen.events[0].bytes.clone()).unwrap();
    let newer = text.replace("item.off", "item.turned").replace("0000\"", "00ff\"");
    pen.events.push(job::Stored::of_bytes(newer.into_bytes()));
    let facts = pen.fold();
    assert!(facts.read_only);
    assert_eq!(facts.history.len(), 2);
    assert_eq!(facts.off, set(&[0]));
    let newer = text.replace("\"v\":1", "\"v\":2").replace("0000\"", "00ee\"");
    pen.events[1] = job::Stored::of_bytes(newer.into_bytes());
    assert!(pen.fold().read_only);
}

#[test]
fn the_same_tap_twice_is_one_event() {
    let mut phone = Pen::new("phone");
    let mut copy = Pen::new("copy");
    let tap = "ab".repeat(16);
    phone.write_as(cleaned().into(), &tap);
    copy.write_as(cleaned().into(), &tap);
    phone.events.extend(copy.events);
    let facts = phone.fold();
    assert_eq!((facts.evidence.len(), facts.history.len()), (1, 2));
    assert_eq!(Kind::of_word(&facts.history[1].kind), Some(Kind::RepairDone));
    assert!(matches!(facts.history[1].body, Some(Body::RepairDone(_))));
}
