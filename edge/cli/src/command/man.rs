//! `witmark man`.

use app::{Problem, Problems};
use clap::{Args, CommandFactory};

use crate::arguments::Arguments;
use crate::output::Output;

#[derive(Debug, Args)]
pub(crate) struct Man {
    /// The command that the page is about [default: witmark itself]
    command: Option<String>,
}

impl Man {
    pub(crate) fn run(self) -> Result<Output, Problems> {
        let mut whole = Arguments::command();
        whole.build();
        let about = match &self.command {
            None => whole,
            Some(name) => {
                let found = whole.find_subcommand(name).cloned().ok_or_else(|| {
                    let shown: String = name.chars().take(60).collect();
                    Problem::wrong("unknown-id", format!("there is no command `{shown}`"))
                        .hint("witmark --help lists them")
                })?;
                found.display_name(format!("witmark-{name}"))
            }
        };
        let mut page = Vec::new();
        clap_mangen::Man::new(about)
            .render(&mut page)
            .map_err(|error| Problem::could_not("man", error))?;
        Ok(Output::Text(String::from_utf8_lossy(&page).into_owned()))
    }
}
