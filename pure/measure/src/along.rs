//! Functions of one variable: where they are least, and where they rise above a limit.

/// Most looks at a function, of each search; they end after some ten.
const LOOKS: usize = 60;

/// First stride outward, and how much longer each next one is.
const STRIDE: f64 = 0.02;
const LONGER: f64 = 1.5;

/// How near to the limit is on it, as a share of its height above the least value.
const ON_LIMIT: f64 = 1e-6;

/// Where f is least between two places, to within `tolerance`, and its value there, from a
/// place in between with its value: parabolas through the last three, golden section where
/// they do not help (Brent 1973, Algorithms for Minimization without Derivatives, chapter 5).
pub(crate) fn least_between(
    (mut low, mut high): (f64, f64),
    start: (f64, f64),
    tolerance: f64,
    f: &impl Fn(f64) -> f64,
) -> (f64, f64) {
    let golden = 0.5 * (3.0 - 5.0_f64.sqrt());
    // The best place, the second best, and the one that was second before.
    let (mut best, mut second, mut third) = (start, start, start);
    let (mut stride, mut before) = (0.0_f64, 0.0_f64);
    for _ in 0..LOOKS {
        let middle = f64::midpoint(low, high);
        if (best.0 - middle).abs() <= 2.0 * tolerance - 0.5 * (high - low) {
            break;
        }
        let last_but_one = std::mem::replace(&mut before, stride);
        let by_parabola = vertex(best, second, third).filter(|by| {
            let inside = low < best.0 + by && best.0 + by < high;
            inside && by.abs() < 0.5 * last_but_one.abs()
        });
        stride = if let Some(by) = by_parabola {
            let at = best.0 + by;
            let at_end = at - low < 2.0 * tolerance || high - at < 2.0 * tolerance;
            if at_end { tolerance.copysign(middle - best.0) } else { by }
        } else {
            before = if best.0 < middle { high - best.0 } else { low - best.0 };
            golden * before
        };
        let by =
            if stride.abs() < tolerance { tolerance.copysign(stride) } else { stride };
        let at = best.0 + by;
        let new = (at, f(at));
        if new.1 <= best.1 {
            if at < best.0 {
                high = best.0;
            } else {
                low = best.0;
            }
            (third, second, best) = (second, best, new);
            continue;
        }
        if at < best.0 {
            low = at;
        } else {
            high = at;
        }
        let is_best = |other: (f64, f64)| other.0.to_bits() == best.0.to_bits();
        if new.1 <= second.1 || is_best(second) {
            (third, second) = (second, new);
        } else if new.1 <= third.1
            || is_best(third)
            || third.0.to_bits() == second.0.to_bits()
        {
            third = new;
        }
    }
    best
}

/// From the first place to the vertex of the parabola through three.
fn vertex(at: (f64, f64), b: (f64, f64), c: (f64, f64)) -> Option<f64> {
    let (to_b, to_c) = (at.0 - b.0, at.0 - c.0);
    let (r, q) = (to_b * (at.1 - c.1), to_c * (at.1 - b.1));
    let by = (to_c * q - to_b * r) / (2.0 * (r - q));
    by.is_finite().then_some(by)
}

/// Where f rises above a limit on the way from where it is least to an end; `None` if never.
/// Near its least value f is like a square, so its root is followed along secants, the end
/// that stays given half its weight (Illinois rule, Dowell and Jarratt 1971).
pub(crate) fn crossing(
    (best, least): (f64, f64),
    end: f64,
    limit: f64,
    f: &impl Fn(f64) -> f64,
) -> Option<f64> {
    let height = (limit - least).max(0.0).sqrt();
    let above = |at: f64| (f(at) - least).max(0.0).sqrt() - height;
    let (mut inside, mut step) = ((best, -height), (end - best).signum() * STRIDE);
    // Outward in growing strides, so that a far second dip is not mistaken for the edge.
    let mut outside = loop {
        let next = inside.0 + step;
        let beyond = (next - best).abs() >= (end - best).abs();
        let next = if beyond { end } else { next };
        let there = above(next);
        if there > 0.0 {
            break (next, there);
        }
        if beyond {
            return None;
        }
        inside = (next, there);
        step *= LONGER;
    };
    let mut last_side = None;
    for _ in 0..LOOKS {
        let share = inside.1 / (inside.1 - outside.1);
        let at = inside.0 + share * (outside.0 - inside.0);
        let there = above(at);
        if there.abs() <= ON_LIMIT * height {
            return Some(at);
        }
        let side = there > 0.0;
        let same = last_side == Some(side);
        if side {
            outside = (at, there);
            inside.1 *= if same { 0.5 } else { 1.0 };
        } else {
            inside = (at, there);
            outside.1 *= if same { 0.5 } else { 1.0 };
        }
        last_side = Some(side);
    }
    Some(inside.0)
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::{crossing, least_between};

    /// The test functions of Brent 1973, section 5.6: Σ ((2i − 5)/(x − i²))², i = 1 to 20, least
    /// between i² and (i+1)²; the places of his table 5.1, from memory.
    #[test]
    fn least_where_brents_table_says() {
        let terms = |x: f64| -> f64 {
            (1..=20_u32)
                .map(f64::from)
                .map(|i| ((2.0 * i - 5.0) / (x - i * i)).powi(2))
                .sum()
        };
        for (i, place) in [(1_u32, 3.022_915_3), (2, 6.683_753_6), (3, 11.238_701_7)] {
            let (low, high) = (f64::from(i * i) + 1e-9, f64::from((i + 1).pow(2)) - 1e-9);
            let looks = Cell::new(0);
            let f = |x: f64| {
                looks.set(looks.get() + 1);
                terms(x)
            };
            let start = low + 0.4 * (high - low);
            let (found, value) = least_between((low, high), (start, f(start)), 1e-8, &f);
            assert_eq!(value.to_bits(), terms(found).to_bits());
            assert!((found - place).abs() < 1e-6, "{i}: {found}");
            assert!(looks.get() < 25, "{i}: {} looks", looks.get());
        }
    }

    #[test]
    fn crosses_where_algebra_says_and_says_where_it_never_does() {
        let looks = Cell::new(0);
        // (x − 1)² + (x − 1)⁴ = 2 at x = 1 ± 1.
        let f = |x: f64| {
            looks.set(looks.get() + 1);
            3.0 + (x - 1.0).powi(2) + (x - 1.0).powi(4)
        };
        for (end, place) in [(9.0, 2.0), (-9.0, 0.0)] {
            looks.set(0);
            let found = crossing((1.0, 3.0), end, 5.0, &f).unwrap();
            assert!((found - place).abs() < 1e-5, "{found}");
            assert!(looks.get() < 20, "{} looks", looks.get());
        }
        assert_eq!(crossing((1.0, 3.0), 1.5, 5.0, &f), None);
    }
}
