//! Bodies of the tray: fasteners, seals, caps, fluids.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::BlobId;

/// What was noted about fasteners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FastenerState {
    /// Back in its hole.
    Back,
    /// Not there, or lost.
    Missing,
    /// Broken.
    Broken,
    /// A new one took its place.
    Replaced,
    /// Left over: there is no hole for it.
    LeftOver,
    /// Found somewhere else.
    FoundElsewhere,
}

/// `fastener.noted`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FastenerNoted {
    /// Id of the item.
    pub item: String,
    /// Id of the fastener.
    pub fastener: String,
    /// What was noted.
    pub state: FastenerState,
    /// Of how many.
    pub count: u32,
    /// Which holes, from 1; empty: the first that it can mean.
    #[serde(default)]
    pub holes: Vec<u32>,
    /// Torque, N·m.
    pub torque_nm: Option<f64>,
    /// Angle after the torque, degrees.
    pub angle_deg: Option<f64>,
    /// Which wrench.
    pub wrench: Option<String>,
    /// Blob: where it was, what was done.
    pub note: Option<BlobId>,
}

/// The torque of a fastener as shown to the repairer who used it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TorqueUsed {
    /// Id of the fastener.
    pub fastener: String,
    /// Torque, N·m.
    pub torque_nm: Option<f64>,
    /// Angle after the torque, degrees.
    pub angle_deg: Option<f64>,
    /// `maker` or `general value`.
    pub source: Option<String>,
}

/// What was noted about seals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SealState {
    /// Found, on the item or on the bench.
    Found,
    /// Not found.
    NotFound,
    /// Never fitted, by an earlier hand.
    NeverFitted,
    /// Found damaged.
    Damaged,
    /// A new one is in.
    Renewed,
}

/// `seal.noted`: absence is an event, not a silence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SealNoted {
    /// Id of the item.
    pub item: String,
    /// Id of the seal.
    pub seal: String,
    /// What was noted.
    pub state: SealState,
    /// Of how many.
    pub count: u32,
    /// Blob: where, what it looked like.
    pub note: Option<BlobId>,
}

/// What was done with caps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CapMove {
    /// Put on an open port.
    Fitted,
    /// Taken off again.
    Removed,
}

/// `cap.noted`: caps fitted must equal caps removed before the item goes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CapNoted {
    /// Id of the item whose port is open.
    pub item: String,
    /// What was done.
    pub moved: CapMove,
    /// How many.
    pub count: u32,
}

/// `fluid.out`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct FluidOut {
    /// Id of the fluid, as the item names it.
    pub fluid: String,
    /// Id of the item, where it came out of one.
    pub item: Option<String>,
    /// Litres.
    pub litres: Option<f64>,
}

/// `fluid.in`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct FluidIn {
    /// Id of the fluid, as the item names it.
    pub fluid: String,
    /// Litres.
    pub litres: Option<f64>,
    /// Money for it.
    pub price: Option<f64>,
}
