//! Whether a step was answered, and whether the log is fine enough to say how.

use crate::reading::count_f64;
use crate::robust::spread;
use crate::steps::{Sample, Step};

/// Fresh samples within a move below which only bounds are given.
pub(crate) const WITHIN_MOVE: usize = 3;

/// Share of the move at its ends that does not count as within.
pub(crate) const ENDS: f64 = 0.05;

/// Counts of the actual value that a move must span to be fitted.
const COUNTS: f64 = 10.0;

/// How a step's answer stands to noise, resolution and sampling.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answered {
    No,
    TooSmall,
    TooFast,
    Yes,
}

/// Noise and resolution of the actual value over all steps.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    noise: f64,
    count: f64,
}

impl Scale {
    pub(crate) fn of(steps: &[Step]) -> Self {
        let quiet: Vec<f64> = steps
            .iter()
            .flat_map(|s| s.samples[..s.before].iter().map(|v| v.1 - s.levels.0))
            .collect();
        let count = steps.first().map_or(0.0, |s| s.grain);
        let noise = spread(&quiet).unwrap_or(0.0).hypot(count / 12.0_f64.sqrt());
        Self { noise, count }
    }

    /// Noise of one value, its grid included.
    pub(crate) fn noise(self) -> f64 {
        self.noise
    }

    pub(crate) fn answered(self, step: &Step) -> Answered {
        let moved = step.change().abs();
        let n = |count: usize| count_f64(count.max(1));
        let u = self.noise
            * (n(step.before).recip() + n(step.settled().len()).recip()).sqrt();
        let level = step.levels.0.abs().max(step.levels.1.abs());
        if moved <= (5.0 * u).max(1e-9 * level) || moved == 0.0 {
            Answered::No
        } else if moved < COUNTS * self.count {
            Answered::TooSmall
        } else if self.within(step) < WITHIN_MOVE {
            Answered::TooFast
        } else {
            Answered::Yes
        }
    }

    /// Fresh samples within 5-95 % of the move before it first arrives; noise narrows.
    fn within(self, step: &Step) -> usize {
        let edge = (3.0 * self.noise / step.change().abs()).clamp(ENDS, 0.2);
        step.after()
            .iter()
            .map(|s| part(step, *s))
            .take_while(|p| *p < 1.0 - edge)
            .filter(|p| *p > edge)
            .count()
    }
}

/// How far the move has come at a sample: 0 before, 1 settled.
pub(crate) fn part(step: &Step, sample: Sample) -> f64 {
    (sample.1 - step.levels.0) / step.change()
}
