//! What comes off, in which order, and back: [`strip`] is the verb of this crate.
//!
//! [`move_to`] and [`move_cost`] say what an action needs off and what getting there costs;
//! [`order`] is the solver that puts the way in into an order; it knows no sheet.

mod answer;
mod ask;
mod fastener;
pub mod order;
pub mod reach;
mod sequence;
mod tray;
mod upkeep;
mod way;
mod ways;

pub use answer::{
    Cell, DutyDue, FastenerName, FastenerStep, FluidDue, Loose, Renew, SnagDue, Step,
    StripAnswer, Swap, WayTaken,
};
pub use ask::{StripAsk, StripError, Target};
pub use reach::{MoveCost, SnagChance, move_cost, move_to};
pub use way::strip;
