//! Documents as text: what is written reads back equal and is laid out for people; what is broken is refused with its place.
//!
//! The documents here are made up: reading and writing must not know what a document means.

use aislewright::storage::message::{Fault, LoadFault, faults};
use aislewright::storage::reader::{MOST_BYTES, read};
use aislewright::storage::writer::{LengthStyle, WriteError, length_text, to_line, to_text};
use proptest::prelude::*;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

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

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
struct Id(String);

impl Ord for Id {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.cmp(&other.0)
    }
}

impl PartialOrd for Id {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

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
        #[expect(
            clippy::option_option,
            reason = "what the text holds must survive, wise or not"
        )]
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

#[test]
fn in_millimetres_every_length_is_metric() {
    let text = to_text(&small(), LengthStyle::Millimetres).unwrap();
    assert!(text.contains(r#"depth: "457.2mm", height: "1879.996875mm""#));
    assert!(!text.contains("ft"));
    assert_eq!(
        read::<Document>("a.ron", text.as_bytes(), 1).unwrap(),
        small()
    );
}

#[test]
fn a_line_holds_the_whole_value() {
    let line = to_line(&small(), LengthStyle::FeetInches).unwrap();
    assert!(line.starts_with("(format: 1, name: ") && line.ends_with(", locked: true)"));
    assert!(!line.contains('\n'));
    assert_eq!(
        read::<Document>("a.ron", line.as_bytes(), 1).unwrap(),
        small()
    );
}

/// A line of exactly 120 characters stays, one of 121 is broken: the width is the format's own rule.
#[test]
fn a_group_is_broken_when_its_line_passes_120_characters() {
    #[derive(Serialize)]
    struct Top {
        inner: Inner,
    }
    #[derive(Serialize)]
    struct Inner {
        a: String,
        b: u8,
    }
    let text = |length: usize| {
        let inner = Inner {
            a: "x".repeat(length),
            b: 1,
        };
        to_text(&Top { inner }, LengthStyle::Millimetres).unwrap()
    };
    let longest = |text: &str| text.lines().map(|line| line.chars().count()).max();
    // Indent 2, `inner: (a: "", b: 1),` 21.
    assert_eq!(longest(&text(97)), Some(120));
    assert_eq!(text(97).lines().count(), 3);
    assert_eq!(text(98).lines().count(), 6);
    assert!(text(98).contains("  inner: (\n    a: \"xxx"));
    assert!(text(98).ends_with("x\",\n    b: 1,\n  ),\n)\n"));
}

/// The inch is 25.4 mm exactly (ISO 31-1), so 1/64 in is 0.396875 mm: 127 units of 1/320 mm.
#[test]
fn lengths_have_one_form() {
    use LengthStyle::{FeetInches, Millimetres};
    let inch = 8128;
    let feet_inches = [
        (0, "0in"),
        (127, "1/64in"),
        (inch / 2, "1/2in"),
        (inch * 5 / 2, "2-1/2in"),
        (inch * 11 + 127 * 63, "11-63/64in"),
        (inch * 12, "1ft"),
        (inch * 12 + 127, "1ft 1/64in"),
        (inch * 13, "1ft 1in"),
        (inch * 149 / 2, "6ft 2-1/2in"),
        (inch * -14, "-1ft 2in"),
        (inch / -4, "-1/4in"),
        (1880 * 320, "1880mm"),
        (1, "0.003125mm"),
        (-1, "-0.003125mm"),
        (128, "0.4mm"),
    ];
    for (units, text) in feet_inches {
        assert_eq!(length_text(units, FeetInches), text);
    }
    let metric = [
        (0, "0mm"),
        (inch, "25.4mm"),
        (127, "0.396875mm"),
        (-480, "-1.5mm"),
    ];
    for (units, text) in metric {
        assert_eq!(length_text(units, Millimetres), text);
    }
    assert_eq!(length_text(i64::MIN, Millimetres), "-28823037615171174.4mm");
}

#[test]
fn what_the_text_cannot_hold_is_not_written() {
    let number = |number: f64| to_text(&[number], LengthStyle::Millimetres);
    assert_eq!(number(f64::NAN), Err(WriteError::NotFinite));
    assert_eq!(number(f64::INFINITY), Err(WriteError::NotFinite));
    assert_eq!(
        to_line(&f32::NEG_INFINITY, LengthStyle::Millimetres),
        Err(WriteError::NotFinite)
    );
    assert_eq!(number(1e300), Ok("(\n  1.0e300,\n)\n".to_owned()));
    assert_eq!(number(-0.0), Ok("(\n  -0.0,\n)\n".to_owned()));
}

/// Groups inside groups, as deep as wanted.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Deep {
    format: u32,
    inside: Vec<Nest>,
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
enum Nest {
    Leaf(u8),
    List(Vec<Nest>),
    Group { inside: Option<Box<Nest>> },
}

#[test]
fn whatever_depth_is_written_can_be_read() {
    let mut deepest = 0;
    for depth in 0..80 {
        let wrap = |nest, step| match step % 2 {
            0 => Nest::List(vec![nest]),
            _ => Nest::Group {
                inside: Some(Box::new(nest)),
            },
        };
        let document = Deep {
            format: 1,
            inside: vec![(0..depth).fold(Nest::Leaf(1), wrap)],
        };
        match to_text(&document, LengthStyle::Millimetres) {
            Ok(text) => {
                assert_eq!(
                    read::<Deep>("deep.ron", text.as_bytes(), 1).unwrap(),
                    document
                );
                deepest = depth;
            }
            Err(error) => assert_eq!(error, WriteError::TooDeep),
        }
    }
    assert!((16..64).contains(&deepest), "{deepest} levels");
}

// ---- Broken texts ----

fn message(bytes: &[u8]) -> String {
    match read::<Document>("a.ron", bytes, 1) {
        Ok(document) => format!("read: {document:?}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn every_broken_text_has_its_message() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_text");
    let mut seen = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "ron") {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let expected = fs::read_to_string(path.with_extension("message"))
            .unwrap_or_else(|_| panic!("{name} has no expected message beside it"));
        let expected = expected.replace("\r\n", "\n");
        match read::<Document>(&name, &fs::read(&path).unwrap(), 1) {
            Ok(_) => panic!("{name} was read"),
            Err(error) => assert_eq!(format!("{error}\n"), expected, "{name}"),
        }
        seen += 1;
    }
    assert!(seen >= 50, "only {seen} broken texts were found");
}

#[test]
fn what_is_no_text_is_named() {
    let utf16: Vec<u8> = SMALL.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let with_mark = [b"\xFF\xFE".as_slice(), &utf16].concat();
    let utf32: Vec<u8> = SMALL
        .chars()
        .flat_map(|c| u32::from(c).to_be_bytes())
        .collect();
    let cases: [(&[u8], &str); 9] = [
        (&utf16, "this is UTF-16 text; save it as UTF-8."),
        (&with_mark, "this is UTF-16 text; save it as UTF-8."),
        (&utf32, "this is UTF-32 text; save it as UTF-8."),
        (
            b"PK\x03\x04\x14\0",
            "this is a zip archive; unpack it first.",
        ),
        (
            b"\x1F\x8B\x08\0",
            "this is a gzip archive; unpack it first.",
        ),
        (
            b"\x89PNG\r\n\x1A\n",
            "this is a PNG picture, not a document.",
        ),
        (
            b"\xFF\xD8\xFF\xE0",
            "this is a JPEG picture, not a document.",
        ),
        (
            b"%PDF-1.7",
            "this is a PDF, not a document that can be edited.",
        ),
        (
            b"\xEF\xBB\xBF  <HTML>",
            "this is a web page, not a document.",
        ),
    ];
    for (bytes, what) in cases {
        assert_eq!(
            message(bytes),
            format!("a.ron: {what}\nNothing was changed.")
        );
    }
}

#[test]
fn a_bad_byte_has_its_place() {
    // 0xE9 is é in Latin-1; the ä before it counts as one character.
    let mut bytes = "(\r\n  format: 1,\r\n  name: \"ä caf".as_bytes().to_vec();
    bytes.extend(b"\xE9\"\r\n)");
    let expected = "a.ron:3:15: byte 0xE9 is no UTF-8; save the file as UTF-8.\n  \
                    3 |   name: \"ä caf\u{FFFD}\"\n    |               ^\nNothing was changed.";
    assert_eq!(message(&bytes), expected);
    let nul = b"(format: 1,\rname: \"a\0b\")";
    let expected = "a.ron:2:9: a NUL byte stands here; the file is damaged or is no text.\n  \
                    2 | name: \"a\u{FFFD}b\")\n    |         ^\nNothing was changed.";
    assert_eq!(message(nul), expected);
}

#[test]
fn line_ends_and_the_byte_order_mark_make_no_difference() {
    let crlf = SMALL.replace('\n', "\r\n");
    let marked = format!("\u{FEFF}{SMALL}");
    let cr = SMALL.replace('\n', "\r");
    for text in [crlf, marked, cr] {
        assert_eq!(
            read::<Document>("a.ron", text.as_bytes(), 1).unwrap(),
            small()
        );
        let broken = text.replace("locked", "locket");
        let error = read::<Document>("a.ron", broken.as_bytes(), 1).unwrap_err();
        assert_eq!((error.line, error.column), (26, 3));
        assert!(error.to_string().ends_with("^^^^^^\nNothing was changed."));
    }
}

#[test]
fn a_newer_format_is_refused_before_the_rest_is_judged() {
    let error = read::<Document>("a.ron", b"( // later\n format: 7, shelf: {{{", 1).unwrap_err();
    assert_eq!(
        *error.what,
        LoadFault::Newer {
            found: 7,
            newest: 1
        }
    );
    assert_eq!((error.line, error.column), (2, 10));
    let older = SMALL.replace("format: 1", "format: 2");
    assert_eq!(
        read::<Document>("a.ron", older.as_bytes(), 2)
            .unwrap()
            .format,
        2
    );
}

#[test]
fn hostile_sizes_give_short_messages() {
    let huge = "x".repeat(10_000_000);
    let in_name = SMALL.replace("locked", &huge);
    let in_variant = SMALL.replace("Door", &huge);
    let in_value = SMALL.replace("1ft 6in", &huge);
    let in_key = SMALL.replace("\"R3\": Rack(", &format!("\"{huge}\": Rack(dept: 1, "));
    let in_number = SMALL.replace("15.0", &huge.replace('x', "9"));
    let brackets = format!("(format: 1, name: {}", "[".repeat(10_000));
    let named_brackets = format!("(format: 1, items: {}", "{1:".repeat(1_000_000));
    let variants = format!("(format: 1, inside: [{}", "List([".repeat(100_000));
    for text in [
        in_name,
        in_variant,
        in_value,
        in_key,
        in_number,
        brackets,
        named_brackets,
    ] {
        let told = message(text.as_bytes());
        assert!(told.len() < 2000, "{} bytes", told.len());
        assert!(
            told.starts_with("a.ron:") && told.ends_with("Nothing was changed."),
            "{told}"
        );
    }
    let error = read::<Deep>("a.ron", variants.as_bytes(), 1).unwrap_err();
    assert_eq!(*error.what, LoadFault::TooDeep);
    let error = read::<Document>("a.ron", &vec![b' '; MOST_BYTES + 1], 1).unwrap_err();
    let told = "a.ron: the file has 64.0 MB; the most that is read is 64 MB.\nNothing was changed.";
    assert_eq!(error.to_string(), told);
}

#[test]
fn many_right_words_are_cut_to_ten() {
    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "lowercase")]
    enum Month {
        January,
        February,
        March,
        April,
        May,
        June,
        July,
        August,
        September,
        October,
        November,
        December,
    }
    #[derive(Debug, Deserialize)]
    struct Year {
        #[expect(dead_code, reason = "it is never read")]
        format: u32,
        month: Month,
    }
    let told = |text: &[u8]| read::<Year>("y.ron", text, 1).unwrap_err().to_string();
    assert_eq!(
        told(b"(format: 1, month: brumaire)"),
        "y.ron:1:20: month: `brumaire` is no Month here; the choices are `january`, `february`, `march`, `april`, \
         `may`, `june`, `july`, `august`, `september`, `october` and 2 more.\n  1 | (format: 1, month: brumaire)\n    \
         |                    ^^^^^^^^\nNothing was changed."
    );
    assert!(told(b"(format: 1, month: setpember)").contains("did you mean `september`?"));
    let month = read::<Year>("y.ron", b"(format: 1, month: may)", 1)
        .unwrap()
        .month;
    assert!(matches!(month, Month::May));
}

#[test]
fn a_panic_of_a_value_is_an_error() {
    #[derive(Debug)]
    struct Broken;
    impl<'de> Deserialize<'de> for Broken {
        fn deserialize<D: Deserializer<'de>>(_: D) -> Result<Self, D::Error> {
            panic!("a mistake of the program")
        }
    }
    let error = read::<Broken>("a.ron", b"(format: 1)", 1).unwrap_err();
    assert!(matches!(*error.what, LoadFault::Stopped(_)));
}

#[test]
fn faults_found_later_are_listed() {
    let fault = |number: usize| Fault {
        path: format!("racks › R{number}"),
        text: format!("there is no circuit C{number}"),
    };
    assert_eq!(
        faults(
            "a.ron",
            &[
                fault(1),
                Fault {
                    path: String::new(),
                    text: "the room is empty".into()
                }
            ]
        ),
        "a.ron: 2 faults:\n  racks › R1: there is no circuit C1.\n  the room is empty.\nNothing was changed."
    );
    let many: Vec<_> = (0..60).map(fault).collect();
    let told = faults("a.ron", &many);
    assert_eq!(told.lines().count(), 1 + 50 + 1 + 1);
    assert!(told.contains("\n  and 10 more.\n"));
}

// ---- Whatever comes ----

/// Text of every kind: plain, any character of Unicode, and those that formats trip over.
fn texts() -> impl Strategy<Value = String> {
    let hard = "[\"'\\\\#/*(){}\\[\\],:r\n\r\t\0\u{1b}\u{7f}\u{85}\u{200b}\u{202e}\u{2028}\u{feff}\u{10ffff}]{0,12}";
    prop_oneof!["[a-zA-Z0-9 ]{0,20}", any::<String>(), hard]
}

fn lengths() -> impl Strategy<Value = Length> {
    prop_oneof![
        (-400_000_i64..400_000).prop_map(|sixty_fourths| Length(sixty_fourths * 127)),
        (-320_000_000_i64..320_000_000).prop_map(Length),
    ]
}

fn racks() -> impl Strategy<Value = Rack> {
    let levels = prop::collection::vec(any::<u16>(), 0..30);
    (texts(), lengths(), prop::option::of(lengths()), levels).prop_map(
        |(kind, depth, height, levels)| Rack {
            kind,
            depth,
            height,
            levels,
        },
    )
}

fn finite() -> impl Strategy<Value = f64> {
    any::<f64>().prop_filter("finite", |number| number.is_finite())
}

fn items() -> impl Strategy<Value = Item> {
    let circuit = prop::option::of(texts().prop_map(Id));
    let spare = prop::option::of(prop::option::of(any::<bool>()));
    let outlet = (circuit, finite(), spare).prop_map(|(circuit, amps, spare)| Item::Outlet {
        circuit,
        amps,
        spare,
    });
    prop_oneof![
        racks().prop_map(Item::Rack),
        outlet,
        (any::<u8>(), texts()).prop_map(|(number, text)| Item::Pair(number, text)),
        prop::collection::vec((lengths(), lengths()), 0..12).prop_map(Item::Trail),
        any::<u32>().prop_map(|grams| Item::Weight(Grams(grams))),
        prop::option::of(racks()).prop_map(Item::Perhaps),
        Just(Item::Nothing(())),
        Just(Item::Door),
    ]
}

fn documents() -> impl Strategy<Value = Document> {
    let items = || prop::collection::vec(items(), 0..4);
    (
        (texts(), any::<char>(), any::<f32>(), lengths(), lengths()),
        prop::collection::btree_map(texts().prop_map(Id), self::items(), 0..6),
        prop::collection::btree_map(any::<u8>(), items(), 0..4),
        (prop::option::of(texts()), any::<bool>()),
    )
        .prop_map(
            |((name, mark, scale, x, y), items, by_number, (note, locked))| Document {
                format: 1,
                name,
                mark,
                scale: if scale.is_finite() { scale } else { 1.0 },
                corner: (x, y),
                items,
                by_number,
                note,
                locked,
            },
        )
}

/// A change to a text: where, how much goes, what comes.
fn changes() -> impl Strategy<Value = Vec<(prop::sample::Index, usize, Vec<u8>)>> {
    let pieces = prop_oneof![
        prop::collection::vec(any::<u8>(), 0..6),
        prop::sample::select(vec![
            "(", ")", "[", "]", "{", "}", "\"", "'", ",", ":", "/*", "//", "r#\"", "b\"", "-", ".",
            "\\u{", "NaN", "1e999", "é"
        ])
        .prop_map(|piece| piece.as_bytes().to_vec()),
    ];
    prop::collection::vec((any::<prop::sample::Index>(), 0_usize..8, pieces), 1..5)
}

fn changed(text: &str, changes: &[(prop::sample::Index, usize, Vec<u8>)]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for (place, gone, come) in changes {
        let start = place.index(bytes.len() + 1);
        let end = (start + gone).min(bytes.len());
        bytes.splice(start..end, come.iter().copied());
    }
    bytes
}

/// Whatever the bytes, the answer is a document or a message of the right form.
fn answered(bytes: &[u8]) -> Result<(), TestCaseError> {
    if let Err(error) = read::<Document>("a.ron", bytes, 1) {
        let told = error.to_string();
        prop_assert!(told.starts_with("a.ron:"), "{told}");
        prop_assert!(told.ends_with("\nNothing was changed."), "{told}");
        prop_assert!(told.len() < 2000, "{} bytes", told.len());
        prop_assert!(
            !told.contains(|c: char| c.is_control() && c != '\n'),
            "{told:?}"
        );
        prop_assert!(!matches!(*error.what, LoadFault::Stopped(_)), "{told}");
        prop_assert_eq!(error.line == 0, error.column == 0);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn what_is_written_reads_back_equal(document in documents(), metric in any::<bool>()) {
        let style = if metric { LengthStyle::Millimetres } else { LengthStyle::FeetInches };
        let text = to_text(&document, style).unwrap();
        prop_assert_eq!(read::<Document>("a.ron", text.as_bytes(), 1).map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?, document.clone());
        let line = to_line(&document, style).unwrap();
        prop_assert_eq!(read::<Document>("a.ron", line.as_bytes(), 1).map_err(|e| TestCaseError::fail(e.to_string()))?, document);
        prop_assert!(!line.contains('\n'));
        prop_assert!(!text.contains(|c: char| c.is_control() && c != '\n'));
    }

    #[test]
    fn lengths_read_back_equal(units in any::<i32>(), metric in any::<bool>()) {
        let style = if metric { LengthStyle::Millimetres } else { LengthStyle::FeetInches };
        prop_assert_eq!(parse_length(&length_text(units.into(), style)), Some(units.into()));
        let sixty_fourths = i64::from(units) * 127;
        prop_assert_eq!(parse_length(&length_text(sixty_fourths, style)), Some(sixty_fourths));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn random_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        answered(&bytes)?;
        let mut started = b"(format: 1,".to_vec();
        started.extend(&bytes);
        answered(&started)?;
    }

    #[test]
    fn changed_texts_are_answered(changes in changes()) {
        answered(&changed(SMALL, &changes))?;
    }
}
