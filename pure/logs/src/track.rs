//! What is remembered of every column, kept or not: which cells are filled and which
//! changed, and a few figures, so that ten million rows need a bit each.

use crate::bits::{Bits, ones};

/// Longest gap between two changes that is counted.
pub(crate) const GAPS: usize = 512;

/// Different values remembered; a column with more has no coarse step.
pub(crate) const DISTINCT: usize = 1024;

/// Changes of a piece that are looked at one by one.
const LOOKED_AT: usize = 4096;

/// Cells looked at side by side.
const LANES: usize = 8;

/// A change larger than so many of the smallest tells when the cell was refreshed; a
/// smaller one may be a slow signal that creeps over the edge of a count.
const TELLS: f64 = 2.5;

/// A column, or a piece of one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Track {
    pub(crate) filled: Bits,
    /// Cells that differ from the last filled one; the first one too, if it comes after
    /// the first row, for then the cell was empty before.
    pub(crate) changed: Bits,
    /// Gaps between changes, in rows, where the later one tells.
    pub(crate) gaps: Vec<u32>,
    /// Different values, sorted; `None`: more than [`DISTINCT`].
    pub(crate) distinct: Option<Vec<f64>>,
    pub(crate) least: End,
    pub(crate) greatest: End,
    /// Longest run without a change: rows, and the first of them.
    pub(crate) longest: (usize, usize),
    first: Option<(usize, f64)>,
    last: Option<f64>,
    last_change: Option<usize>,
}

/// The least or the greatest value and how many cells hold it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct End {
    pub(crate) value: f64,
    pub(crate) cells: usize,
}

impl End {
    fn join(&mut self, other: Self, closer: impl Fn(f64, f64) -> bool) {
        if other.value.to_bits() == self.value.to_bits() {
            self.cells += other.cells;
        } else if closer(other.value, self.value) {
            *self = other;
        }
    }
}

fn less(a: f64, b: f64) -> bool {
    a < b
}

fn more(a: f64, b: f64) -> bool {
    a > b
}

impl Track {
    /// Nothing yet.
    pub(crate) fn new() -> Self {
        Self {
            filled: Bits::default(),
            changed: Bits::default(),
            gaps: vec![0; GAPS],
            distinct: Some(Vec::new()),
            least: End { value: f64::INFINITY, cells: 0 },
            greatest: End { value: f64::NEG_INFINITY, cells: 0 },
            longest: (0, 0),
            first: None,
            last: None,
            last_change: None,
        }
    }

    /// A piece of a column, `NaN` where a cell is empty.
    pub(crate) fn of(values: &[f64]) -> Self {
        let mut track = Self::new();
        let Some(first) = values.iter().position(|v| !v.is_nan()) else {
            track.filled = Bits::of(values.len(), |_| false);
            track.changed = Bits::of(values.len(), |_| false);
            return track;
        };
        track.first = Some((first, values[first]));
        track.last = values.iter().rev().copied().find(|v| !v.is_nan());
        let look = Look::at(values);
        (track.least.value, track.greatest.value) = (look.least, look.greatest);
        if look.whole {
            track.filled = Bits::all(values.len());
            track.changed = changes(values);
        } else {
            track.filled = Bits::of(values.len(), |row| !values[row].is_nan());
            track.changed = changes_among_gaps(values, first);
        }
        track.least.cells = cells(values, look.least);
        track.greatest.cells = cells(values, look.greatest);
        track.look_at_changes(values, first);
        track
    }

    fn look_at_changes(&mut self, values: &[f64], first: usize) {
        let mut seen = Seen::new();
        seen.take(values[first]);
        let filled = |row: &usize| !values[*row].is_nan();
        let before =
            |row: usize| (0..row).rev().find(filled).map_or(f64::NAN, |r| values[r]);
        let size = |row: usize| (values[row] - before(row)).abs();
        let looked_at = || self.changed.rows().take(LOOKED_AT);
        let smallest = looked_at().map(size).fold(f64::INFINITY, f64::min);
        let (mut last, mut rose) = (None, None);
        for row in looked_at() {
            let change = values[row] - before(row);
            let rises = change > 0.0;
            let turns = rose.is_some_and(|rose| rose != rises);
            let gap = last.map_or(GAPS, |last| row - last);
            if gap < GAPS && (turns || change.abs() > TELLS * smallest) {
                self.gaps[gap] += 1;
            }
            seen.take(values[row]);
            (last, rose) = (Some(row), Some(rises));
        }
        (self.longest, self.last_change) = longest_gap(&self.changed);
        self.distinct = seen.sorted();
    }

    /// Puts the next piece of the column behind this one.
    pub(crate) fn append(&mut self, mut piece: Self) {
        let rows = self.filled.len();
        if let Some((at, value)) = piece.first {
            let changed = match self.last {
                Some(last) => last.to_bits() != value.to_bits(),
                None => rows + at > 0,
            };
            if changed {
                piece.changed.set(at);
            }
            self.last = piece.last;
            self.first = self.first.or(Some((rows + at, value)));
            self.least.join(piece.least, less);
            self.greatest.join(piece.greatest, more);
        }
        let first_change = piece.changed.rows().next();
        if let Some((first, last)) = first_change.zip(self.last_change) {
            let gap = rows + first - last;
            self.longest = self.longest.max((gap, last));
        }
        let (run, from) = piece.longest;
        if run > self.longest.0 {
            self.longest = (run, rows + from);
        }
        let last = piece.last_change.or(first_change);
        self.last_change = last.map(|row| rows + row).or(self.last_change);
        for (sum, count) in self.gaps.iter_mut().zip(&piece.gaps) {
            *sum = sum.saturating_add(*count);
        }
        self.distinct = joined(self.distinct.take(), piece.distinct);
        self.filled.append(&piece.filled);
        self.changed.append(&piece.changed);
    }

    /// The longest run without a change, the one that reaches the end taken too: rows,
    /// and the first of them.
    pub(crate) fn longest_run(&self) -> (usize, usize) {
        let from = self.last_change.or(self.first.map(|f| f.0)).unwrap_or(0);
        let at_end = (self.filled.len() - from, from);
        // The run before the first change counts as well.
        let start = self.first.map_or(0, |f| f.0);
        let at_start = self.changed.rows().find(|row| *row > start);
        let at_start = at_start.map_or((0, 0), |row| (row - start, start));
        self.longest.max(at_end).max(at_start)
    }

    /// First filled row.
    pub(crate) fn first_row(&self) -> Option<usize> {
        self.first.map(|first| first.0)
    }
}

/// What one pass over a piece of a column tells.
struct Look {
    /// Whether every cell is filled.
    whole: bool,
    least: f64,
    greatest: f64,
}

impl Look {
    fn at(values: &[f64]) -> Self {
        // Eight cells side by side: none waits for the one before.
        let (mut empty, mut least, mut greatest) =
            ([false; LANES], [f64::INFINITY; LANES], [f64::NEG_INFINITY; LANES]);
        let mut take = |lane: usize, value: f64| {
            empty[lane] |= value.is_nan();
            least[lane] = if value < least[lane] { value } else { least[lane] };
            greatest[lane] = if value > greatest[lane] { value } else { greatest[lane] };
        };
        let (eights, rest) = values.as_chunks::<LANES>();
        for eight in eights {
            for (lane, value) in eight.iter().enumerate() {
                take(lane, *value);
            }
        }
        rest.iter().enumerate().for_each(|(lane, value)| take(lane, *value));
        Self {
            whole: !empty.contains(&true),
            least: least.into_iter().fold(f64::INFINITY, f64::min),
            greatest: greatest.into_iter().fold(f64::NEG_INFINITY, f64::max),
        }
    }
}

/// How many cells hold a value that is a number.
#[expect(clippy::float_cmp, reason = "the value is one of the cells'")]
fn cells(values: &[f64], value: f64) -> usize {
    values.iter().filter(|v| **v == value).count()
}

/// Cells that are not the one before, where all are filled.
fn changes(values: &[f64]) -> Bits {
    let mut before = values.first().copied().unwrap_or_default();
    let words = values.chunks(Bits::WORD).map(|chunk| {
        let mut word = u64::from(chunk[0].to_bits() != before.to_bits());
        for (at, pair) in chunk.windows(2).enumerate() {
            word |= u64::from(pair[1].to_bits() != pair[0].to_bits()) << (at + 1);
        }
        before = chunk[chunk.len() - 1];
        word
    });
    Bits::of_words(words.collect(), values.len())
}

/// Cells that differ from the last filled one.
fn changes_among_gaps(values: &[f64], first: usize) -> Bits {
    let mut changed = Bits::of(values.len(), |_| false);
    let mut before = values[first];
    for (row, value) in values.iter().enumerate().skip(first) {
        if !value.is_nan() {
            if value.to_bits() != before.to_bits() {
                changed.set(row);
            }
            before = *value;
        }
    }
    changed
}

/// The longest gap between two marks, with the first of them, and the last mark.
fn longest_gap(marks: &Bits) -> ((usize, usize), Option<usize>) {
    let (mut longest, mut last): (_, Option<usize>) = ((0, 0), None);
    for at in 0..marks.words() {
        let word = marks.word(at);
        let mut take = |row: usize| {
            if let Some(before) = last
                && row - before > longest.0
            {
                longest = (row - before, before);
            }
            last = Some(row);
        };
        if word == u64::MAX {
            let from = at * u64::BITS as usize;
            take(from);
            take(from + 1);
            last = Some(from + u64::BITS as usize - 1);
        } else {
            ones(at, word).for_each(take);
        }
    }
    (longest, last)
}

/// The union of two sorted sets of values, `None` if too many.
fn joined(a: Option<Vec<f64>>, b: Option<Vec<f64>>) -> Option<Vec<f64>> {
    let (mut a, b) = (a?, b?);
    if b.iter().all(|v| a.binary_search_by(|x| x.total_cmp(v)).is_ok()) {
        return Some(a);
    }
    a.extend(b);
    a.sort_unstable_by(f64::total_cmp);
    a.dedup_by(|x, y| x.to_bits() == y.to_bits());
    (a.len() <= DISTINCT).then_some(a)
}

/// Different values met so far: a table of places, open addressing.
struct Seen {
    slots: Vec<Option<f64>>,
    count: usize,
}

impl Seen {
    /// Places: four for each value, a power of two.
    const SLOTS: usize = 4 * DISTINCT;

    fn new() -> Self {
        Self { slots: vec![None; Self::SLOTS], count: 0 }
    }

    fn take(&mut self, value: f64) {
        if self.count > DISTINCT {
            return;
        }
        // Fibonacci hashing (Knuth, vol. 3, 6.4): the leading bits of the product.
        let mixed = value.to_bits().wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 52;
        let mut at = usize::try_from(mixed).unwrap_or(0) % Self::SLOTS;
        while let Some(there) = self.slots[at] {
            if there.to_bits() == value.to_bits() {
                return;
            }
            at = (at + 1) % Self::SLOTS;
        }
        self.slots[at] = Some(value);
        self.count += 1;
    }

    fn sorted(self) -> Option<Vec<f64>> {
        let mut values: Vec<f64> = self.slots.into_iter().flatten().collect();
        values.sort_unstable_by(f64::total_cmp);
        (values.len() <= DISTINCT).then_some(values)
    }
}

#[cfg(test)]
mod tests {
    use super::Track;

    #[test]
    fn pieces_give_what_the_whole_gives() {
        let value = |row: u32| match row % 11 {
            0 | 7 => f64::NAN,
            _ => f64::from(((row >> 2) * 7_919) % 13),
        };
        let values: Vec<f64> = (0..500).map(value).collect();
        let mut whole = Track::new();
        whole.append(Track::of(&values));
        for cut in [1, 63, 64, 200] {
            let mut parts = Track::new();
            values.chunks(cut).for_each(|piece| parts.append(Track::of(piece)));
            assert_eq!(parts.filled, whole.filled, "{cut}");
            assert_eq!(parts.changed, whole.changed, "{cut}");
            assert_eq!(parts.distinct, whole.distinct, "{cut}");
            assert_eq!((parts.least, parts.greatest), (whole.least, whole.greatest));
            assert_eq!(parts.longest_run().0, whole.longest_run().0, "{cut}");
        }
    }
}
