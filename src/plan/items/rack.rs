//! Racks.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Pose, Presence};
use crate::stock::{Face, KindId, LevelKind, RackKind};

/// A rack on the floor.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rack {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// Where it stands.
    pub at: Pose,
    /// Its own levels, lowest first; those of the kind where none are given.
    #[serde(default, skip_serializing_if = "is_default")]
    pub levels: Vec<LevelKind>,
    /// The sides a person works at; those of the kind where none are given.
    #[serde(default, skip_serializing_if = "is_default")]
    pub faces: Vec<Face>,
    /// True where it is fixed to the floor or a wall, false where it stands free.
    #[serde(default, skip_serializing_if = "is_default")]
    pub anchored: Option<bool>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}

impl Rack {
    /// The levels in force: its own, else those of its kind.
    pub fn levels<'a>(&'a self, kind: &'a RackKind) -> &'a [LevelKind] {
        if self.levels.is_empty() {
            &kind.levels
        } else {
            &self.levels
        }
    }

    /// The access faces in force: its own, else those of its kind.
    pub fn faces<'a>(&'a self, kind: &'a RackKind) -> &'a [Face] {
        if self.faces.is_empty() {
            &kind.faces
        } else {
            &self.faces
        }
    }
}
