//! The air that a cooling unit blows into the room, at its top fan speed, as if nothing but the walls stood there.

use std::sync::{Arc, Mutex, PoisonError};

use crate::geometry::{Convex, Point};
use crate::handbook::air_jet::{Axis, Line, Outlet, Temperatures};
use crate::layout::{Heights, Wall};
use crate::plan::CoolingUnit;
use crate::stock::CoolingKind;

/// The room's temperature that the cold air falls in, in °C; the drop hardly depends on it.
const ROOM_C: f64 = 24.0;
/// How far apart the places are at which a jet is looked at, in millimetres.
const STEP_MM: f64 = 20.0;
/// How far a jet is followed, in millimetres.
const REACH_MM: f64 = 30_000.0;

/// The jet of one cooling unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Jet {
    /// Middle of the outlet, in the plan.
    pub origin: Point,
    /// Unit vector of the blow.
    pub forward: Point,
    /// Middle of the outlet above the floor, in millimetres.
    pub height: f64,
    /// Speed at the outlet in m/s.
    pub outlet_speed: f64,
    outlet: Outlet,
    /// `None` where the vane points straight up or down: the jet is taken as level then.
    axis: Option<Axis>,
    contours: Contours,
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
    /// The jet of a unit on a wall; `None` while its air flow or the temperature of its air is unknown.
    pub(super) fn of(kind: &CoolingKind, wall: &Wall, unit: &CoolingUnit) -> Option<Self> {
        let metres = |mm: f64| mm / 1000.0;
        let (width, height) = (
            metres(kind.outlet_width.mm()),
            metres(kind.outlet_height.mm()),
        );
        let flow = kind.top_flow?.value() / 3600.0;
        let speed = flow / (width * height);
        let middle = unit.at.along.mm() + kind.width.mm() * 0.5;
        let down = kind.vane_down.degrees();
        // An angle that is written as most of a full turn points a little upward.
        let down_deg = if down > 180.0 { down - 360.0 } else { down };
        let air = Temperatures {
            outlet_c: ROOM_C - kind.supply_below_room?.value(),
            room_c: ROOM_C,
        };
        let outlet = Outlet::new(width, height, speed, Outlet::USUAL_K1)?;
        Some(Self {
            origin: wall.point(middle, kind.depth.mm()),
            forward: wall.inward,
            height: unit.bottom.mm() + kind.outlet_rise.mm(),
            outlet_speed: speed,
            axis: outlet.axis(-down_deg, air),
            outlet,
            contours: Contours::default(),
        })
    }

    /// Height of the jet's middle `ahead_mm` from the outlet, in millimetres; once it has fallen to the floor it runs on
    /// along it.
    pub fn middle_height(&self, ahead_mm: f64) -> f64 {
        let rise = self.axis.and_then(|a| a.height_m(ahead_mm / 1000.0));
        (self.height + rise.unwrap_or(0.0) * 1000.0).max(0.0)
    }

    /// The stretch before the outlet that a shape takes, in millimetres; `None` where it lies wholly behind or too far off.
    fn stretch(&self, shape: &Convex) -> Option<(f64, f64)> {
        let start = self.origin.dot(self.forward);
        let (near, far) = shape.along(self.forward);
        let (near, far) = ((near - start).max(1.0), (far - start).min(REACH_MM));
        (near <= far).then_some((near, far))
    }

    /// A speed in m/s that [`Jet::fastest_over`] does not exceed, found without searching; `None` where that is `None` as the
    /// shape lies wholly behind the outlet.
    ///
    /// It holds for the whole box from the near to the far end, from the least distance aside, and from the least distance
    /// above or below the stretch of heights that the jet's middle falls through there.
    pub fn at_most_over(&self, shape: &Convex, heights: Heights) -> Option<f64> {
        /// What rounding may take from a distance, in millimetres, and from a speed, as a share.
        const HAIR_MM: f64 = 1e-3;
        const HAIR: f64 = 1e-9;
        let (near, far) = self.stretch(shape)?;
        let side = self.forward.perp();
        let middle = self.origin.dot(side);
        let (left, right) = shape.along(side);
        let aside = (left - middle).max(middle - right).max(0.0);
        let falls = self.axis.is_none_or(|a| a.only_falls());
        let above = if falls {
            let (upper, lower) = (self.middle_height(near), self.middle_height(far));
            (heights.low - upper).max(lower - heights.high).max(0.0)
        } else {
            0.0
        };
        let off_m = |mm: f64| (mm - HAIR_MM).max(0.0) / 1000.0;
        let most =
            self.outlet
                .at_most_m_s((near / 1000.0, far / 1000.0), off_m(aside), off_m(above));
        Some(most.unwrap_or(f64::INFINITY) * (1.0 + HAIR))
    }

    /// The fastest air over a body's outline between two heights; `None` where it lies wholly behind the outlet. The speed
    /// falls off evenly to both sides and up and down, so that only the distance ahead has to be searched, and no further
    /// than to a place as fast as the whole box may be.
    pub fn fastest_over(&self, shape: &Convex, heights: Heights) -> Option<Fastest> {
        let (near, far) = self.stretch(shape)?;
        let most = self.at_most_over(shape, heights)?;
        let steps = ((far - near) / STEP_MM).ceil().max(1.0).min(2000.0);
        let mut best: Option<Fastest> = None;
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
        let at = self.origin + self.forward * ahead_mm;
        let side = self.forward.perp();
        let (low, high) = crossing(shape, at, self.forward, side)?;
        let aside = 0.0_f64.max(low).min(high);
        let middle = self.middle_height(ahead_mm);
        let height = middle.max(heights.low).min(heights.high);
        let line = self.line(ahead_mm, height - middle);
        Some(Fastest {
            speed: line
                .and_then(|l| l.speed_m_s(aside / 1000.0))
                .unwrap_or(0.0),
            at: at + side * aside,
            height,
        })
    }

    /// The outline of the air faster than `speed_m_s` somewhere between two heights, as seen from above; `None` where there
    /// is none.
    pub fn contour(&self, speed_m_s: f64, heights: Heights) -> Option<Convex> {
        let find = || self.find_contour(speed_m_s, heights);
        self.contours.get_or(speed_m_s, heights, find)
    }

    fn find_contour(&self, speed_m_s: f64, heights: Heights) -> Option<Convex> {
        let reach = self
            .outlet
            .throw_m(speed_m_s)
            .map_or(0.0, |m| (m * 1000.0).min(REACH_MM));
        let mut edge = Vec::new();
        let mut k = 0.0;
        let steps = (reach / STEP_MM).ceil().min(2000.0);
        while k <= steps {
            let ahead = (reach * k / steps.max(1.0)).max(1.0);
            let middle = self.middle_height(ahead);
            let above = middle.max(heights.low).min(heights.high) - middle;
            if let Some(aside) = self.half_width(ahead, above, speed_m_s) {
                edge.push((ahead, aside));
            }
            k += 1.0;
        }
        let place = |(ahead, aside): (f64, f64)| {
            self.origin + self.forward * ahead + self.forward.perp() * aside
        };
        let points: Vec<Point> = edge
            .iter()
            .flat_map(|(x, y)| [place((*x, -y)), place((*x, *y))])
            .collect();
        Convex::hull(&points).filter(|hull| hull.points().len() > 2)
    }

    /// The air along the level line `above_mm` from the jet's middle.
    fn line(&self, ahead_mm: f64, above_mm: f64) -> Option<Line> {
        self.outlet.line(ahead_mm / 1000.0, above_mm / 1000.0)
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

/// Where a shape crosses the line through `at` across `forward`: least and greatest value along `side` from `at`.
fn crossing(shape: &Convex, at: Point, forward: Point, side: Point) -> Option<(f64, f64)> {
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
