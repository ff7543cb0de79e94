//! The fold: a sheet and the events of a job become [`Facts`].
//!
//! Never an error: an id that the sheet does not know, a bolt that went back twice, a body
//! from a newer program become a remark or a loose end. Withdrawn and corrected events are
//! applied first, so the facts are as if the slip had not been; the history shows it.

mod after;
mod allowed;
mod facts;
mod ledger;
mod live;
mod loose;
mod step;
mod taken;
mod tray;
mod work;

use sheet::{Economy, ExposureUnit, Moving, Sheet, Text};

pub use facts::{
    Also, AnswerTold, BeforeLine, CodesRead, Done, DutyState, Facts, NoteLine, OpenedJob,
    OrderedPart, PhotoLine, ReadingLine, RecordingLine, Said, TorqueLine, Waits,
};
pub use ledger::{Bill, Spent};
pub use live::{Fate, Line};
pub use loose::{Blocks, EndKind, EndState, LooseEnd};
pub use step::Folding;
pub use tray::{Hole, TrayFastener, TrayItem, TraySeal};

use crate::{event::Stored, order::in_order};

/// The facts of a job. `events` are all events of that job, in any order.
#[must_use]
pub fn fold(sheet: &Sheet, events: &[Stored]) -> Facts {
    let (known, unread) = in_order(events);
    let (lines, remarks) = live::resolve(&known);
    let mut folding = Folding::new(sheet);
    for line in lines {
        folding.step(line);
    }
    for remark in remarks {
        folding.remark(remark);
    }
    for id in unread {
        folding.remark(format!("event {id} can't be read and is left out"));
    }
    folding.facts()
}

/// The lines of a job in their order, each with what it counts for.
#[must_use]
pub fn lines(events: &[Stored]) -> Vec<Line> {
    live::resolve(&in_order(events).0).0
}

/// The sheet of a job that has none: no suspects, no items, only prices.
#[must_use]
pub fn no_sheet(economy: Economy) -> Sheet {
    Sheet {
        id: "none".to_owned(),
        title: Text::plain("No sheet"),
        version: 0,
        codes: Vec::new(),
        applies: Text::default(),
        sources: Vec::new(),
        economy,
        recurrence: None,
        moving: Moving::default(),
        unlisted_weight: 1.0,
        suspects: Vec::new(),
        items: Vec::new(),
        checks: Vec::new(),
        repairs: Vec::new(),
        proofs: Vec::new(),
        duties: Vec::new(),
        hash: [0; 32],
    }
}

/// The unit in which a job counts exposure: the noted count's, else the sheet's, else km.
fn unit(facts: &Facts, sheet: &Sheet) -> ExposureUnit {
    facts
        .recurrence
        .as_ref()
        .or(sheet.recurrence.as_ref())
        .map_or(ExposureUnit::Km, |count| count.over.unit)
}
