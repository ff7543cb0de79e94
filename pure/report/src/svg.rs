//! A neutral drawing as SVG 1.1; every text escaped, every number finite.

use std::fmt::Write;

use pages::{Anchor, Drawing, Ink, Pen, Point, Shape};

use crate::{PAINT, html::escape};

/// The drawing as one `<svg>` element.
#[must_use]
pub fn svg(drawing: &Drawing) -> String {
    let mut out = String::new();
    let (width, height) = (number(drawing.width), number(drawing.height));
    push(
        &mut out,
        format_args!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" font-family="Inter, sans-serif"><title>{}</title>"#,
            escape(drawing.summary.as_str())
        ),
    );
    for shape in &drawing.shapes {
        draw(&mut out, shape);
    }
    out.push_str("</svg>");
    out
}

fn draw(out: &mut String, shape: &Shape) {
    match shape {
        Shape::Polyline { points, pen } => polyline(out, points, *pen),
        Shape::Arrow { points, pen } => {
            polyline(out, points, *pen);
            head(out, points, *pen);
        }
        Shape::Area { points, ink } => push(
            out,
            format_args!(
                r#"<polygon points="{}" fill="{}"/>"#,
                list(points),
                colour(*ink)
            ),
        ),
        Shape::Rectangle { at, width, height, pen, fill } => push(
            out,
            format_args!(
                r#"<rect x="{}" y="{}" width="{}" height="{}" rx="3" fill="{}"{}/>"#,
                number(at.x),
                number(at.y),
                number(width.max(0.0)),
                number(height.max(0.0)),
                colour(*fill),
                stroke(*pen)
            ),
        ),
        Shape::Circle { centre, radius, pen, fill } => push(
            out,
            format_args!(
                r#"<circle cx="{}" cy="{}" r="{}" fill="{}"{}/>"#,
                number(centre.x),
                number(centre.y),
                number(radius.max(0.0)),
                colour(*fill),
                stroke(*pen)
            ),
        ),
        Shape::Text { at, words, anchor, size, strong, ink } => push(
            out,
            format_args!(
                r#"<text x="{}" y="{}" font-size="{}" text-anchor="{}" fill="{}"{}>{}</text>"#,
                number(at.x),
                number(at.y),
                number(*size),
                match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                },
                colour(*ink),
                if *strong { r#" font-weight="700""# } else { "" },
                escape(words.as_str())
            ),
        ),
    }
}

fn polyline(out: &mut String, points: &[Point], pen: Pen) {
    push(
        out,
        format_args!(
            r#"<polyline points="{}" fill="none"{} stroke-linejoin="round" stroke-linecap="round"/>"#,
            list(points),
            stroke(pen)
        ),
    );
}

/// The head of an arrow: a triangle along its last piece.
fn head(out: &mut String, points: &[Point], pen: Pen) {
    let [.., from, to] = points else { return };
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = dx.hypot(dy);
    if length < 1e-9 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let (long, half) = (4.0 + 2.0 * pen.width, 2.0 + pen.width);
    let base = Point::new(to.x - ux * long, to.y - uy * long);
    let corners = [
        *to,
        Point::new(base.x - uy * half, base.y + ux * half),
        Point::new(base.x + uy * half, base.y - ux * half),
    ];
    push(
        out,
        format_args!(
            r#"<polygon points="{}" fill="{}"/>"#,
            list(&corners),
            colour(pen.ink)
        ),
    );
}

fn list(points: &[Point]) -> String {
    points
        .iter()
        .map(|point| format!("{},{}", number(point.x), number(point.y)))
        .collect::<Vec<_>>()
        .join(" ")
}

fn stroke(pen: Pen) -> String {
    if pen.ink == Ink::Clear || pen.width <= 0.0 {
        return String::new();
    }
    let dash = if pen.dashed { r#" stroke-dasharray="5 4""# } else { "" };
    format!(r#" stroke="{}" stroke-width="{}"{dash}"#, colour(pen.ink), number(pen.width))
}

fn colour(ink: Ink) -> &'static str {
    match ink {
        Ink::Clear => "none",
        Ink::White => "#ffffff",
        Ink::Pale => "#eceae6",
        Ink::Grey => "#6b6b6b",
        Ink::Black => "#111111",
        Ink::Paint => PAINT,
    }
}

/// At most two digits after the point; what is not finite becomes 0.
fn number(value: f64) -> String {
    let value = if value.is_finite() { value.clamp(-1e6, 1e6) } else { 0.0 };
    pages::say::trimmed(value, 2)
}

fn push(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing to a String can't fail.
    let _ = out.write_fmt(text);
}
