//! Depth-first branch and bound with a table of what was proven about each state.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::Budget;
use super::bound::Bounds;
use super::folded::{Folded, State};
use super::problem::Problem;

/// States kept in the table at most (some 200 MB; just short of where the table doubles).
const MOST_KEPT: usize = 3_600_000;
/// States between two looks at `keep_on`.
const LOOK_EVERY: u64 = 64;

/// Mixes the words of a key; the table is never walked, so its order is of no matter.
#[derive(Default)]
pub(super) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u8(&mut self, word: u8) {
        self.write_u64(u64::from(word));
    }

    fn write_u64(&mut self, word: u64) {
        let mixed = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        self.0 = mixed ^ (mixed >> 32);
    }

    fn write_u128(&mut self, word: u128) {
        let half = |part: u128| u64::try_from(part & u128::from(u64::MAX)).unwrap_or(0);
        self.write_u64(half(word));
        self.write_u64(half(word >> 64));
    }
}

/// What is known of a state: its value, or a bound on it.
#[derive(Clone, Copy)]
struct Known {
    least: i64,
    /// The group to visit next, where `least` is the value itself.
    next: Option<u8>,
}

/// The search with its table.
pub(super) struct Search<'a> {
    /// The problem, folded.
    pub folded: Folded,
    bounds: Bounds,
    budget: &'a Budget<'a>,
    known: HashMap<State, Known, BuildHasherDefault<Mix>>,
    nodes: u64,
    /// Where costs are changes of several kinds: each kind for itself, one a change.
    alone: Vec<Search<'a>>,
}

impl<'a> Search<'a> {
    /// A search that knows nothing yet.
    pub(super) fn new(problem: &Problem, budget: &'a Budget<'a>) -> Self {
        let folded = Folded::new(problem);
        let bounds = Bounds::new(problem, &folded);
        let alone = if problem.layers().len() > 1 {
            (0..problem.layers().len())
                .map(|layer| Self::new(&problem.one_layer(layer), budget))
                .collect()
        } else {
            Vec::new()
        };
        Self { folded, bounds, budget, known: HashMap::default(), nodes: 0, alone }
    }

    /// Starts the count of states again; what is known stays.
    pub(super) fn again(&mut self) {
        self.nodes = 0;
        self.alone.iter_mut().for_each(Self::again);
    }

    /// How many states were looked into.
    pub(super) fn states(&self) -> u64 {
        self.nodes + self.alone.iter().map(Self::states).sum::<u64>()
    }

    /// Whether there is time left for a broad look.
    pub(super) fn keeps_on(&self) -> bool {
        (self.budget.keep_on)()
    }

    /// The least cost from a state on, where it is at most `limit`; else a bound above
    /// `limit`. `None`: the budget ended.
    pub(super) fn value(&mut self, state: State, limit: i64) -> Option<i64> {
        if state.done == self.folded.all {
            return Some(0);
        }
        let known = self.known.get(&state).copied();
        if let Some(known) =
            known.filter(|known| known.next.is_some() || known.least > limit)
        {
            return Some(known.least);
        }
        let bound = self.bound(state);
        if bound > limit {
            return Some(bound);
        }
        self.nodes += 1;
        let look = self.nodes.is_multiple_of(LOOK_EVERY);
        if self.nodes > self.budget.nodes || (look && !(self.budget.keep_on)()) {
            return None;
        }
        let found = self.branch(state, limit)?;
        if self.known.len() < MOST_KEPT || known.is_some() {
            self.known.insert(state, found);
        }
        Some(found.least)
    }

    fn branch(&mut self, state: State, limit: i64) -> Option<Known> {
        let steps = self.folded.steps(state);
        let mut next: Vec<(i64, i64, State)> = steps
            .into_iter()
            .map(|(step, after)| (step + self.bound(after), step, after))
            .collect();
        next.sort_by_key(|&(total, _, after)| (total, after.group));
        let (mut goal, mut least, mut best) = (limit, i64::MAX, None);
        for (total, step, after) in next {
            if total > goal {
                least = least.min(total);
                break;
            }
            let value = step + self.value(after, goal - step)?;
            if value <= goal {
                best = Some(Known { least: value, next: Some(after.group) });
                goal = value - 1;
            } else {
                least = least.min(value);
            }
        }
        Some(best.unwrap_or(Known { least, next: None }))
    }

    /// A cost that no completion of the state stays below.
    pub(super) fn bound(&mut self, state: State) -> i64 {
        if let Some(known) = self.known.get(&state) {
            return known.least;
        }
        let last = self.folded.head(state.group);
        let alone = &mut self.alone;
        self.bounds.at(&self.folded, state, |layer| {
            alone.get_mut(layer).and_then(|search| search.least(state.done, last))
        })
    }

    /// The least cost from here on, whatever it is: `done` and the node that came last.
    fn least(&mut self, done: u128, last: Option<usize>) -> Option<i64> {
        let state = match last {
            Some(node) => self.folded.visit(done, self.folded.group_of(node)),
            None => State::START,
        };
        let mut limit = self.bound(state);
        loop {
            let value = self.value(state, limit)?;
            if value <= limit {
                return Some(value);
            }
            limit = value;
        }
    }

    /// The visits of a best path from a state whose value is known; `None` where the table
    /// was full.
    pub(super) fn visits(&self, mut state: State) -> Option<Vec<u8>> {
        let mut visits = Vec::new();
        while state.done != self.folded.all {
            let group = self.known.get(&state)?.next?;
            visits.push(group);
            state = self.folded.visit(state.done, group);
        }
        Some(visits)
    }
}
