//! The stages of the build-out.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::Label;

/// The number of a phase, the first being 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PhaseNo(pub u8);

impl Default for PhaseNo {
    fn default() -> Self {
        Self(1)
    }
}

impl fmt::Display for PhaseNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// A stage of the build-out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// Name for people.
    pub name: Label,
}
