//! `witmark next`.

use app::Problems;
use app::bay::{MeasureLine, NextAnswer, StepNow};
use clap::Args;
use pages::{
    Block, Choice, Entry, Mark, NextKind, NextStep, Page, Words, measures,
    next_step_blocks, pair, say,
};

use crate::command::did::{loose_ends, stops};
use crate::on_job::{Budget, OnJob};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Next {
    #[command(flatten)]
    on: OnJob,
    #[command(flatten)]
    budget: Budget,
}

impl Next {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut bay = self.budget.on(self.on.bay(shell)?);
        let answer = bay.next(&self.on.job)?;
        shell.answer(answer, |answer| page(answer, self.on.lang()))
    }
}

fn page(answer: &NextAnswer, language: &str) -> Page {
    let plate = answer.plate.as_ref().map_or("", |plate| plate.as_str());
    let mut page = Page::new(format!("{} {plate}", answer.job).trim(), language);
    stops(&mut page, &answer.do_not_start);
    noted_first(&mut page, answer);
    if let Some(step) = &answer.step {
        page.heading("Next");
        before_it(&mut page, answer);
        page.blocks.extend(next_step_blocks(&shown(step, &answer.currency)));
        if let Some(title) = &answer.after_ring {
            page.paragraphs(&format!("After that: {title}"));
        }
    }
    if !answer.off.is_empty() {
        page.heading("Off now");
        page.list(false, answer.off.iter().map(|item| item.title.as_str()));
    }
    let rows: Vec<_> = answer.measures.iter().map(MeasureLine::row).collect();
    measures(&mut page, &rows);
    loose_ends(&mut page, "Loose ends", &answer.loose_ends);
    let agreed = answer.authorised.map(|sum| say::money(sum, &answer.currency));
    page.facts(vec![
        pair("Spent", say::money(answer.spent, &answer.currency)),
        pair("Agreed up to", agreed.unwrap_or_default()),
        pair("Waits for", answer.waits_for.as_deref().unwrap_or_default()),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// What perishes once anything is touched.
fn noted_first(page: &mut Page, answer: &NextAnswer) {
    if !answer.note_first.iter().any(|line| line.open) {
        return;
    }
    page.heading("Note first, before anything is touched");
    let entries = answer.note_first.iter().map(|line| Entry {
        text: format!("{} (before:{}=…)", line.title, line.what).into(),
        mark: if line.open { Mark::Open } else { Mark::Done },
    });
    page.entries(false, entries.collect());
}

/// What is lost by the step, and what is answered before it.
fn before_it(page: &mut Page, answer: &NextAnswer) {
    for check in &answer.spoils {
        page.paragraphs(&format!("No longer possible after this step: {check}"));
    }
    for root in &answer.root {
        let (title, check) = (&root.title, &root.check);
        page.paragraphs(&format!("First answer why it failed: {title} (check:{check})"));
    }
}

fn shown(step: &StepNow, currency: &str) -> NextStep {
    let words = |texts: Vec<&str>| texts.into_iter().map(Words::from).collect();
    let kind = match step.kind.as_str() {
        "repair" => NextKind::Repair,
        "proof" => NextKind::Proof,
        "close" => NextKind::Close,
        "pass-on" => NextKind::PassOn,
        "ring-owner" => NextKind::RingOwner,
        _ => NextKind::Check,
    };
    let typed = |id: &str| match kind {
        NextKind::Check | NextKind::Proof => format!("{}:{}={id}", step.kind, step.id),
        NextKind::Repair => format!("repair:{}", step.id),
        NextKind::Close
        | NextKind::PassOn
        | NextKind::RingOwner
        | NextKind::RecordFirst => id.to_owned(),
    };
    let mut outcomes: Vec<Choice> = step
        .outcomes
        .iter()
        .map(|outcome| Choice {
            id: typed(&outcome.id).into(),
            text: outcome.title.as_str().into(),
            hint: outcome.then.as_deref().unwrap_or_default().into(),
        })
        .collect();
    if kind == NextKind::Check {
        outcomes.push(Choice {
            id: typed("skip").into(),
            text: "Couldn't tell".into(),
            hint: Words::default(),
        });
    }
    NextStep {
        kind,
        id: step.id.clone(),
        title: step.title.as_str().into(),
        how: words(step.how.iter().map(String::as_str).collect()),
        minutes: step.minutes,
        move_minutes: step.move_minutes,
        cost: step.act_money + step.move_money,
        currency: currency.to_owned(),
        strip: words(step.strip.iter().map(|item| item.title.as_str()).collect()),
        refit: words(step.refit.iter().map(|item| item.title.as_str()).collect()),
        needs: words(step.needs.iter().map(String::as_str).collect()),
        cautions: pages::cautions(step.cautions.iter().map(|said| said.word.as_str())),
        outcomes,
        why: step.why.as_str().into(),
        turns: Words::default(),
    }
}

/// One line that matters most, then the labels and values of an answer.
pub(crate) fn lead(page: &mut Page, text: &str) {
    page.blocks.push(Block::Lead(text.into()));
}
