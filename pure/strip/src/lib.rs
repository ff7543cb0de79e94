//! What comes off, in which order, and back: [`strip`] is the verb of this crate.
//!
//! `eased_by` of a sheet counts in the way in alone: [`move_cost`], and so the planner, leaves it
//! out. [`move_to`] and [`move_cost`] say what an action needs off and what getting there costs;
//! [`order`] is the solver that puts the way in into an order; it knows no sheet.

mod answer;
mod ask;
mod ease;
mod fastener;
pub mod order;
pub mod reach;
mod sequence;
mod told;
mod tray;
mod upkeep;
mod waiting;
mod way;
mod ways;

pub use answer::{
    Cell, DutyDue, Easing, FastenerName, FastenerStep, FluidDue, Loose, MeasureDue,
    MixUp, Renew, SnagDue, Step, StripAnswer, Swap, WayTaken,
};
pub use ask::{StripAsk, StripError, Target};
pub use reach::{MoveCost, SnagChance, move_cost, move_to};
pub use way::strip;
