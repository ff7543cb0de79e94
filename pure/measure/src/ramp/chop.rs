//! Whether the drive was chopped: falls that come again and again to the end, a line in the
//! spectrum of the settled current, or a supply that goes on and off.

use super::dips::Falls;
use crate::reading::count_f64;
use crate::robust::{median, spread};

/// Samples of the end that are looked at for a line.
const LINE_SAMPLES: usize = 8192;

/// Below this frequency a line is hum of the mains or of the generator, not a chopper, Hz.
const LEAST_HZ: f64 = 200.0;

/// Power of a line over the median of its neighbours: a line of noise reaches 28 medians
/// with e^(−19.4), and a median of a hundred lines may be a third too low.
const LINE: f64 = 28.0;

/// Power of a line over that a few lines away, on both sides.
const STANDS: f64 = 8.0;

/// Amplitude of a line that matters, as a share of the current.
const LEAST_SHARE: f64 = 0.001;

/// Falls that make a chopper; a bouncing plunger makes fewer, each smaller than the last.
const FALLS: usize = 5;

/// A chopped drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Chopper {
    /// How often a second; `None` where it is not even.
    pub(crate) hz: Option<f64>,
}

/// The chopper, if the drive was chopped.
pub(crate) fn chopped(
    raw: &[(f64, f64)],
    falls: &Falls,
    supply: Option<&[(f64, f64)]>,
) -> Option<Chopper> {
    supply
        .and_then(switching)
        .or_else(|| again_and_again(falls, raw))
        .or_else(|| line(raw))
}

/// A supply that goes below half of its greatest value and comes back, more than once.
fn switching(supply: &[(f64, f64)]) -> Option<Chopper> {
    let top = supply.iter().map(|s| s.1.abs()).fold(0.0, f64::max);
    let mut on = false;
    let mut rises = Vec::new();
    for (t, v) in supply {
        if !on && v.abs() > 0.6 * top {
            on = true;
            rises.push(*t);
        } else if on && v.abs() < 0.4 * top {
            on = false;
        }
    }
    (rises.len() > 2).then(|| Chopper { hz: evenly(&rises) })
}

/// 1 over the interval, where the times are evenly spaced.
fn evenly(times: &[f64]) -> Option<f64> {
    let gaps: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).collect();
    let middle = median(&gaps)?;
    (spread(&gaps)? < 0.35 * middle).then_some(1.0 / middle)
}

fn again_and_again(falls: &Falls, raw: &[(f64, f64)]) -> Option<Chopper> {
    let deepest = falls.deepest()?.depth_a();
    let alike: Vec<f64> = falls
        .dips
        .iter()
        .filter(|dip| dip.depth_a() > 0.3 * deepest)
        .map(|dip| dip.low_s)
        .collect();
    let (first, last) = (raw.first()?.0, raw.last()?.0);
    let to_the_end = *alike.last()? > first + 0.6 * (last - first);
    if alike.len() < FALLS || !to_the_end {
        return None;
    }
    // A swinging plunger or hum is slower, wander is uneven.
    evenly(&alike).filter(|hz| *hz >= LEAST_HZ).map(|hz| Chopper { hz: Some(hz) })
}

/// The strongest line of the last samples.
fn line(raw: &[(f64, f64)]) -> Option<Chopper> {
    let early = raw.len().div_ceil(8);
    let late = &raw[raw.len() - (raw.len() - early).min(LINE_SAMPLES)..];
    if late.len() < 128 {
        return None;
    }
    let every = (late.last()?.0 - late.first()?.0) / count_f64(late.len() - 1);
    let powers = spectrum(late);
    let size = 2 * powers.len();
    let bin_hz = 1.0 / (every * count_f64(size));
    let top = late.iter().map(|s| s.1.abs()).fold(0.0, f64::max);
    let near = (size >> 5).max(48);
    let mut found: Option<(f64, f64)> = None;
    for (bin, power) in powers.iter().enumerate().skip(6) {
        let hz = count_f64(bin) * bin_hz;
        let amplitude = 4.0 * power.sqrt() / count_f64(late.len());
        if hz < LEAST_HZ
            || amplitude < LEAST_SHARE * top
            || found.is_some_and(|(most, _)| *power <= most)
        {
            continue;
        }
        let around =
            powers.get(bin.saturating_sub(near)..(bin + near).min(powers.len()))?;
        // A bend of the current slopes through the spectrum, a line stands up on both sides.
        let beside = |from: usize| powers.get(from..from + 8).and_then(median);
        let sides =
            [bin.saturating_sub(13), bin + 6].map(|from| beside(from).unwrap_or(0.0));
        let stands = sides.iter().all(|side| *power > STANDS * side);
        if stands && *power > LINE * median(around)?.max(1e-300) {
            found = Some((*power, hz));
        }
    }
    found.map(|(_, hz)| Chopper { hz: Some(hz) })
}

/// Power of each line of the windowed samples. Their differences are transformed, which
/// forget the slow rise, and each line is set back to what it was.
fn spectrum(samples: &[(f64, f64)]) -> Vec<f64> {
    let count = samples.len();
    let mut wave: Vec<(f64, f64)> = samples
        .iter()
        .enumerate()
        .map(|(at, s)| {
            let before = samples[at.saturating_sub(1)].1;
            let part = count_f64(at) / count_f64(count);
            let hann = 0.5 - 0.5 * (std::f64::consts::TAU * part).cos();
            ((s.1 - before) * hann, 0.0)
        })
        .collect();
    let size = count.next_power_of_two();
    wave.resize(size, (0.0, 0.0));
    fourier(&mut wave);
    let half_turn = std::f64::consts::PI / count_f64(size);
    let lines = wave.iter().take(size >> 1).enumerate();
    lines
        .map(|(bin, (re, im))| {
            let difference = 2.0 * (half_turn * count_f64(bin)).sin();
            (re * re + im * im) / difference.powi(2).max(1e-12)
        })
        .collect()
}

/// Fast Fourier transform in place, size a power of two (Cooley and Tukey 1965).
fn fourier(wave: &mut [(f64, f64)]) {
    let size = wave.len();
    let bits = size.ilog2();
    if bits == 0 {
        return;
    }
    for at in 0..size {
        let other = at.reverse_bits() >> (usize::BITS - bits);
        if other > at {
            wave.swap(at, other);
        }
    }
    let mut half = 1;
    while half < size {
        let turn = -std::f64::consts::PI / count_f64(half);
        for start in (0..size).step_by(2 * half) {
            for k in 0..half {
                let (sin, cos) = (turn * count_f64(k)).sin_cos();
                let (a, b) = (wave[start + k], wave[start + k + half]);
                let b = (b.0 * cos - b.1 * sin, b.0 * sin + b.1 * cos);
                wave[start + k] = (a.0 + b.0, a.1 + b.1);
                wave[start + k + half] = (a.0 - b.0, a.1 - b.1);
            }
        }
        half *= 2;
    }
}
