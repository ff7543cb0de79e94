//! `witmark follow-up`.

use app::bay::{FollowUpAnswer, FollowUpList, Told};
use app::{Problem, Problems, typed};
use clap::{Args, ValueEnum};
use pages::{Page, Shown, pair, say};

use crate::on_job::Entering;
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct FollowUp {
    /// The job that the owner speaks of; without one: whom to ask
    job: Option<String>,
    /// Driven since the hand-over, km
    #[arg(long, value_name = "KM", requires = "job", conflicts_with = "odometer_km", value_parser = typed::amount, allow_negative_numbers = true)]
    km: Option<f64>,
    /// Odometer now, km
    #[arg(long, value_name = "KM", requires = "job", value_parser = typed::amount, allow_negative_numbers = true)]
    odometer_km: Option<f64>,
    /// Whether the lamp came back [left out: the owner can't say]
    #[arg(long, value_enum, value_name = "ANSWER", requires = "job")]
    lamp: Option<YesNo>,
    /// Whether anybody has erased codes [left out: the owner can't say]
    #[arg(long, value_enum, value_name = "ANSWER", requires = "job")]
    cleared: Option<YesNo>,
    /// In what words
    #[arg(long, value_name = "TEXT", requires = "job")]
    said: Option<String>,
    /// How the owner was asked
    #[arg(long, value_name = "HOW", requires = "job", default_value = "phone")]
    by: String,
    #[command(flatten)]
    entering: Entering,
}

/// An answer of the owner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum YesNo {
    Yes,
    No,
}

impl FollowUp {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut bay = self.entering.bay(shell)?;
        let language = &self.entering.language.lang;
        let Some(job) = &self.job else {
            return shell.answer(bay.to_ask()?, |answer| to_ask(answer, language));
        };
        let told = Told {
            odometer_km: self.odometer_km,
            km: self.km,
            lamp: self.lamp.map(|answer| answer == YesNo::Yes),
            cleared: self.cleared.map(|answer| answer == YesNo::Yes),
            words: self.said.unwrap_or_default(),
            how: self.by,
        };
        let silent = told.odometer_km.is_none()
            && told.km.is_none()
            && told.lamp.is_none()
            && told.cleared.is_none()
            && told.words.is_empty();
        if silent {
            let what = "nothing is said of what the owner answered";
            return Err(Problem::wrong("nothing", what)
                .hint("add --km or --odometer-km, --lamp, --cleared or --said")
                .into());
        }
        let answer = bay.follow_up(job, &told)?;
        shell.answer(answer, |answer| heard(answer, (language, shell.shown)))
    }
}

fn to_ask(answer: &FollowUpList, language: &str) -> Page {
    let mut page = Page::new("To ask", language);
    if answer.ask.is_empty() {
        page.paragraphs("Nobody needs to be asked.");
    }
    for one in &answer.ask {
        page.heading(one.plate.as_deref().unwrap_or(&one.job));
        page.facts(vec![
            pair("Job", one.job.as_str()),
            pair("Owner", one.owner.as_str()),
            pair("Reach", one.phone.as_str()),
            pair("Handed over", one.handed_over.as_str()),
            pair("Asked last", one.asked.as_deref().unwrap_or_default()),
            pair("It is fixed", say::chance(one.p_fixed)),
            pair("Settled by", one.settles.as_str()),
        ]);
    }
    page.remarks(&answer.remarks);
    page
}

fn heard(answer: &FollowUpAnswer, (language, shown): (&str, Shown)) -> Page {
    let km = |km: Option<f64>| km.map(|km| say::distance(km, shown)).unwrap_or_default();
    let mut page = Page::new(format!("{}: {}", answer.job, answer.words), language);
    page.facts(vec![
        pair("Before", say::chance(answer.p_before)),
        pair("Counted", km(answer.counted_km)),
        pair("Clear distance still wanted", km(answer.more_km.filter(|km| *km > 0.0))),
    ]);
    if answer.settled {
        page.paragraphs("Nobody needs to be asked again.");
    }
    page.remarks(&answer.remarks);
    page
}
