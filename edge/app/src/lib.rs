//! One verb a file: read, compute, append, answer.
//!
//! What was typed becomes what is meant here, once; every verb returns a typed answer whose
//! serde form, tagged by [`Document`], is the JSON that is printed.

pub mod bay;
pub mod certificate;
pub mod document;
pub mod fact;
pub mod fluids;
pub mod judge;
mod library;
mod near;
pub mod papers;
pub mod plan;
pub mod problem;
pub mod prove;
pub mod ramp;
pub mod recording;
pub mod schema;
pub mod settings;
pub mod sheet_file;
pub mod source;
pub mod store_place;
pub mod strip;
pub mod torque;
pub mod typed;

pub use document::{Answer, Document};
pub use problem::{Exit, Place, Problem, Problems, Spot};
pub use source::Source;
