//! Traverses: a figure known by the lengths of its legs and the turns between them. Where it ends, how far from where it
//! should, and the surveyor's way of sharing that out. Knows no walls and judges no result.

use super::Point;

/// One leg: straight on for `length_mm`, then a turn on the spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Length in millimetres.
    pub length_mm: f64,
    /// The turn at the leg's end in degrees, anticlockwise (to the left) positive. That of the last leg leads back onto the
    /// first.
    pub turn_deg: f64,
}

/// By how much a traverse that should end where it began does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closure {
    /// The end less the start, along x.
    pub dx_mm: f64,
    /// The end less the start, along y.
    pub dy_mm: f64,
    /// How far the end lies from the start.
    pub length_mm: f64,
    /// The sum of all legs.
    pub perimeter_mm: f64,
}

impl Closure {
    /// From the start to the end, anticlockwise from x, 0 up to 360 degrees; `None` where it closes.
    pub fn direction_deg(&self) -> Option<f64> {
        (self.length_mm > 0.0).then(|| {
            libm::atan2(self.dy_mm, self.dx_mm)
                .to_degrees()
                .rem_euclid(360.0)
        })
    }

    /// The `n` of a relative precision of 1 : n; `None` where it closes.
    pub fn one_in(&self) -> Option<f64> {
        (self.length_mm > 0.0).then(|| self.perimeter_mm / self.length_mm)
    }
}

/// The unit vector of a heading in degrees from x, anticlockwise; exact at quarter turns, the same on every machine.
pub fn heading(deg: f64) -> Point {
    const EXACT_DEG: f64 = 1e-9;
    let quarters = (deg / 90.0).round();
    if (deg - quarters * 90.0).abs() < EXACT_DEG {
        let quarter = quarters.rem_euclid(4.0);
        return [(0.0, Point::X), (1.0, Point::Y), (2.0, -Point::X)]
            .into_iter()
            .find(|(k, _)| quarter.total_cmp(k).is_eq())
            .map_or(-Point::Y, |(_, unit)| unit);
    }
    let (sin, cos) = libm::sincos(deg.to_radians());
    Point::new(cos, sin)
}

/// The legs as vectors, the first along `first_deg`.
pub fn courses(first_deg: f64, legs: &[Leg]) -> Vec<Point> {
    legs.iter()
        .scan(first_deg, |deg, leg| {
            let course = heading(*deg) * leg.length_mm;
            *deg += leg.turn_deg;
            Some(course)
        })
        .collect()
}

/// By how much the courses miss their start.
pub fn closure(courses: &[Point]) -> Closure {
    let end: Point = courses.iter().sum();
    Closure {
        dx_mm: end.x,
        dy_mm: end.y,
        length_mm: end.length(),
        perimeter_mm: courses.iter().map(|c| c.length()).sum(),
    }
}

/// The courses corrected by the compass rule (Bowditch, 1808): every course takes a share of the closure in proportion to its
/// length, so that they close.
pub fn compass_rule(courses: &[Point]) -> Vec<Point> {
    let closure = closure(courses);
    if closure.perimeter_mm <= 0.0 {
        return courses.to_vec();
    }
    let per_mm = Point::new(closure.dx_mm, closure.dy_mm) / closure.perimeter_mm;
    courses.iter().map(|c| *c - per_mm * c.length()).collect()
}

/// The courses corrected in length alone, every direction held, by least squares with corrections that may be the greater the
/// longer the leg (Crandall's rule). `None` where lengths alone cannot close them, such as when all legs are parallel.
pub fn directions_held(courses: &[Point]) -> Option<Vec<Point>> {
    let closure = closure(courses);
    let units: Vec<Point> = courses.iter().map(|c| c.normalize_or_zero()).collect();
    let sum = |f: fn(Point) -> f64| -> f64 {
        let weighted = units.iter().zip(courses).map(|(u, c)| f(*u) * c.length());
        weighted.sum()
    };
    let (xx, xy, yy) = (sum(|u| u.x * u.x), sum(|u| u.x * u.y), sum(|u| u.y * u.y));
    let whole = xx * yy - xy * xy;
    if whole <= (xx + yy).powi(2) * 1e-9 {
        return None;
    }
    let (dx, dy) = (closure.dx_mm, closure.dy_mm);
    let share = Point::new(yy * dx - xy * dy, xx * dy - xy * dx) / whole;
    let corrected: Vec<Point> = courses
        .iter()
        .zip(&units)
        .map(|(c, u)| *c - *u * (u.dot(share) * c.length()))
        .collect();
    // No leg may be turned about.
    let forward = corrected.iter().zip(&units).all(|(c, u)| c.dot(*u) > 0.0);
    forward.then_some(corrected)
}

/// Where the courses start and end, from `start`: one more than there are courses.
pub fn stations(start: Point, courses: &[Point]) -> Vec<Point> {
    std::iter::once(start)
        .chain(courses.iter().scan(start, |at, course| {
            *at += *course;
            Some(*at)
        }))
        .collect()
}

/// Stations that begin at the origin, turned about it so that the first leg lies along `deg`.
pub fn laid_along(stations: &[Point], deg: f64) -> Vec<Point> {
    let first = stations.get(1).copied().unwrap_or(Point::X);
    let along = first.normalize_or(Point::X);
    let wanted = heading(deg);
    // The unit vector that turns one into the other, as a complex number.
    let by = Point::new(along.dot(wanted), along.perp_dot(wanted));
    stations
        .iter()
        .enumerate()
        .map(|(k, p)| match k {
            // Exactly along it, free of what the product rounds.
            1 => wanted * first.length(),
            _ => by.rotate(*p),
        })
        .collect()
}

/// The interior angles less (n - 2) · 180 degrees, from the turns of a figure that goes round once: what an instrument's
/// angles should sum to is not reached by this much. Turns are left positive; the figure may go round either way.
pub fn angular_misclosure_deg(turns_deg: &[f64]) -> f64 {
    let sum: f64 = turns_deg.iter().sum();
    360.0 - sum.abs()
}
