//! What a certificate claims, line by line, and what is said when it holds.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::answer::SheetRef;

/// The claims about one advice. Steps and nodes are numbered from 1 in their order; each
/// leads to later ones only.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Certificate {
    /// Exact expected cost of the plan, money.
    pub expected_cost: f64,
    /// No plan costs less, money.
    pub lower_bound: f64,
    /// The plan; the first step is the one to take now.
    pub steps: Vec<Step>,
    /// Why no plan costs less; the first node is the present state. Without nodes the bound
    /// that the verifier works out by itself is enough.
    pub nodes: Vec<Node>,
}

/// A step of the plan: kind, id, which of its ways, and by outcome the number of the step
/// that follows, 0 where the outcome is too unlikely to follow. As JSON
/// `["check","smoke",0,[2,5]]`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step(pub String, pub String, pub usize, pub Vec<u32>);

/// A state and what it costs at least, money; the acts whose outcomes are carried on, or else
/// the groups of causes that are told apart there. As JSON `[9.25,[[3,0,7]],[]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Node(pub f64, pub Vec<Carried>, pub Vec<Part>);

/// An act that is carried on: its place in the verifier's list (checks, repairs, proofs that
/// are there, in sheet order, ways in order; from 0), then by outcome the number of the node
/// that bounds what follows, 0 where the verifier's own bound is enough.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Carried(pub Vec<u32>);

/// A group of causes (places in the sheet, `unlisted` last, rising) and the number of the node
/// that bounds it, 0 where the verifier's own bound is enough.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part(pub Vec<usize>, pub u32);

/// Answer `verify/1`: the certificate holds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VerifyAnswer {
    /// The sheet that it is about.
    pub sheet: SheetRef,
    /// Expected cost of the plan, worked out again, money.
    pub expected_cost: f64,
    /// No plan costs less, proven again, money.
    pub lower_bound: f64,
    /// (expected − bound)/max(expected, 1e-9).
    pub gap: f64,
    /// expected − bound ≤ 1e-9·max(1, expected).
    pub proven: bool,
    /// States whose bound was proven from what follows.
    pub nodes: usize,
    /// Steps of the plan.
    pub steps: usize,
    /// Remarks.
    pub remarks: Vec<String>,
}
