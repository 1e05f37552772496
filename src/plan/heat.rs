//! What the owner says of the room so that its heat can be added up. Every figure may be missing, and then is unknown, never nought.

use serde::{Deserialize, Serialize};

use super::place::is_default;
use crate::units::{Celsius, CubicMetresPerHour, Irradiance, PerHour, Ratio, UValue, Watts};

/// What lies on the other side of a wall or the ceiling.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Beyond {
    /// The open air, as hot as the hottest day.
    Outdoors,
    /// A room as warm as this one: no heat passes.
    AsWarm,
}

/// A wall or the ceiling, as far as heat passes through it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Side {
    /// What lies beyond.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beyond: Option<Beyond>,
    /// Its U value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub u: Option<UValue>,
}

/// The glass of a window, as far as heat comes in by it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Glass {
    /// Its U value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub u: Option<UValue>,
    /// Share of the sun's heat that gets in, blinds counted (solar heat gain coefficient).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sun_share: Option<Ratio>,
    /// The sun on it at its strongest; nought for a window in the shade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sun: Option<Irradiance>,
}

/// Air that comes in from outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum OutdoorAir {
    /// The room's whole air, so often.
    Changes(PerHour),
    /// By a fan.
    Flow(CubicMetresPerHour),
}

/// What the owner says of the room's heat.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Heat {
    /// Share of the time that a printer prints; where nobody says, all print all the time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duty: Option<Ratio>,
    /// People at work in the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub people: Option<u8>,
    /// Lights switched on, in all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lights: Option<Watts>,
    /// Other machines: computers, dryers, a compressor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub machines: Option<Watts>,
    /// The temperature to be held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub indoors: Option<Celsius>,
    /// Outdoors on the hottest day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outdoors: Option<Celsius>,
    /// Air from outdoors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outdoor_air: Option<OutdoorAir>,
    /// The ceiling.
    #[serde(skip_serializing_if = "is_default")]
    pub ceiling: Side,
    /// Walls by number, in order; what is said of none is unknown.
    #[serde(skip_serializing_if = "is_default")]
    pub walls: Vec<(u16, Side)>,
}

impl Heat {
    /// What is said of wall `k`.
    pub fn wall(&self, k: usize) -> Side {
        let said = self.walls.iter().find(|(wall, _)| usize::from(*wall) == k);
        said.map_or_else(Side::default, |(_, side)| *side)
    }

    /// The same with that said of wall `k`.
    #[must_use]
    pub fn with_wall(&self, k: u16, side: Side) -> Self {
        let others = self.walls.iter().copied().filter(|(wall, _)| *wall != k);
        let said = (side != Side::default()).then_some((k, side));
        let mut walls: Vec<(u16, Side)> = others.chain(said).collect();
        walls.sort_by_key(|(wall, _)| *wall);
        Self {
            walls,
            ..self.clone()
        }
    }

    /// The same for other walls: wall `k` is what `was` says it was before.
    #[must_use]
    pub(super) fn for_walls(&self, was: &[Option<usize>]) -> Self {
        let walls = (0_u16..).zip(was).filter_map(|(k, was)| {
            let side = self.wall((*was)?);
            (side != Side::default()).then_some((k, side))
        });
        Self {
            walls: walls.collect(),
            ..self.clone()
        }
    }

    /// What cannot be, in sentences.
    pub(super) fn faults(&self, walls: usize) -> Vec<String> {
        let mut faults = Vec::new();
        if self.duty.is_some_and(|share| share.value() > 1.0) {
            faults.push("a printer prints at most all the time: 100%".to_owned());
        }
        let beyond = |k: u16| usize::from(k) >= walls;
        for (k, _) in self.walls.iter().filter(|(k, _)| beyond(*k)) {
            let last = walls.saturating_sub(1);
            faults.push(format!("there is no wall {k}; the last is {last}"));
        }
        let rising = self.walls.windows(2).all(|w| match w {
            [a, b] => a.0 < b.0,
            _ => true,
        });
        if !rising {
            faults.push("each wall stands once, the lowest number first".to_owned());
        }
        faults
    }
}
