//! `witmark did`.

use std::path::PathBuf;

use app::bay::{DidAnswer, Happened, LooseEndLine};
use app::{Problem, Problems, Source};
use clap::Args;
use pages::{Entry, Mark, Page, pair, say};

use crate::on_job::OnJob;
use crate::output::Output;
use crate::shell::Shell;

/// Most bytes of a recording or a photo that is read.
const MOST_BYTES: usize = 256 << 20;

#[derive(Debug, Args)]
pub(crate) struct Did {
    #[command(flatten)]
    on: OnJob,
    /// What happened, in order, all of it or nothing: check:ID=OUTCOME, check:ID=skip,
    /// check:ID@7.9ohm, repair:ID, proof:ID=clear, off:ITEM, on:ITEM, measure:ITEM/ID@0.14mm,
    /// duty:ID, before:WHAT=VALUE, code:P0299=stored, erased, authorised=SUM, declined:WHAT,
    /// seen:soon=TEXT, recording:before=FILE, photo=FILE, accept:END=WORDS, note=TEXT and more
    #[arg(required = true, value_name = "FACT")]
    facts: Vec<String>,
    /// Reference of this entry, 32 hex digits: the same again counts once
    #[arg(long, value_name = "REFERENCE", value_parser = reference)]
    reference: Option<String>,
}

fn reference(text: &str) -> Result<String, String> {
    let fine = text.len() == 32
        && text.chars().all(|c| c.is_ascii_digit() || ('a'..='f').contains(&c));
    if fine { Ok(text.to_owned()) } else { Err("32 digits of 0-9 and a-f".to_owned()) }
}

impl Did {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let mut file = |name: &str| -> Result<Vec<u8>, Problem> {
            Source::from(PathBuf::from(name)).bytes(MOST_BYTES)
        };
        let mut happened = Vec::new();
        for fact in &self.facts {
            happened.push(Happened::parse(fact, &mut file)?);
        }
        let mut bay = self.on.bay(shell)?;
        let answer = bay.did(&self.on.job, &happened, self.reference.as_deref())?;
        shell.answer(answer, |answer| page(answer, self.on.lang()))
    }
}

fn page(answer: &DidAnswer, language: &str) -> Page {
    let mut page = Page::new(answer.job.as_str(), language);
    stops(&mut page, &answer.do_not_start);
    page.heading(if answer.repeated { "Entered before" } else { "Entered" });
    page.list(
        false,
        answer.recorded.iter().map(|recorded| {
            let implied = if recorded.implied { " (it must have been)" } else { "" };
            format!("{}{implied}", recorded.what)
        }),
    );
    loose_ends(&mut page, "New loose ends", &answer.new_loose_ends);
    let fixed =
        if answer.p_fixed > 0.0 { say::chance(answer.p_fixed) } else { String::new() };
    page.facts(vec![
        pair("Spent", say::money(answer.spent, &answer.currency)),
        pair("It is fixed", fixed),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// Why it must not be started, before all else.
pub(crate) fn stops(page: &mut Page, reasons: &[String]) {
    for reason in reasons {
        page.stop(format!("DO NOT START: {reason}"));
    }
}

/// Loose ends with the ids by which they are settled or accepted.
pub(crate) fn loose_ends(page: &mut Page, heading: &str, ends: &[LooseEndLine]) {
    if ends.is_empty() {
        return;
    }
    page.heading(heading);
    let entries = ends
        .iter()
        .map(|end| Entry {
            text: format!("{} ({})", end.what, end.id).into(),
            mark: Mark::Open,
        })
        .collect();
    page.entries(false, entries);
}
