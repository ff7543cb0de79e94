//! Odds from facts, and how sure a repair is after driving.
//!
//! [`Odds`] is what is believed at a moment: a fold of a sheet and of facts, stored nowhere.

pub mod count;
mod looks;
pub mod odds;
pub mod prove;

pub use count::Count;
pub use odds::{Done, Odds, OddsError, bit, shows, weigh};
pub use prove as prove_parts;
pub use prove::{ProveAnswer, ProveError, ProveInput, prove};
