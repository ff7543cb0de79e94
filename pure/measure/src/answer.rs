//! `recording/1`: the answer to a recording, and why there is none.

use std::fmt;

use logs::{Findings, Recording};
use schemars::JsonSchema;
use serde::Serialize;

use crate::change::ChangeWithin;
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
    /// Steps upward by themselves; null where the log carries none.
    pub up: Option<SideMetrics>,
    /// Steps downward by themselves; null where the log carries none.
    pub down: Option<SideMetrics>,
    /// How far the answer goes beyond where it settles, as a share of its move.
    pub overshoot: Estimate,
    /// Each step by itself, in order of time.
    pub each: Vec<EachStep>,
    /// Steps pooled by like conditions; empty where no condition was recorded.
    pub alike: Vec<AlikeSteps>,
    /// What was driven in conditions like those asked for; null where none were.
    pub like: Option<LikeExposure>,
    /// When the time constant changed within the recording; null where no change shows.
    pub change: Option<ChangeWithin>,
    /// Each step with its samples.
    #[serde(skip)]
    pub per_step: Vec<StepMetrics>,
}

/// The steps of one direction together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SideMetrics {
    /// How many.
    pub steps: usize,
    /// From the command to the first answer, s.
    pub dead_time_s: Estimate,
    /// Time constant of the answer, s.
    pub time_constant_s: Estimate,
    /// Change of the actual value over change of the command.
    pub gain: Estimate,
}

/// One step of the command in numbers; null: not carried by the log.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EachStep {
    /// When, s from the start of the recording, to within the interval of the command.
    pub at_s: f64,
    /// Command before.
    pub from: f64,
    /// Command after.
    pub to: f64,
    /// Dead time, s.
    pub dead_time_s: Option<f64>,
    /// Time constant, s.
    pub time_constant_s: Option<f64>,
    /// Gain.
    pub gain: Option<f64>,
    /// Settled actual value less the command.
    pub steady_error: Option<f64>,
    /// Share of the move by which it goes beyond where it settles.
    pub overshoot: Option<f64>,
    /// Conditions during the step: channel and value.
    pub conditions: Vec<Condition>,
}

/// A condition during a step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Condition {
    /// What it is: engine-speed, load, coolant, voltage.
    pub name: String,
    /// Median during the step, in the unit of its channel.
    pub value: f64,
}

/// Steps alike in direction, size and conditions.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AlikeSteps {
    /// What they share, in words.
    pub what: String,
    /// How many.
    pub steps: usize,
    /// Their time constant, s.
    pub time_constant_s: Estimate,
    /// Their dead time, s.
    pub dead_time_s: Estimate,
}

/// What a recording holds in conditions like those of a stored frame.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LikeExposure {
    /// Engine speed of the frame, 1/min.
    pub rpm: Option<f64>,
    /// Load of the frame, per cent.
    pub load: Option<f64>,
    /// Warm or cold; null: not asked.
    pub warm: Option<bool>,
    /// Time in like conditions, min.
    pub min: f64,
    /// Distance in like conditions, km; null without a speed.
    pub km: Option<f64>,
    /// Time recorded, min.
    pub of_min: f64,
    /// Distance recorded, km; null without a speed.
    pub of_km: Option<f64>,
    /// Warm-up cycles: the coolant rises by 22.2 K and reaches 71.1 °C; null without it.
    pub warm_ups: Option<u32>,
    /// Time by cells of engine speed, load and warm-up state.
    pub cells: Vec<LikeCell>,
}

/// Time in one cell of conditions.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LikeCell {
    /// Least engine speed, 1/min.
    pub rpm: f64,
    /// Least load, per cent; null without it.
    pub load: Option<f64>,
    /// Coolant at its working temperature; null without it.
    pub warm: Option<bool>,
    /// Time in it, min.
    pub min: f64,
}

impl From<&StepMetrics> for EachStep {
    fn from(step: &StepMetrics) -> Self {
        Self {
            at_s: step.at_s,
            from: step.from,
            to: step.to,
            dead_time_s: step.dead_time_s,
            time_constant_s: step.time_constant_s,
            gain: step.gain,
            steady_error: step.steady_error,
            overshoot: step.overshoot,
            conditions: step.conditions.clone(),
        }
    }
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
    /// Share of the move by which it goes beyond where it settles; `None`: not carried.
    pub overshoot: Option<f64>,
    /// Conditions during the step.
    pub conditions: Vec<Condition>,
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
        let rate = |c: &Findings| ChannelRate {
            name: c.name.clone(),
            unit: c.unit.clone(),
            fresh: c.fresh,
            median_interval_s: c.median_interval_s,
        };
        Self {
            rows: recording.rows,
            kept: recording.kept,
            duration_s: recording.duration_s,
            channels: recording.findings.iter().map(rate).collect(),
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
