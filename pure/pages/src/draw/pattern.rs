//! The bolts of a joint, each with its turn: as a drawing, and as text for a terminal.

use fasten::PatternAnswer;

use super::{Anchor, Drawing, Ink, Lettering, Pen, Point};
use crate::{Words, say};

/// A bolt's circle.
const RADIUS: f64 = 15.0;
/// From bolt to bolt in a row.
const STEP: f64 = 52.0;
/// Room around.
const EDGE: f64 = 30.0;
/// Least radius of the circle that the bolts stand on.
const LEAST_RING: f64 = 70.0;
/// Most bolts of a circle between which the way is drawn; more of it only tangles.
const MOST_CROSSED: usize = 12;
/// Columns of a terminal from bolt to bolt in a row.
const CELL: f64 = 6.0;
/// Most lines from the middle of a circle to its top.
const MOST_LINES: u32 = 20;

/// One bolt: where it stands and when its turn is, from 1.
#[derive(Debug, Clone, Copy)]
struct Bolt {
    right: f64,
    down: f64,
    turn: usize,
}

fn bolts(pattern: &PatternAnswer) -> Vec<Bolt> {
    let order = pattern.tighten.first().map_or(&[][..], |pass| &pass.order);
    let turn =
        |bolt: u32| order.iter().position(|one| *one == bolt).map_or(0, |at| at + 1);
    (1..)
        .zip(&pattern.places)
        .map(|(bolt, [right, down])| Bolt {
            right: *right,
            down: *down,
            turn: turn(bolt),
        })
        .collect()
}

/// The bolts of a joint where they stand, each with its turn; the first one is full of paint.
///
/// ```
/// use fasten::{Pattern, Stages, TorqueAsk, torque_answer};
///
/// let pattern = Pattern::crosswise(4)?;
/// let ask = TorqueAsk { pattern: Some((pattern, Stages::usual(4))), ..TorqueAsk::default() };
/// let drawings = torque_answer(&ask)?.pattern.map(|pattern| pages::pattern_drawing(&pattern));
/// let lines = drawings.map(|drawing| drawing.lines).unwrap_or_default();
/// let text: Vec<_> = lines.iter().map(|(at, line)| (*at, line.as_str())).collect();
/// assert_eq!(text, [(6, "(1)"), (0, ""), (0, "(4)         (3)"), (0, ""), (6, "(2)")]);
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[must_use]
pub fn pattern_drawing(pattern: &PatternAnswer) -> Drawing {
    let bolts = bolts(pattern);
    let far = |of: fn(&Bolt) -> f64| bolts.iter().map(of).fold(0.0, f64::max);
    let around = f64::from(pattern.bolts) * (2.0 * RADIUS + 12.0) / std::f64::consts::TAU;
    let step = match pattern.rows {
        Some(_) => STEP,
        None => around.max(LEAST_RING),
    };
    let middle = Point::new(
        EDGE + step * far(|bolt| bolt.right.abs()),
        EDGE + step * far(|bolt| bolt.down.abs()),
    );
    let mut drawing =
        Drawing::new(2.0 * middle.x, 2.0 * middle.y, "In which order they are tightened");
    let place = |bolt: &Bolt| {
        Point::new(middle.x + step * bolt.right, middle.y + step * bolt.down)
    };
    let thin = Pen::new(Ink::Grey, 1.0);
    if pattern.rows.is_some() {
        let corner = Point::new(EDGE / 4.0, EDGE / 4.0);
        let size = (drawing.width - EDGE / 2.0, drawing.height - EDGE / 2.0);
        drawing.rectangle(corner, size, thin, Ink::Clear);
    } else {
        drawing.circle(middle, step, thin, Ink::Clear);
    }
    if pattern.rows.is_none() && bolts.len() <= MOST_CROSSED {
        let mut way: Vec<&Bolt> = bolts.iter().collect();
        way.sort_by_key(|bolt| bolt.turn);
        drawing.line(way.iter().map(|bolt| place(bolt)), Pen::dashed(Ink::Grey, 0.8));
    }
    for bolt in &bolts {
        let (fill, width) =
            if bolt.turn == 1 { (Ink::Paint, 2.4) } else { (Ink::White, 1.4) };
        drawing.circle(place(bolt), RADIUS, Pen::new(Ink::Black, width), fill);
        let lettering = Lettering { size: 14.0, strong: true, ink: Ink::Black };
        let at = Point::new(place(bolt).x, place(bolt).y + 5.0);
        drawing.lettered(at, bolt.turn.to_string(), Anchor::Middle, lettering);
    }
    drawing.summary = summary(pattern, &bolts);
    drawing.lines = lines(pattern, &bolts);
    drawing
}

/// The turns in reading order: clockwise from the top, or row by row from the left.
fn summary(pattern: &PatternAnswer, bolts: &[Bolt]) -> Words {
    let turns = |bolts: &[Bolt]| {
        bolts.iter().map(|bolt| bolt.turn.to_string()).collect::<Vec<_>>().join(" ")
    };
    let count = say::count(pattern.bolts, "bolt", "bolts");
    if pattern.rows.is_none() {
        return Words::from(format!(
            "{count} around a circle, each with its turn, clockwise from the top: {}",
            turns(bolts)
        ));
    }
    let rows: Vec<String> = bolts
        .chunk_by(|one, next| (one.down - next.down).abs() < 1e-9)
        .map(turns)
        .collect();
    Words::from(format!(
        "{count} in rows, each with its turn, from the left, row by row: {}",
        rows.join(" / ")
    ))
}

/// The same as lines for a terminal, each bolt as its turn in brackets; empty where so many
/// don't stand apart.
fn lines(pattern: &PatternAnswer, bolts: &[Bolt]) -> Vec<(usize, Words)> {
    let cells = if pattern.rows.is_some() {
        Some(cells(bolts, (2.0, CELL)))
    } else {
        (2..=MOST_LINES).find_map(|lines| placed(bolts, f64::from(lines)))
    };
    let cells = cells.unwrap_or_default();
    let count = cells.iter().map(|(line, ..)| line + 1).max().unwrap_or(0);
    let mut text = vec![String::new(); count];
    for (line, column, label) in cells {
        if let Some(text) = text.get_mut(line) {
            let blank = column.saturating_sub(text.len());
            text.push_str(&" ".repeat(blank));
            text.push_str(&label);
        }
    }
    let indented = |line: &String| {
        let indent = line.len() - line.trim_start().len();
        (indent, Words::new(line))
    };
    text.iter().map(indented).collect()
}

/// The bolts of a circle this many lines high from middle to top, where none touch.
fn placed(bolts: &[Bolt], lines: f64) -> Option<Vec<(usize, usize, String)>> {
    let cells = cells(bolts, (lines, 3.0 * lines));
    let apart = cells.windows(2).all(|pair| match pair {
        [(line, column, label), (next_line, next_column, _)] => {
            line != next_line || column + label.len() < *next_column
        }
        _ => true,
    });
    apart.then_some(cells)
}

/// Line, column and label of each bolt, in reading order; the same above and below the
/// middle, and left and right of it.
fn cells(
    bolts: &[Bolt],
    (down_lines, right_columns): (f64, f64),
) -> Vec<(usize, usize, String)> {
    let digits = bolts.len().to_string().len();
    let far = |of: fn(&Bolt) -> f64| bolts.iter().map(of).fold(0.0, f64::max);
    let right = nearest(far(|bolt| bolt.right.abs()) * right_columns);
    let down = nearest(far(|bolt| bolt.down.abs()) * down_lines);
    let mut cells: Vec<_> = bolts
        .iter()
        .map(|bolt| {
            let line = whole(down + nearest(bolt.down * down_lines));
            let column = whole(right + nearest(bolt.right * right_columns));
            (line, column, format!("({:>digits$})", bolt.turn))
        })
        .collect();
    cells.sort();
    cells
}

/// The nearest whole number, halves away from 0 even where a sine falls short of one.
fn nearest(amount: f64) -> f64 {
    (amount * (1.0 + 1e-9)).round()
}

/// A number of lines or columns, at most 255.
fn whole(amount: f64) -> usize {
    (0..=255_u8)
        .rev()
        .find(|whole| f64::from(*whole) <= amount + 0.5)
        .map_or(0, usize::from)
}
