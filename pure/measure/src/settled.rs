//! Steady error and gain: what is left once the actual value has settled.

use crate::chance::quantile;
use crate::estimate::{COVER, Estimate};
use crate::reading::count_f64;
use crate::robust::{mean, median, variance};
use crate::steps::Step;

/// Median of actual − command over the steps that settled, with its interval: from step
/// to step, or from the settled samples where only one step is there.
pub(crate) fn steady_error(settled: &[&Step]) -> Option<Estimate> {
    let errors: Vec<f64> = settled.iter().filter_map(|s| step_error(s)).collect();
    if errors.len() > 1 {
        let spread = Estimate::of_mean(&errors)?;
        let value = median(&errors)?;
        // Where errors lie to one side, the mean's interval may leave the median out.
        let (low, high) =
            (spread.low.map(|l| l.min(value)), spread.high.map(|h| h.max(value)));
        return Some(Estimate { value: Some(value), low, high });
    }
    let step = settled.first()?;
    let values: Vec<f64> = step.settled().iter().map(|s| s.1 - step.to).collect();
    let n = count_f64(values.len());
    let u = (variance(&values)? / n).sqrt();
    Some(Estimate::of_u(*errors.first()?, u, Some(n - 1.0)))
}

/// Settled actual value less the command.
pub(crate) fn step_error(step: &Step) -> Option<f64> {
    let values: Vec<f64> = step.settled().iter().map(|s| s.1 - step.to).collect();
    median(&values)
}

/// Several values of known uncertainty as one: weighted where they agree (Cochran's Q
/// within its 95 % point), else their mean with the spread seen.
pub(crate) fn pool(values: &[(f64, f64)], dof: f64) -> Option<Estimate> {
    if let [(value, u)] = values {
        return Some(Estimate::of_u(*value, *u, Some(dof)));
    }
    let plain: Vec<f64> = values.iter().map(|v| v.0).collect();
    let least = values.iter().map(|v| v.1).fold(f64::INFINITY, f64::min);
    if least <= 0.0 {
        return Estimate::of_mean(&plain);
    }
    let weight: f64 = values.iter().map(|v| v.1.powi(-2)).sum();
    let value = values.iter().map(|v| v.0 * v.1.powi(-2)).sum::<f64>() / weight;
    let q: f64 = values.iter().map(|v| ((v.0 - value) / v.1).powi(2)).sum();
    if q <= chi2_point(count_f64(values.len()) - 1.0) {
        return Some(Estimate::of_u(value, weight.sqrt().recip(), Some(dof)));
    }
    let centre = mean(&plain)?;
    Estimate::of_mean(&plain).map(|e| Estimate { value: Some(centre), ..e })
}

/// 95 % point of chi squared (Wilson and Hilferty 1931: within 1 % from one degree on).
fn chi2_point(dof: f64) -> f64 {
    let part = 2.0 / (9.0 * dof);
    dof * (1.0 - part + quantile(COVER, None) * part.sqrt()).powi(3)
}

#[cfg(test)]
mod tests {
    use super::steady_error;
    use crate::steps::Step;

    /// Five steps that miss by one and four that miss by nothing: the median lies outside the
    /// t interval of the mean where the errors are skewed enough.
    #[test]
    fn the_value_lies_in_its_interval() {
        let step = |error: f64| Step {
            between: (0.0, 0.1),
            from: 0.0,
            to: 10.0,
            samples: (0..40).map(|i| (0.1 * f64::from(i), 10.0 + error)).collect(),
            before: 1,
            rest_from: None,
            led: None,
            levels: (0.0, 10.0 + error),
            grain: 0.0,
        };
        let errors = [-1.0, -1.0, -1.0, -1.0, -1.0, 0.0, 0.0, 0.0, 0.0];
        let steps: Vec<Step> = errors.into_iter().map(step).collect();
        let found = steady_error(&steps.iter().collect::<Vec<_>>()).unwrap();
        assert_eq!(found.value, Some(-1.0));
        assert_eq!(found.low, Some(-1.0), "the mean's reaches to -0.96 only: {found:?}");
        assert!(found.high.is_some_and(|high| high > -0.5 && high < 0.0));
    }
}
