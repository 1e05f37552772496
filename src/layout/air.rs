//! The air of cooling units over the printers of racks: which of them may stand in the fastest, how fast it is, and what shades them.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::jet::{Beam, crossing, step_at};
use super::shade::{Screen, between};
use super::{Fastest, Heights, Jet, Layout, Part, PlacedPrinter};
use crate::geometry::{Convex, Point};
use crate::plan::{Id, ItemKind};

/// Air slower than that counts as still: draught is not told from that of any room below it (ISO 7730, 6.2, which takes every
/// slower speed as 0.05 m/s).
pub const STILL_M_S: f64 = 0.05;

/// Which air, and what stands in its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sees {
    /// The air at the top fan speed, in the room with its fixed things alone.
    Fixed,
    /// The air at the fan speed in use, with everything that stands there.
    All,
}

/// The fastest air by unit and printer.
type Known = BTreeMap<(Sees, Id, Id), Option<Fastest>>;

/// The air that was asked for: two checks ask for the same. It belongs to one layout, which never
/// changes, so nothing in it goes stale.
#[derive(Clone, Debug, Default)]
pub(super) struct Air {
    known: Arc<Mutex<Known>>,
    screens: Arc<OnceLock<Vec<Screen>>>,
}

/// A printer before an outlet.
#[derive(Clone, Copy, Debug)]
pub struct Exposed<'a> {
    /// Which.
    pub printer: &'a PlacedPrinter,
    /// The air over it is nowhere faster than that, in m/s.
    pub at_most: f64,
}

fn heights(printer: &PlacedPrinter) -> Heights {
    Heights {
        low: printer.low,
        high: printer.high,
    }
}

impl Layout {
    /// The air that a unit blows.
    pub fn jet_of(unit: &Part, sees: Sees) -> Option<&Jet> {
        match sees {
            Sees::Fixed => unit.jet.as_ref(),
            Sees::All => unit.jet_in_use.as_ref(),
        }
    }

    /// The printers of a rack that do not stand wholly behind an outlet; none where all stand in air that is nowhere faster than
    /// `ignored` m/s.
    pub fn exposed<'a>(&self, rack: &'a Part, jet: &Jet, ignored: f64) -> Vec<Exposed<'a>> {
        let machines = rack.rack.as_ref().and_then(|r| r.machines.as_ref());
        let blown = |(shape, heights): &(Convex, Heights)| {
            let most = jet.at_most_over(shape, *heights);
            most.is_some_and(|most| most > ignored)
        };
        if !machines.is_some_and(blown) {
            return Vec::new();
        }
        let printers = rack.slots().iter().filter_map(|s| s.printer.as_ref());
        printers
            .filter_map(|printer| {
                let at_most = jet.at_most_over(&printer.footprint.convex(), heights(printer))?;
                Some(Exposed { printer, at_most })
            })
            .collect()
    }

    /// The fastest air of a unit over a printer; `None` where all of it stands behind the outlet or in the lee of something.
    pub fn air_over(&self, unit: &Part, sees: Sees, printer: &PlacedPrinter) -> Option<Fastest> {
        let find = || self.air_at(unit, sees, &printer.footprint.convex(), heights(printer));
        // What both see alike is searched once.
        let alike = unit.jet == unit.jet_in_use
            && self.screens().iter().all(|s| s.fixed || s.id == unit.id);
        let key = (if alike { Sees::Fixed } else { sees }, unit.id, printer.id);
        let mut known = self
            .air
            .known
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        *known.entry(key).or_insert_with(find)
    }

    /// The fastest air of a unit over a body's outline between two heights. Where something may shade part of it, it is looked at
    /// every 20 mm in all three directions, so that it may come out less than the true one by what the speed changes over
    /// half of that.
    pub fn air_at(
        &self,
        unit: &Part,
        sees: Sees,
        shape: &Convex,
        heights: Heights,
    ) -> Option<Fastest> {
        let jet = Self::jet_of(unit, sees)?;
        let mut best: Option<Fastest> = None;
        let mut beams = jet.beams(shape.points());
        if beams.len() > 1
            && beams
                .iter()
                .any(|b| !self.in_the_way(unit.id, sees, b, shape).is_empty())
        {
            // What is in the lee in one direction may be reached past the body in another: the fastest first.
            let all = jet.all_beams().into_iter();
            let mut most: Vec<(f64, Beam<'_>)> = all
                .filter_map(|beam| Some((beam.at_most_over(shape, heights)?, beam)))
                .collect();
            most.sort_by(|a, b| b.0.total_cmp(&a.0));
            beams = most.into_iter().map(|(_, beam)| beam).collect();
        }
        for beam in beams {
            let most = beam.at_most_over(shape, heights).unwrap_or(0.0);
            if best.is_some_and(|b| most <= b.speed) {
                continue;
            }
            let screens = self.in_the_way(unit.id, sees, &beam, shape);
            best = if screens.is_empty() {
                beam.faster_over(shape, heights, best)
            } else {
                beam.faster_in_the_open(shape, heights, (&screens, best))
            };
        }
        best
    }

    /// The speed of a unit's air at a place and height, in m/s; 0 in the lee of something.
    pub fn air_speed(&self, unit: &Part, sees: Sees, at: Point, height: f64) -> f64 {
        let jet = Self::jet_of(unit, sees);
        jet.map_or(0.0, |jet| self.speed_of(unit, (jet, sees))(at, height))
    }

    /// The same for many places.
    pub(super) fn speed_of<'a>(
        &'a self,
        unit: &Part,
        (jet, sees): (&'a Jet, Sees),
    ) -> impl Fn(Point, f64) -> f64 + 'a {
        let screens: Vec<&Screen> = self.seen(unit.id, sees).collect();
        let all = jet.all_beams();
        move |at, height| {
            let free = jet.speed_at(at, height);
            if screens.is_empty() || free <= STILL_M_S {
                return free;
            }
            let open = all
                .iter()
                .filter(|beam| beam.shaded(at, height, &screens).is_none());
            open.map(|beam| beam.speed_at(at, height))
                .fold(0.0, f64::max)
        }
    }

    /// What shades a place and height from a unit, from all directions of its swing.
    pub fn shaded_by(&self, unit: &Part, sees: Sees, at: Point, height: f64) -> Option<Id> {
        let jet = Self::jet_of(unit, sees)?;
        let screens: Vec<&Screen> = self.seen(unit.id, sees).collect();
        let beams = jet.all_beams();
        let shades = beams.iter().map(|b| b.shaded(at, height, &screens));
        let all: Option<Vec<&Screen>> = shades.collect();
        all?.first().map(|screen| screen.id)
    }

    /// How far ahead of a jet the first wall stands, and how wide the room is along the wall that the unit hangs on, both in
    /// millimetres; `None` where it blows at no wall.
    pub fn before_jet(&self, jet: &Jet) -> Option<(f64, f64)> {
        let ahead = self.walls().filter_map(|wall| {
            let faces = wall.inward.dot(jet.forward);
            if faces >= -1e-9 {
                return None;
            }
            let far = (wall.start - jet.origin).dot(wall.inward) / faces;
            let along = (jet.origin + jet.forward * far - wall.start).dot(wall.along);
            (far > 0.0 && (0.0..=wall.length).contains(&along)).then_some(far)
        });
        let across = self.room.points().iter().map(|p| p.dot(jet.wall_along));
        let (low, high) = across.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
        Some((ahead.min_by(f64::total_cmp)?, high - low))
    }

    /// Everything that no air passes through.
    fn screens(&self) -> &[Screen] {
        let find = || self.parts.values().flat_map(|p| Screen::of(p)).collect();
        self.air.screens.get_or_init(find)
    }

    fn seen(&self, unit: Id, sees: Sees) -> impl Iterator<Item = &Screen> {
        let screens = self.screens().iter();
        screens.filter(move |s| s.id != unit && (s.fixed || sees == Sees::All))
    }

    /// What may shade some of a body.
    fn in_the_way(&self, unit: Id, sees: Sees, beam: &Beam<'_>, shape: &Convex) -> Vec<&Screen> {
        let Some(way) = between(beam, shape.bounds()) else {
            return Vec::new();
        };
        let near = |s: &&Screen| s.shape.bounds().gap(&way) <= 0.0;
        self.seen(unit, sees).filter(near).collect()
    }

    /// True where a thing may shade some of what a rack holds, or could before it was changed.
    pub fn may_shade(&self, other: &Part, rack: &Part, sees: Sees) -> bool {
        if sees == Sees::Fixed && !other.fixed {
            return false;
        }
        let Some((machines, _)) = rack.rack.as_ref().and_then(|r| r.machines.as_ref()) else {
            return false;
        };
        let screens = Screen::of(other);
        !screens.is_empty()
            && self.of_kind(ItemKind::Cooling).any(|unit| {
                let Some(jet) = Self::jet_of(unit, sees) else {
                    return false;
                };
                let beams = jet.beams(machines.points());
                beams.iter().any(|beam| {
                    between(beam, machines.bounds()).is_some_and(|way| {
                        screens.iter().any(|s| s.shape.bounds().gap(&way) <= 0.0)
                    })
                })
            })
    }
}

impl Beam<'_> {
    /// As [`Beam::faster_over`], of the places that no screen shades and where the air is not still.
    fn faster_in_the_open(
        &self,
        shape: &Convex,
        heights: Heights,
        (screens, mut best): (&[&Screen], Option<Fastest>),
    ) -> Option<Fastest> {
        let Some((near, far)) = self.stretch(shape) else {
            return best;
        };
        let step = step_at(near);
        let steps = |from: f64, to: f64| steps(from, to, step);
        for ahead in steps(near, far) {
            let at = self.jet.origin + self.forward * ahead;
            let side = self.forward.perp();
            let Some((low, high)) = crossing(shape, at, self.forward, side) else {
                continue;
            };
            let middle = self.jet.middle_height(ahead);
            let nearest = 0.0_f64.max(low).min(high);
            let level = middle.max(heights.low).min(heights.high);
            for height in std::iter::once(level).chain(steps(heights.low, heights.high)) {
                let Some(line) = self.jet.line(ahead, height - middle) else {
                    continue;
                };
                // From the fastest place to both sides, until the open is reached or nothing faster can come.
                for end in [low, high] {
                    for aside in steps(nearest, end) {
                        let speed = line.speed_m_s(aside / 1000.0).unwrap_or(0.0);
                        if speed <= best.map_or(STILL_M_S, |b| b.speed) {
                            break;
                        }
                        let at = at + side * aside;
                        if self.shaded(at, height, screens).is_none() {
                            best = Some(Fastest { speed, at, height });
                            break;
                        }
                    }
                }
            }
        }
        best
    }
}

/// From one number to another, both counted, at most a step apart.
fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    let count = ((to - from).abs() / step).ceil().min(2000.0);
    std::iter::successors(Some(0.0), move |k| (k + 1.0 <= count).then_some(k + 1.0))
        .map(move |k| from + (to - from) * k / count.max(1.0))
}
