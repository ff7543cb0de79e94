//! `witmark bench`.

use app::judge::CoilTest;
use app::{Problems, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Bench {
    /// Supply, V
    #[arg(long, value_name = "V", value_parser = typed::positive, allow_negative_numbers = true)]
    volts: f64,
    /// Resistance of the coil, ohm
    #[arg(long, value_name = "OHM", value_parser = typed::positive, allow_negative_numbers = true)]
    ohm: f64,
    /// Temperature of the coil at the start, °C
    #[arg(long, value_name = "C", default_value = "20", value_parser = typed::number, allow_negative_numbers = true)]
    coil_c: f64,
    /// Temperature that its insulation may reach, °C
    #[arg(long, value_name = "C", default_value = "120", value_parser = typed::number, allow_negative_numbers = true)]
    limit_c: f64,
    /// Copper in the coil, g
    #[arg(long, value_name = "G", value_parser = typed::positive, allow_negative_numbers = true)]
    copper_g: Option<f64>,
    /// Strokes tried
    #[arg(long, value_name = "N", default_value = "0", value_parser = clap::value_parser!(u32).range(0..=1_000_000), allow_negative_numbers = true)]
    strokes: u32,
    /// Strokes on which it stuck
    #[arg(long, value_name = "N", default_value = "0", value_parser = clap::value_parser!(u32).range(0..=1_000_000), allow_negative_numbers = true)]
    stuck: u32,
}

impl Bench {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let count = |n: u32| usize::try_from(n).unwrap_or(usize::MAX);
        let answer = app::judge::bench(&CoilTest {
            volts: self.volts,
            resistance_ohm: self.ohm,
            coil_c: self.coil_c,
            limit_c: self.limit_c,
            copper_kg: self.copper_g.map(|grams| grams / 1000.0),
            strokes: count(self.strokes),
            stuck: count(self.stuck),
        })?;
        shell.answer(answer, |answer| pages::bench_page(answer, "en"))
    }
}
