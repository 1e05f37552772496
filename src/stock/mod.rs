//! The catalogue of kinds of things: printers, racks, boards, pads, UPS, cooling units, lights and cameras, with their data sheet figures.
//!
//! Kinds are data (`assets/stock.ron`); a plan may carry its own kinds, which go before the built-in ones of the same
//! name. Nothing here knows where a thing stands: that is the plan's.

mod id;
mod kinds;

pub use id::{KindId, KindIdError};
pub use kinds::{
    Battery, BoardKind, CameraKind, CoolingKind, Face, FanSpeed, Figure, FigureOrigin, Known,
    LevelKind, LightKind, MeasuredEnvelope, PadKind, PrinterKind, Prints, RackKind, Runtime,
    Stores, Support, Touch, UpsKind,
};

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// A set of kinds by name: the built-in catalogue, or the kinds that a plan carries itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Stock {
    /// Printers.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub printers: BTreeMap<KindId, PrinterKind>,
    /// Racks.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub racks: BTreeMap<KindId, RackKind>,
    /// Shelf boards.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub boards: BTreeMap<KindId, BoardKind>,
    /// Pads under printers.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub pads: BTreeMap<KindId, PadKind>,
    /// Uninterruptible supplies.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub ups: BTreeMap<KindId, UpsKind>,
    /// Cooling units.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub cooling: BTreeMap<KindId, CoolingKind>,
    /// Lights.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub lights: BTreeMap<KindId, LightKind>,
    /// Cameras.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub cameras: BTreeMap<KindId, CameraKind>,
}

/// The built-in catalogue could not be read: a mistake of ours, said in words so that it can be reported.
#[derive(Debug)]
pub struct BuiltinFault(String);

impl std::fmt::Display for BuiltinFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the built-in stock list is damaged: {}", self.0)
    }
}

impl std::error::Error for BuiltinFault {}

impl Stock {
    /// The built-in catalogue: generic, invented kinds with plausible figures.
    pub fn builtin() -> Result<Self, BuiltinFault> {
        read_builtin(include_str!("../../assets/stock.ron"))
    }

    /// The same catalogue with `own` kinds put before those of the same name.
    #[must_use]
    pub fn with(&self, own: &Self) -> Self {
        let mut all = self.clone();
        all.printers.extend(own.printers.clone());
        all.racks.extend(own.racks.clone());
        all.boards.extend(own.boards.clone());
        all.pads.extend(own.pads.clone());
        all.ups.extend(own.ups.clone());
        all.cooling.extend(own.cooling.clone());
        all.lights.extend(own.lights.clone());
        all.cameras.extend(own.cameras.clone());
        all
    }

    /// True where no kind is listed.
    pub fn is_empty(&self) -> bool {
        self == &Self::default()
    }
}

fn read_builtin(text: &str) -> Result<Stock, BuiltinFault> {
    ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .from_str(text)
        .map_err(|e| BuiltinFault(e.to_string()))
}
