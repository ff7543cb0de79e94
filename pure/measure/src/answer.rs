//! `recording/1`: the answer to a recording, and why there is none.

use std::fmt;

use logs::{Channel, Recording};
use schemars::JsonSchema;
use serde::Serialize;

use crate::estimate::Estimate;

/// Fresh samples of each channel below which nothing is judged.
pub(crate) const FEWEST: usize = 6;

/// `recording/1`: what a recording says of an actuator.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RecordingAnswer {
    /// Data rows of the file.
    pub rows: usize,
    /// Data rows used.
    pub kept: usize,
    /// Length, s.
    pub duration_s: f64,
    /// Every signal with its true rate.
    pub channels: Vec<ChannelRate>,
    /// Steps of the command found.
    pub steps: usize,
    /// From the command to the first answer, s.
    pub dead_time_s: Estimate,
    /// Time constant of the answer, s.
    pub time_constant_s: Estimate,
    /// Change of the actual value over change of the command.
    pub gain: Estimate,
    /// Greatest rate of the actual value, its unit a second.
    pub slew_per_s: Estimate,
    /// Settled actual value less the command.
    pub steady_error: Estimate,
    /// Distance of the ways up and down, in units of the command.
    pub hysteresis: Estimate,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// Each step by itself, in order of time.
    #[serde(skip)]
    pub per_step: Vec<StepMetrics>,
}

/// A signal and how often it is really refreshed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChannelRate {
    /// Column name.
    pub name: String,
    /// Its unit as the file gives it.
    pub unit: Option<String>,
    /// Fresh samples.
    pub fresh: usize,
    /// Median time between them, s; null with fewer than two.
    pub median_interval_s: Option<f64>,
}

/// One step of the command and its answer.
#[derive(Debug, Clone, PartialEq)]
pub struct StepMetrics {
    /// Time of the step, s: the middle between the samples that show it.
    pub at_s: f64,
    /// Command before.
    pub from: f64,
    /// Command after.
    pub to: f64,
    /// Dead time, s, to within the interval of the command; `None`: not carried.
    pub dead_time_s: Option<f64>,
    /// Time constant, s; `None`: not carried.
    pub time_constant_s: Option<f64>,
    /// Gain; `None`: not carried.
    pub gain: Option<f64>,
    /// Settled actual value less the command; `None`: not settled.
    pub steady_error: Option<f64>,
    /// Actual samples around it: time after `at_s`, value.
    pub samples: Vec<(f64, f64)>,
}

/// What is known of the file that the two channels come from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RecordingMeta {
    /// Data rows of the file.
    pub rows: usize,
    /// Data rows used.
    pub kept: usize,
    /// Length, s.
    pub duration_s: f64,
    /// Every signal with its true rate.
    pub channels: Vec<ChannelRate>,
    /// Remarks made on reading.
    pub remarks: Vec<String>,
}

/// Why nothing in a recording can be judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordingError {
    /// A channel with too few fresh samples.
    TooFew {
        /// The channel.
        channel: String,
        /// Its fresh samples.
        fresh: usize,
    },
    /// A channel whose time does not go on.
    TimeStands(String),
    /// Command and actual value are the same column.
    SameColumn(String),
}

impl From<&Recording> for RecordingMeta {
    fn from(recording: &Recording) -> Self {
        let rate = |c: &Channel| ChannelRate {
            name: c.name.clone(),
            unit: c.unit.clone(),
            fresh: c.samples.len(),
            median_interval_s: c.median_interval_s(),
        };
        Self {
            rows: recording.rows,
            kept: recording.kept,
            duration_s: recording.duration_s,
            channels: recording.channels.iter().map(rate).collect(),
            remarks: recording.remarks.clone(),
        }
    }
}

impl fmt::Display for RecordingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { channel, fresh } => write!(
                f,
                "`{channel}` has {fresh} fresh samples only, at least {FEWEST} are needed: \
                 record longer, or fewer signals"
            ),
            Self::TimeStands(channel) => {
                write!(
                    f,
                    "the time of `{channel}` does not go on: name another time column"
                )
            }
            Self::SameColumn(channel) => write!(
                f,
                "command and actual value are both `{channel}`: name two columns"
            ),
        }
    }
}

impl std::error::Error for RecordingError {}
