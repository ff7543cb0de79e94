//! `witmark recording`.

use std::path::PathBuf;

use app::recording::{Columns, Frame};
use app::{Problem, Problems, Source};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Recording {
    /// The recorded file, or `-`
    file: PathBuf,
    /// Column of the time [default: it is found]
    #[arg(long, value_name = "COLUMN")]
    time: Option<String>,
    /// Column of the command
    #[arg(
        long,
        value_name = "COLUMN",
        required_unless_present = "like",
        requires = "actual"
    )]
    command: Option<String>,
    /// Column of what happened
    #[arg(
        long,
        value_name = "COLUMN",
        required_unless_present = "like",
        requires = "command"
    )]
    actual: Option<String>,
    /// Conditions of the stored frame: how many km and minutes lie in like ones, as in
    /// rpm=1900,load=62,warm
    #[arg(long, value_name = "CONDITIONS", value_parser = Frame::parse)]
    like: Option<Frame>,
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
        let columns = self.command.zip(self.actual).map(|(command, actual)| Columns {
            time: self.time.clone(),
            command,
            actual,
        });
        let answer = match (self.like, columns) {
            (Some(frame), columns) => app::recording::like(
                &source,
                self.time.as_deref(),
                columns.as_ref(),
                &frame,
            )?,
            (None, Some(columns)) => app::recording::recording(&source, &columns)?,
            (None, None) => {
                let what = "which columns? name the command and what happened";
                return Err(Problem::wrong("recording", what)
                    .hint("--command, --actual")
                    .into());
            }
        };
        shell.answer(answer, |answer| pages::recording_page(answer, "en"))
    }
}
