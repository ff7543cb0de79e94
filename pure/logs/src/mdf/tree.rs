//! Groups and channels of an MDF 4 file.

use std::collections::BTreeSet;

use units::{Quantity, Unit};

use super::Refused;
use super::block::{Block, File};
use super::conversion::Conversion;
use super::value::Place;
use crate::header::{Column, plain_unit};

/// Groups of a file at most.
const GROUPS: usize = 4_096;

/// Channels of a group at most, structures taken apart.
const CHANNELS: usize = 16_384;

/// Structures within one another at most.
const DEPTH: usize = 4;

/// References of conversions that are followed in a file at most.
const REFERENCES: usize = 1 << 20;

/// Bytes of a record at most.
const RECORD: u64 = 1 << 16;

/// A group of channels that are recorded together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    /// Which record is its own where groups share their data.
    pub(super) record_id: u64,
    /// Records that the file says there are.
    pub(super) records: u64,
    /// Bytes of a record; `None`: each says its own length.
    pub(super) bytes: Option<usize>,
    /// The time, and seconds in one of its units.
    pub(super) time: Option<Channel>,
    pub(super) factor: f64,
    pub(super) channels: Vec<Channel>,
    /// Channels that hold no number.
    pub(super) left_out: usize,
    /// Channels whose number a formula would tell.
    pub(super) formulas: usize,
}

/// A channel.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Channel {
    pub(super) column: Column,
    place: Place,
    conversion: Conversion,
}

impl Channel {
    /// The physical value in a record, `NaN` where there is none; `count` is its number.
    pub(super) fn value(&self, record: &[u8], count: usize) -> f64 {
        self.conversion.of(self.place.value(record, count), self.place.is_whole())
    }
}

/// Groups that share their data.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shared {
    pub(super) data: u64,
    /// Bytes before each record that say whose it is.
    pub(super) id_bytes: usize,
    pub(super) groups: Vec<Group>,
}

/// All groups of a file.
pub(super) fn tree(file: File<'_>) -> Result<Vec<Shared>, Refused> {
    let mut met = Met { blocks: BTreeSet::new(), references: REFERENCES };
    let header = file.of_kind(64, *b"HD")?;
    let mut all = Vec::new();
    let mut at = header.link(0);
    while at != 0 {
        once(&mut met, at)?;
        let block = file.of_kind(at, *b"DG")?;
        let id_bytes = usize::try_from(block.whole(0, 1)).unwrap_or(9);
        if ![0, 1, 2, 4, 8].contains(&id_bytes) {
            return Err("records are told apart in a way that is not known");
        }
        let mut groups = Vec::new();
        let mut next = block.link(1);
        while next != 0 {
            once(&mut met, next)?;
            let block = file.of_kind(next, *b"CG")?;
            groups.push(group(file, &block, &mut met)?);
            next = block.link(0);
        }
        if groups.len() > 1 && id_bytes == 0 {
            return Err("groups share data that no record id tells apart");
        }
        all.push(Shared { data: block.link(2), id_bytes, groups });
        at = block.link(0);
    }
    Ok(all)
}

/// What was met on the way through a file.
struct Met {
    blocks: BTreeSet<u64>,
    /// References of conversions that may still be followed.
    references: usize,
}

/// A list that comes back to a block would never end.
fn once(Met { blocks, .. }: &mut Met, at: u64) -> Result<(), Refused> {
    if !blocks.insert(at) {
        return Err("its blocks lead in a circle");
    }
    if blocks.len() > GROUPS + CHANNELS {
        return Err("it has too many channels");
    }
    Ok(())
}

fn group(file: File<'_>, block: &Block, met: &mut Met) -> Result<Group, Refused> {
    let flags = block.whole(16, 2);
    let (data, invalid) = (block.whole(24, 4), block.whole(28, 4));
    let any_length = flags & 1 == 1;
    if !any_length && data + invalid > RECORD {
        return Err("its records are too long");
    }
    let [data, invalid] = [data, invalid].map(|n| usize::try_from(n).unwrap_or(0));
    let mut group = Group {
        record_id: block.whole(0, 8),
        records: block.whole(8, 8),
        bytes: (!any_length).then_some(data + invalid),
        time: None,
        factor: 1.0,
        channels: Vec::new(),
        left_out: 0,
        formulas: 0,
    };
    let sizes = if any_length { (0, 0) } else { (data, invalid) };
    channels(file, block.link(1), (sizes, 0), (&mut group, met))?;
    Ok(group)
}

fn channels(
    file: File<'_>,
    first: u64,
    (sizes, depth): ((usize, usize), usize),
    (group, met): (&mut Group, &mut Met),
) -> Result<(), Refused> {
    let mut at = first;
    while at != 0 {
        once(met, at)?;
        let block = file.of_kind(at, *b"CN")?;
        at = block.link(0);
        let parts = block.link(1);
        if parts != 0 {
            // A structure of channels is taken apart; an array has no one value.
            if file.head(parts)?.id == *b"CN" && depth < DEPTH {
                channels(file, parts, (sizes, depth + 1), (&mut *group, &mut *met))?;
            } else {
                group.left_out += 1;
            }
            continue;
        }
        let place = Place::of(&block, sizes.0, sizes.1);
        let conversion = Conversion::read(file, block.link(4), &mut met.references)?;
        let Some(place) = place else {
            group.left_out += 1;
            continue;
        };
        let Some(conversion) = conversion else {
            group.formulas += 1;
            continue;
        };
        let mut unit = file.text(block.link(6))?;
        if unit.is_empty() && block.link(4) != 0 {
            unit = file.text(file.block(block.link(4))?.link(1))?;
        }
        let name = file.text(block.link(2))?;
        let column = Column { name, unit: plain_unit(&unit) };
        let channel = Channel { column, place, conversion };
        let master = matches!(block.whole(0, 1), 2 | 3);
        if !master {
            group.channels.push(channel);
        } else if block.whole(1, 1) <= 1 && group.time.is_none() {
            let unit = Unit::parse(&unit).ok().filter(|u| u.quantity() == Quantity::Time);
            group.factor = unit.map_or(1.0, Unit::factor);
            group.time = Some(channel);
        } else {
            group.left_out += 1;
        }
    }
    Ok(())
}
