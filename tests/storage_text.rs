//! Documents as text: what is written reads back equal and is laid out for people; what is broken is refused with its place.
//!
//! The documents here are made up: reading and writing must not know what a document means.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use aislewright::storage::message::{Fault, LoadFault, faults};
use aislewright::storage::reader::read;
use aislewright::storage::writer::{LengthStyle, WriteError, length_text, to_line, to_text};
use proptest::prelude::*;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// A stand-in for the program's length: 1/320 mm, written by name, read from text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Length(i64);

impl Serialize for Length {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_newtype_struct("Length", &self.0)
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_length(&text).map(Self).ok_or_else(|| {
            D::Error::custom(format!(
                "{text:?} is no length; inches go from 0 to 11 63/64"
            ))
        })
    }
}

/// Reads only the canonical forms.
fn parse_length(text: &str) -> Option<i64> {
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    if let Some(mm) = text.strip_suffix("mm") {
        let (whole, part) = mm.split_once('.').unwrap_or((mm, "0"));
        let part: i64 = format!("{part:0<6}").parse().ok()?;
        return Some(sign * (whole.parse::<i64>().ok()?.checked_mul(320)? + part / 3125));
    }
    let (feet, inches) = match text.split_once("ft") {
        Some((feet, inches)) => (feet.parse::<i64>().ok()?, inches.trim()),
        None => (0, text),
    };
    let mut sixty_fourths = feet.checked_mul(768)?;
    if !inches.is_empty() {
        let inches = inches.strip_suffix("in")?;
        let (whole, part) = match inches.split_once('-') {
            Some((whole, part)) => (whole, part),
            None if inches.contains('/') => ("0", inches),
            None => (inches, "0/1"),
        };
        let whole = whole.parse::<i64>().ok()?;
        let (top, bottom) = part.split_once('/')?;
        let part = top.parse::<i64>().ok()? * 64 / bottom.parse::<i64>().ok()?;
        if whole > 11 {
            return None;
        }
        sixty_fourths += whole * 64 + part;
    }
    Some(sign * sixty_fourths.checked_mul(127)?)
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
struct Id(String);

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Grams(u32);

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Rack {
    kind: String,
    depth: Length,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    height: Option<Length>,
    levels: Vec<u16>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Item {
    Rack(Rack),
    Outlet {
        circuit: Option<Id>,
        amps: f64,
        spare: Option<Option<bool>>,
    },
    Pair(u8, String),
    Trail(Vec<(Length, Length)>),
    Weight(Grams),
    Perhaps(Option<Rack>),
    Nothing(()),
    Door,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: u32,
    name: String,
    mark: char,
    scale: f32,
    corner: (Length, Length),
    items: BTreeMap<Id, Item>,
    by_number: BTreeMap<u8, Vec<Item>>,
    #[serde(default)]
    note: Option<String>,
    locked: bool,
}

fn small() -> Document {
    let rack = Rack {
        kind: "wire".into(),
        depth: Length(18 * 8128),
        height: Some(Length(74 * 8128 + 127)),
        levels: vec![1, 2, 3],
    };
    let outlet = Item::Outlet {
        circuit: Some(Id("C07".into())),
        amps: 15.0,
        spare: Some(None),
    };
    let steps = (0..9).map(|step| (Length(step * 8128 * 7), Length(320 * step)));
    Document {
        format: 1,
        name: "Back \"room\"\n2".into(),
        mark: '\'',
        scale: 0.1,
        corner: (Length(0), Length(-14 * 8128)),
        items: BTreeMap::from([
            (Id("O1".into()), outlet),
            (Id("R3".into()), Item::Rack(rack)),
            (Id("T1".into()), Item::Trail(steps.collect())),
        ]),
        by_number: BTreeMap::from([(
            4,
            vec![Item::Door, Item::Nothing(()), Item::Weight(Grams(900))],
        )]),
        note: None,
        locked: true,
    }
}

const SMALL: &str = r#"(
  format: 1,
  name: "Back \"room\"\n2",
  mark: '\'',
  scale: 0.1,
  corner: ("0in", "-1ft 2in"),
  items: {
    "O1": Outlet(circuit: "C07", amps: 15.0, spare: Some(None)),
    "R3": Rack(kind: "wire", depth: "1ft 6in", height: "6ft 2-1/64in", levels: [1, 2, 3]),
    "T1": Trail([
      ("0in", "0in"),
      ("7in", "1mm"),
      ("1ft 2in", "2mm"),
      ("1ft 9in", "3mm"),
      ("2ft 4in", "4mm"),
      ("2ft 11in", "5mm"),
      ("3ft 6in", "6mm"),
      ("4ft 1in", "7mm"),
      ("4ft 8in", "8mm"),
    ]),
  },
  by_number: {
    4: [Door, Nothing(), Weight(900)],
  },
  note: None,
  locked: true,
)
"#;

#[test]
fn a_document_is_laid_out_one_item_a_line() {
    assert_eq!(to_text(&small(), LengthStyle::FeetInches).unwrap(), SMALL);
    assert_eq!(
        read::<Document>("a.ron", SMALL.as_bytes(), 1).unwrap(),
        small()
    );
}
