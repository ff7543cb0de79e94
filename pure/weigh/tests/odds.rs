//! Odds after facts, against values worked out elsewhere.
#![cfg(test)]

use job::Fact;
use proptest::prelude::*;
use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx, Sheet};
use weigh::{Count, OddsError, ProveError, ProveInput, prove, weigh};

/// Golden case of the planner's references, 2.10.
const TWO_COVERS: &str = r#"
[sheet]
format = 1
id = "two-covers"
title = "Two covers"
[economy]
labour_per_hour = 60.0
comeback = 20.0
pass_on = 1000.0
[recurrence]
seen = 2
over_km = 400.0
[unlisted]
weight = 0.1
[[suspect]]
id = "valve"
weight = 0.6
[[suspect]]
id = "hose"
weight = 0.3
[[check]]
id = "live"
outcomes = ["pos", "neg"]
[check.given]
fine = { pos = 0.1, neg = 0.9 }
valve = { pos = 0.9, neg = 0.1 }
hose = { pos = 0.2, neg = 0.8 }
unlisted = { pos = 0.5, neg = 0.5 }
[[check]]
id = "smoke"
outcomes = ["pos", "neg"]
[check.given]
fine = { pos = 0.05, neg = 0.95 }
hose = { pos = 0.95, neg = 0.05 }
[[check]]
id = "never"
outcomes = ["a", "b"]
[check.given]
fine = { a = 1.0 }
[[repair]]
id = "valve"
fixes = { valve = 0.9 }
[[proof]]
id = "drive"
km = 30.0
[[proof]]
id = "test"
shows = 1.0
"#;

fn sheet_of(text: &str) -> Sheet {
    let read = sheet::read(text);
    read.sheet.unwrap_or_else(|| panic!("{:#?}", read.remarks))
}

fn check(check: u8, outcome: u8) -> Fact {
    Fact::Check { check: CheckIx(check), outcome: OutcomeIx(outcome) }
}

const REPAIR: Fact = Fact::Repair { repair: RepairIx(0) };

fn proof(proof: u8, shown: bool) -> Fact {
    Fact::Proof { proof: ProofIx(proof), shown, exposure: None }
}

fn odds(sheet: &Sheet, facts: &[Fact]) -> weigh::Odds {
    weigh(sheet, &sheet.economy, sheet.recurrence.as_ref(), facts).unwrap()
}

#[test]
fn two_outcomes_give_the_published_odds() {
    // planner.md 2.10, recomputed there and given by pyAgrum; six digits are printed.
    let sheet = sheet_of(TWO_COVERS);
    let odds = odds(&sheet, &[check(1, 1), check(0, 0)]);
    for (have, published) in odds.present.iter().zip([0.910_382, 0.005_324, 0.084_295]) {
        assert!((have - published).abs() < 1e-6, "{have} {published}");
    }
}

#[test]
fn a_failed_repair_still_leaves_its_cause() {
    // planner.md 2.9: cause .8, leak .2, repair fixes .9; P(cause | failed once) = 2/7.
    let text = TWO_COVERS
        .replace("weight = 0.6", "weight = 0.8")
        .replace("weight = 0.3", "weight = 1e-12")
        .replace("weight = 0.1", "weight = 0.2");
    let sheet = sheet_of(&text);
    let odds = odds(&sheet, &[REPAIR, proof(1, true)]);
    assert!((odds.present[0] - 2.0 / 7.0).abs() < 1e-9, "{}", odds.present[0]);
    assert!(odds.fixed().abs() < 1e-12);
}

#[test]
fn drives_chain_and_a_set_starts_the_window_anew() {
    let sheet = sheet_of(TWO_COVERS);
    let count = odds(&sheet, &[REPAIR, proof(0, false), proof(0, false)]).count.unwrap();
    assert_eq!((count.seen, count.over, count.clear), (2.0, 400.0, 60.0));
    let once = odds(&sheet, &[REPAIR, proof(0, false), proof(0, false)]);
    let long = Fact::Proof { proof: ProofIx(0), shown: false, exposure: Some(60.0) };
    let at_once = odds(&sheet, &[REPAIR, long]);
    assert!(
        (once.fixed() - at_once.fixed()).abs() < 1e-12,
        "two drives are one long one"
    );
    let count = odds(&sheet, &[REPAIR, proof(0, false), proof(0, true)]).count.unwrap();
    assert_eq!((count.seen, count.over, count.clear), (3.0, 460.0, 0.0));
}

#[test]
fn what_the_sheet_holds_impossible_is_something_else() {
    let sheet = sheet_of(TWO_COVERS);
    let odds = odds(&sheet, &[check(2, 1)]);
    assert_eq!(odds.present, [0.0, 0.0, 1.0]);
    assert!(odds.remarks[0].contains("something else"), "{:?}", odds.remarks);
    let closed = sheet_of(
        &TWO_COVERS
            .replace("weight = 0.1", "weight = 0.0")
            .replace("unlisted = { pos = 0.5, neg = 0.5 }\n", ""),
    );
    let error = weigh(&closed, &closed.economy, None, &[check(2, 1)]).unwrap_err();
    assert!(matches!(error, OddsError::Impossible { .. }), "{error}");
}

#[test]
fn a_check_counts_once_until_a_repair() {
    let sheet = sheet_of(TWO_COVERS);
    let twice = [check(0, 0), check(0, 1)];
    let error = weigh(&sheet, &sheet.economy, None, &twice).unwrap_err();
    assert_eq!(error, OddsError::CheckTwice { check: "live".to_owned() });
    odds(&sheet, &[check(0, 0), REPAIR, check(0, 1)]);
    let skipped = odds(&sheet, &[Fact::CouldNotTell { check: CheckIx(0) }]);
    assert_eq!(skipped.present, odds(&sheet, &[]).present);
    assert_eq!(skipped.done.checks, 1);
}

#[test]
fn a_reading_on_the_edge_moves_nothing() {
    let sheet = sheet_of(TWO_COVERS);
    let sure =
        odds(&sheet, &[Fact::Reading { check: CheckIx(1), weights: vec![1.0, 0.0] }]);
    assert_eq!(sure.present, odds(&sheet, &[check(1, 0)]).present);
    let edge =
        odds(&sheet, &[Fact::Reading { check: CheckIx(1), weights: vec![0.5, 0.5] }]);
    for (after, before) in edge.present.iter().zip(&odds(&sheet, &[]).present) {
        assert!((after - before).abs() < 1e-12);
    }
}

#[test]
fn without_a_count_a_drive_claims_nothing() {
    let sheet = sheet_of(TWO_COVERS);
    let repaired = weigh(&sheet, &sheet.economy, None, &[REPAIR]).unwrap();
    let driven = weigh(&sheet, &sheet.economy, None, &[REPAIR, proof(0, false)]).unwrap();
    assert_eq!(repaired.fixed().to_bits(), driven.fixed().to_bits());
    assert!(!driven.remarks.is_empty());
}

#[test]
fn nothing_is_claimed_without_a_count() {
    let sheet = sheet_of(TWO_COVERS);
    let recurrence = sheet.recurrence.unwrap();
    let input = ProveInput { recurrence, fixed: 0.7, clear: 0.0, target: 0.95 };
    let none = sheet::Recurrence { seen: 0, ..recurrence };
    let error = prove(&ProveInput { recurrence: none, ..input.clone() }).unwrap_err();
    assert_eq!(error, ProveError::NoSets);
    for (fixed, clear, target) in
        [(1.1, 0.0, 0.95), (f64::NAN, 0.0, 0.95), (0.7, -1.0, 0.95), (0.7, 0.0, 1.0)]
    {
        let asked = ProveInput { recurrence, fixed, clear, target };
        assert!(matches!(prove(&asked), Err(ProveError::OutOfRange { .. })), "{asked:?}");
    }
}

proptest! {
    #[test]
    fn odds_stay_odds(facts in proptest::collection::vec(0_u8..12, 0..12)) {
        let sheet = sheet_of(TWO_COVERS);
        let facts: Vec<Fact> = facts.iter().map(|pick| match pick {
            0..=3 => check(pick / 2, pick % 2),
            4..=6 => REPAIR,
            7 | 8 => proof(0, pick % 2 == 0),
            9 | 10 => proof(1, pick % 2 == 0),
            _ => Fact::Driven { amount: 17.0, shown: false },
        }).collect();
        if let Ok(odds) = weigh(&sheet, &sheet.economy, sheet.recurrence.as_ref(), &facts) {
            let total = odds.present.iter().sum::<f64>() + odds.fixed();
            prop_assert!((total - 1.0).abs() < 1e-9, "{total}");
            prop_assert!(odds.present.iter().chain(&odds.fixed_from).all(|p| *p >= 0.0));
        }
    }

    #[test]
    fn the_needed_distance_reaches_the_target_and_no_less(
        seen in 1_u32..9, over in 1.0_f64..5_000.0, fixed in 0.01_f64..0.94,
    ) {
        let over = sheet::Exposure { amount: over, unit: sheet::ExposureUnit::Km };
        let recurrence = sheet::Recurrence { seen, over, ends: sheet::WindowEnd::Set };
        let input = ProveInput { recurrence, fixed, clear: 0.0, target: 0.95 };
        let needed = prove(&input).unwrap().needed_km.unwrap();
        let at = |clear| prove(&ProveInput { clear, ..input.clone() }).unwrap().p_fixed;
        prop_assert!((at(needed) - 0.95).abs() < 1e-9);
        prop_assert!(at(needed * 0.99) < 0.95);
        let count = Count::from_recurrence(&recurrence).unwrap();
        let chained = count.after_clear(needed / 3.0).ln_silent(needed * 2.0 / 3.0)
            + count.ln_silent(needed / 3.0);
        prop_assert!((chained - count.ln_silent(needed)).abs() < 1e-9);
    }
}
