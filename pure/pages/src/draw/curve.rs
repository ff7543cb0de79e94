//! How sure a repair is against the distance that it has been driven clear.

use weigh::{Count, prove};

use super::{
    Anchor, Drawing, Ink, Lettering, Pen, Point,
    frame::{Frame, round_marks},
};
use crate::say::{self, Counted, Shown};

/// What the curve is drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProofCurve {
    /// How often the fault had set before the repair.
    pub count: Count,
    /// Probability that it is fixed before any driving.
    pub fixed: f64,
    /// Driven clear since, in the unit of the count.
    pub clear: f64,
    /// What is wanted.
    pub target: Option<f64>,
    /// What the count counts.
    pub counted: Counted,
    /// Units on the page.
    pub shown: Shown,
}

const POINTS: u8 = 96;

/// The curve, what has been driven, and the target where it is reached in sight.
#[must_use]
pub fn proof_curve(input: &ProofCurve) -> Drawing {
    let mut drawing = Drawing::new(640.0, 250.0, "How sure, the farther it stays away");
    let sure =
        |exposure: f64| prove::posterior(input.fixed, input.count.ln_silent(exposure));
    let needed =
        input.target.and_then(|target| prove::needed(&input.count, input.fixed, target));
    let end = [needed.unwrap_or(0.0) * 1.3, input.clear * 1.25, input.count.over]
        .into_iter()
        .filter(|end| end.is_finite())
        .fold(1.0, f64::max);
    // Beyond twenty windows the axis would be all that one sees.
    let end = end.min(20.0 * input.count.over.max(input.clear).max(1.0));
    let low = (sure(0.0) * 10.0).floor().clamp(0.0, 9.0) / 10.0;
    let per = match (input.counted, input.shown) {
        (Counted::Km, Shown::Us) => units::KM_PER_MILE,
        (Counted::Km | Counted::Minutes | Counted::Starts, _) => 1.0,
    };
    let frame = Frame {
        at: Point::new(62.0, 18.0),
        width: 548.0,
        height: 180.0,
        x: (0.0, end / per),
        y: (low, 1.0),
    };
    let marks: Vec<(f64, String)> = round_marks(low, 1.0, 5)
        .into_iter()
        .map(|mark| (mark, format!("{:.0} in 100", mark * 100.0)))
        .collect();
    frame.side_axis(&mut drawing, &marks);
    target_line(&mut drawing, &frame, input, needed.map(|needed| needed / per));
    frame.lower_axis(&mut drawing, axis_label(input.counted, input.shown));

    let at = |share: u8| end * f64::from(share) / f64::from(POINTS);
    let driven = input.clear.clamp(0.0, end);
    let curve = |from: f64, to: f64| {
        let inner = (0..=POINTS).map(at).filter(move |x| *x > from && *x < to);
        std::iter::once(from).chain(inner).chain(std::iter::once(to)).collect::<Vec<_>>()
    };
    let points = |xs: Vec<f64>| {
        xs.into_iter().map(|x| frame.point(x / per, sure(x))).collect::<Vec<_>>()
    };
    drawing.line(points(curve(driven, end)), Pen::dashed(Ink::Black, 1.6));
    if driven > 0.0 {
        drawing.line(points(curve(0.0, driven)), Pen::new(Ink::Paint, 4.0));
    }
    let here = frame.point(driven / per, sure(driven));
    drawing.circle(here, 5.0, Pen::new(Ink::White, 1.5), Ink::Black);
    let said = if driven > 0.0 {
        format!("now: {}", say::chance(sure(driven)))
    } else {
        format!("before driving: {}", say::chance(sure(driven)))
    };
    place_label(&mut drawing, &frame, here, &said);
    drawing.summary = summary(input, sure(input.clear), needed).into();
    drawing
}

fn target_line(
    drawing: &mut Drawing,
    frame: &Frame,
    input: &ProofCurve,
    needed: Option<f64>,
) {
    let Some(target) = input.target.filter(|target| *target > frame.y.0) else { return };
    let y = frame.up(target);
    let pen = Pen::dashed(Ink::Grey, 1.0);
    drawing
        .line([Point::new(frame.at.x, y), Point::new(frame.at.x + frame.width, y)], pen);
    if let Some(x) = needed.filter(|needed| *needed > 0.0 && *needed < frame.x.1) {
        let x = frame.across(x);
        drawing.line([Point::new(x, y), Point::new(x, frame.at.y + frame.height)], pen);
    }
    let words = format!("wanted: {}", say::chance(target));
    let lettering = Lettering { size: 11.0, strong: false, ink: Ink::Grey };
    let at = Point::new(frame.at.x + 6.0, y - 5.0);
    drawing.lettered(at, words, Anchor::Start, lettering);
}

/// The words beside the point, on the side where there is room.
fn place_label(drawing: &mut Drawing, frame: &Frame, here: Point, said: &str) {
    let lettering = Lettering { size: 13.0, strong: true, ink: Ink::Black };
    let far = here.x > frame.at.x + frame.width - 190.0;
    let (x, anchor) = if far {
        (frame.at.x + frame.width, Anchor::End)
    } else {
        (here.x + 10.0, Anchor::Start)
    };
    let low = here.y > frame.at.y + frame.height * 0.75;
    let y = if low { here.y - 10.0 } else { here.y + 26.0 };
    drawing.lettered(Point::new(x, y), said, anchor, lettering);
}

fn axis_label(counted: Counted, shown: Shown) -> &'static str {
    match (counted, shown) {
        (Counted::Km, Shown::Metric) => "km driven without the fault",
        (Counted::Km, Shown::Us) => "miles driven without the fault",
        (Counted::Minutes, _) => "minutes run without the fault",
        (Counted::Starts, _) => "starts without the fault",
    }
}

fn summary(input: &ProofCurve, sure: f64, needed: Option<f64>) -> String {
    let say = |amount| say::exposure(amount, input.counted, input.shown);
    let now = format!(
        "How sure the repair is against how far it stays away: {} after {}.",
        say::chance(sure),
        say(input.clear)
    );
    match (input.target, needed) {
        (Some(target), Some(needed)) if needed > input.clear => {
            format!(
                "{now} {} would be reached at {}.",
                say::sentence(&say::chance(target)),
                say(needed)
            )
        }
        _ => now,
    }
}
