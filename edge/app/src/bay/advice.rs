//! The plan for a job as it stands, with the money and time that the search may take.

use job::Fact;
use plan::{Ask, Inputs, Kind, Limits, NextStep, PlanAnswer, PlanAsk};
use sheet::{ItemSet, Sheet, WindowEnd};

use super::{Bay, Problem, car::Car};

/// Memory of a plan, MiB.
const MEMORY_MB: u32 = 512;
const MEMORY_BYTES: usize = 512 << 20;

/// How long a plan may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thinking {
    /// Time budget, milliseconds.
    pub budget_ms: u64,
    /// Relative gap that is good enough.
    pub gap: f64,
    /// Most states that are met.
    pub nodes: usize,
}

impl Default for Thinking {
    fn default() -> Self {
        Self { budget_ms: 2000, gap: 0.0, nodes: 1_000_000 }
    }
}

/// What a plan is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Wanted {
    /// The bill from here must not pass this, money.
    pub(crate) limit: Option<f64>,
    /// Depth of the tree; none: no tree.
    pub(crate) tree: Option<usize>,
}

impl Bay {
    /// The plan from here, by what is already known of the car's plan.
    pub(crate) fn advise(
        &self,
        car: &Car,
        wanted: Wanted,
    ) -> Result<PlanAnswer, Problem> {
        let ask = ask(car, self.thinking, wanted);
        let of = (car.job.as_str(), &car.sheet);
        self.planners
            .plan(of, &ask, self.thinking.budget_ms)
            .map_err(|error| Problem::wrong("plan", error))
    }

    /// Thinks about what may come out of the step that was last advised for a job (its id), as
    /// long as `keep_on` says so: its next advice then comes at once.
    pub fn think_ahead(&self, job: &str, keep_on: &dyn Fn() -> bool) {
        self.planners.think_ahead(job, keep_on);
    }
}

fn ask(car: &Car, thinking: Thinking, wanted: Wanted) -> PlanAsk {
    let without = without(car);
    PlanAsk {
        ask: Ask {
            economy: car.economy.clone(),
            recurrence: car.recurrence,
            odds: car.odds.clone(),
            off: car.off(),
            has: car.facts.has.clone(),
            without: without.clone(),
        },
        limit: wanted.limit,
        language: car.language.clone(),
        limits: Limits {
            gap: thinking.gap,
            nodes: thinking.nodes,
            bytes: MEMORY_BYTES,
            step_only: true,
        },
        tree: wanted.tree,
        tree_shared: false,
        stats: false,
        inputs: inputs(car, thinking, wanted, &without),
    }
}

fn inputs(
    car: &Car,
    thinking: Thinking,
    wanted: Wanted,
    without: &[(Kind, usize)],
) -> Inputs {
    let economy = &car.economy;
    let count = car.recurrence.as_ref();
    Inputs {
        done: car
            .facts
            .evidence
            .iter()
            .filter_map(|fact| told(&car.sheet, fact))
            .collect(),
        without: without
            .iter()
            .map(|(kind, place)| format!("{kind}:{}", id_of(&car.sheet, *kind, *place)))
            .collect(),
        off: ids(&car.sheet, car.off()),
        has: car.facts.has.clone(),
        seen: count.map(|count| count.seen),
        over: count.map(|count| count.over.amount),
        over_unit: count.map(|count| count.over.unit.suffix().to_owned()),
        ends: count.map(|count| {
            match count.ends {
                WindowEnd::Set => "set",
                WindowEnd::Now => "now",
            }
            .to_owned()
        }),
        limit: wanted.limit,
        gap: thinking.gap,
        budget_ms: thinking.budget_ms,
        nodes: u64::try_from(thinking.nodes).ok(),
        memory_mb: u64::from(MEMORY_MB),
        ..Inputs::of(economy)
    }
}

/// Ids of items in sheet order.
pub(crate) fn ids(sheet: &Sheet, items: ItemSet) -> Vec<String> {
    items.iter().filter_map(|item| Some(sheet.items.get(item.at())?.id.clone())).collect()
}

fn id_of(sheet: &Sheet, kind: Kind, place: usize) -> &str {
    let found = match kind {
        Kind::Check => sheet.checks.get(place).map(|entry| &entry.id),
        Kind::Repair => sheet.repairs.get(place).map(|entry| &entry.id),
        Kind::Proof => sheet.proofs.get(place).map(|entry| &entry.id),
        Kind::Close | Kind::PassOn => None,
    };
    found.map_or(kind.word(), String::as_str)
}

/// A fact as the command line writes it.
fn told(sheet: &Sheet, fact: &Fact) -> Option<String> {
    Some(match fact {
        Fact::Check { check, outcome } => {
            let check = sheet.checks.get(check.at())?;
            format!("check:{}={}", check.id, check.outcomes.get(outcome.at())?.0)
        }
        Fact::CouldNotTell { check } => {
            format!("check:{}=skip", sheet.checks.get(check.at())?.id)
        }
        Fact::Reading { check, weights } => {
            let check = sheet.checks.get(check.at())?;
            let parts: Vec<String> = check
                .outcomes
                .iter()
                .zip(weights)
                .map(|((id, _), weight)| format!("{id} {weight}"))
                .collect();
            format!("check:{}@({})", check.id, parts.join(", "))
        }
        Fact::Repair { repair } => {
            format!("repair:{}", sheet.repairs.get(repair.at())?.id)
        }
        Fact::Proof { proof, shown, exposure } => {
            let word = if *shown { "shown" } else { "clear" };
            let over =
                exposure.map_or_else(String::new, |amount| format!(",over={amount}"));
            format!("proof:{}={word}{over}", sheet.proofs.get(proof.at())?.id)
        }
        Fact::Driven { amount, shown } => {
            format!("driven={amount},{}", if *shown { "shown" } else { "clear" })
        }
    })
}

/// What is not to be proposed; `more` stands for every check and repair.
fn without(car: &Car) -> Vec<(Kind, usize)> {
    let sheet = &car.sheet;
    let mut refused = Vec::new();
    for named in &car.facts.without {
        if named == "more" {
            refused.extend((0..sheet.checks.len()).map(|place| (Kind::Check, place)));
            refused.extend((0..sheet.repairs.len()).map(|place| (Kind::Repair, place)));
            continue;
        }
        let Some((kind, id)) = named.split_once(':') else { continue };
        let found = match kind {
            "check" => {
                sheet.checks.iter().position(|e| e.id == id).map(|at| (Kind::Check, at))
            }
            "repair" => {
                sheet.repairs.iter().position(|e| e.id == id).map(|at| (Kind::Repair, at))
            }
            "proof" => {
                sheet.proofs.iter().position(|e| e.id == id).map(|at| (Kind::Proof, at))
            }
            _ => None,
        };
        refused.extend(found);
    }
    refused.sort_unstable();
    refused.dedup();
    refused
}

/// The items off once a step is reached.
pub(crate) fn off_at(car: &Car, step: &NextStep) -> ItemSet {
    let set = |ids: &[String]| -> ItemSet {
        let place = |id: &String| car.sheet.items.iter().position(|item| item.id == *id);
        ids.iter().filter_map(place).map(sheet::ItemIx::from).collect()
    };
    car.off().union(set(&step.strip)).minus(set(&step.refit))
}

/// What a step puts on the bill by itself: work, waiting, consumables, parts.
pub(crate) fn bill_of(car: &Car, kind: &str, id: &str) -> f64 {
    let (sheet, economy) = (&car.sheet, &car.economy);
    let figures = match kind {
        "check" => sheet
            .checks
            .iter()
            .find(|entry| entry.id == id)
            .map(|entry| (entry.minutes, entry.wait_min, entry.cost)),
        "repair" => sheet
            .repairs
            .iter()
            .find(|entry| entry.id == id)
            .map(|entry| (entry.minutes, entry.wait_min, entry.parts_price)),
        "proof" => sheet
            .proofs
            .iter()
            .find(|entry| entry.id == id)
            .map(|entry| (entry.minutes, entry.wait_min, entry.cost)),
        _ => None,
    };
    let (work, wait, money) = figures.unwrap_or((0.0, 0.0, 0.0));
    economy.work(work) + economy.waiting(wait) + money
}
