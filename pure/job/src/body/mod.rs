//! What an event says: one struct a kind, the word of each kind, and the way to and from JSON.
//!
//! Things of the sheet are named by their ids, as text, and looked up when the job is
//! folded. Free text, personal data and photos never stand in a body: a body names a blob
//! that lies outside the log and can be erased ([`BlobId`]).

mod after;
mod intake;
mod mend;
mod money;
mod noted;
mod tray;
mod work;

use std::{error, fmt};

use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;

pub use after::{
    Answered, Asked, Comeback, HandedOver, LooseEndAccepted, LooseEndRaised,
    LooseEndSettled, PassedOn, WaitFor, Waiting,
};
pub use intake::{
    EconomyPatch, JobOpened, JobSet, RustWord, SheetChanged, SheetNamed, SnagLearned,
    WriterJoined,
};
pub use mend::{Corrected, Erased, Instead, Withdrawn};
pub use money::{
    AlsoAnswer, AlsoAnswered, AlsoSeen, Authorised, Declined, PartCame, PartOrdered,
    PartUsed, Quoted, Urgency,
};
pub use noted::{
    Before, BeforeNoted, Code, CodeErased, CodeRead, CodeState, EndsWord, HoleAt,
    Measured, Note, Photo, Reading, RecordingAdded, SetsNoted, Taken, UnitWord, Verdict,
};
pub use tray::{
    CapMove, CapNoted, FastenerNoted, FastenerState, FluidIn, FluidOut, SealNoted,
    SealState, TorqueUsed,
};
pub use work::{
    Advised, CheckDone, CheckResult, DutyDone, ItemOff, ItemOn, Next, ProofDone, Refused,
    RepairDone, SnagMet, Ticked, Tightened, Watched,
};

/// Name of a blob: BLAKE3 (hex) of its salt and its bytes. The bytes lie outside the log.
pub type BlobId = String;

/// Id of an event: BLAKE3 (hex) of its bytes.
pub type EventId = String;

/// Why a body can't be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BodyError {
    /// The kind is not one that this program knows.
    UnknownKind(String),
    /// The body does not have the form of its kind.
    Form {
        /// The kind.
        kind: String,
        /// What is wrong with it.
        what: String,
    },
    /// A number is not finite, so it would not come back as it went in.
    NotFinite(String),
}

impl fmt::Display for BodyError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownKind(kind) => {
                write!(out, "`{kind}` is not a kind of event that this program knows")
            }
            Self::Form { kind, what } => {
                write!(out, "the body of this `{kind}` event can't be read: {what}")
            }
            Self::NotFinite(kind) => {
                write!(out, "a number in this `{kind}` event is not finite")
            }
        }
    }
}

impl error::Error for BodyError {}

fn read<T: DeserializeOwned>(kind: Kind, body: Value) -> Result<T, BodyError> {
    serde_json::from_value(body).map_err(|problem| BodyError::Form {
        kind: kind.word().to_owned(),
        what: problem.to_string(),
    })
}

fn written<T: Serialize>(kind: Kind, body: &T) -> Result<Value, BodyError> {
    serde_json::to_value(body).map(without_nulls).map_err(|problem| BodyError::Form {
        kind: kind.word().to_owned(),
        what: problem.to_string(),
    })
}

/// The value without members that are null: an absent field and a null one are the same.
#[must_use]
pub fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(members) => Value::Object(
            members
                .into_iter()
                .filter(|(_, member)| !member.is_null())
                .map(|(key, member)| (key, without_nulls(member)))
                .collect(),
        ),
        Value::Array(entries) => {
            Value::Array(entries.into_iter().map(without_nulls).collect())
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => value,
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $word:literal $name:ident,)*) => {
        /// The kinds of event that this program knows.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind {
            $($(#[$doc])* $name,)*
        }

        impl Kind {
            /// All kinds.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The word in the log.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self {
                    $(Self::$name => $word,)*
                }
            }

            /// The kind of that word, if this program knows it.
            #[must_use]
            pub fn of_word(word: &str) -> Option<Self> {
                match word {
                    $($word => Some(Self::$name),)*
                    _ => None,
                }
            }
        }

        /// What an event says.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Body {
            $($(#[$doc])* $name($name),)*
        }

        $(impl From<$name> for Body {
            fn from(body: $name) -> Self {
                Self::$name(body)
            }
        })*

        impl Body {
            /// Its kind.
            #[must_use]
            pub fn kind(&self) -> Kind {
                match self {
                    $(Self::$name(_) => Kind::$name,)*
                }
            }

            /// The body as JSON, null members left out.
            ///
            /// # Errors
            /// [`BodyError::NotFinite`] where a number would not come back as it went in.
            pub fn to_json(&self) -> Result<Value, BodyError> {
                let kind = self.kind();
                let value = match self {
                    $(Self::$name(body) => written(kind, body)?,)*
                };
                match Self::from_json(kind.word(), value.clone()) {
                    Ok(back) if back == *self => Ok(value),
                    Ok(_) | Err(_) => Err(BodyError::NotFinite(kind.word().to_owned())),
                }
            }

            /// The body of an event of that kind.
            ///
            /// # Errors
            /// [`BodyError::UnknownKind`] and [`BodyError::Form`].
            pub fn from_json(kind: &str, body: Value) -> Result<Self, BodyError> {
                match Kind::of_word(kind) {
                    $(Some(Kind::$name) => read(Kind::$name, body).map(Self::$name),)*
                    None => Err(BodyError::UnknownKind(kind.to_owned())),
                }
            }
        }
    };
}

kinds! {
    /// A vehicle was taken in.
    "job.opened" JobOpened,
    /// Settings of the job.
    "job.set" JobSet,
    /// The job goes on with another sheet.
    "sheet.changed" SheetChanged,
    /// Fault codes were read.
    "code.read" CodeRead,
    /// Fault codes were erased.
    "code.erased" CodeErased,
    /// How often the fault has set.
    "sets.noted" SetsNoted,
    /// Perishable evidence, noted before anything was touched.
    "before.noted" BeforeNoted,
    /// A reading outside any check, or of a measure of an item.
    "reading" Reading,
    /// A recording was added.
    "recording.added" RecordingAdded,
    /// What the program advised.
    "advised" Advised,
    /// What the owner was quoted.
    "quoted" Quoted,
    /// What the owner allowed.
    "authorised" Authorised,
    /// What the owner did not want.
    "declined" Declined,
    /// What the repairer does not want proposed.
    "refused" Refused,
    /// A check was done.
    "check.done" CheckDone,
    /// A repair was done.
    "repair.done" RepairDone,
    /// A proof was made.
    "proof.done" ProofDone,
    /// An item came off.
    "item.off" ItemOff,
    /// An item went back.
    "item.on" ItemOn,
    /// A snag was met.
    "snag.met" SnagMet,
    /// Something about fasteners of an item.
    "fastener.noted" FastenerNoted,
    /// Something about seals of an item.
    "seal.noted" SealNoted,
    /// Caps on open ports.
    "cap.noted" CapNoted,
    /// A fluid ran out or was drained.
    "fluid.out" FluidOut,
    /// A fluid was filled in.
    "fluid.in" FluidIn,
    /// A duty was done.
    "duty.done" DutyDone,
    /// A caution or set-up step was ticked.
    "ticked" Ticked,
    /// Something that is not the fault.
    "also.seen" AlsoSeen,
    /// What was decided about it.
    "also.answered" AlsoAnswered,
    /// A loose end that the repairer raised.
    "loose_end.raised" LooseEndRaised,
    /// A loose end was settled.
    "loose_end.settled" LooseEndSettled,
    /// A loose end was accepted in writing.
    "loose_end.accepted" LooseEndAccepted,
    /// A photo.
    "photo" Photo,
    /// A note.
    "note" Note,
    /// A part was ordered.
    "part.ordered" PartOrdered,
    /// A part came.
    "part.came" PartCame,
    /// What the job waits for.
    "waiting" Waiting,
    /// An event counts as if it had not been.
    "withdrawn" Withdrawn,
    /// An event counts as if it had said something else.
    "corrected" Corrected,
    /// The vehicle was handed over.
    "handed_over" HandedOver,
    /// The job was passed on.
    "passed_on" PassedOn,
    /// The owner was asked after the hand-over.
    "asked" Asked,
    /// The owner answered.
    "answered" Answered,
    /// The vehicle came back.
    "comeback" Comeback,
    /// A blob was erased.
    "erased" Erased,
    /// A writer began its chain.
    "writer.joined" WriterJoined,
}
