//! What the search says of a state: its best act, what else could be done, and whether the
//! first step stands.

use crate::graph::Bounds;
use crate::search::Search;
use crate::state::{State, tie};
use crate::tail::Move;
use crate::walk::Aim;

impl Search {
    /// Whether the best known first step of a state is proven: no other act nor an end can be
    /// cheaper, and what comes earlier in order is dearer.
    pub(crate) fn first_step_stands(&mut self, state: &State) -> bool {
        let at = self.node(state);
        if !self.open(at) {
            return true;
        }
        self.graph.refresh_all(at);
        let level = self.level(at);
        let node = self.graph.node(at);
        let mut edges = node.edges.clone();
        let Some(best) = edges.find(|edge| self.graph.edge(*edge).high <= level) else {
            return false;
        };
        let high = self.graph.edge(best).high;
        let mut rivals = node.edges.clone().filter(|edge| *edge != best);
        node.stop > high + tie(high)
            && rivals.all(|rival| {
                let low = self.graph.edge(rival).low;
                if rival < best { low > high + tie(high) } else { low >= high }
            })
    }

    /// Settles which acts of the state at a node tie with the best: each that comes earlier in
    /// order is shown to tie or to be dearer.
    pub(crate) fn settle(&mut self, at: u32, state: &State, keep_on: &dyn Fn() -> bool) {
        if !self.graph.node(at).expanded() && keep_on() {
            self.expand(at, state);
            self.open_all(at, state);
        }
        for edge in self.graph.node(at).edges.clone() {
            loop {
                self.graph.refresh(edge);
                let level = self.level(at);
                let known = self.graph.edge(edge);
                let undecided = known.low <= level && known.high > level;
                let room = self.has_room();
                if !undecided
                    || !room
                    || !keep_on()
                    || !self.trial(at, state.clone(), Some(edge), Aim::Proof)
                {
                    break;
                }
            }
        }
    }

    /// The policy's move in a state, whose node is known where it was met: the first act in
    /// tie order that costs no more than the best known, else what the plain tail does.
    pub(crate) fn best_act(&mut self, node: Option<u32>, state: &State) -> Move {
        if let Some(at) = node.filter(|at| self.graph.node(*at).expanded()) {
            self.graph.refresh_all(at);
            let level = self.level(at);
            let node = self.graph.node(at);
            if node.stop <= level {
                return Move::Stop;
            }
            let mut edges = node.edges.clone();
            if let Some(edge) = edges.find(|edge| self.graph.edge(*edge).high <= level) {
                return Move::Act(self.graph.edge(edge).act as usize);
            }
        }
        let stop = state.stop(&self.problem, &self.trips).1;
        self.tail.best(&self.problem, &mut self.trips, state, stop).1
    }

    /// The node that an outcome of an act leads to from a node. The way there, not the odds:
    /// a rounding away they may be those of another node, which knows less.
    pub(crate) fn kid(&self, at: u32, act: usize, outcome: usize) -> Option<u32> {
        let mut edges = self.graph.node(at).edges.clone();
        let edge = edges.find(|edge| self.graph.edge(*edge).act as usize == act)?;
        let mut kids = self.graph.kids_of(edge).iter();
        kids.find(|kid| kid.outcome as usize == outcome).map(|kid| kid.node)
    }

    /// Costs up to here tie with the best known of a state.
    fn level(&self, at: u32) -> f64 {
        let high = self.graph.node(at).high;
        high + tie(high)
    }

    /// Every act of an expanded state with its bounds.
    pub(crate) fn choices(&mut self, state: &State) -> Vec<(usize, Bounds)> {
        let at = self.node(state);
        if !self.graph.node(at).expanded() {
            self.expand(at, state);
        }
        self.open_all(at, state);
        self.graph.refresh_all(at);
        let edges = self.graph.node(at).edges.clone();
        edges
            .map(|edge| {
                let edge = self.graph.edge(edge);
                (edge.act as usize, Bounds { low: edge.low, high: edge.high })
            })
            .collect()
    }
}
