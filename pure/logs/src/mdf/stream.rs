//! The measured data of a group as a stream of bytes: plain blocks, lists, packed blocks.

use std::collections::{BTreeSet, VecDeque};
use std::io::Read;

use flate2::read::ZlibDecoder;

use super::Refused;
use super::block::File;

/// Bytes read from a plain block at a time.
const PIECE: u64 = 1 << 20;

/// Bytes of a packed block, unpacked, at most.
const UNPACKED: u64 = 64 << 20;

/// Deflate packs no better than 1032 to 1 (zlib technical details).
const RATIO: u64 = 1_032;

/// Bytes of the stream a byte of the file may become, and some for small files.
const TOTAL: (u64, u64) = (64, 16 << 20);

/// Goes through the data of a group.
pub(super) struct Stream<'a> {
    file: File<'a>,
    /// Blocks to come.
    ahead: VecDeque<u64>,
    /// What is left of a plain block: place and length.
    plain: (u64, u64),
    /// Blocks met: one that comes twice would make a circle.
    met: BTreeSet<u64>,
    /// Bytes that may still come.
    left: u64,
}

impl<'a> Stream<'a> {
    pub(super) fn of(file: File<'a>, data: u64) -> Self {
        let left = file.0.size().saturating_mul(TOTAL.0).saturating_add(TOTAL.1);
        let ahead = if data == 0 { VecDeque::new() } else { VecDeque::from([data]) };
        Self { file, ahead, plain: (0, 0), met: BTreeSet::new(), left }
    }

    /// The next bytes, put behind those given; false at the end.
    pub(super) fn next(&mut self, into: &mut Vec<u8>) -> Result<bool, Refused> {
        let before = into.len();
        while into.len() == before {
            let (at, length) = self.plain;
            if length > 0 {
                let piece = length.min(PIECE);
                into.extend(self.file.bytes(at, piece)?);
                self.plain = (at + piece, length - piece);
            } else if let Some(block) = self.ahead.pop_front() {
                self.enter(block, into)?;
            } else {
                return Ok(false);
            }
        }
        let read = (into.len() - before) as u64;
        self.left = self.left.checked_sub(read).ok_or("its data unpack to too much")?;
        Ok(true)
    }

    fn enter(&mut self, at: u64, into: &mut Vec<u8>) -> Result<(), Refused> {
        if !self.met.insert(at) {
            return Err("its data lead in a circle");
        }
        let head = self.file.head(at)?;
        match &head.id {
            b"DT" | b"RD" => self.plain = head.data(),
            b"DZ" => self.unpack(at, into)?,
            b"HL" => self.ahead.push_front(self.file.block(at)?.link(0)),
            b"DL" => {
                let block = self.file.block(at)?;
                let (next, data) = block.links().split_first().ok_or("an empty list")?;
                // In order: what it lists, then the next list.
                let list = data.iter().chain([next]).filter(|link| **link != 0);
                list.rev().for_each(|link| self.ahead.push_front(*link));
            }
            b"DV" | b"LD" => {
                return Err("its data are stored by column, which is not read");
            }
            _ => return Err("its data are of a kind that is not known"),
        }
        Ok(())
    }

    fn unpack(&mut self, at: u64, into: &mut Vec<u8>) -> Result<(), Refused> {
        let (from, length) = self.file.head(at)?.data();
        let head = self.file.bytes(from, 24)?;
        let whole = |at: usize, bytes: usize| {
            head[at..at + bytes]
                .iter()
                .rev()
                .fold(0_u64, |sum, b| sum << 8 | u64::from(*b))
        };
        let (kind, width, unpacked, packed) =
            (whole(2, 1), whole(4, 4), whole(8, 8), whole(16, 8));
        let fits = packed <= length.saturating_sub(24)
            && unpacked <= UNPACKED
            && unpacked <= packed.saturating_mul(RATIO).saturating_add(64);
        if !fits {
            return Err("a packed block claims more than there is");
        }
        let bytes = self.file.bytes(from + 24, packed)?;
        let mut plain = Vec::new();
        ZlibDecoder::new(bytes.as_slice())
            .take(unpacked)
            .read_to_end(&mut plain)
            .map_err(|_| "a packed block cannot be unpacked")?;
        if plain.len() as u64 != unpacked {
            return Err("a packed block is shorter than it says");
        }
        match kind {
            0 => into.append(&mut plain),
            1 => transpose(&plain, usize::try_from(width).unwrap_or(0), into),
            _ => return Err("a block is packed in a way that is not known"),
        }
        Ok(())
    }
}

/// Undoes the order by columns: all first bytes of the records, all second ones, and so on;
/// what makes no whole record follows as it is.
fn transpose(bytes: &[u8], width: usize, into: &mut Vec<u8>) {
    let rows = bytes.len().checked_div(width).unwrap_or(0);
    for row in 0..rows {
        into.extend((0..width).map(|column| bytes[column * rows + row]));
    }
    into.extend_from_slice(&bytes[rows * width..]);
}
