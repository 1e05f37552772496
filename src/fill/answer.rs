//! What a search for the fullest arrangement answers: the arrangement, the bound, how far the proof got, on what
//! assumptions. Nothing here searches.

use crate::plan::Pose;
use crate::stock::KindId;

/// Said beside every count until power and load are judged too.
pub const FLOOR_ONLY: &str = "Floor only: power and load not yet judged";

/// What may be said of the count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Claim {
    /// No arrangement holds more.
    Proved,
    /// No arrangement on the lattice holds more.
    ProvedOnLattice,
    /// The best found; the bound stands above it.
    Found,
}

impl Claim {
    /// The word in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::Proved => "proved",
            Self::ProvedOnLattice => "proved_on_lattice",
            Self::Found => "found",
        }
    }
}

/// Why a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoppedBy {
    /// Arrangement and bound met.
    Proof,
    /// The steps were used up.
    Steps,
    /// The time was used up.
    Seconds,
    /// Somebody cancelled it.
    Cancelled,
    /// The memory cap was reached.
    Memory,
    /// Still searching: an answer on the way.
    Running,
}

impl StoppedBy {
    /// The word in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::Proof => "proof",
            Self::Steps => "steps",
            Self::Seconds => "seconds",
            Self::Cancelled => "cancelled",
            Self::Memory => "memory",
            Self::Running => "running",
        }
    }
}

/// One thing that the arrangement adds.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Its kind of rack; for a thing of the must-also-fit list its name stands in `must`.
    pub kind: KindId,
    /// The name of the must-also-fit thing, where it is one.
    pub must: Option<String>,
    /// Where it stands in the plan.
    pub at: Pose,
    /// Width and depth unturned, in millimetres.
    pub size_mm: (f64, f64),
    /// Printers it holds.
    pub printers: u32,
}

/// The answer of a search, final or on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Printers of the phase with this arrangement: those that stay and those it adds.
    pub printers: u32,
    /// Printers of what stays.
    pub pinned: u32,
    /// Printers that it adds.
    pub added: u32,
    /// No arrangement holds more than this, as far as is known.
    pub bound: u32,
    /// What may be said.
    pub claim: Claim,
    /// The lattice's step in millimetres where the claim rests on one.
    pub lattice_mm: Option<f64>,
    /// The step in the plan's own units, in words, where the claim rests on a lattice.
    pub lattice_words: Option<String>,
    /// What the answer rests on, sentence by sentence.
    pub assumptions: Vec<String>,
    /// Findings that what stays causes alone: no arrangement was asked to mend them.
    pub set_aside: Vec<String>,
    /// Steps of search used.
    pub steps: u64,
    /// Why it ended.
    pub stopped_by: StoppedBy,
    /// What it adds.
    pub placements: Vec<Placement>,
}

impl Answer {
    /// The claim as it is worded everywhere.
    pub fn words(&self) -> String {
        match self.claim {
            Claim::Proved => "proved: no arrangement holds more".to_owned(),
            Claim::ProvedOnLattice => format!(
                "proved on the {} lattice",
                self.lattice_words.as_deref().unwrap_or("planning")
            ),
            Claim::Found => format!("found; no arrangement can hold more than {}", self.bound),
        }
    }

    /// True where no arrangement holds more, at least on the lattice named.
    pub fn is_proved(&self) -> bool {
        self.claim != Claim::Found
    }

    /// The one sentence that explains how the count stands to the one hoped for.
    pub fn against(&self, hoped_for: Option<u32>) -> Option<String> {
        let hoped = hoped_for?;
        let (n, most) = (self.printers, self.bound);
        Some(if n >= hoped {
            format!("{hoped} hoped for; the floor takes {n}. {FLOOR_ONLY}.")
        } else if self.claim == Claim::Found && most >= hoped {
            format!("{hoped} hoped for; {n} found so far, at most {most} by the bound.")
        } else {
            let short = hoped - n;
            let why = match self.claim {
                Claim::Proved => "no arrangement of these racks holds more".to_owned(),
                Claim::ProvedOnLattice => format!("that is {}", self.words()),
                Claim::Found => format!("no arrangement can hold more than {most}"),
            };
            format!("{hoped} hoped for; the floor takes {n}, {short} fewer: {why}.")
        })
    }
}
