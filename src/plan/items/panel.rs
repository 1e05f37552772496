//! Electrical panels.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Presence, WallPlace};
use crate::units::{Amps, Length};

/// An electrical panel on a wall, up to 150 V to ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Panel {
    /// The near edge of the case.
    pub at: WallPlace,
    /// Width of the case.
    pub width: Length,
    /// How far the case stands out from the wall.
    pub depth: Length,
    /// Lower edge above the floor.
    pub bottom: Length,
    /// Height of the case.
    pub height: Length,
    /// Rating of its main breaker or fuse, on each leg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub main: Option<Amps>,
    /// Places for one pole each that are free as the room stands now, before anything new is built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free: Option<u8>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
