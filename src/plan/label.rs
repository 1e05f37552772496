//! Text that people type: names and notes, kept in one normal form and free of control characters.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, de};
use unicode_normalization::UnicodeNormalization as _;

/// A name or a short note: at most 200 characters in normal form C, without control characters.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Label(String);

/// A text that cannot be a label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelError {
    /// Longer than 200 characters.
    TooLong(usize),
    /// Holds a control character, such as a line break or a tab.
    Control(char),
}

impl fmt::Display for LabelError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong(n) => write!(
                f,
                "the text has {n} characters; at most {} are kept, shorten it",
                Label::MOST
            ),
            Self::Control(c) => write!(
                f,
                "the text holds the control character {}; use plain text on one line",
                c.escape_unicode()
            ),
        }
    }
}

impl std::error::Error for LabelError {}

impl Label {
    /// The most characters of a label.
    pub const MOST: usize = 200;

    /// A label from what was typed.
    pub fn new(text: &str) -> Result<Self, LabelError> {
        if let Some(c) = text.chars().find(|c| c.is_control()) {
            return Err(LabelError::Control(c));
        }
        let normal: String = text.nfc().collect();
        let count = normal.chars().count();
        if count > Self::MOST {
            return Err(LabelError::TooLong(count));
        }
        Ok(Self(normal))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// True where nothing is written.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::new(&text).map_err(de::Error::custom)
    }
}
