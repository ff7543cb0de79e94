//! Threads, strength classes, friction and tightening: what a bolt bears and what torque
//! brings it there.
//!
//! A maker's value always wins; what this crate computes is a *general value, check the
//! manual*, and names its method, friction and use of yield beside the number. Lengths are
//! millimetres, torques newton metres, forces kilonewtons, stresses N/mm².
//!
//! ```
//! use fasten::{StrengthClass, Thread, TightenInput, tighten};
//!
//! let thread: Thread = "M8".parse()?;
//! let class: StrengthClass = "8.8".parse()?;
//! let answer = tighten(&TightenInput::new(thread, class))?;
//! // Printed list for 8.8, friction 0.12, 90 % of yield: 24.6 N·m.
//! assert!((answer.torque_nm / 24.6 - 1.0).abs() < 0.012);
//! # Ok::<(), fasten::FastenError>(())
//! ```

mod class;
mod engage;
mod error;
mod friction;
mod general;
mod guess;
mod head;
mod length;
mod limits;
mod pattern;
mod thread;
mod tighten;
mod wrench;

pub use class::{Strength, StrengthClass};
pub use engage::{Material, internal_shear_area_mm2, strip_load_kn};
pub use error::FastenError;
pub use friction::{Friction, Span};
pub use general::{
    FastenerInput, FastenerTorque, GENERAL_VALUE, Joint, Kind, MAKER, torque_for,
};
pub use guess::{Alternative, ThreadGuess, guess_thread};
pub use head::{Bearing, HeadStyle, bearing, hexagon_bearing_mm, medium_hole_mm};
pub use length::{LengthFit, LengthInput, length_fit};
pub use limits::Limits;
pub use pattern::{Pass, crosswise, loosening, tightening_passes};
pub use thread::{Series, Thread};
pub use tighten::{Lever, Shares, TightenInput, TorqueAnswer, tighten};
pub use wrench::{
    NM_PER_LBFT, WrenchFit, crow_foot, permitted_deviation_nm, wrench_fits,
};
