//! Lower bounds from telling in which group of causes the fault lies.
//!
//! The least cost V is concave in the odds, so telling the repairer at the start in which
//! group G the cause is, fixed by now or not, can only make things cheaper:
//! `V(b, f) ≥ Σ (b(G) + f(G))·V[G]`, where f(G) is the share that was put right of causes in G.
//! `V[G]` is the same problem with fewer causes, and is searched in the same way. What does
//! not matter within a group is left out of its states, so that few of them serve many.

use std::sync::Arc;

use sheet::ItemSet;
use weigh::{Done, bit};

use crate::partition;
use crate::problem::{Effect, Kind, NEGLIGIBLE, Problem};
use crate::search::{Allowance, Limits, NOTHING_MORE, Search};
use crate::state::{OffIx, Proving, State, Trips};

/// Some causes, with a search of their own.
#[derive(Debug)]
pub(crate) struct Group {
    /// Live causes of the problem that the group is part of.
    causes: Vec<usize>,
    search: Search,
    /// Items, checks and repairs that matter here.
    items: ItemSet,
    checks: u128,
    repairs: u128,
    /// What is off, by its place in the whole problem: its place here, and the cost of
    /// refitting what does not matter here.
    canonical: Vec<Option<(OffIx, f64)>>,
    /// Whether driving is counted here.
    drives: bool,
    /// Whether a look outside may open the proofs.
    always: bool,
    /// The state within, made anew at each call.
    within: State,
}

impl Group {
    pub(crate) fn new(whole: &Problem, causes: Vec<usize>) -> Self {
        let problem = whole.among(&causes);
        let (mut items, mut checks, mut repairs) = (ItemSet::EMPTY, 0, 0);
        let drives =
            problem.acts.iter().any(|act| matches!(act.effect, Effect::Drive { .. }));
        for act in &problem.acts {
            items = items.union(act.closed);
            if act.kind == Kind::Check {
                checks |= bit(act.place);
            } else if act.kind == Kind::Repair && !act.fixes.is_empty() {
                repairs |= bit(act.place);
            }
        }
        let (nodes, bytes) = (usize::MAX, usize::MAX);
        let limits = Limits { gap: 0.0, nodes, bytes, step_only: false };
        let mut search = Search::new(Arc::new(problem), limits);
        search.late = true;
        Self {
            causes,
            search,
            items,
            checks,
            repairs,
            canonical: Vec::new(),
            drives,
            always: whole
                .acts
                .iter()
                .any(|a| a.kind == Kind::Check && !a.fixes.is_empty()),
            within: State::default(),
        }
    }

    /// What telling its causes apart adds to a lower bound of `state`, after so many
    /// expansions.
    pub(crate) fn worth(
        &mut self,
        trips: &Trips,
        state: &State,
        allowed: Allowance<'_>,
    ) -> f64 {
        self.cost(trips, state, allowed).map_or(0.0, |(share, cost)| share * cost)
    }

    /// Has parts of the group told in its own bounds.
    fn split(&mut self, trips: &Trips, state: &State, keep_on: &dyn Fn() -> bool) {
        if self.causes.len() > 2 {
            let _ = self.cost(trips, state, NOTHING_MORE);
            let half = self.causes.len().div_ceil(2);
            let parts = parted(&self.search, &self.within, (half, keep_on));
            self.search.tell(parts);
        }
    }

    /// The share of `state` that lies in the group, and a lower bound of what it costs, worked
    /// out as far as is allowed.
    pub(crate) fn cost(
        &mut self,
        trips: &Trips,
        state: &State,
        allowed: Allowance<'_>,
    ) -> Option<(f64, f64)> {
        let all: f64 = self.causes.iter().map(|c| state.odds[*c] + state.held[*c]).sum();
        if all <= NEGLIGIBLE {
            return None;
        }
        let (off, refit) = self.canonical(trips, state.off);
        let mut within = std::mem::take(&mut self.within);
        within.off = off;
        within.held.clear();
        within.held.extend(self.causes.iter().map(|c| state.held[*c] / all));
        let fixed = within.held.iter().sum();
        within.odds.clear();
        within
            .odds
            .extend(self.causes.iter().map(|c| state.odds[*c] / all).chain([fixed]));
        within.done = Done {
            checks: state.done.checks & self.checks,
            repairs: state.done.repairs & self.repairs,
            proofs: state.done.proofs,
        };
        // What lies outside the group may have opened the proofs.
        within.proving = match state.proving {
            Proving::Open => Proving::Open,
            Proving::ByShare | Proving::NotYet if self.always => Proving::Open,
            Proving::ByShare if state.fixed() > NEGLIGIBLE => Proving::Open,
            Proving::ByShare | Proving::NotYet => Proving::NotYet,
        };
        within.count = state.count.filter(|_| self.drives);
        let cost = refit + self.search.low(&within, allowed);
        self.within = within;
        Some((all, cost))
    }

    /// Memory of its states, bytes.
    pub(crate) fn bytes(&self) -> usize {
        self.search.bytes()
    }

    /// Memory that its next state may take, bytes.
    pub(crate) fn growth(&self) -> usize {
        self.search.growth()
    }

    /// Has its own groups asked for no more once it takes so much memory, bytes.
    pub(crate) fn limit(&mut self, bytes: usize) {
        self.search.limits.bytes = bytes;
    }

    /// Forgets how its bounds were found, and those of its own groups.
    pub(crate) fn forget_acts(&mut self) {
        self.search.graph.forget_acts();
        self.search.groups.iter_mut().for_each(Self::forget_acts);
    }

    /// Forgets its states, and those of its own groups.
    pub(crate) fn forget_states(&mut self) {
        self.search.graph.forget_states();
        self.search.groups.iter_mut().for_each(Self::forget_states);
    }

    /// Expansions of its search.
    pub(crate) fn work(&self) -> usize {
        self.search.work()
    }

    /// How many states its search keeps.
    pub(crate) fn size(&self) -> usize {
        self.search.size()
    }

    fn canonical(&mut self, trips: &Trips, off: OffIx) -> (OffIx, f64) {
        let at = off.at();
        if self.canonical.len() <= at {
            self.canonical.resize(at + 1, None);
        }
        if let Some(known) = self.canonical[at] {
            return known;
        }
        let meant = trips.set(off).meet(self.items);
        let own = &mut self.search;
        let kept = own.trips.place(&own.problem, meant);
        let refit = trips.refit_all(off) - own.trips.refit_all(kept);
        self.canonical[at] = Some((kept, refit));
        (kept, refit)
    }
}

/// Groups of at most `largest` causes that are dear not to know apart at `state`, each with
/// groups of half that size in turn; none where `keep_on` says no before they are known.
pub(crate) fn parted(
    search: &Search,
    state: &State,
    (largest, keep_on): (usize, &dyn Fn() -> bool),
) -> Vec<Group> {
    let mut groups = partition::chosen(search, state, (largest, keep_on));
    for group in &mut groups {
        group.split(&search.trips, state, keep_on);
    }
    groups
}

/// For a certificate.
impl Group {
    /// Its live causes of the problem that it is part of.
    pub(crate) fn members(&self) -> &[usize] {
        &self.causes
    }

    /// A lower bound of a state within the group, where repairs that put nothing right in it
    /// may have been done too.
    pub(crate) fn low(
        &mut self,
        trips: &Trips,
        state: &State,
        expansions: u32,
    ) -> Option<f64> {
        let repairs = std::mem::replace(&mut self.repairs, u128::MAX);
        let allowed = Allowance { expansions, keep_on: &|| true };
        let cost = self.cost(trips, state, allowed);
        self.repairs = repairs;
        cost.map(|(_, cost)| cost)
    }
}

/// For a certificate.
impl Search {
    /// The live causes of each group.
    pub(crate) fn group_members(&self) -> Vec<Vec<usize>> {
        self.groups.iter().map(|group| group.members().to_vec()).collect()
    }

    /// A lower bound of a state within a group, worked out with at most so many expansions.
    pub(crate) fn low_within(
        &mut self,
        group: usize,
        state: &State,
        expansions: u32,
    ) -> Option<f64> {
        self.groups.get_mut(group)?.low(&self.trips, state, expansions)
    }
}
