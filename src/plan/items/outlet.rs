//! Mains outlets.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Id, Presence, WallPlace};
use crate::units::{Length, Practice};

/// The pattern of a receptacle, by the standard that draws it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Receptacle {
    /// NEMA 5-15, 125 V.
    Nema5x15,
    /// NEMA 5-20, 125 V.
    Nema5x20,
    /// NEMA L5-30, locking, 125 V.
    NemaL5x30,
    /// NEMA 6-20, 250 V.
    Nema6x20,
    /// NEMA L6-30, locking, 250 V.
    NemaL6x30,
    /// CEE 7/3 (type F), 250 V.
    Cee7x3,
    /// BS 1363 (type G), fused plug, 250 V.
    Bs1363,
    /// IEC 60309, blue, 16 A, 250 V.
    Iec309x16,
}

impl Receptacle {
    /// Every pattern.
    pub const ALL: [Self; 8] = [
        Self::Nema5x15,
        Self::Nema5x20,
        Self::NemaL5x30,
        Self::Nema6x20,
        Self::NemaL6x30,
        Self::Cee7x3,
        Self::Bs1363,
        Self::Iec309x16,
    ];

    /// True where it is a pattern of North America (NEMA).
    const fn is_american(self) -> bool {
        matches!(
            self,
            Self::Nema5x15 | Self::Nema5x20 | Self::NemaL5x30 | Self::Nema6x20 | Self::NemaL6x30
        )
    }

    /// Every pattern, those that a room of the practice is likely to have first.
    pub fn for_practice(practice: Practice) -> [Self; 8] {
        let mut all = Self::ALL;
        all.sort_by_key(|pattern| pattern.is_american() != (practice == Practice::Us));
        all
    }

    /// Its name in its standard.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nema5x15 => "NEMA 5-15R",
            Self::Nema5x20 => "NEMA 5-20R",
            Self::NemaL5x30 => "NEMA L5-30R",
            Self::Nema6x20 => "NEMA 6-20R",
            Self::NemaL6x30 => "NEMA L6-30R",
            Self::Cee7x3 => "CEE 7/3 (type F)",
            Self::Bs1363 => "BS 1363 (type G)",
            Self::Iec309x16 => "IEC 60309, 16 A",
        }
    }

    /// The current that it is made for, in amperes: part of its name; 13 A for BS 1363 and 16 A for CEE 7/3, both from memory.
    pub const fn rated_a(self) -> f64 {
        match self {
            Self::Nema5x15 => 15.0,
            Self::Nema5x20 | Self::Nema6x20 => 20.0,
            Self::NemaL5x30 | Self::NemaL6x30 => 30.0,
            Self::Cee7x3 | Self::Iec309x16 => 16.0,
            Self::Bs1363 => 13.0,
        }
    }
}

/// A mains outlet on a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// The middle of the box.
    pub at: WallPlace,
    /// Middle of the box above the floor.
    pub height: Length,
    /// Receptacles in the box.
    pub receptacles: u8,
    /// Their pattern.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub receptacle: Option<Receptacle>,
    /// The circuit that feeds it; unknown until traced.
    #[serde(default)]
    pub circuit: Option<Id>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
