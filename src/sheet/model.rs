//! The drawing model: marks in millimetres on paper, x to the right and y down from the upper left corner of the sheet.
//! It knows paper and ink, and nothing of rooms or file formats.

use super::lettering;
use crate::geometry::{Convex, Point};

/// One sheet of paper with everything on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Name of the paper size, such as "ISO A3".
    pub paper: &'static str,
    /// Width of the paper in millimetres.
    pub width_mm: f64,
    /// Height of the paper in millimetres.
    pub height_mm: f64,
    /// How many millimetres of the room one millimetre of paper stands for.
    pub ratio: f64,
    /// The scale in words, such as `1/4" = 1'-0"`.
    pub scale: &'static str,
    /// What is drawn, in a line.
    pub title: String,
    /// What is drawn, in a sentence or two.
    pub description: String,
    /// What was left out because the paper has no room for it; said on the sheet too.
    pub left_out: Vec<String>,
    /// The marks, those drawn first first.
    pub marks: Vec<Mark>,
}

impl Sheet {
    /// Every text of the sheet, in the order of drawing.
    pub fn texts(&self) -> Vec<&Text> {
        let mut found = Vec::new();
        let mut open: Vec<&[Mark]> = vec![&self.marks];
        while let Some(marks) = open.pop() {
            let Some((first, rest)) = marks.split_first() else {
                continue;
            };
            open.push(rest);
            match first {
                Mark::Text(text) => found.push(text),
                Mark::Group { marks, .. } => open.push(marks),
                Mark::Strokes { .. }
                | Mark::Shape { .. }
                | Mark::Arc { .. }
                | Mark::Circle { .. } => {}
            }
        }
        found
    }
}

/// One mark on the paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Straight lines of one pen: single ones, hatches, dots.
    Strokes {
        /// From and to.
        lines: Vec<(Point, Point)>,
        /// The pen.
        pen: Pen,
    },
    /// A line through points, or the outline of an area.
    Shape {
        /// The corners.
        points: Vec<Point>,
        /// True where the last corner joins the first.
        closed: bool,
        /// The pen of the outline.
        pen: Option<Pen>,
        /// What the area is filled with.
        fill: Fill,
    },
    /// A quarter turn or less, such as the way of a door's edge.
    Arc {
        /// Where it starts.
        from: Point,
        /// Where it ends.
        to: Point,
        /// Its radius in millimetres.
        radius: f64,
        /// True where it turns clockwise as seen on the paper.
        clockwise: bool,
        /// The pen.
        pen: Pen,
    },
    /// A full circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius in millimetres.
        radius: f64,
        /// The pen of the outline.
        pen: Option<Pen>,
        /// What it is filled with.
        fill: Fill,
    },
    /// A line of text.
    Text(Text),
    /// Marks that belong together, under a name of our own.
    Group {
        /// The name: small letters, digits and hyphens; one name a sheet.
        name: &'static str,
        /// The marks.
        marks: Vec<Mark>,
    },
}

impl Mark {
    /// The same mark moved on the paper.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        let mut moved = self.clone();
        match &mut moved {
            Self::Strokes { lines, .. } => {
                for (from, to) in lines {
                    *from += by;
                    *to += by;
                }
            }
            Self::Shape { points, .. } => points.iter_mut().for_each(|p| *p += by),
            Self::Arc { from, to, .. } => {
                *from += by;
                *to += by;
            }
            Self::Circle { centre, .. } => *centre += by,
            Self::Text(text) => text.at += by,
            Self::Group { marks, .. } => {
                *marks = marks.iter().map(|m| m.moved(by)).collect();
            }
        }
        moved
    }

    /// One straight line.
    pub fn line(from: Point, to: Point, pen: Pen) -> Self {
        Self::Strokes {
            lines: vec![(from, to)],
            pen,
        }
    }

    /// A closed outline.
    pub fn area(points: Vec<Point>, pen: Option<Pen>, fill: Fill) -> Self {
        Self::Shape {
            points,
            closed: true,
            pen,
            fill,
        }
    }

    /// A rectangle along the edges of the paper.
    pub fn rectangle(low: Point, high: Point, pen: Option<Pen>, fill: Fill) -> Self {
        let corners = vec![
            low,
            Point::new(high.x, low.y),
            high,
            Point::new(low.x, high.y),
        ];
        Self::area(corners, pen, fill)
    }
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// The anchor, on the base line.
    pub at: Point,
    /// What is written.
    pub words: String,
    /// Height of the capital letters in millimetres (ISO 3098-1 measures lettering so).
    pub height_mm: f64,
    /// Which part of the line stands at the anchor.
    pub anchor: Anchor,
    /// Turn about the anchor in degrees, anticlockwise as seen on the paper.
    pub turn_deg: f64,
    /// Its weight.
    pub weight: Weight,
    /// Its colour.
    pub ink: Ink,
}

impl Text {
    /// A line of text that starts at a point.
    pub fn new(at: Point, words: impl Into<String>, height_mm: f64) -> Self {
        Self {
            at,
            words: words.into(),
            height_mm,
            anchor: Anchor::Start,
            turn_deg: 0.0,
            weight: Weight::Plain,
            ink: Ink::Black,
        }
    }

    /// With another anchor.
    #[must_use]
    pub fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// In bold letters.
    #[must_use]
    pub fn bold(self) -> Self {
        Self {
            weight: Weight::Bold,
            ..self
        }
    }

    /// Turned about its anchor, anticlockwise as seen on the paper.
    #[must_use]
    pub fn turned(self, turn_deg: f64) -> Self {
        Self { turn_deg, ..self }
    }

    /// A box that surely holds the text, whatever ordinary sans face it is set in.
    pub fn outline(&self) -> Convex {
        self.outline_grown(0.0)
    }

    /// The same, grown by a margin on every side.
    pub fn outline_grown(&self, by_mm: f64) -> Convex {
        let width = lettering::width_mm(&self.words, self.height_mm, self.weight);
        let start = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width * 0.5,
            Anchor::End => -width,
        };
        let (above, below) = lettering::rise_and_fall_mm(self.height_mm);
        let (sin, cos) = libm::sincos(self.turn_deg.to_radians());
        // On paper y runs down, so an anticlockwise turn swaps the sign of the sine.
        let along = Point::new(cos, -sin);
        let up = Point::new(-sin, -cos);
        let corner = |x: f64, y: f64| self.at + along * x + up * y;
        let (x0, x1) = (start - by_mm, start + width + by_mm);
        let (y0, y1) = (-below - by_mm, above + by_mm);
        let corners = vec![
            corner(x0, y0),
            corner(x1, y0),
            corner(x1, y1),
            corner(x0, y1),
        ];
        Convex::new(corners).unwrap_or_else(|| Convex::line(self.at, self.at))
    }
}

/// Which part of a text stands at its anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The first letter.
    Start,
    /// The middle.
    Middle,
    /// The last letter.
    End,
}

/// The weight of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Ordinary.
    Plain,
    /// Bold.
    Bold,
}

/// The colours of a sheet: black for everything that must survive a copier, one grey for what lies behind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Black.
    Black,
    /// Dark grey, which still carries text.
    Grey,
    /// White, on black.
    White,
}

/// What an area is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Nothing: what lies below shows.
    None,
    /// White: what lies below is hidden.
    White,
    /// Light grey.
    Tint,
    /// Black.
    Black,
}

/// A pen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Width of the line in millimetres, from the ladder of ISO 128-2: 0.13 0.18 0.25 0.35 0.5 0.7 1.0.
    pub width_mm: f64,
    /// Its pattern.
    pub dash: Dash,
    /// Its colour.
    pub ink: Ink,
}

impl Pen {
    /// A black continuous pen of that width in millimetres.
    pub const fn black(width_mm: f64) -> Self {
        Self {
            width_mm,
            dash: Dash::Solid,
            ink: Ink::Black,
        }
    }

    /// A grey continuous pen of that width in millimetres.
    pub const fn grey(width_mm: f64) -> Self {
        Self {
            width_mm,
            dash: Dash::Solid,
            ink: Ink::Grey,
        }
    }

    /// With a pattern.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// The pattern of a line (after ISO 128-2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Continuous.
    Solid,
    /// Dashed.
    Dashed,
    /// Dotted.
    Dotted,
    /// Long dash, dot.
    DashDot,
    /// Long dash, two dots.
    DashDotDot,
}
