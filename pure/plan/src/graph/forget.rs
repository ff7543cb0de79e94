//! What is forgotten when memory is short: what follows from acts that neither promise much
//! nor are the plan's. The lower bounds of their outcomes stay, so that what they showed is
//! not lost, and what follows from them is searched anew should they promise most again (as
//! in memory-bounded best-first search: Chakrabarti et al. 1989, Russell 1992; from memory).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::{Edge, Graph, Kid, Node, Stage, place};
use crate::state::tie;

/// States that are remembered, in hundredths of all.
const KEPT: usize = 70;

/// What is remembered of a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Memory {
    Nothing,
    /// Its lower bound.
    Bound,
    /// What follows from it too.
    Whole,
}

impl Graph {
    /// Forgets what helps least on the way from `root` on; places of states are others then.
    pub(crate) fn forget(&mut self, root: u32) {
        let memory = self.worth_keeping(root, self.nodes.len().div_euclid(100) * KEPT);
        self.keep(&memory);
    }

    /// Forgets all acts: every state keeps its bounds, and what they rest on is there as soon as
    /// it is asked for more.
    pub(crate) fn forget_acts(&mut self) {
        (self.edges, self.kids) = (Vec::new(), Vec::new());
        for node in &mut self.nodes {
            node.edges = 0..0;
            if node.stage == Stage::Expanded {
                node.stage = Stage::Followed;
            }
        }
    }

    /// Forgets all states.
    pub(crate) fn forget_states(&mut self) {
        *self = Self { forgotten: self.met(), ..Self::default() };
    }

    /// What to remember of each state, about so many in all: what follows from `root` along the
    /// acts of the plan and those that promise nearly as much as the best, as a share of the
    /// gap of their state; and the bounds of the outcomes of the others.
    fn worth_keeping(&mut self, root: u32, most: usize) -> Vec<Memory> {
        let mut memory = vec![Memory::Nothing; self.nodes.len()];
        memory[root as usize] = Memory::Bound;
        let mut count = 1;
        // The nearest first: numbers from 0 on stand in the order of their bits.
        let mut next = BinaryHeap::from([Reverse((0.0_f64.to_bits(), root))]);
        while let Some(Reverse((far, at))) = next.pop() {
            let far = f64::from_bits(far);
            // What the plan does is needed to tell it.
            if count > most && far > 0.0 {
                break;
            }
            if memory[at as usize] == Memory::Whole {
                continue;
            }
            memory[at as usize] = Memory::Whole;
            let least = self.refresh_all(at).least;
            let Node { high, edges, .. } = self.node(at).clone();
            let level = high + tie(high);
            let plan = edges.clone().find(|edge| self.edge(*edge).high <= level);
            for edge in edges {
                let Edge { low, alive, .. } = *self.edge(edge);
                let planned = Some(edge) == plan;
                // Every act of the first step may be told of.
                if !(planned || alive || at == root) {
                    continue;
                }
                let nearest = planned || low <= least;
                let far =
                    far.max(if nearest { 0.0 } else { (low - least) / (high - least) });
                for kid in self.kids_of(edge) {
                    let known = &mut memory[kid.node as usize];
                    count += usize::from(*known == Memory::Nothing);
                    if !self.node(kid.node).expanded() {
                        // Nothing follows from it yet.
                        *known = Memory::Whole;
                    } else if *known < Memory::Whole {
                        *known = Memory::Bound;
                        next.push(Reverse((far.to_bits(), kid.node)));
                    }
                }
            }
        }
        memory
    }

    /// Keeps what is remembered, each table in its own memory: there is no room for others.
    fn keep(&mut self, memory: &[Memory]) {
        let places = places(memory);
        let met = self.met();
        self.keep_edges(memory);
        self.keep_kids(&places);
        let mut remembered = memory.iter();
        self.nodes.retain_mut(|node| match remembered.next() {
            Some(Memory::Whole) => true,
            Some(Memory::Bound) => {
                node.lose_what_follows();
                true
            }
            Some(Memory::Nothing) | None => false,
        });
        self.nodes.shrink_to_fit();
        self.forgotten = met - self.nodes.len();
        self.index.clear();
        self.index.shrink_to_fit(|_| 0);
        self.index.reserve(self.nodes.len(), |_| 0);
        for (at, node) in (0..).zip(&self.nodes) {
            let nodes = &self.nodes;
            let hash = |at: &u32| nodes[*at as usize].key.hash();
            self.index.insert_unique(node.key.hash(), at, hash);
        }
    }

    /// Keeps the acts of the states that are remembered whole, in the order in which they lie.
    fn keep_edges(&mut self, memory: &[Memory]) {
        let whole = (0..).zip(&self.nodes).zip(memory);
        let whole =
            whole.filter(|((_, node), m)| node.expanded() && **m == Memory::Whole);
        let order = by_start(whole.map(|((at, node), _)| (node.edges.start, at)));
        let mut end = 0;
        for at in order {
            let edges = self.nodes[at].edges.clone();
            let first = end;
            for edge in edges {
                self.edges.swap(end, edge as usize);
                end += 1;
            }
            self.nodes[at].edges = place(first)..place(end);
        }
        self.edges.truncate(end);
        self.edges.shrink_to_fit();
    }

    /// Keeps the outcomes of the acts that are there; an act loses its outcomes where one of
    /// them is forgotten.
    fn keep_kids(&mut self, places: &[u32]) {
        let open = (0..).zip(&self.edges).filter(|(_, edge)| edge.open);
        let order = by_start(open.map(|(at, edge)| (edge.kids.start, at)));
        let mut end = 0;
        for edge in order {
            let edge = &mut self.edges[edge];
            let kids = edge.kids.start as usize..edge.kids.end as usize;
            let known = |kid: &Kid| places[kid.node as usize] < u32::MAX;
            edge.open &= self.kids[kids.clone()].iter().all(known);
            let first = end;
            for kid in kids.filter(|_| edge.open) {
                let Kid { p, node, outcome } = self.kids[kid];
                self.kids[end] = Kid { p, node: places[node as usize], outcome };
                end += 1;
            }
            // An empty place far behind would not be one in a shorter table.
            edge.kids = if edge.open { place(first)..place(end) } else { 0..0 };
        }
        self.kids.truncate(end);
        self.kids.shrink_to_fit();
    }
}

/// Places in the order in which what belongs to them begins.
fn by_start(begins: impl Iterator<Item = (u32, u32)>) -> Vec<usize> {
    let mut order: Vec<(u32, u32)> = begins.collect();
    order.sort_unstable();
    order.into_iter().map(|(_, at)| at as usize).collect()
}

/// Where each state will lie that is remembered.
fn places(memory: &[Memory]) -> Vec<u32> {
    let mut next = 0;
    let places = memory.iter().map(|memory| {
        if *memory == Memory::Nothing {
            return u32::MAX;
        }
        next += 1;
        next - 1
    });
    places.collect()
}

impl Node {
    /// Keeps the lower bound alone: the plain policy is followed from the state anew.
    fn lose_what_follows(&mut self) {
        (self.high, self.edges, self.stage) = (self.stop, 0..0, Stage::Met);
    }
}
