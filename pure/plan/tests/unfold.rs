//! A sheet written out as an explicit process is the same problem: a plain backward induction
//! over what is written gives the judge's least cost.
#![cfg(test)]

mod generator;
mod reading;

use generator::{Size, random_sheet};
use plan::judge::{
    JudgeAsk, JudgeError, JudgeKind, JudgeMoves, JudgeSkips, Unfolded, least_cost, unfold,
};

/// Both sides round sums of some hundreds of products, grouped differently.
const TOLERANCE: f64 = 1e-9;
/// Most states; a sheet beyond that is left out (and counted).
const STATES: usize = 60_000;

const SMALLEST: Size = Size { suspects: 2, items: 2, checks: 2, repairs: 2, proofs: 1 };
const SMALL: Size = Size { suspects: 3, items: 3, checks: 2, repairs: 2, proofs: 2 };

/// The least cost of state 0, from the last rank to the first.
fn by_backward_induction(process: &Unfolded) -> f64 {
    let states = process.ranks.len();
    let mut order: Vec<usize> = (0..states).collect();
    order.sort_by_key(|state| std::cmp::Reverse(process.ranks[*state]));
    let mut steps: Vec<Vec<usize>> = vec![Vec::new(); states];
    for (step, from) in process.from.iter().enumerate() {
        steps[*from].push(step);
    }
    let mut least = vec![f64::INFINITY; states];
    for state in order {
        for &step in &steps[state] {
            let mut cost = process.costs[step];
            for at in process.starts[step]..process.starts[step + 1] {
                cost += process.chances[at] * least[process.to[at]];
            }
            least[state] = least[state].min(cost);
        }
    }
    least[0]
}

/// What any reader of a process may rely on.
fn well_formed(process: &Unfolded, context: &str) {
    let (states, steps) = (process.ranks.len(), process.from.len());
    assert_eq!(process.costs.len(), steps, "{context}");
    assert_eq!(process.starts.len(), steps + 1, "{context}");
    assert_eq!(process.starts[steps], process.to.len(), "{context}");
    assert_eq!(process.chances.len(), process.to.len(), "{context}");
    assert!(process.from.is_sorted(), "{context}");
    let mut with_steps = process.from.clone();
    with_steps.dedup();
    assert!(with_steps.into_iter().eq(0..states), "{context}: a state without steps");
    for step in 0..steps {
        let own = process.starts[step]..process.starts[step + 1];
        let total: f64 = process.chances[own.clone()].iter().sum();
        assert!(own.is_empty() || (total - 1.0).abs() < 1e-9, "{context}: {total}");
        let from = process.ranks[process.from[step]];
        let rises = |at: usize| process.ranks[process.to[at]] > from;
        assert!(own.clone().all(rises), "{context}: a step does not lead on");
        assert!(process.costs[step].is_finite(), "{context}");
    }
}

fn compare(seed: u64, size: Size, ask_as: impl Fn(JudgeAsk) -> JudgeAsk) -> bool {
    let sheet = reading::sheet_of(&random_sheet(seed, size));
    let ask =
        ask_as(JudgeAsk { limit_states: STATES, ..reading::ask(&sheet, &[], &[""; 0]) });
    let Ok(process) = unfold(&sheet, &ask) else { return false };
    let context = format!("seed {seed}");
    well_formed(&process, &context);
    let cost = by_backward_induction(&process);
    let judged = least_cost(&sheet, &ask).unwrap().cost;
    let level = TOLERANCE * judged.max(1.0);
    assert!((cost - judged).abs() <= level, "{context}: {cost}, by the judge {judged}");
    true
}

#[test]
fn backward_induction_over_what_is_written_gives_the_least_cost() {
    let mut compared = 0;
    for seed in 0..150 {
        compared += usize::from(compare(seed, SMALLEST, |ask| ask));
    }
    for seed in 200..240 {
        compared += usize::from(compare(seed, SMALL, |ask| ask));
    }
    assert!(compared >= 150, "only {compared} of 190 sheets were written out");
}

#[test]
fn the_judge_that_passes_over_nothing_knows_the_same_states() {
    for seed in 0..40 {
        let sheet = reading::sheet_of(&random_sheet(seed, SMALLEST));
        let skips = JudgeSkips::Nothing;
        let ask = JudgeAsk { skips, ..reading::ask(&sheet, &[], &[""; 0]) };
        let process = unfold(&sheet, &ask).unwrap();
        // The judge does not remember the state that is asked about.
        let remembered = least_cost(&sheet, &ask).unwrap().states;
        assert_eq!(process.ranks.len(), remembered + 1, "seed {seed}");
    }
}

#[test]
fn free_moves_and_refused_ends_are_written_too() {
    let free = |ask| JudgeAsk { moves: JudgeMoves::Free, ..ask };
    let no_close = |ask| JudgeAsk { without: vec![(JudgeKind::Close, 0)], ..ask };
    let mut compared = 0;
    for seed in 0..25 {
        compared += usize::from(compare(seed, SMALLEST, free));
        compared += usize::from(compare(seed, SMALLEST, no_close));
    }
    assert!(compared >= 40, "only {compared} of 50 sheets were written out");
}

#[test]
fn too_many_states_and_no_end_are_errors() {
    let sheet = reading::sheet_of(&random_sheet(1, SMALL));
    let ask = reading::ask(&sheet, &[], &[""; 0]);
    let few = JudgeAsk { limit_states: 3, ..ask.clone() };
    let error = unfold(&sheet, &few).unwrap_err();
    assert_eq!(error, JudgeError::TooLarge { what: "states", limit: 3 });
    let without = vec![(JudgeKind::Close, 0), (JudgeKind::PassOn, 0)];
    let error = unfold(&sheet, &JudgeAsk { without, ..ask }).unwrap_err();
    assert_eq!(error, JudgeError::NoEnd);
}
