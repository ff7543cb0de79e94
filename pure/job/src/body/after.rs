//! Bodies of loose ends, waiting, the hand-over and what follows it.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::BlobId;

/// `loose_end.raised` by the repairer; its id is the id of the event.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct LooseEndRaised {
    /// What it is about: `item:ID`, `check:ID`, `repair:ID`.
    pub of: Option<String>,
    /// Blob: what it is.
    pub text: Option<BlobId>,
    /// The item whose refit it blocks.
    pub blocks_refit: Option<String>,
    /// Whether it blocks the hand-over.
    #[serde(default)]
    pub blocks_hand_over: bool,
}

/// `loose_end.settled`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct LooseEndSettled {
    /// Id of the loose end.
    pub of: String,
    /// Blob: how.
    pub how: Option<BlobId>,
}

/// `loose_end.accepted`, in writing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct LooseEndAccepted {
    /// Id of the loose end.
    pub of: String,
    /// Who accepted it.
    pub by: String,
    /// Blob: the writing.
    pub blob: Option<BlobId>,
}

/// What a job waits for.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum WaitFor {
    /// The repairer.
    #[default]
    Me,
    /// The owner.
    Owner,
    /// A part.
    Part,
    /// The lift.
    Lift,
    /// Cooling down.
    Cooling,
    /// A trial.
    Trial,
}

impl WaitFor {
    /// The word on screens and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Me => "me",
            Self::Owner => "owner",
            Self::Part => "part",
            Self::Lift => "lift",
            Self::Cooling => "cooling",
            Self::Trial => "trial",
        }
    }
}

/// `waiting`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Waiting {
    /// What for.
    #[serde(rename = "for")]
    pub wait_for: WaitFor,
}

/// `handed_over`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct HandedOver {
    /// How sure it was said to be that the vehicle is fixed, 0 to 1.
    pub p_fixed: Option<f64>,
    /// Odds at that moment by suspect (`unlisted` and `fixed` too), for the history.
    #[serde(default)]
    pub odds: BTreeMap<String, f64>,
    /// Head of the log that the report prints.
    pub head: Option<String>,
    /// Blob: the report.
    pub report: Option<BlobId>,
    /// Odometer, km.
    pub odometer_km: Option<f64>,
    /// What was charged.
    pub charged: Option<f64>,
    /// Put back as found, with the fault unfixed.
    #[serde(default)]
    pub as_found: bool,
}

/// `passed_on`: to a specialist.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct PassedOn {
    /// Blob: to whom and why.
    pub to: Option<BlobId>,
    /// What was charged.
    pub charged: Option<f64>,
}

/// `asked`: after the hand-over.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Asked {
    /// `phone`, `message`, `in person`.
    pub how: String,
}

/// `answered`: silence is not distance, so only what the owner said counts.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Answered {
    /// Odometer now, km.
    pub odometer_km: Option<f64>,
    /// Driven since the hand-over, km, where the odometer is not known.
    pub km: Option<f64>,
    /// Whether the lamp came back; absent: the owner can't say.
    pub lamp: Option<bool>,
    /// Whether anybody has erased codes since; absent: the owner can't say.
    pub cleared: Option<bool>,
    /// Blob: in what words.
    pub blob: Option<BlobId>,
}

/// `comeback`: the vehicle is here again.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Comeback {
    /// The job that it is now.
    pub new_job: Option<String>,
    /// Whether it is the same fault.
    pub same_fault: bool,
    /// Odometer, km.
    pub odometer_km: Option<f64>,
}
