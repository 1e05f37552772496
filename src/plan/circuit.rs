//! Circuits and the supply behind them.

use serde::{Deserialize, Serialize};

use super::Id;
use super::place::{Presence, is_default};
use crate::units::{Amps, Volts};

/// The system of the supply.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum System {
    /// 120/240 V, split phase.
    #[default]
    Split120x240,
    /// 208Y/120 V, three phases.
    Wye208x120,
    /// 230 V, one phase.
    Single230,
    /// 230/400 V, three phases.
    Three230x400,
}

impl System {
    /// The name of the system in the trade.
    pub fn words(self) -> &'static str {
        match self {
            Self::Split120x240 => "120/240 V split phase",
            Self::Wye208x120 => "208Y/120 V",
            Self::Single230 => "230 V single phase",
            Self::Three230x400 => "230/400 V",
        }
    }

    /// The voltage of an ordinary outlet.
    pub fn outlet_volts(self) -> f64 {
        match self {
            Self::Split120x240 | Self::Wye208x120 => 120.0,
            Self::Single230 | Self::Three230x400 => 230.0,
        }
    }
}

/// One circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Rating of its breaker.
    pub breaker: Amps,
    /// Nominal voltage between its conductors.
    pub volts: Volts,
    /// The panel it comes from.
    #[serde(default)]
    pub panel: Option<Id>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
