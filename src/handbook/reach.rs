//! How high and how deep a standing person reaches, and the body measures behind it.
//!
//! Sources: ANSUR II, the 2012 US Army anthropometric survey (NATICK/TR-15/007, 2014; 4082 men, 1986 women, barefoot),
//! percentiles computed from its public data; the rigid-arm model is textbook ergonomics. Soldiers are fitter than the
//! public, so a 5th percentile here is optimistic.

use super::finite;

/// A body measure of women and men in millimetres, barefoot.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Measure {
    /// What is measured.
    pub name: &'static str,
    /// Where the numbers are from.
    pub source: &'static str,
    /// Women.
    pub women: Percentiles,
    /// Men.
    pub men: Percentiles,
}

/// Three points of a distribution, mm.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Percentiles {
    /// 5 of 100 people have less.
    pub p5_mm: f64,
    /// Half of the people have less.
    pub p50_mm: f64,
    /// 95 of 100 people have less.
    pub p95_mm: f64,
}

const fn percentiles(p5_mm: f64, p50_mm: f64, p95_mm: f64) -> Percentiles {
    Percentiles {
        p5_mm,
        p50_mm,
        p95_mm,
    }
}

const MEASURED: &str = "ANSUR II (2012), NATICK/TR-15/007, computed from the public data";
const DERIVED: &str = "derived for each person of ANSUR II (2012): sitting overhead reach + stature - sitting height \
                       - 0.6 x hand length for the grip";

/// Standing height.
pub const STATURE: Measure = Measure {
    name: "stature",
    source: MEASURED,
    women: percentiles(1525.0, 1626.0, 1740.0),
    men: percentiles(1648.0, 1755.0, 1870.0),
};

/// Height of the shoulder (acromion).
pub const SHOULDER_HEIGHT: Measure = Measure {
    name: "shoulder height",
    source: MEASURED,
    women: percentiles(1242.0, 1332.0, 1434.0),
    men: percentiles(1339.0, 1439.0, 1546.0),
};

/// Reach of the thumb tip forward from a wall behind the back.
pub const FORWARD_REACH: Measure = Measure {
    name: "forward reach to the thumb tip",
    source: MEASURED,
    women: percentiles(674.0, 742.0, 816.0),
    men: percentiles(742.0, 811.0, 886.0),
};

/// Height of the grip, arm stretched up, standing.
pub const GRIP_HEIGHT: Measure = Measure {
    name: "overhead grip height",
    source: DERIVED,
    women: percentiles(1823.0, 1969.0, 2135.0),
    men: percentiles(1987.0, 2147.0, 2316.0),
};

/// Breadth across the shoulders.
pub const SHOULDER_BREADTH: Measure = Measure {
    name: "shoulder breadth",
    source: MEASURED,
    women: percentiles(406.0, 450.0, 499.0),
    men: percentiles(459.0, 509.0, 567.0),
};

/// Overhead grip height that nearly every adult reaches, mm: the 5th percentile of women in a teaching text
/// (1910 mm, standard deviation 85 mm), which is 50 mm below the soldiers' and so the safer figure.
pub const CIVILIAN_GRIP_HEIGHT_MM: f64 = 1770.0;

/// What shoes add to a height, mm; ergonomics teaching texts.
pub const SHOES_MM: f64 = 25.0;

/// Greatest height the hand reaches `out_mm` in front of the shoulder, the arm stiff and pivoting at the shoulder:
/// S + √(A² − x²), with the shoulder at S and an arm A long. None unless A is above zero and x lies from 0 to A.
pub fn height_mm(shoulder_mm: f64, arm_mm: f64, out_mm: f64) -> Option<f64> {
    let within = arm_mm > 0.0 && out_mm >= 0.0 && out_mm <= arm_mm;
    finite(within, shoulder_mm + leg(arm_mm, out_mm))
}

/// Greatest distance in front of the shoulder at which the hand reaches a height: the inverse of [`height_mm`], also
/// below the shoulder. None if the height is more than an arm from the shoulder.
pub fn depth_mm(shoulder_mm: f64, arm_mm: f64, at_height_mm: f64) -> Option<f64> {
    let off_mm = (at_height_mm - shoulder_mm).abs();
    finite(arm_mm > 0.0 && off_mm <= arm_mm, leg(arm_mm, off_mm))
}

/// Arm length of the rigid-arm model: overhead grip height less shoulder height. None unless that is above zero.
pub fn arm_mm(grip_height_mm: f64, shoulder_mm: f64) -> Option<f64> {
    let arm_mm = grip_height_mm - shoulder_mm;
    finite(arm_mm > 0.0, arm_mm)
}

/// Share of a normally distributed group whose measure is at least `value`. None unless the deviation is above zero.
pub fn share_at_least(value: f64, mean: f64, deviation: f64) -> Option<f64> {
    let z = (value - mean) / deviation;
    finite(
        deviation > 0.0,
        libm::erfc(z / std::f64::consts::SQRT_2) / 2.0,
    )
}

/// The value that a share of a normally distributed group stays below. None unless the deviation is above zero and
/// the share lies between 0.000001 and 0.999999.
pub fn normal_percentile(share: f64, mean: f64, deviation: f64) -> Option<f64> {
    if !(1e-6..=1.0 - 1e-6).contains(&share) || deviation <= 0.0 {
        return None;
    }
    // Six deviations either way hold every share in range; halving finds the point to rounding.
    let (mut below, mut above) = (-6.0, 6.0);
    for _ in 0..60 {
        let z = f64::midpoint(below, above);
        if 1.0 - share_at_least(z, 0.0, 1.0)? < share {
            below = z;
        } else {
            above = z;
        }
    }
    finite(true, mean + deviation * f64::midpoint(below, above))
}

/// The other leg of a right triangle. The factored form keeps digits when the two are nearly equal.
fn leg(hypotenuse: f64, other: f64) -> f64 {
    ((hypotenuse - other) * (hypotenuse + other))
        .max(0.0)
        .sqrt()
}
