//! Lengths: a whole number of 1/320 mm, so that every millimetre and every 1/64 in is exact.
//! How a length is typed and printed is in `length_text`.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::LengthError;
use super::length_file::length_in_file;
use super::length_text;
use super::text;

/// Units in a millimetre.
const PER_MM: i64 = 320;
/// Units in an inch of exactly 25.4 mm (international inch, 1959).
pub(super) const PER_INCH: i64 = 8128;
/// Inches in a foot.
pub(super) const INCHES_PER_FOOT: i64 = 12;
/// Units in one kilometre, the greatest length either way.
pub(super) const MOST_UNITS: i64 = 1_000_000 * PER_MM;

/// A length or a coordinate, from -1 km to 1 km in steps of 1/320 mm. Arithmetic stops at those ends.
#[derive(Copy, Clone, PartialEq, Eq, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);
    /// The greatest length, 1 km.
    pub const MOST: Self = Self(MOST_UNITS);

    /// From a number of 1/320 mm; beyond 1 km either way it stops at 1 km.
    pub const fn from_units(units: i64) -> Self {
        if units > MOST_UNITS {
            Self(MOST_UNITS)
        } else if units < -MOST_UNITS {
            Self(-MOST_UNITS)
        } else {
            Self(units)
        }
    }

    /// The length as a number of 1/320 mm.
    pub const fn units(self) -> i64 {
        self.0
    }

    /// The length nearest to `mm`; beyond 1 km it stops at 1 km. What is no number (NaN, infinite) gives zero:
    /// callers that compute `mm` from input check it first.
    pub fn from_mm(mm: f64) -> Self {
        if !mm.is_finite() {
            return Self::ZERO;
        }
        let most = MOST_UNITS as f64;
        let units = (mm * PER_MM as f64).round().min(most).max(-most);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "rounded and held within 3.2e8 just above"
        )]
        Self(units as i64)
    }

    /// From whole millimetres; beyond 1 km it stops at 1 km.
    pub const fn from_mm_whole(mm: i32) -> Self {
        Self::from_units(mm as i64 * PER_MM)
    }

    /// From whole inches; beyond 1 km it stops at 1 km.
    pub const fn from_inches(inches: i32) -> Self {
        Self::from_units(inches as i64 * PER_INCH)
    }

    /// From whole feet; beyond 1 km it stops at 1 km.
    pub const fn from_feet(feet: i32) -> Self {
        Self::from_units(feet as i64 * INCHES_PER_FOOT * PER_INCH)
    }

    /// In millimetres.
    pub fn mm(self) -> f64 {
        self.0 as f64 / PER_MM as f64
    }

    /// In inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / PER_INCH as f64
    }

    /// Without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// Half of it; an odd number of units is rounded toward zero.
    pub const fn half(self) -> Self {
        Self(self.0 / 2)
    }

    /// Reads a length as people type it: `6' 2 1/2"`, `6ft2`, `74-1/2 in`, `1.88 m`, `1880mm`.
    /// A number without a unit is inches or millimetres as `bare` says, and is refused without `bare`.
    pub fn parse(text: &str, bare: Option<Practice>) -> Result<Self, LengthError> {
        length_text::parse(text, bare)
    }

    /// For reading: to the nearest 1/16 in (`6' 2 1/2"`) or 0.1 mm (`1880 mm`).
    pub fn shown(self, practice: Practice) -> String {
        match practice {
            Practice::Us => length_text::us_to_sixteenth(self),
            Practice::Metric => length_text::metric_to_tenth(self),
        }
    }

    /// For editing: the exact value; what is no whole 1/64 in is given in millimetres even for US practice.
    pub fn shown_exact(self, practice: Practice) -> String {
        match practice {
            Practice::Us => {
                length_text::us_exact(self).unwrap_or_else(|| length_text::metric_exact(self))
            }
            Practice::Metric => length_text::metric_exact(self),
        }
    }

    /// The one form in a file, exact and free of quotes: `6ft 2-1/2in` for a whole 1/64 in, else `1880mm`.
    pub fn file_text(self) -> String {
        length_in_file(self.0, Practice::Us)
    }

    /// Millimetres with every decimal there is; 1/320 mm is 0.003125 mm.
    pub(super) fn mm_text(self) -> String {
        const MILLIONTHS_PER_UNIT: i64 = 1_000_000 / PER_MM;
        text::exact_decimal(self.0 * MILLIONTHS_PER_UNIT, 6)
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{} mm", self.mm_text())
    }
}

impl Ord for Length {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.cmp(&other.0)
    }
}

impl PartialOrd for Length {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::from_units(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::from_units(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i32> for Length {
    type Output = Self;
    fn mul(self, times: i32) -> Self {
        Self::from_units(self.0 * i64::from(times))
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

impl Serialize for Length {
    /// A named newtype round the number of units; the plan's file writer knows the name and writes `file_text`.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_newtype_struct("Length", &self.0)
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let expected = "a length in quotes with its unit, for example \"6ft 2in\" or \"1880mm\"";
        text::deserialize_text(deserializer, expected, |typed| Self::parse(typed, None))
    }
}

/// How lengths are shown, and what a number without a unit means.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum Practice {
    /// Feet, inches and fractions; a bare number is inches.
    #[default]
    Us,
    /// Millimetres; a bare number is millimetres.
    Metric,
}
