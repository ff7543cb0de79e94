//! A checked sheet: what is known of one function in one family of vehicles.

use crate::{
    CheckIx, Economy, Exposure, ItemIx, ItemSet, Measure, Moving, OutcomeIx, Recurrence,
    RepairIx, SuspectIx,
};

/// A text in one or several languages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text {
    /// `(language, text)` in file order; a plain string has the language `""`.
    pub by_language: Vec<(String, String)>,
}

impl Text {
    /// A text without a language.
    #[must_use]
    pub fn plain(text: &str) -> Self {
        Self { by_language: vec![(String::new(), text.to_owned())] }
    }

    /// The text in `language`, else the plain one, else English, else the first, else "".
    #[must_use]
    pub fn in_language(&self, language: &str) -> &str {
        [language, "", "en"]
            .iter()
            .find_map(|wanted| self.by_language.iter().find(|(have, _)| have == wanted))
            .or_else(|| self.by_language.first())
            .map_or("", |(_, text)| text)
    }
}

/// A sheet whose references are resolved and whose numbers are in range.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// `[sheet] id`.
    pub id: String,
    /// `[sheet] title`.
    pub title: Text,
    /// Version of its knowledge.
    pub version: u32,
    /// Fault codes, SAE J2012 form.
    pub codes: Vec<String>,
    /// What it applies to.
    pub applies: Text,
    /// Where its values come from, shown to the user.
    pub sources: Vec<Text>,
    /// Money rules as the sheet gives them.
    pub economy: Economy,
    /// How often the fault has set, where the sheet says so.
    pub recurrence: Option<Recurrence>,
    /// Minutes for moving about.
    pub moving: Moving,
    /// Weight of `unlisted`; 0: no cause outside the sheet.
    pub unlisted_weight: f64,
    /// Named suspects.
    pub suspects: Vec<Suspect>,
    /// Items in sheet order.
    pub items: Vec<Item>,
    /// Checks in sheet order.
    pub checks: Vec<Check>,
    /// Repairs in sheet order.
    pub repairs: Vec<Repair>,
    /// Proofs in sheet order.
    pub proofs: Vec<Proof>,
    /// Duties in sheet order.
    pub duties: Vec<Duty>,
    /// BLAKE3 of the sheet's bytes.
    pub hash: [u8; 32],
}

impl Sheet {
    /// Suspects with `unlisted` as the last one (present even where its weight is 0).
    #[must_use]
    pub fn causes(&self) -> usize {
        self.suspects.len() + 1
    }

    /// The suspect that stands for any cause the sheet does not name.
    #[must_use]
    pub fn unlisted(&self) -> SuspectIx {
        SuspectIx::from(self.suspects.len())
    }

    /// Weight of every cause, `unlisted` last.
    #[must_use]
    pub fn weights(&self) -> Vec<f64> {
        self.suspects
            .iter()
            .map(|suspect| suspect.weight)
            .chain([self.unlisted_weight])
            .collect()
    }

    /// Id of a cause: a suspect's, or `unlisted`.
    #[must_use]
    pub fn cause_id(&self, cause: SuspectIx) -> &str {
        self.suspects.get(cause.at()).map_or("unlisted", |suspect| suspect.id.as_str())
    }
}

/// A possible cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Relative weight before any check.
    pub weight: f64,
    /// Checks to answer before the part is renewed.
    pub root: Vec<CheckIx>,
}

/// How an item gets out of the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Goes {
    /// Comes off.
    #[default]
    Off,
    /// Is tied aside.
    Aside,
    /// Is slackened.
    Slack,
    /// Is drained.
    Drained,
    /// Is unplugged.
    Unplugged,
    /// Is raised.
    Raised,
}

/// What comes off, aside, is drained, raised or unplugged.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// What must be off before this can come off, as named.
    pub behind: Vec<ItemIx>,
    /// This item and all it lies behind, all the way (`cl(i)`).
    pub closure: ItemSet,
    /// Minutes to strip.
    pub strip_min: f64,
    /// Minutes to refit.
    pub refit_min: f64,
    /// Minutes of waiting while stripping.
    pub wait_min: f64,
    /// Money for single-use parts at every refit.
    pub refit_parts: f64,
    /// How it gets out of the way.
    pub goes: Goes,
    /// May stay off while the engine runs, as all of its closure are covers.
    pub cover: bool,
    /// Marked rotating: do not start while it is off.
    pub rotating: bool,
    /// Working position.
    pub position: Option<String>,
    /// Items to be back before this one, beyond the mirror order.
    pub refit_after: Vec<ItemIx>,
    /// Items that need not be off, each with the minutes that stripping takes more while it is
    /// on. The planner's costs leave them out.
    pub eased_by: Vec<(ItemIx, f64)>,
    /// Caution words (design section 15).
    pub caution: Vec<String>,
    /// What may go wrong while stripping.
    pub snags: Vec<Snag>,
    /// What holds it.
    pub fasteners: Vec<Fastener>,
    /// Its seals.
    pub seals: Vec<Seal>,
    /// Its fluids.
    pub fluids: Vec<Fluid>,
    /// What is measured at it, on the way.
    pub measures: Vec<Measure>,
}

/// Something that may go wrong while stripping an item.
#[derive(Debug, Clone, PartialEq)]
pub struct Snag {
    /// What happens.
    pub title: Text,
    /// Probability before rust is counted in.
    pub p: f64,
    /// Minutes that it costs.
    pub minutes: f64,
    /// Money for parts that it costs.
    pub parts: f64,
}

/// What a joint is, as far as a torque may be computed for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Joint {
    /// Metal on metal.
    #[default]
    Hard,
    /// With a gasket or soft part between.
    Soft,
}

/// A bolt, nut, screw, stud, clip, clamp, plug or connector of an item.
#[derive(Debug, Clone, PartialEq)]
pub struct Fastener {
    /// Its id, unique within its item.
    pub id: String,
    /// How many.
    pub count: u32,
    /// bolt | nut | screw | stud | clip | clamp | plug | connector.
    pub kind: String,
    /// Thread as written, `None`: not known.
    pub thread: Option<String>,
    /// Strength class as written.
    pub class: Option<String>,
    /// Length, mm.
    pub length_mm: Option<f64>,
    /// Across flats, mm: the tool.
    pub head_mm: Option<f64>,
    /// The maker's torque, N·m.
    pub torque_nm: Option<f64>,
    /// Angle after the torque, degrees; 0: none.
    pub angle_deg: f64,
    /// What is clamped, mm.
    pub stack_mm: Option<f64>,
    /// Depth of the hole, mm; 0: through.
    pub hole_mm: Option<f64>,
    /// steel | cast-iron | aluminium | magnesium | plastic.
    pub into: Option<String>,
    /// Never used twice.
    pub single_use: bool,
    /// Falls free once its bolt is out.
    pub loose: bool,
    /// Hard or soft joint; soft where the item has a seal that is not a plain ring.
    pub joint: Joint,
}

/// Whether a seal may be used again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reuse {
    /// Renew always.
    Never,
    /// Look, then decide.
    IfUndamaged,
    /// Use again.
    Yes,
}

/// A gasket, ring or washer that seals.
#[derive(Debug, Clone, PartialEq)]
pub struct Seal {
    /// Its id, unique within its item.
    pub id: String,
    /// How many.
    pub count: u32,
    /// Whether it may be used again.
    pub reuse: Reuse,
}

/// A fluid that runs out when the item comes off.
#[derive(Debug, Clone, PartialEq)]
pub struct Fluid {
    /// Its id.
    pub id: String,
    /// Litres.
    pub litres: f64,
}

/// One way in: the items that must be off, as named and closed under `behind`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// As named.
    pub named: Vec<ItemIx>,
    /// With all that lies in front of them.
    pub closed: ItemSet,
}

/// Something looked at, measured, recorded or asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Instructions.
    pub how: Text,
    /// Minutes of work.
    pub minutes: f64,
    /// Minutes of waiting.
    pub wait_min: f64,
    /// Consumables, money.
    pub cost: f64,
    /// Ways in, at least one (possibly with nothing off).
    pub ways: Vec<Way>,
    /// Items that must be on meanwhile.
    pub on: ItemSet,
    /// Nothing but covers may be off.
    pub assembled: bool,
    /// Equipment.
    pub needs: Vec<String>,
    /// Tells something only while the fault is present.
    pub needs_fault: bool,
    /// Checks that can't be done any more once this is done.
    pub spoils: Vec<CheckIx>,
    /// The rest of its family, in sheet order: they see the same by the same method.
    pub alike: Vec<CheckIx>,
    /// Probability that it puts right, by cause (`unlisted` last).
    pub fixes: Vec<f64>,
    /// Caution words.
    pub caution: Vec<String>,
    /// Outcomes: id and what the repairer taps.
    pub outcomes: Vec<(String, Text)>,
    /// `given[cause][outcome]`, rows sum to 1, `unlisted` last; without `active`.
    pub given: Vec<Vec<f64>>,
    /// The row of a fixed vehicle.
    pub fine: Vec<f64>,
    /// A measured check.
    pub reading: Option<ReadingBands>,
    /// A check judged from a recording.
    pub recording: Option<RecordingBands>,
}

impl Check {
    /// P(outcome | cause) while the fault is present a share `active` of the time:
    /// with `needs_fault`, active·P(o|s) + (1−active)·P(o|fine).
    #[must_use]
    pub fn chance(&self, cause: usize, outcome: usize, active: f64) -> f64 {
        let plain = self.given[cause][outcome];
        if self.needs_fault {
            active * plain + (1.0 - active) * self.fine[outcome]
        } else {
            plain
        }
    }
}

/// A band of values that names an outcome: from ≤ value < below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The outcome.
    pub outcome: OutcomeIx,
    /// Lower edge, in.
    pub from: Option<f64>,
    /// Upper edge, out.
    pub below: Option<f64>,
}

/// How a reading names an outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingBands {
    /// Quantity, as in `units`.
    pub quantity: String,
    /// Unit of the bands.
    pub unit: String,
    /// Bands in rising order, without gaps or overlap.
    pub bands: Vec<Band>,
    /// Material for temperature normalisation.
    pub material: Option<String>,
    /// Reference temperature, °C.
    pub reference_c: Option<f64>,
}

/// How a recording's metric names an outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordingBands {
    /// A metric of `recording/1`.
    pub metric: String,
    /// Bands in rising order, without gaps or overlap.
    pub bands: Vec<Band>,
}

/// A part of a repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is.
    pub title: Text,
    /// Part number.
    pub number: Option<String>,
    /// How many.
    pub count: f64,
    /// Price of one.
    pub price: f64,
    /// Hours until it comes.
    pub lead_h: Option<f64>,
    /// Whether the supplier takes it back.
    pub returnable: Option<bool>,
    /// Restocking charge, per cent.
    pub restock_percent: Option<f64>,
    /// Deposit owed back.
    pub deposit: Option<f64>,
}

/// Clean, replace, adjust, top up.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Instructions.
    pub how: Text,
    /// Minutes of work.
    pub minutes: f64,
    /// Minutes of waiting.
    pub wait_min: f64,
    /// Price of all its parts, deposits apart.
    pub parts_price: f64,
    /// The parts where the sheet lists them.
    pub parts: Vec<Part>,
    /// Ways in, at least one.
    pub ways: Vec<Way>,
    /// Items that must be on meanwhile.
    pub on: ItemSet,
    /// Nothing but covers may be off.
    pub assembled: bool,
    /// Probability that it puts right, by cause (`unlisted` last).
    pub fixes: Vec<f64>,
    /// Of what it puts right, the share that returns within the promise.
    pub again: f64,
    /// Equipment.
    pub needs: Vec<String>,
    /// Checks that can't be done any more once this is done.
    pub spoils: Vec<CheckIx>,
    /// Caution words.
    pub caution: Vec<String>,
}

/// What makes a proof show a fault that is still there.
#[derive(Debug, Clone, PartialEq)]
pub enum ProofKind {
    /// Driving (or running, or starting): shows by the count of the job (section 10).
    Exposure(Exposure),
    /// A probability by cause (`unlisted` last).
    Shows(Vec<f64>),
    /// A check repeated; these outcomes count as clear.
    Repeat {
        /// The check.
        check: CheckIx,
        /// `clear[outcome]`: that outcome counts as clear.
        clear: Vec<bool>,
    },
}

/// A drive, test or repeated check after a repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Instructions.
    pub how: Text,
    /// Minutes of work (the check's, where it repeats one).
    pub minutes: f64,
    /// Minutes of waiting (the check's, where it repeats one).
    pub wait_min: f64,
    /// Consumables, money (the check's, where it repeats one).
    pub cost: f64,
    /// What makes it show.
    pub kind: ProofKind,
    /// Probability that it shows although fixed (0 where it repeats a check: its table says).
    pub shows_falsely: f64,
    /// Extra cost when it shows.
    pub if_shown: f64,
    /// Equipment (the check's too, where it repeats one).
    pub needs: Vec<String>,
    /// Caution words.
    pub caution: Vec<String>,
    /// The owner does it, not the workshop.
    pub by_owner: bool,
}

/// What a duty arises from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// That item was off.
    Item(ItemIx),
    /// That repair was done.
    Repair(RepairIx),
}

/// What must be done after a repair before the hand-over.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Minutes of work.
    pub minutes: f64,
    /// Minutes of waiting.
    pub wait_min: f64,
    /// When it arises: any of these.
    pub because: Vec<Source>,
    /// first-start | covers | drive | hand-over.
    pub before: String,
}
