//! `witmark prove`.

use app::prove::{ProveAsk, USUAL_TARGET};
use app::{Problems, typed};
use clap::Args;

use crate::flags::{Clear, Count};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Prove {
    #[command(flatten)]
    count: Count,
    /// Probability that it was fixed, before any driving
    #[arg(long, value_name = "P", value_parser = typed::share, allow_negative_numbers = true)]
    fixed: f64,
    #[command(flatten)]
    clear: Clear,
    /// Probability that is wanted
    #[arg(long, value_name = "P", default_value_t = USUAL_TARGET, value_parser = typed::inner_share, allow_negative_numbers = true)]
    target: f64,
}

impl Prove {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let count = self.count.over();
        let proved = app::prove::prove(&ProveAsk {
            seen: count.seen,
            over: count.over,
            ends: count.ends.unwrap_or_default(),
            fixed: self.fixed,
            clear: self.clear.exposure(),
            target: self.target,
        })?;
        let input = proved.input;
        shell.answer(proved.answer, |answer| {
            pages::prove_page(answer, &input, ("en", shell.shown))
        })
    }
}
