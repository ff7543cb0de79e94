//! Before against after: the effect with its interval first, then the word.

use schemars::JsonSchema;
use serde::Serialize;

use crate::chance::quantile;
use crate::estimate::{COVER, Estimate};
use crate::reading::count_f64;
use crate::recording::RecordingAnswer;
use crate::robust::{mean, variance};

/// Steps on each side below which a change is not called: three against three cannot
/// reach 0.05 by an exact two-sided rank test, four against four reach 0.029.
const FEWEST: usize = 4;

/// Most steps on each side that are ever asked for.
const MOST: u32 = 1_000;

/// `compare/1`: what changed between two recordings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CompareAnswer {
    /// What is compared.
    pub metric: &'static str,
    /// Mean before, with its interval.
    pub before: Estimate,
    /// Mean after, with its interval.
    pub after: Estimate,
    /// After less before, with its 95 % interval (Welch).
    pub effect: Estimate,
    /// The difference that still counts as the same.
    pub margin: f64,
    /// Changed, same or not decided.
    pub verdict: Change,
    /// About how many more steps on each side would decide; null where decided or where
    /// no number of steps does.
    pub more_steps: Option<u32>,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// Standard error of the effect.
    #[serde(skip)]
    pub u: f64,
    /// Its degrees of freedom (Welch).
    #[serde(skip)]
    pub dof: Option<f64>,
}

/// What a comparison says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// The interval leaves zero out.
    Changed,
    /// The 90 % interval lies within the margin (two one-sided tests).
    Same,
    /// Neither.
    NotDecided,
}

/// Compares the time constants of the single steps of two recordings; `margin_s` is the
/// difference that still counts as the same, `None`: 15 % of the value before.
pub fn compare(
    before: &RecordingAnswer,
    after: &RecordingAnswer,
    margin_s: Option<f64>,
) -> CompareAnswer {
    let taus = |answer: &RecordingAnswer| -> Vec<f64> {
        answer.per_step.iter().filter_map(|s| s.time_constant_s).collect()
    };
    let margin =
        |values: &[f64]| margin_s.unwrap_or(0.15 * mean(values).unwrap_or(0.0).abs());
    let (before, after) = (taus(before), taus(after));
    compare_values(&before, &after, margin(&before))
}

/// Compares two sets of single values; `margin` in their unit.
pub fn compare_values(before: &[f64], after: &[f64], margin: f64) -> CompareAnswer {
    let mut answer = CompareAnswer {
        metric: "time_constant_s",
        before: Estimate::of_mean(before).unwrap_or_default(),
        after: Estimate::of_mean(after).unwrap_or_default(),
        effect: Estimate::default(),
        margin,
        verdict: Change::NotDecided,
        more_steps: None,
        remarks: Vec::new(),
        u: 0.0,
        dof: None,
    };
    let Some(welch) = Welch::of(before, after) else {
        answer.remarks.push(
            "at least two steps with a time constant are needed on each side".to_owned(),
        );
        return answer;
    };
    (answer.u, answer.dof) = (welch.u, welch.dof);
    answer.effect = Estimate::of_u(welch.difference, welch.u, welch.dof);
    let fewest = before.len().min(after.len());
    if welch.inside(margin) {
        answer.verdict = Change::Same;
    } else if welch.leaves_zero() && fewest >= FEWEST {
        answer.verdict = Change::Changed;
    } else {
        answer.more_steps = welch.more(margin, fewest);
        if fewest < FEWEST {
            answer.remarks.push(format!(
                "{fewest} steps on one side: {FEWEST} are the fewest that can show a change"
            ));
        }
    }
    answer
}

/// Difference of two means with Welch's standard error and degrees of freedom.
#[derive(Debug, Clone, Copy)]
struct Welch {
    difference: f64,
    u: f64,
    dof: Option<f64>,
}

impl Welch {
    fn of(before: &[f64], after: &[f64]) -> Option<Self> {
        let part = |values: &[f64]| Some(variance(values)? / count_f64(values.len()));
        let (a, b) = (part(before)?, part(after)?);
        let freedom = |v: f64, n: usize| v * v / count_f64(n - 1);
        let dof = (a + b).powi(2) / (freedom(a, before.len()) + freedom(b, after.len()));
        let difference = mean(after)? - mean(before)?;
        Some(Self { difference, u: (a + b).sqrt(), dof: dof.is_finite().then_some(dof) })
    }

    fn leaves_zero(self) -> bool {
        self.difference.abs() > quantile(f64::midpoint(1.0, COVER), self.dof) * self.u
    }

    fn inside(self, margin: f64) -> bool {
        self.difference.abs() + quantile(COVER, self.dof) * self.u < margin
    }

    /// Steps more on each side until one verdict is reached if nothing else changes.
    fn more(self, margin: f64, now: usize) -> Option<u32> {
        let now_n = count_f64(now);
        (1..=MOST).find(|more| {
            let n = now_n + f64::from(*more);
            let then = Self {
                u: self.u * (now_n / n).sqrt(),
                dof: self.dof.map(|dof| dof * n / now_n),
                ..self
            };
            n >= count_f64(FEWEST) && (then.leaves_zero() || then.inside(margin))
        })
    }
}
