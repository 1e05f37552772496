//! What a person is told when a document cannot be read: where, what, and the nearest right word.
//!
//! Knows how a message looks; reads nothing and decides nothing. Whatever came out of the file is shortened and made harmless here.
#![deny(clippy::indexing_slicing)]

pub use crate::plan::Fault;
use crate::units::nearest;
use std::fmt::{self, Write as _};

/// A quoted value is cut to this many characters.
const LONGEST_VALUE: usize = 60;
/// A message made by a value's own code is cut to this many characters.
const LONGEST_MESSAGE: usize = 400;
/// A path is cut to this many steps, the last ones kept.
const MOST_STEPS: usize = 12;
/// A source line is shown through a window of this many characters.
const WINDOW: usize = 100;
/// Right words listed when none is near.
const MOST_WORDS: usize = 10;
/// Faults listed at once.
const MOST_FAULTS: usize = 50;

/// A document that cannot be read, with its place; `Display` is the whole message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LoadError {
    /// The file as the user named it.
    pub file: String,
    /// Line from 1; 0 when the fault is the whole file's.
    pub line: usize,
    /// Character of the line from 1; 0 when the fault is the whole file's.
    pub column: usize,
    /// Field names, map keys and list places from the top, joined with ` › `; empty at the top.
    pub path: String,
    /// What is wrong.
    pub what: Box<LoadFault>,
    /// The source line, when there is one.
    pub excerpt: Option<Excerpt>,
}

/// What is wrong with a document's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LoadFault {
    /// More bytes than a document may have.
    TooBig {
        /// Bytes found.
        bytes: usize,
        /// Bytes allowed.
        most: usize,
    },
    /// The file is no document's text; the words say what it looks like.
    NotText(String),
    /// The file does not start with its format number.
    NoFormat(String),
    /// Made by a newer version of the program.
    Newer {
        /// The file's format.
        found: u32,
        /// The newest format that can be read.
        newest: u32,
    },
    /// Brackets, quotes, commas and the like.
    Syntax(String),
    /// Groups lie too deep inside each other.
    TooDeep,
    /// A field that does not exist.
    UnknownField {
        /// The word in the file.
        found: String,
        /// The struct or variant it stands in, if it has a name.
        owner: Option<String>,
        /// The words that would be right.
        known: Vec<String>,
    },
    /// A variant that does not exist.
    UnknownVariant {
        /// The word in the file.
        found: String,
        /// The enum, if it has a name.
        owner: Option<String>,
        /// The words that would be right.
        known: Vec<String>,
    },
    /// A field that must be there and is not.
    MissingField {
        /// The field.
        field: String,
        /// The struct or variant, if it has a name.
        owner: Option<String>,
    },
    /// A field that stands there twice.
    DoubleField {
        /// The field.
        field: String,
    },
    /// A value of the wrong kind, or one that its own code refuses.
    BadValue(String),
    /// Reading stopped by a mistake of the program or a lack of memory, not of the file.
    Stopped(String),
}

/// The part of a source line round a fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Excerpt {
    /// At most about 100 characters of the line, made harmless.
    pub text: String,
    /// Characters of `text` before the marked ones.
    pub before: usize,
    /// Characters marked, at least 1.
    pub marked: usize,
}

impl Excerpt {
    /// Cuts a window from `line` round `marked` characters from `column` (from 1).
    pub fn new(line: &str, column: usize, marked: usize) -> Self {
        let start = column.saturating_sub(1);
        let total = line.chars().count();
        let first = if total <= WINDOW {
            0
        } else {
            start.saturating_sub(WINDOW / 3).min(total - WINDOW)
        };
        let mut text: String = line
            .chars()
            .skip(first)
            .take(WINDOW)
            .map(harmless)
            .collect();
        let mut before = start - first.min(start);
        let marked = marked.min(WINDOW.saturating_sub(before)).max(1);
        if first > 0 {
            text.insert(0, '…');
            before += 1;
        }
        if total > first + WINDOW {
            text.push('…');
        }
        Self {
            text,
            before,
            marked,
        }
    }
}

/// One character for one, so that the marks below a line stay under their place.
fn harmless(c: char) -> char {
    if c == '\t' {
        ' '
    } else if unprintable(c) {
        '\u{FFFD}'
    } else {
        c
    }
}

/// Control characters, direction marks and invisible letters.
fn unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61C}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{2069}' | '\u{FEFF}')
}

/// `text` with unprintable characters as escapes, cut to 60 characters.
pub fn shown(text: &str) -> String {
    cut(text, LONGEST_VALUE)
}

fn cut(text: &str, most: usize) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    for c in chars.by_ref().take(most) {
        push_escaped(&mut out, c);
    }
    if chars.next().is_some() {
        out.push('…');
    }
    out
}

fn push_escaped(out: &mut String, c: char) {
    match c {
        '\n' => out.push_str("\\n"),
        '\r' => out.push_str("\\r"),
        '\t' => out.push_str("\\t"),
        c if unprintable(c) => out.extend(c.escape_unicode()),
        c => out.push(c),
    }
}

/// A message made elsewhere: each quoted value in it cut to 60 characters, the whole to 400, nothing unprintable.
pub fn shown_message(message: &str) -> String {
    let mut out = String::new();
    let mut left = LONGEST_MESSAGE;
    let mut inside: Option<(char, usize)> = None;
    let mut escaped = false;
    for c in message.chars() {
        if left == 0 {
            out.push('…');
            break;
        }
        match inside {
            Some((quote, _)) if c == quote && !escaped => inside = None,
            Some((quote, length)) => {
                inside = Some((quote, length + 1));
                escaped = c == '\\' && !escaped;
                if length == LONGEST_VALUE {
                    out.push('…');
                }
                if length >= LONGEST_VALUE {
                    continue;
                }
            }
            None if matches!(c, '"' | '`') => {
                inside = Some((c, 0));
                escaped = false;
            }
            None => {}
        }
        push_escaped(&mut out, c);
        left -= 1;
    }
    out
}

/// Joins path steps, each made harmless, the first ones left out when there are too many.
pub fn joined_path(steps: &[String]) -> String {
    let skipped = steps.len().saturating_sub(MOST_STEPS);
    let shown_steps = steps.iter().skip(skipped).map(|step| shown(step));
    let lead = (skipped > 0).then(|| "…".to_owned());
    lead.into_iter()
        .chain(shown_steps)
        .collect::<Vec<_>>()
        .join(" › ")
}

impl LoadFault {
    /// Ends with what to do about it or, failing that, with a full stop.
    fn sentence(&self) -> String {
        match self {
            Self::TooBig { bytes, most } => format!(
                "the file has {:.1} MB; the most that is read is {} MB.",
                *bytes as f64 / 1e6,
                most / 1_000_000
            ),
            Self::NotText(what) | Self::NoFormat(what) | Self::Syntax(what) => stopped(what),
            Self::Newer { found, newest } => {
                format!(
                    "made by a newer version (format {found}; this version reads up to {newest})."
                )
            }
            Self::TooDeep => {
                "brackets lie too deep inside each other here; the most is 64.".to_owned()
            }
            Self::UnknownField {
                found,
                owner,
                known,
            } => {
                let owner = owner
                    .as_ref()
                    .map_or(String::new(), |owner| format!(" of {}", shown(owner)));
                format!(
                    "`{}` is no field{owner} here; {}",
                    shown(found),
                    suggestion(found, known, "field")
                )
            }
            Self::UnknownVariant {
                found,
                owner,
                known,
            } => {
                let owner = owner
                    .as_ref()
                    .map_or("choice".to_owned(), |owner| shown(owner));
                format!(
                    "`{}` is no {owner} here; {}",
                    shown(found),
                    suggestion(found, known, "choice")
                )
            }
            Self::MissingField { field, owner } => {
                let owner = owner.as_ref().map_or("here".to_owned(), |owner| {
                    format!("in this {}", shown(owner))
                });
                format!("the field `{}` is missing {owner}.", shown(field))
            }
            Self::DoubleField { field } => {
                format!(
                    "the field `{}` stands here twice; remove one.",
                    shown(field)
                )
            }
            Self::BadValue(message) => stopped(&shown_message(message)),
            Self::Stopped(message) => {
                format!("reading stopped: {}", stopped(&shown_message(message)))
            }
        }
    }
}

/// With a full stop, unless it ends a sentence already.
fn stopped(text: &str) -> String {
    let end = if text.ends_with(['.', '?', '!', '…']) {
        ""
    } else {
        "."
    };
    format!("{text}{end}")
}

fn suggestion(found: &str, known: &[String], noun: &str) -> String {
    if let Some(word) = nearest(found, known.iter().map(String::as_str)) {
        return format!("did you mean `{word}`?");
    }
    match known {
        [] => format!("no {noun} is expected."),
        [word] => format!("the one {noun} is `{word}`."),
        _ => {
            let words: Vec<_> = known
                .iter()
                .take(MOST_WORDS)
                .map(|word| format!("`{word}`"))
                .collect();
            let more = match known.len().saturating_sub(MOST_WORDS) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            format!("the {noun}s are {}{more}.", words.join(", "))
        }
    }
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&shown_name(&self.file))?;
        if self.line > 0 {
            write!(f, ":{}:{}", self.line, self.column)?;
        }
        f.write_str(": ")?;
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        writeln!(f, "{}", self.what.sentence())?;
        if let Some(excerpt) = &self.excerpt {
            let number = self.line.to_string();
            writeln!(f, "  {number} | {}", excerpt.text)?;
            let (margin, before) = (" ".repeat(number.len()), " ".repeat(excerpt.before));
            writeln!(f, "  {margin} | {before}{}", "^".repeat(excerpt.marked))?;
        }
        f.write_str("Nothing was changed.")
    }
}

impl std::error::Error for LoadError {}

/// A file name is shown whole as far as it may reach, but made harmless.
fn shown_name(name: &str) -> String {
    cut(name, LONGEST_MESSAGE)
}

/// The message for faults found after reading: one a line, at most 50, the rest counted.
pub fn faults(file: &str, list: &[Fault]) -> String {
    let count = list.len();
    let noun = if count == 1 { "fault" } else { "faults" };
    let mut out = format!("{}: {count} {noun}:\n", shown_name(file));
    for fault in list.iter().take(MOST_FAULTS) {
        let path = cut(&fault.path, LONGEST_MESSAGE);
        let colon = if path.is_empty() { "" } else { ": " };
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "  {path}{colon}{}",
            stopped(&shown_message(&fault.text))
        );
    }
    if count > MOST_FAULTS {
        let _ = writeln!(out, "  and {} more.", count - MOST_FAULTS);
    }
    out.push_str("Nothing was changed.");
    out
}
