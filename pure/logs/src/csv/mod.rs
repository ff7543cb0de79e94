//! CSV as found in the wild: any separator, a unit in the header or a row of units, decimal
//! comma or point, seconds or a clock, gaps, repeats, broken encodings; one column a signal,
//! or one signal a row.

mod blocks;
mod cell;
mod clock;
mod head;
mod long;
mod named;
mod quick;
mod scan;
mod sniff;
mod split;
mod text;
mod time;

pub(crate) use cell::{Mark, number};
pub(crate) use clock::{Order, moment};
pub(crate) use time::counted;

use crate::assemble::{Table, assemble};
use crate::columns::find;
use crate::error::LogError;
use crate::gather::{Digest, Gather};
use crate::header::Column;
use crate::options::Options;
use crate::source::{ByteSource, fill};
use crate::timeline::Runs;
use crate::{Recording, format};
use head::head;
use long::Long;
use scan::{Layout, Role, Scanned};
use text::Letters;
use time::{TimeColumn, time_column};

/// Bytes read before columns are chosen.
const HEAD: usize = 1 << 18;

/// Lines read before columns are chosen.
const LINES: usize = 480;

/// Text that other readers do not know.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Csv;

impl format::Format for Csv {
    fn name(&self) -> &'static str {
        "CSV"
    }

    fn knows(&self, _: &[u8]) -> bool {
        true
    }

    fn read(
        &self,
        source: &dyn ByteSource,
        options: &Options,
    ) -> Result<Recording, LogError> {
        let mut bytes = vec![0; HEAD];
        let read = fill(source, 0, &mut bytes)?;
        bytes.truncate(read);
        if bytes.trim_ascii().is_empty() {
            return Err(LogError::Empty);
        }
        let (letters, mark_bytes, said) = Letters::of(&bytes);
        let narrowed = letters.narrowed(&bytes[mark_bytes..]);
        let text = narrowed.as_deref().unwrap_or(&bytes[mark_bytes..]);
        let (syntax, separated) = sniff::syntax(text, options.separator)?;
        let mut lines = syntax.lines(text, |cell| letters.text(cell), LINES);
        if read == HEAD
            && lines.len() > 2
            && lines.last().is_some_and(|l| l.next >= text.len())
        {
            // Cut in the middle.
            lines.pop();
        }
        if lines.first().is_some_and(|line| line.cells.len() > options.max_columns) {
            return Err(LogError::TooLarge {
                what: "columns",
                limit: options.max_columns,
            });
        }
        let head = head(&lines, syntax).ok_or(LogError::OneColumn)?;
        if head.columns.len() > options.max_columns {
            return Err(LogError::TooLarge {
                what: "columns",
                limit: options.max_columns,
            });
        }
        if head.rows.is_empty() {
            return Err(LogError::NoRows);
        }
        let time = time_column(&head, options.time.as_deref())?;
        let long = long::long(&head, &time);
        let remarks: Vec<String> = said
            .map(str::to_owned)
            .into_iter()
            .chain([separated])
            .chain(head.remarks.iter().cloned())
            .chain([time.remark.clone()])
            .chain(long.as_ref().map(|long| long.words(&head.columns)))
            .collect();
        let (roles, columns) = roles(&head.columns, &time, long.as_ref());
        let from = mark_bytes + letters.bytes_of(&text[..head.data_at]);
        let layout = Layout {
            syntax,
            letters,
            mark: head.mark,
            form: time.form,
            factor: time.factor,
            start_s: time.start_s,
            roles,
            suffixes: head.suffixes,
            header: head.header,
        };
        let place = (source, from as u64);
        if let (Some(_), [value]) = (long, columns.as_slice()) {
            return named::read(place, (&layout, options), (value, time.runs, remarks));
        }
        wide(place, (&layout, options), (columns, time.runs, remarks))
    }
}

/// Reads a table with one column a signal.
fn wide(
    place: (&dyn ByteSource, u64),
    (layout, options): (&Layout, &Options),
    (columns, runs, remarks): (Vec<Column>, Runs, Vec<String>),
) -> Result<Recording, LogError> {
    let kept = kept(&columns, options);
    let mut gather = Gather::new(columns.len(), &kept);
    let work = |scanned: Scanned| Digest::of(scanned.block, &kept);
    let take = |digest| {
        gather.take(digest);
        Ok(())
    };
    blocks::each(place, (layout, options), work, take)?;
    assemble(Table { columns, kept, runs, remarks }, gather)
}

/// What each column is for, and the columns that hold signals; of a table with one signal a
/// row, the one that holds their values.
fn roles(
    all: &[Column],
    time: &TimeColumn,
    long: Option<&Long>,
) -> (Vec<Role>, Vec<Column>) {
    let mut signals = Vec::new();
    let role = |(at, column): (usize, &Column)| {
        if at == time.at {
            return Role::Time;
        }
        if Some(at) == time.date {
            return Role::Date;
        }
        match long {
            Some(long) if at == long.name => Role::Name,
            Some(long) if Some(at) == long.unit => Role::Unit,
            Some(long) if at != long.value => Role::Beside,
            Some(_) | None => {
                signals.push(column.clone());
                Role::Signal(signals.len() - 1)
            }
        }
    };
    (all.iter().enumerate().map(role).collect(), signals)
}

/// The columns whose samples are kept, in file order.
pub(crate) fn kept(columns: &[Column], options: &Options) -> Vec<usize> {
    let Some(asked) = &options.keep else { return (0..columns.len()).collect() };
    let found: Vec<usize> =
        asked.iter().filter_map(|name| find(columns, name).ok()).collect();
    (0..columns.len()).filter(|at| found.contains(at)).collect()
}
