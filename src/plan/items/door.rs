//! Doors.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Presence, WallPlace};
use crate::units::Length;

/// At which end of the opening the leaf hangs, walking along the wall from its first corner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Hinge {
    /// At the end nearer the wall's first corner.
    #[default]
    Near,
    /// At the far end.
    Far,
}

/// Which way the leaf opens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Swing {
    /// Into the room.
    #[default]
    In,
    /// Out of the room.
    Out,
    /// Along the wall, or no leaf at all.
    None,
}

/// A door in a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Door {
    /// The near edge of the opening.
    pub at: WallPlace,
    /// Width of the leaf.
    pub width: Length,
    /// Height of the opening.
    pub height: Length,
    /// Clear width measured with the leaf open at a right angle; unknown until measured.
    #[serde(default)]
    pub clear: Option<Length>,
    /// Where the leaf hangs.
    #[serde(default)]
    pub hinge: Hinge,
    /// Which way it opens.
    #[serde(default)]
    pub swing: Swing,
    /// True where people leave through it in an emergency.
    #[serde(default)]
    pub way_out: bool,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
