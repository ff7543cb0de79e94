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

mod answer;
mod ask;
mod class;
mod engage;
mod error;
mod found;
mod friction;
mod general;
mod guess;
mod head;
mod joined;
mod layout;
mod length;
mod limits;
mod pattern;
mod pull;
mod thread;
mod tighten;
mod turn;
mod wrench;

pub use answer::{GuessedThread, TorqueAnswer, torque_answer};
pub use ask::{CrowFoot, JointGive, Stretch, TorqueAsk, TurnAsk};
pub use class::{Strength, StrengthClass};
pub use engage::{Material, internal_shear_area_mm2, strip_load_kn};
pub use error::FastenError;
pub use found::{FrictionFound, Measured, friction_found, nut_factor_torque_nm};
pub use friction::{Friction, Span};
pub use general::{
    FastenerInput, FastenerTorque, GENERAL_VALUE, Joint, Kind, MAKER, torque_for,
};
pub use guess::{Alternative, ThreadGuess, guess_thread};
pub use head::{Bearing, HeadStyle, bearing, hexagon_bearing_mm, medium_hole_mm};
pub use joined::{PassAnswer, PatternAnswer};
pub use layout::Place;
pub use length::{LengthFit, LengthInput, length_fit};
pub use limits::Limits;
pub use pattern::{Pass, Pattern, Stages, passes};
pub use pull::Pull;
pub use thread::{Series, Thread};
pub use tighten::{Edition, Lever, Shares, TightenInput, Tightened, tighten};
pub use turn::{Stiffness, Turn, turn};
pub use wrench::{
    NM_PER_LBFT, Scale, WrenchChoice, WrenchFit, choose_wrench, crow_foot,
    permitted_deviation_nm, wrench_fits,
};
