//! The two-bound anytime search on the acyclic graph of histories.
//!
//! A trial walks from the root: the act of least lower bound, then the outcome whose gap
//! weighs most; it expands the state it ends in and carries both bounds back up (AO*/FRTDP
//! family: references/planner.md 3.8). States are not stored: a walk makes them anew from the
//! state that it starts in.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::ops::Range;

use rustc_hash::FxHasher;

use crate::corner::Corners;
use crate::problem::{Kind, Problem};
use crate::state::{State, Trips, tie};
use crate::tail::{Move, tail};

/// When the search must end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Relative gap that is good enough.
    pub gap: f64,
    /// Most states that are kept.
    pub nodes: usize,
}

/// What a walk is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Aim {
    /// Raise the lower bound: along the acts that promise most.
    Proof,
    /// Better the plan at hand: along its own acts, to its weakest end.
    Plan,
}

/// A state met: its bounds, and its edges once expanded.
#[derive(Debug, Clone)]
struct Node {
    low: f64,
    high: f64,
    /// Cost of the cheaper end.
    stop: f64,
    edges: Range<u32>,
    expanded: bool,
}

/// An act from a state.
#[derive(Debug, Clone)]
pub(crate) struct Edge {
    /// Place in the problem's acts.
    pub(crate) act: usize,
    /// Trip, pay and extra.
    cost: f64,
    kids: Range<u32>,
    /// Not yet shown to be dearer than the best.
    alive: bool,
}

/// An outcome of an act.
#[derive(Debug, Clone, Copy)]
struct Kid {
    p: f64,
    node: u32,
    outcome: usize,
}

/// Bounds of one choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) low: f64,
    pub(crate) high: f64,
}

/// What an update saw: the act of least lower bound below the cost of stopping, and how far
/// the next best is.
#[derive(Debug, Clone, Copy)]
struct View {
    moved: bool,
    best: Option<u32>,
    least: f64,
    second: f64,
}

/// What a part of the search may still do.
struct Allowance<'k> {
    expansions: u32,
    keep_on: &'k dyn Fn() -> bool,
}

impl Allowance<'_> {
    /// One expansion, where it is still allowed.
    fn take(&mut self) -> bool {
        self.expansions = if (self.keep_on)() { self.expansions } else { 0 };
        let allowed = self.expansions > 0;
        self.expansions = self.expansions.saturating_sub(1);
        allowed
    }
}

/// Expansions for the proof before the plan has its turn.
const FOR_PROOF: u32 = 64;
/// Walks for the plan then.
const FOR_PLAN: usize = 32;
/// Share of a state's gap that its best outcome may close before the others are looked at.
const PATIENCE: f64 = 0.05;

/// What the search has learnt.
#[derive(Debug)]
pub(crate) struct Search<'a> {
    pub(crate) problem: &'a Problem<'a>,
    pub(crate) trips: Trips,
    corners: Corners,
    nodes: Vec<Node>,
    edges: Vec<Edge>,
    kids: Vec<Kid>,
    index: HashMap<u128, u32, BuildHasherDefault<FxHasher>>,
    limits: Limits,
}

impl<'a> Search<'a> {
    pub(crate) fn new(problem: &'a Problem<'a>, limits: Limits) -> Self {
        Self {
            problem,
            trips: Trips::default(),
            corners: Corners::new(problem),
            nodes: Vec::new(),
            edges: Vec::new(),
            kids: Vec::new(),
            index: HashMap::default(),
            limits,
        }
    }

    /// Improves both bounds of `root` until the gap is closed, the limits are reached or
    /// `keep_on` says no: so many expansions for the proof, then some walks for the plan.
    pub(crate) fn improve(&mut self, root: &State, keep_on: &dyn Fn() -> bool) {
        let at = self.node(root);
        while self.open(at) && self.nodes.len() < self.limits.nodes && keep_on() {
            let mut left = Allowance { expansions: FOR_PROOF, keep_on };
            let mut learnt = self.dig(at, root, f64::INFINITY, &mut left);
            for _ in 0..FOR_PLAN {
                if self.open(at) && keep_on() {
                    learnt |= self.trial(at, root.clone(), None, Aim::Plan);
                }
            }
            if !learnt {
                return;
            }
        }
    }

    /// Works on a state until its lower bound reaches `until`, its gap is closed or no
    /// expansion is `left`. Best first as a walk from the root would be, but it stays where
    /// it is as long as nothing elsewhere promises more (thresholds as in depth-first
    /// proof-number search, Nagai 2002; from memory). Returns whether it learnt anything.
    fn dig(
        &mut self,
        at: u32,
        state: &State,
        until: f64,
        left: &mut Allowance<'_>,
    ) -> bool {
        let mut learnt = false;
        if !self.nodes[at as usize].expanded {
            if !left.take() {
                return false;
            }
            self.expand(at, state);
            learnt = true;
        }
        loop {
            let view = self.update(at);
            learnt |= view.moved;
            let Node { low, high, .. } = self.nodes[at as usize];
            if left.expansions == 0
                || low >= until
                || high - low <= 0.1 * self.enough(high)
            {
                return learnt;
            }
            let Some(edge) = view.best else { return learnt };
            let Some(kid) = self.widest_kid(edge) else { return learnt };
            let act = self.edges[edge as usize].act;
            let Some(next) = self.step(state, act, kid.outcome) else { return learnt };
            let room = (until.min(view.second) - view.least).max(PATIENCE * (high - low));
            let kid_until = self.nodes[kid.node as usize].low + room / kid.p;
            if !self.dig(kid.node, &next, kid_until, left) {
                return learnt;
            }
            learnt = true;
        }
    }

    /// The gap that counts as closed.
    fn enough(&self, high: f64) -> f64 {
        tie(high).max(self.limits.gap * high.max(1e-9))
    }

    fn open(&self, at: u32) -> bool {
        let node = &self.nodes[at as usize];
        node.high - node.low > self.enough(node.high)
    }

    /// Settles which acts of `state` tie with the best: each that comes earlier in order is
    /// shown to tie or to be dearer.
    pub(crate) fn settle(&mut self, state: &State, keep_on: &dyn Fn() -> bool) {
        let at = self.node(state);
        for edge in self.nodes[at as usize].edges.clone() {
            loop {
                let level = self.level(at);
                let bounds = self.edge_bounds(edge);
                let undecided = bounds.low <= level && bounds.high > level;
                let room = self.nodes.len() < self.limits.nodes;
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

    /// The policy's move in a state: the first act in tie order that costs no more than the
    /// best known, else what the plain tail does.
    pub(crate) fn best_act(&mut self, state: &State) -> Move {
        let known = self.index.get(&state.fingerprint()).copied();
        if let Some(at) = known.filter(|at| self.nodes[*at as usize].expanded) {
            let level = self.level(at);
            let node = &self.nodes[at as usize];
            if node.stop <= level {
                return Move::Stop;
            }
            let first =
                node.edges.clone().find(|edge| self.edge_bounds(*edge).high <= level);
            if let Some(edge) = first {
                return Move::Act(self.edges[edge as usize].act);
            }
        }
        tail(self.problem, &mut self.trips, state).1
    }

    /// Costs up to here tie with the best known of a state.
    fn level(&self, at: u32) -> f64 {
        let high = self.nodes[at as usize].high;
        high + tie(high)
    }

    /// Bounds of a state.
    pub(crate) fn bounds(&mut self, state: &State) -> Bounds {
        let at = self.node(state);
        let node = &self.nodes[at as usize];
        Bounds { low: node.low, high: node.high }
    }

    /// Every act of an expanded state with its bounds.
    pub(crate) fn choices(&mut self, state: &State) -> Vec<(usize, Bounds)> {
        let at = self.node(state);
        if !self.nodes[at as usize].expanded {
            self.expand(at, state);
            self.update(at);
        }
        let edges = self.nodes[at as usize].edges.clone();
        edges
            .map(|edge| (self.edges[edge as usize].act, self.edge_bounds(edge)))
            .collect()
    }

    /// How many states are kept.
    pub(crate) fn size(&self) -> usize {
        self.nodes.len()
    }

    /// One walk from `start`, through `through` first where given. Returns whether it learnt
    /// anything.
    fn trial(
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
            if !self.nodes[at as usize].expanded {
                self.expand(at, &state);
                learnt = true;
                break;
            }
            let edge = match forced.take() {
                Some(edge) => Some(edge),
                None => self.least_edge(at, aim),
            };
            let Some(edge) = edge else { break };
            let Some(kid) = self.widest_kid(edge) else { break };
            let act = self.edges[edge as usize].act;
            let Some(next) = self.step(&state, act, kid.outcome) else { break };
            state = next;
            path.push(kid.node);
        }
        for at in path.into_iter().rev() {
            learnt |= self.update(at).moved;
        }
        learnt
    }

    fn step(&mut self, state: &State, act: usize, outcome: usize) -> Option<State> {
        let to = self.trips.trip(self.problem, state.off, act).to;
        let mut branches = state.branches(&self.problem.acts[act], to).into_iter();
        branches.find(|branch| branch.outcome == outcome).map(|branch| branch.state)
    }

    /// The living edge of least lower (upper) bound, where it is below the cost of stopping.
    fn least_edge(&self, at: u32, aim: Aim) -> Option<u32> {
        let node = &self.nodes[at as usize];
        let mut best: Option<(f64, u32)> = None;
        for edge in node.edges.clone().filter(|edge| self.edges[*edge as usize].alive) {
            let bounds = self.edge_bounds(edge);
            let bound = match aim {
                Aim::Proof => bounds.low,
                Aim::Plan => bounds.high,
            };
            if bounds.low < node.stop && best.is_none_or(|(have, _)| bound < have) {
                best = Some((bound, edge));
            }
        }
        best.map(|(_, edge)| edge)
    }

    /// The outcome whose gap weighs most.
    fn widest_kid(&self, edge: u32) -> Option<Kid> {
        let mut best: Option<(f64, Kid)> = None;
        for kid in self.kids_of(edge) {
            let node = &self.nodes[kid.node as usize];
            let weight = kid.p * (node.high - node.low);
            if weight > 0.0 && best.is_none_or(|(have, _)| weight > have) {
                best = Some((weight, *kid));
            }
        }
        best.map(|(_, kid)| kid)
    }

    fn kids_of(&self, edge: u32) -> &[Kid] {
        let kids = &self.edges[edge as usize].kids;
        &self.kids[kids.start as usize..kids.end as usize]
    }

    fn edge_bounds(&self, edge: u32) -> Bounds {
        let cost = self.edges[edge as usize].cost;
        let mut bounds = Bounds { low: cost, high: cost };
        for kid in self.kids_of(edge) {
            let node = &self.nodes[kid.node as usize];
            bounds.low += kid.p * node.low;
            bounds.high += kid.p * node.high;
        }
        bounds
    }

    /// Carries bounds from the edges to their state; drops acts that are surely dearer.
    fn update(&mut self, at: u32) -> View {
        let Node { low: was_low, high: was_high, stop, edges, expanded } =
            self.nodes[at as usize].clone();
        let mut view =
            View { moved: false, best: None, least: stop, second: f64::INFINITY };
        if !expanded {
            return view;
        }
        let mut high = stop.min(was_high);
        let dear = was_high + 2.0 * tie(was_high);
        for edge in edges {
            if !self.edges[edge as usize].alive {
                continue;
            }
            let bounds = self.edge_bounds(edge);
            high = high.min(bounds.high);
            if bounds.low < view.least {
                view.second = view.least;
                view.least = bounds.low;
                view.best = Some(edge);
            } else {
                view.second = view.second.min(bounds.low);
            }
            self.edges[edge as usize].alive = bounds.low <= dear;
        }
        let node = &mut self.nodes[at as usize];
        node.high = high;
        // Rounding alone may put the lower bound a hair above: it never is.
        node.low = view.least.max(was_low).min(high);
        view.moved = node.low > was_low || node.high < was_high;
        view
    }

    /// The node of a state, made with its first bounds where it is new.
    fn node(&mut self, state: &State) -> u32 {
        let key = state.fingerprint();
        if let Some(at) = self.index.get(&key) {
            return *at;
        }
        let stop = state.stop(self.problem, &self.trips).1;
        let low = self.corners.bound(self.problem, &mut self.trips, state);
        let mut high = stop;
        if low < high - tie(high) {
            high = high.min(tail(self.problem, &mut self.trips, state).0);
        }
        let at = u32::try_from(self.nodes.len()).unwrap_or(u32::MAX);
        self.nodes.push(Node {
            low: low.min(high),
            high,
            stop,
            edges: 0..0,
            expanded: false,
        });
        self.index.insert(key, at);
        at
    }

    fn expand(&mut self, at: u32, state: &State) {
        let first_edge = self.edges.len();
        for place in 0..self.problem.acts.len() {
            let act = &self.problem.acts[place];
            if !state.allows(act) {
                continue;
            }
            let trip = self.trips.trip(self.problem, state.off, place);
            let cost = trip.cost + act.pay + state.extra(self.problem, act);
            let first_kid = self.kids.len();
            let branches = state.branches(act, trip.to);
            let nodes: Vec<Kid> = branches
                .iter()
                .map(|branch| Kid {
                    p: branch.p,
                    node: self.node(&branch.state),
                    outcome: branch.outcome,
                })
                .collect();
            self.kids.extend(nodes);
            let kids = range(first_kid, self.kids.len());
            self.edges.push(Edge { act: place, cost, kids, alive: true });
        }
        let node = &mut self.nodes[at as usize];
        node.edges = range(first_edge, self.edges.len());
        node.expanded = true;
    }
}

fn range(from: usize, to: usize) -> Range<u32> {
    u32::try_from(from).unwrap_or(u32::MAX)..u32::try_from(to).unwrap_or(u32::MAX)
}

/// The end that a state stops in.
pub(crate) fn end_of(search: &Search<'_>, state: &State) -> (Kind, f64) {
    state.stop(search.problem, &search.trips)
}
