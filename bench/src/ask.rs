//! What the planner and the judge are asked about a sheet as it stands before any fact.

use plan::judge::{JudgeAsk, JudgeMoves, JudgeSkips};
use plan::{Ask, Inputs, Limits, PlanAsk};
use sheet::{ItemSet, Sheet};

/// The planner's question.
///
/// # Errors
/// The sheet has no odds.
pub(crate) fn of_planner(sheet: &Sheet, limits: Limits) -> Result<PlanAsk, String> {
    let JudgeAsk { economy, odds, .. } = of_judge(sheet, 0)?;
    let inputs = Inputs::of(&economy);
    let recurrence = sheet.recurrence;
    let (off, has, without) = (ItemSet::EMPTY, None, Vec::new());
    Ok(PlanAsk {
        ask: Ask { economy, recurrence, odds, off, has, without },
        limit: None,
        language: "en".to_owned(),
        limits,
        tree: None,
        tree_shared: true,
        stats: false,
        inputs,
    })
}

/// The judge's question.
///
/// # Errors
/// The sheet has no odds.
pub(crate) fn of_judge(sheet: &Sheet, limit_states: usize) -> Result<JudgeAsk, String> {
    let economy = sheet.economy.clone();
    let odds = weigh::weigh(sheet, &economy, sheet.recurrence.as_ref(), &[])
        .map_err(|problem| problem.to_string())?;
    Ok(JudgeAsk {
        economy,
        odds,
        off: ItemSet::EMPTY,
        has: None,
        without: Vec::new(),
        limit_states,
        moves: JudgeMoves::Late,
        skips: JudgeSkips::Nothing,
    })
}
