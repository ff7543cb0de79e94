//! What checks said, and which of them a second look at the same thing can only repeat.

use sheet::{CheckIx, Economy, OutcomeIx, Sheet};

use crate::{OddsError, bit};

/// A reading names the outcome in whose band it lies likelier than not.
const LIKELIER_THAN_NOT: f64 = 0.5;

/// What a check said: likelihoods, the outcome that it names, and the fact in words.
pub(crate) struct Seen {
    pub(crate) check: CheckIx,
    /// `None`: a reading that may lie in any of several bands.
    pub(crate) outcome: Option<OutcomeIx>,
    pub(crate) by_cause: Vec<f64>,
    pub(crate) fine: f64,
    pub(crate) words: String,
}

impl Seen {
    /// An outcome that was tapped.
    pub(crate) fn outcome(
        sheet: &Sheet,
        economy: &Economy,
        (check, outcome): (CheckIx, OutcomeIx),
    ) -> Self {
        let entry = &sheet.checks[check.at()];
        let chance = |cause| entry.chance(cause, outcome.at(), economy.active);
        Self {
            check,
            outcome: Some(outcome),
            by_cause: (0..sheet.causes()).map(chance).collect(),
            fine: entry.fine[outcome.at()],
            words: format!("check `{}` = {}", entry.id, entry.outcomes[outcome.at()].0),
        }
    }

    /// A reading: a weight for each outcome.
    pub(crate) fn reading(
        sheet: &Sheet,
        economy: &Economy,
        (check, weights): (CheckIx, &[f64]),
    ) -> Self {
        let entry = &sheet.checks[check.at()];
        let mean = |chance: &dyn Fn(usize) -> f64| -> f64 {
            weights.iter().enumerate().map(|(o, weight)| weight * chance(o)).sum()
        };
        let likely = weights.iter().position(|weight| *weight > LIKELIER_THAN_NOT);
        let by_cause = (0..sheet.causes())
            .map(|cause| mean(&|o| entry.chance(cause, o, economy.active)))
            .collect();
        Self {
            check,
            outcome: likely.map(OutcomeIx::from),
            by_cause,
            fine: mean(&|o| entry.fine[o]),
            words: format!("the reading of check `{}`", entry.id),
        }
    }
}

/// The answers that a later look may only repeat.
#[derive(Debug, Default)]
pub(crate) struct Looks {
    /// Checks answered since the latest repair, one bit each.
    given: u128,
    /// Answers since the vehicle last changed, by a repair or by a check that cured.
    answers: Vec<(CheckIx, Option<OutcomeIx>)>,
}

impl Looks {
    /// Notes that a check is given.
    ///
    /// # Errors
    /// It was given before and no repair lies between.
    pub(crate) fn give(
        &mut self,
        sheet: &Sheet,
        check: CheckIx,
    ) -> Result<(), OddsError> {
        if self.given & bit(check.at()) != 0 {
            let check = sheet.checks[check.at()].id.clone();
            return Err(OddsError::CheckTwice { check });
        }
        self.given |= bit(check.at());
        Ok(())
    }

    /// Keeps an answer.
    pub(crate) fn answered(&mut self, check: CheckIx, outcome: Option<OutcomeIx>) {
        self.answers.push((check, outcome));
    }

    /// The vehicle is not what it was: a further look may see something new.
    pub(crate) fn changed(&mut self) {
        self.answers.clear();
    }

    /// What to say where the same was seen before by the same method; `None` where it was not.
    pub(crate) fn seen_before(&self, sheet: &Sheet, seen: &Seen) -> Option<Vec<String>> {
        let entry = &sheet.checks[seen.check.at()];
        let (first, answer) =
            self.answers.iter().find(|(check, _)| entry.alike.contains(check))?;
        let before = &sheet.checks[first.at()];
        let (id, known) = (&entry.id, &before.id);
        let mut remarks = vec![format!(
            "Check `{id}` sees the same as `{known}` by the same method, and that was answered \
             before: it does not count a second time."
        )];
        if let (Some(answer), Some(outcome)) = (answer, seen.outcome) {
            let (was, now) =
                (&before.outcomes[answer.at()].0, &entry.outcomes[outcome.at()].0);
            if was != now {
                remarks.push(format!(
                    "`{known}` said {was} but `{id}` says {now}: look again and correct the \
                     one that is wrong; until then the first answer counts."
                ));
            }
        }
        Some(remarks)
    }
}
