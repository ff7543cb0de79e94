//! `witmark quote`.

use app::Problems;
use app::bay::QuoteAnswer;
use clap::Args;
use pages::{Page, pair, say};

use crate::command::next::lead;
use crate::on_job::{Budget, OnJob};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Quote {
    #[command(flatten)]
    on: OnJob,
    #[command(flatten)]
    budget: Budget,
}

impl Quote {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut bay = self.budget.on(self.on.bay(shell)?);
        let answer = bay.quote(&self.on.job)?;
        shell.answer(answer, |answer| page(answer, self.on.lang()))
    }
}

fn page(answer: &QuoteAnswer, language: &str) -> Page {
    let money = |sum: f64| say::money(sum, &answer.currency);
    let mut page = Page::new(format!("Quote for {}", answer.job), language);
    lead(&mut page, &answer.say);
    page.facts(vec![
        pair("Spent so far", money(answer.spent)),
        pair("In all, usually", money(answer.usual_in_all)),
        pair("In all, seldom above", money(answer.not_above_in_all)),
        pair("Agreed up to", answer.authorised.map(money).unwrap_or_default()),
        pair("Stays within that", answer.p_within.map(say::chance).unwrap_or_default()),
        pair("Put back as found now", money(answer.stop_now)),
    ]);
    if let Some(first) = &answer.first_break {
        page.paragraphs(&format!(
            "Ring the owner before \u{201c}{}\u{201d}: it could come to {} with putting back.",
            first.title,
            money(first.sum)
        ));
    }
    page.remarks(&answer.remarks);
    page
}
