//! References of one tap: its entries are named from the tap, so that it counts once.

use job::{Body, Draft, Head, Heads, Stored, body::Kind, next_event};
use serde_json::Value;

use super::{Bay, Problem, trouble};

/// Most items that one tap is looked for when it is taken back.
const MOST_IMPLIED: usize = 130;

/// Most entries that open a job.
const OPENING: usize = 8;

/// The reference of one part of a tap; the first thing of a tap carries the tap's own.
pub(super) fn part_of(tap: &str, part: &str) -> String {
    if part == "0" {
        return tap.to_owned();
    }
    let mut hash = job::hash_hex(format!("{tap}/{part}").as_bytes());
    hash.truncate(32);
    hash
}

/// Events of the same tap as that one, itself last, as far as they still count.
pub(super) fn of_same_tap(events: &[Stored], reference: &str) -> Vec<(String, Kind)> {
    let mut wanted: Vec<String> =
        (0..MOST_IMPLIED).map(|at| part_of(reference, &format!("off-{at}"))).collect();
    wanted.extend((1..MOST_IMPLIED).map(|at| part_of(reference, &format!("with-{at}"))));
    events
        .iter()
        .filter_map(|stored| Some((stored, stored.read().ok()?)))
        .filter(|(_, event)| wanted.contains(&event.reference))
        .filter_map(|(stored, event)| {
            Some((stored.id.clone(), Kind::of_word(&event.kind)?))
        })
        .collect()
}

/// Entries that were made with the opening of the job: they stand as long as it does.
pub(super) fn of_opening(events: &[Stored]) -> Vec<String> {
    let read = || events.iter().filter_map(|stored| Some((stored, stored.read().ok()?)));
    let opened = Kind::JobOpened.word();
    let Some((_, first)) = read().find(|(_, event)| event.kind == opened) else {
        return Vec::new();
    };
    let parts: Vec<String> =
        (0..OPENING).map(|at| part_of(&first.reference, &at.to_string())).collect();
    read()
        .filter(|(_, event)| parts.contains(&event.reference))
        .map(|(stored, _)| stored.id.clone())
        .collect()
}

/// A chain that is only tried: what a call would append, before anything is.
#[derive(Debug)]
pub(super) struct Trial {
    heads: Heads,
    last: Option<Head>,
}

impl Trial {
    pub(super) fn new(bay: &Bay) -> Result<Self, Problem> {
        Ok(Self {
            heads: bay.store.heads().map_err(|error| trouble(&error))?,
            last: None,
        })
    }

    /// The event that the draft would become.
    pub(super) fn event(&mut self, draft: &Draft) -> Result<Stored, Problem> {
        let stored = next_event(draft, "trial", self.last.as_ref(), &self.heads)
            .map_err(|error| Problem::wrong("entry", error))?;
        let seq = self.last.as_ref().map_or(1, |head| head.seq.saturating_add(1));
        self.last = Some(Head { seq, id: stored.id.clone() });
        Ok(stored)
    }
}

impl Bay {
    /// Whether an event already stored says what the body says, blobs compared by what they
    /// hold: their names differ each time they are kept.
    pub(super) fn says(&self, stored: &Stored, body: &Body) -> Result<bool, Problem> {
        let Ok(event) = stored.read() else { return Ok(false) };
        if event.kind != body.kind().word() {
            return Ok(false);
        }
        // What was known of the freeze frame is not what was tapped.
        if body.kind() == Kind::CodeErased {
            return Ok(true);
        }
        let new = body.to_json().map_err(|error| Problem::wrong("entry", error))?;
        Ok(self.with_contents(event.body)? == self.with_contents(new)?)
    }

    fn with_contents(&self, value: Value) -> Result<Value, Problem> {
        Ok(match value {
            Value::String(text) => match self.blob(&text)? {
                Some(bytes) => Value::String(job::hash_hex(&bytes)),
                None => Value::String(text),
            },
            Value::Array(list) => Value::Array(
                list.into_iter()
                    .map(|one| self.with_contents(one))
                    .collect::<Result<_, _>>()?,
            ),
            Value::Object(members) => Value::Object(
                members
                    .into_iter()
                    .map(|(key, one)| Ok((key, self.with_contents(one)?)))
                    .collect::<Result<_, Problem>>()?,
            ),
            Value::Null | Value::Bool(_) | Value::Number(_) => value,
        })
    }
}
