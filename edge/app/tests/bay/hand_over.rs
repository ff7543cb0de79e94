//! The hand-over: blocked, accepted in writing, followed up.

use app::Exit;
use app::bay::{HandOver, PassOn, Shown, Standing, Told};

use crate::given::{agreed, did, same};

#[test]
fn it_is_blocked_by_what_is_off_and_by_duties_and_freed_in_writing() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["off:pipe", "repair:renew-two"]).unwrap();
    let problem = bay.hand_over(&job, &HandOver::default()).unwrap_err();
    assert_eq!((problem.kind.as_str(), problem.exit), ("loose-ends", Exit::Wrong));
    for word in ["Pipe is off", "Belt is off", "Look for leaks"] {
        assert!(problem.what.contains(word), "{}", problem.what);
    }
    did(&mut bay, &job, &["on:pipe", "on:belt"]).unwrap();
    let problem = bay.hand_over(&job, &HandOver::default()).unwrap_err();
    assert!(problem.hint.unwrap().contains("accept:duty:leak-look"));
    assert!(did(&mut bay, &job, &["accept:duty:leak-look"]).is_err(), "words are wanted");
    did(&mut bay, &job, &["accept:duty:leak-look=Owner looks herself tomorrow"]).unwrap();
    let answer = bay.hand_over(&job, &HandOver::default()).unwrap();
    same(answer.p_fixed.unwrap(), 0.27);
    let [owner, _] = bay.report_pages(&job, Standing::HandedOver).unwrap();
    let text = report::text(&owner, 100);
    assert!(text.contains("Owner looks herself tomorrow"), "{text}");
    assert_eq!(bay.hand_over(&job, &HandOver::default()).unwrap_err().kind, "closed");
    assert!(bay.jobs(Shown::OnHand).unwrap().cars.is_empty());
}

/// 2 sets in 400 km: silent over 30 km with (400/430)², over a further 525 km with (430/955)²
/// (Gamma-Poisson with the window ended by a set; worked by hand).
#[test]
fn a_follow_up_moves_how_sure_it_is_and_closes_it() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["check:inner-look=second", "repair:renew-two", "on:tray"])
        .unwrap();
    // 0.6·0.1, 0.3·0.9, 0.1·0.5; of the second 0.9 is put right.
    let total = 0.06 + 0.27 + 0.05;
    let fixed = 0.27 * 0.9 / total;
    let after = |p: f64, silent: f64| p / (p + (1.0 - p) * silent);
    let driven = after(fixed, (400.0_f64 / 430.0).powi(2));
    let answer = did(&mut bay, &job, &["proof:drive=clear"]).unwrap();
    same(answer.p_fixed, driven);
    let over = HandOver {
        odometer_km: Some(120_030.0),
        trial: Some("525 km, ring if the lamp is back".to_owned()),
        charged: None,
    };
    let handed = bay.hand_over(&job, &over).unwrap();
    // Distance to 0.95: T·(x^(−1/m) − 1) with x = π(1−t)/(t(1−π)), from the 430 km so far.
    let x: f64 = driven * 0.05 / (0.95 * (1.0 - driven));
    let more = 430.0 * (x.powf(-0.5) - 1.0);
    same(handed.more_km.unwrap(), more);
    let list = bay.to_ask().unwrap().ask;
    assert_eq!((list.len(), list[0].phone.as_str()), (1, "000 555 0142"));
    same(list[0].more_km.unwrap(), more);

    let silent = Told { km: Some(525.0), lamp: None, ..Told::default() };
    let answer = bay.follow_up(&job, &silent).unwrap();
    assert_eq!(answer.counted_km, None, "silence is not distance");
    same(answer.p_fixed, driven);
    let erased = Told {
        km: Some(525.0),
        lamp: Some(false),
        cleared: Some(true),
        ..Told::default()
    };
    assert_eq!(bay.follow_up(&job, &erased).unwrap().counted_km, None);
    let told = Told {
        odometer_km: Some(120_030.0 + 1050.0),
        lamp: Some(false),
        cleared: Some(false),
        ..Told::default()
    };
    let answer = bay.follow_up(&job, &told).unwrap();
    assert_eq!(answer.counted_km, Some(525.0), "the first 525 km had codes erased");
    same(answer.p_fixed, after(driven, (430.0_f64 / 955.0).powi(2)));
    assert_eq!(answer.settled, answer.p_fixed >= 0.95);
}

#[test]
fn the_lamp_coming_back_and_a_comeback_open_the_job_again() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["repair:renew-two"]).unwrap();
    bay.hand_over(&job, &HandOver::default()).unwrap();
    let back = Told { km: Some(80.0), lamp: Some(true), ..Told::default() };
    let answer = bay.follow_up(&job, &back).unwrap();
    assert!(answer.p_fixed < 1e-12 && !answer.settled);
    assert!(bay.to_ask().unwrap().ask.is_empty());
    did(&mut bay, &job, &["comeback=same"]).unwrap();
    assert_eq!(bay.jobs(Shown::OnHand).unwrap().cars.len(), 1);
    assert!(bay.next(&job).unwrap().step.is_some());
}

#[test]
fn put_back_as_found_and_passed_on_claim_nothing() {
    let (mut bay, job) = agreed(5000.0);
    let answer = bay.hand_over(&job, &HandOver::default()).unwrap();
    assert_eq!(answer.p_fixed, None);
    let (mut bay, job) = agreed(5000.0);
    let to = PassOn { to: "Specialist, cause not found".to_owned(), charged: Some(80.0) };
    assert_eq!(bay.pass_on(&job, &to).unwrap().p_fixed, None);
    assert_eq!(bay.show(&job).unwrap().state, "passed-on");
    assert!(bay.follow_up(&job, &Told::default()).is_err());
}

#[test]
fn what_was_charged_stands_on_the_bill_with_what_was_left_off() {
    let (mut bay, job) = agreed(5000.0);
    did(&mut bay, &job, &["repair:renew-two"]).unwrap();
    let over = HandOver { charged: Some(350.0), ..HandOver::default() };
    bay.hand_over(&job, &over).unwrap();
    let [owner, _] = bay.report_pages(&job, Standing::HandedOver).unwrap();
    let text = report::text(&owner, 100);
    for word in ["300.00 EUR", "100.00 EUR", "-50.00 EUR", "350.00 EUR"] {
        assert!(text.contains(word), "{word}: {text}");
    }
}
