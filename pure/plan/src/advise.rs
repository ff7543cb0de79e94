//! `plan`: from the present state to the answer `plan/1`.

use std::fmt;
use std::sync::Arc;

use sheet::{ItemSet, Sheet};

use crate::answer::{
    Choice, Ends, Inputs, OddsOf, PartChance, PlanAnswer, SheetRef, Stats,
};
use crate::holds::holds_while;
use crate::planner::Planner;
use crate::policy::{Policy, SETTLED};
use crate::problem::{Ask, Effect, Kind, Problem};
use crate::search::{Limits, Search};
use crate::spread::{Measure, spread};
use crate::state::{State, tie};
use crate::words::{self, Telling, id_of};

/// What `plan` is asked, the shell's part included.
#[derive(Debug, Clone)]
pub struct PlanAsk {
    /// The problem.
    pub ask: Ask,
    /// The bill must not pass this, money.
    pub limit: Option<f64>,
    /// Language of titles.
    pub language: String,
    /// When to end.
    pub limits: Limits,
    /// Depth of the printed tree; `None`: no tree.
    pub tree: Option<usize>,
    /// Whether a step of the tree that is met again is only named by its number.
    pub tree_shared: bool,
    /// Whether the search's work is told.
    pub stats: bool,
    /// The inputs as they are echoed.
    pub inputs: Inputs,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanError {
    /// What is off is not closed under `behind`.
    OffNotClosed {
        /// The item that is off.
        item: String,
        /// Items that must be off with it.
        missing: Vec<String>,
    },
}

impl fmt::Display for PlanError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OffNotClosed { item, missing } => write!(
                out,
                "`{item}` is said to be off, but it lies behind {}, which is not: add it to what \
                 is off",
                missing
                    .iter()
                    .map(|id| format!("`{id}`"))
                    .collect::<Vec<_>>()
                    .join(" and ")
            ),
        }
    }
}

impl std::error::Error for PlanError {}

/// Checks that what is off is closed under `behind`.
///
/// # Errors
/// Names the first item in sheet order that lies behind one that is not off.
pub fn closed_off(sheet: &Sheet, off: ItemSet) -> Result<(), PlanError> {
    for item in off.iter() {
        let missing = sheet.items[item.at()].closure.minus(off);
        if !missing.is_empty() {
            return Err(PlanError::OffNotClosed {
                item: sheet.items[item.at()].id.clone(),
                missing: missing.iter().map(|m| sheet.items[m.at()].id.clone()).collect(),
            });
        }
    }
    Ok(())
}

/// A plan worked out, with what its figures are read from.
pub(crate) struct Worked<'s> {
    search: &'s mut Search,
    policy: Policy,
    /// Root step of the plan, then of each choice with its kind, place, way and bounds.
    root: usize,
    begun: Vec<Begun>,
    low: f64,
    /// Whether the first step is proven, its cost or not.
    stands: bool,
}

/// The best known plan that begins with one action.
pub(crate) struct Begun {
    pub(crate) kind: Kind,
    pub(crate) place: usize,
    pub(crate) way: usize,
    pub(crate) step: usize,
    low: f64,
    high: f64,
    wasted: Option<f64>,
}

/// The policy of least expected total cost from the present state (design section 5).
///
/// `keep_on` is asked between steps of the search: pure code has no clock. There is always
/// an answer.
///
/// # Errors
/// [`PlanError`]: what is off is not closed under `behind`.
pub fn plan(
    sheet: &Sheet,
    ask: &PlanAsk,
    keep_on: &dyn Fn() -> bool,
) -> Result<PlanAnswer, PlanError> {
    let mut planner = Planner::new(Arc::new(sheet.clone()), ask)?;
    planner.improve(keep_on);
    Ok(planner.answer(ask, keep_on))
}

impl<'s> Worked<'s> {
    /// The best known plan from a state, and the best that begins with each action.
    pub(crate) fn out(
        search: &'s mut Search,
        state: &State,
        keep_on: &dyn Fn() -> bool,
    ) -> Self {
        let mut policy = Policy::default();
        let at = search.node(state);
        let root = policy.grow(search, (Some(at), state), 0, keep_on);
        let begun = begin_with_each(search, &mut policy, (state, root), keep_on);
        let low = search.bounds(state).low.min(policy.steps[root].cost);
        let stands = search.first_step_stands(state);
        Self { search, policy, root, begun, low, stands }
    }
}

/// The best known plan for every action that there is, one an action in its best way.
fn begin_with_each(
    search: &mut Search,
    policy: &mut Policy,
    (state, root): (&State, usize),
    keep_on: &dyn Fn() -> bool,
) -> Vec<Begun> {
    let mut begun: Vec<Begun> = [Kind::Close, Kind::PassOn]
        .into_iter()
        .map(|kind| {
            let step = policy.end_with(search, state, kind);
            let cost = policy.steps[step].cost;
            Begun { kind, place: 0, way: 0, step, low: cost, high: cost, wasted: None }
        })
        .collect();
    for (place, bounds) in search.choices(state) {
        let act = &search.problem.acts[place];
        let (kind, listed, way) = (act.kind, act.place, act.way);
        let wasted = (kind == Kind::Repair).then(|| 1.0 - state.moved_by(act));
        let step = if policy.steps[root].act == Some(place) {
            root
        } else {
            let at = search.node(state);
            let from = (Some(at), state);
            policy.begin_with(search, from, (Some(place), SETTLED), keep_on)
        };
        let high = policy.steps[step].cost;
        let low = bounds.low.min(high);
        let new = Begun { kind, place: listed, way, step, low, high, wasted };
        match begun.iter_mut().find(|have| (have.kind, have.place) == (kind, listed)) {
            Some(have) if step != root && have.high <= high + tie(high) => {
                have.low = have.low.min(low);
            }
            Some(have) => *have = Begun { low: have.low.min(low), ..new },
            None => begun.push(new),
        }
    }
    begun
}

/// The plan as it is told.
pub(crate) fn answer(
    problem: &Problem,
    ask: &PlanAsk,
    worked: &mut Worked<'_>,
) -> PlanAnswer {
    let sheet = &*problem.sheet;
    let expected = worked.policy.steps[worked.root].cost;
    let proven = expected - worked.low <= tie(expected);
    let bill = spread(problem, &worked.policy, worked.root, Measure::Bill);
    let mut cost = spread(problem, &worked.policy, worked.root, Measure::Cost).figures();
    cost.mean = expected;
    let choices = choices(problem, worked, expected);
    PlanAnswer {
        sheet: SheetRef {
            id: sheet.id.clone(),
            version: sheet.version,
            hash: hex(&sheet.hash),
        },
        inputs: ask.inputs.clone(),
        expected_cost: expected,
        lower_bound: worked.low,
        gap: (expected - worked.low) / expected.max(1e-9),
        proven,
        next_proven: proven || worked.stands,
        currency: problem.economy.currency.clone(),
        next: words::next_step(
            problem,
            &worked.policy,
            worked.root,
            (&ask.language, &choices),
        ),
        choices,
        odds: odds_now(sheet, ask),
        cost,
        bill: bill.figures(),
        minutes: spread(problem, &worked.policy, worked.root, Measure::Minutes).figures(),
        ends: ends(&worked.policy, worked.root),
        over_limit: ask.limit.map(|limit| bill.above(limit)),
        parts: parts(problem, &worked.policy, worked.root),
        holds_while: holds_while(
            worked.search,
            &worked.policy,
            worked.root,
            (&worked.begun, &ask.ask.odds),
        ),
        tree: ask.tree.map(|depth| {
            let how = (ask.language.as_str(), ask.tree_shared);
            Telling::new(problem, &worked.policy, how).tree(worked.root, depth)
        }),
        stats: ask.stats.then(|| Stats {
            nodes: worked.search.size(),
            steps: worked.policy.steps.len(),
        }),
        remarks: remarks(problem, ask, (expected, worked.low, proven, worked.stands)),
    }
}

/// Bytes in hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let digits = b"0123456789abcdef";
        text.push(char::from(digits[usize::from(byte >> 4)]));
        text.push(char::from(digits[usize::from(byte & 15)]));
        text
    })
}

fn choices(problem: &Problem, worked: &Worked<'_>, expected: f64) -> Vec<Choice> {
    worked
        .begun
        .iter()
        .map(|begun| {
            let offered = matches!(begun.kind, Kind::Close | Kind::PassOn | Kind::Repair);
            let (policy, step) = (&worked.policy, begun.step);
            Choice {
                kind: begun.kind.word().to_owned(),
                id: id_of(&problem.sheet, begun.kind, begun.place).to_owned(),
                way: begun.way,
                expected_cost: begun.high,
                lower_bound: begun.low,
                more: [
                    (begun.low - expected).max(0.0),
                    (begun.high - worked.low).max(0.0),
                ],
                wasted: begun.wasted,
                bill: offered
                    .then(|| spread(problem, policy, step, Measure::Bill).figures()),
                holds: offered
                    .then(|| ends(policy, step).fixed - returns(problem, policy, step)),
            }
        })
        .collect()
}

/// Probability that what the plan puts right returns within the promise.
fn returns(problem: &Problem, policy: &Policy, root: usize) -> f64 {
    let steps = policy.steps.iter().zip(policy.reach(root));
    steps
        .map(|(step, reached)| {
            let Some(act) = step.act.map(|place| &problem.acts[place]) else {
                return 0.0;
            };
            let Effect::PutRight { again } = act.effect else { return 0.0 };
            let moved: f64 = step.state.moved_by(act);
            reached * again * moved
        })
        .sum()
}

fn odds_now(sheet: &Sheet, ask: &PlanAsk) -> Vec<OddsOf> {
    let odds = &ask.ask.odds;
    let mut all: Vec<OddsOf> = sheet
        .suspects
        .iter()
        .zip(&odds.present)
        .map(|(suspect, p)| OddsOf { id: suspect.id.clone(), p: *p })
        .collect();
    let unlisted = odds.present[sheet.unlisted().at()];
    all.push(OddsOf { id: "unlisted".to_owned(), p: unlisted });
    all.push(OddsOf { id: "fixed".to_owned(), p: odds.fixed() });
    all
}

fn ends(policy: &Policy, root: usize) -> Ends {
    let mut ends = Ends { fixed: 0.0, comeback: 0.0, passed_on: 0.0 };
    for (step, reached) in policy.steps.iter().zip(policy.reach(root)) {
        match (step.act, step.end) {
            (None, Kind::PassOn) => ends.passed_on += reached,
            (None, _) => {
                ends.comeback += reached * step.state.unfixed();
                ends.fixed += reached * step.state.fixed();
            }
            (Some(_), _) => {}
        }
    }
    // Branches too unlikely to expand are missing from the sum.
    let sum = ends.fixed + ends.comeback + ends.passed_on;
    Ends {
        fixed: ends.fixed / sum,
        comeback: ends.comeback / sum,
        passed_on: ends.passed_on / sum,
    }
}

fn parts(problem: &Problem, policy: &Policy, root: usize) -> Vec<PartChance> {
    let mut chance = vec![0.0; problem.sheet.repairs.len()];
    for (step, reached) in policy.steps.iter().zip(policy.reach(root)) {
        if let Some(act) = step.act.map(|place| &problem.acts[place])
            && matches!(act.effect, Effect::PutRight { .. })
        {
            chance[act.place] += reached;
        }
    }
    let listed = problem.sheet.repairs.iter().zip(chance);
    listed
        .filter(|(repair, _)| repair.parts_price > 0.0)
        .map(|(repair, probability)| PartChance {
            repair: repair.id.clone(),
            probability: probability.clamp(0.0, 1.0),
            price: repair.parts_price,
        })
        .collect()
}

fn remarks(
    problem: &Problem,
    ask: &PlanAsk,
    (expected, low, proven, stands): (f64, f64, bool, bool),
) -> Vec<String> {
    let mut remarks = ask.ask.odds.remarks.clone();
    if proven {
        remarks.push("No better plan exists on this sheet's numbers.".to_owned());
    } else {
        let share = 100.0 * (expected - low) / expected.max(1e-9);
        remarks.push(format!("A better plan could be up to {share:.1} % cheaper."));
        if stands {
            remarks.push(
                "The next step is the best all the same: that is proven.".to_owned(),
            );
        }
    }
    let driven =
        |proof: &sheet::Proof| matches!(proof.kind, sheet::ProofKind::Exposure(_));
    if !problem.counts && problem.sheet.proofs.iter().any(driven) {
        remarks.push(
            "How often the fault set is not known: no drive is proposed as a proof."
                .to_owned(),
        );
    }
    if problem.economy.comeback < problem.economy.pass_on {
        remarks.push(
            "A comeback is put below passing the job on: the plan may advise handing the car \
             back unfixed."
                .to_owned(),
        );
    }
    if ask.limit.is_none() {
        remarks.push("over_limit: no limit was given.".to_owned());
    }
    remarks
}

/// For a certificate.
impl Worked<'_> {
    /// The plan and the place of its first step.
    pub(crate) fn plan(&self) -> (&Policy, usize) {
        (&self.policy, self.root)
    }
}
