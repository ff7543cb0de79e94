//! The plan that is returned, as a graph of steps: its exact cost, its cost cause by cause,
//! how it ends and which parts it needs.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::sync::Arc;

use rustc_hash::FxHasher;
use sheet::ItemSet;

use crate::problem::{Effect, Kind, Problem};
use crate::search::{Search, end_of};
use crate::state::State;
use crate::tail::Move;

/// A step of the plan: an act, or an end.
#[derive(Debug)]
pub(crate) struct Step {
    pub(crate) state: State,
    /// What is off before it.
    pub(crate) from: ItemSet,
    /// Place in the problem's acts; `None`: the end in `end`.
    pub(crate) act: Option<usize>,
    pub(crate) end: Kind,
    /// What is off once the act is reached (nothing at an end).
    pub(crate) to: ItemSet,
    pub(crate) kids: Vec<Kid>,
    /// Expected cost from here on.
    pub(crate) cost: f64,
}

/// An outcome of a step and where it leads.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kid {
    pub(crate) p: f64,
    pub(crate) outcome: usize,
    pub(crate) step: usize,
}

/// Steps with their outcomes; those that follow stand before the step that leads there.
#[derive(Debug, Default)]
pub(crate) struct Policy {
    pub(crate) steps: Vec<Step>,
    known: HashMap<Place, usize, BuildHasherDefault<FxHasher>>,
}

/// Where a step stands: at a node of the search, or in a state that it did not meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Place {
    Node(u32),
    State(u128),
}

/// To this depth ties are settled before an act is taken.
pub(crate) const SETTLED: usize = 2;

impl Policy {
    /// The step for a state and all that follow it.
    pub(crate) fn grow(
        &mut self,
        search: &mut Search,
        (node, state): (Option<u32>, &State),
        depth: usize,
        keep_on: &dyn Fn() -> bool,
    ) -> usize {
        let node = node.or_else(|| (depth < SETTLED).then(|| search.node(state)));
        let key = node.map_or_else(|| Place::State(state.fingerprint()), Place::Node);
        if let Some(step) = self.known.get(&key) {
            return *step;
        }
        if let Some(at) = node.filter(|_| depth < SETTLED) {
            search.settle(at, state, keep_on);
        }
        let act = match search.best_act(node, state) {
            Move::Stop => None,
            Move::Act(place) => Some(place),
        };
        let step = self.begin_with(search, (node, state), (act, depth), keep_on);
        self.known.insert(key, step);
        step
    }

    /// A step with this act (an end where `None`), and the best known plan after it.
    pub(crate) fn begin_with(
        &mut self,
        search: &mut Search,
        (node, state): (Option<u32>, &State),
        (act, depth): (Option<usize>, usize),
        keep_on: &dyn Fn() -> bool,
    ) -> usize {
        let (end, stop) = end_of(search, state);
        let mut step = Step {
            state: state.clone(),
            from: search.trips.set(state.off),
            act,
            end,
            to: ItemSet::EMPTY,
            kids: Vec::new(),
            cost: stop,
        };
        if let Some(place) = act {
            let problem = Arc::clone(&search.problem);
            let entry = &problem.acts[place];
            let trip = search.trips.trip(&problem, state.off, place);
            step.to = search.trips.set(trip.to);
            step.cost = trip.cost + entry.pay + state.extra(&problem, entry);
            for branch in state.branches(entry, trip.to) {
                let node = node.and_then(|at| search.kid(at, place, branch.outcome));
                let node = node.or_else(|| search.graph.find(branch.state.fingerprint()));
                let next = self.grow(search, (node, &branch.state), depth + 1, keep_on);
                step.cost += branch.p * self.steps[next].cost;
                step.kids.push(Kid { p: branch.p, outcome: branch.outcome, step: next });
            }
        }
        self.steps.push(step);
        self.steps.len() - 1
    }

    /// An end of the asked kind, whatever it costs.
    pub(crate) fn end_with(
        &mut self,
        search: &mut Search,
        state: &State,
        end: Kind,
    ) -> usize {
        let (close, pass_on) = state.stops(&search.problem, &search.trips);
        let cost = if end == Kind::PassOn { pass_on } else { close };
        let (from, to) = (search.trips.set(state.off), ItemSet::EMPTY);
        let state = state.clone();
        self.steps.push(Step { state, from, act: None, end, to, kids: Vec::new(), cost });
        self.steps.len() - 1
    }

    /// Probability of reaching each step from `root`.
    pub(crate) fn reach(&self, root: usize) -> Vec<f64> {
        let mut reach = vec![0.0; root + 1];
        reach[root] = 1.0;
        for at in (0..=root).rev() {
            for kid in &self.steps[at].kids {
                reach[kid.step] += reach[at] * kid.p;
            }
        }
        reach
    }

    /// Expected cost from every step by live cause (the fixed vehicle last): linear pieces
    /// whose mix by the odds is [`Step::cost`].
    pub(crate) fn by_cause(&self, search: &mut Search) -> Vec<Vec<f64>> {
        let mut all: Vec<Vec<f64>> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let costs = step_by_cause(search, step, &all);
            all.push(costs);
        }
        all
    }
}

fn step_by_cause(search: &mut Search, step: &Step, later: &[Vec<f64>]) -> Vec<f64> {
    let problem = &*Arc::clone(&search.problem);
    let fixed = problem.causes();
    let refit = search.trips.refit_all(step.state.off);
    let Some(place) = step.act else {
        let (there, gone) = match step.end {
            Kind::PassOn => (problem.economy.pass_on, problem.economy.pass_on),
            Kind::Close | Kind::Check | Kind::Repair | Kind::Proof => {
                (problem.economy.comeback, 0.0)
            }
        };
        return (0..=fixed)
            .map(|c| refit + if c == fixed { gone } else { there })
            .collect();
    };
    let act = &problem.acts[place];
    let paid = search.trips.trip(problem, step.state.off, place).cost + act.pay;
    let unmet = refit + problem.economy.comeback;
    let then = |outcome: usize, cause: usize| {
        let kid = step.kids.iter().find(|kid| kid.outcome == outcome);
        kid.map_or(unmet, |kid| later[kid.step][cause])
    };
    let share = |cause: usize| act.fixes.get(cause).copied().unwrap_or(0.0);
    let after = |outcome: usize, cause: usize| {
        let q = share(cause);
        if q > 0.0 {
            (1.0 - q) * then(outcome, cause) + q * then(outcome, fixed)
        } else {
            then(outcome, cause)
        }
    };
    (0..=fixed)
        .map(|cause| paid + mean_after(problem, step, (act, cause), &after))
        .collect()
}

/// The mean over the outcomes that a cause gives.
fn mean_after(
    problem: &Problem,
    step: &Step,
    (act, cause): (&crate::problem::Act, usize),
    after: &dyn Fn(usize, usize) -> f64,
) -> f64 {
    let fixed = problem.causes();
    let shown_or_clear = |shows: f64, if_shown: f64| {
        shows * (if_shown + after(1, cause)) + (1.0 - shows) * after(0, cause)
    };
    match &act.effect {
        Effect::Look { rows } => {
            let outcomes = rows.iter().enumerate().filter(|(_, row)| row[cause] > 0.0);
            outcomes.map(|(outcome, row)| row[cause] * after(outcome, cause)).sum()
        }
        Effect::PutRight { again } => {
            let share = act.fixes.get(cause).copied().unwrap_or(0.0);
            share * again * problem.economy.comeback + after(0, cause)
        }
        Effect::Show { shows, if_shown } => shown_or_clear(shows[cause], *if_shown),
        Effect::Drive { exposure, falsely, if_shown } => {
            let count = step.state.count.map_or(0.0, |count| count.shows(*exposure));
            shown_or_clear(if cause == fixed { *falsely } else { count }, *if_shown)
        }
    }
}
