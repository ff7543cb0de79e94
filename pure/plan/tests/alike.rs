//! Families of checks (`same_as`): the search against the judge, a sheet worked out by hand,
//! and a copy of a check that must change nothing.
#![cfg(test)]

mod generator;
mod reading;
mod searching;

use generator::{Dice, Size, random_sheet};
use job::Fact;
use plan::judge::{JudgeAnswer, least_cost};
use sheet::{CheckIx, OutcomeIx, RepairIx, Sheet};

/// Both sides round sums of some hundreds of products; odds meet at 2⁻⁴² in the search.
const TOLERANCE: f64 = 1e-8;

const SIZES: [Size; 2] = [
    Size { suspects: 2, items: 2, checks: 3, repairs: 2, proofs: 1 },
    Size { suspects: 3, items: 3, checks: 4, repairs: 2, proofs: 1 },
];

/// Two causes, equally likely; two looks that tell them apart alike.
const BY_HAND: &str = r#"
[sheet]
format = 1
id = "by-hand"
title = "By hand"
[economy]
labour_per_hour = 60.0
comeback = 300.0
pass_on = 1000.0
[[suspect]]
id = "a"
weight = 1.0
[[suspect]]
id = "b"
weight = 1.0
[[check]]
id = "k1"
minutes = 10.0
outcomes = ["good", "bad"]
[check.given]
fine = { good = 0.5, bad = 0.5 }
a = { good = 0.2, bad = 0.8 }
b = { good = 0.8, bad = 0.2 }
[[check]]
id = "k2"
minutes = 14.0
same_as = "k1"
outcomes = ["good", "bad"]
[check.given]
fine = { good = 0.5, bad = 0.5 }
a = { good = 0.2, bad = 0.8 }
b = { good = 0.8, bad = 0.2 }
[[repair]]
id = "ra"
parts = 100.0
fixes = { a = 1.0 }
[[repair]]
id = "rb"
parts = 100.0
fixes = { b = 1.0 }
"#;

fn level(cost: f64) -> f64 {
    TOLERANCE * cost.max(1.0)
}

/// The judge's answer, which the search must give too.
#[track_caller]
fn both(sheet: &Sheet, facts: &[Fact]) -> JudgeAnswer {
    let ask = reading::ask(sheet, facts, &[""; 0]);
    let judged = least_cost(sheet, &ask).unwrap();
    let found = searching::searched(sheet, &ask, usize::MAX);
    let context = format!("{}, {facts:?}: {judged:?} {found:?}", sheet.id);
    assert!(found.proven, "{context}");
    let (cost, id) = (judged.cost, &judged.first.1);
    assert!((found.expected_cost - cost).abs() <= level(cost), "{context}");
    assert!(searching::first_step(&found).ends_with(id.as_str()), "{context}");
    judged
}

/// The same sheet without families.
fn apart(sheet: &Sheet) -> Sheet {
    let mut new = sheet.clone();
    new.checks.iter_mut().for_each(|check| check.alike.clear());
    new
}

#[test]
fn a_second_look_of_a_family_is_worth_nothing() {
    // A minute costs 1. Both repairs and no look: 200. One look: 10; whatever it says, the
    // cause that it points to has 0.8, and its repair leaves 0.2 of a comeback:
    // 100 + 0.2 · 300 = 160, less than both repairs; 170 in all. A look after a repair:
    // 100 + 10, then good 0.65 (b is at 0.4/0.65, so the other repair too: 100) or bad 0.35
    // (b at 0.1/0.35, so close: 0.3 · 300 / 1.05 = 85.71): 110 + 65 + 30 = 205.
    let sheet = reading::sheet_of(BY_HAND);
    let together = both(&sheet, &[]);
    assert!((together.cost - 170.0).abs() < 1e-9, "{together:?}");
    assert_eq!(together.first.1, "k1");
    // If the second look told anything new, it would say the same with 0.8² + 0.2² = 0.68
    // (then 0.64/0.68, so one repair: 100 + 300/17) and the opposite with 0.32 (then even
    // odds, so both: 200): 10 + 14 + 0.68 · (100 + 300/17) + 0.32 · 200 = 168.
    let counted = both(&apart(&sheet), &[]);
    assert!((counted.cost - 168.0).abs() < 1e-9, "{counted:?}");
}

#[test]
fn a_family_that_answered_is_not_offered_again() {
    let sheet = reading::sheet_of(BY_HAND);
    let offered = |facts: &[Fact]| {
        both(&sheet, facts);
        let ask = reading::ask(&sheet, facts, &[""; 0]);
        let choices = searching::searched(&sheet, &ask, usize::MAX).choices;
        let checks = choices.into_iter().filter(|choice| choice.kind == "check");
        checks.map(|choice| choice.id).collect::<Vec<String>>()
    };
    let bad = |check: u8| Fact::Check { check: CheckIx(check), outcome: OutcomeIx(1) };
    assert_eq!(offered(&[]).len(), 2);
    assert_eq!(offered(&[bad(0)]), [""; 0]);
    assert_eq!(offered(&[bad(1)]), [""; 0]);
    assert_eq!(offered(&[bad(1), Fact::Repair { repair: RepairIx(0) }]), [""; 0]);
    // Could not tell: its family stays, and what is left costs 14 + 160.
    let skipped = [Fact::CouldNotTell { check: CheckIx(0) }];
    assert_eq!(offered(&skipped), ["k2"]);
    assert!((both(&sheet, &skipped).cost - 174.0).abs() < 1e-9);
}

#[test]
fn search_and_judge_agree_where_there_are_families() {
    let (mut judged, mut dearer) = (0, 0);
    for seed in 2_000..2_160 {
        let size = SIZES[usize::from(seed % 3 == 0)];
        let sheet = reading::sheet_of(&random_sheet(seed, size));
        if sheet.checks.iter().all(|check| check.alike.is_empty()) {
            continue;
        }
        judged += 1;
        let mut dice = Dice::new(seed ^ 0xfa);
        let place = dice.below(sheet.checks.len());
        let outcome = OutcomeIx::from(dice.below(sheet.checks[place].outcomes.len()));
        let answered = Fact::Check { check: CheckIx::from(place), outcome };
        let repaired = Fact::Repair { repair: RepairIx(0) };
        let cost = both(&sheet, &[]).cost;
        // An outcome that the sheet holds impossible is another matter.
        let facts = [repaired, answered];
        if weigh::weigh(&sheet, &sheet.economy, None, &facts).is_ok() {
            both(&sheet, &facts);
        }
        // A family only takes looks away.
        let ask = reading::ask(&sheet, &[], &[""; 0]);
        let free = least_cost(&apart(&sheet), &ask).unwrap().cost;
        assert!(free <= cost + level(cost), "seed {seed}: {free} > {cost}");
        dearer += usize::from(free < cost - level(cost));
    }
    assert!(judged >= 60, "only {judged} sheets had families");
    assert!(dearer >= 3, "families mattered on {dearer} sheets only");
}

/// A copy of a check at the end, the same as it, at this much more; spoiled by what spoils it.
fn with_copy(sheet: &Sheet, place: usize, more: f64) -> Sheet {
    let mut new = sheet.clone();
    let (old, own) = (CheckIx::from(place), CheckIx::from(sheet.checks.len()));
    let mut copy = new.checks[place].clone();
    "copy".clone_into(&mut copy.id);
    copy.cost += more;
    copy.alike.insert(0, old);
    let family = copy.alike.clone();
    for one in family {
        new.checks[one.at()].alike.push(own);
    }
    new.checks.push(copy);
    let checks = new.checks.iter_mut().map(|check| &mut check.spoils);
    let repairs = new.repairs.iter_mut().map(|repair| &mut repair.spoils);
    for spoils in checks.chain(repairs) {
        if spoils.contains(&old) {
            spoils.push(own);
        }
    }
    new
}

#[test]
fn a_copy_that_is_the_same_and_no_cheaper_changes_nothing() {
    let mut mattered = 0;
    for seed in 3_000..3_060 {
        let sheet = reading::sheet_of(&random_sheet(seed, SIZES[0]));
        let place = Dice::new(seed).below(sheet.checks.len());
        let before = both(&sheet, &[]);
        for more in [0.0, 7.0] {
            let copied = with_copy(&sheet, place, more);
            let after = both(&copied, &[]);
            let same = (after.cost - before.cost).abs() <= level(before.cost);
            assert!(same, "seed {seed}, {more} more: {before:?} {after:?}");
            assert_eq!(after.first, before.first, "seed {seed}, {more} more");
            let ask = reading::ask(&copied, &[], &[""; 0]);
            let free = least_cost(&apart(&copied), &ask).unwrap().cost;
            mattered += usize::from(free < before.cost - level(before.cost));
        }
    }
    assert!(mattered >= 3, "counted twice, a copy gained on {mattered} sheets only");
}
