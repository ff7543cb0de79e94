//! A bound for costs given as a matrix: paths through (place, node) that may come by a node
//! twice, with a price on each node that makes them dislike to.
//!
//! A node stands no earlier than all before it allow and no later than all after it, and two
//! nodes stand side by side only where nothing has to come between. On its way a path keeps in
//! mind some of the nodes it meets: such a node is not met again, and nothing that must come
//! before it is met afterwards. Prices are found by subgradient ascent (M. Held and R. M. Karp
//! 1971; B. T. Polyak's step); what is kept in mind grows where the best path repeats itself
//! (*ng* paths: R. Baldacci, A. Mingozzi and R. Roberti, *New state-space relaxations for
//! solving the traveling salesman problem with time windows*, 2012). All in whole numbers,
//! so that no rounding touches the bound.

use super::folded::bits;
use super::meter::Meter;
use super::problem::Problem;

/// A cost counts so many units at most, so that prices can be finer than costs.
const MOST_UNITS: i64 = 256;
/// Costs times units stay below this; sums over 128 nodes then stay far from overflow.
const MOST_SCALED: i64 = 1_000_000_000_000_000;
/// Beyond any sum.
const FAR: i64 = 1_i64 << 61;
/// Rounds of keeping more in mind.
const ROUNDS: u32 = 40;
/// Nodes kept in mind at one node in the rounds up to 10, 20 and after.
const IN_MIND: [u32; 3] = [6, 9, 12];
/// Links looked at in all; then what is known has to do (some seconds).
const MOST_LINKS: u64 = 400_000_000;
/// Links that count as one state against the budget.
const LINKS_A_STATE: u64 = 64;

/// The rest of a path from a node at a place on.
#[derive(Clone, Copy)]
struct Rest {
    /// Nodes of it kept in mind.
    mind: u128,
    cost: i64,
    /// The next node, and which of its rests.
    next: (u8, u32),
}

/// The relaxed problem with its prices.
pub(super) struct Relax<'a> {
    problem: &'a Problem,
    /// The nodes that may stand at a place.
    standing: Vec<u128>,
    /// `onward[place][node]`: the nodes that may come next.
    onward: Vec<Vec<u128>>,
    /// Units of a cost of 1.
    pub units: i64,
    /// The dearest link, in units: no price goes far beyond it.
    dearest: i64,
    price: Vec<i64>,
    mind: Vec<u128>,
    rests: Vec<Vec<Vec<Rest>>>,
    links: u64,
}

impl<'a> Relax<'a> {
    /// The problem with all prices 0 and nothing kept in mind.
    pub(super) fn new(problem: &'a Problem) -> Self {
        let count = problem.len();
        let (standing, onward) = places(problem);
        let links = onward.iter().flat_map(|row| {
            let each = row.iter().enumerate();
            each.flat_map(|(one, to)| bits(*to).map(move |two| (one, two)))
        });
        let links = links.map(|(one, two)| problem.cost(one, two));
        let starts = (0..count).map(|node| problem.start(node));
        let dearest = links.chain(starts).max().unwrap_or(0).max(1);
        let units = MOST_SCALED.div_euclid(dearest).clamp(1, MOST_UNITS);
        Self {
            problem,
            standing,
            onward,
            units,
            dearest: dearest * units,
            price: vec![0; count],
            mind: vec![0; count],
            rests: Vec::new(),
            links: 0,
        }
    }

    /// What the link costs in units, with the price of the node that it leads to.
    fn link(&self, one: usize, two: usize) -> i64 {
        self.problem.cost(one, two) * self.units - self.price[two]
    }

    fn first(&self, node: usize) -> i64 {
        self.problem.start(node) * self.units - self.price[node]
    }

    /// All prices together.
    pub(super) fn prices(&self) -> i64 {
        self.price.iter().sum()
    }

    /// The price of a node.
    pub(super) fn price(&self, node: usize) -> i64 {
        self.price[node]
    }

    /// The nodes that may stand first.
    pub(super) fn firsts(&self) -> u128 {
        self.standing.first().copied().unwrap_or(0)
    }

    /// The nodes that may come after one at a place.
    pub(super) fn onward(&self, place: usize, node: usize) -> u128 {
        self.onward[place][node]
    }

    /// The least that the rest costs, less the prices in it, where `done` is behind and
    /// `node` stands at `place`; none where the goal cannot be met.
    pub(super) fn rest(&self, (place, node): (usize, usize), done: u128) -> Option<i64> {
        let rests = &self.rests[place][node];
        rests.iter().find(|rest| rest.mind & done == 0).map(|rest| rest.cost)
    }

    /// The least cost of getting to each node at each place, nothing kept in mind.
    fn there(&self) -> Vec<Vec<i64>> {
        let count = self.problem.len();
        let mut there = vec![vec![FAR; count]; count];
        for node in bits(self.firsts()) {
            there[0][node] = self.first(node);
        }
        for place in 0..count.saturating_sub(1) {
            for one in bits(self.standing[place]) {
                let so_far = there[place][one];
                for two in bits(self.onward[place][one]).filter(|_| so_far < FAR) {
                    let slot = &mut there[place + 1][two];
                    *slot = (so_far + self.link(one, two)).min(*slot);
                }
            }
        }
        there
    }

    /// Finds all rests that may be of use below `goal`; the bound in units.
    fn pass(&mut self, goal: i64) -> i64 {
        let count = self.problem.len();
        let there = self.there();
        let spare = goal * self.units - self.prices();
        let mut rests: Vec<Vec<Vec<Rest>>> = vec![Vec::new(); count];
        let end = Rest { mind: 0, cost: 0, next: (0, 0) };
        for place in (0..count).rev() {
            let last = place + 1 == count;
            let mut row = vec![Vec::new(); count];
            for node in bits(self.standing[place]) {
                row[node] = if last {
                    vec![end]
                } else {
                    let spare = spare - there[place][node];
                    self.rests_from((place, node), &rests[place + 1], spare)
                };
            }
            rests[place] = row;
        }
        self.rests = rests;
        let firsts = bits(self.firsts());
        let costs = firsts.filter_map(|node| {
            Some(self.first(node) + self.rests[0][node].first()?.cost)
        });
        costs.min().map_or(goal * self.units, |least| least + self.prices())
    }

    /// The rests of a node at a place from those of the next place, none dearer than `spare`
    /// and none for which another is as cheap with less kept in mind.
    fn rests_from(
        &mut self,
        (place, node): (usize, usize),
        next: &[Vec<Rest>],
        spare: i64,
    ) -> Vec<Rest> {
        let not = self.problem.before(node) | 1 << node;
        let mut found: Vec<Rest> = Vec::new();
        for two in bits(self.onward[place][node]) {
            let link = self.link(node, two);
            let id = u8::try_from(two).unwrap_or(u8::MAX);
            for (which, rest) in (0_u32..).zip(&next[two]) {
                self.links += 1;
                let cost = rest.cost + link;
                if cost > spare {
                    break;
                }
                if rest.mind & not != 0 {
                    continue;
                }
                let mind = (rest.mind | 1 << two) & self.mind[node];
                found.push(Rest { mind, cost, next: (id, which) });
                if rest.mind == 0 {
                    break;
                }
            }
        }
        found.sort_unstable_by_key(|rest| {
            (rest.cost, rest.mind.count_ones(), rest.mind, rest.next)
        });
        let mut kept: Vec<Rest> = Vec::new();
        for rest in found {
            if kept.iter().all(|other| other.mind & !rest.mind != 0) {
                kept.push(rest);
                if rest.mind == 0 {
                    break;
                }
            }
        }
        kept
    }

    /// The nodes of the cheapest relaxed path.
    fn path(&self) -> Vec<usize> {
        let firsts = bits(self.firsts());
        let least = firsts
            .filter_map(|node| {
                Some((self.first(node) + self.rests[0][node].first()?.cost, node))
            })
            .min();
        let Some((_, mut node)) = least else { return Vec::new() };
        let mut nodes = vec![node];
        let mut which = 0;
        for row in &self.rests[..self.problem.len().saturating_sub(1)] {
            let (next, rest) = row[node][which].next;
            node = usize::from(next);
            which = usize::try_from(rest).unwrap_or(0);
            nodes.push(node);
        }
        nodes
    }

    /// Raises the bound towards `goal` by so many changes of the prices; the bound in units.
    fn ascend(
        &mut self,
        goal: i64,
        (steps, first): (u32, f64),
        meter: &mut Meter<'_>,
    ) -> i64 {
        let full = goal * self.units;
        let (mut best, mut prices) = (i64::MIN, self.price.clone());
        let (mut share, mut stale) = (first, 0);
        for _ in 0..steps {
            let before = self.links;
            let value = self.pass(goal);
            if value >= full {
                return full;
            }
            if value > best {
                best = value;
                prices.clone_from(&self.price);
            } else {
                stale += 1;
            }
            if !meter.spend((self.links - before).div_euclid(LINKS_A_STATE) + 1) {
                break;
            }
            if stale >= 8 {
                (share, stale) = (share / 1.6, 0);
                self.price.clone_from(&prices);
                if share < 0.01 {
                    break;
                }
                continue;
            }
            self.step(share, full - value.max(2 * best - full));
        }
        self.price = prices;
        self.pass(goal).min(full)
    }

    /// Dearer what the best path comes by too often, cheaper what it leaves out.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        reason = "a price needs no exactness: any price gives a bound"
    )]
    fn step(&mut self, share: f64, gap: i64) {
        let mut missing = vec![1_i64; self.problem.len()];
        for node in self.path() {
            missing[node] -= 1;
        }
        let norm: i64 = missing.iter().map(|count| count * count).sum();
        if norm == 0 {
            return;
        }
        let step = share * (gap.max(self.units) as f64) / norm as f64;
        let most = 2 * self.dearest;
        for (price, count) in self.price.iter_mut().zip(missing) {
            let by = (step * count as f64).round().clamp(-1e17, 1e17) as i64;
            *price = (*price + by).clamp(-most, most);
        }
    }

    /// Keeps more in mind where the best path comes back or goes against a precedence, up to
    /// `most` nodes at a node; how much more.
    fn remember(&mut self, most: u32) -> usize {
        let path = self.path();
        let mut wrong: Vec<(usize, usize)> = Vec::new();
        for (one, &node) in path.iter().enumerate() {
            let before = self.problem.before(node) | 1 << node;
            let two =
                path.iter().skip(one + 1).position(|later| before >> later & 1 == 1);
            wrong.extend(two.map(|length| (length, one)));
        }
        wrong.sort_unstable();
        let mut more = 0;
        for (length, one) in wrong {
            let (between, met) = (&path[one + 1..=one + length], path[one + 1 + length]);
            let knows = |mind: u128| mind >> met & 1 == 1;
            let fits = between.iter().all(|&node| {
                knows(self.mind[node]) || self.mind[node].count_ones() < most
            });
            for &node in between.iter().filter(|_| fits) {
                more += usize::from(!knows(self.mind[node]));
                self.mind[node] |= 1 << met;
            }
        }
        more
    }

    /// Finds good prices and what to keep in mind; a bound in units for all orders cheaper
    /// than `goal` (or `goal` itself).
    pub(super) fn tighten(&mut self, goal: i64, meter: &mut Meter<'_>) -> i64 {
        let mut bound = self.ascend(goal, (600, 1.0), meter);
        let mut most = IN_MIND.into_iter();
        let mut now = most.next().unwrap_or(0);
        for round in 1..=ROUNDS {
            let done = bound >= goal * self.units || self.links > MOST_LINKS;
            if done || !meter.goes_on() {
                break;
            }
            if self.remember(now) == 0 || round.is_multiple_of(10) {
                match most.next() {
                    Some(next) => now = next,
                    None if self.remember(now) == 0 => break,
                    None => {}
                }
            }
            let steps = if round.is_multiple_of(5) { 60 } else { 12 };
            bound = bound.max(self.ascend(goal, (steps, 0.3), meter));
        }
        bound
    }
}

/// The nodes that may stand at each place, and those that may come next after each there.
fn places(problem: &Problem) -> (Vec<u128>, Vec<Vec<u128>>) {
    let count = problem.len();
    let after: Vec<u128> = (0..count).map(|node| problem.after(node)).collect();
    let size = |mask: u128| mask.count_ones() as usize;
    let nodes = |may: &dyn Fn(usize) -> bool| {
        (0..count).filter(|&node| may(node)).fold(0_u128, |mask, node| mask | 1 << node)
    };
    let stands = |place: usize, node: usize| {
        size(problem.before(node)) <= place && place + size(after[node]) < count
    };
    let follows = |place: usize, one: usize, two: usize| {
        let (before, behind) = (problem.before(one), after[two]);
        one != two
            && before >> two & 1 == 0
            && after[one] & problem.before(two) == 0
            && size((before | problem.before(two)) & !(1 << one)) <= place
            && place + 1 + size((after[one] | behind) & !(1 << two)) < count
    };
    let standing: Vec<u128> =
        (0..count).map(|place| nodes(&|node| stands(place, node))).collect();
    let next = |place: usize, one: usize| {
        let to = standing[place + 1];
        if standing[place] >> one & 1 == 0 {
            return 0;
        }
        nodes(&|two| to >> two & 1 == 1 && follows(place, one, two))
    };
    let onward = (0..count.saturating_sub(1))
        .map(|place| (0..count).map(|one| next(place, one)).collect())
        .collect();
    (standing, onward)
}
