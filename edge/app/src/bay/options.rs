//! `options`: the owner's page. Clean, replace or no more, each as money, chance and time.

use pages::{OptionsView, OwnerOption, Page};
use plan::{Choice, Figures, PlanAnswer};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{ItemSet, Repair};

use super::{
    Bay, Problem, Ring,
    advice::{Wanted, bill_of},
    car::Car,
    duties::{duty_money, repair_place},
    owner::ring,
};
use crate::Answer;

/// Most repairs that an owner is asked to choose from.
const MOST: usize = 4;

/// A repair that puts nothing right more often than this is no option to show.
const HOPELESS: f64 = 0.9;

/// One way to go on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OwnerChoice {
    /// repair, close (no more: put back as found) or pass-on.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// What would be done.
    pub title: String,
    /// In all, spent included, usually, money.
    pub price: f64,
    /// In all, seldom above, money.
    pub not_above: f64,
    /// From here, usually, money.
    pub from_here: f64,
    /// From here, seldom above, money.
    pub from_here_not_above: f64,
    /// Of that what must be done after the repair: leak looks, codes, self-tests; money.
    pub duties: f64,
    /// Chance that it holds for the promise; null: not known.
    pub holds: Option<f64>,
    /// Minutes of work and waiting until it can go, if it works.
    pub ready_minutes: f64,
    /// Hours until its parts are here; null: no part is on the way or to be ordered.
    pub parts_h: Option<f64>,
    /// What happens if it does not hold.
    pub if_fails: String,
}

/// Answer `options/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OptionsAnswer {
    /// The job.
    pub job: String,
    /// ISO 4217 code.
    pub currency: String,
    /// Spent so far, money.
    pub spent: f64,
    /// Putting back what is off now, money.
    pub put_back: f64,
    /// What the owner agreed to, money.
    pub authorised: Option<f64>,
    /// The ways to go on, best first; no more and pass-on stand last.
    pub options: Vec<OwnerChoice>,
    /// Why the owner is rung before the first of them; null: no need.
    pub ring: Option<Ring>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for OptionsAnswer {
    const NAME: &'static str = "options/1";
}

impl OptionsAnswer {
    /// The page that the owner reads.
    #[must_use]
    pub fn page(&self, vehicle: &str, language: &str) -> Page {
        pages::options_page(&OptionsView {
            vehicle: vehicle.to_owned(),
            language: language.to_owned(),
            currency: self.currency.clone(),
            spent: self.spent,
            put_back: self.put_back,
            authorised: self.authorised,
            options: self
                .options
                .iter()
                .filter(|choice| choice.kind != "close")
                .map(|choice| OwnerOption {
                    title: choice.title.clone(),
                    usual: choice.from_here,
                    above: choice.from_here_not_above,
                    holds: choice.holds,
                    ready: ready_words(choice),
                    if_fails: choice.if_fails.clone(),
                })
                .collect(),
            say: self.ring.as_ref().map_or_else(String::new, |ring| ring.say.clone()),
            remarks: self.remarks.clone(),
        })
    }
}

/// When it would be ready, in words.
fn ready_words(choice: &OwnerChoice) -> String {
    let work = pages::say::minutes(choice.ready_minutes);
    match choice.parts_h {
        Some(hours) if hours >= 1.0 => format!(
            "{work} of work, once the part is here (about {})",
            pages::say::minutes(hours * 60.0)
        ),
        Some(_) | None => format!("in about {work}"),
    }
}

impl Bay {
    /// The owner's options.
    ///
    /// # Errors
    /// No such job, no sheet, or the store can't be read.
    pub fn options(&self, name: &str) -> Result<OptionsAnswer, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        if !car.has_sheet {
            return Err(Problem::wrong(
                "no-sheet",
                "this job has no sheet to choose from",
            ));
        }
        let plan = self.advise(&car, Wanted::default())?;
        let spent = car.spent();
        let put_back = car.put_back(car.off());
        let authorised = car.facts.authorised.as_ref().map(|said| said.what.sum);
        let chosen = sensible(&car, &plan);
        let mut options: Vec<OwnerChoice> = chosen
            .iter()
            .filter_map(|choice| repair_choice(&car, choice, spent))
            .collect();
        let titles: Vec<String> =
            options.iter().map(|option| option.title.clone()).collect();
        for (at, option) in options.iter_mut().enumerate() {
            option.if_fails = if_fails(titles.get(at + 1), &car);
        }
        options.extend(endings(&car, &plan, spent, put_back));
        let first = options.first().filter(|option| option.kind == "repair");
        let ring = first.zip(authorised).and_then(|(option, sum)| {
            let to = off_for(&car, &option.id);
            let there = strip::move_cost(&car.sheet, &car.economy, car.off(), to).cost;
            let step = there + bill_of(&car, "repair", &option.id);
            ring(&option.title, (spent, step, car.put_back(to)), sum, &plan.currency)
        });
        Ok(OptionsAnswer {
            job: car.job.clone(),
            currency: plan.currency.clone(),
            spent,
            put_back,
            authorised,
            options,
            ring,
            remarks: plan
                .remarks
                .iter()
                .filter(|remark| !remark.starts_with("over_limit:"))
                .cloned()
                .collect(),
        })
    }
}

/// The repairs worth a place on the page: for the likeliest suspect the cheapest plan and the
/// surest repair, then whatever plan costs least.
fn sensible<'p>(car: &Car, plan: &'p PlanAnswer) -> Vec<&'p Choice> {
    let mut repairs: Vec<&Choice> = plan
        .choices
        .iter()
        .filter(|choice| choice.kind == "repair" && choice.bill.is_some())
        .collect();
    repairs.sort_by(|a, b| a.expected_cost.total_cmp(&b.expected_cost));
    let puts_right = |choice: &Choice| {
        let suspect = car.likeliest().map_or(0, sheet::SuspectIx::at);
        find(car, &choice.id).and_then(|r| r.fixes.get(suspect).copied()).unwrap_or(0.0)
    };
    let meant: Vec<&Choice> =
        repairs.iter().copied().filter(|choice| puts_right(choice) > 0.0).collect();
    let surest =
        meant.iter().copied().max_by(|a, b| puts_right(a).total_cmp(&puts_right(b)));
    let mut chosen: Vec<&Choice> = Vec::new();
    let ends =
        plan.choices.iter().filter(|c| matches!(c.kind.as_str(), "close" | "pass-on"));
    let stop = ends.map(|c| c.expected_cost).fold(f64::INFINITY, f64::min);
    let likely = |choice: &Choice| choice.wasted.is_none_or(|wasted| wasted < HOPELESS);
    let others = repairs
        .iter()
        .copied()
        .filter(|choice| choice.expected_cost <= stop && likely(choice));
    for choice in meant
        .first()
        .copied()
        .into_iter()
        .chain(surest)
        .chain(meant.iter().copied())
        .chain(others)
    {
        if chosen.len() < MOST && chosen.iter().all(|known| known.id != choice.id) {
            chosen.push(choice);
        }
    }
    chosen.sort_by(|a, b| a.expected_cost.total_cmp(&b.expected_cost));
    chosen
}

fn find<'c>(car: &'c Car, id: &str) -> Option<&'c Repair> {
    car.sheet.repairs.iter().find(|repair| repair.id == id)
}

/// What is off once a repair is reached by its cheapest way.
fn off_for(car: &Car, id: &str) -> ItemSet {
    let off = car.off();
    let Some(repair) = find(car, id) else { return off };
    let goals = repair.ways.iter().map(|way| {
        strip::move_to(&car.sheet, off, way.closed, repair.on, repair.assembled)
    });
    let cost = |to: &ItemSet| strip::move_cost(&car.sheet, &car.economy, off, *to).cost;
    goals.min_by(|a, b| cost(a).total_cmp(&cost(b))).unwrap_or(off)
}

fn repair_choice(car: &Car, choice: &Choice, spent: f64) -> Option<OwnerChoice> {
    let bill = choice.bill?;
    let repair = find(car, &choice.id)?;
    let to = off_for(car, &choice.id);
    let there = strip::move_cost(&car.sheet, &car.economy, car.off(), to).minutes;
    let back = strip::move_cost(&car.sheet, &car.economy, to, ItemSet::EMPTY).minutes;
    let duties =
        duty_money(car, car.facts.ever_off.union(to), repair_place(car, &choice.id));
    let came = car.facts.parts.iter().any(|part| {
        part.part.repair.as_deref() == Some(&choice.id)
            && part.came.is_some()
            && !part.wrong
    });
    let lead = repair.parts.iter().filter_map(|part| part.lead_h).fold(0.0, f64::max);
    Some(OwnerChoice {
        kind: "repair".to_owned(),
        id: choice.id.clone(),
        title: repair.title.in_language(&car.language).to_owned(),
        price: spent + bill.p50 + duties,
        not_above: spent + bill.p90 + duties,
        from_here: bill.p50 + duties,
        from_here_not_above: bill.p90 + duties,
        duties,
        holds: choice.holds,
        ready_minutes: there + repair.minutes + repair.wait_min + back,
        parts_h: (lead > 0.0 && !came).then_some(lead),
        if_fails: String::new(),
    })
}

/// What follows where an option does not hold.
fn if_fails(next: Option<&String>, car: &Car) -> String {
    match next {
        Some(title) => format!(
            "What was paid stays paid; we ring before anything more, next in line is \u{201c}{title}\u{201d}"
        ),
        None => format!(
            "What was paid stays paid; we ring before anything more, or pass it to a specialist \
             (about {} in all ways)",
            pages::say::whole_money(car.economy.pass_on, &car.economy.currency)
        ),
    }
}

/// No more: put back as found; and passing on.
fn endings(car: &Car, plan: &PlanAnswer, spent: f64, put_back: f64) -> Vec<OwnerChoice> {
    let back =
        strip::move_cost(&car.sheet, &car.economy, car.off(), ItemSet::EMPTY).minutes;
    let of = |kind: &str, title: &str, if_fails: &str| {
        let choice = plan.choices.iter().find(|choice| choice.kind == kind);
        let bill: Option<Figures> = choice.and_then(|choice| choice.bill);
        let (usual, above) =
            bill.map_or((put_back, put_back), |bill| (bill.p50, bill.p90));
        OwnerChoice {
            kind: kind.to_owned(),
            id: kind.to_owned(),
            title: title.to_owned(),
            price: spent + usual,
            not_above: spent + above,
            from_here: usual,
            from_here_not_above: above,
            duties: 0.0,
            holds: choice.and_then(|choice| choice.holds),
            ready_minutes: back,
            parts_h: None,
            if_fails: if_fails.to_owned(),
        }
    };
    vec![
        of(
            "close",
            "No more: put back as it is",
            "The fault may show again; the code stays stored",
        ),
        of(
            "pass-on",
            "Pass it to a specialist",
            "The specialist's own bill comes on top",
        ),
    ]
}
