//! Shelf boards as beams on two supports: sag, end slope, bending stress, and what years of load add.
//!
//! Sources: the elastic beam of textbooks (Euler and Bernoulli), superposed; the sag of a loaded board in one formula as in the
//! European MDF industry's guide; L/240 as the wood-board trade's "just visible" limit. Factors for long loading: see each.
//! A board that runs over more than two supports sags less than each stretch by itself, so that this is the safe side.

use super::finite;

/// Gravity in m/s², as the published examples take it.
pub const GRAVITY: f64 = 9.81;

/// What long loading makes of the first sag of a bare board: up to 50 % more (European MDF industry's guide).
pub const AFTER_LONG_LOADING: f64 = 1.5;

/// Second moment of area of a rectangle in mm⁴: b t³ / 12. None unless both are above zero.
pub fn second_moment_mm4(width_mm: f64, thickness_mm: f64) -> Option<f64> {
    finite(
        width_mm > 0.0 && thickness_mm > 0.0,
        width_mm * thickness_mm.powi(3) / 12.0,
    )
}

/// Sag in the middle under a load spread evenly: 5 w L⁴ / (384 E I). None outside its domain.
pub fn spread_sag_mm(
    load_n_mm: f64,
    length_mm: f64,
    modulus_mpa: f64,
    moment_mm4: f64,
) -> Option<f64> {
    let stiff = 384.0 * modulus_mpa * moment_mm4;
    finite(
        is_beam(length_mm, modulus_mpa, moment_mm4) && load_n_mm >= 0.0,
        5.0 * load_n_mm * length_mm.powi(4) / stiff,
    )
}

/// Sag in the middle under one load there: P L³ / (48 E I). None outside its domain.
pub fn centre_sag_mm(
    load_n: f64,
    length_mm: f64,
    modulus_mpa: f64,
    moment_mm4: f64,
) -> Option<f64> {
    let stiff = 48.0 * modulus_mpa * moment_mm4;
    finite(
        is_beam(length_mm, modulus_mpa, moment_mm4) && load_n >= 0.0,
        load_n * length_mm.powi(3) / stiff,
    )
}

/// Sag in the middle under two equal loads, each so far from its end: F a (3 L² − 4 a²) / (24 E I). None outside its domain.
pub fn two_points_sag_mm(
    load_n: f64,
    from_end_mm: f64,
    length_mm: f64,
    modulus_mpa: f64,
    moment_mm4: f64,
) -> Option<f64> {
    let within = from_end_mm >= 0.0 && from_end_mm <= length_mm * 0.5;
    let shape = 3.0 * length_mm * length_mm - 4.0 * from_end_mm * from_end_mm;
    let stiff = 24.0 * modulus_mpa * moment_mm4;
    finite(
        is_beam(length_mm, modulus_mpa, moment_mm4) && load_n >= 0.0 && within,
        load_n * from_end_mm * shape / stiff,
    )
}

/// A board that rests on its two ends, with what lies on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// From support to support, mm.
    pub length_mm: f64,
    /// Across the span, mm.
    pub width_mm: f64,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Load spread evenly along the span, its own weight with it, N/mm.
    pub spread_n_mm: f64,
    /// Loads at points: distance from one end in mm, and N.
    pub points: Vec<(f64, f64)>,
}

/// How a board stands its load.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Bent {
    /// The greatest sag, mm.
    pub sag_mm: f64,
    /// The steeper of the two ends: rise by run.
    pub end_slope: f64,
}

/// Stations along a board at which sag and moment are worked out first.
const STATIONS: u8 = 32;

impl Board {
    /// Sag and end slope with a modulus in megapascals. None outside the domain: a size or modulus that is not above zero, a load that
    /// is negative, a point off the board.
    pub fn bent(&self, modulus_mpa: f64) -> Option<Bent> {
        let moment_mm4 = second_moment_mm4(self.width_mm, self.thickness_mm)?;
        let stiff = modulus_mpa * moment_mm4;
        let sag = self.most_sag_by_stiffness() / stiff;
        let slope = self.slopes_by_stiffness() / stiff;
        let sound = self.is_sound() && modulus_mpa > 0.0 && sag.is_finite() && slope.is_finite();
        sound.then_some(Bent {
            sag_mm: sag,
            end_slope: slope,
        })
    }

    /// Greatest bending moment, N mm. It stands under a point load, or where the spread load alone bears on.
    pub fn moment_n_mm(&self) -> Option<f64> {
        let points = self.points.iter().map(|(x, _)| *x);
        let most = self
            .stations()
            .chain(points)
            .map(|x| self.moment_at(x))
            .fold(0.0, f64::max);
        finite(self.is_sound(), most)
    }

    /// Greatest bending stress in megapascals: 6 M / (b t²).
    pub fn stress_mpa(&self) -> Option<f64> {
        let section = self.width_mm * self.thickness_mm * self.thickness_mm;
        finite(section > 0.0, 6.0 * self.moment_n_mm()? / section)
    }

    fn is_sound(&self) -> bool {
        let on = |(x, load): &(f64, f64)| *x >= 0.0 && *x <= self.length_mm && *load >= 0.0;
        self.length_mm > 0.0 && self.spread_n_mm >= 0.0 && self.points.iter().all(on)
    }

    fn stations(&self) -> impl Iterator<Item = f64> {
        let length = self.length_mm;
        (0..=STATIONS).map(move |k| length * f64::from(k) / f64::from(STATIONS))
    }

    /// The greatest sag times E I: at the best station, or at the top of the parabola through it and its neighbours.
    fn most_sag_by_stiffness(&self) -> f64 {
        let step = self.length_mm / f64::from(STATIONS);
        let (x, at_x) = self
            .stations()
            .map(|x| (x, self.sag_by_stiffness(x)))
            .fold((0.0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
        if at_x <= 0.0 {
            return at_x;
        }
        let (before, after) = (
            self.sag_by_stiffness(x - step),
            self.sag_by_stiffness(x + step),
        );
        let bend = before - 2.0 * at_x + after;
        let off = step * 0.5 * (before - after) / bend;
        if bend < 0.0 && off.abs() <= step {
            self.sag_by_stiffness(x + off).max(at_x)
        } else {
            at_x
        }
    }

    /// Sag at a place times E I.
    fn sag_by_stiffness(&self, x: f64) -> f64 {
        let l = self.length_mm;
        let spread = self.spread_n_mm * x * (l.powi(3) - 2.0 * l * x * x + x.powi(3)) / 24.0;
        let point = |(a, load): &(f64, f64)| {
            // Seen from the end that is on the same side of the load as the place.
            let (x, far) = if x <= *a { (x, l - a) } else { (l - x, *a) };
            load * far * x * (l * l - far * far - x * x) / (6.0 * l)
        };
        spread + self.points.iter().map(point).sum::<f64>()
    }

    /// The steeper end slope times E I.
    fn slopes_by_stiffness(&self) -> f64 {
        let l = self.length_mm;
        let spread = self.spread_n_mm * l.powi(3) / 24.0;
        let end = |far: &dyn Fn(f64) -> f64| {
            let point = |(a, load): &(f64, f64)| {
                let far = far(*a);
                load * far * (l * l - far * far) / (6.0 * l)
            };
            spread + self.points.iter().map(point).sum::<f64>()
        };
        end(&|a| l - a).max(end(&|a| a))
    }

    fn moment_at(&self, x: f64) -> f64 {
        let l = self.length_mm;
        let spread = self.spread_n_mm * x * (l - x) * 0.5;
        let point = |(a, load): &(f64, f64)| load * x.min(*a) * (l - x.max(*a)) / l;
        spread + self.points.iter().map(point).sum::<f64>()
    }
}

/// End slope of a board under a spread load from its sag: 16 d / (5 L). None unless the length is above zero.
pub fn end_slope_of_sag(sag_mm: f64, length_mm: f64) -> Option<f64> {
    finite(
        length_mm > 0.0 && sag_mm >= 0.0,
        16.0 * sag_mm / (5.0 * length_mm),
    )
}

fn is_beam(length_mm: f64, modulus_mpa: f64, moment_mm4: f64) -> bool {
    length_mm > 0.0 && modulus_mpa > 0.0 && moment_mm4 > 0.0
}
