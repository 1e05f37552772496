//! The places that are free of a set of grown shapes, cut into upright cells: within a slab no edge bends or crosses
//! another, so each cell is a trapezoid between two edges, and cells of neighbouring slabs are joined where they share a
//! stretch of the line between them. Exact but for rounding; knows nothing of what is free for whom.

use super::grown::Grown;
use super::{Convex, Point};

/// Slabs thinner than this, in millimetres, are passed over.
const SLAB_LEAST_MM: f64 = 1e-9;

/// A trapezoid of free places. Edges are given at the left and the right end of its slab.
#[derive(Clone, Copy, Debug)]
struct Cell {
    low: (f64, f64),
    high: (f64, f64),
}

#[derive(Clone, Debug)]
struct Slab {
    from: f64,
    to: f64,
    /// Its cells from the lowest on: a range of all cells.
    cells: std::ops::Range<usize>,
}

/// A shape in the slab that is being cut.
#[derive(Clone, Copy, Debug)]
struct Standing<'a> {
    from: f64,
    to: f64,
    shape: &'a Grown,
    level: bool,
    /// What it takes of the slab.
    taken: Cell,
}

impl<'a> Standing<'a> {
    fn new(shape: &'a Grown) -> Self {
        let (from, to) = shape.ends();
        let level = shape.level();
        let (low, high) = level.unwrap_or_default();
        Self {
            from,
            to,
            shape,
            level: level.is_some(),
            taken: Cell {
                low: (low, low),
                high: (high, high),
            },
        }
    }

    fn move_to(&mut self, from: f64, to: f64) {
        if !self.level {
            let ((l0, h0), (l1, h1)) = (self.shape.at(from), self.shape.at(to));
            self.taken = Cell {
                low: (l0, l1),
                high: (h0, h1),
            };
        }
    }
}

/// Twice the height in the middle of a slab.
fn sum((a, b): (f64, f64)) -> f64 {
    a + b
}

/// The free places, cut into cells and joined to pieces.
#[derive(Clone, Debug, Default)]
pub(super) struct FreeCells {
    slabs: Vec<Slab>,
    cells: Vec<Cell>,
    /// For every cell the number of the piece it belongs to.
    pieces: Vec<usize>,
}

impl FreeCells {
    /// The places between the shapes. What lies below or above all of them, or beside them, is left out.
    pub(super) fn between(shapes: &[Grown]) -> Self {
        let mut free = Self::default();
        let mut bends: Vec<f64> = shapes.iter().flat_map(Grown::bends).collect();
        in_order(&mut bends);
        let mut coming: Vec<Standing<'_>> = shapes.iter().map(Standing::new).collect();
        coming.sort_by(|a, b| a.from.total_cmp(&b.from));
        let mut coming = coming.into_iter().peekable();
        let mut here: Vec<Standing<'_>> = Vec::new();
        for pair in bends.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let middle = (from + to) * 0.5;
            here.retain(|s| s.to > middle);
            while let Some(standing) = coming.next_if(|s| s.from < middle) {
                if standing.to > middle {
                    here.push(standing);
                }
            }
            free.add_between_bends(from, to, &mut here);
        }
        free.number_pieces();
        free
    }

    /// Adds the slabs between two bends, where all edges are straight.
    fn add_between_bends(&mut self, from: f64, to: f64, here: &mut [Standing<'_>]) {
        for standing in &mut *here {
            standing.move_to(from, to);
        }
        // They stay nearly in order from one slab to the next, which makes the sorting quick.
        here.sort_by(|a, b| sum(a.taken.low).total_cmp(&sum(b.taken.low)));
        if here.iter().all(|s| s.level) {
            self.add_slab(from, to, here.iter().map(|s| s.taken));
            return;
        }
        let edges: Vec<Cell> = here.iter().map(|s| s.taken).collect();
        let mut shares = crossings(&edges);
        shares.extend([0.0, 1.0]);
        shares.sort_by(f64::total_cmp);
        for pair in shares.windows(2) {
            let (s, t) = (pair[0], pair[1]);
            if (t - s) * (to - from) > SLAB_LEAST_MM {
                let part = |(a, b): (f64, f64)| (a + (b - a) * s, a + (b - a) * t);
                let mut cut: Vec<Cell> = edges
                    .iter()
                    .map(|e| Cell {
                        low: part(e.low),
                        high: part(e.high),
                    })
                    .collect();
                cut.sort_by(|a, b| sum(a.low).total_cmp(&sum(b.low)));
                let at = |share: f64| from + (to - from) * share;
                self.add_slab(at(s), at(t), cut.into_iter());
            }
        }
    }

    /// Adds a slab in which no edges cross, from what is taken in it from the lowest on, and joins its cells to those of the
    /// slab before.
    fn add_slab(&mut self, from: f64, to: f64, taken: impl Iterator<Item = Cell>) {
        let first = self.cells.len();
        let mut top: Option<(f64, f64)> = None;
        for shape in taken {
            if let Some(top) = top
                && sum(top) < sum(shape.low)
            {
                self.pieces.push(self.cells.len());
                self.cells.push(Cell {
                    low: top,
                    high: shape.low,
                });
            }
            top = Some(top.map_or(shape.high, |top| {
                if sum(top) < sum(shape.high) {
                    shape.high
                } else {
                    top
                }
            }));
        }
        let cells = first..self.cells.len();
        let before = self.slabs.last().map_or(0..0, |s| s.cells.clone());
        self.join(before, cells.clone());
        self.slabs.push(Slab { from, to, cells });
    }

    /// Joins the cells of two neighbouring slabs that share a stretch of the line between them.
    fn join(&mut self, left: std::ops::Range<usize>, right: std::ops::Range<usize>) {
        let (mut a, mut b) = (left.start, right.start);
        while a < left.end && b < right.end {
            let (ours, theirs) = (self.cells[a], self.cells[b]);
            let shared = ours.high.1.min(theirs.high.0) - ours.low.1.max(theirs.low.0);
            if shared > 0.0 {
                let (p, q) = (self.root(a), self.root(b));
                self.pieces[p.max(q)] = p.min(q);
            }
            if ours.high.1 < theirs.high.0 {
                a += 1;
            } else {
                b += 1;
            }
        }
    }

    fn root(&mut self, mut cell: usize) -> usize {
        while self.pieces[cell] != cell {
            self.pieces[cell] = self.pieces[self.pieces[cell]];
            cell = self.pieces[cell];
        }
        cell
    }

    fn number_pieces(&mut self) {
        for cell in 0..self.cells.len() {
            // A cell's parent never has the higher number, so it is settled already.
            self.pieces[cell] = self.pieces[self.pieces[cell]];
        }
    }

    /// The parts of a region that are free, each with the number of its piece.
    pub(super) fn parts_of<'a>(
        &'a self,
        region: &'a Convex,
    ) -> impl Iterator<Item = (usize, Convex)> + 'a {
        self.cells_near(region)
            .filter_map(|(slab, k)| Some((self.pieces[k], self.part(slab, k, region)?)))
    }

    /// True where a region holds a free place of one of the pieces.
    pub(super) fn meets(&self, region: &Convex, pieces: &[usize]) -> bool {
        self.cells_near(region).any(|(slab, k)| {
            pieces.contains(&self.pieces[k]) && self.part(slab, k, region).is_some()
        })
    }

    fn cells_near<'a>(
        &'a self,
        region: &'a Convex,
    ) -> impl Iterator<Item = (&'a Slab, usize)> + 'a {
        let near = *region.bounds();
        let first = self.slabs.partition_point(|s| s.to < near.low.x);
        self.slabs
            .iter()
            .skip(first)
            .take_while(move |s| s.from <= near.high.x)
            .flat_map(|slab| slab.cells.clone().map(move |k| (slab, k)))
            .filter(move |(_, k)| {
                let cell = self.cells[*k];
                cell.low.0.min(cell.low.1) <= near.high.y
                    && near.low.y <= cell.high.0.max(cell.high.1)
            })
    }

    fn part(&self, slab: &Slab, k: usize, region: &Convex) -> Option<Convex> {
        let Cell { low, high } = self.cells[k];
        let run = slab.to - slab.from;
        let up = |(a, b): (f64, f64)| Point::new(run, b - a).perp();
        region
            .cut(Point::new(slab.from, 0.0), Point::X)?
            .cut(Point::new(slab.to, 0.0), -Point::X)?
            .cut(Point::new(slab.from, low.0), up(low))?
            .cut(Point::new(slab.from, high.0), -up(high))
    }
}

/// The shares of the way from left to right at which two edges cross.
fn crossings(edges: &[Cell]) -> Vec<f64> {
    let lines: Vec<(f64, f64)> = edges.iter().flat_map(|e| [e.low, e.high]).collect();
    let mut shares = Vec::new();
    if lines.iter().all(|(a, b)| (a - b).abs() < SLAB_LEAST_MM) {
        return shares;
    }
    for (k, (a0, a1)) in lines.iter().enumerate() {
        for (b0, b1) in lines.iter().skip(k + 1) {
            let (d0, d1) = (a0 - b0, a1 - b1);
            if d0 * d1 < 0.0 {
                shares.push(d0 / (d0 - d1));
            }
        }
    }
    shares
}

/// Sorted, each once.
fn in_order(values: &mut Vec<f64>) {
    values.sort_by(f64::total_cmp);
    values.dedup_by(|a, b| *a - *b < SLAB_LEAST_MM);
}
