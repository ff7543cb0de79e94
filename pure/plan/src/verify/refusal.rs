//! Why a certificate is refused, in plain words and with the place.

use std::fmt;

use crate::judge::JudgeError;

/// What a claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Claim {
    /// The expected cost of the head.
    ExpectedCost,
    /// The lower bound of the head.
    LowerBound,
    /// A step of the plan, from 1.
    Step(usize),
    /// A node of the proof, from 1.
    Node(usize),
}

impl fmt::Display for Claim {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ExpectedCost => write!(out, "the expected cost"),
            Self::LowerBound => write!(out, "the lower bound"),
            Self::Step(number) => write!(out, "step {number}"),
            Self::Node(number) => write!(out, "node {number}"),
        }
    }
}

/// Why a certificate does not hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// What it is about cannot be judged.
    Question(JudgeError),
    /// A claim that is not a number, or below 0.
    NotANumber {
        /// Which.
        claim: Claim,
    },
    /// The plan costs something else.
    OtherCost {
        /// As claimed.
        claimed: f64,
        /// As worked out.
        found: f64,
    },
    /// A bound above what can be proven.
    Overstated {
        /// Which.
        claim: Claim,
        /// As claimed.
        claimed: f64,
        /// As worked out from what it rests on.
        found: f64,
    },
    /// Nothing leads there.
    NotReached {
        /// Where.
        claim: Claim,
    },
    /// It leads back, to itself or past the end.
    LeadsAstray {
        /// Where.
        claim: Claim,
        /// The number that it leads to.
        to: u32,
    },
    /// It is led to from states that are not the same.
    OtherState {
        /// From where.
        claim: Claim,
        /// The number that it leads to.
        to: u32,
    },
    /// What it names is not there.
    NotThere {
        /// Where.
        claim: Claim,
        /// What is not there.
        what: &'static str,
    },
    /// More than the verifier holds.
    TooLarge,
}

impl fmt::Display for Refusal {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Question(error) => error.fmt(out),
            Self::NotANumber { claim } => {
                write!(out, "{claim} is no amount of money: the certificate was changed")
            }
            Self::OtherCost { claimed, found } => write!(
                out,
                "the plan costs {found}, not {claimed} as the certificate claims"
            ),
            Self::Overstated { claim, claimed, found } => write!(
                out,
                "{claim} claims at least {claimed}, but only {found} follows from what it \
                 rests on"
            ),
            Self::NotReached { claim } => {
                write!(out, "nothing leads to {claim}: the certificate was changed")
            }
            Self::LeadsAstray { claim, to } => write!(
                out,
                "{claim} leads to number {to}, which is not among the later ones: the \
                 certificate was changed or cut short"
            ),
            Self::OtherState { claim, to } => write!(
                out,
                "{claim} leads to number {to}, but what is off, done or likely there is not \
                 the same as on another way to it"
            ),
            Self::NotThere { claim, what } => write!(out, "{claim} names {what}"),
            Self::TooLarge => write!(
                out,
                "this sheet is too large for the verifier's own bound: nothing can be said \
                 about the certificate"
            ),
        }
    }
}

impl std::error::Error for Refusal {}

impl From<JudgeError> for Refusal {
    fn from(error: JudgeError) -> Self {
        Self::Question(error)
    }
}
