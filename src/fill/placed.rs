//! From an answer to the plan: one edit that takes away what was replaced and puts what was found. Searches nothing.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::answer::Answer;
use super::search::Ask;
use crate::plan::{Edit, Library, Plan};

/// The edit that takes over an answer, or the placements of it that `which` numbers (all of them where `None`).
pub fn adopt(
    _library: &Library,
    _plan: &Arc<Plan>,
    ask: &Ask,
    _answer: &Answer,
    _which: Option<&BTreeSet<usize>>,
) -> Edit {
    Edit::Several(format!("Fill phase {}", ask.phase), Vec::new())
}
