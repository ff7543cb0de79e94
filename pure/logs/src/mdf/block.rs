//! Blocks of an MDF 4 file: id, length, links, data (structure as published by ASAM in the
//! overview of MDF 4.1). Every place and length is checked against the file.

use super::Refused;
use crate::source::{ByteSource, fill};

/// Bytes before the links: id, four reserved, length, number of links.
const HEAD: u64 = 24;

/// Links of a block at most; lists of data have most.
const LINKS: u64 = 1 << 20;

/// Bytes of a block's own data that are read at most; measured data are read piecewise.
const DATA: u64 = 1 << 20;

/// Letters of a text at most.
const TEXT: usize = 4_096;

/// The head of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Head {
    pub(super) id: [u8; 2],
    at: u64,
    links: u64,
    length: u64,
}

/// A block with its links and its own data.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub(super) id: [u8; 2],
    links: Vec<u64>,
    data: Vec<u8>,
}

/// A file of blocks.
#[derive(Clone, Copy)]
pub(super) struct File<'a>(pub(super) &'a dyn ByteSource);

impl Head {
    /// Where the data of the block begin, and how many there are.
    pub(super) fn data(self) -> (u64, u64) {
        let before = HEAD + 8 * self.links;
        (self.at + before, self.length - before)
    }
}

impl File<'_> {
    /// The head of the block at a place.
    pub(super) fn head(self, at: u64) -> Result<Head, Refused> {
        let bytes = self.bytes(at, HEAD)?;
        if !bytes.starts_with(b"##") {
            return Err("a link leads to no block");
        }
        let (length, links) = (whole(&bytes, 8, 8), whole(&bytes, 16, 8));
        let ends = at.checked_add(length).is_some_and(|end| end <= self.0.size());
        let holds = links <= LINKS && length >= HEAD + 8 * links;
        if !ends || !holds {
            return Err("a block reaches beyond the file");
        }
        Ok(Head { id: [bytes[2], bytes[3]], at, links, length })
    }

    /// The block at a place.
    pub(super) fn block(self, at: u64) -> Result<Block, Refused> {
        let head = self.head(at)?;
        let links = self.bytes(head.at + HEAD, 8 * head.links)?;
        let (from, length) = head.data();
        let data = self.bytes(from, length.min(DATA))?;
        let links = links.as_chunks::<8>().0.iter().map(|link| u64::from_le_bytes(*link));
        Ok(Block { id: head.id, links: links.collect(), data })
    }

    /// The block at a place, which must be of a kind.
    pub(super) fn of_kind(self, at: u64, id: [u8; 2]) -> Result<Block, Refused> {
        let block = self.block(at)?;
        if block.id == id {
            Ok(block)
        } else {
            Err("a link leads to a block of another kind")
        }
    }

    /// Text of a text block, or of what stands between `<TX>` tags; empty where there is none.
    pub(super) fn text(self, at: u64) -> Result<String, Refused> {
        if at == 0 {
            return Ok(String::new());
        }
        let block = self.block(at)?;
        let ends = block.data.iter().position(|b| *b == 0).unwrap_or(block.data.len());
        let text: String =
            String::from_utf8_lossy(&block.data[..ends]).chars().take(TEXT).collect();
        let tagged =
            text.split_once("<TX>").and_then(|(_, rest)| rest.split_once("</TX>"));
        Ok(match (block.id, tagged) {
            ([b'M', b'D'], Some((text, _))) => text.trim().to_owned(),
            ([b'M', b'D'], None) => String::new(),
            _ => text.trim().to_owned(),
        })
    }

    /// So many bytes of the file; the caller bounds how many.
    pub(super) fn bytes(self, at: u64, length: u64) -> Result<Vec<u8>, Refused> {
        let cut = "a block reaches beyond the file";
        if at.checked_add(length).is_none_or(|end| end > self.0.size()) {
            return Err(cut);
        }
        let mut bytes = vec![0; usize::try_from(length).map_err(|_| cut)?];
        let read = fill(self.0, at, &mut bytes).map_err(|_| "the file can't be read")?;
        if read == bytes.len() { Ok(bytes) } else { Err(cut) }
    }
}

impl Block {
    /// A link; 0 for none.
    pub(super) fn link(&self, at: usize) -> u64 {
        self.links.get(at).copied().unwrap_or(0)
    }

    pub(super) fn links(&self) -> &[u64] {
        &self.links
    }

    /// A whole number of so many bytes; what is not there is 0.
    pub(super) fn whole(&self, at: usize, bytes: usize) -> u64 {
        whole(&self.data, at, bytes)
    }

    /// A number of 64 bits.
    pub(super) fn real(&self, at: usize) -> Option<f64> {
        self.data.get(at..at + 8).map(|_| f64::from_bits(self.whole(at, 8)))
    }
}

fn whole(data: &[u8], at: usize, bytes: usize) -> u64 {
    let part = data.get(at..at + bytes).unwrap_or_default();
    part.iter().rev().fold(0, |sum, byte| sum << 8 | u64::from(*byte))
}
