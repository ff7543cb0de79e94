//! Readings with their uncertainty, recordings of a command and its answer, bench
//! tests of a coil: what a measurement says, and how sure that is.

pub mod accuracy;
mod answer;
mod answered;
pub mod bench;
pub mod chance;
pub mod compare;
mod dead_time;
pub mod estimate;
mod hysteresis;
mod lag;
pub mod limits;
pub mod material;
pub mod reading;
pub mod recording;
mod rested;
mod robust;
mod settled;
mod slew;
mod steps;
pub mod synth;

pub use accuracy::Accuracy;
pub use bench::{BenchAnswer, BenchInput, bench};
pub use chance::band_weights;
pub use compare::{CompareAnswer, compare};
pub use estimate::Estimate;
pub use limits::Limits;
pub use material::{Material, PartTemperature};
pub use reading::{JudgeAnswer, JudgeError, JudgeInput, Leads, Verdict, judge};
pub use recording::{RecordingAnswer, RecordingError, RecordingMeta, judge_recording};
