//! `witmark ramp`.

use std::path::PathBuf;

use app::ramp::RampColumns;
use app::{Problems, Source, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Ramp {
    /// The recorded file, or `-`
    file: PathBuf,
    /// Supply across coil and wiring, V [default: a recorded voltage]
    #[arg(long, value_name = "V", value_parser = typed::positive, allow_negative_numbers = true)]
    volts: Option<f64>,
    /// Column of the time [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    time: Option<String>,
    /// Column of the current [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    current: Option<String>,
}

impl Ramp {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let source = Source::from(self.file);
        let columns =
            RampColumns { volts: self.volts, time: self.time, current: self.current };
        let answer = app::ramp::ramp(&source, &columns)?;
        shell.answer(answer, |answer| pages::ramp_page(answer, "en"))
    }
}
