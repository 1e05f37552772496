//! Where a thing stands and when it is there.

use serde::{Deserialize, Serialize};

use super::{Id, Label, PhaseNo};
use crate::geometry::{Oblong, Point};
use crate::units::{Angle, Length};

/// A place on the floor: the lower left corner of the unturned body, and a turn about the body's centre.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pose {
    /// Right of the first corner of the room.
    pub x: Length,
    /// Up the sheet from the first corner of the room.
    pub y: Length,
    /// Anticlockwise turn about the centre; at 0 the front looks down the sheet.
    #[serde(default, skip_serializing_if = "is_default")]
    pub turn: Angle,
}

impl Pose {
    /// The rectangle of that size at this place.
    pub fn oblong(&self, width: Length, depth: Length) -> Oblong {
        let (w, d) = (width.mm(), depth.mm());
        let centre = Point::new(self.x.mm() + w * 0.5, self.y.mm() + d * 0.5);
        Oblong::new(centre, w, d, self.turn.sin_cos())
    }

    /// The same place moved by `(dx, dy)`.
    #[must_use]
    pub fn moved(&self, dx: Length, dy: Length) -> Self {
        Self {
            x: self.x + dx,
            y: self.y + dy,
            turn: self.turn,
        }
    }
}

/// The corner of a wall that a measure is kept from when the wall grows or shrinks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum WallEnd {
    /// The wall's first corner.
    #[default]
    First,
    /// Its other corner.
    Last,
}

/// A place on a wall: wall `k` goes from corner `k` of the room to the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WallPlace {
    /// Number of the wall, the first being 0.
    pub wall: u16,
    /// Distance from the wall's first corner: to the near edge of what has a width, to the middle of an outlet.
    pub along: Length,
    /// The corner that its measure is kept from.
    #[serde(default, skip_serializing_if = "is_default")]
    pub kept_from: WallEnd,
}

impl WallPlace {
    /// A place measured from the wall's first corner.
    pub const fn new(wall: u16, along: Length) -> Self {
        Self {
            wall,
            along,
            kept_from: WallEnd::First,
        }
    }

    /// The same measure from the corner that it is kept from, on a wall that was `before` long and is `now`.
    #[must_use]
    pub fn on_changed_wall(self, before: Length, now: Length) -> Self {
        match self.kept_from {
            WallEnd::First => self,
            WallEnd::Last => Self {
                along: self.along + (now - before),
                ..self
            },
        }
    }
}

/// What the contractor does with a thing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Status {
    /// There already.
    #[default]
    Existing,
    /// To be brought or built.
    New,
    /// To be moved from another place.
    Moved,
    /// To be taken away.
    Removed,
}

impl Status {
    /// All of them, in the order of a legend.
    pub const ALL: [Self; 4] = [Self::Existing, Self::New, Self::Moved, Self::Removed];

    /// The word in a schedule.
    pub fn word(self) -> &'static str {
        match self {
            Self::Existing => "existing",
            Self::New => "new",
            Self::Moved => "moved",
            Self::Removed => "removed",
        }
    }
}

/// When a thing is there, and how firmly.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Presence {
    /// The phase it arrives in.
    #[serde(skip_serializing_if = "is_default")]
    pub arrives: PhaseNo,
    /// The phase it leaves in: it is gone from that phase on.
    #[serde(skip_serializing_if = "is_default")]
    pub leaves: Option<PhaseNo>,
    /// What the contractor does with it.
    #[serde(skip_serializing_if = "is_default")]
    pub status: Status,
    /// What it was called before it moved here; it is the same thing.
    #[serde(skip_serializing_if = "is_default")]
    pub moved_from: Option<Id>,
    /// Locked in place.
    #[serde(skip_serializing_if = "is_default")]
    pub pinned: bool,
    /// A note for whoever reads the sheet.
    #[serde(skip_serializing_if = "is_default")]
    pub note: Label,
}

impl Presence {
    /// New in that phase.
    pub fn new_in(phase: PhaseNo) -> Self {
        Self {
            arrives: phase,
            status: Status::New,
            ..Self::default()
        }
    }

    /// True where the thing is there in that phase.
    pub fn holds_in(&self, phase: PhaseNo) -> bool {
        self.arrives <= phase && self.leaves.is_none_or(|gone| phase < gone)
    }
}

pub(super) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    value == &T::default()
}
