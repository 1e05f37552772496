//! Dimensions that a person keeps in the plan, and the ends that they and the pointers of notes run to. Says what an end is
//! fastened to; where that is on the floor is the layout's to say.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Id, Presence, WallPlace};
use crate::stock::Face;
use crate::units::Length;

/// A place on a thing, as seen by someone who stands before its front.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Spot {
    /// Its middle.
    Middle,
    /// The middle of its front.
    Front,
    /// The middle of its back.
    Back,
    /// The middle of its left side.
    Left,
    /// The middle of its right side.
    Right,
    /// The left corner of its front.
    FrontLeft,
    /// The right corner of its front.
    FrontRight,
    /// The left corner of its back.
    BackLeft,
    /// The right corner of its back.
    BackRight,
}

impl Spot {
    /// All of them: the middles of sides first, then corners, then the middle.
    pub const ALL: [Self; 9] = [
        Self::Front,
        Self::Back,
        Self::Left,
        Self::Right,
        Self::FrontLeft,
        Self::FrontRight,
        Self::BackLeft,
        Self::BackRight,
        Self::Middle,
    ];

    /// Which way it lies from the middle: (to the right, to the back), each -1, 0 or 1.
    pub fn sides(self) -> (f64, f64) {
        match self {
            Self::Middle => (0.0, 0.0),
            Self::Front => (0.0, -1.0),
            Self::Back => (0.0, 1.0),
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::FrontLeft => (-1.0, -1.0),
            Self::FrontRight => (1.0, -1.0),
            Self::BackLeft => (-1.0, 1.0),
            Self::BackRight => (1.0, 1.0),
        }
    }

    /// As it is called.
    pub fn word(self) -> &'static str {
        match self {
            Self::Middle => "middle",
            Self::Front => "front",
            Self::Back => "back",
            Self::Left => "left side",
            Self::Right => "right side",
            Self::FrontLeft => "front left corner",
            Self::FrontRight => "front right corner",
            Self::BackLeft => "back left corner",
            Self::BackRight => "back right corner",
        }
    }
}

/// The middle of a side.
impl From<Face> for Spot {
    fn from(side: Face) -> Self {
        match side {
            Face::Front => Self::Front,
            Face::Back => Self::Back,
            Face::Left => Self::Left,
            Face::Right => Self::Right,
        }
    }
}

/// Where a dimension or a pointer ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum End {
    /// At a point of the floor, right of and up the sheet from the first corner of the room; fastened to nothing.
    Point(Length, Length),
    /// At a place on a thing, with which it moves and turns.
    Of(Id, Spot),
    /// At a point of a wall's inner face; at no distance along, that is the corner which the wall begins at. Held at the wall's
    /// other corner where the wall is shorter.
    Wall(WallPlace),
    /// On the line of a thing's side, square across from the other end.
    SquareTo(Id, Face),
    /// On the inner face of the wall of that number, square across from the other end.
    SquareToWall(u16),
}

impl End {
    /// The thing that it is fastened to.
    pub fn thing(self) -> Option<Id> {
        match self {
            Self::Of(id, _) | Self::SquareTo(id, _) => Some(id),
            Self::Point(..) | Self::Wall(_) | Self::SquareToWall(_) => None,
        }
    }

    /// The wall that it is fastened to.
    pub fn wall(self) -> Option<u16> {
        match self {
            Self::Wall(at) => Some(at.wall),
            Self::SquareToWall(wall) => Some(wall),
            Self::Point(..) | Self::Of(..) | Self::SquareTo(..) => None,
        }
    }

    /// True where its place depends on the other end.
    pub fn is_square(self) -> bool {
        matches!(self, Self::SquareTo(..) | Self::SquareToWall(_))
    }

    /// The same end where a free point goes along by (x, y).
    #[must_use]
    pub fn moved(self, dx: Length, dy: Length) -> Self {
        match self {
            Self::Point(x, y) => Self::Point(x + dx, y + dy),
            Self::Of(..) | Self::Wall(_) | Self::SquareTo(..) | Self::SquareToWall(_) => self,
        }
    }

    /// The same end on the thing that `now` gives for the one it is fastened to.
    #[must_use]
    pub fn on(self, now: impl Fn(Id) -> Id) -> Self {
        match self {
            Self::Of(id, spot) => Self::Of(now(id), spot),
            Self::SquareTo(id, side) => Self::SquareTo(now(id), side),
            Self::Point(..) | Self::Wall(_) | Self::SquareToWall(_) => self,
        }
    }
}

/// A dimension: the distance between two ends, written along a line beside them. It has no body. It goes with the thing or the
/// wall that an end is fastened to: where that is taken away, so is the dimension, in the same step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dimension {
    /// Where it begins.
    pub from: End,
    /// Where it ends.
    pub to: End,
    /// How far the line stands off the ends: to the left of the way from the first to the second where above nothing.
    #[serde(default, skip_serializing_if = "is_default")]
    pub offset: Length,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}

impl Dimension {
    /// Both ends.
    pub fn ends(&self) -> [End; 2] {
        [self.from, self.to]
    }

    /// The same with each end made anew.
    #[must_use]
    pub fn with_ends(&self, make: impl Fn(End) -> End) -> Self {
        Self {
            from: make(self.from),
            to: make(self.to),
            ..self.clone()
        }
    }

    /// The same with its free points moved by (x, y); what is fastened stays with what it is fastened to.
    #[must_use]
    pub fn moved(&self, dx: Length, dy: Length) -> Self {
        self.with_ends(|end| end.moved(dx, dy))
    }
}
