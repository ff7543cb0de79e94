//! The two-bound anytime search on the acyclic graph of histories.
//!
//! It goes where the act of least lower bound leads, into the outcome whose gap weighs most,
//! expands the state that it ends in and carries both bounds back up (AO*/FRTDP family:
//! references/planner.md 3.8). States are not stored: a walk makes them anew from the state
//! that it starts in.

use std::sync::Arc;

use crate::corner::{Corners, Place};
use crate::graph::{Bounds, Graph, Kid, Node, Stage};
use crate::groups::{self, Group};
use crate::partition;
use crate::problem::{Kind, Problem};
use crate::state::{State, Trips, tie};
use crate::tail::Tail;
use crate::walk::PER_WALK;

/// When the search must end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Relative gap that is good enough.
    pub gap: f64,
    /// Most states that are met.
    pub nodes: usize,
    /// Most memory for them, bytes.
    pub bytes: usize,
    /// Whether to end as soon as the best first step is proven, its cost or not.
    pub step_only: bool,
}

/// What a part of the search may still do.
#[derive(Clone, Copy)]
pub(crate) struct Allowance<'k> {
    pub(crate) expansions: u32,
    pub(crate) keep_on: &'k dyn Fn() -> bool,
}

/// A bound as far as it is known.
pub(crate) const NOTHING_MORE: Allowance<'static> =
    Allowance { expansions: 0, keep_on: &|| false };

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
/// One part in so many of the memory is for what is not counted: small tables, the allocator.
const UNSEEN: usize = 8;
/// Fillings of the memory that may leave the bounds as they were before the search ends.
const FILLINGS: u32 = 4;
/// Share of a state's gap that its best outcome may close before the others are looked at.
const PATIENCE: f64 = 0.02;
/// Expansions that each group gets for a visit to a state, paid out when visits double.
const FOR_GROUPS: u32 = 3;
/// The most at a time.
const MOST_FOR_GROUPS: u32 = 5_000;

/// What the search has learnt.
#[derive(Debug)]
pub(crate) struct Search {
    pub(crate) problem: Arc<Problem>,
    pub(crate) trips: Trips,
    corners: Corners,
    pub(crate) groups: Vec<Group>,
    pub(crate) graph: Graph,
    pub(crate) tail: Tail,
    /// An outcome's state and an act's outcomes while they are worked out.
    next: State,
    kids: Vec<Kid>,
    /// States that are no longer needed.
    pub(crate) spare: Vec<State>,
    /// Expansions so far.
    expansions: usize,
    /// After so many expansions for the proof a walk for the plan.
    pub(crate) per_walk: usize,
    pub(crate) limits: Limits,
    /// Whether the plain policy is followed only from states that are come by: enough where
    /// no plan is asked for.
    pub(crate) late: bool,
    /// Whether what helps least is forgotten where memory is short.
    pub(crate) forgets: bool,
}

impl Search {
    pub(crate) fn new(problem: Arc<Problem>, limits: Limits) -> Self {
        Self {
            trips: Trips::default(),
            corners: Corners::new(&problem),
            groups: Vec::new(),
            graph: Graph::default(),
            tail: Tail::default(),
            next: State::default(),
            kids: Vec::new(),
            spare: Vec::new(),
            expansions: 0,
            per_walk: PER_WALK.0,
            limits,
            late: false,
            forgets: true,
            problem,
        }
    }

    /// Improves both bounds of `root` until the gap is closed, the limits are reached or
    /// `keep_on` says no: so many expansions for the proof, then some walks for the plan.
    pub(crate) fn improve(&mut self, root: &State, keep_on: &dyn Fn() -> bool) {
        let mut at = self.node(root);
        if self.groups.is_empty() {
            self.first_walks(root, keep_on);
        }
        if self.open(at) && self.groups.is_empty() {
            let largest = partition::largest(self.problem.causes());
            self.groups = groups::parted(self, root, (largest, keep_on));
        }
        let most = self.limits.bytes.div_euclid(2);
        self.groups.iter_mut().for_each(|group| group.limit(most));
        let (mut filled_at, mut in_vain) = (None, 0);
        while self.open(at) && keep_on() {
            if !self.has_room() {
                let bounds = Some(self.bounds_of(at));
                in_vain = if filled_at == bounds { in_vain + 1 } else { 0 };
                filled_at = bounds;
                if in_vain == FILLINGS || !self.forget(at) {
                    return;
                }
                at = self.node(root);
            }
            if self.limits.step_only && self.first_step_stands(root) {
                return;
            }
            let before = self.work();
            let mut left = Allowance { expansions: FOR_PROOF, keep_on };
            let mut learnt = self.dig(at, root, f64::INFINITY, &mut left);
            learnt |= self.better(root, self.work() - before, keep_on);
            if !learnt {
                return;
            }
        }
    }

    /// Forgets what helps least: how the groups' bounds were found, where these take most, or
    /// their states where that is not enough, for what they showed is known; and what follows
    /// from acts that promise little. Returns whether that made room; places of states are
    /// others then.
    fn forget(&mut self, root: u32) -> bool {
        if !self.forgets || self.size() >= self.limits.nodes {
            return false;
        }
        let of_groups =
            |groups: &[Group]| -> usize { groups.iter().map(Group::bytes).sum() };
        if of_groups(&self.groups) > self.graph.bytes() {
            self.groups.iter_mut().for_each(Group::forget_acts);
        }
        if of_groups(&self.groups) > self.limits.bytes.div_euclid(2) {
            self.groups.iter_mut().for_each(Group::forget_states);
        }
        self.graph.forget(root);
        self.has_room()
    }

    /// Keeps what follows from a state, and of that what helps most, in so much memory, bytes,
    /// as far as that can be.
    pub(crate) fn keep_from(&mut self, root: &State, bytes: usize) {
        let mut before = usize::MAX;
        while self.bytes() > bytes && self.bytes() < before {
            before = self.bytes();
            let at = self.node(root);
            self.forget(at);
        }
    }

    /// A lower bound of a state, worked out as far as is allowed.
    pub(crate) fn low(&mut self, state: &State, allowed: Allowance<'_>) -> f64 {
        let at = self.node(state);
        let mut left = allowed;
        while left.expansions > 0 && self.open(at) {
            if !self.dig(at, state, f64::INFINITY, &mut left) {
                break;
            }
        }
        self.graph.node(at).low
    }

    /// Has the groups of the cause told in this search's bounds.
    pub(crate) fn tell(&mut self, groups: Vec<Group>) {
        self.groups = groups;
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
        if self.follow_tail(at, state) {
            // Another outcome may weigh more now.
            return true;
        }
        let mut learnt = self.ask_groups(at, state, left.keep_on);
        if !self.graph.node(at).expanded() {
            if learnt && self.graph.node(at).low >= until {
                return true;
            }
            if !left.take() {
                return learnt;
            }
            self.expand(at, state);
            learnt = true;
        }
        let mut view = self.graph.refresh_all(at);
        loop {
            learnt |= view.moved;
            let Bounds { low, high } = self.bounds_of(at);
            if left.expansions == 0
                || low >= until
                || high - low <= 0.1 * self.enough(high)
            {
                return learnt;
            }
            let Some(edge) = view.best else { return learnt };
            if !self.graph.edge(edge).open {
                self.open_edge(at, edge, state);
                view = self.graph.update(at);
                learnt = true;
                continue;
            }
            // Outcomes may have been met on other ways since.
            if self.graph.refresh(edge) {
                view = self.graph.update(at);
                continue;
            }
            let Some(kid) = self.graph.widest_kid(edge) else { return learnt };
            let act = self.graph.edge(edge).act;
            let Some(next) = self.step(state, act, kid.outcome) else { return learnt };
            let room = (until.min(view.second) - view.least).max(PATIENCE * (high - low));
            let kid_until = self.graph.node(kid.node).low + room / kid.p;
            let more = self.dig(kid.node, &next, kid_until, left);
            self.spare.push(next);
            self.graph.refresh(edge);
            view = self.graph.update(at);
            if !more {
                return learnt;
            }
            learnt = true;
            self.ask_groups(at, state, left.keep_on);
        }
    }

    /// The plain policy's cost as the upper bound of a state that is come by for the first
    /// time; whether that is lower than what was known.
    fn follow_tail(&mut self, at: u32, state: &State) -> bool {
        let node = self.graph.node_mut(at);
        let &mut Node { stage, low, high, .. } = node;
        if stage != Stage::Met {
            return false;
        }
        node.stage = Stage::Followed;
        if high - low <= tie(high) {
            return false;
        }
        let cost = self.tail.best(&self.problem, &mut self.trips, state, high).0;
        let node = self.graph.node_mut(at);
        node.high = cost;
        node.low = low.min(cost);
        cost < high
    }

    /// Counts a visit; where visits have doubled, raises the lower bound by what the groups
    /// say after as much more work. Returns whether it rose.
    fn ask_groups(&mut self, at: u32, state: &State, keep_on: &dyn Fn() -> bool) -> bool {
        if self.groups.is_empty() {
            return false;
        }
        let node = self.graph.node_mut(at);
        node.visits = node.visits.saturating_add(1);
        if node.visits >> node.asked == 0 || node.high - node.low <= tie(node.high) {
            return false;
        }
        let expansions = node.visits.saturating_mul(FOR_GROUPS).min(MOST_FOR_GROUPS);
        // One question may take much memory.
        if !self.has_room() {
            return false;
        }
        let node = self.graph.node_mut(at);
        node.asked = node.asked.saturating_add(1).min(31);
        let low = self.by_groups(state, Allowance { expansions, keep_on });
        let node = self.graph.node_mut(at);
        let rises = low > node.low;
        if rises {
            node.low = low.min(node.high);
        }
        rises
    }

    /// A lower bound from telling the group of the cause, each group searched as far as is
    /// allowed.
    fn by_groups(&mut self, state: &State, each: Allowance<'_>) -> f64 {
        let (mut told, mut sum) = (0.0, 0.0);
        for group in &mut self.groups {
            if let Some((share, cost)) = group.cost(&self.trips, state, each) {
                told += share;
                sum += share * cost;
            }
        }
        sum + (1.0 - told).max(0.0) * self.trips.refit_all(state.off)
    }

    /// The gap that counts as closed.
    fn enough(&self, high: f64) -> f64 {
        tie(high).max(self.limits.gap * high.max(1e-9))
    }

    pub(crate) fn open(&self, at: u32) -> bool {
        let Bounds { low, high } = self.bounds_of(at);
        high - low > self.enough(high)
    }

    pub(crate) fn bounds_of(&self, at: u32) -> Bounds {
        let node = self.graph.node(at);
        Bounds { low: node.low, high: node.high }
    }

    /// Bounds of a state.
    pub(crate) fn bounds(&mut self, state: &State) -> Bounds {
        let at = self.node(state);
        self.bounds_of(at)
    }

    /// Whether the limits leave room.
    pub(crate) fn has_room(&self) -> bool {
        self.size() < self.limits.nodes && self.needs() < self.limits.bytes
    }

    /// Memory that must be allowed for one more state, bytes.
    pub(crate) fn needs(&self) -> usize {
        let counted = self.bytes() + self.growth();
        counted.div_ceil(UNSEEN - 1).saturating_mul(UNSEEN)
    }

    /// Memory that the next states may take, bytes: the tables of the states grow, and of the
    /// others the largest, for they take turns.
    pub(crate) fn growth(&self) -> usize {
        let others = [self.trips.bytes(), self.corners.growth()];
        let groups = self.groups.iter().map(Group::growth);
        self.graph.growth() + groups.chain(others).max().unwrap_or(0)
    }

    /// Memory of the states, bytes.
    pub(crate) fn bytes(&self) -> usize {
        self.graph.bytes()
            + self.trips.bytes()
            + self.corners.bytes()
            + self.groups.iter().map(Group::bytes).sum::<usize>()
    }

    /// Expansions so far, those of the groups included.
    pub(crate) fn work(&self) -> usize {
        self.expansions + self.groups.iter().map(Group::work).sum::<usize>()
    }

    /// How many states were met, those of the groups included.
    pub(crate) fn size(&self) -> usize {
        let groups: usize = self.groups.iter().map(Group::size).sum();
        self.graph.met() + groups
    }

    /// The node of a state, made with its first bounds where it is new.
    pub(crate) fn node(&mut self, state: &State) -> u32 {
        let fingerprint = state.fingerprint();
        if let Some(at) = self.graph.find(fingerprint) {
            return at;
        }
        let lines = self.corners.spot(&self.problem, &mut self.trips, state);
        self.enter(state, fingerprint, lines)
    }

    /// A node for a state that is new.
    fn enter(&mut self, state: &State, fingerprint: u128, lines: Place) -> u32 {
        let stop = state.stop(&self.problem, &self.trips).1;
        let (mut low, mut high) = (self.corners.at(&self.trips, lines, state), stop);
        if low < high - tie(high) {
            if !self.late {
                high = self.tail.best(&self.problem, &mut self.trips, state, stop).0;
            }
            if !self.groups.is_empty() && low < high - tie(high) {
                low = low.max(self.by_groups(state, NOTHING_MORE));
            }
        }
        let stage = if self.late { Stage::Met } else { Stage::Followed };
        self.graph.enter(fingerprint, (Bounds { low, high }, stage), (stop, lines))
    }

    /// Gives a state its acts, each with the corners' bound: an act's outcomes are entered
    /// when it promises most.
    pub(crate) fn expand(&mut self, at: u32, state: &State) {
        let problem = Arc::clone(&self.problem);
        let first = self.graph.edges.len();
        self.expansions += 1;
        let high = self.graph.node(at).high;
        let dear = high + 2.0 * tie(high);
        let mut next = std::mem::take(&mut self.next);
        let from = self.graph.node(at).lines;
        for (place, act) in problem.acts.iter().enumerate() {
            if !state.allows(act) {
                continue;
            }
            let trip = self.trips.trip(&problem, state.off, place);
            let cost = trip.cost + act.pay + state.extra(&problem, act);
            let mut low = cost;
            let mut corner = None;
            for outcome in 0..act.effect.outcomes() {
                let Some(p) = state.after(act, outcome, trip.to, &mut next) else {
                    continue;
                };
                // All outcomes leave the same things off and done.
                let spot = *corner.get_or_insert_with(|| {
                    let way = (from, place);
                    self.corners.spot_after(&problem, &mut self.trips, way, &next)
                });
                low += p * self.corners.at(&self.trips, spot, &next);
            }
            self.graph.add_edge(place, cost, (low, low <= dear));
        }
        self.next = next;
        self.graph.close_expansion(at, first);
    }

    /// Enters the outcomes of an act, where they are not there yet.
    pub(crate) fn open_edge(&mut self, at: u32, edge: u32, state: &State) {
        let (open, place) = {
            let edge = self.graph.edge(edge);
            (edge.open, edge.act as usize)
        };
        if open {
            return;
        }
        let problem = Arc::clone(&self.problem);
        let act = &problem.acts[place];
        let to = self.trips.trip(&problem, state.off, place).to;
        let from = self.graph.node(at).lines;
        let mut next = std::mem::take(&mut self.next);
        let mut kids = std::mem::take(&mut self.kids);
        kids.clear();
        let mut corner = None;
        for outcome in 0..act.effect.outcomes() {
            let Some(p) = state.after(act, outcome, to, &mut next) else { continue };
            let fingerprint = next.fingerprint();
            let node = self.graph.find(fingerprint).unwrap_or_else(|| {
                let spot = *corner.get_or_insert_with(|| {
                    let way = (from, place);
                    self.corners.spot_after(&problem, &mut self.trips, way, &next)
                });
                self.enter(&next, fingerprint, spot)
            });
            let outcome = u32::try_from(outcome).unwrap_or(u32::MAX);
            kids.push(Kid { p, node, outcome });
        }
        self.graph.open(edge, &kids);
        (self.next, self.kids) = (next, kids);
    }

    /// Enters the outcomes of all acts of a state that may be best.
    pub(crate) fn open_all(&mut self, at: u32, state: &State) {
        for edge in self.graph.node(at).edges.clone() {
            if self.graph.edge(edge).alive {
                self.open_edge(at, edge, state);
            }
        }
    }
}

/// The end that a state stops in.
pub(crate) fn end_of(search: &Search, state: &State) -> (Kind, f64) {
    state.stop(&search.problem, &search.trips)
}
