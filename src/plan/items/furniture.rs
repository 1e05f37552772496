//! What stands on the floor besides racks: benches, bins, carts and spool stores.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Pose, Presence};
use crate::stock::Face;
use crate::units::Length;

/// What a piece of furniture is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum FurnitureUse {
    /// A table to work at: finishing, packing, repairs.
    Bench,
    /// A bin for waste or finished parts.
    Bin,
    /// The cart of the daily round, where it is parked.
    Cart,
    /// A cupboard or shelf for spools.
    SpoolStore,
}

/// A piece of furniture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Furniture {
    /// What it is for.
    pub purpose: FurnitureUse,
    /// Where it stands.
    pub at: Pose,
    /// Outside width, unturned.
    pub width: Length,
    /// Outside depth, unturned.
    pub depth: Length,
    /// Height above the floor.
    pub height: Length,
    /// The sides that a person works at.
    #[serde(default, skip_serializing_if = "is_default")]
    pub faces: Vec<Face>,
    /// Spools that it takes; for a spool store.
    #[serde(default, skip_serializing_if = "is_default")]
    pub spools: Option<u16>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
