//! The one order in which every store reads the events of a job.
//!
//! An event comes after all earlier ones of its writer and after all that its writer had
//! seen of the others (its `heads`, by place in their chains); among those that are free,
//! the earliest by (time, writer, place, id). Clocks decide only what is truly concurrent.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    event::{Event, Stored},
    instant::Instant,
};

/// An event with its id.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Its id.
    pub id: String,
    /// The event.
    pub event: Event,
}

/// Key among free events; a time that can't be read comes last.
type Key = (bool, Option<Instant>, String, u64, String);

fn key(known: &Known) -> Key {
    let instant = Instant::read(&known.event.at);
    let event = &known.event;
    (instant.is_none(), instant, event.writer.clone(), event.seq, known.id.clone())
}

/// The events in their order, each once; the second value holds the ids of those that can't
/// be read. Any permutation of `events` gives the same answer.
#[must_use]
pub fn in_order(events: &[Stored]) -> (Vec<Known>, Vec<String>) {
    let mut unread = BTreeSet::new();
    let mut known: BTreeMap<&str, Known> = BTreeMap::new();
    for stored in events {
        match stored.read() {
            Ok(event) => {
                let entry = Known { id: stored.id.clone(), event };
                known.insert(&stored.id, entry);
            }
            Err(_) => {
                unread.insert(stored.id.clone());
            }
        }
    }
    let mut known: Vec<Known> = known.into_values().collect();
    known.sort_by_cached_key(key);
    let sorted = sort(&known);
    let mut slots: Vec<Option<Known>> = known.into_iter().map(Some).collect();
    let ordered = sorted
        .into_iter()
        .filter_map(|place| slots.get_mut(place).and_then(Option::take))
        .collect();
    (ordered, unread.into_iter().collect())
}

/// Places of `known` (which is sorted by key) in topological order, least place first. Two
/// branches of a copied writer can see each other in a circle: then the least one left goes.
fn sort(known: &[Known]) -> Vec<usize> {
    let chains = chains(known);
    let mut waits_for = vec![0_usize; known.len()];
    let mut frees: Vec<Vec<usize>> = vec![Vec::new(); known.len()];
    let mut arrow = |from: usize, to: usize| {
        frees[from].push(to);
        waits_for[to] += 1;
    };
    for chain in chains.values() {
        for pair in chain.windows(2) {
            arrow(pair[0].1, pair[1].1);
        }
    }
    for (place, entry) in known.iter().enumerate() {
        for (writer, head) in &entry.event.heads {
            let Some(chain) = chains.get(writer.as_str()) else { continue };
            let seen = chain.partition_point(|(seq, _)| *seq <= head.seq);
            let last = seen.checked_sub(1).map(|at| chain[at].1);
            if let Some(last) = last.filter(|last| *last != place) {
                arrow(last, place);
            }
        }
    }
    let mut left: BTreeSet<usize> = (0..known.len()).collect();
    let mut free: BTreeSet<usize> =
        left.iter().copied().filter(|place| waits_for[*place] == 0).collect();
    let mut sorted = Vec::with_capacity(known.len());
    while let Some(place) = free.pop_first().or_else(|| left.first().copied()) {
        if !left.remove(&place) {
            continue;
        }
        sorted.push(place);
        for next in &frees[place] {
            waits_for[*next] = waits_for[*next].saturating_sub(1);
            if waits_for[*next] == 0 {
                free.insert(*next);
            }
        }
    }
    sorted
}

/// Each writer's events as (place in its chain, place in `known`), in order.
fn chains(known: &[Known]) -> BTreeMap<&str, Vec<(u64, usize)>> {
    let mut chains: BTreeMap<&str, Vec<(u64, usize)>> = BTreeMap::new();
    for (place, entry) in known.iter().enumerate() {
        chains.entry(&entry.event.writer).or_default().push((entry.event.seq, place));
    }
    for chain in chains.values_mut() {
        chain.sort_by(|left, right| {
            (left.0, &known[left.1].id).cmp(&(right.0, &known[right.1].id))
        });
    }
    chains
}
