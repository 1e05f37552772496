//! Plane geometry in `f64` millimetres: convex shapes, oblongs, polygons, distances, slides, traverses.
//!
//! One convention everywhere: **touching is not overlapping**. Two shapes overlap when they share more than
//! [`TOLERANCE_MM`] in every direction. Axes: x to the right, y up the sheet, angles anticlockwise.
//! No words of the domain here: nothing in this module knows a room, a rack or a plan.

mod bounds;
mod box_list;
mod carry;
mod convex;
mod corridor;
mod free_cells;
mod grown;
mod level_lines;
pub mod network;
mod oblong;
mod polygon;
mod slide;
pub mod traverse;
mod visibility;
mod widest_path;

pub use bounds::Bounds;
pub use box_list::BoxList;
pub use carry::{Carry, Entry};
pub use convex::{Convex, nearest_on_side};
pub use corridor::Corridor;
pub use level_lines::level_lines;
pub use oblong::Oblong;
pub use polygon::{Polygon, cut_of};
pub use slide::{Interval, slide_overlap};
pub use visibility::Sight;
pub use widest_path::{Floor, LEAST_SIDE_MM, Neck, Obstacle, Place, Widest};

/// The point type: millimetres, `f64`.
pub use glam::DVec2 as Point;

/// The one tolerance of the program, in millimetres: shapes that share less than this only touch, and a
/// measured value within it of its limit meets the limit.
pub const TOLERANCE_MM: f64 = 0.01;

/// True where `measured_mm` is at least `limit_mm` within the tolerance.
///
/// ```
/// use aislewright::geometry::{TOLERANCE_MM, reaches};
/// assert!(reaches(914.4, 914.4));
/// assert!(reaches(914.4 - TOLERANCE_MM / 2.0, 914.4));
/// assert!(!reaches(914.3, 914.4));
/// ```
pub fn reaches(measured_mm: f64, limit_mm: f64) -> bool {
    measured_mm >= limit_mm - TOLERANCE_MM
}
