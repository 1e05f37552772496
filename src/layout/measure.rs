//! What a tape would read on the floor: the gap between two things, how far a thing is clear on each of its sides, how far apart
//! two places are along the room and across it. Judges nothing.

use super::written::{out_of, spot_of};
use super::{Heights, Layout, Wall};
use crate::geometry::{Convex, Corridor, Point, TOLERANCE_MM, nearest_on_side};
use crate::plan::{Id, Spot};

/// The shortest way between two things.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Where it leaves the first.
    pub from: Point,
    /// Where it reaches the second; the same place where they touch or overlap.
    pub to: Point,
    /// From the middle of the one to the middle of the other, in millimetres.
    pub middles_mm: f64,
}

impl Gap {
    /// How long it is, in millimetres.
    pub fn mm(&self) -> f64 {
        self.from.distance(self.to)
    }
}

/// A side of a thing as seen by someone who stands before its front.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Before its front.
    Ahead,
    /// Behind its back.
    Behind,
}

impl Across {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Ahead, Self::Behind];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Ahead => "ahead",
            Self::Behind => "behind",
        }
    }

    fn spot(self) -> Spot {
        match self {
            Self::Left => Spot::Left,
            Self::Right => Spot::Right,
            Self::Ahead => Spot::Front,
            Self::Behind => Spot::Back,
        }
    }
}

/// What a tape that is let out square from a side first meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Met {
    /// A thing.
    Thing(Id),
    /// The wall of that number.
    Wall(usize),
}

/// How far a thing is clear on one side, over its whole breadth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clear {
    /// The side.
    pub side: Across,
    /// The middle of the side.
    pub from: Point,
    /// As far straight out as it is clear.
    pub to: Point,
    /// What stands there.
    pub met: Met,
}

impl Clear {
    /// How far, in millimetres.
    pub fn mm(&self) -> f64 {
        self.from.distance(self.to)
    }
}

impl Layout {
    /// The shortest way between two things; of several as short, one that leaves the middle of a side.
    pub fn gap(&self, first: Id, second: Id) -> Option<Gap> {
        let (a, b) = (self.outline(first)?, self.outline(second)?);
        let middles_mm = a.middle().distance(b.middle());
        if a.overlaps(&b) {
            let at = (a.middle() + b.middle()) * 0.5;
            return Some(Gap {
                from: at,
                to: at,
                middles_mm,
            });
        }
        let back = ways(&b, &a).into_iter().map(|(from, to)| (to, from));
        let all: Vec<(Point, Point)> = ways(&a, &b).into_iter().chain(back).collect();
        let least = all
            .iter()
            .map(|(from, to)| from.distance(*to))
            .fold(f64::INFINITY, f64::min);
        let (from, to) = all
            .into_iter()
            .find(|(from, to)| from.distance(*to) <= least + TOLERANCE_MM)?;
        Some(Gap {
            from,
            to,
            middles_mm,
        })
    }

    /// How far a thing is clear on its four sides, up to what stands at its own height; a side that looks at nothing is left out.
    pub fn clear_around(&self, id: Id) -> Vec<Clear> {
        let Some(frame) = self.frame(id) else {
            return Vec::new();
        };
        let heights = self
            .part(id)
            .and_then(|p| p.solid.as_ref())
            .map(|s| s.heights);
        let sides = Across::ALL.into_iter();
        sides
            .filter_map(|side| {
                let breadth = match side {
                    Across::Ahead | Across::Behind => frame.width(),
                    Across::Left | Across::Right => frame.depth(),
                };
                let face = Corridor {
                    origin: spot_of(&frame, side.spot()),
                    forward: out_of(&frame, side.spot()),
                    half_width: (breadth * 0.5).max(1.0),
                };
                let (met, far) = self.first_met(id, heights, &face)?;
                Some(Clear {
                    side,
                    from: face.origin,
                    to: face.origin + face.forward * far,
                    met,
                })
            })
            .collect()
    }

    fn first_met(&self, id: Id, heights: Option<Heights>, face: &Corridor) -> Option<(Met, f64)> {
        let at_height = |other: Heights| heights.is_none_or(|own| own.overlap(other));
        let things = self
            .solids()
            .filter(|(part, solid)| part.id != id && at_height(solid.heights))
            .filter_map(|(part, solid)| {
                Some((Met::Thing(part.id), face.free_before(&solid.shape)?))
            });
        let walls = self.walls().filter_map(|wall| {
            let line = Convex::line(wall.start, wall.point(wall.length, 0.0));
            Some((Met::Wall(wall.number), before_wall(face, &wall, &line)?))
        });
        walls.chain(things).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The outline of a thing on the floor; a line or a point for what has no depth.
    fn outline(&self, id: Id) -> Option<Convex> {
        let part = self.part(id)?;
        if let Some(solid) = &part.solid {
            return Some(solid.shape.clone());
        }
        if let Some(zone) = &part.zone {
            return Some(zone.shape.clone());
        }
        let frame = self.frame(id)?;
        let half = frame.width() * 0.5;
        Some(Convex::line(frame.at(-half, 0.0), frame.at(half, 0.0)))
    }

    /// How far two places are apart along the room's longest wall and across it, in millimetres.
    pub fn along_and_across(&self, from: Point, to: Point) -> (f64, f64) {
        let along = self.main_direction();
        let way = to - from;
        (way.dot(along).abs(), way.dot(along.perp()).abs())
    }
}

/// How far ahead of a face a wall that looks back at it stands.
fn before_wall(face: &Corridor, wall: &Wall, line: &Convex) -> Option<f64> {
    let looks_back = wall.inward.dot(face.forward) < -1e-9;
    looks_back.then(|| face.free_before(line)).flatten()
}

/// The ways from the middles of one shape's sides, then from its corners, each to the nearest place of the other's sides.
fn ways(from: &Convex, to: &Convex) -> Vec<(Point, Point)> {
    let middles = from.sides().map(|(a, b)| (a + b) * 0.5);
    let starts = middles.chain(from.points().iter().copied());
    starts
        .flat_map(|start| {
            to.sides()
                .map(move |(a, b)| (start, nearest_on_side(start, a, b)))
                .collect::<Vec<_>>()
        })
        .collect()
}
