//! What the judge believes and remembers on the way, and how what is seen moves it.

use sheet::{ItemSet, Proof, ProofKind, WindowEnd};
use weigh::Count;

use super::JudgeKind;

/// Below this a branch is not expanded and a vehicle counts as not fixed.
pub(crate) const NEGLIGIBLE: f64 = 1e-12;
/// Odds that differ by less than 1/this are one state; far above rounding, far below money.
const ODDS_STEPS: f64 = 1e14;

/// When proofs may be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Opening {
    /// Where something may be fixed: the rule.
    ByShare,
    /// Causes are left out of the odds, and what was put right of them opens proofs too: from
    /// the first act on that may have put anything right.
    Told {
        /// Whether there was one.
        open: bool,
    },
}

/// Everything that the future depends on.
#[derive(Debug, Clone)]
pub(crate) struct State {
    pub(crate) checks: u128,
    pub(crate) repairs: u128,
    pub(crate) proofs: u128,
    pub(crate) off: ItemSet,
    pub(crate) present: Vec<f64>,
    pub(crate) fixed: f64,
    /// The part of the fixed share that was each cause; sums to `fixed`.
    pub(crate) held: Vec<f64>,
    pub(crate) count: Option<Count>,
    pub(crate) opening: Opening,
}

impl State {
    /// Proofs may be made again.
    pub(crate) fn open_proofs(&mut self) {
        self.proofs = 0;
        if let Opening::Told { open } = &mut self.opening {
            *open = true;
        }
    }

    /// Whether proofs may be had by what may be fixed.
    pub(crate) fn proofs_open(&self) -> bool {
        match self.opening {
            Opening::ByShare => self.fixed > NEGLIGIBLE,
            Opening::Told { open } => open,
        }
    }
}

/// A state as it is remembered: odds rounded, the rest exact.
pub(crate) type Key = ([u128; 4], Vec<u64>, [u64; 4]);

pub(crate) fn bit(place: usize) -> u128 {
    1_u128 << (place & 127)
}

/// Whether an action may be done by what is done already and by the odds.
pub(crate) fn may(state: &State, kind: JudgeKind, place: usize) -> bool {
    match kind {
        JudgeKind::Close | JudgeKind::PassOn => true,
        JudgeKind::Check => state.checks & bit(place) == 0,
        JudgeKind::Repair => state.repairs & bit(place) == 0,
        JudgeKind::Proof => state.proofs & bit(place) == 0 && state.proofs_open(),
    }
}

/// ((T+D)/(T+D+d))^m in logarithms (design section 10).
pub(crate) fn silent(count: &Count, exposure: f64) -> f64 {
    let exponent = match count.ends {
        WindowEnd::Set => count.seen,
        WindowEnd::Now => count.seen + 0.5,
    };
    let before = count.over + count.clear;
    (exponent * (before.ln() - (before + exposure).ln())).exp()
}

/// A set: n + 1, the window now reaches to it.
pub(crate) fn after_set(count: Option<Count>, proof: &Proof) -> Option<Count> {
    let ProofKind::Exposure(exposure) = &proof.kind else { return count };
    count.map(|count| Count {
        seen: count.seen + 1.0,
        over: count.over + count.clear + exposure.amount,
        clear: 0.0,
        ends: WindowEnd::Set,
    })
}

/// Nothing showed: D grows.
pub(crate) fn after_clear(count: Option<Count>, proof: &Proof) -> Option<Count> {
    let ProofKind::Exposure(exposure) = &proof.kind else { return count };
    count.map(|count| Count { clear: count.clear + exposure.amount, ..count })
}

/// Bayes: the probability of what was seen, and the state with the odds after it.
pub(crate) fn see(state: &State, likelihood: &[f64], fine: f64) -> (f64, State) {
    let mut next = state.clone();
    next.present.iter_mut().zip(likelihood).for_each(|(odds, p)| *odds *= p);
    next.held.iter_mut().for_each(|held| *held *= fine);
    next.fixed *= fine;
    let total = next.present.iter().sum::<f64>() + next.fixed;
    if total > 0.0 {
        next.present.iter_mut().for_each(|odds| *odds /= total);
        next.held.iter_mut().for_each(|held| *held /= total);
        next.fixed /= total;
    }
    (total, next)
}

/// b(s) → b(s)·(1 − fixes[s]); f takes what moved, which is returned.
pub(crate) fn put_right(state: &mut State, fixes: &[f64]) -> f64 {
    let mut moved = 0.0;
    let causes = state.present.iter_mut().zip(&mut state.held);
    for ((odds, held), share) in causes.zip(fixes) {
        moved += *odds * share;
        *held += *odds * share;
        *odds *= 1.0 - share;
    }
    state.fixed += moved;
    moved
}

pub(crate) fn key(state: &State) -> Key {
    let odds = state.present.iter().chain([&state.fixed]);
    let count = state.count.map_or([0; 4], |count| {
        let ends = match count.ends {
            WindowEnd::Set => 1,
            WindowEnd::Now => 2,
        };
        [count.seen.to_bits(), count.over.to_bits(), count.clear.to_bits(), ends]
    });
    (
        [state.checks, state.repairs, state.proofs, state.off.0],
        odds.map(|p| (p * ODDS_STEPS).round().to_bits()).collect(),
        count,
    )
}
