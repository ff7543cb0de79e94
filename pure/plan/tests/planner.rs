//! A planner that goes on, one that ends with the first step, and trees that tell a step once.
#![cfg(test)]

mod generator;
mod reading;
mod searching;

use std::collections::BTreeSet;
use std::sync::Arc;

use generator::{Size, random_sheet};
use job::Fact;
use plan::judge::{JudgeAsk, least_cost};
use plan::{Kept, PlanAnswer, PlanAsk, Planner, TreeStep, plan};
use sheet::{CheckIx, OutcomeIx, Sheet};

const LARGER: Size = Size { suspects: 5, items: 5, checks: 4, repairs: 5, proofs: 1 };
const SIZE: Size = Size { suspects: 4, items: 3, checks: 3, repairs: 3, proofs: 1 };
/// Less memory than the search of some of these sheets fills, bytes.
const LITTLE: usize = 8 << 20;
/// Sums in another order differ by roundings alone.
const TOLERANCE: f64 = 1e-9;

fn asked(sheet: &Sheet, facts: &[Fact]) -> (JudgeAsk, PlanAsk) {
    let ask = reading::ask(sheet, facts, &[""; 0]);
    let plan = searching::asked(&ask, sheet, usize::MAX);
    (ask, plan)
}

#[test]
fn what_was_learnt_is_kept_for_what_follows_a_fact() {
    let mut kept = 0;
    for seed in 0..40 {
        let sheet = Arc::new(reading::sheet_of(&random_sheet(seed, SIZE)));
        let (_, before) = asked(&sheet, &[]);
        let mut planner = Planner::new(Arc::clone(&sheet), &before).unwrap();
        planner.improve(&|| true);
        let first = planner.answer(&before, &|| true);
        assert!(first.proven);
        if first.next.kind != "check" {
            continue;
        }
        let place =
            sheet.checks.iter().position(|check| check.id == first.next.id).unwrap();
        for outcome in 0..first.next.outcomes.len() {
            let outcome = OutcomeIx::from(outcome);
            let fact = Fact::Check { check: CheckIx::from(place), outcome };
            let (_, mut after) = asked(&sheet, &[fact]);
            // Where the step was advised, its items are off now.
            after.ask.off = first
                .next
                .strip
                .iter()
                .map(|id| sheet.items.iter().position(|item| item.id == *id).unwrap())
                .map(sheet::ItemIx::from)
                .collect();
            kept +=
                usize::from(planner.move_on(&sheet, &after).unwrap() != Kept::Nothing);
            planner.improve(&|| true);
            let again = planner.answer(&after, &|| true);
            let fresh = plan(&sheet, &after, &|| true).unwrap();
            assert!(again.proven, "seed {seed}");
            let difference = (again.expected_cost - fresh.expected_cost).abs();
            assert!(
                difference <= TOLERANCE * fresh.expected_cost.max(1.0),
                "seed {seed}"
            );
            assert_eq!(searching::first_step(&again), searching::first_step(&fresh));
        }
    }
    assert!(kept > 20, "kept {kept} times");
}

#[test]
fn what_was_thought_about_ahead_is_there_when_it_happens() {
    let size = Size { suspects: 6, items: 5, checks: 4, repairs: 5, proofs: 1 };
    let (mut ready, mut asked_about) = (0, 0);
    for seed in 0..12 {
        let sheet = Arc::new(reading::sheet_of(&random_sheet(seed, size)));
        let (_, before) = asked(&sheet, &[]);
        let times = |most: u32| {
            let left = std::cell::Cell::new(most);
            move || {
                left.set(left.get().saturating_sub(1));
                left.get() > 0
            }
        };
        let mut planner = Planner::new(Arc::clone(&sheet), &before).unwrap();
        planner.improve(&times(2_000));
        let first = planner.answer(&before, &|| false);
        if first.next.kind != "check" {
            continue;
        }
        let enough = times(60_000);
        planner.think_ahead(&|_| enough());
        let items = |id: &String| sheet.items.iter().position(|item| item.id == *id);
        let place =
            sheet.checks.iter().position(|check| check.id == first.next.id).unwrap();
        for outcome in 0..first.next.outcomes.len() {
            let outcome = OutcomeIx::from(outcome);
            let fact = Fact::Check { check: CheckIx::from(place), outcome };
            let (_, mut after) = asked(&sheet, &[fact]);
            after.ask.off = first
                .next
                .strip
                .iter()
                .filter_map(items)
                .map(sheet::ItemIx::from)
                .collect();
            assert_eq!(planner.move_on(&sheet, &after).unwrap(), Kept::Bounds);
            asked_about += 1;
            let (_, cost) = planner.bounds();
            let best = plan(&sheet, &after, &|| true).unwrap();
            ready += usize::from(cost <= best.expected_cost * (1.0 + 1e-6));
        }
    }
    assert!(asked_about >= 10, "{asked_about} outcomes");
    assert!(
        ready * 10 >= asked_about * 8,
        "{ready} of {asked_about} outcomes were ready"
    );
}

#[test]
fn another_economy_starts_anew() {
    let sheet = Arc::new(reading::sheet_of(&random_sheet(3, SIZE)));
    let (_, before) = asked(&sheet, &[]);
    let mut planner = Planner::new(Arc::clone(&sheet), &before).unwrap();
    planner.improve(&|| true);
    let mut after = before.clone();
    after.ask.economy.comeback *= 2.0;
    assert_eq!(planner.move_on(&sheet, &after).unwrap(), Kept::Nothing);
    planner.improve(&|| true);
    // The same question again finds its own work, however little a small sheet takes.
    assert_ne!(planner.move_on(&sheet, &after).unwrap(), Kept::Nothing);
    planner.improve(&|| true);
    let fresh = plan(&sheet, &after, &|| true).unwrap();
    assert_eq!(planner.answer(&after, &|| true), fresh);
}

#[test]
fn a_first_step_that_stands_is_the_judge_s() {
    let mut early = 0;
    for seed in 0..60 {
        let sheet = reading::sheet_of(&random_sheet(seed, SIZE));
        let (judged, mut ask) = asked(&sheet, &[]);
        let Ok(least) = least_cost(&sheet, &judged) else { continue };
        ask.limits.step_only = true;
        let answer = plan(&sheet, &ask, &|| true).unwrap();
        assert!(answer.next_proven, "seed {seed}");
        assert_eq!(answer.next.id, least.first.1, "seed {seed}");
        let whole = searching::searched(&sheet, &judged, usize::MAX);
        assert!(whole.proven && whole.next_proven);
        // Cut short, the claim is made less often, but never wrongly.
        for nodes in [20, 50, 100, 200, 400] {
            ask.limits.nodes = nodes;
            let answer = plan(&sheet, &ask, &|| true).unwrap();
            if answer.next_proven {
                assert_eq!(answer.next.id, least.first.1, "seed {seed}, {nodes} states");
            }
            early += usize::from(answer.next_proven && !answer.proven);
        }
    }
    assert!(early > 0, "never ended before the cost was proven");
}

/// Acts whose worth shows only several steps ahead are found although the plan at hand does
/// not take them. Looking one step ahead is 2 to 3.5 % dearer than the best in the mean
/// (references/planner.md 3.7); the proven plan is the judge's in `search_judge.rs`.
#[test]
fn few_states_are_enough_for_a_plan_near_the_best() {
    let mut over = Vec::new();
    for seed in 0..30 {
        let sheet = reading::sheet_of(&random_sheet(seed, LARGER));
        let (judged, mut ask) = asked(&sheet, &[]);
        let best = searching::searched(&sheet, &judged, usize::MAX);
        ask.limits.nodes = 2_000;
        let mut planner = Planner::new(Arc::new(sheet), &ask).unwrap();
        planner.sketch(&|| true);
        let cost = planner.answer(&ask, &|| false).expected_cost;
        over.push(cost / best.expected_cost - 1.0);
    }
    let worst = over.iter().copied().fold(0.0, f64::max);
    let mean = over.iter().sum::<f64>() / 30.0;
    assert!(mean < 0.002 && worst < 0.02, "{mean} in the mean, {worst} at worst");
}

/// What was forgotten for want of memory is searched again: the same is proven, with more
/// states met on the way. On the last sheet the groups of causes, asked less where there is no
/// room, spare more states than are met again.
#[test]
fn with_little_memory_the_same_is_proven() {
    for (seed, again) in [(0, true), (5, true), (6, true), (17, false)] {
        let sheet = reading::sheet_of(&random_sheet(seed, LARGER));
        let (_, mut ask) = asked(&sheet, &[]);
        let ample = plan(&sheet, &ask, &|| true).unwrap();
        ask.limits.bytes = LITTLE;
        let short = plan(&sheet, &ask, &|| true).unwrap();
        assert!(ample.proven && short.proven, "seed {seed}");
        let differ = (ample.expected_cost - short.expected_cost).abs();
        assert!(differ <= TOLERANCE * ample.expected_cost, "seed {seed}: {differ}");
        assert_eq!(short.next.id, ample.next.id, "seed {seed}");
        let nodes = |answer: &PlanAnswer| answer.stats.as_ref().map_or(0, |s| s.nodes);
        let (more, enough) = (nodes(&short), nodes(&ample));
        assert!(
            more > enough || !again,
            "seed {seed}: {more} states met, {enough} where all stay"
        );
    }
}

/// Cut short where it forgot, the search still tells bounds with the best between them.
#[test]
fn with_too_little_memory_the_bounds_hold() {
    let mut cut = 0;
    for seed in 0..20 {
        let sheet = reading::sheet_of(&random_sheet(seed, LARGER));
        let (_, mut ask) = asked(&sheet, &[]);
        ask.limits.nodes = 200_000;
        let ample = plan(&sheet, &ask, &|| true).unwrap();
        (ask.limits.bytes, ask.limits.nodes) = (LITTLE.div_euclid(8), 30_000);
        let short = plan(&sheet, &ask, &|| true).unwrap();
        let rounding = TOLERANCE * ample.expected_cost;
        assert!(short.lower_bound <= ample.expected_cost + rounding, "seed {seed}");
        assert!(ample.lower_bound <= short.expected_cost + rounding, "seed {seed}");
        cut += usize::from(!short.proven);
    }
    assert!(cut > 0, "memory was enough");
}

/// However much was searched, the job moves on with what was learnt, and the bounds hold.
#[test]
fn a_search_that_filled_its_memory_is_taken_along() {
    let mut moved = 0;
    for seed in 0..12 {
        let sheet = Arc::new(reading::sheet_of(&random_sheet(seed, LARGER)));
        let (_, mut before) = asked(&sheet, &[]);
        (before.limits.bytes, before.limits.nodes) = (LITTLE.div_euclid(4), 30_000);
        let mut planner = Planner::new(Arc::clone(&sheet), &before).unwrap();
        planner.improve(&|| true);
        let first = planner.answer(&before, &|| true);
        let place = sheet.checks.iter().position(|check| check.id == first.next.id);
        let Some(place) = place.filter(|_| first.next.kind == "check") else { continue };
        let item = |id: &String| sheet.items.iter().position(|item| item.id == *id);
        let off = first.next.strip.iter().filter_map(item).map(sheet::ItemIx::from);
        let off: sheet::ItemSet = off.collect();
        for outcome in 0..first.next.outcomes.len() {
            planner.think_ahead(&|_| true);
            let outcome = OutcomeIx::from(outcome);
            let fact = Fact::Check { check: CheckIx::from(place), outcome };
            let (_, mut after) = asked(&sheet, &[fact]);
            (after.limits, after.ask.off) = (before.limits, off);
            assert_eq!(planner.move_on(&sheet, &after).unwrap(), Kept::Bounds);
            planner.improve(&|| true);
            let answer = planner.answer(&after, &|| true);
            after.limits =
                searching::asked(&asked(&sheet, &[]).0, &sheet, 200_000).limits;
            let ample = plan(&sheet, &after, &|| true).unwrap();
            let rounding = TOLERANCE * ample.expected_cost;
            assert!(answer.lower_bound <= ample.expected_cost + rounding, "seed {seed}");
            assert!(ample.lower_bound <= answer.expected_cost + rounding, "seed {seed}");
            moved += 1;
        }
    }
    assert!(moved > 10, "moved on {moved} times");
}

/// Numbers told in full, and those that are only named.
fn numbers(step: &TreeStep, told: &mut BTreeSet<usize>) {
    if step.again {
        assert!(
            told.contains(&step.number),
            "{} is named before it is told",
            step.number
        );
        assert!(step.outcomes.is_empty());
    } else if step.outcomes.is_empty() {
        assert_eq!(step.number, 0, "an end has no number");
    } else {
        assert!(told.insert(step.number), "{} is told twice", step.number);
    }
    for outcome in &step.outcomes {
        numbers(&outcome.then, told);
    }
}

fn steps(step: &TreeStep) -> usize {
    1 + step.outcomes.iter().map(|outcome| steps(&outcome.then)).sum::<usize>()
}

#[test]
fn a_shared_step_is_told_once() {
    let mut shorter = 0;
    for seed in 0..40 {
        let sheet = reading::sheet_of(&random_sheet(seed, SIZE));
        let (_, mut ask) = asked(&sheet, &[]);
        ask.tree = Some(64);
        let shared = plan(&sheet, &ask, &|| true).unwrap().tree.unwrap();
        ask.tree_shared = false;
        let whole = plan(&sheet, &ask, &|| true).unwrap().tree.unwrap();
        numbers(&shared, &mut BTreeSet::new());
        assert!(steps(&shared) <= steps(&whole));
        shorter += usize::from(steps(&shared) < steps(&whole));
    }
    assert!(shorter > 0);
}
