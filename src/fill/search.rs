//! The search for the fullest arrangement: what is asked, and how the answer is reached. The clock belongs to the caller:
//! the search counts steps and asks now and then whether it should stop.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::answer::{Answer, Budget, Claim, Placement, StoppedBy};
use super::placed::{faults, staying_findings, verified};
use super::problem::Put;
use super::room::Asked;
use super::solve::{Effort, MOST_BYTES, Solved, solve};
use super::tidy::tidied;
use crate::checks::Findings;
use crate::geometry::Point;
use crate::plan::{Library, PhaseNo, Plan};
use crate::stock::KindId;
use crate::units::Length;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// The phase to fill; what earlier phases hold stays.
    pub phase: PhaseNo,
    /// The rack kinds one may buy; every kind of the stock list that holds printers where `None`.
    pub kinds: Option<BTreeSet<KindId>>,
    /// Two corners of the part of the floor to fill; the whole room where `None`.
    pub part: Option<(Point, Point)>,
    /// True where nothing but the floor is to bound the count: neither cooling nor power.
    pub floor_only: bool,
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
        let words = match self {
            Self::NoKind => {
                "no rack kind takes the plan's leading printer kind; choose other racks or another printer"
            }
            Self::NoPrinter => {
                "no printer kind to count in; name the leading kind at the head of the plan"
            }
            Self::NoRoom => "the room has no outline yet; enter its walls first",
            Self::Faulty(why) => return write!(f, "mend the plan's faults first: {why}"),
        };
        f.write_str(words)
    }
}

impl std::error::Error for Unfillable {}

/// Searches for the fullest arrangement. Deterministic in steps: the same plan and question give the same answer unless
/// the watcher stops it. Every arrangement is held against the checks before it is told.
pub fn fill(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    watch: &dyn Watch,
) -> Result<Answer, Unfillable> {
    let asked = Asked::of(library, plan, ask)?;
    let effort = Effort {
        steps: ask.steps,
        bytes: MOST_BYTES,
    };
    let mut sound = Sound {
        asked: &asked,
        library,
        plan,
        ask,
        staying: staying_findings(library, plan, ask)?,
        best: None,
    };
    let enough = AtomicBool::new(false);
    let solved = solve(
        &asked.problem,
        asked.exact,
        effort,
        &mut |solved| {
            let answer = sound.answer(solved);
            if sound.is_enough(&answer) {
                enough.store(true, Ordering::Relaxed);
            }
            watch.seen(&answer);
            sound.takes(solved)
        },
        &|| {
            let enough = enough.load(Ordering::Relaxed);
            enough.then_some(StoppedBy::Proof).or_else(|| watch.stop())
        },
    );
    let found = sound.answer(&solved);
    let straight = Solved {
        puts: tidied(&asked.problem, &solved.puts),
        ..solved
    };
    let tidy = sound.answer(&straight);
    // Where the checks refuse what was straightened, the arrangement stays as it was found.
    Ok(if tidy.added < found.added {
        found
    } else {
        tidy
    })
}

/// The placements with so many printers in all at most: the last racks are left in part empty, or out.
fn up_to(most: Option<u32>, all: impl Iterator<Item = Placement>) -> Vec<Placement> {
    let mut left = most.unwrap_or(u32::MAX);
    all.filter_map(|placement| {
        let printers = placement.printers.min(left);
        left -= printers;
        (printers > 0 || placement.must.is_some()).then_some(Placement {
            printers,
            ..placement
        })
    })
    .collect()
}

/// The arrangements that the checks accept.
struct Sound<'a> {
    asked: &'a Asked,
    library: &'a Library,
    plan: &'a Arc<Plan>,
    ask: &'a Ask,
    /// What the checks find of what stays, without anything placed.
    staying: Findings,
    best: Option<(Vec<Put>, Vec<Placement>)>,
}

impl Sound<'_> {
    /// The answer that what was solved gives; where the checks refuse its arrangement, the last one they accepted.
    fn answer(&mut self, solved: &Solved) -> Answer {
        let known = self
            .best
            .as_ref()
            .is_some_and(|(puts, _)| *puts == solved.puts);
        if !known {
            let all = solved.puts.iter().map(|put| self.asked.placement(put));
            let placements = up_to(self.asked.most_added(), all);
            let answer = self.made(solved, &placements);
            if verified(self.library, self.plan, self.ask, &answer, &self.staying).is_ok() {
                self.best = Some((solved.puts.clone(), placements));
            }
        }
        let placements = self.best.as_ref().map_or(&[][..], |(_, p)| p);
        self.made(solved, placements)
    }

    /// True where the checks took the arrangement that was answered last.
    fn takes(&self, solved: &Solved) -> bool {
        let best = self.best.as_ref();
        best.map_or(solved.puts.is_empty(), |(puts, _)| *puts == solved.puts)
    }

    /// True where cooling or power carries no more printers than an answer adds, so that nothing is left to search.
    fn is_enough(&self, answer: &Answer) -> bool {
        answer.added > 0
            && self
                .asked
                .most_added()
                .is_some_and(|most| answer.added >= most)
    }

    fn made(&self, solved: &Solved, placements: &[Placement]) -> Answer {
        let asked = self.asked;
        let added: u32 = placements.iter().map(|p| p.printers).sum();
        let carried = asked.carried.filter(|most| most.printers < solved.bound);
        let claim = if carried.is_some_and(|most| most.printers == added) {
            Claim::Proved
        } else if added < solved.printers {
            Claim::Found
        } else {
            solved.claim
        };
        let practice = self.plan.practice();
        let mut assumptions = asked.assumptions.clone();
        if solved.rounded {
            assumptions.push(
                "sizes are rounded to a common step: up for the arrangement, down for the bound"
                    .to_owned(),
            );
        }
        let on_lattice = solved.lattice.filter(|_| claim == Claim::ProvedOnLattice);
        let lattice = on_lattice.map(Length::from_units);
        Answer {
            printers: asked.pinned + added,
            pinned: asked.pinned,
            added,
            bound: asked.pinned + carried.map_or(solved.bound, |most| most.printers),
            claim,
            carried: carried.map(|most| Budget {
                printers: asked.pinned + most.printers,
                ..most
            }),
            lattice_mm: lattice.map(Length::mm),
            lattice_words: lattice.map(|l| l.shown(practice)),
            assumptions,
            set_aside: faults(&self.staying),
            steps: solved.steps,
            stopped_by: solved.stopped_by,
            placements: placements.to_vec(),
        }
    }
}
