//! What lies behind what, and what is off now.

use super::{Anchor, Drawing, Ink, Lettering, Pen, Point, tray::short};
use crate::Words;

/// Where an item is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapState {
    /// In its place.
    On,
    /// Off.
    Off,
    /// Back in its place at torque: it carries the stripe.
    Back,
    /// Comes off next.
    Next,
}

/// An item of the map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MapItem {
    /// What it is.
    pub title: String,
    /// Where it is.
    pub state: MapState,
    /// Places in the list of those in front of it.
    pub behind: Vec<usize>,
}

/// At most as many items as a sheet holds are drawn.
const MOST_ITEMS: usize = 128;
/// Fits a phone held upright, so that nothing is scaled down.
const WIDTH: f64 = 360.0;
const ROW: f64 = 50.0;
const BOX_HEIGHT: f64 = 40.0;
const INDENT: f64 = 18.0;
/// Deeper items stand under one another.
const DEEPEST: usize = 7;
/// Width of a letter at the size of a title.
const LETTER: f64 = 8.8;

/// An item's row.
#[derive(Debug, Clone, Copy)]
struct Row {
    item: usize,
    depth: usize,
    /// Row of the item in front of it that it stands under.
    under: Option<usize>,
}

/// The items in rows: what lies in front stands above, what lies behind it under it and
/// farther to the right. What is in front of an item besides is named in its row.
#[must_use]
pub fn strip_map(title: &str, items: &[MapItem]) -> Drawing {
    let items = items.get(..MOST_ITEMS).unwrap_or(items);
    let rows = rows(items);
    let count = f64::from(u8::try_from(rows.len()).unwrap_or(u8::MAX));
    let mut drawing = Drawing::new(WIDTH, 12.0 + count * ROW, title);
    for (at, row) in rows.iter().enumerate() {
        if let Some(under) = row.under {
            elbow(&mut drawing, corner(rows[under].depth, under), corner(row.depth, at));
        }
    }
    for (at, row) in rows.iter().enumerate() {
        let besides = besides(&rows, items, *row);
        let numbered = (at + 1, &items[row.item]);
        one_box(&mut drawing, corner(row.depth, at), numbered, &besides);
    }
    drawing.summary = summary(items);
    drawing.lines = lines(&rows, items);
    drawing
}

/// How many items lie in front of each, on the longest way; a circle stops at the count.
fn depths(items: &[MapItem]) -> Vec<usize> {
    let mut depths = vec![0_usize; items.len()];
    for _ in 0..items.len() {
        let next: Vec<usize> = items
            .iter()
            .map(|item| {
                let fronts = item.behind.iter().filter_map(|front| depths.get(*front));
                fronts.map(|depth| depth + 1).max().unwrap_or(0).min(items.len())
            })
            .collect();
        if next == depths {
            break;
        }
        depths = next;
    }
    depths
}

/// Each item under the deepest of those in front of it, all in the order of the list.
fn rows(items: &[MapItem]) -> Vec<Row> {
    let depths = depths(items);
    let front = |item: usize| {
        let fronts = items[item].behind.iter().copied().filter(|f| *f < items.len());
        fronts.filter(|f| depths[*f] < depths[item]).max_by_key(|f| depths[*f])
    };
    let fronts: Vec<Option<usize>> = (0..items.len()).map(front).collect();
    let mut rows: Vec<Row> = Vec::new();
    // What is still to be placed, the next one last.
    let mut open: Vec<Row> = (0..items.len())
        .rev()
        .filter(|item| fronts[*item].is_none())
        .map(|item| Row { item, depth: 0, under: None })
        .collect();
    while let Some(row) = open.pop() {
        let at = rows.len();
        rows.push(row);
        let behind =
            (0..items.len()).rev().filter(|item| fronts[*item] == Some(row.item));
        open.extend(behind.map(|item| Row {
            item,
            depth: row.depth + 1,
            under: Some(at),
        }));
    }
    rows
}

/// Upper left corner of a row's box.
fn corner(depth: usize, row: usize) -> Point {
    let whole = |count: usize| f64::from(u8::try_from(count).unwrap_or(u8::MAX));
    Point::new(8.0 + whole(depth.min(DEEPEST)) * INDENT, 6.0 + whole(row) * ROW)
}

/// From the left end of a box down to the left side of another.
fn elbow(drawing: &mut Drawing, from: Point, to: Point) {
    let turn = from.x + INDENT / 2.0;
    let middle = to.y + BOX_HEIGHT / 2.0;
    let corners = [
        Point::new(turn, from.y + BOX_HEIGHT),
        Point::new(turn, middle),
        Point::new(to.x, middle),
    ];
    drawing.line(corners, Pen::new(Ink::Grey, 1.2));
}

/// What lies in front of an item beside the one that it stands under, by row.
fn besides(rows: &[Row], items: &[MapItem], row: Row) -> String {
    let known = row.under.map(|under| rows[under].item);
    let mut numbers: Vec<usize> = items[row.item]
        .behind
        .iter()
        .filter(|front| Some(**front) != known)
        .filter_map(|front| rows.iter().position(|other| other.item == *front))
        .map(|at| at + 1)
        .collect();
    numbers.sort_unstable();
    let named: Vec<String> = numbers.iter().map(ToString::to_string).collect();
    if named.is_empty() {
        String::new()
    } else {
        format!("behind {} too", crate::say::and(&named))
    }
}

fn word(state: MapState) -> &'static str {
    match state {
        MapState::On => "",
        MapState::Off => "off",
        MapState::Back => "back on",
        MapState::Next => "next",
    }
}

fn one_box(
    drawing: &mut Drawing,
    at: Point,
    (number, item): (usize, &MapItem),
    besides: &str,
) {
    let (pen, fill) = match item.state {
        MapState::On => (Pen::new(Ink::Grey, 1.0), Ink::White),
        MapState::Off => (Pen::dashed(Ink::Black, 1.6), Ink::Pale),
        MapState::Back => (Pen::new(Ink::Black, 1.2), Ink::White),
        MapState::Next => (Pen::new(Ink::Black, 2.8), Ink::White),
    };
    let right = WIDTH - 6.0;
    drawing.rectangle(at, (right - at.x, BOX_HEIGHT), pen, fill);
    if item.state == MapState::Back {
        let (x, y) = (right - 52.0, at.y + 3.0);
        let stripe = [
            Point::new(x + 6.0, y - 7.0),
            Point::new(x + 40.0, y - 7.0),
            Point::new(x + 34.0, y + 3.0),
            Point::new(x, y + 3.0),
        ];
        drawing.area(stripe, Ink::Paint);
    }
    let strong = item.state == MapState::Next;
    let small = Lettering { size: 13.5, strong: false, ink: Ink::Black };
    let word = word(item.state);
    let base = at.y + if besides.is_empty() { 25.0 } else { 18.0 };
    drawing.lettered(
        Point::new(right - 7.0, base),
        word,
        Anchor::End,
        Lettering { strong: true, ..small },
    );
    drawing.lettered(
        Point::new(at.x + 24.0, at.y + 33.0),
        besides,
        Anchor::Start,
        Lettering { ink: Ink::Grey, ..small },
    );
    let room = right - at.x - 36.0 - LETTER * letters(word.len());
    let title = short(&item.title, fits(room));
    let lettering = Lettering { size: 16.5, strong, ink: Ink::Black };
    drawing.lettered(
        Point::new(at.x + 20.0, base),
        number.to_string(),
        Anchor::End,
        Lettering { ink: Ink::Grey, ..small },
    );
    drawing.lettered(Point::new(at.x + 26.0, base), title, Anchor::Start, lettering);
}

fn letters(count: usize) -> f64 {
    f64::from(u8::try_from(count).unwrap_or(u8::MAX))
}

/// How many letters fit.
fn fits(room: f64) -> usize {
    (0..64_u8)
        .rev()
        .find(|count| f64::from(*count) * LETTER <= room)
        .map_or(0, usize::from)
}

/// The map as lines of text.
fn lines(rows: &[Row], items: &[MapItem]) -> Vec<(usize, Words)> {
    let line = |(at, row): (usize, &Row)| {
        let item = &items[row.item];
        let notes: Vec<String> =
            [word(item.state).to_owned(), besides(rows, items, *row)]
                .into_iter()
                .filter(|note| !note.is_empty())
                .collect();
        let notes = if notes.is_empty() {
            String::new()
        } else {
            format!(" ({})", notes.join(", "))
        };
        let text = format!("{} {}{notes}", at + 1, item.title);
        (2 * row.depth.min(DEEPEST), Words::from(text))
    };
    rows.iter().enumerate().map(line).collect()
}

fn summary(items: &[MapItem]) -> Words {
    let named = |state: MapState| {
        let names: Vec<String> = items
            .iter()
            .filter(|item| item.state == state)
            .map(|item| item.title.clone())
            .collect();
        if names.is_empty() { "nothing".to_owned() } else { crate::say::and(&names) }
    };
    Words::from(format!(
        "What lies behind what. Off: {}. Back: {}. Next: {}.",
        named(MapState::Off),
        named(MapState::Back),
        named(MapState::Next)
    ))
}
