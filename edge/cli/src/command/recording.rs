//! `witmark recording`.

use std::path::PathBuf;

use app::recording::Columns;
use app::{Problems, Source};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Recording {
    /// The recorded file, or `-`
    file: PathBuf,
    #[command(flatten)]
    columns: Named,
}

/// The columns of a recording.
#[derive(Debug, Args)]
pub(crate) struct Named {
    /// Column of the time [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    time: Option<String>,
    /// Column of the command
    #[arg(long, value_name = "COLUMN")]
    command: String,
    /// Column of what happened
    #[arg(long, value_name = "COLUMN")]
    actual: String,
}

impl Named {
    /// What is meant.
    pub(crate) fn columns(self) -> Columns {
        Columns { time: self.time, command: self.command, actual: self.actual }
    }
}

impl Recording {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let source = Source::from(self.file);
        let answer = app::recording::recording(&source, &self.columns.columns())?;
        shell.answer(answer, |answer| pages::recording_page(answer, "en"))
    }
}
