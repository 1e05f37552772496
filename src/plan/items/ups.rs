//! Uninterruptible supplies.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Id, Pose, Presence};
use crate::stock::KindId;

/// Where a UPS stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum UpsPlace {
    /// At the foot of that rack.
    OnRack(Id),
    /// On the floor by itself.
    OnFloor(Pose),
}

/// An uninterruptible supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ups {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// Where it stands.
    pub stands: UpsPlace,
    /// The outlet it is plugged into.
    #[serde(default)]
    pub outlet: Option<Id>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
