//! What is to be wired: circuits, outlets, loads and the circuits that may be added. Knows no plan, no place and no words
//! for the user; all currents are whole milliamperes, so that every comparison is exact.

use std::collections::BTreeMap;

/// A running and a peak current: what a load draws, or what a circuit takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Amps {
    /// Current that flows for hours, in milliamperes. As a limit: what the circuit takes for long.
    pub running_ma: u32,
    /// Current of the worst moment, in milliamperes. As a limit: the rating of the breaker.
    pub peak_ma: u32,
}

impl Amps {
    /// Both currents, in milliamperes.
    pub fn new(running_ma: u32, peak_ma: u32) -> Self {
        Self {
            running_ma,
            peak_ma,
        }
    }

    /// Whether so much covers `other` in both currents.
    pub fn covers(self, other: Self) -> bool {
        self.running_ma >= other.running_ma && self.peak_ma >= other.peak_ma
    }

    /// What is left after `other`; `None` where it is too much in either current.
    pub fn less(self, other: Self) -> Option<Self> {
        Some(Self {
            running_ma: self.running_ma.checked_sub(other.running_ma)?,
            peak_ma: self.peak_ma.checked_sub(other.peak_ma)?,
        })
    }

    /// What is left after `other`, nothing where it is too much.
    pub fn saturating_less(self, other: Self) -> Self {
        Self {
            running_ma: self.running_ma.saturating_sub(other.running_ma),
            peak_ma: self.peak_ma.saturating_sub(other.peak_ma),
        }
    }
}

/// A circuit that exists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Circuit {
    /// What it takes in all.
    pub limit: Amps,
    /// What hangs on it already and stays.
    pub taken: Amps,
    /// Kind of supply (voltage, plug); a load goes only to its own class.
    pub class: u8,
    /// The leg of the supply it hangs on, counted from 0; `None` where nobody knows or it uses all legs alike.
    pub leg: Option<u8>,
}

impl Circuit {
    /// What it still takes.
    pub fn free(&self) -> Amps {
        self.limit.saturating_less(self.taken)
    }
}

/// An outlet of a circuit that exists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outlet {
    /// Its circuit, by place in [`Problem::circuits`].
    pub circuit: usize,
    /// Receptacles with nothing in them.
    pub receptacles: u32,
}

/// An outlet that the cord of a load reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reach {
    /// The outlet, by place in [`Problem::outlets`].
    pub outlet: usize,
    /// Length of the cord's way there, in millimetres.
    pub cord_mm: u32,
}

/// What wants power through one plug: a printer, or a UPS with all that hangs on it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Load {
    /// What it draws.
    pub draw: Amps,
    /// Kind of supply it needs.
    pub class: u8,
    /// The outlets its cord reaches.
    pub reach: Vec<Reach>,
    /// The one outlet of `reach` it must stay at. No loose load takes the power of a pinned one.
    pub pinned: Option<usize>,
    /// Whether it may go to a circuit that is added.
    pub new_allowed: bool,
}

impl Load {
    /// The outlets it may go to: those within reach, or of these the one where it is pinned.
    pub(super) fn outlets(&self) -> impl Iterator<Item = usize> {
        self.reach
            .iter()
            .map(|r| r.outlet)
            .filter(|o| self.pinned.is_none_or(|p| p == *o))
    }

    /// Whether a circuit may be added for it.
    pub(super) fn may_add(&self) -> bool {
        self.new_allowed && self.pinned.is_none()
    }
}

/// Circuits of one class that may be added, all alike. Their box is placed later, so every load reaches it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What each of them takes.
    pub limit: Amps,
    /// Receptacles of each of them.
    pub receptacles: u32,
    /// How many may be added; `None`: as many as are needed.
    pub most: Option<u32>,
}

/// Loads to be put on circuits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Circuits that exist.
    pub circuits: Vec<Circuit>,
    /// Their outlets.
    pub outlets: Vec<Outlet>,
    /// What wants power.
    pub loads: Vec<Load>,
    /// For each class the circuits that may be added; none for a class without an entry.
    pub offers: BTreeMap<u8, Offer>,
    /// Legs of the supply: added circuits go on one of them each. 0 or 1: there is nothing to balance.
    pub legs: u8,
    /// The share of its limits, in per cent, that every circuit should stay below where possible.
    pub fill_percent: u32,
}

impl Problem {
    /// Stops at a place in a list that does not exist: whoever made the problem made a mistake.
    pub(super) fn assert_sound(&self) {
        let outlets = self.outlets.len();
        assert!(
            self.outlets.iter().all(|o| o.circuit < self.circuits.len()),
            "every outlet names one of the circuits"
        );
        assert!(
            self.loads
                .iter()
                .all(|l| l.reach.iter().all(|r| r.outlet < outlets)),
            "every load reaches only outlets of the list"
        );
    }
}
