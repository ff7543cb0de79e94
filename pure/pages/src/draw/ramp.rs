//! A coil's current against time: the rise, where the plunger moves, where it strikes.

use super::{
    Anchor, Drawing, Ink, Lettering, Pen, Point,
    frame::{Frame, range, round_marks},
};
use crate::{Words, say};

/// A value, if there is one, with its lower and upper end, s.
type Spread = (Option<f64>, f64, f64);

/// What the picture is drawn from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RampPicture {
    /// Current in A against s from the switch-on, in order of time.
    pub points: Vec<(f64, f64)>,
    /// Settled current, A.
    pub final_a: Option<f64>,
    /// Start of motion.
    pub motion: Option<Spread>,
    /// The stroke against the stop.
    pub contact: Option<Spread>,
    /// Later strokes, s.
    pub bounces_s: Vec<f64>,
}

/// Columns of the picture; of each the first, last, least and greatest stay (M4: Jugel et
/// al., PVLDB 7, 2014).
const COLUMNS: f64 = 380.0;

/// Size of the drawing: on a phone its lettering stays near its own size.
const SIZE: (f64, f64) = (440.0, 284.0);

/// What rises before and after are drawn from, one over the other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RampsPicture {
    /// Each rise before, as in [`RampPicture::points`].
    pub before: Vec<Vec<(f64, f64)>>,
    /// Each rise after.
    pub after: Vec<Vec<(f64, f64)>>,
    /// The stroke against the stop before and after, s.
    pub contact: [Option<f64>; 2],
}

/// Rises before and after in one frame: before in grey and thin, after in black.
#[must_use]
pub fn ramps_picture(input: &RampsPicture) -> Drawing {
    let mut drawing = Drawing::new(SIZE.0, SIZE.1, "Current from the switch-on");
    let all = || input.before.iter().chain(&input.after).flatten();
    let x = range(all().map(|p| p.0 * 1e3));
    let (Some(x), Some(y)) = (x, range(all().map(|p| p.1).chain([0.0]))) else {
        drawing.summary = "No current recorded.".into();
        return drawing;
    };
    let frame = framed(&mut drawing, x, y);
    for (rises, pen) in [
        (&input.before, Pen::dashed(Ink::Grey, 1.5)),
        (&input.after, Pen::new(Ink::Black, 1.3)),
    ] {
        for rise in rises {
            let ms: Vec<(f64, f64)> = rise.iter().map(|(t, a)| (t * 1e3, *a)).collect();
            let thin = columns(&ms, x).into_iter().map(|(x, y)| frame.point(x, y));
            drawing.line(thin, pen);
        }
    }
    let [before, after] = input.contact;
    for (contact, said, ink, row) in [
        (before, "before strikes", Ink::Grey, 22.0),
        (after, "after strikes", Ink::Paint, 7.0),
    ] {
        if let Some(at) = contact {
            mark(&mut drawing, &frame, (at, said), (ink, row));
        }
    }
    frame.lower_axis(&mut drawing, "ms from the switch-on");
    let when = |contact: Option<f64>, side: &str| {
        let ms = |s: f64| {
            format!(", {side} it strikes after {} ms", say::significant(s * 1e3, 3))
        };
        contact.map_or_else(String::new, ms)
    };
    drawing.summary = Words::from(format!(
        "Current over {} ms from the switch-on, before (dashed) and after{}{}.",
        say::significant(x.1, 3),
        when(before, "before"),
        when(after, "after"),
    ));
    drawing
}

/// The drawing.
#[must_use]
pub fn ramp_picture(input: &RampPicture) -> Drawing {
    let mut drawing = Drawing::new(SIZE.0, SIZE.1, "Current from the switch-on");
    let ms: Vec<(f64, f64)> = input.points.iter().map(|(t, a)| (t * 1e3, *a)).collect();
    let x = range(ms.iter().map(|p| p.0));
    let y = range(ms.iter().map(|p| p.1).chain([0.0]));
    let (Some(x), Some(y)) = (x, y) else {
        drawing.summary = "No current recorded.".into();
        return drawing;
    };
    let frame = framed(&mut drawing, x, y);
    // Bands first, so that the current is drawn over them.
    for spread in [input.motion, input.contact].into_iter().flatten() {
        band(&mut drawing, &frame, spread);
    }
    if let Some(final_a) = input.final_a {
        let ends = [x.0, x.1].map(|x| frame.point(x, final_a));
        drawing.line(ends, Pen::dashed(Ink::Grey, 1.0));
    }
    let thin = columns(&ms, x).into_iter().map(|(x, y)| frame.point(x, y));
    drawing.line(thin, Pen::new(Ink::Black, 1.3));
    for at in &input.bounces_s {
        let top = frame.point(at * 1e3, frame.y.0);
        let foot = Point::new(top.x, top.y - 9.0);
        drawing.line([top, foot], Pen::new(Ink::Grey, 1.5));
    }
    event(&mut drawing, &frame, input.motion, ("moves", Ink::Grey, 20.0));
    event(&mut drawing, &frame, input.contact, ("strikes", Ink::Paint, 7.0));
    frame.lower_axis(&mut drawing, "ms from the switch-on");
    drawing.summary = summary(input, x.1);
    drawing
}

/// The frame with its axis of the current.
fn framed(drawing: &mut Drawing, x: (f64, f64), y: (f64, f64)) -> Frame {
    let margin = ((y.1 - y.0) * 0.05).max(1e-9);
    let frame = Frame {
        at: Point::new(46.0, 38.0),
        width: COLUMNS,
        height: 190.0,
        x: (x.0, x.1.max(x.0 + 1e-9)),
        y: (y.0 - margin, y.1 + margin),
    };
    let marks: Vec<(f64, String)> = round_marks(frame.y.0, frame.y.1, 5)
        .into_iter()
        .map(|mark| (mark, say::significant(mark, 4)))
        .collect();
    frame.side_axis(drawing, &marks);
    let small = Lettering { size: 11.0, strong: false, ink: Ink::Grey };
    drawing.lettered(Point::new(frame.at.x - 7.0, 14.0), "A", Anchor::End, small);
    frame
}

/// The interval of an event, shaded.
fn band(drawing: &mut Drawing, frame: &Frame, (_, low, high): Spread) {
    let [left, right] = [low, high].map(|s| (s * 1e3).clamp(frame.x.0, frame.x.1));
    let corners = [
        frame.point(left, frame.y.0),
        frame.point(left, frame.y.1),
        frame.point(right, frame.y.1),
        frame.point(right, frame.y.0),
    ];
    drawing.area(corners, Ink::Pale);
}

/// A line at an event with its word so far above the frame that two don't meet.
fn event(
    drawing: &mut Drawing,
    frame: &Frame,
    spread: Option<Spread>,
    (word, ink, above): (&str, Ink, f64),
) {
    if let Some((Some(at), _, _)) = spread {
        mark(drawing, frame, (at, word), (ink, above));
    }
}

/// A line at a time in s, what it is so far above the frame.
fn mark(
    drawing: &mut Drawing,
    frame: &Frame,
    (at, what): (f64, &str),
    (ink, above): (Ink, f64),
) {
    let at_ms = (at * 1e3).clamp(frame.x.0, frame.x.1);
    let ends = [frame.y.0, frame.y.1].map(|y| frame.point(at_ms, y));
    drawing.line(ends, Pen::new(ink, 2.0));
    let said = format!("{what} {} ms", say::significant(at * 1e3, 3));
    // Beside the right edge the words end at the line.
    let anchor = if ends[0].x > frame.at.x + 0.8 * frame.width {
        Anchor::End
    } else {
        Anchor::Start
    };
    let strong = Lettering { size: 12.0, strong: true, ink: Ink::Black };
    drawing.lettered(Point::new(ends[0].x, frame.at.y - above), said, anchor, strong);
}

/// First, least, greatest and last of each column of the picture.
fn columns(points: &[(f64, f64)], (from, to): (f64, f64)) -> Vec<(f64, f64)> {
    let column = |x: f64| ((x - from) / (to - from).max(1e-12) * COLUMNS).floor();
    let mut kept = Vec::new();
    for group in points.chunk_by(|a, b| column(a.0).total_cmp(&column(b.0)).is_eq()) {
        let by = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let (least, most) = (group.iter().min_by(by), group.iter().max_by(by));
        let mut some: Vec<(f64, f64)> = [group.first(), least, most, group.last()]
            .into_iter()
            .flatten()
            .copied()
            .collect();
        some.sort_by(|a, b| a.0.total_cmp(&b.0));
        some.dedup();
        kept.extend(some);
    }
    kept
}

fn summary(input: &RampPicture, end_ms: f64) -> Words {
    let when = |spread: Option<Spread>, word: &str| match spread {
        Some((Some(at), _, _)) => {
            format!(", the plunger {word} after {} ms", say::significant(at * 1e3, 3))
        }
        _ => String::new(),
    };
    let settled = input
        .final_a
        .map_or(String::new(), |a| format!(", settled at {} A", say::significant(a, 3)));
    Words::from(format!(
        "Current over {} ms from the switch-on{}{}{settled}.",
        say::significant(end_ms, 3),
        when(input.motion, "moves"),
        when(input.contact, "strikes"),
    ))
}
