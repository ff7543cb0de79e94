//! `witmark hand-over`.

use std::path::PathBuf;

use app::bay::{HandOver as Said, HandedOverAnswer, PassOn};
use app::{Problems, papers, typed};
use clap::Args;
use pages::{Page, Shown, pair, say};

use crate::command::report::{folder_of, write_papers};
use crate::on_job::OnJob;
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct HandOver {
    #[command(flatten)]
    on: OnJob,
    /// Folder for owner.pdf and file.pdf [default: the job's id]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Odometer now, km
    #[arg(long, value_name = "KM", value_parser = typed::amount, allow_negative_numbers = true)]
    odometer_km: Option<f64>,
    /// What is charged, where it is not what was spent
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    charged: Option<f64>,
    /// Terms of a trial that the owner agrees to
    #[arg(long, value_name = "WORDS")]
    trial: Option<String>,
    /// Stop, and pass the job on to somebody else; no papers
    #[arg(long, value_name = "NAME", conflicts_with_all = ["out", "odometer_km", "trial"])]
    pass_on_to: Option<String>,
}

impl HandOver {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut bay = self.on.bay(shell)?;
        let answer = if let Some(to) = self.pass_on_to {
            bay.pass_on(&self.on.job, &PassOn { to, charged: self.charged })?
        } else {
            let folder = folder_of(self.out, &bay.find(&self.on.job)?);
            // A folder that can't be had is told before the vehicle counts as gone.
            papers::folder(&folder)?;
            let (odometer_km, charged) = (self.odometer_km, self.charged);
            let said = Said { odometer_km, charged, trial: self.trial };
            let mut answer = bay.hand_over(&self.on.job, &said)?;
            if let Some(papers) = answer.papers.take() {
                let again =
                    format!("it is handed over; `report {}` writes them", answer.job);
                let files = write_papers(&folder, &papers)
                    .map_err(|problem| problem.hint(again))?;
                answer
                    .remarks
                    .extend(files.into_iter().map(|file| format!("written: {file}")));
            }
            answer
        };
        shell.answer(answer, |answer| page(answer, (self.on.lang(), shell.shown)))
    }
}

fn page(answer: &HandedOverAnswer, (language, shown): (&str, Shown)) -> Page {
    let mut page = Page::new(format!("{}: {}", answer.job, answer.words), language);
    let more = answer.more_km.filter(|km| *km > 0.0);
    page.facts(vec![
        pair("Spent", say::money(answer.spent, &answer.currency)),
        pair(
            "Clear distance still wanted",
            more.map(|km| say::distance(km, shown)).unwrap_or_default(),
        ),
        pair("Log head", answer.head.as_str()),
    ]);
    page.remarks(&answer.remarks);
    page
}
