//! What speaks against a move: refit, first start, drive, hand-over.
//!
//! Reasons, not locks: the repairer decides, and what was done is taken as it is.

use sheet::{Sheet, Source};

use super::{
    Blocks, DutyState, EndKind, Facts, Folding,
    loose::{Cause, LooseEnd},
};

impl Facts {
    /// What speaks against refitting that item now, in words; empty: nothing.
    #[must_use]
    pub fn can_refit(&self, sheet: &Sheet, item: &str) -> Vec<String> {
        let mut reasons: Vec<String> = self
            .open_ends()
            .filter(|end| matches!(&end.blocks, Blocks::Refit(of) if of == item))
            .map(|end| end.what.clone())
            .collect();
        let Some(at) = sheet.items.iter().position(|entry| entry.id == item) else {
            return reasons;
        };
        let listed = &sheet.items[at];
        let title = |place: usize| sheet.items[place].title.in_language("en");
        for other in self.off.iter().map(sheet::ItemIx::at) {
            let Some(behind) = sheet.items.get(other) else { continue };
            if other != at && behind.closure.has(at.into()) {
                reasons.push(format!("{} lies behind it and is still off", title(other)));
            } else if listed.refit_after.iter().any(|before| before.at() == other) {
                reasons.push(format!(
                    "{} goes back before it and is still off",
                    title(other)
                ));
            }
        }
        if listed.cover {
            reasons.extend(self.duties_before(sheet, &["first-start", "covers"]));
        }
        reasons
    }

    /// What speaks against starting the engine now, in words; empty: nothing.
    #[must_use]
    pub fn can_start(&self, sheet: &Sheet) -> Vec<String> {
        let mut reasons = self.do_not_start.clone();
        reasons.extend(self.duties_before(sheet, &["first-start"]));
        reasons
    }

    /// What speaks against driving now, in words; empty: nothing.
    #[must_use]
    pub fn can_drive(&self, sheet: &Sheet) -> Vec<String> {
        let mut reasons = self.can_start(sheet);
        for item in self.off.iter().filter_map(|at| sheet.items.get(at.at())) {
            if !item.cover {
                reasons.push(format!("{} is off", item.title.in_language("en")));
            }
        }
        reasons.extend(self.duties_before(sheet, &["covers", "drive"]));
        reasons
    }

    /// What speaks against handing over now, in words; empty: nothing.
    #[must_use]
    pub fn can_hand_over(&self, sheet: &Sheet) -> Vec<String> {
        let off = self
            .off
            .iter()
            .filter_map(|at| sheet.items.get(at.at()))
            .map(|item| item.title.in_language("en").to_owned());
        let unlisted = self
            .tray
            .iter()
            .filter(|entry| entry.off && sheet.items.iter().all(|i| i.id != entry.item))
            .map(|entry| entry.title.clone());
        let mut reasons: Vec<String> =
            off.chain(unlisted).map(|title| format!("{title} is off")).collect();
        let blocking = |end: &&LooseEnd| {
            end.blocks != Blocks::Nothing && end.kind != EndKind::ItemOff
        };
        reasons.extend(self.open_ends().filter(blocking).map(|end| end.what.clone()));
        reasons
    }

    fn duties_before(&self, sheet: &Sheet, when: &[&str]) -> Vec<String> {
        let accepted = |duty: &DutyState| {
            let id = duty_end(&duty.id);
            !self.open_ends().any(|end| end.id == id)
        };
        self.duties
            .iter()
            .filter(|duty| !duty.done && when.contains(&duty.before.as_str()))
            .filter(|duty| !accepted(duty))
            .filter_map(|duty| sheet.duties.get(duty.duty.at()))
            .map(|duty| format!("{} is still to be done", duty.title.in_language("en")))
            .collect()
    }
}

fn duty_end(duty: &str) -> String {
    format!("duty:{duty}")
}

impl Folding<'_> {
    pub(super) fn contradiction(&mut self, line: &super::Line, item: &str, what: String) {
        let id = format!("contradiction:{}", line.id);
        let cause = Cause::new(EndKind::Contradiction, id, what, self.memory.step)
            .of(&format!("item:{item}"));
        self.memory.raised.push(cause);
    }

    pub(super) fn open_fluids(&self) -> Vec<Cause> {
        let one = |(fluid, (step, words)): (&String, &(usize, String))| {
            Cause::new(EndKind::Fluid, format!("fluid:{fluid}"), words.clone(), *step)
                .blocks(Blocks::HandOver)
        };
        self.memory.fluids_out.iter().map(one).collect()
    }

    pub(super) fn open_duties(&self, duties: &[DutyState]) -> Vec<Cause> {
        let one = |state: &DutyState| {
            let duty = self.sheet.duties.get(state.duty.at())?;
            let title = duty.title.in_language("en");
            let when = match state.before.as_str() {
                "first-start" => "before the first start",
                "covers" => "before the covers go on",
                "drive" => "before the drive",
                _ => "before the hand-over",
            };
            let because = duty.because.iter().find_map(|source| self.because(*source));
            let because = because.map_or_else(String::new, |why| format!(", as {why}"));
            let what = format!("{title}: to be done {when}{because}");
            let raised = self.memory.arose.get(&state.duty.at()).copied().unwrap_or(0);
            let cause = Cause::new(EndKind::Duty, duty_end(&state.id), what, raised);
            Some(cause.blocks(Blocks::HandOver))
        };
        duties.iter().filter(|state| !state.done).filter_map(one).collect()
    }

    fn because(&self, source: Source) -> Option<String> {
        match source {
            Source::Item(item) => {
                let was_off = self.facts.ever_off.has(item);
                let title = self.sheet.items.get(item.at())?.title.in_language("en");
                was_off.then(|| format!("{title} was off"))
            }
            Source::Repair(repair) => {
                let listed = self.sheet.repairs.get(repair.at())?;
                let mut done = self.facts.done.iter();
                let was_done =
                    done.any(|entry| entry.kind == "repair" && entry.id == listed.id);
                was_done.then(|| {
                    format!("\u{201c}{}\u{201d} was done", listed.title.in_language("en"))
                })
            }
        }
    }

    pub(super) fn open_dangers(&self) -> Vec<Cause> {
        let one = |also: &super::Also| {
            let id = format!("also:{}", also.id);
            let what = match also.answer {
                None => "something unsafe was seen: the owner has not answered",
                Some(crate::body::AlsoAnswer::DoNow) => {
                    "something unsafe was seen and is to be done now"
                }
                Some(_) => "something unsafe stays as it is: that needs a signature",
            };
            Cause::new(EndKind::Unsafe, id, what.to_owned(), 0)
                .of(&also.id)
                .blocks(Blocks::HandOver)
        };
        self.facts.also.iter().filter(|also| also.open_danger()).map(one).collect()
    }

    /// Items that were off when the vehicle was handed over and still are.
    pub(super) fn left_off(&self) -> Vec<Cause> {
        if self.facts.handed_over.is_none() {
            return Vec::new();
        }
        let one = |entry: &super::TrayItem| {
            let what = format!("{} was off at the hand-over", entry.title);
            Cause::new(
                EndKind::ItemOff,
                format!("off:{}", entry.item),
                what,
                self.memory.handed_over,
            )
            .of(&format!("item:{}", entry.item))
            .blocks(Blocks::HandOver)
        };
        self.facts.tray.iter().filter(|entry| entry.off).map(one).collect()
    }

    /// Why the engine must not be started.
    pub(super) fn do_not_start(&self) -> Vec<String> {
        let mut reasons: Vec<String> = Vec::new();
        for item in self.facts.off.iter().filter_map(|at| self.sheet.items.get(at.at())) {
            let title = item.title.in_language("en");
            for fluid in &item.fluids {
                reasons.push(format!("{title} is off: `{}` is open", fluid.id));
            }
            if item.rotating {
                reasons.push(format!("{title} is off: it turns when the engine turns"));
            }
        }
        reasons.extend(self.memory.fluids_out.values().map(|(_, words)| words.clone()));
        reasons
    }
}
