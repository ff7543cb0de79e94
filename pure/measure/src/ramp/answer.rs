//! `ramp/1`: the answer to a coil's current rise, and why there is none.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::FEWEST_SAMPLES;
use crate::estimate::Estimate;

/// `ramp/1`: what a coil's current rise says. Times count from the switch-on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RampAnswer {
    /// Samples of the current.
    pub samples: usize,
    /// Resistance of coil and supply, ohm, from the settled current; null where it is not
    /// settled or the voltage is unknown.
    pub resistance_ohm: Option<f64>,
    /// Inductance over resistance before the plunger moves, s.
    pub time_constant_s: Option<f64>,
    /// When the plunger begins to move, s.
    pub motion_s: Estimate,
    /// When the plunger strikes its stop, s; value null where no stop is seen.
    pub contact_s: Estimate,
    /// What was seen.
    pub verdict: RampVerdict,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// What a page draws.
    #[serde(skip)]
    pub shown: RampShown,
}

/// What was seen of the plunger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RampVerdict {
    /// It moved and struck its stop.
    PulledIn,
    /// It moved; no stop is seen.
    Moved,
    /// No motion is seen up to the settled current. A short or a quick stroke may hide.
    NoMotion,
    /// The recording can't tell: the drive was chopped, the rise cut short or cut off.
    #[default]
    NotJudged,
}

/// What a page draws of a ramp.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RampShown {
    /// Current in A against s from the switch-on.
    pub points: Vec<(f64, f64)>,
    /// Settled current, A.
    pub final_a: Option<f64>,
    /// Supply, V.
    pub volts: Option<f64>,
    /// Flux linkage at the end, Wb.
    pub flux_wb: Option<f64>,
    /// Inductance before motion, H.
    pub before_h: Option<f64>,
    /// Flux linkage over current at the end, H.
    pub after_h: Option<f64>,
    /// Later strokes against the stop, s.
    pub bounces_s: Vec<f64>,
}

/// Why a ramp cannot be judged at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RampError {
    /// Too few samples.
    TooFew(usize),
    /// The time does not go on.
    TimeStands,
    /// The supply is not a voltage above zero.
    Volts,
}

impl fmt::Display for RampError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew(samples) => write!(
                f,
                "the current has {samples} samples only, at least {FEWEST_SAMPLES} are \
                 needed: record the rise at 10 kHz or more"
            ),
            Self::TimeStands => {
                f.write_str("the time does not go on: name another time column")
            }
            Self::Volts => f.write_str("the supply must be a voltage above zero"),
        }
    }
}

impl std::error::Error for RampError {}
