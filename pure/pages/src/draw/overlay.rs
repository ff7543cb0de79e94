//! Recordings of a commanded step: each step drawn over the others, before and after.

use super::{
    Anchor, Drawing, Ink, Lettering, Pen, Point,
    frame::{Frame, range, round_marks},
};
use crate::Words;

/// One step as recorded: seconds from the command, and the actual value, in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StepTrace {
    /// `(seconds, value)`.
    pub points: Vec<(f64, f64)>,
}

/// The steps of one recording.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Traces {
    /// Over the picture: `before`, `after`.
    pub title: String,
    /// One sentence under it, for instance the fitted time.
    pub note: String,
    /// Its steps.
    pub steps: Vec<StepTrace>,
}

/// What is good: shaded between two lines.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Band {
    /// `(seconds, low, high)`, in order.
    pub edge: Vec<(f64, f64, f64)>,
}

/// Recordings side by side on the same axes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overlay {
    /// What moved.
    pub title: String,
    /// Unit of the value.
    pub unit: String,
    /// At most three recordings.
    pub panels: Vec<Traces>,
    /// What is good, where known.
    pub band: Option<Band>,
}

const WIDTH: f64 = 640.0;
const MOST_POINTS: usize = 4_000;

/// The drawing: one panel a recording, shared axes, every step over the others.
#[must_use]
pub fn overlay(input: &Overlay) -> Drawing {
    let panels: Vec<&Traces> = input.panels.iter().take(3).collect();
    let mut drawing = Drawing::new(WIDTH, 262.0, &input.title);
    let steps =
        || panels.iter().flat_map(|panel| &panel.steps).flat_map(|step| &step.points);
    let edges = || input.band.iter().flat_map(|band| &band.edge);
    let x = range(steps().map(|(x, _)| *x).chain(edges().map(|(x, _, _)| *x)));
    let y = range(
        steps().map(|(_, y)| *y).chain(edges().flat_map(|(_, low, high)| [*low, *high])),
    );
    let (Some(x), Some(y)) = (x, y) else {
        drawing.summary = Words::from(format!("{}: nothing recorded.", input.title));
        return drawing;
    };
    let margin = ((y.1 - y.0) * 0.06).max(1e-9);
    let count = f64::from(u8::try_from(panels.len()).unwrap_or(1).max(1));
    let gap = 34.0;
    let width = (WIDTH - 58.0 - 14.0 - gap * (count - 1.0)) / count;
    for (at, panel) in (0_u8..).zip(&panels) {
        let frame = Frame {
            at: Point::new(58.0 + f64::from(at) * (width + gap), 30.0),
            width,
            height: 160.0,
            x: (x.0.min(0.0), x.1.max(x.0 + 1e-9)),
            y: (y.0 - margin, y.1 + margin),
        };
        one_panel(&mut drawing, &frame, panel, input, at == 0);
    }
    drawing.summary = summary(input, &panels).into();
    drawing
}

fn one_panel(
    drawing: &mut Drawing,
    frame: &Frame,
    panel: &Traces,
    input: &Overlay,
    first: bool,
) {
    let marks = round_marks(frame.y.0, frame.y.1, 4)
        .into_iter()
        .map(|mark| {
            (mark, if first { crate::say::significant(mark, 4) } else { String::new() })
        })
        .collect::<Vec<_>>();
    if let Some(band) = &input.band {
        let upper = band.edge.iter().map(|(x, _, high)| frame.point(*x, *high));
        let lower = band.edge.iter().rev().map(|(x, low, _)| frame.point(*x, *low));
        drawing.area(upper.chain(lower), Ink::Pale);
    }
    frame.side_axis(drawing, &marks);
    for step in &panel.steps {
        let points = thinned(&step.points).into_iter().map(|(x, y)| frame.point(x, y));
        drawing.line(points, Pen::new(Ink::Black, 1.1));
    }
    frame.lower_axis(drawing, "seconds after the command");
    let title = Lettering { size: 13.0, strong: true, ink: Ink::Black };
    drawing.lettered(
        Point::new(frame.at.x, frame.at.y - 11.0),
        panel.title.as_str(),
        Anchor::Start,
        title,
    );
    let small = Lettering { size: 11.0, strong: false, ink: Ink::Grey };
    if first {
        drawing.lettered(
            Point::new(frame.at.x + frame.width, frame.at.y - 11.0),
            input.unit.as_str(),
            Anchor::End,
            small,
        );
    }
    let note = Lettering { size: 12.0, strong: false, ink: Ink::Black };
    drawing.lettered(
        Point::new(frame.at.x, frame.at.y + frame.height + 56.0),
        panel.note.as_str(),
        Anchor::Start,
        note,
    );
}

/// At most [`MOST_POINTS`] points; of each run the least and the greatest stay, in order,
/// and the first and last of all.
fn thinned(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if points.len() <= MOST_POINTS {
        return points.to_vec();
    }
    let run = points.len().div_ceil(MOST_POINTS.div_ceil(4));
    points
        .chunks(run)
        .flat_map(|chunk| {
            let by = |(_, a): &&(f64, f64), (_, b): &&(f64, f64)| a.total_cmp(b);
            let least = chunk.iter().min_by(by).copied();
            let most = chunk.iter().max_by(by).copied();
            let mut kept: Vec<(f64, f64)> =
                [chunk.first().copied(), least, most, chunk.last().copied()]
                    .into_iter()
                    .flatten()
                    .collect();
            kept.sort_by(|a, b| a.0.total_cmp(&b.0));
            kept
        })
        .collect()
}

fn summary(input: &Overlay, panels: &[&Traces]) -> String {
    let told: Vec<String> = panels
        .iter()
        .map(|panel| {
            let steps = u32::try_from(panel.steps.len()).unwrap_or(u32::MAX);
            let count = crate::say::count(steps, "step", "steps");
            if panel.note.is_empty() {
                format!("{}, {count}", panel.title)
            } else {
                format!("{}, {count}, {}", panel.title, panel.note)
            }
        })
        .collect();
    format!("{}, each step drawn over the others: {}.", input.title, told.join("; "))
}
