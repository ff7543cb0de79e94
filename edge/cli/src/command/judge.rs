//! `witmark judge`.

use std::path::PathBuf;

use app::judge::{Limits, Material, ReadingInput, Unit, Usual};
use app::{Problems, Source, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Judge {
    /// The value read
    #[arg(long, value_parser = typed::number, allow_hyphen_values = true)]
    value: Option<f64>,
    /// Two values between which it lies, as a feeler gauge or dipstick tells: 0.20..0.25
    #[arg(long, value_name = "LOW..HIGH", value_parser = Limits::parse, allow_hyphen_values = true)]
    between: Option<Limits>,
    /// Repeats of the reading, as in 7.9,8.0,7.8; leave --value out then
    #[arg(long, value_name = "VALUES", value_delimiter = ',', value_parser = typed::number, allow_hyphen_values = true)]
    repeat: Vec<f64>,
    /// Unit of all values
    #[arg(long, value_parser = Unit::parse)]
    unit: Unit,
    /// What it should be: 6.6..8.4, 6.6.. or ..8.4
    #[arg(long, value_parser = Limits::parse, allow_hyphen_values = true)]
    limits: Option<Limits>,
    /// Usual limits where no others are known: earth-drop, supply-drop, plug-drop,
    /// battery-rest, cranking, charging
    #[arg(long, value_name = "NAME", value_parser = Usual::parse, conflicts_with = "limits")]
    usual: Option<Usual>,
    /// Current during a voltage drop, A: the connection's resistance follows
    #[arg(long, value_name = "A", value_parser = typed::positive, allow_negative_numbers = true)]
    amps: Option<f64>,
    /// A meter of the workshop's settings, so that only the value need be typed
    #[arg(long, value_name = "ID", requires = "workshop")]
    meter: Option<String>,
    /// The workshop's settings, with its `[[meter]]` tables
    #[arg(long, value_name = "FILE", requires = "meter")]
    workshop: Option<PathBuf>,
    /// The meter's stated accuracy: "0.8%+2d", "1% of range"
    #[arg(long, allow_hyphen_values = true)]
    accuracy: Option<String>,
    /// Size of the last digit
    #[arg(long, value_parser = typed::positive, allow_negative_numbers = true)]
    digit: Option<f64>,
    /// End of the range that the meter stood in, for an accuracy of the range
    #[arg(long, value_parser = typed::positive, allow_negative_numbers = true)]
    range: Option<f64>,
    /// What the leads read with their probes shorted
    #[arg(long, value_name = "VALUE", value_parser = typed::amount, allow_negative_numbers = true)]
    leads: Option<f64>,
    /// Temperature of the part, °C
    #[arg(long, value_name = "C", value_parser = typed::number, allow_negative_numbers = true)]
    part_c: Option<f64>,
    /// Temperature that the limits are given for, °C [default: 20]
    #[arg(long, value_name = "C", value_parser = typed::number, allow_negative_numbers = true)]
    reference_c: Option<f64>,
    /// Metal of the winding: copper or aluminium [default: copper]
    #[arg(long, value_parser = Material::parse)]
    material: Option<Material>,
    /// Risk of a wrong verdict
    #[arg(long, value_parser = typed::number, default_value_t = app::judge::DEFAULT_RISK, allow_negative_numbers = true)]
    risk: f64,
}

impl Judge {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut input = ReadingInput {
            value: self.value,
            between: self.between,
            repeats: self.repeat,
            unit: self.unit,
            limits: self.limits,
            accuracy: self.accuracy,
            digit: self.digit,
            range: self.range,
            leads: self.leads,
            part_c: self.part_c,
            reference_c: self.reference_c,
            material: self.material,
            amps: self.amps,
            usual: self.usual,
            risk: self.risk,
        };
        if let (Some(id), Some(file)) = (&self.meter, self.workshop) {
            let meter = app::settings::meter(&Source::from(file), id)?;
            input = app::judge::with_meter(input, &meter)?;
        }
        let answer = app::judge::judge(&input)?;
        shell.answer(answer, |answer| pages::judge_page(answer, "en"))
    }
}
