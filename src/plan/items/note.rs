//! Notes on the floor: what a person wants said at a place, to themselves or to whoever builds from the sheet.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, de};
use unicode_normalization::UnicodeNormalization as _;

use super::End;
use crate::plan::Presence;
use crate::plan::place::is_default;
use crate::units::Length;

/// The text of a note: at most 4000 characters in normal form C on as many lines as it likes, without other control characters.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct NoteText(String);

/// A text that cannot be that of a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteTextError {
    /// Holds no letter.
    Empty,
    /// Longer than a note may be.
    TooLong(usize),
    /// Holds a control character that is no line break.
    Control(char),
}

impl fmt::Display for NoteTextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the note says nothing; write something, or take it away"),
            Self::TooLong(n) => write!(
                f,
                "the note has {n} characters; at most {} are kept, shorten it",
                NoteText::MOST
            ),
            Self::Control(c) => write!(
                f,
                "the note holds the control character {}; use plain text and line breaks",
                c.escape_unicode()
            ),
        }
    }
}

impl std::error::Error for NoteTextError {}

impl NoteText {
    /// The most characters of a note.
    pub const MOST: usize = 4_000;

    /// The text of a note from what was typed; every way to break a line becomes one line feed, and blanks at the end go.
    pub fn new(text: &str) -> Result<Self, NoteTextError> {
        let text = text.replace("\r\n", "\n").replace('\r', "\n");
        let mut refused = text.chars().filter(|c| c.is_control() && *c != '\n');
        if let Some(c) = refused.next() {
            return Err(NoteTextError::Control(c));
        }
        let normal: String = text.trim_end().nfc().collect();
        let count = normal.chars().count();
        if count > Self::MOST {
            return Err(NoteTextError::TooLong(count));
        }
        if normal.trim().is_empty() {
            return Err(NoteTextError::Empty);
        }
        Ok(Self(normal))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl<'de> Deserialize<'de> for NoteText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::new(&text).map_err(de::Error::custom)
    }
}

/// A note at a point of the floor. It has no body. Its pointer goes where what it points at is taken away; the note stays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// What it says.
    pub text: NoteText,
    /// Where it stands: right of and up the sheet from the first corner of the room.
    pub at: (Length, Length),
    /// What it points at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pointer: Option<End>,
    /// When it is there.
    #[serde(default, skip_serializing_if = "is_default")]
    pub presence: Presence,
}
