//! Which causes are searched together: a split of the causes into groups whose lower bounds,
//! told which group the cause lies in, add up to the most.
//!
//! Pairs that are dear not to know apart are put together first. Then two causes change places
//! where that raises the bound, as a short search of either group shows it.

use std::collections::HashMap;

use crate::groups::Group;
use crate::search::{Allowance, Search};
use crate::state::{State, tie};

/// Smallest and largest size that groups may have at most.
const SIZES: (usize, usize) = (4, 8);
/// Expansions for trying a pair of causes.
const FOR_PAIRS: u32 = 20;
/// Expansions for trying a group, and how many changes of places are tried until one of them
/// pays, the most promising first: many with little work, then some with more.
const ROUNDS: [(u32, usize); 2] = [(60, 16), (300, 8)];
/// Share of the bound that putting causes together must be worth.
const WORTH: f64 = 2e-3;
/// Fewer causes are split by pairs alone.
const FEW: usize = 4;
/// With more causes than this, only the likeliest are tried together.
const MOST: usize = 12;

/// Most causes of a group where so many are possible: two groups hide least of what each costs
/// the other, as long as they are small enough to be searched to their end.
pub(crate) fn largest(causes: usize) -> usize {
    causes.div_ceil(2).clamp(SIZES.0, SIZES.1)
}

/// Groups of at most `largest` causes that are dear not to know apart at `state`; none where
/// `keep_on` says no before they are known.
pub(crate) fn chosen(
    search: &Search,
    state: &State,
    (largest, keep_on): (usize, &dyn Fn() -> bool),
) -> Vec<Group> {
    let share = |cause: usize| state.odds[cause] + state.held[cause];
    let mut causes: Vec<usize> =
        (0..search.problem.causes()).filter(|c| share(*c) > 0.0).collect();
    causes.sort_by(|a, b| share(*b).total_cmp(&share(*a)).then(a.cmp(b)));
    let alone = causes.split_off(causes.len().min(MOST));
    let mut trial = Trial { search, state, causes, made: HashMap::new() };
    let Some((all, worth)) = trial.pairs(keep_on) else { return Vec::new() };
    let mut clusters = clusters(&worth, (largest, WORTH * all));
    if trial.causes.len() >= FEW && !trial.swap(&mut clusters, &worth, keep_on) {
        return Vec::new();
    }
    let mut groups: Vec<Group> =
        clusters.iter().map(|cluster| trial.group(cluster)).collect();
    groups.extend(alone.into_iter().map(|c| Group::new(&search.problem, vec![c])));
    groups
}

/// Groups that are tried, of causes by their place among the likeliest.
struct Trial<'s> {
    search: &'s Search,
    state: &'s State,
    causes: Vec<usize>,
    /// Groups that were made.
    made: HashMap<Vec<usize>, Made>,
}

/// A group that was made, and its worth after so many expansions.
struct Made {
    group: Group,
    expansions: u32,
    worth: f64,
}

impl Trial<'_> {
    fn key(&self, cluster: &[usize]) -> Vec<usize> {
        let mut causes: Vec<usize> = cluster.iter().map(|at| self.causes[*at]).collect();
        causes.sort_unstable();
        causes
    }

    /// The group of a cluster, made where it is new.
    fn group(&mut self, cluster: &[usize]) -> Group {
        let key = self.key(cluster);
        match self.made.remove(&key) {
            Some(made) => made.group,
            None => Group::new(&self.search.problem, key),
        }
    }

    /// What all causes are worth alone, and each pair together beyond that, by their places;
    /// `None` where `keep_on` says no.
    fn pairs(&self, keep_on: &dyn Fn() -> bool) -> Option<(f64, Vec<Vec<f64>>)> {
        let trying = Allowance { expansions: FOR_PAIRS, keep_on };
        let worth = |cluster: &[usize]| {
            let mut group = Group::new(&self.search.problem, self.key(cluster));
            group.worth(&self.search.trips, self.state, trying)
        };
        let count = self.causes.len();
        let alone: Vec<f64> = (0..count).map(|cause| worth(&[cause])).collect();
        let mut pairs = vec![vec![0.0; count]; count];
        for one in 0..count {
            for other in one + 1..count {
                if !keep_on() {
                    return None;
                }
                let gain = worth(&[one, other]) - alone[one] - alone[other];
                (pairs[one][other], pairs[other][one]) = (gain, gain);
            }
        }
        Some((alone.iter().sum(), pairs))
    }

    /// What telling a cluster apart adds, after so many expansions.
    fn worth(&mut self, cluster: &[usize], trying: Allowance<'_>) -> f64 {
        let key = self.key(cluster);
        let Self { search, state, made, .. } = self;
        let made = made.entry(key).or_insert_with_key(|key| {
            let group = Group::new(&search.problem, key.clone());
            Made { group, expansions: 0, worth: 0.0 }
        });
        let more = trying.expansions.saturating_sub(made.expansions);
        if more > 0 {
            let allowed = Allowance { expansions: more, ..trying };
            made.worth = made.group.worth(&search.trips, state, allowed);
            made.expansions = trying.expansions;
        }
        made.worth
    }

    /// Lets causes change places as long as that pays; `false` where `keep_on` said no.
    fn swap(
        &mut self,
        clusters: &mut [Vec<usize>],
        worth: &[Vec<f64>],
        keep_on: &dyn Fn() -> bool,
    ) -> bool {
        for (expansions, tried) in ROUNDS {
            let trying = Allowance { expansions, keep_on };
            let mut pays = true;
            while pays {
                pays = false;
                for swap in swaps(clusters, worth).into_iter().take(tried) {
                    if !keep_on() {
                        return false;
                    }
                    let (a, b) = swap.clusters;
                    let (mut one, mut other) = (clusters[a].clone(), clusters[b].clone());
                    std::mem::swap(&mut one[swap.places.0], &mut other[swap.places.1]);
                    let have = self.worth(&clusters[a], trying)
                        + self.worth(&clusters[b], trying);
                    let then = self.worth(&one, trying) + self.worth(&other, trying);
                    pays = then > have + tie(have);
                    if pays {
                        (clusters[a], clusters[b]) = (one, other);
                        break;
                    }
                }
            }
        }
        true
    }
}

/// Two causes that may change places.
struct Swap {
    /// What the worth of pairs promises.
    gain: f64,
    clusters: (usize, usize),
    places: (usize, usize),
}

/// All changes of places, the most promising first.
fn swaps(clusters: &[Vec<usize>], worth: &[Vec<f64>]) -> Vec<Swap> {
    let mut swaps = Vec::new();
    for a in 0..clusters.len() {
        for b in a + 1..clusters.len() {
            let (from, to) = (&clusters[a], &clusters[b]);
            for (i, x) in from.iter().enumerate() {
                for (j, y) in to.iter().enumerate() {
                    let with = |one: usize, cluster: &[usize]| -> f64 {
                        let others = cluster.iter().filter(|o| *o != x && *o != y);
                        others.map(|other| worth[one][*other]).sum()
                    };
                    let gain =
                        with(*x, to) + with(*y, from) - with(*x, from) - with(*y, to);
                    swaps.push(Swap { gain, clusters: (a, b), places: (i, j) });
                }
            }
        }
    }
    swaps.sort_by(|one, other| other.gain.total_cmp(&one.gain));
    swaps
}

/// Merges what is worth most together, `least` at least, up to `largest` in one.
fn clusters(worth: &[Vec<f64>], (largest, least): (usize, f64)) -> Vec<Vec<usize>> {
    let mut clusters: Vec<Vec<usize>> = (0..worth.len()).map(|one| vec![one]).collect();
    loop {
        let mut best: Option<(f64, usize, usize)> = None;
        for a in 0..clusters.len() {
            for b in a + 1..clusters.len() {
                let (one, other) = (&clusters[a], &clusters[b]);
                if one.len() + other.len() > largest {
                    continue;
                }
                let gain: f64 =
                    one.iter().flat_map(|x| other.iter().map(|y| worth[*x][*y])).sum();
                let pairs = u32::try_from(one.len() * other.len()).unwrap_or(u32::MAX);
                let gain = gain / f64::from(pairs).sqrt();
                if gain > least && best.is_none_or(|(have, _, _)| gain > have) {
                    best = Some((gain, a, b));
                }
            }
        }
        let Some((_, a, b)) = best else { return clusters };
        let merged = clusters.remove(b);
        clusters[a].extend(merged);
    }
}
