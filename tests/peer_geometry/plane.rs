//! Shapes of the peer library and what is measured between them. Knows nothing of plans, and nothing of our own geometry.

use aislewright::units::Length;
use geo::{
    Area as _, BooleanOps as _, Contains as _, ConvexHull as _, Coord, Distance as _, Euclidean,
    Length as _, LineString, MultiPoint, MultiPolygon, Point, Polygon,
};

/// A stored length in millimetres: a whole number of 1/320 mm.
pub(crate) fn mm(length: Length) -> f64 {
    f64::from(i32::try_from(length.units()).expect("the scenes are some metres wide")) / 320.0
}

pub(crate) fn polygon(corners: &[Coord]) -> Polygon {
    Polygon::new(LineString::from(corners.to_vec()), Vec::new())
}

pub(crate) fn corners_of(shape: &Polygon) -> Vec<Coord> {
    let ring = shape.exterior();
    ring.0.iter().skip(1).copied().collect()
}

/// Directions of one's own on the floor: a place, a unit vector along and one to the left of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub(crate) origin: Coord,
    pub(crate) along: Coord,
}

impl Frame {
    pub(crate) fn at(&self, x: f64, y: f64) -> Coord {
        let left = Coord {
            x: -self.along.y,
            y: self.along.x,
        };
        self.origin + self.along * x + left * y
    }

    /// A place in these directions.
    pub(crate) fn local(&self, p: Coord) -> (f64, f64) {
        let d = p - self.origin;
        (
            d.x * self.along.x + d.y * self.along.y,
            d.y * self.along.x - d.x * self.along.y,
        )
    }

    pub(crate) fn rectangle(&self, x: (f64, f64), y: (f64, f64)) -> Polygon {
        polygon(&[
            self.at(x.0, y.0),
            self.at(x.1, y.0),
            self.at(x.1, y.1),
            self.at(x.0, y.1),
        ])
    }

    /// From where to where a shape goes along these directions, and to their left.
    pub(crate) fn extent(&self, corners: &[Coord]) -> ((f64, f64), (f64, f64)) {
        let nothing = (f64::INFINITY, f64::NEG_INFINITY);
        corners
            .iter()
            .map(|c| self.local(*c))
            .fold((nothing, nothing), |(x, y), (px, py)| {
                ((x.0.min(px), x.1.max(px)), (y.0.min(py), y.1.max(py)))
            })
    }
}

/// How far two convex shapes (or lines) are apart; below zero, the shortest slide that parts them. All differences of two
/// points fill a convex shape, and the shapes meet where that holds the origin.
pub(crate) fn apart(first: &[Coord], second: &[Coord]) -> f64 {
    let differences: Vec<Point> = first
        .iter()
        .flat_map(|a| second.iter().map(|b| Point::from(*a - *b)))
        .collect();
    let hull = MultiPoint::new(differences).convex_hull();
    let origin = Point::new(0.0, 0.0);
    let distance = Euclidean.distance(&origin, hull.exterior());
    if hull.contains(&origin) {
        -distance
    } else {
        distance
    }
}

/// The quarter of a disc round `hinge` from one direction to another square to it, cut into chords that stand off the arc by
/// less than 0.002 mm.
pub(crate) fn quarter(hinge: Coord, radius: f64, from: Coord, to: Coord) -> Vec<Coord> {
    let most = 2.0 * (1.0_f64 - 0.002 / radius).acos();
    let chords = (1..4096_u16)
        .find(|n| std::f64::consts::FRAC_PI_2 / f64::from(*n) < most)
        .expect("a door is no kilometre wide");
    let arc = (0..=chords).map(|k| {
        let angle = std::f64::consts::FRAC_PI_2 * f64::from(k) / f64::from(chords);
        hinge + from * (radius * angle.cos()) + to * (radius * angle.sin())
    });
    std::iter::once(hinge).chain(arc).collect()
}

/// The corners of what two shapes have in common.
pub(crate) fn common_corners(first: &Polygon, second: &Polygon) -> Vec<Coord> {
    all_corners(&first.intersection(second))
}

/// The corners of what of the first lies outside the second.
pub(crate) fn corners_outside(first: &Polygon, second: &Polygon) -> Vec<Coord> {
    all_corners(&first.difference(second))
}

/// The overlays of the peer round to a grid; what comes out thinner than its steps is nothing.
fn all_corners(shapes: &MultiPolygon) -> Vec<Coord> {
    let width = |shape: &Polygon| 2.0 * shape.unsigned_area() / Euclidean.length(shape.exterior());
    let parts = shapes.iter().filter(|shape| width(shape) > 0.000_5);
    parts.flat_map(corners_of).collect()
}

/// How deep a shape reaches out of the floor: the farthest that a corner of the part outside, or the middle of one of its sides,
/// lies from the floor, or, where walls reach into the shape, from the shape's edge.
pub(crate) fn depth_outside(shape: &Polygon, floor: &Polygon) -> f64 {
    let outside = shape.difference(floor);
    let sides = outside.iter().flat_map(|part| part.exterior().lines());
    sides
        .flat_map(|side| [side.start, (side.start + side.end) / 2.0])
        .map(Point::from)
        .map(|p| {
            let from_floor = Euclidean.distance(&p, floor);
            from_floor.max(Euclidean.distance(&p, shape.exterior()))
        })
        .fold(0.0, f64::max)
}
