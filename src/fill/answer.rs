//! What a search for the fullest arrangement answers: the arrangement, the bound, how far the proof got, on what
//! assumptions. Nothing here searches.

use crate::plan::Pose;
use crate::stock::KindId;
use crate::units::capital;

/// Said beside every count until power and floor load are judged too.
pub const NOT_JUDGED: &str = "cords, UPS and floor load not judged";

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

/// What carries printers besides the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carrier {
    /// The cooling units.
    Cooling,
    /// The circuits drawn.
    Circuits,
    /// Panel, feeder and service.
    Supply,
}

impl Carrier {
    /// As in "the circuits carry".
    pub fn words(self) -> &'static str {
        match self {
            Self::Cooling => "the cooling carries",
            Self::Circuits => "the circuits carry",
            Self::Supply => "the supply carries",
        }
    }
}

/// The printers that something besides the floor carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget {
    /// What carries them.
    pub carrier: Carrier,
    /// How many.
    pub printers: u32,
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
    /// The printers of the phase that cooling or power carries, where that is the bound and not the floor.
    pub carried: Option<Budget>,
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
        match (self.claim, self.carried) {
            (Claim::Proved, Some(most)) => format!("proved: {} no more", most.carrier.words()),
            (Claim::Proved, None) => "proved: no arrangement holds more".to_owned(),
            (Claim::ProvedOnLattice, _) => format!(
                "proved on the {} lattice",
                self.lattice_words.as_deref().unwrap_or("planning")
            ),
            (Claim::Found, _) => format!("found; no arrangement can hold more than {}", self.bound),
        }
    }

    /// True where no arrangement holds more, at least on the lattice named.
    pub fn is_proved(&self) -> bool {
        self.claim != Claim::Found
    }

    /// The one sentence that holds the count hoped for against what the floor holds; `running` while the search goes on.
    pub fn against(&self, hoped_for: Option<u32>, running: bool) -> String {
        let hoped = hoped_for
            .map(|n| format!("{n} hoped for; "))
            .unwrap_or_default();
        let (printers, bound) = (self.printers, self.bound);
        let on = match self.claim {
            Claim::Found => {
                let so_far = if running { " so far" } else { "" };
                return capital(&format!(
                    "{hoped}at most {bound} by the bound; {printers} found{so_far}."
                ));
            }
            Claim::Proved => String::new(),
            Claim::ProvedOnLattice => format!(
                " on the {} lattice",
                self.lattice_words.as_deref().unwrap_or("planning")
            ),
        };
        if hoped_for.is_some_and(|n| n <= printers) {
            return format!("{hoped}the floor holds {printers}.");
        }
        if let Some(most) = self.carried {
            let carries = most.carrier.words();
            return capital(&format!(
                "{hoped}the floor holds {printers}: {carries} no more."
            ));
        }
        capital(&format!(
            "{hoped}the floor holds {printers}: no arrangement of the racks chosen{on} holds more."
        ))
    }
}
