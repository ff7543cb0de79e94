//! Sheet text to a checked [`Sheet`], with every remark located in the text.
//!
//! [`Sheet`] is the one type of this crate and `read` its one verb. Names become small
//! integers here; no other crate looks up an id while it computes.

mod access;
mod bands;
mod check;
mod ease;
pub mod economy;
mod family;
mod head;
pub mod ids;
mod item;
mod kinds;
mod measure;
pub mod model;
mod names;
mod near;
mod order;
mod proof;
mod read;
mod remark;
mod settings;
mod starter;
mod syntax;
mod table;
mod take;
mod warnings;

pub use bands::METRICS;
pub use check::MOST_OUTCOMES;
pub use economy::{
    Economy, EconomyError, EconomyOverrides, Exposure, ExposureUnit, Moving, Recurrence,
    Rust, WindowEnd,
};
pub use ids::{
    CheckIx, DutyIx, ItemIx, ItemSet, OutcomeIx, ProofIx, RepairIx, SuspectIx,
};
pub use item::CAUTIONS;
pub use measure::Measure;
pub use model::{
    Band, Check, Duty, Fastener, Fluid, Goes, Item, Joint, Part, Proof, ProofKind,
    ReadingBands, RecordingBands, Repair, Reuse, Seal, Sheet, Snag, Source, Suspect,
    Text, Way,
};
pub use near::nearest;
pub use read::{
    MOST_BYTES, MOST_CHECKS, MOST_DUTIES, MOST_ITEMS, MOST_PROOFS, MOST_REPAIRS,
    MOST_SUSPECTS, Read, read,
};
pub use remark::{Remark, RemarkKind};
pub use settings::{ReadSettings, Settings, read_settings};
pub use starter::{NewSheet, new_sheet};
