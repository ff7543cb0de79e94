//! Recordings of a commanded step: each step drawn over the others, before and after, one
//! under the other so that a phone shows them at their full size.

use super::{
    Anchor, Drawing, Ink, Lettering, Pen, Point,
    frame::{Frame, range, round_marks},
    reduce::reduced,
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

/// Recordings on the same axes.
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

/// A phone's width less its margins, so that letters keep their size there.
const WIDTH: f64 = 358.0;
const LEFT: f64 = 44.0;
const RIGHT: f64 = 10.0;
const TOP: f64 = 26.0;
const PLOT: f64 = 150.0;
const UNDER: f64 = 62.0;

/// Pixel columns that a step is reduced to, a sharp screen reckoned in.
const COLUMNS: u16 = 608;

/// Points of all steps together that a page can carry.
const MOST_POINTS: usize = 40_000;

/// The drawing: one panel a recording, shared axes, every step over the others.
#[must_use]
pub fn overlay(input: &Overlay) -> Drawing {
    let panels: Vec<&Traces> = input.panels.iter().take(3).collect();
    let count = f64::from(u8::try_from(panels.len()).unwrap_or(1).max(1));
    let each = TOP + PLOT + UNDER;
    let mut drawing = Drawing::new(WIDTH, each * count, &input.title);
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
    let frame = |at: u8| Frame {
        at: Point::new(LEFT, TOP + f64::from(at) * each),
        width: WIDTH - LEFT - RIGHT,
        height: PLOT,
        x: (x.0.min(0.0), x.1.max(x.0 + 1e-9)),
        y: (y.0 - margin, y.1 + margin),
    };
    for (at, panel) in (0_u8..).zip(&panels) {
        one_panel(&mut drawing, &frame(at), panel, input);
    }
    drawing.summary = summary(input, &panels).into();
    drawing
}

fn one_panel(drawing: &mut Drawing, frame: &Frame, panel: &Traces, input: &Overlay) {
    let marks = round_marks(frame.y.0, frame.y.1, 4)
        .into_iter()
        .map(|mark| (mark, crate::say::significant(mark, 4)))
        .collect::<Vec<_>>();
    if let Some(band) = &input.band {
        let upper = band.edge.iter().map(|(x, _, high)| frame.point(*x, *high));
        let lower = band.edge.iter().rev().map(|(x, low, _)| frame.point(*x, *low));
        drawing.area(upper.chain(lower), Ink::Pale);
    }
    frame.side_axis(drawing, &marks);
    commanded(drawing, frame);
    // Many steps share what a page can carry, and the first and last are among them.
    let most = MOST_POINTS.div_ceil(4 * usize::from(COLUMNS)).max(1);
    let every = panel.steps.len().div_ceil(most).max(1);
    let last = panel.steps.len().saturating_sub(1);
    for (at, step) in panel.steps.iter().enumerate() {
        if at % every != 0 && at != last {
            continue;
        }
        let points = reduced(&step.points, frame.x, COLUMNS)
            .into_iter()
            .map(|(x, y)| frame.point(x, y));
        drawing.line(points, Pen::new(Ink::Black, 1.1));
    }
    frame.lower_axis(drawing, "seconds after the command");
    let title = Lettering { size: 13.0, strong: true, ink: Ink::Black };
    let above = frame.at.y - 10.0;
    let at = Point::new(frame.at.x, above);
    drawing.lettered(at, panel.title.as_str(), Anchor::Start, title);
    let small = Lettering { size: 11.0, strong: false, ink: Ink::Grey };
    let right = Point::new(frame.at.x + frame.width, above);
    drawing.lettered(right, input.unit.as_str(), Anchor::End, small);
    let note = Lettering { size: 12.0, strong: false, ink: Ink::Black };
    let under = Point::new(frame.at.x, frame.at.y + frame.height + 50.0);
    drawing.lettered(under, panel.note.as_str(), Anchor::Start, note);
}

/// The command: a dashed line up at its time.
fn commanded(drawing: &mut Drawing, frame: &Frame) {
    if frame.x.0 < 0.0 && frame.x.1 > 0.0 {
        let x = frame.across(0.0);
        let (top, base) = (frame.at.y, frame.at.y + frame.height);
        let pen = Pen::dashed(Ink::Grey, 1.0);
        drawing.line([Point::new(x, base), Point::new(x, top)], pen);
    }
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
