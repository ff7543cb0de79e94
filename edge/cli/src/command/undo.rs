//! `witmark undo`.

use app::Problems;
use app::bay::UndoAnswer;
use clap::Args;
use pages::{Page, pair};

use crate::on_job::{OnJob, event_id};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Undo {
    #[command(flatten)]
    on: OnJob,
    /// An event by its id or the beginning of it [default: your last entry]
    #[arg(long, value_name = "ID")]
    event: Option<String>,
}

impl Undo {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut bay = self.on.bay(shell)?;
        let answer = match &self.event {
            None => bay.undo(&self.on.job)?,
            Some(named) => {
                let event = event_id(&bay.show(&self.on.job)?.events, named)?;
                bay.withdraw(&self.on.job, &event)?
            }
        };
        shell.answer(answer, |answer| page(answer, self.on.lang()))
    }
}

fn page(answer: &UndoAnswer, language: &str) -> Page {
    let mut page = Page::new(answer.job.as_str(), language);
    page.heading("Taken back");
    page.list(false, &answer.what);
    let next = answer.next_undo.as_deref().unwrap_or_default();
    page.facts(vec![pair("Undo would take back next", next)]);
    page.remarks(&answer.remarks);
    page
}
