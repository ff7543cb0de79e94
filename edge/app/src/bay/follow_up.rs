//! `follow_up`: whom to ask next, and what the answer does to how sure it is.

use job::{
    Body,
    body::{Answered, Asked},
};
use schemars::JsonSchema;
use serde::Serialize;

use super::{
    Bay, Problem, car::Car, hand_over::more_km, new_reference, paper::TARGET, trouble,
};
use crate::Answer;

/// What the owner said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Told {
    /// Odometer now, km.
    pub odometer_km: Option<f64>,
    /// Driven since the hand-over, km, where the odometer is not known.
    pub km: Option<f64>,
    /// Whether the lamp came back; none: the owner can't say.
    pub lamp: Option<bool>,
    /// Whether anybody has erased codes; none: the owner can't say.
    pub cleared: Option<bool>,
    /// In what words.
    pub words: String,
    /// phone, message, in person.
    pub how: String,
}

/// Somebody to ask.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ToAsk {
    /// The job.
    pub job: String,
    /// Plate; null: not known.
    pub plate: Option<String>,
    /// The owner's name.
    pub owner: String,
    /// How to reach them.
    pub phone: String,
    /// Handed over, RFC 3339.
    pub handed_over: String,
    /// Asked last, RFC 3339; null: never.
    pub asked: Option<String>,
    /// How sure it is that it is fixed.
    pub p_fixed: f64,
    /// Distance clear still missing, km; null: none gets there, or no count.
    pub more_km: Option<f64>,
    /// What answer would settle it.
    pub settles: String,
}

/// Answer `follow-ups/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FollowUpList {
    /// Whom to ask, longest unasked first.
    pub ask: Vec<ToAsk>,
    /// How sure it should be.
    pub target: f64,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for FollowUpList {
    const NAME: &'static str = "follow-ups/1";
}

/// Answer `follow-up/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FollowUpAnswer {
    /// The job.
    pub job: String,
    /// How sure it was.
    pub p_before: f64,
    /// How sure it is now.
    pub p_fixed: f64,
    /// The same in words.
    pub words: String,
    /// What of the distance counted, km; null: nothing.
    pub counted_km: Option<f64>,
    /// How sure it should be.
    pub target: f64,
    /// Whether that is reached: nobody needs to be asked again.
    pub settled: bool,
    /// Distance clear still missing, km; null: none gets there, or no count.
    pub more_km: Option<f64>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for FollowUpAnswer {
    const NAME: &'static str = "follow-up/1";
}

impl Bay {
    /// Whom to ask next.
    ///
    /// # Errors
    /// Where the store can't be read.
    pub fn to_ask(&self) -> Result<FollowUpList, Problem> {
        let (mut ask, mut remarks) = (Vec::new(), Vec::new());
        for job in self.store.jobs().map_err(|error| trouble(&error))? {
            match Car::load(self, &job) {
                Ok(car) => ask.extend(one_to_ask(&car)),
                Err(problem) => {
                    remarks.push(format!("job {job} can't be read: {problem}"));
                }
            }
        }
        ask.sort_by(|a, b| {
            let since = |one: &ToAsk| {
                one.asked.clone().unwrap_or_else(|| one.handed_over.clone())
            };
            since(a).cmp(&since(b)).then_with(|| a.job.cmp(&b.job))
        });
        Ok(FollowUpList { ask, target: TARGET, remarks })
    }

    /// Takes down what the owner said; silence is not distance.
    ///
    /// # Errors
    /// A job that was not handed over, or a store that fails.
    pub fn follow_up(
        &mut self,
        name: &str,
        told: &Told,
    ) -> Result<FollowUpAnswer, Problem> {
        let job = self.find(name)?;
        let before = Car::load(self, &job)?;
        before.writable()?;
        if before.facts.handed_over.is_none() {
            return Err(Problem::wrong("not-handed-over", "this vehicle is still here")
                .hint("hand it over first"));
        }
        let how = if told.how.is_empty() { "phone".to_owned() } else { told.how.clone() };
        let answered = Answered {
            odometer_km: told.odometer_km,
            km: told.km,
            lamp: told.lamp,
            cleared: told.cleared,
            blob: self.keep_text(&told.words)?,
        };
        let drafts = [
            self.draft(&job, Body::from(Asked { how }), new_reference()?),
            self.draft(&job, Body::from(answered), new_reference()?),
        ];
        self.store.append_all(&drafts).map_err(|error| trouble(&error))?;
        let after = Car::load(self, &job)?;
        Ok(followed_up(&before, &after, told))
    }
}

fn one_to_ask(car: &Car) -> Option<ToAsk> {
    let over = car.facts.handed_over.as_ref()?;
    let p_fixed = car.odds.fixed();
    let back = car.facts.answers.iter().any(|told| told.answer.lamp == Some(true));
    if car.facts.reopened || over.what.as_found || p_fixed >= TARGET || back {
        return None;
    }
    let more = more_km(car);
    Some(ToAsk {
        job: car.job.clone(),
        plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
        owner: car.owner.name.clone(),
        phone: car.owner.phone.clone(),
        handed_over: over.at.clone(),
        asked: car.facts.asked.last().map(|said| said.at.clone()),
        p_fixed,
        more_km: more,
        settles: more.map_or_else(
            || "no distance settles it; only the lamp coming back would".to_owned(),
            |km| {
                format!(
                    "{} without the lamp, and nobody has cleared codes; or the lamp is back",
                    pages::say::distance(km, pages::Shown::Metric)
                )
            },
        ),
    })
}

fn followed_up(before: &Car, after: &Car, told: &Told) -> FollowUpAnswer {
    let p_fixed = after.odds.fixed();
    let mut remarks = super::did::new_remarks(before, after);
    if told.lamp == Some(true) {
        remarks.push(
            "it is back: take it in again with `did comeback=same`, and read whether the code \
             and its conditions are the same"
                .to_owned(),
        );
    }
    if told.lamp.is_none() {
        remarks.push(
            "the owner can't say whether the lamp came back: that proves nothing"
                .to_owned(),
        );
    }
    FollowUpAnswer {
        job: after.job.clone(),
        p_before: before.odds.fixed(),
        p_fixed,
        words: format!("{} that it is fixed", pages::say::chance(p_fixed)),
        counted_km: after.facts.answers.last().and_then(|told| told.counted_km),
        target: TARGET,
        settled: p_fixed >= TARGET,
        more_km: more_km(after),
        remarks,
    }
}
