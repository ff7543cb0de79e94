//! Medians and spreads that a few odd samples do not move.

/// Median; `None` of nothing.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    Some(f64::midpoint(sorted[last.div_ceil(2)], sorted[last >> 1]))
}

/// Standard deviation by the median absolute deviation, 1.4826 MAD.
pub(crate) fn spread(values: &[f64]) -> Option<f64> {
    let middle = median(values)?;
    let away: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    median(&away).map(|mad| 1.482_602 * mad)
}

/// Mean; `None` of nothing.
pub(crate) fn mean(values: &[f64]) -> Option<f64> {
    let n = crate::reading::count_f64(values.len());
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / n)
}

/// Sample variance with n − 1; `None` below two values.
pub(crate) fn variance(values: &[f64]) -> Option<f64> {
    let middle = mean(values)?;
    let n = crate::reading::count_f64(values.len());
    let squares: f64 = values.iter().map(|v| (v - middle).powi(2)).sum();
    (values.len() > 1).then(|| squares / (n - 1.0))
}

/// How many neighbouring values tell the same: (1 + ρ)/(1 − ρ) of the first
/// autocorrelation, at least 1 (Bayley and Hammersley 1946).
pub(crate) fn repeats(values: &[f64]) -> f64 {
    let Some(middle) = mean(values) else { return 1.0 };
    let squares: f64 = values.iter().map(|v| (v - middle).powi(2)).sum();
    let products: f64 =
        values.windows(2).map(|w| (w[0] - middle) * (w[1] - middle)).sum();
    if squares <= 0.0 {
        return 1.0;
    }
    let rho = (products / squares).clamp(0.0, 0.99);
    (1.0 + rho) / (1.0 - rho)
}
