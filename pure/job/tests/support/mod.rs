//! An invented sheet, a pen that writes chains, and a pool of things that can happen.
#![cfg(test)]
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::collections::BTreeMap;

use job::{
    Body, Draft, Facts, Head, Heads, Stored,
    body::{
        AlsoAnswer, AlsoAnswered, AlsoSeen, Authorised, CapMove, CapNoted, CheckDone,
        CheckResult, CodeErased, DutyDone, FastenerNoted, FastenerState, FluidIn,
        FluidOut, ItemOff, ItemOn, JobOpened, LooseEndAccepted, Measured, ProofDone,
        Reading, RepairDone, SealNoted, SealState, SnagMet, Taken, Tightened, Urgency,
        Verdict, WaitFor, Waiting,
    },
    fold, next_event,
};
use sheet::Sheet;

const SHEET: &str = r#"
[sheet]
format = 1
id = "flap"
title = "Flap that does not follow"
version = 1
codes = ["P0299"]
[economy]
currency = "EUR"
labour_per_hour = 60.0
bay_per_hour = 12.0
comeback = 300.0
pass_on = 150.0
[recurrence]
seen = 2
over_km = 400.0
[unlisted]
weight = 0.5
[[suspect]]
id = "stuck"
title = "Flap sticks"
weight = 2.0
[[suspect]]
id = "loom"
title = "Loom worn through"
weight = 1.0
[[item]]
id = "cover"
title = "Engine cover"
strip_min = 1.0
refit_min = 1.0
cover = true
[[item]]
id = "shield"
title = "Heat shield"
strip_min = 6.0
refit_min = 8.0
wait_min = 10.0
refit_parts = 3.5
behind = ["cover"]
  [[item.snag]]
  title = "Bolt seized"
  p = 0.25
  minutes = 12.0
  parts = 3.0
  [[item.fastener]]
  id = "shield-bolt"
  count = 3
  kind = "bolt"
  thread = "M8x1.25"
  torque_nm = 20.0
[[item]]
id = "pipe"
title = "Oil feed pipe"
strip_min = 5.0
refit_min = 6.0
behind = ["shield"]
  [[item.seal]]
  id = "washer"
  count = 2
  reuse = "never"
  [[item.fluid]]
  id = "oil"
  litres = 0.2
[[item]]
id = "bracket"
title = "Bracket"
strip_min = 2.0
refit_min = 2.0
refit_after = ["shield"]
[[check]]
id = "look"
title = "Look at the flap"
minutes = 4.0
wait_min = 5.0
cost = 2.0
off = ["shield"]
outcomes = ["free", "stuck"]
  [check.outcome]
  free = "Moves"
  stuck = "Sticks"
  [check.given]
  fine = { free = 0.97, stuck = 0.03 }
  stuck = { free = 0.1, stuck = 0.9 }
[[repair]]
id = "clean"
title = "Clean the flap"
minutes = 30.0
parts = 22.0
off = ["shield"]
fixes = { stuck = 0.7 }
[[proof]]
id = "drive"
title = "Drive"
minutes = 20.0
cost = 6.0
km = 30.0
[[duty]]
id = "leaks"
title = "Look for leaks"
minutes = 4.0
wait_min = 12.0
because = ["item:pipe"]
before = "covers"
[[duty]]
id = "learn"
title = "Teach the stops"
minutes = 3.0
because = ["repair:clean"]
before = "hand-over"
"#;

/// The invented sheet.
pub(crate) fn flap() -> Sheet {
    let read = sheet::read(SHEET);
    read.sheet.unwrap_or_else(|| panic!("{:?}", read.remarks))
}

/// Writes the chain of one writer.
pub(crate) struct Pen {
    pub(crate) writer: String,
    pub(crate) heads: Heads,
    pub(crate) minute: u32,
    pub(crate) events: Vec<Stored>,
}

impl Pen {
    pub(crate) fn new(writer: &str) -> Self {
        Self {
            writer: writer.to_owned(),
            heads: Heads::new(),
            minute: 0,
            events: Vec::new(),
        }
    }

    /// Writes one minute after the event before; the answer is the event's id.
    pub(crate) fn write(&mut self, body: impl Into<Body>) -> String {
        self.minute += 1;
        let reference = format!(
            "{:0>16.16}{:016x}",
            job::hash_hex(self.writer.as_bytes()),
            self.events.len()
        );
        self.write_as(body.into(), &reference)
    }

    pub(crate) fn write_as(&mut self, body: Body, reference: &str) -> String {
        let draft = Draft {
            job: "job-1".to_owned(),
            body,
            reference: reference.to_owned(),
            at: format!(
                "2026-11-25T{:02}:{:02}:00Z",
                6 + self.minute.div_euclid(60),
                self.minute % 60
            ),
            zone: "Europe/Berlin".to_owned(),
            who: "jo".to_owned(),
        };
        let last = self.heads.get(&self.writer).cloned();
        let stored =
            next_event(&draft, &self.writer, last.as_ref(), &self.heads).unwrap();
        let seq = last.map_or(1, |head| head.seq + 1);
        self.heads.insert(self.writer.clone(), Head { seq, id: stored.id.clone() });
        self.events.push(stored.clone());
        stored.id
    }

    /// Learns the head of another writer.
    pub(crate) fn sees(&mut self, other: &Pen) {
        for (writer, head) in &other.heads {
            let known = self.heads.entry(writer.clone()).or_insert_with(|| head.clone());
            if *known < *head {
                *known = head.clone();
            }
        }
        self.minute = self.minute.max(other.minute);
    }

    pub(crate) fn fold(&self) -> Facts {
        fold(&flap(), &self.events)
    }
}

pub(crate) fn off(item: &str) -> ItemOff {
    ItemOff { item: item.to_owned(), ..ItemOff::default() }
}

pub(crate) fn on(item: &str) -> ItemOn {
    ItemOn { item: item.to_owned(), how: Tightened::Torque, ..ItemOn::default() }
}

pub(crate) fn looked(outcome: &str) -> CheckDone {
    let result = CheckResult::Outcome { outcome: outcome.to_owned() };
    CheckDone { check: "look".to_owned(), result, minutes: None, note: None }
}

pub(crate) fn cleaned() -> RepairDone {
    RepairDone { repair: "clean".to_owned(), ..RepairDone::default() }
}

pub(crate) fn drove(shown: bool) -> ProofDone {
    ProofDone { proof: "drive".to_owned(), shown, ..ProofDone::default() }
}

pub(crate) fn did(duty: &str) -> DutyDone {
    DutyDone { duty: duty.to_owned(), ..DutyDone::default() }
}

pub(crate) fn seal(state: SealState, count: u32) -> SealNoted {
    SealNoted {
        item: "pipe".to_owned(),
        seal: "washer".to_owned(),
        state,
        count,
        note: None,
    }
}

pub(crate) fn bolt(state: FastenerState, count: u32) -> FastenerNoted {
    FastenerNoted {
        item: "shield".to_owned(),
        fastener: "shield-bolt".to_owned(),
        state,
        count,
        holes: Vec::new(),
        torque_nm: None,
        angle_deg: None,
        wrench: None,
        note: None,
    }
}

pub(crate) fn also(urgency: Urgency) -> AlsoSeen {
    AlsoSeen {
        urgency,
        price_now: Some(27.3),
        price_later: Some(49.3),
        item: None,
        text: None,
        photo: None,
    }
}

pub(crate) fn reading(value: f64) -> CheckDone {
    let measured = Measured {
        value,
        below: None,
        unit: "ohm".to_owned(),
        accuracy: Some("0.8%+2d".to_owned()),
        digit: Some(0.1),
        leads: None,
        repeats: Vec::new(),
        part_c: Some(60.0),
        meter: None,
        range: None,
    };
    let weights = BTreeMap::from([("free".to_owned(), 0.25), ("stuck".to_owned(), 0.75)]);
    let result = CheckResult::Reading { measured, weights };
    CheckDone { check: "look".to_owned(), result, minutes: None, note: None }
}

/// The play of the shield, measured on the way; it answers the check where `check` says so.
pub(crate) fn play(value: f64, verdict: Verdict, check: bool) -> Reading {
    let CheckResult::Reading { measured, weights } = reading(value).result else {
        unreachable!("`reading` is one")
    };
    Reading {
        quantity: "resistance".to_owned(),
        measured,
        taken: Some(Taken {
            item: "shield".to_owned(),
            measure: "play".to_owned(),
            verdict,
            p_within: 0.5,
            urgency: Some(Urgency::Unsafe),
            check: check.then(|| "look".to_owned()),
            weights: if check { weights } else { BTreeMap::new() },
        }),
        blob: None,
    }
}

/// Everything that a slip of the finger or a long day can bring, by number.
pub(crate) fn pool() -> Vec<Body> {
    let cap = |moved| CapNoted { item: "pipe".to_owned(), moved, count: 1 };
    let end = |of: &str| LooseEndAccepted {
        of: of.to_owned(),
        by: "owner".to_owned(),
        blob: None,
    };
    vec![
        JobOpened { codes: vec!["P0299".to_owned()], ..JobOpened::default() }.into(),
        off("cover").into(),
        off("shield").into(),
        off("pipe").into(),
        off("bracket").into(),
        off("not-on-the-sheet").into(),
        on("cover").into(),
        on("shield").into(),
        on("pipe").into(),
        on("bracket").into(),
        play(7.9, Verdict::Out, true).into(),
        play(7.1, Verdict::In, false).into(),
        looked("free").into(),
        looked("stuck").into(),
        looked("no-such-outcome").into(),
        reading(7.9).into(),
        cleaned().into(),
        drove(false).into(),
        drove(true).into(),
        did("leaks").into(),
        did("learn").into(),
        seal(SealState::NotFound, 1).into(),
        seal(SealState::Found, 2).into(),
        seal(SealState::Renewed, 2).into(),
        bolt(FastenerState::Missing, 1).into(),
        bolt(FastenerState::Broken, 2).into(),
        bolt(FastenerState::Replaced, 1).into(),
        bolt(FastenerState::FoundElsewhere, 1).into(),
        bolt(FastenerState::LeftOver, 1).into(),
        bolt(FastenerState::Back, 9).into(),
        cap(CapMove::Fitted).into(),
        cap(CapMove::Removed).into(),
        FluidOut { fluid: "oil".to_owned(), litres: Some(0.3), item: None }.into(),
        FluidIn { fluid: "oil".to_owned(), price: Some(8.0), litres: None }.into(),
        SnagMet { item: "shield".to_owned(), snag: Some(0), ..SnagMet::default() }.into(),
        Waiting { wait_for: WaitFor::Owner }.into(),
        Authorised { sum: 250.0, currency: "EUR".to_owned(), ..Authorised::default() }
            .into(),
        also(Urgency::Unsafe).into(),
        end("seal:pipe/washer:not-found").into(),
        end("fastener:shield/shield-bolt:missing").into(),
        CodeErased::default().into(),
        AlsoAnswered {
            of: "nothing".to_owned(),
            answer: AlsoAnswer::No,
            by: "owner".to_owned(),
            signed: None,
            price: None,
        }
        .into(),
    ]
}
