//! A plain policy that is always at hand: repairs by what they put right for their cost,
//! with or without a proof after each, stopping where that is cheapest.
//!
//! Its next action depends on the state alone, so following it step by step costs no more
//! than it promised (it is sequentially consistent): its cost is an upper bound.

use weigh::bit;

use crate::problem::{NEGLIGIBLE, Problem};
use crate::state::{State, Trips};

/// What the plain policy does next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Move {
    /// Close or pass on, whichever is the cheaper.
    Stop,
    /// The act at this place of the problem's list.
    Act(usize),
}

/// More repairs than this in a row are not followed.
const LONGEST: usize = 8;

/// The plain policy's cost from here, and its first move.
pub(crate) fn tail(
    problem: &Problem<'_>,
    trips: &mut Trips,
    state: &State,
) -> (f64, Move) {
    let mut best = (state.stop(problem, trips).1, Move::Stop);
    let plain = chain(problem, trips, state.clone(), false);
    let proven = chain(problem, trips, state.clone(), true);
    for (cost, first) in [plain, proven].into_iter().flatten() {
        if cost < best.0 {
            best = (cost, Move::Act(first));
        }
    }
    best
}

/// Repairs in greedy order (each followed by its best proof where `proving`; a proof first
/// where one is to be had); the cost of the best place to stop, and the first act.
fn chain(
    problem: &Problem<'_>,
    trips: &mut Trips,
    start: State,
    proving: bool,
) -> Option<(f64, usize)> {
    let mut state = start;
    let mut first = None;
    let (mut paid, mut reached) = (0.0, 1.0);
    let mut best = f64::INFINITY;
    for _ in 0..LONGEST {
        if proving && let Some(proof) = best_proof(problem, trips, &state) {
            first.get_or_insert(proof.place);
            paid += reached * proof.paid;
            let to = trips.trip(problem, state.off, proof.place).to;
            let Some(shown) = state.prove(&problem.acts[proof.place], true, to) else {
                best = best.min(paid);
                break;
            };
            reached *= shown.p;
            state = shown.state;
            best = best.min(paid + reached * state.stop(problem, trips).1);
        }
        let Some(place) = best_repair(problem, trips, &state) else { break };
        first.get_or_insert(place);
        let act = &problem.acts[place];
        let trip = trips.trip(problem, state.off, place);
        paid += reached * (trip.cost + act.pay + state.extra(problem, act));
        state.repair(act, trip.to);
        best = best.min(paid + reached * state.stop(problem, trips).1);
    }
    first.map(|first| (best, first))
}

/// The repair that puts most right for its cost.
fn best_repair(problem: &Problem<'_>, trips: &mut Trips, state: &State) -> Option<usize> {
    let here = trips.refit_all(state.off);
    let mut best: Option<(f64, usize)> = None;
    for &place in &problem.repairs {
        let act = &problem.acts[place];
        if state.done.repairs & bit(act.place) != 0 {
            continue;
        }
        let moved = state.moved_by(act);
        if moved <= 0.0 {
            continue;
        }
        let trip = trips.trip(problem, state.off, place);
        let cost = trip.cost + trips.refit_all(trip.to) - here + act.pay;
        let worth = moved / cost.max(1e-6);
        if best.is_none_or(|(have, _)| worth > have) {
            best = Some((worth, place));
        }
    }
    best.map(|(_, place)| place)
}

/// A proof, and what is paid for it and for stopping where it stays clear.
#[derive(Debug, Clone, Copy)]
struct Proof {
    place: usize,
    paid: f64,
}

/// The proof that is best where one stops right after it.
fn best_proof(problem: &Problem<'_>, trips: &mut Trips, state: &State) -> Option<Proof> {
    if state.fixed() <= NEGLIGIBLE {
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
