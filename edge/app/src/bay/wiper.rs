//! The sheet under the wiper, A5: whose it is, what is open, whether it may be started.

use job::fold::{Blocks, LooseEnd};
use pages::{WiperSheet, wiper_sheet};
use report::notice;

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
            loose_ends: loose_ends(&car),
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
        notice(&page, &options).map_err(|error| Problem::could_not("paper", error))
    }
}

/// What blocks a refit first; a duty by its title and when it is due alone.
fn loose_ends(car: &Car) -> Vec<String> {
    let (blocking, others): (Vec<&LooseEnd>, Vec<&LooseEnd>) =
        car.facts.open_ends().partition(|end| matches!(end.blocks, Blocks::Refit(_)));
    let short = |end: &&LooseEnd| {
        let duty = end
            .of
            .strip_prefix("duty:")
            .and_then(|id| car.sheet.duties.iter().find(|duty| duty.id == id));
        duty.map_or_else(
            || end.what.clone(),
            |duty| {
                let title = duty.title.in_language(&car.language);
                format!("{title} (before: {})", duty.before.replace('-', " "))
            },
        )
    };
    blocking.iter().chain(&others).map(short).collect()
}
