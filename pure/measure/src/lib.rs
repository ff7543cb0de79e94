//! Readings with their uncertainty, recordings of a command and its answer, bench
//! tests of a coil: what a measurement says, and how sure that is.

pub mod accuracy;
mod alike;
mod along;
mod answer;
mod answered;
pub mod bench;
pub mod chance;
pub mod change;
pub mod compare;
pub mod conditions;
mod cores;
mod dead_time;
pub mod estimate;
mod fresh;
mod hysteresis;
mod lag;
pub mod limits;
pub mod material;
mod moves;
mod play;
pub mod ramp;
pub mod reading;
pub mod recording;
mod rested;
mod robust;
mod settled;
mod slew;
mod steps;
pub mod synth;
pub mod usual;

pub use accuracy::Accuracy;
pub use answer::{
    AlikeSteps, Condition, EachStep, LikeCell, LikeExposure, SideMetrics, StepMetrics,
};
pub use bench::{BenchAnswer, BenchInput, bench};
pub use chance::band_weights;
pub use compare::{CompareAnswer, compare};
pub use conditions::{Conditions, Frame, FrameError, exposure};
pub use estimate::Estimate;
pub use limits::Limits;
pub use material::{Material, PartTemperature};
pub use ramp::{
    RampAnswer, RampCompareAnswer, RampError, RampInput, RampMetric, RampShown, RampSide,
    RampVerdict, compare_ramps, judge_ramp,
};
pub use reading::{Accepts, JudgeAnswer, JudgeError, JudgeInput, Leads, Verdict, judge};
pub use recording::{
    RecordingAnswer, RecordingError, RecordingMeta, judge_recording, judge_recording_in,
    only_rates,
};
