//! Least squares with few unknowns.

/// A solved fit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Solved<const K: usize> {
    /// The unknowns.
    pub(crate) at: [f64; K],
    /// Sum of the squares that are left.
    pub(crate) sse: f64,
    /// Diagonal of the inverse normal matrix: variance of each unknown at unit noise.
    pub(crate) spread: [f64; K],
}

/// What is left of each row.
pub(crate) fn residuals<const K: usize>(
    rows: impl Iterator<Item = ([f64; K], f64)>,
    at: &[f64; K],
) -> Vec<f64> {
    rows.map(|(row, value)| {
        let model: f64 = row.iter().zip(at).map(|(r, x)| r * x).sum();
        value - model
    })
    .collect()
}

/// Fits the rows (what multiplies each unknown, and the value); `None` where they do not
/// tell the unknowns apart.
pub(crate) fn fit<const K: usize>(
    rows: impl Iterator<Item = ([f64; K], f64)> + Clone,
) -> Option<Solved<K>> {
    let mut normal = [[0.0; K]; K];
    let mut right = [0.0; K];
    for (row, value) in rows.clone() {
        for a in 0..K {
            right[a] += row[a] * value;
            for b in 0..=a {
                normal[a][b] += row[a] * row[b];
            }
        }
    }
    let root = cholesky(&normal)?;
    let at = solve(&root, right);
    let mut spread = [0.0; K];
    for (k, one) in spread.iter_mut().enumerate() {
        let mut unit = [0.0; K];
        unit[k] = 1.0;
        *one = solve(&root, unit)[k];
    }
    let sse = rows
        .map(|(row, value)| {
            let model: f64 = row.iter().zip(&at).map(|(r, x)| r * x).sum();
            (value - model).powi(2)
        })
        .sum();
    Some(Solved { at, sse, spread })
}

fn cholesky<const K: usize>(normal: &[[f64; K]; K]) -> Option<[[f64; K]; K]> {
    let mut root = [[0.0; K]; K];
    for a in 0..K {
        for b in 0..=a {
            let taken: f64 = (0..b).map(|k| root[a][k] * root[b][k]).sum();
            let left = normal[a][b] - taken;
            root[a][b] = if a > b {
                left / root[b][b]
            } else if left > 1e-13 * normal[a][a] {
                left.sqrt()
            } else {
                return None;
            };
        }
    }
    Some(root)
}

fn solve<const K: usize>(root: &[[f64; K]; K], right: [f64; K]) -> [f64; K] {
    let mut x = right;
    for a in 0..K {
        let taken: f64 = (0..a).map(|k| root[a][k] * x[k]).sum();
        x[a] = (x[a] - taken) / root[a][a];
    }
    for a in (0..K).rev() {
        let taken: f64 = (a + 1..K).map(|k| root[k][a] * x[k]).sum();
        x[a] = (x[a] - taken) / root[a][a];
    }
    x
}
