//! `witmark compare`.

use std::path::PathBuf;

use app::{Problems, Source, typed};
use clap::Args;

use crate::command::recording::Named;
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// The recording before, or `-`
    before: PathBuf,
    /// The recording after
    after: PathBuf,
    #[command(flatten)]
    columns: Named,
    /// Difference of time constants that still counts as the same, s [default: 15 % of before]
    #[arg(long, value_name = "S", value_parser = typed::amount, allow_negative_numbers = true)]
    margin_s: Option<f64>,
}

impl Compare {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let (before, after) = (Source::from(self.before), Source::from(self.after));
        let columns = self.columns.columns();
        let compared = app::recording::compare(&before, &after, &columns, self.margin_s)?;
        let (before, after) = (compared.before, compared.after);
        shell.answer(compared.answer, |answer| {
            pages::compare_page(answer, Some((&before, &after)), "en")
        })
    }
}
