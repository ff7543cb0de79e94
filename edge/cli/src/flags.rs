//! Flags that several commands share, and what they mean.

use app::plan::{ExposureUnit, RecurrenceOver, Rust};
use app::prove::{Exposure, WindowEnd};
use app::settings::EconomyOver;
use app::typed;
use clap::{Args, ValueEnum};

/// Money rules over the sheet's and the workshop's.
#[derive(Debug, Args)]
#[command(next_help_heading = "Money")]
pub(crate) struct Economy {
    /// Price of an hour of work
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    labour_per_hour: Option<f64>,
    /// Price of an hour of waiting
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    bay_per_hour: Option<f64>,
    /// What it costs to hand the vehicle back unfixed
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    comeback: Option<f64>,
    /// What it costs to stop and pass the job to a specialist
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    pass_on: Option<f64>,
    /// How rusty the vehicle is
    #[arg(long, value_enum, value_name = "HOW")]
    rust: Option<RustWord>,
    /// Share of the time that the fault is present
    #[arg(long, value_name = "SHARE", value_parser = typed::share, allow_negative_numbers = true)]
    active: Option<f64>,
}

/// How rusty the vehicle is.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum RustWord {
    None,
    Some,
    Bad,
}

impl Economy {
    /// What is meant.
    pub(crate) fn over(&self) -> EconomyOver {
        EconomyOver {
            currency: None,
            labour_per_hour: self.labour_per_hour,
            bay_per_hour: self.bay_per_hour,
            comeback: self.comeback,
            pass_on: self.pass_on,
            rust: self.rust.map(|rust| match rust {
                RustWord::None => Rust::None,
                RustWord::Some => Rust::Some,
                RustWord::Bad => Rust::Bad,
            }),
            active: self.active,
        }
    }
}

/// How often the fault set.
#[derive(Debug, Args)]
#[command(next_help_heading = "How often the fault set")]
pub(crate) struct Count {
    /// Sets counted in the window; the one that opens it is not
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub(crate) seen: Option<u32>,
    #[command(flatten)]
    over: Over,
    /// Where the window ends: at a set, or now, at a moment not chosen by the fault
    #[arg(long, value_enum, value_name = "WHERE")]
    ends: Option<Ends>,
}

/// The window of the count.
#[derive(Debug, Args)]
#[group(multiple = false)]
struct Over {
    /// Length of the window, km
    #[arg(id = "over_km", long = "over-km", value_name = "KM", value_parser = typed::amount, allow_negative_numbers = true)]
    km: Option<f64>,
    /// Length of the window, minutes of running
    #[arg(id = "over_min", long = "over-min", value_name = "MIN", value_parser = typed::amount, allow_negative_numbers = true)]
    minutes: Option<f64>,
    /// Length of the window, starts
    #[arg(id = "over_starts", long = "over-starts", value_name = "N", value_parser = typed::amount, allow_negative_numbers = true)]
    starts: Option<f64>,
}

/// Where the window ends.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Ends {
    Set,
    Now,
}

impl Count {
    /// What is meant; what is not said is left open.
    pub(crate) fn over(&self) -> RecurrenceOver {
        let Over { km, minutes, starts } = self.over;
        RecurrenceOver {
            seen: self.seen,
            over: exposure(km, minutes, starts),
            ends: self.ends.map(|ends| match ends {
                Ends::Set => WindowEnd::Set,
                Ends::Now => WindowEnd::Now,
            }),
        }
    }
}

/// Driven, run or started clear since.
#[derive(Debug, Args)]
#[group(multiple = false)]
pub(crate) struct Clear {
    /// Driven without the fault since, km
    #[arg(id = "clear_km", long = "clear-km", value_name = "KM", value_parser = typed::amount, allow_negative_numbers = true)]
    km: Option<f64>,
    /// Run without the fault since, minutes
    #[arg(id = "clear_min", long = "clear-min", value_name = "MIN", value_parser = typed::amount, allow_negative_numbers = true)]
    minutes: Option<f64>,
    /// Started without the fault since
    #[arg(id = "clear_starts", long = "clear-starts", value_name = "N", value_parser = typed::amount, allow_negative_numbers = true)]
    starts: Option<f64>,
}

impl Clear {
    /// What is meant.
    pub(crate) fn exposure(&self) -> Option<Exposure> {
        exposure(self.km, self.minutes, self.starts)
    }
}

/// The one of three that is given.
fn exposure(
    km: Option<f64>,
    minutes: Option<f64>,
    starts: Option<f64>,
) -> Option<Exposure> {
    [
        (km, ExposureUnit::Km),
        (minutes, ExposureUnit::Minutes),
        (starts, ExposureUnit::Starts),
    ]
    .into_iter()
    .find_map(|(amount, unit)| amount.map(|amount| Exposure { amount, unit }))
}

/// The language of titles.
#[derive(Debug, Args)]
pub(crate) struct Language {
    /// Language of titles, as in `de`
    #[arg(long, value_name = "LANGUAGE", default_value = "en", value_parser = typed::language)]
    pub(crate) lang: String,
}
