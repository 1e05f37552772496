//! What the circuits of a phase draw together from panel, feeder and service, leg by leg. Sums only; `checks` judges them.

use super::Layout;
use super::power::Total;
use crate::plan::{Id, Presence, Status, SupplyLeg};

/// Amperes on the legs of the supply.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LegLoad {
    /// On each leg, from circuits whose legs are known.
    pub legs: Vec<f64>,
    /// Of circuits whose legs nobody said: amperes times poles, to be spread over the legs.
    pub anywhere: f64,
    /// The things whose figure is missing.
    pub missing: Vec<Id>,
}

impl LegLoad {
    fn new(legs: usize) -> Self {
        Self {
            legs: vec![0.0; legs],
            ..Self::default()
        }
    }

    fn add(&mut self, total: &Total, legs: Option<&[usize]>, poles: u8) {
        self.missing.extend(total.missing.iter().copied());
        match legs {
            Some(on) => {
                for leg in on {
                    if let Some(sum) = self.legs.get_mut(*leg) {
                        *sum += total.known;
                    }
                }
            }
            None => self.anywhere += total.known * f64::from(poles),
        }
    }

    /// The most on one leg were everything of unknown leg put where it weighs least: no leg carries less.
    pub fn at_least(&self) -> f64 {
        let most = self.legs.iter().copied().fold(0.0, f64::max);
        let whole: f64 = self.legs.iter().fold(self.anywhere, |sum, leg| sum + leg);
        most.max(whole / self.legs.len().max(1) as f64)
    }

    /// The most on one leg were all of unknown leg on the fullest.
    pub fn at_most(&self) -> f64 {
        self.legs.iter().copied().fold(0.0, f64::max) + self.anywhere
    }

    /// The difference between the fullest leg and the emptiest, where all legs are known.
    pub fn unbalance(&self) -> Option<f64> {
        let known = self.anywhere == 0.0 && self.missing.is_empty() && self.legs.len() > 1;
        let most = self.legs.iter().copied().fold(0.0, f64::max);
        let least = self.legs.iter().copied().fold(f64::INFINITY, f64::min);
        known.then_some(most - least)
    }
}

/// What the circuits of a phase draw together.
#[derive(Clone, Debug, PartialEq)]
pub struct SupplyLoad {
    /// Running.
    pub running: LegLoad,
    /// Everything heating at once.
    pub peak: LegLoad,
    /// Circuits counted.
    pub circuits: usize,
}

/// The places of a panel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Places {
    /// Poles of the circuits that are new up to this phase.
    pub taken: u32,
    /// Poles of the circuits that are taken out up to this phase.
    pub given: u32,
}

impl Layout {
    /// What the circuits of a panel, or of all where none is named, draw together.
    pub fn drawn_from(&self, panel: Option<Id>) -> SupplyLoad {
        let system = self.plan.head().system;
        let mut drawn = SupplyLoad {
            running: LegLoad::new(system.legs()),
            peak: LegLoad::new(system.legs()),
            circuits: 0,
        };
        for (id, load) in &self.power.circuits {
            let Some(circuit) = self.plan.circuits().get(*id) else {
                continue;
            };
            if panel.is_some() && self.panel_of(circuit) != panel {
                continue;
            }
            let legs: Option<Vec<usize>> = circuit
                .legs(system)
                .map(|legs| legs.into_iter().map(SupplyLeg::number).collect())
                .or_else(|| (system.legs() == 1).then(|| vec![0]));
            let poles = circuit.poles(system);
            drawn.circuits += 1;
            drawn.running.add(&load.running_a, legs.as_deref(), poles);
            drawn.peak.add(&load.peak_a, legs.as_deref(), poles);
        }
        drawn
    }

    /// The places in a panel that new circuits take and removed ones give back up to this phase.
    pub fn places_in(&self, panel: Id) -> Places {
        let system = self.plan.head().system;
        let mut places = Places::default();
        for (_, circuit) in self.plan.circuits().iter() {
            if self.panel_of(circuit) != Some(panel) {
                continue;
            }
            let poles = u32::from(circuit.poles(system));
            let there = circuit.presence.holds_in(self.phase);
            if there && is_new(&circuit.presence) {
                places.taken += poles;
            } else if !there && !is_new(&circuit.presence) && circuit.presence.arrives <= self.phase
            {
                places.given += poles;
            }
        }
        places
    }
}

fn is_new(presence: &Presence) -> bool {
    presence.status == Status::New
}
