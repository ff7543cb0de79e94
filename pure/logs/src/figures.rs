//! The figures of a channel: how often it is fresh, its pauses, its steps, its ends.

use crate::finding::{Finding, Findings, RangeEnd};
use crate::gather::Times;
use crate::header::Column;
use crate::median::median;
use crate::refresh::{Fresh, Refresh, Turns};
use crate::share;
use crate::timeline::{intervals, median_interval};
use crate::track::{DISTINCT, End, Track};

/// A pause of more than this many median intervals is a gap.
const GAP: f64 = 3.0;

/// A run of equal samples is stuck where chance would give so many of it at most.
const UNLIKELY: f64 = 1e-6;

/// Fewest equal samples that are called stuck.
const STUCK: usize = 10;

/// Fewest counts and times that a count must come for a grid to show.
const COUNTS: usize = 4;

/// Part of the cells that must read an end of the range.
const OFTEN: f64 = 0.01;

/// Ends of converters and of shares, where a value stops though the thing goes on.
const ENDS: [f64; 7] = [100.0, 255.0, 1023.0, 4095.0, 32_767.0, 65_535.0, -40.0];

/// What is known of the rows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rows<'a> {
    pub(crate) times: &'a Times,
    pub(crate) turns: Option<&'a Turns>,
    /// How often the rows come.
    pub(crate) rate: Rate,
}

/// The figures of the column at a place.
pub(crate) fn findings(
    column: &Column,
    at: usize,
    track: &Track,
    rows: Rows<'_>,
) -> Findings {
    let rate = rate(at, track, rows);
    let every_rows = rows.turns.and_then(|turns| match &turns.columns[at] {
        Refresh::Turn(turn) => Some(turn.rows),
        Refresh::Filled => None,
    });
    let mut found = Vec::new();
    if rate.fresh == 0 {
        found.push(Finding::NoValue);
    } else if track.least.value.to_bits() == track.greatest.value.to_bits() {
        found.push(Finding::Constant { value: track.least.value });
    } else {
        found.extend(stuck(track, &rate, every_rows.unwrap_or(1), rows.times));
        found.extend(steps(track));
        found.extend(at_ends(track));
    }
    if rate.gaps > 0 {
        let (count, (longest_s, at_s)) = (rate.gaps, rate.longest);
        found.push(Finding::Gaps { count, longest_s, at_s });
    }
    Findings {
        name: column.name.clone(),
        unit: column.unit.clone(),
        fresh: rate.fresh,
        median_interval_s: rate.interval_s,
        every_rows,
        found,
    }
}

/// How often a channel is fresh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rate {
    pub(crate) fresh: usize,
    /// Median time from one sample to the next, s.
    pub(crate) interval_s: Option<f64>,
    gaps: usize,
    /// The longest gap, s, and when it begins.
    longest: (f64, f64),
}

impl Rate {
    /// The rate of the rows.
    pub(crate) fn of(times: &Times) -> Self {
        gaps(times.used().count(), median_interval(times), || times.used())
    }
}

fn rate(at: usize, track: &Track, rows: Rows<'_>) -> Rate {
    let whole = track.filled.count() == track.filled.len();
    if whole && Fresh::of(rows.turns, at).always() {
        return rows.rate;
    }
    let fresh = || {
        let mut fresh = Fresh::of(rows.turns, at);
        track.filled.rows().filter_map(move |row| {
            let time = rows.times.get(row);
            (fresh.is(row) && !time.is_nan()).then_some(time)
        })
    };
    gaps(fresh().count(), median(|| intervals(fresh())), fresh)
}

fn gaps<I: Iterator<Item = f64>>(
    fresh: usize,
    interval_s: Option<f64>,
    times: impl Fn() -> I,
) -> Rate {
    let mut rate = Rate { fresh, interval_s, gaps: 0, longest: (0.0, 0.0) };
    let Some(limit) = interval_s.map(|s| GAP * s) else { return rate };
    let mut before = f64::NAN;
    for time in times() {
        let gap = time - before;
        if gap > limit {
            rate.gaps += 1;
            if gap > rate.longest.0 {
                rate.longest = (gap, before);
            }
        }
        before = time;
    }
    rate
}

/// The longest run of equal samples, where the rest of the channel is too lively for it.
fn stuck(track: &Track, rate: &Rate, every: usize, times: &Times) -> Option<Finding> {
    let (run, from) = track.longest_run();
    let samples = run.checked_div(every).unwrap_or(run);
    let changes = track.changed.count();
    // Of the others: the run itself would make the channel look quiet.
    let others = rate.fresh.saturating_sub(samples);
    let same = 1.0 - share(changes, others).min(1.0);
    let power = i32::try_from(samples.saturating_sub(1)).unwrap_or(i32::MAX);
    let chance = share(others.max(1), 1) * same.powi(power);
    if samples < STUCK || changes < STUCK || chance > UNLIKELY {
        return None;
    }
    let last = (from + run).min(times.len()).saturating_sub(1);
    let time = |row: usize| (row < times.len()).then(|| times.get(row));
    let (from_s, to_s) = time(from).zip(time(last))?;
    let lasts_s = to_s - from_s;
    lasts_s.is_finite().then_some(Finding::Stuck { from_s, lasts_s, samples })
}

/// The step of a grid on which all values lie: mean distance of neighbours, those apart
/// left out, since a value written with few digits is rounded.
fn steps(track: &Track) -> Option<Finding> {
    let values = track.distinct.as_ref()?;
    let cells = track.filled.count();
    if values.len() < COUNTS || cells < COUNTS * values.len() {
        return None;
    }
    let between = || values.windows(2).map(|w| w[1] - w[0]).filter(|step| *step > 0.0);
    let least = between().fold(f64::INFINITY, f64::min);
    let near: Vec<f64> = between().filter(|step| *step < 1.6 * least).collect();
    if 2 * near.len() < values.len() - 1 {
        return None;
    }
    let step = near.iter().sum::<f64>() / share(near.len(), 1);
    let range = (values.last()? - values.first()?) / step;
    let counts = (0..=4 * DISTINCT).find(|n| share(*n, 1) >= range - 0.5)?;
    Some(Finding::Steps { step, counts })
}

fn at_ends(track: &Track) -> Vec<Finding> {
    let cells = track.filled.count();
    let fine = track.distinct.is_none();
    // A switch has nothing but ends.
    if track.distinct.as_ref().is_some_and(|values| values.len() < COUNTS) {
        return Vec::new();
    }
    let many = |end: End| fine && end.cells >= STUCK;
    let stops = |end: End, end_of: &[f64]| {
        end_of.iter().any(|stop| (stop - end.value).abs() < 1e-9) || many(end)
    };
    let lower = [0.0, -40.0];
    let ends = [
        (track.least, RangeEnd::Lower, lower.as_slice()),
        (track.greatest, RangeEnd::Upper, ENDS.as_slice()),
    ];
    let often = ends.into_iter().filter(|(end, _, stop)| {
        share(end.cells, cells) >= OFTEN && end.cells >= STUCK && stops(*end, stop)
    });
    often
        .map(|(end, which, _)| Finding::AtEnd {
            value: end.value,
            end: which,
            share: share(end.cells, cells),
        })
        .collect()
}
