//! How well a room's measurements agree: closure, diagonals, what each measurement is off by, and the corners that fit them all.
//! Judges the tape alone; whether the room is a good one is nothing to it.

use serde::{Deserialize, Serialize};

use super::{Lies, Room, TapeWalk};
use crate::geometry::Point;
use crate::geometry::network::{self, Fit, Held, Observation, Sighting, Unadjustable};
use crate::geometry::traverse::{self, Closure};
use crate::units::{Length, Practice};

/// A distance measured from corner to corner as a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Diagonal {
    /// A corner, by its place in the outline: of a tape walk the corner where that leg starts, the first being 0.
    pub from: u16,
    /// Another corner, no neighbour of the first.
    pub to: u16,
    /// The distance between them.
    pub length: Length,
}

impl Diagonal {
    /// The most diagonals a room may have.
    pub const MOST: usize = 200;
}

/// What a tape may be wrong by where the owner did not say: 5 mm (common practice, no source).
pub const UNSTATED_TOLERANCE: Length = Length::from_mm_whole(5);
/// The least standard deviation of a length, in millimetres.
const SIGMA_LEAST_MM: f64 = 0.25;
/// The standard deviation of a turn, in degrees: a corner called square is looked at, not measured (own judgement).
const TURN_SIGMA_DEG: f64 = 2.0;
/// The diagonals of a room of more corners are compared and not adjusted, so that no file can keep the program busy.
const CORNERS_MOST: usize = 50;
/// A measurement counts as checked by the others from this redundancy on (own judgement).
const CHECKED: f64 = 0.01;
/// A standardized residual beyond this is hardly chance: one in a thousand (Baarda 1968).
const CRITICAL: f64 = 3.29;

/// Standardized residuals this near to each other do not tell their measurements apart (own judgement).
const ALIKE: f64 = 0.9;

/// How the corners of a room came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The corners were entered.
    Entered,
    /// A walk of square turns: its lengths give way, its walls stay square.
    Square,
    /// The compass rule: every leg of the walk gives way by its length.
    CompassRule,
    /// Least squares over walls, turns and diagonals.
    Diagonals,
    /// The diagonals contradict the walk so much that they are left out.
    Contradicted(Unadjustable),
}

/// What was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// The wall with this number in the outline (of a walk: the leg), the first being 0.
    Wall(usize),
    /// The turn at the end of this leg.
    Turn(usize),
    /// The diagonal with this number in the room's list.
    Diagonal(usize),
}

/// One measurement against the corners that came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measurement {
    /// What.
    pub what: Measured,
    /// The value that came out less the measured one: millimetres, or degrees to the left for a turn.
    pub residual: f64,
    /// How much of a mistake here would show: 1 all of it, 0 none.
    pub redundancy: f64,
    /// The residual by what chance would make it; `None` where nothing checks this measurement.
    pub standardized: Option<f64>,
}

impl Measurement {
    /// True where the other measurements say something about this one.
    pub fn is_checked(&self) -> bool {
        self.redundancy >= CHECKED
    }

    /// How people call what was measured; walls and corners are counted from 1.
    pub fn name(&self, room: &Room) -> String {
        name_of(self.what, room)
    }

    /// How the value that came out differs from the measured one, in words.
    pub fn off_words(&self, practice: Practice) -> String {
        off_by(self, practice)
    }

    /// True where chance hardly explains how badly it fits.
    pub fn is_suspect(&self) -> bool {
        self.is_checked() && self.standardized.is_some_and(|s| s.abs() > CRITICAL)
    }
}

/// What the measurements of a room say about each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// How the corners came about.
    pub basis: Basis,
    /// How far the walk misses its start; `None` for entered corners.
    pub closure: Option<Closure>,
    /// How far it may: the tape's tolerance times the square root of the number of walls.
    pub closing_limit: Length,
    /// The interior angles less (n - 2) · 180 degrees, where every turn was noted.
    pub angular_misclosure_deg: Option<f64>,
    /// Every measurement: walls, turns, diagonals.
    pub measurements: Vec<Measurement>,
    /// The place in `measurements` of the one that fits worst among those that are checked.
    pub worst: Option<usize>,
    /// How many more diagonals it takes to know the shape from lengths alone, without trusting a single turn.
    pub diagonals_missing: usize,
    /// True where the lengths alone fix the shape.
    pub shape_fixed: bool,
    /// True where there are more lengths than that takes, so that they check each other.
    pub lengths_checked: bool,
}

/// Corners with what they came from.
pub(super) struct Derived {
    diagonals: Vec<Diagonal>,
    tolerance: Option<Length>,
    lies: Lies,
    pub(super) corners: Vec<(Length, Length)>,
}

impl Derived {
    pub(super) fn is_from(
        &self,
        diagonals: &[Diagonal],
        tolerance: Option<Length>,
        lies: Lies,
    ) -> bool {
        self.diagonals == diagonals && self.tolerance == tolerance && self.lies == lies
    }
}

/// The corners of a walk in the room's order.
pub(super) fn derive(
    walk: &TapeWalk,
    diagonals: &[Diagonal],
    tolerance: Option<Length>,
    lies: Lies,
) -> Derived {
    let fitted = Fitted::of(walk, diagonals, sigma_mm(tolerance));
    Derived {
        diagonals: diagonals.to_vec(),
        tolerance,
        lies,
        corners: walk.in_room_order(&fitted.stations, lies),
    }
}

/// The tape's tolerance, either way, is taken for two standard deviations.
fn sigma_mm(tolerance: Option<Length>) -> f64 {
    (tolerance.unwrap_or(UNSTATED_TOLERANCE).mm() / 2.0).max(SIGMA_LEAST_MM)
}

/// The corners of a walk in walking order, and how every measurement fits them.
struct Fitted {
    stations: Vec<Point>,
    basis: Basis,
    measurements: Vec<Measurement>,
}

impl Fitted {
    fn of(walk: &TapeWalk, diagonals: &[Diagonal], sigma: f64) -> Self {
        let (closed, basis) = walk.closed();
        let seen = sightings(walk, diagonals);
        let plain = |basis| Self {
            measurements: plainly(&closed, &seen),
            stations: closed.clone(),
            basis,
        };
        let confirmed = basis == Basis::Square
            && across(diagonals).all(|(_, what)| {
                let off = network::residual(&closed, what);
                off.is_some_and(|mm| mm.abs() <= 2.0 * sigma)
            });
        if diagonals.is_empty() || confirmed || closed.len() > CORNERS_MOST || closed.len() < 3 {
            return plain(basis);
        }
        let observations: Vec<Observation> = seen
            .iter()
            .map(|(_, what)| Observation {
                what: *what,
                sigma: match what {
                    Sighting::Distance { .. } => sigma,
                    Sighting::Turn { .. } => TURN_SIGMA_DEG,
                },
            })
            .collect();
        let start = traverse::laid_along(&closed, walk.first_deg());
        match network::adjust(&start, &held(walk), &observations) {
            Ok(adjusted) => Self {
                measurements: seen
                    .iter()
                    .zip(&adjusted.fits)
                    .map(|((what, _), fit)| measurement(*what, *fit))
                    .collect(),
                stations: adjusted.points,
                basis: Basis::Diagonals,
            },
            Err(why) => plain(Basis::Contradicted(why)),
        }
    }
}

fn measurement(what: Measured, fit: Fit) -> Measurement {
    Measurement {
        what,
        residual: fit.residual,
        redundancy: fit.redundancy,
        standardized: fit.standardized,
    }
}

/// The first corner stays, and the first wall keeps its direction.
fn held(walk: &TapeWalk) -> [Held; 3] {
    let direction = if walk.goes_left() {
        Held::Y(1)
    } else {
        Held::X(1)
    };
    [Held::X(0), Held::Y(0), direction]
}

/// Every wall, noted turn and diagonal of a walk, between its corners in walking order.
fn sightings(walk: &TapeWalk, diagonals: &[Diagonal]) -> Vec<(Measured, Sighting)> {
    let n = walk.legs().len();
    let next = |k: usize| (k + 1) % n.max(1);
    let walls = walk.legs().iter().enumerate().map(|(k, leg)| {
        let mm = leg.length.mm();
        let (from, to) = (k, next(k));
        (Measured::Wall(k), Sighting::Distance { from, to, mm })
    });
    let turns = walk.legs().iter().enumerate().filter_map(|(k, leg)| {
        let (at, to) = (next(k), next(next(k)));
        let deg = leg.turn?.degrees();
        let what = Sighting::Turn {
            from: k,
            at,
            to,
            deg,
        };
        Some((Measured::Turn(k), what))
    });
    walls.chain(turns).chain(across(diagonals)).collect()
}

fn across(diagonals: &[Diagonal]) -> impl Iterator<Item = (Measured, Sighting)> + '_ {
    diagonals.iter().enumerate().map(|(k, d)| {
        let (from, to) = (usize::from(d.from), usize::from(d.to));
        let mm = d.length.mm();
        (Measured::Diagonal(k), Sighting::Distance { from, to, mm })
    })
}

/// Residuals against corners that were not fitted to these measurements: nothing can be said of their chance.
fn plainly(stations: &[Point], seen: &[(Measured, Sighting)]) -> Vec<Measurement> {
    seen.iter()
        .filter_map(|(what, sighting)| {
            Some(Measurement {
                what: *what,
                residual: network::residual(stations, *sighting)?,
                redundancy: 0.0,
                standardized: None,
            })
        })
        .collect()
}

impl Room {
    /// How far a walk round this room may miss its start: errors of single lengths add up as the square root of their number
    /// (Ghilani and Wolf, "Elementary Surveying", error of a series).
    pub fn closing_limit(&self) -> Length {
        let tolerance = self.tape_tolerance.unwrap_or(UNSTATED_TOLERANCE);
        Length::from_mm(tolerance.mm() * (self.walls() as f64).sqrt())
    }

    /// What the measurements of the room say about each other.
    pub fn survey(&self) -> Survey {
        let sigma = sigma_mm(self.tape_tolerance);
        let walk = self.tape_walk();
        let fitted = walk.map_or_else(
            || {
                let stations: Vec<Point> = self
                    .corners()
                    .iter()
                    .map(|(x, y)| Point::new(x.mm(), y.mm()))
                    .collect();
                let seen: Vec<_> = across(&self.diagonals).collect();
                Fitted {
                    measurements: plainly(&stations, &seen),
                    stations,
                    basis: Basis::Entered,
                }
            },
            |walk| Fitted::of(walk, &self.diagonals, sigma),
        );
        let worst = fitted
            .measurements
            .iter()
            .enumerate()
            .filter(|(_, m)| m.is_checked())
            .filter_map(|(k, m)| Some((k, m.standardized?.abs())))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(k, _)| k);
        let shape_fixed = walk.is_none_or(|w| lengths_fix(w, &self.diagonals, &fitted.stations));
        let lengths = self.walls() + self.diagonals.len();
        Survey {
            basis: fitted.basis,
            closure: walk.map(TapeWalk::closure),
            closing_limit: self.closing_limit(),
            angular_misclosure_deg: walk.and_then(TapeWalk::angular_misclosure_deg),
            measurements: fitted.measurements,
            worst,
            diagonals_missing: walk.map_or(0, |w| {
                w.legs().len().saturating_sub(3 + self.diagonals.len())
            }),
            shape_fixed,
            lengths_checked: walk.is_some() && shape_fixed && lengths + 3 > 2 * self.walls(),
        }
    }
}

/// True where walls and diagonals alone, without a turn, leave no corner free.
fn lengths_fix(walk: &TapeWalk, diagonals: &[Diagonal], stations: &[Point]) -> bool {
    if stations.len() > CORNERS_MOST {
        return false;
    }
    let lengths: Vec<Observation> = sightings(walk, diagonals)
        .into_iter()
        .filter(|(_, what)| matches!(what, Sighting::Distance { .. }))
        .map(|(_, what)| Observation { what, sigma: 1.0 })
        .collect();
    network::fixes_all(
        &traverse::laid_along(stations, walk.first_deg()),
        &held(walk),
        &lengths,
    )
}

impl Survey {
    /// True where something is written wrong in the walk: it misses its start by more than the tape explains, its turns do not go
    /// round once, or a measurement fits badly. Where the lengths check each other the turns are only looked at, and what counts
    /// is whether the lengths agree.
    pub fn is_open(&self) -> bool {
        let by_lengths = self.basis == Basis::Diagonals && self.lengths_checked;
        self.measurements.iter().any(Measurement::is_suspect)
            || (!by_lengths && (self.misses_start() || !self.turns_go_round()))
    }

    fn misses_start(&self) -> bool {
        let most = self.closing_limit.mm() + crate::geometry::TOLERANCE_MM;
        self.closure.is_some_and(|c| c.length_mm > most)
    }

    fn turns_go_round(&self) -> bool {
        self.angular_misclosure_deg
            .is_none_or(|deg| turns_close(deg, self.walls()))
    }

    fn walls(&self) -> usize {
        self.measurements
            .iter()
            .filter(|m| matches!(m.what, Measured::Wall(_)))
            .count()
    }

    /// The survey in sentences, most urgent first; nothing where there is nothing to say.
    pub fn sentences(&self, room: &Room, practice: Practice) -> Vec<String> {
        let mut said = Vec::new();
        said.extend(self.worst_sentence(room, practice));
        if self.is_open() {
            said.extend(self.closure_sentence(room, practice));
            said.extend(self.angle_sentence());
        }
        said.extend(self.plain_sentences(room, practice));
        said.extend(self.missing_sentence(room));
        said
    }

    fn closure_sentence(&self, room: &Room, practice: Practice) -> Option<String> {
        let closure = self.closure.filter(|_| self.misses_start())?;
        let shown = |mm: f64| Length::from_mm(mm).shown(practice);
        let odd_corners = room.tape_walk().is_some_and(|walk| !walk.is_square());
        let hint = if odd_corners && room.diagonals.is_empty() {
            "; the angle of a corner that is not square is known well only by a diagonal"
        } else {
            ""
        };
        Some(format!(
            "the walk ends {} from where it began, 1 in {:.0} of its {}; up to {} the tape explains{hint}",
            shown(closure.length_mm),
            closure.one_in()?,
            shown(closure.perimeter_mm),
            self.closing_limit.shown(practice)
        ))
    }

    fn angle_sentence(&self) -> Option<String> {
        let off = self.angular_misclosure_deg?;
        let sum = ((360.0 - off) * 10.0).round() / 10.0;
        (!self.turns_go_round()).then(|| format!("the turns add up to {sum}° instead of 360°"))
    }

    fn worst_sentence(&self, room: &Room, practice: Practice) -> Option<String> {
        let worst = self
            .measurements
            .get(self.worst?)
            .filter(|m| m.is_suspect())?;
        let alike = self.as_bad_as(worst);
        if alike.len() == 1 {
            return Some(format!(
                "{} fits worst: it comes out {}; measure it again",
                name_of(worst.what, room),
                off_by(worst, practice)
            ));
        }
        let names: Vec<String> = alike
            .iter()
            .take(4)
            .map(|m| name_of(m.what, room))
            .collect();
        let more = match alike.len() - names.len() {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        Some(format!(
            "one of these is wrong, and the measurements cannot tell which: {}{more}; measure them again",
            names.join(", ")
        ))
    }

    /// The measurements that stand out as much as this one, itself among them.
    fn as_bad_as(&self, worst: &Measurement) -> Vec<&Measurement> {
        let least = worst.standardized.map_or(0.0, f64::abs) * ALIKE;
        let stands_out =
            |m: &&Measurement| m.is_suspect() && m.standardized.is_some_and(|s| s.abs() >= least);
        self.measurements.iter().filter(stands_out).collect()
    }

    /// What lies beyond the tolerance where nothing was fitted: the three worst, and how many more.
    fn plain_sentences(&self, room: &Room, practice: Practice) -> Vec<String> {
        const NAMED: usize = 3;
        if self.basis == Basis::Diagonals {
            return Vec::new();
        }
        let most = room.tape_tolerance.unwrap_or(UNSTATED_TOLERANCE).mm();
        let mut beyond: Vec<&Measurement> = self
            .measurements
            .iter()
            .filter(|m| matches!(m.what, Measured::Diagonal(_)) && m.residual.abs() > most)
            .collect();
        beyond.sort_by(|a, b| b.residual.abs().total_cmp(&a.residual.abs()));
        let mut said = Vec::new();
        if let Basis::Contradicted(why) = self.basis {
            said.push(format!("the diagonals are left out for now: {why}"));
        }
        said.extend(beyond.iter().take(NAMED).map(|m| {
            let (name, off) = (name_of(m.what, room), off_by(m, practice));
            format!("{name} comes out {off}; measure it again")
        }));
        if beyond.len() > NAMED {
            said.push(format!(
                "{} more diagonals do not fit either",
                beyond.len() - NAMED
            ));
        }
        said
    }

    fn missing_sentence(&self, room: &Room) -> Option<String> {
        if room.diagonals.is_empty() || self.shape_fixed {
            return None;
        }
        Some(match self.diagonals_missing {
            0 => "the diagonals lie so that they leave a corner free; measure one across another part of the room".to_owned(),
            1 => "too few measurements to tell which is wrong: the shape still rests on the turns; one more diagonal would fix it".to_owned(),
            n => format!("too few measurements to tell which is wrong: the shape still rests on the turns; {n} more diagonals would fix it"),
        })
    }
}

/// True where turns that miss a round by this much may still be those of a closed walk of `walls` walls.
pub(super) fn turns_close(off_deg: f64, walls: usize) -> bool {
    off_deg.abs() <= TURN_SIGMA_DEG * (walls as f64).sqrt()
}

/// How people call a measurement; walls and corners are counted from 1.
fn name_of(what: Measured, room: &Room) -> String {
    match what {
        Measured::Wall(k) => format!("wall {}", k + 1),
        Measured::Turn(k) => format!("the turn after wall {}", k + 1),
        Measured::Diagonal(k) => room.diagonals.get(k).map_or_else(
            || format!("diagonal {}", k + 1),
            |d| {
                let (from, to) = (u32::from(d.from) + 1, u32::from(d.to) + 1);
                format!("the diagonal from corner {from} to corner {to}")
            },
        ),
    }
}

fn off_by(m: &Measurement, practice: Practice) -> String {
    let longer = m.residual > 0.0;
    match m.what {
        Measured::Turn(_) => {
            let side = if longer { "left" } else { "right" };
            format!("{:.1}° further to the {side}", m.residual.abs())
        }
        Measured::Wall(_) | Measured::Diagonal(_) => {
            let word = if longer { "longer" } else { "shorter" };
            let by = Length::from_mm(m.residual.abs()).shown(practice);
            format!("{by} {word} than measured")
        }
    }
}
