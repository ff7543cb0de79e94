//! `jobs`: cars on hand, a plain list, those that wait for me first.

use job::body::WaitFor;
use pages::{CarLine, Page, WaitsFor, cars_page, five_words};
use schemars::JsonSchema;
use serde::Serialize;

use super::{Bay, Problem, car::Car, said::minute, trouble};
use crate::Answer;

/// A car of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CarOnHand {
    /// The job.
    pub job: String,
    /// Plate; null: not known.
    pub plate: Option<String>,
    /// The vehicle in words.
    pub vehicle: String,
    /// me, owner, part, lift, cooling or trial; null once it is gone.
    pub waits_for: Option<String>,
    /// Since when, RFC 3339.
    pub since: Option<String>,
    /// The next step in five words, from the last advice.
    pub next: Option<String>,
    /// How many loose ends are open.
    pub loose_ends: usize,
    /// Why it must not be started; empty: it may.
    pub do_not_start: Vec<String>,
}

/// Answer `jobs/1`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JobsAnswer {
    /// The cars.
    pub cars: Vec<CarOnHand>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for JobsAnswer {
    const NAME: &'static str = "jobs/1";
}

impl JobsAnswer {
    /// The list as a page.
    #[must_use]
    pub fn page(&self, language: &str) -> Page {
        let lines: Vec<CarLine> = self
            .cars
            .iter()
            .map(|car| CarLine {
                job: car.job.clone(),
                plate: car.plate.clone().unwrap_or_else(|| car.job.clone()),
                vehicle: car.vehicle.clone(),
                waits_for: match car.waits_for.as_deref() {
                    None => None,
                    Some("owner") => Some(WaitsFor::Owner),
                    Some("part") => Some(WaitsFor::Part),
                    Some("lift") => Some(WaitsFor::Lift),
                    Some("cooling") => Some(WaitsFor::Cooling),
                    Some("trial") => Some(WaitsFor::Trial),
                    Some(_) => Some(WaitsFor::Me),
                },
                since: car.since.as_deref().map_or_else(String::new, minute),
                next: car.next.clone().unwrap_or_default(),
                loose_ends: u32::try_from(car.loose_ends).unwrap_or(u32::MAX),
            })
            .collect();
        cars_page(&lines, language)
    }
}

impl Bay {
    /// The cars on hand; with `closed` those that are gone too, last.
    ///
    /// # Errors
    /// Where the store can't be read.
    pub fn jobs(&self, closed: Shown) -> Result<JobsAnswer, Problem> {
        let mut remarks = Vec::new();
        let mut listed: Vec<((bool, WaitFor, String), CarOnHand)> = Vec::new();
        for job in self.store.jobs().map_err(|error| trouble(&error))? {
            let car = match Car::load(self, &job) {
                Ok(car) => car,
                Err(problem) => {
                    remarks.push(format!("job {job} can't be shown: {problem}"));
                    continue;
                }
            };
            if car.facts.closed() && closed == Shown::OnHand {
                continue;
            }
            let waits = car.facts.waits.as_ref();
            let key = (
                car.facts.closed(),
                waits.map_or(WaitFor::Me, |waits| waits.wait_for),
                waits.map_or_else(String::new, |waits| waits.since.clone()),
            );
            listed.push((key, line(&car)));
        }
        listed.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.job.cmp(&b.1.job)));
        Ok(JobsAnswer { cars: listed.into_iter().map(|(_, car)| car).collect(), remarks })
    }
}

/// Which cars a list shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shown {
    /// Those on hand.
    #[default]
    OnHand,
    /// Those that are gone too.
    All,
}

fn line(car: &Car) -> CarOnHand {
    let waits = car.facts.waits.as_ref();
    let next = car.facts.advised.as_ref().filter(|_| !car.facts.closed()).map(|said| {
        let next = &said.what.next;
        let title = match next.kind.as_str() {
            "close" => "Hand over".to_owned(),
            "pass-on" => "Pass it on".to_owned(),
            kind => car.title(kind, &next.id),
        };
        five_words(&title)
    });
    CarOnHand {
        job: car.job.clone(),
        plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
        vehicle: car.vehicle.vehicle.clone(),
        waits_for: waits.map(|waits| waits.wait_for.word().to_owned()),
        since: waits.map(|waits| waits.since.clone()),
        next,
        loose_ends: car.facts.open_ends().count(),
        do_not_start: car.facts.do_not_start.clone(),
    }
}
