//! Mains outlets.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Id, Presence, WallPlace};
use crate::units::Length;

/// A mains outlet on a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// The middle of the box.
    pub at: WallPlace,
    /// Middle of the box above the floor.
    pub height: Length,
    /// Receptacles in the box.
    pub receptacles: u8,
    /// The circuit that feeds it; unknown until traced.
    #[serde(default)]
    pub circuit: Option<Id>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
