//! Good orders fast: local search that swaps two stretches standing next to each other, from
//! many starts.
//!
//! Swapping neighbouring stretches is the one exchange of three links that turns no stretch
//! round, so it fits costs that differ by direction; whether it keeps the precedences is one
//! mask test a step (after L. M. Gambardella and M. Dorigo, *An ant colony system hybridized
//! with a new local search for the sequential ordering problem*, 2000). Chance is seeded.

use super::folded::bits;
use super::meter::Meter;
use super::problem::Problem;

/// Steps of one start.
const STEPS_A_START: u64 = 500;
/// Nodes of a shaken stretch at most, first and second.
const SHAKEN: (usize, usize) = (12, 14);
/// A step may make the order dearer by one part in this many, at first.
const LOOSE: i64 = 250;
/// What one step counts against the budget.
const STEP_COSTS: u64 = 64;
/// So many of the best ends are started from again.
const KEPT: usize = 4;

/// Numbers that look like chance and are the same every time (xorshift, G. Marsaglia 2003).
struct Chance(u64);

impl Chance {
    /// A number below `end`, which is above 0.
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        let end = u64::try_from(end.max(1)).unwrap_or(u64::MAX);
        usize::try_from((self.0 >> 11) % end).unwrap_or(0)
    }
}

/// Two stretches `[first, second)` and `[second, end)` to be swapped.
#[derive(Clone, Copy)]
struct Swap {
    first: usize,
    second: usize,
    end: usize,
}

/// Local search for one problem.
pub(super) struct Local<'a> {
    problem: &'a Problem,
    after: Vec<u128>,
    chance: Chance,
}

impl<'a> Local<'a> {
    /// A search with its own seed.
    pub(super) fn new(problem: &'a Problem) -> Self {
        let after = (0..problem.len()).map(|node| problem.after(node)).collect();
        Self { problem, after, chance: Chance(0x9E37_79B9_7F4A_7C15) }
    }

    /// The best order of `steps` steps: new starts first, then the best ends again.
    pub(super) fn best(&mut self, steps: u64, meter: &mut Meter<'_>) -> Vec<usize> {
        let mut ends: Vec<(i64, Vec<usize>)> = Vec::new();
        let mut left = steps.max(1);
        while left > 0 && (ends.is_empty() || meter.goes_on()) {
            let again = left <= steps.div_euclid(4) && !ends.is_empty();
            let start = if again {
                let place = self.chance.below(ends.len().min(KEPT));
                ends[place].1.clone()
            } else {
                self.start(!ends.is_empty())
            };
            let count = STEPS_A_START.min(left);
            left -= count;
            let end = self.from(start, count, meter);
            ends.push((self.problem.length(&end), end));
            ends.sort();
            ends.dedup();
            ends.truncate(4 * KEPT);
        }
        ends.into_iter().next().map(|(_, order)| order).unwrap_or_default()
    }

    /// The nearest next, or, with `loosely`, one of the nearer ones.
    fn start(&mut self, loosely: bool) -> Vec<usize> {
        let mut order: Vec<usize> = Vec::with_capacity(self.problem.len());
        let mut done = 0_u128;
        while order.len() < self.problem.len() {
            let may = (0..self.problem.len()).filter(|&node| {
                done >> node & 1 == 0 && self.problem.before(node) & !done == 0
            });
            let cost = |node| match order.last() {
                Some(&last) => self.problem.cost(last, node),
                None => self.problem.start(node),
            };
            let mut next: Vec<(i64, usize)> =
                may.map(|node| (cost(node), node)).collect();
            next.sort_unstable();
            let mut place = 0;
            if loosely {
                let draws = [0; 3].map(|_: usize| self.chance.below(next.len()));
                place = draws.into_iter().min().unwrap_or(0);
            }
            let Some(&(_, node)) = next.get(place) else { break };
            order.push(node);
            done |= 1 << node;
        }
        order
    }

    /// The best order found by shaking and settling this one so many times.
    pub(super) fn from(
        &mut self,
        mut order: Vec<usize>,
        steps: u64,
        meter: &mut Meter<'_>,
    ) -> Vec<usize> {
        if order.len() < 3 {
            return order;
        }
        if meter.spend(STEP_COSTS) {
            self.settle(&mut order, u128::MAX);
        }
        let mut now = (self.problem.length(&order), order);
        let mut best = now.clone();
        for step in 0..steps {
            if !meter.spend(STEP_COSTS) {
                break;
            }
            let mut tried = now.1.clone();
            let marked = self.shake(&mut tried);
            self.settle(&mut tried, marked);
            let cost = self.problem.length(&tried);
            if cost <= now.0 + self.loose(now.0, (steps - step, steps)) {
                now = (cost, tried);
            }
            if now.0 < best.0 {
                best = now.clone();
            }
        }
        best.1
    }

    /// How much dearer the next order may be: by chance, and less towards the end.
    fn loose(&mut self, cost: i64, (left, steps): (u64, u64)) -> i64 {
        let draw = i128::try_from(self.chance.below(1000)).unwrap_or(0);
        let whole = i128::from(LOOSE) * 1000 * i128::from(steps.max(1));
        let loose = i128::from(cost) * draw * i128::from(left);
        i64::try_from(loose.div_euclid(whole)).unwrap_or(0)
    }

    /// One to three swaps by chance that keep the precedences; the nodes at the cuts.
    fn shake(&mut self, order: &mut [usize]) -> u128 {
        let (mut marked, mut wanted) = (0_u128, 1 + self.chance.below(3));
        for _ in 0..50 {
            if wanted == 0 {
                break;
            }
            let first = self.chance.below(order.len() - 1);
            let second =
                first + 1 + self.chance.below(SHAKEN.0.min(order.len() - first - 1));
            let Some(stretch) = order.get(first..second) else { continue };
            let stretch = stretch.iter().fold(0_u128, |mask, node| mask | 1 << node);
            let free = order[second..].iter().take(SHAKEN.1);
            let free = free
                .take_while(|node| self.problem.before(**node) & stretch == 0)
                .count();
            if free == 0 {
                continue;
            }
            let swap = Swap { first, second, end: second + 1 + self.chance.below(free) };
            marked |= cuts(order, swap);
            order[first..swap.end].rotate_left(second - first);
            wanted -= 1;
        }
        marked
    }

    /// Swaps stretches that begin or end at a marked node while that makes the order cheaper.
    fn settle(&self, order: &mut [usize], marked: u128) {
        let nodes = order.iter().fold(0_u128, |mask, node| mask | 1 << node);
        let mut marked = marked & nodes;
        while let Some(node) = bits(marked).next() {
            marked &= !(1 << node);
            let Some(at) = order.iter().position(|&other| other == node) else {
                continue;
            };
            let mut best: Option<(i64, Swap)> = None;
            for cut in [at, at + 1] {
                self.beginning_at(order, cut, &mut best);
                self.ending_at(order, cut, &mut best);
            }
            if let Some((_, swap)) = best {
                marked |= cuts(order, swap);
                order[swap.first..swap.end].rotate_left(swap.second - swap.first);
            }
        }
    }

    fn beginning_at(
        &self,
        order: &[usize],
        first: usize,
        best: &mut Option<(i64, Swap)>,
    ) {
        let mut stretch = 0_u128;
        for second in first + 1..order.len() {
            stretch |= 1 << order[second - 1];
            for end in second + 1..=order.len() {
                if self.problem.before(order[end - 1]) & stretch != 0 {
                    break;
                }
                self.weigh(order, Swap { first, second, end }, best);
            }
        }
    }

    fn ending_at(&self, order: &[usize], end: usize, best: &mut Option<(i64, Swap)>) {
        if end > order.len() {
            return;
        }
        let mut stretch = 0_u128;
        for second in (1..end).rev() {
            stretch |= 1 << order[second];
            for first in (0..second).rev() {
                if self.after[order[first]] & stretch != 0 {
                    break;
                }
                self.weigh(order, Swap { first, second, end }, best);
            }
        }
    }

    /// Keeps the swap where it saves more than the best so far.
    fn weigh(&self, order: &[usize], swap: Swap, best: &mut Option<(i64, Swap)>) {
        let Swap { first, second, end } = swap;
        let link = |before: Option<usize>, node: usize| match before {
            Some(before) => self.problem.cost(order[before], order[node]),
            None => self.problem.start(order[node]),
        };
        let lead = first.checked_sub(1);
        let onward = |from: usize| {
            if end < order.len() { link(Some(from), end) } else { 0 }
        };
        let old = link(lead, first) + link(Some(second - 1), second) + onward(end - 1);
        let new = link(lead, second) + link(Some(end - 1), first) + onward(second - 1);
        if new - old < best.map_or(0, |(change, _)| change) {
            *best = Some((new - old, swap));
        }
    }
}

/// The nodes on both sides of the three cuts.
fn cuts(order: &[usize], swap: Swap) -> u128 {
    [swap.first, swap.second, swap.end]
        .into_iter()
        .flat_map(|cut| [cut.checked_sub(1), Some(cut)])
        .filter_map(|place| order.get(place?))
        .fold(0, |mask, node| mask | 1 << node)
}
