//! From a plan to the packing problem and back: what stays, what may be placed, in a frame along the room's main
//! direction. Judges nothing and searches nothing.

use std::sync::Arc;

use super::problem::Problem;
use super::search::{Ask, Unfillable};
use crate::plan::{Library, Plan};

/// A question made ready for the search.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The packing problem.
    pub problem: Problem,
}

impl Asked {
    /// The problem that a plan and a question make.
    pub fn of(_library: &Library, _plan: &Arc<Plan>, _ask: &Ask) -> Result<Self, Unfillable> {
        Err(Unfillable::NoRoom)
    }
}
