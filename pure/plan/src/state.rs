//! A state of the problem, its identity, and what an action makes of it.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use rustc_hash::FxHasher;
use sheet::ItemSet;
use strip::{move_cost, move_to};
use weigh::{Count, Done, Odds, bit};

use crate::problem::{Act, Built, Effect, Kind, NEGLIGIBLE, Problem};

/// Where the job stands: what is off, what is done, the count, and the odds by live cause
/// with the fixed vehicle last.
#[derive(Debug, Default)]
pub(crate) struct State {
    pub(crate) off: OffIx,
    pub(crate) done: Done,
    pub(crate) count: Option<Count>,
    pub(crate) odds: Vec<f64>,
    /// The part of the fixed share that was each live cause.
    pub(crate) held: Vec<f64>,
    pub(crate) proving: Proving,
}

/// When a proof may be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Proving {
    /// Where something may be fixed.
    #[default]
    ByShare,
    /// In a group of causes: not before something was put right, in the group or outside.
    NotYet,
    /// In a group of causes: something was put right, perhaps outside the group.
    Open,
}

/// One outcome of an action.
#[derive(Debug, Clone)]
pub(crate) struct Branch {
    pub(crate) outcome: usize,
    pub(crate) p: f64,
    pub(crate) state: State,
}

/// A set of items off that was met: its place in [`Trips`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) struct OffIx(u32);

impl OffIx {
    /// Its place in the table of sets.
    pub(crate) fn at(self) -> usize {
        self.0 as usize
    }
}

/// What is off once an act is reached, and the cost of getting there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trip {
    pub(crate) to: OffIx,
    pub(crate) cost: f64,
}

/// Sets of items off with the trips between them, worked out once each.
#[derive(Debug, Default)]
pub(crate) struct Trips {
    sets: Vec<ItemSet>,
    index: HashMap<u128, OffIx, BuildHasherDefault<FxHasher>>,
    /// Trips known, by set, then by act.
    known: Vec<Vec<Option<Trip>>>,
    refit: Vec<f64>,
}

impl Trips {
    /// Memory taken, bytes.
    pub(crate) fn bytes(&self) -> usize {
        let rows: usize = self.known.iter().map(Vec::capacity).sum();
        let set = size_of::<(u128, OffIx)>() + size_of::<(ItemSet, f64)>();
        rows * size_of::<Option<Trip>>() + self.sets.len() * set
    }

    /// The place of a set.
    pub(crate) fn place(&mut self, problem: &Problem, off: ItemSet) -> OffIx {
        if let Some(known) = self.index.get(&off.0) {
            return *known;
        }
        let at = OffIx(u32::try_from(self.sets.len()).unwrap_or(u32::MAX));
        self.sets.push(off);
        self.known.push(Vec::new());
        self.refit
            .push(move_cost(&problem.sheet, &problem.economy, off, ItemSet::EMPTY).cost);
        self.index.insert(off.0, at);
        at
    }

    /// The items of a place.
    pub(crate) fn set(&self, off: OffIx) -> ItemSet {
        self.sets[off.0 as usize]
    }

    /// The trip that `act` (at `place` in the problem's list) needs from `off`.
    pub(crate) fn trip(&mut self, problem: &Problem, off: OffIx, place: usize) -> Trip {
        if let Some(Some(known)) = self.known[off.0 as usize].get(place) {
            return *known;
        }
        let from = self.set(off);
        let set = items_off_for(problem, from, &problem.acts[place]);
        let cost = move_cost(&problem.sheet, &problem.economy, from, set).cost;
        let trip = Trip { to: self.place(problem, set), cost };
        let known = &mut self.known[off.0 as usize];
        // Most sets are only arrived at: they need no row.
        known.resize(problem.acts.len(), None);
        known[place] = Some(trip);
        trip
    }

    /// Cost of refitting everything.
    pub(crate) fn refit_all(&self, off: OffIx) -> f64 {
        self.refit[off.0 as usize]
    }
}

/// R′ of an action.
fn items_off_for(problem: &Problem, off: ItemSet, act: &Act) -> ItemSet {
    match act.built {
        Built::Whole => ItemSet::EMPTY,
        Built::Assembled => move_to(&problem.sheet, off, act.closed, act.on, true),
        Built::AsNeeded => move_to(&problem.sheet, off, act.closed, act.on, false),
    }
}

impl Clone for State {
    fn clone(&self) -> Self {
        let (odds, held) = (self.odds.clone(), self.held.clone());
        let Self { off, done, count, proving, .. } = *self;
        Self { off, done, count, odds, held, proving }
    }

    fn clone_from(&mut self, from: &Self) {
        (self.off, self.done) = (from.off, from.done);
        (self.count, self.proving) = (from.count, from.proving);
        self.odds.clone_from(&from.odds);
        self.held.clone_from(&from.held);
    }
}

impl State {
    /// The present state, with odds over the live causes.
    pub(crate) fn at_first(problem: &Problem, odds: &Odds, off: OffIx) -> Self {
        let live = problem.cause_of.iter().map(|cause| odds.present[*cause]);
        let drives =
            problem.acts.iter().any(|act| matches!(act.effect, Effect::Drive { .. }));
        Self {
            off,
            done: odds.done,
            count: odds.count.filter(|_| drives),
            odds: live.chain([odds.fixed()]).collect(),
            held: problem.cause_of.iter().map(|cause| odds.fixed_from[*cause]).collect(),
            proving: Proving::ByShare,
        }
    }

    /// f.
    pub(crate) fn fixed(&self) -> f64 {
        self.odds.last().copied().unwrap_or(0.0)
    }

    /// Σ b.
    pub(crate) fn unfixed(&self) -> f64 {
        self.odds[..self.odds.len() - 1].iter().sum()
    }

    /// Whether the act can be taken here and could change anything worth a decision.
    pub(crate) fn allows(&self, act: &Act) -> bool {
        match &act.effect {
            // A look that tells nothing only matters where it is free: it ties.
            Effect::Look { rows } => {
                self.done.checks & bit(act.place) == 0
                    && (act.pay <= 0.0
                        || self.moves(act)
                        || act.reopens && self.done.proofs != 0
                        || rows.iter().any(|row| self.tells(row)))
            }
            // A repair that moves nothing still opens the proofs (again), or ties where free.
            Effect::PutRight { .. } => {
                let opens = self.done.proofs != 0 || self.proving == Proving::NotYet;
                self.done.repairs & bit(act.place) == 0
                    && act.only_after & !self.done.repairs == 0
                    && (act.pay <= 0.0 || self.moves(act) || opens)
            }
            Effect::Show { .. } | Effect::Drive { .. } => {
                self.proofs_open() && self.done.proofs & bit(act.place) == 0
            }
        }
    }

    /// Whether a proof may be had here.
    pub(crate) fn proofs_open(&self) -> bool {
        match self.proving {
            Proving::ByShare => self.fixed() > NEGLIGIBLE,
            Proving::NotYet => false,
            Proving::Open => true,
        }
    }

    /// Probability that the act puts the fault right here.
    pub(crate) fn moved_by(&self, act: &Act) -> f64 {
        act.cures.iter().map(|(cause, share)| share * self.odds[*cause]).sum()
    }

    /// Whether the act puts anything right here.
    pub(crate) fn moves(&self, act: &Act) -> bool {
        act.cures.iter().any(|(cause, share)| share * self.odds[*cause] > 0.0)
    }

    /// Whether a row of likelihoods differs between causes that are possible here.
    fn tells(&self, row: &[f64]) -> bool {
        let mut possible = row
            .iter()
            .zip(&self.odds)
            .filter(|(_, odds)| **odds > 0.0)
            .map(|(p, _)| p.to_bits());
        let first = possible.next();
        possible.any(|p| Some(p) != first)
    }

    /// Money at once beyond the act's own pay and the trip: `again` of a repair, the extra of
    /// a proof that shows. A mean.
    pub(crate) fn extra(&self, problem: &Problem, act: &Act) -> f64 {
        match &act.effect {
            Effect::Look { .. } => 0.0,
            Effect::PutRight { again } => {
                let moved = self.moved_by(act);
                problem.economy.comeback * again * moved
            }
            Effect::Show { if_shown, .. } | Effect::Drive { if_shown, .. } => {
                if *if_shown <= 0.0 {
                    return 0.0;
                }
                let (unfixed, fixed) = self.shown_shares(act);
                if_shown * (unfixed + fixed)
            }
        }
    }

    /// Probability that a proof shows here with the fault still there, and although fixed.
    pub(crate) fn shown_shares(&self, act: &Act) -> (f64, f64) {
        match &act.effect {
            Effect::Show { shows, .. } => {
                let all: f64 = shows.iter().zip(&self.odds).map(|(p, b)| p * b).sum();
                let falsely = shows.last().copied().unwrap_or(0.0) * self.fixed();
                ((all - falsely).max(0.0), falsely)
            }
            Effect::Drive { exposure, falsely, .. } => {
                let shows = self.count.map_or(0.0, |count| count.shows(*exposure));
                (self.unfixed() * shows, self.fixed() * falsely)
            }
            Effect::Look { .. } | Effect::PutRight { .. } => (0.0, 0.0),
        }
    }

    /// The outcomes of an act with more than a negligible probability.
    pub(crate) fn branches(&self, act: &Act, to: OffIx) -> Vec<Branch> {
        (0..act.effect.outcomes())
            .filter_map(|outcome| {
                let mut state = Self::default();
                let p = self.after(act, outcome, to, &mut state)?;
                Some(Branch { outcome, p, state })
            })
            .collect()
    }

    /// Makes `next` what an outcome of an act leads to; its probability, or `None` where that
    /// is negligible.
    pub(crate) fn after(
        &self,
        act: &Act,
        outcome: usize,
        to: OffIx,
        next: &mut Self,
    ) -> Option<f64> {
        next.clone_from(self);
        match &act.effect {
            Effect::Look { rows } => next.look(act, rows.get(outcome)?, to),
            Effect::PutRight { .. } => {
                next.repair(act, to);
                Some(1.0)
            }
            Effect::Show { .. } | Effect::Drive { .. } => {
                next.prove(act, outcome == 1, to)
            }
        }
    }

    fn look(&mut self, act: &Act, row: &[f64], to: OffIx) -> Option<f64> {
        let p: f64 = row.iter().zip(&self.odds).map(|(p, b)| p * b).sum();
        if p <= NEGLIGIBLE {
            return None;
        }
        self.off = to;
        for (odds, likelihood) in self.odds.iter_mut().zip(row) {
            *odds = *odds * likelihood / p;
        }
        if let Some(likelihood) = row.last() {
            self.held.iter_mut().for_each(|held| *held *= likelihood / p);
        }
        if self.put_right(&act.cures) > 0.0 || act.reopens {
            self.done.proofs = 0;
        }
        self.done.checks |= bit(act.place) | act.spoils;
        Some(p)
    }

    /// A repair is done.
    pub(crate) fn repair(&mut self, act: &Act, to: OffIx) {
        self.off = to;
        self.put_right(&act.cures);
        self.done.proofs = 0;
        self.done.repairs |= bit(act.place);
        self.done.checks |= act.spoils;
        if self.proving == Proving::NotYet {
            self.proving = Proving::Open;
        }
    }

    /// A proof shows or stays clear; the probability of that, or `None` where it is negligible.
    pub(crate) fn prove(&mut self, act: &Act, shown: bool, to: OffIx) -> Option<f64> {
        self.off = to;
        let held;
        match &act.effect {
            Effect::Show { shows, .. } => {
                let seen = |p: f64| if shown { p } else { 1.0 - p };
                for (odds, p) in self.odds.iter_mut().zip(shows) {
                    *odds *= seen(*p);
                }
                held = seen(shows.last().copied().unwrap_or(0.0));
            }
            Effect::Drive { exposure, falsely, .. } => {
                let count = self.count?;
                let seen = if shown {
                    count.shows(*exposure)
                } else {
                    count.ln_silent(*exposure).exp()
                };
                held = if shown { *falsely } else { 1.0 - falsely };
                let (fixed, causes) = self.odds.split_last_mut()?;
                for odds in causes {
                    *odds *= seen;
                }
                *fixed *= held;
                self.count = Some(if shown {
                    count.after_set(*exposure)
                } else {
                    count.after_clear(*exposure)
                });
            }
            Effect::Look { .. } | Effect::PutRight { .. } => return None,
        }
        let p: f64 = self.odds.iter().sum();
        if p <= NEGLIGIBLE {
            return None;
        }
        self.odds.iter_mut().for_each(|odds| *odds /= p);
        self.held.iter_mut().for_each(|share| *share *= held / p);
        self.done.proofs |= bit(act.place);
        Some(p)
    }

    fn put_right(&mut self, cures: &[(usize, f64)]) -> f64 {
        let mut moved = 0.0;
        for (cause, share) in cures {
            let part = self.odds[*cause] * share;
            self.odds[*cause] -= part;
            self.held[*cause] += part;
            moved += part;
        }
        if let Some(fixed) = self.odds.last_mut() {
            *fixed += moved;
        }
        moved
    }

    /// Cost of closing now and of passing on now, everything refitted.
    pub(crate) fn stops(&self, problem: &Problem, trips: &Trips) -> (f64, f64) {
        let refit = trips.refit_all(self.off);
        (
            refit + problem.economy.comeback * self.unfixed(),
            refit + problem.economy.pass_on,
        )
    }

    /// Which end is the cheaper one; close wins a tie.
    pub(crate) fn stop(&self, problem: &Problem, trips: &Trips) -> (Kind, f64) {
        let (close, pass_on) = self.stops(problem, trips);
        if close <= pass_on + tie(pass_on) {
            (Kind::Close, close)
        } else {
            (Kind::PassOn, pass_on)
        }
    }

    /// The identity of a state. Odds count to 2⁻⁴² (a difference that no cost feels), so that
    /// the same history in another order meets here; the fixed share is part of it, since it
    /// does depend on the order.
    pub(crate) fn fingerprint(&self) -> u128 {
        let mut mixer = Mixer::default();
        let proving = match self.proving {
            Proving::ByShare => 0,
            Proving::NotYet => 1 << 32,
            Proving::Open => 2 << 32,
        };
        mixer.absorb(u64::from(self.off.0) | proving);
        for mask in [self.done.checks, self.done.repairs, self.done.proofs] {
            let [low, high] = halves(mask);
            mixer.absorb(low);
            mixer.absorb(high);
        }
        if let Some(count) = &self.count {
            mixer.absorb((count.exponent() + 1.0).to_bits());
            mixer.absorb(count.over.to_bits());
            mixer.absorb(count.clear.to_bits());
        }
        for odds in &self.odds {
            // At 1024 the unit in the last place is 2⁻⁴².
            mixer.absorb((odds + 1024.0).to_bits());
        }
        mixer.finish()
    }
}

/// The difference below which two costs tie: 1e-9 · max(1, least).
pub(crate) fn tie(least: f64) -> f64 {
    1e-9 * least.abs().max(1.0)
}

fn halves(mask: u128) -> [u64; 2] {
    let bytes = mask.to_le_bytes();
    let half = |at: usize| {
        let mut part = [0; 8];
        part.copy_from_slice(&bytes[at..at + 8]);
        u64::from_le_bytes(part)
    };
    [half(0), half(8)]
}

/// Two independent 64-bit multiply-fold lanes.
#[derive(Debug)]
struct Mixer {
    lanes: [u64; 2],
}

impl Default for Mixer {
    fn default() -> Self {
        Self { lanes: [0x9e37_79b9_7f4a_7c15, 0xc2b2_ae3d_27d4_eb4f] }
    }
}

impl Mixer {
    fn absorb(&mut self, word: u64) {
        const ODD: [u64; 2] = [0xa076_1d64_78bd_642f, 0xe703_7ed1_a0b4_28db];
        for (lane, odd) in self.lanes.iter_mut().zip(ODD) {
            let wide = u128::from(*lane ^ word) * u128::from(odd);
            let [low, high] = halves(wide);
            *lane = (low ^ high).wrapping_add(odd.rotate_left(17)) ^ word.rotate_left(32);
        }
    }

    fn finish(self) -> u128 {
        let mut last = self;
        last.absorb(0x5bd1_e995);
        last.absorb(0x1b87_3593);
        u128::from(last.lanes[0]) << 64 | u128::from(last.lanes[1])
    }
}
