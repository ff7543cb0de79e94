//! One event of the log: its envelope, its exact bytes, its id.

use std::{collections::BTreeMap, error, fmt};

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::{
    body::{Body, BodyError, EventId},
    canon::{canonical, parse},
    instant::Instant,
};

/// Version of the envelope and of the bodies that this program writes.
pub const VERSION: u32 = 1;

/// Longest event, bytes.
pub const MAX_EVENT_BYTES: usize = 256 * 1024;

/// The last event known of a writer.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Head {
    /// Its place in the writer's chain, from 1.
    pub seq: u64,
    /// Its id.
    pub id: EventId,
}

/// Heads by writer.
pub type Heads = BTreeMap<String, Head>;

/// What is to be appended; the writer adds the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// The job; empty for events of no job.
    pub job: String,
    /// What it says.
    pub body: Body,
    /// Client reference: 128 random bits, 32 hex digits, made at the tap.
    pub reference: String,
    /// When, RFC 3339.
    pub at: String,
    /// Time zone, an IANA name.
    pub zone: String,
    /// Who.
    pub who: String,
}

/// An event as it was read from its bytes.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Event {
    /// Version.
    pub v: u32,
    /// The word of its kind.
    pub kind: String,
    /// The job; empty for events of no job.
    pub job: String,
    /// The body as JSON.
    pub body: Value,
    /// Client reference.
    #[serde(rename = "ref")]
    pub reference: String,
    /// When, RFC 3339.
    pub at: String,
    /// Time zone.
    pub zone: String,
    /// Who.
    pub who: String,
    /// The writer.
    pub writer: String,
    /// Place in the writer's chain, from 1.
    pub seq: u64,
    /// Id of the writer's event before; none for the first.
    pub prev: Option<EventId>,
    /// The heads known of all other writers.
    #[serde(default)]
    pub heads: Heads,
}

impl Event {
    /// Its body.
    ///
    /// # Errors
    /// Where its kind, its version or its form is not known here.
    pub fn read_body(&self) -> Result<Body, BodyError> {
        if self.v > VERSION {
            return Err(BodyError::UnknownKind(format!(
                "{} (version {})",
                self.kind, self.v
            )));
        }
        Body::from_json(&self.kind, self.body.clone())
    }
}

/// An event as it is kept: its exact bytes and the id that it is kept under.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stored {
    /// BLAKE3 (hex) of the bytes.
    pub id: EventId,
    /// The bytes.
    pub bytes: Vec<u8>,
}

impl Stored {
    /// The bytes under the id that they have.
    #[must_use]
    pub fn of_bytes(bytes: Vec<u8>) -> Self {
        Self { id: hash_hex(&bytes), bytes }
    }

    /// The event that the bytes are.
    ///
    /// # Errors
    /// Where they are not one.
    pub fn read(&self) -> Result<Event, EventError> {
        if self.bytes.len() > MAX_EVENT_BYTES {
            return Err(EventError::TooLong(self.bytes.len()));
        }
        let value = parse(&self.bytes).map_err(EventError::Form)?;
        serde_json::from_value(value)
            .map_err(|problem| EventError::Form(problem.to_string()))
    }
}

/// BLAKE3 of the bytes, hex.
#[must_use]
pub fn hash_hex(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// Id of a blob: BLAKE3 (hex) of its salt and its bytes.
#[must_use]
pub fn blob_id(salt: &[u8], bytes: &[u8]) -> String {
    let mut hasher = blake3::Hasher::new();
    hasher.update(salt);
    hasher.update(bytes);
    hasher.finalize().to_hex().to_string()
}

/// Why an event can't be written or read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EventError {
    /// The bytes are not an event.
    Form(String),
    /// The body can't be written.
    Body(BodyError),
    /// The client reference is not 32 hex digits.
    Reference(String),
    /// The time is not RFC 3339.
    Time(String),
    /// The event is longer than [`MAX_EVENT_BYTES`].
    TooLong(usize),
}

impl fmt::Display for EventError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Form(what) => write!(out, "these bytes are not an event: {what}"),
            Self::Body(problem) => problem.fmt(out),
            Self::Reference(reference) => write!(
                out,
                "the reference `{reference}` must be 32 digits of 0-9 and a-f, made anew \
                 for each tap"
            ),
            Self::Time(at) => write!(
                out,
                "`{at}` is not a time: write it as in 2026-11-25T09:30:00Z (RFC 3339)"
            ),
            Self::TooLong(bytes) => write!(
                out,
                "the event has {bytes} bytes, at most {MAX_EVENT_BYTES} are allowed: put \
                 text and files into a blob"
            ),
        }
    }
}

impl error::Error for EventError {}

impl From<BodyError> for EventError {
    fn from(problem: BodyError) -> Self {
        Self::Body(problem)
    }
}

/// Whether the text is a client reference: 32 lower-case hex digits.
#[must_use]
pub fn is_reference(text: &str) -> bool {
    text.len() == 32
        && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

/// The next event of `writer`, whose last one is `last`, knowing `heads` of the others.
///
/// # Errors
/// Where the draft has no proper reference or time, or its body can't be written.
pub fn next_event(
    draft: &Draft,
    writer: &str,
    last: Option<&Head>,
    heads: &Heads,
) -> Result<Stored, EventError> {
    if !is_reference(&draft.reference) {
        return Err(EventError::Reference(draft.reference.clone()));
    }
    if Instant::read(&draft.at).is_none() {
        return Err(EventError::Time(draft.at.clone()));
    }
    let others: Heads = heads
        .iter()
        .filter(|(other, _)| *other != writer)
        .map(|(other, head)| (other.clone(), head.clone()))
        .collect();
    let mut event = json!({
        "v": VERSION,
        "kind": draft.body.kind().word(),
        "job": draft.job,
        "body": draft.body.to_json()?,
        "ref": draft.reference,
        "at": draft.at,
        "zone": draft.zone,
        "who": draft.who,
        "writer": writer,
        "seq": last.map_or(1, |head| head.seq.saturating_add(1)),
    });
    if let Value::Object(members) = &mut event {
        if let Some(head) = last {
            members.insert("prev".to_owned(), Value::String(head.id.clone()));
        }
        if !others.is_empty() {
            members.insert("heads".to_owned(), json!(others));
        }
    }
    let bytes = canonical(&event).into_bytes();
    if bytes.len() > MAX_EVENT_BYTES {
        return Err(EventError::TooLong(bytes.len()));
    }
    Ok(Stored::of_bytes(bytes))
}

/// Whether an event already stored says the same as the draft (time and person apart).
#[must_use]
pub fn says_the_same(event: &Event, draft: &Draft) -> bool {
    event.job == draft.job
        && event.kind == draft.body.kind().word()
        && draft.body.to_json().is_ok_and(|body| body == event.body)
}
