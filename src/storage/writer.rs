//! Writes a document as RON that a person can read, diff and mend.
//!
//! Knows how text is laid out and nothing of what a document means; it opens no file.
//! One type is known by name: a newtype struct called `Length` holds a whole number of 1/320 mm and is printed with its unit.
#![deny(clippy::indexing_slicing)]

use serde::ser::{self, Serialize};
use std::fmt;

use crate::units::{Practice, length_in_file};

/// A line is broken when it would be longer than this many characters, its indent counted.
const WIDEST: usize = 120;
/// The parser's own limit on nested steps; text that goes deeper could not be read back.
const MOST_STEPS: usize = 128;

/// How lengths are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthStyle {
    /// Feet, inches and reduced fractions where the length is a whole number of 1/64 in, else millimetres.
    FeetInches,
    /// Millimetres, exact.
    Millimetres,
}

/// Why a document cannot be written as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WriteError {
    /// A number is infinite or not a number; the text has no way to hold it.
    NotFinite,
    /// Groups lie so deep inside each other that the text could not be read back.
    TooDeep,
    /// A length is held by something other than one whole number.
    NotLength,
    /// A field or variant has a name that cannot stand in the text.
    BadName(String),
    /// A value's own code refused to be written.
    Refused(String),
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => {
                f.write_str("a number is infinite or undefined and cannot be written")
            }
            Self::TooDeep => {
                f.write_str("groups lie more than 64 deep inside each other and cannot be written")
            }
            Self::NotLength => {
                f.write_str("a length is not held as one whole number and cannot be written")
            }
            Self::BadName(name) => write!(f, "{name:?} cannot stand as a name in the text"),
            Self::Refused(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for WriteError {}

impl ser::Error for WriteError {
    fn custom<T: fmt::Display>(why: T) -> Self {
        Self::Refused(why.to_string())
    }
}

/// The document as text: one field of the top struct a line, one item of its lists and maps a line where it fits.
pub fn to_text<T: Serialize>(value: &T, lengths: LengthStyle) -> Result<String, WriteError> {
    let piece = value.serialize(Pieces::new(lengths))?;
    let mut out = String::new();
    piece.lay(&mut out, 0, 0, Rank::Top);
    out.push('\n');
    Ok(out)
}

/// A value as text on one line, without a line end.
pub fn to_line<T: Serialize>(value: &T, lengths: LengthStyle) -> Result<String, WriteError> {
    let mut out = String::new();
    value.serialize(Pieces::new(lengths))?.flat(&mut out);
    Ok(out)
}

/// A length of `units` 1/320 mm in its one canonical form, without quotes: `6ft 2-1/2in`, `1880mm`.
pub fn length_text(units: i64, style: LengthStyle) -> String {
    let practice = match style {
        LengthStyle::FeetInches => Practice::Us,
        LengthStyle::Millimetres => Practice::Metric,
    };
    length_in_file(units, practice)
}

/// A part of the text whose layout is still open.
#[derive(Debug)]
enum Piece {
    /// Printed as it is.
    Leaf(String),
    Group(Group),
}

#[derive(Debug)]
struct Group {
    open: String,
    close: String,
    entries: Vec<Entry>,
    kind: GroupKind,
    /// Characters of the entries on one line, without `open` and `close`; kept so that laying out stays linear.
    inner_width: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum GroupKind {
    /// A list or map, not wrapped in a variant.
    Items,
    /// Fields or tuple whose parentheses the variant around it will give.
    Bare,
    /// Anything else.
    Plain,
}

#[derive(Debug)]
struct Entry {
    key: Option<String>,
    value: Piece,
}

/// How near the top a piece stands; the top struct and its lists are always broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Rank {
    Top,
    Field,
    Inner,
}

impl Piece {
    fn width(&self) -> usize {
        match self {
            Self::Leaf(text) => text.chars().count(),
            Self::Group(group) => group.width(),
        }
    }

    fn flat(&self, out: &mut String) {
        match self {
            Self::Leaf(text) => out.push_str(text),
            Self::Group(group) => group.flat(out),
        }
    }

    /// Appends the piece; `indent` is that of its line, `before` counts the characters already on the line after the indent.
    fn lay(&self, out: &mut String, indent: usize, before: usize, rank: Rank) {
        match self {
            Self::Leaf(text) => out.push_str(text),
            Self::Group(group) => group.lay(out, indent, before, rank),
        }
    }
}

impl Group {
    fn new(open: String, close: &str, kind: GroupKind) -> Self {
        Self {
            open,
            close: close.to_owned(),
            entries: Vec::new(),
            kind,
            inner_width: 0,
        }
    }

    fn push(&mut self, key: Option<String>, value: Piece) {
        let key_width = key.as_ref().map_or(0, |key| key.chars().count() + 2);
        let comma = if self.entries.is_empty() { 0 } else { 2 };
        self.inner_width += key_width + comma + value.width();
        self.entries.push(Entry { key, value });
    }

    fn width(&self) -> usize {
        self.open.chars().count() + self.inner_width + self.close.chars().count()
    }

    fn flat(&self, out: &mut String) {
        out.push_str(&self.open);
        for (index, entry) in self.entries.iter().enumerate() {
            if index > 0 {
                out.push_str(", ");
            }
            entry.push_key(out);
            entry.value.flat(out);
        }
        out.push_str(&self.close);
    }

    fn lay(&self, out: &mut String, indent: usize, before: usize, rank: Rank) {
        let forced = rank == Rank::Top || (rank == Rank::Field && self.kind == GroupKind::Items);
        let fits = indent + before + self.width() < WIDEST; // one place is left for the comma
        if self.entries.is_empty() || (fits && !forced) {
            return self.flat(out);
        }
        let rank = if rank == Rank::Top {
            Rank::Field
        } else {
            Rank::Inner
        };
        let deeper = indent + 2;
        out.push_str(&self.open);
        out.push('\n');
        for entry in &self.entries {
            out.extend(std::iter::repeat_n(' ', deeper));
            entry.push_key(out);
            let before = entry.key.as_ref().map_or(0, |key| key.chars().count() + 2);
            entry.value.lay(out, deeper, before, rank);
            out.push_str(",\n");
        }
        out.extend(std::iter::repeat_n(' ', indent));
        out.push_str(&self.close);
    }
}

impl Entry {
    fn push_key(&self, out: &mut String) {
        if let Some(key) = &self.key {
            out.push_str(key);
            out.push_str(": ");
        }
    }
}

/// Turns values into pieces.
#[derive(Clone, Copy, Debug)]
struct Pieces {
    lengths: LengthStyle,
    /// Steps of nesting so far, counted as the parser counts them.
    steps: usize,
    /// Directly inside a newtype variant: fields and tuples leave their parentheses to it.
    in_variant: bool,
    /// `Some` around this value that are not printed unless it is `None`.
    somes: usize,
}

impl Pieces {
    fn new(lengths: LengthStyle) -> Self {
        Self {
            lengths,
            steps: 0,
            in_variant: false,
            somes: 0,
        }
    }

    fn deeper(self, steps: usize) -> Result<Self, WriteError> {
        let steps = self.steps + steps;
        if steps > MOST_STEPS {
            return Err(WriteError::TooDeep);
        }
        Ok(Self {
            steps,
            in_variant: false,
            somes: 0,
            ..self
        })
    }

    fn parentheses(self) -> Result<Children, WriteError> {
        let group = if self.in_variant {
            Group::new(String::new(), "", GroupKind::Bare)
        } else {
            Group::new("(".to_owned(), ")", GroupKind::Plain)
        };
        Children::new(self, group)
    }

    fn variant(self, name: &'static str) -> Result<Children, WriteError> {
        // One step is the enum, and the parser needs one more for the name.
        let inside = self.deeper(2)?;
        Children::new(
            inside,
            Group::new(format!("{}(", identifier(name)?), ")", GroupKind::Plain),
        )
    }
}

/// A group being filled.
#[derive(Debug)]
struct Children {
    child: Pieces,
    group: Group,
    key: Option<String>,
}

impl Children {
    fn new(around: Pieces, group: Group) -> Result<Self, WriteError> {
        Ok(Self {
            child: around.deeper(2)?,
            group,
            key: None,
        })
    }

    fn push<T: Serialize + ?Sized>(
        &mut self,
        key: Option<String>,
        value: &T,
    ) -> Result<(), WriteError> {
        let value = value.serialize(self.child)?;
        self.group.push(key, value);
        Ok(())
    }
}

fn leaf(text: impl Into<String>) -> Piece {
    Piece::Leaf(text.into())
}

/// The shortest digits that read back equal, always with a decimal point.
fn float(finite: bool, shortest: &str) -> Result<Piece, WriteError> {
    if !finite {
        return Err(WriteError::NotFinite);
    }
    match shortest.split_once('e') {
        Some((digits, exponent)) if !digits.contains('.') => {
            Ok(leaf(format!("{digits}.0e{exponent}")))
        }
        _ => Ok(leaf(shortest)),
    }
}

/// A name as the text takes it: bare, or as a raw identifier.
fn identifier(name: &str) -> Result<String, WriteError> {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let raw = |c: char| bare(c) || matches!(c, '-' | '.' | '+');
    if name.is_empty() || !name.chars().all(raw) {
        Err(WriteError::BadName(name.to_owned()))
    } else if name.chars().all(bare) && !name.starts_with(|c: char| c.is_ascii_digit()) {
        Ok(name.to_owned())
    } else {
        Ok(format!("r#{name}"))
    }
}

/// Letters that would change how the text around them looks or where its lines end.
fn needs_escape(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{2069}' | '\u{FEFF}' | '\u{61C}')
}

fn quoted(text: &str, quote: char) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push(quote);
    for c in text.chars() {
        match c {
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            '\\' => out.push_str("\\\\"),
            c if c == quote => out.extend(['\\', c]),
            c if needs_escape(c) => out.extend(c.escape_unicode()),
            c => out.push(c),
        }
    }
    out.push(quote);
    out
}

impl ser::Serializer for Pieces {
    type Ok = Piece;
    type Error = WriteError;
    type SerializeSeq = Children;
    type SerializeTuple = Children;
    type SerializeTupleStruct = Children;
    type SerializeTupleVariant = Children;
    type SerializeMap = Children;
    type SerializeStruct = Children;
    type SerializeStructVariant = Children;

    fn serialize_bool(self, v: bool) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_i8(self, v: i8) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_i16(self, v: i16) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_i32(self, v: i32) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_i64(self, v: i64) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_u8(self, v: u8) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_u16(self, v: u16) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_u32(self, v: u32) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_u64(self, v: u64) -> Result<Piece, WriteError> {
        Ok(leaf(v.to_string()))
    }
    fn serialize_f32(self, v: f32) -> Result<Piece, WriteError> {
        float(v.is_finite(), &format!("{v:?}"))
    }
    fn serialize_f64(self, v: f64) -> Result<Piece, WriteError> {
        float(v.is_finite(), &format!("{v:?}"))
    }
    fn serialize_char(self, v: char) -> Result<Piece, WriteError> {
        Ok(leaf(quoted(v.encode_utf8(&mut [0; 4]), '\'')))
    }
    fn serialize_str(self, v: &str) -> Result<Piece, WriteError> {
        Ok(leaf(quoted(v, '"')))
    }

    fn serialize_bytes(self, v: &[u8]) -> Result<Piece, WriteError> {
        let escaped = v
            .iter()
            .fold(String::new(), |out, byte| out + &format!("\\x{byte:02x}"));
        Ok(leaf(format!("b\"{escaped}\"")))
    }

    fn serialize_none(self) -> Result<Piece, WriteError> {
        Ok(leaf(format!(
            "{}None{}",
            "Some(".repeat(self.somes),
            ")".repeat(self.somes)
        )))
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<Piece, WriteError> {
        let inside = self.deeper(1)?;
        value.serialize(Self {
            in_variant: self.in_variant,
            somes: self.somes + 1,
            ..inside
        })
    }

    fn serialize_unit(self) -> Result<Piece, WriteError> {
        Ok(leaf(if self.in_variant { "" } else { "()" }))
    }

    fn serialize_unit_struct(self, _name: &'static str) -> Result<Piece, WriteError> {
        self.serialize_unit()
    }

    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<Piece, WriteError> {
        self.deeper(2)?;
        Ok(leaf(identifier(variant)?))
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        name: &'static str,
        value: &T,
    ) -> Result<Piece, WriteError> {
        let inside = Self {
            somes: self.somes,
            ..self.deeper(1)?
        };
        let piece = value.serialize(inside)?;
        if name != "Length" {
            return Ok(piece);
        }
        match piece {
            Piece::Leaf(digits) => {
                let units = digits.parse().map_err(|_no_number| WriteError::NotLength)?;
                Ok(leaf(format!("\"{}\"", length_text(units, self.lengths))))
            }
            Piece::Group(_) => Err(WriteError::NotLength),
        }
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<Piece, WriteError> {
        let name = identifier(variant)?;
        let inside = Self {
            in_variant: true,
            ..self.deeper(2)?
        };
        Ok(match value.serialize(inside)? {
            Piece::Leaf(text) => Piece::Leaf(format!("{name}({text})")),
            Piece::Group(mut group) => {
                group.open.insert_str(0, &format!("{name}("));
                group.close.push(')');
                group.kind = GroupKind::Plain;
                Piece::Group(group)
            }
        })
    }

    fn serialize_seq(self, _len: Option<usize>) -> Result<Children, WriteError> {
        Children::new(self, Group::new("[".to_owned(), "]", GroupKind::Items))
    }

    fn serialize_tuple(self, _len: usize) -> Result<Children, WriteError> {
        self.parentheses()
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Children, WriteError> {
        self.parentheses()
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Children, WriteError> {
        self.variant(variant)
    }

    fn serialize_map(self, _len: Option<usize>) -> Result<Children, WriteError> {
        Children::new(self, Group::new("{".to_owned(), "}", GroupKind::Items))
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Children, WriteError> {
        self.parentheses()
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Children, WriteError> {
        self.variant(variant)
    }
}

impl ser::SerializeSeq for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        self.push(None, value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeTuple for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        self.push(None, value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeTupleStruct for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_field<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        self.push(None, value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeTupleVariant for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_field<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        self.push(None, value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeMap for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), WriteError> {
        let mut text = String::new();
        key.serialize(self.child)?.flat(&mut text);
        self.key = Some(text);
        Ok(())
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        let key = self.key.take();
        self.push(key, value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeStruct for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_field<T: Serialize + ?Sized>(
        &mut self,
        key: &'static str,
        value: &T,
    ) -> Result<(), WriteError> {
        self.push(Some(identifier(key)?), value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}

impl ser::SerializeStructVariant for Children {
    type Ok = Piece;
    type Error = WriteError;
    fn serialize_field<T: Serialize + ?Sized>(
        &mut self,
        key: &'static str,
        value: &T,
    ) -> Result<(), WriteError> {
        self.push(Some(identifier(key)?), value)
    }
    fn end(self) -> Result<Piece, WriteError> {
        Ok(Piece::Group(self.group))
    }
}
