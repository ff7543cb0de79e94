//! The judge's question put to the search.

use plan::judge::JudgeAsk;
use plan::{Ask, Inputs, Limits, PlanAnswer, PlanAsk, plan};
use sheet::Sheet;

/// The search's answer to the judge's question, with at most so many states.
pub(crate) fn searched(sheet: &Sheet, ask: &JudgeAsk, nodes: usize) -> PlanAnswer {
    plan(sheet, &asked(ask, sheet, nodes), &|| true).unwrap()
}

/// The judge's question as the planner is asked.
pub(crate) fn asked(ask: &JudgeAsk, sheet: &Sheet, nodes: usize) -> PlanAsk {
    let JudgeAsk { economy, odds, off, has, without, .. } = ask.clone();
    assert!(without.is_empty(), "refusals are named in another way here");
    let inputs = Inputs::of(&economy);
    let recurrence = sheet.recurrence;
    PlanAsk {
        ask: Ask { economy, recurrence, odds, off, has, without: Vec::new() },
        limit: None,
        language: "en".to_owned(),
        limits: Limits { gap: 0.0, nodes, bytes: usize::MAX, step_only: false },
        tree: None,
        tree_shared: true,
        stats: true,
        inputs,
    }
}

/// `kind:id`, or the kind alone for the two ends.
pub(crate) fn first_step(answer: &PlanAnswer) -> String {
    if answer.next.kind == answer.next.id {
        answer.next.kind.clone()
    } else {
        format!("{}:{}", answer.next.kind, answer.next.id)
    }
}
