//! `quote`: what it comes to from here, whether that stays within the owner's sum, and what
//! to say.

use job::{Body, body::Quoted};
use plan::{PlanAnswer, TreeStep};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{ItemSet, Way};

use super::{
    Bay, Problem, Ring,
    advice::{Wanted, bill_of},
    car::Car,
    duties::{duty_money, repair_place},
    owner::ring,
};
use crate::Answer;

/// How deep the plan is looked into for the first step that breaks the sum.
const DEPTH: usize = 6;

/// The first step that would break what is authorised.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FirstBreak {
    /// check, repair, proof, close or pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// How many steps lie before it.
    pub after_steps: usize,
    /// Spent, this step and putting back: money.
    pub sum: f64,
}

/// Answer `quote/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuoteAnswer {
    /// The job.
    pub job: String,
    /// ISO 4217 code.
    pub currency: String,
    /// Spent so far, money.
    pub spent: f64,
    /// From here, mean, money.
    pub mean: f64,
    /// From here, usually, money.
    pub usual: f64,
    /// From here, seldom above, money.
    pub not_above: f64,
    /// Of that what must be done after the likeliest repair (leak looks, codes), money.
    pub duties: f64,
    /// In all, usually, money.
    pub usual_in_all: f64,
    /// In all, seldom above, money.
    pub not_above_in_all: f64,
    /// What the owner agreed to, money.
    pub authorised: Option<f64>,
    /// Probability that it stays within that; null: nothing is agreed.
    pub p_within: Option<f64>,
    /// The first step that would break it; null: none within sight.
    pub first_break: Option<FirstBreak>,
    /// What is to pay if it is put back as found now, money.
    pub stop_now: f64,
    /// The sentence for the owner.
    pub say: String,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for QuoteAnswer {
    const NAME: &'static str = "quote/1";
}

impl Bay {
    /// The quote from here; it is logged as told to the owner.
    ///
    /// # Errors
    /// No such job, no sheet to quote from, or the store fails.
    pub fn quote(&mut self, name: &str) -> Result<QuoteAnswer, Problem> {
        let job = self.find(name)?;
        let car = Car::load(self, &job)?;
        car.writable()?;
        if !car.has_sheet {
            return Err(Problem::wrong(
                "no-sheet",
                "this job has no sheet to quote from",
            )
            .hint("tell the owner what is spent: `show` has it"));
        }
        let spent = car.spent();
        let authorised = car.facts.authorised.as_ref().map(|said| said.what.sum);
        let wanted = Wanted {
            limit: Some(authorised.map_or(0.0, |sum| (sum - spent).max(0.0))),
            tree: Some(DEPTH),
        };
        let plan = self.advise(&car, wanted)?;
        let answer = quote_of(&car, &plan, spent, authorised);
        let quoted = Quoted {
            currency: answer.currency.clone(),
            p50: answer.usual_in_all,
            p90: answer.not_above_in_all,
            limit: authorised,
            blob: self.keep_text(&answer.say)?,
        };
        self.append(&job, Body::from(quoted))?;
        Ok(answer)
    }
}

fn quote_of(
    car: &Car,
    plan: &PlanAnswer,
    spent: f64,
    authorised: Option<f64>,
) -> QuoteAnswer {
    let currency = plan.currency.clone();
    let stop_now = spent + car.put_back(car.off());
    let p_within = authorised.and(plan.over_limit).map(|over| 1.0 - over);
    let bill = plan.bill;
    let in_sight = plan.tree.as_ref().map(|tree| duties_of(car, tree));
    let (duties, most_duties) = in_sight.unwrap_or_default();
    let (usual, not_above) = (bill.p50 + duties, bill.p90 + most_duties);
    let say =
        sentence(&currency, (spent, usual, not_above), (stop_now, authorised, p_within));
    QuoteAnswer {
        job: car.job.clone(),
        spent,
        mean: bill.mean + duties,
        usual,
        not_above,
        duties,
        usual_in_all: spent + usual,
        not_above_in_all: spent + not_above,
        authorised,
        p_within,
        first_break: authorised.and_then(|sum| first_break(car, plan, spent, sum)),
        stop_now,
        say,
        currency,
        remarks: plan
            .remarks
            .iter()
            .filter(|remark| !remark.starts_with("over_limit:"))
            .cloned()
            .chain(bill.binned.then(|| "bill: figures are rounded to bins".to_owned()))
            .collect(),
    }
}

fn sentence(
    currency: &str,
    (spent, p50, p90): (f64, f64, f64),
    (stop_now, authorised, p_within): (f64, Option<f64>, Option<f64>),
) -> String {
    let whole = |sum: f64| pages::say::whole_money(sum, currency);
    let in_all = pages::say::usually(spent + p50, spent + p90, currency);
    let within = match (authorised, p_within) {
        (Some(sum), Some(p)) => format!(
            " {} that it stays within the {} that are agreed.",
            pages::say::sentence(&pages::say::chance(p)),
            whole(sum)
        ),
        _ => String::new(),
    };
    format!(
        "It comes to {in_all} in all; {} of that is spent.{within} Stopping now and putting it \
         back as found: {}.",
        whole(spent),
        whole(stop_now)
    )
}

/// Duties after the likeliest repair in sight, and after the one that brings most, money.
fn duties_of(car: &Car, root: &TreeStep) -> (f64, f64) {
    let mut of_repair: Vec<(f64, String)> = Vec::new();
    let mut row = vec![(1.0, root)];
    while let Some((p, step)) = row.pop() {
        if step.kind == "repair" {
            match of_repair.iter_mut().find(|(_, id)| *id == step.id) {
                Some((sum, _)) => *sum += p,
                None => of_repair.push((p, step.id.clone())),
            }
        }
        row.extend(
            step.outcomes.iter().map(|outcome| (p * outcome.probability, &outcome.then)),
        );
    }
    let money = |id: &str| {
        let off = car.facts.ever_off.union(reached(car, id));
        duty_money(car, off, repair_place(car, id))
    };
    let likeliest = of_repair.iter().max_by(|a, b| a.0.total_cmp(&b.0));
    let open = duty_money(car, car.facts.ever_off, None);
    (
        likeliest.map_or(open, |(_, id)| money(id)),
        of_repair.iter().map(|(_, id)| money(id)).fold(open, f64::max),
    )
}

/// What is off once a repair is reached by its first way.
fn reached(car: &Car, id: &str) -> ItemSet {
    let repair = car.sheet.repairs.iter().find(|repair| repair.id == id);
    repair.and_then(|repair| repair.ways.first()).map_or(ItemSet::EMPTY, |way| way.closed)
}

/// A step of the plan on the way from here, with the money that lies before it.
struct Place<'t> {
    step: &'t TreeStep,
    spent: f64,
    off: ItemSet,
    depth: usize,
    p: f64,
}

/// The first step, nearest first and likeliest among the nearest, that would need a ring.
fn first_break(
    car: &Car,
    plan: &PlanAnswer,
    spent: f64,
    authorised: f64,
) -> Option<FirstBreak> {
    let root = plan.tree.as_ref()?;
    let mut row = vec![Place { step: root, spent, off: car.off(), depth: 0, p: 1.0 }];
    while !row.is_empty() {
        row.sort_by(|a, b| b.p.total_cmp(&a.p));
        let mut below = Vec::new();
        for place in row {
            let (off, moved) = moved(car, &place);
            let act = bill_of(car, &place.step.kind, &place.step.id);
            let money = (place.spent, moved + act, car.put_back(off));
            let rung: Option<Ring> =
                ring(&place.step.title, money, authorised, &car.economy.currency);
            if let Some(rung) = rung {
                return Some(FirstBreak {
                    kind: place.step.kind.clone(),
                    id: place.step.id.clone(),
                    title: place.step.title.clone(),
                    after_steps: place.depth,
                    sum: rung.sum,
                });
            }
            below.extend(place.step.outcomes.iter().map(|outcome| Place {
                step: &outcome.then,
                spent: place.spent + moved + act,
                off,
                depth: place.depth + 1,
                p: place.p * outcome.probability,
            }));
        }
        row = below;
    }
    None
}

/// What is off once that step is reached by its cheapest way, and what the move costs.
fn moved(car: &Car, place: &Place<'_>) -> (ItemSet, f64) {
    let cost =
        |to: ItemSet| strip::move_cost(&car.sheet, &car.economy, place.off, to).cost;
    let Some((ways, on, assembled)) = wants(car, place.step) else {
        return (ItemSet::EMPTY, cost(ItemSet::EMPTY));
    };
    let goals = ways
        .iter()
        .map(|way| strip::move_to(&car.sheet, place.off, way.closed, on, assembled));
    let best = goals.min_by(|a, b| cost(*a).total_cmp(&cost(*b))).unwrap_or(place.off);
    (best, cost(best))
}

/// Ways in, what must be on, whether all but covers must be; none: everything goes back.
fn wants<'c>(car: &'c Car, step: &TreeStep) -> Option<(&'c [Way], ItemSet, bool)> {
    let check = |id: &str| {
        let found = car.sheet.checks.iter().find(|entry| entry.id == id)?;
        Some((found.ways.as_slice(), found.on, found.assembled))
    };
    match step.kind.as_str() {
        "check" => check(&step.id),
        "repair" => {
            let found = car.sheet.repairs.iter().find(|entry| entry.id == step.id)?;
            Some((found.ways.as_slice(), found.on, found.assembled))
        }
        "proof" => {
            let found = car.sheet.proofs.iter().find(|entry| entry.id == step.id)?;
            let sheet::ProofKind::Repeat { check: of, .. } = &found.kind else {
                return None;
            };
            check(&car.sheet.checks.get(of.at())?.id)
        }
        _ => None,
    }
}
