//! Place by place: all states that may still lead below the goal, each once, with a bound on
//! what the widest search left out.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use super::folded::bits;
use super::meter::Meter;
use super::problem::Problem;
use super::relax::Relax;
use super::search::Mix;

/// States between two looks at the budget.
const LOOK_EVERY: usize = 256;

/// What is done and what was last, with the cheapest way there.
#[derive(Clone, Copy)]
struct Reached {
    done: u128,
    last: u8,
    cost: i64,
    /// No order through here costs less, in units.
    bound: i64,
    from: u32,
}

impl Reached {
    fn key(&self) -> (i64, u128, u8) {
        (self.bound, self.done, self.last)
    }
}

/// What a search by places found.
pub(super) struct Swept {
    /// An order cheaper than the goal, where one was met.
    pub better: Option<Vec<usize>>,
    /// No order costs less.
    pub lower_bound: i64,
}

/// The search with its width.
pub(super) struct Sweep<'a> {
    problem: &'a Problem,
    relax: &'a Relax<'a>,
    goal: i64,
    width: usize,
    /// The least bound of what was left out, in units.
    left_out: i64,
}

type Layer = HashMap<(u128, u8), Reached, BuildHasherDefault<Mix>>;

impl<'a> Sweep<'a> {
    /// A search for orders cheaper than `goal` with at most `width` states a place.
    pub(super) fn new(
        problem: &'a Problem,
        relax: &'a Relax<'a>,
        (goal, width): (i64, usize),
    ) -> Self {
        Self { problem, relax, goal, width, left_out: i64::MAX }
    }

    /// Searches; `None` where the budget ended.
    pub(super) fn run(mut self, meter: &mut Meter<'_>) -> Option<Swept> {
        let mut layer = self.firsts();
        let mut trail: Vec<Vec<(u8, u32)>> = Vec::new();
        for place in 1..self.problem.len() {
            let next = self.next(place, &layer, meter)?;
            trail.push(layer.iter().map(|state| (state.last, state.from)).collect());
            layer = next;
        }
        let units = self.relax.units;
        let most = self.left_out.min(self.goal.saturating_mul(units));
        // The first unit at or above: costs are whole.
        let unseen = most.saturating_add(units - 1).div_euclid(units).min(self.goal);
        let least = layer.iter().min_by_key(|state| (state.cost, state.key()));
        let better = least.filter(|state| state.cost < self.goal);
        Some(Swept {
            lower_bound: better.map_or(unseen, |state| state.cost.min(unseen)),
            better: better.map(|state| traced(&trail, state)),
        })
    }

    fn firsts(&self) -> Vec<Reached> {
        let prices = self.relax.prices();
        let state = |node: usize| {
            let cost = self.problem.start(node);
            let done = 1 << node;
            let rest = self.relax.rest((0, node), done)?;
            let bound = cost * self.relax.units + rest + prices - self.relax.price(node);
            Some(Reached { done, last: u8::try_from(node).ok()?, cost, bound, from: 0 })
        };
        bits(self.relax.firsts()).filter_map(state).collect()
    }

    /// All states at a place.
    fn next(
        &mut self,
        place: usize,
        layer: &[Reached],
        meter: &mut Meter<'_>,
    ) -> Option<Vec<Reached>> {
        let mut next = Layer::default();
        let mut most = (self.goal - 1) * self.relax.units;
        for (from, state) in (0_u32..).zip(layer) {
            if usize::try_from(from).is_ok_and(|at| at.is_multiple_of(LOOK_EVERY))
                && !meter.spend(u64::try_from(LOOK_EVERY).unwrap_or(0))
            {
                return None;
            }
            let open =
                (0..self.problem.len()).filter(|&node| state.done >> node & 1 == 0);
            let prices: i64 = open.map(|node| self.relax.price(node)).sum();
            let last = usize::from(state.last);
            let may = self.relax.onward(place - 1, last) & !state.done;
            for node in bits(may) {
                if self.problem.before(node) & !state.done != 0 {
                    continue;
                }
                let done = state.done | 1 << node;
                let Some(rest) = self.relax.rest((place, node), done) else { continue };
                let cost = state.cost + self.problem.cost(last, node);
                let bound =
                    cost * self.relax.units + rest + prices - self.relax.price(node);
                let bound = bound.max(state.bound);
                if bound > most {
                    if bound <= (self.goal - 1) * self.relax.units {
                        self.left_out = self.left_out.min(bound);
                    }
                    continue;
                }
                let Ok(last) = u8::try_from(node) else { continue };
                let reached = Reached { done, last, cost, bound, from };
                let slot = next.entry((done, last)).or_insert(reached);
                if cost < slot.cost {
                    *slot = reached;
                }
            }
            if next.len() > 2 * self.width {
                let kept = self.kept(next);
                most = kept.last().map_or(most, |state| state.bound);
                next = kept
                    .into_iter()
                    .map(|state| ((state.done, state.last), state))
                    .collect();
            }
        }
        Some(self.kept(next))
    }

    /// The most promising states, no more than the width, most promising first.
    fn kept(&mut self, states: Layer) -> Vec<Reached> {
        let mut states: Vec<Reached> = states.into_values().collect();
        states.sort_unstable_by_key(Reached::key);
        if let Some(first) = states.get(self.width) {
            self.left_out = self.left_out.min(first.bound);
            states.truncate(self.width);
        }
        states
    }
}

/// The nodes from the first to this state.
fn traced(trail: &[Vec<(u8, u32)>], end: &Reached) -> Vec<usize> {
    let mut nodes = vec![usize::from(end.last)];
    let mut from = end.from;
    for layer in trail.iter().rev() {
        let Some(&(last, before)) = layer.get(usize::try_from(from).unwrap_or(0)) else {
            break;
        };
        nodes.push(usize::from(last));
        from = before;
    }
    nodes.reverse();
    nodes
}
