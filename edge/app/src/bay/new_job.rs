//! `new`: a vehicle is taken in. Its sheet and money rules are frozen here.

use job::{
    Body, Draft,
    body::{
        Authorised, EconomyPatch, EndsWord, JobOpened, JobSet, RustWord, SetsNoted,
        SheetNamed, UnitWord,
    },
};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{EconomyOverrides, RemarkKind, Rust, Sheet};

use super::{
    Bay, Problem,
    car::{Car, OddsWords},
    drafts::part_of,
    named::{OwnerBlob, VehicleBlob},
    new_reference, trouble,
};
use crate::Answer;

/// The owner: personal data, kept outside the events.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Owner {
    /// Name.
    pub name: String,
    /// How to reach them.
    pub phone: String,
}

/// How often the fault has set, as the owner says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeated {
    /// Sets counted.
    pub seen: u32,
    /// Over how much.
    pub over: f64,
    /// Of what.
    pub unit: UnitWord,
    /// Where the window ends.
    pub ends: EndsWord,
}

/// What is known when a vehicle is taken in; everything may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewJob {
    /// Text of the sheet; none: a job without one.
    pub sheet: Option<String>,
    /// Plate.
    pub plate: String,
    /// The vehicle in words.
    pub vehicle: String,
    /// Its owner.
    pub owner: Owner,
    /// The complaint in the owner's words.
    pub complaint: String,
    /// Fault codes.
    pub codes: Vec<String>,
    /// Odometer, km.
    pub odometer_km: Option<f64>,
    /// Family of vehicles, for the history.
    pub family: Option<String>,
    /// How often the fault has set, where it differs from the sheet.
    pub recurrence: Option<Repeated>,
    /// Money rules of this job, over the workshop's and the sheet's.
    pub economy: EconomyOverrides,
    /// Equipment; none: the workshop's.
    pub has: Option<Vec<String>>,
    /// Up to which sum the owner agrees.
    pub authorised: Option<f64>,
    /// The client's reference: the same tap twice is one job.
    pub tap: Option<String>,
}

/// Answer `job/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JobAnswer {
    /// The job's id.
    pub job: String,
    /// Its plate; null: not known.
    pub plate: Option<String>,
    /// The sheet's id; null: none.
    pub sheet: Option<String>,
    /// Hash of the sheet as frozen; null: none.
    pub sheet_hash: Option<String>,
    /// Odds at the start.
    pub odds: Vec<OddsWords>,
    /// ISO 4217 code.
    pub currency: String,
    /// What the owner agreed to, money.
    pub authorised: Option<f64>,
    /// Remarks, the sheet's warnings too.
    pub remarks: Vec<String>,
}

impl Answer for JobAnswer {
    const NAME: &'static str = "job/1";
}

impl Bay {
    /// Takes a vehicle in.
    ///
    /// # Errors
    /// A sheet with errors, money rules out of range, or a store that can't keep it.
    pub fn new_job(&mut self, new: &NewJob) -> Result<JobAnswer, Problem> {
        let tap = match &new.tap {
            Some(tap) => tap.clone(),
            None => new_reference()?,
        };
        if let Some(job) = self.job_of_tap(&tap)? {
            return Ok(job_answer(&Car::load(self, &job)?, Vec::new()));
        }
        let (sheet, mut remarks) = read_sheet(new.sheet.as_deref())?;
        let economy = self.frozen_economy(new, sheet.as_ref())?;
        remarks.extend(other_unit(new, sheet.as_ref()));
        let currency = economy.currency.clone().unwrap_or_else(|| "EUR".to_owned());
        let job = self.new_id()?;
        let opened = self.opened(new, sheet.as_ref())?;
        let mut bodies: Vec<Body> = vec![opened.into()];
        let has = new.has.clone().or_else(|| self.settings.has.clone());
        let snags = match &sheet {
            Some(sheet) => self.snags_learned(sheet)?,
            None => Vec::new(),
        };
        remarks.extend(sheet.iter().flat_map(|sheet| self.told(sheet, &snags)));
        let snags = Some(snags).filter(|snags| !snags.is_empty());
        let economy = Some(economy);
        bodies.push(JobSet { economy, has, snags, ..JobSet::default() }.into());
        if let Some(Repeated { seen, over, unit, ends }) = new.recurrence {
            bodies.push(SetsNoted { seen, over, unit, ends, at_km: Vec::new() }.into());
        }
        if let Some(sum) = new.authorised {
            let (by, how) = ("owner".to_owned(), "in person".to_owned());
            bodies.push(Authorised { sum, currency, by, how, blob: None }.into());
        }
        let drafts: Vec<Draft> = bodies
            .into_iter()
            .enumerate()
            .map(|(at, body)| self.draft(&job, body, part_of(&tap, &at.to_string())))
            .collect();
        self.store.append_all(&drafts).map_err(|error| trouble(&error))?;
        Ok(job_answer(&Car::load(self, &job)?, remarks))
    }

    fn job_of_tap(&self, tap: &str) -> Result<Option<String>, Problem> {
        for job in self.store.jobs().map_err(|error| trouble(&error))? {
            let events = self.store.events(&job).map_err(|error| trouble(&error))?;
            let first = events.first().and_then(|stored| stored.read().ok());
            if first.is_some_and(|event| event.reference == tap) {
                return Ok(Some(job));
            }
        }
        Ok(None)
    }

    /// The workshop's and the job's money rules as one patch: the job stands by itself later,
    /// whatever the workshop then charges.
    fn frozen_economy(
        &self,
        new: &NewJob,
        sheet: Option<&Sheet>,
    ) -> Result<EconomyPatch, Problem> {
        let over = new.economy.clone().over(self.settings.economy.clone());
        if let Some(sheet) = sheet {
            sheet
                .economy
                .with(&over)
                .map_err(|error| Problem::wrong("economy", error))?;
        }
        Ok(EconomyPatch {
            currency: over
                .currency
                .or_else(|| sheet.map(|sheet| sheet.economy.currency.clone())),
            labour_per_hour: over.labour_per_hour,
            bay_per_hour: over.bay_per_hour,
            comeback: over.comeback,
            pass_on: over.pass_on,
            rust: over.rust.map(|rust| match rust {
                Rust::None => RustWord::None,
                Rust::Some => RustWord::Some,
                Rust::Bad => RustWord::Bad,
            }),
            active: over.active,
        })
    }

    fn opened(
        &mut self,
        new: &NewJob,
        sheet: Option<&Sheet>,
    ) -> Result<JobOpened, Problem> {
        let named = match (sheet, &new.sheet) {
            (Some(sheet), Some(text)) => Some(SheetNamed {
                id: sheet.id.clone(),
                version: sheet.version,
                hash: job::hash_hex(text.as_bytes()),
                blob: Some(self.keep(text.as_bytes())?),
            }),
            _ => None,
        };
        let vehicle = VehicleBlob {
            plate: new.plate.trim().to_owned(),
            vehicle: new.vehicle.clone(),
            workshop: self.workshop.name.clone(),
            workshop_lines: self.workshop.lines.clone(),
        };
        let owner =
            OwnerBlob { name: new.owner.name.clone(), phone: new.owner.phone.clone() };
        let json = |text: Result<String, serde_json::Error>| {
            text.map_err(|error| Problem::could_not("json", error))
        };
        let vehicle = json(serde_json::to_string(&vehicle))?;
        let owner = json(serde_json::to_string(&owner))?;
        Ok(JobOpened {
            sheet: named,
            vehicle: Some(self.keep(vehicle.as_bytes())?),
            owner: Some(self.keep(owner.as_bytes())?),
            complaint: self.keep_text(&new.complaint)?,
            codes: new.codes.iter().map(|code| code.trim().to_uppercase()).collect(),
            family: new.family.clone(),
            odometer_km: new.odometer_km,
            comeback_of: None,
        })
    }
}

/// The sheet with its warnings.
fn read_sheet(text: Option<&str>) -> Result<(Option<Sheet>, Vec<String>), Problem> {
    let Some(text) = text else { return Ok((None, Vec::new())) };
    let read = sheet::read(text);
    let errors = read.errors().count();
    if let Some(first) = read.errors().next() {
        let more = match errors {
            1 => String::new(),
            _ => format!(" ({} more problems)", errors - 1),
        };
        let what =
            format!("line {}, column {}: {}{more}", first.line, first.column, first.what);
        return Err(Problem::wrong("sheet", what).hint("`sheet check` shows them all"));
    }
    let warnings = read.remarks.iter().filter(|remark| remark.kind != RemarkKind::Error);
    let words = warnings.map(|w| format!("sheet, line {}: {}", w.line, w.what)).collect();
    Ok((read.sheet, words))
}

/// A count in another unit than the sheet's proofs proves nothing by them.
fn other_unit(new: &NewJob, sheet: Option<&Sheet>) -> Option<String> {
    let said = match new.recurrence?.unit {
        UnitWord::Km => "km",
        UnitWord::Min => "min",
        UnitWord::Starts => "starts",
    };
    let own = sheet?.recurrence.as_ref()?.over.unit.suffix();
    (said != own).then(|| {
        format!("the count is in {said}, the proofs of this sheet are in {own}: they prove nothing")
    })
}

fn job_answer(car: &Car, mut remarks: Vec<String>) -> JobAnswer {
    remarks.extend(car.remarks.iter().cloned());
    let named = car.facts.sheet.as_ref();
    JobAnswer {
        job: car.job.clone(),
        plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
        sheet: named.map(|sheet| sheet.id.clone()),
        sheet_hash: named.map(|sheet| sheet.hash.clone()),
        odds: car.odds_words(),
        currency: car.economy.currency.clone(),
        authorised: car.facts.authorised.as_ref().map(|said| said.what.sum),
        remarks,
    }
}
