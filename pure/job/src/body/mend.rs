//! Bodies that change what earlier events count for; the events themselves never change.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{BlobId, Body, BodyError, EventId};

/// `withdrawn`: the event counts as if it had not been. A withdrawal can be withdrawn.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Withdrawn {
    /// Id of the event.
    pub of: EventId,
    /// Blob: why.
    pub why: Option<BlobId>,
}

/// A body and its kind, inside a correction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Instead {
    /// The kind.
    pub kind: String,
    /// The body.
    pub body: Value,
}

/// `corrected`: the event counts as if it had said this. The latest correction counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Corrected {
    /// Id of the event, or of a correction of it.
    pub of: EventId,
    /// What it should have said.
    pub instead: Instead,
    /// Blob: why.
    pub why: Option<BlobId>,
}

impl Corrected {
    /// A correction of `of` that puts `instead` in its place.
    ///
    /// # Errors
    /// Where `instead` can't be written, see [`Body::to_json`].
    pub fn new(of: &str, instead: &Body) -> Result<Self, BodyError> {
        Ok(Self {
            of: of.to_owned(),
            instead: Instead {
                kind: instead.kind().word().to_owned(),
                body: instead.to_json()?,
            },
            why: None,
        })
    }
}

/// `erased`: the store deletes the blob with this event and never takes it in again.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Erased {
    /// The blob.
    pub blob: BlobId,
    /// Why, a short word: `owner asked`, `taken by mistake`.
    pub why: String,
}
