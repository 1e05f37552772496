//! Lines of equal air speed of a cooling unit: over the floor at a height, and in a section along its jet.

use std::sync::{Arc, Mutex, PoisonError};

use super::air::Sees;
use super::jet::REACH_MM;
use super::{Jet, Layout, Part};
use crate::geometry::{Bounds, Point, level_lines};
use crate::plan::Id;

/// The speeds whose lines are drawn, in m/s: an open printer bears the first two by what it prints, and none bears the last (own
/// judgement; 0.25 and 0.5 m/s are also the usual terminal velocities of air outlets, 50 and 100 ft/min).
pub const DRAWN_M_S: [f64; 3] = [0.25, 0.5, 1.0];

/// Sides of the squares over which lines are looked for, in millimetres: on the floor, and in a section, along it and up.
const ON_FLOOR_MM: f64 = 60.0;
const IN_SECTION_MM: (f64, f64) = (50.0, 20.0);
/// More lines of one layout are not kept.
const KEPT_MOST: usize = 6;

/// The lines along which the air has one speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The speed in m/s.
    pub speed: f64,
    /// Each from end to end in millimetres; one that closes on itself ends where it begins.
    pub lines: Vec<Vec<Point>>,
}

/// The air in the upright plane along the middle of a jet: x is the distance before the outlet, y the height above the floor, both in
/// millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// How far before the outlet the wall stands.
    pub length: f64,
    /// Height of the ceiling.
    pub ceiling: f64,
    /// The middle of the jet.
    pub middle: Vec<Point>,
    /// The lines of equal speed.
    pub contours: Vec<Contour>,
}

/// What was worked out last for a layout, which never changes: floor and card ask for the same in every frame.
#[derive(Clone, Debug, Default)]
pub(super) struct Drawn {
    floor: Arc<Mutex<Vec<OnFloor>>>,
    section: Arc<Mutex<Vec<InSection>>>,
}

/// The lines of a unit over the floor at a height, in bits.
type OnFloor = ((Id, Sees, u64), Arc<Vec<Contour>>);
/// The section of a unit.
type InSection = ((Id, Sees), Option<Arc<Section>>);

/// What is kept under a key, made where it is not there yet.
fn kept<K: PartialEq, V: Clone>(all: &Mutex<Vec<(K, V)>>, key: K, make: impl FnOnce() -> V) -> V {
    let known = |all: &Vec<(K, V)>| all.iter().find(|(k, _)| *k == key).map(|(_, v)| v.clone());
    if let Some(value) = known(&all.lock().unwrap_or_else(PoisonError::into_inner)) {
        return value;
    }
    let value = make();
    let mut all = all.lock().unwrap_or_else(PoisonError::into_inner);
    if all.len() >= KEPT_MOST {
        all.remove(0);
    }
    all.push((key, value.clone()));
    value
}

impl Layout {
    /// The lines of [`DRAWN_M_S`] of a unit's air at a height above the floor, cut off at the walls.
    pub fn air_contours(&self, unit: &Part, sees: Sees, height_mm: f64) -> Arc<Vec<Contour>> {
        let key = (unit.id, sees, height_mm.to_bits());
        kept(&self.drawn.floor, key, || {
            let jet = Self::jet_of(unit, sees);
            let found = jet.map(|jet| self.find_contours(unit, (jet, sees), height_mm));
            Arc::new(found.unwrap_or_default())
        })
    }

    fn find_contours(
        &self,
        unit: &Part,
        (jet, sees): (&Jet, Sees),
        height_mm: f64,
    ) -> Vec<Contour> {
        let speed = self.speed_of(unit, (jet, sees));
        let value = |at: Point| speed(at, height_mm);
        let [slowest, ..] = DRAWN_M_S;
        let Some(bounds) = self.swept(jet, slowest) else {
            return Vec::new();
        };
        let step = Point::splat(ON_FLOOR_MM);
        let found = level_lines(&value, &bounds, step, DRAWN_M_S);
        let contours = DRAWN_M_S.into_iter().zip(found);
        contours
            .map(|(speed, lines)| Contour {
                speed,
                lines: lines.iter().flat_map(|l| self.room.inside(l)).collect(),
            })
            .collect()
    }

    /// A box that holds all air of a jet as fast as a level, within the box round the room.
    fn swept(&self, jet: &Jet, level: f64) -> Option<Bounds> {
        let reach = jet.throw(level)?.min(REACH_MM);
        let room = self.room.bounds();
        let far = Point::splat(reach);
        let bounds = Bounds {
            low: room.low.max(jet.origin - far),
            high: room.high.min(jet.origin + far),
        };
        let size = bounds.size();
        (size.x > 0.0 && size.y > 0.0).then_some(bounds)
    }

    /// The air of a unit in the upright plane along the middle of its swing, as far as the wall that it blows at; `None` without a
    /// jet.
    pub fn air_section(&self, unit: &Part, sees: Sees) -> Option<Arc<Section>> {
        kept(&self.drawn.section, (unit.id, sees), || {
            let jet = Self::jet_of(unit, sees)?;
            let (length, _) = self.before_jet(jet)?;
            let ceiling = self.plan.room().ceiling.mm();
            let speed = self.speed_of(unit, (jet, sees));
            let value = |at: Point| speed(jet.origin + jet.forward * at.x, at.y);
            let bounds = Bounds {
                low: Point::new(1.0, 0.0),
                high: Point::new(length.max(2.0), ceiling.max(1.0)),
            };
            let step = Point::new(IN_SECTION_MM.0, IN_SECTION_MM.1);
            let found = level_lines(&value, &bounds, step, DRAWN_M_S);
            let contours = DRAWN_M_S.into_iter().zip(found);
            let contours = contours.map(|(speed, lines)| Contour { speed, lines });
            let steps = (length / IN_SECTION_MM.0).ceil().max(1.0).min(2000.0);
            let all = std::iter::successors(Some(0.0), |k| (k + 1.0 <= steps).then_some(k + 1.0));
            let middle = all.map(|k| {
                let ahead = length * k / steps;
                Point::new(ahead, jet.middle_height(ahead))
            });
            Some(Arc::new(Section {
                length,
                ceiling,
                middle: middle.collect(),
                contours: contours.collect(),
            }))
        })
    }

    /// The height at which the printers of the room stand, half way from the lowest place of them to the highest, in millimetres; a
    /// table's height where there are none.
    pub fn printers_middle(&self) -> f64 {
        /// Of a usual work table (common practice, no source).
        const TABLE_MM: f64 = 900.0;
        let heights = self.printers().map(|(_, p)| (p.low, p.high));
        let (low, high) = heights
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (low, high)| {
                (l.min(low), h.max(high))
            });
        if low < high {
            f64::midpoint(low, high)
        } else {
            TABLE_MM
        }
    }
}
