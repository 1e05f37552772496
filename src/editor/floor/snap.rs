//! Snapping: where a thing that is dragged comes to rest beside walls and neighbours, with the distance to say. Knows the
//! room, not the pointer.

use crate::geometry::{Convex, Point};
use crate::layout::{Layout, Part, Wall};
use crate::plan::Id;
use crate::units::Length;

/// A line between a thing and what it is measured from, with the distance.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Guide {
    /// Number of the wall it is measured from.
    pub wall: usize,
    /// From the thing.
    pub from: Point,
    /// To the wall or neighbour.
    pub to: Point,
    /// The distance.
    pub distance: Length,
    /// True where the thing rests there.
    pub rests: bool,
}

/// What the outline of a thing that is dragged is measured by: its shape and, for a rack, the outline with the gap behind.
#[derive(Clone, Debug)]
pub(super) struct Outline<'a> {
    /// The body.
    pub body: &'a Convex,
    /// The body with the gap that walls must leave free.
    pub to_walls: &'a Convex,
}

impl<'a> Outline<'a> {
    /// The outline of a part that has a body.
    pub(super) fn of(part: &'a Part) -> Option<Self> {
        let body = &part.solid.as_ref()?.shape;
        Some(Self {
            body,
            to_walls: part.rack.as_ref().map_or(body, |r| &r.with_gap),
        })
    }
}

/// How deep a thing may be pushed into a wall and still come to rest before it, in millimetres.
const PUSHED_MM: f64 = 300.0;

/// The least move that brings the outline to rest against walls and neighbours within reach, at most one along each of two
/// crossing directions.
pub(super) fn rest(layout: &Layout, outline: &Outline<'_>, moving: &[Id], reach_mm: f64) -> Point {
    let mut pulls = wall_pulls(layout, outline, reach_mm);
    pulls.extend(neighbour_pulls(layout, outline, moving, reach_mm));
    // Touching comes before equal gaps: those are only looked for along directions in which nothing is near.
    let touched: Vec<Point> = pulls.iter().map(|p| p.axis).collect();
    pulls.extend(gap_pulls(layout, outline.body, moving, reach_mm, &touched));
    pulls.sort_by(|a, b| a.off.abs().total_cmp(&b.off.abs()));
    let Some(first) = pulls.first() else {
        return Point::ZERO;
    };
    let crossing = pulls.iter().find(|p| p.axis.dot(first.axis).abs() < 1e-6);
    first.by() + crossing.map_or(Point::ZERO, Pull::by)
}

/// A move along an axis that would bring the thing to rest.
struct Pull {
    axis: Point,
    off: f64,
}

impl Pull {
    fn by(&self) -> Point {
        self.axis * self.off
    }
}

/// The moves that bring the outline against a wall it is nearly parallel to.
fn wall_pulls(layout: &Layout, outline: &Outline<'_>, reach_mm: f64) -> Vec<Pull> {
    layout
        .walls()
        .filter(|w| parallel(outline.body, w.along))
        .filter_map(|wall| {
            let base = wall.start.dot(wall.inward);
            let (near, _) = outline.to_walls.along(wall.inward);
            let off = base - near;
            let (a, b) = outline.body.along(wall.along);
            let start = wall.start.dot(wall.along);
            let beside = b > start && a < start + wall.length;
            // What was pushed into a wall comes out of it, even from a little deeper.
            let near_enough = (-reach_mm..=reach_mm.max(PUSHED_MM)).contains(&off);
            (beside && near_enough).then_some(Pull {
                axis: wall.inward,
                off,
            })
        })
        .collect()
}

/// The moves that bring the outline flush against or in line with a neighbour.
fn neighbour_pulls(
    layout: &Layout,
    outline: &Outline<'_>,
    moving: &[Id],
    reach_mm: f64,
) -> Vec<Pull> {
    let near = outline.body.bounds().grown(reach_mm);
    layout
        .solids()
        .filter(|(part, solid)| !moving.contains(&part.id) && near.gap(solid.shape.bounds()) <= 0.0)
        .flat_map(|(_, solid)| {
            let across = solid.oblong.across();
            [across, across.perp()]
                .into_iter()
                .filter(|axis| parallel(outline.body, *axis))
                .flat_map(|axis| edge_pulls(outline.body, &solid.shape, axis))
                .collect::<Vec<_>>()
        })
        .filter(|pull| pull.off.abs() <= reach_mm)
        .collect()
}

/// The moves that make the gap to a neighbour on one side equal to that on the other side, or to the neighbour's own next gap,
/// along directions other than those `touched`.
fn gap_pulls(
    layout: &Layout,
    body: &Convex,
    moving: &[Id],
    reach_mm: f64,
    touched: &[Point],
) -> Vec<Pull> {
    let Some((a, b)) = body.sides().next() else {
        return Vec::new();
    };
    let first = (b - a).normalize_or_zero();
    [first, first.perp()]
        .into_iter()
        .filter(|axis| touched.iter().all(|t| t.dot(*axis).abs() < 0.5))
        .flat_map(|axis| {
            let (low, high) = body.along(axis);
            let row = row_beside(layout, body, moving, axis);
            equal_gaps(&row, low, high)
                .into_iter()
                .filter(|off| off.abs() <= reach_mm)
                .map(move |off| Pull { axis, off })
        })
        .collect()
}

/// What stands beside a body along an axis, within its breadth: from where to where, in order.
fn row_beside(layout: &Layout, body: &Convex, moving: &[Id], axis: Point) -> Vec<(f64, f64)> {
    let (low, high) = body.along(axis.perp());
    let mut row: Vec<(f64, f64)> = layout
        .solids()
        .filter(|(part, _)| !moving.contains(&part.id))
        .filter(|(_, solid)| {
            let (c, d) = solid.shape.along(axis.perp());
            c < high - 1.0 && d > low + 1.0
        })
        .map(|(_, solid)| solid.shape.along(axis))
        .collect();
    row.sort_by(|a, b| a.0.total_cmp(&b.0));
    row
}

/// By how much a thing from `low` to `high` would have to move for equal gaps in a row.
fn equal_gaps(row: &[(f64, f64)], low: f64, high: f64) -> Vec<f64> {
    let before: Vec<&(f64, f64)> = row.iter().filter(|(_, d)| *d <= low + 1.0).collect();
    let after: Vec<&(f64, f64)> = row.iter().filter(|(c, _)| *c >= high - 1.0).collect();
    let mut offs = Vec::new();
    if let (Some(left), Some(right)) = (before.last(), after.first()) {
        offs.push(((right.0 - high) - (low - left.1)) * 0.5);
    }
    if let [.., further, left] = before.as_slice() {
        offs.push(left.1 + (left.0 - further.1) - low);
    }
    if let [right, further, ..] = after.as_slice() {
        offs.push(right.0 - (further.0 - right.1) - high);
    }
    offs
}

/// Along one axis: end to end on either side, and both ends in line.
fn edge_pulls(mine: &Convex, other: &Convex, axis: Point) -> [Pull; 4] {
    let (a, b) = mine.along(axis);
    let (c, d) = other.along(axis);
    [c - b, d - a, c - a, d - b].map(|off| Pull { axis, off })
}

/// True where a side of the shape runs along the direction or across it.
fn parallel(shape: &Convex, direction: Point) -> bool {
    shape.sides().any(|(a, b)| {
        let side = (b - a).normalize_or_zero();
        side.perp_dot(direction).abs() < 1e-6 || side.dot(direction).abs() < 1e-6
    })
}

/// The distances from a thing to the nearest wall on each side it has one, as guides; at most one a wall direction.
pub(super) fn guides(layout: &Layout, body: &Convex) -> Vec<Guide> {
    let middle = body.middle();
    let mut found: Vec<Guide> = layout
        .walls()
        .filter_map(|wall| {
            let (near, _) = body.along(wall.inward);
            let base = wall.start.dot(wall.inward);
            let along = (middle - wall.start).dot(wall.along);
            if along < 0.0 || along > wall.length || near < base - 1.0 {
                return None;
            }
            let to = wall.point(along, 0.0);
            let distance = near - base;
            Some(Guide {
                wall: wall.number,
                from: to + wall.inward * distance,
                to,
                distance: Length::from_mm(distance),
                rests: distance.abs() < 0.5,
            })
        })
        .collect();
    found.sort_by_key(|guide| guide.distance);
    let mut kept: Vec<Guide> = Vec::new();
    for guide in found {
        let direction = (guide.from - guide.to).normalize_or_zero();
        let opposite = kept.iter().any(|g| {
            let d = (g.from - g.to).normalize_or_zero();
            d.perp_dot(direction).abs() < 1e-3
        });
        if !opposite {
            kept.push(guide);
        }
    }
    kept
}

/// The move that brings the outline to a distance from a wall; `None` where there is no such wall.
pub(super) fn to_distance(
    layout: &Layout,
    body: &Convex,
    wall: usize,
    distance: Length,
) -> Option<Point> {
    let wall = Wall::of(layout.room(), wall)?;
    let (near, _) = body.along(wall.inward);
    let off = wall.start.dot(wall.inward) + distance.mm() - near;
    Some(wall.inward * off)
}

#[cfg(test)]
mod tests {
    use super::equal_gaps;

    #[test]
    fn a_thing_is_drawn_to_the_middle_and_to_the_gap_of_its_neighbours() {
        // Two neighbours a metre apart on the left, one on the right.
        let row = [(0.0, 500.0), (1_500.0, 2_000.0), (5_000.0, 5_500.0)];
        let offs = equal_gaps(&row, 3_050.0, 3_550.0);
        // Middle: 1050 before and 1450 after, so 200 to the right; a metre's gap: 50 to the left.
        assert_eq!(offs, [200.0, -50.0]);
        assert!(equal_gaps(&[], 0.0, 1.0).is_empty());
    }
}
