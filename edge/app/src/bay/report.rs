//! `report`: the owner's and the file's PDF, from the job alone.

use job::Stored;
use report::{PdfOptions, Stamp, pdf};

use super::{
    Bay, Problem,
    car::Car,
    paper::{Over, owner_report},
    paper_file::file_report,
};

/// The papers of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Papers {
    /// For the owner.
    pub owner: Vec<u8>,
    /// For the file.
    pub file: Vec<u8>,
}

/// As of when a paper speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Standing {
    /// As it was handed over, where it was; else as it stands.
    #[default]
    HandedOver,
    /// As it stands now, follow-ups counted in.
    Now,
}

impl Bay {
    /// The papers of a job, the same bytes each time.
    ///
    /// # Errors
    /// No such job, a paper that can't be set, or the store can't be read.
    pub fn report(&self, name: &str, standing: Standing) -> Result<Papers, Problem> {
        let (car, over) = self.standing(name, standing)?;
        self.papers(&car, &over)
    }

    /// The pages of the owner's report and of the file's, before they are set.
    ///
    /// # Errors
    /// No such job, or the store can't be read.
    pub fn report_pages(
        &self,
        name: &str,
        standing: Standing,
    ) -> Result<[pages::Page; 2], Problem> {
        let (car, over) = self.standing(name, standing)?;
        let file = file_report(self, &car, &over)?;
        Ok([pages::owner_report(&file.owner), pages::file_report(&file)])
    }

    /// The job as of that standing.
    pub(super) fn standing(
        &self,
        name: &str,
        standing: Standing,
    ) -> Result<(Car, Over), Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let Some(said) = car.facts.handed_over.clone() else {
            let over = Over { head: last(&car.events), ..Over::default() };
            return Ok((car, over));
        };
        let over = Over {
            at: said.at.clone(),
            head: said.what.head.clone().unwrap_or_default(),
            odometer_km: said.what.odometer_km,
            charged: said.what.charged,
        };
        if standing == Standing::Now {
            return Ok((car.clone(), Over { head: last(&car.events), ..over }));
        }
        let before: Vec<String> = car
            .facts
            .history
            .iter()
            .take_while(|line| line.id != said.id)
            .map(|line| line.id.clone())
            .collect();
        let events = car
            .events
            .iter()
            .filter(|stored| before.contains(&stored.id))
            .cloned()
            .collect();
        Ok((Car::of(self, &car.job, events)?, over))
    }

    pub(super) fn papers(&self, car: &Car, over: &Over) -> Result<Papers, Problem> {
        let owner = pages::owner_report(&owner_report(self, car, over)?);
        let file = pages::file_report(&file_report(self, car, over)?);
        let options = options(car, over);
        let set = |page| {
            pdf(&[page], &options).map_err(|error| Problem::could_not("paper", error))
        };
        Ok(Papers { owner: set(owner)?, file: set(file)? })
    }
}

/// Id of the last event.
fn last(events: &[Stored]) -> String {
    events.last().map_or_else(String::new, |stored| stored.id.clone())
}

/// A4 with the log head at the foot, stamped with the moment of the hand-over or of the last
/// entry: never with the clock, so the same job prints the same bytes.
pub(super) fn options(car: &Car, over: &Over) -> PdfOptions {
    let mut options = PdfOptions::a4(&format!("{} · log head {}", car.job, over.head));
    options.author.clone_from(&car.vehicle.workshop);
    let last = car.facts.history.last().map(|line| line.at.as_str());
    let at = if over.at.is_empty() { last } else { Some(over.at.as_str()) };
    options.stamp = at.and_then(stamp);
    options
}

fn stamp(at: &str) -> Option<Stamp> {
    let utc =
        at.parse::<jiff::Timestamp>().ok()?.to_zoned_datetime(jiff::tz::TimeZone::UTC);
    let small = |value: i8| u8::try_from(value).unwrap_or(0);
    Some(Stamp {
        year: i32::from(utc.year()),
        month: small(utc.month()),
        day: small(utc.day()),
        hour: small(utc.hour()),
        minute: small(utc.minute()),
        second: small(utc.second()),
    })
}
