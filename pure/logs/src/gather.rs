//! Rows from any reader, block after block, become columns: every column is remembered as a
//! [`Track`], and those that are asked for are kept with their times.

use crate::track::Track;

/// Time and value.
pub(crate) type Sample = (f64, f64);

/// No log is longer than this, s; what lies beyond is no time.
const LONGEST_S: f64 = 1e12;

/// A time that a log may have, else `NaN`.
pub(crate) fn moment_s(time: f64) -> f64 {
    if time.abs() < LONGEST_S { time } else { f64::NAN }
}

/// Some rows of a table in file order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Block {
    /// Time of each row, s after the start; `NaN`: none.
    pub(crate) times: Vec<f64>,
    /// Columns in order, without the time; `NaN`: the cell is empty.
    pub(crate) columns: Vec<Vec<f64>>,
    pub(crate) odd: Odd,
}

/// What was odd about rows and cells.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Odd {
    pub(crate) repeated_headers: usize,
    pub(crate) ragged: usize,
    pub(crate) unreadable: usize,
    pub(crate) infinite: usize,
    /// First cell of each column that holds thousands marks, with its row in the block.
    pub(crate) thousands: Vec<Option<(usize, String)>>,
}

impl Odd {
    pub(crate) fn append(&mut self, other: Self, rows: usize) {
        self.repeated_headers += other.repeated_headers;
        self.ragged += other.ragged;
        self.unreadable += other.unreadable;
        self.infinite += other.infinite;
        let columns = self.thousands.len().max(other.thousands.len());
        self.thousands.resize(columns, None);
        for (mine, theirs) in self.thousands.iter_mut().zip(other.thousands) {
            if mine.is_none() {
                *mine = theirs.map(|(row, text)| (rows + row, text));
            }
        }
    }
}

/// A block that is ready to be put behind others: the work that needs no order.
#[derive(Debug, Clone)]
pub(crate) struct Digest {
    times: Vec<f64>,
    columns: Vec<Vec<f64>>,
    tracks: Vec<Track>,
    clock: Clock,
    odd: Odd,
}

/// How the times of rows follow one another.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Clock {
    first: Option<f64>,
    last: Option<f64>,
    /// Times that lie before the one before.
    pub(crate) falls: usize,
    /// Times that are the one before.
    pub(crate) stands: usize,
    /// Rows without a time.
    pub(crate) untimed: usize,
}

impl Clock {
    fn of(times: &[f64]) -> Self {
        let mut clock = Self::default();
        for time in times {
            if time.is_nan() {
                clock.untimed += 1;
                continue;
            }
            clock.follow(*time);
            clock.last = Some(*time);
        }
        clock.first = times.iter().copied().find(|t| !t.is_nan());
        clock
    }

    fn follow(&mut self, time: f64) {
        self.falls += usize::from(self.last.is_some_and(|last| time < last));
        self.stands +=
            usize::from(self.last.is_some_and(|last| time.to_bits() == last.to_bits()));
    }

    fn append(&mut self, other: Self) {
        if let Some(first) = other.first {
            self.follow(first);
        }
        self.falls += other.falls;
        self.stands += other.stands;
        self.untimed += other.untimed;
        self.first = self.first.or(other.first);
        self.last = other.last.or(self.last);
    }
}

impl Digest {
    /// Works a block up; of columns that are not `kept` the values go.
    pub(crate) fn of(block: Block, kept: &[usize]) -> Self {
        let tracks = block.columns.iter().map(|column| Track::of(column)).collect();
        let mut digest = Self::with(block, tracks);
        for (at, column) in digest.columns.iter_mut().enumerate() {
            if !kept.contains(&at) {
                *column = Vec::new();
            }
        }
        digest
    }

    /// As [`Digest::of`], of columns that were looked at already; the values stay.
    pub(crate) fn with(block: Block, tracks: Vec<Track>) -> Self {
        let Block { times, columns, odd } = block;
        let clock = Clock::of(&times);
        Self { times, columns, tracks, clock, odd }
    }
}

/// All rows so far.
#[derive(Debug)]
pub(crate) struct Gather {
    pub(crate) rows: usize,
    /// Columns whose samples are kept.
    kept: Vec<usize>,
    pub(crate) times: Times,
    pub(crate) tracks: Vec<Track>,
    pub(crate) clock: Clock,
    pub(crate) odd: Odd,
}

/// Times of the rows: those of the first kept column, or by themselves where none is kept.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Times {
    pub(crate) alone: Vec<f64>,
    /// Time and value of every row, one list a kept column.
    pub(crate) kept: Vec<Vec<Sample>>,
}

impl Times {
    pub(crate) fn len(&self) -> usize {
        self.kept.first().map_or(self.alone.len(), Vec::len)
    }

    pub(crate) fn get(&self, row: usize) -> f64 {
        match self.kept.first() {
            Some(first) => first[row].0,
            None => self.alone[row],
        }
    }

    pub(crate) fn set(&mut self, row: usize, time: f64) {
        match self.kept.first_mut() {
            Some(first) => first[row].0 = time,
            None => self.alone[row] = time,
        }
    }

    /// Times of all rows in order.
    pub(crate) fn all(&self) -> impl Iterator<Item = f64> + '_ {
        let first = self.kept.first().map(Vec::as_slice).unwrap_or_default();
        self.alone.iter().copied().chain(first.iter().map(|sample| sample.0))
    }

    /// Times of the rows that have one, in order.
    pub(crate) fn used(&self) -> impl Iterator<Item = f64> + '_ {
        self.all().filter(|time| !time.is_nan())
    }
}

impl Gather {
    /// No rows yet; `kept` are the columns to be kept with their times.
    pub(crate) fn new(columns: usize, kept: &[usize]) -> Self {
        Self {
            rows: 0,
            kept: kept.to_vec(),
            times: Times { alone: Vec::new(), kept: vec![Vec::new(); kept.len()] },
            tracks: (0..columns).map(|_| Track::new()).collect(),
            clock: Clock::default(),
            odd: Odd::default(),
        }
    }

    /// Puts the next rows behind those before; gives the lists of the columns back.
    pub(crate) fn take(&mut self, digest: Digest) -> Vec<Vec<f64>> {
        let Digest { times, columns, tracks, clock, odd } = digest;
        // The times of a kept column serve for all.
        if self.kept.is_empty() {
            self.times.alone.extend_from_slice(&times);
        }
        for (all, at) in self.times.kept.iter_mut().zip(&self.kept) {
            let values = columns.get(*at).map(Vec::as_slice).unwrap_or_default();
            all.extend(times.iter().copied().zip(values.iter().copied()));
        }
        for (all, new) in self.tracks.iter_mut().zip(tracks) {
            all.append(new);
        }
        self.clock.append(clock);
        self.odd.append(odd, self.rows);
        self.rows += times.len();
        columns
    }
}
