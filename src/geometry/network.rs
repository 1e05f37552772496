//! Least squares: points that fit measured distances and turns as well as those allow, and how well each measurement fits
//! (Gauss-Newton on coordinates by normal equations; residuals judged as W. Baarda proposed in 1968). Knows no walls.

use std::fmt;

use super::Point;

/// What was measured between points, which go by their place in a list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sighting {
    /// A distance between two points.
    Distance {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
        /// In millimetres.
        mm: f64,
    },
    /// A turn at a point, coming from another and going to a third.
    Turn {
        /// Where one comes from.
        from: usize,
        /// Where one turns.
        at: usize,
        /// Where one goes to.
        to: usize,
        /// In degrees, left positive.
        deg: f64,
    },
}

/// A measurement and its standard deviation, in its own unit (millimetres or degrees).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// What was measured.
    pub what: Sighting,
    /// Its standard deviation: the smaller, the more it counts.
    pub sigma: f64,
}

/// A coordinate that stays as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// The x of a point.
    X(usize),
    /// The y of a point.
    Y(usize),
}

/// How one measurement fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The adjusted value less the measured one, in the measurement's own unit.
    pub residual: f64,
    /// How much of a mistake in this measurement would show in its residual: 1 all of it, 0 nothing (nobody else saw it).
    pub redundancy: f64,
    /// The residual by its own standard deviation; `None` where nothing checks the measurement.
    pub standardized: Option<f64>,
}

/// Adjusted points.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// The points, held coordinates unchanged.
    pub points: Vec<Point>,
    /// One for each observation.
    pub fits: Vec<Fit>,
    /// Observations less unknown coordinates.
    pub degrees_of_freedom: usize,
}

impl Adjusted {
    /// The standard deviation of unit weight: about 1 where the measurements are as good as their sigmas say. `None` without
    /// surplus measurements.
    pub fn unit_sigma(&self, observations: &[Observation]) -> Option<f64> {
        if self.degrees_of_freedom == 0 {
            return None;
        }
        let sum: f64 = self
            .fits
            .iter()
            .zip(observations)
            .map(|(fit, o)| (fit.residual / o.sigma).powi(2))
            .sum();
        Some((sum / self.degrees_of_freedom as f64).sqrt())
    }
}

/// Why points could not be adjusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unadjustable {
    /// A point is named that there is none of, two are one, or a figure is no positive number.
    BadInput,
    /// The measurements leave some point free to move.
    TooFew,
    /// The points kept moving.
    NoEnd,
}

impl fmt::Display for Unadjustable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::BadInput => "a measurement names points that are not there or is no length",
            Self::TooFew => "too few measurements to fix every point",
            Self::NoEnd => "the measurements contradict each other so much that no points fit them",
        })
    }
}

impl std::error::Error for Unadjustable {}

/// Steps at most; a sound figure takes about ten, one whose lengths contradict each other a few dozen.
const MOST_STEPS: usize = 200;
/// The points rest when the next step moves none further, in millimetres.
const REST_MM: f64 = 1e-7;
/// Where rounding stops a closer approach, points this near to rest are good enough, in millimetres.
const NEAR_REST_MM: f64 = 1e-3;
/// Below this share of the cost its changes drown in rounding, and the steps themselves are compared.
const FINE_SHARE: f64 = 1e-9;
/// A step must win at least this share of what its slope promises.
const WON_SHARE: f64 = 0.25;
/// A pivot below this share of its diagonal means that a coordinate is free.
const FREE_SHARE: f64 = 1e-10;
/// A redundancy below this counts as none.
const UNSEEN: f64 = 1e-6;

/// Points near `start` that fit the observations best. Dense: meant for up to a hundred points or so.
pub fn adjust(
    start: &[Point],
    held: &[Held],
    observations: &[Observation],
) -> Result<Adjusted, Unadjustable> {
    let columns = columns(start.len(), held);
    let mut state = State::at(start.to_vec(), &columns, observations)?;
    for _ in 0..MOST_STEPS {
        let longest = state.longest();
        if longest <= REST_MM {
            return finished(state.points, &columns, observations);
        }
        let fine = state.gain <= FINE_SHARE * (1.0 + state.cost);
        let next = if fine {
            state.finer(&columns, observations)
        } else {
            state.lower(&columns, observations)
        };
        state = match next {
            Some(next) => next,
            None if longest <= NEAR_REST_MM => {
                return finished(state.points, &columns, observations);
            }
            None => return Err(Unadjustable::NoEnd),
        };
    }
    Err(Unadjustable::NoEnd)
}

/// The points on their way, with the next full step of Gauss and Newton.
struct State {
    points: Vec<Point>,
    /// The sum of squared residuals by their sigmas.
    cost: f64,
    /// The next step, point by point.
    step: Vec<Point>,
    /// Half of what the step promises to take off the cost at its first slope.
    gain: f64,
}

impl State {
    fn at(
        points: Vec<Point>,
        columns: &[Option<usize>],
        observations: &[Observation],
    ) -> Result<Self, Unadjustable> {
        let unknowns = columns.iter().flatten().count();
        let rows = rows(&points, columns, observations)?;
        let pull = pull(&rows, unknowns);
        let solved = normal(&rows, unknowns)?.solve(&pull);
        let of = |k: usize| {
            let column = columns.get(k).copied().flatten();
            column.and_then(|c| solved.get(c)).copied().unwrap_or(0.0)
        };
        Ok(Self {
            step: (0..points.len())
                .map(|i| Point::new(of(2 * i), of(2 * i + 1)))
                .collect(),
            gain: pull.iter().zip(&solved).map(|(a, b)| a * b).sum(),
            cost: rows.iter().map(|row| row.off * row.off).sum(),
            points,
        })
    }

    fn longest(&self) -> f64 {
        self.step.iter().map(|s| s.length()).fold(0.0, f64::max)
    }

    fn moved(&self, share: f64) -> Vec<Point> {
        let pairs = self.points.iter().zip(&self.step);
        pairs.map(|(p, s)| *p + *s * share).collect()
    }

    /// The state after the step, halved until it wins enough: where lengths contradict each other much, the full step overshoots.
    fn lower(&self, columns: &[Option<usize>], observations: &[Observation]) -> Option<Self> {
        (0..30).find_map(|halvings| {
            let share = 0.5_f64.powi(halvings);
            let points = self.moved(share);
            let won = self.cost - cost_of(&points, observations)?;
            (won >= 2.0 * WON_SHARE * share * self.gain)
                .then(|| Self::at(points, columns, observations).ok())
                .flatten()
        })
    }

    /// The state after a step, or a part of it, from which the least is left to go; `None` where none comes nearer.
    fn finer(&self, columns: &[Option<usize>], observations: &[Observation]) -> Option<Self> {
        (0..8)
            .map(|halvings| 0.5_f64.powi(halvings))
            .filter_map(|share| Self::at(self.moved(share), columns, observations).ok())
            .min_by(|a, b| a.gain.total_cmp(&b.gain))
            .filter(|next| next.gain < self.gain)
    }
}

/// What the points say less what was measured: millimetres, or degrees for a turn. `None` where a point is missing or two are one.
pub fn residual(points: &[Point], what: Sighting) -> Option<f64> {
    let seen = Seen::of(points, &Observation { what, sigma: 1.0 })?;
    Some(-seen.off)
}

/// True where the observations alone fix every coordinate that is not held, at these points.
pub fn fixes_all(points: &[Point], held: &[Held], observations: &[Observation]) -> bool {
    let columns = columns(points.len(), held);
    let unknowns = columns.iter().flatten().count();
    rows(points, &columns, observations)
        .and_then(|rows| normal(&rows, unknowns))
        .is_ok()
}

/// The column of every coordinate (x and y of each point in turn); `None` for what is held.
fn columns(points: usize, held: &[Held]) -> Vec<Option<usize>> {
    let mut next = 0;
    (0..2 * points)
        .map(|k| {
            let name = if k % 2 == 0 {
                Held::X(k / 2)
            } else {
                Held::Y(k / 2)
            };
            (!held.contains(&name)).then(|| {
                next += 1;
                next - 1
            })
        })
        .collect()
}

/// One linearised observation, divided by its sigma: coefficients by column, and measured less computed.
struct Row {
    terms: Vec<(usize, f64)>,
    off: f64,
}

fn rows(
    points: &[Point],
    columns: &[Option<usize>],
    observations: &[Observation],
) -> Result<Vec<Row>, Unadjustable> {
    observations
        .iter()
        .map(|o| {
            let seen = Seen::of(points, o).ok_or(Unadjustable::BadInput)?;
            let terms = seen
                .slopes
                .iter()
                .flat_map(|(point, slope)| [(2 * point, slope.x), (2 * point + 1, slope.y)])
                .filter_map(|(k, slope)| Some((columns.get(k).copied()??, slope / o.sigma)))
                .collect();
            Ok(Row {
                terms,
                off: seen.off / o.sigma,
            })
        })
        .collect()
}

/// One observation against the points: measured less computed, and how the computed value changes with each point.
struct Seen {
    off: f64,
    slopes: Vec<(usize, Point)>,
}

impl Seen {
    fn of(points: &[Point], o: &Observation) -> Option<Self> {
        let leg = |a: usize, b: usize| {
            let v = *points.get(b)? - *points.get(a)?;
            (v.is_finite() && v.length() > REST_MM).then_some(v)
        };
        if !(o.sigma > 0.0 && o.sigma.is_finite()) {
            return None;
        }
        match o.what {
            Sighting::Distance { from, to, mm } => {
                let v = leg(from, to)?;
                let unit = v / v.length();
                mm.is_finite().then(|| Self {
                    off: mm - v.length(),
                    slopes: vec![(from, -unit), (to, unit)],
                })
            }
            Sighting::Turn { from, at, to, deg } => {
                let (u, v) = (leg(from, at)?, leg(at, to)?);
                let turn = libm::atan2(u.perp_dot(v), u.dot(v)).to_degrees();
                // How a direction turns, in degrees, as the tip of its vector moves.
                let swing = |w: Point| (w.perp() / w.length_squared()) * 1f64.to_degrees();
                deg.is_finite().then(|| Self {
                    off: (deg - turn + 180.0).rem_euclid(360.0) - 180.0,
                    slopes: vec![(from, swing(u)), (at, -swing(u) - swing(v)), (to, swing(v))],
                })
            }
        }
    }
}

/// The sum of squared residuals by their sigmas.
fn cost_of(points: &[Point], observations: &[Observation]) -> Option<f64> {
    observations
        .iter()
        .map(|o| Seen::of(points, o).map(|seen| (seen.off / o.sigma).powi(2)))
        .sum()
}

fn pull(rows: &[Row], unknowns: usize) -> Vec<f64> {
    let mut sum = vec![0.0; unknowns];
    for row in rows {
        for (column, slope) in &row.terms {
            if let Some(s) = sum.get_mut(*column) {
                *s += slope * row.off;
            }
        }
    }
    sum
}

/// The normal equations, split into a lower triangle and its mirror (Cholesky).
struct Triangle {
    size: usize,
    below: Vec<f64>,
}

fn normal(rows: &[Row], unknowns: usize) -> Result<Triangle, Unadjustable> {
    let mut full = vec![0.0; unknowns * unknowns];
    for row in rows {
        for (i, a) in &row.terms {
            for (j, b) in &row.terms {
                if let Some(cell) = full.get_mut(i * unknowns + j) {
                    *cell += a * b;
                }
            }
        }
    }
    Triangle::of(full, unknowns).ok_or(Unadjustable::TooFew)
}

impl Triangle {
    /// `None` where the matrix leaves a direction free.
    #[expect(
        clippy::indexing_slicing,
        reason = "i, j and k stay below size, and the square holds size times size"
    )]
    fn of(mut square: Vec<f64>, size: usize) -> Option<Self> {
        for j in 0..size {
            let whole = square[j * size + j];
            for k in 0..j {
                square[j * size + j] -= square[j * size + k] * square[j * size + k];
            }
            let pivot = square[j * size + j];
            if !(pivot > whole * FREE_SHARE && pivot > 0.0) {
                return None;
            }
            let root = pivot.sqrt();
            square[j * size + j] = root;
            for i in j + 1..size {
                let mut sum = square[i * size + j];
                for k in 0..j {
                    sum -= square[i * size + k] * square[j * size + k];
                }
                square[i * size + j] = sum / root;
            }
        }
        Some(Self {
            size,
            below: square,
        })
    }

    /// The y of L y = b; its squared length is bᵀ N⁻¹ b.
    #[expect(
        clippy::indexing_slicing,
        reason = "i and k stay below size, which both hold"
    )]
    fn forward(&self, mut b: Vec<f64>) -> Vec<f64> {
        for i in 0..self.size {
            for k in 0..i {
                b[i] -= self.below[i * self.size + k] * b[k];
            }
            b[i] /= self.below[i * self.size + i];
        }
        b
    }

    #[expect(
        clippy::indexing_slicing,
        reason = "i and k stay below size, which both hold"
    )]
    fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut x = self.forward(b.to_vec());
        for i in (0..self.size).rev() {
            for k in i + 1..self.size {
                x[i] -= self.below[k * self.size + i] * x[k];
            }
            x[i] /= self.below[i * self.size + i];
        }
        x
    }
}

fn finished(
    points: Vec<Point>,
    columns: &[Option<usize>],
    observations: &[Observation],
) -> Result<Adjusted, Unadjustable> {
    let unknowns = columns.iter().flatten().count();
    let rows = rows(&points, columns, observations)?;
    let triangle = normal(&rows, unknowns)?;
    let fits = rows
        .iter()
        .zip(observations)
        .map(|(row, o)| {
            let mut b = vec![0.0; unknowns];
            for (column, slope) in &row.terms {
                if let Some(cell) = b.get_mut(*column) {
                    *cell += slope;
                }
            }
            let taken: f64 = triangle.forward(b).iter().map(|y| y * y).sum();
            let redundancy = (1.0 - taken).max(0.0);
            Fit {
                residual: -row.off * o.sigma,
                redundancy,
                standardized: (redundancy > UNSEEN).then(|| -row.off / redundancy.sqrt()),
            }
        })
        .collect();
    Ok(Adjusted {
        points,
        fits,
        degrees_of_freedom: observations.len().saturating_sub(unknowns),
    })
}
