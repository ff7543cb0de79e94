//! Costs that no completion can stay below.

use super::folded::{Folded, State, bits};
use super::problem::{Changes, Problem};

/// How often each class must still be visited: node chains that leave and come back count.
#[derive(Debug)]
struct Visits {
    cost: i64,
    class: Vec<usize>,
    /// `levels[class][k]`: the nodes from which on the class is needed at least k + 1 times.
    levels: Vec<Vec<u128>>,
}

impl Visits {
    fn new(folded: &Folded, layer: &Changes) -> Self {
        let classes = layer.class.iter().max().map_or(0, |most| most + 1);
        let levels =
            (0..classes).map(|class| levels(folded, &layer.class, class)).collect();
        Self { cost: layer.cost, class: layer.class.clone(), levels }
    }

    /// Changes that must still come.
    fn needed(&self, left: u128, available: u128, last: Option<usize>) -> i64 {
        let entries: usize = self
            .levels
            .iter()
            .map(|levels| levels.iter().take_while(|&&level| level & left != 0).count())
            .sum();
        let goes_on = match last {
            None => entries > 0,
            Some(node) => self.levels[self.class[node]]
                .first()
                .is_some_and(|members| members & available != 0),
        };
        i64::try_from(entries).unwrap_or(i64::MAX) - i64::from(goes_on)
    }
}

/// Groups the members of a class by how many visits of it they and what follows them need.
fn levels(folded: &Folded, class_of: &[usize], class: usize) -> Vec<u128> {
    let count = class_of.len();
    let mut nodes: Vec<usize> = (0..count).collect();
    nodes.sort_by_key(|&node| folded.after[node].count_ones());
    let mut need = vec![0_usize; count];
    let mut levels: Vec<u128> = Vec::new();
    for node in nodes {
        let inside = class_of[node] == class;
        let later = bits(folded.after[node])
            .map(|next| need[next] + usize::from(inside && class_of[next] != class));
        need[node] = later.max().unwrap_or(0).max(usize::from(inside));
        if inside {
            levels.resize(levels.len().max(need[node]), 0);
            for level in &mut levels[..need[node]] {
                *level |= 1 << node;
            }
        }
    }
    levels
}

/// The bounds of one problem.
#[derive(Debug)]
pub(super) struct Bounds {
    layers: Vec<Visits>,
    groups: Visits,
    least_change: i64,
    /// `from[group]`: groups from which this one can be entered at once.
    from: Vec<u128>,
}

impl Bounds {
    /// Prepares the bounds.
    pub(super) fn new(problem: &Problem, folded: &Folded) -> Self {
        let class = (0..problem.len()).map(|node| usize::from(folded.group_of(node)));
        let groups = Changes { cost: 0, class: class.collect() };
        let layers = problem.layers();
        Self {
            layers: layers.iter().map(|layer| Visits::new(folded, layer)).collect(),
            groups: Visits::new(folded, &groups),
            least_change: layers.iter().map(|layer| layer.cost).min().unwrap_or(0),
            from: (0..folded.len()).map(|group| entered_from(folded, group)).collect(),
        }
    }

    /// A cost that no completion of the state stays below. `counted(layer)` may know better
    /// how many changes a layer still needs, each layer for itself.
    pub(super) fn at(
        &self,
        folded: &Folded,
        state: State,
        mut counted: impl FnMut(usize) -> Option<i64>,
    ) -> i64 {
        let left = folded.all & !state.done;
        if left == 0 {
            return 0;
        }
        let available = folded.available(state.done);
        if self.layers.is_empty() {
            return self.by_neighbours(folded, state, left, available);
        }
        // Each layer needs its changes, and each visit is a change of something.
        let last = folded.head(state.group);
        let visits = self.groups.needed(left, available, last);
        let (mut changes, mut cost) = (0, 0);
        for (place, layer) in self.layers.iter().enumerate() {
            let needed =
                counted(place).unwrap_or_else(|| layer.needed(left, available, last));
            changes += needed;
            cost += needed * layer.cost;
        }
        cost + (visits - changes).max(0) * self.least_change
    }

    /// Each group left is entered from somewhere, and all but the last are left again.
    fn by_neighbours(
        &self,
        folded: &Folded,
        state: State,
        left: u128,
        available: u128,
    ) -> i64 {
        let open = (0..folded.len()).filter(|&group| folded.members[group] & left != 0);
        let open: u128 = open.fold(0, |all, group| all | 1 << group);
        let mut entering = 0_i64;
        let mut leaving = vec![i64::MAX; folded.len() + 1];
        for to in bits(open) {
            let mut least = i64::MAX;
            for from in bits(open & self.from[to]) {
                let cost = folded.step(u8::try_from(from).unwrap_or(State::NOWHERE), to);
                least = least.min(cost);
                leaving[from] = leaving[from].min(cost);
            }
            if folded.members[to] & available != 0 {
                let cost = folded.step(state.group, to);
                least = least.min(cost);
                leaving[folded.len()] = leaving[folded.len()].min(cost);
            }
            entering = entering.saturating_add(if least == i64::MAX { 0 } else { least });
        }
        let known = |cost: i64| if cost == i64::MAX { 0 } else { cost };
        let left_again = || bits(open).map(|group| known(leaving[group]));
        let spared = left_again().max().unwrap_or(0);
        entering.max(left_again().sum::<i64>() + known(leaving[folded.len()]) - spared)
    }
}

/// The groups from which a group can be entered with nothing forced in between.
fn entered_from(folded: &Folded, to: usize) -> u128 {
    let possible = |from: usize| {
        from != to
            && bits(folded.members[from]).any(|first| {
                bits(folded.members[to]).any(|second| {
                    folded.after[second] >> first & 1 == 0
                        && folded.after[first] & folded.before[second] == 0
                })
            })
    };
    (0..folded.len()).filter(|&from| possible(from)).fold(0, |all, from| all | 1 << from)
}
