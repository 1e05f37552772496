//! A corridor: the half-endless band ahead of a face, and how far it is free.

use super::{Convex, Oblong, Point, TOLERANCE_MM};

/// The band ahead of a face: from the middle of the face forward, as wide as the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corridor {
    /// Middle of the face.
    pub origin: Point,
    /// Unit vector away from the face.
    pub forward: Point,
    /// Half the width of the face, in millimetres.
    pub half_width: f64,
}

impl Corridor {
    /// How far ahead of the face the nearest part of the shape stands, in millimetres: 0 where it reaches up to or over
    /// the face, `None` where it does not stand ahead at all. What only touches the band's edge is not ahead; a line that lies on
    /// the face is, as it closes it.
    ///
    /// ```
    /// use aislewright::geometry::{Corridor, Oblong, Point};
    /// let face = Corridor { origin: Point::ZERO, forward: Point::Y, half_width: 500.0 };
    /// let ahead = Oblong::new(Point::new(0.0, 1000.0), 200.0, 200.0, (0.0, 1.0)).convex();
    /// assert_eq!(face.free_before(&ahead), Some(900.0));
    /// let beside = Oblong::new(Point::new(600.0, 1000.0), 200.0, 200.0, (0.0, 1.0)).convex();
    /// assert_eq!(face.free_before(&beside), None, "it only touches the edge");
    /// ```
    pub fn free_before(&self, shape: &Convex) -> Option<f64> {
        let side = self.forward.perp();
        let reach = self.half_width - TOLERANCE_MM;
        if self.passes(shape, side, reach) {
            return None;
        }
        let inside = shape
            .cut(self.origin - side * reach, side)?
            .cut(self.origin + side * reach, -side)?;
        let origin = self.origin.dot(self.forward);
        let (near, far) = inside.along(self.forward);
        (far - origin > Self::least_far(shape)).then_some((near - origin).max(0.0))
    }

    /// How far ahead a shape must reach to stand ahead: a body that shares less than the tolerance with the band only touches the
    /// face from behind, but a line has no inside to lie behind the face with.
    fn least_far(shape: &Convex) -> f64 {
        if shape.points().len() == 2 {
            -TOLERANCE_MM
        } else {
            TOLERANCE_MM
        }
    }

    /// True for most of what stands wholly beside the band or behind the face, told without cutting it.
    fn passes(&self, shape: &Convex, side: Point, reach: f64) -> bool {
        /// Rounding is left to the cut.
        const HAIR_MM: f64 = 1e-6;
        let (left, right) = shape.along(side);
        let middle = self.origin.dot(side);
        let beside = right - middle < -reach - HAIR_MM || left - middle > reach + HAIR_MM;
        let far = shape.along(self.forward).1 - self.origin.dot(self.forward);
        beside || far < Self::least_far(shape)
    }

    /// The band cut off at `depth_mm`, as a rectangle.
    pub fn strip(&self, depth_mm: f64) -> Oblong {
        let across = -self.forward.perp();
        Oblong::new(
            self.origin + self.forward * (depth_mm * 0.5),
            self.half_width * 2.0,
            depth_mm,
            (across.y, across.x),
        )
    }
}
