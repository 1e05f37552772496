//! The free jet of a cooling unit's outlet: how fast, how wide, how cold, and how far it drops.
//!
//! Sources: Hagström, Sirén and Zhivov, "Calculation methods for air supply design in industrial facilities" (1999);
//! Goodfellow and Kosonen (eds.), "Industrial Ventilation Design Guidebook" (2020), chapter on air jets;
//! Awbi, "Ventilation of Buildings" (2003). All are for a compact outlet (sides less than 40 : 1) blowing freely into
//! a room at rest; a jet along a ceiling or wall reaches further than this says.

use std::f64::consts::{FRAC_2_SQRT_PI, PI};

/// Greatest ratio of the sides of a compact outlet; beyond it the outlet is a slot with other constants.
const COMPACT_ASPECT: f64 = 40.0;
/// Standard acceleration of fall, rounded as in the sources.
const GRAVITY_M_S2: f64 = 9.81;
/// Turbulent Prandtl number of a compact jet.
const JET_PRANDTL: f64 = 0.75;
/// Constant of the path of a compact jet.
const PATH: f64 = 0.47;
/// Angle at which the speed is about half that of the centreline, degrees.
const HALF_SPEED_DEG: f64 = 5.1;
/// Local Archimedes number below which buoyancy does not bend a compact jet noticeably.
pub const NEGLIGIBLE_ARCHIMEDES: f64 = 0.1;

/// A rectangular outlet and the air that leaves it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Outlet {
    width_m: f64,
    height_m: f64,
    speed_m_s: f64,
    k1: f64,
}

/// The two ends of a temperature difference that bends a jet.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Temperatures {
    /// Of the air leaving the outlet, °C.
    pub outlet_c: f64,
    /// Of the room, °C; above absolute zero.
    pub room_c: f64,
}

impl Temperatures {
    fn room_k(self) -> Option<f64> {
        let room_k = self.room_c + 273.15;
        (room_k > 0.0 && room_k.is_finite() && self.outlet_c.is_finite()).then_some(room_k)
    }
}

/// The air along a level line across a jet.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Line {
    outlet: Outlet,
    spread_m: f64,
    upright: f64,
}

impl Line {
    /// Speed `aside_m` from the axis. None where that is no number.
    pub fn speed_m_s(&self, aside_m: f64) -> Option<f64> {
        aside_m.is_finite().then(|| {
            let across = share_of_slot(aside_m, self.outlet.width_m, self.spread_m);
            self.outlet.speed_m_s * (across * self.upright).sqrt()
        })
    }
}

/// The path of a jet's axis.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Axis {
    sine: f64,
    cosine: f64,
    bend: f64,
    area_m2: f64,
}

impl Axis {
    /// Height over the outlet `ahead_m` from it, m. None at and behind the outlet.
    pub fn height_m(&self, ahead_m: f64) -> Option<f64> {
        let ahead_m = positive(ahead_m)?;
        let bend = self.bend * (ahead_m / self.cosine).powi(3) / self.area_m2;
        let height_m = ahead_m * self.sine / self.cosine + bend;
        height_m.is_finite().then_some(height_m)
    }

    /// Cosine of the angle at which the air leaves: what lies `x` ahead is `x` over that along the jet, and what lies `z` straight
    /// over the axis is `z` times that off it.
    pub fn cosine(&self) -> f64 {
        self.cosine
    }

    /// True where the air is no warmer than the room, so that the axis bends nowhere upward.
    pub fn bends_down(&self) -> bool {
        self.bend <= 0.0
    }

    /// The highest point of cold air blown upward: x = cos a √(sin a) √A0 / √(3 · 0.47 (K2/K1²) |Ar0|), y = ⅔ x tan a.
    /// None if the air is not colder than the room or not blown upward.
    pub fn highest(&self) -> Option<HighestPoint> {
        if self.sine <= 0.0 || self.bend >= 0.0 {
            return None;
        }
        let ahead_m = self.cosine * (self.sine * self.area_m2 / (-3.0 * self.bend)).sqrt();
        ahead_m.is_finite().then_some(HighestPoint {
            ahead_m,
            above_m: 2.0 / 3.0 * ahead_m * self.sine / self.cosine,
        })
    }
}

/// Where a jet stands highest.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct HighestPoint {
    /// Distance from the outlet along the floor, m.
    pub ahead_m: f64,
    /// Height above the outlet, m.
    pub above_m: f64,
}

impl Outlet {
    /// The usual K1 of a nozzle or an open rectangular outlet; 5.8 is used for a grille.
    pub const USUAL_K1: f64 = 7.0;

    /// `k1` is the velocity-decay constant of the outlet. None unless all are above zero, finite, and the sides are
    /// less than 40 : 1.
    pub fn new(width_m: f64, height_m: f64, speed_m_s: f64, k1: f64) -> Option<Self> {
        let positive = [width_m, height_m, speed_m_s, k1]
            .iter()
            .all(|value| value.is_finite() && *value > 0.0);
        let aspect = width_m.max(height_m) / width_m.min(height_m);
        (positive && aspect < COMPACT_ASPECT).then_some(Self {
            width_m,
            height_m,
            speed_m_s,
            k1,
        })
    }

    /// Width of the opening, m.
    pub fn width_m(&self) -> f64 {
        self.width_m
    }

    /// Area of the opening, m².
    pub fn area_m2(&self) -> f64 {
        self.width_m * self.height_m
    }

    /// Flow of air at the opening, m³/h.
    pub fn flow_m3_h(&self) -> f64 {
        self.area_m2() * self.speed_m_s * 3600.0
    }

    /// Thermal constant K2 = K1 √((1 + Pr)/2), with a turbulent Prandtl number of 0.75.
    pub fn k2(&self) -> f64 {
        self.k1 * f64::midpoint(1.0, JET_PRANDTL).sqrt()
    }

    /// Speed `ahead_m` in front of the outlet, `aside_m` along its width and `above_m` along its height from the axis:
    /// U0 √(F(y, b0) F(z, h0)), F(s, w) = ½ (erf((s + w/2)/(c x)) − erf((s − w/2)/(c x))), c = 1/(√π K1). It holds in
    /// all zones: near the outlet the jet is as wide as the outlet, far off it decays as K1 U0 √A0 / x.
    /// None at and behind the outlet.
    pub fn speed_m_s(&self, ahead_m: f64, aside_m: f64, above_m: f64) -> Option<f64> {
        self.line(ahead_m, above_m)?.speed_m_s(aside_m)
    }

    /// The air along a level line across the jet: see [`Outlet::speed_m_s`], of which it is the part that stays the same
    /// along the line.
    pub fn line(&self, ahead_m: f64, above_m: f64) -> Option<Line> {
        let ahead_m = positive(ahead_m)?;
        let spread_m = self.spread_m(ahead_m);
        above_m.is_finite().then(|| Line {
            outlet: *self,
            spread_m,
            upright: share_of_slot(above_m, self.height_m, spread_m),
        })
    }

    /// A speed that the air exceeds nowhere between two distances ahead, at least `aside_m` and `above_m` from the axis.
    /// F falls with the distance from the middle, so it is at most that at the least distance; there it is at most
    /// F at the middle where the jet is narrowest, and at most ½ erfc((s − w/2)/(c x)) where it is widest.
    /// None at and behind the outlet.
    pub fn at_most_m_s(
        &self,
        (near_m, far_m): (f64, f64),
        aside_m: f64,
        above_m: f64,
    ) -> Option<f64> {
        let narrow_m = self.spread_m(positive(near_m)?);
        let wide_m = self.spread_m(positive(far_m)?);
        let share = |off_m: f64, slot_m: f64| {
            let middle = share_of_slot(0.0, slot_m, narrow_m);
            let beyond_m = off_m - slot_m / 2.0;
            if beyond_m > 0.0 {
                middle.min(libm::erfc(beyond_m / wide_m) / 2.0)
            } else {
                middle
            }
        };
        let (across, upright) = (share(aside_m, self.width_m), share(above_m, self.height_m));
        Some(self.speed_m_s * (across * upright).sqrt())
    }

    /// c x of the all-zone form.
    fn spread_m(&self, ahead_m: f64) -> f64 {
        ahead_m * FRAC_2_SQRT_PI / (2.0 * self.k1)
    }

    /// Speed on the axis, in all zones. None at and behind the outlet.
    pub fn centreline_m_s(&self, ahead_m: f64) -> Option<f64> {
        self.speed_m_s(ahead_m, 0.0, 0.0)
    }

    /// Speed on the axis by the far-zone formula K1 U0 √A0 / x. None nearer than K1 √A0, where it would give more than
    /// the outlet's own speed.
    pub fn far_centreline_m_s(&self, ahead_m: f64) -> Option<f64> {
        let speed = self.k1 * self.speed_m_s * self.area_m2().sqrt() / positive(ahead_m)?;
        (speed <= self.speed_m_s).then_some(speed)
    }

    /// Distance at which the axis has slowed to `speed_m_s`, in all zones. None unless the speed lies above zero and
    /// below the outlet's.
    pub fn throw_m(&self, speed_m_s: f64) -> Option<f64> {
        // The far-zone throw is an upper bound, since erf(t) is at most 2t/√π.
        let mut too_far_m = self.far_throw_m(speed_m_s)?;
        let mut near_m = 0.0;
        for _ in 0..60 {
            let middle_m = f64::midpoint(near_m, too_far_m);
            if self.centreline_m_s(middle_m)? >= speed_m_s {
                near_m = middle_m;
            } else {
                too_far_m = middle_m;
            }
        }
        Some(too_far_m)
    }

    /// Throw by the far-zone formula. None unless the speed lies above zero and below the outlet's.
    pub fn far_throw_m(&self, speed_m_s: f64) -> Option<f64> {
        let slower = speed_m_s > 0.0 && speed_m_s < self.speed_m_s;
        let throw_m = self.k1 * self.speed_m_s * self.area_m2().sqrt() / speed_m_s;
        (slower && throw_m.is_finite()).then_some(throw_m)
    }

    /// Share of the centreline speed `off_axis_m` from the axis in the far zone:
    /// exp(−0.7 (r / (x tan 5.1°))²). None at and behind the outlet.
    pub fn cross_profile(&self, ahead_m: f64, off_axis_m: f64) -> Option<f64> {
        let half_m = positive(ahead_m)? * HALF_SPEED_DEG.to_radians().tan();
        off_axis_m
            .is_finite()
            .then(|| libm::exp(-0.7 * (off_axis_m / half_m).powi(2)))
    }

    /// Flow in the jet over flow at the outlet, (2/K1) x/√A0, and 1 near the outlet where that is less.
    /// None at and behind the outlet.
    pub fn entrainment(&self, ahead_m: f64) -> Option<f64> {
        let lengths = positive(ahead_m)? / self.area_m2().sqrt();
        Some((2.0 / self.k1 * lengths).max(1.0))
    }

    /// Archimedes number of the outlet, g d0 ΔT / (U0² Tr) with d0 = √(4 A0/π); negative for cold air.
    /// None without finite temperatures above absolute zero.
    pub fn archimedes(&self, air: Temperatures) -> Option<f64> {
        let room_k = air.room_k()?;
        let diameter_m = (4.0 * self.area_m2() / PI).sqrt();
        let difference_k = air.outlet_c - air.room_c;
        Some(GRAVITY_M_S2 * diameter_m * difference_k / (self.speed_m_s.powi(2) * room_k))
    }

    /// Local Archimedes number (K2/K1²) Ar0 x²/A0, negative for cold air; buoyancy is negligible below
    /// [`NEGLIGIBLE_ARCHIMEDES`] either way. None at and behind the outlet and as for `archimedes`.
    pub fn local_archimedes(&self, ahead_m: f64, air: Temperatures) -> Option<f64> {
        let ahead_m = positive(ahead_m)?;
        Some(self.k2() / self.k1.powi(2) * self.archimedes(air)? * ahead_m.powi(2) / self.area_m2())
    }

    /// Temperature on the axis, °C: the difference to the room shrinks as K2 √A0 / x, and is whole nearer than that.
    /// None at and behind the outlet.
    pub fn centreline_c(&self, ahead_m: f64, air: Temperatures) -> Option<f64> {
        air.room_k()?;
        let share = (self.k2() * self.area_m2().sqrt() / positive(ahead_m)?).min(1.0);
        Some(air.room_c + share * (air.outlet_c - air.room_c))
    }

    /// Height of the jet's axis over the outlet, m, negative below it, for air blown `up_deg` above the horizontal
    /// (between −90 and 90 degrees): x tan a + 0.47 (K2/K1²) Ar0 (x/(cos a √A0))³ √A0.
    /// None at and behind the outlet, for a steeper angle, and as for `archimedes`.
    pub fn axis_height_m(&self, ahead_m: f64, up_deg: f64, air: Temperatures) -> Option<f64> {
        self.axis(up_deg, air)?.height_m(ahead_m)
    }

    /// The path of the axis; see [`Outlet::axis_height_m`].
    pub fn axis(&self, up_deg: f64, air: Temperatures) -> Option<Axis> {
        let (sine, cosine) = slope(up_deg)?;
        Some(Axis {
            sine,
            cosine,
            bend: self.bend(air)?,
            area_m2: self.area_m2(),
        })
    }

    /// How far the axis of a jet blown level has dropped, m: 0 without a temperature difference, negative for warm air.
    /// None as for `axis_height_m`.
    pub fn drop_m(&self, ahead_m: f64, air: Temperatures) -> Option<f64> {
        Some(-self.axis_height_m(ahead_m, 0.0, air)?)
    }

    /// The highest point of cold air blown upward; see [`Axis::highest`].
    pub fn highest_point(&self, up_deg: f64, air: Temperatures) -> Option<HighestPoint> {
        self.axis(up_deg, air)?.highest()
    }

    /// Mean speed of the air in a room that the jet stirs: 0.78 √(M0/(ρ B H)), M0 = ρ0 A0 U0², for a room `width_m` by
    /// `height_m` across the jet. `density_ratio` is outlet air over room air, 1 without a temperature difference.
    /// None unless all are above zero.
    pub fn mean_room_speed_m_s(
        &self,
        width_m: f64,
        height_m: f64,
        density_ratio: f64,
    ) -> Option<f64> {
        let section_m2 = positive(width_m)? * positive(height_m)?;
        let momentum = positive(density_ratio)? * self.area_m2() * self.speed_m_s.powi(2);
        positive(0.78 * (momentum / section_m2).sqrt())
    }

    /// The path's factor 0.47 (K2/K1²) Ar0.
    fn bend(&self, air: Temperatures) -> Option<f64> {
        Some(PATH * self.k2() / self.k1.powi(2) * self.archimedes(air)?)
    }
}

/// F of the all-zone form: what is left, at `off_m` from its middle, of a slot `slot_m` wide.
fn share_of_slot(off_m: f64, slot_m: f64, spread_m: f64) -> f64 {
    // Symmetric; the positive side keeps the difference of two nearly equal numbers away from a negative rest.
    let off_m = off_m.abs();
    let near = libm::erfc((off_m - slot_m / 2.0) / spread_m);
    let far = libm::erfc((off_m + slot_m / 2.0) / spread_m);
    (near - far).max(0.0) / 2.0
}

fn slope(up_deg: f64) -> Option<(f64, f64)> {
    (up_deg.abs() < 90.0).then(|| libm::sincos(up_deg.to_radians()))
}

fn positive(value: f64) -> Option<f64> {
    (value > 0.0 && value.is_finite()).then_some(value)
}
