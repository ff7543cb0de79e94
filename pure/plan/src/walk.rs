//! Walks through the graph: each follows acts and outcomes to a state that was not expanded
//! yet, expands it and carries the bounds back.
//!
//! Those for the plan lead along the acts of the best plan known, each of which was compared
//! with all others one step ahead. Since an act may turn out cheaper only when several steps
//! are looked ahead, they are followed by walks along other acts (tries spread as by an upper
//! confidence bound: Kocsis & Szepesvari 2006, in spirit; from memory).

use std::cell::Cell;

use crate::search::Search;
use crate::state::State;

/// Walks for advice at once, before the proof is begun: so many in a turn, so many turns at
/// most, as long as a turn makes the plan cheaper by this share.
const FIRST_WALKS: u32 = 300;
const FIRST_TURNS: u32 = 10;
const FIRST_WORTH: f64 = 3e-3;
/// Expansions for the proof, for each walk of the plan: at least, and at most. Halved by a turn
/// that makes the plan cheaper by this share, else doubled.
pub(crate) const PER_WALK: (usize, usize) = (10, 100);
const WORTH: f64 = 2e-4;

/// What a walk is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Aim {
    /// Raise the lower bound: along the acts that promise most.
    Proof,
    /// Better the plan at hand: along its own acts, to its weakest end.
    Plan,
    /// Find a better plan: along acts that could become cheaper than its own, each less often
    /// the more often it was tried.
    Try,
}

impl Search {
    /// The plan's turns before the proof is begun.
    pub(crate) fn first_walks(&mut self, root: &State, keep_on: &dyn Fn() -> bool) {
        let at = self.node(root);
        for _ in 0..FIRST_TURNS {
            let was = self.bounds_of(at).high;
            let walks = Cell::new(FIRST_WALKS);
            self.sketch(root, &|| {
                walks.set(walks.get().saturating_sub(1));
                walks.get() > 0 && keep_on()
            });
            if self.bounds_of(at).high > was * (1.0 - FIRST_WORTH) {
                break;
            }
        }
    }

    /// The plan's turn after so many expansions for the proof. Returns whether it learnt
    /// anything.
    pub(crate) fn better(
        &mut self,
        root: &State,
        expansions: usize,
        keep_on: &dyn Fn() -> bool,
    ) -> bool {
        let at = self.node(root);
        let was = self.bounds_of(at).high;
        let mut learnt = false;
        for _ in 0..expansions.div_ceil(self.per_walk) {
            if !(self.open(at) && self.has_room() && keep_on()) {
                break;
            }
            learnt |= self.walk(at, root);
        }
        let pays = self.bounds_of(at).high < was * (1.0 - WORTH);
        let next = if pays { self.per_walk.div_euclid(2) } else { self.per_walk * 2 };
        self.per_walk = next.clamp(PER_WALK.0, PER_WALK.1);
        learnt
    }

    /// A walk for the plan: along its own acts, and along others where those are known to
    /// their ends.
    fn walk(&mut self, at: u32, root: &State) -> bool {
        [Aim::Plan, Aim::Try]
            .into_iter()
            .any(|aim| self.trial(at, root.clone(), None, aim))
    }

    /// Betters the plan alone, in the end along the acts that promise most: advice at once.
    pub(crate) fn sketch(&mut self, root: &State, keep_on: &dyn Fn() -> bool) {
        let at = self.node(root);
        while self.open(at)
            && self.has_room()
            && keep_on()
            && !(self.limits.step_only && self.first_step_stands(root))
            && (self.walk(at, root) || self.trial(at, root.clone(), None, Aim::Proof))
        {
        }
    }

    /// One walk from `start`, through `through` first where given. Returns whether it learnt
    /// anything.
    pub(crate) fn trial(
        &mut self,
        start: u32,
        mut state: State,
        through: Option<u32>,
        aim: Aim,
    ) -> bool {
        let mut path = vec![start];
        let mut forced = through;
        let mut learnt = false;
        loop {
            let at = path[path.len() - 1];
            if !self.graph.node(at).expanded() {
                self.expand(at, &state);
                self.open_all(at, &state);
                learnt = true;
                break;
            }
            self.open_all(at, &state);
            let edge = match forced.take() {
                Some(edge) => Some(edge),
                None => self.least_edge(at, aim),
            };
            let Some(edge) = edge else { break };
            let kid = match aim {
                Aim::Proof | Aim::Plan => self.graph.widest_kid(edge),
                Aim::Try => self.graph.try_kid(edge),
            };
            let Some(kid) = kid else { break };
            let act = self.graph.edge(edge).act;
            let Some(next) = self.step(&state, act, kid.outcome) else { break };
            self.spare.push(std::mem::replace(&mut state, next));
            path.push(kid.node);
        }
        for at in path.into_iter().rev() {
            learnt |= self.graph.refresh_all(at).moved;
        }
        learnt
    }

    /// What an outcome of an act makes of a state.
    pub(crate) fn step(
        &mut self,
        state: &State,
        act: u32,
        outcome: u32,
    ) -> Option<State> {
        let (act, outcome) = (act as usize, outcome as usize);
        let to = self.trips.trip(&self.problem, state.off, act).to;
        let mut next = self.spare.pop().unwrap_or_default();
        state.after(&self.problem.acts[act], outcome, to, &mut next)?;
        Some(next)
    }

    /// The living edge of least lower (upper, hoped) bound; its lower one is below the cost of
    /// stopping.
    fn least_edge(&mut self, at: u32, aim: Aim) -> Option<u32> {
        self.graph.refresh_all(at);
        let node = self.graph.node(at);
        let mut best: Option<(f64, u32)> = None;
        for nth in node.edges.clone() {
            let edge = self.graph.edge(nth);
            let bound = match aim {
                Aim::Proof => edge.low,
                Aim::Plan => edge.high,
                Aim::Try => edge.hoped(),
            };
            let counts = edge.alive && edge.low < node.stop;
            if counts && best.is_none_or(|(have, _)| bound < have) {
                best = Some((bound, nth));
            }
        }
        best.map(|(_, edge)| edge)
    }
}
