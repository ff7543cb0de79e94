//! First order with dead time by least squares on true times:
//! y = y0 for t ≤ a, y0 + K (1 − e^(−(t−a)/τ)) after, with a the arrival of the answer.
//!
//! For a given τ the rest is solved exactly: between two samples the model is linear in
//! (y0, K, K e^(a/τ)), so each interval that a may lie in costs a few sums.

use crate::along::{crossing, least_between};
use crate::chance::quantile;
use crate::cores::in_two;
use crate::estimate::COVER;
use crate::reading::count_f64;
use crate::steps::Step;

/// Points of the first look along τ.
const GRID: u32 = 48;

/// How well the best log τ is found, in spacings of the first look: far below any interval.
const FINE: f64 = 1e-5;

/// Gaps between samples that differ by this share only are one: their decays differ by less.
const SAME_GAP: f64 = 1e-9;

/// From so many samples on, a second thread is worth its start: once for many fits, and for
/// every look at one τ.
const MANY: usize = 4_000;
const MANY_A_LOOK: usize = 20_000;

/// One step fitted for a given τ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fit {
    pub(crate) sse: f64,
    pub(crate) arrival_s: f64,
    pub(crate) gain_y: f64,
    pub(crate) start_y: f64,
    /// The least arrival the command allows was taken.
    pub(crate) at_edge: bool,
}

/// Several steps fitted with one τ.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LagFit {
    pub(crate) tau_s: f64,
    /// Profile-likelihood interval; an end is `None` where the data does not close it, or where
    /// it was not asked for.
    pub(crate) low_s: Option<f64>,
    pub(crate) high_s: Option<f64>,
    pub(crate) sse: f64,
    pub(crate) dof: f64,
    /// Least variance that the grid of the values leaves: grain²/12.
    pub(crate) floor: f64,
    pub(crate) fits: Vec<Fit>,
}

impl LagFit {
    /// Variance of the noise.
    pub(crate) fn variance(&self) -> f64 {
        (self.sse / self.dof).max(self.floor)
    }
}

/// Fits one τ to the steps given, with its interval; `None` without steps or samples enough.
pub(crate) fn fit(steps: &[&Step]) -> Option<LagFit> {
    let sought = Sought::of(steps)?;
    Some(sought.bounded(sought.best()?))
}

/// The interval of a fit of these steps.
pub(crate) fn bounded(fit: LagFit, steps: &[&Step]) -> LagFit {
    match Sought::of(steps) {
        Some(sought) => sought.bounded(fit),
        None => fit,
    }
}

/// As [`fit`], without the interval.
pub(crate) fn fit_best(steps: &[&Step]) -> Option<LagFit> {
    Sought::of(steps)?.best()
}

/// Fits each step by itself, without the interval.
pub(crate) fn fit_each(steps: &[Step]) -> Vec<Option<LagFit>> {
    let samples: usize = steps.iter().map(|s| s.samples.len()).sum();
    in_two(steps, samples >= MANY, |step| fit_best(&[step]))
}

/// Steps whose τ is sought.
struct Sought<'s> {
    steps: &'s [&'s Step],
    sums: Vec<Sums<'s>>,
    samples: usize,
    dof: f64,
    /// Least and greatest log τ that the samples could tell.
    ends: (f64, f64),
}

impl<'s> Sought<'s> {
    fn of(steps: &'s [&'s Step]) -> Option<Self> {
        let samples: usize = steps.iter().map(|s| s.samples.len()).sum();
        let dof = count_f64(samples) - 3.0 * count_f64(steps.len()) - 1.0;
        let (least, most) = tau_range(steps).filter(|_| dof >= 1.0)?;
        let sums = steps.iter().map(|step| Sums::of(step)).collect();
        Some(Self { steps, sums, samples, dof, ends: (least.ln(), most.ln()) })
    }

    fn sse(&self, log_tau: f64) -> f64 {
        let worth = self.samples >= MANY_A_LOOK;
        in_two(&self.sums, worth, |sums| sums.sse(log_tau)).into_iter().sum()
    }

    /// As `sse`, without another thread.
    fn alone(&self, log_tau: f64) -> f64 {
        self.sums.iter().map(|sums| sums.sse(log_tau)).sum()
    }

    /// The profile-likelihood interval of the best fit.
    fn bounded(&self, fit: LagFit) -> LagFit {
        let t = quantile(f64::midpoint(1.0, COVER), Some(fit.dof));
        let limit = fit.sse + t * t * fit.variance();
        let best = (fit.tau_s.ln(), fit.sse);
        let sse = |log_tau: f64| self.sse(log_tau);
        let [low_s, high_s] = [self.ends.0, self.ends.1]
            .map(|end| crossing(best, end, limit, &sse).map(f64::exp));
        LagFit { low_s, high_s, ..fit }
    }

    /// The best fit, without the interval.
    fn best(&self) -> Option<LagFit> {
        let (low, high) = self.ends;
        let spacing = (high - low) / f64::from(GRID);
        let grid: Vec<f64> = (0..=GRID).map(|i| low + spacing * f64::from(i)).collect();
        let seen = in_two(&grid, self.samples >= MANY, |log_tau| {
            (*log_tau, self.alone(*log_tau))
        });
        let start = seen.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let within = ((start.0 - spacing).max(low), (start.0 + spacing).min(high));
        let sse = |log_tau: f64| self.sse(log_tau);
        let tau_s = least_between(within, start, FINE * spacing, &sse).0.exp();
        let fits: Vec<Fit> = self.sums.iter().filter_map(|s| s.fit(tau_s)).collect();
        let total: f64 = fits.iter().map(|f| f.sse).sum();
        let scale: f64 = self.steps.iter().map(|s| s.change().powi(2)).sum();
        let grain = self.steps.iter().map(|s| s.grain).fold(0.0, f64::max);
        Some(LagFit {
            tau_s,
            low_s: None,
            high_s: None,
            // Data without noise would close the interval to nothing and trip on rounding.
            sse: total.max(1e-14 * scale),
            dof: self.dof,
            floor: grain * grain / 12.0,
            fits,
        })
    }
}

fn tau_range(steps: &[&Step]) -> Option<(f64, f64)> {
    let longest = steps.iter().map(|s| span(s.after())).fold(0.0, f64::max);
    let closest = steps
        .iter()
        .flat_map(|s| s.after().windows(2).map(|w| w[1].0 - w[0].0))
        .filter(|gap| *gap > 0.0)
        .fold(f64::INFINITY, f64::min);
    let least = 0.1 * closest;
    (least.is_finite() && longest > 10.0 * least).then_some((least, longest))
}

fn span(samples: &[(f64, f64)]) -> f64 {
    match (samples.first(), samples.last()) {
        (Some(first), Some(last)) => last.0 - first.0,
        _ => 0.0,
    }
}

/// Sums over the samples from k on; `u_i` = e^(−(`t_i`−`t_k`)/τ).
#[derive(Debug, Clone, Copy, Default)]
struct Tail {
    n: f64,
    u: f64,
    uu: f64,
    y: f64,
    uy: f64,
    yy: f64,
}

impl Tail {
    /// The sums with one sample more in front; `shrink` is e^(−gap/τ) of the gap between.
    fn grown(self, shrink: f64, y: f64) -> Self {
        Self {
            n: self.n + 1.0,
            u: 1.0 + shrink * self.u,
            uu: 1.0 + shrink * shrink * self.uu,
            y: self.y + y,
            uy: y + shrink * self.uy,
            yy: self.yy + y * y,
        }
    }
}

/// The samples before k: how many, the sum of their values and of their squares.
#[derive(Debug, Clone, Copy, Default)]
struct Head {
    n: f64,
    y: f64,
    yy: f64,
}

impl Head {
    /// Sum of squares about their mean.
    fn spread(self) -> f64 {
        self.yy - self.y * self.y / self.n
    }
}

/// A step with the sums over its first samples, which no τ changes.
struct Sums<'s> {
    step: &'s Step,
    /// The samples before each.
    heads: Vec<Head>,
}

impl<'s> Sums<'s> {
    fn of(step: &'s Step) -> Self {
        let heads = (0..step.samples.len())
            .scan(Head::default(), |sums, i| {
                let y = height(step, i);
                let head = *sums;
                *sums = Head { n: head.n + 1.0, y: head.y + y, yy: head.yy + y * y };
                Some(head)
            })
            .collect();
        Self { step, heads }
    }

    fn sse(&self, log_tau: f64) -> f64 {
        self.fit(log_tau.exp()).map_or(f64::INFINITY, |fit| fit.sse)
    }

    /// Best arrival, gain and start for one τ.
    fn fit(&self, tau: f64) -> Option<Fit> {
        let step = self.step;
        let samples = &step.samples;
        let tails = self.tails(tau);
        let mut best: Option<(usize, Sse)> = None;
        let mut decay = (f64::NAN, 0.0);
        // The last tail has one sample.
        for (k, tail) in
            (step.before..samples.len().saturating_sub(1)).zip(tails.into_iter().rev())
        {
            let head = self.heads[k];
            // From here on the samples before k alone are farther off.
            if best.is_some_and(|(_, have)| head.spread() > have.0) {
                break;
            }
            let before = samples[k].0 - samples[k - 1].0.max(step.between.0);
            let known = (before - decay.0).abs() <= SAME_GAP * decay.0;
            if !known {
                decay = (before, (-before / tau).exp());
            }
            let shrink = decay.1;
            for fit in [edge(head, tail, shrink), inside(head, tail, shrink)] {
                if let Some(solved) = fit
                    && best.is_none_or(|(_, have)| solved.0 <= have.0)
                {
                    best = Some((k, solved));
                }
            }
        }
        let (k, (sse, growth, gain_y, start_y)) = best?;
        let arrival_s = samples[k].0 + tau * growth.ln();
        let at_edge = k == step.before && arrival_s <= step.between.0 + 1e-9 * tau;
        let start_y = start_y + step.levels.0;
        Some(Fit { sse, arrival_s, gain_y, start_y, at_edge })
    }

    /// The sums from each sample on, from the last but one back to the first after the step.
    fn tails(&self, tau: f64) -> Vec<Tail> {
        let (step, samples) = (self.step, &self.step.samples);
        let Some(last) = samples.len().checked_sub(1) else { return Vec::new() };
        let mut tail = Tail::default().grown(0.0, height(step, last));
        let mut decay = (f64::NAN, 0.0);
        (step.before..last)
            .rev()
            .map(|k| {
                let gap = samples[k + 1].0 - samples[k].0;
                let known = (gap - decay.0).abs() <= SAME_GAP * gap;
                if !known {
                    decay = (gap, (-gap / tau).exp());
                }
                tail = tail.grown(decay.1, height(step, k));
                tail
            })
            .collect()
    }
}

/// A value counted from the level before, so that sums do not cancel.
fn height(step: &Step, i: usize) -> f64 {
    step.samples[i].1 - step.levels.0
}

/// Sum of squares, growth, gain and start.
type Sse = (f64, f64, f64, f64);
type Solved = Option<Sse>;

/// The arrival lies between two samples: the head is a mean, the tail a line in u.
fn inside(head: Head, tail: Tail, least: f64) -> Solved {
    let start = head.y / head.n;
    let spread_u = tail.uu - tail.u * tail.u / tail.n;
    // Nothing left of the exponential: no line to fit.
    if spread_u <= 1e-12 {
        return None;
    }
    let slope = (tail.uy - tail.u * tail.y / tail.n) / spread_u;
    let level = (tail.y - slope * tail.u) / tail.n;
    let gain = level - start;
    let growth = -slope / gain;
    if !(growth > least && growth <= 1.0) {
        return None;
    }
    let spread_y = tail.yy - tail.y * tail.y / tail.n;
    let sse = head.spread() + (spread_y - slope * slope * spread_u);
    Some((sse.max(0.0), growth, gain, start))
}

/// The arrival lies on a sample or on the command: a line in f = 1 − growth·u.
fn edge(head: Head, tail: Tail, growth: f64) -> Solved {
    let all = head.n + tail.n;
    let f = tail.n - growth * tail.u;
    let ff = tail.n - 2.0 * growth * tail.u + growth * growth * tail.uu;
    let fy = tail.y - growth * tail.uy;
    let y = head.y + tail.y;
    let spread_f = ff - f * f / all;
    if spread_f <= 1e-12 || growth <= 0.0 {
        return None;
    }
    let gain = (fy - f * y / all) / spread_f;
    let start = (y - gain * f) / all;
    let spread_y = head.yy + tail.yy - y * y / all;
    Some(((spread_y - gain * gain * spread_f).max(0.0), growth, gain, start))
}

/// How well an arrival is known for a given τ, and how it moves with τ:
/// (variance over noise variance, da/dτ), from the normal equations.
pub(crate) fn arrival_spread(step: &Step, fit: &Fit, tau: f64) -> Option<(f64, f64)> {
    let mut normal = [[0.0; 3]; 3];
    let mut with_tau = [0.0; 3];
    for (t, _) in &step.samples {
        let age = (t - fit.arrival_s) / tau;
        let decay = if age > 0.0 { (-age).exp() } else { 0.0 };
        let answered = if age > 0.0 { 1.0 - decay } else { 0.0 };
        let row = [-fit.gain_y / tau * decay, answered, 1.0];
        let tau_part = if age > 0.0 { -fit.gain_y * age / tau * decay } else { 0.0 };
        for (i, a) in row.iter().enumerate() {
            with_tau[i] += a * tau_part;
            for (j, b) in row.iter().enumerate() {
                normal[i][j] += a * b;
            }
        }
    }
    let first = first_row_of_inverse(&normal)?;
    let slope = -first.iter().zip(with_tau).map(|(a, b)| a * b).sum::<f64>();
    Some((first[0], slope))
}

/// First row of the inverse of a symmetric 3 × 3 matrix, by cofactors.
fn first_row_of_inverse(m: &[[f64; 3]; 3]) -> Option<[f64; 3]> {
    let minor = |a: usize, b: usize| m[1][a] * m[2][b] - m[1][b] * m[2][a];
    let row = [minor(1, 2), -minor(0, 2), minor(0, 1)];
    let det = m[0][0] * row[0] + m[0][1] * row[1] + m[0][2] * row[2];
    (det.abs() > 0.0 && det.is_finite()).then(|| row.map(|x| x / det))
}
