//! Columns become channels: a straight time line, doubles left out, fresh samples only.

use crate::error::LogError;
use crate::figures::{Rate, Rows, findings};
use crate::finding::{Finding, Findings};
use crate::gather::{Gather, Odd, Sample, Times};
use crate::header::Column;
use crate::refresh::{Fresh, Turns, turns};
use crate::timeline::{Runs, straighten};
use crate::track::Track;
use crate::{Channel, Recording, share, so_many};

/// Intervals between rows below which a fall of the clock says nothing of their order.
const FEW: usize = 4;

/// What the columns of a table are, and which of them are kept.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    pub(crate) columns: Vec<Column>,
    pub(crate) kept: Vec<usize>,
    pub(crate) runs: Runs,
    pub(crate) remarks: Vec<String>,
}

/// A recording with its ends on the clock that its rows were given with.
#[derive(Debug)]
pub(crate) struct Assembled {
    pub(crate) recording: Recording,
    pub(crate) first_s: f64,
    pub(crate) last_s: f64,
}

/// Makes the recording of all rows, whose times are counted from the first.
pub(crate) fn assemble(table: Table, gather: Gather) -> Result<Recording, LogError> {
    Ok(assemble_from(table, gather)?.recording)
}

/// As [`assemble`], for times that are counted from elsewhere.
pub(crate) fn assemble_from(
    table: Table,
    mut gather: Gather,
) -> Result<Assembled, LogError> {
    let Table { columns, kept, runs, mut remarks } = table;
    remarks.extend(settle(&mut gather, runs)?);
    if gather.clock.stands > 0 {
        let doubled = drop_doubles(&mut gather);
        if doubled > 0 {
            let rows = so_many(doubled, "row", "rows");
            remarks.push(format!(
                "{rows} left out: repeats of the row before, time included"
            ));
        }
    }
    let Gather { rows, times, tracks, odd, .. } = gather;
    let Some((first, last)) = ends(&times) else { return Err(LogError::NoRows) };
    let rate = Rate::of(&times);
    let turns = turns(&tracks);
    remarks.extend(turns.iter().map(|t| turn_remark(t, rows, rate.interval_s)));
    let known = Rows { times: &times, turns: turns.as_ref(), rate };
    let found = columns.iter().zip(&tracks).enumerate();
    let mut found: Vec<Findings> =
        found.map(|(at, (column, track))| findings(column, at, track, known)).collect();
    refuse(&odd, &mut found);
    let channels = channels(times, &tracks, turns.as_ref(), &kept);
    let channel = |(at, samples): (&usize, Vec<Sample>)| Channel {
        name: columns[*at].name.clone(),
        unit: columns[*at].unit.clone(),
        samples: if refused(&found[*at]) { Vec::new() } else { samples },
    };
    let channels = kept.iter().zip(channels).map(channel).collect();
    let recording = Recording {
        rows,
        kept: rate.fresh,
        duration_s: last - first,
        row_interval_s: rate.interval_s,
        polled_rows: turns.map(|turns| turns.rows),
        channels,
        findings: found,
        remarks,
    };
    Ok(Assembled { recording, first_s: first, last_s: last })
}

/// Puts times straight; what was odd about the rows and what was done, in words.
///
/// # Errors
/// [`LogError::Backwards`].
pub(crate) fn settle(gather: &mut Gather, runs: Runs) -> Result<Vec<String>, LogError> {
    let mut remarks = oddities(gather);
    let intervals = gather.rows.saturating_sub(1);
    if 4 * gather.clock.falls > 3 * intervals && intervals >= FEW {
        return Err(LogError::Backwards);
    }
    if gather.clock.falls > 0 {
        remarks.extend(straighten(&mut gather.times, runs));
    }
    Ok(remarks)
}

/// One recording of several, times from the earliest on; how often its rows come is said of
/// the one with the most.
///
/// # Errors
/// [`LogError::NoRows`]: there are none.
pub(crate) fn join(
    parts: Vec<Assembled>,
    remarks: Vec<String>,
) -> Result<Recording, LogError> {
    let start = parts.iter().map(|part| part.first_s).fold(f64::INFINITY, f64::min);
    let end = parts.iter().map(|part| part.last_s).fold(f64::NEG_INFINITY, f64::max);
    let Some(main) = parts.iter().max_by_key(|part| part.recording.rows) else {
        return Err(LogError::NoRows);
    };
    let mut whole = Recording {
        rows: 0,
        kept: 0,
        duration_s: end - start,
        row_interval_s: main.recording.row_interval_s,
        polled_rows: main.recording.polled_rows,
        channels: Vec::new(),
        findings: Vec::new(),
        remarks,
    };
    for Assembled { mut recording, .. } in parts {
        for channel in &mut recording.channels {
            channel.samples.iter_mut().for_each(|sample| sample.0 -= start);
        }
        recording.findings.iter_mut().for_each(|findings| findings.count_from(start));
        whole.rows += recording.rows;
        whole.kept += recording.kept;
        whole.channels.append(&mut recording.channels);
        whole.findings.append(&mut recording.findings);
        whole.remarks.append(&mut recording.remarks);
    }
    Ok(whole)
}

fn ends(times: &Times) -> Option<(f64, f64)> {
    let mut used = times.used();
    let first = used.next()?;
    let last = (0..times.len()).rev().map(|row| times.get(row)).find(|t| !t.is_nan());
    Some((first, last.unwrap_or(first)))
}

/// What was odd about the rows and cells, in words.
pub(crate) fn oddities(gather: &Gather) -> Vec<String> {
    let odd = &gather.odd;
    [
        (odd.repeated_headers, ("repeat", "repeats"), " of the header left out"),
        (odd.ragged, ("row is", "rows are"), " shorter or longer than the header"),
        (gather.clock.untimed, ("row", "rows"), " left out: no time"),
        (odd.infinite, ("cell", "cells"), " left out: infinite"),
        (odd.unreadable, ("cell", "cells"), " left out: no number"),
    ]
    .iter()
    .filter(|(count, ..)| *count > 0)
    .map(|(count, (one, many), what)| so_many(*count, one, many) + what)
    .collect()
}

/// A column with thousands marks would be read in part only, so it is not read at all.
fn refuse(odd: &Odd, found: &mut [Findings]) {
    for (column, cell) in found.iter_mut().zip(&odd.thousands) {
        if let Some((row, text)) = cell {
            column.found = vec![Finding::Thousands { text: text.clone(), row: row + 1 }];
            (column.fresh, column.median_interval_s) = (0, None);
        }
    }
}

fn refused(findings: &Findings) -> bool {
    findings.found.iter().any(|found| matches!(found, Finding::Thousands { .. }))
}

/// Leaves out rows that repeat the row before with its time.
fn drop_doubles(gather: &mut Gather) -> usize {
    let mut dropped = 0;
    let mut before = f64::NAN;
    // Changes since the last row that was used count too.
    let mut changed = false;
    for row in 0..gather.times.len() {
        changed |= gather.tracks.iter().any(|track| track.changed.get(row));
        let time = gather.times.get(row);
        if time.is_nan() {
            continue;
        }
        if time.to_bits() == before.to_bits() && !changed {
            gather.times.set(row, f64::NAN);
            dropped += 1;
        } else {
            (before, changed) = (time, false);
        }
    }
    dropped
}

/// Fresh samples of every kept column.
fn channels(
    times: Times,
    tracks: &[Track],
    turns: Option<&Turns>,
    kept: &[usize],
) -> Vec<Vec<Sample>> {
    let mut lists = times.kept;
    let Some((first, others)) = lists.split_first_mut() else { return lists };
    for (list, at) in others.iter_mut().zip(&kept[1..]) {
        // Only the first list holds the times as they were put straight.
        for (sample, (time, _)) in list.iter_mut().zip(first.iter()) {
            sample.0 = *time;
        }
        keep_fresh(list, &tracks[*at], Fresh::of(turns, *at));
    }
    if let Some(at) = kept.first() {
        keep_fresh(first, &tracks[*at], Fresh::of(turns, *at));
    }
    lists
}

fn keep_fresh(list: &mut Vec<Sample>, track: &Track, mut fresh: Fresh<'_>) {
    let whole = track.filled.count() == track.filled.len();
    if whole && fresh.always() && !list.iter().any(|sample| sample.0.is_nan()) {
        return;
    }
    let mut row = 0;
    list.retain(|(time, value)| {
        row += 1;
        fresh.is(row - 1) && !time.is_nan() && !value.is_nan()
    });
    list.shrink_to_fit();
}

fn turn_remark(turns: &Turns, rows: usize, interval_s: Option<f64>) -> String {
    let every = interval_s.map_or(String::new(), |s| {
        format!(", about every {:.2} s", s * share(turns.rows, 1))
    });
    let silent = match turns.silent() {
        0 => String::new(),
        n => format!("; {n} never change, so their turn cannot be seen"),
    };
    format!(
        "signals are asked in turn: each is fresh once in {} rows{every}, repeated cells are \
         no samples; the turn is known in {:.0} of 100 rows{silent}",
        turns.rows,
        100.0 * turns.known(rows)
    )
}
