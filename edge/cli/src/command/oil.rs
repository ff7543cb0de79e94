//! `witmark oil level|use|viscosity|grade`.

use app::fluids::{FitInput, Grade, LevelRead, Point, Reading, UseInput, cold_value};
use app::{Problems, typed};
use clap::{ArgGroup, Args, Subcommand};

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Oil {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// From the dipstick to the litres to fill
    Level(Level),
    /// How much is used, and when to look again
    Use(Used),
    /// How thick at other temperatures, by two points of the data sheet
    Viscosity(Viscosity),
    /// Whether it fits a grade of SAE J300, and which it may be
    Grade(Fits),
}

#[derive(Debug, Args)]
#[command(group(ArgGroup::new("reading").required(true).args(["at", "above_low_mm"])))]
struct Level {
    /// Litres from the low to the full mark, the maker's figure
    #[arg(long, value_name = "L", value_parser = typed::positive, allow_negative_numbers = true)]
    between_litres: f64,
    /// Where it stands: 0 at the low mark, 1 at the full mark, beyond them too
    #[arg(long, value_name = "SHARE", value_parser = typed::number, allow_negative_numbers = true)]
    at: Option<f64>,
    /// Instead: millimetres above the low mark, below it negative
    #[arg(long, value_name = "MM", value_parser = typed::number, allow_negative_numbers = true, requires = "between_mm")]
    above_low_mm: Option<f64>,
    /// Millimetres from mark to mark
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true, requires = "above_low_mm")]
    between_mm: Option<f64>,
    /// By how much it may be misread: with --at a share, else mm
    #[arg(long, value_name = "BY", default_value = "0", value_parser = typed::amount, allow_negative_numbers = true)]
    misread: f64,
    /// Oil in the engine, to tell what warmth does
    #[arg(long, value_name = "L", value_parser = typed::positive, allow_negative_numbers = true)]
    sump_litres: Option<f64>,
    /// How much warmer the oil is than where the marks hold, K
    #[arg(long, value_name = "K", default_value = "0", value_parser = typed::number, allow_negative_numbers = true, requires = "sump_litres")]
    warmer_k: f64,
}

#[derive(Debug, Args)]
struct Used {
    /// Topped up over the distance, litres
    #[arg(long, value_name = "L", value_parser = typed::amount, allow_negative_numbers = true)]
    topped_litres: f64,
    /// The distance
    #[arg(long, value_name = "KM", value_parser = typed::positive, allow_negative_numbers = true)]
    over_km: f64,
    /// Level now over that at the start, litres; negative where it fell
    #[arg(long, value_name = "L", default_value = "0", value_parser = typed::number, allow_negative_numbers = true)]
    rise_litres: f64,
    /// By how much that change may be misread, litres
    #[arg(long, value_name = "L", default_value = "0", value_parser = typed::amount, allow_negative_numbers = true)]
    misread_litres: f64,
    /// Now above the low mark, litres: for the next look
    #[arg(long, value_name = "L", value_parser = typed::amount, allow_negative_numbers = true)]
    above_low_litres: Option<f64>,
    /// Part of that to use up before the next look
    #[arg(long, value_name = "SHARE", default_value = "0.5", value_parser = typed::share, allow_negative_numbers = true)]
    until: f64,
    /// Left to the next service
    #[arg(long, value_name = "KM", value_parser = typed::amount, allow_negative_numbers = true)]
    service_km: Option<f64>,
    /// Fuel, litres for 100 km
    #[arg(long, value_name = "L", value_parser = typed::positive, allow_negative_numbers = true)]
    fuel_l_per_100km: Option<f64>,
}

#[derive(Debug, Args)]
struct Viscosity {
    /// Two points of the data sheet, °C=mm²/s: 40=95,100=14.4
    #[arg(
        long,
        value_name = "POINTS",
        required = true,
        value_delimiter = ',',
        allow_hyphen_values = true
    )]
    known: Vec<Point>,
    /// Temperatures asked for, °C: 20,80,90
    #[arg(long, value_name = "C", value_delimiter = ',', value_parser = typed::number, allow_hyphen_values = true)]
    at: Vec<f64>,
}

#[derive(Debug, Args)]
struct Fits {
    /// The grade it is sold as or shall fit: 5W-30
    #[arg(long)]
    grade: Option<Grade>,
    /// The grade that the maker asks for
    #[arg(long, value_name = "GRADE", requires = "grade")]
    asked: Option<Grade>,
    /// Kinematic viscosity at 100 °C, mm²/s
    #[arg(long, value_name = "MM2/S", value_parser = typed::positive, allow_negative_numbers = true)]
    at_100: Option<f64>,
    /// At high shear and 150 °C, mPa·s
    #[arg(long, value_name = "MPAS", value_parser = typed::positive, allow_negative_numbers = true)]
    high_shear: Option<f64>,
    /// Cranking, mPa·s and at which °C: 5800@-30
    #[arg(long, value_name = "MPAS@C", value_parser = cold_value, allow_hyphen_values = true)]
    crank: Option<(f64, f64)>,
    /// Pumping, mPa·s and at which °C: 18000@-35
    #[arg(long, value_name = "MPAS@C", value_parser = cold_value, allow_hyphen_values = true)]
    pump: Option<(f64, f64)>,
}

impl Oil {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        match self.what {
            What::Level(level) => {
                let answer = app::fluids::level(&level.meant())?;
                shell.answer(answer, |answer| pages::oil_level_page(answer, "en"))
            }
            What::Use(used) => {
                let answer = app::fluids::usage(&used.meant())?;
                let how = ("en", shell.shown);
                shell.answer(answer, |answer| pages::oil_use_page(answer, how))
            }
            What::Viscosity(asked) => {
                let answer = app::fluids::viscosity(&asked.known, &asked.at)?;
                shell.answer(answer, |answer| pages::oil_viscosity_page(answer, "en"))
            }
            What::Grade(fits) => {
                let answer = app::fluids::grade(&fits.meant())?;
                shell.answer(answer, |answer| pages::oil_grade_page(answer, "en"))
            }
        }
    }
}

impl Level {
    fn meant(&self) -> LevelRead {
        let reading = match (self.above_low_mm, self.between_mm) {
            (Some(above_mm), Some(between_mm)) => Reading::Mm(above_mm, between_mm),
            _ => Reading::Share(self.at.unwrap_or(0.0)),
        };
        LevelRead {
            between_litres: self.between_litres,
            reading,
            misread: self.misread,
            sump_litres: self.sump_litres,
            warmer_k: self.warmer_k,
        }
    }
}

impl Used {
    fn meant(&self) -> UseInput {
        UseInput {
            rise_litres: self.rise_litres,
            misread_litres: self.misread_litres,
            above_low_litres: self.above_low_litres,
            until_share: self.until,
            service_km: self.service_km,
            fuel_l_per_100km: self.fuel_l_per_100km,
            ..UseInput::new(self.topped_litres, self.over_km)
        }
    }
}

impl Fits {
    fn meant(&self) -> FitInput {
        FitInput {
            grade: self.grade,
            asked: self.asked,
            at_100_mm2_s: self.at_100,
            hths: self.high_shear,
            crank: self.crank,
            pump: self.pump,
        }
    }
}
