//! `others`: what the job's own sheet offers beside the step that is advised.

use super::{Bay, Problem, car::Car};

/// Something that can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Doable {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Work and waiting, minutes.
    pub minutes: f64,
    /// Outcomes of a check: id and what is tapped.
    pub outcomes: Vec<(String, String)>,
    /// Unit of its reading.
    pub unit: Option<String>,
}

/// All that a job's sheet offers, each in sheet order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Doables {
    /// Its checks.
    pub checks: Vec<Doable>,
    /// Its repairs.
    pub repairs: Vec<Doable>,
    /// Its proofs.
    pub proofs: Vec<Doable>,
}

impl Doables {
    /// The check of that id.
    #[must_use]
    pub fn check(&self, id: &str) -> Option<&Doable> {
        self.checks.iter().find(|check| check.id == id)
    }
}

impl Bay {
    /// Every check, repair and proof of the sheet as frozen in the job.
    ///
    /// # Errors
    /// No such job, or the store can't be read.
    pub fn others(&self, name: &str) -> Result<Doables, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let titled = |id: &str, title: &sheet::Text| {
            let title = title.in_language(&car.language);
            if title.is_empty() { id.to_owned() } else { title.to_owned() }
        };
        let plain = |id: &str, title: &sheet::Text, minutes: f64| Doable {
            id: id.to_owned(),
            title: titled(id, title),
            minutes,
            outcomes: Vec::new(),
            unit: None,
        };
        let checks = car.sheet.checks.iter().map(|check| Doable {
            outcomes: check
                .outcomes
                .iter()
                .map(|(id, text)| (id.clone(), titled(id, text)))
                .collect(),
            unit: check.reading.as_ref().map(|reading| reading.unit.clone()),
            ..plain(&check.id, &check.title, check.minutes + check.wait_min)
        });
        let repairs = car.sheet.repairs.iter();
        let proofs = car.sheet.proofs.iter();
        Ok(Doables {
            checks: checks.collect(),
            repairs: repairs
                .map(|r| plain(&r.id, &r.title, r.minutes + r.wait_min))
                .collect(),
            proofs: proofs
                .map(|p| plain(&p.id, &p.title, p.minutes + p.wait_min))
                .collect(),
        })
    }
}
