//! Where the engine was run: engine speed by load, darker where longer, with the
//! conditions of the fault framed.

use measure::{LikeCell, LikeExposure};

use super::{
    Anchor, Drawing, Ink, Lettering, Pen, Point,
    frame::{Frame, round_marks},
};
use crate::say;

const WIDTH: f64 = 358.0;

/// Width of a cell of engine speed, 1/min, and of load, percentage points.
const CELL: (f64, f64) = (500.0, 20.0);

/// What counts as similar (13 CCR 1968.2).
const SIMILAR: (f64, f64) = (375.0, 20.0);

/// The map; without any time in a cell only its summary says something. Where load was not
/// recorded there is one row.
#[must_use]
pub fn coverage_map(like: &LikeExposure) -> Drawing {
    let mut drawing = Drawing::new(WIDTH, 236.0, "Where it was run");
    drawing.summary = summary(like).into();
    let cells = merged(&like.cells);
    let Some(most) = cells.iter().map(|c| c.2).reduce(f64::max) else { return drawing };
    let last = cells.iter().map(|c| c.0).fold(0.0, f64::max) + CELL.0;
    let with_load = like.cells.iter().any(|cell| cell.load.is_some());
    let frame = Frame {
        at: Point::new(50.0, 22.0),
        width: WIDTH - 70.0,
        height: 150.0,
        x: (0.0, last.max(2000.0)),
        y: (0.0, if with_load { 120.0 } else { CELL.1 }),
    };
    for (rpm, load, min) in &cells {
        let corner = frame.point(*rpm, load + CELL.1);
        let opposite = frame.point(rpm + CELL.0, *load);
        let (wide, high) = (opposite.x - corner.x, opposite.y - corner.y);
        // Bars of the share of the longest cell: they print and need no colours.
        let filled = high * (min / most).clamp(0.04, 1.0);
        let base = opposite.y - 1.0;
        drawing.area(
            [
                Point::new(corner.x + 1.0, base),
                Point::new(corner.x + wide - 1.0, base),
                Point::new(corner.x + wide - 1.0, base - (filled - 2.0).max(1.0)),
                Point::new(corner.x + 1.0, base - (filled - 2.0).max(1.0)),
            ],
            Ink::Grey,
        );
    }
    asked(&mut drawing, &frame, like);
    let marks: Vec<(f64, String)> = if with_load {
        round_marks(0.0, 120.0, 6).into_iter().map(|m| (m, format!("{m:.0} %"))).collect()
    } else {
        Vec::new()
    };
    frame.side_axis(&mut drawing, &marks);
    frame.lower_axis(&mut drawing, "engine speed, 1/min");
    let small = Lettering { size: 11.0, strong: false, ink: Ink::Grey };
    let what = if with_load { "load; full cell" } else { "full cell" };
    let words = format!("{what}: {}", say::minutes(most));
    drawing.lettered(Point::new(frame.at.x, 13.0), words, Anchor::Start, small);
    drawing
}

/// The conditions asked for, framed.
fn asked(drawing: &mut Drawing, frame: &Frame, like: &LikeExposure) {
    let Some(rpm) = like.rpm else { return };
    let (left, right) = (rpm - SIMILAR.0, rpm + SIMILAR.0);
    let (low, high) = match like.load {
        Some(load) => (load - SIMILAR.1, load + SIMILAR.1),
        None => frame.y,
    };
    let x = |rpm: f64| rpm.clamp(frame.x.0, frame.x.1);
    let y = |load: f64| load.clamp(frame.y.0, frame.y.1);
    let corners = [(left, low), (right, low), (right, high), (left, high), (left, low)];
    let points = corners.map(|(rpm, load)| frame.point(x(rpm), y(load)));
    drawing.line(points, Pen::new(Ink::Paint, 2.5));
}

/// Cells warm and cold together: least engine speed, least load, minutes.
fn merged(cells: &[LikeCell]) -> Vec<(f64, f64, f64)> {
    let mut merged: Vec<(f64, f64, f64)> = Vec::new();
    for cell in cells {
        let load = cell.load.unwrap_or(0.0);
        let same = |m: &&mut (f64, f64, f64)| {
            m.0.total_cmp(&cell.rpm).is_eq() && m.1.total_cmp(&load).is_eq()
        };
        match merged.iter_mut().find(same) {
            Some(found) => found.2 += cell.min,
            None => merged.push((cell.rpm, load, cell.min)),
        }
    }
    merged
}

fn summary(like: &LikeExposure) -> String {
    let part = if like.of_min > 0.0 { 100.0 * like.min / like.of_min } else { 0.0 };
    format!(
        "Where the engine was run, by speed and load: {} of {} in like conditions, {} %.",
        say::minutes(like.min),
        say::minutes(like.of_min),
        say::trimmed(part, 0)
    )
}
