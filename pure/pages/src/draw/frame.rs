//! A plotting frame: axes with round marks, and where a value lies on the paper.

use super::{Anchor, Drawing, Ink, Lettering, Pen, Point};

/// A frame on a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Upper left corner.
    pub(crate) at: Point,
    /// Width on the drawing.
    pub(crate) width: f64,
    /// Height on the drawing.
    pub(crate) height: f64,
    /// Values at the left and right edge.
    pub(crate) x: (f64, f64),
    /// Values at the lower and upper edge.
    pub(crate) y: (f64, f64),
}

const SMALL: Lettering = Lettering { size: 11.0, strong: false, ink: Ink::Grey };

impl Frame {
    /// Where a pair of values lies.
    pub(crate) fn point(&self, x: f64, y: f64) -> Point {
        Point::new(self.across(x), self.up(y))
    }

    /// Where a value of the horizontal axis lies.
    pub(crate) fn across(&self, x: f64) -> f64 {
        self.at.x + self.width * share(x, self.x)
    }

    /// Where a value of the vertical axis lies.
    pub(crate) fn up(&self, y: f64) -> f64 {
        self.at.y + self.height * (1.0 - share(y, self.y))
    }

    /// Draws the lower axis with its marks and what it counts.
    pub(crate) fn lower_axis(&self, drawing: &mut Drawing, label: &str) {
        let base = self.at.y + self.height;
        let right = self.at.x + self.width;
        drawing.line(
            [Point::new(self.at.x, base), Point::new(right, base)],
            Pen::new(Ink::Black, 1.0),
        );
        for mark in round_marks(self.x.0, self.x.1, 6) {
            let x = self.across(mark);
            drawing.line(
                [Point::new(x, base), Point::new(x, base + 4.0)],
                Pen::new(Ink::Black, 1.0),
            );
            let text = crate::say::significant(mark, 4);
            drawing.lettered(Point::new(x, base + 17.0), text, Anchor::Middle, SMALL);
        }
        drawing.lettered(Point::new(right, base + 33.0), label, Anchor::End, SMALL);
    }

    /// Draws marks of the vertical axis with thin lines across.
    pub(crate) fn side_axis(&self, drawing: &mut Drawing, marks: &[(f64, String)]) {
        for (value, text) in marks {
            let y = self.up(*value);
            drawing.line(
                [Point::new(self.at.x, y), Point::new(self.at.x + self.width, y)],
                Pen::new(Ink::Pale, 1.0),
            );
            let at = Point::new(self.at.x - 7.0, y + 4.0);
            drawing.lettered(at, text.as_str(), Anchor::End, SMALL);
        }
    }
}

fn share(value: f64, (low, high): (f64, f64)) -> f64 {
    if high > low { (value - low) / (high - low) } else { 0.5 }
}

/// Round values (1, 2 or 5 times a power of ten apart) from `low` to `high`, about
/// `wanted` of them, at most 20.
pub(crate) fn round_marks(low: f64, high: f64, wanted: u8) -> Vec<f64> {
    let span = high - low;
    if !(span.is_finite() && span > 0.0) {
        return vec![low];
    }
    let rough = span / f64::from(wanted.max(1));
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough * 0.999)
        .unwrap_or(10.0 * power);
    let first = (low / step - 1e-9).ceil();
    (0..20_u8)
        .map(|at| (first + f64::from(at)) * step)
        .take_while(|mark| *mark <= high + step * 1e-9)
        .collect()
}

/// The least and greatest of the values; `None` without a finite one.
pub(crate) fn range(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    values.into_iter().filter(|value| value.is_finite()).fold(None, |seen, value| {
        Some(seen.map_or((value, value), |(low, high): (f64, f64)| {
            (low.min(value), high.max(value))
        }))
    })
}
