//! Rows that name the signal that they are of: each signal has times of its own.

use std::collections::{BTreeMap, HashMap};

use super::blocks;
use super::kept;
use super::long::is_plain_value;
use super::scan::{Layout, Scanned};
use crate::assemble::{Assembled, Table, assemble_from, join, oddities, settle};
use crate::error::LogError;
use crate::gather::{Block, Digest, Gather, Odd};
use crate::header::{Column, column, name_apart, plain_unit};
use crate::options::Options;
use crate::source::ByteSource;
use crate::timeline::Runs;
use crate::{Recording, share};

/// Share of the cells of a wide table that must be filled for signals to stand side by side.
const NEARLY_ALL_FILLED: f64 = 0.75;

/// Which signal rows are of.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Named {
    /// Signal of each row.
    of: Vec<u32>,
    /// Name and unit of each, as they stand.
    names: Vec<(String, String)>,
    places: HashMap<(String, String), u32>,
    /// Of each name the first.
    first: HashMap<String, u32>,
    /// First value of a signal that holds thousands marks, with its row.
    thousands: BTreeMap<u32, (usize, String)>,
}

impl Named {
    /// Takes a row's signal, and its value where that holds thousands marks.
    pub(super) fn take(
        &mut self,
        key: (String, String),
        (row, thousands): (usize, Option<String>),
    ) {
        let signal = self.place(key);
        self.of.push(signal);
        if let Some(text) = thousands {
            self.thousands.entry(signal).or_insert((row, text));
        }
    }

    fn place(&mut self, key: (String, String)) -> u32 {
        if let Some(at) = self.places.get(&key) {
            return *at;
        }
        let (name, unit) = &key;
        // An empty cell carries no unit: it is of the signal that goes by the name.
        let known = self.first.get(name).copied();
        let same = known.filter(|at| {
            let own = &mut self.names[*at as usize].1;
            if own.is_empty() {
                own.clone_from(unit);
                return true;
            }
            unit.is_empty()
        });
        let at = same.unwrap_or_else(|| {
            self.names.push(key.clone());
            u32::try_from(self.names.len() - 1).unwrap_or(u32::MAX)
        });
        self.first.entry(name.clone()).or_insert(at);
        self.places.insert(key, at);
        at
    }

    fn append(&mut self, other: Self) {
        let rows = self.of.len();
        let here: Vec<u32> = other.names.into_iter().map(|key| self.place(key)).collect();
        let place = |there: u32| here[there as usize];
        self.of.extend(other.of.into_iter().map(place));
        for (there, (row, text)) in other.thousands {
            self.thousands.entry(place(there)).or_insert((rows + row, text));
        }
    }

    /// Signals that each row is of, by their place.
    fn signals(&self) -> impl Iterator<Item = usize> + '_ {
        self.of.iter().map(|at| *at as usize)
    }

    /// The signals as columns.
    fn columns(&self, value: &Column) -> Vec<Column> {
        // A lone signal may be named better by the header: `current [A]` of one channel.
        let lone = self.names.len() == 1 && !is_plain_value(value);
        let one = |(name, unit): &(String, String)| {
            let own = if lone || name.is_empty() { value.clone() } else { column(name) };
            let unit = own.unit.or_else(|| plain_unit(unit)).or(value.unit.clone());
            Column { unit, ..own }
        };
        let mut columns: Vec<Column> = self.names.iter().map(one).collect();
        name_apart(&mut columns);
        columns
    }
}

/// All rows of a table.
#[derive(Debug, Default)]
struct Rows {
    times: Vec<f64>,
    values: Vec<f64>,
    odd: Odd,
    named: Named,
}

impl Rows {
    fn take(&mut self, Scanned { block, named }: Scanned) {
        let Block { times, columns, odd } = block;
        self.odd.append(odd, self.times.len());
        self.times.extend(times);
        self.values.extend(columns.into_iter().next().unwrap_or_default());
        self.named.append(named);
    }
}

/// Reads a table whose rows name their signals; `value` is the column of their values.
///
/// # Errors
/// The file's, too many signals or cells, or rows that run backwards or have no time.
pub(super) fn read(
    place: (&dyn ByteSource, u64),
    (layout, options): (&Layout, &Options),
    (value, runs, mut remarks): (&Column, Runs, Vec<String>),
) -> Result<Recording, LogError> {
    let mut rows = Rows::default();
    let most = options.max_columns;
    let take = |scanned| {
        rows.take(scanned);
        if rows.named.names.len() > most {
            return Err(LogError::TooLarge { what: "columns", limit: most });
        }
        Ok(())
    };
    blocks::each(place, (layout, options), |scanned| scanned, take)?;
    let Rows { times, values, odd, mut named } = rows;
    let total = times.len();
    let mut all = Gather::new(0, &[]);
    all.take(Digest::of(Block { times, columns: Vec::new(), odd }, &[]));
    // Signals one behind the other, or a little out of order, have a clock each.
    let own_clocks = falls(&all, &named) < all.clock.falls;
    remarks.extend(if own_clocks { oddities(&all) } else { settle(&mut all, runs)? });
    let runs = if own_clocks { runs } else { Runs::On };
    let columns = named.columns(value);
    let mut signals = apart(&all, &values, &named);
    drop((all, values));
    for (signal, thousands) in std::mem::take(&mut named.thousands) {
        signals[signal as usize].odd.thousands = vec![Some(thousands)];
    }
    let kept = kept(&columns, options);
    if let Some(block) = beside(&signals) {
        let mut gather = Gather::new(columns.len(), &kept);
        gather.take(Digest::of(block, &kept));
        let table = Table { columns, kept, runs, remarks: Vec::new() };
        let whole = vec![assemble_from(table, gather)?];
        return Ok(Recording { rows: total, ..join(whole, remarks)? });
    }
    let mut parts = Vec::new();
    for (at, (column, block)) in columns.into_iter().zip(signals).enumerate() {
        let kept = if kept.contains(&at) { vec![0] } else { Vec::new() };
        match part((column, block), (kept, runs)) {
            Ok(part) => parts.push(part),
            Err(LogError::NoRows) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(Recording { rows: total, ..join(parts, remarks)? })
}

/// The signals side by side as a wide table, where they nearly all have a value at the same
/// times: what a link repeats shows there only. `None` where they do not.
fn beside(signals: &[Block]) -> Option<Block> {
    let sorted = |block: &Block| block.times.windows(2).all(|pair| pair[0] < pair[1]);
    if signals.len() < 2 || !signals.iter().all(sorted) {
        return None;
    }
    let mut times: Vec<f64> = signals.iter().flat_map(|s| &s.times).copied().collect();
    let cells = times.len();
    times.sort_unstable_by(f64::total_cmp);
    times.dedup();
    if share(cells, times.len() * signals.len()) < NEARLY_ALL_FILLED {
        return None;
    }
    let column = |signal: &Block| -> Vec<f64> {
        let mut rows = signal.times.iter().zip(&signal.columns[0]).peekable();
        let mut cell = |time: &f64| {
            rows.next_if(|row| row.0.total_cmp(time).is_eq()).map(|row| *row.1)
        };
        times.iter().map(|time| cell(time).unwrap_or(f64::NAN)).collect()
    };
    let columns = signals.iter().map(column).collect();
    let first = |signal: &Block| signal.odd.thousands.first().cloned().flatten();
    let thousands = signals.iter().map(first).collect();
    Some(Block { columns, times, odd: Odd { thousands, ..Odd::default() } })
}

/// The recording of one signal.
fn part(
    (column, block): (Column, Block),
    (kept, runs): (Vec<usize>, Runs),
) -> Result<Assembled, LogError> {
    let mut gather = Gather::new(1, &kept);
    gather.take(Digest::of(block, &kept));
    let name = column.name.clone();
    let table = Table { columns: vec![column], kept, runs, remarks: Vec::new() };
    let mut part = assemble_from(table, gather)?;
    for remark in &mut part.recording.remarks {
        *remark = format!("`{name}`: {remark}");
    }
    Ok(part)
}

/// Times that lie before the one before of the same signal.
fn falls(all: &Gather, named: &Named) -> usize {
    let mut last = vec![f64::NAN; named.names.len()];
    let falls = |(time, signal): (f64, usize)| {
        let before = last[signal];
        last[signal] = if time.is_nan() { before } else { time };
        time < before
    };
    all.times.all().zip(named.signals()).map(falls).filter(|falls| *falls).count()
}

/// The rows of each signal that have a time.
fn apart(all: &Gather, values: &[f64], named: &Named) -> Vec<Block> {
    let empty = || Block { columns: vec![Vec::new()], ..Block::default() };
    let mut blocks: Vec<Block> = named.names.iter().map(|_| empty()).collect();
    for ((time, value), signal) in all.times.all().zip(values).zip(named.signals()) {
        if !time.is_nan() {
            blocks[signal].times.push(time);
            blocks[signal].columns[0].push(*value);
        }
    }
    blocks
}
