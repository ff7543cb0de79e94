//! Slow ramps as a part that plays and sticks: command delayed, then stuck on each turn
//! until it has moved S, then a slip by J and along at a distance of (S − J)/2
//! (Choudhury, Thornhill and Shah 2005), then first order; width = S − J. Lag and width are
//! told apart by how the actual value turns.

use crate::chance::quantile;
use crate::estimate::{COVER, Estimate};
use crate::reading::count_f64;
use crate::steps::{Sample, range};

/// Samples that are enough for a fit.
const MOST: usize = 800;

/// Samples on the ramps below which nothing is fitted.
const FEWEST: usize = 24;

/// Largest width and slip as shares of the command's range, and lag as one of a ramp.
const WIDEST: f64 = 0.6;
const LONGEST: f64 = 0.25;

/// Width as a share of the command's range below which nothing is told.
const FINEST: f64 = 0.001;

/// Halvings of the simplex, and of a bracket of the interval.
const NARROWINGS: usize = 140;
const HALVINGS: usize = 7;

/// Dead time and time constant from steps, s, each with its standard uncertainty.
pub(crate) type Lag = ((f64, f64), (f64, f64));

/// What the ramps were fitted with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Played {
    pub(crate) width: Estimate,
    pub(crate) slip: f64,
    pub(crate) lag_s: f64,
    /// The lag was found with the width, not by steps.
    pub(crate) lag_found: bool,
}

/// Width, dead time, time constant, slip.
type At = [f64; 4];

/// Samples to compare: time, actual value, and whether it counts; and what is asked.
struct Ramps<'a> {
    command: &'a [Sample],
    points: Vec<(f64, f64, bool)>,
    least: At,
    most: At,
}

/// Fits width and slip, and the lag too where it is not known from steps. `spans` are the
/// times of the ramps.
pub(crate) fn play(
    command: &[Sample],
    actual: &[Sample],
    spans: &[(f64, f64)],
    lag: Option<Lag>,
) -> Option<Played> {
    let longest = spans.iter().map(|(from, to)| to - from).fold(0.0, f64::max);
    let range = range(command);
    let mut ramps = ramps(command, actual, spans);
    ramps.most = [WIDEST * range, LONGEST * longest, LONGEST * longest, 0.0];
    if let Some(((dead_s, _), (tau_s, _))) = lag {
        (ramps.least[1], ramps.most[1]) = (dead_s, dead_s);
        (ramps.least[2], ramps.most[2]) = (tau_s, tau_s);
    }
    let n = count_f64(ramps.points.iter().filter(|p| p.2).count());
    let plain = ramps.best(&ramps.starts());
    let (at, sse) = plain;
    ramps.most[3] = WIDEST * range;
    let mut some_slip = Vec::new();
    for share in [0.0, 0.5, 1.0] {
        for slip in [0.05, 0.15, 0.4] {
            some_slip.push([share * at[0], at[1], at[2], slip * ramps.most[3]]);
        }
    }
    let slipping = ramps.best(&some_slip);
    // A slip must earn its parameter by the Bayesian information criterion.
    let earned = n * (sse / slipping.1.max(1e-300)).ln() > 10.0 + n.ln()
        && slipping.0[3] > 5.0 * FINEST * range;
    // The interval takes every slip in that fits, earned or not.
    let (at, sse) = if earned { slipping } else { plain };
    if n < count_f64(FEWEST) {
        return None;
    }
    // Residuals of noise-free data all tell the same: a few are left in any case.
    let told = n / crate::robust::repeats(&ramps.left(at));
    let dof = (told - if earned { 6.0 } else { 5.0 }).max(4.0);
    let t = quantile(f64::midpoint(1.0, COVER), Some(dof));
    let limit = sse * (1.0 + t * t / dof);
    let floor = FINEST * range;
    let by_lag = lag.map_or(0.0, |((_, u_dead), (_, u_tau))| {
        1.96 * 2.0 * fastest(command, spans) * u_dead.hypot(u_tau)
    });
    let end = |sign: f64| {
        let found = ramps.edge(at, sign, floor, limit);
        at[0] + sign * (found - at[0]).abs().hypot(floor).hypot(by_lag)
    };
    let width = Estimate::new(at[0], end(-1.0).max(0.0), end(1.0));
    let lag_s = at[1] + at[2];
    Some(Played { width, slip: at[3], lag_s, lag_found: lag.is_none() })
}

fn ramps<'a>(
    command: &'a [Sample],
    actual: &[Sample],
    spans: &[(f64, f64)],
) -> Ramps<'a> {
    let every = actual.len().div_ceil(MOST).max(1);
    // Where the part stood before the first turn nobody knows.
    let first = spans.first().map_or(0.0, |(from, to)| from + (to - from) / 3.0);
    let counts =
        |t: f64| t >= first && spans.iter().any(|(from, to)| *from <= t && t <= *to);
    let points = actual.iter().step_by(every).map(|s| (s.0, s.1, counts(s.0))).collect();
    Ramps { command, points, least: [0.0; 4], most: [0.0; 4] }
}

/// Greatest rate of the command on a ramp.
fn fastest(command: &[Sample], spans: &[(f64, f64)]) -> f64 {
    let on = |t: f64| command.partition_point(|s| s.0 <= t).saturating_sub(1);
    let rate = |(from, to): &(f64, f64)| {
        let (a, b) = (command.get(on(*from)), command.get(on(*to)));
        a.zip(b).map_or(0.0, |(a, b)| ((b.1 - a.1) / (b.0 - a.0).max(1e-9)).abs())
    };
    spans.iter().map(rate).fold(0.0, f64::max)
}

impl Ramps<'_> {
    /// Points to begin from: width by lag, the lag all dead time, half of it, none.
    fn starts(&self) -> Vec<At> {
        let shares = [0.0, 0.02, 0.06, 0.15, 0.35];
        let lags = [0.02, 0.08, 0.25];
        let mut starts = Vec::new();
        for width in shares {
            for lag in lags {
                for dead in [0.0, 0.5, 1.0] {
                    let lag = lag * self.most[1].max(self.most[2]);
                    let at = [width * self.most[0], dead * lag, (1.0 - dead) * lag, 0.0];
                    starts.push(self.inside(at));
                }
            }
        }
        starts
    }

    fn inside(&self, mut at: At) -> At {
        for ((x, least), most) in at.iter_mut().zip(self.least).zip(self.most) {
            *x = x.clamp(least, most.max(least));
        }
        at
    }

    /// From the best of the points, a simplex twice.
    fn best(&self, starts: &[At]) -> (At, f64) {
        let mut tried: Vec<(At, f64)> =
            starts.iter().map(|at| (*at, self.sse(*at))).collect();
        tried.sort_by(|a, b| a.1.total_cmp(&b.1));
        // A lag can stand in for a width at first: begin from the best of each width.
        let mut widths: Vec<u64> = Vec::new();
        let mut best = (self.least, f64::INFINITY);
        for start in tried {
            if widths.contains(&start.0[0].to_bits()) {
                continue;
            }
            widths.push(start.0[0].to_bits());
            let found = self.simplex(start, 0.15);
            if found.1 < best.1 {
                best = found;
            }
        }
        self.simplex(best, 0.03)
    }

    /// Nelder and Mead (1965) on the parameters that are free, clamped to their limits.
    fn simplex(&self, first: (At, f64), reach: f64) -> (At, f64) {
        let mut corners = vec![first];
        for i in 0..4 {
            let wide = self.most[i] - self.least[i];
            if wide > 0.0 {
                let mut at = first.0;
                let by = (reach * wide).min(0.5 * at[i] + 0.02 * wide);
                at[i] += if at[i] + by <= self.most[i] { by } else { -by };
                corners.push((at, self.sse(at)));
            }
        }
        let last = corners.len() - 1;
        if last == 0 {
            return first;
        }
        for _ in 0..NARROWINGS {
            corners.sort_by(|a, b| a.1.total_cmp(&b.1));
            let (best, worst) = (corners[0], corners[last]);
            if worst.1 - best.1 <= 1e-9 * best.1 {
                break;
            }
            let mut centre = [0.0; 4];
            for (at, _) in &corners[..last] {
                for (sum, x) in centre.iter_mut().zip(at) {
                    *sum += x / count_f64(last);
                }
            }
            let along = |by: f64| {
                let mut at = centre;
                for (x, worst) in at.iter_mut().zip(worst.0) {
                    *x += by * (*x - worst);
                }
                let at = self.inside(at);
                (at, self.sse(at))
            };
            let there = along(1.0);
            let next = if there.1 < best.1 {
                let farther = along(2.0);
                if farther.1 < there.1 { farther } else { there }
            } else if there.1 < corners[last - 1].1 {
                there
            } else {
                along(if there.1 < worst.1 { 0.5 } else { -0.5 })
            };
            if next.1 < worst.1 {
                corners[last] = next;
                continue;
            }
            for corner in &mut corners[1..] {
                for (x, best) in corner.0.iter_mut().zip(best.0) {
                    *x = f64::midpoint(*x, best);
                }
                corner.1 = self.sse(corner.0);
            }
        }
        corners.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or(first)
    }

    /// Where the least sum at a given width passes the limit, going by growing strides.
    fn edge(&self, best: At, sign: f64, stride: f64, limit: f64) -> f64 {
        let held = |width: f64, near: At| {
            let fixed = Ramps {
                command: self.command,
                points: self.points.clone(),
                least: [width, self.least[1], self.least[2], self.least[3]],
                most: [width, self.most[1], self.most[2], self.most[3]],
            };
            let at = [width, near[1], near[2], near[3]];
            fixed.simplex((at, fixed.sse(at)), 0.1)
        };
        let (mut inside, mut near, mut stride) = (best[0], best, stride);
        let mut outside = loop {
            let next = (inside + sign * stride).clamp(self.least[0], self.most[0]);
            if (next - inside).abs() <= 0.0 {
                return next;
            }
            let found = held(next, near);
            if found.1 > limit {
                break next;
            }
            (inside, near) = (next, found.0);
            stride *= 2.0;
        };
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(inside, outside);
            let found = held(middle, near);
            if found.1 > limit {
                outside = middle;
            } else {
                (inside, near) = (middle, found.0);
            }
        }
        outside
    }

    fn sse(&self, at: At) -> f64 {
        self.left(at).iter().map(|left| left * left).sum()
    }

    /// What the best line through model and actual value leaves at each point that counts.
    fn left(&self, at: At) -> Vec<f64> {
        let moved = self.moved(at);
        let (level, slope) = line(&moved);
        moved.iter().map(|(x, y)| y - level - slope * x).collect()
    }

    /// Where the part stands at each point that counts, with the value read there.
    fn moved(&self, [width, dead_s, tau_s, slip]: At) -> Vec<(f64, f64)> {
        let start = self.command.first().copied().unwrap_or((0.0, 0.0));
        let mut part = Part::at(start, (width, slip, tau_s));
        let mut at = 0;
        let mut moved = Vec::with_capacity(self.points.len());
        for (t, value, counts) in &self.points {
            let t = t - dead_s;
            while let Some(passed) = self.command.get(at).filter(|s| s.0 <= t) {
                part.goes(*passed);
                at += 1;
            }
            let next = self.command.get(at);
            if let (Some(a), Some(b)) = (self.command.get(at.wrapping_sub(1)), next) {
                let share = (t - a.0) / (b.0 - a.0).max(1e-12);
                part.goes((t, a.1 + share * (b.1 - a.1)));
            }
            if *counts {
                moved.push((part.followed, *value));
            }
        }
        moved
    }
}

fn line(pairs: &[(f64, f64)]) -> (f64, f64) {
    let n = count_f64(pairs.len().max(1));
    let (mx, my) =
        pairs.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0 / n, sum.1 + p.1 / n));
    let sxx: f64 = pairs.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let sxy: f64 = pairs.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    let slope = if sxx > 0.0 { sxy / sxx } else { 0.0 };
    (my - slope * mx, slope)
}

/// The part on its way.
struct Part {
    width: f64,
    slip: f64,
    tau_s: f64,
    before: Sample,
    held: f64,
    /// Which way it goes; `None` at the start.
    up: Option<bool>,
    stuck: bool,
    out: f64,
    followed: f64,
}

impl Part {
    fn at(before: Sample, (width, slip, tau_s): (f64, f64, f64)) -> Self {
        let x = before.1;
        let (held, out, followed, up) = (x, x, x, None);
        Self { width, slip, tau_s, before, held, up, stuck: false, out, followed }
    }

    fn goes(&mut self, to: Sample) {
        let from = self.out;
        self.slides(to.1);
        let for_s = to.0 - self.before.0;
        self.before = to;
        if for_s <= 0.0 {
            return;
        }
        // First order behind a straight piece, exactly.
        let short = (self.out - from) / for_s * self.tau_s;
        let decay = if self.tau_s > 0.0 { (-for_s / self.tau_s).exp() } else { 0.0 };
        self.followed = self.out - short + (self.followed - from + short) * decay;
    }

    fn slides(&mut self, x: f64) {
        let before = self.before.1;
        if x.to_bits() == before.to_bits() {
            return;
        }
        let up = x > before;
        if self.up != Some(up) {
            (self.stuck, self.held) = (self.up.is_some(), before);
            self.up = Some(up);
        }
        if self.stuck && (x - self.held).abs() >= self.width + self.slip {
            self.stuck = false;
        }
        if !self.stuck {
            self.out = if up { x - self.width / 2.0 } else { x + self.width / 2.0 };
        }
    }
}
