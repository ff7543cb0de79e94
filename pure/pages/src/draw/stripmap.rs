//! What lies behind what, and what is off now.

use super::{Anchor, Drawing, Ink, Lettering, Pen, Point};
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
const BOX_WIDTH: f64 = 172.0;
const BOX_HEIGHT: f64 = 40.0;
const COLUMN: f64 = 216.0;
const ROW: f64 = 56.0;
/// Letters that fit on a line of a box.
const LINE: usize = 25;

/// The items in columns: what comes off first at the left, arrows to what lies behind.
#[must_use]
pub fn strip_map(title: &str, items: &[MapItem]) -> Drawing {
    let items = items.get(..MOST_ITEMS).unwrap_or(items);
    let depths = depths(items);
    let deepest = depths.iter().copied().max().unwrap_or(0);
    let mut rows = vec![0_u8; deepest + 1];
    let places: Vec<Point> = depths
        .iter()
        .map(|depth| {
            let row = rows.get(*depth).copied().unwrap_or(0);
            if let Some(count) = rows.get_mut(*depth) {
                *count = count.saturating_add(1);
            }
            let column = f64::from(u8::try_from(*depth).unwrap_or(u8::MAX));
            Point::new(6.0 + column * COLUMN, 6.0 + f64::from(row) * ROW)
        })
        .collect();
    let columns = f64::from(u8::try_from(deepest + 1).unwrap_or(u8::MAX));
    let tallest = f64::from(rows.iter().copied().max().unwrap_or(1).max(1));
    let width = (12.0 + columns * COLUMN - (COLUMN - BOX_WIDTH)).max(640.0);
    let mut drawing = Drawing::new(width, 12.0 + tallest * ROW, title);
    for (item, to) in items.iter().zip(&places) {
        for front in &item.behind {
            if let Some(from) = places.get(*front) {
                arrow(&mut drawing, *from, *to);
            }
        }
    }
    for (item, place) in items.iter().zip(&places) {
        one_box(&mut drawing, *place, item);
    }
    drawing.summary = summary(items);
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

/// From the right side of a box to the left side of another; a long way runs between the
/// rows, so that no line hides behind a box.
fn arrow(drawing: &mut Drawing, from: Point, to: Point) {
    let start = Point::new(from.x + BOX_WIDTH, from.y + BOX_HEIGHT / 2.0);
    let end = Point::new(to.x - 2.0, to.y + BOX_HEIGHT / 2.0);
    let turn = end.x - 16.0;
    let mut corners = vec![start];
    if to.x - from.x > COLUMN * 1.5 {
        let lane = from.y + BOX_HEIGHT + (ROW - BOX_HEIGHT) / 2.0;
        let out = start.x + 12.0;
        corners.extend([
            Point::new(out, start.y),
            Point::new(out, lane),
            Point::new(turn, lane),
        ]);
    } else {
        corners.push(Point::new(turn, start.y));
    }
    corners.extend([Point::new(turn, end.y), end]);
    drawing.arrow(corners, Pen::new(Ink::Grey, 1.0));
}

fn one_box(drawing: &mut Drawing, at: Point, item: &MapItem) {
    let (pen, fill, words) = match item.state {
        MapState::On => (Pen::new(Ink::Grey, 1.0), Ink::White, ""),
        MapState::Off => (Pen::dashed(Ink::Black, 1.6), Ink::Pale, "off"),
        MapState::Back => (Pen::new(Ink::Black, 1.2), Ink::White, "back"),
        MapState::Next => (Pen::new(Ink::Black, 2.4), Ink::White, "next"),
    };
    drawing.rectangle(at, (BOX_WIDTH, BOX_HEIGHT), pen, fill);
    if item.state == MapState::Back {
        let (x, y) = (at.x + BOX_WIDTH - 46.0, at.y + 3.0);
        let corners = [
            Point::new(x + 6.0, y - 6.0),
            Point::new(x + 34.0, y - 6.0),
            Point::new(x + 28.0, y + 3.0),
            Point::new(x, y + 3.0),
        ];
        drawing.area(corners, Ink::Paint);
    }
    let strong = item.state == MapState::Next;
    let lettering = Lettering { size: 11.5, strong, ink: Ink::Black };
    let room = if words.is_empty() { LINE } else { LINE - 5 };
    let lines = two_lines(&item.title, room);
    let middle = at.y + BOX_HEIGHT / 2.0;
    let tops: &[f64] = if lines.len() > 1 { &[-3.0, 11.0] } else { &[4.0] };
    for (line, top) in lines.iter().zip(tops) {
        let place = Point::new(at.x + 9.0, middle + top);
        drawing.lettered(place, line.clone(), Anchor::Start, lettering);
    }
    if !words.is_empty() {
        let small = Lettering { size: 10.0, strong: true, ink: Ink::Black };
        let end = Point::new(at.x + BOX_WIDTH - 8.0, middle + 4.0);
        drawing.lettered(end, words, Anchor::End, small);
    }
}

/// A title on at most two lines of `room` letters; what does not fit ends in `…`.
fn two_lines(title: &str, room: usize) -> Vec<Words> {
    let title = Words::new(title);
    let mut lines: Vec<String> = vec![String::new()];
    for word in title.as_str().split(' ') {
        let used = lines.last().map_or(0, |line| line.chars().count());
        if used > 0 && used + 1 + word.chars().count() > room {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    let cut = lines.len() > 2;
    lines.truncate(2);
    let last = lines.len() - 1;
    let short = |(at, line): (usize, &String)| {
        let long = line.chars().count() > room;
        if long || cut && at == last {
            let kept: String = line.chars().take(room - 1).collect();
            Words::from(format!("{}…", kept.trim_end()))
        } else {
            Words::from(line)
        }
    };
    lines.iter().enumerate().map(short).collect()
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
