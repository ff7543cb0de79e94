//! What the events of a job amount to.

use schemars::JsonSchema;
use serde::Serialize;
use sheet::{DutyIx, ItemSet, Recurrence};

use super::{Line, LooseEnd, Spent, TrayItem, ledger};
use crate::{
    body::{
        Advised, AlsoAnswer, AlsoSeen, Answered, Authorised, BeforeNoted, BlobId, Code,
        CodeErased, Comeback, Declined, EconomyPatch, EventId, HandedOver, JobOpened,
        Measured, Note, PartOrdered, PassedOn, Photo, Quoted, RecordingAdded, SheetNamed,
        SnagLearned, Taken, Tightened, Urgency, WaitFor,
    },
    fact::Fact,
};

/// Something said at a moment.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Said<T> {
    /// Id of the event.
    pub id: EventId,
    /// When.
    pub at: String,
    /// Who.
    pub who: String,
    /// What.
    pub what: T,
}

/// How the job was opened.
pub type OpenedJob = Said<JobOpened>;
/// A line of perishable evidence.
pub type BeforeLine = Said<BeforeNoted>;
/// Codes that were read.
pub type CodesRead = Said<Vec<Code>>;
/// A photo.
pub type PhotoLine = Said<Photo>;
/// A note.
pub type NoteLine = Said<Note>;
/// A recording.
pub type RecordingLine = Said<RecordingAdded>;

/// A check, repair, proof, duty, strip or refit that was done.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Done {
    /// Id of the event.
    pub event: EventId,
    /// When.
    pub at: String,
    /// Who.
    pub who: String,
    /// check, repair, proof, duty, strip or refit.
    pub kind: String,
    /// Id of the thing on the sheet.
    pub id: String,
    /// Id of the outcome of a check; `clear` or `shown` of a proof.
    pub outcome: Option<String>,
    /// Minutes of work that count.
    pub minutes: f64,
    /// Whether the minutes were taken down, not the sheet's.
    pub timed: bool,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReadingLine {
    /// Id of the event.
    pub event: EventId,
    /// When.
    pub at: String,
    /// The check, where it belongs to one.
    pub check: Option<String>,
    /// What was measured.
    pub quantity: String,
    /// The value.
    pub measured: Measured,
    /// The measure of an item that it is of, with its verdict.
    pub taken: Option<Taken>,
}

/// What was used on a fastener, or on all of an item's.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TorqueLine {
    /// Id of the event.
    pub event: EventId,
    /// When.
    pub at: String,
    /// Who.
    pub who: String,
    /// Id of the item.
    pub item: String,
    /// Id of the fastener; none: all of the item's.
    pub fastener: Option<String>,
    /// How.
    pub how: Tightened,
    /// N·m.
    pub torque_nm: Option<f64>,
    /// Degrees after it.
    pub angle_deg: Option<f64>,
    /// `maker` or `general value`.
    pub source: Option<String>,
    /// Which wrench.
    pub wrench: Option<String>,
}

/// A duty that arose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DutyState {
    /// The duty.
    pub duty: DutyIx,
    /// Its id.
    pub id: String,
    /// first-start, covers, drive or hand-over.
    pub before: String,
    /// Whether it was done after it last arose.
    pub done: bool,
}

/// Something seen that is not the fault.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Also {
    /// Id of the event.
    pub id: EventId,
    /// When.
    pub at: String,
    /// What.
    pub seen: AlsoSeen,
    /// What was decided last.
    pub answer: Option<AlsoAnswer>,
    /// Blob: the signature.
    pub signed: Option<BlobId>,
}

impl Also {
    /// Whether it is unsafe and neither done nor left undone with a signature.
    #[must_use]
    pub fn open_danger(&self) -> bool {
        let left = matches!(self.answer, Some(AlsoAnswer::No | AlsoAnswer::Later));
        self.seen.urgency == Urgency::Unsafe
            && self.answer != Some(AlsoAnswer::Done)
            && !(left && self.signed.is_some())
    }
}

/// What the job waits for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Waits {
    /// What for.
    pub wait_for: WaitFor,
    /// Since when.
    pub since: String,
}

/// A part that was ordered.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OrderedPart {
    /// Id of the event.
    pub id: EventId,
    /// When it was ordered.
    pub at: String,
    /// What.
    pub part: PartOrdered,
    /// When it came.
    pub came: Option<String>,
    /// What came is wrong or damaged.
    pub wrong: bool,
}

/// An answer of the owner and the distance that it adds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AnswerTold {
    /// When.
    pub at: String,
    /// What the owner said.
    pub answer: Answered,
    /// Distance since the answer before, km, where it counts.
    pub counted_km: Option<f64>,
}

/// What the events of a job amount to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facts {
    /// How the job was opened; none: it was not, or that was withdrawn.
    pub opened: Option<OpenedJob>,
    /// The sheet that it runs on now.
    pub sheet: Option<SheetNamed>,
    /// Blob: the owner.
    pub owner: Option<BlobId>,
    /// Blob: the vehicle.
    pub vehicle: Option<BlobId>,
    /// Family of vehicles.
    pub family: Option<String>,
    /// Fault codes: those at the opening and all read later, each once.
    pub codes: Vec<String>,
    /// Odometer as last noted, km.
    pub odometer_km: Option<f64>,
    /// Money rules of the job.
    pub economy: EconomyPatch,
    /// How often the fault has set, where it was noted.
    pub recurrence: Option<Recurrence>,
    /// What snags took in earlier jobs, as it was known when this one was opened.
    pub snags: Vec<SnagLearned>,
    /// Equipment at hand; none: all.
    pub has: Option<Vec<String>>,
    /// Actions not to be proposed (`check:ID`): refused here, or declined by the owner.
    pub without: Vec<String>,
    /// What bears on the odds, in order.
    pub evidence: Vec<Fact>,
    /// What was done, in order.
    pub done: Vec<Done>,
    /// Items that are off, as recorded (and what they lie behind when they came off).
    pub off: ItemSet,
    /// Items that were off at some time.
    pub ever_off: ItemSet,
    /// Items that were touched, in order of their first strip.
    pub tray: Vec<TrayItem>,
    /// Duties that arose, in sheet order.
    pub duties: Vec<DutyState>,
    /// Loose ends, open ones and settled ones.
    pub loose_ends: Vec<LooseEnd>,
    /// Why the engine must not be started; empty: nothing speaks against it.
    pub do_not_start: Vec<String>,
    /// What was spent.
    pub spent: Spent,
    /// What the owner allowed last.
    pub authorised: Option<Said<Authorised>>,
    /// What the owner declined.
    pub declined: Vec<Said<Declined>>,
    /// Quotes.
    pub quoted: Vec<Said<Quoted>>,
    /// The latest advice.
    pub advised: Option<Said<Advised>>,
    /// Also seen.
    pub also: Vec<Also>,
    /// What it waits for; none once it is handed over or passed on.
    pub waits: Option<Waits>,
    /// Codes read, in order.
    pub codes_read: Vec<CodesRead>,
    /// Codes erased, in order.
    pub codes_erased: Vec<Said<CodeErased>>,
    /// Perishable evidence, in order.
    pub before: Vec<BeforeLine>,
    /// Whether a freeze frame was noted, or looked for and not to be had.
    pub frame_noted: bool,
    /// Measured values.
    pub readings: Vec<ReadingLine>,
    /// Recordings.
    pub recordings: Vec<RecordingLine>,
    /// Torque record.
    pub torques: Vec<TorqueLine>,
    /// The wrench used last.
    pub wrench: Option<String>,
    /// Photos.
    pub photos: Vec<PhotoLine>,
    /// Notes.
    pub notes: Vec<NoteLine>,
    /// Caution and set-up steps that were ticked.
    pub ticked: Vec<Said<String>>,
    /// Parts ordered.
    pub parts: Vec<OrderedPart>,
    /// The hand-over.
    pub handed_over: Option<Said<HandedOver>>,
    /// Passed on.
    pub passed_on: Option<Said<PassedOn>>,
    /// It came back after that and goes on as this job.
    pub reopened: bool,
    /// When and how the owner was asked.
    pub asked: Vec<Said<String>>,
    /// What the owner answered.
    pub answers: Vec<AnswerTold>,
    /// Comebacks.
    pub comebacks: Vec<Said<Comeback>>,
    /// Blobs that were erased.
    pub erased: Vec<BlobId>,
    /// The event that one tap on undo withdraws.
    pub undo: Option<EventId>,
    /// Every event with what it counts for.
    pub history: Vec<Line>,
    /// A newer program wrote here: show, but don't write.
    pub read_only: bool,
    /// What could not be made sense of, in plain words.
    pub remarks: Vec<String>,
}

impl Facts {
    /// Whether the job is closed.
    #[must_use]
    pub fn closed(&self) -> bool {
        !self.reopened && (self.handed_over.is_some() || self.passed_on.is_some())
    }

    /// The items that are off with all that they lie behind, as the planner wants them.
    #[must_use]
    pub fn off_closed(&self, sheet: &sheet::Sheet) -> ItemSet {
        self.off.iter().fold(ItemSet::EMPTY, |set, item| {
            set.union(
                sheet.items.get(item.at()).map_or(ItemSet::EMPTY, |item| item.closure),
            )
        })
    }

    /// The loose ends that are open.
    pub fn open_ends(&self) -> impl Iterator<Item = &LooseEnd> {
        self.loose_ends.iter().filter(|end| end.is_open())
    }

    /// The reading of a measure of an item that was taken last.
    #[must_use]
    pub fn taken(&self, item: &str, measure: &str) -> Option<(&ReadingLine, &Taken)> {
        self.readings.iter().rev().find_map(|line| {
            let taken = line.taken.as_ref()?;
            (taken.item == item && taken.measure == measure).then_some((line, taken))
        })
    }

    /// Minutes of a snag in place of the sheet's, where earlier jobs tell them.
    #[must_use]
    pub fn snag_minutes(&self, item: &str, snag: usize) -> Option<f64> {
        let known = |one: &&SnagLearned| {
            one.item == item && usize::try_from(one.snag).is_ok_and(|at| at == snag)
        };
        let found = self.snags.iter().find(known).map(|learned| learned.minutes);
        found.filter(|minutes| ledger::believable_minutes(*minutes))
    }

    /// The tray of an item, by id.
    #[must_use]
    pub fn tray_of(&self, item: &str) -> Option<&TrayItem> {
        self.tray.iter().find(|entry| entry.item == item)
    }
}
