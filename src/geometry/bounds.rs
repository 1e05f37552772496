//! Boxes along the axes, used to pass over what is far away before anything exact is asked.

use super::{Point, TOLERANCE_MM};

/// A box along the axes, in millimetres. Never inside out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
}

impl Bounds {
    /// The least box round the points; `None` where there are none.
    pub fn of(points: &[Point]) -> Option<Self> {
        let (first, rest) = points.split_first()?;
        Some(rest.iter().fold(
            Self {
                low: *first,
                high: *first,
            },
            |b, p| Self {
                low: b.low.min(*p),
                high: b.high.max(*p),
            },
        ))
    }

    /// True where the two boxes share more than the tolerance in both directions.
    ///
    /// ```
    /// use aislewright::geometry::{Bounds, Point};
    /// let a = Bounds::of(&[Point::ZERO, Point::new(10.0, 10.0)]).unwrap();
    /// let beside = Bounds::of(&[Point::new(10.0, 0.0), Point::new(20.0, 10.0)]).unwrap();
    /// assert!(!a.overlaps(&beside), "touching is not overlapping");
    /// ```
    pub fn overlaps(&self, other: &Self) -> bool {
        self.gap(other) < -TOLERANCE_MM
    }

    /// The larger of the gaps along x and y, in millimetres; negative where the boxes share something. Never more
    /// than the true distance of what the boxes hold.
    pub fn gap(&self, other: &Self) -> f64 {
        let d = (other.low - self.high).max(self.low - other.high);
        d.x.max(d.y)
    }

    /// The box grown by `by_mm` on every side.
    #[must_use]
    pub fn grown(&self, by_mm: f64) -> Self {
        Self {
            low: self.low - Point::splat(by_mm),
            high: self.high + Point::splat(by_mm),
        }
    }

    /// The middle of the box.
    pub fn centre(&self) -> Point {
        (self.low + self.high) * 0.5
    }

    /// Width and height in millimetres.
    pub fn size(&self) -> Point {
        self.high - self.low
    }
}
