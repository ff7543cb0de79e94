//! `witmark new`.

use std::path::PathBuf;

use app::bay::{EndsWord, JobAnswer, NewJob, Owner, Repeated, UnitWord};
use app::plan::{ExposureUnit, RecurrenceOver};
use app::prove::WindowEnd;
use app::settings;
use app::{Problem, Problems, Source, sheet_file, typed};
use clap::Args;
use pages::{Page, pair, say};

use crate::flags::{Count, Economy};
use crate::on_job::Entering;
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct New {
    /// The sheet: a file, `-`, or the name of one that ships; without one there is no advice
    #[arg(long, value_name = "SHEET")]
    sheet: Option<PathBuf>,
    #[command(flatten)]
    vehicle: Described,
    /// Sum that the owner agrees to
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    limit: Option<f64>,
    /// Equipment that is there [default: the workshop's, or all]
    #[arg(long, value_name = "A,B", num_args = 0..=1, default_missing_value = "")]
    has: Option<Vec<String>>,
    /// The workshop's settings [default: workshop.toml beside the jobs, where it is there]
    #[arg(long, value_name = "FILE")]
    workshop: Option<PathBuf>,
    #[command(flatten)]
    entering: Entering,
    #[command(flatten)]
    economy: Economy,
    #[command(flatten)]
    count: Count,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Vehicle and owner")]
struct Described {
    /// Its plate
    #[arg(long, value_name = "PLATE", default_value = "", hide_default_value = true)]
    plate: String,
    /// The vehicle in words
    #[arg(
        long = "vehicle",
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true
    )]
    words: String,
    /// The owner's name
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    owner: String,
    /// How to reach the owner
    #[arg(long, value_name = "NUMBER", default_value = "", hide_default_value = true)]
    phone: String,
    /// The complaint in the owner's words
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    complaint: String,
    /// Fault codes, as in P0299
    #[arg(long, value_name = "CODE")]
    code: Vec<String>,
    /// Odometer, km
    #[arg(long, value_name = "KM", value_parser = typed::amount, allow_negative_numbers = true)]
    odometer_km: Option<f64>,
}

impl New {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let sheet = match self.sheet {
            Some(sheet) => Some(sheet_file::show(&Source::from(sheet))?.text),
            None => None,
        };
        let settings = match self.workshop.map(Source::from) {
            Some(file) => Some(settings::workshop(Some(&file))?),
            None => None,
        };
        let recurrence = repeated(self.count.over())?;
        let Described {
            plate,
            words: vehicle,
            owner,
            phone,
            complaint,
            code,
            odometer_km,
        } = self.vehicle;
        let new = NewJob {
            sheet,
            plate,
            vehicle,
            owner: Owner { name: owner, phone },
            complaint,
            codes: typed::entries(&code),
            odometer_km,
            family: None,
            recurrence,
            economy: self.economy.over(),
            has: self.has.map(|lists| typed::entries(&lists)),
            authorised: self.limit,
            tap: None,
        };
        let mut bay = self.entering.bay_made(shell)?;
        if let Some(settings) = settings {
            bay = bay.settings(settings);
        }
        let answer = bay.new_job(&new)?;
        shell.answer(answer, |answer| page(answer, &self.entering.language.lang))
    }
}

/// The count of how often it set, which stands by itself in a job.
fn repeated(over: RecurrenceOver) -> Result<Option<Repeated>, Problem> {
    let RecurrenceOver { seen, over, ends } = over;
    let (seen, over) = match (seen, over, ends) {
        (None, None, None) => return Ok(None),
        (Some(seen), Some(over), _) => (seen, over),
        (seen, _, _) => {
            let add = match seen {
                Some(_) => "--over-km, --over-min or --over-starts",
                None => "--seen, and --over-km, --over-min or --over-starts",
            };
            let what = "only a part of how often it set is given";
            return Err(Problem::wrong("count", what).hint(format!("add {add}")));
        }
    };
    Ok(Some(Repeated {
        seen,
        over: over.amount,
        unit: match over.unit {
            ExposureUnit::Km => UnitWord::Km,
            ExposureUnit::Minutes => UnitWord::Min,
            ExposureUnit::Starts => UnitWord::Starts,
        },
        ends: match ends.unwrap_or_default() {
            WindowEnd::Set => EndsWord::Set,
            WindowEnd::Now => EndsWord::Now,
        },
    }))
}

fn page(answer: &JobAnswer, language: &str) -> Page {
    let plate = answer.plate.as_deref().unwrap_or_default();
    let mut page = Page::new(format!("Job {}", answer.job), language);
    let agreed = answer.authorised.map(|sum| say::money(sum, &answer.currency));
    page.facts(vec![
        pair("Plate", plate),
        pair("Sheet", answer.sheet.as_deref().unwrap_or("none: no advice without one")),
        pair("Agreed up to", agreed.unwrap_or_default()),
    ]);
    page.paragraphs(&format!("Go on with `witmark next {}`.", answer.job));
    page.remarks(&answer.remarks);
    page
}
