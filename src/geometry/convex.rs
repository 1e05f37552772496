//! Convex shapes: the common form in which bodies, strips, swings, zones and wall lines meet each other.

use super::{Bounds, Point, TOLERANCE_MM};

/// A convex shape: its corners anticlockwise, in millimetres. Two corners make a line, which has no inside but can
/// still be overlapped by a shape that has one.
#[derive(Clone, Debug, PartialEq)]
pub struct Convex {
    points: Vec<Point>,
    bounds: Bounds,
}

/// How far a circle's arc may stand off the chords that draw it, in millimetres.
const ARC_SAG_MM: f64 = TOLERANCE_MM / 2.0;

impl Convex {
    /// A shape from its corners, anticlockwise; the caller promises that they are convex. `None` below two corners or
    /// where a corner is not finite.
    pub fn new(points: Vec<Point>) -> Option<Self> {
        if points.len() < 2 || points.iter().any(|p| !p.is_finite()) {
            return None;
        }
        let bounds = Bounds::of(&points)?;
        Some(Self { points, bounds })
    }

    /// A line from `a` to `b`.
    pub fn line(a: Point, b: Point) -> Self {
        let bounds = Bounds {
            low: a.min(b),
            high: a.max(b),
        };
        Self {
            points: vec![a, b],
            bounds,
        }
    }

    /// The part of a disc that a door sweeps: from angle `from_rad` on anticlockwise by `sweep_rad` (over 0, at most a
    /// half turn); `None` where radius or sweep is not over 0. The arc is drawn by chords that stand off it by less than
    /// the tolerance.
    pub fn sector(centre: Point, radius_mm: f64, from_rad: f64, sweep_rad: f64) -> Option<Self> {
        // Asked before `min`, which would take the half turn in place of what is no number.
        if radius_mm.is_nan() || radius_mm <= 0.0 || sweep_rad.is_nan() || sweep_rad <= 0.0 {
            return None;
        }
        let sweep = sweep_rad.min(std::f64::consts::PI);
        let step = 2.0 * (2.0 * ARC_SAG_MM / radius_mm).sqrt().min(0.5);
        let chords = (sweep / step).ceil().max(1.0).min(4096.0);
        let mut points = vec![centre];
        let mut k = 0.0;
        while k <= chords {
            points.push(centre + Point::from_angle(from_rad + sweep * k / chords) * radius_mm);
            k += 1.0;
        }
        Self::new(points)
    }

    /// The convex hull of the points (a monotone chain); `None` where they are fewer than two or all the same.
    pub fn hull(points: &[Point]) -> Option<Self> {
        let mut sorted: Vec<Point> = points.iter().copied().filter(|p| p.is_finite()).collect();
        sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        sorted.dedup();
        if sorted.len() < 3 {
            return Self::new(sorted);
        }
        let lower = half_hull(sorted.iter().copied());
        let upper = half_hull(sorted.iter().rev().copied());
        Self::new(lower.into_iter().chain(upper).collect())
    }

    /// The corners, anticlockwise.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The box round the shape.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// The mean of the corners: a place inside the shape to point at.
    pub fn middle(&self) -> Point {
        self.points.iter().sum::<Point>() / self.points.len() as f64
    }

    /// The shape moved by `by`.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self {
            points: self.points.iter().map(|p| *p + by).collect(),
            bounds: Bounds {
                low: self.bounds.low + by,
                high: self.bounds.high + by,
            },
        }
    }

    /// The sides as pairs of corners; a line has one.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = self.points.iter().copied().cycle().skip(1);
        let count = if self.points.len() == 2 {
            1
        } else {
            self.points.len()
        };
        self.points.iter().copied().zip(next).take(count)
    }

    /// Least and greatest value of the shape along `axis` (a unit vector), in millimetres.
    pub fn along(&self, axis: Point) -> (f64, f64) {
        self.points
            .iter()
            .map(|p| p.dot(axis))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            })
    }

    /// The directions that can separate this shape from another: the normals of its sides, and for a line its own
    /// direction too.
    pub(super) fn axes(&self) -> impl Iterator<Item = Point> + '_ {
        let own = (self.points.len() == 2).then(|| {
            let d = self.points[1] - self.points[0];
            d.normalize_or_zero()
        });
        self.sides()
            .map(|(a, b)| (b - a).perp().normalize_or_zero())
            .chain(own)
            .filter(|axis| *axis != Point::ZERO)
    }

    /// The greatest gap between the shapes along any separating direction, in millimetres. Negative: they overlap, and
    /// the shortest slide that parts them is that long. Positive: they are apart by at least that much (their true
    /// distance is [`Convex::distance`]).
    ///
    /// ```
    /// use aislewright::geometry::{Oblong, Point};
    /// let a = Oblong::new(Point::new(5.0, 5.0), 10.0, 10.0, (0.0, 1.0)).convex();
    /// let b = Oblong::new(Point::new(15.0, 5.0), 10.0, 10.0, (0.0, 1.0)).convex();
    /// assert_eq!(a.separation(&b), 0.0);
    /// assert!(!a.overlaps(&b), "touching is not overlapping");
    /// assert_eq!(a.separation(&b.moved(Point::new(-3.0, 0.0))), -3.0);
    /// ```
    pub fn separation(&self, other: &Self) -> f64 {
        self.axes()
            .chain(other.axes())
            .map(|axis| {
                let (a0, a1) = self.along(axis);
                let (b0, b1) = other.along(axis);
                (b0 - a1).max(a0 - b1)
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// True where the shapes share more than the tolerance.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.bounds.overlaps_or_line(&other.bounds) && self.separation(other) < -TOLERANCE_MM
    }

    /// How deep the shapes overlap, in millimetres: the shortest slide that parts them; `None` where they do not.
    pub fn overlap_depth(&self, other: &Self) -> Option<f64> {
        if !self.bounds.overlaps_or_line(&other.bounds) {
            return None;
        }
        let depth = -self.separation(other);
        (depth > TOLERANCE_MM).then_some(depth)
    }

    /// True distance in millimetres; 0 where they touch or overlap.
    pub fn distance(&self, other: &Self) -> f64 {
        if self.separation(other) <= 0.0 {
            return 0.0;
        }
        let to_sides = |from: &Self, to: &Self| {
            from.points
                .iter()
                .flat_map(|p| to.sides().map(move |(a, b)| distance_to_side(*p, a, b)))
                .fold(f64::INFINITY, f64::min)
        };
        to_sides(self, other).min(to_sides(other, self))
    }

    /// True where the point lies inside or on the edge, within the tolerance.
    pub fn contains(&self, point: Point) -> bool {
        self.points.len() > 2
            && self
                .sides()
                .all(|(a, b)| (b - a).normalize_or_zero().perp_dot(point - a) >= -TOLERANCE_MM)
    }

    /// The stretch of a straight line that runs inside the shape, as shares of the way from `from` to `to`; `None` where it runs
    /// past it or only touches.
    pub fn crossed_by(&self, from: Point, to: Point) -> Option<(f64, f64)> {
        let way = to - from;
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (a, b) in self.sides() {
            let inward = (b - a).perp().normalize_or_zero();
            let (off, towards) = ((from - a).dot(inward), way.dot(inward));
            if towards.abs() < 1e-12 {
                if off <= TOLERANCE_MM {
                    return None;
                }
            } else if towards > 0.0 {
                enters = enters.max(-off / towards);
            } else {
                leaves = leaves.min(-off / towards);
            }
        }
        ((leaves - enters) * way.length() > TOLERANCE_MM).then_some((enters, leaves))
    }

    /// The part of the shape on the side of the line through `at` where `(p - at) · normal >= 0`; `None` where nothing
    /// or only a corner is left.
    pub fn cut(&self, at: Point, normal: Point) -> Option<Self> {
        let side = |p: Point| (p - at).dot(normal);
        let mut kept = Vec::with_capacity(self.points.len() + 1);
        for (a, b) in self.sides() {
            let (sa, sb) = (side(a), side(b));
            if sa >= 0.0 {
                kept.push(a);
            }
            if (sa < 0.0) != (sb < 0.0) {
                kept.push(a + (b - a) * (sa / (sa - sb)));
            }
        }
        if self.points.len() == 2 && self.points.last().is_some_and(|p| side(*p) >= 0.0) {
            kept.extend(self.points.last().copied());
        }
        kept.dedup_by(|a, b| a.distance_squared(*b) < 1e-18);
        Self::new(kept)
    }
}

impl Bounds {
    /// As [`Bounds::overlaps`], but a line's flat box counts too: only what is truly beside is passed over.
    fn overlaps_or_line(&self, other: &Self) -> bool {
        self.gap(other) < TOLERANCE_MM
    }
}

fn half_hull(points: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut chain: Vec<Point> = Vec::new();
    for p in points {
        while let [.., a, b] = chain[..] {
            if (b - a).perp_dot(p - b) > 0.0 {
                break;
            }
            chain.pop();
        }
        chain.push(p);
    }
    chain.pop();
    chain
}

/// Distance of a point to the side from `a` to `b`, in millimetres.
fn distance_to_side(p: Point, a: Point, b: Point) -> f64 {
    p.distance(nearest_on_side(p, a, b))
}

/// The place of the side from `a` to `b` that is nearest to a point.
pub fn nearest_on_side(p: Point, a: Point, b: Point) -> Point {
    let side = b - a;
    let length2 = side.length_squared();
    let t = if length2 > 0.0 {
        ((p - a).dot(side) / length2).max(0.0).min(1.0)
    } else {
        0.0
    };
    a + side * t
}
