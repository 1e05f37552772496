//! Slips of the pen in a tape walk: which one wall written wrong by a round amount, or which one turn taken wrongly, explains that
//! the walk does not close. Says what would mend it; mends nothing by itself.

use std::collections::BTreeMap;

use super::survey::turns_close;
use super::{Leg, Room, Survey, TapeWalk};
use crate::geometry::{Point, Polygon, traverse};
use crate::units::{Length, Practice, Turn};

/// How a wall or a turn came to be written wrong, the likelier first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SlipKind {
    /// A wall is off by a round amount: an inch, ten inches, a foot, ten feet, 100 mm or a metre.
    RoundAmount,
    /// Left was written for right, or right for left.
    OtherSide,
    /// A quarter turn was forgotten, or one too many was written.
    Quarter,
    /// Two digits of a length were swapped, or its feet and inches.
    DigitsSwapped,
}

/// What the wall or turn would have to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mend {
    /// The wall would have this length.
    Length(Length),
    /// The turn at the wall's end would be this one.
    Turn(Turn),
}

/// One slip that explains the walk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Number of the leg, the first being 0.
    pub leg: usize,
    /// What is written there.
    pub written: Leg,
    /// What it would have to be.
    pub mend: Mend,
    /// How it came about.
    pub kind: SlipKind,
    /// How far the mended walk would still miss its start.
    pub remaining: Length,
}

impl Slip {
    /// The most slips that are listed.
    pub const MOST: usize = 50;

    /// In a sentence; walls are counted from 1.
    pub fn sentence(&self, practice: Practice) -> String {
        let wall = self.leg + 1;
        match self.mend {
            Mend::Length(length) => format!(
                "wall {wall} would be {} instead of {}",
                shown(length, practice),
                shown(self.written.length, practice)
            ),
            Mend::Turn(turn) => format!(
                "the turn after wall {wall} would be {} instead of {}",
                turn.shown(),
                self.written.turn.unwrap_or_default().shown()
            ),
        }
    }

    /// The walk with this slip mended.
    pub fn mended(&self, walk: &TapeWalk) -> TapeWalk {
        let leg = match self.mend {
            Mend::Length(length) => Leg {
                length,
                ..self.written
            },
            Mend::Turn(turn) => Leg {
                turn: Some(turn),
                ..self.written
            },
        };
        walk.with_leg(self.leg, leg)
    }
}

/// Exact, so that the two lengths of a sentence never read the same.
fn shown(length: Length, practice: Practice) -> String {
    length.shown_exact(practice)
}

/// Walls above this number are not looked at for crossing one another.
const CROSSING_MOST: usize = 200;

impl Room {
    /// The slips that explain why the room's walk does not close, the likeliest first; none where it closes. Diagonals decide
    /// between walls that would close it alike: what leaves them off by more comes later. `survey` is that of this room.
    pub fn slips(&self, survey: &Survey) -> Vec<Slip> {
        let Some(walk) = self.tape_walk().filter(|_| survey.is_open()) else {
            return Vec::new();
        };
        let mut slips = walk.slips(self.closing_limit());
        slips.sort_by_cached_key(|slip| {
            let off = self.diagonals_off(&slip.mended(walk));
            Length::from_mm((off + slip.remaining.mm()).round())
        });
        slips
    }

    /// The greatest difference of a diagonal from the closed walk, in millimetres.
    fn diagonals_off(&self, walk: &TapeWalk) -> f64 {
        let (stations, _) = walk.closed();
        self.diagonals
            .iter()
            .filter_map(|d| {
                let (from, to) = (
                    stations.get(usize::from(d.from))?,
                    stations.get(usize::from(d.to))?,
                );
                Some((from.distance(*to) - d.length.mm()).abs())
            })
            .fold(0.0, f64::max)
    }
}

impl TapeWalk {
    /// The single slips that bring the walk's closure within `limit` and its turns to one round. Ranked by what remains (to the
    /// millimetre), then by how likely the slip is, then by the order of the legs; walls that would cross are left out.
    pub fn slips(&self, limit: Length) -> Vec<Slip> {
        let stations = self.stations();
        let end = stations.last().copied().unwrap_or(Point::ZERO);
        let turned: f64 = self
            .legs()
            .iter()
            .filter_map(|l| l.turn)
            .map(Turn::degrees)
            .sum();
        let all_noted = self.legs().iter().all(|leg| leg.turn.is_some());
        let goes_round = |sum: f64| !all_noted || turns_close(360.0 - sum.abs(), self.legs().len());
        let mut found = Vec::new();
        for (k, leg) in self.legs().iter().enumerate() {
            let (Some(from), Some(to)) = (stations.get(k), stations.get(k + 1)) else {
                continue;
            };
            let along = (*to - *from).normalize_or_zero();
            let lengths = other_lengths(leg.length)
                .into_iter()
                .filter(|_| goes_round(turned))
                .map(|(length, kind)| {
                    let moved = end + along * (length - leg.length).mm();
                    (Mend::Length(length), kind, moved)
                });
            let turns = leg.turn.map_or_else(Vec::new, other_turns);
            let turns = turns.into_iter().filter_map(|(turn, kind)| {
                let by = turn.degrees() - leg.turn?.degrees();
                let moved = *to + traverse::heading(by).rotate(end - *to);
                goes_round(turned + by).then_some((Mend::Turn(turn), kind, moved))
            });
            found.extend(
                lengths
                    .chain(turns)
                    .filter(|(_, _, moved)| moved.length() <= limit.mm())
                    .map(|(mend, kind, moved)| Slip {
                        leg: k,
                        written: *leg,
                        mend,
                        kind,
                        remaining: Length::from_mm(moved.length()),
                    }),
            );
        }
        found.sort_by(|a, b| {
            let whole = |s: &Slip| s.remaining.mm().round();
            (whole(a).total_cmp(&whole(b))).then((a.kind, a.leg).cmp(&(b.kind, b.leg)))
        });
        found
            .into_iter()
            .filter(|slip| goes_round_once(&slip.mended(self)))
            .take(Slip::MOST)
            .collect()
    }
}

/// True where the walls of a walk do not cross.
fn goes_round_once(walk: &TapeWalk) -> bool {
    if walk.legs().len() > CROSSING_MOST {
        return true;
    }
    Polygon::new(walk.closed().0).is_some_and(|outline| outline.crossing().is_none())
}

/// What a length may have been before it was written wrong.
fn other_lengths(written: Length) -> Vec<(Length, SlipKind)> {
    let amounts = [
        Length::from_inches(1),
        Length::from_inches(10),
        Length::from_feet(1),
        Length::from_feet(10),
        Length::from_mm_whole(100),
        Length::from_mm_whole(1000),
    ];
    let mut found: BTreeMap<Length, SlipKind> = BTreeMap::new();
    for by in amounts {
        found.insert(written + by, SlipKind::RoundAmount);
        found.insert(written - by, SlipKind::RoundAmount);
    }
    for length in swapped(written) {
        found.entry(length).or_insert(SlipKind::DigitsSwapped);
    }
    found
        .into_iter()
        .filter(|(length, _)| *length > Length::ZERO && *length != written)
        .collect()
}

/// The lengths that differ by two neighbouring digits of the millimetres, the inches, or the feet or inches beside each other;
/// and feet and inches in each other's place.
fn swapped(written: Length) -> Vec<Length> {
    let (units, mm, inch) = (
        written.units(),
        Length::from_mm_whole(1).units(),
        Length::from_inches(1).units(),
    );
    let mut found = Vec::new();
    if units % mm == 0 {
        found.extend(digits_swapped(units / mm).into_iter().map(|n| n * mm));
    }
    if units % (inch / 64) == 0 {
        let (whole, part) = (units / inch, units % inch);
        let (feet, inches) = (whole / 12, whole % 12);
        found.extend(digits_swapped(whole).into_iter().map(|n| n * inch + part));
        found.extend(
            digits_swapped(feet)
                .into_iter()
                .map(|n| (n * 12 + inches) * inch + part),
        );
        found.extend(
            digits_swapped(inches)
                .into_iter()
                .map(|n| (feet * 12 + n) * inch + part),
        );
        if feet < 12 {
            found.push((inches * 12 + feet) * inch + part);
        }
    }
    found.into_iter().map(Length::from_units).collect()
}

/// The numbers that come of `number` by swapping two neighbouring digits.
fn digits_swapped(number: i64) -> Vec<i64> {
    std::iter::successors(Some(1_i64), |one| one.checked_mul(10))
        .take_while(|one| number / one >= 10)
        .map(|one| {
            let (low, high) = (number / one % 10, number / one / 10 % 10);
            number + (low - high) * (10 - 1) * one
        })
        .filter(|other| *other != number)
        .collect()
}

/// What a turn may have been before it was written wrong.
fn other_turns(written: Turn) -> Vec<(Turn, SlipKind)> {
    let back = Turn::left_by(180.0);
    let mut found = vec![(written.mirrored(), SlipKind::OtherSide)];
    for quarter in [Turn::LEFT, Turn::RIGHT] {
        found.push((written.then(quarter), SlipKind::Quarter));
    }
    found.retain(|(turn, _)| *turn != written && *turn != back);
    let mut seen = Vec::new();
    found.retain(|(turn, _)| {
        let new = !seen.contains(turn);
        seen.push(*turn);
        new
    });
    found
}
