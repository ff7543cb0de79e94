//! Drawings where people would rather look than read.

mod curve;
mod frame;
mod overlay;
mod shape;
mod stripmap;

pub use curve::{ProofCurve, proof_curve};
pub use overlay::{Band, Overlay, StepTrace, Traces, overlay};
pub use shape::{Anchor, Drawing, Ink, Lettering, Pen, Point, Shape};
pub use stripmap::{MapItem, MapState, strip_map};
