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
