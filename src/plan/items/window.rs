//! Windows.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Glass, Presence, WallPlace};
use crate::units::Length;

/// A window in a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// The near edge of the opening.
    pub at: WallPlace,
    /// Width of the opening.
    pub width: Length,
    /// Lower edge above the floor.
    pub sill: Length,
    /// Upper edge above the floor.
    pub head: Length,
    /// True where it can be opened.
    #[serde(default)]
    pub opens: bool,
    /// True where it serves as a way out.
    #[serde(default)]
    pub way_out: bool,
    /// Its glass, for the heat that comes in by it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub glass: Glass,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
