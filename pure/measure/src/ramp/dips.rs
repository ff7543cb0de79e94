//! Falls of the current within its rise. A coil whose plunger stands still on a steady
//! drive never shows one: λ is then one rising function of i, and i rises with λ.

use super::noise::Noise;
use crate::reading::count_f64;

/// Falls below this many standard deviations of a difference are chance: of 10 000
/// independent means on a flat top the range stays within 5.6 of them 9999 times in 10 000.
const SIGNIFICANT: f64 = 7.0;

/// Falls below this share of the greatest current are not looked at.
const LEAST_SHARE: f64 = 0.01;

/// Falls at the end of the record below this share may be wander.
const OPEN_SHARE: f64 = 0.05;

/// Fewest means over the record at the coarsest scale.
const FEWEST_MEANS: usize = 40;

/// Deviations from which a finer scale is preferred to a surer one.
const SURE: f64 = 20.0;

/// A fall that a rise ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Dip {
    /// Time of the greatest mean before it, s.
    pub(crate) peak_s: f64,
    /// Time of its least mean, s.
    pub(crate) low_s: f64,
    /// Time of the greatest mean after it, up to the next fall, s.
    pub(crate) next_s: f64,
    /// Current at its top and at its bottom, A.
    pub(crate) peak_a: f64,
    /// Current at its bottom, A.
    pub(crate) low_a: f64,
    /// Current at the greatest mean after it, A.
    pub(crate) next_a: f64,
    /// Depth over the standard deviation of a difference of two means.
    pub(crate) deviations: f64,
    /// Length of the means, s.
    pub(crate) mean_s: f64,
}

impl Dip {
    /// Depth, A.
    pub(crate) fn depth_a(&self) -> f64 {
        self.peak_a - self.low_a
    }
}

/// What the falls say.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Falls {
    /// Falls that a rise ends, in order of time.
    pub(crate) dips: Vec<Dip>,
    /// A fall at the end that no rise ends: its start, s.
    pub(crate) open_s: Option<f64>,
}

impl Falls {
    /// The deepest dip.
    pub(crate) fn deepest(&self) -> Option<&Dip> {
        self.dips.iter().max_by(|a, b| a.depth_a().total_cmp(&b.depth_a()))
    }
}

/// Finds the falls at the finest scale that is sure of the deepest, else at the surest.
pub(crate) fn falls(samples: &[(f64, f64)], top_a: f64, noise: &Noise) -> Falls {
    let mut best: Option<(f64, Falls)> = None;
    let mut count = 1;
    while count == 1 || samples.len() >= FEWEST_MEANS * count {
        let found = at_scale(samples, count, top_a, noise);
        let sure = found.deepest().map_or(0.0, |dip| dip.deviations);
        let open = if found.open_s.is_some() { SIGNIFICANT } else { 0.0 };
        if best.as_ref().is_none_or(|(most, _)| sure.max(open) > *most) {
            best = Some((sure.max(open), found));
        }
        if sure >= SURE {
            break;
        }
        count *= 2;
    }
    best.map(|(_, falls)| falls).unwrap_or_default()
}

/// Means of `count` samples, and their times.
fn means(samples: &[(f64, f64)], count: usize) -> Vec<(f64, f64)> {
    let n = count_f64(count);
    let middle = |group: &[(f64, f64)]| {
        let sum = group.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0, sum.1 + s.1));
        (sum.0 / n, sum.1 / n)
    };
    samples.chunks_exact(count).map(middle).collect()
}

fn at_scale(samples: &[(f64, f64)], count: usize, top_a: f64, noise: &Noise) -> Falls {
    let means = means(samples, count);
    let difference = noise.of_difference(count);
    let least = (SIGNIFICANT * difference).max(LEAST_SHARE * top_a);
    let mut falls = Falls::default();
    let Some(mut high) = means.first().copied() else { return falls };
    let mut low = high;
    let mut falling = false;
    for &point in &means {
        if falling {
            if point.1 < low.1 {
                low = point;
            } else if point.1 > low.1 + least {
                falls.dips.push(Dip {
                    peak_s: high.0,
                    low_s: low.0,
                    next_s: point.0,
                    peak_a: high.1,
                    low_a: low.1,
                    next_a: point.1,
                    deviations: (high.1 - low.1) / difference.max(1e-300),
                    mean_s: (means[1].0 - means[0].0).abs(),
                });
                (high, falling) = (point, false);
            }
        } else if point.1 > high.1 {
            high = point;
            if let Some(dip) = falls.dips.last_mut() {
                (dip.next_s, dip.next_a) = point;
            }
        } else if point.1 < high.1 - least {
            (low, falling) = (point, true);
        }
    }
    let open = falling && high.1 - low.1 >= OPEN_SHARE * top_a;
    falls.open_s = open.then_some(high.0);
    falls
}
