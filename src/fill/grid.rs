//! The problem on the lines of a lattice: for every row of cells the placements that may start there, and where the
//! walker may go. Everything static is decided here, once; what depends on other bodies is the sweep's.

use std::collections::BTreeMap;

use super::lattice::{Axis, Lattice};
use super::problem::{Block, Problem, Put, Rect, Shape, Turn};
use super::standing::Standing;

/// A line number that is never reached.
pub(super) const NEVER: u8 = u8::MAX;

/// One way to put one kind, from the cell where its body's low corner lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// Number of the kind.
    pub kind: usize,
    /// Its turn.
    pub turn: Turn,
    /// First column of the body.
    pub col: usize,
    /// The column after the body.
    pub end: usize,
    /// Rows of the body.
    pub rows: u8,
    /// Printers it holds.
    pub value: u32,
    /// A strip before its low side: the floor behind must be free already.
    pub below: bool,
    /// Rows of body and strip together where there is a strip above; 0 where there is none.
    pub above: u8,
    /// First column of the strip to the left, if there is one.
    pub left: Option<usize>,
    /// The column after the strip to the right, if there is one.
    pub right: Option<usize>,
    /// Which of the things that must be placed this is, counted from 1; 0 for none.
    pub must: u8,
}

/// A place of the walker: the line its high side lies on, and its columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Window {
    pub line: usize,
    pub from: usize,
    pub to: usize,
}

/// The problem on a lattice.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    /// Lines across, one more than columns.
    pub xs: Vec<i64>,
    /// Lines along, one more than rows.
    pub ys: Vec<i64>,
    /// The placements that may start in each row, by first column, the fullest first.
    pub places: Vec<Vec<Vec<Place>>>,
    /// For each row and column: true where the walker may not go for what stays there.
    pub closed: Vec<Vec<bool>>,
    /// For each column and line: the line at which a walker's place is there at the earliest when the floor is free from
    /// that line on; [`NEVER`] lines ahead where it never is. Indexed `[column][line]`, as lines ahead.
    pub free_after: Vec<Vec<u8>>,
    /// For each column: the column after a walker's place that begins there.
    pub across: Vec<Option<usize>>,
    /// Places at which the walker may come in.
    pub starts: Vec<Window>,
    /// Places of strips of what stays, which must stay joined to a start.
    pub reach: Vec<Window>,
    /// True where ground is kept on which some arrangement on the lines might have stood.
    pub keeps_ground: bool,
    /// How many things must be placed.
    pub musts: u8,
    /// True where every strip must be reached.
    pub way_out: bool,
    /// Columns beyond a cut through the floor: open ground, joined to the way in, where nothing is placed.
    pub beyond: Vec<bool>,
}

/// Where on the axis a line lies that is a given length after another.
pub(super) struct Ruler {
    pub(super) lines: Vec<i64>,
    at: BTreeMap<i64, usize>,
}

impl Ruler {
    fn of(lines: Vec<i64>) -> Self {
        let at = lines.iter().enumerate().map(|(i, v)| (*v, i)).collect();
        Self { lines, at }
    }

    pub(super) fn cells(&self) -> usize {
        self.lines.len().saturating_sub(1)
    }

    /// The line exactly `length` after line `i`.
    pub(super) fn after(&self, i: usize, length: i64) -> Option<usize> {
        self.at.get(&(self.lines.get(i)? + length)).copied()
    }

    /// The lines from one position to another.
    pub(super) fn at_or_between(&self, from: i64, to: i64) -> std::ops::Range<usize> {
        self.ceil(from)..self.ceil(to + 1)
    }

    /// The first line at or after a position.
    pub(super) fn ceil(&self, position: i64) -> usize {
        self.lines.partition_point(|v| *v < position)
    }
}

impl Grid {
    pub(super) fn new(problem: &Problem, lattice: &Lattice) -> Self {
        let x = Ruler::of(lattice.x.lines.clone());
        let y = Ruler::of(lattice.y.lines.clone());
        let (cols, rows) = (x.cells(), y.cells());
        let stays = Stays::new(problem, lattice);
        let closed: Vec<Vec<bool>> = (0..rows)
            .map(|j| {
                (0..cols)
                    .map(|i| stays.closes(&cell(&x, &y, i, j)))
                    .collect()
            })
            .collect();
        let standing = if problem.way_out {
            Standing::new(problem, lattice, (&x, &y), &closed)
        } else {
            Standing::default()
        };
        Self {
            places: places(problem, &stays, &standing.kept, (&x, &y)),
            free_after: free_after(&closed, &y, cols, problem.aisle),
            across: (0..cols).map(|i| x.after(i, problem.aisle)).collect(),
            starts: standing.starts,
            reach: standing.reach,
            keeps_ground: !standing.kept.is_empty(),
            musts: problem.kinds.iter().filter_map(|k| k.exactly).sum(),
            way_out: problem.way_out,
            beyond: vec![false; cols],
            closed,
            xs: x.lines,
            ys: y.lines,
        }
    }

    /// Number of columns.
    pub(super) fn cols(&self) -> usize {
        self.across.len()
    }

    /// Number of rows.
    pub(super) fn rows(&self) -> usize {
        self.places.len()
    }

    /// The greatest worth that a square unit of any body holds.
    pub(super) fn densest(&self) -> f64 {
        let rows = self.places.iter().enumerate();
        rows.flat_map(|(row, cells)| cells.iter().flatten().map(move |p| (row, p)))
            .map(|(row, p)| {
                let width = self.xs[p.end] - self.xs[p.col];
                let depth = self.ys[row + usize::from(p.rows)] - self.ys[row];
                f64::from(p.value) / (width as f64 * depth as f64)
            })
            .fold(0.0, f64::max)
    }

    /// The placement of the problem that a place in a row stands for.
    pub(super) fn put(&self, row: usize, place: &Place) -> Put {
        Put {
            kind: place.kind,
            turn: place.turn,
            x: self.xs[place.col],
            y: self.ys[row],
        }
    }
}

fn cell(x: &Ruler, y: &Ruler, i: usize, j: usize) -> Rect {
    Rect {
        x0: x.lines[i],
        y0: y.lines[j],
        x1: x.lines[i + 1],
        y1: y.lines[j + 1],
    }
}

/// What stays, with the questions that placements ask of it.
struct Stays<'a> {
    problem: &'a Problem,
    x: &'a Axis,
    y: &'a Axis,
    /// How far a body may count as moved down from where it would truly stand, on each axis.
    slip: (i64, i64),
}

impl<'a> Stays<'a> {
    fn new(problem: &'a Problem, lattice: &'a Lattice) -> Self {
        let slip = |axis: &Axis| {
            if axis.lowered.is_empty() {
                0
            } else {
                axis.step
            }
        };
        Self {
            problem,
            x: &lattice.x,
            y: &lattice.y,
            slip: (slip(&lattice.x), slip(&lattice.y)),
        }
    }

    /// True where the rectangle is not all floor. `gap` is how much of its low sides is only gap, across and along.
    fn outside(&self, r: &Rect, gap: (i64, i64)) -> bool {
        let p = self.problem;
        r.x0 + gap.0 < self.x.low(gap.0)
            || r.y0 + gap.1 < self.y.low(gap.1)
            || r.x1 > p.width
            || r.y1 > p.depth
            || p.floor
                .as_ref()
                .is_some_and(|floor| !floor.holds(&self.core(r).convex()))
    }

    fn meets(&self, block: &Block, r: &Rect, gap: (i64, i64)) -> bool {
        match &block.shape {
            Shape::Rect(own) => {
                r.x0 + gap.0 < self.x.low(own.x1 + gap.0)
                    && own.x0 < r.x1
                    && r.y0 + gap.1 < self.y.low(own.y1 + gap.1)
                    && own.y0 < r.y1
            }
            Shape::Convex(shape) => shape.overlaps(&self.core(r).convex()),
        }
    }

    /// The part of a rectangle that is surely taken wherever it slipped from.
    fn core(&self, r: &Rect) -> Rect {
        Rect {
            x0: (r.x0 + self.slip.0).min(r.x1),
            y0: (r.y0 + self.slip.1).min(r.y1),
            ..*r
        }
    }

    /// True where the walker may not be.
    fn closes(&self, r: &Rect) -> bool {
        let blocks = self.problem.blocks.iter();
        self.outside(r, (0, 0)) || blocks.filter(|b| b.walk).any(|b| self.meets(b, r, (0, 0)))
    }

    fn takes_body(&self, kind: usize, r: &Rect) -> bool {
        let blocks = self.problem.blocks.iter();
        !self.outside(r, (0, 0))
            && !blocks
                .filter(|b| b.bodies >> kind & 1 == 1)
                .any(|b| self.meets(b, r, (0, 0)))
    }

    /// True where the gap behind a body is free of what is fixed.
    fn takes_gap(&self, kind: usize, body: &Rect, r: &Rect) -> bool {
        let blocks = self.problem.blocks.iter();
        let low = (body.x0 - r.x0, body.y0 - r.y0);
        let gap = (low.0.max(0), low.1.max(0));
        !self.outside(r, gap)
            && !blocks
                .filter(|b| b.gap && b.bodies >> kind & 1 == 1)
                .any(|b| self.meets(b, r, gap))
    }
}

/// Every placement that what stays allows, by row and first column.
fn places(
    problem: &Problem,
    stays: &Stays<'_>,
    kept: &[Rect],
    (x, y): (&Ruler, &Ruler),
) -> Vec<Vec<Vec<Place>>> {
    let mut all: Vec<Vec<Vec<Place>>> = vec![vec![Vec::new(); x.cells()]; y.cells()];
    let mut musts = 0;
    for (number, kind) in problem.kinds.iter().enumerate() {
        let must = kind.exactly.map_or(0, |_| {
            musts += 1;
            musts
        });
        for turn in (0..4).map(Turn) {
            if turn.0 >= 2 && kind.is_symmetric() {
                continue;
            }
            for (j, row) in all.iter_mut().enumerate() {
                for (i, cell) in row.iter_mut().enumerate() {
                    let put = Put {
                        kind: number,
                        turn,
                        x: x.lines[i],
                        y: y.lines[j],
                    };
                    let body = put.body(kind);
                    if !kept.iter().any(|ground| ground.meets(&body)) {
                        cell.extend(place(problem, stays, (x, y), (i, j), put, must));
                    }
                }
            }
        }
    }
    for cell in all.iter_mut().flatten() {
        cell.sort_by_key(|p| std::cmp::Reverse(p.value));
    }
    all
}

fn place(
    problem: &Problem,
    stays: &Stays<'_>,
    (x, y): (&Ruler, &Ruler),
    (i, j): (usize, usize),
    put: Put,
    must: u8,
) -> Option<Place> {
    let kind = problem.kinds.get(put.kind)?;
    let (w, d) = kind.turned(put.turn);
    let (end, top) = (x.after(i, w)?, y.after(j, d)?);
    let faces = kind.faces(put.turn);
    let above = if faces.back {
        lines_between(j, y.after(top, problem.aisle)?)
    } else {
        0
    };
    let left = if faces.left {
        Some(x.after(i, -problem.aisle)?)
    } else {
        None
    };
    let right = if faces.right {
        Some(x.after(end, problem.aisle)?)
    } else {
        None
    };
    let fits = stays.takes_body(put.kind, &put.body(kind))
        && put
            .strips(kind, problem.aisle)
            .iter()
            .all(|s| !stays.closes(s))
        && put
            .gap(kind, problem.gap)
            .is_none_or(|g| stays.takes_gap(put.kind, &put.body(kind), &g));
    fits.then_some(Place {
        kind: put.kind,
        turn: put.turn,
        col: i,
        end,
        rows: lines_between(j, top),
        value: kind.printers,
        below: faces.front,
        above,
        left,
        right,
        must,
    })
}

fn lines_between(from: usize, to: usize) -> u8 {
    u8::try_from(to - from).unwrap_or(NEVER).min(NEVER - 1)
}

fn free_after(closed: &[Vec<bool>], y: &Ruler, cols: usize, aisle: i64) -> Vec<Vec<u8>> {
    let lines = y.lines.len();
    (0..cols)
        .map(|i| {
            let open = |j: usize| closed.get(j).and_then(|row| row.get(i)) == Some(&false);
            (0..lines)
                .map(|from| {
                    // The first stretch of open rows from here on that is deep enough.
                    let mut start = from;
                    let mut j = from;
                    loop {
                        if y.lines[j] - y.lines[start] >= aisle {
                            return lines_between(from, j);
                        }
                        if j + 1 >= lines {
                            return NEVER;
                        }
                        if !open(j) {
                            start = j + 1;
                        }
                        j += 1;
                    }
                })
                .collect()
        })
        .collect()
}

/// A whole printer where a floor is cut into parts: shares are counted in thousandths.
pub(super) const WHOLE: u32 = 1000;

impl Grid {
    /// The part of the floor between two columns, for a bound. Beyond each cut lies open ground, joined to the way in.
    /// Bodies are cut off at the cut and count by the share of their width that lies inside, in parts of [`WHOLE`].
    pub(super) fn part(&self, from: usize, to: usize, aisle: i64) -> Self {
        let cols = self.cols();
        let left: Vec<i64> = border(&self.xs[from..=to], -aisle, self.xs[from], from > 0);
        let right: Vec<i64> = border(&self.xs[from..=to], aisle, self.xs[to], to < cols);
        let shift = left.len();
        let mut xs = left.clone();
        xs.extend_from_slice(&self.xs[from..=to]);
        xs.extend(&right);
        let ruler = Ruler::of(xs.clone());
        let total = ruler.cells();
        let beyond: Vec<bool> = (0..total)
            .map(|c| c < shift || c >= shift + (to - from))
            .collect();
        let own = |c: usize| (from + c).checked_sub(shift);
        let closed = self
            .closed
            .iter()
            .map(|row| {
                (0..total)
                    .map(|c| !beyond[c] && own(c).and_then(|c| row.get(c)) == Some(&true))
                    .collect()
            })
            .collect();
        let lines = self.ys.len();
        let free_after = (0..total)
            .map(|c| match own(c).and_then(|c| self.free_after.get(c)) {
                Some(after) if !beyond[c] => after.clone(),
                _ => vec![0; lines],
            })
            .collect();
        let cut = Cut {
            grid: self,
            from,
            to,
            shift,
            total,
        };
        Self {
            places: self.places.iter().map(|row| cut.row(row)).collect(),
            closed,
            free_after,
            across: (0..total).map(|i| ruler.after(i, aisle)).collect(),
            starts: self.starts.iter().filter_map(|w| cut.window(w)).collect(),
            reach: self.reach.iter().filter_map(|w| cut.window(w)).collect(),
            keeps_ground: self.keeps_ground,
            musts: 0,
            way_out: self.way_out,
            beyond,
            xs,
            ys: self.ys.clone(),
        }
    }
}

/// The lines beyond a cut: as far as the aisle, spaced as the lines inside, so that the walker's places match.
fn border(inside: &[i64], shift: i64, cut: i64, is_cut: bool) -> Vec<i64> {
    if !is_cut {
        return Vec::new();
    }
    let beyond = |v: &i64| if shift < 0 { *v < cut } else { *v > cut };
    let mut lines: Vec<i64> = inside
        .iter()
        .map(|v| v + shift)
        .filter(beyond)
        .filter(|v| (v - cut).abs() <= shift.abs())
        .collect();
    lines.push(cut + shift);
    lines.sort_unstable();
    lines.dedup();
    lines
}

struct Cut<'a> {
    grid: &'a Grid,
    from: usize,
    to: usize,
    /// Columns beyond the left cut.
    shift: usize,
    total: usize,
}

impl Cut<'_> {
    fn row(&self, row: &[Vec<Place>]) -> Vec<Vec<Place>> {
        let mut cells = vec![Vec::new(); self.total];
        for place in row.iter().flatten() {
            if let Some(piece) = self.piece(place) {
                let cell: &mut Vec<Place> = &mut cells[piece.col];
                // The same piece of several bodies: the one that counts most.
                let twin = cell.iter_mut().find(|p| {
                    let alike = Place {
                        value: piece.value,
                        kind: piece.kind,
                        turn: piece.turn,
                        ..**p
                    };
                    alike == piece
                });
                match twin {
                    Some(p) if p.value < piece.value => *p = piece,
                    Some(_) => {}
                    None => cell.push(piece),
                }
            }
        }
        for cell in &mut cells {
            cell.sort_by_key(|p| std::cmp::Reverse(p.value));
        }
        cells
    }

    fn piece(&self, place: &Place) -> Option<Place> {
        let (from, to) = (place.col.max(self.from), place.end.min(self.to));
        if from >= to || place.must > 0 {
            return None;
        }
        let xs = &self.grid.xs;
        let whole = xs[place.end] - xs[place.col];
        let inside = (xs[to] - xs[from]) * i64::from(WHOLE);
        let value = (i64::from(place.value) * inside + whole - 1) / whole;
        // A strip that lies all beyond the cut asks nothing.
        let left = place
            .left
            .filter(|_| place.col >= self.from && from == place.col)
            .map(|_| self.left_end(place));
        let right = place
            .right
            .filter(|_| place.end <= self.to)
            .map(|_| self.right_end(place));
        Some(Place {
            col: from - self.from + self.shift,
            end: to - self.from + self.shift,
            value: u32::try_from(value).unwrap_or(u32::MAX),
            left,
            right,
            ..*place
        })
    }

    fn left_end(&self, place: &Place) -> usize {
        let col = place.col - self.from + self.shift;
        let width = place.left.map_or(0, |l| place.col - l);
        col.saturating_sub(width)
    }

    fn right_end(&self, place: &Place) -> usize {
        let end = place.end - self.from + self.shift;
        let width = place.right.map_or(0, |r| r - place.end);
        (end + width).min(self.total)
    }

    /// A window that lies inside the part.
    fn window(&self, w: &Window) -> Option<Window> {
        (self.from <= w.from && w.to <= self.to).then(|| Window {
            line: w.line,
            from: w.from - self.from + self.shift,
            to: w.to - self.from + self.shift,
        })
    }
}
