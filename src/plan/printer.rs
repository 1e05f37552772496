//! Printers: each stands in a slot of a rack and hangs on a UPS or an outlet.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::Id;
use super::place::{Presence, is_default};
use crate::stock::{KindId, Prints};

/// The place of one printer: rack, level from below, place from the left as seen from the front; written `R3.2.1`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlotRef {
    /// The rack.
    pub rack: Id,
    /// Level, the lowest being 1.
    pub level: u8,
    /// Place on the level, the leftmost being 1.
    pub place: u8,
}

/// A text that names no slot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SlotRefError(String);

impl fmt::Display for SlotRefError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} names no slot: write rack, level and place, such as \"R3.2.1\"",
            self.0.chars().take(60).collect::<String>()
        )
    }
}

impl std::error::Error for SlotRefError {}

impl fmt::Display for SlotRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}.{}", self.rack, self.level, self.place)
    }
}

impl FromStr for SlotRef {
    type Err = SlotRefError;

    fn from_str(text: &str) -> Result<Self, SlotRefError> {
        let refused = || SlotRefError(text.to_owned());
        let count = |t: &str| t.parse::<u8>().ok().filter(|n| *n > 0);
        let mut parts = text.split('.');
        let mut next = || parts.next().ok_or_else(refused);
        let (rack, level, place) = (next()?, next()?, next()?);
        if parts.next().is_some() {
            return Err(refused());
        }
        Ok(Self {
            rack: rack.parse().ok().ok_or_else(refused)?,
            level: count(level).ok_or_else(refused)?,
            place: count(place).ok_or_else(refused)?,
        })
    }
}

impl Serialize for SlotRef {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for SlotRef {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(de::Error::custom)
    }
}

/// One printer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Printer {
    /// Its kind in the stock list.
    pub kind: KindId,
    /// The slot it stands in.
    pub slot: SlotRef,
    /// The UPS or the outlet it is plugged into.
    #[serde(default)]
    pub power: Option<Id>,
    /// What is printed on it; what its kind says where none is given.
    #[serde(default, skip_serializing_if = "is_default")]
    pub prints: Option<Prints>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
