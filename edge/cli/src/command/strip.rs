//! `witmark strip`.

use std::path::PathBuf;

use app::strip::StripInput;
use app::{Problems, Source, typed};
use clap::Args;

use crate::flags::{Economy, Language};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Strip {
    /// The sheet: a file, `-`, or the name of one that ships
    sheet: PathBuf,
    /// What to get at: check:ID, repair:ID or item:ID
    #[arg(long, value_name = "KIND:ID", num_args = 1..)]
    reach: Vec<String>,
    /// Items off now, in the order they came off
    #[arg(long, value_name = "ID,ID", num_args = 0..=1, default_missing_value = "")]
    off: Vec<String>,
    /// The workshop's settings
    #[arg(long, value_name = "FILE")]
    workshop: Option<PathBuf>,
    #[command(flatten)]
    language: Language,
    #[command(flatten)]
    economy: Economy,
}

impl Strip {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let stripped = app::strip::strip(&StripInput {
            sheet: Source::from(self.sheet),
            workshop: self.workshop.map(Source::from),
            reach: typed::entries(&self.reach),
            off: typed::entries(&self.off),
            economy: self.economy.over(),
            language: self.language.lang.clone(),
        })?;
        let (currency, language) = (stripped.currency, self.language.lang);
        shell.answer(stripped.answer, |answer| {
            pages::strip_page(answer, &currency, (&language, shell.shown))
        })
    }
}
