//! Zones drawn on the floor.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{PhaseNo, Pose, Presence};
use crate::units::Length;

/// What a drawn zone is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ZoneUse {
    /// Nothing may stand here.
    KeepClear,
    /// Water comes in here; nothing electrical in or under it until it is dry.
    Wet {
        /// The phase from which it is dry; `None` while nobody has promised that.
        dry_from: Option<PhaseNo>,
    },
}

/// A rectangle drawn on the floor, with a height range.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    /// What it is for.
    pub purpose: ZoneUse,
    /// Where it lies.
    pub at: Pose,
    /// Width, unturned.
    pub width: Length,
    /// Depth, unturned.
    pub depth: Length,
    /// Lower edge above the floor.
    #[serde(default, skip_serializing_if = "is_default")]
    pub low: Length,
    /// Upper edge above the floor; to the ceiling where none is given.
    #[serde(default)]
    pub high: Option<Length>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
