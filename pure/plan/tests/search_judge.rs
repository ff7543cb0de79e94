//! The search against the judge on random sheets with every feature, from the start and from
//! the middle of jobs, at the end and at every report on the way.
#![cfg(test)]

mod for_nothing;
mod generator;
mod reading;
mod searching;

use for_nothing::{FREE, for_nothing};
use generator::{Dice, Size, random_sheet};
use job::Fact;
use plan::PlanAnswer;
use plan::judge::{JudgeAnswer, least_cost};
use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx, Sheet};

/// Both sides round sums of some hundreds of products; odds meet at 2⁻⁴² in the search.
const TOLERANCE: f64 = 1e-8;
/// Most states of the judge: a sheet beyond that is left out (and counted).
const JUDGED: usize = 300_000;

const SMALL: Size = Size { suspects: 3, items: 3, checks: 3, repairs: 2, proofs: 1 };
const MIDDLE: Size = Size { suspects: 4, items: 4, checks: 3, repairs: 3, proofs: 2 };

/// Some facts as a job would have them.
fn facts(sheet: &Sheet, dice: &mut Dice) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut open: Vec<usize> = (0..sheet.checks.len()).collect();
    for _ in 0..dice.below(4) {
        let pick = dice.below(4);
        if pick == 0 && !open.is_empty() {
            let place = open.remove(dice.below(open.len()));
            let outcome = OutcomeIx::from(dice.below(sheet.checks[place].outcomes.len()));
            facts.push(Fact::Check { check: CheckIx::from(place), outcome });
        } else if pick == 1 && !open.is_empty() {
            let place = open.remove(dice.below(open.len()));
            facts.push(Fact::CouldNotTell { check: CheckIx::from(place) });
        } else if pick == 2 {
            let repair = RepairIx::from(dice.below(sheet.repairs.len()));
            facts.push(Fact::Repair { repair });
        } else {
            let proof = ProofIx::from(dice.below(sheet.proofs.len()));
            facts.push(Fact::Proof { proof, shown: dice.percent(40), exposure: None });
        }
    }
    facts
}

fn check_figures(answer: &PlanAnswer, context: &str) {
    let ends = &answer.ends;
    let sum = ends.fixed + ends.comeback + ends.passed_on;
    assert!((sum - 1.0).abs() < 1e-9, "{context}: ends sum to {sum}");
    let level = TOLERANCE * answer.expected_cost.max(1.0);
    assert!(
        (answer.cost.mean - answer.expected_cost).abs() <= level,
        "{context}: cost.mean"
    );
    assert!(
        answer.bill.mean <= answer.expected_cost + level,
        "{context}: bill above cost"
    );
    for figures in [answer.cost, answer.bill, answer.minutes] {
        assert!(figures.p10 <= figures.p50 && figures.p50 <= figures.p90, "{context}");
    }
    let total: f64 = answer.odds.iter().map(|odds| odds.p).sum();
    assert!((total - 1.0).abs() < 1e-9, "{context}: odds sum to {total}");
    for choice in &answer.choices {
        assert!(
            choice.lower_bound <= choice.expected_cost + level,
            "{context}: {choice:?}"
        );
        assert!(
            choice.expected_cost >= answer.lower_bound - level,
            "{context}: {choice:?}"
        );
    }
    for holds in &answer.holds_while {
        assert!(
            holds.from.is_none_or(|from| from <= holds.now * (1.0 + 1e-9)),
            "{context}"
        );
        assert!(holds.to.is_none_or(|to| to >= holds.now * (1.0 - 1e-9)), "{context}");
    }
}

fn compare(seed: u64, size: Size) -> Option<()> {
    compare_on(seed, &random_sheet(seed, size))
}

fn compare_on(seed: u64, text: &str) -> Option<()> {
    let sheet = reading::sheet_of(text);
    let mut dice = Dice::new(seed ^ 0x5eed);
    let facts = if dice.percent(50) { Vec::new() } else { facts(&sheet, &mut dice) };
    if weigh::weigh(&sheet, &sheet.economy, sheet.recurrence.as_ref(), &facts).is_err() {
        return None;
    }
    let mut ask = reading::ask(&sheet, &facts, &[""; 0]);
    ask.limit_states = JUDGED;
    let JudgeAnswer { cost, first, .. } = least_cost(&sheet, &ask).ok()?;
    let level = TOLERANCE * cost.max(1.0);
    for nodes in [1, 10, 100, 1_000, usize::MAX] {
        let answer = searching::searched(&sheet, &ask, nodes);
        let context = format!("seed {seed}, {nodes} states, {facts:?}");
        assert!(
            answer.lower_bound <= cost + level,
            "{context}: {} > {cost}",
            answer.lower_bound
        );
        assert!(
            answer.expected_cost >= cost - level,
            "{context}: {}",
            answer.expected_cost
        );
        check_figures(&answer, &context);
        if nodes == usize::MAX {
            assert!(answer.proven, "{context}: {answer:?}");
            assert!((answer.expected_cost - cost).abs() <= level, "{context}");
            let by_judge = match first.0.word() {
                word if word == first.1 => word.to_owned(),
                word => format!("{word}:{}", first.1),
            };
            assert_eq!(searching::first_step(&answer), by_judge, "{context}");
            assert_eq!(answer.next.way, first.2, "{context}");
        }
    }
    Some(())
}

#[test]
fn bound_judge_policy_in_this_order_and_equal_at_the_end() {
    let mut judged = 0;
    for seed in 0..800 {
        judged += usize::from(compare(seed, SMALL).is_some());
    }
    for seed in 1_000..1_250 {
        judged += usize::from(compare(seed, MIDDLE).is_some());
    }
    // Here a proof costs less than closing by rounding alone: they tie, and closing comes first.
    for seed in [202_485, 601_149] {
        judged += usize::from(compare(seed, SMALL).is_some());
    }
    assert!(judged >= 1_000, "only {judged} of 1,052 sheets were judged");
}

/// Where much costs nothing many plans tie, and many ways lead to one state.
#[test]
fn where_much_is_for_nothing_the_first_in_order_is_the_judge_s() {
    let mut judged = 0;
    for seed in 0..200 {
        let text = for_nothing(&random_sheet(seed, SMALL), seed, &FREE);
        judged += usize::from(compare_on(seed, &text).is_some());
    }
    assert!(judged >= 190, "only {judged} of 200 sheets were judged");
    // A free repair of what is ruled out comes first in order.
    let text = for_nothing(&random_sheet(1_441, SMALL), 1_441, &FREE[1..2]);
    assert!(compare_on(1_441, &text).is_some());
    // Two ways lead to one state but for rounding, and to two nodes of the search.
    let text = for_nothing(&random_sheet(7_001_458, MIDDLE), 7_001_458, &FREE);
    assert!(compare_on(7_001_458, &text).is_some());
}

#[test]
fn the_largest_sheet_gets_an_answer_and_keeps_its_tables_small() {
    // The most that a sheet may hold (design section 4); tables of the bound without an end
    // took gigabytes here.
    let size = Size { suspects: 64, items: 40, checks: 96, repairs: 96, proofs: 16 };
    let sheet = reading::sheet_of(&random_sheet(7, size));
    let ask = reading::ask(&sheet, &[], &[""; 0]);
    let answer = searching::searched(&sheet, &ask, 2_000);
    assert!(answer.lower_bound > 0.0 && answer.lower_bound <= answer.expected_cost);
    let stop = sheet.economy.comeback.min(sheet.economy.pass_on);
    assert!(
        answer.expected_cost <= stop * (1.0 + TOLERANCE),
        "no dearer than stopping now"
    );
    check_figures(&answer, "the largest sheet");
}
