//! Answers of the computing crates as pages for the terminal.

mod judged;
mod oiled;
mod outline;
mod planned;
mod proved;
mod ramped;
mod recorded;
mod stripped;
mod tightened;

pub use judged::{bench_page, judge_page};
pub use oiled::{oil_grade_page, oil_level_page, oil_use_page, oil_viscosity_page};
pub use planned::{next_step, plan_page};
pub use proved::prove_page;
pub use ramped::{ramp_compare_page, ramp_page};
pub use recorded::{compare_page, recording_page, step_traces};
pub use stripped::strip_page;
pub use tightened::torque_page;

use measure::Estimate;

use crate::say;

/// A value with its interval, or the bound that the data carries.
fn estimate(of: &Estimate, unit: &str) -> String {
    let say = |value: f64| say::significant(value, 3);
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    match (of.value, of.low, of.high) {
        (Some(value), Some(low), Some(high)) => {
            format!("{}{unit} ({} to {})", say(value), say(low), say(high))
        }
        (Some(value), _, _) => format!("{}{unit}", say(value)),
        (None, Some(low), Some(high)) => {
            format!("between {} and {}{unit}", say(low), say(high))
        }
        (None, Some(low), None) => format!("at least {}{unit}", say(low)),
        (None, None, Some(high)) => format!("at most {}{unit}", say(high)),
        (None, None, None) => "this log can't carry it".to_owned(),
    }
}
