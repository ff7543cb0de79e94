//! What the judge is asked and what it answers.

use std::fmt;

use sheet::{Economy, ItemSet};
use weigh::Odds;

/// What kind of step a choice is, in the order in which ties are settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JudgeKind {
    /// Refit everything and hand back.
    Close,
    /// Refit everything and hand the job to a specialist.
    PassOn,
    /// A check.
    Check,
    /// A repair.
    Repair,
    /// A proof.
    Proof,
}

impl JudgeKind {
    /// The word in JSON and in facts.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Close => "close",
            Self::PassOn => "pass-on",
            Self::Check => "check",
            Self::Repair => "repair",
            Self::Proof => "proof",
        }
    }
}

/// When items come off and go back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JudgeMoves {
    /// As late as they can: R' of design section 5.
    #[default]
    Late,
    /// One at a time whenever it is wanted; shows that late is never dearer.
    Free,
}

/// What the judge may pass over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JudgeSkips {
    /// What a simple bound makes dearer than what is known.
    #[default]
    Dearer,
    /// Nothing; shows that the bound costs nothing, on the smallest sheets.
    Nothing,
}

/// What the judge is asked.
#[derive(Debug, Clone)]
pub struct JudgeAsk {
    /// Money rules of the job.
    pub economy: Economy,
    /// What is believed and done now.
    pub odds: Odds,
    /// What is off now, closed under `behind`.
    pub off: ItemSet,
    /// Equipment that is there; `None`: all of it.
    pub has: Option<Vec<String>>,
    /// Refused actions: kind and place in the sheet (0 for close and pass-on).
    pub without: Vec<(JudgeKind, usize)>,
    /// How many states it may remember.
    pub limit_states: usize,
    /// When items move.
    pub moves: JudgeMoves,
    /// What it may pass over.
    pub skips: JudgeSkips,
}

/// What the judge found.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgeAnswer {
    /// Least expected total cost from here, money.
    pub cost: f64,
    /// First step: kind, id, and which of its ways.
    pub first: (JudgeKind, String, usize),
    /// States remembered.
    pub states: usize,
}

/// Why the judge can't answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JudgeError {
    /// What is off is not closed under `behind`.
    NotClosed {
        /// An item that is off.
        item: String,
        /// An item in front of it that is on.
        missing: String,
    },
    /// The odds or the items that are off are not this sheet's.
    OtherSheet,
    /// More states, steps in a row or items than it may hold.
    TooLarge {
        /// What was exceeded, in words.
        what: &'static str,
        /// The limit.
        limit: usize,
    },
    /// Every way to end the job was refused.
    NoEnd,
}

impl fmt::Display for JudgeError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotClosed { item, missing } => write!(
                out,
                "item `{item}` can't be off while `{missing}` in front of it is on: \
                 name both as off"
            ),
            Self::OtherSheet => {
                write!(
                    out,
                    "odds or items off belong to another sheet: weigh this one first"
                )
            }
            Self::TooLarge { what, limit } => write!(
                out,
                "too large for the plain judge: more than {limit} {what}; take a smaller sheet"
            ),
            Self::NoEnd => {
                write!(out, "close and pass-on are both refused: allow one of them")
            }
        }
    }
}

impl std::error::Error for JudgeError {}
