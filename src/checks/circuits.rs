//! circuits.

use super::{Check, Finding, Severity, anything};
use crate::layout::Layout;

pub(super) const CHECK: Check = Check {
    id: "circuits",
    title: "",
    worst: Severity::MustFix,
    what: "",
    why: "",
    how: "",
    blind: "",
    limits: &[],
    run,
    concerns: anything,
};

fn run(_layout: &Layout) -> Vec<Finding> {
    Vec::new()
}
