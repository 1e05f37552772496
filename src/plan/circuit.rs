//! Circuits and the supply behind them.

use serde::{Deserialize, Serialize};

use super::Id;
use super::place::{Presence, is_default};
use crate::units::{Amps, Length, Practice, Volts};

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

    /// Legs of the system: the conductors that single-pole circuits hang on.
    pub const fn legs(self) -> usize {
        match self {
            Self::Single230 => 1,
            Self::Split120x240 => 2,
            Self::Wye208x120 | Self::Three230x400 => 3,
        }
    }

    /// The higher voltage between two legs that a circuit for one machine may have; none where there is one leg.
    pub const fn higher_volts(self) -> Option<f64> {
        match self {
            Self::Split120x240 => Some(240.0),
            Self::Wye208x120 => Some(208.0),
            Self::Single230 | Self::Three230x400 => None,
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

/// How the magnetic release of a breaker answers a short rush of current: its curve by IEC 60898-1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Curve {
    /// At 3 to 5 times its rating.
    B,
    /// At 5 to 10 times.
    C,
    /// At 10 to 20 times.
    D,
}

impl Curve {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::B, Self::C, Self::D];

    /// The multiple of its rating at which it may trip at once, and at which it surely does: IEC 60898-1.
    pub const fn trips_at(self) -> (f64, f64) {
        match self {
            Self::B => (3.0, 5.0),
            Self::C => (5.0, 10.0),
            Self::D => (10.0, 20.0),
        }
    }

    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        }
    }
}

/// The leg (phase conductor) that a circuit begins on. A circuit of two poles takes this one and the next, one of three all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum SupplyLeg {
    /// The first.
    L1,
    /// The second.
    L2,
    /// The third, in systems of three phases.
    L3,
}

impl SupplyLeg {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::L1, Self::L2, Self::L3];

    /// Its number, from 0.
    pub const fn number(self) -> usize {
        match self {
            Self::L1 => 0,
            Self::L2 => 1,
            Self::L3 => 2,
        }
    }

    /// Its name.
    pub const fn words(self) -> &'static str {
        match self {
            Self::L1 => "L1",
            Self::L2 => "L2",
            Self::L3 => "L3",
        }
    }
}

/// A copper conductor in the wall: the sizes of branch circuits in the tables of the handbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Conductor {
    /// 14 AWG.
    Awg14,
    /// 12 AWG.
    Awg12,
    /// 10 AWG.
    Awg10,
    /// 8 AWG.
    Awg8,
    /// 1.5 mm².
    Mm1_5,
    /// 2.5 mm².
    Mm2_5,
    /// 4 mm².
    Mm4,
    /// 6 mm².
    Mm6,
}

impl Conductor {
    /// Every size, the US ones first.
    pub const ALL: [Self; 8] = [
        Self::Awg14,
        Self::Awg12,
        Self::Awg10,
        Self::Awg8,
        Self::Mm1_5,
        Self::Mm2_5,
        Self::Mm4,
        Self::Mm6,
    ];

    /// Its American wire gauge, for those that have one.
    pub const fn gauge(self) -> Option<u8> {
        match self {
            Self::Awg14 => Some(14),
            Self::Awg12 => Some(12),
            Self::Awg10 => Some(10),
            Self::Awg8 => Some(8),
            Self::Mm1_5 | Self::Mm2_5 | Self::Mm4 | Self::Mm6 => None,
        }
    }

    /// Its cross-section in square millimetres, for those that are named by it.
    pub const fn section_mm2(self) -> Option<f64> {
        match self {
            Self::Mm1_5 => Some(1.5),
            Self::Mm2_5 => Some(2.5),
            Self::Mm4 => Some(4.0),
            Self::Mm6 => Some(6.0),
            Self::Awg14 | Self::Awg12 | Self::Awg10 | Self::Awg8 => None,
        }
    }

    /// Every size, those that a room of the practice is likely to have first.
    pub fn for_practice(practice: Practice) -> [Self; 8] {
        let mut all = Self::ALL;
        all.sort_by_key(|size| size.gauge().is_some() != (practice == Practice::Us));
        all
    }

    /// Its size as it is printed on the cable.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Awg14 => "14 AWG",
            Self::Awg12 => "12 AWG",
            Self::Awg10 => "10 AWG",
            Self::Awg8 => "8 AWG",
            Self::Mm1_5 => "1.5 mm²",
            Self::Mm2_5 => "2.5 mm²",
            Self::Mm4 => "4 mm²",
            Self::Mm6 => "6 mm²",
        }
    }
}

/// What cuts a circuit off when current leaks to earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Protection {
    /// Nothing.
    Bare,
    /// A ground-fault circuit interrupter, class A: trips at 6 mA, must not below 4 mA (UL 943).
    GroundFault,
    /// A residual-current device of 10 mA.
    Residual10,
    /// Of 30 mA.
    Residual30,
    /// Of 100 mA.
    Residual100,
    /// Of 300 mA.
    Residual300,
}

impl Protection {
    /// Every one.
    pub const ALL: [Self; 6] = [
        Self::Bare,
        Self::GroundFault,
        Self::Residual10,
        Self::Residual30,
        Self::Residual100,
        Self::Residual300,
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Bare => "none",
            Self::GroundFault => "ground fault, 6 mA",
            Self::Residual10 => "residual current, 10 mA",
            Self::Residual30 => "residual current, 30 mA",
            Self::Residual100 => "residual current, 100 mA",
            Self::Residual300 => "residual current, 300 mA",
        }
    }

    /// The current to earth that may stand behind it for good, in milliamperes: for residual-current devices 30 % of their
    /// rating (BS 7671:2018, 531.3.2); for class A interrupters the current at which they must not trip (UL 943). None where
    /// nothing trips.
    pub const fn standing_ma(self) -> Option<f64> {
        match self {
            Self::Bare => None,
            Self::GroundFault => Some(4.0),
            Self::Residual10 => Some(3.0),
            Self::Residual30 => Some(9.0),
            Self::Residual100 => Some(30.0),
            Self::Residual300 => Some(90.0),
        }
    }
}

/// How a circuit is built; what nobody said is unknown.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CircuitBuild {
    /// Curve of its breaker; breakers without a letter are left open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curve: Option<Curve>,
    /// Poles of its breaker; one, where nobody says, at the voltage of an outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub poles: Option<u8>,
    /// The leg it begins on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leg: Option<SupplyLeg>,
    /// Its conductor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conductor: Option<Conductor>,
    /// What cuts it off when current leaks to earth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
    /// Length of its cable one way, from the panel to the last box, where somebody measured it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run: Option<Length>,
}

/// The longest run of a circuit, in millimetres.
const RUN_MOST_MM: f64 = 1e6;

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
    /// How it is built.
    #[serde(default, skip_serializing_if = "is_default")]
    pub built: CircuitBuild,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}

impl Circuit {
    /// Poles of its breaker: what was said, else two where its voltage is above that of the system's outlets.
    pub fn poles(&self, system: System) -> u8 {
        let two = self.volts.value() > system.outlet_volts() * 1.2;
        self.built.poles.unwrap_or(if two { 2 } else { 1 })
    }

    /// The legs it loads, where somebody said on which it begins.
    pub fn legs(&self, system: System) -> Option<Vec<SupplyLeg>> {
        let first = self.built.leg?.number();
        let of = system.legs();
        let poles = usize::from(self.poles(system)).min(of);
        let legs = (0..poles).filter_map(|k| SupplyLeg::ALL.get((first + k) % of).copied());
        Some(legs.collect())
    }

    /// What cannot be, in sentences.
    pub(super) fn faults(&self, system: System) -> Vec<String> {
        let mut faults = Vec::new();
        if self.built.poles.is_some_and(|p| !(1..=3).contains(&p)) {
            faults.push("a breaker has 1, 2 or 3 poles".to_owned());
        }
        if self.built.leg.is_some_and(|l| l.number() >= system.legs()) {
            faults.push(format!(
                "there is no such leg in a supply of {}; it has {}",
                system.words(),
                system.legs()
            ));
        }
        if self
            .built
            .run
            .is_some_and(|run| !(1.0..=RUN_MOST_MM).contains(&run.mm()))
        {
            faults.push("the run of a circuit is 1 mm to 1 km long".to_owned());
        }
        faults
    }
}
