//! `witmark options`.

use app::Problems;
use clap::Args;

use crate::on_job::{Budget, OnJob};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    on: OnJob,
    #[command(flatten)]
    budget: Budget,
}

impl Options {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let bay = self.budget.on(self.on.bay(shell)?);
        let vehicle = bay.show(&self.on.job)?.vehicle;
        let answer = bay.options(&self.on.job)?;
        shell.answer(answer, |answer| answer.page(&vehicle, self.on.lang()))
    }
}
