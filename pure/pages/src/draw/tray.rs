//! The tray as an egg box: one numbered cell a hole, and what lies in each.

use super::{Anchor, Drawing, Ink, Lettering, Pen, Point};
use crate::Words;

/// What is with a cell of the tray.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CellState {
    /// Nothing yet: its fastener is still in place.
    Waits,
    /// Its fastener lies in it.
    Lies,
    /// A new fastener lies in it.
    New,
    /// Its fastener is back in its hole.
    Back,
    /// Its fastener is missing.
    Missing,
    /// Its fastener is broken.
    Broken,
}

/// A cell with its number on the labels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TrayCell {
    /// Its number.
    pub cell: u32,
    /// What is with it.
    pub state: CellState,
}

/// Fasteners of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrayKind {
    /// What they are: kind, thread, length.
    pub what: String,
    /// Their cells.
    pub cells: Vec<TrayCell>,
}

/// An item with its fasteners.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrayItem {
    /// What it is.
    pub title: String,
    /// Its fasteners by kind.
    pub kinds: Vec<TrayKind>,
}

/// Fits a phone held upright, so that nothing is scaled down.
const WIDTH: f64 = 360.0;
const EDGE: f64 = 8.0;
const CELL: f64 = 43.0;
const RADIUS: f64 = 18.0;
/// Cells beside one another.
const ACROSS: usize = 8;
/// More cells than this are no tray.
const MOST_CELLS: usize = 2_000;
/// Letters of a line at the sizes of a title and of what lies below it.
const TITLE_LETTERS: usize = 36;
const WHAT_LETTERS: usize = 44;
/// Letters of a line of the legend, and columns of a row of cells in a terminal.
const LEGEND_LETTERS: usize = 50;
const COLUMNS: usize = 60;
/// Lines of what lies below a title.
const MOST_LINES: usize = 4;

/// The cells by item, each kind of fastener in its rows.
#[must_use]
pub fn tray_drawing(title: &str, items: &[TrayItem]) -> Drawing {
    let mut drawing = Drawing::new(WIDTH, 0.0, title);
    let mut down = EDGE;
    let mut left = MOST_CELLS;
    for item in items {
        let bold = Lettering { size: 17.0, strong: true, ink: Ink::Black };
        down += 20.0;
        let name = short(&item.title, TITLE_LETTERS);
        drawing.lettered(Point::new(EDGE, down), name, Anchor::Start, bold);
        for kind in &item.kinds {
            let plain = Lettering { size: 15.0, strong: false, ink: Ink::Black };
            down += 2.0;
            for line in wrapped(&kind.what, WHAT_LETTERS) {
                down += 19.0;
                drawing.lettered(Point::new(EDGE, down), line, Anchor::Start, plain);
            }
            down += 6.0;
            let cells = kind.cells.get(..left).unwrap_or(&kind.cells);
            left -= cells.len();
            for row in cells.chunks(ACROSS) {
                for (cell, right) in row.iter().zip(0_u8..) {
                    let at = Point::new(
                        EDGE + CELL * (f64::from(right) + 0.5),
                        down + CELL / 2.0,
                    );
                    one_cell(&mut drawing, at, *cell);
                }
                down += CELL;
            }
        }
        down += 10.0;
    }
    let grey = Lettering { size: 13.0, strong: false, ink: Ink::Grey };
    for line in wrapped(&legend(items, looks), LEGEND_LETTERS) {
        down += 17.0;
        drawing.lettered(Point::new(EDGE, down), line, Anchor::Start, grey);
    }
    drawing.height = down + EDGE;
    drawing.summary = summary(items);
    drawing.lines = lines(items);
    drawing
}

fn one_cell(drawing: &mut Drawing, at: Point, cell: TrayCell) {
    let (pen, fill) = match cell.state {
        CellState::Waits => (Pen::dashed(Ink::Grey, 1.0), Ink::White),
        CellState::Lies => (Pen::new(Ink::Black, 2.2), Ink::Pale),
        CellState::New => (Pen::new(Ink::Black, 3.6), Ink::Pale),
        CellState::Back => (Pen::new(Ink::Grey, 1.0), Ink::White),
        CellState::Missing | CellState::Broken => {
            (Pen::dashed(Ink::Black, 2.2), Ink::White)
        }
    };
    drawing.circle(at, RADIUS, pen, fill);
    let corner = RADIUS * std::f64::consts::FRAC_1_SQRT_2;
    let across = |down: f64| {
        [
            Point::new(at.x - corner, at.y - down * corner),
            Point::new(at.x + corner, at.y + down * corner),
        ]
    };
    match cell.state {
        CellState::Back => {
            let stripe = [
                Point::new(at.x - 3.0, at.y - RADIUS - 3.0),
                Point::new(at.x + 9.0, at.y - RADIUS - 3.0),
                Point::new(at.x + 3.0, at.y + RADIUS + 3.0),
                Point::new(at.x - 9.0, at.y + RADIUS + 3.0),
            ];
            drawing.area(stripe, Ink::Paint);
        }
        CellState::Broken => {
            drawing.line(across(1.0), Pen::new(Ink::Black, 1.6));
            drawing.line(across(-1.0), Pen::new(Ink::Black, 1.6));
        }
        CellState::Missing => {
            let question = Lettering { size: 12.0, strong: true, ink: Ink::Black };
            let beside = Point::new(at.x + RADIUS, at.y - RADIUS + 8.0);
            drawing.lettered(beside, "?", Anchor::Middle, question);
        }
        CellState::Waits | CellState::Lies | CellState::New => {}
    }
    let ink = if cell.state == CellState::Waits { Ink::Grey } else { Ink::Black };
    let lettering = Lettering { size: 17.0, strong: cell.state != CellState::Waits, ink };
    let base = Point::new(at.x, at.y + 6.0);
    drawing.lettered(base, cell.cell.to_string(), Anchor::Middle, lettering);
}

/// What stands in words for a cell that is not simply full; empty where it is.
fn note(state: CellState) -> &'static str {
    match state {
        CellState::Waits => "still in place",
        CellState::Lies => "",
        CellState::New => "new",
        CellState::Back => "back in",
        CellState::Missing => "missing",
        CellState::Broken => "broken",
    }
}

/// Cells of the same state together, runs as `1-4`.
fn cells_in_words(cells: &[TrayCell]) -> String {
    let parts: Vec<String> = cells
        .chunk_by(|one, next| one.state == next.state && one.cell + 1 == next.cell)
        .filter_map(|run| {
            let (first, last) = (run.first()?, run.last()?);
            let numbers = if first.cell == last.cell {
                first.cell.to_string()
            } else {
                format!("{}-{}", first.cell, last.cell)
            };
            let note = note(first.state);
            Some(if note.is_empty() { numbers } else { format!("{numbers} {note}") })
        })
        .collect();
    parts.join(", ")
}

fn summary(items: &[TrayItem]) -> Words {
    let parts: Vec<String> = items
        .iter()
        .map(|item| {
            let kinds: Vec<String> = item
                .kinds
                .iter()
                .map(|kind| format!("{}: {}", kind.what, cells_in_words(&kind.cells)))
                .collect();
            format!("{}: {}", item.title, kinds.join("; "))
        })
        .collect();
    if parts.is_empty() {
        Words::from("The tray is empty.")
    } else {
        Words::from(format!("The tray by cells. {}.", parts.join(". ")))
    }
}

/// How a state is drawn.
fn looks(state: CellState) -> &'static str {
    match state {
        CellState::Waits => "Dashed: still in place.",
        CellState::Lies => "Shaded: in its cell.",
        CellState::New => "Thick: a new one.",
        CellState::Back => "Striped: back in its hole.",
        CellState::Missing => "A question mark: missing.",
        CellState::Broken => "Crossed: broken.",
    }
}

/// How a state is written.
fn marks(state: CellState) -> &'static str {
    match state {
        CellState::Waits => "Bare: still in place.",
        CellState::Lies => "(…): in its cell.",
        CellState::Back => "[…]: back in its hole.",
        CellState::New | CellState::Missing | CellState::Broken => "",
    }
}

/// What the looks of the cells mean, where they are not all alike.
fn legend(items: &[TrayItem], say: fn(CellState) -> &'static str) -> String {
    let cells = || items.iter().flat_map(|item| &item.kinds).flat_map(|kind| &kind.cells);
    let states = [
        CellState::Lies,
        CellState::New,
        CellState::Back,
        CellState::Waits,
        CellState::Missing,
        CellState::Broken,
    ];
    let met = states.into_iter().filter(|state| cells().any(|cell| cell.state == *state));
    let met: Vec<&str> = met.map(say).filter(|words| !words.is_empty()).collect();
    if met.len() > 1 { met.join(" ") } else { String::new() }
}

fn lines(items: &[TrayItem]) -> Vec<(usize, Words)> {
    let mut lines = Vec::new();
    for item in items {
        lines.push((0, Words::from(item.title.as_str())));
        for kind in &item.kinds {
            lines.extend(wrapped(&kind.what, WHAT_LETTERS).into_iter().map(|l| (2, l)));
            let mut row = String::new();
            for cell in kind.cells.iter().map(|cell| cell_as_text(*cell)) {
                if !row.is_empty() && row.len() + 1 + cell.len() > COLUMNS {
                    lines.push((4, Words::from(std::mem::take(&mut row))));
                }
                if !row.is_empty() {
                    row.push(' ');
                }
                row.push_str(&cell);
            }
            lines.push((4, Words::from(row)));
        }
    }
    let legend = wrapped(&legend(items, marks), COLUMNS);
    lines.extend(legend.into_iter().map(|line| (0, line)));
    lines
}

/// A cell as text: `(7)` full, `(7 new)`, `[7]` back in its hole, `7` still in place.
fn cell_as_text(cell: TrayCell) -> String {
    let TrayCell { cell, state } = cell;
    match state {
        CellState::Lies => format!("({cell})"),
        CellState::Back => format!("[{cell}]"),
        CellState::Waits => cell.to_string(),
        CellState::New | CellState::Missing | CellState::Broken => {
            format!("({cell} {})", note(state))
        }
    }
}

/// A text in lines of `room` letters, broken between words; what is longer than
/// [`MOST_LINES`] ends in `…`.
fn wrapped(text: &str, room: usize) -> Vec<Words> {
    let mut lines: Vec<String> = Vec::new();
    for word in Words::new(text).as_str().split_whitespace() {
        let letters = word.chars().count();
        let full = lines.len() == MOST_LINES;
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + letters <= room => {
                line.push(' ');
                line.push_str(word);
            }
            Some(last) if full => {
                last.push_str(" …");
                break;
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.iter().map(|line| short(line, room)).collect()
}

/// A text on one line of `room` letters; what does not fit ends in `…`.
pub(super) fn short(text: &str, room: usize) -> Words {
    let words = Words::new(text);
    if words.as_str().chars().count() <= room {
        return words;
    }
    let kept: String = words.as_str().chars().take(room.saturating_sub(1)).collect();
    Words::from(format!("{}…", kept.trim_end()))
}
