//! The room: its outline, walls, ceiling, and how it lies on the sheet.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use super::place::is_default;
use super::{Diagonal, TapeWalk};
use crate::geometry::{Point, Polygon};
use crate::units::{Angle, Length};

/// The outline of the room as it was entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Outline {
    /// The corners anticlockwise as (x, y) from the origin of all places in the room, where the first corner stood when it was entered.
    Corners(Vec<(Length, Length)>),
    /// The walls one after another as taken with a tape; the corners are derived from them.
    TapeWalk(TapeWalk),
}

/// The rented room.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// The inner faces of the walls.
    pub outline: Outline,
    /// Height of the ceiling above the floor.
    pub ceiling: Length,
    /// Thickness of the walls, for the drawing.
    pub wall: Length,
    /// Walls of another thickness: (number of the wall, thickness).
    #[serde(default, skip_serializing_if = "is_default")]
    pub other_walls: Vec<(u16, Length)>,
    /// The corner that all dimensions of the sheet start from.
    #[serde(default, skip_serializing_if = "is_default")]
    pub datum: u16,
    /// Direction of north, anticlockwise from up the sheet.
    #[serde(default, skip_serializing_if = "is_default")]
    pub north: Angle,
    /// How far the tape may be wrong, either way.
    #[serde(default)]
    pub tape_tolerance: Option<Length>,
    /// Distances from corner to corner measured as a check; at most [`Diagonal::MOST`]. They move the corners of a tape walk, not
    /// corners that were entered.
    #[serde(default, skip_serializing_if = "is_default")]
    pub diagonals: Vec<Diagonal>,
    /// How a tape walk lies on the sheet; entered corners lie where they were entered.
    #[serde(default, skip_serializing_if = "is_default")]
    pub lies: Lies,
}

/// Where a tape walk lies on the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Lies {
    /// Right of the origin: where the first corner stands.
    #[serde(skip_serializing_if = "is_default")]
    pub x: Length,
    /// Up the sheet from the origin.
    #[serde(skip_serializing_if = "is_default")]
    pub y: Length,
    /// Anticlockwise turn about the first corner, from where a walk lies by itself.
    #[serde(skip_serializing_if = "is_default")]
    pub turn: Angle,
}

impl Lies {
    /// Where a point of the walk, begun at the origin, lies in the room, in millimetres.
    pub fn place(self, p: Point) -> Point {
        Point::new(self.x.mm(), self.y.mm()) + self.towards(p)
    }

    /// A direction of the walk as it is in the room.
    pub fn towards(self, direction: Point) -> Point {
        let (sin, cos) = self.turn.sin_cos();
        Point::new(cos, sin).rotate(direction)
    }
}

impl Room {
    /// The most corners a room may have.
    pub const CORNERS_MOST: usize = 2_000;

    /// A rectangular room, its lower left corner at the origin.
    pub fn rectangle(width: Length, length: Length, ceiling: Length, wall: Length) -> Self {
        let zero = Length::ZERO;
        Self {
            outline: Outline::Corners(vec![
                (zero, zero),
                (width, zero),
                (width, length),
                (zero, length),
            ]),
            ceiling,
            wall,
            other_walls: Vec::new(),
            datum: 0,
            north: Angle::default(),
            tape_tolerance: None,
            diagonals: Vec::new(),
            lies: Lies::default(),
        }
    }

    /// The corners anticlockwise: as they were entered, or as they follow from the tape walk and the diagonals.
    pub fn corners(&self) -> Cow<'_, [(Length, Length)]> {
        match &self.outline {
            Outline::Corners(corners) => corners.into(),
            Outline::TapeWalk(walk) => {
                walk.corners(&self.diagonals, self.tape_tolerance, self.lies)
            }
        }
    }

    /// The outline in millimetres; `None` below three corners.
    pub fn polygon(&self) -> Option<Polygon> {
        Polygon::new(
            self.corners()
                .iter()
                .map(|(x, y)| Point::new(x.mm(), y.mm()))
                .collect(),
        )
    }

    /// The number of walls.
    pub fn walls(&self) -> usize {
        match &self.outline {
            Outline::Corners(corners) => corners.len(),
            Outline::TapeWalk(walk) => walk.legs().len(),
        }
    }

    /// Thickness of wall `k`.
    pub fn wall_thickness(&self, k: usize) -> Length {
        self.other_walls
            .iter()
            .find(|(wall, _)| usize::from(*wall) == k)
            .map_or(self.wall, |(_, thickness)| *thickness)
    }

    /// The datum corner in millimetres; the origin where the number is out of range.
    pub fn datum_corner(&self) -> Point {
        self.corners()
            .get(usize::from(self.datum))
            .map_or(Point::ZERO, |(x, y)| Point::new(x.mm(), y.mm()))
    }

    /// The number that people call wall `k` by: its place in the order of entry, the first being 1. A walk to the right meets the
    /// walls in the other order.
    pub fn wall_number(&self, k: usize) -> usize {
        self.tape_walk().map_or(k, |walk| walk.wall_of_leg(k)) + 1
    }

    /// The number that people call corner `k` by, in the same way.
    pub fn corner_number(&self, k: usize) -> usize {
        self.tape_walk().map_or(k, |walk| walk.corner_of_leg(k)) + 1
    }

    /// A name for wall `k` from the way it looks out: "south wall" and so on, by the room's north; walls that look out the
    /// same way are told apart by their number.
    pub fn wall_name(&self, k: usize) -> String {
        let Some(polygon) = self.polygon() else {
            return format!("wall {k}");
        };
        let heading = |k: usize| {
            polygon.side(k).map(|(a, b)| {
                let out = -(b - a).normalize_or_zero().perp();
                compass_word(out, self.north)
            })
        };
        let Some(word) = heading(k) else {
            return format!("wall {k}");
        };
        let shared = (0..self.walls())
            .filter(|j| heading(*j) == Some(word))
            .count()
            > 1;
        if shared {
            format!("{word} wall {}", self.wall_number(k))
        } else {
            format!("{word} wall")
        }
    }
}

/// The nearest of the eight compass words for a direction on the sheet, in a room whose north is turned by `north`.
pub fn compass_word(direction: Point, north: Angle) -> &'static str {
    const WORDS: [&str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    let clockwise_from_up = 90.0 - direction.y.atan2(direction.x).to_degrees() + north.degrees();
    let nearest = (clockwise_from_up.rem_euclid(360.0) / 45.0)
        .round()
        .rem_euclid(8.0);
    WORDS
        .iter()
        .enumerate()
        .min_by(|(a, _), (b, _)| {
            (*a as f64 - nearest)
                .abs()
                .total_cmp(&(*b as f64 - nearest).abs())
        })
        .map_or("north", |(_, word)| word)
}
