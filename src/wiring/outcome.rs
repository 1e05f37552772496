//! What came out: a place for every load, the circuits to add, and how much of it is proved.

use super::problem::Problem;
use std::collections::BTreeSet;

/// Where a load is plugged in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// At an outlet that exists, by its place in [`Problem::outlets`].
    Outlet(usize),
    /// On an added circuit, by its place in [`Outcome::added`].
    Added(usize),
    /// Nowhere.
    Unpowered(Why),
}

/// Why a load stays without power.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// No circuit that it might go to takes it, even if nothing else hung there.
    TooLarge,
    /// Its cord reaches no outlet of its class, and no circuit may be added for it.
    OutOfReach,
    /// Every outlet it reaches has something in all receptacles, and no circuit may be added for it.
    NoReceptacle,
    /// The circuits that might take it are needed by what hangs there already or by other loads.
    Capacity,
}

/// A circuit to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Added {
    /// Its kind of supply.
    pub class: u8,
    /// The leg it should go on; `None` where there is nothing to balance.
    pub leg: Option<u8>,
}

/// How sure an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Claim {
    /// Nothing powers more loads, and nothing that powers as many adds fewer circuits.
    Proved,
    /// The best found before the search had to stop; the bounds say how far it may be from the best there is.
    Found,
}

/// How the loads are spread over the circuits. The best found by moving and exchanging loads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spread {
    /// Circuits, of those that exist and those added, over the wanted share of a limit.
    pub over: usize,
    /// By how much they are over it, running and peak currents added up, in milliamperes.
    pub over_ma: u64,
    /// Difference between the running currents of the legs that carry most and least, in milliamperes.
    pub imbalance_ma: u64,
    /// No spreading of the same loads over as many circuits has less, in milliamperes.
    pub imbalance_at_least_ma: u64,
    /// All cords to outlets that exist, in millimetres.
    pub cord_mm: u64,
}

/// Loads on circuits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// A place for every load, in the order of [`Problem::loads`].
    pub places: Vec<Place>,
    /// Circuits to add.
    pub added: Vec<Added>,
    /// How the loads are spread.
    pub spread: Spread,
    /// No answer that powers as many pinned loads powers more loads than this.
    pub powered_at_most: usize,
    /// No answer that powers as many loads as this one adds fewer circuits than this.
    pub added_at_least: usize,
    /// Whether both counts are proved.
    pub claim: Claim,
    /// Work done, in steps of the search; the same on every machine.
    pub steps: u64,
}

impl Outcome {
    /// Loads with power.
    pub fn powered(&self) -> usize {
        self.places
            .iter()
            .filter(|p| !matches!(p, Place::Unpowered(_)))
            .count()
    }

    /// Circuits with at least one of the loads, those that exist and those added.
    pub fn circuits_used(&self, problem: &Problem) -> usize {
        let mut existing = BTreeSet::new();
        for place in &self.places {
            if let Place::Outlet(outlet) = *place
                && let Some(outlet) = problem.outlets.get(outlet)
            {
                existing.insert(outlet.circuit);
            }
        }
        existing.len() + self.added.len()
    }

    /// The loads without power, each with the reason.
    pub fn unpowered(&self) -> impl Iterator<Item = (usize, Why)> {
        self.places.iter().enumerate().filter_map(|(k, p)| match p {
            Place::Unpowered(why) => Some((k, *why)),
            Place::Outlet(_) | Place::Added(_) => None,
        })
    }
}
