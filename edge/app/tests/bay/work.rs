//! What was done moves the odds, can be taken back, and is never scolded.

use app::Exit;
use app::bay::{Bay, NewJob, Shown, Thinking};

use crate::given::{TAP, agreed, bay, did, happened, new_job, opened, p_of, same};

/// Bayes by hand: weights 6, 3, 1; first with 0.9, 0.1, 0.5.
#[test]
fn a_check_moves_the_odds_and_undo_refolds_them() {
    let (mut bay, job) = agreed(5000.0);
    let first = bay.show(&job).unwrap().odds;
    let answer = did(&mut bay, &job, &["check:inner-look=first"]).unwrap();
    same(p_of(&answer, "one"), 5.4 / (5.4 + 0.3 + 0.5));
    same(p_of(&answer, "two"), 0.3 / 6.2);
    let undone = bay.undo(&job).unwrap();
    assert_eq!(undone.taken_back.len(), 2, "the tray comes back on with its check");
    assert_eq!(undone.odds, first);
    assert!(bay.next(&job).unwrap().off.is_empty());
    // Undo of undo: what it took counts again.
    let again = bay.withdraw(&job, &undone.redo.unwrap()).unwrap();
    assert_eq!(again.odds, answer.odds);
    assert_eq!(bay.next(&job).unwrap().off.len(), 1);
    assert_eq!(bay.undo(&job).unwrap().odds, first);
    assert_eq!(bay.undo(&job).unwrap_err().kind, "nothing", "the opening stands");
}

#[test]
fn one_persons_undo_leaves_the_others_entries() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["check:long-look=seen"]).unwrap();
    bay.set_who("Ede");
    assert_eq!(bay.undo(&job).unwrap_err().kind, "nothing");
    did(&mut bay, &job, &["check:inner-look=second"]).unwrap();
    bay.undo(&job).unwrap();
    let left = bay.show(&job).unwrap();
    let counts = |kind: &str| {
        left.events.iter().filter(|e| e.kind == kind && e.fate == "counts").count()
    };
    assert_eq!(counts("check.done"), 1);
}

#[test]
fn a_correction_counts_in_the_place_of_the_slip() {
    let (mut bay, job) = agreed(5000.0);
    let slip = did(&mut bay, &job, &["check:inner-look=second"]).unwrap();
    let event = slip.recorded.last().unwrap().event.clone();
    let answer = bay.correct(&job, &event, &happened("check:inner-look=first")).unwrap();
    same(p_of(&answer, "one"), 5.4 / 6.2);
}

#[test]
fn facts_off_the_plan_are_accepted_and_the_plan_follows() {
    let (mut bay, job) = agreed(5000.0);
    let advised = bay.next(&job).unwrap().step.unwrap();
    assert_ne!(advised.id, "renew-two");
    let answer = did(&mut bay, &job, &["repair:renew-two"]).unwrap();
    // 0.9 of the 3 in 10 that it is cause two.
    same(answer.p_fixed, 0.27);
    // A repair done twice and a check repeated are facts; the later answer counts.
    let answer = did(&mut bay, &job, &["repair:renew-two"]).unwrap();
    same(answer.p_fixed, 0.27 + 0.03 * 0.9);
    did(&mut bay, &job, &["check:inner-look=second"]).unwrap();
    let answer = did(&mut bay, &job, &["check:inner-look=first"]).unwrap();
    assert!(answer.remarks.iter().any(|remark| remark.contains("answered twice")));
    let total = 0.6 * 0.9 + 0.003 * 0.1 + 0.1 * 0.5 + 0.297 * 0.5;
    same(p_of(&answer, "one"), 0.54 / total);
    assert!(bay.next(&job).unwrap().step.is_some());
}

#[test]
fn couldnt_tell_moves_nothing_and_is_not_proposed_again() {
    let (mut bay, job) = agreed(5000.0);
    let before = bay.show(&job).unwrap().odds;
    did(&mut bay, &job, &["check:inner-look=skip"]).unwrap();
    assert_eq!(bay.show(&job).unwrap().odds, before);
    assert_ne!(bay.next(&job).unwrap().step.unwrap().id, "inner-look");
}

/// JCGM 106: a value on the edge of two bands lies in each with probability one half, so it
/// moves nothing between them; one far inside counts like the outcome itself.
#[test]
fn a_reading_counts_by_where_its_true_value_may_lie() {
    let (mut bay, job) = agreed(5000.0);
    let answer = did(&mut bay, &job, &["check:ohm-look@7ohm,accuracy=1%"]).unwrap();
    let even = 3.0 * 0.5;
    same(p_of(&answer, "two"), even / (even + 7.0 * 0.5));
    let (mut bay, job) = agreed(5000.0);
    let answer = did(&mut bay, &job, &["check:ohm-look@0.009kohm,accuracy=1%"]).unwrap();
    same(p_of(&answer, "two"), 2.4 / (2.4 + 0.7));
    let problem = did(&mut bay, &job, &["check:ohm-look@7V"]).unwrap_err();
    assert_eq!((problem.kind.as_str(), problem.exit), ("reading", Exit::Wrong));
}

#[test]
fn the_same_tap_counts_once_and_other_words_under_it_are_refused() {
    let (mut bay, job) = agreed(5000.0);
    let things =
        [happened("check:inner-look=first"), happened("note=Ring the owner at noon")];
    let first = bay.did(&job, &things, Some(TAP)).unwrap();
    let events = bay.show(&job).unwrap().events.len();
    let second = bay.did(&job, &things, Some(TAP)).unwrap();
    assert!(second.repeated && !first.repeated);
    assert_eq!(bay.show(&job).unwrap().events.len(), events);
    assert_eq!(second.odds, first.odds);
    let other =
        [happened("check:inner-look=second"), happened("note=Ring the owner at noon")];
    assert_eq!(bay.did(&job, &other, Some(TAP)).unwrap_err().kind, "conflict");
    let new = NewJob { tap: Some(TAP.replace('0', "f")), ..new_job() };
    let one = bay.new_job(&new).unwrap().job;
    assert_eq!(bay.new_job(&new).unwrap().job, one);
    assert_eq!(bay.jobs(Shown::OnHand).unwrap().cars.len(), 2);
}

#[test]
fn advice_is_logged_once_for_each_state() {
    let (mut bay, job) = agreed(5000.0);
    let logged = |bay: &Bay| {
        bay.show(&job).unwrap().events.iter().filter(|e| e.kind == "advised").count()
    };
    bay.next(&job).unwrap();
    bay.next(&job).unwrap();
    assert_eq!(logged(&bay), 1);
    did(&mut bay, &job, &["check:long-look=not"]).unwrap();
    bay.next(&job).unwrap();
    assert_eq!(logged(&bay), 2);
}

#[test]
fn the_step_stays_while_nothing_new_is_entered_unless_another_saves_enough() {
    // The demo's sheet, asked again and again with so little time that plans still change.
    let thinking = Thinking { budget_ms: 1, gap: 0.0, nodes: 1_000_000 };
    let sheet = include_str!("../../../../sheets/boost-vane-diesel.toml");
    let mut bay = bay().thinking(thinking);
    let new = NewJob { sheet: Some(sheet.to_owned()), ..new_job() };
    let job = bay.new_job(&new).unwrap().job;
    let told = |bay: &mut Bay| {
        let next = bay.next(&job).unwrap();
        (next.step.unwrap().id, next.expected_cost.unwrap())
    };
    let steady = |before: (String, f64), now: (String, f64)| {
        let saves = 1.02 * now.1 < before.1;
        assert!(now.0 == before.0 || saves, "{before:?}, then {now:?}");
        now
    };
    for fact in ["look-over=nothing", "ask-when=load", "vac-gauge=good"] {
        let mut before = told(&mut bay);
        for _ in 0..60 {
            before = steady(before, told(&mut bay));
        }
        did(&mut bay, &job, &[&format!("check:{fact}")]).unwrap();
        told(&mut bay);
        bay.undo(&job).unwrap();
        steady(before, told(&mut bay));
        did(&mut bay, &job, &[&format!("check:{fact}")]).unwrap();
    }
}

#[test]
fn what_is_perishable_comes_first_and_erased_codes_are_warned_of() {
    let (mut bay, job) = agreed(5000.0);
    let first = bay.next(&job).unwrap().note_first;
    let open = |what: &str, list: &[app::bay::NoteFirst]| {
        list.iter().find(|line| line.what == what).unwrap().open
    };
    assert!(open("freeze-frame", &first) && open("battery-rest", &first));
    assert!(!open("odometer", &first), "it was told when the vehicle came");
    let answer = did(&mut bay, &job, &["erased"]).unwrap();
    assert!(answer.remarks.iter().any(|remark| remark.contains("freeze frame")));
    did(&mut bay, &job, &["before:freeze-frame=2150/min, load 84 %"]).unwrap();
    did(&mut bay, &job, &["before:battery-rest=12.6V", "code:P0299=pending"]).unwrap();
    let list = bay.next(&job).unwrap().note_first;
    assert!(!open("freeze-frame", &list) && !open("battery-rest", &list));
    assert!(!open("codes", &list));
    let answer = did(&mut bay, &job, &["erased=P0299"]).unwrap();
    assert!(answer.remarks.is_empty(), "{:?}", answer.remarks);
    did(&mut bay, &job, &["off:belt"]).unwrap();
    assert!(bay.next(&job).unwrap().note_first.is_empty());
}

#[test]
fn a_job_is_found_by_id_beginning_and_plate() {
    let (bay, job) = agreed(5000.0);
    assert_eq!(job.len(), 5);
    for name in [job.as_str(), &job[..3], "qx4417z", "QX 4417 Z", "qx-4417-z"] {
        assert_eq!(bay.find(name).unwrap(), job, "{name}");
    }
    assert_eq!(bay.find("ZZ 1").unwrap_err().kind, "no-job");
    let slip = bay.find("QX 4471 Z").unwrap_err();
    assert_eq!(slip.hint.unwrap(), "did you mean `QX 4417 Z`?");
}

#[test]
fn a_plate_of_blanks_is_none() {
    let opened = |plate: &str| {
        let new = NewJob { plate: plate.to_owned(), ..new_job() };
        let (bay, job) = opened(&new);
        bay.show(&job).unwrap().plate
    };
    assert_eq!(opened("   "), None);
    assert_eq!(opened(" QX 1 ").as_deref(), Some("QX 1"));
}

#[test]
fn what_else_can_be_done_comes_from_the_sheet_of_the_job() {
    let (bay, job) = agreed(5000.0);
    let others = bay.others(&job).unwrap();
    let sheet = sheet::read(crate::given::SHEET).sheet.unwrap();
    let ids: Vec<&str> = others.checks.iter().map(|check| check.id.as_str()).collect();
    let frozen: Vec<&str> = sheet.checks.iter().map(|check| check.id.as_str()).collect();
    assert_eq!(ids, frozen, "a sheet that no library holds");
    assert_eq!(
        others.check(frozen[0]).unwrap().outcomes.len(),
        sheet.checks[0].outcomes.len()
    );
    assert_eq!(others.repairs.len(), sheet.repairs.len());
    assert_eq!(others.proofs.len(), sheet.proofs.len());
}

#[test]
fn a_job_without_a_sheet_keeps_tray_money_and_papers() {
    let (mut bay, job) = opened(&NewJob { sheet: None, ..new_job() });
    let answer = did(&mut bay, &job, &["off:air-duct", "note=Duct was loose"]).unwrap();
    assert_eq!(answer.recorded.len(), 2);
    assert!(bay.next(&job).unwrap().step.is_none());
    assert_eq!(did(&mut bay, &job, &["check:x=y"]).unwrap_err().kind, "no-sheet");
    did(&mut bay, &job, &["on:air-duct"]).unwrap();
    assert!(
        bay.report(&job, app::bay::Standing::Now).unwrap().owner.starts_with(b"%PDF")
    );
}

#[test]
fn a_sheet_with_errors_and_another_currency_are_refused() {
    let mut bay = bay();
    let broken = NewJob { sheet: Some("[sheet]\nformat = 2\n".to_owned()), ..new_job() };
    assert_eq!(bay.new_job(&broken).unwrap_err().kind, "sheet");
    let mut dollars = new_job();
    dollars.economy.currency = Some("USD".to_owned());
    assert_eq!(bay.new_job(&dollars).unwrap_err().kind, "economy");
    assert!(bay.jobs(Shown::All).unwrap().cars.is_empty());
}

#[test]
fn the_list_shows_whom_each_car_waits_for_and_the_step_in_five_words() {
    let (mut bay, job) = agreed(5000.0);
    let other =
        bay.new_job(&NewJob { plate: "QX 1".to_owned(), ..new_job() }).unwrap().job;
    bay.next(&other).unwrap();
    did(&mut bay, &job, &["waiting:part"]).unwrap();
    let list = bay.jobs(Shown::OnHand).unwrap().cars;
    assert_eq!(list[0].job, other);
    assert_eq!(list[0].next.as_deref(), Some("Look behind the tray"));
    assert_eq!(list[1].waits_for.as_deref(), Some("part"));
    did(&mut bay, &job, &["check:long-look=seen"]).unwrap();
    let list = bay.jobs(Shown::OnHand).unwrap().cars;
    assert!(list.iter().all(|car| car.waits_for.as_deref() == Some("me")));
}

#[test]
fn parts_are_ordered_and_come() {
    let (mut bay, job) = agreed(5000.0);
    assert_eq!(
        did(&mut bay, &job, &["part:renew-one=came"]).unwrap_err().kind,
        "no-order"
    );
    did(&mut bay, &job, &["part:renew-one=ordered", "waiting:part"]).unwrap();
    did(&mut bay, &job, &["part:renew-one=came"]).unwrap();
    let list = bay.jobs(Shown::OnHand).unwrap().cars;
    assert_eq!(
        list[0].waits_for.as_deref(),
        Some("me"),
        "a part that came brings it back"
    );
}

#[test]
fn what_makes_no_sense_is_refused_with_what_would_be_right() {
    let (mut bay, job) = agreed(5000.0);
    let events = bay.show(&job).unwrap().events.len();
    let nonsense = [
        "",
        ":",
        "=",
        "check",
        "check:",
        "check:=",
        "check:@",
        "check:inner-look",
        "on:",
        "check:ohm-look@",
        "check:ohm-look@7",
        "check:ohm-look@NaNohm",
        "off:nothing",
        "proof:drive=maybe",
        "proof:drive=clear,km=-3",
        "seal:tray=found",
        "seal:/=found",
        "fastener:tray/tray-bolt=found,count=-1",
        "cap:tray=open",
        "fluid:oil=sideways",
        "snag:tray/x",
        "seen:never=x",
        "seen:soon@",
        "answer:9=no",
        "before:odometer=far",
        "authorised=-1",
        "authorised=1e999",
        "declined:close",
        "waiting:godot",
        "settle:x",
        "part:renew-one",
        "recording:during=x",
        "recording:before=x",
        "photo=x",
        "comeback=",
        "\u{202e}check:inner-look=first",
        "check:inner-look=fist",
        "note=",
        "accept:x=y",
    ];
    for text in nonsense {
        let problem = did(&mut bay, &job, &[text]).unwrap_err();
        assert_eq!(problem.exit, Exit::Wrong, "{text}: {problem:?}");
    }
    assert_eq!(bay.show(&job).unwrap().events.len(), events);
}
