//! What hangs from the ceiling: beams, pipes and ducts, sprinkler heads, detectors.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Pose, Presence};
use crate::units::Length;

/// What a thing under the ceiling is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum OverheadUse {
    /// A beam.
    Beam,
    /// A pipe or a duct; what lies above it is out of use.
    Pipe,
    /// A sprinkler head.
    Sprinkler,
    /// A smoke or heat detector.
    Detector,
}

/// A thing under the ceiling. It takes the heights from its lower edge to the ceiling.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overhead {
    /// What it is.
    pub purpose: OverheadUse,
    /// Where it hangs.
    pub at: Pose,
    /// Width, unturned.
    pub width: Length,
    /// Depth, unturned.
    pub depth: Length,
    /// Lower edge above the floor.
    pub bottom: Length,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
