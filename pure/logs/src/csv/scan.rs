//! Lines of data to numbers: the fast path for what nearly all cells look like, the slow
//! one for the rest.

use super::cell::{Cell, Mark, cell};
use super::clock::day_number;
use super::head::with_unit;
use super::named::Named;
use super::quick;
use super::split::Syntax;
use super::text::Letters;
use super::time::{TimeForm, time_cell};
use crate::gather::{Block, Odd, moment_s};
use crate::timeline::DAY_S;

/// How the lines of a file are to be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Layout {
    pub(crate) syntax: Syntax,
    pub(crate) letters: Letters,
    pub(crate) mark: Mark,
    pub(crate) form: TimeForm,
    /// Seconds in one unit of the time.
    pub(crate) factor: f64,
    /// Time of the first row, s.
    pub(crate) start_s: f64,
    /// What each column is for.
    pub(crate) roles: Vec<Role>,
    /// Unit behind the cells of each column.
    pub(crate) suffixes: Vec<Option<String>>,
    pub(crate) header: Vec<String>,
}

impl Layout {
    /// Columns that hold signals.
    pub(crate) fn signals(&self) -> usize {
        self.roles.iter().filter(|role| matches!(role, Role::Signal(_))).count()
    }

    /// True if a line ends at a place of the file's own bytes.
    pub(crate) fn line_end(&self, bytes: &[u8], at: usize) -> bool {
        let newline = self.syntax.newline;
        match self.letters {
            Letters::Utf8 | Letters::Latin => bytes.get(at) == Some(&newline),
            Letters::Wide => bytes.get(at..at + 2) == Some(&[newline, 0]),
            Letters::WideBig => bytes.get(at..at + 2) == Some(&[0, newline]),
        }
    }
}

/// What a column is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    /// The time.
    Time,
    /// The date of the time.
    Date,
    /// The signal of this number.
    Signal(usize),
    /// The name of the signal that the row is of.
    Name,
    /// Its unit.
    Unit,
    /// Nothing that is read.
    Beside,
}

/// Lines as numbers.
#[derive(Debug)]
pub(crate) struct Scanned {
    pub(crate) block: Block,
    /// Which signal each row is of, where rows name theirs.
    pub(crate) named: Named,
}

/// Reads whole lines.
pub(crate) fn scan(bytes: &[u8], layout: &Layout) -> Scanned {
    let signals = layout.signals();
    let rows = 1 + bytes.len().div_ceil((4 * layout.roles.len()).max(8));
    let mut scan = Scan {
        bytes,
        layout,
        block: Block {
            times: Vec::with_capacity(rows),
            columns: (0..signals).map(|_| Vec::with_capacity(rows)).collect(),
            odd: Odd { thousands: vec![None; signals], ..Odd::default() },
        },
        names: layout.roles.contains(&Role::Name),
        named: Named::default(),
        row: Row::default(),
        time: f64::NAN,
        day_s: 0.0,
        before: 0,
    };
    let mut at = 0;
    while at < bytes.len() {
        at = scan.line(at);
    }
    Scanned { block: scan.block, named: scan.named }
}

/// What a row says of its own signal.
#[derive(Debug, Default)]
struct Row {
    name: String,
    unit: String,
    /// A value with thousands marks.
    thousands: Option<String>,
}

struct Scan<'a> {
    bytes: &'a [u8],
    layout: &'a Layout,
    block: Block,
    /// Whether rows name their signals.
    names: bool,
    named: Named,
    row: Row,
    time: f64,
    day_s: f64,
    /// Cells left out before this line.
    before: usize,
}

impl Scan<'_> {
    /// Reads one line; where the next begins. Bytes end with a line end.
    fn line(&mut self, from: usize) -> usize {
        let Layout { syntax, roles, .. } = self.layout;
        let mut at = syntax.past_blanks(self.bytes, from);
        let first = self.bytes.get(at).copied().unwrap_or(syntax.newline);
        if first == syntax.newline || first == b'\r' || first == b'#' {
            return self.next_line(at);
        }
        (self.time, self.day_s) = (f64::NAN, 0.0);
        if self.names {
            self.row = Row::default();
        }
        self.before = self.block.odd.unreadable;
        let mut column = 0;
        loop {
            at = match roles.get(column) {
                Some(role) => self.take(*role, column, at),
                None => self.beyond(at, &mut column),
            };
            column += 1;
            let end = self.bytes.get(at).copied().unwrap_or(syntax.newline);
            if end == syntax.newline {
                break;
            }
            if end == b'\r' {
                at += 1;
                break;
            }
            at += 1;
            if syntax.separator == b' ' {
                at = syntax.past_blanks(self.bytes, at);
                let end = self.bytes.get(at).copied().unwrap_or(syntax.newline);
                if end == syntax.newline {
                    break;
                }
                if end == b'\r' {
                    at += 1;
                    break;
                }
            }
        }
        self.finish(column, from);
        at + 1
    }

    fn next_line(&self, at: usize) -> usize {
        let newline = self.layout.syntax.newline;
        let rest = self.bytes.get(at..).unwrap_or_default();
        at + rest.iter().position(|b| *b == newline).unwrap_or(rest.len()) + 1
    }

    /// True where a cell may end: a separator, a line end, or the first half of one.
    #[inline]
    fn ends(&self, at: usize) -> bool {
        let Syntax { separator, newline } = self.layout.syntax;
        let Some(byte) = self.bytes.get(at) else { return true };
        *byte == separator
            || *byte == newline
            || *byte == b'\r' && self.bytes.get(at + 1) == Some(&newline)
    }

    /// Reads a cell of a column; where it ends.
    #[inline]
    fn take(&mut self, role: Role, column: usize, from: usize) -> usize {
        let layout = self.layout;
        let at = layout.syntax.past_blanks(self.bytes, from);
        match role {
            Role::Signal(signal) => {
                if self.ends(at) {
                    self.block.columns[signal].push(f64::NAN);
                    return at;
                }
                let quick = quick::number(self.bytes, at, layout.mark.byte());
                if let Some((value, end)) = quick.filter(|(_, end)| self.ends(*end)) {
                    self.block.columns[signal].push(value);
                    return end;
                }
                let (text, end) = self.text(at);
                let value = self.slow(&text, column, signal);
                self.block.columns[signal].push(value);
                end
            }
            Role::Time => {
                let quick = match layout.form {
                    TimeForm::Number => quick::number(self.bytes, at, layout.mark.byte()),
                    TimeForm::Clock(_) => quick::clock(self.bytes, at),
                };
                if let Some((value, end)) = quick.filter(|(_, end)| self.ends(*end)) {
                    self.time = value;
                    return end;
                }
                let (text, end) = self.text(at);
                let bare = self.bare(&text, column);
                self.time = time_cell(bare, layout.form, layout.mark).unwrap_or(f64::NAN);
                end
            }
            Role::Date => {
                let (text, end) = self.text(at);
                let day = match layout.form {
                    TimeForm::Clock(order) => day_number(&text, order),
                    TimeForm::Number => None,
                };
                self.day_s = day.map_or(f64::NAN, |day| day * DAY_S);
                end
            }
            Role::Name => {
                let (text, end) = self.text(at);
                self.row.name = text;
                end
            }
            Role::Unit => {
                let (text, end) = self.text(at);
                self.row.unit = text;
                end
            }
            Role::Beside => layout.syntax.cell(self.bytes, at, 0).1,
        }
    }

    /// The text of a cell and where it ends.
    fn text(&self, at: usize) -> (String, usize) {
        let (cell, end) = self.layout.syntax.cell(self.bytes, at, 0);
        (self.layout.letters.text(&cell), end)
    }

    /// A cell without the unit that its column carries.
    fn bare<'t>(&self, text: &'t str, column: usize) -> &'t str {
        let suffix = self.layout.suffixes.get(column).and_then(Option::as_deref);
        suffix.and_then(|unit| text.strip_suffix(unit)).map_or(text, str::trim_end)
    }

    fn slow(&mut self, text: &str, column: usize, signal: usize) -> f64 {
        let mut bare = self.bare(text, column);
        if self.names
            && let Some(unit) = with_unit(bare)
        {
            // Each signal may carry a unit of its own.
            bare = bare.strip_suffix(unit.as_str()).map_or(bare, str::trim_end);
            self.row.unit = unit;
        }
        match cell(bare, self.layout.mark) {
            Cell::Number(value) => return value,
            Cell::Empty => {}
            Cell::Infinite => self.block.odd.infinite += 1,
            Cell::Words => self.block.odd.unreadable += 1,
            Cell::Thousands if self.names => {
                self.row.thousands = Some(text.trim().to_owned());
            }
            Cell::Thousands => {
                let row = self.block.times.len();
                let first = &mut self.block.odd.thousands[signal];
                first.get_or_insert_with(|| (row, text.trim().to_owned()));
            }
        }
        f64::NAN
    }

    /// Past a cell that no column is for; an empty one is not counted.
    fn beyond(&self, at: usize, column: &mut usize) -> usize {
        let (cell, end) = self.layout.syntax.cell(self.bytes, at, 0);
        if cell.is_empty() {
            *column -= 1;
        }
        end
    }

    /// Ends a row of so many cells.
    fn finish(&mut self, cells: usize, from: usize) {
        let layout = self.layout;
        if self.time.is_nan() && self.repeats_header(from) {
            for column in &mut self.block.columns {
                column.truncate(self.block.times.len());
            }
            self.block.odd.repeated_headers += 1;
            return;
        }
        if cells != layout.roles.len() {
            self.block.odd.ragged += 1;
        }
        let time = self.time * layout.factor + self.day_s - layout.start_s;
        if self.names {
            let Row { name, unit, thousands } = std::mem::take(&mut self.row);
            self.named.take((name, unit), (self.block.times.len(), thousands));
        }
        self.block.times.push(moment_s(time));
        let rows = self.block.times.len();
        for column in &mut self.block.columns {
            column.resize(rows, f64::NAN);
        }
    }

    fn repeats_header(&mut self, from: usize) -> bool {
        let layout = self.layout;
        if layout.header.is_empty() {
            return false;
        }
        let rest = &self.bytes[from.min(self.bytes.len())..];
        let lines = layout.syntax.lines(rest, |b| layout.letters.text(b), 1);
        let repeats = lines.first().is_some_and(|line| line.cells == layout.header);
        if repeats {
            self.block.odd.unreadable = self.before;
        }
        repeats
    }
}
