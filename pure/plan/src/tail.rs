//! A plain policy that is always at hand: repairs by what they put right for their cost,
//! with or without a proof after each, stopping where that is cheapest.
//!
//! Its next action depends on the state alone, so following it step by step costs no more
//! than it promised (it is sequentially consistent): its cost is an upper bound.

use weigh::bit;

use crate::problem::Problem;
use crate::state::{OffIx, State, Trips, tie};

/// What the plain policy does next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Move {
    /// Close or pass on, whichever is the cheaper.
    Stop,
    /// The act at this place of the problem's list.
    Act(usize),
}

/// More repairs than this in a row are not followed.
const LONGEST: usize = 4;

/// The plain policy, with room to work in.
#[derive(Debug, Default)]
pub(crate) struct Tail {
    state: State,
    costs: Costs,
    /// Repairs that put anything right where it starts, by their places in `Problem::repairs`.
    useful: Vec<usize>,
}

impl Tail {
    /// The plain policy's cost from here, and its first move; `stop` is what stopping costs.
    pub(crate) fn best(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        start: &State,
        stop: f64,
    ) -> (f64, Move) {
        let mut best = (stop, Move::Stop);
        self.useful.clear();
        self.useful.extend((0..problem.repairs.len()).filter(|nth| {
            let act = &problem.acts[problem.repairs[*nth]];
            start.done.repairs & bit(act.place) == 0 && start.moves(act)
        }));
        let provable = start.proofs_open()
            && problem
                .proofs
                .iter()
                .any(|proof| start.done.proofs & bit(problem.acts[*proof].place) == 0);
        // With nothing to prove first it is the same as a repair first.
        let ways = [Chain::Plain, Chain::RepairFirst, Chain::ProofFirst];
        for way in ways.into_iter().take(if provable { 3 } else { 2 }) {
            self.state.clone_from(start);
            let room = (&mut self.state, &mut self.costs, &*self.useful);
            // What is cheaper by rounding alone ties, and what was there comes first.
            let enough = best.0 - tie(best.0);
            if let Some(chain) = chain(problem, trips, room, (way, enough)) {
                best = (chain.0, Move::Act(chain.1));
            }
        }
        best
    }
}

/// What a chain is made of. What is left of a chain after its first act is a chain again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Chain {
    /// Repairs alone.
    Plain,
    /// Repairs, each followed by its best proof.
    RepairFirst,
    /// The same, a proof first where one is to be had.
    ProofFirst,
}

/// Repairs in greedy order; the cost of the best place to stop, and the first act, where that
/// is below `enough`.
fn chain(
    problem: &Problem,
    trips: &mut Trips,
    (state, costs, useful): (&mut State, &mut Costs, &[usize]),
    (way, enough): (Chain, f64),
) -> Option<(f64, usize)> {
    let mut first = None;
    let (mut paid, mut reached) = (0.0, 1.0);
    let mut best = enough;
    let mut proving = way == Chain::ProofFirst;
    for _ in 0..LONGEST {
        if proving && let Some(proof) = best_proof(problem, trips, state) {
            first.get_or_insert(proof.place);
            paid += reached * proof.paid;
            if paid >= best {
                break;
            }
            let to = trips.trip(problem, state.off, proof.place).to;
            let Some(p) = state.prove(&problem.acts[proof.place], true, to) else {
                best = best.min(paid);
                break;
            };
            reached *= p;
            best = best.min(paid + reached * state.stop(problem, trips).1);
        }
        proving = way != Chain::Plain;
        let Some(place) = best_repair(problem, trips, (state, costs, useful)) else {
            break;
        };
        first.get_or_insert(place);
        let act = &problem.acts[place];
        let trip = trips.trip(problem, state.off, place);
        paid += reached * (trip.cost + act.pay + state.extra(problem, act));
        if paid >= best {
            break;
        }
        state.repair(act, trip.to);
        best = best.min(paid + reached * state.stop(problem, trips).1);
    }
    first.filter(|_| best < enough).map(|first| (best, first))
}

/// The repair that puts most right for its cost.
fn best_repair(
    problem: &Problem,
    trips: &mut Trips,
    (state, costs, useful): (&State, &mut Costs, &[usize]),
) -> Option<usize> {
    let costs = costs.from(problem, trips, state.off);
    let mut best: Option<(f64, f64, usize)> = None;
    for &nth in useful {
        let (place, cost) = (problem.repairs[nth], costs[nth]);
        let act = &problem.acts[place];
        if state.done.repairs & bit(act.place) != 0 {
            continue;
        }
        let moved = state.moved_by(act);
        // Without a division: moved / cost above the best so far.
        if moved > 0.0 && best.is_none_or(|(most, price, _)| moved * price > most * cost)
        {
            best = Some((moved, cost, place));
        }
    }
    best.map(|(_, _, place)| place)
}

/// Cost of every repair, with what it adds to a refit of everything, by what is off.
#[derive(Debug, Default)]
struct Costs(Vec<Option<Box<[f64]>>>);

impl Costs {
    fn from(&mut self, problem: &Problem, trips: &mut Trips, off: OffIx) -> &[f64] {
        let at = off.at();
        if self.0.len() <= at {
            self.0.resize_with(at + 1, || None);
        }
        self.0[at].get_or_insert_with(|| {
            let here = trips.refit_all(off);
            let cost = |place: &usize| {
                let trip = trips.trip(problem, off, *place);
                let more = trip.cost + trips.refit_all(trip.to) - here;
                (more + problem.acts[*place].pay).max(1e-6)
            };
            problem.repairs.iter().map(cost).collect()
        })
    }
}

/// A proof, and what is paid for it and for stopping where it stays clear.
#[derive(Debug, Clone, Copy)]
struct Proof {
    place: usize,
    paid: f64,
}

/// The proof that is best where one stops right after it.
fn best_proof(problem: &Problem, trips: &mut Trips, state: &State) -> Option<Proof> {
    if !state.proofs_open() {
        return None;
    }
    let mut best: Option<(f64, Proof)> = None;
    for &place in &problem.proofs {
        let act = &problem.acts[place];
        if state.done.proofs & bit(act.place) != 0 {
            continue;
        }
        let trip = trips.trip(problem, state.off, place);
        let (unfixed_shown, fixed_shown) = state.shown_shares(act);
        let refit = trips.refit_all(trip.to);
        let end = |unfixed: f64, fixed: f64| {
            let either = unfixed + fixed;
            refit * either
                + (problem.economy.comeback * unfixed)
                    .min(problem.economy.pass_on * either)
        };
        let (unfixed, fixed) = (state.unfixed(), state.fixed());
        let paid = trip.cost
            + act.pay
            + state.extra(problem, act)
            + end(unfixed - unfixed_shown, fixed - fixed_shown);
        let cost = paid + end(unfixed_shown, fixed_shown);
        if best.is_none_or(|(have, _)| cost < have) {
            best = Some((cost, Proof { place, paid }));
        }
    }
    best.map(|(_, proof)| proof)
}
