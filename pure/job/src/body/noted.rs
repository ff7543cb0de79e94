//! Bodies of what is read, measured, photographed and noted.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{BlobId, EventId, Urgency};

/// State of a fault code in the control unit (SAE J1979 modes 03, 07 and 0A).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CodeState {
    /// Set and stored.
    Stored,
    /// Seen on one trip.
    Pending,
    /// Erases itself only.
    Permanent,
}

/// One fault code.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Code {
    /// SAE J2012 form.
    pub code: String,
    /// Its state.
    pub state: CodeState,
    /// Blob: its freeze frame.
    pub frame: Option<BlobId>,
}

/// `code.read`: all codes that were there.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct CodeRead {
    /// The codes; none means that it was read and nothing was there.
    #[serde(default)]
    pub codes: Vec<Code>,
}

/// `code.erased`: never a repair.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct CodeErased {
    /// Which.
    #[serde(default)]
    pub codes: Vec<String>,
    /// Whether the freeze frame had been noted.
    pub frame_noted: bool,
}

/// What exposure is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum UnitWord {
    /// Kilometres.
    Km,
    /// Minutes of running.
    Min,
    /// Starts.
    Starts,
}

/// Where the window of a count ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EndsWord {
    /// At a set of the fault.
    Set,
    /// At a moment not chosen by the fault.
    Now,
}

/// `sets.noted`: how often the fault has set; replaces the sheet's `[recurrence]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetsNoted {
    /// Sets counted in the window; the set that opens the window is not.
    pub seen: u32,
    /// Length of the window, in `unit`.
    pub over: f64,
    /// What `over` counts.
    pub unit: UnitWord,
    /// Where the window ends.
    pub ends: EndsWord,
    /// Odometer at each set, km, where known.
    #[serde(default)]
    pub at_km: Vec<f64>,
}

/// What is perishable.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Before {
    /// Odometer, km.
    Odometer,
    /// Lamps that are on.
    Lamps,
    /// All codes, stored, pending and permanent.
    Codes,
    /// The freeze frame.
    FreezeFrame,
    /// Which self-tests are complete.
    SelfTests,
    /// Battery voltage at rest, V.
    BatteryRest,
    /// Battery voltage while cranking, V.
    BatteryCranking,
    /// Battery voltage while running, V.
    BatteryRunning,
    /// Oil level before topping up, as a share between the marks.
    OilLevel,
    /// Look and smell of the fluids.
    FluidLook,
    /// A recording as found.
    Recording,
    /// How it starts cold.
    ColdStart,
    /// Damage at intake.
    Damage,
    /// Fuel level, as a share.
    FuelLevel,
    /// The locking-wheel key is there.
    WheelKey,
}

/// `before.noted`: one line of perishable evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BeforeNoted {
    /// What was noted.
    pub what: Before,
    /// A value, where it has one.
    pub value: Option<f64>,
    /// Its unit.
    pub unit: Option<String>,
    /// Words picked from a list (lamps, self-tests); free text goes into the blob.
    #[serde(default)]
    pub words: Vec<String>,
    /// Blob: photo, text, recording.
    pub blob: Option<BlobId>,
    /// It was looked for and can't be had.
    #[serde(default)]
    pub not_to_be_had: bool,
}

/// A measured value with all that its judgement needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measured {
    /// The value, or the mean of the repeats, in `unit`.
    pub value: f64,
    /// Where it lies between two values, as a feeler gauge tells: `value` goes in, this one, in
    /// `unit`, does not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below: Option<f64>,
    /// Its unit.
    pub unit: String,
    /// The meter's accuracy as written, `0.8%+2d`.
    pub accuracy: Option<String>,
    /// The last digit of the display, in `unit`.
    pub digit: Option<f64>,
    /// Resistance of the leads, in `unit`, taken off.
    pub leads: Option<f64>,
    /// Single values, where it was measured more than once.
    #[serde(default)]
    pub repeats: Vec<f64>,
    /// Temperature of the part, °C.
    pub part_c: Option<f64>,
    /// The meter, as the workshop calls it.
    pub meter: Option<String>,
    /// End of the meter's range, in `unit`.
    pub range: Option<f64>,
}

/// Whether a measured value lies within its limits (JCGM 106).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within.
    In,
    /// Outside.
    Out,
    /// Too close to a limit for the meter that was used.
    NotSure,
}

impl Verdict {
    /// The word in the log.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::In => "in",
            Self::Out => "out",
            Self::NotSure => "not-sure",
        }
    }
}

/// The measure of an item that a reading is of, and how it was judged when it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Taken {
    /// The item.
    pub item: String,
    /// The measure, unique within its item.
    pub measure: String,
    /// Within its limits or not.
    pub verdict: Verdict,
    /// Probability that it lies within them.
    pub p_within: f64,
    /// How pressing it is; none: nobody need decide on it.
    pub urgency: Option<Urgency>,
    /// The check that it answers.
    pub check: Option<String>,
    /// The weight that it gives each outcome of that check.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub weights: BTreeMap<String, f64>,
}

/// `reading`: a reading outside any check, or of a measure of an item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// What was measured, as in a sheet.
    pub quantity: String,
    /// The value.
    #[serde(flatten)]
    pub measured: Measured,
    /// The measure that it is of, where it is one of the sheet.
    pub taken: Option<Taken>,
    /// Blob: where and how.
    pub blob: Option<BlobId>,
}

/// `recording.added`: a file with a signal over time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RecordingAdded {
    /// Blob: the file.
    pub blob: BlobId,
    /// The check that it was made for.
    pub check: Option<String>,
    /// Columns: `time`, `command`, `actual`, `current`.
    #[serde(default)]
    pub columns: BTreeMap<String, String>,
    /// Whether it was made before anything was touched.
    #[serde(default)]
    pub as_found: bool,
}

/// Where a hole of an item is seen on a photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HoleAt {
    /// The fastener.
    pub fastener: String,
    /// Which of its holes, from 1.
    pub hole: u32,
    /// From the left edge, as a share of the width.
    pub x: f64,
    /// From the upper edge, as a share of the height.
    pub y: f64,
}

/// `photo`; another of the same picture stands in its place.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Photo {
    /// Blob: the picture.
    pub blob: BlobId,
    /// What it shows: `item:ID`, `check:ID`, `repair:ID`, or the id of an event.
    pub of: Option<String>,
    /// Blob: the caption.
    pub caption: Option<BlobId>,
    /// Holes that are marked on it, where it shows an item.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<HoleAt>,
}

/// `note`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Note {
    /// Blob: the text.
    pub blob: BlobId,
    /// What it is about: `item:ID`, `check:ID`, `repair:ID`, or the id of an event.
    pub of: Option<EventId>,
}
