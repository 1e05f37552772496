//! Convex shapes grown by a square, in a frame of their own: where the middle of a square may not be, if the square is
//! not to overlap the shape. A grown shape is kept as two chains, its lower and its upper edge from left to right.

use super::{Bounds, Convex, Point};

/// Edges that climb within less than this, in millimetres, count as upright, so that no edge of a chain is so steep that
/// rounding along x would matter along y.
const UPRIGHT_MM: f64 = 1e-3;

/// A convex shape in the frame, ready to be grown by squares of any size.
#[derive(Clone, Debug)]
pub(super) struct Core {
    shape: Convex,
    low: Vec<Point>,
    high: Vec<Point>,
}

impl Core {
    /// A shape given in the frame.
    pub(super) fn new(shape: Convex) -> Self {
        // The hull starts at its leftmost corner and goes below to the rightmost one, then back above.
        let hull = Convex::hull(shape.points()).map_or_else(Vec::new, |h| h.points().to_vec());
        let first = hull
            .first()
            .or(shape.points().first())
            .copied()
            .unwrap_or_default();
        let last = hull.iter().copied().fold(first, |best, p| {
            if (p.x, p.y) > (best.x, best.y) {
                p
            } else {
                best
            }
        });
        let turn = hull.iter().position(|p| *p == last).unwrap_or(0);
        let mut low: Vec<Point> = hull.iter().take(turn + 1).copied().collect();
        let mut high: Vec<Point> = hull.iter().skip(turn).copied().collect();
        high.push(first);
        high.reverse();
        if low.is_empty() {
            low.push(first);
        }
        Self {
            shape,
            low: upright_ends(&low, f64::min),
            high: upright_ends(&high, f64::max),
        }
    }

    /// The box round the shape.
    pub(super) fn bounds(&self) -> &Bounds {
        self.shape.bounds()
    }

    /// Where the middle of a square of half side `half_mm` overlaps the shape.
    pub(super) fn grown(&self, half_mm: f64) -> Grown {
        Grown {
            low: spread(&self.low, half_mm, -half_mm, |a, b| a < b),
            high: spread(&self.high, half_mm, half_mm, |a, b| a > b),
        }
    }

    /// The side of the greatest square that passes between two shapes, in millimetres: their distance where the length of
    /// a vector is its larger component. Zero or less where they touch or overlap.
    pub(super) fn gap(&self, other: &Self) -> f64 {
        self.shape
            .axes()
            .chain(other.shape.axes())
            .chain([Point::X, Point::Y])
            .map(|axis| {
                let (a0, a1) = self.shape.along(axis);
                let (b0, b1) = other.shape.along(axis);
                (b0 - a1).max(a0 - b1) / (axis.x.abs() + axis.y.abs())
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The middle of the places where a square of side `gap_mm` (see [`Core::gap`]) touches both shapes at once.
    pub(super) fn between(&self, other: &Self, gap_mm: f64) -> Point {
        /// Lets the two grown shapes overlap in a sliver that has an inside.
        const SLIVER_MM: f64 = 1e-3;
        let half = gap_mm * 0.5 + SLIVER_MM;
        let ours = self.grown(half).outline();
        let theirs = other.grown(half).outline();
        let sliver = ours.zip(theirs).and_then(|(ours, theirs)| {
            theirs
                .sides()
                .try_fold(ours, |left, (a, b)| left.cut(a, (b - a).perp()))
        });
        sliver.map_or_else(
            || self.shape.middle().midpoint(other.shape.middle()),
            |s| s.bounds().centre(),
        )
    }
}

/// The chain with upright ends made truly upright: of the corners within [`UPRIGHT_MM`] of an end only the outermost is kept.
fn upright_ends(chain: &[Point], outer: impl Fn(f64, f64) -> f64) -> Vec<Point> {
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
        return Vec::new();
    };
    let end = |x: f64| {
        let near = chain.iter().filter(|p| (p.x - x).abs() < UPRIGHT_MM);
        let y = near.map(|p| p.y).reduce(&outer).unwrap_or(first.y);
        Point::new(x, y)
    };
    let inner = chain
        .iter()
        .filter(|p| p.x - first.x >= UPRIGHT_MM && last.x - p.x >= UPRIGHT_MM);
    let mut kept = vec![end(first.x)];
    kept.extend(inner.copied());
    kept.push(end(last.x));
    kept
}

/// The chain grown by a square: the part before its outermost corner moves left, the part after it right, all of it out.
fn spread(
    chain: &[Point],
    half_mm: f64,
    out_mm: f64,
    outer: impl Fn(f64, f64) -> bool,
) -> Vec<Point> {
    let extreme = chain
        .iter()
        .map(|p| p.y)
        .reduce(|a, b| if outer(b, a) { b } else { a });
    let is_extreme = |p: &Point| extreme.is_some_and(|y| !outer(p.y, y) && !outer(y, p.y));
    let first = chain.iter().position(is_extreme).unwrap_or(0);
    let last = chain.iter().rposition(is_extreme).unwrap_or(0);
    let left = chain.iter().take(first + 1).map(|p| p.x - half_mm);
    let right = chain.iter().skip(last).map(|p| p.x + half_mm);
    let heights = chain.iter().take(first + 1).chain(chain.iter().skip(last));
    left.chain(right)
        .zip(heights)
        .map(|(x, p)| Point::new(x, p.y + out_mm))
        .collect()
}

/// A shape grown by a square: its lower and upper edge, each from left to right.
#[derive(Clone, Debug)]
pub(super) struct Grown {
    low: Vec<Point>,
    high: Vec<Point>,
}

impl Grown {
    /// Its left and right end.
    pub(super) fn ends(&self) -> (f64, f64) {
        let left = self.low.first().map_or(0.0, |p| p.x);
        let right = self.low.last().map_or(0.0, |p| p.x);
        (left, right)
    }

    /// Its lowest and highest place.
    pub(super) fn heights(&self) -> (f64, f64) {
        let ys =
            |chain: &[Point], best: fn(f64, f64) -> f64| chain.iter().map(|p| p.y).reduce(best);
        let low = ys(&self.low, f64::min).unwrap_or(0.0);
        (low, ys(&self.high, f64::max).unwrap_or(low))
    }

    /// The places along x where an edge bends.
    pub(super) fn bends(&self) -> impl Iterator<Item = f64> + '_ {
        self.low.iter().chain(&self.high).map(|p| p.x)
    }

    /// The lower and the upper edge where both are level all along.
    pub(super) fn level(&self) -> Option<(f64, f64)> {
        let one = |chain: &[Point]| match chain {
            [a, b] if a.y.total_cmp(&b.y).is_eq() => Some(a.y),
            _ => None,
        };
        Some((one(&self.low)?, one(&self.high)?))
    }

    /// The lower and the upper edge at `x`.
    pub(super) fn at(&self, x: f64) -> (f64, f64) {
        (height(&self.low, x), height(&self.high, x))
    }

    /// The outline; `None` where it has no inside.
    fn outline(&self) -> Option<Convex> {
        let points: Vec<Point> = self.low.iter().chain(&self.high).copied().collect();
        Convex::hull(&points)
    }
}

fn height(chain: &[Point], x: f64) -> f64 {
    let beyond = chain.iter().position(|p| p.x >= x);
    let Some(k) = beyond else {
        return chain.last().map_or(0.0, |p| p.y);
    };
    let (a, b) = (chain[k.saturating_sub(1)], chain[k]);
    if b.x > a.x {
        a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x))
    } else {
        b.y
    }
}
