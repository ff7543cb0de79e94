//! `hand_over` and `pass_on`: the job ends here, unless something is still loose.

use std::collections::BTreeMap;

use job::{
    Body,
    body::{HandedOver, Note, PassedOn},
};
use schemars::JsonSchema;
use serde::Serialize;

use super::{
    Bay, Papers, Problem,
    car::Car,
    new_reference,
    paper::{Over, TARGET},
    trouble,
};
use crate::Answer;

/// What is said at the hand-over.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HandOver {
    /// Odometer, km.
    pub odometer_km: Option<f64>,
    /// What was charged, where it differs from what was spent.
    pub charged: Option<f64>,
    /// Terms of a trial that the owner agreed to.
    pub trial: Option<String>,
}

/// To whom a job is passed on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PassOn {
    /// To whom and why.
    pub to: String,
    /// What was charged.
    pub charged: Option<f64>,
}

/// Answer `handed-over/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HandedOverAnswer {
    /// The job.
    pub job: String,
    /// Id of the event.
    pub event: String,
    /// Head of the log that the report prints.
    pub head: String,
    /// How sure it is that the vehicle is fixed; null: nothing was repaired.
    pub p_fixed: Option<f64>,
    /// The same in words.
    pub words: String,
    /// How sure it should be before nothing more is asked.
    pub target: f64,
    /// Distance clear that is still missing to it, km; null: none gets there, or no count.
    pub more_km: Option<f64>,
    /// Spent, money.
    pub spent: f64,
    /// ISO 4217 code.
    pub currency: String,
    /// The papers.
    #[serde(skip)]
    pub papers: Option<Papers>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for HandedOverAnswer {
    const NAME: &'static str = "handed-over/1";
}

impl Bay {
    /// Hands the vehicle over and writes the papers.
    ///
    /// # Errors
    /// Loose ends or duties that are neither settled nor accepted in writing, each named; a
    /// job that is closed; a paper or a store that fails.
    pub fn hand_over(
        &mut self,
        name: &str,
        said: &HandOver,
    ) -> Result<HandedOverAnswer, Problem> {
        let job = self.find(name)?;
        let mut car = Car::load(self, &job)?;
        still_here(&car)?;
        nothing_loose(&car)?;
        if let Some(terms) = said.trial.as_deref().filter(|terms| !terms.is_empty()) {
            let blob = self.keep(terms.as_bytes())?;
            self.append(&job, Body::from(Note { blob, of: Some("trial".to_owned()) }))?;
            car = Car::load(self, &job)?;
        }
        let repaired = car.facts.done.iter().any(|done| done.kind == "repair");
        let head = self.head()?;
        let body = HandedOver {
            p_fixed: repaired.then(|| car.odds.fixed()),
            odds: odds(&car),
            head: Some(head.clone()),
            report: None,
            odometer_km: said.odometer_km.or(car.facts.odometer_km),
            charged: said.charged,
            as_found: !repaired,
        };
        let odometer_km = body.odometer_km;
        let draft = self.draft(&job, Body::from(body), new_reference()?);
        let over = Over {
            at: draft.at.clone(),
            head: head.clone(),
            odometer_km,
            charged: said.charged,
        };
        // The papers first: a vehicle that is handed over has them.
        let papers = self.papers(&car, &over)?;
        let stored = self.store.append(&draft).map_err(|error| trouble(&error))?;
        let p_fixed = repaired.then(|| car.odds.fixed());
        Ok(HandedOverAnswer {
            event: stored.id,
            head,
            p_fixed,
            words: p_fixed.map_or_else(
                || "nothing was repaired".to_owned(),
                |p| format!("{} that it is fixed", pages::say::chance(p)),
            ),
            target: TARGET,
            more_km: more_km(&car),
            spent: car.spent(),
            currency: car.economy.currency.clone(),
            papers: Some(papers),
            remarks: unproven(&car, repaired),
            job,
        })
    }

    /// Stops and passes the job to a specialist.
    ///
    /// # Errors
    /// As [`Bay::hand_over`].
    pub fn pass_on(
        &mut self,
        name: &str,
        said: &PassOn,
    ) -> Result<HandedOverAnswer, Problem> {
        let job = self.find(name)?;
        let car = Car::load(self, &job)?;
        still_here(&car)?;
        nothing_loose(&car)?;
        let head = self.head()?;
        let body = PassedOn { to: self.keep_text(&said.to)?, charged: said.charged };
        let stored = self.append(&job, Body::from(body))?;
        Ok(HandedOverAnswer {
            event: stored.id,
            head,
            p_fixed: None,
            words: "passed on".to_owned(),
            target: TARGET,
            more_km: None,
            spent: car.spent(),
            currency: car.economy.currency.clone(),
            papers: None,
            remarks: vec!["p_fixed: a job that is passed on claims nothing".to_owned()],
            job,
        })
    }

    /// The last event of this store's writer.
    fn head(&self) -> Result<String, Problem> {
        let heads = self.store.heads().map_err(|error| trouble(&error))?;
        Ok(heads
            .get(&self.store.writer())
            .map_or_else(String::new, |head| head.id.clone()))
    }
}

fn still_here(car: &Car) -> Result<(), Problem> {
    car.writable()?;
    if car.facts.closed() {
        return Err(Problem::wrong("closed", "this vehicle is handed over already")
            .hint("if it is back: did comeback=same, or comeback=other"));
    }
    Ok(())
}

fn nothing_loose(car: &Car) -> Result<(), Problem> {
    let reasons = car.facts.can_hand_over(&car.sheet);
    if reasons.is_empty() {
        return Ok(());
    }
    let ends: Vec<String> = car
        .facts
        .open_ends()
        .filter(|end| reasons.contains(&end.what))
        .map(|end| end.id.clone())
        .collect();
    let hint = match ends.first() {
        Some(first) => format!(
            "do it and enter it, or accept it in writing: accept:{first}=WORDS; open: {}",
            ends.join(", ")
        ),
        None => "put it back and enter it: on:ITEM".to_owned(),
    };
    Err(Problem::wrong(
        "loose-ends",
        format!("not to be handed over yet: {}", reasons.join("; ")),
    )
    .hint(hint))
}

/// Odds by suspect, something else and fixed, for the history.
fn odds(car: &Car) -> BTreeMap<String, f64> {
    car.odds_words().into_iter().map(|line| (line.id, line.p)).collect()
}

/// Distance clear that is still missing to the target.
pub(super) fn more_km(car: &Car) -> Option<f64> {
    let km = car.recurrence?.over.unit == sheet::ExposureUnit::Km;
    let count = car.odds.count.filter(|_| km)?;
    weigh::prove::needed(&count, car.odds.fixed(), TARGET)
}

fn unproven(car: &Car, repaired: bool) -> Vec<String> {
    let mut remarks = Vec::new();
    if !repaired {
        remarks.push("p_fixed: nothing was repaired, so nothing is claimed".to_owned());
    }
    let fixed = car.odds.fixed();
    if repaired && fixed < TARGET {
        match more_km(car) {
            Some(km) => remarks.push(format!(
                "{} that it is fixed does not convince: another {} clear would make it {}; ask the owner",
                pages::say::sentence(&pages::say::chance(fixed)),
                pages::say::distance(km, pages::Shown::Metric),
                pages::say::chance(TARGET)
            )),
            None => remarks.push(
                "more_km: how often it set is not known in km, or no distance gets there".to_owned(),
            ),
        }
    }
    remarks
}
