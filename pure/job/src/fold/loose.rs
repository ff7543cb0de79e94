//! Loose ends: what is unresolved, what it blocks, whether it was settled or accepted.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use super::{Facts, Hole, TrayFastener, TrayItem, TraySeal};
use crate::body::BlobId;

/// What a loose end blocks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Blocks {
    /// The refit of that item, and with it the hand-over.
    Refit(String),
    /// The hand-over.
    HandOver,
    /// Nothing.
    Nothing,
}

/// What kind of loose end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EndKind {
    /// A seal is not found, damaged or not accounted for.
    Seal,
    /// A fastener is missing, broken, left over or still in the tray.
    Fastener,
    /// Caps fitted and removed do not balance.
    Cap,
    /// A fluid ran out and was not filled in.
    Fluid,
    /// A duty is open.
    Duty,
    /// Something unsafe was seen and not answered.
    Unsafe,
    /// An item was off at the hand-over.
    ItemOff,
    /// Two entries do not fit together.
    Contradiction,
    /// The repairer raised it.
    Raised,
}

/// Where a loose end stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EndState {
    /// Open.
    Open,
    /// Settled.
    Settled {
        /// When.
        at: String,
        /// Blob: how.
        how: Option<BlobId>,
    },
    /// Accepted in writing.
    Accepted {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Blob: the writing.
        blob: Option<BlobId>,
    },
}

/// A loose end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LooseEnd {
    /// Its id, for `loose_end.settled` and `loose_end.accepted`.
    pub id: String,
    /// What kind.
    pub kind: EndKind,
    /// In plain words.
    pub what: String,
    /// What it is about: `item:ID`, `duty:ID`, the id of an event.
    pub of: String,
    /// Blob: the repairer's words.
    pub text: Option<BlobId>,
    /// What it blocks.
    pub blocks: Blocks,
    /// Where it stands.
    pub state: EndState,
}

impl LooseEnd {
    /// Whether it is open.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.state == EndState::Open
    }
}

/// A loose end as its cause stands now, before decisions; `raised` is the step that raised it.
#[derive(Debug, Clone)]
pub(super) struct Cause {
    pub(super) end: LooseEnd,
    pub(super) raised: usize,
}

impl Cause {
    pub(super) fn new(kind: EndKind, id: String, what: String, raised: usize) -> Self {
        let of = id.clone();
        let state = EndState::Open;
        let end =
            LooseEnd { id, kind, what, of, text: None, blocks: Blocks::Nothing, state };
        Self { end, raised }
    }

    pub(super) fn of(mut self, of: &str) -> Self {
        of.clone_into(&mut self.end.of);
        self
    }

    pub(super) fn blocks(mut self, blocks: Blocks) -> Self {
        self.end.blocks = blocks;
        self
    }
}

/// Decisions by loose end: the step and the state that it set.
pub(super) type Decisions = BTreeMap<String, (usize, EndState)>;

/// The loose end with the latest decision on it, unless its cause was raised again since.
pub(super) fn decided(cause: Cause, decisions: &Decisions) -> LooseEnd {
    let mut end = cause.end;
    if let Some((step, state)) = decisions.get(&end.id)
        && *step >= cause.raised
    {
        end.state = state.clone();
    }
    end
}

/// What the tray leaves open.
pub(super) fn of_tray(facts: &Facts) -> Vec<Cause> {
    let mut causes = Vec::new();
    for item in &facts.tray {
        causes.extend(item.seals.iter().flat_map(|seal| of_seal(item, seal)));
        causes.extend(
            item.fasteners.iter().flat_map(|fastener| of_fastener(item, fastener)),
        );
        causes.extend(of_caps(item));
    }
    causes
}

fn of_seal(item: &TrayItem, seal: &TraySeal) -> Vec<Cause> {
    let end = |word: &str, what: String| {
        let id = format!("seal:{}/{}:{word}", item.item, seal.id);
        let raised = seal.raised.get(word).copied().unwrap_or(0);
        Cause::new(EndKind::Seal, id, what, raised)
            .of(&format!("item:{}", item.item))
            .blocks(Blocks::Refit(item.item.clone()))
    };
    let mut causes = Vec::new();
    let (title, id) = (&item.title, &seal.id);
    if seal.not_found > 0 {
        causes.push(end(
            "not-found",
            format!(
                "{title}: {} of {} `{id}` not found; after the refit nobody can look",
                seal.not_found,
                seal.count.max(seal.not_found)
            ),
        ));
    }
    if seal.unaccounted() > 0 {
        causes.push(end(
            "unaccounted",
            format!(
                "{title}: {} of {} `{id}` still to be accounted for",
                seal.unaccounted(),
                seal.count
            ),
        ));
    }
    if seal.damaged > seal.renewed {
        let count = seal.damaged - seal.renewed;
        causes.push(end(
            "damaged",
            format!("{title}: {count} `{id}` damaged and not renewed"),
        ));
    }
    let out = seal.found.unwrap_or(0).max(seal.damaged);
    if seal.found.is_some() && seal.renewed > out && seal.not_found == 0 {
        causes.push(end(
            "two",
            format!(
                "{title}: {} new `{id}` in but {out} old out: look for one seal upon another",
                seal.renewed
            ),
        ));
    }
    causes
}

fn of_fastener(item: &TrayItem, fastener: &TrayFastener) -> Vec<Cause> {
    let (title, id) = (&item.title, &fastener.id);
    let all = fastener.holes.len();
    let in_tray = fastener.count(Hole::InTray) + fastener.count(Hole::NewInTray);
    let left_over = usize::try_from(fastener.left_over).unwrap_or(usize::MAX);
    let lying = if item.off { 0 } else { in_tray };
    [
        (fastener.count(Hole::Missing), "missing", format!("of {all} `{id}` missing")),
        (fastener.count(Hole::Broken), "broken", format!("of {all} `{id}` broken")),
        (left_over, "left-over", format!("`{id}` left over: there is no hole for it")),
        (
            lying,
            "in-tray",
            format!("of {all} `{id}` in the tray though the item is back"),
        ),
    ]
    .into_iter()
    .filter(|(count, ..)| *count > 0)
    .map(|(count, word, what)| {
        let end = format!("fastener:{}/{id}:{word}", item.item);
        let raised = fastener.raised.get(word).copied().unwrap_or(0);
        Cause::new(EndKind::Fastener, end, format!("{title}: {count} {what}"), raised)
            .of(&format!("item:{}", item.item))
            .blocks(Blocks::HandOver)
    })
    .collect()
}

fn of_caps(item: &TrayItem) -> Option<Cause> {
    let title = &item.title;
    let what = match (item.caps, item.caps_too_many) {
        (0, 0) => return None,
        (0, 1) => format!(
            "{title}: one more cap taken off than was put on; look where it came from"
        ),
        (0, more) => format!(
            "{title}: {more} more caps taken off than were put on; look where they came from"
        ),
        (1, _) => format!("{title}: one cap is still on an open port"),
        (on, _) => format!("{title}: {on} caps are still on open ports"),
    };
    let id = format!("cap:{}", item.item);
    let cause = Cause::new(EndKind::Cap, id, what, item.caps_noted)
        .of(&format!("item:{}", item.item))
        .blocks(Blocks::Refit(item.item.clone()));
    Some(cause)
}
