//! Simple polygons, which may be concave: the outline of a floor.

use super::{Bounds, Convex, Point, TOLERANCE_MM, reaches};

/// A closed outline through at least three corners, in millimetres, anticlockwise when `area` is positive.
#[derive(Clone, Debug, PartialEq)]
pub struct Polygon {
    points: Vec<Point>,
    bounds: Bounds,
}

impl Polygon {
    /// An outline from its corners; `None` below three or where one is not finite.
    pub fn new(points: Vec<Point>) -> Option<Self> {
        if points.len() < 3 || points.iter().any(|p| !p.is_finite()) {
            return None;
        }
        let bounds = Bounds::of(&points)?;
        Some(Self { points, bounds })
    }

    /// The corners.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The box round the outline.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// The sides: side `k` goes from corner `k` to the next.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = self.points.iter().copied().cycle().skip(1);
        self.points.iter().copied().zip(next)
    }

    /// Side `k`, if there is one.
    pub fn side(&self, k: usize) -> Option<(Point, Point)> {
        let a = *self.points.get(k)?;
        let b = *self.points.get((k + 1) % self.points.len())?;
        Some((a, b))
    }

    /// Signed area in mm²: positive for anticlockwise corners.
    pub fn area(&self) -> f64 {
        self.sides().map(|(a, b)| a.perp_dot(b)).sum::<f64>() * 0.5
    }

    /// True where the point lies inside; a point on the outline may count either way.
    pub fn contains(&self, p: Point) -> bool {
        self.sides().fold(false, |inside, (a, b)| {
            let crosses =
                (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x;
            inside != crosses
        })
    }

    /// The runs of a line from point to point that lie inside the outline.
    pub fn inside(&self, line: &[Point]) -> Vec<Vec<Point>> {
        let mut runs: Vec<Vec<Point>> = Vec::new();
        let mut goes_on = false;
        for ends in line.windows(2) {
            let &[a, b] = ends else { continue };
            let mut cuts = vec![0.0, 1.0];
            cuts.extend(self.sides().filter_map(|wall| cut_of((a, b), wall)));
            cuts.sort_by(f64::total_cmp);
            for piece in cuts.windows(2) {
                let &[s, t] = piece else { continue };
                if !self.contains(a + (b - a) * ((s + t) * 0.5)) {
                    goes_on = false;
                    continue;
                }
                let end = a + (b - a) * t;
                match runs.last_mut().filter(|_| goes_on) {
                    Some(run) => run.push(end),
                    None => runs.push(vec![a + (b - a) * s, end]),
                }
                goes_on = true;
            }
        }
        runs
    }

    /// True where the straight way between two places stays inside the outline; touching it is inside.
    ///
    /// ```
    /// use aislewright::geometry::{Point, Polygon};
    /// let bent = [(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (5.0, 5.0), (5.0, 10.0), (0.0, 10.0)];
    /// let room = Polygon::new(bent.map(|(x, y)| Point::new(x, y)).to_vec()).unwrap();
    /// let holds = |a: (f64, f64), b: (f64, f64)| room.holds_line(a.into(), b.into());
    /// assert!(holds((1.0, 9.0), (9.0, 1.0)), "it only touches the inner corner");
    /// assert!(!holds((4.0, 9.0), (9.0, 4.0)), "it cuts the inner corner off");
    /// assert!(!holds((2.0, 2.0), (8.0, 8.0)), "it leaves through the inner corner");
    /// ```
    pub fn holds_line(&self, from: Point, to: Point) -> bool {
        let runs = self.inside(&[from, to]);
        let lengths = runs
            .iter()
            .filter_map(|run| Some(run.first()?.distance(*run.last()?)));
        reaches(lengths.sum(), from.distance(to))
    }

    /// True where the shape lies inside the outline; touching it is inside.
    pub fn holds(&self, shape: &Convex) -> bool {
        self.contains(shape.middle())
            && self
                .sides()
                .all(|(a, b)| !shape.overlaps(&Convex::line(a, b)))
    }

    /// The first pair of sides that cross or touch where they should not, if any; `O(n²)`.
    pub fn crossing(&self) -> Option<(usize, usize)> {
        let sides: Vec<_> = self.sides().collect();
        let n = sides.len();
        (0..n)
            .flat_map(|i| (i + 1..n).map(move |j| (i, j)))
            .find(|&(i, j)| {
                let neighbours = j == i + 1 || (i == 0 && j == n - 1);
                if neighbours {
                    folds_back(sides[i], sides[j], i == 0 && j == n - 1 && n > 2)
                } else {
                    sides_meet(sides[i], sides[j])
                }
            })
    }

    /// The outline moved outward by a distance for each side (a wall's outer face), with mitred corners. Side `k` moves by
    /// `by_mm(k)`. For an anticlockwise outline.
    #[must_use]
    pub fn outset(&self, by_mm: impl Fn(usize) -> f64) -> Vec<Point> {
        let n = self.points.len();
        let lines: Vec<(Point, Point)> = self
            .sides()
            .enumerate()
            .map(|(k, (a, b))| {
                let along = (b - a).normalize_or_zero();
                (a - along.perp() * by_mm(k), along)
            })
            .collect();
        (0..n)
            .map(|k| {
                let (p, u) = lines[(k + n - 1) % n];
                let (q, v) = lines[k];
                let turn = u.perp_dot(v);
                if turn.abs() < 1e-9 {
                    q
                } else {
                    p + u * ((q - p).perp_dot(v) / turn)
                }
            })
            .collect()
    }
}

/// True where two sides that share no corner cross or touch.
fn sides_meet((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let first = Convex::line(a, b);
    let second = Convex::line(c, d);
    first.bounds().gap(second.bounds()) <= TOLERANCE_MM && first.distance(&second) <= TOLERANCE_MM
}

/// True where two neighbouring sides lie back on each other, or one has no length.
fn folds_back(first: (Point, Point), second: (Point, Point), wraps: bool) -> bool {
    let (first, second) = if wraps {
        (second, first)
    } else {
        (first, second)
    };
    let (u, v) = (first.1 - first.0, second.1 - second.0);
    if u.length() <= TOLERANCE_MM || v.length() <= TOLERANCE_MM {
        return true;
    }
    let (u, v) = (u.normalize(), v.normalize());
    u.perp_dot(v).abs() < 1e-9 && u.dot(v) < 0.0
}

/// How far along the first line, as a share of it, the second crosses or touches it; lines along one another never do.
///
/// ```
/// use aislewright::geometry::{Point, cut_of};
/// let line = (Point::new(0.0, 0.0), Point::new(8.0, 0.0));
/// assert_eq!(cut_of(line, (Point::new(2.0, -1.0), Point::new(2.0, 3.0))), Some(0.25));
/// assert_eq!(cut_of(line, (Point::new(2.0, 1.0), Point::new(2.0, 3.0))), None);
/// assert_eq!(cut_of(line, (Point::new(2.0, 0.0), Point::new(5.0, 0.0))), None);
/// ```
pub fn cut_of((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<f64> {
    let turn = (b - a).perp_dot(d - c);
    let s = (c - a).perp_dot(d - c) / turn;
    let t = (c - a).perp_dot(b - a) / turn;
    // Lines along one another give no number and do not count.
    let within = |v: f64| (0.0..=1.0).contains(&v);
    (within(s) && within(t)).then_some(s)
}
