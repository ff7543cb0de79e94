//! A small neutral vector drawing; the renderers turn it into SVG.

use serde::Serialize;

use crate::Words;

/// A drawing in its own units (1 unit = 1 CSS pixel), origin at the upper left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drawing {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// What stands above it.
    pub title: Words,
    /// What it shows, for those who can't see it; never empty.
    pub summary: Words,
    /// Shapes, painted in order.
    pub shapes: Vec<Shape>,
    /// The same for a terminal: lines with the columns that each is set in; empty where text
    /// can't carry it.
    pub lines: Vec<(usize, Words)>,
}

/// A point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// One painted thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// Connected straight lines.
    Polyline {
        /// Corners.
        points: Vec<Point>,
        /// How it is drawn.
        pen: Pen,
    },
    /// Connected straight lines that end in an arrow head.
    Arrow {
        /// Corners; the head is at the last.
        points: Vec<Point>,
        /// How it is drawn.
        pen: Pen,
    },
    /// A filled area.
    Area {
        /// Corners.
        points: Vec<Point>,
        /// Its colour.
        ink: Ink,
    },
    /// A box.
    Rectangle {
        /// Upper left corner.
        at: Point,
        /// Width.
        width: f64,
        /// Height.
        height: f64,
        /// Its border.
        pen: Pen,
        /// Its filling.
        fill: Ink,
    },
    /// A circle.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// Its border.
        pen: Pen,
        /// Its filling.
        fill: Ink,
    },
    /// A line of text.
    Text {
        /// Where; the base line.
        at: Point,
        /// What.
        words: Words,
        /// Which end of it stands at `at`.
        anchor: Anchor,
        /// Size of type.
        size: f64,
        /// Bold.
        strong: bool,
        /// Its colour.
        ink: Ink,
    },
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pen {
    /// Its colour.
    pub ink: Ink,
    /// Its width.
    pub width: f64,
    /// Broken line.
    pub dashed: bool,
}

/// The few colours of a page: black ink, greys, and the paint stripe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ink {
    /// Nothing.
    Clear,
    /// The paper.
    White,
    /// Shading.
    Pale,
    /// Axes, grids, what is less important.
    Grey,
    /// Ink.
    Black,
    /// The paint stripe.
    Paint,
}

/// Which end of a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Anchor {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

impl Point {
    /// A point.
    #[must_use]
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Pen {
    /// A full line.
    #[must_use]
    pub fn new(ink: Ink, width: f64) -> Self {
        Self { ink, width, dashed: false }
    }

    /// A broken line.
    #[must_use]
    pub fn dashed(ink: Ink, width: f64) -> Self {
        Self { ink, width, dashed: true }
    }

    /// No line.
    #[must_use]
    pub fn none() -> Self {
        Self::new(Ink::Clear, 0.0)
    }
}

impl Drawing {
    /// An empty drawing.
    #[must_use]
    pub fn new(width: f64, height: f64, title: &str) -> Self {
        Self {
            width,
            height,
            title: title.into(),
            summary: title.into(),
            shapes: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Adds connected lines; points that are not finite are left out.
    pub fn line(&mut self, points: impl IntoIterator<Item = Point>, pen: Pen) {
        let points: Vec<Point> = points.into_iter().filter(|p| p.is_finite()).collect();
        if points.len() > 1 {
            self.shapes.push(Shape::Polyline { points, pen });
        }
    }

    /// Adds an arrow.
    pub fn arrow(&mut self, points: impl IntoIterator<Item = Point>, pen: Pen) {
        let points: Vec<Point> = points.into_iter().filter(|p| p.is_finite()).collect();
        if points.len() > 1 {
            self.shapes.push(Shape::Arrow { points, pen });
        }
    }

    /// Adds a filled area.
    pub fn area(&mut self, points: impl IntoIterator<Item = Point>, ink: Ink) {
        let points: Vec<Point> = points.into_iter().filter(|p| p.is_finite()).collect();
        if points.len() > 2 {
            self.shapes.push(Shape::Area { points, ink });
        }
    }

    /// Adds a circle.
    pub fn circle(&mut self, centre: Point, radius: f64, pen: Pen, fill: Ink) {
        if centre.is_finite() && radius.is_finite() {
            self.shapes.push(Shape::Circle { centre, radius, pen, fill });
        }
    }

    /// Adds a box.
    pub fn rectangle(
        &mut self,
        at: Point,
        (width, height): (f64, f64),
        pen: Pen,
        fill: Ink,
    ) {
        if at.is_finite() && width.is_finite() && height.is_finite() {
            self.shapes.push(Shape::Rectangle { at, width, height, pen, fill });
        }
    }

    /// Adds plain text.
    pub fn text(&mut self, at: Point, words: impl Into<Words>, anchor: Anchor) {
        self.lettered(at, words, anchor, Lettering::default());
    }

    /// Adds text in a given size and colour.
    pub fn lettered(
        &mut self,
        at: Point,
        words: impl Into<Words>,
        anchor: Anchor,
        lettering: Lettering,
    ) {
        let Lettering { size, strong, ink } = lettering;
        if at.is_finite() {
            let words = words.into();
            self.shapes.push(Shape::Text { at, words, anchor, size, strong, ink });
        }
    }
}

/// How a text is set in a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lettering {
    /// Size of type.
    pub size: f64,
    /// Bold.
    pub strong: bool,
    /// Its colour.
    pub ink: Ink,
}

impl Default for Lettering {
    fn default() -> Self {
        Self { size: 12.0, strong: false, ink: Ink::Black }
    }
}
