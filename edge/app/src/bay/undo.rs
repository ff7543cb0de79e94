//! `undo`: takes back the last tap, or any entry by its id.

use job::{
    Body,
    body::{Kind, Withdrawn},
};
use schemars::JsonSchema;
use serde::Serialize;

use super::{
    Bay, Problem,
    car::{Car, OddsWords},
    drafts::{of_opening, of_same_tap, part_of},
    new_reference,
    show::words_of,
    trouble,
};
use crate::Answer;

/// Answer `undo/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UndoAnswer {
    /// The job.
    pub job: String,
    /// Ids of the events that no longer count (or count again).
    pub taken_back: Vec<String>,
    /// What they said.
    pub what: Vec<String>,
    /// Id of the withdrawal: taking that back restores all that it took.
    pub redo: Option<String>,
    /// Odds now.
    pub odds: Vec<OddsWords>,
    /// Probability that it is fixed.
    pub p_fixed: f64,
    /// What the next undo would take back.
    pub next_undo: Option<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for UndoAnswer {
    const NAME: &'static str = "undo/1";
}

/// Kinds that the program writes of itself, or that are no entry of a repairer.
const NOT_OWN: [Kind; 7] = [
    Kind::JobOpened,
    Kind::WriterJoined,
    Kind::Advised,
    Kind::Quoted,
    Kind::Erased,
    Kind::Withdrawn,
    Kind::Corrected,
];

impl Bay {
    /// Takes back the last tap of whoever works here, with the items that came off for it.
    ///
    /// # Errors
    /// Nothing of theirs is left to take back, or the store fails.
    pub fn undo(&mut self, name: &str) -> Result<UndoAnswer, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        car.writable()?;
        let opening = of_opening(&car.events);
        let own = car.facts.history.iter().rev().find(|line| {
            let kind = Kind::of_word(&line.kind);
            line.counts()
                && line.who == self.who
                && kind.is_some_and(|kind| !NOT_OWN.contains(&kind))
                && !opening.contains(&line.id)
        });
        let Some(own) = own.map(|line| line.id.clone()) else {
            return Err(Problem::wrong(
                "nothing",
                "nothing of yours is left to take back",
            )
            .hint("an entry of somebody else is taken back by its id"));
        };
        self.take_back(&car, &own)
    }

    /// Takes back one event by its id; of a withdrawal, so that what it took counts again.
    ///
    /// # Errors
    /// No such event in this job, one that can't be taken back, or the store fails.
    pub fn withdraw(&mut self, name: &str, event: &str) -> Result<UndoAnswer, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        car.writable()?;
        let line =
            car.facts.history.iter().find(|line| line.id == event).ok_or_else(|| {
                Problem::wrong("unknown-id", format!("this job has no event `{event}`"))
                    .hint("`job show` lists them")
            })?;
        if line.kind == Kind::JobOpened.word() {
            return Err(Problem::wrong(
                "opening",
                "the opening of a job can't be taken back",
            )
            .hint("correct it, or pass the job on"));
        }
        let id = line.id.clone();
        self.take_back(&car, &id)
    }

    fn take_back(&mut self, car: &Car, event: &str) -> Result<UndoAnswer, Problem> {
        let tapped = car.events.iter().find(|stored| stored.id == event);
        let reference = tapped
            .and_then(|stored| stored.read().ok())
            .map_or_else(String::new, |event| event.reference);
        let counts = |id: &String| {
            car.facts.history.iter().any(|line| line.id == *id && line.counts())
        };
        let with: Vec<String> = of_same_tap(&car.events, &reference)
            .into_iter()
            .map(|(id, _)| id)
            .filter(counts)
            .collect();
        let taken_back: Vec<String> =
            std::iter::once(event.to_owned()).chain(with).collect();
        let tap = new_reference()?;
        let mut drafts = Vec::new();
        for (at, of) in taken_back.iter().enumerate() {
            let part = if at == 0 { "0".to_owned() } else { format!("with-{at}") };
            let body = Body::from(Withdrawn { of: of.clone(), why: None });
            drafts.push(self.draft(&car.job, body, part_of(&tap, &part)));
        }
        let stored = self.store.append_all(&drafts).map_err(|error| trouble(&error))?;
        let after = Car::load(self, &car.job)?;
        let said = |id: &String| {
            let line = after.facts.history.iter().find(|line| line.id == *id)?;
            Some(
                line.body
                    .as_ref()
                    .map_or_else(String::new, |body| words_of(&after, body)),
            )
        };
        let next = after.facts.undo.as_ref().and_then(said);
        Ok(UndoAnswer {
            job: car.job.clone(),
            what: taken_back.iter().filter_map(said).collect(),
            taken_back,
            redo: stored.first().map(|stored| stored.id.clone()),
            odds: after.odds_words(),
            p_fixed: after.odds.fixed(),
            next_undo: next,
            remarks: super::did::new_remarks(car, &after),
        })
    }
}
