//! A drawing that is higher than a sheet of paper, cut where nothing is cut through.

use super::{Drawing, Point, Shape};

/// Share of the height that a piece fills at least where there is a choice of cuts.
const FILLED: f64 = 0.6;

/// A drawing in pieces that are no higher than that: of the gaps between its shapes that lie
/// low enough the widest is taken, so that what stands together stays so. Lines may go on in
/// the next piece. What has no gap is cut through.
#[must_use]
pub fn pieces(drawing: &Drawing, most_high: f64) -> Vec<Drawing> {
    let fits = drawing.height <= most_high;
    if fits || !drawing.height.is_finite() || most_high.is_nan() || most_high < 1.0 {
        return vec![drawing.clone()];
    }
    let mut spans: Vec<(f64, f64)> = drawing.shapes.iter().filter_map(solid).collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends = Vec::new();
    let mut from = 0.0;
    while drawing.height - from > most_high {
        let end = cut(&spans, from, most_high);
        ends.push((from, end));
        from = end;
    }
    ends.push((from, drawing.height));
    let count = ends.len();
    ends.iter()
        .zip(1_usize..)
        .map(|(ends, nth)| piece(drawing, *ends, (nth, count)))
        .collect()
}

/// Where the next piece ends.
fn cut(spans: &[(f64, f64)], from: f64, most_high: f64) -> f64 {
    let (first, last) = (from + FILLED * most_high, from + most_high);
    // The widest gap, its middle; of two the lower one.
    let (mut widest, mut at) = (0.0, last);
    let mut above = f64::NEG_INFINITY;
    for (top, bottom) in spans {
        let gap = top - above;
        let middle = f64::midpoint(above, *top);
        if gap >= widest && gap > 0.0 && (first..=last).contains(&middle) {
            (widest, at) = (gap, middle);
        }
        above = above.max(*bottom);
    }
    at
}

/// From where to where a shape reaches that must not be cut.
fn solid(shape: &Shape) -> Option<(f64, f64)> {
    match shape {
        Shape::Polyline { .. } | Shape::Arrow { .. } => None,
        Shape::Area { .. }
        | Shape::Rectangle { .. }
        | Shape::Circle { .. }
        | Shape::Text { .. } => reach(shape),
    }
}

/// From where to where a shape reaches.
fn reach(shape: &Shape) -> Option<(f64, f64)> {
    match shape {
        Shape::Polyline { points, .. }
        | Shape::Arrow { points, .. }
        | Shape::Area { points, .. } => {
            let tops = points.iter().map(|point| point.y);
            let top = tops.clone().fold(f64::INFINITY, f64::min);
            let bottom = tops.fold(f64::NEG_INFINITY, f64::max);
            (top <= bottom).then_some((top, bottom))
        }
        Shape::Rectangle { at, height, .. } => Some((at.y, at.y + height)),
        Shape::Circle { centre, radius, .. } => {
            Some((centre.y - radius, centre.y + radius))
        }
        // Letters reach a quarter of their size below the line.
        Shape::Text { at, size, .. } => Some((at.y - size, at.y + 0.25 * size)),
    }
}

fn piece(
    drawing: &Drawing,
    (from, to): (f64, f64),
    (nth, count): (usize, usize),
) -> Drawing {
    let title = format!("{}, {nth} of {count}", drawing.title.as_str());
    let inside = |shape: &&Shape| {
        reach(shape).is_some_and(|(top, bottom)| bottom >= from && top <= to)
    };
    let mut piece = Drawing::new(drawing.width, to - from, &title);
    if nth == 1 {
        piece.summary = drawing.summary.clone();
        piece.lines.clone_from(&drawing.lines);
    }
    piece.shapes =
        drawing.shapes.iter().filter(inside).map(|s| raised(s, from)).collect();
    piece
}

/// A shape so much higher up.
fn raised(shape: &Shape, by: f64) -> Shape {
    let up = |point: &mut Point| point.y -= by;
    let mut shape = shape.clone();
    match &mut shape {
        Shape::Polyline { points, .. }
        | Shape::Arrow { points, .. }
        | Shape::Area { points, .. } => points.iter_mut().for_each(up),
        Shape::Rectangle { at, .. } | Shape::Text { at, .. } => up(at),
        Shape::Circle { centre, .. } => up(centre),
    }
    shape
}
