//! Pages that go on paper: for the owner, for the file, under the wiper, to teach.
//!
//! Their inputs hold words and numbers that are already resolved; whoever knows the job
//! fills them in.

mod file;
mod given;
mod options;
mod owner;
mod procedure;
mod wiper;

pub use file::{DutyRow, Evidence, FileReport, TimeRow, TorqueRow, file_report};
pub use given::{
    AlsoSeen, Bill, BillLine, Charged, CodeSeen, Finding, JobHead, LooseEnd, PartUsed,
    RepairDone, Sure, Trial, Urgency,
};
pub use options::{OptionsView, OwnerOption, options_page};
pub use owner::{OwnerReport, owner_report};
pub use procedure::{GoodBad, Procedure, Step, procedure};
pub use wiper::{WiperSheet, wiper_sheet};
