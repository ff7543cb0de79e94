//! What the planner and the judge are asked about a sheet as it stands before any fact, and
//! what the planner is asked after the advised check.

use job::Fact;
use plan::judge::{JudgeAsk, JudgeMoves, JudgeSkips};
use plan::{Ask, Inputs, Limits, NextStep, PlanAsk};
use sheet::{CheckIx, ItemIx, ItemSet, OutcomeIx, Sheet};

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

/// The same after the likeliest outcome of an advised check; `None`: it is no check.
pub(crate) fn after(sheet: &Sheet, step: &NextStep, before: &PlanAsk) -> Option<PlanAsk> {
    let checks = sheet.checks.iter();
    let check = checks.map(|check| &check.id).position(|id| *id == step.id);
    let check = CheckIx::from(check.filter(|_| step.kind == "check")?);
    let outcomes = step.outcomes.iter().enumerate();
    let likeliest =
        outcomes.max_by(|(_, a), (_, b)| a.probability.total_cmp(&b.probability));
    let fact = Fact::Check { check, outcome: OutcomeIx::from(likeliest?.0) };
    let economy = &before.ask.economy;
    let odds = weigh::weigh(sheet, economy, sheet.recurrence.as_ref(), &[fact]).ok()?;
    let item = |id: &String| sheet.items.iter().position(|item| item.id == *id);
    let off = step.strip.iter().filter_map(item).map(ItemIx::from).collect();
    let mut after = before.clone();
    (after.ask.odds, after.ask.off) = (odds, off);
    Some(after)
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
