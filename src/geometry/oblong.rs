//! Oblongs: rectangles at any angle.

use super::{Convex, Point};

/// A rectangle at any angle: centre, half width along its own x, half depth along its own y, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oblong {
    centre: Point,
    half: Point,
    /// Unit vector along the width.
    across: Point,
}

impl Oblong {
    /// A rectangle of the given width and depth (sizes below zero count as zero) round `centre`, turned by the angle
    /// whose sine and cosine are given.
    pub fn new(centre: Point, width_mm: f64, depth_mm: f64, (sin, cos): (f64, f64)) -> Self {
        Self {
            centre,
            half: Point::new(width_mm, depth_mm).max(Point::ZERO) * 0.5,
            across: Point::new(cos, sin),
        }
    }

    /// The centre.
    pub fn centre(&self) -> Point {
        self.centre
    }

    /// Width in millimetres.
    pub fn width(&self) -> f64 {
        self.half.x * 2.0
    }

    /// Depth in millimetres.
    pub fn depth(&self) -> f64 {
        self.half.y * 2.0
    }

    /// Unit vector along the width (to the right of the unturned rectangle).
    pub fn across(&self) -> Point {
        self.across
    }

    /// Unit vector along the depth (up from the unturned rectangle).
    pub fn up(&self) -> Point {
        self.across.perp()
    }

    /// The place at `(x, y)` from the centre in the rectangle's own directions.
    pub fn at(&self, x_mm: f64, y_mm: f64) -> Point {
        self.centre + self.across * x_mm + self.up() * y_mm
    }

    /// The corners, anticlockwise from the lower left of the unturned rectangle.
    pub fn corners(&self) -> [Point; 4] {
        let (w, d) = (self.half.x, self.half.y);
        [
            self.at(-w, -d),
            self.at(w, -d),
            self.at(w, d),
            self.at(-w, d),
        ]
    }

    /// The rectangle as a convex shape.
    pub fn convex(&self) -> Convex {
        let corners = self.corners();
        Convex::new(corners.to_vec()).unwrap_or_else(|| Convex::line(corners[0], corners[2]))
    }

    /// The rectangle grown outward on its four sides: left, right, below, above, in its own directions.
    #[must_use]
    pub fn grown(&self, left_mm: f64, right_mm: f64, below_mm: f64, above_mm: f64) -> Self {
        let shift = Point::new(right_mm - left_mm, above_mm - below_mm) * 0.5;
        let half = self.half + Point::new(left_mm + right_mm, below_mm + above_mm) * 0.5;
        Self {
            centre: self.at(shift.x, shift.y),
            half: half.max(Point::ZERO),
            across: self.across,
        }
    }

    /// The rectangle moved by `by`.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self {
            centre: self.centre + by,
            ..*self
        }
    }
}
