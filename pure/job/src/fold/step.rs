//! Folding one event after another: who waits, what was noted, who said what.

use std::collections::BTreeMap;

use sheet::{Exposure, ExposureUnit, Recurrence, Sheet, WindowEnd};

use super::{
    Also, Blocks, Done, EndKind, EndState, Facts, Fate, Line, OrderedPart, Said, Waits,
    loose::{self, Cause, Decisions},
};
use crate::{
    body::{
        AlsoAnswer, AlsoAnswered, AlsoSeen, Before, BeforeNoted, Body, CodeErased,
        CodeRead, EndsWord, JobOpened, JobSet, Kind, PartCame, PartOrdered, Photo,
        SetsNoted, UnitWord, WaitFor,
    },
    fold::ledger,
};

/// What is remembered between events beyond the facts themselves.
#[derive(Debug, Clone, Default)]
pub(super) struct Memory {
    /// Steps taken.
    pub(super) step: usize,
    /// Decisions on loose ends.
    pub(super) decisions: Decisions,
    /// Loose ends that an event raised by itself.
    pub(super) raised: Vec<Cause>,
    /// By duty: the step at which it last arose, and was last done.
    pub(super) arose: BTreeMap<usize, usize>,
    /// See `arose`.
    pub(super) done: BTreeMap<usize, usize>,
    /// Fluids that are out: since which step, and the words.
    pub(super) fluids_out: BTreeMap<String, (usize, String)>,
    /// Distance since the hand-over that answers have told, km.
    pub(super) told_km: f64,
    /// Whether the fault showed after the hand-over.
    pub(super) came_back: bool,
    /// Step of the hand-over.
    pub(super) handed_over: usize,
}

/// The fold, one line at a time.
#[derive(Debug, Clone)]
pub struct Folding<'s> {
    pub(super) sheet: &'s Sheet,
    pub(super) facts: Facts,
    pub(super) memory: Memory,
}

impl<'s> Folding<'s> {
    /// Nothing has happened yet.
    #[must_use]
    pub fn new(sheet: &'s Sheet) -> Self {
        Self { sheet, facts: Facts::default(), memory: Memory::default() }
    }

    /// Adds a remark.
    pub fn remark(&mut self, remark: String) {
        self.facts.remarks.push(remark);
    }

    /// The next line.
    pub fn step(&mut self, line: Line) {
        self.memory.step += 1;
        if line.fate == Fate::NotRead {
            self.facts.read_only = true;
            if let Some(problem) = &line.problem {
                self.remark(format!(
                    "event {} is kept but not understood ({problem}): a newer program may \
                     have written it, so this job can be read here and not be written",
                    line.id
                ));
            }
        }
        if line.counts() {
            self.remember_undo(&line);
            if let Some(body) = line.body.clone() {
                self.count(&line, &body);
            }
        }
        self.facts.history.push(line);
    }

    /// The facts up to here.
    #[must_use]
    pub fn facts(&self) -> Facts {
        let mut facts = self.facts.clone();
        self.finish(&mut facts);
        facts
    }

    fn remember_undo(&mut self, line: &Line) {
        let machine = [
            Kind::JobOpened,
            Kind::WriterJoined,
            Kind::Advised,
            Kind::Quoted,
            Kind::Erased,
            Kind::Withdrawn,
        ];
        if !Kind::of_word(&line.kind).is_some_and(|kind| machine.contains(&kind)) {
            self.facts.undo = Some(line.id.clone());
        }
    }

    fn count(&mut self, line: &Line, body: &Body) {
        self.set_waiting(line, body);
        match body {
            Body::JobOpened(opened) => self.opened(line, opened),
            Body::JobSet(set) => self.set(set),
            Body::SheetChanged(changed) => self.facts.sheet = Some(changed.sheet.clone()),
            Body::CodeRead(read) => self.codes_read(line, read),
            Body::CodeErased(erased) => self.codes_erased(line, erased),
            Body::SetsNoted(sets) => self.sets(sets),
            Body::BeforeNoted(noted) => self.before(line, noted),
            Body::Reading(reading) => self.reading(line, reading),
            Body::RecordingAdded(added) => self.facts.recordings.push(said(line, added)),
            Body::Advised(advised) => self.facts.advised = Some(said(line, advised)),
            Body::Quoted(quoted) => self.facts.quoted.push(said(line, quoted)),
            Body::Authorised(yes) => self.facts.authorised = Some(said(line, yes)),
            Body::Declined(no) => {
                self.without(&no.what);
                self.facts.declined.push(said(line, no));
            }
            Body::Refused(refused) => self.without(&refused.action),
            Body::CheckDone(done) => self.check(line, done),
            Body::RepairDone(done) => self.repair(line, done),
            Body::ProofDone(done) => self.proof(line, done),
            Body::ItemOff(off) => self.item_off(line, off),
            Body::ItemOn(on) => self.item_on(line, on),
            Body::SnagMet(snag) => self.snag(snag),
            Body::FastenerNoted(noted) => self.fastener(line, noted),
            Body::SealNoted(noted) => self.seal(noted),
            Body::CapNoted(noted) => {
                let step = self.memory.step;
                self.tray(&noted.item).note_caps(noted, step);
            }
            Body::FluidOut(out) => self.fluid_out(out),
            Body::FluidIn(fluid) => self.fluid_in(fluid),
            Body::DutyDone(done) => self.duty(line, done),
            Body::Ticked(ticked) => self.facts.ticked.push(said(line, &ticked.what)),
            Body::AlsoSeen(seen) => self.also_seen(line, seen),
            Body::AlsoAnswered(answered) => self.also_answered(answered),
            Body::LooseEndRaised(raised) => self.raise(line, raised),
            Body::LooseEndSettled(end) => {
                let state =
                    EndState::Settled { at: line.at.clone(), how: end.how.clone() };
                self.decide(&end.of, state);
            }
            Body::LooseEndAccepted(end) => {
                let (at, by, blob) = (line.at.clone(), end.by.clone(), end.blob.clone());
                self.decide(&end.of, EndState::Accepted { at, by, blob });
            }
            Body::Photo(photo) => self.photo(line, photo),
            Body::Note(note) => self.facts.notes.push(said(line, note)),
            Body::PartOrdered(part) => self.part_ordered(line, part),
            Body::PartCame(came) => self.part_came(line, came),
            Body::HandedOver(over) => self.hand_over(line, over),
            Body::PassedOn(on) => {
                self.facts.passed_on = Some(said(line, on));
                self.facts.reopened = false;
            }
            Body::Asked(asked) => self.facts.asked.push(said(line, &asked.how)),
            Body::Answered(answered) => self.answered(line, answered),
            Body::Comeback(comeback) => self.comeback(line, comeback),
            Body::Erased(erased) => self.facts.erased.push(erased.blob.clone()),
            Body::Waiting(_)
            | Body::Withdrawn(_)
            | Body::Corrected(_)
            | Body::WriterJoined(_) => {}
        }
    }

    /// Said, else implied: work brings it back to me, an answer or a part likewise.
    fn set_waiting(&mut self, line: &Line, body: &Body) {
        let kind = body.kind();
        if matches!(kind, Kind::HandedOver | Kind::PassedOn) {
            self.facts.waits = None;
            return;
        }
        let reopens = matches!(body, Body::Comeback(back) if back.new_job.is_none());
        if self.facts.closed() && !reopens {
            return;
        }
        let now = self.facts.waits.as_ref().map(|waits| waits.wait_for);
        let answered = matches!(kind, Kind::Authorised | Kind::Declined)
            && now == Some(WaitFor::Owner);
        let came = kind == Kind::PartCame && now == Some(WaitFor::Part);
        let next = if let Body::Waiting(waiting) = body {
            waiting.wait_for
        } else if answered || came || reopens || WORK.contains(&kind) {
            WaitFor::Me
        } else {
            return;
        };
        if now != Some(next) {
            self.facts.waits = Some(Waits { wait_for: next, since: line.at.clone() });
        }
    }

    fn opened(&mut self, line: &Line, opened: &JobOpened) {
        if self.facts.opened.is_some() {
            self.remark(format!("event {} opens a job that is open already", line.id));
            return;
        }
        let facts = &mut self.facts;
        facts.sheet.clone_from(&opened.sheet);
        facts.owner.clone_from(&opened.owner);
        facts.vehicle.clone_from(&opened.vehicle);
        facts.family.clone_from(&opened.family);
        facts.odometer_km = opened.odometer_km;
        facts.opened = Some(said(line, opened));
        for code in &opened.codes {
            self.code(code);
        }
    }

    fn set(&mut self, set: &JobSet) {
        let facts = &mut self.facts;
        if let Some(patch) = &set.economy {
            facts.economy = std::mem::take(&mut facts.economy).then(patch);
        }
        facts.has = set.has.clone().or(facts.has.take());
        facts.snags =
            set.snags.clone().unwrap_or_else(|| std::mem::take(&mut facts.snags));
        facts.family = set.family.clone().or(facts.family.take());
        facts.owner = set.owner.clone().or(facts.owner.take());
        facts.vehicle = set.vehicle.clone().or(facts.vehicle.take());
    }

    fn code(&mut self, code: &str) {
        if !self.facts.codes.iter().any(|known| known == code) {
            self.facts.codes.push(code.to_owned());
        }
    }

    fn codes_read(&mut self, line: &Line, read: &CodeRead) {
        for code in &read.codes {
            self.code(&code.code);
        }
        self.facts.frame_noted |= read.codes.iter().any(|code| code.frame.is_some());
        self.facts.codes_read.push(said(line, &read.codes));
    }

    fn codes_erased(&mut self, line: &Line, erased: &CodeErased) {
        self.facts.codes_erased.push(said(line, erased));
        if !erased.frame_noted && !self.facts.frame_noted {
            self.remark(
                "codes were erased before the freeze frame was noted: what it said is gone"
                    .to_owned(),
            );
        }
    }

    fn sets(&mut self, sets: &SetsNoted) {
        if sets.seen == 0 || !sets.over.is_finite() || sets.over <= 0.0 {
            self.remark(format!(
                "a count of {} sets over {} says nothing: it needs at least one set and a \
                 window above 0",
                sets.seen, sets.over
            ));
            return;
        }
        let unit = match sets.unit {
            UnitWord::Km => ExposureUnit::Km,
            UnitWord::Min => ExposureUnit::Minutes,
            UnitWord::Starts => ExposureUnit::Starts,
        };
        let ends = match sets.ends {
            EndsWord::Set => WindowEnd::Set,
            EndsWord::Now => WindowEnd::Now,
        };
        let over = Exposure { amount: sets.over, unit };
        self.facts.recurrence = Some(Recurrence { seen: sets.seen, over, ends });
    }

    fn before(&mut self, line: &Line, noted: &BeforeNoted) {
        if noted.what == Before::Odometer {
            self.facts.odometer_km = noted.value.or(self.facts.odometer_km);
        }
        self.facts.frame_noted |= noted.what == Before::FreezeFrame;
        self.facts.before.push(said(line, noted));
    }

    fn photo(&mut self, line: &Line, photo: &Photo) {
        let said = said(line, photo);
        let same = |known: &&mut Said<Photo>| known.what.blob == photo.blob;
        match self.facts.photos.iter_mut().find(same) {
            Some(known) => *known = said,
            None => self.facts.photos.push(said),
        }
    }

    fn without(&mut self, action: &str) {
        if !self.facts.without.iter().any(|known| known == action) {
            self.facts.without.push(action.to_owned());
        }
    }

    fn also_seen(&mut self, line: &Line, seen: &AlsoSeen) {
        self.facts.also.push(Also {
            id: line.id.clone(),
            at: line.at.clone(),
            seen: seen.clone(),
            answer: None,
            signed: None,
        });
    }

    fn also_answered(&mut self, answered: &AlsoAnswered) {
        let Some(also) = self.facts.also.iter_mut().find(|also| also.id == answered.of)
        else {
            self.remark(format!("an answer names `{}`, which was not seen", answered.of));
            return;
        };
        let first_done =
            answered.answer == AlsoAnswer::Done && also.answer != Some(AlsoAnswer::Done);
        also.answer = Some(answered.answer);
        also.signed = answered.signed.clone().or(also.signed.take());
        let price = answered.price.or(also.seen.price_now).unwrap_or(0.0);
        if first_done && ledger::believable_amount(price) {
            self.facts.spent.extras += price;
        }
    }

    fn raise(&mut self, line: &Line, raised: &crate::body::LooseEndRaised) {
        let blocks = match &raised.blocks_refit {
            Some(item) => Blocks::Refit(item.clone()),
            None if raised.blocks_hand_over => Blocks::HandOver,
            None => Blocks::Nothing,
        };
        let what = raised.of.as_ref().map_or_else(
            || "raised by hand".to_owned(),
            |of| format!("raised by hand about {of}"),
        );
        let mut cause =
            Cause::new(EndKind::Raised, line.id.clone(), what, self.memory.step);
        cause.end.text.clone_from(&raised.text);
        cause.end.of = raised.of.clone().unwrap_or_else(|| line.id.clone());
        self.memory.raised.push(cause.blocks(blocks));
    }

    fn decide(&mut self, end: &str, state: EndState) {
        self.memory.decisions.insert(end.to_owned(), (self.memory.step, state));
    }

    fn part_ordered(&mut self, line: &Line, part: &PartOrdered) {
        self.facts.parts.push(OrderedPart {
            id: line.id.clone(),
            at: line.at.clone(),
            part: part.clone(),
            came: None,
            wrong: false,
        });
    }

    fn part_came(&mut self, line: &Line, came: &PartCame) {
        match self.facts.parts.iter_mut().find(|part| part.id == came.of) {
            Some(part) => {
                part.came = Some(line.at.clone());
                part.wrong = came.wrong;
            }
            None => {
                self.remark(format!("a part came that was not ordered: `{}`", came.of));
            }
        }
    }

    /// Loose ends, duties and what forbids a start, from how things stand.
    fn finish(&self, facts: &mut Facts) {
        facts.duties = self.duties();
        facts.do_not_start = self.do_not_start();
        let causes = loose::of_tray(facts)
            .into_iter()
            .chain(self.open_fluids())
            .chain(self.open_duties(&facts.duties))
            .chain(self.open_dangers())
            .chain(self.left_off())
            .chain(self.memory.raised.iter().cloned());
        facts.loose_ends =
            causes.map(|cause| loose::decided(cause, &self.memory.decisions)).collect();
    }

    pub(super) fn add_done(&mut self, line: &Line, kind: &str, id: &str) -> &mut Done {
        self.facts.done.push(Done {
            event: line.id.clone(),
            at: line.at.clone(),
            who: line.who.clone(),
            kind: kind.to_owned(),
            id: id.to_owned(),
            outcome: None,
            minutes: 0.0,
            timed: false,
        });
        let last = self.facts.done.len() - 1;
        &mut self.facts.done[last]
    }
}

/// Work at the vehicle: whoever does it waits for nobody.
const WORK: [Kind; 10] = [
    Kind::JobOpened,
    Kind::CheckDone,
    Kind::Reading,
    Kind::RepairDone,
    Kind::ProofDone,
    Kind::ItemOff,
    Kind::ItemOn,
    Kind::DutyDone,
    Kind::FluidIn,
    Kind::FluidOut,
];

/// Something said in a line.
pub(super) fn said<T: Clone>(line: &Line, what: &T) -> Said<T> {
    Said {
        id: line.id.clone(),
        at: line.at.clone(),
        who: line.who.clone(),
        what: what.clone(),
    }
}
