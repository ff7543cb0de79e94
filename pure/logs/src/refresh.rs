//! Which cells are fresh where a link asks its signals in turn and the writer repeats
//! the last answer of the others.

use crate::sniff::share;

/// Longest turn looked for, in rows.
const LONGEST_TURN: usize = 64;

/// Changes that a signal must show before it speaks for or against a turn.
const SPEAKS: usize = 8;

/// Share of all gaps between changes that must be whole turns; slips of the link break
/// the rest.
const WHOLE_TURNS: f64 = 0.8;

/// The same for each signal by itself: the slow ones see more slips in a gap.
const WHOLE_TURNS_EACH: f64 = 0.5;

/// Share of the gaps of some signal that must be one turn exactly, or a command that
/// steps every so many rows would look like a link.
const ONE_TURN: f64 = 0.25;

/// Values that some signal must take, or a switch that steps in time would do.
const VALUES: usize = 6;

/// The same where only one signal changes often enough to tell.
const VALUES_ALONE: usize = 13;

/// Share of a signal's changes that must fall into its own slot.
const OWN_SLOT: f64 = 0.6;

/// How the rows of a file are refreshed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Turns {
    /// Rows in a turn.
    pub(crate) rows: usize,
    /// Slot of each signal within the turn; `None`: it never told.
    slots: Vec<Option<usize>>,
    /// Where the turn starts, by row; `None` where the link slipped and nobody can say.
    starts: Vec<Option<usize>>,
}

/// Finds the turn of a file from the rows at which each signal changes. `columns` hold
/// `NaN` where a cell is empty.
pub(crate) fn turns(columns: &[Vec<f64>]) -> Option<Turns> {
    let changes: Vec<Vec<usize>> = columns.iter().map(|c| changes(c)).collect();
    let rows = turn_rows(columns, &changes)?;
    let leader =
        (0..changes.len()).max_by_key(|i| (changes[*i].len(), usize::MAX - i))?;
    let slots: Vec<Option<usize>> = changes
        .iter()
        .enumerate()
        .map(
            |(i, own)| {
                if i == leader { Some(0) } else { slot(own, &changes[leader], rows) }
            },
        )
        .collect();
    let count = columns.iter().map(Vec::len).max().unwrap_or(0);
    let starts = starts(&changes, &slots, rows, count);
    Some(Turns { rows, slots, starts })
}

impl Turns {
    /// True if the cell of a signal was refreshed in a row.
    pub(crate) fn fresh(&self, signal: usize, row: usize) -> bool {
        let Some(start) = self.starts.get(row).copied().flatten() else {
            return false;
        };
        let slot = self.slots.get(signal).copied().flatten().unwrap_or(0);
        row % self.rows == (start + slot) % self.rows
    }

    /// Signals whose slot never showed: taken as refreshed once a turn.
    pub(crate) fn silent(&self) -> usize {
        self.slots.iter().filter(|s| s.is_none()).count()
    }

    /// Share of the rows at which the turn is known.
    pub(crate) fn known(&self) -> f64 {
        let known = self.starts.iter().filter(|s| s.is_some()).count();
        share(known, self.starts.len())
    }
}

/// Rows whose cell differs from the last filled one; the first filled cell counts if it
/// comes after the first row, for then it was empty before.
fn changes(column: &[f64]) -> Vec<usize> {
    let mut last: Option<f64> = None;
    let mut rows = Vec::new();
    for (row, value) in column.iter().enumerate().filter(|(_, v)| !v.is_nan()) {
        let changed = last.map_or(row > 0, |last| last.to_bits() != value.to_bits());
        if changed {
            rows.push(row);
        }
        last = Some(*value);
    }
    rows
}

fn gaps(changes: &[usize]) -> impl Iterator<Item = usize> + '_ {
    changes.windows(2).map(|w| w[1] - w[0])
}

/// The longest turn that every speaking signal keeps.
fn turn_rows(columns: &[Vec<f64>], changes: &[Vec<usize>]) -> Option<usize> {
    let speaking: Vec<usize> =
        (0..changes.len()).filter(|i| changes[*i].len() > SPEAKS).collect();
    // One signal alone may step in time by itself: then it must vary more.
    let least = if speaking.len() == 1 { VALUES_ALONE } else { VALUES };
    let varied: Vec<bool> = columns.iter().map(|c| many_values(c, least)).collect();
    (2..=LONGEST_TURN).rev().find(|turn| {
        let whole = |i: &usize| gaps(&changes[*i]).filter(|gap| gap % turn == 0).count();
        let all = |i: &usize| changes[*i].len() - 1;
        let keeps = |i: &usize| share(whole(i), all(i)) >= WHOLE_TURNS_EACH;
        let together =
            share(speaking.iter().map(whole).sum(), speaking.iter().map(all).sum());
        let shows = |i: &usize| {
            let one = gaps(&changes[*i]).filter(|gap| gap == turn).count();
            varied[*i] && share(one, all(i)) >= ONE_TURN
        };
        together >= WHOLE_TURNS
            && speaking.iter().all(keeps)
            && speaking.iter().any(shows)
    })
}

fn many_values(column: &[f64], least: usize) -> bool {
    let mut seen: Vec<u64> = Vec::with_capacity(least);
    for value in column.iter().filter(|v| !v.is_nan()) {
        if seen.len() < least && !seen.contains(&value.to_bits()) {
            seen.push(value.to_bits());
        }
    }
    seen.len() == least
}

/// Slot of a signal behind the leader's: the most frequent distance of its changes from
/// the leader's change before.
fn slot(own: &[usize], leader: &[usize], rows: usize) -> Option<usize> {
    let mut counts = vec![0_usize; rows];
    let mut total = 0;
    for row in own {
        let before = leader.partition_point(|r| r <= row);
        // The first filling comes before the leader's first: look ahead there.
        let nearest = if before == 0 { leader.first() } else { leader.get(before - 1) };
        let Some(nearest) = nearest.filter(|r| r.abs_diff(*row) < 2 * rows) else {
            continue;
        };
        counts[(row + 2 * rows - nearest) % rows] += 1;
        total += 1;
    }
    let best = (0..rows).max_by_key(|s| (counts[*s], usize::MAX - s))?;
    (total > 0 && share(counts[best], total) >= OWN_SLOT).then_some(best)
}

/// Where the turn starts at each row: between two changes that agree it is known,
/// between two that do not the link slipped.
fn starts(
    changes: &[Vec<usize>],
    slots: &[Option<usize>],
    rows: usize,
    count: usize,
) -> Vec<Option<usize>> {
    let mut anchors: Vec<(usize, usize)> = Vec::new();
    for (own, slot) in changes.iter().zip(slots) {
        let Some(slot) = slot else { continue };
        anchors.extend(own.iter().map(|row| (*row, (row + rows - slot) % rows)));
    }
    anchors.sort_unstable();
    let mut starts = vec![None; count];
    let mut known = |from: usize, to: usize, start: usize| {
        for slot in starts.iter_mut().take(to).skip(from) {
            *slot = Some(start);
        }
    };
    if let Some((row, start)) = anchors.first() {
        known(0, *row, *start);
    }
    for pair in anchors.windows(2) {
        let [(row, start), (next, next_start)] = [pair[0], pair[1]];
        let until = if start == next_start { next } else { row + 1 };
        known(row, until.max(row + 1), start);
    }
    if let Some((row, start)) = anchors.last() {
        known(*row, count, *start);
    }
    starts
}
