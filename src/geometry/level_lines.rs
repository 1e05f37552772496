//! Lines of equal value of a function of the plane, over a grid of squares. Knows nothing of what the value means.

use std::collections::BTreeMap;

use super::{Bounds, Point};

/// Halvings of a grid's side to find where the value is met.
const HALVINGS: u32 = 20;
/// Most squares of a grid to one side; where the step would make more of them it is taken wider.
const MOST: f64 = 400.0;

/// A side of a square of the grid: the column and row of its first corner, and whether it goes up.
type Side = (u32, u32, bool);

/// The values at the corners of a grid.
struct Grid {
    low: Point,
    step: Point,
    columns: u32,
    rows: u32,
    values: Vec<f64>,
}

impl Grid {
    fn new(value: &impl Fn(Point) -> f64, bounds: &Bounds, step: Point) -> Self {
        let size = bounds.size();
        let columns = count(size.x, step.x);
        let rows = count(size.y, step.y);
        let mut grid = Self {
            low: bounds.low,
            step: Point::new(size.x / f64::from(columns), size.y / f64::from(rows)),
            columns,
            rows,
            values: Vec::new(),
        };
        for row in 0..=rows {
            for column in 0..=columns {
                grid.values.push(value(grid.at(column, row)));
            }
        }
        grid
    }

    fn at(&self, column: u32, row: u32) -> Point {
        self.low + Point::new(f64::from(column), f64::from(row)) * self.step
    }

    fn value(&self, column: u32, row: u32) -> f64 {
        let k = u64::from(row) * (u64::from(self.columns) + 1) + u64::from(column);
        let value = usize::try_from(k).ok().and_then(|k| self.values.get(k));
        value.copied().unwrap_or(0.0)
    }

    /// The two corners of a side.
    fn ends(side: Side) -> [(u32, u32); 2] {
        let (column, row, up) = side;
        let end = if up {
            (column, row + 1)
        } else {
            (column + 1, row)
        };
        [(column, row), end]
    }

    /// Where the value is met on a side, if its ends lie on both sides of it.
    fn crossing(&self, value: &impl Fn(Point) -> f64, level: f64, side: Side) -> Option<Point> {
        let [a, b] = Self::ends(side);
        let over = |v: f64| v >= level;
        let at_a = over(self.value(a.0, a.1));
        if at_a == over(self.value(b.0, b.1)) {
            return None;
        }
        let (mut from, mut to) = (self.at(a.0, a.1), self.at(b.0, b.1));
        for _ in 0..HALVINGS {
            let middle = (from + to) * 0.5;
            if over(value(middle)) == at_a {
                from = middle;
            } else {
                to = middle;
            }
        }
        Some((from + to) * 0.5)
    }
}

fn count(length: f64, step: f64) -> u32 {
    let wanted = (length / step.max(1e-9)).ceil().max(1.0).min(MOST);
    (1..=1000).find(|n| f64::from(*n) >= wanted).unwrap_or(1)
}

/// The lines along which `value` is each of some levels within some bounds, looked at over squares of about that step. Each corner of
/// a line lies on a side of a square, found by halving, so that it is on the level wherever the value has no leap there. What is
/// smaller than a square may be missed. Lines end at the bounds, or close on themselves: then the last point is the first.
///
/// ```
/// use aislewright::geometry::{Bounds, Point, level_lines};
/// let bounds = Bounds { low: Point::new(-2.0, -2.0), high: Point::new(2.0, 2.0) };
/// let cone = |p: Point| 3.0 - p.length();
/// let [lines] = level_lines(&cone, &bounds, Point::new(0.1, 0.1), [2.0]);
/// assert_eq!(lines.len(), 1, "a circle of radius 1");
/// assert!(lines[0].iter().all(|p| (p.length() - 1.0).abs() < 1e-6));
/// assert_eq!(lines[0].first(), lines[0].last());
/// ```
pub fn level_lines<const N: usize>(
    value: &impl Fn(Point) -> f64,
    bounds: &Bounds,
    step: Point,
    levels: [f64; N],
) -> [Vec<Vec<Point>>; N] {
    let grid = Grid::new(value, bounds, step);
    levels.map(|level| grid.lines(value, level))
}

impl Grid {
    fn lines(&self, value: &impl Fn(Point) -> f64, level: f64) -> Vec<Vec<Point>> {
        let mut points: BTreeMap<Side, Point> = BTreeMap::new();
        let mut joined: BTreeMap<Side, Vec<Side>> = BTreeMap::new();
        for row in 0..self.rows {
            for column in 0..self.columns {
                // Round the square, so that the first two and the last two lie at neighbouring corners.
                let sides = [
                    (column, row, false),
                    (column + 1, row, true),
                    (column, row + 1, false),
                    (column, row, true),
                ];
                let mut met: Vec<Side> = Vec::new();
                for side in sides {
                    let known = points.get(&side).copied();
                    if let Some(at) = known.or_else(|| self.crossing(value, level, side)) {
                        points.insert(side, at);
                        met.push(side);
                    }
                }
                for (a, b) in self.pairs(value, level, (column, row), &met) {
                    joined.entry(a).or_default().push(b);
                    joined.entry(b).or_default().push(a);
                }
            }
        }
        chains(&points, joined)
    }

    /// Which sides of a square the lines in it join. Where all four are met, the middle says which corners hang together.
    fn pairs(
        &self,
        value: &impl Fn(Point) -> f64,
        level: f64,
        (column, row): (u32, u32),
        met: &[Side],
    ) -> Vec<(Side, Side)> {
        match *met {
            [a, b] => vec![(a, b)],
            [south, east, north, west] => {
                let middle = value(self.at(column, row) + self.step * 0.5) >= level;
                let corner = self.value(column, row) >= level;
                if middle == corner {
                    vec![(south, east), (north, west)]
                } else {
                    vec![(south, west), (north, east)]
                }
            }
            _ => Vec::new(),
        }
    }
}

/// The joined points as lines: those with open ends first.
fn chains(
    points: &BTreeMap<Side, Point>,
    mut joined: BTreeMap<Side, Vec<Side>>,
) -> Vec<Vec<Point>> {
    let open = joined.iter().filter(|(_, to)| to.len() == 1);
    let starts: Vec<Side> = open
        .map(|(side, _)| *side)
        .chain(joined.keys().copied())
        .collect();
    let mut lines = Vec::new();
    for start in starts {
        let mut line = Vec::new();
        let mut at = start;
        while let Some(next) = joined.get_mut(&at).and_then(Vec::pop) {
            if line.is_empty() {
                line.extend(points.get(&at));
            }
            if let Some(back) = joined.get_mut(&next) {
                let place = back.iter().position(|side| *side == at);
                place.map(|k| back.swap_remove(k));
            }
            line.extend(points.get(&next));
            at = next;
        }
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::{Bounds, Point, level_lines};

    fn bounds(half: f64) -> Bounds {
        Bounds {
            low: Point::splat(-half),
            high: Point::splat(half),
        }
    }

    #[test]
    fn a_line_that_leaves_the_bounds_ends_there() {
        let slope = |p: Point| p.x;
        let [lines, none] = level_lines(&slope, &bounds(1.0), Point::splat(0.3), [0.25, 2.0]);
        assert_eq!(lines.len(), 1);
        let line = &lines[0];
        assert!(line.iter().all(|p| (p.x - 0.25).abs() < 1e-6));
        let ends = [line.first(), line.last()].map(|p| p.map(|p| p.y.abs()));
        assert_eq!(ends, [Some(1.0), Some(1.0)]);
        assert!(none.is_empty());
    }

    #[test]
    fn two_hills_have_two_lines_and_a_saddle_joins_what_its_middle_says() {
        let hill = |p: Point, x: f64| 1.0 / (1.0 + (p - Point::new(x, 0.0)).length_squared());
        let hills = |p: Point| hill(p, -3.0) + hill(p, 3.0);
        let levels = [0.9, 0.1];
        let lines = level_lines(&hills, &bounds(8.0), Point::splat(0.25), levels);
        assert_eq!(lines.map(|l| l.len()), [2, 1]);
        // xy = 0.001: two branches, in the squares round the middle as well.
        let saddle = |p: Point| p.x * p.y;
        let [lines] = level_lines(&saddle, &bounds(1.0), Point::splat(0.4), [0.001]);
        assert_eq!(lines.len(), 2);
        for line in &lines {
            let same = line.windows(2).all(|w| w[0].x * w[1].x > 0.0);
            assert!(same, "no branch crosses over: {line:?}");
        }
    }
}
