//! All rows of a file, batch after batch: of each batch every column is read by the next free
//! thread, some batches ahead of the one that is put away.

use std::collections::VecDeque;
use std::slice::Iter;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread;

use parquet::file::metadata::{ParquetMetaData, RowGroupMetaData};

use super::column::Cursor;
use super::{Time, broken, enter, rows};
use crate::error::LogError;
use crate::gather::{Block, Digest, Gather, Odd, moment_s};
use crate::options::Options;
use crate::source::ByteSource;
use crate::track::Track;

/// Rows of a batch: its cells of one column stay in the cache.
const BATCH: usize = 1 << 16;

/// Batches that may be read ahead.
const AHEAD: usize = 2;

/// Rows that a byte of a file may carry, and some more for small files: a run of equal
/// values claims as many as it likes.
const ROWS: (u64, u64) = (64, 1 << 20);

/// What a thread that did not end as it should leaves to say.
const NOT_AS_DESCRIBED: &str = "a page is not as described";

/// The batches of a file in order, and of each batch the columns.
#[derive(Debug)]
struct Queue<'m> {
    groups: Iter<'m, RowGroupMetaData>,
    columns: usize,
    next: Option<Ticket<'m>>,
}

/// One column of a batch.
#[derive(Debug, Clone, Copy)]
struct Ticket<'m> {
    batch: usize,
    column: usize,
    group: &'m RowGroupMetaData,
    /// First of its rows in the group.
    from: usize,
}

impl<'m> Queue<'m> {
    fn new(groups: &'m [RowGroupMetaData], columns: usize) -> Self {
        let mut groups = groups.iter();
        let first = |group| Ticket { batch: 0, column: 0, group, from: 0 };
        Self { next: groups.next().map(first), groups, columns }
    }

    fn take(&mut self) -> Option<Ticket<'m>> {
        let ticket = self.next?;
        let Ticket { batch, column, group, from } = ticket;
        self.next = if column + 1 < self.columns {
            Some(Ticket { column: column + 1, ..ticket })
        } else {
            let next = Ticket { batch: batch + 1, column: 0, group, from: from + BATCH };
            let in_group = next.from < rows(group);
            let after = |group| Ticket { group, from: 0, ..next };
            if in_group { Some(next) } else { self.groups.next().map(after) }
        };
        Some(ticket)
    }
}

/// Cells of one column, and what is remembered of them.
type Cells = (Vec<f64>, Track);

/// One column of a batch once it is read.
type Done<'m> = (Ticket<'m>, Result<Cells, LogError>);

/// What the threads share.
struct Shared<'a> {
    source: &'a dyn ByteSource,
    queue: Mutex<Queue<'a>>,
    cursors: Vec<Mutex<Cursor>>,
    /// Lists that are free again.
    spare: Mutex<Vec<Vec<f64>>>,
}

impl<'a> Shared<'a> {
    /// The next column that none has. Its cursor is taken before another thread may take a
    /// later batch of it.
    fn next(&self) -> Option<(Ticket<'a>, Option<MutexGuard<'_, Cursor>>)> {
        let mut queue = own(&self.queue);
        let ticket = queue.take()?;
        Some((ticket, self.cursors.get(ticket.column)?.lock().ok()))
    }

    fn work(&self, done: &SyncSender<Done<'a>>) {
        while let Some((ticket, cursor)) = self.next() {
            let cells = match cursor {
                Some(mut cursor) => self.read(ticket, &mut cursor),
                None => Err(broken(NOT_AS_DESCRIBED)),
            };
            // A closed channel: enough was seen.
            if done.send((ticket, cells)).is_err() {
                return;
            }
        }
    }

    fn read(&self, ticket: Ticket<'_>, cursor: &mut Cursor) -> Result<Cells, LogError> {
        let Ticket { group, .. } = ticket;
        if ticket.from == 0 {
            enter(self.source, group, cursor)?;
        }
        cursor.next(BATCH.min(rows(group) - ticket.from)).map_err(broken)?;
        let spare = own(&self.spare).pop().unwrap_or_default();
        let values = std::mem::replace(&mut cursor.values, spare);
        let track = Track::of(&values);
        Ok((values, track))
    }
}

fn own<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Reads all rows.
pub(super) fn gather(
    (source, meta): (&dyn ByteSource, &ParquetMetaData),
    cursors: Vec<Cursor>,
    (time, kept, options): (&Time, &[usize], &Options),
) -> Result<Gather, LogError> {
    let columns = cursors.len();
    let carried = source.size().saturating_mul(ROWS.0).saturating_add(ROWS.1);
    let most = options.max_cells.checked_div(columns).unwrap_or(0);
    let most = most.min(usize::try_from(carried).unwrap_or(usize::MAX));
    let groups = meta.row_groups();
    if groups.iter().map(rows).fold(0, usize::saturating_add) > most {
        return Err(LogError::TooLarge { what: "cells", limit: options.max_cells });
    }
    let shared = Shared {
        source,
        queue: Mutex::new(Queue::new(groups, columns)),
        cursors: cursors.into_iter().map(Mutex::new).collect(),
        spare: Mutex::default(),
    };
    let mut gather = Gather::new(columns - 1, kept);
    let (sender, receiver) = sync_channel(AHEAD * columns);
    thread::scope(|scope| {
        let threads: Vec<_> = (0..options.threads.clamp(1, columns))
            .map(|_| {
                let (sender, shared) = (sender.clone(), &shared);
                scope.spawn(move || shared.work(&sender))
            })
            .collect();
        drop(sender);
        let put_away =
            put_away(receiver, columns, |cells| take(cells, &mut gather, time, &shared));
        let ended = threads.into_iter().map(thread::ScopedJoinHandle::join);
        if ended.filter(Result::is_err).count() > 0 {
            return Err(broken(NOT_AS_DESCRIBED));
        }
        put_away
    })?;
    Ok(gather)
}

/// Hands on the batches in order, each once all of its columns are there.
fn put_away(
    receiver: Receiver<Done<'_>>,
    columns: usize,
    mut take: impl FnMut(Vec<Cells>) -> Result<(), LogError>,
) -> Result<(), LogError> {
    let mut first = 0;
    let mut open: VecDeque<Vec<Option<Cells>>> = VecDeque::new();
    for (ticket, cells) in receiver {
        let at = ticket.batch - first;
        while open.len() <= at {
            open.push_back((0..columns).map(|_| None).collect());
        }
        open[at][ticket.column] = Some(cells?);
        while let Some(batch) =
            open.pop_front_if(|batch| batch.iter().all(Option::is_some))
        {
            first += 1;
            take(batch.into_iter().flatten().collect())?;
        }
    }
    Ok(())
}

fn take(
    cells: Vec<Cells>,
    gather: &mut Gather,
    time: &Time,
    shared: &Shared<'_>,
) -> Result<(), LogError> {
    let (mut columns, mut tracks): (Vec<Vec<f64>>, Vec<Track>) =
        cells.into_iter().unzip();
    if columns.iter().any(|column| column.len() != columns[0].len()) {
        return Err(broken("its columns are of different length"));
    }
    tracks.remove(time.at);
    let moments = columns.remove(time.at);
    let seconds = |value: &f64| moment_s((value - time.start) * time.factor);
    let times = moments.iter().map(seconds).collect();
    let block = Block { times, columns, odd: Odd::default() };
    let columns = gather.take(Digest::with(block, tracks));
    own(&shared.spare).extend(columns.into_iter().chain([moments]));
    Ok(())
}
