//! A tape walk: the room wall by wall as it was measured, kept as entered even where it does not close. Its corners are derived
//! and never stored. Which leg may be mistyped is `slip`'s to say, how well all measurements agree `survey`'s.

use std::fmt;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::survey::{self, Derived};
use super::{Basis, Diagonal, Lies, Room};
use crate::geometry::traverse::{self, Closure};
use crate::geometry::{Point, Polygon};
use crate::units::{Angle, Length, Turn};

/// One wall of a walk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// Length of the wall.
    pub length: Length,
    /// The turn at its end onto the next wall; that of the last wall, onto the first, may be left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn: Option<Turn>,
}

/// The walls one after another, all round the room, as one walks with the tape: keeping to the left turn by turn or to the right.
/// A walk that turns left starts along the bottom of the sheet to the right; one that turns right starts up its left side.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub struct TapeWalk {
    legs: Vec<Leg>,
    /// The corners as they came out last, with what they came from.
    #[serde(skip)]
    derived: OnceLock<Derived>,
}

impl TapeWalk {
    /// A walk of these legs.
    pub fn new(legs: Vec<Leg>) -> Self {
        Self {
            legs,
            derived: OnceLock::new(),
        }
    }

    /// The walk round corners that stand anticlockwise, from the first corner. Where it lies is told by [`Room::as_walked`].
    pub fn round(corners: &[(Length, Length)]) -> Self {
        let points: Vec<Point> = corners
            .iter()
            .map(|(x, y)| Point::new(x.mm(), y.mm()))
            .collect();
        let after = points.iter().cycle().skip(1);
        let sides: Vec<Point> = points.iter().zip(after).map(|(a, b)| *b - *a).collect();
        let next = sides.iter().cycle().skip(1);
        let legs = sides.iter().zip(next).map(|(side, next)| {
            let turn = libm::atan2(side.perp_dot(*next), side.dot(*next)).to_degrees();
            Leg {
                length: Length::from_mm(side.length()),
                turn: Some(Turn::left_by(turn)),
            }
        });
        Self::new(legs.collect())
    }

    /// The legs in the order they were walked.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// The walk with another leg in place of number `k`, the first being 0; the same where there is none.
    #[must_use]
    pub fn with_leg(&self, k: usize, leg: Leg) -> Self {
        let mut legs = self.legs.clone();
        if let Some(old) = legs.get_mut(k) {
            *old = leg;
        }
        Self::new(legs)
    }

    /// True where the walk goes round anticlockwise, turning left more than right.
    pub fn goes_left(&self) -> bool {
        let turned: f64 = self.turns_deg().sum();
        if turned.abs() > 0.5 {
            return turned > 0.0;
        }
        let from_bottom = traverse::courses(0.0, &self.traverse());
        let outline = Polygon::new(corner_points(&traverse::compass_rule(&from_bottom)));
        outline.is_none_or(|p| p.area() >= 0.0)
    }

    /// The corner of the room, in the order of [`Room::corners`], where leg `k` starts; of a walk to the right the corners stand
    /// in the other order.
    pub fn corner_of_leg(&self, k: usize) -> usize {
        let legs = self.legs.len().max(1);
        if self.goes_left() {
            k
        } else {
            (legs - k % legs) % legs
        }
    }

    /// The wall of the room that leg `k` is, and the leg that wall `k` is.
    pub fn wall_of_leg(&self, k: usize) -> usize {
        if self.goes_left() {
            k
        } else {
            (self.legs.len().max(1) - 1).saturating_sub(k)
        }
    }

    /// By how much the walk misses its start, as entered.
    pub fn closure(&self) -> Closure {
        traverse::closure(&self.courses())
    }

    /// The interior angles less (n - 2) · 180 degrees; `None` where a turn was not noted.
    pub fn angular_misclosure_deg(&self) -> Option<f64> {
        let all_noted = self.legs.iter().all(|leg| leg.turn.is_some());
        let turns: Vec<f64> = self.turns_deg().collect();
        (all_noted && !turns.is_empty()).then(|| traverse::angular_misclosure_deg(&turns))
    }

    /// Where the walk leads as entered, from the origin: where each leg starts and where the last one ends, in millimetres.
    pub fn stations(&self) -> Vec<Point> {
        traverse::stations(Point::ZERO, &self.courses())
    }

    /// True where every turn is a quarter, or straight on.
    pub fn is_square(&self) -> bool {
        self.legs.iter().all(|leg| {
            let turn = leg.turn.unwrap_or(Turn::LEFT);
            [Turn::LEFT, Turn::RIGHT, Turn::STRAIGHT].contains(&turn)
        })
    }

    /// The corners in walking order with the closure shared out, in millimetres, and by which rule. Where every turn is square only
    /// the lengths give way (Crandall's rule), so that the walls stay square; else each leg gives way by its length (the compass
    /// rule), and the whole is turned so that the first wall keeps its direction.
    pub(super) fn closed(&self) -> (Vec<Point>, Basis) {
        let courses = self.courses();
        if self.is_square()
            && let Some(held) = traverse::directions_held(&courses)
        {
            return (corner_points(&held), Basis::Square);
        }
        let shared = corner_points(&traverse::compass_rule(&courses));
        let laid = traverse::laid_along(&shared, self.first_deg());
        (laid, Basis::CompassRule)
    }

    /// The corners of the room anticlockwise, to the nearest 1/320 mm, the first where the walk begins.
    pub(super) fn corners(
        &self,
        diagonals: &[Diagonal],
        tolerance: Option<Length>,
        lies: Lies,
    ) -> std::borrow::Cow<'_, [(Length, Length)]> {
        let derived = self
            .derived
            .get_or_init(|| survey::derive(self, diagonals, tolerance, lies));
        if derived.is_from(diagonals, tolerance, lies) {
            return (&derived.corners).into();
        }
        // Someone changed the diagonals of a room whose walk was asked before.
        survey::derive(self, diagonals, tolerance, lies)
            .corners
            .into()
    }

    /// Corners in walking order put into the room's order and units.
    pub(super) fn in_room_order(&self, stations: &[Point], lies: Lies) -> Vec<(Length, Length)> {
        let mut corners: Vec<(Length, Length)> = stations
            .iter()
            .map(|p| lies.place(*p))
            .map(|p| (Length::from_mm(p.x), Length::from_mm(p.y)))
            .collect();
        if !self.goes_left()
            && let Some(others) = corners.get_mut(1..)
        {
            others.reverse();
        }
        corners
    }

    /// The heading of the first leg: along the bottom, or up the left side.
    pub(super) fn first_deg(&self) -> f64 {
        if self.goes_left() { 0.0 } else { 90.0 }
    }

    fn courses(&self) -> Vec<Point> {
        traverse::courses(self.first_deg(), &self.traverse())
    }

    fn traverse(&self) -> Vec<traverse::Leg> {
        self.legs
            .iter()
            .map(|leg| traverse::Leg {
                length_mm: leg.length.mm(),
                turn_deg: leg.turn.map_or(0.0, Turn::degrees),
            })
            .collect()
    }

    fn turns_deg(&self) -> impl Iterator<Item = f64> + '_ {
        self.legs
            .iter()
            .filter_map(|leg| leg.turn.map(Turn::degrees))
    }

    /// What is wrong with the legs themselves, in a sentence each.
    pub(super) fn faults(&self) -> Vec<String> {
        let last = self.legs.len().saturating_sub(1);
        let mut faults = Vec::new();
        for (k, leg) in self.legs.iter().enumerate() {
            let wall = k + 1;
            if leg.length.mm() < 1.0 || leg.length.mm() > Self::LONGEST_MM {
                faults.push(format!(
                    "wall {wall} of the walk must be 1 mm to {} m long",
                    Self::LONGEST_MM / 1000.0
                ));
            }
            match leg.turn {
                None if k < last => faults.push(format!(
                    "the turn after wall {wall} of the walk is missing; write left, right or right 45deg"
                )),
                Some(turn) if turn.degrees().abs() > 179.9 => faults.push(format!(
                    "after wall {wall} the walk turns back on itself; turn by less than 180 degrees"
                )),
                Some(_) | None => {}
            }
        }
        faults
    }

    /// The longest wall.
    const LONGEST_MM: f64 = 100_000.0;
}

/// Where each course starts; where the last one ends is the start again.
fn corner_points(courses: &[Point]) -> Vec<Point> {
    let mut points = traverse::stations(Point::ZERO, courses);
    points.pop();
    points
}

impl Clone for TapeWalk {
    /// The copy derives its corners anew: whoever copies a room may be about to change what they come from.
    fn clone(&self) -> Self {
        Self::new(self.legs.clone())
    }
}

impl PartialEq for TapeWalk {
    fn eq(&self, other: &Self) -> bool {
        self.legs == other.legs
    }
}

impl Eq for TapeWalk {}

impl fmt::Debug for TapeWalk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("TapeWalk").field(&self.legs).finish()
    }
}

impl Room {
    /// The same room as a tape walk round its corners, which stay where they are: to the nearest 1/1000 degree for each turn.
    /// Diagonals count the corners alike. The same room where it is a walk already.
    #[must_use]
    pub fn as_walked(&self) -> Self {
        let super::Outline::Corners(corners) = &self.outline else {
            return self.clone();
        };
        let walk = TapeWalk::round(corners);
        let first = self.polygon().and_then(|p| p.side(0));
        let along = first.map_or(Point::X, |(a, b)| b - a);
        let deg = libm::atan2(along.y, along.x).to_degrees() - walk.first_deg();
        let (x, y) = corners.first().copied().unwrap_or_default();
        Self {
            outline: super::Outline::TapeWalk(walk),
            lies: Lies {
                x,
                y,
                turn: Angle::from_degrees(deg),
            },
            ..self.clone()
        }
    }

    /// The walk that the room was entered as, if it was.
    pub fn tape_walk(&self) -> Option<&TapeWalk> {
        match &self.outline {
            super::Outline::TapeWalk(walk) => Some(walk),
            super::Outline::Corners(_) => None,
        }
    }
}
