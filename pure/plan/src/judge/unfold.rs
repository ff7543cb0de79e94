//! A small sheet written out as an explicit finite decision process, for any general-purpose
//! solver of such processes: every state that can be reached, every step, every outcome.

use std::collections::VecDeque;

use rustc_hash::FxHashMap;
use sheet::Sheet;

use super::state::{Key, NEGLIGIBLE, State, key, may};
use super::{Judge, JudgeAsk, JudgeError};

/// Transitions that are written out at most: some 240 MB.
pub const TRANSITIONS_MAX: usize = 20_000_000;

/// A job as states, steps, costs and transitions. State 0 is the one that is asked about.
///
/// Undiscounted: the least cost of a state is the least, over its steps, of the step's cost
/// and the mean of the least costs that it leads to. A step without transitions ends the job.
/// The probabilities of a step sum to 1 but for branches of at most 1e-12, which are dropped.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfolded {
    /// By state: how far on the job is. Every transition leads to a higher rank, so the
    /// process has no cycle, and no job has more steps than the highest rank and one.
    pub ranks: Vec<u32>,
    /// By step: the state that it is taken in, rising; every state has at least one.
    pub from: Vec<usize>,
    /// By step: its expected cost at once, money.
    pub costs: Vec<f64>,
    /// By step and one more: where its transitions begin in `to` and `chances`.
    pub starts: Vec<usize>,
    /// By transition: the state that it leads to.
    pub to: Vec<usize>,
    /// By transition: its probability.
    pub chances: Vec<f64>,
}

/// Writes out every state that any policy can reach from what is asked about, at most
/// `ask.limit_states` of them. Passes over nothing: `ask.skips` does not matter.
///
/// # Errors
/// [`JudgeError`], as [`super::least_cost`] has it; `TooLarge` also beyond
/// [`TRANSITIONS_MAX`].
pub fn unfold(sheet: &Sheet, ask: &JudgeAsk) -> Result<Unfolded, JudgeError> {
    let (judge, first) = Judge::at_first(sheet, ask)?;
    if judge.ends(&first).is_empty() {
        return Err(JudgeError::NoEnd);
    }
    let base = rank(sheet, &first);
    let mut writer = Writer {
        places: FxHashMap::default(),
        waiting: VecDeque::new(),
        limit: ask.limit_states,
        out: Unfolded {
            ranks: Vec::new(),
            from: Vec::new(),
            costs: Vec::new(),
            starts: vec![0],
            to: Vec::new(),
            chances: Vec::new(),
        },
    };
    writer.place(first, 0)?;
    let mut from = 0;
    while let Some(state) = writer.waiting.pop_front() {
        for end in judge.ends(&state) {
            writer.step(from, end.cost);
        }
        for deal in &judge.deals {
            if !may(&state, deal.kind, deal.place) {
                continue;
            }
            for way in &deal.ways {
                for (off, moving) in judge.positions(state.off, *way) {
                    let there = State { off, ..state.clone() };
                    let mut cost = moving + deal.pay;
                    for (p, pay, next) in judge.seen(there, (deal.kind, deal.place)) {
                        if p > NEGLIGIBLE {
                            cost += p * pay;
                            let rank = rank(sheet, &next).saturating_sub(base);
                            writer.transition(p, next, rank)?;
                        }
                    }
                    writer.step(from, cost);
                }
            }
        }
        from += 1;
    }
    Ok(writer.out)
}

/// Checks and repairs gone, and the proofs since the latest change: a check or repair goes at
/// most once and outweighs all proofs that it opens again.
fn rank(sheet: &Sheet, state: &State) -> u32 {
    let proofs = u32::try_from(sheet.proofs.len()).unwrap_or(u32::MAX);
    let gone = state.checks.count_ones() + state.repairs.count_ones();
    gone.saturating_mul(proofs.saturating_add(1))
        .saturating_add(state.proofs.count_ones())
}

/// What is written so far, and the states whose steps are still to be written.
struct Writer {
    places: FxHashMap<Key, usize>,
    waiting: VecDeque<State>,
    limit: usize,
    out: Unfolded,
}

impl Writer {
    /// The place of a state; a new one waits for its steps.
    fn place(&mut self, state: State, rank: u32) -> Result<usize, JudgeError> {
        let key = key(&state);
        if let Some(place) = self.places.get(&key) {
            return Ok(*place);
        }
        let place = self.out.ranks.len();
        if place >= self.limit {
            return Err(JudgeError::TooLarge { what: "states", limit: self.limit });
        }
        self.places.insert(key, place);
        self.waiting.push_back(state);
        self.out.ranks.push(rank);
        Ok(place)
    }

    /// A transition of the step that is written next.
    fn transition(&mut self, p: f64, next: State, rank: u32) -> Result<(), JudgeError> {
        if self.out.to.len() >= TRANSITIONS_MAX {
            let limit = TRANSITIONS_MAX;
            return Err(JudgeError::TooLarge { what: "transitions", limit });
        }
        let to = self.place(next, rank)?;
        self.out.to.push(to);
        self.out.chances.push(p);
        Ok(())
    }

    /// Ends a step: its transitions are those written since the last.
    fn step(&mut self, from: usize, cost: f64) {
        self.out.from.push(from);
        self.out.costs.push(cost);
        self.out.starts.push(self.out.to.len());
    }
}
