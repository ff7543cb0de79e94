//! ASAM MDF 4: groups of channels, each group with a time of its own. Hostile files are
//! bounded: every place is checked against the file, lists can't run in circles, nesting has a
//! depth, and nothing is set aside that a claim alone would ask for.

mod block;
mod conversion;
mod stream;
mod tree;
mod value;

use crate::assemble::{Assembled, Table, assemble_from, join};
use crate::columns::find;
use crate::csv::kept;
use crate::error::LogError;
use crate::gather::{Block, Digest, Gather, moment_s};
use crate::header::{Column, name_apart};
use crate::options::Options;
use crate::source::ByteSource;
use crate::timeline::Runs;
use crate::{Recording, format, so_many};
use block::File;
use stream::Stream;
use tree::{Group, Shared};

/// Why a file is refused.
type Refused = &'static str;

/// Records worked up at a time.
const BATCH: usize = 1 << 14;

/// MDF 4 files.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Mdf4;

fn broken(why: Refused) -> LogError {
    LogError::Broken { kind: "MDF", why: why.to_owned() }
}

impl format::Format for Mdf4 {
    fn name(&self) -> &'static str {
        "ASAM MDF 4"
    }

    fn knows(&self, head: &[u8]) -> bool {
        head.starts_with(b"MDF     ") || head.starts_with(b"UnFinMF ")
    }

    fn read(
        &self,
        source: &dyn ByteSource,
        options: &Options,
    ) -> Result<Recording, LogError> {
        let file = File(source);
        let head = file.bytes(0, 64).map_err(broken)?;
        let version = u16::from_le_bytes([head[28], head[29]]);
        if !(400..500).contains(&version) {
            let what = "an MDF file of another version than 4";
            return Err(LogError::OtherKind { what, hint: "export it as MDF 4 or CSV" });
        }
        if head.starts_with(b"UnFinMF ") {
            let what = "an MDF file that was never finished";
            let hint = "open it with the program that recorded it, which finishes it";
            return Err(LogError::OtherKind { what, hint });
        }
        let shared = tree::tree(file).map_err(broken)?;
        let mut tables = Tables::of(&shared, options)?;
        for (at, shared) in shared.iter().enumerate() {
            tables.read(file, (at, shared), options)?;
        }
        tables.finish()
    }
}

/// One group on its way to channels.
struct Filling {
    /// Which groups share the data, and which of them this is.
    of: (usize, usize),
    columns: Vec<Column>,
    kept: Vec<usize>,
    gather: Gather,
    block: Block,
    records: usize,
    /// Seconds in one unit of the time.
    factor: f64,
    /// Channel that is the time where one was asked for.
    time: Option<usize>,
}

struct Tables {
    groups: Vec<Filling>,
    remarks: Vec<String>,
}

impl Tables {
    /// The groups with a time, their columns named apart.
    fn of(shared: &[Shared], options: &Options) -> Result<Self, LogError> {
        let mut all: Vec<Column> = Vec::new();
        let mut places = Vec::new();
        let (mut left_out, mut formulas) = (0, 0);
        let mut untimed = 0;
        let groups = shared.iter().enumerate().flat_map(|(at, shared)| {
            shared.groups.iter().enumerate().map(move |(group, of)| ((at, group), of))
        });
        for (place, group) in groups {
            left_out += group.left_out;
            formulas += group.formulas;
            let asked = options.time.as_deref().and_then(|time| {
                let columns: Vec<Column> =
                    group.channels.iter().map(|c| c.column.clone()).collect();
                find(&columns, time).ok()
            });
            if group.time.is_none() && asked.is_none() {
                untimed += usize::from(!group.channels.is_empty());
                continue;
            }
            if group.channels.len() > options.max_columns {
                return Err(LogError::TooLarge {
                    what: "columns",
                    limit: options.max_columns,
                });
            }
            places.push((place, all.len(), group, asked));
            all.extend(group.channels.iter().map(|channel| channel.column.clone()));
        }
        name_apart(&mut all);
        let kept = kept(&all, options);
        let filling = |(of, from, group, time): &(_, usize, &Group, Option<usize>)| {
            let to = from + group.channels.len();
            let own =
                kept.iter().filter(|at| (*from..to).contains(at)).map(|at| at - from);
            let own: Vec<usize> = own.collect();
            Filling {
                of: *of,
                columns: all[*from..to].to_vec(),
                gather: Gather::new(group.channels.len(), &own),
                kept: own,
                block: empty(group.channels.len()),
                records: 0,
                factor: if time.is_some() { 1.0 } else { group.factor },
                time: *time,
            }
        };
        let groups: Vec<Filling> = places.iter().map(filling).collect();
        let mut remarks = vec!["read as ASAM MDF 4".to_owned()];
        for (count, (one, many), what) in [
            (left_out, ("channel", "channels"), " left out: no single number"),
            (formulas, ("channel", "channels"), " left out: by a formula in letters"),
            (untimed, ("group", "groups"), " of channels left out: no time"),
        ] {
            if count > 0 {
                remarks.push(so_many(count, one, many) + what);
            }
        }
        Ok(Self { groups, remarks })
    }

    /// Reads the data that some groups share.
    fn read(
        &mut self,
        file: File<'_>,
        (at, shared): (usize, &Shared),
        options: &Options,
    ) -> Result<(), LogError> {
        let mut stream = Stream::of(file, shared.data);
        let (mut bytes, mut skip) = (Vec::new(), 0_u64);
        let mut cells = options.max_cells;
        while stream.next(&mut bytes).map_err(broken)? {
            let taken = self.take((at, shared), &bytes, (&mut skip, &mut cells));
            let taken = taken.map_err(broken)?;
            let limit = options.max_cells;
            let Some(taken) = taken else {
                return Err(LogError::TooLarge { what: "cells", limit });
            };
            bytes.drain(..taken);
        }
        for group in self.groups.iter_mut().filter(|group| group.of.0 == at) {
            group.flush();
        }
        Ok(())
    }

    /// Takes all whole records from some bytes; how many bytes they were, `None`: there are
    /// more cells than may be.
    fn take(
        &mut self,
        (at, shared): (usize, &Shared),
        bytes: &[u8],
        (skip, cells): (&mut u64, &mut usize),
    ) -> Result<Option<usize>, Refused> {
        let mut done = usize::try_from(*skip).unwrap_or(usize::MAX).min(bytes.len());
        *skip -= done as u64;
        loop {
            let rest = &bytes[done..];
            let Some((id, record)) = rest.split_at_checked(shared.id_bytes) else {
                break;
            };
            let id = id.iter().rev().fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
            let own = |group: &Group| shared.id_bytes == 0 || group.record_id == id;
            let Some(which) = shared.groups.iter().position(own) else {
                if rest.is_empty() {
                    break;
                }
                return Err("a record belongs to no group");
            };
            let group = &shared.groups[which];
            let Some(length) = group.bytes else {
                // Its length stands before it; its values are no numbers.
                let Some(length) = record.get(..4) else { break };
                let length =
                    length.iter().rev().fold(0_u64, |sum, b| sum << 8 | u64::from(*b));
                let there = (record.len() - 4) as u64;
                *skip = length.saturating_sub(there);
                done +=
                    shared.id_bytes + 4 + usize::try_from(length.min(there)).unwrap_or(0);
                continue;
            };
            if length == 0 && shared.id_bytes == 0 {
                return Ok(Some(bytes.len()));
            }
            let Some(record) = record.get(..length) else { break };
            let filling = self.groups.iter_mut().find(|g| g.of == (at, which));
            // What lies behind the records that there are said to be is none.
            if let Some(filling) = filling.filter(|f| (f.records as u64) < group.records)
            {
                let Some(left) = cells.checked_sub(1 + group.channels.len()) else {
                    return Ok(None);
                };
                *cells = left;
                filling.record(group, record);
            }
            done += shared.id_bytes + length;
        }
        Ok(Some(done))
    }

    /// One recording of all groups, times from the earliest on.
    fn finish(self) -> Result<Recording, LogError> {
        let mut parts: Vec<Assembled> = Vec::new();
        for group in self.groups.into_iter().filter(|group| group.gather.rows > 0) {
            let Filling { columns, kept, gather, .. } = group;
            let table = Table { columns, kept, runs: Runs::On, remarks: Vec::new() };
            match assemble_from(table, gather) {
                Ok(part) => parts.push(part),
                Err(LogError::NoRows) => {}
                Err(error) => return Err(error),
            }
        }
        let mut remarks = self.remarks;
        if parts.len() > 1 {
            remarks
                .push(format!("{} groups of channels, each with its time", parts.len()));
        }
        join(parts, remarks)
    }
}

fn empty(columns: usize) -> Block {
    Block { columns: vec![Vec::new(); columns], ..Block::default() }
}

impl Filling {
    fn record(&mut self, group: &Group, record: &[u8]) {
        let count = self.records;
        self.records += 1;
        let asked = self.time.and_then(|at| group.channels.get(at));
        let time = asked
            .or(group.time.as_ref())
            .map_or(f64::NAN, |channel| channel.value(record, count) * self.factor);
        self.block.times.push(moment_s(time));
        for (column, channel) in self.block.columns.iter_mut().zip(&group.channels) {
            column.push(channel.value(record, count));
        }
        if self.block.times.len() >= BATCH {
            self.flush();
        }
    }

    fn flush(&mut self) {
        if self.block.times.is_empty() {
            return;
        }
        let next = empty(self.block.columns.len());
        let block = std::mem::replace(&mut self.block, next);
        self.gather.take(Digest::of(block, &self.kept));
    }
}
