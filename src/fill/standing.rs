//! Where on a grid the walker comes in, and where it stands in the strips of what stays, also where those places lie off the
//! lines. Knows what stays and no body that may be placed.

use super::grid::{Ruler, Window};
use super::lattice::{Axis, Lattice};
use super::problem::{Problem, Rect, Start};
use super::way_in::{WayIn, is_clear};

/// The walker's places on a grid.
#[derive(Debug, Default)]
pub(super) struct Standing {
    /// At the doors.
    pub starts: Vec<Window>,
    /// In the strips of what stays.
    pub reach: Vec<Window>,
    /// Ground on which no body may stand, so that the walker comes from a door or a strip off the lines to a place on them.
    pub kept: Vec<Rect>,
}

impl Standing {
    /// The places on the grid of those lines, whose cells are `closed` by row and column.
    pub(super) fn new(
        problem: &Problem,
        lattice: &Lattice,
        (x, y): (&Ruler, &Ruler),
        closed: &[Vec<bool>],
    ) -> Self {
        let mut empty = Empty::new(problem, lattice, (x, y), closed);
        let mut standing = Self::default();
        for start in &problem.starts {
            let windows = empty.way_in(start);
            if windows.is_empty()
                && let Some((window, ground)) = empty.way_to(&start.corners, false)
            {
                standing.starts.push(window);
                standing.kept.extend(ground);
            }
            standing.starts.extend(windows);
        }
        empty.walk(&standing.starts);
        for strip in &problem.reach {
            let corner = Rect::sized(strip.x0, strip.y0, 0, 0);
            if let Some(window) = empty.in_strip(strip) {
                standing.reach.push(window);
            } else if let Some((window, ground)) = empty.way_to(&corner, true) {
                standing.reach.push(window);
                standing.kept.extend(ground);
            }
        }
        standing
    }
}

/// The floor with nothing placed: where the walker stands, and where it comes from the doors.
struct Empty<'a> {
    problem: &'a Problem,
    lattice: &'a Lattice,
    x: &'a Ruler,
    y: &'a Ruler,
    /// For each first column and line of a place: the column after it, where what stays leaves it free.
    places: Vec<Vec<Option<usize>>>,
    /// For each first column and line of a place: true where the walker comes there.
    joined: Vec<Vec<bool>>,
}

/// For each first column and line the column after the walker's place there, where all of its cells are open.
fn places((x, y): (&Ruler, &Ruler), aisle: i64, closed: &[Vec<bool>]) -> Vec<Vec<Option<usize>>> {
    let (cols, lines) = (x.cells(), y.lines.len());
    // How deep each column is open before each line.
    let mut open = vec![vec![0; lines]; cols];
    for (i, column) in open.iter_mut().enumerate() {
        for (j, row) in closed.iter().enumerate() {
            if !row[i] {
                column[j + 1] = column[j] + y.lines[j + 1] - y.lines[j];
            }
        }
    }
    let place = |from: usize, line: usize| {
        let to = x.after(from, aisle)?;
        open[from..to]
            .iter()
            .all(|c| c[line] >= aisle)
            .then_some(to)
    };
    (0..cols)
        .map(|from| (0..lines).map(|line| place(from, line)).collect())
        .collect()
}

impl<'a> Empty<'a> {
    fn new(
        problem: &'a Problem,
        lattice: &'a Lattice,
        (x, y): (&'a Ruler, &'a Ruler),
        closed: &[Vec<bool>],
    ) -> Self {
        Self {
            problem,
            lattice,
            x,
            y,
            places: places((x, y), problem.aisle, closed),
            joined: vec![vec![false; y.lines.len()]; x.cells()],
        }
    }

    /// True where low edges count as lying further down, which is for bounds.
    fn is_lowered(&self) -> bool {
        !self.lattice.x.lowered.is_empty() || !self.lattice.y.lowered.is_empty()
    }

    /// The walker's places at a door.
    ///
    /// A door off the lines across counts with the whole of the columns that its place touches: no body on the lines stands
    /// in them without standing in the walker's way too, so nothing is lost where what stays leaves them free.
    fn way_in(&self, start: &Start) -> Vec<Window> {
        let c = self.counted(start);
        let on_lines = self.x.at_or_between(c.x0, c.x1);
        let columns: Vec<(usize, usize)> = on_lines
            .filter_map(|i| Some((i, self.x.after(i, self.problem.aisle)?)))
            .collect();
        let columns = if columns.is_empty() {
            self.touched(&c).into_iter().collect()
        } else {
            columns
        };
        let lines = self.y.at_or_between(c.y0, c.y1);
        lines
            .filter_map(|j| self.y.after(j, self.problem.aisle))
            .flat_map(|line| {
                let place = move |(from, to)| Window { line, from, to };
                columns.clone().into_iter().map(place)
            })
            .collect()
    }

    /// The low corners of the walker that count as a door's, lowered where low edges are.
    fn counted(&self, start: &Start) -> Rect {
        let slip = |axis: &Axis| {
            if axis.lowered.is_empty() {
                0
            } else {
                axis.step - 1
            }
        };
        let c = WayIn::new(self.problem, start, self.lattice.x.step).corners;
        Rect {
            x0: c.x0 - slip(&self.lattice.x),
            y0: c.y0 - slip(&self.lattice.y),
            ..c
        }
    }

    /// The columns that a place between the lines touches, where all of them are clear of what stays. Before the first line
    /// and beyond the last no body stands.
    fn touched(&self, c: &Rect) -> Option<(usize, usize)> {
        let next = self.x.ceil(c.x1);
        let place = |i: usize| Some((i, self.x.after(i, self.problem.aisle)?));
        let (low, high) = (next.checked_sub(1).and_then(place), place(next));
        let (from, to) = (low.or(high)?.0, high.or(low)?.1);
        let line = |place: Option<(usize, usize)>| self.x.lines.get(place?.0).copied();
        let wide = Rect {
            x0: line(low).unwrap_or(c.x0),
            x1: line(high).unwrap_or(c.x1),
            ..*c
        };
        is_clear(self.problem, &wide).then_some((from, to))
    }

    /// The nearest place on the lines to which the walker comes from the first of these low corners round one bend at most, and
    /// the ground that it goes over; among those only that are `joined` to a door. None where low edges are lowered: a bound
    /// may keep no ground.
    fn way_to(&self, corners: &Rect, joined: bool) -> Option<(Window, Vec<Rect>)> {
        if self.is_lowered() {
            return None;
        }
        let (x0, y0) = (corners.x0, corners.y0);
        let far = |w: &Window| {
            let (x, y) = self.corner(w);
            (x - x0).abs() + (y - y0).abs()
        };
        let mut windows = self.windows(joined);
        windows.sort_by_key(|w| (far(w), w.line, w.from));
        windows.into_iter().find_map(|w| {
            let (x, y) = self.corner(&w);
            let bends = [(x0, y), (x, y0)];
            let legs = bends
                .map(|bend| [between((x0, y0), bend), between(bend, (x, y))])
                .into_iter()
                .find(|legs| legs.iter().all(|leg| is_clear(self.problem, leg)))?;
            let side = self.problem.aisle;
            let ground = legs.map(|leg| Rect {
                x1: leg.x1 + side,
                y1: leg.y1 + side,
                ..leg
            });
            Some((w, ground.to_vec()))
        })
    }

    /// The low corner of the walker in a place.
    fn corner(&self, w: &Window) -> (i64, i64) {
        (
            self.x.lines[w.from],
            self.y.lines[w.line] - self.problem.aisle,
        )
    }

    /// All places that what stays leaves free, or only those where the walker comes from a door.
    fn windows(&self, joined: bool) -> Vec<Window> {
        (0..self.x.cells())
            .flat_map(|from| (0..self.y.lines.len()).map(move |line| (from, line)))
            .filter(|(from, line)| !joined || self.joined[*from][*line])
            .filter_map(|(from, line)| {
                let to = self.place(from, line)?;
                Some(Window { line, from, to })
            })
            .collect()
    }

    /// The column after the place that begins there, where the walker may stand in it before that line.
    fn place(&self, from: usize, line: usize) -> Option<usize> {
        self.places.get(from)?.get(line).copied().flatten()
    }

    fn walk(&mut self, starts: &[Window]) {
        let mut open: Vec<(usize, usize)> = starts
            .iter()
            .flat_map(|w| (w.from..w.to).map(|i| (i, w.line)))
            .filter(|(i, line)| {
                let to = self.place(*i, *line);
                to.is_some_and(|to| starts.iter().any(|w| w.from <= *i && to <= w.to))
            })
            .collect();
        while let Some((i, line)) = open.pop() {
            let seen = self.joined.get_mut(i).and_then(|c| c.get_mut(line));
            let Some(seen) = seen.filter(|seen| !**seen) else {
                continue;
            };
            *seen = true;
            let Some(to) = self.place(i, line) else {
                continue;
            };
            let beside = (0..=to).filter(|k| {
                let end = self.place(*k, line);
                *k != i && end.is_some_and(|end| end >= i)
            });
            open.extend(beside.map(|k| (k, line)));
            let along = [line.checked_sub(1), Some(line + 1)];
            open.extend(
                along
                    .into_iter()
                    .flatten()
                    .filter(|line| self.place(i, *line).is_some())
                    .map(|line| (i, line)),
            );
        }
    }

    /// True where the walker comes to a place that shares a column with the window, before the same line.
    fn comes_to(&self, w: &Window) -> bool {
        (0..w.to)
            .any(|i| self.joined[i][w.line] && self.place(i, w.line).is_some_and(|to| to > w.from))
    }

    /// The walker's place in a strip of what stays; none where it could not come to the strip though nothing were placed.
    ///
    /// The place at the strip's low corner, on the lines after it, or before it where low edges are lowered. Where the
    /// walker does not come there, because lines and strip differ, the place that covers most of the strip; not where edges
    /// are lowered, for a bound may ask no more than the corner does.
    fn in_strip(&self, strip: &Rect) -> Option<Window> {
        let at_corner = self.at_corner(strip).filter(|w| self.comes_to(w));
        if at_corner.is_some() || self.is_lowered() {
            return at_corner;
        }
        self.windows(true)
            .into_iter()
            .map(|w| (self.shared(&w, strip), w))
            .filter(|(shared, _)| *shared > 0)
            .max_by_key(|(shared, w)| (*shared, std::cmp::Reverse((w.line, w.from))))
            .map(|(_, w)| w)
    }

    fn at_corner(&self, strip: &Rect) -> Option<Window> {
        let near = |ruler: &Ruler, position: i64, axis: &Axis| {
            if axis.lowered.is_empty() {
                Some(ruler.ceil(position))
            } else {
                ruler.ceil(position + 1).checked_sub(1)
            }
        };
        let aisle = self.problem.aisle;
        let from = near(self.x, strip.x0, &self.lattice.x)?;
        let to = self.x.after(from, aisle)?;
        let line = near(self.y, strip.y0 + aisle, &self.lattice.y)?;
        (line < self.y.lines.len()).then_some(Window { line, from, to })
    }

    /// How much of a strip a place covers.
    fn shared(&self, w: &Window, strip: &Rect) -> i128 {
        let (x, y) = (&self.x.lines, &self.y.lines);
        let own = |low: i64, high: i64, from: i64, to: i64| {
            i128::from((high.min(to) - low.max(from)).max(0))
        };
        let high = y[w.line];
        own(x[w.from], x[w.to], strip.x0, strip.x1)
            * own(high - self.problem.aisle, high, strip.y0, strip.y1)
    }
}

/// The low corners of a walker that goes straight from one to another.
fn between(a: (i64, i64), b: (i64, i64)) -> Rect {
    Rect {
        x0: a.0.min(b.0),
        y0: a.1.min(b.1),
        x1: a.0.max(b.0),
        y1: a.1.max(b.1),
    }
}
