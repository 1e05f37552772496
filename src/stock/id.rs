//! The names by which kinds are looked up.

use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// The name of a kind in the stock list: small letters, digits and hyphens, at most 32.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct KindId(Arc<str>);

/// A text that cannot be the name of a kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KindIdError(String);

impl fmt::Display for KindIdError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is no name of a kind: use 1 to 32 small letters, digits and hyphens, such as \"full-72\"",
            self.0.chars().take(60).collect::<String>()
        )
    }
}

impl std::error::Error for KindIdError {}

impl KindId {
    /// A name from its text.
    pub fn new(text: &str) -> Result<Self, KindIdError> {
        let allowed = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if text.is_empty() || text.len() > 32 || !text.chars().all(allowed) {
            return Err(KindIdError(text.to_owned()));
        }
        Ok(Self(text.into()))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for KindId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Serialize for KindId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for KindId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::new(&text).map_err(de::Error::custom)
    }
}
