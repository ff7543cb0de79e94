//! Costs that came as a matrix: a good order by local search, a bound by priced paths, and the
//! proof place by place, wider and wider.

use super::layers::Sweep;
use super::local::Local;
use super::meter::Meter;
use super::problem::Problem;
use super::relax::Relax;
use super::{Budget, Order};

/// Steps of the local search a node before there is a bound.
const FIRST_STEPS: u64 = 100;
/// Steps once it is clear that the proof is not near.
const MORE_STEPS: u64 = 40_000;
/// Steps from an order that another part found.
const STEPS_ON: u64 = 500;
/// States a place in the first sweep; each further one is wider by `WIDER`.
const WIDTH: usize = 1_000;
const WIDER: usize = 5;
/// States a place at most (some 300 MB).
const MOST_WIDTH: usize = 625_000;
/// From this width on more local search comes first.
const WIDE: usize = 125_000;

/// The order, improved and with a better bound where the budget allows.
pub(super) fn improved(problem: &Problem, order: Order, budget: &Budget<'_>) -> Order {
    let mut meter = Meter::new(budget);
    meter.spend(order.states);
    let mut best = Best { problem, order };
    let nodes = u64::try_from(problem.len()).unwrap_or(0);
    let mut local = Local::new(problem);
    let found = local.best(FIRST_STEPS * nodes, &mut meter);
    best.offer(found);
    let goal = best.order.cost;
    let mut relax = Relax::new(problem);
    let bound = relax.tighten(goal, &mut meter);
    best.raise(bound.saturating_add(relax.units - 1).div_euclid(relax.units));
    let mut width = WIDTH;
    while !best.done() && width <= MOST_WIDTH && meter.goes_on() {
        if width == WIDE {
            let found = local.best(MORE_STEPS, &mut meter);
            best.offer(found);
        }
        let sweep = Sweep::new(problem, &relax, (best.order.cost, width));
        let Some(swept) = sweep.run(&mut meter) else { break };
        if let Some(found) = swept.better {
            let further = local.from(found.clone(), STEPS_ON, &mut meter);
            best.offer(found);
            best.offer(further);
        }
        best.raise(swept.lower_bound);
        width *= WIDER;
    }
    best.order.states = meter.used();
    best.order
}

/// The best order so far with the best bound.
struct Best<'a> {
    problem: &'a Problem,
    order: Order,
}

impl Best<'_> {
    fn offer(&mut self, nodes: Vec<usize>) {
        let cost = self.problem.length(&nodes);
        if nodes.len() == self.problem.len() && cost < self.order.cost {
            self.order.cost = cost;
            self.order.nodes = nodes;
            self.raise(self.order.lower_bound);
        }
    }

    fn raise(&mut self, bound: i64) {
        self.order.lower_bound = self.order.lower_bound.max(bound).min(self.order.cost);
        self.order.proven = self.order.lower_bound >= self.order.cost;
    }

    fn done(&self) -> bool {
        self.order.proven
    }
}
