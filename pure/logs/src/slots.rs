//! At which row of a turn each signal is asked.

use crate::bits::ones;
use crate::refresh::LONGEST_TURN;
use crate::share;
use crate::track::Track;

/// Share of a signal's changes that must fall into its own slot.
const OWN_SLOT: f64 = 0.6;

/// The same for a signal that is asked more than once in a turn, where chance alone would
/// give more.
const OWN_SLOTS: f64 = 0.8;

/// Changes that a signal must show to be asked more than once in a turn.
const TELLS: usize = 8;

/// A column whose changes show where the turn of another one stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Anchor {
    pub(crate) track: usize,
    /// Rows from its change on to the next refresh of the other one.
    pub(crate) ahead: usize,
}

/// Slot of each column.
#[derive(Debug)]
pub(crate) struct Slots {
    /// Rows in the common turn.
    rows: usize,
    /// Rows between two refreshes of each column, and its place behind the leader's;
    /// `None`: it never told.
    columns: Vec<(usize, Option<usize>)>,
    /// Columns that are filled forward.
    forward: Vec<bool>,
}

impl Slots {
    /// Rows between two refreshes of a column, and whether it told its place.
    pub(crate) fn of(&self, column: usize) -> (usize, bool) {
        (self.columns[column].0, self.columns[column].1.is_some())
    }

    /// The columns whose changes show where the turn of a column stands.
    pub(crate) fn anchors(&self, column: usize) -> Vec<Anchor> {
        let (rows, place) = self.columns[column];
        let place = place.unwrap_or(0);
        let other = |(track, (every, slot)): (usize, &(usize, Option<usize>))| {
            let slot = slot.as_ref().filter(|_| every.is_multiple_of(rows))?;
            let fits = track == column || self.forward[track] && *every == self.rows;
            fits.then(|| Anchor { track, ahead: (place + 2 * self.rows - slot) % rows })
        };
        self.columns.iter().enumerate().filter_map(other).collect()
    }
}

/// Finds the slots from the distances of changes behind those of the column that changes
/// most often of those that are asked once a turn.
pub(crate) fn slots(
    tracks: &[Track],
    forward: &[bool],
    leads: &[bool],
    rows: usize,
) -> Slots {
    let changes = |at: &usize| tracks[*at].changed.count();
    let may = |at: &usize| forward[*at] && (leads[*at] || !leads.contains(&true));
    let leader =
        (0..tracks.len()).filter(may).max_by_key(|at| (changes(at), usize::MAX - at));
    let counts = leader.map(|leader| distances(tracks, forward, leader, rows));
    let columns = (0..tracks.len()).map(|at| match &counts {
        _ if Some(at) == leader => (rows, Some(0)),
        Some(counts) if forward[at] => own_slot(&counts[at], rows),
        Some(_) | None => (rows, None),
    });
    Slots { rows, columns: columns.collect(), forward: forward.to_vec() }
}

/// How often each column changes so many rows behind the leader's change.
fn distances(
    tracks: &[Track],
    forward: &[bool],
    leader: usize,
    rows: usize,
) -> Vec<Vec<usize>> {
    let mut counts = vec![vec![0; rows]; tracks.len()];
    let first = tracks[leader].changed.rows().next();
    let mut before: Option<usize> = None;
    for at in 0..tracks[leader].changed.words() {
        let of = |track: usize| {
            if forward[track] { tracks[track].changed.word(at) } else { 0 }
        };
        let any = (0..tracks.len()).fold(0, |word, track| word | of(track));
        for row in ones(at, any) {
            if tracks[leader].changed.get(row) {
                before = Some(row);
            }
            // The first filling comes before the leader's first: look ahead there.
            let Some(near) = before.or(first) else { continue };
            if near.abs_diff(row) >= 2 * rows {
                continue;
            }
            for track in (0..tracks.len()).filter(|track| forward[*track]) {
                if tracks[track].changed.get(row) {
                    counts[track][(row + 2 * rows - near) % rows] += 1;
                }
            }
        }
    }
    counts
}

/// The most frequent distance; where there is none, the column may be asked more than once
/// in a turn.
fn own_slot(counts: &[usize], rows: usize) -> (usize, Option<usize>) {
    let total: usize = counts.iter().sum();
    let best = |rows: usize| {
        let mut places = vec![0; rows.clamp(1, LONGEST_TURN)];
        counts.iter().enumerate().for_each(|(at, count)| places[at % rows] += count);
        let best = (0..rows).max_by_key(|at| (places[*at], usize::MAX - at))?;
        Some((best, share(places[best], total)))
    };
    if total == 0 {
        return (rows, None);
    }
    if let Some((slot, _)) = best(rows).filter(|(_, part)| *part >= OWN_SLOT) {
        return (rows, Some(slot));
    }
    let often = (2..rows).rev().filter(|part| rows.is_multiple_of(*part));
    let found = often.filter_map(|part| {
        let (slot, own) = best(part)?;
        (own >= OWN_SLOTS && total >= TELLS).then_some((part, Some(slot)))
    });
    found.into_iter().next().unwrap_or((rows, None))
}
