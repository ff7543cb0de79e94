//! Probabilities of intervals under the normal and Student's t distribution.

use statrs::distribution::{Beta, ContinuousCDF, StudentsT};
use statrs::function::erf::erfc;

/// Halvings of a bracket: enough to reach the last bit of a double.
const HALVINGS: usize = 200;

/// Degrees of freedom from which t and normal differ by less than 1e-6.
const NORMAL_FROM: f64 = 1e6;

/// Probability that a standard variable is at most x: normal, or t for given degrees
/// of freedom.
pub(crate) fn at_most(x: f64, dof: Option<f64>) -> f64 {
    if x.is_infinite() {
        return if x > 0.0 { 1.0 } else { 0.0 };
    }
    dof.filter(|dof| *dof < NORMAL_FROM)
        .and_then(|dof| StudentsT::new(0.0, 1.0, dof).ok())
        .map_or_else(|| 0.5 * erfc(-x / std::f64::consts::SQRT_2), |t| t.cdf(x))
}

/// The x that a standard variable exceeds with probability 1 − p.
pub(crate) fn quantile(p: f64, dof: Option<f64>) -> f64 {
    let mut reach = 1.0;
    while reach < 1e12 && (at_most(reach, dof) < p || at_most(-reach, dof) > p) {
        reach *= 2.0;
    }
    bisect(-reach, reach, |x| at_most(x, dof) < p)
}

/// Quantile of the beta distribution with both shapes above 0.
pub(crate) fn beta_quantile(p: f64, a: f64, b: f64) -> f64 {
    Beta::new(a, b).map_or(f64::NAN, |beta| bisect(0.0, 1.0, |x| beta.cdf(x) < p))
}

fn bisect(mut low: f64, mut high: f64, below: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if below(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Probability that the true value lies between two limits, both included.
/// With u = 0 it is 0 or 1.
pub(crate) fn within(
    value: f64,
    u: f64,
    dof: Option<f64>,
    limits: (Option<f64>, Option<f64>),
) -> f64 {
    let low = limits.0.unwrap_or(f64::NEG_INFINITY);
    let high = limits.1.unwrap_or(f64::INFINITY);
    if u <= 0.0 {
        return if (low..=high).contains(&value) { 1.0 } else { 0.0 };
    }
    // Both from the nearer tail: 1 - 1e-20 would lose what 1e-20 keeps.
    let (a, b) = ((low - value) / u, (high - value) / u);
    let p = if a > 0.0 {
        at_most(-a, dof) - at_most(-b, dof)
    } else {
        at_most(b, dof) - at_most(a, dof)
    };
    p.clamp(0.0, 1.0)
}

/// Weight of each band for a judged value: the probability that the true value lies
/// in it. Bands are (from, below): from ≤ x < below; an open side has no bound.
///
/// `value` and `u` in one unit; `dof` from [`crate::JudgeAnswer`]. The weights sum to 1;
/// where the bands leave all probability out, the nearest band gets it. Without bands,
/// or if `value` or `u` is not finite or `u` is negative, there are no weights.
pub fn band_weights(
    value: f64,
    u: f64,
    dof: Option<f64>,
    bands: &[(Option<f64>, Option<f64>)],
) -> Vec<f64> {
    if !value.is_finite() || !u.is_finite() || u < 0.0 {
        return Vec::new();
    }
    let raw: Vec<f64> = bands
        .iter()
        .map(|&(from, below)| {
            if u > 0.0 {
                return within(value, u, dof, (from, below));
            }
            let inside =
                from.is_none_or(|f| value >= f) && below.is_none_or(|b| value < b);
            if inside { 1.0 } else { 0.0 }
        })
        .collect();
    let sum: f64 = raw.iter().sum();
    if sum > 0.0 {
        return raw.iter().map(|w| w / sum).collect();
    }
    let away = |&(from, below): &(Option<f64>, Option<f64>)| {
        let under = from.map_or(0.0, |f| (f - value).max(0.0));
        let over = below.map_or(0.0, |b| (value - b).max(0.0));
        under.max(over)
    };
    let nearest = bands.iter().map(away).enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
    let nearest = nearest.map(|(at, _)| at);
    (0..bands.len()).map(|at| if Some(at) == nearest { 1.0 } else { 0.0 }).collect()
}
