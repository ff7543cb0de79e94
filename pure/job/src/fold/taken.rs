//! Folding readings: those of a measure of an item count as evidence, or as also seen.

use super::{Also, Folding, Line, ReadingLine};
use crate::body::{
    AlsoAnswer, AlsoSeen, CheckDone, CheckResult, Reading, Taken, Urgency, Verdict,
};

impl Folding<'_> {
    pub(super) fn reading(&mut self, line: &Line, reading: &Reading) {
        let (measured, taken) = (reading.measured.clone(), reading.taken.clone());
        if let Some(taken) = &taken
            && let Some(check) = taken.check.clone()
        {
            let weights = taken.weights.clone();
            let result = CheckResult::Reading { measured, weights };
            let (minutes, note) = (None, None);
            self.check(line, &CheckDone { check, result, minutes, note });
        }
        // The reading of the check that it answers is this one, not a second.
        self.facts.readings.retain(|known| known.event != line.id);
        if let Some(taken) = &taken
            && let (Verdict::Out, Some(urgency)) = (taken.verdict, taken.urgency)
        {
            self.out_of_limits(line, taken, urgency);
        }
        self.facts.readings.push(ReadingLine {
            event: line.id.clone(),
            at: line.at.clone(),
            check: taken.as_ref().and_then(|taken| taken.check.clone()),
            quantity: reading.quantity.clone(),
            measured: reading.measured.clone(),
            taken,
        });
    }

    /// What is out of its limits is also seen, once until it is done.
    fn out_of_limits(&mut self, line: &Line, taken: &Taken, urgency: Urgency) {
        let facts = &self.facts;
        let same = |also: &Also| {
            let told = facts.readings.iter().find(|known| known.event == also.id);
            told.and_then(|known| known.taken.as_ref()).is_some_and(|known| {
                known.item == taken.item && known.measure == taken.measure
            })
        };
        let open = |also: &&Also| also.answer != Some(AlsoAnswer::Done);
        if facts.also.iter().filter(open).any(same) {
            return;
        }
        let seen = AlsoSeen {
            urgency,
            price_now: None,
            price_later: None,
            item: Some(taken.item.clone()),
            text: None,
            photo: None,
        };
        let (id, at) = (line.id.clone(), line.at.clone());
        self.facts.also.push(Also { id, at, seen, answer: None, signed: None });
    }
}
