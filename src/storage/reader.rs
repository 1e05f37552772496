//! Reads a document from the bytes of a file, or says in plain words where and why it cannot be read.
//!
//! Opens no file and knows no document: whatever the type to be read refuses is passed on with its place.
//! Every loop ends with the bytes; nothing here can be made to overflow the stack.
#![deny(clippy::indexing_slicing)]

use super::message::{Excerpt, LoadError, LoadFault, joined_path, shown};
use super::scan::{self, FlawKind, Kind, Spot, Token};
use ron::extensions::Extensions;
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;
use std::thread;

/// The most bytes a document may have; whoever reads the file should stop there.
pub const MOST_BYTES: usize = 64_000_000;
/// Stack for the parser, many times what its own limit on nesting needs.
const STACK: usize = 8 << 20;
/// Marks under a source line go no further than this.
const MOST_MARKS: usize = 100;

/// Reads a document. `name` is the file as the user named it; `newest_format` the newest format number that can be read.
pub fn read<T: DeserializeOwned + Send>(
    name: &str,
    bytes: &[u8],
    newest_format: u32,
) -> Result<T, LoadError> {
    let text = as_text(name, bytes)?;
    let source = Source { name, text };
    source.check_format(newest_format)?;
    let value = source.parse()?;
    match scan::unbounded(text) {
        None => Ok(value),
        Some((number, path)) => {
            let why = format!("`{}` is no number that can be kept", shown(number.of(text)));
            Err(source.error(Some(number), &path, LoadFault::BadValue(why)))
        }
    }
}

/// The bytes as text without byte order mark, if they are text.
fn as_text<'a>(name: &str, bytes: &'a [u8]) -> Result<&'a str, LoadError> {
    if bytes.len() > MOST_BYTES {
        return Err(whole_file(
            name,
            LoadFault::TooBig {
                bytes: bytes.len(),
                most: MOST_BYTES,
            },
        ));
    }
    if let Some(what) = other_kind(bytes) {
        return Err(whole_file(name, LoadFault::NotText(what.to_owned())));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(fault) => return Err(bad_byte(name, bytes, fault.valid_up_to())),
    };
    match text.find('\0') {
        None => Ok(text),
        Some(at) => {
            let nul = Token {
                kind: Kind::Other,
                start: at,
                end: at + 1,
            };
            let what = "a NUL byte stands here; the file is damaged or is no text".to_owned();
            Err(Source { name, text }.error(Some(nul), &[], LoadFault::NotText(what)))
        }
    }
}

fn whole_file(name: &str, what: LoadFault) -> LoadError {
    LoadError {
        file: name.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        what: Box::new(what),
        excerpt: None,
    }
}

/// What the first bytes give away about a file that is no document.
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    let starts: [(&[u8], &str); 9] = [
        (b"\xFF\xFE\0\0", "this is UTF-32 text; save it as UTF-8"),
        (b"\0\0\xFE\xFF", "this is UTF-32 text; save it as UTF-8"),
        (b"\xFF\xFE", "this is UTF-16 text; save it as UTF-8"),
        (b"\xFE\xFF", "this is UTF-16 text; save it as UTF-8"),
        (b"PK\x03\x04", "this is a zip archive; unpack it first"),
        (b"\x1F\x8B", "this is a gzip archive; unpack it first"),
        (b"\x89PNG", "this is a PNG picture, not a document"),
        (b"\xFF\xD8\xFF", "this is a JPEG picture, not a document"),
        (b"%PDF", "this is a PDF, not a document that can be edited"),
    ];
    let known = starts.iter().find(|(start, _)| bytes.starts_with(start));
    known.map(|(_, what)| *what).or_else(|| match bytes {
        [a, 0, 0, 0, ..] if *a != 0 => Some("this is UTF-32 text; save it as UTF-8"),
        [0, 0, 0, a, ..] if *a != 0 => Some("this is UTF-32 text; save it as UTF-8"),
        [a, 0, ..] if *a != 0 => Some("this is UTF-16 text; save it as UTF-8"),
        [0, a, ..] if *a != 0 => Some("this is UTF-16 text; save it as UTF-8"),
        _ => other_language(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)),
    })
}

fn other_language(bytes: &[u8]) -> Option<&'static str> {
    let text = bytes.trim_ascii_start();
    let starts = |word: &[u8]| {
        text.get(..word.len())
            .is_some_and(|head| head.eq_ignore_ascii_case(word))
    };
    if starts(b"<!doctype html") || starts(b"<html") {
        Some("this is a web page, not a document")
    } else if starts(b"<svg") || starts(b"<?xml") || starts(b"<") {
        Some("this is XML or SVG, not a document")
    } else if starts(b"{") || starts(b"[") {
        Some("this looks like JSON; a document starts with `(format: `")
    } else {
        None
    }
}

/// The error for the first byte that is no UTF-8.
fn bad_byte(name: &str, bytes: &[u8], at: usize) -> LoadError {
    // Up to the bad byte both texts are the same.
    let text = String::from_utf8_lossy(bytes);
    let byte = bytes.get(at).copied().unwrap_or_default();
    let what = format!("byte 0x{byte:02X} is no UTF-8; save the file as UTF-8");
    let token = Token {
        kind: Kind::Other,
        start: at,
        end: at + 1,
    };
    Source { name, text: &text }.error(Some(token), &[], LoadFault::NotText(what))
}

/// A text and where it is from.
#[derive(Clone, Copy, Debug)]
struct Source<'a> {
    name: &'a str,
    text: &'a str,
}

impl Source<'_> {
    fn error(&self, token: Option<Token>, path: &[String], what: LoadFault) -> LoadError {
        let Some(token) = token else {
            return LoadError {
                path: joined_path(path),
                ..whole_file(self.name, what)
            };
        };
        let (line, column) = scan::line_column(self.text, token.start);
        let marked = token
            .of(self.text)
            .chars()
            .take(MOST_MARKS)
            .take_while(|c| !matches!(c, '\n' | '\r'));
        let excerpt = Excerpt::new(
            scan::source_line(self.text, token.start),
            column,
            marked.count(),
        );
        LoadError {
            file: self.name.to_owned(),
            line,
            column,
            path: joined_path(path),
            what: Box::new(what),
            excerpt: Some(excerpt),
        }
    }

    /// The format number stands first, so that a file of a newer version is known before anything else in it is judged.
    fn check_format(&self, newest: u32) -> Result<(), LoadError> {
        let mut tokens = scan::Tokens::new(self.text);
        let no_format = |token: Option<Token>, why: &str| {
            let what = format!("{why}; a document starts with `(format: {newest},`");
            self.error(token, &[], LoadFault::NoFormat(what))
        };
        let Some(open) = tokens.next() else {
            return Err(no_format(None, "the file is empty"));
        };
        if open.kind != Kind::Open('(') {
            return Err(no_format(Some(open), "this is no document"));
        }
        let (field, colon, number) = (tokens.next(), tokens.next(), tokens.next());
        let named =
            field.is_some_and(|field| field.kind == Kind::Word && field.of(self.text) == "format");
        let Some(number) =
            number.filter(|_| named && colon.is_some_and(|colon| colon.kind == Kind::Colon))
        else {
            return Err(no_format(
                field.or(Some(open)),
                "the format number is not the first field",
            ));
        };
        match number.of(self.text).parse::<u32>() {
            Ok(0) | Err(_) => {
                let why = format!("`{}` is no format number", shown(number.of(self.text)));
                Err(no_format(Some(number), &why))
            }
            Ok(found) if found > newest => {
                Err(self.error(Some(number), &[], LoadFault::Newer { found, newest }))
            }
            Ok(_) => Ok(()),
        }
    }

    fn parse<T: DeserializeOwned + Send>(&self) -> Result<T, LoadError> {
        let stopped = |why: &str| whole_file(self.name, LoadFault::Stopped(why.to_owned()));
        thread::scope(|scope| {
            let worker = thread::Builder::new()
                .stack_size(STACK)
                .spawn_scoped(scope, || parse_text(self.text));
            let Ok(worker) = worker else {
                return Err(stopped(
                    "no memory for a thread; close other programs and try again",
                ));
            };
            match worker.join() {
                Ok(parsed) => parsed.map_err(|refusal| self.explain(&refusal)),
                Err(_) => Err(stopped(
                    "the program made a mistake; please report it with the file",
                )),
            }
        })
    }

    /// Turns the parser's refusal into what a person is told.
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "the parser's list of complaints is open; the rest is passed on in its own words"
    )]
    fn explain(&self, refusal: &Refusal) -> LoadError {
        use ron::Error as E;
        let end = refusal.error.span.end;
        let place = scan::byte_at(self.text, end.line, end.col);
        let spot = scan::spot(self.text, place);
        let at_value = spot.finished();
        let (token, what) = match &refusal.error.code {
            E::NoSuchStructField {
                expected,
                found,
                outer,
            } => {
                let (found, owner, known) = (found.clone(), named(outer.as_ref()), words(expected));
                (
                    at_value,
                    LoadFault::UnknownField {
                        found,
                        owner,
                        known,
                    },
                )
            }
            E::NoSuchEnumVariant {
                expected,
                found,
                outer,
            } => {
                let (found, owner, known) = (found.clone(), named(outer.as_ref()), words(expected));
                (
                    at_value,
                    LoadFault::UnknownVariant {
                        found,
                        owner,
                        known,
                    },
                )
            }
            E::MissingStructField { field, outer } => {
                let (field, owner) = ((*field).to_owned(), named(outer.as_ref()));
                (spot.around, LoadFault::MissingField { field, owner })
            }
            E::DuplicateStructField { field, .. } => (
                at_value,
                LoadFault::DoubleField {
                    field: (*field).to_owned(),
                },
            ),
            E::Message(message) => (at_value, LoadFault::BadValue(message.clone())),
            E::InvalidValueForType { expected, found } => (
                at_value,
                LoadFault::BadValue(format!("{found} stands where {expected} is expected")),
            ),
            E::ExpectedDifferentLength { expected, found } => (
                at_value,
                LoadFault::BadValue(format!(
                    "{expected} is expected, but the values here are {found}"
                )),
            ),
            E::IntegerOutOfBounds => (at_value, self.too_large(at_value)),
            E::ExceededRecursionLimit => (spot.after.or(spot.before), LoadFault::TooDeep),
            other => match self.flaw() {
                Some(error) => return error,
                None => self.unexpected(other, &spot, place),
            },
        };
        let mut path = refusal.path.as_slice();
        if let (LoadFault::UnknownField { found, .. }, Some((last, around))) =
            (&what, path.split_last())
            && found == last
        {
            path = around;
        }
        self.error(token, path, what)
    }

    fn too_large(&self, token: Option<Token>) -> LoadFault {
        let digits = token.map_or("", |token| token.of(self.text));
        LoadFault::BadValue(format!(
            "`{}` is outside the range of this number",
            shown(digits)
        ))
    }

    /// A bracket or quote without its other end explains more than the parser's place does.
    fn flaw(&self) -> Option<LoadError> {
        let flaw = scan::unbalanced(self.text)?;
        let bracket = flaw.token.of(self.text);
        let what = match flaw.kind {
            FlawKind::WrongClose(close) => {
                let (line, column) = scan::line_column(self.text, close.start);
                let closing = close.of(self.text);
                LoadFault::Syntax(format!(
                    "this `{bracket}` is closed by `{closing}` at {line}:{column}"
                ))
            }
            FlawKind::ExtraClose => LoadFault::Syntax(format!("this `{bracket}` closes nothing")),
            FlawKind::NeverClosed => LoadFault::Syntax(format!("this `{bracket}` is never closed")),
            FlawKind::Endless if bracket.starts_with("/*") => {
                LoadFault::Syntax("this comment is never closed; end it with `*/`".to_owned())
            }
            FlawKind::Endless => LoadFault::Syntax("these quotes are never closed".to_owned()),
            FlawKind::RunsOn => {
                LoadFault::Syntax("these quotes are not closed on their line".to_owned())
            }
            FlawKind::TooDeep => LoadFault::TooDeep,
        };
        Some(self.error(Some(flaw.token), &flaw.path, what))
    }

    /// What stands there instead of what the parser wants.
    fn unexpected(
        &self,
        code: &ron::Error,
        spot: &Spot,
        place: usize,
    ) -> (Option<Token>, LoadFault) {
        let number = |token: Option<Token>| token.filter(|token| token.kind == Kind::Number);
        if let Some(token) = number(spot.after).filter(|token| token.start < place) {
            let why = format!("`{}` is no whole number", shown(token.of(self.text)));
            return (Some(token), LoadFault::BadValue(why));
        }
        if let (Some(whole), Some(part)) = (number(spot.value), number(spot.after))
            && part.start == whole.end + 1
            && matches!(
                code,
                ron::Error::SuggestRawIdentifier(_) | ron::Error::ExpectedIdentifier
            )
        {
            let (start, end) = (whole.start, part.end);
            let token = Token {
                kind: Kind::Number,
                start,
                end,
            };
            let typed = shown(token.of(self.text));
            let why = format!(
                "`{typed}` is no number; write `{}` with a point",
                typed.replacen(',', ".", 1)
            );
            return (Some(token), LoadFault::Syntax(why));
        }
        let token = spot.after.or(spot.before);
        (token, self.complaint(code, spot.after))
    }

    /// The parser's complaint about what comes next, in plain words.
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "the parser's list of complaints is open; the rest is passed on in its own words"
    )]
    fn complaint(&self, code: &ron::Error, next: Option<Token>) -> LoadFault {
        use ron::Error as E;
        let typed = next.map_or("", |token| token.of(self.text));
        if typed.starts_with(['“', '”', '„', '«', '»', '‘', '’']) {
            return LoadFault::Syntax(
                "these quotes are curly; write straight ones, `\"`".to_owned(),
            );
        }
        let next = next.map_or("the end of the file".to_owned(), |_| {
            format!("`{}`", shown(typed))
        });
        let syntax = |what: String| LoadFault::Syntax(what);
        let value = |expected: &str| {
            LoadFault::BadValue(format!("{expected} is expected here, not {next}"))
        };
        match code {
            E::Eof => syntax("the file ends too early".to_owned()),
            E::ExpectedComma => syntax(format!("a comma is missing before {next}")),
            E::ExpectedMapColon => syntax(format!("a colon is missing before {next}")),
            E::TrailingCharacters => syntax(format!("the document is complete, yet {next} follows")),
            E::SuggestRawIdentifier(_) | E::ExpectedIdentifier | E::InvalidIdentifier(_) => syntax(format!("a name without quotes is expected here, not {next}")),
            E::ExpectedString => value("text in double quotes"),
            E::ExpectedStringEnd => syntax("these quotes are never closed".to_owned()),
            E::ExpectedChar => value("one character in single quotes"),
            E::ExpectedBoolean => value("`true` or `false`"),
            E::ExpectedFloat | E::FloatUnderscore => value("a number"),
            E::ExpectedInteger | E::InvalidIntegerDigit { .. } | E::UnderscoreAtBeginning => {
                value("a whole number")
            }
            E::ExpectedArray => value("a list in `[ ]`"),
            E::ExpectedMap => value("a map in `{ }`"),
            E::ExpectedNamedStructLike(name) if !name.is_empty() => {
                value(&format!("a group in `( )` for {name}"))
            }
            E::ExpectedNamedStructLike(_) | E::ExpectedStructLike | E::ExpectedUnit => value("a group in `( )`"),
            E::ExpectedDifferentStructName { expected, .. } => {
                value(&format!("{expected}, or the group without a name,"))
            }
            E::ExpectedArrayEnd => syntax(format!("the list should end here with `]`, not go on with {next}")),
            E::ExpectedMapEnd => syntax(format!("the map should end here with `}}`, not go on with {next}")),
            E::ExpectedStructLikeEnd | E::ExpectedOptionEnd => {
                syntax(format!("the group should end here with `)`, not go on with {next}"))
            }
            E::InvalidEscape(_) => {
                syntax("this text holds a `\\` with nothing known after it; write `\\\\` for the sign itself".to_owned())
            }
            E::UnclosedBlockComment | E::UnclosedLineComment => syntax("this comment is never closed".to_owned()),
            E::UnexpectedChar(c) => syntax(format!("{} has no meaning here", shown(&c.to_string()))),
            other => syntax(shown(&other.to_string())),
        }
    }
}

impl Spot {
    /// The value or name that ended at the place; of a group, its opening bracket.
    fn finished(&self) -> Option<Token> {
        match self.before {
            Some(token) if token.kind == Kind::Comma => self.value.or(self.before),
            Some(_) => self.before_open.or(self.before),
            None => self.after,
        }
    }
}

fn named(outer: Option<&String>) -> Option<String> {
    outer.filter(|name| !name.is_empty()).cloned()
}

fn words(known: &[&str]) -> Vec<String> {
    known.iter().map(|word| (*word).to_owned()).collect()
}

/// What the parser said, and the path it was on.
#[derive(Debug)]
struct Refusal {
    error: ron::error::SpannedError,
    path: Vec<String>,
}

fn parse_text<T: DeserializeOwned>(text: &str) -> Result<T, Box<Refusal>> {
    let at_top = |error| {
        Box::new(Refusal {
            error,
            path: Vec::new(),
        })
    };
    let options = options();
    let mut parser = ron::Deserializer::from_str_with_options(text, &options).map_err(at_top)?;
    let parsed = serde_path_to_error::deserialize(&mut parser);
    let value = parsed.map_err(|error| {
        let path = error.path().iter().filter_map(step).collect();
        let error = parser.span_error(error.into_inner());
        Box::new(Refusal { error, path })
    })?;
    let end = parser.end();
    end.map_err(|code| at_top(parser.span_error(code)))?;
    Ok(value)
}

/// A step of the path as it is shown; variants are left out, since the file shows them.
fn step(segment: &Segment) -> Option<String> {
    match segment {
        Segment::Seq { index } => Some(format!("[{index}]")),
        Segment::Map { key } => Some(key.clone()),
        Segment::Enum { .. } | Segment::Unknown => None,
    }
}

/// Variants leave out the parentheses of the struct inside, newtypes and `Some` leave no trace at all: so does the writer.
fn options() -> ron::Options {
    ron::Options::default()
        .with_default_extension(Extensions::IMPLICIT_SOME)
        .with_default_extension(Extensions::UNWRAP_NEWTYPES)
        .with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES)
}

/// One value from a line that the writer made, such as an edit of the journal; the text says why where it cannot be read.
pub fn read_line<T: DeserializeOwned>(line: &str) -> Result<T, String> {
    options()
        .from_str(line)
        .map_err(|error| super::message::shown_message(&error.to_string()))
}
