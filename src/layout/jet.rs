//! The air that a cooling unit blows into the room, as if nothing but floor, ceiling and walls stood there: one jet, or one that
//! swings from side to side, of which the fastest counts everywhere. What shades the air is in `shade`.

use std::sync::{Arc, Mutex, PoisonError};

use crate::geometry::{Convex, Point};
use crate::handbook::air_jet::{Axis, Line, Outlet, Temperatures};
use crate::layout::{Heights, Wall};
use crate::plan::{Blow, CoolingUnit, Fan};
use crate::stock::CoolingKind;
use crate::units::Length;

/// The room's temperature that the cold air falls in, in °C; the drop hardly depends on it.
const ROOM_C: f64 = 24.0;
/// How far apart the places are at which a jet is looked at, in millimetres.
const STEP_MM: f64 = 20.0;
/// The same as a share of the distance ahead, where that is more: the jet grows as wide as it is far away, and over a hundredth of
/// the way its middle slows by a hundredth.
const STEP_SHARE: f64 = 0.01;
/// How far a jet is followed, in millimetres.
pub(super) const REACH_MM: f64 = 30_000.0;
/// How far apart the directions are in which a swinging jet is looked at, in radians: 2 degrees. Halfway between two of them the
/// air of a compact outlet is 2.3 % slower than straight ahead: exp(-0.7 (tan 1° / tan 5.1°)²).
const SWING_STEP: f64 = std::f64::consts::PI / 90.0;
/// What rounding may take from a distance, in millimetres, and from a speed, as a share.
const HAIR_MM: f64 = 1e-3;
const HAIR: f64 = 1e-9;

/// The jet of one cooling unit at one fan speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Jet {
    /// Middle of the outlet, in the plan.
    pub origin: Point,
    /// Unit vector of the blow, in the middle of its swing.
    pub forward: Point,
    /// Middle of the outlet above the floor, in millimetres.
    pub height: f64,
    /// Speed at the outlet in m/s.
    pub outlet_speed: f64,
    /// How far it swings to either side, in radians.
    pub swing: f64,
    outlet: Outlet,
    axis: Axis,
    density_ratio: f64,
    /// Unit vector along the wall that the unit hangs on.
    pub(super) wall_along: Point,
    /// Height of the ceiling, in millimetres.
    ceiling: f64,
    /// How far ahead its middle has fallen to the floor, in millimetres.
    landing: f64,
    contours: Contours,
}

/// A swinging jet in one of its directions.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beam<'a> {
    pub(super) jet: &'a Jet,
    /// Unit vector of the blow.
    pub(super) forward: Point,
}

/// A contour by its speed and heights.
type Known = (f64, Heights, Option<Convex>);

/// The contours that were asked for, so that each is worked out once: check, floor and sheet ask for the same few, the floor
/// in every frame. They follow from the rest of a jet, which never changes, so copies share them and comparing passes them over.
#[derive(Clone, Debug, Default)]
struct Contours(Arc<Mutex<Vec<Known>>>);

/// More contours than this of one jet are not kept.
const CONTOURS_MOST: usize = 16;

impl PartialEq for Contours {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Contours {
    fn get_or(
        &self,
        speed_m_s: f64,
        heights: Heights,
        find: impl FnOnce() -> Option<Convex>,
    ) -> Option<Convex> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let same = |k: &&Known| k.0.total_cmp(&speed_m_s).is_eq() && k.1 == heights;
        if let Some((.., contour)) = known.iter().find(same) {
            return contour.clone();
        }
        let contour = find();
        if known.len() < CONTOURS_MOST {
            known.push((speed_m_s, heights, contour.clone()));
        }
        contour
    }
}

/// The fastest air over a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fastest {
    /// Speed in m/s.
    pub speed: f64,
    /// Where, in the plan.
    pub at: Point,
    /// Height above the floor, in millimetres.
    pub height: f64,
}

impl Jet {
    /// The jet of a unit on a wall at one fan speed; `None` while its air flow or the temperature of its air is unknown, and
    /// where its angles are steeper than a jet can be followed.
    pub(super) fn of(
        kind: &CoolingKind,
        wall: &Wall,
        unit: &CoolingUnit,
        (fan, ceiling): (Fan, Length),
    ) -> Option<Self> {
        let metres = |mm: f64| mm / 1000.0;
        let (width, height) = (
            metres(kind.outlet_width.mm()),
            metres(kind.outlet_height.mm()),
        );
        let speed = fan.flow(kind)?.value() / 3600.0 / (width * height);
        let middle = unit.at.along.mm() + kind.width.mm() * 0.5;
        let down_deg = unit.blow.down_deg(kind);
        if down_deg.abs() > Blow::STEEPEST_DEG || unit.blow.fault().is_some() {
            return None;
        }
        let air = Temperatures {
            outlet_c: ROOM_C - kind.supply_below_room?.value(),
            room_c: ROOM_C,
        };
        let outlet = Outlet::new(width, height, speed, Outlet::USUAL_K1)?;
        let mut jet = Self {
            origin: wall.point(middle, kind.depth.mm()),
            forward: turned(wall.inward, unit.blow.aside.signed_degrees().to_radians()),
            height: unit.bottom.mm() + kind.outlet_rise.mm(),
            outlet_speed: speed,
            swing: unit.blow.swing.signed_degrees().to_radians(),
            axis: outlet.axis(-down_deg, air)?,
            density_ratio: (ROOM_C + KELVIN) / (air.outlet_c + KELVIN),
            outlet,
            wall_along: wall.along,
            ceiling: ceiling.mm(),
            landing: REACH_MM,
            contours: Contours::default(),
        };
        jet.landing = jet.find_landing();
        Some(jet)
    }

    /// Width of the outlet, in millimetres.
    pub(super) fn outlet_width(&self) -> f64 {
        self.outlet.width_m() * 1000.0
    }

    /// Mean speed in m/s of the air in a room that the jet stirs, for a room that wide and high across it, in millimetres.
    pub fn mean_room_speed(&self, width_mm: f64, height_mm: f64) -> Option<f64> {
        self.outlet
            .mean_room_speed_m_s(width_mm / 1000.0, height_mm / 1000.0, self.density_ratio)
    }

    /// How far along its axis the jet is as fast as that, in millimetres; `None` where it is nowhere.
    pub fn throw(&self, speed_m_s: f64) -> Option<f64> {
        self.outlet.throw_m(speed_m_s).map(|m| m * 1000.0)
    }

    /// Where its middle has fallen to the floor: beyond its highest point, by halving.
    fn find_landing(&self) -> f64 {
        let flies = |ahead: f64| {
            let rise = self.axis.height_m(ahead / 1000.0).unwrap_or(0.0);
            self.height + rise * 1000.0 > 0.0
        };
        let top = self.axis.highest().map_or(1.0, |top| top.ahead_m * 1000.0);
        if top >= REACH_MM || flies(REACH_MM) {
            return REACH_MM;
        }
        let (mut near, mut far) = (top, REACH_MM);
        while far - near > HAIR_MM {
            let middle = f64::midpoint(near, far);
            if flies(middle) {
                near = middle;
            } else {
                far = middle;
            }
        }
        far
    }

    /// Height of the jet's middle `ahead_mm` from the outlet, in millimetres; once it has fallen to the floor or risen to the
    /// ceiling it runs on along it.
    pub fn middle_height(&self, ahead_mm: f64) -> f64 {
        if ahead_mm >= self.landing {
            return 0.0;
        }
        let rise = self.axis.height_m(ahead_mm / 1000.0).unwrap_or(0.0);
        (self.height + rise * 1000.0).max(0.0).min(self.ceiling)
    }

    /// The lowest and the highest that its middle stands between two distances ahead.
    fn middle_between(&self, near: f64, far: f64) -> (f64, f64) {
        if !self.axis.bends_down() {
            return (0.0, self.ceiling);
        }
        let (a, b) = (self.middle_height(near), self.middle_height(far));
        let top = self.axis.highest().map(|top| top.ahead_m * 1000.0);
        let within = top.filter(|x| (near..=far).contains(x));
        let upper = within.map_or(a.max(b), |x| self.middle_height(x).max(a).max(b));
        (a.min(b), upper)
    }

    /// Length of its way to a place `ahead_mm` from the outlet: slanting until it has come down, then along the floor.
    pub fn way(&self, ahead_mm: f64) -> f64 {
        let slanting = ahead_mm.min(self.landing);
        slanting / self.axis.cosine() + (ahead_mm - slanting)
    }

    /// The place that lies as far along its way.
    fn ahead_of(&self, way_mm: f64) -> f64 {
        let slanting = self.landing / self.axis.cosine();
        if way_mm <= slanting {
            way_mm * self.axis.cosine()
        } else {
            self.landing + way_mm - slanting
        }
    }

    /// The air along the level line that lies `above_mm` straight over or under the jet's middle.
    pub(super) fn line(&self, ahead_mm: f64, above_mm: f64) -> Option<Line> {
        let off_mm = above_mm * self.axis.cosine();
        self.outlet
            .line(self.way(ahead_mm) / 1000.0, off_mm / 1000.0)
    }

    /// The directions to look at for a body, each within the swing: over the angle that it takes as seen from the outlet, with one
    /// step more to either side.
    pub(super) fn beams(&self, corners: &[Point]) -> Vec<Beam<'_>> {
        if self.swing <= 0.0 {
            return vec![self.beam(0.0)];
        }
        let angles = corners.iter().map(|p| {
            let to = *p - self.origin;
            self.forward.perp_dot(to).atan2(self.forward.dot(to))
        });
        let (low, high) = angles.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), a| {
            (l.min(a), h.max(a))
        });
        let within = |angle: f64| angle.max(-self.swing).min(self.swing);
        let (low, high) = (within(low - SWING_STEP), within(high + SWING_STEP));
        let steps = ((high - low) / SWING_STEP).ceil().max(1.0).min(180.0);
        let at = |k: f64| self.beam(low + (high - low) * k / steps);
        std::iter::successors(Some(0.0), |k| (k + 1.0 <= steps).then_some(k + 1.0))
            .map(at)
            .collect()
    }

    /// The directions of the whole swing.
    pub(super) fn all_beams(&self) -> Vec<Beam<'_>> {
        let steps = (self.swing * 2.0 / SWING_STEP).ceil().min(180.0);
        let at = |k: f64| self.beam(self.swing * (2.0 * k / steps.max(1.0) - 1.0));
        if steps < 1.0 {
            return vec![self.beam(0.0)];
        }
        std::iter::successors(Some(0.0), |k| (k + 1.0 <= steps).then_some(k + 1.0))
            .map(at)
            .collect()
    }

    fn beam(&self, angle: f64) -> Beam<'_> {
        let forward = if angle.abs() > 0.0 {
            turned(self.forward, angle)
        } else {
            self.forward
        };
        Beam { jet: self, forward }
    }

    /// The speed in m/s at a place and height, the fastest of its swing; 0 behind the outlet.
    pub fn speed_at(&self, at: Point, height: f64) -> f64 {
        self.beams(&[at])
            .iter()
            .map(|beam| beam.speed_at(at, height))
            .fold(0.0, f64::max)
    }

    /// A speed in m/s that [`Jet::fastest_over`] does not exceed, found without searching; `None` where that is `None` as the
    /// shape lies wholly behind the outlet.
    pub fn at_most_over(&self, shape: &Convex, heights: Heights) -> Option<f64> {
        if self.swing <= 0.0 {
            return self.beam(0.0).at_most_over(shape, heights);
        }
        let beams = self.beams(shape.points());
        let each = beams.iter().filter_map(|b| b.at_most_over(shape, heights));
        each.max_by(f64::total_cmp)
    }

    /// The fastest air over a body's outline between two heights; `None` where it lies wholly behind the outlet.
    pub fn fastest_over(&self, shape: &Convex, heights: Heights) -> Option<Fastest> {
        let mut best: Option<Fastest> = None;
        for beam in self.beams(shape.points()) {
            best = beam.faster_over(shape, heights, best);
        }
        best
    }

    /// The outline of the air faster than `speed_m_s` somewhere between two heights, as seen from above; of a jet that swings, of
    /// all places it sweeps over. `None` where there is none.
    pub fn contour(&self, speed_m_s: f64, heights: Heights) -> Option<Convex> {
        let find = || {
            let edge = self.edge(speed_m_s, heights);
            let points: Vec<Point> = self
                .all_beams()
                .iter()
                .flat_map(|beam| beam.outline(&edge))
                .collect();
            Convex::hull(&points).filter(|hull| hull.points().len() > 2)
        };
        self.contours.get_or(speed_m_s, heights, find)
    }

    /// How far aside the air is as fast as that, by the distance ahead.
    fn edge(&self, speed_m_s: f64, heights: Heights) -> Vec<(f64, f64)> {
        let way = self.throw(speed_m_s).unwrap_or(0.0);
        let reach = self.ahead_of(way).min(REACH_MM);
        let steps = (reach / STEP_MM).ceil().min(2000.0);
        let mut edge = Vec::new();
        let mut k = 0.0;
        while k <= steps {
            let ahead = (reach * k / steps.max(1.0)).max(1.0);
            let middle = self.middle_height(ahead);
            let above = middle.max(heights.low).min(heights.high) - middle;
            if let Some(aside) = self.half_width(ahead, above, speed_m_s) {
                edge.push((ahead, aside));
            }
            k += 1.0;
        }
        edge
    }

    /// How far aside the air is as fast as `speed_m_s`, in millimetres, by halving; `None` where even the middle is slower.
    fn half_width(&self, ahead_mm: f64, above_mm: f64, speed_m_s: f64) -> Option<f64> {
        let line = self.line(ahead_mm, above_mm)?;
        let as_fast = |aside_mm: f64| {
            let speed = line.speed_m_s(aside_mm / 1000.0);
            speed.is_some_and(|s| s >= speed_m_s)
        };
        if !as_fast(0.0) {
            return None;
        }
        let (mut inside, mut outside) = (0.0, REACH_MM);
        while outside - inside > 0.5 {
            let middle = (inside + outside) * 0.5;
            if as_fast(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        Some(inside)
    }
}

/// How far apart the places are at which a jet is looked at from a distance ahead on, in millimetres.
pub(super) fn step_at(ahead_mm: f64) -> f64 {
    STEP_MM.max(ahead_mm * STEP_SHARE)
}

/// Of the melting point of ice, in K.
const KELVIN: f64 = 273.15;

/// A direction turned anticlockwise.
fn turned(direction: Point, by_rad: f64) -> Point {
    let (sin, cos) = libm::sincos(by_rad);
    if by_rad.abs() > 0.0 {
        direction * cos + direction.perp() * sin
    } else {
        direction
    }
}

impl Beam<'_> {
    /// Distance ahead and aside, in millimetres.
    pub(super) fn local(&self, at: Point) -> (f64, f64) {
        let to = at - self.jet.origin;
        (to.dot(self.forward), to.dot(self.forward.perp()))
    }

    /// The speed in m/s at a place and height; 0 behind the outlet.
    pub(super) fn speed_at(&self, at: Point, height: f64) -> f64 {
        let (ahead, aside) = self.local(at);
        if ahead <= 0.0 || ahead > REACH_MM {
            return 0.0;
        }
        let line = self.jet.line(ahead, height - self.jet.middle_height(ahead));
        line.and_then(|l| l.speed_m_s(aside / 1000.0))
            .unwrap_or(0.0)
    }

    /// The stretch before the outlet that a shape takes, in millimetres; `None` where it lies wholly behind or too far off.
    pub(super) fn stretch(&self, shape: &Convex) -> Option<(f64, f64)> {
        let start = self.jet.origin.dot(self.forward);
        let (near, far) = shape.along(self.forward);
        let (near, far) = ((near - start).max(1.0), (far - start).min(REACH_MM));
        (near <= far).then_some((near, far))
    }

    /// As [`Jet::at_most_over`]. It holds for the whole box from the near to the far end, from the least distance aside, and from
    /// the least distance above or below the stretch of heights that the jet's middle passes through there.
    pub(super) fn at_most_over(&self, shape: &Convex, heights: Heights) -> Option<f64> {
        let (near, far) = self.stretch(shape)?;
        let side = self.forward.perp();
        let middle = self.jet.origin.dot(side);
        let (left, right) = shape.along(side);
        let aside = (left - middle).max(middle - right).max(0.0);
        Some(self.at_most_between((near, far), aside, heights))
    }

    /// The same between two distances ahead.
    fn at_most_between(&self, (near, far): (f64, f64), aside: f64, heights: Heights) -> f64 {
        let jet = self.jet;
        let (lower, upper) = jet.middle_between(near, far);
        let above = (heights.low - upper).max(lower - heights.high).max(0.0) * jet.axis.cosine();
        let off_m = |mm: f64| (mm - HAIR_MM).max(0.0) / 1000.0;
        let ways = (jet.way(near) / 1000.0, jet.way(far) / 1000.0);
        let most = jet.outlet.at_most_m_s(ways, off_m(aside), off_m(above));
        most.unwrap_or(f64::INFINITY) * (1.0 + HAIR)
    }

    /// The fastest air over a body, where it beats the best known. The speed falls off evenly to both sides and up and down, so
    /// that only the distance ahead has to be searched, and no further than to a place as fast as the whole box may be.
    pub(super) fn faster_over(
        &self,
        shape: &Convex,
        heights: Heights,
        mut best: Option<Fastest>,
    ) -> Option<Fastest> {
        let (Some((near, far)), Some(most)) =
            (self.stretch(shape), self.at_most_over(shape, heights))
        else {
            return best;
        };
        let step = step_at(near);
        let steps = ((far - near) / step).ceil().max(1.0).min(2000.0);
        let mut k = 0.0;
        while k <= steps && best.is_none_or(|b| b.speed < most) {
            let ahead = near + (far - near) * k / steps;
            if let Some(here) = self.fastest_in_slice(shape, heights, ahead)
                && best.is_none_or(|b| here.speed > b.speed)
            {
                best = Some(here);
            }
            k += 1.0;
        }
        best
    }

    /// The fastest air where the shape crosses the line `ahead_mm` before the outlet.
    fn fastest_in_slice(&self, shape: &Convex, heights: Heights, ahead_mm: f64) -> Option<Fastest> {
        let at = self.jet.origin + self.forward * ahead_mm;
        let side = self.forward.perp();
        let (low, high) = crossing(shape, at, self.forward, side)?;
        let aside = 0.0_f64.max(low).min(high);
        let middle = self.jet.middle_height(ahead_mm);
        let height = middle.max(heights.low).min(heights.high);
        let line = self.jet.line(ahead_mm, height - middle);
        Some(Fastest {
            speed: line
                .and_then(|l| l.speed_m_s(aside / 1000.0))
                .unwrap_or(0.0),
            at: at + side * aside,
            height,
        })
    }

    /// Both sides of an edge, in the plan.
    fn outline(&self, edge: &[(f64, f64)]) -> Vec<Point> {
        let place = |ahead: f64, aside: f64| {
            self.jet.origin + self.forward * ahead + self.forward.perp() * aside
        };
        edge.iter()
            .flat_map(|(x, y)| [place(*x, -y), place(*x, *y)])
            .collect()
    }
}

/// Where a shape crosses the line through `at` across `forward`: least and greatest value along `side` from `at`.
pub(super) fn crossing(
    shape: &Convex,
    at: Point,
    forward: Point,
    side: Point,
) -> Option<(f64, f64)> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (a, b) in shape.sides() {
        let (s, t) = ((a - at).dot(forward), (b - at).dot(forward));
        // A corner that lies on the line but for rounding belongs to it.
        let near = |v: f64| v.abs() < 1e-6;
        let on_line = if near(s) {
            Some(a)
        } else if near(t) {
            Some(b)
        } else if (s < 0.0) == (t < 0.0) {
            None
        } else {
            Some(a + (b - a) * (s / (s - t)))
        };
        if let Some(p) = on_line {
            let v = (p - at).dot(side);
            low = low.min(v);
            high = high.max(v);
        }
    }
    (low <= high).then_some((low, high))
}
