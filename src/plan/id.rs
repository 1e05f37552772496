//! The short, stable marks of things: `R3`, `C07`, `P017`. A mark is never used twice in a plan.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A mark: one to three capital letters and a number from 1 to 99999.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id {
    prefix: Prefix,
    number: u32,
}

/// The letters of a mark, which say what it marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Prefix([u8; 3]);

/// A text that is no mark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IdError(String);

impl fmt::Display for IdError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is no mark: use one to three capital letters and a number, such as \"R3\" or \"P017\"",
            self.0.chars().take(60).collect::<String>()
        )
    }
}

impl std::error::Error for IdError {}

impl Prefix {
    /// A prefix of one letter.
    pub const fn one(a: u8) -> Self {
        Self([a, 0, 0])
    }

    /// A prefix of two letters.
    pub const fn two(a: u8, b: u8) -> Self {
        Self([a, b, 0])
    }

    fn from_text(text: &str) -> Option<Self> {
        let mut letters = [0; 3];
        if text.is_empty() || text.len() > 3 || !text.bytes().all(|b| b.is_ascii_uppercase()) {
            return None;
        }
        for (slot, b) in letters.iter_mut().zip(text.bytes()) {
            *slot = b;
        }
        Some(Self(letters))
    }

    /// Digits that the number is written with at least: marks of things that come by the dozen line up in lists.
    fn digits(self) -> usize {
        match self.0 {
            [b'P', 0, 0] => 3,
            [b'C', 0, 0] => 2,
            _ => 1,
        }
    }
}

impl fmt::Display for Prefix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0
            .iter()
            .take_while(|b| **b != 0)
            .try_for_each(|b| write!(f, "{}", char::from(*b)))
    }
}

impl Id {
    /// The greatest number of a mark.
    pub const MOST: u32 = 99_999;

    /// A mark from its letters and number; the number is kept within 1 to [`Id::MOST`].
    pub fn new(prefix: Prefix, number: u32) -> Self {
        Self {
            prefix,
            number: number.max(1).min(Self::MOST),
        }
    }

    /// The letters.
    pub fn prefix(self) -> Prefix {
        self.prefix
    }

    /// The number.
    pub fn number(self) -> u32 {
        self.number
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = self.prefix.digits();
        write!(f, "{}{:0digits$}", self.prefix, self.number)
    }
}

impl FromStr for Id {
    type Err = IdError;

    fn from_str(text: &str) -> Result<Self, IdError> {
        let refused = || IdError(text.to_owned());
        let split = text
            .find(|c: char| c.is_ascii_digit())
            .ok_or_else(refused)?;
        let (letters, digits) = text.split_at(split);
        let prefix = Prefix::from_text(letters).ok_or_else(refused)?;
        if digits.len() > 5 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return Err(refused());
        }
        let number: u32 = digits.parse().ok().filter(|n| *n > 0).ok_or_else(refused)?;
        Ok(Self { prefix, number })
    }
}

impl Serialize for Id {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(de::Error::custom)
    }
}

impl Serialize for Prefix {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Prefix {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::from_text(&text)
            .ok_or_else(|| de::Error::custom(IdError(text.chars().take(60).collect())))
    }
}
