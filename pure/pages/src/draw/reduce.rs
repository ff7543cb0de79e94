//! Fewer points for the same picture: of each pixel column the first, the last, the least
//! and the greatest stay (Jugel, Jerzak, Hackenbroich and Markl 2014).

/// The points that a picture of so many pixel columns between two times needs, in their
/// order; at most four a column, and of all the least and the greatest. `points` rise in x.
#[must_use]
pub fn reduced(
    points: &[(f64, f64)],
    (from, to): (f64, f64),
    columns: u16,
) -> Vec<(f64, f64)> {
    let wide = to - from;
    if points.len() <= 4 * usize::from(columns) || !(wide.is_finite() && wide > 0.0) {
        return points.to_vec();
    }
    let column = |x: f64| ((x - from) / wide * f64::from(columns)).floor();
    let mut kept = Vec::new();
    let mut start = 0;
    for end in 1..=points.len() {
        let here = column(points[start].0);
        let same = points.get(end).is_some_and(|p| column(p.0).total_cmp(&here).is_eq());
        if same {
            continue;
        }
        let run = &points[start..end];
        let least = (0..run.len()).min_by(|a, b| run[*a].1.total_cmp(&run[*b].1));
        let most = (0..run.len()).max_by(|a, b| run[*a].1.total_cmp(&run[*b].1));
        let mut places = vec![0, least.unwrap_or(0), most.unwrap_or(0), run.len() - 1];
        places.sort_unstable();
        places.dedup();
        kept.extend(places.into_iter().map(|at| run[at]));
        start = end;
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::reduced;

    /// Noise by a linear congruential generator, with one spike.
    fn noise(points: u32) -> Vec<(f64, f64)> {
        let mut state = 1_u32;
        (0..points)
            .map(|i| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let spike = if i == points.div_euclid(3) { 50.0 } else { 0.0 };
                (f64::from(i), f64::from(state >> 8) / f64::from(1 << 24) + spike)
            })
            .collect()
    }

    /// The invariants of the paper: a subset in order, at most four a column, the least and
    /// the greatest kept at any zoom, and nothing more to do the second time.
    #[test]
    fn extremes_stay_at_any_zoom() {
        let points = noise(100_000);
        let most = |p: &[(f64, f64)]| p.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        let least = |p: &[(f64, f64)]| p.iter().map(|p| p.1).fold(f64::MAX, f64::min);
        for columns in [10, 320, 1000] {
            let few = reduced(&points, (0.0, 1e5), columns);
            assert!(few.len() <= 4 * usize::from(columns) + 4, "{}", few.len());
            assert!(few.windows(2).all(|w| w[0].0 < w[1].0));
            assert!(few.iter().all(|p| points.contains(p)));
            assert!((most(&few), least(&few)) == (most(&points), least(&points)));
            assert_eq!(reduced(&few, (0.0, 1e5), columns), few);
        }
    }
}
