//! The two recordings of the story, made by the generator with a known truth.

use measure::synth::{StepLog, step_log};

/// Manifold pressure between the pulls, kPa.
const LOW: f64 = 120.0;
/// Manifold pressure asked for in a pull, kPa.
const HIGH: f64 = 210.0;

/// Three pulls, ten rows a second, time constants up and down in seconds.
fn pulls(seed: u64, tau_up_s: f64, tau_down_s: f64) -> String {
    let at = [5.03, 17.17, 29.26, 41.31, 53.44, 65.58];
    let levels = [HIGH, LOW, HIGH, LOW, HIGH, LOW];
    step_log(&StepLog {
        seed,
        noise: 0.8,
        dead_time_s: 0.3,
        tau_up_s,
        tau_down_s,
        start: LOW,
        steps: at.into_iter().zip(levels).collect(),
        duration_s: 78.0,
        ..StepLog::default()
    })
}

/// As found: slow, above all upward.
pub(super) fn before() -> String {
    pulls(20_260_309, 1.45, 1.35)
}

/// After the vanes were cleaned.
pub(super) fn after() -> String {
    pulls(20_260_310, 0.62, 0.58)
}
