//! A good order at once: a beam search over visits.

use std::collections::BTreeMap;

use super::folded::State;
use super::search::Search;

/// States kept after each visit.
const WIDTH: usize = 400;

/// A path as visits to groups.
#[derive(Debug, Clone, Default)]
pub(super) struct Path {
    /// What it costs.
    pub cost: i64,
    /// The groups, first to last.
    pub visits: Vec<u8>,
}

/// One state of the beam: what it cost so far and where it came from.
#[derive(Clone, Copy)]
struct Reached {
    state: State,
    cost: i64,
    from: usize,
}

/// The best path that the beam finds; it always finds one.
pub(super) fn path(search: &mut Search<'_>) -> Path {
    let all = search.folded.all;
    if all == 0 {
        return Path::default();
    }
    let mut layers = vec![vec![Reached { state: State::START, cost: 0, from: 0 }]];
    let mut best: Option<(i64, usize, usize)> = None;
    while let Some(layer) = layers.last().filter(|layer| !layer.is_empty()) {
        let mut next: BTreeMap<State, Reached> = BTreeMap::new();
        for (from, reached) in layer.iter().enumerate() {
            for (step, state) in search.folded.steps(reached.state) {
                let cost = reached.cost + step;
                let slot = next.entry(state).or_insert(Reached { state, cost, from });
                if cost < slot.cost {
                    *slot = Reached { state, cost, from };
                }
            }
        }
        let mut kept: Vec<(i64, Reached)> = next
            .into_values()
            .map(|reached| (reached.cost + search.bound(reached.state), reached))
            .filter(|(total, _)| best.is_none_or(|(cost, ..)| *total < cost))
            .collect();
        kept.sort_by_key(|(total, reached)| (*total, reached.cost, reached.state));
        kept.truncate(if search.keeps_on() { WIDTH } else { 1 });
        let layer: Vec<Reached> = kept.into_iter().map(|(_, reached)| reached).collect();
        let place = layer.iter().position(|reached| reached.state.done == all);
        if let Some(place) = place {
            best = Some((layer[place].cost, layers.len(), place));
        }
        layers.push(layer);
    }
    trace(&layers, best)
}

fn trace(layers: &[Vec<Reached>], best: Option<(i64, usize, usize)>) -> Path {
    let Some((cost, mut depth, mut place)) = best else { return Path::default() };
    let mut visits = Vec::with_capacity(depth);
    while depth > 0 {
        let reached = layers[depth][place];
        visits.push(reached.state.group);
        place = reached.from;
        depth -= 1;
    }
    visits.reverse();
    Path { cost, visits }
}
