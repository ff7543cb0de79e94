//! The states met by the search, their acts and outcomes, in flat tables.

mod forget;

use std::ops::Range;

use hashbrown::HashTable;

use crate::corner::Place;
use crate::state::tie;

/// A state met: its bounds, and its edges once expanded.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Cost of the cheaper end.
    pub(crate) stop: f64,
    key: Key,
    pub(crate) edges: Range<u32>,
    /// The corners' lines that hold here.
    pub(crate) lines: Place,
    /// How often the search came by.
    pub(crate) visits: u32,
    /// How often a walk tried what follows from here.
    tries: u16,
    /// How often the groups were asked: next when so many doublings of visits are reached.
    pub(crate) asked: u8,
    pub(crate) stage: Stage,
}

/// How far a state was looked into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stage {
    /// Its lower bound and the cost of stopping are known.
    Met,
    /// The plain policy was followed from here.
    Followed,
    /// Its acts are there.
    Expanded,
}

impl Node {
    pub(crate) fn expanded(&self) -> bool {
        self.stage == Stage::Expanded
    }
}

/// An act from a state.
#[derive(Debug, Clone)]
pub(crate) struct Edge {
    /// Place in the problem's acts.
    pub(crate) act: u32,
    kids: Range<u32>,
    /// Trip, pay and extra.
    cost: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// How often a walk tried it.
    tries: u16,
    /// Not yet shown to be dearer than the best.
    pub(crate) alive: bool,
    /// Whether its outcomes were entered.
    pub(crate) open: bool,
}

impl Edge {
    /// What the act may come to cost: part of its gap is hoped to be won, the less the more
    /// often it was tried.
    pub(crate) fn hoped(&self) -> f64 {
        self.high - HOPE * (self.high - self.low) / (1.0 + f64::from(self.tries) / WEARY)
    }
}

/// Part of an act's gap that is hoped to be won before it was ever tried, and how many tries
/// halve that: on a seeded 14-suspect sheet plans came out 15 % cheaper than by following the
/// best known acts alone. With 2,000 states, plans of 60 seeded sheets are at worst 1.0 % above the
/// best for a hope of 0.4, and 1.9 % or more for 0.3 and 0.5.
const HOPE: f64 = 0.4;
const WEARY: f64 = 16.0;

/// An outcome of an act.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kid {
    pub(crate) p: f64,
    pub(crate) node: u32,
    pub(crate) outcome: u32,
}

/// Bounds of a state or of one choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) low: f64,
    pub(crate) high: f64,
}

/// What an update saw: the act of least lower bound below the cost of stopping, and how far
/// the next best is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    pub(crate) moved: bool,
    pub(crate) best: Option<u32>,
    pub(crate) least: f64,
    pub(crate) second: f64,
}

/// 96 bits of a state's fingerprint: two states among a billion meet with 1e-11.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Key([u32; 3]);

impl Key {
    fn of(fingerprint: u128) -> Self {
        let bytes = fingerprint.to_le_bytes();
        let word = |at: usize| {
            let mut part = [0; 4];
            part.copy_from_slice(&bytes[at..at + 4]);
            u32::from_le_bytes(part)
        };
        Self([word(0), word(4), word(8)])
    }

    /// Fingerprints are mixed already.
    fn hash(self) -> u64 {
        u64::from(self.0[1]) << 32 | u64::from(self.0[0])
    }
}

/// States, acts and outcomes.
#[derive(Debug, Default)]
pub(crate) struct Graph {
    pub(crate) nodes: Vec<Node>,
    pub(crate) edges: Vec<Edge>,
    kids: Vec<Kid>,
    /// Places of the nodes, by their keys.
    index: HashTable<u32>,
    /// How many states were forgotten.
    forgotten: usize,
}

impl Graph {
    /// How many states were met.
    pub(crate) fn met(&self) -> usize {
        self.nodes.len() + self.forgotten
    }

    /// Memory taken, bytes.
    pub(crate) fn bytes(&self) -> usize {
        self.tables() + self.index.allocation_size()
    }

    /// Memory that the next state may take at most, bytes: every table grows at once. The index
    /// doubles, and is there twice meanwhile.
    pub(crate) fn growth(&self) -> usize {
        self.tables().div_ceil(GROWTH) + 2 * self.index.allocation_size()
    }

    fn tables(&self) -> usize {
        self.nodes.capacity() * size_of::<Node>()
            + self.edges.capacity() * size_of::<Edge>()
            + self.kids.capacity() * size_of::<Kid>()
    }

    /// The node of a fingerprint, where the state was met.
    pub(crate) fn find(&self, fingerprint: u128) -> Option<u32> {
        let key = Key::of(fingerprint);
        self.index.find(key.hash(), |at| self.node(*at).key == key).copied()
    }

    /// Enters a state that was not met before.
    pub(crate) fn enter(
        &mut self,
        fingerprint: u128,
        (bounds, stage): (Bounds, Stage),
        (stop, lines): (f64, Place),
    ) -> u32 {
        let at = place(self.nodes.len());
        let key = Key::of(fingerprint);
        make_room(&mut self.nodes, 1);
        self.nodes.push(Node {
            low: bounds.low.min(bounds.high),
            high: bounds.high,
            stop,
            key,
            edges: 0..0,
            lines,
            visits: 0,
            tries: 0,
            asked: 0,
            stage,
        });
        let nodes = &self.nodes;
        self.index.insert_unique(key.hash(), at, |at| nodes[*at as usize].key.hash());
        at
    }

    pub(crate) fn node(&self, at: u32) -> &Node {
        &self.nodes[at as usize]
    }

    pub(crate) fn node_mut(&mut self, at: u32) -> &mut Node {
        &mut self.nodes[at as usize]
    }

    pub(crate) fn edge(&self, edge: u32) -> &Edge {
        &self.edges[edge as usize]
    }

    pub(crate) fn kids_of(&self, edge: u32) -> &[Kid] {
        let kids = &self.edges[edge as usize].kids;
        &self.kids[kids.start as usize..kids.end as usize]
    }

    /// Adds an act to the state that is being expanded, with the lower bound that is at hand
    /// while its outcomes are not entered.
    pub(crate) fn add_edge(&mut self, act: usize, cost: f64, (low, alive): (f64, bool)) {
        make_room(&mut self.edges, 1);
        self.edges.push(Edge {
            act: place(act),
            kids: 0..0,
            cost,
            low,
            high: f64::INFINITY,
            tries: 0,
            alive,
            open: false,
        });
    }

    /// Gives an act its outcomes.
    pub(crate) fn open(&mut self, edge: u32, kids: &[Kid]) {
        let first = place(self.kids.len());
        make_room(&mut self.kids, kids.len());
        self.kids.extend_from_slice(kids);
        let kids = first..place(self.kids.len());
        let opened = &mut self.edges[edge as usize];
        (opened.kids, opened.open) = (kids, true);
        self.refresh(edge);
    }

    /// Closes the expansion that began when there were `first` edges.
    pub(crate) fn close_expansion(&mut self, at: u32, first: usize) {
        let edges = place(first)..place(self.edges.len());
        let node = self.node_mut(at);
        node.edges = edges;
        node.stage = Stage::Expanded;
    }

    /// Bounds of an act from those of its outcomes; whether the lower one moved.
    pub(crate) fn refresh(&mut self, edge: u32) -> bool {
        let Edge { cost, open, .. } = self.edges[edge as usize];
        if !open {
            return false;
        }
        let (mut low, mut high) = (cost, cost);
        for kid in self.kids_of(edge) {
            let node = &self.nodes[kid.node as usize];
            low += kid.p * node.low;
            high += kid.p * node.high;
        }
        let edge = &mut self.edges[edge as usize];
        let moved = edge.low.to_bits() != low.to_bits();
        (edge.low, edge.high) = (low, high);
        moved
    }

    /// Bounds of all living acts of a state anew, then its own.
    pub(crate) fn refresh_all(&mut self, at: u32) -> View {
        for edge in self.node(at).edges.clone() {
            if self.edges[edge as usize].alive {
                self.refresh(edge);
            }
        }
        self.update(at)
    }

    /// Carries bounds from the acts to their state; drops acts that are surely dearer.
    pub(crate) fn update(&mut self, at: u32) -> View {
        let Node { low: was_low, high: was_high, stop, edges, stage, .. } =
            self.nodes[at as usize].clone();
        let mut view =
            View { moved: false, best: None, least: stop, second: f64::INFINITY };
        if stage != Stage::Expanded {
            return view;
        }
        let mut high = stop.min(was_high);
        let dear = was_high + 2.0 * tie(was_high);
        let first = edges.start;
        let range = edges.start as usize..edges.end as usize;
        for (nth, edge) in (first..).zip(&mut self.edges[range]) {
            if !edge.alive {
                continue;
            }
            high = high.min(edge.high);
            if edge.low < view.least {
                view.second = view.least;
                view.least = edge.low;
                view.best = Some(nth);
            } else {
                view.second = view.second.min(edge.low);
            }
            edge.alive = edge.low <= dear;
        }
        let node = self.node_mut(at);
        node.high = high;
        // Rounding alone may put the lower bound a hair above: it never is.
        node.low = view.least.max(was_low).min(high);
        view.moved = node.low > was_low || node.high < was_high;
        view
    }

    /// The outcome whose gap weighs most.
    pub(crate) fn widest_kid(&self, edge: u32) -> Option<Kid> {
        self.heaviest_kid(edge, |_| 1.0)
    }

    /// The same, where an outcome weighs less the more often it was tried; counts the try.
    pub(crate) fn try_kid(&mut self, edge: u32) -> Option<Kid> {
        let kid = self.heaviest_kid(edge, |node| 1.0 + f64::from(node.tries))?;
        let tries = &mut self.edges[edge as usize].tries;
        *tries = tries.saturating_add(1);
        let tries = &mut self.node_mut(kid.node).tries;
        *tries = tries.saturating_add(1);
        Some(kid)
    }

    fn heaviest_kid(&self, edge: u32, over: fn(&Node) -> f64) -> Option<Kid> {
        let mut best: Option<(f64, Kid)> = None;
        for kid in self.kids_of(edge) {
            let node = &self.nodes[kid.node as usize];
            let weight = kid.p * (node.high - node.low) / over(node);
            if weight > 0.0 && best.is_none_or(|(have, _)| weight > have) {
                best = Some((weight, *kid));
            }
        }
        best.map(|(_, kid)| kid)
    }
}

/// A full table grows by one part in so many, a short one doubles.
pub(crate) const GROWTH: usize = 8;
/// Entries of a short table.
const SHORT: usize = 16_384;

/// Room for so many more. Doubling would leave half of the memory that is allowed to no use.
pub(crate) fn make_room<T>(table: &mut Vec<T>, more: usize) {
    if table.capacity() - table.len() < more {
        let next = table.len().div_ceil(GROWTH).max(table.len().min(SHORT));
        table.reserve_exact(next.max(more));
    }
}

fn place(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
