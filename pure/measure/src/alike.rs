//! Which steps are like each other: the same direction and about the same size, and, where
//! recorded, about the same engine speed, voltage and warm-up state.

use crate::answer::{AlikeSteps, Condition, StepMetrics};
use crate::estimate::Estimate;
use crate::lag::fit;
use crate::moves::dead_time;
use crate::steps::Step;

/// Share of the larger step by which levels of like steps may differ.
const LEVELS: f64 = 0.15;

/// Engine speed, 1/min (13 CCR 1968.2 calls it similar), load, percentage points, and
/// voltage, V, within which steps are like each other (voltage: *common practice*).
const NEAR: [(&str, f64); 3] =
    [("engine-speed", 375.0), ("load", 20.0), ("voltage", 1.0)];

/// Coolant from which an engine is warm, °C.
const WARM_C: f64 = 70.0;

/// What is compared of a step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kind<'a> {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) conditions: &'a [Condition],
}

impl<'a> From<&'a StepMetrics> for Kind<'a> {
    fn from(step: &'a StepMetrics) -> Self {
        Self { from: step.from, to: step.to, conditions: &step.conditions }
    }
}

impl Kind<'_> {
    /// True for steps that may be pooled.
    pub(crate) fn is_like(&self, other: &Kind<'_>) -> bool {
        let (size, other_size) = (self.to - self.from, other.to - other.from);
        let near = LEVELS * size.abs().max(other_size.abs());
        size * other_size > 0.0
            && (self.from - other.from).abs() <= near
            && (self.to - other.to).abs() <= near
            && NEAR.iter().all(|(name, within)| {
                let both = self.condition(name).zip(other.condition(name));
                both.is_none_or(|(a, b)| (a - b).abs() <= *within)
            })
            && self.warm().zip(other.warm()).is_none_or(|(a, b)| a == b)
    }

    fn condition(&self, name: &str) -> Option<f64> {
        self.conditions.iter().find(|c| c.name == name).map(|c| c.value)
    }

    fn warm(&self) -> Option<bool> {
        self.condition("coolant").map(|c| c >= WARM_C)
    }

    /// What it is in words: `20 to 60, warm, 1900/min, 14 V`.
    pub(crate) fn words(&self) -> String {
        let mut words = format!("{} to {}", said(self.from), said(self.to));
        if let Some(warm) = self.warm() {
            words += if warm { ", warm" } else { ", cold" };
        }
        for (name, unit) in
            [("engine-speed", "/min"), ("load", " % load"), ("voltage", " V")]
        {
            if let Some(value) = self.condition(name) {
                words.push_str(", ");
                words.push_str(&said(value));
                words.push_str(unit);
            }
        }
        words
    }
}

/// Three digits, no trailing zeros.
fn said(value: f64) -> String {
    let size = value.abs().max(1e-9).log10().floor();
    let to = 10_f64.powf(2.0 - size);
    let rounded = (value * to).round() / to;
    format!("{rounded}")
}

/// Groups of like steps, each by its first: places in the list given.
pub(crate) fn groups(kinds: &[Kind<'_>]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, kind) in kinds.iter().enumerate() {
        let first =
            |group: &Vec<usize>| group.first().and_then(|first| kinds.get(*first));
        match groups.iter_mut().find(|g| first(g).is_some_and(|f| f.is_like(kind))) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups
}

/// Fitted steps pooled group by group; nothing where all are alike.
pub(crate) fn pooled(
    steps: &[&Step],
    conditions: &[Vec<Condition>],
    even: bool,
) -> Vec<AlikeSteps> {
    let kinds: Vec<Kind<'_>> = steps
        .iter()
        .zip(conditions)
        .map(|(step, conditions)| Kind { from: step.from, to: step.to, conditions })
        .collect();
    let groups = groups(&kinds);
    if groups.len() < 2 {
        return Vec::new();
    }
    let one = |group: &Vec<usize>| {
        let these: Vec<&Step> =
            group.iter().filter_map(|at| steps.get(*at).copied()).collect();
        let lag = fit(&these)?;
        let kind = group.first().and_then(|first| kinds.get(*first))?;
        Some(AlikeSteps {
            what: kind.words(),
            steps: these.len(),
            time_constant_s: Estimate {
                value: Some(lag.tau_s),
                low: lag.low_s,
                high: lag.high_s,
            },
            dead_time_s: dead_time(&these, &lag, even).0,
        })
    };
    groups.iter().take(MOST_GROUPS).filter_map(one).collect()
}

/// Groups that are told of.
const MOST_GROUPS: usize = 24;
