//! Where the room lies on the paper, and how lengths are written on it.

use crate::geometry::{Bounds, Point};
use crate::units::{Length, Practice};

/// The room seen from above at a scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    /// The box round the inner faces of the walls, in the room.
    pub(super) room: Bounds,
    /// Where its upper left corner lies on the paper.
    pub(super) at: Point,
    /// Paper millimetres for a millimetre of the room.
    pub(super) share: f64,
}

impl View {
    /// A place of the room on the paper.
    pub(super) fn paper(&self, p: Point) -> Point {
        self.at + Point::new(p.x - self.room.low.x, self.room.high.y - p.y) * self.share
    }

    /// A direction of the room on the paper.
    pub(super) fn direction(d: Point) -> Point {
        Point::new(d.x, -d.y)
    }

    /// Places of the room on the paper.
    pub(super) fn papers(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|p| self.paper(*p)).collect()
    }
}

/// A length as a dimension: feet and inches to 1/16 in, or millimetres without the unit (the title block states it).
pub(super) fn dimension(length: Length, practice: Practice) -> String {
    let words = length.shown(practice);
    match practice {
        Practice::Us => words,
        Practice::Metric => words.trim_end_matches(" mm").to_owned(),
    }
}

/// The same for millimetres computed from the plan.
pub(super) fn dimension_mm(mm: f64, practice: Practice) -> String {
    dimension(Length::from_mm(mm), practice)
}
