//! The contact: where a fall of the current ends in a sharp bend, because the plunger's
//! speed, and with it the voltage that its motion makes, is gone at once.

use super::dips::Dip;
use super::noise::follow_factor;
use super::solve::{Solved, fit, residuals};
use super::trace::{Trace, least};
use crate::reading::count_f64;

/// Windows that are tried, as shares of the length of the fall.
const WINDOWS: [f64; 6] = [0.06, 0.1, 0.17, 0.28, 0.42, 0.65];

/// Windows that are moved along the recovery to find the bend.
const SCANS: [f64; 3] = [0.06, 0.12, 0.25];

/// Share of the recovery up to which the bend is looked for.
const RECOVERED: f64 = 0.85;

/// How much clearer than at the bottom of the dip a bend elsewhere must be.
const ELSEWHERE: f64 = 1.6;

/// Share of the clearest bend from which an earlier one is the contact; the later is bounce.
const FIRST: f64 = 0.6;

/// Times in which the bend may be rounded, as shares of the window: an elastic stop, eddy
/// currents and the probe all round it.
const ROUNDINGS: [f64; 4] = [0.0, 0.04, 0.1, 0.2];

/// Share of the fall from which a window is wide.
const WIDE: f64 = 0.5;

/// Samples on each side that the fit needs.
const SIDE: usize = 6;

/// Means in a window at most.
const MOST: usize = 120;

/// Places that are tried in a window before the best is refined.
const PLACES: u32 = 36;

/// Rise of the sum of squares, in noise variances, that bounds 95 %, with room for what the
/// pieces on both sides do not follow.
const BOUND: f64 = 5.0;

/// Sum of squares, in noise variances, that a smooth curve of as many unknowns must lose
/// against the bend: e^(−11/2) is one in 250, and a fall must be there first.
const SHARP: f64 = 11.0;

/// Widening of the variance up to which residuals count as noise: r of a hundred
/// independent ones stays below 0.2 nineteen times in twenty.
const FOLLOW: f64 = 1.5;

/// Standard deviations from which a window shows the jump clearly enough to place it; in
/// noise a narrow window finds some bend anywhere.
const CLEAR: f64 = 10.0;

/// Share of the intervals of all windows that must meet.
const AGREE: f64 = 0.6;

/// Sum of squares, in noise variances, that rounding the bend must save.
const ROUNDER: f64 = 8.0;

/// Standard deviations that the jump of the slope must have.
const JUMP: f64 = 5.0;

/// A place of contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Contact {
    /// Best time, s.
    pub(crate) at_s: f64,
    /// 95 % interval, s.
    pub(crate) low_s: f64,
    /// Its upper end.
    pub(crate) high_s: f64,
    /// Whether the bend is proven sharp.
    pub(crate) sharp: bool,
}

/// A place in one window.
struct Placed {
    contact: Contact,
    /// Whether what is left is noise.
    follows: bool,
    /// Standard deviations of the jump of the slope.
    jump: f64,
}

/// Finds the bend at the end of a fall.
pub(crate) fn contact(trace: &Trace, dip: &Dip) -> Contact {
    let fall_s = (dip.low_s - dip.peak_s).max(dip.mean_s).max(trace.every_s);
    let centre_s = centre(trace, dip, fall_s);
    let found: Vec<Placed> = WINDOWS
        .iter()
        .filter_map(|share| in_window(trace, (dip, centre_s), share * fall_s))
        .collect();
    let sharp = found.iter().any(|f| f.contact.sharp);
    let chosen = agreeing(&found);
    let every = trace.every_s;
    match chosen {
        Some(found) => Contact { sharp, ..found },
        // Too few samples for a fit: the fall ends between its neighbours. So quick a
        // fall is sharp by itself.
        None => Contact {
            at_s: dip.low_s,
            low_s: (dip.low_s - dip.mean_s - every).max(dip.peak_s),
            high_s: dip.low_s + dip.mean_s + every,
            sharp: true,
        },
    }
}

/// Where the sharpest bend upwards is, from the bottom of the dip to its recovery: iron
/// that saturates lets the current rise again before the plunger strikes.
fn centre(trace: &Trace, dip: &Dip, fall_s: f64) -> f64 {
    let level = dip.low_a + RECOVERED * (dip.next_a - dip.low_a);
    let after = trace.samples.iter().skip_while(|s| s.0 <= dip.low_s);
    let end_s = after.clone().find(|s| s.1 > level).map_or(dip.next_s, |s| s.0);
    let mut best = (dip.low_s, 0.0);
    let mut first = None;
    for half_s in SCANS.map(|share| share * fall_s) {
        let stride = (half_s / 4.0).max(trace.every_s);
        let at = |k: u32| dip.low_s - half_s / 2.0 + f64::from(k) * stride;
        let places =
            (0..2_000).map(at).take_while(|at| *at <= end_s.max(dip.low_s + half_s));
        let scored: Vec<(f64, f64)> = places
            .filter_map(|at| Some((at, bend_deviations(trace, (dip, at), half_s)?)))
            .collect();
        let most = scored.iter().map(|s| s.1).fold(0.0, f64::max);
        let bottom = scored
            .iter()
            .filter(|s| (s.0 - dip.low_s).abs() <= half_s.max(dip.mean_s))
            .map(|s| s.1)
            .fold(0.0, f64::max);
        // In noise some bend is clearest by chance: elsewhere it must be clearer by far.
        if most < ELSEWHERE * bottom + 2.0 {
            if bottom > best.1 {
                (best, first) = ((dip.low_s, bottom), None);
            }
        } else if most > best.1 {
            let clear = scored.iter().position(|s| s.1 >= FIRST * most);
            let near = scored.iter().skip(clear.unwrap_or(0)).take(6);
            let top = near.max_by(|a, b| a.1.total_cmp(&b.1)).copied();
            first = top;
            best = (dip.low_s, most);
        }
    }
    first.map_or(best.0, |first| first.0)
}

/// Standard deviations of a jump of the slope at the middle of a window, upwards.
fn bend_deviations(trace: &Trace, at: (&Dip, f64), half_s: f64) -> Option<f64> {
    let window = window(trace, at, half_s)?;
    let rows = window.points.iter().map(|(t, a)| {
        let u = t / half_s;
        let after = u.max(0.0);
        ([1.0, u, u * u, after, after * after], *a)
    });
    let solved = fit::<5>(rows.clone())?;
    let noise = trace.noise.of_mean(window.group);
    let dof = count_f64(window.points.len()) - 5.0;
    let follow = follow_factor(&residuals(rows, &solved.at));
    let variance = (solved.sse / dof).max(noise * noise) * follow;
    Some(solved.at[3] / (variance * solved.spread[3]).sqrt())
}

/// The place in the widest window that agrees with all narrower ones (Lepski 1991): wider
/// windows know more, until the pieces no longer follow the current.
fn agreeing(found: &[Placed]) -> Option<Contact> {
    let mut chosen: Option<Contact> = None;
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for placed in found.iter().filter(|f| f.jump >= CLEAR) {
        let Contact { at_s, low_s, high_s, .. } = placed.contact;
        let near = |edge: f64| at_s + AGREE * (edge - at_s);
        (low, high) = (low.max(near(low_s)), high.min(near(high_s)));
        if low > high || (!placed.follows && chosen.is_some()) {
            break;
        }
        chosen = Some(placed.contact);
    }
    let clearest = || found.iter().max_by(|a, b| a.jump.total_cmp(&b.jump));
    chosen.or_else(|| clearest().map(|f| f.contact))
}

/// The samples of a window, averaged in groups where they are many; and how many went in
/// each.
struct Window {
    points: Vec<(f64, f64)>,
    group: usize,
    half_s: f64,
}

fn window(trace: &Trace, (dip, centre_s): (&Dip, f64), half_s: f64) -> Option<Window> {
    // The next fall is no part of this rise.
    let last_s = dip.next_s - 0.2 * (dip.next_s - dip.low_s);
    let (from, to) = (centre_s - half_s, (centre_s + half_s).min(last_s));
    let samples = &trace.samples;
    let first = samples.partition_point(|s| s.0 < from.max(dip.peak_s));
    let middle = samples.partition_point(|s| s.0 < centre_s);
    let end = samples.partition_point(|s| s.0 <= to);
    if middle < first + SIDE || end < middle + SIDE {
        return None;
    }
    let group = (end - first).div_ceil(MOST);
    let n = count_f64(group);
    let mean = |part: &[(f64, f64)]| {
        let sum = part.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0, sum.1 + s.1));
        (sum.0 / n - centre_s, sum.1 / n)
    };
    let points: Vec<_> = samples[first..end].chunks_exact(group).map(mean).collect();
    (points.len() >= 2 * SIDE).then_some(Window { points, group, half_s })
}

/// Rows of two pieces that meet at `at` with the same value: a cubic before; after, a
/// parabola whose slope takes `round` to come.
fn rows(
    window: &Window,
    at: f64,
    round: f64,
) -> impl Iterator<Item = ([f64; 6], f64)> + Clone + '_ {
    let unit = window.half_s;
    window.points.iter().map(move |(t, a)| {
        let u = (t - at) / unit;
        let row = if u < 0.0 {
            [1.0, u, u * u, u * u * u, 0.0, 0.0]
        } else {
            let width = round / unit;
            let kept = if width > 0.0 { width * (1.0 - (-u / width).exp()) } else { 0.0 };
            [1.0, kept, 0.0, 0.0, u - kept, u * u]
        };
        (row, *a)
    })
}

/// The best two pieces that meet at `at`, where both sides have samples enough.
fn bend(window: &Window, at: f64, round: f64) -> Option<Solved<6>> {
    let before = window.points.iter().filter(|p| p.0 < at).count();
    let both = before + 1 >= SIDE && before + SIDE <= window.points.len() + 1;
    both.then(|| fit::<6>(rows(window, at, round))).flatten()
}

/// Sum of squares of a smooth curve: of a minimum that is rounded as broadly as the fall
/// itself a parabola of the fourth degree misses nothing that counts, over the widest
/// window one of the sixth.
fn smooth(window: &Window, wide: bool) -> Option<f64> {
    let unit = window.half_s;
    let power = |u: f64, k: i32| u.powi(k);
    let points = window.points.iter();
    if wide {
        let row = |u: f64| [0, 1, 2, 3, 4, 5, 6].map(|k| power(u, k));
        return fit::<7>(points.map(|(t, a)| (row(t / unit), *a))).map(|s| s.sse);
    }
    let row = |u: f64| [0, 1, 2, 3, 4].map(|k| power(u, k));
    fit::<5>(points.map(|(t, a)| (row(t / unit), *a))).map(|s| s.sse)
}

fn in_window(trace: &Trace, (dip, centre_s): (&Dip, f64), half_s: f64) -> Option<Placed> {
    let window = window(trace, (dip, centre_s), half_s)?;
    let (from, to) = (-0.6 * half_s - dip.mean_s, 0.4 * half_s + dip.mean_s);
    let step = (to - from) / f64::from(PLACES);
    let noise = trace.noise.of_mean(window.group);
    let dof = count_f64(window.points.len()) - 8.0;
    let mut best: Option<(f64, f64, f64)> = None;
    for round in ROUNDINGS.map(|share| share * half_s) {
        let score = |at: f64| bend(&window, at, round).map_or(f64::INFINITY, |b| b.sse);
        let places = (0..=PLACES).map(|k| from + f64::from(k) * step);
        let coarse = places.min_by(|a, b| score(*a).total_cmp(&score(*b)))?;
        let at = least((coarse - step, coarse + step), score);
        let sse = score(at);
        // A rounder bend must earn its unknown.
        let worth = best.map_or(f64::INFINITY, |(least, _, _)| {
            least - ROUNDER * (least / dof.max(1.0)).max(noise * noise)
        });
        if sse.is_finite() && sse < worth {
            best = Some((sse, at, round));
        }
    }
    let (sse, at, round) = best?;
    let solved = bend(&window, at, round)?;
    let follow = follow_factor(&residuals(rows(&window, at, round), &solved.at));
    let plain = (sse / dof.max(1.0)).max(noise * noise);
    let variance = plain * follow;
    let jump = (solved.at[4] - solved.at[1])
        / (variance * (solved.spread[1] + solved.spread[4])).sqrt();
    let wide = half_s > WIDE * (dip.low_s - dip.peak_s);
    let lost = smooth(&window, wide).map_or(0.0, |smooth| (smooth - sse) / variance);
    let sharp = jump >= JUMP && lost >= SHARP;
    let score = |at: f64| bend(&window, at, round).map_or(f64::INFINITY, |b| b.sse);
    let bound = sse + BOUND * variance;
    let low = edge(at, -step, bound, score);
    let high = edge(at, step, bound, score);
    // The stop gives way before it bends the current, so the room is on the early side.
    let point_s = trace.every_s * count_f64(window.group);
    let contact = Contact {
        at_s: centre_s + at,
        low_s: centre_s + low - 0.7 * point_s - 0.5 * round,
        high_s: centre_s + high + 0.4 * point_s + 0.3 * round,
        sharp,
    };
    let follows = follow <= FOLLOW;
    Some(Placed { contact, follows, jump })
}

/// How far from the best place the sum of squares stays below the bound.
fn edge(best: f64, step: f64, bound: f64, score: impl Fn(f64) -> f64) -> f64 {
    let mut inside = best;
    for k in 1..=PLACES {
        let next = best + step * 0.25 * f64::from(k);
        if score(next) > bound {
            let mut outside = next;
            for _ in 0..12 {
                let middle = f64::midpoint(inside, outside);
                if score(middle) > bound {
                    outside = middle;
                } else {
                    inside = middle;
                }
            }
            return outside;
        }
        inside = next;
    }
    inside
}
