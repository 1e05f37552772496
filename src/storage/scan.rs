//! Walks the words, numbers, quotes and brackets of a document's text, to find the place of a fault and the faults that hide from the parser.
//!
//! Judges no values and allocates nothing for what it passes; the parser alone decides what is a document.
#![deny(clippy::indexing_slicing)]

/// Groups deeper than this are not followed.
const DEEPEST: usize = 64;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// `(`, `[` or `{`.
    Open(char),
    /// `)`, `]` or `}`.
    Close(char),
    /// `,`.
    Comma,
    /// `:`.
    Colon,
    /// A bare word: field, variant, `true`, `None`.
    Word,
    /// Starts with a digit, or with a sign or point before something; may run on into letters as in `6ft`.
    Number,
    /// Text in double quotes, or a character in single ones.
    Quote,
    /// Quotes or a comment without an end.
    Endless,
    /// Anything else, one character.
    Other,
}

/// A stretch of the text, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) start: usize,
    pub(super) end: usize,
}

impl Token {
    /// The token's text.
    pub(super) fn of<'a>(&self, text: &'a str) -> &'a str {
        text.get(self.start..self.end).unwrap_or_default()
    }
}

/// The tokens of a text from its start, blanks and comments left out.
#[derive(Clone, Debug)]
pub(super) struct Tokens<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Tokens<'a> {
    /// Starts at the first byte of `text`.
    pub(super) fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// Skips blanks and comments; the start of a block comment without an end comes back.
    fn skip_blanks(&mut self) -> Option<usize> {
        loop {
            let rest = self.rest();
            let trimmed = rest.trim_start_matches(is_blank);
            self.at += rest.len() - trimmed.len();
            if trimmed.starts_with("//") {
                self.at += trimmed.find('\n').unwrap_or(trimmed.len());
            } else if trimmed.starts_with("/*") {
                match comment_length(trimmed) {
                    Some(length) => self.at += length,
                    None => return Some(self.at),
                }
            } else {
                return None;
            }
        }
    }
}

/// The blanks of RON (Unicode's pattern white space).
fn is_blank(c: char) -> bool {
    matches!(
        c,
        '\t'..='\r' | ' ' | '\u{85}' | '\u{200E}' | '\u{200F}' | '\u{2028}' | '\u{2029}'
    )
}

/// Bytes of the block comment at the start, comments inside it included.
fn comment_length(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut depth, mut at) = (0_usize, 0);
    while let Some(pair) = bytes.get(at..at + 2) {
        match pair {
            b"/*" => depth += 1,
            b"*/" => depth = depth.saturating_sub(1),
            _ => {
                at += 1;
                continue;
            }
        }
        at += 2;
        if depth == 0 {
            return Some(at);
        }
    }
    None
}

fn in_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

fn in_raw_word(c: char) -> bool {
    in_word(c) || matches!(c, '-' | '+' | '.')
}

/// Bytes at the start for which `test` holds.
fn run(text: &str, test: impl Fn(char) -> bool) -> usize {
    text.find(|c| !test(c)).unwrap_or(text.len())
}

/// Bytes of a number and whatever runs on from it: `1.5e-3`, `0x1F`, `6ft`.
fn number_length(text: &str) -> usize {
    let mut last = ' ';
    let inside = |c: char| {
        let sign = matches!(c, '+' | '-') && (last == ' ' || matches!(last, 'e' | 'E'));
        last = c;
        sign || in_word(c) || c == '.'
    };
    let mut inside = inside;
    text.char_indices()
        .find(|(_, c)| !inside(*c))
        .map_or(text.len(), |(at, _)| at)
}

/// Bytes of the text in double quotes at the start.
fn quote_length(text: &str) -> Option<usize> {
    let mut at = 1;
    loop {
        let rest = text.as_bytes().get(at..)?;
        let step = rest.iter().position(|byte| matches!(byte, b'"' | b'\\'))?;
        if rest.get(step) == Some(&b'"') {
            return Some(at + step + 1);
        }
        at += step + 2;
    }
}

/// Bytes before the text in a raw text at the start (`r"…"`, `r#"…"#`), and what ends it.
fn raw_ends(text: &str) -> Option<(usize, String)> {
    let after = text.strip_prefix("br").or_else(|| text.strip_prefix('r'))?;
    let hashes = run(after, |c| c == '#');
    let body = after.get(hashes..)?.strip_prefix('"')?;
    Some((text.len() - body.len(), format!("\"{}", "#".repeat(hashes))))
}

/// Bytes of the raw text at the start, if it has an end.
fn raw_length(text: &str) -> Option<usize> {
    let (head, close) = raw_ends(text)?;
    let inside = text.get(head..)?.find(&close)?;
    Some(head + inside + close.len())
}

/// Bytes of the character in single quotes at the start.
fn char_length(text: &str) -> Option<usize> {
    let body = text.strip_prefix('\'')?;
    let mut inside = body.strip_prefix('\\').unwrap_or(body).chars();
    inside.next()?;
    let mut after = inside.as_str();
    if body.starts_with('\\') {
        let rest = run(after, |c| {
            c.is_ascii_alphanumeric() || matches!(c, '{' | '}')
        });
        after = after.get(rest..)?;
    }
    after.strip_prefix('\'').map(|rest| text.len() - rest.len())
}

impl Iterator for Tokens<'_> {
    type Item = Token;

    fn next(&mut self) -> Option<Token> {
        let start = match self.skip_blanks() {
            Some(comment) => {
                self.at = self.text.len();
                return Some(Token {
                    kind: Kind::Endless,
                    start: comment,
                    end: self.at,
                });
            }
            None => self.at,
        };
        let rest = self.rest();
        let first = rest.chars().next()?;
        let (kind, length) = token(first, rest);
        self.at = start + length;
        Some(Token {
            kind,
            start,
            end: self.at,
        })
    }
}

/// Kind and bytes of the token at the start of `rest`, whose first character is `first`.
fn token(first: char, rest: &str) -> (Kind, usize) {
    let quote = |length: Option<usize>| {
        length.map_or((Kind::Endless, rest.len()), |length| (Kind::Quote, length))
    };
    let second = rest.chars().nth(1).unwrap_or(' ');
    match first {
        '(' | '[' | '{' => (Kind::Open(first), 1),
        ')' | ']' | '}' => (Kind::Close(first), 1),
        ',' => (Kind::Comma, 1),
        ':' => (Kind::Colon, 1),
        '"' => quote(quote_length(rest)),
        'b' if second == '"' => quote(
            rest.get(1..)
                .and_then(quote_length)
                .map(|length| length + 1),
        ),
        '\'' => char_length(rest).map_or((Kind::Other, 1), |length| (Kind::Quote, length)),
        'r' | 'b' if raw_ends(rest).is_some() => quote(raw_length(rest)),
        'r' if second == '#' => (
            Kind::Word,
            2 + rest.get(2..).map_or(0, |name| run(name, in_raw_word)),
        ),
        _ if first.is_ascii_digit() => (Kind::Number, number_length(rest)),
        '+' | '-' | '.' if in_word(second) || second == '.' => (Kind::Number, number_length(rest)),
        _ if in_word(first) => (Kind::Word, run(rest, in_word)),
        _ => (Kind::Other, first.len_utf8()),
    }
}

/// A group that is open at some place.
#[derive(Clone, Copy, Debug)]
struct Level {
    open: Token,
    key: Option<Token>,
    index: usize,
}

/// Follows the brackets, so that each token's place in the document is known.
#[derive(Debug, Default)]
struct Nesting {
    levels: Vec<Level>,
    last: Option<Token>,
}

impl Nesting {
    /// Takes the next token; a closing bracket gives the token that opened its group, if the two fit.
    fn take(&mut self, token: Token) -> Result<Option<Token>, Mismatch> {
        let mut opener = None;
        match token.kind {
            Kind::Open(_) => self.levels.push(Level {
                open: token,
                key: None,
                index: 0,
            }),
            Kind::Close(close) => match self.levels.pop() {
                Some(level) if closes(level.open.kind, close) => opener = Some(level.open),
                Some(level) => {
                    return Err(Mismatch::Wrong {
                        open: level.open,
                        close: token,
                    });
                }
                None => return Err(Mismatch::Extra(token)),
            },
            Kind::Comma => {
                if let Some(level) = self.levels.last_mut() {
                    level.key = None;
                    level.index += 1;
                }
            }
            Kind::Colon => {
                let last = self.last;
                if let Some(level) = self.levels.last_mut() {
                    level.key = last;
                }
            }
            Kind::Word | Kind::Number | Kind::Quote | Kind::Endless | Kind::Other => {}
        }
        self.last = Some(token);
        Ok(opener)
    }

    fn path(&self, text: &str) -> Vec<String> {
        let step = |level: &Level| match (level.key, level.open.kind) {
            (Some(key), _) => Some(key.of(text).trim_matches('"').to_owned()),
            (None, Kind::Open('[')) => Some(format!("[{}]", level.index)),
            (None, _) => None,
        };
        self.levels.iter().filter_map(step).collect()
    }
}

fn closes(open: Kind, close: char) -> bool {
    matches!(
        (open, close),
        (Kind::Open('('), ')') | (Kind::Open('['), ']') | (Kind::Open('{'), '}')
    )
}

#[derive(Debug)]
enum Mismatch {
    Wrong { open: Token, close: Token },
    Extra(Token),
}

/// The tokens round a place.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spot {
    /// The last token that starts before the place.
    pub(super) before: Option<Token>,
    /// What opened the group that `before` closes, if it closes one.
    pub(super) before_open: Option<Token>,
    /// The last value's token before a comma at `before`, and its opener.
    pub(super) value: Option<Token>,
    /// The first token that ends after the place.
    pub(super) after: Option<Token>,
    /// What opened the group round the place.
    pub(super) around: Option<Token>,
}

/// Looks round byte `place`.
pub(super) fn spot(text: &str, place: usize) -> Spot {
    let mut nesting = Nesting::default();
    let mut spot = Spot::default();
    for token in Tokens::new(text) {
        if token.end > place && spot.after.is_none() {
            spot.after = Some(token);
            spot.around = nesting.levels.last().map(|level| level.open);
        }
        if token.start >= place {
            break;
        }
        if token.kind == Kind::Comma {
            spot.value = spot.before_open.or(spot.before);
        }
        spot.before = Some(token);
        match nesting.take(token) {
            Ok(opener) => spot.before_open = opener,
            Err(_) => break,
        }
        if nesting.levels.len() > 2 * DEEPEST {
            break;
        }
    }
    spot
}

/// A fault that the walk finds by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Flaw {
    /// What it is.
    pub(super) kind: FlawKind,
    /// Where it is.
    pub(super) token: Token,
    /// The path to it.
    pub(super) path: Vec<String>,
}

/// Kinds of [`Flaw`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FlawKind {
    /// The bracket is closed by the wrong one, which is the token here.
    WrongClose(Token),
    /// A closing bracket too many.
    ExtraClose,
    /// A bracket that is never closed.
    NeverClosed,
    /// Quotes or a comment without an end.
    Endless,
    /// Quotes that end on another line, so that every later quote opens where it should close.
    RunsOn,
    /// Too many brackets inside each other.
    TooDeep,
}

/// The first bracket, quote or comment without its other end.
pub(super) fn unbalanced(text: &str) -> Option<Flaw> {
    let mut nesting = Nesting::default();
    // Text over several lines is allowed, but where something is amiss it is the likelier culprit.
    let mut running_on = None;
    for token in Tokens::new(text) {
        if running_on.is_none() && token.kind == Kind::Quote && token.of(text).contains('\n') {
            let kind = FlawKind::RunsOn;
            running_on = Some(Flaw {
                kind,
                token,
                path: nesting.path(text),
            });
        }
        let (kind, token) = if token.kind == Kind::Endless {
            (FlawKind::Endless, token)
        } else {
            match nesting.take(token) {
                Err(Mismatch::Wrong { open, close }) => (FlawKind::WrongClose(close), open),
                Err(Mismatch::Extra(close)) => (FlawKind::ExtraClose, close),
                Ok(_) if nesting.levels.len() > DEEPEST => (FlawKind::TooDeep, token),
                Ok(_) => continue,
            }
        };
        return running_on.or_else(|| {
            Some(Flaw {
                kind,
                token,
                path: nesting.path(text),
            })
        });
    }
    let level = nesting.levels.pop()?;
    let (kind, token) = (FlawKind::NeverClosed, level.open);
    running_on.or_else(|| {
        Some(Flaw {
            kind,
            token,
            path: nesting.path(text),
        })
    })
}

/// The first number that no document holds: `NaN`, `inf`, or one too large for its digits; with its path.
pub(super) fn unbounded(text: &str) -> Option<(Token, Vec<String>)> {
    let mut nesting = Nesting::default();
    let mut tokens = Tokens::new(text).peekable();
    while let Some(token) = tokens.next() {
        let names_something = tokens
            .peek()
            .is_some_and(|next| matches!(next.kind, Kind::Colon | Kind::Open(_)));
        if !names_something && is_unbounded(token.kind, token.of(text)) {
            return Some((token, nesting.path(text)));
        }
        if nesting.take(token).is_err() {
            return None;
        }
    }
    None
}

fn is_unbounded(kind: Kind, word: &str) -> bool {
    let word = word.trim_start_matches(['+', '-']);
    let word = word
        .strip_suffix("f32")
        .or_else(|| word.strip_suffix("f64"))
        .unwrap_or(word);
    match kind {
        Kind::Word => matches!(word, "NaN" | "inf"),
        Kind::Number => {
            matches!(word, "NaN" | "inf")
                || word
                    .replace('_', "")
                    .parse::<f64>()
                    .is_ok_and(f64::is_infinite)
        }
        Kind::Open(_)
        | Kind::Close(_)
        | Kind::Comma
        | Kind::Colon
        | Kind::Quote
        | Kind::Endless
        | Kind::Other => false,
    }
}

/// Line and column of a byte, both from 1, columns in characters; LF, CR LF and CR alone end a line.
pub(super) fn line_column(text: &str, at: usize) -> (usize, usize) {
    let (line, start) = line_of(text, at);
    (
        line,
        1 + text.get(start..at).map_or(0, |part| part.chars().count()),
    )
}

/// The line that holds byte `at`, without its end.
pub(super) fn source_line(text: &str, at: usize) -> &str {
    let (_, start) = line_of(text, at);
    let rest = text.get(start..).unwrap_or_default();
    rest.split(['\n', '\r']).next().unwrap_or_default()
}

/// The number of the line that holds byte `at`, and the byte it starts at.
fn line_of(text: &str, at: usize) -> (usize, usize) {
    let bytes = text.as_bytes();
    let ends_line = |(at, byte): &(usize, &u8)| {
        **byte == b'\n' || (**byte == b'\r' && bytes.get(at + 1) != Some(&b'\n'))
    };
    let ends = bytes.iter().enumerate().take(at).filter(ends_line);
    ends.fold((1, 0), |(line, _), (end, _)| (line + 1, end + 1))
}

/// The byte at a line and column as the parser counts them: only LF ends a line.
pub(super) fn byte_at(text: &str, line: usize, column: usize) -> usize {
    let start = match line.saturating_sub(2) {
        _ if line < 2 => 0,
        skipped => text
            .match_indices('\n')
            .nth(skipped)
            .map_or(text.len(), |(at, _)| at + 1),
    };
    let rest = text.get(start..).unwrap_or_default();
    start
        + rest
            .char_indices()
            .nth(column.saturating_sub(1))
            .map_or(rest.len(), |(at, _)| at)
}
