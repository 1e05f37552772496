//! Where the ends of dimensions and pointers are on the floor, and what a place on the floor can be fastened to. Derives and
//! judges nothing else.

use super::part::Ground;
use super::{Layout, Part, Wall};
use crate::geometry::{Oblong, Point, TOLERANCE_MM};
use crate::plan::{End, Id, Item, Spot, WallPlace};
use crate::stock::Face;
use crate::units::Length;

/// The sides of a thing.
const SIDES: [Face; 4] = [Face::Front, Face::Back, Face::Left, Face::Right];

/// A dimension as it lies on the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// What is measured: from where to where.
    pub ends: (Point, Point),
    /// The line beside it, along which the distance is written.
    pub line: (Point, Point),
}

impl Measured {
    /// The dimension between two ends whose line stands off to the left of the way from the first to the second.
    pub(super) fn new(ends: (Point, Point), offset_mm: f64) -> Self {
        let off = Self::left_of(ends) * offset_mm;
        Self {
            ends,
            line: (ends.0 + off, ends.1 + off),
        }
    }

    /// The unit vector to the left of the way from one end to the other; up the sheet where they are one place.
    pub fn left_of((from, to): (Point, Point)) -> Point {
        let along = (to - from).normalize_or_zero();
        if along == Point::ZERO {
            Point::Y
        } else {
            along.perp()
        }
    }

    /// The middle of the line.
    pub fn middle(&self) -> Point {
        (self.line.0 + self.line.1) * 0.5
    }

    /// What is measured, in millimetres.
    pub fn length_mm(&self) -> f64 {
        self.ends.0.distance(self.ends.1)
    }
}

impl Ground<'_> {
    /// Where two ends are; `None` where what one is fastened to is not there in the phase.
    pub(super) fn ends(self, from: End, to: End) -> Option<(Point, Point)> {
        if from.is_square() {
            // Two ends that wait for each other are nowhere.
            let (to, from) = (!to.is_square()).then(|| self.ends(to, from))??;
            return Some((from, to));
        }
        let start = self.held(from)?;
        let end = match to {
            End::SquareTo(id, side) => {
                let frame = self.frame(id)?;
                let out = out_of(&frame, side.into());
                let on = spot_of(&frame, side.into());
                start + out * (on - start).dot(out)
            }
            End::SquareToWall(wall) => {
                let wall = Wall::of(self.room, usize::from(wall))?;
                start - wall.inward * (start - wall.start).dot(wall.inward)
            }
            End::Point(..) | End::Of(..) | End::Wall(_) => self.held(to)?,
        };
        Some((start, end))
    }

    /// Where the pointer of a note ends: at a thing as a whole it stops at its edge, so that it hides no mark.
    pub(super) fn pointed(self, at: (Length, Length), end: End) -> Option<Point> {
        let (from, to) = self.ends(End::Point(at.0, at.1), end)?;
        let End::Of(id, Spot::Middle) = end else {
            return Some(to);
        };
        let frame = self.frame(id)?;
        let way = from - to;
        let (x, y) = (way.dot(frame.across()).abs(), way.dot(frame.up()).abs());
        let share = |half: f64, off: f64| if off > 0.0 { half / off } else { f64::INFINITY };
        let out = share(frame.width() * 0.5, x).min(share(frame.depth() * 0.5, y));
        Some(to + way * out.min(1.0))
    }

    /// The place of an end that does not depend on the other.
    fn held(self, end: End) -> Option<Point> {
        match end {
            End::Point(x, y) => Some(Point::new(x.mm(), y.mm())),
            End::Of(id, spot) => Some(spot_of(&self.frame(id)?, spot)),
            End::Wall(at) => {
                let wall = Wall::at(self.room, at)?;
                Some(wall.point(at.along.mm().min(wall.length), 0.0))
            }
            End::SquareTo(..) | End::SquareToWall(_) => None,
        }
    }

    /// The rectangle that a thing takes on the floor, an opening without depth and a small thing without size; `None` where it
    /// is not there in the phase.
    fn frame(self, id: Id) -> Option<Oblong> {
        let item = self.plan.items().get(id)?;
        if item.kind().is_written() || !item.presence().holds_in(self.phase) {
            return None;
        }
        let part = Part::of(self, id, item, &[])?;
        Some(frame_of(self, item, &part))
    }
}

fn frame_of(ground: Ground<'_>, item: &Item, part: &Part) -> Oblong {
    if let Some(solid) = &part.solid {
        return solid.oblong;
    }
    if let Item::Zone(zone) = item {
        return zone.at.oblong(zone.width, zone.depth);
    }
    let on_wall = item.wall_place().and_then(|at| {
        let wall = Wall::at(ground.room, at)?;
        Some(wall.oblong(at.along, item.wall_width(ground.stock), Length::ZERO))
    });
    on_wall.unwrap_or_else(|| Oblong::new(part.spot, 0.0, 0.0, (0.0, 1.0)))
}

/// The way out of a rectangle at the middle of a side.
pub(super) fn out_of(frame: &Oblong, side: Spot) -> Point {
    let (dx, dy) = side.sides();
    frame.across() * dx + frame.up() * dy
}

pub(super) fn spot_of(frame: &Oblong, spot: Spot) -> Point {
    let (dx, dy) = spot.sides();
    frame.at(dx * frame.width() * 0.5, dy * frame.depth() * 0.5)
}

impl Layout {
    /// Where two ends are in the phase on show; `None` where what one is fastened to is not there.
    pub fn ends(&self, from: End, to: End) -> Option<(Point, Point)> {
        self.ground().ends(from, to)
    }

    /// The rectangle that a thing takes on the floor; `None` for what is only written there.
    pub fn frame(&self, id: Id) -> Option<Oblong> {
        let part = self.part(id).filter(|part| !part.kind.is_written())?;
        let item = self.plan().items().get(id)?;
        Some(frame_of(self.ground(), item, part))
    }

    /// Where one end is, if that does not depend on another.
    pub fn end_at(&self, end: End) -> Option<Point> {
        self.ground().held(end)
    }

    /// A free end at a place, to the stored step of lengths.
    pub fn free_end(at: Point) -> End {
        End::Point(Length::from_mm(at.x), Length::from_mm(at.y))
    }

    /// The places that an end can be fastened to: of every thing that is there its corners, the middles of its sides and its
    /// middle, and of every wall the corner it begins at.
    pub fn anchors(&self) -> Vec<(End, Point)> {
        let things = self.parts().filter(|p| !p.kind.is_written());
        let on_things = things.flat_map(|part| {
            let item = self.plan().items().get(part.id);
            let frame = item.map(|item| frame_of(self.ground(), item, part));
            let id = part.id;
            frame.into_iter().flat_map(move |frame| {
                let spots = Spot::ALL.into_iter();
                spots.map(move |spot| (End::Of(id, spot), spot_of(&frame, spot)))
            })
        });
        let corners = self.walls().filter_map(|wall| {
            let number = u16::try_from(wall.number).ok()?;
            let at = WallPlace::new(number, Length::ZERO);
            Some((End::Wall(at), wall.start))
        });
        corners.chain(on_things).collect()
    }

    /// The sides that an end can lie on square across from another: of every thing that is there, and of every wall.
    pub fn edges(&self) -> Vec<(End, (Point, Point))> {
        let things = self.parts().filter(|p| !p.kind.is_written());
        let of_things = things.flat_map(|part| {
            let id = part.id;
            let sides = part.solid.as_ref().map(|solid| solid.oblong);
            sides.into_iter().flat_map(move |frame| {
                SIDES.map(|side| {
                    let (a, b) = match side {
                        Face::Front => (Spot::FrontLeft, Spot::FrontRight),
                        Face::Back => (Spot::BackLeft, Spot::BackRight),
                        Face::Left => (Spot::FrontLeft, Spot::BackLeft),
                        Face::Right => (Spot::FrontRight, Spot::BackRight),
                    };
                    let ends = (spot_of(&frame, a), spot_of(&frame, b));
                    (End::SquareTo(id, side), ends)
                })
            })
        });
        let of_walls = self.walls().filter_map(|wall| {
            let number = u16::try_from(wall.number).ok()?;
            let ends = (wall.start, wall.point(wall.length, 0.0));
            Some((End::SquareToWall(number), ends))
        });
        of_walls.chain(of_things).collect()
    }

    /// What ends at two places are best fastened to, each to that thing alone where one is named: a place on a thing or a corner
    /// of the room, the side of a thing or a wall that lies square across, a point of a wall; else nothing.
    pub fn fastened(
        &self,
        (from, from_on): (Point, Option<Id>),
        (to, to_on): (Point, Option<Id>),
    ) -> (End, End) {
        let anchors = self.anchors();
        let is_on = |end: End, on: Option<Id>| on.is_none() || end.thing() == on;
        let anchored = |at: Point, on: Option<Id>| {
            let near = |p: Point| p.distance(at) <= TOLERANCE_MM;
            let here = anchors.iter().find(|(end, p)| near(*p) && is_on(*end, on));
            here.map(|(end, _)| *end)
        };
        let squared = |start: End, at: Point, on: Option<Id>| {
            let edges = self.edges().into_iter().map(|(end, _)| end);
            let mut right = edges.filter(|end| is_on(*end, on));
            right.find(|end| {
                let there = self.ends(start, *end);
                there.is_some_and(|(_, p)| p.distance(at) <= TOLERANCE_MM)
            })
        };
        let loose = |at: Point| self.point_of_wall(at).unwrap_or_else(|| Self::free_end(at));
        match (anchored(from, from_on), anchored(to, to_on)) {
            (Some(from), Some(to)) => (from, to),
            (Some(start), None) => {
                let end = squared(start, to, to_on);
                (start, end.unwrap_or_else(|| loose(to)))
            }
            (None, Some(start)) => {
                let end = squared(start, from, from_on);
                (end.unwrap_or_else(|| loose(from)), start)
            }
            (None, None) => (loose(from), loose(to)),
        }
    }

    /// The end on the wall whose inner face a place lies on.
    fn point_of_wall(&self, at: Point) -> Option<End> {
        self.walls().find_map(|wall| {
            let along = (at - wall.start).dot(wall.along);
            let off = (at - wall.start).dot(wall.inward).abs();
            let on = off <= TOLERANCE_MM && along >= 0.0 && along <= wall.length;
            let number = u16::try_from(wall.number).ok().filter(|_| on)?;
            let place = WallPlace::new(number, Length::from_mm(along));
            Some(End::Wall(place))
        })
    }
}
