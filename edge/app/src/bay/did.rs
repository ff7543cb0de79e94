//! `did`: one or several things that happened, accepted as they are.

use job::{Body, Draft, Stored};
use schemars::JsonSchema;
use serde::Serialize;

use super::{
    Bay, Happened, Problem,
    bodies::Planned,
    car::{Car, LooseEndLine, OddsWords},
    drafts::{Trial, part_of},
    new_reference,
    show::words_of,
    trouble,
};
use crate::Answer;

/// One entry of the log that a call made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Recorded {
    /// Id of the event.
    pub event: String,
    /// Its kind.
    pub kind: String,
    /// What it says, in words.
    pub what: String,
    /// Not said, but it must have been so.
    pub implied: bool,
}

/// Answer `did/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DidAnswer {
    /// The job.
    pub job: String,
    /// What was recorded.
    pub recorded: Vec<Recorded>,
    /// Odds now.
    pub odds: Vec<OddsWords>,
    /// Probability that it is fixed.
    pub p_fixed: f64,
    /// Loose ends that arose by it.
    pub new_loose_ends: Vec<LooseEndLine>,
    /// How many are open in all.
    pub loose_ends: usize,
    /// Why the engine must not be started.
    pub do_not_start: Vec<String>,
    /// Spent so far, money.
    pub spent: f64,
    /// ISO 4217 code.
    pub currency: String,
    /// The same tap had arrived before: nothing was added.
    pub repeated: bool,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for DidAnswer {
    const NAME: &'static str = "did/1";
}

/// A draft with its place in the answer.
struct Placed {
    draft: Draft,
    implied: bool,
}

impl Bay {
    /// Records what happened, all of it or nothing. `tap` is the client's reference, 32 hex
    /// digits: the same tap twice counts once.
    ///
    /// # Errors
    /// A name that the sheet does not know, a refit that a loose end blocks, or a store that
    /// can't keep it.
    pub fn did(
        &mut self,
        name: &str,
        happened: &[Happened],
        tap: Option<&str>,
    ) -> Result<DidAnswer, Problem> {
        let job = self.find(name)?;
        let before = Car::load(self, &job)?;
        before.writable()?;
        let tap = match tap {
            Some(tap) => tap.to_owned(),
            None => new_reference()?,
        };
        if let Some(answer) = self.arrived_before(&before, happened, &tap)? {
            return Ok(answer);
        }
        let (placed, mut remarks) = self.try_all(&before, happened, &tap)?;
        let drafts: Vec<Draft> = placed.iter().map(|one| one.draft.clone()).collect();
        let stored = self.store.append_all(&drafts).map_err(|error| trouble(&error))?;
        let after = Car::load(self, &job)?;
        remarks.extend(new_remarks(&before, &after));
        let recorded = stored
            .iter()
            .zip(&placed)
            .map(|(stored, one)| recorded(&after, stored, &one.draft.body, one.implied))
            .collect();
        Ok(answer(&before, &after, recorded, remarks))
    }

    /// Every thing upon the one before, none of it appended yet.
    fn try_all(
        &mut self,
        before: &Car,
        happened: &[Happened],
        tap: &str,
    ) -> Result<(Vec<Placed>, Vec<String>), Problem> {
        let mut trial = Trial::new(self)?;
        let mut car = before.clone();
        let (mut placed, mut remarks) = (Vec::new(), Vec::new());
        for (at, thing) in happened.iter().enumerate() {
            let own = part_of(tap, &at.to_string());
            let Planned { implied, main, remarks: said } = self.bodies(&car, thing)?;
            remarks.extend(said);
            let mut events = car.events.clone();
            let of_way = implied
                .into_iter()
                .enumerate()
                .map(|(at, body)| (body, part_of(&own, &format!("off-{at}")), true));
            let of_main = main.into_iter().enumerate().map(|(at, body)| {
                let part = if at == 0 {
                    own.clone()
                } else {
                    part_of(&own, &format!("with-{at}"))
                };
                (body, part, false)
            });
            for (body, reference, implied) in of_way.chain(of_main) {
                let draft = self.draft(&before.job, body, reference);
                events.push(trial.event(&draft)?);
                placed.push(Placed { draft, implied });
            }
            car = Car::of(self, &before.job, events)?;
        }
        if placed.is_empty() {
            return Err(Problem::wrong("nothing", "nothing was said to have happened")
                .hint("name at least one thing, such as check:ID=OUTCOME"));
        }
        Ok((placed, remarks))
    }

    /// The answer of a tap that was recorded already.
    ///
    /// # Errors
    /// The same reference with other words.
    fn arrived_before(
        &mut self,
        car: &Car,
        happened: &[Happened],
        tap: &str,
    ) -> Result<Option<DidAnswer>, Problem> {
        let known = |reference: &str| {
            car.events.iter().find(|stored| {
                stored.read().is_ok_and(|event| event.reference == reference)
            })
        };
        if known(tap).is_none() {
            return Ok(None);
        }
        let mut recorded_then = Vec::new();
        for (at, thing) in happened.iter().enumerate() {
            let reference = part_of(tap, &at.to_string());
            let Some(stored) = known(&reference) else { return Err(conflict(tap)) };
            let Some(body) = stored.read().ok().and_then(|event| event.read_body().ok())
            else {
                return Err(conflict(tap));
            };
            if !self.same_thing(car, thing, stored)? {
                return Err(conflict(tap));
            }
            recorded_then.push(recorded(car, stored, &body, false));
        }
        let mut answer = answer(car, car, recorded_then, Vec::new());
        answer.repeated = true;
        Ok(Some(answer))
    }

    /// Whether the stored event is what that thing became. What can't be said again once it
    /// was said (a loose end is accepted, a part has come) is known by its kind.
    fn same_thing(
        &mut self,
        car: &Car,
        thing: &Happened,
        stored: &Stored,
    ) -> Result<bool, Problem> {
        if let Ok(planned) = self.bodies(car, thing) {
            return planned
                .main
                .first()
                .map_or(Ok(false), |body| self.says(stored, body));
        }
        let kind = stored.read().map(|event| event.kind).unwrap_or_default();
        let known = [
            ("accept", "loose_end.accepted"),
            ("settle", "loose_end.settled"),
            ("part", "part.came"),
            ("on", "item.on"),
        ];
        Ok(known.contains(&(thing.word(), kind.as_str())))
    }
}

fn conflict(tap: &str) -> Problem {
    Problem::wrong("conflict", format!("reference {tap} was used for another entry"))
        .hint("make a new one for each tap")
}

fn recorded(car: &Car, stored: &Stored, body: &Body, implied: bool) -> Recorded {
    Recorded {
        event: stored.id.clone(),
        kind: body.kind().word().to_owned(),
        what: words_of(car, body),
        implied,
    }
}

/// What the fold and the odds remark that they did not before.
pub(super) fn new_remarks(before: &Car, after: &Car) -> Vec<String> {
    after
        .remarks
        .iter()
        .filter(|remark| !before.remarks.contains(remark))
        .cloned()
        .collect()
}

pub(super) fn answer(
    before: &Car,
    after: &Car,
    recorded: Vec<Recorded>,
    remarks: Vec<String>,
) -> DidAnswer {
    let known = before.loose_ends();
    let open = after.loose_ends();
    DidAnswer {
        job: after.job.clone(),
        recorded,
        odds: after.odds_words(),
        p_fixed: after.odds.fixed(),
        loose_ends: open.len(),
        new_loose_ends: open.into_iter().filter(|end| !known.contains(end)).collect(),
        do_not_start: after.facts.do_not_start.clone(),
        spent: after.spent(),
        currency: after.economy.currency.clone(),
        repeated: false,
        remarks,
    }
}
