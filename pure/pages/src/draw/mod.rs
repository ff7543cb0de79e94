//! Drawings where people would rather look than read.

mod coverage;
mod curve;
mod frame;
mod overlay;
mod pattern;
mod pieces;
mod ramp;
mod reduce;
mod shape;
mod stripmap;
mod tray;

pub use coverage::coverage_map;
pub use curve::{ProofCurve, proof_curve};
pub use overlay::{Band, Overlay, StepTrace, Traces, overlay};
pub use pattern::pattern_drawing;
pub use pieces::pieces;
pub use ramp::{RampPicture, RampsPicture, ramp_picture, ramps_picture};
pub use reduce::reduced;
pub use shape::{Anchor, Drawing, Ink, Lettering, Pen, Point, Shape};
pub use stripmap::{MapItem, MapState, strip_map};
pub use tray::{CellState, TrayCell, TrayItem, TrayKind, tray_drawing};
