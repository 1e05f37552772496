//! Cooling units on walls, and how each of them blows.

use serde::{Deserialize, Serialize};

use crate::plan::place::is_default;
use crate::plan::{Presence, WallPlace};
use crate::stock::{CoolingKind, KindId};
use crate::units::{Angle, CubicMetresPerHour, Length};

/// A cooling unit that hangs on a wall and blows into the room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoolingUnit {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// The near edge of the case.
    pub at: WallPlace,
    /// Lower edge of the case above the floor.
    pub bottom: Length,
    /// How it blows.
    #[serde(default, skip_serializing_if = "is_default")]
    pub blow: Blow,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}

/// How a placed unit blows: where its vanes point, and how fast its fan runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Blow {
    /// Angle of the vane below the level; above it where it is more than half a turn. That of its kind where none is given.
    #[serde(skip_serializing_if = "is_default")]
    pub down: Option<Angle>,
    /// Angle below the level at which a plate fixed before the outlet sends the air on, whatever the vane says.
    #[serde(skip_serializing_if = "is_default")]
    pub deflector: Option<Angle>,
    /// How far the upright louvres turn the air to the left, looking out of the unit into the room; to the right where it is
    /// more than half a turn.
    #[serde(skip_serializing_if = "is_default")]
    pub aside: Angle,
    /// How far the louvres swing to either side of that.
    #[serde(skip_serializing_if = "is_default")]
    pub swing: Angle,
    /// The fan speed in use.
    #[serde(skip_serializing_if = "is_default")]
    pub fan: Fan,
}

/// A fan speed of a unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Fan {
    /// The top one.
    #[default]
    Top,
    /// One of the lower ones of its kind, 1 being the fastest of them.
    Lower(u8),
}

impl Blow {
    /// The steepest angle up or down at which air is followed, in degrees.
    pub const STEEPEST_DEG: f64 = 75.0;
    /// The farthest that air is turned to one side, swing and all, in degrees.
    pub const FARTHEST_DEG: f64 = 75.0;

    /// What cannot be about its angles, in words.
    pub fn fault(&self) -> Option<&'static str> {
        let steep = |angle: Option<Angle>| {
            angle.is_some_and(|a| a.signed_degrees().abs() > Self::STEEPEST_DEG)
        };
        let swing = self.swing.signed_degrees();
        if steep(self.down) || steep(self.deflector) {
            Some("a vane or deflector sends the air at most 75 degrees up or down")
        } else if swing < 0.0 || self.aside.signed_degrees().abs() + swing > Self::FARTHEST_DEG {
            Some(
                "the air is turned at most 75 degrees to either side, its swing counted, and swings by no less than nought",
            )
        } else {
            None
        }
    }

    /// Degrees below the level at which the air leaves a unit of that kind, negative above it.
    pub fn down_deg(&self, kind: &CoolingKind) -> f64 {
        let vane = self.deflector.or(self.down).unwrap_or(kind.vane_down);
        vane.signed_degrees()
    }
}

impl Fan {
    /// The air flow of a unit of that kind at this speed; `None` where nobody entered it or the kind has no such speed.
    pub fn flow(self, kind: &CoolingKind) -> Option<CubicMetresPerHour> {
        match self {
            Self::Top => kind.top_flow,
            Self::Lower(n) => {
                let k = usize::from(n).checked_sub(1)?;
                kind.lower_speeds.get(k)?.flow
            }
        }
    }

    /// The name of this speed of a unit of that kind.
    pub fn name(self, kind: &CoolingKind) -> String {
        let named = match self {
            Self::Top => return "top".to_owned(),
            Self::Lower(n) => usize::from(n)
                .checked_sub(1)
                .and_then(|k| kind.lower_speeds.get(k)),
        };
        named.map_or_else(|| "unknown".to_owned(), |speed| speed.name.clone())
    }

    /// All speeds of a kind, fastest first.
    pub fn all(kind: &CoolingKind) -> Vec<Self> {
        let lower = (1..=u8::MAX).take(kind.lower_speeds.len()).map(Self::Lower);
        std::iter::once(Self::Top).chain(lower).collect()
    }
}
