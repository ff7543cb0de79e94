//! Hysteresis: how far apart, in units of the command, the way up and the way down lie
//! once lag is taken out.

use std::fmt::Write as _;

use crate::estimate::Estimate;
use crate::play::{Lag, play};
use crate::reading::count_f64;
use crate::robust::{mean, median, variance};
use crate::steps::{Sample, Step, range, stillness};

/// Actual samples that a ramp must hold.
const RAMP_SAMPLES: usize = 8;

/// Samples of the command that are enough to draw its ramps.
const MOST_COMMANDS: usize = 2_000;

/// Share of the command's range that a ramp must span.
const RAMP_SPANS: f64 = 0.3;

/// Share of the range by which the command must come back for a turn.
const TURNS: f64 = 0.05;

/// Largest change from sample to sample, as a share of the ramp.
const LARGEST_HOP: f64 = 0.2;

/// What the recording says of hysteresis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    pub(crate) width: Estimate,
    pub(crate) note: Option<String>,
}

/// From settled levels reached both ways, else from slow ramps; `lag` is what
/// steps gave, `gain` the
/// slope of actual over command.
pub(crate) fn hysteresis(
    command: &[Sample],
    actual: &[Sample],
    steps: &[&Step],
    (lag, gain): (Option<Lag>, Option<f64>),
) -> Option<Found> {
    let still = stillness(command)?;
    let levels = levels(steps);
    let by_line = from_line(&levels, still);
    if let Some(found) = by_line.or_else(|| from_levels(&levels, still, gain?)) {
        return Some(found);
    }
    from_ramps(command, actual, lag)
}

/// A settled step: reached from below, command, settled value, its standard uncertainty.
#[derive(Debug, Clone, Copy)]
struct Level {
    up: bool,
    command: f64,
    value: f64,
    u: f64,
}

fn levels(steps: &[&Step]) -> Vec<Level> {
    let one = |s: &&Step| {
        let values: Vec<f64> = s.settled().iter().map(|v| v.1).collect();
        let u = variance(&values).map_or(0.0, |v| (v / count_f64(values.len())).sqrt());
        let u = u.hypot(s.grain / 12.0_f64.sqrt());
        let value = if s.grain > 0.0 { mean(&values)? } else { median(&values)? };
        Some(Level { up: s.to > s.from, command: s.to, value, u })
    };
    steps.iter().filter_map(one).collect()
}

const NOTE: &str =
    "hysteresis: settled values at the same command, reached from both sides";

/// A line through the settled values with a distance between the ways: value =
/// a + b (command ∓ width/2).
fn from_line(levels: &[Level], still: f64) -> Option<Found> {
    let both = levels.iter().filter(|one| one.up).any(|up| {
        levels.iter().any(|l| !l.up && (l.command - up.command).abs() <= still)
    });
    if levels.len() < 3 || !both {
        return None;
    }
    let n = count_f64(levels.len());
    let side = |l: &Level| if l.up { -0.5 } else { 0.5 };
    let mean_of = |of: &dyn Fn(&Level) -> f64| levels.iter().map(of).sum::<f64>() / n;
    let (mc, ms, mv) = (mean_of(&|l| l.command), mean_of(&side), mean_of(&|l| l.value));
    let sum = |of: &dyn Fn(&Level) -> f64| levels.iter().map(of).sum::<f64>();
    let cc = sum(&|l| (l.command - mc).powi(2));
    let cs = sum(&|l| (l.command - mc) * (side(l) - ms));
    let ss = sum(&|l| (side(l) - ms).powi(2));
    let cv = sum(&|l| (l.command - mc) * (l.value - mv));
    let sv = sum(&|l| (side(l) - ms) * (l.value - mv));
    let det = cc * ss - cs * cs;
    if det <= 1e-6 * cc * ss {
        return None;
    }
    let slope = (cv * ss - sv * cs) / det;
    let apart = (sv * cc - cv * cs) / det;
    let left = sum(&|l| {
        (l.value - mv - slope * (l.command - mc) - apart * (side(l) - ms)).powi(2)
    });
    let noise = mean_of(&|l| l.u * l.u);
    let dof = n - 3.0;
    // Scatter beyond the noise of the levels counts from level to level.
    let scatter = if dof > 0.0 { left / dof } else { 0.0 };
    let variance = scatter.max(noise);
    let dof = (scatter > 3.0 * noise).then_some(dof);
    let u = (variance * cc / det).sqrt() / slope.abs();
    let width = Estimate::of_u(apart / slope, u, dof);
    (slope != 0.0 && width.value.is_some())
        .then_some(Found { width, note: Some(NOTE.to_owned()) })
}

/// The same command level, once reached from below and once from above.
fn from_levels(levels: &[Level], still: f64, gain: f64) -> Option<Found> {
    if gain == 0.0 {
        return None;
    }
    let (ups, downs): (Vec<&Level>, Vec<&Level>) = levels.iter().partition(|l| l.up);
    let mut widths = Vec::new();
    let mut us = Vec::new();
    for up in &ups {
        let same: Vec<&&Level> =
            downs.iter().filter(|l| (l.command - up.command).abs() <= still).collect();
        let reached: Vec<f64> = same.iter().map(|l| l.value).collect();
        if let Some(from_above) = median(&reached) {
            widths.push((from_above - up.value) / gain);
            us.extend(same.iter().map(|l| l.u.hypot(up.u) / gain.abs()));
        }
    }
    let width = match widths.as_slice() {
        [only] => Estimate::of_u(*only, mean(&us)?, None),
        many => Estimate::of_mean(many)?,
    };
    Some(Found { width, note: Some(NOTE.to_owned()) })
}

fn from_ramps(command: &[Sample], actual: &[Sample], lag: Option<Lag>) -> Option<Found> {
    let ways = ramps(command);
    let rises = |(first, last): &(usize, usize)| command[*last].1 > command[*first].1;
    if !ways.iter().any(rises) || ways.iter().all(rises) {
        return None;
    }
    let spans: Vec<(f64, f64)> =
        ways.iter().map(|(first, last)| (command[*first].0, command[*last].0)).collect();
    let inside = |t: f64| spans.iter().any(|(from, to)| *from <= t && t <= *to);
    if actual.iter().filter(|s| inside(s.0)).count() < 4 * RAMP_SAMPLES {
        return None;
    }
    let played = play(&with_corners(command, &ways), actual, &spans, lag)?;
    let mut note = if played.lag_found {
        format!(
            "hysteresis: from ramps up and down; a lag of {:.2} s, told from it by how the \
             value turns, taken out",
            played.lag_s
        )
    } else {
        "hysteresis: from ramps up and down, lag taken out".to_owned()
    };
    if played.slip > 0.0 {
        let slip = played.slip;
        let _ = write!(note, "; it sticks on a turn and then slips by about {slip:.2}");
    }
    Some(Found { width: played.width, note: Some(note) })
}

/// The command with the corners where two ramps meet: between two samples nobody saw it
/// turn, but its lines cross there.
fn with_corners(command: &[Sample], ways: &[(usize, usize)]) -> Vec<Sample> {
    let mut corners: Vec<(usize, Sample)> = Vec::new();
    for pair in ways.windows(2) {
        let [(a, turn), (same, b)] = [pair[0], pair[1]];
        if turn != same {
            continue;
        }
        let lines = line(&command[a + 1..turn]).zip(line(&command[turn + 1..b]));
        let Some(((level, slope), (other_level, other_slope))) = lines else { continue };
        let t = (other_level - level) / (slope - other_slope);
        let near = command[turn - 1].0 < t && t < command[turn + 1].0;
        if near && t.to_bits() != command[turn].0.to_bits() {
            corners
                .push((turn + usize::from(t > command[turn].0), (t, level + slope * t)));
        }
    }
    let every = command.len().div_ceil(MOST_COMMANDS).max(1);
    let turns: Vec<usize> = ways.iter().flat_map(|(a, b)| [*a, *b]).collect();
    let mut whole = Vec::new();
    let mut next = corners.into_iter().peekable();
    for (at, sample) in command.iter().enumerate() {
        if let Some((_, corner)) = next.next_if(|(before, _)| *before == at) {
            whole.push(corner);
        }
        // Straight ways need few of their samples, a turn needs its own.
        if at % every == 0 || turns.binary_search(&at).is_ok() {
            whole.push(*sample);
        }
    }
    whole
}

/// Level at time 0 and slope of the line through samples; `None` below three.
fn line(samples: &[Sample]) -> Option<(f64, f64)> {
    let n = count_f64(samples.len());
    let (mt, my) =
        samples.iter().fold((0.0, 0.0), |sum, s| (sum.0 + s.0 / n, sum.1 + s.1 / n));
    let tt: f64 = samples.iter().map(|s| (s.0 - mt).powi(2)).sum();
    let ty: f64 = samples.iter().map(|s| (s.0 - mt) * (s.1 - my)).sum();
    let slope = ty / tt;
    (samples.len() >= 3 && slope.is_finite()).then_some((my - slope * mt, slope))
}

/// Ways of the command from one turn to the next that are straight and no step.
fn ramps(command: &[Sample]) -> Vec<(usize, usize)> {
    let range = range(command);
    let turns = turns(command, TURNS * range);
    let whole = turns.windows(2).map(|w| (w[0], w[1]));
    whole
        .filter(|(first, last)| {
            let way = &command[*first..=*last];
            let span = (command[*last].1 - command[*first].1).abs();
            let hop = way.windows(2).map(|w| (w[1].1 - w[0].1).abs()).fold(0.0, f64::max);
            let even = span > 0.0 && hop <= LARGEST_HOP * span;
            way.len() > RAMP_SAMPLES
                && span >= RAMP_SPANS * range
                && even
                && straight(way)
        })
        .collect()
}

/// Where the command turns by more than a threshold, its ends included.
fn turns(command: &[Sample], threshold: f64) -> Vec<usize> {
    let mut turns = vec![0];
    let (mut low, mut high) = (0, 0);
    let mut up: Option<bool> = None;
    for i in 1..command.len() {
        if command[i].1 < command[low].1 {
            low = i;
        }
        if command[i].1 >= command[high].1 {
            high = i;
        }
        let (fell, rose) =
            (command[high].1 - command[i].1, command[i].1 - command[low].1);
        if up != Some(false) && fell > threshold {
            turns.push(high);
            (up, low) = (Some(false), i);
        } else if up != Some(true) && rose > threshold {
            turns.push(low);
            (up, high) = (Some(true), i);
        }
    }
    turns.push(command.len().saturating_sub(1));
    turns.dedup();
    turns
}

/// True if no sample strays from the line between the ends by more than a tenth.
fn straight(way: &[Sample]) -> bool {
    let (Some(from), Some(to)) = (way.first(), way.last()) else { return false };
    let slope = (to.1 - from.1) / (to.0 - from.0);
    slope.is_finite()
        && way.iter().all(|s| {
            (s.1 - from.1 - slope * (s.0 - from.0)).abs() <= 0.1 * (to.1 - from.1).abs()
        })
}
