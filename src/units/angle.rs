//! Angles: a whole number of 1/1000 degree in one turn, anticlockwise. Knows nothing of what is turned.

use std::error::Error;
use std::fmt;
use std::ops::{Add, Neg, Sub};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::text;

/// Steps in a degree.
const PER_DEGREE: f64 = 1000.0;
/// Steps in a full turn.
const TURN: i32 = 360_000;

/// A direction or a turn, from 0 up to but not including 360 degrees, in steps of 1/1000 degree.
#[derive(Copy, Clone, PartialEq, Eq, Hash, Default)]
pub struct Angle(i32);

impl Angle {
    /// No turn.
    pub const ZERO: Self = Self(0);
    /// A quarter turn, 90 degrees.
    pub const QUARTER: Self = Self(TURN / 4);
    /// Three quarters, 270 degrees: a quarter the other way.
    pub const THREE_QUARTERS: Self = Self(TURN / 4 * 3);

    /// The nearest angle in one turn; what is no number (NaN, infinite) gives zero.
    pub fn from_degrees(degrees: f64) -> Self {
        if !degrees.is_finite() {
            return Self::ZERO;
        }
        let steps = (degrees.rem_euclid(360.0) * PER_DEGREE).round();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "rounded, and within one turn"
        )]
        Self::from_steps(steps as i32)
    }

    fn from_steps(steps: i32) -> Self {
        Self(steps.rem_euclid(TURN))
    }

    /// In degrees, 0 up to 360.
    pub fn degrees(self) -> f64 {
        f64::from(self.0) / PER_DEGREE
    }

    /// In degrees, more than -180 up to 180: the same direction, told from nought to either side.
    pub fn signed_degrees(self) -> f64 {
        let steps = if self.0 > TURN / 2 {
            self.0 - TURN
        } else {
            self.0
        };
        f64::from(steps) / PER_DEGREE
    }

    /// In radians, 0 up to 2π.
    pub fn radians(self) -> f64 {
        self.degrees().to_radians()
    }

    /// Sine and cosine, the same on every machine, and exact at multiples of 90 degrees.
    pub fn sin_cos(self) -> (f64, f64) {
        match self.0 {
            0 => (0.0, 1.0),
            90_000 => (1.0, 0.0),
            180_000 => (0.0, -1.0),
            270_000 => (-1.0, 0.0),
            _ => libm::sincos(self.radians()),
        }
    }

    /// Reads `90`, `90deg`, `22.5°`, `-15 degrees`; a bare number is degrees.
    pub fn parse(typed: &str) -> Result<Self, AngleError> {
        let trimmed = typed.trim();
        if trimmed.is_empty() {
            return Err(AngleError::Empty);
        }
        let refused = || AngleError::NotUnderstood {
            text: text::shortened(trimmed, 40),
        };
        let (value, unit) = text::split_number(trimmed).ok_or_else(refused)?;
        let known = ["", "deg", "degree", "degrees", "°"];
        if !known.contains(&unit.to_lowercase().as_str()) {
            return Err(refused());
        }
        Ok(Self::from_degrees(value))
    }

    /// For reading: `90°`.
    pub fn shown(self) -> String {
        format!("{}°", self.degrees_text())
    }

    /// The one form in a file: `90deg`.
    pub fn file_text(self) -> String {
        format!("{}deg", self.degrees_text())
    }

    fn degrees_text(self) -> String {
        text::exact_decimal(i64::from(self.0), 3)
    }
}

impl fmt::Debug for Angle {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.file_text())
    }
}

impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::from_steps(self.0 + other.0)
    }
}

impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::from_steps(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Self;
    fn neg(self) -> Self {
        Self::from_steps(-self.0)
    }
}

impl Serialize for Angle {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.file_text())
    }
}

impl<'de> Deserialize<'de> for Angle {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let expected = "an angle in quotes, for example \"90deg\"";
        text::deserialize_text(deserializer, expected, Self::parse)
    }
}

/// Why a typed angle was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AngleError {
    /// Nothing but blanks.
    Empty,
    /// No number of degrees.
    NotUnderstood {
        /// What was typed.
        text: String,
    },
}

impl fmt::Display for AngleError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => formatter.write_str("there is no angle here; write one such as 90deg"),
            Self::NotUnderstood { text } => write!(
                formatter,
                "`{text}` is not understood as an angle; write one such as 90deg"
            ),
        }
    }
}

impl Error for AngleError {}
