//! A coil's current rise, judged by a model of the coil: resistance from its end, time
//! constant from its beginning, start of motion and contact from what a coil at rest
//! cannot do.
//!
//! v = R i + dλ/dt. While the plunger stands still λ is one rising function of i, so on a
//! steady drive i can only rise, whatever the iron does. A fall is motion: it makes a
//! voltage of its own. Contact is where that voltage ends at once, a sharp bend upwards.

mod answer;
mod chop;
mod dips;
mod early;
mod judge;
mod kink;
mod noise;
mod plateau;
mod solve;
mod trace;
mod versus;

pub use answer::{RampAnswer, RampError, RampShown, RampVerdict};
pub use judge::{RampInput, judge_ramp};
pub use versus::{RampCompareAnswer, RampMetric, RampSide, compare_ramps};

/// Samples below which nothing is judged.
pub(crate) const FEWEST_SAMPLES: usize = 24;
