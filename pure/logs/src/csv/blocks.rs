//! A large file in blocks of bytes: each is read, scanned and worked up by itself, on as
//! many threads as are given, and put behind the others in order.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread;

use super::scan::{Layout, Scanned, scan};
use crate::error::LogError;
use crate::options::Options;
use crate::source::{ByteSource, fill};

/// Bytes of a block. A line belongs to the block in which it begins.
const BLOCK: u64 = 1 << 20;

/// Longest line; what is longer is cut.
const LINE: usize = 1 << 20;

/// Bytes read at a time to find the end of a block's last line.
const PIECE: usize = 1 << 14;

/// Blocks that a thread may be ahead.
const AHEAD: usize = 2;

/// Reads all rows from a place on: each block is worked up by itself, and what became of it
/// is taken in order, with how many rows it has.
///
/// # Errors
/// The file's, that of `take`, or more cells than `options` allow.
pub(crate) fn each<T: Send>(
    (source, from): (&dyn ByteSource, u64),
    (layout, options): (&Layout, &Options),
    work: impl Fn(Scanned) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), LogError>,
) -> Result<(), LogError> {
    let columns = layout.roles.len();
    let most_rows = options.max_cells.checked_div(columns).unwrap_or(0);
    let blocks = source.size().saturating_sub(from).div_ceil(BLOCK);
    let worked = |block: u64| -> Result<(usize, T), LogError> {
        let scanned = scan(&lines(source, from, block, layout)?, layout);
        Ok((scanned.block.times.len(), work(scanned)))
    };
    let mut rows = 0;
    let mut take = |(more, worked)| {
        take(worked)?;
        rows += more;
        if rows > most_rows {
            return Err(LogError::TooLarge { what: "cells", limit: options.max_cells });
        }
        Ok(())
    };
    let threads = u64::try_from(options.threads.max(1)).unwrap_or(1).min(blocks);
    if threads < 2 {
        (0..blocks).try_for_each(|block| take(worked(block)?))
    } else {
        in_order(threads, blocks, worked, take)
    }
}

/// Works blocks up on threads of their own and takes them in order on this one.
fn in_order<T: Send, E: Send>(
    threads: u64,
    blocks: u64,
    work: impl Fn(u64) -> Result<T, E> + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let work = &work;
    thread::scope(|scope| {
        let mut done: Vec<Receiver<Result<T, E>>> = Vec::new();
        for first in 0..threads {
            let (sender, receiver): (SyncSender<_>, _) = sync_channel(AHEAD);
            done.push(receiver);
            scope.spawn(move || {
                let mut block = first;
                // A closed channel: the reader has seen enough.
                while block < blocks && sender.send(work(block)).is_ok() {
                    block += threads;
                }
            });
        }
        for receiver in
            done.iter().cycle().take(usize::try_from(blocks).unwrap_or(usize::MAX))
        {
            let Ok(digest) = receiver.recv() else { break };
            take(digest?)?;
        }
        Ok(())
    })
}

/// The lines that begin in a block, UTF-8 or bytes of one letter each, ended by a line end.
fn lines(
    source: &dyn ByteSource,
    from: u64,
    block: u64,
    layout: &Layout,
) -> Result<Vec<u8>, LogError> {
    let width = layout.letters.width();
    let start = from + block * BLOCK;
    // The line that begins right at the start is known by the line end before it.
    let back = if block == 0 { 0 } else { width };
    let room = usize::try_from(BLOCK).unwrap_or(0) + back;
    let mut bytes = vec![0; room];
    let read = fill(source, start - back as u64, &mut bytes)?;
    bytes.truncate(read);
    let at_line_end = |bytes: &[u8], at: usize| layout.line_end(bytes, at);
    let first = if block == 0 { Some(0) } else { after(&bytes, 0, width, at_line_end) };
    let Some(first) = first.filter(|first| *first < bytes.len()) else {
        return Ok(Vec::new());
    };
    // The last line ends in the next block, unless this one ends with a line end.
    let ended = bytes.len() >= width && at_line_end(&bytes, bytes.len() - width);
    if read == room && !ended {
        let mut piece = vec![0; PIECE];
        while bytes.len() < room + LINE {
            let more = fill(source, start + (bytes.len() - back) as u64, &mut piece)?;
            let seen = bytes.len();
            bytes.extend_from_slice(&piece[..more]);
            if let Some(end) = after(&bytes, seen - seen % width, width, at_line_end) {
                bytes.truncate(end);
                break;
            }
            if more == 0 {
                break;
            }
        }
    }
    bytes.drain(..first);
    let mut bytes = layout.letters.narrowed(&bytes).unwrap_or(bytes);
    bytes.push(layout.syntax.newline);
    Ok(bytes)
}

/// Place behind the first line end from a place on.
fn after(
    bytes: &[u8],
    from: usize,
    width: usize,
    at_line_end: impl Fn(&[u8], usize) -> bool,
) -> Option<usize> {
    let ends = (from..bytes.len()).step_by(width);
    ends.filter(|at| at + width <= bytes.len())
        .find(|at| at_line_end(bytes, *at))
        .map(|at| at + width)
}
