//! A recorded current made ready: turned the right way up, its zero taken off, counted from
//! the switch-on, cut at the switch-off.

use super::noise::Noise;
use super::solve::fit;
use crate::reading::count_f64;
use crate::robust::{mean, median};

/// Samples that are judged at most; more are averaged in groups.
const MOST: usize = 24_000;

/// Samples before the switch-on that make a zero.
const ZERO_SAMPLES: usize = 6;

/// Scatter of the zero, as a share of the rise, above which it is no zero.
const ZERO_SCATTER: f64 = 0.01;

/// Means over the record in which a switch-off is looked for.
const FLANK_MEANS: usize = 300;

/// Places that are tried for the switch-on before the best is refined.
const BEND_PLACES: u32 = 60;

/// Sum of squares, in noise variances, that a jump at the switch-on must explain.
const JUMP: f64 = 30.0;

/// A current, in A against s from the switch-on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Trace {
    /// Samples while the drive was on.
    pub(crate) samples: Vec<(f64, f64)>,
    /// Median time between samples, s.
    pub(crate) every_s: f64,
    /// Scatter.
    pub(crate) noise: Noise,
    /// Samples before the switch-on.
    pub(crate) before: Vec<(f64, f64)>,
    /// Switch-on in time of the file, s.
    pub(crate) start_s: f64,
    /// The zero that was taken off, A; `None` where no rest before the switch-on shows it.
    pub(crate) zero_a: Option<f64>,
    /// Least share of the rise that the first sample already shows.
    pub(crate) begins_at: f64,
    /// −1 where the probe was the wrong way round.
    pub(crate) sign: f64,
    /// Whether the drive was switched off within the file.
    pub(crate) switched_off: bool,
    /// Samples that one kept sample is the mean of.
    pub(crate) grouped: usize,
}

/// Makes a trace ready; `None` where no rise is in it.
pub(crate) fn prepare(samples: &[(f64, f64)]) -> Option<Trace> {
    let (samples, grouped) = grouped(samples);
    let values: Vec<f64> = samples.iter().map(|s| s.1).collect();
    let noise = Noise::of(&values);
    let first = median(values.get(..5)?)?;
    let (low, high) = (quantile(&values, 0.02), quantile(&values, 0.98));
    let sign = if (high - first).abs() >= (low - first).abs() { 1.0 } else { -1.0 };
    let end = if sign > 0.0 { high } else { low };
    let rise = (end - first).abs();
    if rise < 10.0 * noise.white() || rise < 0.3 * end.abs() {
        return None;
    }
    let turned: Vec<(f64, f64)> = samples.iter().map(|(t, a)| (*t, sign * a)).collect();
    let on = switch_on(&turned, sign * first, rise, &noise);
    let zero = on.map_or(0.0, |on| on.zero);
    let start_s = on.map_or(turned.first()?.0, |on| on.at_s);
    let shift = |(t, a): &(f64, f64)| (t - start_s, a - zero);
    let mut before: Vec<(f64, f64)> = turned.iter().map(shift).collect();
    let split = before.partition_point(|s| s.0 < 0.0);
    let mut after = before.split_off(split);
    let switched_off = cut_at_switch_off(&mut after, &noise);
    if after.len() < super::FEWEST_SAMPLES {
        return None;
    }
    let gaps: Vec<f64> = after.windows(2).map(|w| w[1].0 - w[0].0).collect();
    Some(Trace {
        every_s: median(&gaps)?,
        noise,
        before,
        start_s,
        zero_a: on.map(|on| on.zero),
        begins_at: if on.is_some() { 0.0 } else { (sign * first / rise).abs() },
        sign,
        switched_off,
        grouped,
        samples: after,
    })
}

/// Means of equal groups where there are more samples than are judged.
fn grouped(samples: &[(f64, f64)]) -> (Vec<(f64, f64)>, usize) {
    let size = samples.len().div_ceil(MOST).max(1);
    if size == 1 {
        return (samples.to_vec(), 1);
    }
    let n = count_f64(size);
    let middle = |group: &[(f64, f64)]| {
        let sum = group.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0, sum.1 + s.1));
        (sum.0 / n, sum.1 / n)
    };
    (samples.chunks_exact(size).map(middle).collect(), size)
}

/// The value below which the share of the values lies.
pub(crate) fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let last = sorted.len().saturating_sub(1);
    let wanted = share * count_f64(last);
    let at = (0..=last).find(|at| count_f64(*at) >= wanted).unwrap_or(last);
    sorted.get(at).copied().unwrap_or(0.0)
}

/// Where the current leaves its rest, and the rest.
#[derive(Debug, Clone, Copy)]
struct SwitchOn {
    at_s: f64,
    zero: f64,
}

/// The bend from rest to rise, if the file begins before it.
fn switch_on(
    samples: &[(f64, f64)],
    first: f64,
    rise: f64,
    noise: &Noise,
) -> Option<SwitchOn> {
    let reached = |share: f64| {
        let level = first + (share * rise).max(6.0 * noise.white());
        samples.windows(3).position(|w| w.iter().all(|s| s.1 > level))
    };
    let left = reached(0.02)?;
    if left < ZERO_SAMPLES {
        return None;
    }
    let until = reached(0.35)?.max(left + 4).min(samples.len());
    // A long rest tells no more of the bend than a short one.
    let part = &samples[left.saturating_sub(3 * (until - left) + 40)..until];
    let (from, to) = (part.first()?.0, part.last()?.0);
    let step = (to - from) / count_f64(part.len() - 1);
    let plain = |at: f64| bend::<3>(part, at);
    let jump = |at: f64| bend::<4>(part, at);
    let (soft, hard) = (best_bend((from, to), plain)?, best_bend((from, to), jump)?);
    // Eddy currents let the current begin with a jump: only where it clearly does.
    let variance = (hard.1 / count_f64(part.len()).max(1.0)).max(noise.white().powi(2));
    let at_s = if soft.1 - hard.1 > JUMP * variance { hard.0 } else { soft.0 };
    // Without a rest the whole of it is one rise.
    let no_rest = bend::<3>(part, from - step);
    if no_rest - soft.1.min(hard.1) < JUMP * variance {
        return None;
    }
    let rest: Vec<f64> =
        samples.iter().filter(|s| s.0 < at_s - step).map(|s| s.1).collect();
    if rest.len() < ZERO_SAMPLES {
        return None;
    }
    // A slow rise without a rest before it bends nowhere; a short noisy one has no zero.
    let scatter = noise.of_mean(rest.len());
    if scatter > ZERO_SCATTER * rise {
        return None;
    }
    let end = rest.len();
    let half = end.div_ceil(2);
    let drift = mean(&rest[half.min(end - 1)..])? - mean(&rest[..half])?;
    let still = drift.abs() < 8.0 * scatter.max(1e-4 * rise);
    still.then_some(SwitchOn { at_s, zero: mean(&rest)? })
}

/// Sum of squares of a rest, a rise from `at` that bends, and with four unknowns a jump.
fn bend<const K: usize>(part: &[(f64, f64)], at: f64) -> f64 {
    let rows = part.iter().map(move |(t, a)| {
        let on = (t - at).max(0.0);
        let full = [1.0, on, on * on, if *t >= at { 1.0 } else { 0.0 }];
        let mut row = [0.0; K];
        row.copy_from_slice(&full[..K]);
        (row, *a)
    });
    fit::<K>(rows).map_or(f64::INFINITY, |fit| fit.sse)
}

/// Where the sum of squares is least, and how much it is.
fn best_bend((from, to): (f64, f64), score: impl Fn(f64) -> f64) -> Option<(f64, f64)> {
    let stride = (to - from) / f64::from(BEND_PLACES);
    let coarse = (1..BEND_PLACES)
        .map(|k| from + f64::from(k) * stride)
        .min_by(|a, b| score(*a).total_cmp(&score(*b)))?;
    let at = least((coarse - stride, coarse + stride), &score);
    Some((at, score(at)))
}

/// Where a function of one dip is least (golden section).
pub(crate) fn least((mut low, mut high): (f64, f64), score: impl Fn(f64) -> f64) -> f64 {
    let golden = 0.618_034;
    let mut a = high - golden * (high - low);
    let mut b = low + golden * (high - low);
    let (mut at_a, mut at_b) = (score(a), score(b));
    for _ in 0..24 {
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - golden * (high - low);
            at_a = score(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + golden * (high - low);
            at_b = score(b);
        }
    }
    f64::midpoint(low, high)
}

/// Cuts off what follows the end of the drive: the current has fallen and stays down.
fn cut_at_switch_off(samples: &mut Vec<(f64, f64)>, noise: &Noise) -> bool {
    let count = samples.len().div_ceil(FLANK_MEANS);
    let n = count_f64(count);
    let means: Vec<f64> = samples
        .chunks_exact(count)
        .map(|group| group.iter().map(|s| s.1).sum::<f64>() / n)
        .collect();
    let top = quantile(&means, 0.98);
    let last_above = |share: f64| means.iter().rposition(|a| *a > share * top);
    let (Some(half), Some(tenth)) = (last_above(0.5), last_above(0.15)) else {
        return false;
    };
    let slack = 3.0 * noise.of_mean(count);
    if tenth + 3 >= means.len() || half + 4 >= means.len() || 0.15 * top < slack {
        return false;
    }
    // Back up the flank to where the current still stood or rose.
    let mut corner = half;
    while corner > 0 && means[corner - 1] > means[corner] + slack.max(0.004 * top) {
        corner -= 1;
    }
    samples.truncate(corner.saturating_sub(1) * count);
    true
}
