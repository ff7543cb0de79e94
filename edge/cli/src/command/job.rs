//! `witmark job list | show | tray`.

use app::Problems;
use app::bay::{self, ShowAnswer, TrayAnswer};
use clap::{Args, Subcommand};
use pages::{
    Block, CarView, OddsLine, Page, Shown, Table, TrayView, Words, car_page, tray_page,
};

use crate::command::did::loose_ends;
use crate::on_job::{Entering, OnJob, SHOWN_ID};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Job {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Cars on hand
    List(List),
    /// The whole of one job
    Show(OnJob),
    /// What is off, and which fastener lies in which cell
    Tray(OnJob),
}

#[derive(Debug, Args)]
struct List {
    /// Those that are gone too
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    entering: Entering,
}

impl Job {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        match self.verb {
            Verb::List(list) => {
                let which = if list.all { bay::Shown::All } else { bay::Shown::OnHand };
                let answer = list.entering.bay(shell)?.jobs(which)?;
                shell.answer(answer, |answer| answer.page(&list.entering.language.lang))
            }
            Verb::Show(on) => {
                let answer = on.bay(shell)?.show(&on.job)?;
                shell.answer(answer, |answer| page(answer, on.lang()))
            }
            Verb::Tray(on) => {
                let answer = on.bay(shell)?.tray(&on.job)?;
                shell.answer(answer, |answer| tray(answer, (on.lang(), shell.shown)))
            }
        }
    }
}

fn page(answer: &ShowAnswer, language: &str) -> Page {
    let stop = answer.do_not_start.join("; ");
    let causes = answer.odds.iter().filter(|line| line.id != "fixed");
    let mut page = car_page(&CarView {
        job: answer.job.clone(),
        plate: answer.plate.clone().unwrap_or_default(),
        vehicle: answer.vehicle.clone(),
        complaint: answer.complaint.clone(),
        language: language.to_owned(),
        currency: answer.currency.clone(),
        do_not_start: Some(stop).filter(|stop| !stop.is_empty()),
        spent: answer.spent,
        authorised: answer.authorised,
        off: answer.off.iter().map(|item| item.title.clone()).collect(),
        odds: causes
            .map(|line| OddsLine { title: line.title.clone(), p: line.p })
            .collect(),
        fixed: answer.p_fixed,
        ..CarView::default()
    });
    without_next(&mut page, answer);
    loose_ends(&mut page, "Loose ends", &answer.loose_ends);
    page.heading("What happened");
    let mut table = Table::new(&["When", "Who", "What", "Event"]);
    for event in answer.events.iter().rev() {
        let fate = match event.fate.as_str() {
            "counts" => String::new(),
            fate => format!(" ({fate})"),
        };
        let id: String = event.event.chars().take(SHOWN_ID).collect();
        table.row(vec![
            Words::from(minute(&event.at)),
            Words::from(&event.who),
            Words::from(format!("{}{fate}", event.what)),
            Words::from(id),
        ]);
    }
    page.table(table);
    page.remarks(&answer.remarks);
    page
}

fn tray(answer: &TrayAnswer, (language, shown): (&str, Shown)) -> Page {
    tray_page(&TrayView {
        name: answer.plate.clone().unwrap_or_else(|| answer.job.clone()),
        language: language.to_owned(),
        do_not_start: answer.do_not_start.clone(),
        map: answer.mapped(),
        tray: answer.drawn(false, shown),
        measures: answer.measures.iter().map(bay::MeasureLine::row).collect(),
        look_alikes: answer.look_alikes.clone(),
        remarks: answer.remarks.clone(),
    })
}

/// Where the job stands, in place of a step that only `next` works out.
fn without_next(page: &mut Page, answer: &ShowAnswer) {
    let state = match answer.state.as_str() {
        "on-hand" => format!("`witmark next {}` works it out.", answer.job),
        "passed-on" => "Passed on.".to_owned(),
        _ => "Handed over.".to_owned(),
    };
    let heading = Block::Heading("Next".into());
    let after = page.blocks.iter().skip_while(|block| **block != heading).count();
    let said = page.blocks.len().saturating_sub(after).saturating_add(1);
    if let Some(block) = page.blocks.get_mut(said) {
        *block = Block::Paragraph(state.into());
    }
}

/// Day and minute of an RFC 3339 moment.
fn minute(at: &str) -> String {
    match (at.get(..10), at.get(11..16)) {
        (Some(day), Some(time)) => format!("{day} {time}"),
        _ => at.to_owned(),
    }
}
