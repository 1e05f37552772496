//! The places that are free of a set of grown shapes, cut into upright cells: within a slab no edge bends or crosses
//! another, so each cell is a trapezoid between two edges, and cells of neighbouring slabs are joined where they share a
//! stretch of the line between them. Exact but for rounding; knows nothing of what is free for whom.
//!
//! A bend in one corner of the floor would cut everything above and below it. So the floor is first cut into level bands,
//! each with slabs of its own, and cells on both sides of a border are joined in the same way.
//!
//! Stops may be put on the floor one after another. A cell knows the first stop that takes it, so one cutting answers for
//! every number of stops.

use std::collections::BinaryHeap;

use super::grown::Grown;
use super::{Convex, Point};

/// Slabs thinner than this, in millimetres, are passed over.
const SLAB_LEAST_MM: f64 = 1e-9;

/// The first stop that takes what no stop takes.
const NEVER: usize = usize::MAX;

/// A trapezoid of free places. Edges are given at the left and the right end of its slab.
#[derive(Clone, Copy, Debug)]
struct Cell {
    low: (f64, f64),
    high: (f64, f64),
    /// The first of the stops that takes it.
    stop: usize,
}

/// What a shape takes of a slab.
#[derive(Clone, Copy, Debug)]
struct Taken {
    low: (f64, f64),
    high: (f64, f64),
    /// Its number where the shape is a stop.
    stop: Option<usize>,
}

#[derive(Clone, Debug)]
struct Slab {
    from: f64,
    to: f64,
    /// Its cells from the lowest on: a range of all cells.
    cells: std::ops::Range<usize>,
}

/// A level band of the floor. The lowest and the highest are open to the outside, where nothing is counted as free.
#[derive(Clone, Copy, Debug)]
struct Reach {
    low: Option<f64>,
    high: Option<f64>,
}

impl Reach {
    /// The band's borders as edges across a slab.
    fn edges(self) -> impl Iterator<Item = (f64, f64)> {
        self.low.into_iter().chain(self.high).map(|y| (y, y))
    }

    fn meets(self, (low, high): (f64, f64)) -> bool {
        self.low.is_none_or(|y| high > y) && self.high.is_none_or(|y| low < y)
    }
}

/// The slabs of a band.
#[derive(Clone, Debug)]
struct Band {
    reach: Reach,
    slabs: Vec<Slab>,
}

/// A shape in the slab that is being cut.
#[derive(Clone, Copy, Debug)]
struct Standing<'a> {
    from: f64,
    to: f64,
    shape: &'a Grown,
    level: bool,
    /// What it takes of the slab.
    taken: Taken,
}

impl<'a> Standing<'a> {
    fn new(shape: &'a Grown, stop: Option<usize>) -> Self {
        let (from, to) = shape.ends();
        let level = shape.level();
        let (low, high) = level.unwrap_or_default();
        Self {
            from,
            to,
            shape,
            level: level.is_some(),
            taken: Taken {
                low: (low, low),
                high: (high, high),
                stop,
            },
        }
    }

    fn move_to(&mut self, from: f64, to: f64) {
        if !self.level {
            let ((l0, h0), (l1, h1)) = (self.shape.at(from), self.shape.at(to));
            self.taken.low = (l0, l1);
            self.taken.high = (h0, h1);
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
    /// From the lowest on.
    bands: Vec<Band>,
    cells: Vec<Cell>,
    /// For every cell the number of the piece it belongs to, which is that of its first cell. A cell that a stop takes is a
    /// piece by itself.
    pieces: Vec<usize>,
    /// The cells next to each other of which at least one is taken by a stop.
    stopped: Vec<(usize, usize)>,
}

impl FreeCells {
    /// The places between the shapes. What lies below or above all of them, or beside them, is left out.
    pub(super) fn between(shapes: &[Grown], stops: &[Grown]) -> Self {
        let mut free = Self::default();
        let heights: Vec<(f64, f64)> = shapes.iter().map(Grown::heights).collect();
        let shapes = shapes.iter().map(|shape| Standing::new(shape, None));
        let numbered = stops.iter().enumerate();
        let stops = numbered.map(|(k, stop)| (Standing::new(stop, Some(k)), stop.heights()));
        let mut coming: Vec<_> = shapes.zip(heights.iter().copied()).chain(stops).collect();
        coming.sort_by(|(a, _), (b, _)| a.from.total_cmp(&b.from));
        for reach in reaches(&heights) {
            let here = coming.iter().filter(|(_, heights)| reach.meets(*heights));
            free.add_band(reach, here.map(|(standing, _)| *standing).collect());
        }
        free.number_pieces();
        free
    }

    /// Adds a band from what stands in it, from left to right.
    fn add_band(&mut self, reach: Reach, coming: Vec<Standing<'_>>) {
        self.bands.push(Band {
            reach,
            slabs: Vec::new(),
        });
        let mut bends: Vec<f64> = coming.iter().flat_map(|s| s.shape.bends()).collect();
        in_order(&mut bends);
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
            self.add_between_bends(from, to, reach, &mut here);
        }
        self.join_bands();
    }

    /// Adds the slabs between two bends, where all edges are straight.
    fn add_between_bends(&mut self, from: f64, to: f64, reach: Reach, here: &mut [Standing<'_>]) {
        for standing in &mut *here {
            standing.move_to(from, to);
        }
        // They stay nearly in order from one slab to the next, which makes the sorting quick.
        here.sort_by(|a, b| sum(a.taken.low).total_cmp(&sum(b.taken.low)));
        if here.iter().all(|s| s.level) {
            self.add_slab(from, to, reach, here.iter().map(|s| s.taken));
            return;
        }
        let edges: Vec<Taken> = here.iter().map(|s| s.taken).collect();
        let mut shares = crossings(&edges, reach);
        if shares.is_empty() {
            self.add_slab(from, to, reach, edges.into_iter());
            return;
        }
        shares.extend([0.0, 1.0]);
        shares.sort_by(f64::total_cmp);
        let mut cut = edges.clone();
        for pair in shares.windows(2) {
            let (s, t) = (pair[0], pair[1]);
            if (t - s) * (to - from) > SLAB_LEAST_MM {
                let part = |(a, b): (f64, f64)| (a + (b - a) * s, a + (b - a) * t);
                for (cut, edge) in cut.iter_mut().zip(&edges) {
                    *cut = Taken {
                        low: part(edge.low),
                        high: part(edge.high),
                        ..*edge
                    };
                }
                cut.sort_by(|a, b| sum(a.low).total_cmp(&sum(b.low)));
                let at = |share: f64| from + (to - from) * share;
                self.add_slab(at(s), at(t), reach, cut.iter().copied());
            }
        }
    }

    /// Adds a slab in which no edges cross, from what is taken in it from the lowest on, and joins its cells to those of the
    /// slab before.
    fn add_slab(
        &mut self,
        from: f64,
        to: f64,
        reach: Reach,
        taken: impl Iterator<Item = Taken> + Clone,
    ) {
        let first = self.cells.len();
        let mut top = reach.low.map(|y| (y, y));
        let ceiling = reach.high.map(|y| (y, y));
        let inside = |low: (f64, f64)| ceiling.is_none_or(|c| sum(low) < sum(c));
        let stops: Vec<Taken> = taken.clone().filter(|t| t.stop.is_some()).collect();
        let solid = taken.filter(|t| t.stop.is_none());
        for shape in solid.take_while(|shape| inside(shape.low)) {
            self.add_cells(top, shape.low, &stops);
            top = Some(top.map_or(shape.high, |top| {
                if sum(top) < sum(shape.high) {
                    shape.high
                } else {
                    top
                }
            }));
        }
        if let Some(ceiling) = ceiling {
            self.add_cells(top, ceiling, &stops);
        }
        let cells = first..self.cells.len();
        let slabs = self.bands.last().map_or(&[][..], |band| &band.slabs);
        let before = slabs.last().map_or(0..0, |s| s.cells.clone());
        self.join(before, cells.clone());
        if let Some(band) = self.bands.last_mut() {
            band.slabs.push(Slab { from, to, cells });
        }
    }

    /// Adds what is free between two edges, cut where stops begin and end.
    fn add_cells(&mut self, low: Option<(f64, f64)>, high: (f64, f64), stops: &[Taken]) {
        let Some(low) = low.filter(|low| sum(*low) < sum(high)) else {
            return;
        };
        let inside = |edge: &(f64, f64)| sum(low) < sum(*edge) && sum(*edge) < sum(high);
        let mut edges: Vec<(f64, f64)> = stops.iter().flat_map(|s| [s.low, s.high]).collect();
        edges.retain(inside);
        edges.sort_by(|a, b| sum(*a).total_cmp(&sum(*b)));
        edges.dedup_by(|a, b| sum(*a) <= sum(*b));
        edges.push(high);
        let mut low = low;
        for (nth, high) in edges.into_iter().enumerate() {
            let middle = (sum(low) + sum(high)) * 0.5;
            let over = |s: &&Taken| sum(s.low) < middle && middle < sum(s.high);
            let stop = stops.iter().filter(over).filter_map(|s| s.stop).min();
            let own = self.cells.len();
            self.pieces.push(own);
            self.cells.push(Cell {
                low,
                high,
                stop: stop.unwrap_or(NEVER),
            });
            if nth > 0 {
                self.unite(own - 1, own);
            }
            low = high;
        }
    }

    /// Joins the cells of the last two bands that share a stretch of the border between them.
    fn join_bands(&mut self) {
        let [.., below, above] = &self.bands[..] else {
            return;
        };
        let Some(border) = above.reach.low else {
            return;
        };
        let lies_there =
            |(a, b): (f64, f64)| a.total_cmp(&border).is_eq() && b.total_cmp(&a).is_eq();
        // Only the highest cell of a slab can touch the border above, only the lowest the one below.
        let under: Vec<(f64, f64, usize)> = below
            .slabs
            .iter()
            .filter_map(|s| Some((s.from, s.to, s.cells.clone().next_back()?)))
            .filter(|(.., k)| lies_there(self.cells[*k].high))
            .collect();
        let over: Vec<(f64, f64, usize)> = above
            .slabs
            .iter()
            .filter_map(|s| Some((s.from, s.to, s.cells.clone().next()?)))
            .filter(|(.., k)| lies_there(self.cells[*k].low))
            .collect();
        let (mut a, mut b) = (0, 0);
        while let (Some(ours), Some(theirs)) = (under.get(a), over.get(b)) {
            if ours.1.min(theirs.1) > ours.0.max(theirs.0) {
                self.unite(ours.2, theirs.2);
            }
            if ours.1 < theirs.1 {
                a += 1;
            } else {
                b += 1;
            }
        }
    }

    /// Joins the cells of two neighbouring slabs that share a stretch of the line between them.
    fn join(&mut self, left: std::ops::Range<usize>, right: std::ops::Range<usize>) {
        let (mut a, mut b) = (left.start, right.start);
        while a < left.end && b < right.end {
            let (ours, theirs) = (self.cells[a], self.cells[b]);
            let shared = ours.high.1.min(theirs.high.0) - ours.low.1.max(theirs.low.0);
            if shared > 0.0 {
                self.unite(a, b);
            }
            if ours.high.1 < theirs.high.0 {
                a += 1;
            } else {
                b += 1;
            }
        }
    }

    fn unite(&mut self, a: usize, b: usize) {
        if self.cells[a].stop != NEVER || self.cells[b].stop != NEVER {
            self.stopped.push((a, b));
            return;
        }
        let (p, q) = (self.root(a), self.root(b));
        self.pieces[p.max(q)] = p.min(q);
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

    /// For every region, how many stops may be put before it cannot be reached from any of the pieces; `None` where it is
    /// reached past them all, or never.
    pub(super) fn cut_off_by(&self, pieces: &[usize], regions: &[Convex]) -> Vec<Option<usize>> {
        let last = self.last_stops(pieces);
        let reached = |region: &Convex| {
            let near = self.cells_near(region);
            let free = near.filter(|(slab, k)| self.part(slab, *k, region).is_some());
            free.filter_map(|(_, k)| last[self.pieces[k]]).max()
        };
        let cut_off = |stop: &usize| *stop != NEVER;
        regions.iter().map(|r| reached(r).filter(cut_off)).collect()
    }

    /// For every piece, by its number, the last stop that leaves it joined to any of those given: the way to it whose first
    /// stop comes last.
    fn last_stops(&self, from: &[usize]) -> Vec<Option<usize>> {
        let mut beside = vec![Vec::new(); self.cells.len()];
        for (a, b) in &self.stopped {
            let (a, b) = (self.pieces[*a], self.pieces[*b]);
            beside[a].push(b);
            beside[b].push(a);
        }
        let mut last = vec![None; self.cells.len()];
        let mut waiting: BinaryHeap<(usize, usize)> =
            from.iter().map(|k| (self.cells[*k].stop, *k)).collect();
        while let Some((stop, piece)) = waiting.pop() {
            if last[piece].is_some() {
                continue;
            }
            last[piece] = Some(stop);
            let fresh = beside[piece].iter().filter(|k| last[**k].is_none());
            waiting.extend(fresh.map(|k| (stop.min(self.cells[*k].stop), *k)));
        }
        last
    }

    fn cells_near<'a>(
        &'a self,
        region: &'a Convex,
    ) -> impl Iterator<Item = (&'a Slab, usize)> + 'a {
        let near = *region.bounds();
        self.bands
            .iter()
            .filter(move |band| band.reach.meets((near.low.y, near.high.y)))
            .flat_map(move |band| {
                let first = band.slabs.partition_point(|s| s.to < near.low.x);
                let ahead = band.slabs.iter().skip(first);
                ahead.take_while(move |s| s.from <= near.high.x)
            })
            .flat_map(|slab| slab.cells.clone().map(move |k| (slab, k)))
            .filter(move |(_, k)| {
                let cell = self.cells[*k];
                cell.low.0.min(cell.low.1) <= near.high.y
                    && near.low.y <= cell.high.0.max(cell.high.1)
            })
    }

    fn part(&self, slab: &Slab, k: usize, region: &Convex) -> Option<Convex> {
        let Cell { low, high, .. } = self.cells[k];
        let run = slab.to - slab.from;
        let up = |(a, b): (f64, f64)| Point::new(run, b - a).perp();
        region
            .cut(Point::new(slab.from, 0.0), Point::X)?
            .cut(Point::new(slab.to, 0.0), -Point::X)?
            .cut(Point::new(slab.from, low.0), up(low))?
            .cut(Point::new(slab.from, high.0), -up(high))
    }
}

/// The bands of a floor with shapes of these heights: about as deep as most shapes, so that each stands in few of them.
fn reaches(heights: &[(f64, f64)]) -> Vec<Reach> {
    const BANDS_MOST: f64 = 200.0;
    let low = heights.iter().map(|h| h.0).fold(f64::INFINITY, f64::min);
    let high = heights.iter().map(|h| h.1).fold(low, f64::max);
    let mut sizes: Vec<f64> = heights.iter().map(|(low, high)| high - low).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = sizes.get(sizes.len() / 2).copied().unwrap_or(0.0);
    let count = ((high - low) / (2.0 * usual)).floor().min(BANDS_MOST);
    let mut borders = Vec::new();
    let mut k = 1.0;
    while k < count {
        borders.push(low + (high - low) * (k / count));
        k += 1.0;
    }
    let lows = std::iter::once(None).chain(borders.iter().copied().map(Some));
    let highs = borders.iter().copied().map(Some).chain([None]);
    lows.zip(highs)
        .map(|(low, high)| Reach { low, high })
        .collect()
}

/// The shares of the way from left to right at which two edges cross, or one a border of the band.
fn crossings(edges: &[Taken], reach: Reach) -> Vec<f64> {
    let own = edges.iter().flat_map(|e| [e.low, e.high]);
    let lines: Vec<(f64, f64)> = own.chain(reach.edges()).collect();
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
