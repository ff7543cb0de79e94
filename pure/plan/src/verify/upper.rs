//! What the plan of a certificate costs, walked through with the judge's rules.

use super::{Claim, Refusal, Rules, Step};
use crate::judge::{JudgeKind, NEGLIGIBLE, State, may};

/// Two ways to one step add distances driven in another order.
const SAME_COUNT: f64 = 1e-12;

/// Exact expected cost of a plan.
///
/// A step carries the probability of every cause that reaches it, so that ways to one step
/// add up whatever the odds are on each: a plan's cost is linear in them.
pub(crate) fn cost(rules: &Rules<'_>, steps: &[Step]) -> Result<f64, Refusal> {
    let mut reached: Vec<Option<State>> = vec![None; steps.len()];
    let Some(first) = reached.first_mut() else {
        let claim = Claim::ExpectedCost;
        return Err(Refusal::NotThere { claim, what: "a plan without a step" });
    };
    *first = Some(rules.start().state);
    let mut cost = 0.0;
    for (at, step) in steps.iter().enumerate() {
        let claim = Claim::Step(at + 1);
        let Some(mass) = reached[at].take() else {
            return Err(Refusal::NotReached { claim });
        };
        let share: f64 = mass.present.iter().sum::<f64>() + mass.fixed;
        if share <= 0.0 {
            return Err(Refusal::NotReached { claim });
        }
        let state = times(mass, share.recip());
        let Some((paid, seen)) = taken(rules, step, &state) else {
            let what = "a step that can't be taken there";
            return Err(Refusal::NotThere { claim, what });
        };
        cost += share * paid;
        if seen.len() != step.3.len() {
            let what = "another number of outcomes than the step has";
            return Err(Refusal::NotThere { claim, what });
        }
        for ((p, pay, next), to) in seen.into_iter().zip(&step.3) {
            if *to == 0 {
                // Just above the limit by rounding, the plan may have passed over it.
                if p > 2.0 * NEGLIGIBLE {
                    let what = "no step after an outcome that can come";
                    return Err(Refusal::NotThere { claim, what });
                }
                continue;
            }
            cost += share * p * pay;
            let place = usize::try_from(*to).unwrap_or(usize::MAX) - 1;
            let to_state = (place > at).then(|| reached.get_mut(place)).flatten();
            let Some(to_state) = to_state else {
                return Err(Refusal::LeadsAstray { claim, to: *to });
            };
            let next = times(next, share * p);
            *to_state = Some(match to_state.take() {
                None => next,
                Some(have) => {
                    together(have, &next).ok_or(Refusal::OtherState { claim, to: *to })?
                }
            });
        }
    }
    Ok(cost)
}

/// An outcome: its probability, what it costs, and the state after it.
type Seen = (f64, f64, State);

/// What a step costs at once and what may be seen; `None` where it can't be taken.
fn taken(rules: &Rules<'_>, step: &Step, state: &State) -> Option<(f64, Vec<Seen>)> {
    let Step(kind, id, way, _) = step;
    let judge = &rules.judge;
    let economy = &judge.ask.economy;
    let refused = |kind| judge.ask.without.contains(&(kind, 0));
    let ends = [
        (JudgeKind::Close, economy.comeback * state.present.iter().sum::<f64>()),
        (JudgeKind::PassOn, economy.pass_on),
    ];
    for (end, pay) in ends {
        if kind == end.word() {
            let there = id == kind && *way == 0 && !refused(end);
            return there.then(|| (judge.to_put_back(state.off) + pay, Vec::new()));
        }
    }
    let sheet = judge.sheet;
    let deal = judge.deals.iter().find(|deal| {
        let own = match deal.kind {
            JudgeKind::Close | JudgeKind::PassOn => return false,
            JudgeKind::Check => &sheet.checks[deal.place].id,
            JudgeKind::Repair => &sheet.repairs[deal.place].id,
            JudgeKind::Proof => &sheet.proofs[deal.place].id,
        };
        deal.kind.word() == kind && own == id
    })?;
    let demand = deal.ways.get(*way)?;
    if !may(state, deal.kind, deal.place) {
        return None;
    }
    let off = judge.lead(state.off, *demand);
    let paid = judge.moving_cost(state.off, off) + deal.pay;
    let there = State { off, ..state.clone() };
    Some((paid, judge.seen(there, (deal.kind, deal.place))))
}

fn times(mut state: State, factor: f64) -> State {
    state.present.iter_mut().for_each(|odds| *odds *= factor);
    state.held.iter_mut().for_each(|odds| *odds *= factor);
    state.fixed *= factor;
    state
}

/// Both probabilities in one, where all else is the same.
fn together(mut one: State, other: &State) -> Option<State> {
    let near = |a: f64, b: f64| (a - b).abs() <= SAME_COUNT * a.abs().max(b.abs());
    let counts = match (&one.count, &other.count) {
        (None, None) => true,
        (Some(a), Some(b)) => {
            a.ends == b.ends
                && near(a.seen, b.seen)
                && near(a.over, b.over)
                && near(a.clear, b.clear)
        }
        (Some(_), None) | (None, Some(_)) => false,
    };
    let done = |state: &State| (state.checks, state.repairs, state.proofs, state.off);
    if !counts || done(&one) != done(other) {
        return None;
    }
    let pairs = one.present.iter_mut().zip(&other.present);
    pairs.chain(one.held.iter_mut().zip(&other.held)).for_each(|(a, b)| *a += b);
    one.fixed += other.fixed;
    Some(one)
}
