//! `correct`: an entry counts as if it had said something else.

use job::{Body, body::Corrected};

use super::{
    Bay, DidAnswer, Happened, Problem, Recorded,
    car::Car,
    did::{answer, new_remarks},
    show::words_of,
};

impl Bay {
    /// Puts what happened in the place of what that event said.
    ///
    /// # Errors
    /// No such event, a thing that can't stand in its place, or the store fails.
    pub fn correct(
        &mut self,
        name: &str,
        event: &str,
        instead: &Happened,
    ) -> Result<DidAnswer, Problem> {
        let job = self.find(name)?;
        let before = Car::load(self, &job)?;
        before.writable()?;
        if !before.facts.history.iter().any(|line| line.id == event) {
            return Err(Problem::wrong(
                "unknown-id",
                format!("this job has no event `{event}`"),
            )
            .hint("`job show` lists them"));
        }
        // The new words are judged as if the old ones had not been said.
        let without =
            before.events.iter().filter(|stored| stored.id != event).cloned().collect();
        let car = Car::of(self, &job, without).unwrap_or_else(|_| before.clone());
        let planned = self.bodies(&car, instead)?;
        let [body] = planned.main.as_slice() else {
            return Err(Problem::wrong(
                "form",
                "this can't stand in the place of one entry",
            )
            .hint("take the entry back and enter this anew"));
        };
        let corrected = Corrected::new(event, body)
            .map_err(|error| Problem::wrong("entry", error))?;
        let stored = self.append(&job, Body::from(corrected))?;
        let after = Car::load(self, &job)?;
        let mut remarks = planned.remarks;
        remarks.extend(new_remarks(&before, &after));
        let recorded = Recorded {
            event: stored.id,
            kind: "corrected".to_owned(),
            what: words_of(&after, body),
            implied: false,
        };
        Ok(answer(&before, &after, vec![recorded], remarks))
    }
}
