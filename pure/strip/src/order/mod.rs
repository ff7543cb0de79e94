//! Sequential ordering: a path of least cost through all nodes that keeps every *this before
//! that*. [`Problem`] is what goes in, [`Order`] what comes out of [`solve`]; neither knows a
//! sheet.
//!
//! Where costs are changes of a few kinds (a sheet's), the method is a depth-first branch and
//! bound over down-sets of the precedence order with a table of proven bounds (states that were
//! met before are not searched again), started from a beam search. Nodes between which moving
//! costs nothing are folded into one. For any other matrix that this does not settle at once,
//! `local` finds a good order, `relax` prices the nodes so that paths which may repeat
//! themselves give a bound, and `layers` goes place by place through all states that the bound
//! lets live, wider and wider; what does not fit leaves its bound behind, so that the answer
//! says how far it can be off.

mod beam;
mod bound;
mod folded;
mod layers;
mod library;
mod local;
mod matrix;
mod meter;
mod problem;
mod relax;
mod search;

pub use library::{Instance, InstanceError, read_instance};
pub use problem::{Changes, OrderError, Problem};

use folded::{State, bits};
use local::Local;
use meter::Meter;
use search::Search;

/// States of the first look at a matrix.
const FIRST_LOOK: u64 = 50_000;

/// Steps of local search a node before anything else.
const QUICK_STEPS: u64 = 20;

/// Where the search has to stop.
pub struct Budget<'a> {
    /// States looked into at most, for the least cost and again for the tie rule; the same
    /// for each kind of change, which is searched by itself for a bound.
    pub nodes: u64,
    /// Asked now and then; `false` ends the search.
    pub keep_on: &'a dyn Fn() -> bool,
}

impl std::fmt::Debug for Budget<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Budget").field("nodes", &self.nodes).finish_non_exhaustive()
    }
}

impl Budget<'_> {
    /// Ten million states (some seconds): what [`solve`] is made for.
    pub const USUAL: Budget<'static> = Budget { nodes: 10_000_000, keep_on: &|| true };
}

/// An order that keeps every precedence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// The nodes, first to last.
    pub nodes: Vec<usize>,
    /// Cost of the path, start included.
    pub cost: i64,
    /// No order costs less than this.
    pub lower_bound: i64,
    /// Whether the cost is proven to be the least.
    pub proven: bool,
    /// States that the search looked into.
    pub states: u64,
    /// Whether this is proven to be the lexicographically least order among the best.
    pub first: bool,
}

/// The order of least cost; among the best the lexicographically least by node number.
///
/// Where the budget ends first, the best order found, with a bound that holds.
///
/// ```
/// use strip::order::{Budget, Changes, Problem, solve};
///
/// // Nodes 0 and 2 are in one place, 1 in another; 1 comes before 2.
/// let places = Changes { cost: 4, class: vec![0, 1, 0] };
/// let problem = Problem::from_changes(3, vec![places], &[(1, 2)])?;
/// let order = solve(&problem, &Budget::USUAL);
/// assert_eq!((order.nodes, order.cost, order.proven), (vec![1, 0, 2], 4, true));
/// # Ok::<(), strip::order::OrderError>(())
/// ```
#[must_use]
pub fn solve(problem: &Problem, budget: &Budget<'_>) -> Order {
    if !problem.layers().is_empty() {
        return by_states(problem, budget);
    }
    // A small one is done with before the bounds for a large one are prepared.
    let nodes = budget.nodes.min(FIRST_LOOK);
    let order = by_states(problem, &Budget { nodes, keep_on: budget.keep_on });
    if order.proven { order } else { matrix::improved(problem, order, budget) }
}

/// By a table of states alone.
fn by_states(problem: &Problem, budget: &Budget<'_>) -> Order {
    let mut search = Search::new(problem, budget);
    let mut best = quick(problem, &mut search, budget);
    let root = State::START;
    let mut low = search.bound(root).min(best.cost);
    // Two shallow passes for a bound; then all at once, as each pass repeats the one before.
    let mut parts = [4, 2].into_iter();
    while low < best.cost {
        let step = (best.cost - 1 - low).div_euclid(parts.next().unwrap_or(1));
        let Some(value) = search.value(root, low + step) else { break };
        if value <= low + step
            && let Some(visits) = search.visits(root)
        {
            best = Path { cost: value, nodes: search.folded.unfold(&visits) };
        }
        low = value.min(best.cost);
    }
    let proven = low >= best.cost;
    let states = search.states();
    if proven {
        search.again();
        if let Some(nodes) = first_of_the_best(problem, &mut search, best.cost) {
            let states = states + search.states();
            let (cost, lower_bound) = (best.cost, low);
            return Order { nodes, cost, lower_bound, proven, first: true, states };
        }
    }
    let nodes = best.nodes;
    Order { nodes, cost: best.cost, lower_bound: low, proven, first: false, states }
}

/// An order with its cost.
struct Path {
    cost: i64,
    nodes: Vec<usize>,
}

/// A good order at once: by local search or by the beam.
fn quick(problem: &Problem, search: &mut Search<'_>, budget: &Budget<'_>) -> Path {
    let steps = QUICK_STEPS * u64::try_from(problem.len()).unwrap_or(0);
    let nodes = Local::new(problem).best(steps, &mut Meter::new(budget));
    let local = Path { cost: problem.length(&nodes), nodes };
    let by_beam = beam::path(search);
    if local.nodes.len() == problem.len() && local.cost < by_beam.cost {
        return local;
    }
    let nodes = search.folded.unfold(&by_beam.visits);
    Path { cost: by_beam.cost, nodes }
}

/// Takes, place by place, the least node after which the least cost can still be reached.
fn first_of_the_best(
    problem: &Problem,
    search: &mut Search<'_>,
    least: i64,
) -> Option<Vec<usize>> {
    let mut nodes: Vec<usize> = Vec::with_capacity(problem.len());
    let (mut done, mut left) = (0_u128, least);
    while nodes.len() < problem.len() {
        let mut taken = None;
        for node in bits(search.folded.available(done)) {
            let step = match nodes.last() {
                Some(&last) => problem.cost(last, node),
                None => problem.start(node),
            };
            if step > left {
                continue;
            }
            let after =
                search.folded.visit(done | 1 << node, search.folded.group_of(node));
            if search.value(after, left - step)? <= left - step {
                taken = Some((node, step));
                break;
            }
        }
        let (node, step) = taken?;
        nodes.push(node);
        done |= 1 << node;
        left -= step;
    }
    Some(nodes)
}
