//! A turn on the spot to the left or the right, as one who walks along a wall tells it. Knows nothing of walls.

use std::error::Error;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Angle, text};

/// A turn in steps of 1/1000 degree: to the left by up to 180 degrees, or to the right by less.
#[derive(Copy, Clone, PartialEq, Eq, Hash, Default)]
pub struct Turn(Angle);

/// A word for a side, and whether it is the left one.
const SIDES: [(&str, bool); 6] = [
    ("left", true),
    ("l", true),
    ("lt", true),
    ("right", false),
    ("r", false),
    ("rt", false),
];

impl Turn {
    /// A quarter to the left.
    pub const LEFT: Self = Self(Angle::QUARTER);
    /// A quarter to the right.
    pub const RIGHT: Self = Self(Angle::THREE_QUARTERS);
    /// No turn: straight on.
    pub const STRAIGHT: Self = Self(Angle::ZERO);

    /// That many degrees to the left, to the right where negative; the nearest turn within a half turn either way.
    pub fn left_by(degrees: f64) -> Self {
        Self(Angle::from_degrees(degrees))
    }

    /// In degrees, left positive: more than -180, up to 180.
    pub fn degrees(self) -> f64 {
        let degrees = self.0.degrees();
        if degrees > 180.0 {
            degrees - 360.0
        } else {
            degrees
        }
    }

    /// The same turn to the other side.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self(-self.0)
    }

    /// This turn and then another.
    #[must_use]
    pub fn then(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// Reads `left`, `L`, `right 45`, `r 22.5°`, `left by 30 deg`, `straight`: a side, alone for a quarter or with its angle
    /// after it; capitals do not matter.
    pub fn parse(typed: &str) -> Result<Self, TurnError> {
        let trimmed = typed.trim();
        if trimmed.is_empty() {
            return Err(TurnError::Empty);
        }
        let end = trimmed
            .find(|c: char| !c.is_alphabetic())
            .unwrap_or(trimmed.len());
        let (word, rest) = trimmed.split_at(end);
        let word = word.to_lowercase();
        let rest = rest.trim();
        if matches!(word.as_str(), "straight" | "ahead") {
            return match rest.to_lowercase().as_str() {
                "" | "on" | "ahead" => Ok(Self::STRAIGHT),
                _ => Err(TurnError::angle(rest)),
            };
        }
        let Some((_, left)) = SIDES.iter().find(|(side, _)| *side == word) else {
            return Err(TurnError::NotUnderstood {
                text: text::shortened(trimmed, 40),
            });
        };
        let quarter = if rest.is_empty() {
            Self::LEFT
        } else {
            Self(measured(rest)?)
        };
        Ok(if *left { quarter } else { quarter.mirrored() })
    }

    /// Where a turn begins in `text`, in bytes: at its first word that names a side or says straight on.
    pub fn find(text: &str) -> Option<usize> {
        let mut from = 0;
        while let Some(start) = text.get(from..)?.find(char::is_alphabetic) {
            let start = from + start;
            let rest = text.get(start..)?;
            let length = rest
                .find(|c: char| !c.is_alphabetic())
                .unwrap_or(rest.len());
            let word = rest.get(..length)?.to_lowercase();
            if SIDES.iter().any(|(side, _)| *side == word)
                || matches!(word.as_str(), "straight" | "ahead")
            {
                return Some(start);
            }
            from = start + length;
        }
        None
    }

    /// The one form in a file: `left`, `right`, `left 45deg`, `straight`.
    pub fn file_text(self) -> String {
        self.written(Angle::file_text)
    }

    /// For reading: `left`, `right 45°`, `straight on`.
    pub fn shown(self) -> String {
        if self == Self::STRAIGHT {
            return "straight on".to_owned();
        }
        self.written(Angle::shown)
    }

    fn written(self, angle: fn(Angle) -> String) -> String {
        let degrees = self.degrees();
        if self == Self::STRAIGHT {
            return "straight".to_owned();
        }
        let (side, size) = if degrees > 0.0 {
            ("left", self.0)
        } else {
            ("right", -self.0)
        };
        if size == Angle::QUARTER {
            side.to_owned()
        } else {
            format!("{side} {}", angle(size))
        }
    }
}

/// The angle after a side: more than 0, up to 180 degrees.
fn measured(typed: &str) -> Result<Angle, TurnError> {
    let plain = match typed.get(..2) {
        Some(by) if by.eq_ignore_ascii_case("by") => typed.get(2..).unwrap_or("").trim_start(),
        Some(_) | None => typed,
    };
    let refused = || TurnError::angle(typed);
    let (degrees, _) = text::split_number(plain).ok_or_else(refused)?;
    if !(degrees > 0.0 && degrees <= 180.0) {
        return Err(refused());
    }
    Angle::parse(plain)
        .ok()
        .filter(|a| *a != Angle::ZERO)
        .ok_or_else(refused)
}

impl fmt::Debug for Turn {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.file_text())
    }
}

impl Serialize for Turn {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.file_text())
    }
}

impl<'de> Deserialize<'de> for Turn {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let expected = "a turn in quotes, for example \"left\" or \"right 45deg\"";
        text::deserialize_text(deserializer, expected, Self::parse)
    }
}

/// Why a typed turn was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TurnError {
    /// Nothing but blanks.
    Empty,
    /// No side.
    NotUnderstood {
        /// What was typed.
        text: String,
    },
    /// A side with an angle that is none.
    Angle {
        /// The angle as typed.
        text: String,
    },
}

impl TurnError {
    fn angle(typed: &str) -> Self {
        Self::Angle {
            text: text::shortened(typed, 40),
        }
    }
}

impl fmt::Display for TurnError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => {
                formatter.write_str("there is no turn here; write left, right or right 45")
            }
            Self::NotUnderstood { text } => write!(
                formatter,
                "`{text}` is not understood as a turn; write left, right, right 45 or straight"
            ),
            Self::Angle { text } => write!(
                formatter,
                "`{text}` is no angle to turn by; a side alone is a quarter turn, else write degrees above 0 and up to 180, such as right 45"
            ),
        }
    }
}

impl Error for TurnError {}
