//! The sheet under the wiper, A5: whose it is, what is open, whether it may be started.

use pages::{WiperSheet, wiper_sheet};
use report::pdf;

use super::{Bay, Problem, car::Car, said::day};

impl Bay {
    /// The sheet under the wiper as a PDF.
    ///
    /// # Errors
    /// No such job, or a paper that can't be set.
    pub fn under_wiper(&self, name: &str) -> Result<Vec<u8>, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let last = car.facts.history.last();
        let page = wiper_sheet(&WiperSheet {
            plate: if car.vehicle.plate.is_empty() {
                car.job.clone()
            } else {
                car.vehicle.plate.clone()
            },
            vehicle: car.vehicle.vehicle.clone(),
            job: car.job.clone(),
            do_not_start: car.facts.can_start(&car.sheet).join("\n"),
            off: car.facts.off.iter().map(|item| car.item_name(item).title).collect(),
            loose_ends: car.facts.open_ends().map(|end| end.what.clone()).collect(),
            ask: last.map_or_else(String::new, |line| line.who.clone()),
            day: last.map_or_else(String::new, |line| day(&line.at)),
            language: car.language.clone(),
        });
        let over = super::paper::Over {
            head: car.events.last().map_or_else(String::new, |stored| stored.id.clone()),
            ..super::paper::Over::default()
        };
        let stamp = super::report::options(&car, &over).stamp;
        let mut options = report::PdfOptions::a5(&car.job);
        options.stamp = stamp;
        pdf(&[page], &options).map_err(|error| Problem::could_not("paper", error))
    }
}
