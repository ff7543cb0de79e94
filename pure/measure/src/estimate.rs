//! A metric with its interval, or the bound that the data carries, or neither.

use schemars::JsonSchema;
use serde::Serialize;

use crate::chance::{band_weights, quantile};
use crate::reading::count_f64;
use crate::robust::{mean, variance};

/// Probability that an interval covers the true value.
pub(crate) const COVER: f64 = 0.95;

/// A value with its 95 % interval. Without a value, `low` or `high` is a bound that
/// the data does carry; all three null: not judged, and a remark says why.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Estimate {
    /// The estimate.
    pub value: Option<f64>,
    /// Lower end of the interval, or lower bound.
    pub low: Option<f64>,
    /// Upper end of the interval, or upper bound.
    pub high: Option<f64>,
}

impl Estimate {
    pub(crate) fn new(value: f64, low: f64, high: f64) -> Self {
        let finite = |x: f64| x.is_finite().then_some(x);
        Self { value: finite(value), low: finite(low), high: finite(high) }
    }

    pub(crate) fn at_most(high: f64) -> Self {
        Self { value: None, low: None, high: high.is_finite().then_some(high) }
    }

    pub(crate) fn at_least(low: f64) -> Self {
        Self { value: None, low: low.is_finite().then_some(low), high: None }
    }

    /// A value with a standard uncertainty.
    pub(crate) fn of_u(value: f64, u: f64, dof: Option<f64>) -> Self {
        let reach = quantile(f64::midpoint(1.0, COVER), dof) * u;
        Self::new(value, value - reach, value + reach)
    }

    /// Mean of single values with its t interval; the value alone for one of them.
    pub(crate) fn of_mean(values: &[f64]) -> Option<Self> {
        let value = mean(values)?;
        let n = count_f64(values.len());
        Some(
            variance(values)
                .map_or(Self { value: Some(value), low: None, high: None }, |v| {
                    Self::of_u(value, (v / n).sqrt(), Some(n - 1.0))
                }),
        )
    }

    /// Standard uncertainty taken from the interval; `None` without one.
    pub fn u(&self) -> Option<f64> {
        let reach = quantile(f64::midpoint(1.0, COVER), None);
        Some((self.high? - self.low?) / (2.0 * reach)).filter(|_| self.value.is_some())
    }

    /// Weight of each band (from, below) for this metric. Where only a bound is known
    /// it counts if it lies in one band as a whole; `None`: this moves nothing.
    pub fn band_weights(&self, bands: &[(Option<f64>, Option<f64>)]) -> Option<Vec<f64>> {
        if let Some(value) = self.value {
            return Some(band_weights(value, self.u().unwrap_or(0.0), None, bands));
        }
        if self.low.is_none() && self.high.is_none() {
            return None;
        }
        let holds = |&(from, below): &(Option<f64>, Option<f64>)| {
            from.is_none_or(|f| self.low.is_some_and(|low| low >= f))
                && below.is_none_or(|b| self.high.is_some_and(|high| high < b))
        };
        let weights: Vec<f64> =
            bands.iter().map(|band| if holds(band) { 1.0 } else { 0.0 }).collect();
        weights.contains(&1.0).then_some(weights)
    }
}
