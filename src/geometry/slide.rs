//! Slides: over which stretch of a straight slide one convex shape overlaps another. Exact, so that the shortest slide
//! that parts them is one of the stretch's two ends.

use super::{Convex, Point, TOLERANCE_MM};

/// An open stretch of slide lengths, in millimetres: `from < t < to`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end, not included.
    pub from: f64,
    /// Upper end, not included.
    pub to: f64,
}

impl Interval {
    /// True where `t_mm` lies strictly inside.
    pub fn holds(&self, t_mm: f64) -> bool {
        self.from < t_mm && t_mm < self.to
    }
}

/// The slide lengths `t` for which `moving`, slid by `t` along the unit vector `direction`, overlaps `fixed` by more than
/// the tolerance; `None` where it never does. Both ends may be infinite where the shapes overlap along the whole line of
/// the slide (only when a shape is endless, so not for real bodies).
///
/// ```
/// use aislewright::geometry::{Oblong, Point, slide_overlap};
/// let a = Oblong::new(Point::ZERO, 10.0, 10.0, (0.0, 1.0)).convex();
/// let b = Oblong::new(Point::new(30.0, 0.0), 10.0, 10.0, (0.0, 1.0)).convex();
/// let stretch = slide_overlap(&a, &b, Point::X).unwrap();
/// assert!((stretch.from - 20.01).abs() < 1e-9 && (stretch.to - 39.99).abs() < 1e-9);
/// ```
pub fn slide_overlap(moving: &Convex, fixed: &Convex, direction: Point) -> Option<Interval> {
    let mut stretch = Interval {
        from: f64::NEG_INFINITY,
        to: f64::INFINITY,
    };
    for axis in moving.axes().chain(fixed.axes()) {
        let (a0, a1) = moving.along(axis);
        let (b0, b1) = fixed.along(axis);
        let pace = direction.dot(axis);
        // On this axis they overlap while low < pace * t < high.
        let (low, high) = (b0 - a1 + TOLERANCE_MM, b1 - a0 - TOLERANCE_MM);
        if pace.abs() < 1e-12 {
            if low >= 0.0 || high <= 0.0 {
                return None;
            }
            continue;
        }
        let (t0, t1) = (low / pace, high / pace);
        stretch.from = stretch.from.max(t0.min(t1));
        stretch.to = stretch.to.min(t0.max(t1));
    }
    (stretch.from < stretch.to).then_some(stretch)
}
