//! A photo or a scan under the floor, to be traced: where it lies, and its bytes. Must not decode it; that is the editor's.
//!
//! The bytes travel with the plan as text at the end of its file, so that a plan stays one file that can be mailed and the rest of it
//! can be read and compared. In memory they are shared: no step and no copy of a plan holds them twice.

use std::fmt;
use std::sync::Arc;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::de::{Error as _, SeqAccess, Visitor};
use serde::ser::SerializeSeq as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::Label;
use super::place::is_default;
use crate::units::{Angle, Length};

/// Where a picture lies under the floor, and how it is shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tracing {
    /// The name of the file it came from, for people.
    #[serde(default)]
    pub name: Label,
    /// The middle of the picture on the floor, from the room's first corner.
    pub at: (Length, Length),
    /// How wide the picture is on the floor, along its own upper edge; its height follows.
    pub width: Length,
    /// Anticlockwise turn about its middle.
    #[serde(default, skip_serializing_if = "is_default")]
    pub turn: Angle,
    /// How strongly it is drawn, in percent.
    pub opacity: u8,
    /// True while it is not drawn.
    #[serde(default, skip_serializing_if = "is_default")]
    pub hidden: bool,
}

impl Tracing {
    /// The least opacity in percent; below it a picture could be forgotten.
    pub const FAINTEST: u8 = 5;

    /// What is wrong with it, in sentences.
    pub(super) fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        if !(Self::FAINTEST..=100).contains(&self.opacity) {
            faults.push(format!("the opacity is {} to 100 percent", Self::FAINTEST));
        }
        if self.width.mm() < 10.0 || self.width.mm() > 1_000_000.0 {
            faults.push("a picture is 10 mm to 1 km wide on the floor".to_owned());
        }
        faults
    }
}

/// The bytes of a picture, PNG or JPEG, shared by all plans that hold it.
#[derive(Clone)]
pub struct Picture(Arc<Vec<u8>>);

impl Picture {
    /// The most bytes that a plan carries; as text in the file they take a third more.
    pub const MOST_BYTES: usize = 8_000_000;

    /// A picture of these bytes.
    pub fn new(bytes: Vec<u8>) -> Self {
        Self(Arc::new(bytes))
    }

    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// True where both are the very same bytes in memory.
    pub fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }

    /// What is wrong with it, in a sentence.
    pub(super) fn fault(&self) -> Option<String> {
        let bytes = self.bytes();
        if bytes.len() > Self::MOST_BYTES {
            return Some(too_long());
        }
        let known = bytes.starts_with(b"\x89PNG\r\n\x1a\n") || bytes.starts_with(b"\xFF\xD8\xFF");
        (!known).then(|| "the bytes are no PNG and no JPEG picture".to_owned())
    }
}

fn too_long() -> String {
    format!(
        "a picture in a plan has at most {} million bytes; lay a smaller one",
        Picture::MOST_BYTES / 1_000_000
    )
}

impl PartialEq for Picture {
    fn eq(&self, other: &Self) -> bool {
        // Nearly every comparison is of a plan with its own next version, which shares the bytes.
        self.is(other) || self.0 == other.0
    }
}

impl Eq for Picture {}

impl fmt::Debug for Picture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Picture({} bytes)", self.0.len())
    }
}

/// Bytes in one line of the file: 100 characters.
const LINE_BYTES: usize = 75;

impl Serialize for Picture {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let lines = self.0.chunks(LINE_BYTES);
        let mut seq = serializer.serialize_seq(Some(lines.len()))?;
        for line in lines {
            seq.serialize_element(&to_base64(line))?;
        }
        seq.end()
    }
}

impl<'de> Deserialize<'de> for Picture {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Lines;
        impl<'de> Visitor<'de> for Lines {
            type Value = Picture;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a list of lines of base64 text")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Picture, A::Error> {
                let mut bytes = Vec::new();
                while let Some(line) = seq.next_element::<String>()? {
                    let part = from_base64(&line).ok_or_else(|| {
                        A::Error::custom("this line of the picture is no base64 text; copy the file anew or take the picture out")
                    })?;
                    bytes.extend(part);
                    if bytes.len() > Picture::MOST_BYTES {
                        return Err(A::Error::custom(too_long()));
                    }
                }
                Ok(Picture::new(bytes))
            }
        }
        deserializer.deserialize_seq(Lines)
    }
}

fn to_base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

/// The bytes of a line; `None` where it is no base64 text with its padding.
fn from_base64(text: &str) -> Option<Vec<u8>> {
    STANDARD.decode(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn base64_is_that_of_rfc_4648() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(to_base64(plain.as_bytes()), coded);
            assert_eq!(from_base64(coded).as_deref(), Some(plain.as_bytes()));
        }
    }

    #[test]
    fn what_is_no_base64_is_refused() {
        for wrong in ["Zg", "Zg=", "Z===", "====", "Zm9v!g==", "Zg==Zg==", "Zm9vé"] {
            assert_eq!(from_base64(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn every_byte_comes_back() {
        let all: Vec<u8> = (0..=255).collect();
        for from in 0..4 {
            let part = &all[from..];
            assert_eq!(from_base64(&to_base64(part)).as_deref(), Some(part));
        }
    }
}
