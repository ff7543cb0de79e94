//! Bodies of money and parts: quote, the owner's yes and no, also seen, orders.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{BlobId, EventId};

/// `quoted`: what the owner was told.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Quoted {
    /// ISO 4217 code.
    pub currency: String,
    /// Usually.
    pub p50: f64,
    /// Seldom above.
    pub p90: f64,
    /// Not above, where that was promised.
    pub limit: Option<f64>,
    /// Blob: the page as it was shown.
    pub blob: Option<BlobId>,
}

/// `authorised`: up to this sum in all; the latest counts.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Authorised {
    /// The sum, everything spent before included.
    pub sum: f64,
    /// ISO 4217 code.
    pub currency: String,
    /// Who allowed it; `owner`, or the word for another person.
    pub by: String,
    /// `phone`, `in person`, `in writing`.
    pub how: String,
    /// Blob: signature, message.
    pub blob: Option<BlobId>,
}

/// `declined`: what the owner did not want.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Declined {
    /// `check:ID`, `repair:ID`, `proof:ID`, or `more` for anything further.
    pub what: String,
    /// Who declined it.
    pub by: String,
    /// Blob: in what words.
    pub blob: Option<BlobId>,
}

/// How pressing something is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Urgency {
    /// Unsafe to drive.
    Unsafe,
    /// Soon.
    Soon,
    /// To be watched.
    Watch,
}

/// `also.seen`: something that is not the fault.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AlsoSeen {
    /// How pressing.
    pub urgency: Urgency,
    /// Price now, while access is open.
    pub price_now: Option<f64>,
    /// Price later.
    pub price_later: Option<f64>,
    /// The item that it sits on or behind.
    pub item: Option<String>,
    /// Blob: what it is.
    pub text: Option<BlobId>,
    /// Blob: photo.
    pub photo: Option<BlobId>,
}

/// What was decided about something seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AlsoAnswer {
    /// The owner wants it done now.
    DoNow,
    /// It was done; its price now counts as spent.
    Done,
    /// Later.
    Later,
    /// No.
    No,
}

/// `also.answered`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AlsoAnswered {
    /// Id of the `also.seen` event.
    pub of: EventId,
    /// What was decided.
    pub answer: AlsoAnswer,
    /// Who decided.
    pub by: String,
    /// Blob: the signature. Something unsafe that is left undone needs one.
    pub signed: Option<BlobId>,
    /// What it cost, where it was done and differs from the price now.
    pub price: Option<f64>,
}

/// A part that was used.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct PartUsed {
    /// What it is, as the sheet or the supplier names it.
    pub title: String,
    /// Part number.
    pub number: Option<String>,
    /// How many.
    pub count: f64,
    /// Price of one.
    pub price: f64,
}

/// `part.ordered`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct PartOrdered {
    /// What it is, as the sheet or the supplier names it.
    pub title: String,
    /// Part number.
    pub number: Option<String>,
    /// How many.
    pub count: f64,
    /// Price of one.
    pub price: Option<f64>,
    /// The repair that it is for.
    pub repair: Option<String>,
    /// Hours until it comes.
    pub lead_h: Option<f64>,
    /// Last day on which it can go back, as a date.
    pub return_by: Option<String>,
    /// Deposit owed back.
    pub deposit: Option<f64>,
}

/// `part.came`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct PartCame {
    /// Id of the `part.ordered` event.
    pub of: EventId,
    /// It is the wrong one, or damaged.
    #[serde(default)]
    pub wrong: bool,
    /// Blob: what was in the box.
    pub note: Option<BlobId>,
}
