//! Answers to neutral pages: words, tables, drawings.
//!
//! A [`Page`] knows nothing of terminals, browsers or paper. Every text on it is
//! [`Words`], cleaned once where it comes in; the renderers escape it.

mod answers;
mod caution;
mod draw;
mod measures;
mod page;
mod paper;
pub mod say;
mod screen;
mod words;

pub use answers::{
    bench_page, compare_page, judge_page, next_step, oil_grade_page, oil_level_page,
    oil_use_page, oil_viscosity_page, plan_page, prove_page, ramp_compare_page,
    ramp_page, recording_page, step_traces, strip_page, torque_page,
};
pub use caution::{CAUTIONS, Caution, DEFERS, caution, cautions};
pub use draw::{
    Anchor, Band, CellState, Drawing, Ink, Lettering, MapItem, MapState, Overlay, Pen,
    Point, ProofCurve, RampPicture, RampsPicture, Shape, StepTrace, Traces, TrayCell,
    TrayItem, TrayKind, coverage_map, overlay, pattern_drawing, pieces, proof_curve,
    ramp_picture, ramps_picture, reduced, strip_map, tray_drawing,
};
pub use measures::{MeasureRow, measures};
pub use page::{
    Align, Block, Choice, Column, Entry, List, Mark, Page, Pair, Photo, PhotoFormat,
    PhotoMark, Row, Table, pair,
};
pub use paper::{
    AlsoSeen, Bill, BillLine, Charged, CodeSeen, DutyRow, Evidence, FileReport, Finding,
    GoodBad, JobHead, LooseEnd, OptionsView, OwnerOption, OwnerReport, PartUsed,
    Procedure, RepairDone, Step, Sure, TimeRow, TorqueRow, Trial, Urgency, WiperSheet,
    file_report, options_page, owner_report, procedure, wiper_sheet,
};
pub use say::{Counted, Shown};
pub use screen::{
    CarLine, CarView, EventLine, NextKind, NextStep, OddsLine, TrayView, WaitsFor,
    car_page, cars_page, five_words, next_step_blocks, tray_page,
};
pub use sheet::WindowEnd;
pub use weigh::Count;
pub use words::Words;
