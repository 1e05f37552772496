//! Places on walls in millimetres: where a thing fixed to a wall stands in the plane.

use crate::geometry::{Oblong, Point, Polygon};
use crate::plan::WallPlace;
use crate::units::Length;

/// A wall as a line with directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// Number of the wall.
    pub number: usize,
    /// Its first corner.
    pub start: Point,
    /// Unit vector from the first corner to the next.
    pub along: Point,
    /// Unit vector into the room.
    pub inward: Point,
    /// Length in millimetres.
    pub length: f64,
}

impl Wall {
    /// Wall `number` of the room; `None` where there is none.
    pub fn of(room: &Polygon, number: usize) -> Option<Self> {
        let (a, b) = room.side(number)?;
        let along = (b - a).normalize_or_zero();
        Some(Self {
            number,
            start: a,
            along,
            inward: along.perp(),
            length: a.distance(b),
        })
    }

    /// The wall that a place is on.
    pub fn at(room: &Polygon, place: WallPlace) -> Option<Self> {
        Self::of(room, usize::from(place.wall))
    }

    /// The point `along_mm` from the first corner and `out_mm` into the room.
    pub fn point(&self, along_mm: f64, out_mm: f64) -> Point {
        self.start + self.along * along_mm + self.inward * out_mm
    }

    /// The rectangle that stands against the wall from `along` on, `width` wide and `depth` deep into the room, its front
    /// looking into the room.
    pub fn oblong(&self, along: Length, width: Length, depth: Length) -> Oblong {
        let middle = self.point(along.mm() + width.mm() * 0.5, depth.mm() * 0.5);
        let across = -self.along;
        Oblong::new(middle, width.mm(), depth.mm(), (across.y, across.x))
    }
}
