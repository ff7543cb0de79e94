//! Folding the hand-over and what follows it: answers, distance, comebacks.

use sheet::ExposureUnit;

use super::{AnswerTold, Folding, Line, ledger::believable_amount, step::said, unit};
use crate::{
    body::{Answered, Comeback, HandedOver},
    fact::Fact,
};

impl Folding<'_> {
    pub(super) fn hand_over(&mut self, line: &Line, over: &HandedOver) {
        self.facts.odometer_km = over.odometer_km.or(self.facts.odometer_km);
        self.facts.handed_over = Some(said(line, over));
        self.facts.reopened = false;
        self.memory.handed_over = self.memory.step;
        self.memory.told_km = 0.0;
        self.memory.came_back = false;
    }

    /// Distance since the hand-over that this answer adds to the one before.
    pub(super) fn answered(&mut self, line: &Line, answered: &Answered) {
        let start =
            self.facts.handed_over.as_ref().and_then(|over| over.what.odometer_km);
        let start = start.or(self.facts.odometer_km);
        let by_odometer = answered.odometer_km.zip(start).map(|(now, then)| now - then);
        let total = by_odometer.or(answered.km).filter(|km| believable_amount(*km));
        let counted_km = self.counted_distance(total, answered);
        self.facts.answers.push(AnswerTold {
            at: line.at.clone(),
            answer: answered.clone(),
            counted_km,
        });
    }

    fn counted_distance(
        &mut self,
        total: Option<f64>,
        answered: &Answered,
    ) -> Option<f64> {
        let shown = answered.lamp?;
        let total = total.unwrap_or(if shown { self.memory.told_km } else { -1.0 });
        let more = total - self.memory.told_km;
        if more < 0.0 {
            self.remark(
                "an answer without a distance beyond the one before proves nothing"
                    .to_owned(),
            );
            return None;
        }
        self.memory.told_km = total;
        if !shown && answered.cleared == Some(true) {
            self.remark(
                "codes were erased since the hand-over: that distance proves nothing"
                    .to_owned(),
            );
            return None;
        }
        self.drive(more, shown).then_some(more)
    }

    fn drive(&mut self, amount: f64, shown: bool) -> bool {
        let counts = unit(&self.facts, self.sheet) == ExposureUnit::Km;
        if counts || shown {
            let amount = if counts { amount } else { 0.0 };
            self.facts.evidence.push(Fact::Driven { amount, shown });
            self.memory.came_back |= shown;
        } else {
            self.remark(
                "this job does not count in kilometres: the owner's distance moves nothing"
                    .to_owned(),
            );
        }
        counts
    }

    pub(super) fn comeback(&mut self, line: &Line, comeback: &Comeback) {
        self.facts.comebacks.push(said(line, comeback));
        self.facts.reopened |= comeback.new_job.is_none();
        if comeback.same_fault && !self.memory.came_back {
            let start =
                self.facts.handed_over.as_ref().and_then(|over| over.what.odometer_km);
            let total = comeback.odometer_km.zip(start).map(|(now, then)| now - then);
            let more = total.map_or(0.0, |total| total - self.memory.told_km).max(0.0);
            self.drive(if believable_amount(more) { more } else { 0.0 }, true);
        }
        self.facts.odometer_km = comeback.odometer_km.or(self.facts.odometer_km);
    }
}
