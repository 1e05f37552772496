//! A tape walk as people type or paste it, and back: one wall a line, or walls apart by commas or semicolons; `#` starts a remark.
//! Each wall is a length and the turn after it: `12ft 6in left`, `3810 mm R`, `2.4 m right 45`, `6' 2-1/2" straight`. The last
//! wall may go without a turn. Knows the words, not whether the walk makes a room.

use std::error::Error;
use std::fmt;

use super::{Leg, Room, TapeWalk};
use crate::units::{Length, LengthError, Practice, Turn, TurnError, length_in_file};

/// Why a typed walk was refused, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WalkTextError {
    /// Line from 1.
    pub line: usize,
    /// Character of the line from 1.
    pub column: usize,
    /// What is wrong.
    pub what: WalkTextFault,
}

/// What is wrong with a typed walk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WalkTextFault {
    /// No wall at all.
    Empty,
    /// A piece is neither length nor turn.
    NotUnderstood {
        /// The piece.
        text: String,
    },
    /// The length is refused.
    Length(LengthError),
    /// The turn is refused.
    Turn(TurnError),
    /// A wall of no length, or less.
    NotPositive,
    /// A turn without a wall before it.
    NoWall,
    /// A wall that is not the last has no turn.
    NoTurn {
        /// Its number from 1.
        wall: usize,
    },
    /// More walls than a room may have.
    TooMany,
}

impl fmt::Display for WalkTextFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("there is no wall here; write one a line, such as 12ft 6in left"),
            Self::NotUnderstood { text } => write!(
                f,
                "`{text}` is not understood; write a length and a turn, such as 12ft 6in left or 3810 mm right 45"
            ),
            Self::Length(error) => error.fmt(f),
            Self::Turn(error) => error.fmt(f),
            Self::NotPositive => f.write_str("a wall is longer than nothing; write its length, such as 12ft 6in left"),
            Self::NoWall => f.write_str("a turn stands here without a wall before it; write the wall's length first, such as 12ft 6in left"),
            Self::NoTurn { wall } => write!(
                f,
                "wall {wall} has no turn at its end; write left, right, right 45 or straight after its length"
            ),
            Self::TooMany => write!(f, "a room has at most {} walls", Room::CORNERS_MOST),
        }
    }
}

impl fmt::Display for WalkTextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "line {}, column {}: {}",
            self.line, self.column, self.what
        )
    }
}

impl Error for WalkTextError {}

impl TapeWalk {
    /// Reads a typed walk. A number without a unit is inches or millimetres as `bare` says, and is refused without `bare`.
    pub fn parse(text: &str, bare: Option<Practice>) -> Result<Self, WalkTextError> {
        let mut reading = Reading {
            bare,
            legs: Vec::new(),
            last: (1, 1),
        };
        for (number, line) in text.lines().enumerate() {
            for piece in pieces(line) {
                reading.take(number + 1, &piece)?;
            }
        }
        if reading.legs.is_empty() {
            return Err(refused((1, 1), WalkTextFault::Empty));
        }
        Ok(Self::new(reading.legs))
    }

    /// The walk as text that reads back the same, one wall a line.
    pub fn text(&self, practice: Practice) -> String {
        let lines: Vec<String> = self
            .legs()
            .iter()
            .map(|leg| {
                let length = length_in_file(leg.length.units(), practice);
                leg.turn.map_or_else(
                    || format!("{length}\n"),
                    |turn| format!("{length} {}\n", turn.file_text()),
                )
            })
            .collect();
        lines.concat()
    }
}

fn refused((line, column): (usize, usize), what: WalkTextFault) -> WalkTextError {
    WalkTextError { line, column, what }
}

/// A part of a line and the character it starts at, counted from 1.
struct Piece<'a> {
    text: &'a str,
    column: usize,
}

impl<'a> Piece<'a> {
    /// The text without blanks round it.
    fn trimmed(text: &'a str, column: usize) -> Self {
        let start = text.trim_start();
        let blanks = text.chars().count() - start.chars().count();
        Self {
            text: start.trim_end(),
            column: column + blanks,
        }
    }

    /// The part before byte `at`, and the part from there on.
    fn split(&self, at: usize) -> (Self, Self) {
        let (before, after) = self.text.split_at_checked(at).unwrap_or((self.text, ""));
        (
            Self::trimmed(before, self.column),
            Self::trimmed(after, self.column + before.chars().count()),
        )
    }
}

/// The pieces of a line without remarks and blanks. A comma between two digits belongs to a number.
fn pieces(line: &str) -> Vec<Piece<'_>> {
    let line = line.split('#').next().unwrap_or("");
    let characters: Vec<(usize, char)> = line.char_indices().collect();
    let digit_at = |k: Option<usize>| {
        k.and_then(|k| characters.get(k))
            .is_some_and(|(_, c)| c.is_ascii_digit())
    };
    let mut found = Vec::new();
    let (mut start, mut column) = (0, 1);
    for (k, (at, c)) in characters.iter().enumerate() {
        let in_number = digit_at(k.checked_sub(1)) && digit_at(Some(k + 1));
        if *c == ';' || (*c == ',' && !in_number) {
            found.push(Piece::trimmed(line.get(start..*at).unwrap_or(""), column));
            (start, column) = (at + 1, k + 2);
        }
    }
    found.push(Piece::trimmed(line.get(start..).unwrap_or(""), column));
    found.retain(|piece| !piece.text.is_empty());
    found
}

struct Reading {
    bare: Option<Practice>,
    legs: Vec<Leg>,
    /// Where the last leg stands.
    last: (usize, usize),
}

impl Reading {
    fn take(&mut self, line: usize, piece: &Piece<'_>) -> Result<(), WalkTextError> {
        let (length, turn) = piece.split(Turn::find(piece.text).unwrap_or(piece.text.len()));
        let turn = match turn.text {
            "" => None,
            text => Some(
                Turn::parse(text)
                    .map_err(|e| refused((line, turn.column), WalkTextFault::Turn(e)))?,
            ),
        };
        if length.text.is_empty() {
            return self.turn_alone((line, piece.column), turn);
        }
        self.last_has_turn()?;
        let place = (line, length.column);
        if self.legs.len() >= Room::CORNERS_MOST {
            return Err(refused(place, WalkTextFault::TooMany));
        }
        let length = Length::parse(length.text, self.bare).map_err(|e| length_refused(place, e))?;
        if length <= Length::ZERO {
            return Err(refused(place, WalkTextFault::NotPositive));
        }
        self.legs.push(Leg { length, turn });
        self.last = place;
        Ok(())
    }

    /// A turn in a piece of its own belongs to the wall before it, where that has none.
    fn turn_alone(
        &mut self,
        place: (usize, usize),
        turn: Option<Turn>,
    ) -> Result<(), WalkTextError> {
        match self.legs.last_mut() {
            Some(leg) if leg.turn.is_none() => {
                leg.turn = turn;
                Ok(())
            }
            Some(_) | None => Err(refused(place, WalkTextFault::NoWall)),
        }
    }

    fn last_has_turn(&self) -> Result<(), WalkTextError> {
        match self.legs.last() {
            Some(leg) if leg.turn.is_none() => {
                let wall = self.legs.len();
                Err(refused(self.last, WalkTextFault::NoTurn { wall }))
            }
            Some(_) | None => Ok(()),
        }
    }
}

/// Why a length is refused, its place counted in the line.
fn length_refused((line, column): (usize, usize), error: LengthError) -> WalkTextError {
    match error {
        LengthError::NotUnderstood { text, at } => refused(
            (line, column + at.saturating_sub(1)),
            WalkTextFault::NotUnderstood { text },
        ),
        LengthError::Empty
        | LengthError::NoUnit { .. }
        | LengthError::InchesTooMany { .. }
        | LengthError::FeetNotWhole { .. }
        | LengthError::OutOfRange
        | LengthError::Fraction { .. }
        | LengthError::AmbiguousComma { .. }
        | LengthError::TooLong { .. } => refused((line, column), WalkTextFault::Length(error)),
    }
}
