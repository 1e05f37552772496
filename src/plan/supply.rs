//! The building's supply, as far as this room may use it, and what hangs on its circuits besides printers and UPS. Every figure may be
//! missing, and then is unknown, never nought.

use serde::{Deserialize, Serialize};

use super::place::is_default;
use super::{Id, Label, PhaseNo};
use crate::units::{Amps, Ratio, Watts};

/// Something on a circuit that is no printer and no UPS: the cooling unit's own circuit, lights, tools on a bench.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OtherLoad {
    /// What it is.
    pub name: Label,
    /// The circuit it hangs on.
    #[serde(default)]
    pub circuit: Option<Id>,
    /// Power over hours.
    #[serde(default)]
    pub running: Option<Watts>,
    /// Greatest power.
    #[serde(default)]
    pub peak: Option<Watts>,
    /// Power factor: watts over volt-amperes.
    #[serde(default)]
    pub power_factor: Option<Ratio>,
    /// The phase from which on it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub arrives: PhaseNo,
}

/// What the building gives.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Supply {
    /// Rating of the building's service, on each leg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub service: Option<Amps>,
    /// Rating of the feeder to this room's panel, on each leg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feeder: Option<Amps>,
    /// Share of feeder and service that this room may use, agreed with the landlord.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<Ratio>,
    /// Other loads on the room's circuits.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<OtherLoad>,
    /// True where the owner lets supplies that take any voltage hang on a circuit of the higher one.
    #[serde(skip_serializing_if = "is_default")]
    pub higher_voltage: bool,
    /// Whether the room counts as damp (a cellar, a garage, a sink near), so that people need a protective device at every outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub damp: Option<bool>,
}

impl Supply {
    /// The most other loads.
    pub const MOST: usize = 50;

    /// What cannot be, in sentences.
    pub(super) fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        if self.loads.len() > Self::MOST {
            faults.push(format!(
                "{} other loads are listed; at most {} are read",
                self.loads.len(),
                Self::MOST
            ));
        }
        if self.share.is_some_and(|s| s.value() > 1.0) {
            faults
                .push("the share of the supply is more than 100 %; give at most 100 %".to_owned());
        }
        if self.loads.iter().any(|load| load.name.is_empty()) {
            faults.push("a load has no name; give it one".to_owned());
        }
        for load in &self.loads {
            let factor = load.power_factor.map(Ratio::value);
            if factor.is_some_and(|f| f <= 0.0 || f > 1.0) {
                faults.push(format!(
                    "the power factor of {} lies outside 0 to 1; take it from its plate or a meter",
                    load.name
                ));
            }
        }
        faults
    }

    /// Takes the other loads off circuits that are gone; true where one was.
    pub(super) fn unplug(&mut self, is_gone: impl Fn(Id) -> bool) -> bool {
        let mut changed = false;
        for load in &mut self.loads {
            if load.circuit.is_some_and(&is_gone) {
                load.circuit = None;
                changed = true;
            }
        }
        changed
    }
}
