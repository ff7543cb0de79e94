//! `witmark ramp`.

use std::path::PathBuf;

use app::ramp::{RampColumns, Rises};
use app::{Problem, Problems, Source, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Ramp {
    /// The recorded file, or `-`; several: rises before, with `--after`
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Rises after the work, a file each, to set against those before
    #[arg(long, value_name = "FILE", num_args = 1..)]
    after: Vec<PathBuf>,
    /// Supply across coil and wiring, V [default: a recorded voltage]
    #[arg(long, value_name = "V", value_parser = typed::positive, allow_negative_numbers = true)]
    volts: Option<f64>,
    /// The same, after the work
    #[arg(long, value_name = "V", requires = "after", value_parser = typed::positive, allow_negative_numbers = true)]
    after_volts: Option<f64>,
    /// Temperature of the winding before, °C
    #[arg(long, value_name = "C", requires = "after", value_parser = typed::number, allow_negative_numbers = true)]
    celsius: Option<f64>,
    /// Temperature of the winding after, °C
    #[arg(long, value_name = "C", requires = "after", value_parser = typed::number, allow_negative_numbers = true)]
    after_celsius: Option<f64>,
    /// Column of the time [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    time: Option<String>,
    /// Column of the current [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    current: Option<String>,
}

impl Ramp {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let sources = |files: Vec<PathBuf>| files.into_iter().map(Source::from).collect();
        let columns =
            RampColumns { volts: self.volts, time: self.time, current: self.current };
        if self.after.is_empty() {
            let [file] = self.files.as_slice() else {
                let many =
                    Problem::wrong("ramp", "several files are compared, not judged");
                let hint = "name those after the work with --after";
                return Err(many.maybe_hint(Some(hint.into())).into());
            };
            let answer = app::ramp::ramp(&Source::from(file.clone()), &columns)?;
            return shell.answer(answer, |answer| pages::ramp_page(answer, "en"));
        }
        let before = Rises {
            sources: sources(self.files),
            volts: self.volts,
            celsius: self.celsius,
        };
        let after = Rises {
            sources: sources(self.after),
            volts: self.after_volts,
            celsius: self.after_celsius,
        };
        let answer = app::ramp::compare(&before, &after, &columns)?;
        shell.answer(answer, |answer| pages::ramp_compare_page(answer, "en"))
    }
}
