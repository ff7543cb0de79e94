//! What driving without the fault proves, and how much more would convince.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;
use sheet::{ExposureUnit, Recurrence, WindowEnd};

use crate::Count;

/// What `prove` is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ProveInput {
    /// How often the fault set before the repair.
    pub recurrence: Recurrence,
    /// π: probability that the vehicle is fixed before any driving, 0 to 1.
    pub fixed: f64,
    /// d: exposure driven clear since, same unit as the count.
    pub clear: f64,
    /// Probability that is wanted, below 1.
    pub target: f64,
}

/// Answer `prove/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProveAnswer {
    /// P(fixed | clear over d).
    pub p_fixed: f64,
    /// Probability that a fault that is still there would have stayed silent over d.
    pub p_silent: f64,
    /// Exposure from zero to the target, km; null: never, or not counted in km.
    pub needed_km: Option<f64>,
    /// What of it is still to drive, km; null likewise.
    pub more_km: Option<f64>,
    /// Whether the target is reached.
    pub reached: bool,
    /// m.
    pub exponent: f64,
    /// What the figures rest on.
    pub assumes: Vec<String>,
    /// Unit of `needed` and `more`: km, min or starts.
    pub unit: String,
    /// Exposure from zero to the target in `unit`; null: never.
    pub needed: Option<f64>,
    /// What of it is still to go, in `unit`; null: never.
    pub more: Option<f64>,
    /// Zero-failure plan at the old rate, confidence = target: θ·(−ln(1−target)), θ = T/n
    /// (NIST/SEMATECH e-Handbook 8.3.1.1); null without a set.
    pub zero_failure: Option<f64>,
    /// Shortest clear exposure at which Wald's sequential test, both risks 1 − target, takes
    /// the fault for gone: θ·ln(target/(1−target)); null without a set.
    pub sequential: Option<f64>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// Why nothing can be claimed.
#[derive(Debug, Clone, PartialEq)]
pub enum ProveError {
    /// No set was counted in a window that ends at one.
    NoSets,
    /// The window has no length.
    NoWindow {
        /// The flag that is missing or 0.
        flag: String,
    },
    /// A probability is out of range.
    OutOfRange {
        /// The flag.
        flag: &'static str,
        /// What was given.
        value: f64,
        /// What would be right.
        allowed: &'static str,
    },
}

impl fmt::Display for ProveError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSets => write!(
                out,
                "no count: give --seen 1 or more, or --ends now if the window ends at a moment \
                 not chosen by the fault"
            ),
            Self::NoWindow { flag } => {
                write!(
                    out,
                    "no count: give {flag} above 0, the exposure over which it was seen"
                )
            }
            Self::OutOfRange { flag, value, allowed } => {
                write!(out, "{flag} is {value}: it must be {allowed}")
            }
        }
    }
}

impl std::error::Error for ProveError {}

/// ln(T+D+d) − ln(T+D) and the rest of section 10, in logarithms.
///
/// ```
/// use sheet::{Exposure, ExposureUnit, Recurrence, WindowEnd};
/// use weigh::{ProveInput, prove};
///
/// let over = Exposure { amount: 400.0, unit: ExposureUnit::Km };
/// let recurrence = Recurrence { seen: 2, over, ends: WindowEnd::Now };
/// let answer = prove(&ProveInput { recurrence, fixed: 0.7, clear: 30.0, target: 0.95 })?;
/// assert!((answer.p_fixed - 0.737).abs() < 5e-4);
/// # Ok::<(), weigh::ProveError>(())
/// ```
///
/// # Errors
/// Without a count (n ≥ 1 where the window ends at a set, T > 0), or a number out of range.
pub fn prove(input: &ProveInput) -> Result<ProveAnswer, ProveError> {
    let count = checked(input)?;
    let ProveInput { recurrence, fixed, clear, target } = *input;
    let ln_silent = count.ln_silent(clear);
    let p_fixed = posterior(fixed, ln_silent);
    let needed = needed(&count, fixed, target);
    let more = needed.map(|needed| (needed - clear).max(0.0));
    let in_km = recurrence.over.unit == ExposureUnit::Km;
    let rate_known = recurrence.seen >= 1;
    let theta = count.over / count.seen.max(1.0);
    Ok(ProveAnswer {
        p_fixed,
        p_silent: ln_silent.exp(),
        needed_km: needed.filter(|_| in_km),
        more_km: more.filter(|_| in_km),
        reached: p_fixed >= target,
        exponent: count.exponent(),
        assumes: assumptions(&recurrence),
        unit: recurrence.over.unit.suffix().to_owned(),
        needed,
        more,
        zero_failure: rate_known.then(|| theta * zero_failure_factor(target)),
        sequential: rate_known.then(|| {
            theta * sequential_accept(1.0 - target, 1.0 - target, f64::INFINITY)
        }),
        remarks: remarks(needed, in_km),
    })
}

/// π/(π + (1−π)·S) with S given by its logarithm.
#[must_use]
pub fn posterior(fixed: f64, ln_silent: f64) -> f64 {
    if fixed <= 0.0 {
        return 0.0;
    }
    let ln_odds_against = (1.0 - fixed).ln() - fixed.ln() + ln_silent;
    1.0 / (1.0 + ln_odds_against.exp())
}

/// T·(x^(−1/m) − 1) with x = π(1−target)/(target(1−π)); 0 where already there, `None` where
/// no distance gets there.
#[must_use]
pub fn needed(count: &Count, fixed: f64, target: f64) -> Option<f64> {
    if fixed >= target {
        return Some(0.0);
    }
    let ln_x = fixed.ln() + (-target).ln_1p() - target.ln() - (-fixed).ln_1p();
    let distance = (count.over + count.clear) * (-ln_x / count.exponent()).exp_m1();
    distance.is_finite().then_some(distance.max(0.0))
}

/// χ²(C; 2)/2 = −ln(1 − C): multiples of the old mean exposure between sets that must stay
/// clear in a zero-failure plan (NIST/SEMATECH e-Handbook 8.3.1.1, r = 0).
#[must_use]
pub fn zero_failure_factor(confidence: f64) -> f64 {
    -(-confidence).ln_1p()
}

/// Wald's sequential test of the exponential mean, θ1 against `ratio`·θ1: multiples of θ1
/// that must stay clear before it accepts without a single event, ln((1−α)/β)/(1 − 1/ratio).
#[must_use]
pub fn sequential_accept(alpha: f64, beta: f64, ratio: f64) -> f64 {
    ((1.0 - alpha) / beta).ln() / (1.0 - ratio.recip())
}

fn checked(input: &ProveInput) -> Result<Count, ProveError> {
    let suffix = input.recurrence.over.unit.suffix();
    let over = input.recurrence.over.amount;
    if !(over.is_finite() && over > 0.0) {
        return Err(ProveError::NoWindow { flag: format!("--over-{suffix}") });
    }
    let in_range = |flag, value: f64, ok: bool, allowed| {
        if ok && value.is_finite() {
            Ok(())
        } else {
            Err(ProveError::OutOfRange { flag, value, allowed })
        }
    };
    in_range("--fixed", input.fixed, (0.0..=1.0).contains(&input.fixed), "from 0 to 1")?;
    in_range("--clear", input.clear, input.clear >= 0.0, "0 or more")?;
    let wanted = input.target > 0.0 && input.target < 1.0;
    in_range("--target", input.target, wanted, "above 0 and below 1")?;
    Count::from_recurrence(&input.recurrence).ok_or(ProveError::NoSets)
}

fn assumptions(recurrence: &Recurrence) -> Vec<String> {
    let mut assumes = vec![
        "The exposure counted is in conditions like those in which the fault set.".to_owned(),
        "Each drive could have shown it: the self-test ran, and a code that needs two trips got them."
            .to_owned(),
        "Nobody cleared the codes meanwhile.".to_owned(),
    ];
    assumes.push(match recurrence.ends {
        WindowEnd::Set => {
            "The window of the count ends at a set of the fault.".to_owned()
        }
        WindowEnd::Now => {
            "The window of the count ends at a moment not chosen by the fault.".to_owned()
        }
    });
    assumes
}

fn remarks(needed: Option<f64>, in_km: bool) -> Vec<String> {
    let mut remarks = Vec::new();
    if needed.is_none() {
        remarks.push(
            "needed: no exposure gets there; it starts too unlikely to be fixed."
                .to_owned(),
        );
    }
    if !in_km {
        remarks.push(
            "needed_km, more_km: the count is not in kilometres; see `needed`, `more`."
                .to_owned(),
        );
    }
    remarks
}
