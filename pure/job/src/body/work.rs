//! Bodies of work at the vehicle: checks, repairs, proofs, items off and on, duties, advice.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{BlobId, Measured, PartUsed, TorqueUsed};

/// `advised`: what the program said and from what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Advised {
    /// All that was used (`inputs` of `plan/1`), without null members.
    pub inputs: Value,
    /// The step.
    pub next: Next,
    /// Expected cost of the policy, in `currency`.
    pub expected_cost: f64,
    /// Lower bound of any policy's, in `currency`.
    pub lower_bound: f64,
    /// Whether no better plan exists.
    pub proven: bool,
    /// ISO 4217 code.
    pub currency: String,
    /// Program and version.
    pub program: String,
}

/// A step that was advised.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Next {
    /// check, repair, proof, close or pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Its way in.
    pub way: Option<u32>,
}

/// `refused`: the repairer does not want this proposed (`--without`).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Refused {
    /// `check:ID`, `repair:ID` or `proof:ID`.
    pub action: String,
    /// Blob: why.
    pub why: Option<BlobId>,
}

/// What came of a check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "how", rename_all = "kebab-case")]
pub enum CheckResult {
    /// One of its outcomes.
    Outcome {
        /// Id of the outcome.
        outcome: String,
    },
    /// It could not tell.
    CouldNotTell,
    /// A reading; `weights` as it was judged then.
    Reading {
        /// What was measured.
        #[serde(flatten)]
        measured: Measured,
        /// How likely the true value lies in each outcome's band.
        weights: BTreeMap<String, f64>,
    },
    /// Judged from a recording; `weights` as it was judged then.
    Recording {
        /// Blob: the file.
        blob: BlobId,
        /// The metric of `recording/1`.
        metric: String,
        /// Its value, absent where only a bound holds.
        value: Option<f64>,
        /// Lower end of its interval.
        low: Option<f64>,
        /// Upper end of its interval.
        high: Option<f64>,
        /// How likely the true value lies in each outcome's band.
        weights: BTreeMap<String, f64>,
    },
}

/// `check.done`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CheckDone {
    /// Id of the check.
    pub check: String,
    /// What came of it.
    pub result: CheckResult,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
    /// Blob: a remark.
    pub note: Option<BlobId>,
}

/// `repair.done`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct RepairDone {
    /// Id of the repair.
    pub repair: String,
    /// Parts really used; absent: the sheet's at the sheet's price.
    pub parts: Option<Vec<PartUsed>>,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
    /// Blob: a remark.
    pub note: Option<BlobId>,
}

/// What was watched during a proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Watched {
    /// Pending codes were read.
    Pending,
    /// Only the lamp was watched.
    Lamp,
}

/// `proof.done`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct ProofDone {
    /// Id of the proof.
    pub proof: String,
    /// Whether the fault showed.
    pub shown: bool,
    /// Exposure in conditions that count, where it differs from the sheet's.
    pub exposure: Option<f64>,
    /// What was watched.
    pub watched: Option<Watched>,
    /// Whether codes had been erased before it.
    pub cleared_before: Option<bool>,
    /// Whether the self-test of the code ran; `false`: a clear drive proves nothing.
    pub self_test_ran: Option<bool>,
    /// The outcome, where the proof repeats a check.
    pub outcome: Option<String>,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
    /// Blob: a remark.
    pub note: Option<BlobId>,
}

/// `item.off`: all of its fasteners are counted with it; exceptions are `fastener.noted`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct ItemOff {
    /// Id of the item.
    pub item: String,
    /// It broke on the way.
    #[serde(default)]
    pub broken: bool,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
}

/// How an item was fastened.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Tightened {
    /// At its torque.
    Torque,
    /// At its torque and angle.
    TorqueAngle,
    /// By feel.
    ByFeel,
    /// By hand; clips, plugs, clamps without a value.
    #[default]
    Hand,
}

/// `item.on`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct ItemOn {
    /// Id of the item.
    pub item: String,
    /// How it was fastened.
    pub how: Tightened,
    /// Which wrench.
    pub wrench: Option<String>,
    /// The torque of each of its fasteners, as shown to the repairer.
    #[serde(default)]
    pub torques: Vec<TorqueUsed>,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
}

/// `snag.met`: a bolt seized, a clip broke.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct SnagMet {
    /// Id of the item.
    pub item: String,
    /// Which of the item's snags, from 0; absent: another.
    pub snag: Option<u32>,
    /// Minutes that it took; absent: the sheet's.
    pub minutes: Option<f64>,
    /// Money for parts; absent: the sheet's.
    pub parts: Option<f64>,
    /// Blob: what happened.
    pub note: Option<BlobId>,
}

/// `duty.done`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct DutyDone {
    /// Id of the duty.
    pub duty: String,
    /// Minutes really taken, where they differ from the sheet's.
    pub minutes: Option<f64>,
    /// Blob: a remark.
    pub note: Option<BlobId>,
}

/// `ticked`: a caution or set-up step, such as the vehicle standing safely on its lift.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Ticked {
    /// The caution word or the id of the step.
    pub what: String,
}
