//! Lengths as people type and read them. All arithmetic on typed text is in whole numbers and ratios, so that
//! what is typed exactly is kept exactly. Knows nothing of files or windows.

use std::error::Error;
use std::fmt;

use super::length::{INCHES_PER_FOOT, MOST_UNITS, PER_INCH};
use super::text::{comma_is_ambiguous, exact_decimal};
use super::{Length, Practice};

/// Longest text that is read.
const MOST_CHARACTERS: usize = 60;
/// Finest fraction of an inch that is read and printed exactly.
const FINEST_FRACTION: i64 = 64;
/// More digits than any length in range has; a longer number is out of range.
const MOST_WHOLE_DIGITS: usize = 12;
/// Digits after the point that are read; the rest is far below one unit.
const MOST_PART_DIGITS: usize = 18;

/// Why a typed length was refused. Each message says what was not understood and shows a right example.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LengthError {
    /// Nothing but blanks.
    Empty,
    /// A piece of the text has no meaning where it stands.
    NotUnderstood {
        /// The piece.
        text: String,
        /// Which character it starts at, counted from 1.
        at: usize,
    },
    /// A bare number where a unit is needed.
    NoUnit {
        /// The number.
        text: String,
    },
    /// Twelve inches or more beside feet.
    InchesTooMany {
        /// The same length written properly.
        proposal: Length,
    },
    /// Feet with a fraction or a decimal, and inches after them.
    FeetNotWhole {
        /// The feet as typed.
        text: String,
    },
    /// More than 1 km either way.
    OutOfRange,
    /// A fraction that is none below 1, or finer than 1/64.
    Fraction {
        /// The fraction as typed.
        text: String,
    },
    /// A comma before three digits: a decimal mark to some, thousands to others.
    AmbiguousComma {
        /// The number as typed.
        text: String,
    },
    /// More than 60 characters.
    TooLong {
        /// How many there are.
        characters: usize,
    },
}

impl fmt::Display for LengthError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => formatter
                .write_str("there is no length here; write one such as 6' 2 1/2\" or 1880 mm"),
            Self::NotUnderstood { text, at } => write!(
                formatter,
                "`{text}` at character {at} is not understood; write a length such as 6' 2 1/2\" or 1880 mm"
            ),
            Self::NoUnit { text } => write!(
                formatter,
                "in a file a length needs its unit, and `{text}` has none; write for example 74in or 1880mm"
            ),
            Self::InchesTooMany { proposal } => write!(
                formatter,
                "inches beside feet go from 0 to 11 63/64; did you mean {}?",
                proposal.shown_exact(Practice::Us)
            ),
            Self::FeetNotWhole { text } => write!(
                formatter,
                "feet beside inches are whole, and `{text}` is not; write for example 6' 2\" or 6.5 ft"
            ),
            Self::OutOfRange => formatter.write_str(
                "a length goes up to 1 km either way; write one such as 6' 2 1/2\" or 1880 mm",
            ),
            Self::Fraction { text } => write!(
                formatter,
                "the fraction `{text}` is not understood; fractions are below 1 and go down to 64ths, for example 2 1/2\""
            ),
            Self::AmbiguousComma { text } => write!(
                formatter,
                "`{text}` can be read in two ways; write 1880 for thousands or 1.88 for a decimal"
            ),
            Self::TooLong { characters } => write!(
                formatter,
                "{characters} characters are too many for a length; write one such as 6' 2 1/2\" or 1880 mm"
            ),
        }
    }
}

impl Error for LengthError {}

/// Reads `text`; see [`Length::parse`].
pub(super) fn parse(text: &str, bare: Option<Practice>) -> Result<Length, LengthError> {
    let characters = text.trim().chars().count();
    if characters > MOST_CHARACTERS {
        return Err(LengthError::TooLong { characters });
    }
    let typed = Typed::scan(text)?;
    let rest = match typed.tokens.as_slice() {
        [] => return Err(LengthError::Empty),
        [Token::Dash, rest @ ..] | rest => rest,
    };
    let (first, rest) = typed.amount(rest)?;
    let magnitude = match rest {
        [] => match bare {
            Some(Practice::Us) => first.in_units(Unit::Inch),
            Some(Practice::Metric) => first.in_units(Unit::Millimetre),
            None => Err(LengthError::NoUnit {
                text: text.trim().to_owned(),
            }),
        },
        [Token::Unit(unit)] => first.in_units(*unit),
        [Token::Unit(Unit::Foot), Token::Dash, inches @ ..]
        | [Token::Unit(Unit::Foot), inches @ ..] => typed.feet_and_inches(first, inches),
        [Token::Unit(_), beyond @ ..] => Err(typed.not_understood(beyond)),
        _ => Err(typed.not_understood(rest)),
    }?;
    Ok(typed.signed(magnitude))
}

/// A unit that may follow a number.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Unit {
    Foot,
    Inch,
    Metre,
    Centimetre,
    Millimetre,
}

impl Unit {
    fn from_word(word: &str) -> Option<Self> {
        match word.to_lowercase().as_str() {
            "ft" | "foot" | "feet" => Some(Self::Foot),
            "in" | "inch" | "inches" => Some(Self::Inch),
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metre),
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                Some(Self::Centimetre)
            }
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Some(Self::Millimetre)
            }
            _ => None,
        }
    }

    fn length(self) -> Length {
        match self {
            Self::Foot => Length::from_feet(1),
            Self::Inch => Length::from_inches(1),
            Self::Metre => Length::from_mm_whole(1000),
            Self::Centimetre => Length::from_mm_whole(10),
            Self::Millimetre => Length::from_mm_whole(1),
        }
    }
}

/// A ratio not below zero. The digit limits keep every product below 2^127.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
struct Amount {
    over: i128,
    under: i128,
}

impl Amount {
    fn whole(value: i128) -> Self {
        Self {
            over: value,
            under: 1,
        }
    }

    fn plus_whole(self, value: i128) -> Self {
        Self {
            over: self.over + value * self.under,
            under: self.under,
        }
    }

    /// This many of `unit`, rounded to the nearest 1/320 mm, halves up.
    fn in_units(self, unit: Unit) -> Result<Length, LengthError> {
        let twice = 2 * self.over * i128::from(unit.length().units());
        let rounded = (twice + self.under) / (2 * self.under);
        match i64::try_from(rounded) {
            Ok(units) if units <= MOST_UNITS => Ok(Length::from_units(units)),
            Ok(_) | Err(_) => Err(LengthError::OutOfRange),
        }
    }
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Token {
    Whole(i128),
    Decimal(Amount),
    Fraction(Amount),
    Unit(Unit),
    Dash,
}

/// The text cut into tokens, and where each of them stood.
struct Typed<'a> {
    text: &'a str,
    tokens: Vec<Token>,
    starts: Vec<usize>,
}

impl<'a> Typed<'a> {
    fn scan(text: &'a str) -> Result<Self, LengthError> {
        let mut typed = Self {
            text,
            tokens: Vec::new(),
            starts: Vec::new(),
        };
        let mut rest = text.trim_start();
        while let Some(first) = rest.chars().next() {
            let start = text.len() - rest.len();
            let (token, after) = typed.token(first, rest)?;
            typed.tokens.push(token);
            typed.starts.push(start);
            rest = after.trim_start();
        }
        Ok(typed)
    }

    /// The token at the start of `rest`, and what follows it.
    fn token<'t>(&self, first: char, rest: &'t str) -> Result<(Token, &'t str), LengthError> {
        let after_first = rest.get(first.len_utf8()..).unwrap_or("");
        let starts_with_point = matches!(first, '.' | ',')
            && after_first.starts_with(|c: char| c.is_ascii_digit())
            && matches!(self.tokens.as_slice(), [] | [Token::Dash]);
        if first.is_ascii_digit() || starts_with_point {
            return number(rest);
        }
        if let Some(fraction) = fraction_sign(first) {
            return Ok((Token::Fraction(fraction), after_first));
        }
        match first {
            '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' => Ok((Token::Dash, after_first)),
            '"' | '\u{2033}' | '\u{201C}' | '\u{201D}' => {
                Ok((Token::Unit(Unit::Inch), after_first))
            }
            c if is_foot_mark(c) => Ok(match after_first.strip_prefix(is_foot_mark) {
                Some(after_both) => (Token::Unit(Unit::Inch), after_both),
                None => (Token::Unit(Unit::Foot), after_first),
            }),
            _ => {
                let (word, after) = split_while(rest, char::is_alphabetic);
                match Unit::from_word(word) {
                    Some(unit) => Ok((Token::Unit(unit), after_full_stop(after))),
                    None => Err(self.piece_not_understood(rest)),
                }
            }
        }
    }

    /// A whole number, a decimal, a fraction, or a whole number with a fraction, and what follows it.
    fn amount<'t>(&self, tokens: &'t [Token]) -> Result<(Amount, &'t [Token]), LengthError> {
        match tokens {
            [
                Token::Whole(whole),
                Token::Dash,
                Token::Fraction(part),
                rest @ ..,
            ]
            | [Token::Whole(whole), Token::Fraction(part), rest @ ..] => {
                Ok((part.plus_whole(*whole), rest))
            }
            [Token::Whole(whole), rest @ ..] => Ok((Amount::whole(*whole), rest)),
            [Token::Decimal(amount) | Token::Fraction(amount), rest @ ..] => Ok((*amount, rest)),
            [Token::Unit(_) | Token::Dash, ..] | [] => Err(self.not_understood(tokens)),
        }
    }

    /// Feet with the inches after them; the inches may go without a unit.
    fn feet_and_inches(&self, feet: Amount, tokens: &[Token]) -> Result<Length, LengthError> {
        let (inches, rest) = self.amount(tokens)?;
        match rest {
            [] | [Token::Unit(Unit::Inch)] => {}
            [Token::Unit(Unit::Inch), beyond @ ..] => return Err(self.not_understood(beyond)),
            _ => return Err(self.not_understood(rest)),
        }
        if feet.under != 1 {
            let typed_feet = self.text.get(..self.start_of(tokens)).unwrap_or("");
            return Err(LengthError::FeetNotWhole {
                text: typed_feet.trim().to_owned(),
            });
        }
        let per_foot = i128::from(INCHES_PER_FOOT);
        let length = inches
            .plus_whole(feet.over * per_foot)
            .in_units(Unit::Inch)?;
        if inches.over >= per_foot * inches.under {
            let proposal = self.signed(length);
            return Err(LengthError::InchesTooMany { proposal });
        }
        Ok(length)
    }

    /// `magnitude` with the sign that leads the text.
    fn signed(&self, magnitude: Length) -> Length {
        match self.tokens.first() {
            Some(Token::Dash) => -magnitude,
            Some(_) | None => magnitude,
        }
    }

    /// Where the first of the last `tokens` starts, in bytes; the last token of all if there are none.
    fn start_of(&self, tokens: &[Token]) -> usize {
        let index = self.tokens.len() - tokens.len();
        let start = self.starts.get(index).or(self.starts.last());
        start.copied().unwrap_or(0)
    }

    fn not_understood(&self, tokens: &[Token]) -> LengthError {
        self.piece_not_understood(self.text.get(self.start_of(tokens)..).unwrap_or(""))
    }

    /// The error for the piece at the start of `rest`, which is the end of the whole text.
    fn piece_not_understood(&self, rest: &str) -> LengthError {
        let before = self.text.len() - rest.len();
        let same_kind: fn(char) -> bool = match rest.chars().next() {
            Some(c) if c.is_alphabetic() => char::is_alphabetic,
            Some(c) if c.is_ascii_digit() => |c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/'),
            Some(_) | None => |_| false,
        };
        let (piece, _) = split_while(rest, same_kind);
        let text = if piece.is_empty() {
            rest.chars().take(1).collect()
        } else {
            piece.to_owned()
        };
        let at = 1 + self.text.get(..before).unwrap_or("").chars().count();
        LengthError::NotUnderstood { text, at }
    }
}

fn is_foot_mark(c: char) -> bool {
    matches!(c, '\'' | '\u{2032}' | '\u{2018}' | '\u{2019}')
}

/// The ready-made fraction signs of Unicode that a tape measure knows.
fn fraction_sign(sign: char) -> Option<Amount> {
    let (over, under) = match sign {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    Some(Amount { over, under })
}

/// `in.` and `ft.` are abbreviations: the full stop belongs to them unless a digit follows.
fn after_full_stop(after: &str) -> &str {
    match after.strip_prefix('.') {
        Some(rest) if !rest.starts_with(|c: char| c.is_ascii_digit()) => rest,
        Some(_) | None => after,
    }
}

fn split_while(text: &str, wanted: impl Fn(char) -> bool) -> (&str, &str) {
    let end = text.find(|c| !wanted(c)).unwrap_or(text.len());
    text.split_at(end)
}

/// The number at the start of `text`: whole, decimal or fraction.
fn number(text: &str) -> Result<(Token, &str), LengthError> {
    let is_digit = |c: char| c.is_ascii_digit();
    let (digits, after) = split_while(text, is_digit);
    let whole = whole_number(digits)?;
    let mut marks = after.chars();
    let mark = marks.next();
    let (part, after_part) = split_while(marks.as_str(), is_digit);
    let typed = || text.strip_suffix(after_part).unwrap_or(text).to_owned();
    if part.is_empty() {
        return Ok((Token::Whole(whole), after));
    }
    match mark {
        Some('/' | '\u{2044}') => {
            let finest = i128::from(FINEST_FRACTION);
            let under = whole_number(part)?;
            if !(1..=finest).contains(&under) || whole >= under {
                return Err(LengthError::Fraction { text: typed() });
            }
            Ok((Token::Fraction(Amount { over: whole, under }), after_part))
        }
        Some(',') if comma_is_ambiguous(digits, part) => {
            Err(LengthError::AmbiguousComma { text: typed() })
        }
        Some('.' | ',') => Ok((Token::Decimal(decimal(whole, part)), after_part)),
        Some(_) | None => Ok((Token::Whole(whole), after)),
    }
}

fn whole_number(digits: &str) -> Result<i128, LengthError> {
    let digits = digits.trim_start_matches('0');
    if digits.len() > MOST_WHOLE_DIGITS {
        return Err(LengthError::OutOfRange);
    }
    Ok(digits.chars().fold(0, append_digit))
}

fn decimal(whole: i128, part: &str) -> Amount {
    let digits = part.chars().take(MOST_PART_DIGITS);
    digits.fold(Amount::whole(whole), |amount, digit| Amount {
        over: append_digit(amount.over, digit),
        under: amount.under * 10,
    })
}

fn append_digit(value: i128, digit: char) -> i128 {
    value * 10 + i128::from(digit.to_digit(10).unwrap_or(0))
}

/// To the nearest 1/16 in, halves away from zero.
pub(super) fn us_to_sixteenth(length: Length) -> String {
    const SIXTEENTH: i64 = PER_INCH / 16;
    let rounded = (length.units().abs() + SIXTEENTH / 2) / SIXTEENTH * SIXTEENTH;
    let parts = FeetInches::of(rounded, length.units() < 0);
    parts.shown()
}

/// Exact, if the length is a whole number of 1/64 in.
pub(super) fn us_exact(length: Length) -> Option<String> {
    let whole = length.units() % (PER_INCH / FINEST_FRACTION) == 0;
    whole.then(|| FeetInches::of(length.units().abs(), length.units() < 0).shown())
}

/// To the nearest 0.1 mm, halves away from zero.
pub(super) fn metric_to_tenth(length: Length) -> String {
    const TENTH: i64 = 32;
    let tenths = (length.units().abs() + TENTH / 2) / TENTH;
    let signed = if length.units() < 0 { -tenths } else { tenths };
    format!("{} mm", exact_decimal(signed, 1))
}

/// Exact, in millimetres.
pub(super) fn metric_exact(length: Length) -> String {
    format!("{} mm", length.mm_text())
}

/// A length of whole 64ths taken apart for printing.
struct FeetInches {
    sign: &'static str,
    feet: i64,
    inches: i64,
    /// Lowest terms; 0 over 1 if there is none.
    fraction: (i64, i64),
}

impl FeetInches {
    fn of(units: i64, negative: bool) -> Self {
        let sixty_fourths = units * FINEST_FRACTION / PER_INCH;
        let inches = sixty_fourths / FINEST_FRACTION;
        let mut fraction = (sixty_fourths % FINEST_FRACTION, FINEST_FRACTION);
        while fraction.0 % 2 == 0 && fraction.1 > 1 {
            fraction = (fraction.0 / 2, fraction.1 / 2);
        }
        Self {
            sign: if negative && units > 0 { "-" } else { "" },
            feet: inches / INCHES_PER_FOOT,
            inches: inches % INCHES_PER_FOOT,
            fraction,
        }
    }

    /// `6' 2 1/2"`, `6' 0"`, `2 1/2"`, `1/2"`.
    fn shown(&self) -> String {
        let Self {
            sign, feet, inches, ..
        } = self;
        let inches = match (self.feet, self.inches, self.fraction) {
            (_, _, (0, _)) => format!("{inches}\""),
            (0, 0, (over, under)) => format!("{over}/{under}\""),
            (_, _, (over, under)) => format!("{inches} {over}/{under}\""),
        };
        if *feet == 0 {
            format!("{sign}{inches}")
        } else {
            format!("{sign}{feet}' {inches}")
        }
    }
}
