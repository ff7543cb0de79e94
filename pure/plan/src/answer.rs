//! The answer `plan/1`, field for field as it is printed.

use schemars::JsonSchema;
use serde::Serialize;
use sheet::Economy;

/// Answer `plan/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlanAnswer {
    /// The sheet that was planned with.
    pub sheet: SheetRef,
    /// All that was used.
    pub inputs: Inputs,
    /// Exact expected cost of the plan from the present state, money.
    pub expected_cost: f64,
    /// No plan costs less, money.
    pub lower_bound: f64,
    /// (expected − bound)/max(expected, 1e-9).
    pub gap: f64,
    /// expected − bound ≤ 1e-9·max(1, expected).
    pub proven: bool,
    /// Whether the next step is proven to be the best, the cost or not.
    pub next_proven: bool,
    /// ISO 4217 code.
    pub currency: String,
    /// The step to take now.
    pub next: NextStep,
    /// One an action, in the order that breaks ties.
    pub choices: Vec<Choice>,
    /// Odds now: suspects in sheet order, `unlisted`, `fixed`.
    pub odds: Vec<OddsOf>,
    /// All that the plan minimises, from here on.
    pub cost: Figures,
    /// The quote: labour, waiting, consumables, parts, refit parts and snags.
    pub bill: Figures,
    /// Work and waiting, minutes.
    pub minutes: Figures,
    /// How it ends; sums to 1.
    pub ends: Ends,
    /// P(bill > limit); null without a limit.
    pub over_limit: Option<f64>,
    /// Parts that may be needed.
    pub parts: Vec<PartChance>,
    /// Weights for which the advice stays, the others kept.
    pub holds_while: Vec<Holds>,
    /// The plan as a tree, where asked for.
    pub tree: Option<TreeStep>,
    /// Work done by the search, where asked for.
    pub stats: Option<Stats>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// Which sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SheetRef {
    /// Its id.
    pub id: String,
    /// Version of its knowledge.
    pub version: u32,
    /// BLAKE3 of its bytes, hex.
    pub hash: String,
}

/// What a plan was computed from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Inputs {
    /// Facts in order, as on the command line.
    pub done: Vec<String>,
    /// Actions refused.
    pub without: Vec<String>,
    /// Items off now.
    pub off: Vec<String>,
    /// Equipment; null: all there.
    pub has: Option<Vec<String>>,
    /// ISO 4217 code.
    pub currency: String,
    /// Money per hour of work.
    pub labour_per_hour: f64,
    /// Money per hour of waiting.
    pub bay_per_hour: f64,
    /// Money.
    pub comeback: f64,
    /// Money.
    pub pass_on: f64,
    /// none | some | bad.
    pub rust: String,
    /// Share of the time that the fault is present.
    pub active: f64,
    /// Sets counted; null: no count.
    pub seen: Option<u32>,
    /// Window of the count; null: no count.
    pub over: Option<f64>,
    /// km | min | starts; null: no count.
    pub over_unit: Option<String>,
    /// set | now; null: no count.
    pub ends: Option<String>,
    /// The limit of the bill.
    pub limit: Option<f64>,
    /// Relative gap asked for.
    pub gap: f64,
    /// Time budget, milliseconds.
    pub budget_ms: u64,
    /// Most states.
    pub nodes: Option<u64>,
    /// Memory budget, MB.
    pub memory_mb: u64,
}

impl Inputs {
    /// The inputs of a question about money rules alone: no facts, no limits told.
    #[must_use]
    pub fn of(economy: &Economy) -> Self {
        Self {
            done: Vec::new(),
            without: Vec::new(),
            off: Vec::new(),
            has: None,
            currency: economy.currency.clone(),
            labour_per_hour: economy.labour_per_hour,
            bay_per_hour: economy.bay_per_hour,
            comeback: economy.comeback,
            pass_on: economy.pass_on,
            rust: economy.rust.word().to_owned(),
            active: economy.active,
            seen: None,
            over: None,
            over_unit: None,
            ends: None,
            limit: None,
            gap: 0.0,
            budget_ms: 0,
            nodes: None,
            memory_mb: 0,
        }
    }
}

/// Mean money and minutes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Mean {
    /// Money.
    pub cost: f64,
    /// Minutes.
    pub minutes: f64,
}

/// The step to take now.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NextStep {
    /// check | repair | proof | close | pass-on.
    pub kind: String,
    /// Its id; the kind itself for close and pass-on.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Index into its ways.
    pub way: usize,
    /// The act with its waiting: mean, with what it may cost later (`again`, `if_shown`,
    /// comeback, passing on).
    pub act: Mean,
    /// Getting there, snags in: mean.
    #[serde(rename = "move")]
    pub moving: Mean,
    /// Items that come off for it.
    pub strip: Vec<String>,
    /// Items that go back for it.
    pub refit: Vec<String>,
    /// What may come out.
    pub outcomes: Vec<OutcomeChance>,
    /// Caution words, those of the items that come off too.
    pub cautions: Vec<String>,
    /// A reason built from the numbers of this answer.
    pub why: String,
}

/// An outcome and what it leads to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OutcomeChance {
    /// Its id (`clear` and `shown` of a proof, `done` of a repair).
    pub id: String,
    /// What the repairer taps.
    pub title: String,
    /// Its probability.
    pub probability: f64,
    /// The step after it.
    pub then: Option<Then>,
}

/// A step by name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Then {
    /// check | repair | proof | close | pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Index into its ways.
    pub way: usize,
}

/// An action to begin with.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Choice {
    /// check | repair | proof | close | pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Its best way.
    pub way: usize,
    /// Cost of the best known plan that begins with it, money.
    pub expected_cost: f64,
    /// No plan that begins with it costs less, money.
    pub lower_bound: f64,
    /// Least and most that it is dearer than the plan, money.
    pub more: [f64; 2],
    /// A repair: probability that it puts nothing right.
    pub wasted: Option<f64>,
    /// The quote of that plan; null for checks and proofs.
    pub bill: Option<Figures>,
    /// Probability that that plan ends fixed and stays so within the promise; null for checks
    /// and proofs.
    pub holds: Option<f64>,
}

/// Odds of a suspect, of `unlisted` or of `fixed`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OddsOf {
    /// Its id.
    pub id: String,
    /// Probability.
    pub p: f64,
}

/// A distribution in five figures.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Figures {
    /// Mean.
    pub mean: f64,
    /// Least value with P(≤) ≥ 0.1.
    pub p10: f64,
    /// Least value with P(≤) ≥ 0.5.
    pub p50: f64,
    /// Least value with P(≤) ≥ 0.9.
    pub p90: f64,
    /// Whether values were binned.
    pub binned: bool,
}

/// How the plan ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Ends {
    /// Closed and fixed (`again` apart).
    pub fixed: f64,
    /// Closed and not fixed.
    pub comeback: f64,
    /// Passed on.
    pub passed_on: f64,
}

/// A repair's parts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartChance {
    /// The repair's id.
    pub repair: String,
    /// Probability that the plan comes to it.
    pub probability: f64,
    /// Price of its parts, money.
    pub price: f64,
}

/// Weights of a suspect for which the first step stays.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Holds {
    /// The suspect's id.
    pub suspect: String,
    /// From this weight; null: without end.
    pub from: Option<f64>,
    /// To this weight; null: without end.
    pub to: Option<f64>,
    /// Its weight now.
    pub now: f64,
}

/// A step of the printed tree.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TreeStep {
    /// Its number in the tree; 0 at an end.
    pub number: usize,
    /// Whether it was told before under this number: its outcomes are not repeated.
    pub again: bool,
    /// check | repair | proof | close | pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Expected cost from here, money.
    pub expected_cost: f64,
    /// What may come out; empty at an end and where the depth cuts.
    pub outcomes: Vec<TreeOutcome>,
}

/// A branch of the printed tree.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TreeOutcome {
    /// The outcome's id.
    pub id: String,
    /// Its probability.
    pub probability: f64,
    /// The step after it.
    pub then: TreeStep,
}

/// Work done by the search.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stats {
    /// States kept.
    pub nodes: usize,
    /// Steps of the plan.
    pub steps: usize,
}
