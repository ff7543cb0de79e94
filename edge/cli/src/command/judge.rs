//! `witmark judge`.

use app::judge::{Limits, Material, ReadingInput, Unit};
use app::{Problems, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Judge {
    /// The value read
    #[arg(long, value_parser = typed::number, allow_hyphen_values = true)]
    value: Option<f64>,
    /// Repeats of the reading, as in 7.9,8.0,7.8; leave --value out then
    #[arg(long, value_name = "VALUES", value_delimiter = ',', value_parser = typed::number, allow_hyphen_values = true)]
    repeat: Vec<f64>,
    /// Unit of all values
    #[arg(long, value_parser = Unit::parse)]
    unit: Unit,
    /// What it should be: 6.6..8.4, 6.6.. or ..8.4
    #[arg(long, value_parser = Limits::parse, allow_hyphen_values = true)]
    limits: Option<Limits>,
    /// The meter's stated accuracy: "0.8%+2d"
    #[arg(long, allow_hyphen_values = true)]
    accuracy: Option<String>,
    /// Size of the last digit
    #[arg(long, value_parser = typed::positive, allow_negative_numbers = true)]
    digit: Option<f64>,
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
        let answer = app::judge::judge(&ReadingInput {
            value: self.value,
            repeats: self.repeat,
            unit: self.unit,
            limits: self.limits,
            accuracy: self.accuracy,
            digit: self.digit,
            leads: self.leads,
            part_c: self.part_c,
            reference_c: self.reference_c,
            material: self.material,
            risk: self.risk,
        })?;
        shell.answer(answer, |answer| pages::judge_page(answer, "en"))
    }
}
