//! Lights under the ceiling, singly or linked in runs.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Id, Pose, Presence};
use crate::stock::KindId;
use crate::units::Length;

/// A light.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Light {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// Where it hangs.
    pub at: Pose,
    /// Lower edge above the floor.
    pub bottom: Length,
    /// The light that hands it its supply; none for one with a feed of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    pub linked_to: Option<Id>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
