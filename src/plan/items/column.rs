//! Columns.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Pose, Presence};
use crate::units::Length;

/// A column from floor to ceiling.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Where it stands.
    pub at: Pose,
    /// Width, unturned.
    pub width: Length,
    /// Depth, unturned.
    pub depth: Length,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
