//! `witmark completions`.

use clap::{Args, CommandFactory};

use crate::arguments::Arguments;
use crate::output::Output;

#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// The shell
    shell: clap_complete::Shell,
}

impl Completions {
    pub(crate) fn run(self) -> Output {
        let mut script = Vec::new();
        clap_complete::generate(
            self.shell,
            &mut Arguments::command(),
            "witmark",
            &mut script,
        );
        Output::Text(String::from_utf8_lossy(&script).into_owned())
    }
}
