//! The plan as steps of a certificate.

use crate::policy::Policy;
use crate::problem::{Kind, Problem};
use crate::verify::Step;
use crate::words::id_of;

/// The steps that are reached from `root`, which comes first; each leads to later ones.
pub(super) fn steps(problem: &Problem, policy: &Policy, root: usize) -> Vec<Step> {
    // In a policy what follows stands before the step that leads there.
    let mut number = vec![0; root + 1];
    number[root] = 1;
    let mut order = Vec::new();
    let reach = policy.reach(root);
    for at in (0..=root).rev().filter(|at| reach[*at] > 0.0) {
        order.push(at);
        number[at] = u32::try_from(order.len()).unwrap_or(u32::MAX);
    }
    order
        .into_iter()
        .map(|at| {
            let step = &policy.steps[at];
            let Some(act) = step.act.map(|place| &problem.acts[place]) else {
                let word = step.end.word().to_owned();
                return Step(word.clone(), word, 0, Vec::new());
            };
            let outcomes = act.effect.outcomes();
            let mut kids = vec![0; outcomes];
            for kid in &step.kids {
                // The verifier has it that a proof shows first, then that it stays clear.
                let outcome =
                    if act.kind == Kind::Proof { 1 - kid.outcome } else { kid.outcome };
                kids[outcome] = number[kid.step];
            }
            let id = id_of(&problem.sheet, act.kind, act.place).to_owned();
            Step(act.kind.word().to_owned(), id, act.way, kids)
        })
        .collect()
}
