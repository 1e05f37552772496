//! Cameras that watch the printers.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Pose, Presence};
use crate::stock::KindId;
use crate::units::{Angle, Length};

/// A camera. Unturned it looks down the sheet, as the front of a rack does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Camera {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// Where it hangs, its turn the way it looks.
    pub at: Pose,
    /// Its lens above the floor.
    pub height: Length,
    /// How far below the level it looks.
    #[serde(default, skip_serializing_if = "is_default")]
    pub tilt: Angle,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
