//! Folding work at the vehicle: evidence, minutes and money, items off and on, duties.

use std::collections::BTreeMap;

use sheet::{
    Check, CheckIx, DutyIx, Item, ItemIx, ItemSet, OutcomeIx, ProofIx, ProofKind,
    RepairIx, Source,
};

use super::{
    Folding, Line, ReadingLine, TorqueLine, TrayItem,
    ledger::{believable_amount, believable_minutes},
};
use crate::{
    body::{
        CheckDone, CheckResult, DutyDone, FastenerNoted, FastenerState, FluidIn,
        FluidOut, ItemOff, ItemOn, ProofDone, RepairDone, SealNoted, SnagMet, Tightened,
    },
    fact::Fact,
};

fn place<T>(list: &[T], id_of: impl Fn(&T) -> &str, id: &str) -> Option<usize> {
    list.iter().position(|entry| id_of(entry) == id)
}

impl Folding<'_> {
    fn unknown(&mut self, what: &str, id: &str) {
        self.remark(format!("the sheet of this job has no {what} `{id}`"));
    }

    /// Adds the minutes of a thing done; the answer says what counted, and if it was timed.
    fn spend_minutes(&mut self, noted: Option<f64>, listed: f64) -> (f64, bool) {
        let believed = noted.filter(|minutes| believable_minutes(*minutes));
        if let (Some(minutes), None) = (noted, believed) {
            self.remark(format!(
                "{minutes} minutes can't be right: the sheet's are taken"
            ));
        }
        let minutes = believed.unwrap_or(listed);
        self.facts.spent.labour_minutes += minutes;
        (minutes, believed.is_some())
    }

    pub(super) fn check(&mut self, line: &Line, done: &CheckDone) {
        let sheet = self.sheet;
        let Some(at) = place(&sheet.checks, |check| &check.id, &done.check) else {
            self.unknown("check", &done.check);
            let (minutes, timed) = self.spend_minutes(done.minutes, 0.0);
            let entry = self.add_done(line, "check", &done.check);
            (entry.minutes, entry.timed) = (minutes, timed);
            return;
        };
        let check = &sheet.checks[at];
        let (minutes, timed) = self.spend_minutes(done.minutes, check.minutes);
        self.facts.spent.waiting_minutes += check.wait_min;
        self.facts.spent.consumables += check.cost;
        let outcome = match &done.result {
            CheckResult::Outcome { outcome } => Some(outcome.clone()),
            CheckResult::CouldNotTell
            | CheckResult::Reading { .. }
            | CheckResult::Recording { .. } => None,
        };
        let entry = self.add_done(line, "check", &done.check);
        (entry.minutes, entry.timed, entry.outcome) = (minutes, timed, outcome);
        let check_ix = CheckIx::from(at);
        match &done.result {
            CheckResult::Outcome { outcome } => {
                match place(&check.outcomes, |(id, _)| id, outcome) {
                    Some(outcome) => {
                        let outcome = OutcomeIx::from(outcome);
                        self.facts
                            .evidence
                            .push(Fact::Check { check: check_ix, outcome });
                    }
                    None => {
                        self.unknown(
                            &format!("outcome of `{}` named", check.id),
                            outcome,
                        );
                    }
                }
            }
            CheckResult::CouldNotTell => {
                self.facts.evidence.push(Fact::CouldNotTell { check: check_ix });
            }
            CheckResult::Reading { measured, weights } => {
                self.facts.readings.push(ReadingLine {
                    event: line.id.clone(),
                    at: line.at.clone(),
                    check: Some(check.id.clone()),
                    quantity: check
                        .reading
                        .as_ref()
                        .map_or_else(String::new, |bands| bands.quantity.clone()),
                    measured: measured.clone(),
                    taken: None,
                });
                self.weighed(check_ix, check, weights);
            }
            CheckResult::Recording { weights, .. } => {
                self.weighed(check_ix, check, weights);
            }
        }
    }

    fn weighed(&mut self, at: CheckIx, check: &Check, weights: &BTreeMap<String, f64>) {
        let by_outcome: Vec<f64> = check
            .outcomes
            .iter()
            .map(|(id, _)| weights.get(id).copied().unwrap_or(0.0))
            .collect();
        let sum: f64 = by_outcome.iter().sum();
        let good = sum.is_finite() && sum > 0.0 && by_outcome.iter().all(|w| *w >= 0.0);
        if good {
            let weights = by_outcome.iter().map(|weight| weight / sum).collect();
            self.facts.evidence.push(Fact::Reading { check: at, weights });
        } else {
            self.remark(format!(
                "the reading of `{}` names none of its outcomes: it moves nothing",
                check.id
            ));
            self.facts.evidence.push(Fact::CouldNotTell { check: at });
        }
    }

    pub(super) fn repair(&mut self, line: &Line, done: &RepairDone) {
        let sheet = self.sheet;
        let at = place(&sheet.repairs, |repair| &repair.id, &done.repair);
        let repair = at.map(|at| &sheet.repairs[at]);
        let (minutes, timed) =
            self.spend_minutes(done.minutes, repair.map_or(0.0, |repair| repair.minutes));
        let entry = self.add_done(line, "repair", &done.repair);
        (entry.minutes, entry.timed) = (minutes, timed);
        self.facts.spent.waiting_minutes += repair.map_or(0.0, |repair| repair.wait_min);
        let used: Option<f64> = done
            .parts
            .as_ref()
            .map(|parts| parts.iter().map(|part| part.count * part.price).sum());
        let believed = used.filter(|money| believable_amount(*money));
        if let (Some(money), None) = (used, believed) {
            self.remark(format!(
                "{money} for parts can't be right: the sheet's price is taken"
            ));
        }
        let listed = repair.map_or(0.0, |repair| repair.parts_price);
        self.facts.spent.parts += believed.unwrap_or(listed);
        let Some(at) = at else {
            self.unknown("repair", &done.repair);
            return;
        };
        self.facts.evidence.push(Fact::Repair { repair: RepairIx::from(at) });
        self.arise(Source::Repair(RepairIx::from(at)));
    }

    pub(super) fn proof(&mut self, line: &Line, done: &ProofDone) {
        let sheet = self.sheet;
        let at = place(&sheet.proofs, |proof| &proof.id, &done.proof);
        let proof = at.map(|at| &sheet.proofs[at]);
        let (minutes, timed) =
            self.spend_minutes(done.minutes, proof.map_or(0.0, |proof| proof.minutes));
        let entry = self.add_done(line, "proof", &done.proof);
        (entry.minutes, entry.timed) = (minutes, timed);
        entry.outcome = Some(if done.shown { "shown" } else { "clear" }.to_owned());
        let (Some(at), Some(proof)) = (at, proof) else {
            self.unknown("proof", &done.proof);
            return;
        };
        self.facts.spent.waiting_minutes += proof.wait_min;
        self.facts.spent.consumables += proof.cost;
        if !done.shown && done.self_test_ran == Some(false) {
            self.remark(format!(
                "`{}`: the self-test did not run, so this clear result proves nothing",
                proof.id
            ));
            return;
        }
        let drives = matches!(proof.kind, ProofKind::Exposure(_));
        let believed =
            done.exposure.filter(|amount| drives && amount.is_finite() && *amount >= 0.0);
        if done.exposure.is_some() && believed.is_none() {
            self.remark(format!(
                "`{}`: the exposure given does not count here",
                proof.id
            ));
        }
        self.facts.evidence.push(Fact::Proof {
            proof: ProofIx::from(at),
            shown: done.shown,
            exposure: believed,
        });
    }

    /// The tray of an item, made on its first touch.
    pub(super) fn tray(&mut self, item: &str) -> &mut TrayItem {
        let known = self.facts.tray.iter().position(|entry| entry.item == item);
        let at = known.unwrap_or_else(|| {
            let listed = self.sheet.items.iter().find(|entry| entry.id == item);
            self.facts.tray.push(TrayItem::new(item, listed));
            self.facts.tray.len() - 1
        });
        &mut self.facts.tray[at]
    }

    fn item_ix(&self, item: &str) -> Option<(ItemIx, &'_ Item)> {
        let at = place(&self.sheet.items, |entry| &entry.id, item)?;
        Some((ItemIx::from(at), &self.sheet.items[at]))
    }

    pub(super) fn item_off(&mut self, line: &Line, off: &ItemOff) {
        let tray = self.tray(&off.item);
        tray.broken |= off.broken;
        if tray.off && !tray.implied {
            let what = format!("{} came off twice: count its fasteners", tray.title);
            self.contradiction(line, &off.item, what);
            return;
        }
        let implied = std::mem::take(&mut tray.implied);
        let Some((at, closure)) =
            self.item_ix(&off.item).map(|(at, item)| (at, item.closure))
        else {
            self.unknown("item", &off.item);
            self.strip(line, (&off.item, None), off.minutes, false);
            return;
        };
        if implied {
            return;
        }
        let in_front = closure.minus(self.facts.off).minus(ItemSet::one(at));
        for front in in_front.iter() {
            self.imply_off(line, front, &off.item);
        }
        self.strip(line, (&off.item, Some(at)), off.minutes, false);
    }

    fn imply_off(&mut self, line: &Line, front: ItemIx, behind: &str) {
        let Some(id) = self.sheet.items.get(front.at()).map(|item| item.id.clone())
        else {
            return;
        };
        self.remark(format!("`{id}` is taken as off, as `{behind}` lies behind it"));
        self.strip(line, (&id, Some(front)), None, true);
    }

    fn strip(
        &mut self,
        line: &Line,
        (id, at): (&str, Option<ItemIx>),
        minutes: Option<f64>,
        implied: bool,
    ) {
        let item = at.and_then(|at| self.sheet.items.get(at.at()));
        let tray = self.tray(id);
        tray.strip();
        tray.implied = implied;
        tray.since = Some(line.at.clone());
        let (minutes, timed) =
            self.spend_minutes(minutes, item.map_or(0.0, |item| item.strip_min));
        self.facts.spent.waiting_minutes += item.map_or(0.0, |item| item.wait_min);
        let entry = self.add_done(line, "strip", id);
        (entry.minutes, entry.timed) = (minutes, timed);
        if let Some(at) = at {
            self.facts.off = self.facts.off.union(ItemSet::one(at));
            self.facts.ever_off = self.facts.ever_off.union(ItemSet::one(at));
            self.arise(Source::Item(at));
        }
    }

    pub(super) fn item_on(&mut self, line: &Line, on: &ItemOn) {
        let tray = self.tray(&on.item);
        if !tray.off {
            let what = format!("{} went back though it was not off", tray.title);
            self.contradiction(line, &on.item, what);
            self.torques(line, on);
            return;
        }
        tray.refit();
        let title = tray.title.clone();
        let known = self
            .item_ix(&on.item)
            .map(|(at, item)| (at, item.refit_min, item.refit_parts));
        let (minutes, timed) =
            self.spend_minutes(on.minutes, known.map_or(0.0, |(_, minutes, _)| minutes));
        let entry = self.add_done(line, "refit", &on.item);
        (entry.minutes, entry.timed) = (minutes, timed);
        self.torques(line, on);
        let Some((at, _, parts)) = known else { return };
        self.facts.spent.refit_parts += parts;
        self.facts.off = self.facts.off.minus(ItemSet::one(at));
        let still = self.facts.off.iter().find_map(|other| {
            let item = self.sheet.items.get(other.at())?;
            item.closure.has(at).then(|| item.title.in_language("en").to_owned())
        });
        if let Some(still) = still {
            let what =
                format!("{title} went back though {still}, which lies behind it, is off");
            self.contradiction(line, &on.item, what);
        }
    }

    fn torques(&mut self, line: &Line, on: &ItemOn) {
        self.facts.wrench = on.wrench.clone().or(self.facts.wrench.take());
        let one = |fastener, torque_nm, angle_deg, source| TorqueLine {
            event: line.id.clone(),
            at: line.at.clone(),
            who: line.who.clone(),
            item: on.item.clone(),
            fastener,
            how: on.how,
            torque_nm,
            angle_deg,
            source,
            wrench: on.wrench.clone(),
        };
        if on.torques.is_empty() {
            self.facts.torques.push(one(None, None, None, None));
        }
        for used in &on.torques {
            let fastener = Some(used.fastener.clone());
            let source = used.source.clone();
            self.facts.torques.push(one(
                fastener,
                used.torque_nm,
                used.angle_deg,
                source,
            ));
        }
    }

    pub(super) fn snag(&mut self, met: &SnagMet) {
        let place = met.snag.and_then(|snag| usize::try_from(snag).ok());
        let snag = self.item_ix(&met.item).and_then(|(_, item)| item.snags.get(place?));
        let (minutes, parts) = snag.map_or((0.0, 0.0), |snag| (snag.minutes, snag.parts));
        let learned = place.and_then(|place| self.facts.snag_minutes(&met.item, place));
        let minutes = learned.unwrap_or(minutes);
        let minutes = met.minutes.filter(|m| believable_minutes(*m)).unwrap_or(minutes);
        let parts = met.parts.filter(|p| believable_amount(*p)).unwrap_or(parts);
        self.facts.spent.snag_minutes += minutes;
        self.facts.spent.snag_parts += parts;
    }

    pub(super) fn fastener(&mut self, line: &Line, noted: &FastenerNoted) {
        let step = self.memory.step;
        let tray = self.tray(&noted.item);
        let (rest, title) = (tray.note_fastener(noted, step), tray.title.clone());
        if rest > 0 {
            self.remark(format!(
                "{title}: {rest} more `{}` noted than it has",
                noted.fastener
            ));
        }
        let fitted = matches!(noted.state, FastenerState::Back | FastenerState::Replaced);
        if fitted && (noted.torque_nm.is_some() || noted.angle_deg.is_some()) {
            self.facts.wrench = noted.wrench.clone().or(self.facts.wrench.take());
            self.facts.torques.push(TorqueLine {
                event: line.id.clone(),
                at: line.at.clone(),
                who: line.who.clone(),
                item: noted.item.clone(),
                fastener: Some(noted.fastener.clone()),
                how: match noted.angle_deg {
                    Some(_) => Tightened::TorqueAngle,
                    None => Tightened::Torque,
                },
                torque_nm: noted.torque_nm,
                angle_deg: noted.angle_deg,
                source: None,
                wrench: noted.wrench.clone(),
            });
        }
    }

    pub(super) fn seal(&mut self, noted: &SealNoted) {
        let step = self.memory.step;
        self.tray(&noted.item).note_seal(noted, step);
    }

    pub(super) fn fluid_out(&mut self, out: &FluidOut) {
        let litres =
            out.litres.map_or_else(String::new, |litres| format!(" ({litres} l)"));
        let words = format!("`{}` is out{litres} and not filled in", out.fluid);
        self.memory.fluids_out.insert(out.fluid.clone(), (self.memory.step, words));
    }

    pub(super) fn fluid_in(&mut self, fluid: &FluidIn) {
        self.memory.fluids_out.remove(&fluid.fluid);
        let price = fluid.price.filter(|price| believable_amount(*price));
        self.facts.spent.consumables += price.unwrap_or(0.0);
    }

    /// Duties that this source brings up, again too if they were done before.
    fn arise(&mut self, source: Source) {
        for (at, duty) in self.sheet.duties.iter().enumerate() {
            if duty.because.contains(&source) {
                self.memory.arose.insert(at, self.memory.step);
            }
        }
    }

    pub(super) fn duty(&mut self, line: &Line, done: &DutyDone) {
        let at = place(&self.sheet.duties, |duty| &duty.id, &done.duty);
        let listed = at.map_or(0.0, |at| self.sheet.duties[at].minutes);
        let wait = at.map_or(0.0, |at| self.sheet.duties[at].wait_min);
        let (minutes, timed) = self.spend_minutes(done.minutes, listed);
        self.facts.spent.waiting_minutes += wait;
        let entry = self.add_done(line, "duty", &done.duty);
        (entry.minutes, entry.timed) = (minutes, timed);
        match at {
            Some(at) => {
                self.memory.done.insert(at, self.memory.step);
            }
            None => self.unknown("duty", &done.duty),
        }
    }

    /// The duties that arose, in sheet order.
    pub(super) fn duties(&self) -> Vec<super::DutyState> {
        self.memory
            .arose
            .iter()
            .filter_map(|(at, arose)| {
                let duty = self.sheet.duties.get(*at)?;
                let done = self.memory.done.get(at).is_some_and(|done| done > arose);
                let (id, before) = (duty.id.clone(), duty.before.clone());
                Some(super::DutyState { duty: DutyIx::from(*at), id, before, done })
            })
            .collect()
    }
}
