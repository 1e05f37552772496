//! The air that a cooling unit blows into the room, at its top fan speed, as if nothing but the walls stood there.

use crate::geometry::{Convex, Point};
use crate::handbook::air_jet::{Outlet, Temperatures};
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
    /// Downward angle of the vane in degrees.
    down_deg: f64,
    outlet: Outlet,
    air: Temperatures,
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
        Some(Self {
            origin: wall.point(middle, kind.depth.mm()),
            forward: wall.inward,
            height: unit.bottom.mm() + kind.outlet_rise.mm(),
            outlet_speed: speed,
            // An angle that is written as most of a full turn points a little upward.
            down_deg: if down > 180.0 { down - 360.0 } else { down },
            outlet: Outlet::new(width, height, speed, Outlet::USUAL_K1)?,
            air: Temperatures {
                outlet_c: ROOM_C - kind.supply_below_room?.value(),
                room_c: ROOM_C,
            },
        })
    }

    /// Height of the jet's middle `ahead_mm` from the outlet, in millimetres; once it has fallen to the floor it runs on
    /// along it.
    pub fn middle_height(&self, ahead_mm: f64) -> f64 {
        let rise = self
            .outlet
            .axis_height_m(ahead_mm / 1000.0, -self.down_deg, self.air)
            .unwrap_or(0.0);
        (self.height + rise * 1000.0).max(0.0)
    }

    fn speed(&self, ahead_mm: f64, aside_mm: f64, height_mm: f64) -> f64 {
        if ahead_mm <= 0.0 {
            return 0.0;
        }
        let above = height_mm - self.middle_height(ahead_mm);
        self.outlet
            .speed_m_s(ahead_mm / 1000.0, aside_mm / 1000.0, above / 1000.0)
            .unwrap_or(0.0)
    }

    /// The fastest air over a body's outline between two heights; `None` where it lies wholly behind the outlet. The speed
    /// falls off evenly to both sides and up and down, so that only the distance ahead has to be searched.
    pub fn fastest_over(&self, shape: &Convex, heights: Heights) -> Option<Fastest> {
        let start = self.origin.dot(self.forward);
        let (near, far) = shape.along(self.forward);
        let (near, far) = ((near - start).max(1.0), (far - start).min(REACH_MM));
        if near > far {
            return None;
        }
        let steps = ((far - near) / STEP_MM).ceil().max(1.0).min(2000.0);
        let mut best: Option<Fastest> = None;
        let mut k = 0.0;
        while k <= steps {
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
        let line = self.origin + self.forward * ahead_mm;
        let side = self.forward.perp();
        let (low, high) = crossing(shape, line, self.forward, side)?;
        let aside = 0.0_f64.max(low).min(high);
        let height = self
            .middle_height(ahead_mm)
            .max(heights.low)
            .min(heights.high);
        Some(Fastest {
            speed: self.speed(ahead_mm, aside, height),
            at: line + side * aside,
            height,
        })
    }

    /// The outline of the air faster than `speed_m_s` somewhere between two heights, as seen from above; `None` where there
    /// is none.
    pub fn contour(&self, speed_m_s: f64, heights: Heights) -> Option<Convex> {
        let reach = self
            .outlet
            .throw_m(speed_m_s)
            .map_or(0.0, |m| (m * 1000.0).min(REACH_MM));
        let mut edge = Vec::new();
        let mut k = 0.0;
        let steps = (reach / STEP_MM).ceil().min(2000.0);
        while k <= steps {
            let ahead = (reach * k / steps.max(1.0)).max(1.0);
            let height = self.middle_height(ahead).max(heights.low).min(heights.high);
            if let Some(aside) = self.half_width(ahead, height, speed_m_s) {
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

    /// How far aside the air is as fast as `speed_m_s`, in millimetres, by halving; `None` where even the middle is slower.
    fn half_width(&self, ahead_mm: f64, height_mm: f64, speed_m_s: f64) -> Option<f64> {
        if self.speed(ahead_mm, 0.0, height_mm) < speed_m_s {
            return None;
        }
        let (mut inside, mut outside) = (0.0, REACH_MM);
        while outside - inside > 0.5 {
            let middle = (inside + outside) * 0.5;
            if self.speed(ahead_mm, middle, height_mm) >= speed_m_s {
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
