//! Which cells are fresh where a link asks its signals in turn and the writer repeats
//! the last answer of the others.

use crate::bits::ones;
use crate::share;
use crate::slots::{Anchor, Slots, slots};
use crate::track::Track;

/// Longest turn looked for, in rows.
pub(crate) const LONGEST_TURN: usize = 64;

/// Changes that a signal must show before it speaks for or against a turn.
const SPEAKS: usize = 8;

/// Turns over which a gap is looked at.
const TURNS: usize = 4;

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

/// A column with fewer filled cells than this is not filled forward: what is filled is
/// fresh.
const FILLED_FORWARD: f64 = 0.75;

/// How a column is refreshed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Refresh {
    /// Every filled cell is a sample.
    Filled,
    /// Once in so many rows.
    Turn(Turn),
}

/// A refresh once in so many rows.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Turn {
    /// Rows from one refresh to the next.
    pub(crate) rows: usize,
    /// False where the column never told at which row of a turn it is asked.
    pub(crate) told: bool,
    /// From which row on the refresh lies at which row of a turn; `None`: the link slipped and
    /// nobody can say.
    pieces: Vec<(usize, Option<usize>)>,
}

impl Turn {
    /// Rows of which nobody can say where the turn stands.
    fn unknown(&self, rows: usize) -> usize {
        let ends = self.pieces.iter().skip(1).map(|p| p.0).chain([rows]);
        let pieces = self.pieces.iter().zip(ends);
        pieces.filter(|(p, _)| p.1.is_none()).map(|(p, end)| end - p.0).sum()
    }
}

/// How the columns of a file are refreshed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Turns {
    /// Rows in a turn of most columns.
    pub(crate) rows: usize,
    /// Each column.
    pub(crate) columns: Vec<Refresh>,
}

impl Turns {
    /// Columns whose place in the turn never showed: taken as refreshed once a turn.
    pub(crate) fn silent(&self) -> usize {
        self.turns().filter(|turn| !turn.told).count()
    }

    /// Share of the rows at which the turn is known.
    pub(crate) fn known(&self, rows: usize) -> f64 {
        let unknown = self.turns().map(|turn| turn.unknown(rows)).min().unwrap_or(0);
        share(rows - unknown.min(rows), rows)
    }

    fn turns(&self) -> impl Iterator<Item = &Turn> {
        self.columns.iter().filter_map(|column| match column {
            Refresh::Turn(turn) => Some(turn),
            Refresh::Filled => None,
        })
    }
}

/// Finds the turn of a file from the rows at which each column changes.
pub(crate) fn turns(tracks: &[Track]) -> Option<Turns> {
    let forward: Vec<bool> = tracks.iter().map(filled_forward).collect();
    let filled: Vec<&Track> =
        tracks.iter().zip(&forward).filter(|(_, f)| **f).map(|(t, _)| t).collect();
    let shortest = turn_rows(&filled)?;
    let rows = longest_turn(&filled, shortest);
    let whole = |track: &Track| longest_turn(&[track], shortest) == rows;
    let leads: Vec<bool> =
        tracks.iter().zip(&forward).map(|(t, f)| *f && whole(t)).collect();
    let slots = slots(tracks, &forward, &leads, rows);
    let columns = (0..tracks.len()).map(|at| {
        if forward[at] {
            Refresh::Turn(turn(tracks, &slots, at))
        } else {
            Refresh::Filled
        }
    });
    let columns: Vec<Refresh> = columns.collect();
    Some(Turns { rows: usual_rows(&columns).unwrap_or(rows), columns })
}

fn filled_forward(track: &Track) -> bool {
    let from = track.first_row().unwrap_or(0);
    share(track.filled.count(), track.filled.len() - from) >= FILLED_FORWARD
}

/// The period that most columns have; of two, the longer one.
fn usual_rows(columns: &[Refresh]) -> Option<usize> {
    let mut counts = vec![0_usize; LONGEST_TURN + 1];
    for column in columns {
        if let Refresh::Turn(turn) = column {
            counts[turn.rows.min(LONGEST_TURN)] += 1;
        }
    }
    (1..counts.len()).filter(|rows| counts[*rows] > 0).max_by_key(|rows| counts[*rows])
}

/// Gaps short enough for a turn of so many rows: in longer ones the link may have slipped.
fn short(track: &Track, rows: usize) -> &[u32] {
    &track.gaps[..track.gaps.len().min(TURNS * rows + 1)]
}

fn sum(counts: impl Iterator<Item = u32>) -> usize {
    counts.map(|count| count as usize).sum()
}

fn told(track: &Track, rows: usize) -> usize {
    sum(short(track, rows).iter().copied())
}

fn speaks(track: &Track, rows: usize) -> bool {
    told(track, rows) >= SPEAKS
}

/// Gaps that are whole multiples of so many rows.
fn whole(track: &Track, rows: usize) -> usize {
    sum(short(track, rows).iter().step_by(rows).copied())
}

fn many_values(track: &Track, least: usize) -> bool {
    track.distinct.as_ref().is_none_or(|values| values.len() >= least)
}

/// True if a column that takes enough values is often refreshed after just so many rows.
fn shows(track: &Track, rows: usize, values: usize) -> bool {
    let one = track.gaps.get(rows).copied().unwrap_or(0) as usize;
    many_values(track, values) && share(one, told(track, rows)) >= ONE_TURN
}

/// The longest turn that every speaking column keeps.
fn turn_rows(filled: &[&Track]) -> Option<usize> {
    (2..=LONGEST_TURN).rev().find(|rows| {
        let speaking: Vec<&&Track> = filled.iter().filter(|t| speaks(t, *rows)).collect();
        // One column alone may step in time by itself: then it must vary more.
        let least = if speaking.len() == 1 { VALUES_ALONE } else { VALUES };
        let all = speaking.iter().map(|track| told(track, *rows)).sum();
        let together = speaking.iter().map(|track| whole(track, *rows)).sum();
        let keeps =
            |t: &&&Track| share(whole(t, *rows), told(t, *rows)) >= WHOLE_TURNS_EACH;
        share(together, all) >= WHOLE_TURNS
            && speaking.iter().all(keeps)
            && speaking.iter().any(|track| shows(track, *rows, least))
    })
}

/// The longest of a few turns that some column keeps: a link may ask one signal more often
/// than another.
fn longest_turn(filled: &[&Track], shortest: usize) -> usize {
    let keeps = |track: &&Track, rows: usize| {
        speaks(track, rows)
            && share(whole(track, rows), told(track, rows)) >= WHOLE_TURNS
            && shows(track, rows, VALUES)
    };
    let most = LONGEST_TURN.checked_div(shortest).unwrap_or(1);
    let turns = (2..=most).rev().map(|times| shortest * times);
    let longest = |rows: &usize| filled.iter().any(|track| keeps(track, *rows));
    turns.into_iter().find(longest).unwrap_or(shortest)
}

/// Where the turn of a column stands, row by row: between two changes that agree it is
/// known, between two that do not the link slipped.
fn turn(tracks: &[Track], slots: &Slots, column: usize) -> Turn {
    let (rows, told) = slots.of(column);
    let anchors = slots.anchors(column);
    let mut pieces = Pieces::default();
    let words = anchors.first().map_or(0, |a| tracks[a.track].changed.words());
    for at in 0..words {
        let any = anchors.iter().fold(0, |w, a| w | tracks[a.track].changed.word(at));
        for row in ones(at, any) {
            let here = anchors.iter().filter(|a| tracks[a.track].changed.get(row));
            for Anchor { ahead, .. } in here {
                pieces.take(row, (row + ahead) % rows);
            }
        }
    }
    let pieces = if pieces.list.is_empty() { vec![(0, Some(0))] } else { pieces.list };
    Turn { rows, told, pieces }
}

/// Pieces of rows with one place of the turn.
#[derive(Default)]
struct Pieces {
    list: Vec<(usize, Option<usize>)>,
    last: Option<(usize, usize)>,
}

impl Pieces {
    /// At a row the column's refresh is seen to lie at a place of the turn.
    fn take(&mut self, row: usize, place: usize) {
        match self.last {
            None => self.list.push((0, Some(place))),
            Some((_, before)) if before == place => {}
            Some((seen, _)) => {
                // Known at the row that was seen; open from there to here.
                if seen + 1 < row {
                    self.list.push((seen + 1, None));
                }
                self.list.push((row, Some(place)));
            }
        }
        self.last = Some((row, place));
    }
}

/// Goes through the rows in order and says which are fresh.
#[derive(Debug)]
pub(crate) struct Fresh<'a> {
    turn: Option<&'a Turn>,
    at: usize,
}

impl<'a> Fresh<'a> {
    pub(crate) fn of(turns: Option<&'a Turns>, column: usize) -> Self {
        let turn = turns.and_then(|turns| match &turns.columns[column] {
            Refresh::Turn(turn) => Some(turn),
            Refresh::Filled => None,
        });
        Self { turn, at: 0 }
    }

    /// True if every row is fresh that has a value.
    pub(crate) fn always(&self) -> bool {
        self.turn.is_none()
    }

    /// True if the cell of the row was refreshed there; rows are asked for in order.
    pub(crate) fn is(&mut self, row: usize) -> bool {
        let Some(turn) = self.turn else { return true };
        while turn.pieces.get(self.at + 1).is_some_and(|piece| piece.0 <= row) {
            self.at += 1;
        }
        let place = turn.pieces.get(self.at).and_then(|piece| piece.1);
        place.is_some_and(|place| row % turn.rows == place)
    }
}
