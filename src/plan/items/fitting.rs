//! What is fixed to a wall besides openings and what the cooling and the mains need: data points, extinguishers, radiators.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Presence, WallPlace};
use crate::units::Length;

/// What a fitting is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum FittingUse {
    /// A socket for data, flush with the wall.
    DataPoint,
    /// A fire extinguisher on its hook.
    Extinguisher,
    /// A radiator or a convector.
    Radiator,
}

/// A thing fixed to a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitting {
    /// What it is.
    pub purpose: FittingUse,
    /// Its near edge.
    pub at: WallPlace,
    /// Width along the wall.
    pub width: Length,
    /// How far it stands out from the wall; none for what is flush with it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub depth: Length,
    /// Lower edge above the floor.
    pub bottom: Length,
    /// Its own height.
    pub height: Length,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
