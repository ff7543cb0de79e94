//! What bears on the odds, in the order it happened: the facts that `weigh` reads.

use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx};

/// One fact that moves the odds or what is done.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// A check came out.
    Check {
        /// The check.
        check: CheckIx,
        /// Its outcome.
        outcome: OutcomeIx,
    },
    /// A check could not tell: nothing moves, it is not proposed again.
    CouldNotTell {
        /// The check.
        check: CheckIx,
    },
    /// A measured check: how likely the true value lies in each outcome's band.
    Reading {
        /// The check.
        check: CheckIx,
        /// Weight of each outcome, summing to 1.
        weights: Vec<f64>,
    },
    /// A repair was done.
    Repair {
        /// The repair.
        repair: RepairIx,
    },
    /// A proof was made.
    Proof {
        /// The proof.
        proof: ProofIx,
        /// Whether the fault showed.
        shown: bool,
        /// Exposure really covered, where it differs from the sheet's (same unit).
        exposure: Option<f64>,
    },
    /// Exposure outside any proof, as a follow-up learns it.
    Driven {
        /// How much, in the unit of the count.
        amount: f64,
        /// Whether the fault showed.
        shown: bool,
    },
}
