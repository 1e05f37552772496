//! Cooling units on walls.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Presence, WallPlace};
use crate::stock::KindId;
use crate::units::Length;

/// A cooling unit that hangs on a wall and blows straight into the room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoolingUnit {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// The near edge of the case.
    pub at: WallPlace,
    /// Lower edge of the case above the floor.
    pub bottom: Length,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
