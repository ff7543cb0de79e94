//! The problem with nodes folded together between which moving costs nothing.
//!
//! Where two nodes have the same costs to and from all others, nothing between them, and a
//! detour over either never saves anything, an order that takes the second as soon as it may
//! come costs no more than one that leaves it for later: taken off its later place it saves,
//! taken at once it costs nothing, and being early it only frees others. So a visit to such
//! a group takes all of its nodes that may come.

use super::problem::Problem;

/// The nodes whose bits are set, least first.
pub(super) fn bits(mut mask: u128) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let place = mask.trailing_zeros() as usize;
        (mask != 0).then(|| {
            mask &= mask - 1;
            place
        })
    })
}

/// What is done, and the group that was visited last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct State {
    /// The nodes done, one bit each.
    pub done: u128,
    /// The group visited last.
    pub group: u8,
}

impl State {
    /// No group yet.
    pub(super) const NOWHERE: u8 = u8::MAX;
    /// Nothing done.
    pub(super) const START: Self = Self { done: 0, group: Self::NOWHERE };
}

/// The folded problem.
#[derive(Debug)]
pub(super) struct Folded {
    /// The nodes of each group, one bit each.
    pub members: Vec<u128>,
    /// Cost from group to group.
    costs: Vec<Vec<i64>>,
    /// Cost to start with a group.
    start: Vec<i64>,
    group_of: Vec<u8>,
    /// What comes before each node, all the way.
    pub before: Vec<u128>,
    /// What comes after each node, all the way.
    pub after: Vec<u128>,
    /// All nodes.
    pub all: u128,
}

impl Folded {
    /// Folds a problem.
    pub(super) fn new(problem: &Problem) -> Self {
        let count = problem.len();
        let smooth: Vec<bool> =
            (0..count).map(|node| never_saves(problem, node)).collect();
        let mut heads: Vec<usize> = Vec::new();
        let mut members: Vec<u128> = Vec::new();
        let mut group_of = Vec::with_capacity(count);
        for node in 0..count {
            let twin = |&group: &usize| {
                smooth[node]
                    && smooth[heads[group]]
                    && bits(members[group]).all(|other| alike(problem, node, other))
            };
            let group = (0..heads.len()).find(twin).unwrap_or(heads.len());
            if group == heads.len() {
                heads.push(node);
                members.push(0);
            }
            members[group] |= 1 << node;
            group_of.push(u8::try_from(group).unwrap_or(State::NOWHERE));
        }
        let row =
            |&from: &usize| heads.iter().map(|&to| problem.cost(from, to)).collect();
        let before: Vec<u128> = (0..count).map(|node| problem.before(node)).collect();
        let after = (0..count)
            .map(|node| {
                let later = (0..count).filter(|&other| before[other] >> node & 1 == 1);
                later.fold(0_u128, |all, other| all | 1 << other)
            })
            .collect();
        Self {
            costs: heads.iter().map(row).collect(),
            start: heads.iter().map(|&head| problem.start(head)).collect(),
            all: (0..count).fold(0, |all, node| all | 1 << node),
            members,
            group_of,
            before,
            after,
        }
    }

    /// How many groups.
    pub(super) fn len(&self) -> usize {
        self.members.len()
    }

    /// The group of a node.
    pub(super) fn group_of(&self, node: usize) -> u8 {
        self.group_of[node]
    }

    /// The least node of a group; none before the start.
    pub(super) fn head(&self, group: u8) -> Option<usize> {
        self.members.get(usize::from(group)).and_then(|members| bits(*members).next())
    }

    /// The visits that are possible next, with their cost.
    pub(super) fn steps(&self, state: State) -> Vec<(i64, State)> {
        let available = self.available(state.done);
        (0..self.len())
            .filter(|&group| self.members[group] & available != 0)
            .filter_map(|group| Some((group, u8::try_from(group).ok()?)))
            .map(|(group, id)| {
                (self.step(state.group, group), self.visit(state.done, id))
            })
            .collect()
    }

    /// Cost to visit a group next.
    pub(super) fn step(&self, from: u8, to: usize) -> i64 {
        self.costs.get(usize::from(from)).map_or(self.start[to], |row| row[to])
    }

    /// The nodes that may come next.
    pub(super) fn available(&self, done: u128) -> u128 {
        bits(self.all & !done)
            .filter(|&node| self.before[node] & !done == 0)
            .fold(0, |all, node| all | 1 << node)
    }

    /// Visits a group: all of its nodes that may come are done.
    pub(super) fn visit(&self, mut done: u128, group: u8) -> State {
        let members = self.members[usize::from(group)];
        loop {
            let ready = bits(members & !done)
                .filter(|&node| self.before[node] & !done == 0)
                .fold(0_u128, |all, node| all | 1 << node);
            if ready == 0 {
                return State { done, group };
            }
            done |= ready;
        }
    }

    /// The nodes in the order of these visits.
    pub(super) fn unfold(&self, visits: &[u8]) -> Vec<usize> {
        let mut nodes = Vec::new();
        let mut done = 0_u128;
        for &group in visits {
            let members = self.members[usize::from(group)];
            while let Some(node) =
                bits(members & !done).find(|&node| self.before[node] & !done == 0)
            {
                nodes.push(node);
                done |= 1 << node;
            }
        }
        nodes
    }
}

/// Whether leaving the node out of a path never makes the rest dearer.
fn never_saves(problem: &Problem, node: usize) -> bool {
    let can = |from: usize, to: usize| problem.before(from) >> to & 1 == 0;
    let others = || (0..problem.len()).filter(move |&other| other != node);
    others().filter(|&to| can(node, to)).all(|to| {
        let onward = problem.cost(node, to);
        let detour = |from: usize| problem.cost(from, node) + onward;
        let sources =
            others().filter(|&from| from != to && can(from, node) && can(from, to));
        problem.start(to) <= problem.start(node) + onward
            && sources.into_iter().all(|from| problem.cost(from, to) <= detour(from))
    })
}

/// Whether two nodes cost the same everywhere and nothing between them.
fn alike(problem: &Problem, one: usize, two: usize) -> bool {
    problem.cost(one, two) == 0
        && problem.cost(two, one) == 0
        && problem.start(one) == problem.start(two)
        && (0..problem.len()).filter(|&other| other != one && other != two).all(|other| {
            problem.cost(one, other) == problem.cost(two, other)
                && problem.cost(other, one) == problem.cost(other, two)
        })
}
