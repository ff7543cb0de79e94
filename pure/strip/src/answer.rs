//! The answer `strip/1`: what comes off in which order, what lies where, and the way back.
//!
//! Minutes are minutes, money is in the sheet's currency, lengths are millimetres, torques
//! newton metres. `null` means not known or does not apply.

use schemars::JsonSchema;
use serde::Serialize;

/// `strip/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StripAnswer {
    /// What comes off now, first to last.
    pub strip: Vec<Step>,
    /// What goes back, first to last: what comes off now and what was off before.
    pub refit: Vec<Step>,
    /// Minutes to strip, without snags, waiting and moving about; with what a step takes longer
    /// while an item that eases it is on.
    pub strip_minutes: f64,
    /// Minutes to refit, without snags and moving about.
    pub refit_minutes: f64,
    /// Minutes of moving about on the way in.
    pub moving_minutes: f64,
    /// Whether no order moves about for less (with `eased_by`: none that lets the same items be
    /// eased).
    pub proven: bool,
    /// No order of the way in moves about for fewer minutes.
    pub lower_bound: f64,
    /// Spanners, in the order they are wanted.
    pub tools: Vec<String>,
    /// What is renewed, in the order of the way out.
    pub renew: Vec<Renew>,
    /// Money for single-use parts of all that goes back.
    pub parts_cost: f64,
    /// Groups of fasteners that are easily mixed up.
    pub look_alikes: Vec<Vec<FastenerName>>,
    /// Parts that fall free.
    pub loose: Vec<Loose>,
    /// What must be done before the hand-over because of what was off or repaired.
    pub duties: Vec<DutyDue>,
    /// Minutes of waiting on the way in (cooling down).
    pub wait_minutes: f64,
    /// What mixing up look-alikes does.
    pub swaps: Vec<Swap>,
    /// The same, all fasteners that are equal taken together; harmless swaps left out.
    pub mix_ups: Vec<MixUp>,
    /// The cells of the tray, in order.
    pub tray: Vec<Cell>,
    /// What may go wrong while stripping, rust counted in.
    pub snags: Vec<SnagDue>,
    /// Fluids to catch and to fill.
    pub fluids: Vec<FluidDue>,
    /// Ports to cap: as many caps come off again as go on.
    pub caps: Vec<String>,
    /// Whether the engine must not be started meanwhile.
    pub do_not_start: bool,
    /// The items that forbid starting.
    pub do_not_start_because: Vec<String>,
    /// The way taken to each target.
    pub ways: Vec<WayTaken>,
    /// What else to know.
    pub remarks: Vec<String>,
    /// Minutes of the waiting in which there is nothing else to do, in this order.
    pub waiting_idle_minutes: f64,
    /// Minutes of the way in by the clock: stripping, moving about and idle waiting.
    pub elapsed_minutes: f64,
    /// What comes off only because it makes other items quicker (`eased_by`).
    pub easing: Vec<Easing>,
    /// What is to be measured on the way, in the order of the items.
    pub measures: Vec<MeasureDue>,
}

/// An item that comes off only to make others quicker.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Easing {
    /// Its id.
    pub item: String,
    /// Ids of the items that it makes quicker.
    pub eases: Vec<String>,
    /// Minutes that they would take more.
    pub saves_minutes: f64,
    /// Minutes to take it off and put it back, with what comes off for it alone.
    pub costs_minutes: f64,
}

/// An item that comes off or goes back.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Step {
    /// Its id.
    pub item: String,
    /// Its title.
    pub title: String,
    /// Minutes of work.
    pub minutes: f64,
    /// Working position.
    pub position: Option<String>,
    /// Spanner: across flats of the first fastener that has a head.
    pub tool: Option<String>,
    /// Caution words.
    pub cautions: Vec<String>,
    /// What holds it.
    pub fasteners: Vec<FastenerStep>,
    /// off | aside | slack | drained | unplugged | raised.
    pub goes: String,
    /// Minutes of waiting first (0 on the way out).
    pub wait_minutes: f64,
    /// What to know before the first spanner goes on.
    pub warnings: Vec<String>,
}

/// A fastener of a step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FastenerStep {
    /// Its id.
    pub id: String,
    /// How many.
    pub count: u32,
    /// Its cells in the tray, one a hole; empty for what was off before.
    pub cells: Vec<u32>,
    /// Thread as the sheet writes it.
    pub thread: Option<String>,
    /// Length under the head.
    pub length_mm: Option<f64>,
    /// Torque on the way out.
    pub torque_nm: Option<f64>,
    /// `maker` or `general value, check the manual`.
    pub torque_source: Option<String>,
    /// Why there is no torque.
    pub no_torque_because: Option<String>,
    /// Method, friction and use of yield of a computed torque.
    pub torque_method: Option<String>,
    /// Angle after the torque, degrees; 0: none.
    pub angle_deg: f64,
    /// bolt | nut | screw | stud | clip | clamp | plug | connector.
    pub kind: String,
    /// Strength class as the sheet writes it.
    pub class: Option<String>,
    /// Across flats.
    pub head_mm: Option<f64>,
    /// Never used twice.
    pub single_use: bool,
    /// Falls free once its bolt is out.
    pub loose: bool,
    /// What to know beside it.
    pub remarks: Vec<String>,
}

/// A fastener of an item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FastenerName {
    /// The item's id.
    pub item: String,
    /// The fastener's id.
    pub fastener: String,
}

/// What happens when one fastener goes where another belongs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Swap {
    /// The fastener in the hand.
    pub fastener: FastenerName,
    /// Whose hole it goes into.
    pub into: FastenerName,
    /// Length in the thread there, where known.
    pub engaged_mm: Option<f64>,
    /// Length needed there, where known.
    pub needed_mm: Option<f64>,
    /// What it does.
    pub consequence: String,
}

/// What happens where fasteners of one size go where those of another belong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MixUp {
    /// Size and class of those in the hand.
    pub fastener: String,
    /// Ids of the items that they are of.
    pub of: Vec<String>,
    /// Size and class of those that belong there.
    pub belongs: String,
    /// Ids of the items whose holes they go into.
    pub into: Vec<String>,
    /// What it does.
    pub consequence: String,
}

/// A cell of the tray: one hole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cell {
    /// Its number, from 1 in the order of the way in.
    pub cell: u32,
    /// The item's id.
    pub item: String,
    /// The fastener's id.
    pub fastener: String,
    /// What is printed on it.
    pub label: String,
}

/// What is renewed or looked at on the way out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Renew {
    /// The item's id.
    pub item: String,
    /// `seal` or `fastener`.
    pub kind: String,
    /// Id of the seal or fastener.
    pub id: String,
    /// How many.
    pub count: u32,
    /// `always`, or `if-damaged`: look first.
    pub when: String,
}

/// A part that falls free.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Loose {
    /// The item's id.
    pub item: String,
    /// The fastener's id.
    pub fastener: String,
    /// The warning.
    pub warning: String,
}

/// A duty that arises.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DutyDue {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Minutes of work.
    pub minutes: f64,
    /// Minutes of waiting.
    pub wait_minutes: f64,
    /// first-start | covers | drive | hand-over.
    pub before: String,
    /// Ids of the items and repairs that it arises from.
    pub because: Vec<String>,
}

/// Something that may go wrong while stripping.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SnagDue {
    /// The item's id.
    pub item: String,
    /// What happens.
    pub title: String,
    /// Its probability.
    pub p: f64,
    /// Minutes that it costs.
    pub minutes: f64,
    /// Money for parts that it costs.
    pub parts: f64,
}

/// A fluid that runs out.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FluidDue {
    /// The item's id.
    pub item: String,
    /// The fluid's id.
    pub fluid: String,
    /// Litres.
    pub litres: f64,
}

/// The way taken to a target.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WayTaken {
    /// check | repair | item.
    pub kind: String,
    /// Its id.
    pub id: String,
    /// Index into the ways of its `off`.
    pub way: usize,
}

/// Something to be measured on the way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureDue {
    /// The item's id.
    pub item: String,
    /// Its id, unique within the item.
    pub id: String,
    /// What.
    pub title: String,
    /// Instructions; empty: none.
    pub how: String,
    /// Quantity, as in a sheet.
    pub quantity: String,
    /// Unit of the limits.
    pub unit: String,
    /// Lower limit, itself in order.
    pub least: Option<f64>,
    /// Upper limit, itself in order.
    pub most: Option<f64>,
    /// before (the item comes off) | off | refit.
    pub when: String,
    /// unsafe | soon | watch, where it is out of its limits.
    pub urgency: String,
    /// Id of the check that it answers.
    pub answers: Option<String>,
}
