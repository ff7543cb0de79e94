//! The plan of least expected cost, with its bounds: `plan` is the verb of this crate.
//!
//! The meaning of every number is design section 5, told again in ARCHITECTURE.md.

mod advise;
mod answer;
pub mod certificate;
mod choose;
mod corner;
mod graph;
mod groups;
mod holds;
pub mod judge;
mod lines;
mod partition;
mod planner;
mod policy;
mod problem;
mod search;
mod spread;
mod state;
mod tail;
pub mod verify;
mod walk;
mod words;

pub use advise::{PlanAsk, PlanError, closed_off, plan};
pub use answer::{
    Choice, Ends, Figures, Holds, Inputs, Mean, NextStep, OddsOf, OutcomeChance,
    PartChance, PlanAnswer, SheetRef, Stats, Then, TreeOutcome, TreeStep,
};
pub use planner::{Kept, Planner};
pub use problem::{Ask, Kind};
pub use search::Limits;
