//! The beam: the sweep with only the most promising states kept, and the places of a row chosen column by column, so that
//! the widest floor gets a good arrangement in moments. It finds and proves nothing.

use super::frontier::{Shape, Step, View, first, is_complete};
use super::grid::{Grid, Place};
use super::problem::Put;
use super::states::{Candidates, Layer, Node, puts};
use super::sweep::{GaveUp, Reins};

/// What makes a state look promising.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taste {
    /// Share of the usual density that floor counts for in which nothing may start any more.
    pub blocked: f64,
    /// The same for floor that is not yet free as deep as the aisle.
    pub shallow: f64,
    /// Printers that a stretch not yet joined to the way in counts for.
    pub apart: f64,
}

/// Tastes that did well on different rooms, the best all-rounder first.
pub(super) const TASTES: [Taste; 12] = [
    Taste {
        blocked: 0.8,
        shallow: 0.2,
        apart: 1.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.6,
        apart: 6.0,
    },
    Taste {
        blocked: 0.9,
        shallow: 0.2,
        apart: 3.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.2,
        apart: 1.0,
    },
    Taste {
        blocked: 0.8,
        shallow: 0.0,
        apart: 6.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.4,
        apart: 6.0,
    },
    Taste {
        blocked: 0.8,
        shallow: 0.2,
        apart: 3.0,
    },
    Taste {
        blocked: 0.9,
        shallow: 0.0,
        apart: 1.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.2,
        apart: 6.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.0,
        apart: 1.0,
    },
    Taste {
        blocked: 1.0,
        shallow: 0.2,
        apart: 1.0,
    },
    Taste {
        blocked: 0.6,
        shallow: 0.4,
        apart: 10.0,
    },
];

/// A row that is being chosen.
#[derive(Clone)]
struct Part {
    parent: u32,
    picks: Vec<(u8, u8)>,
    score: f64,
}

/// What a beam found, and the steps it took.
pub(super) struct Caught {
    pub best: Option<(u32, Vec<Put>)>,
    pub steps: u64,
    pub gave_up: Option<GaveUp>,
}

/// Sweeps with at most `width` states kept at a line.
pub(super) fn beam(
    grid: &Grid,
    aisle: i64,
    taste: Taste,
    width: usize,
    reins: Reins<'_>,
) -> Caught {
    let size = Shape { cols: grid.cols() }.size();
    let scale = Scale::new(grid, aisle, taste);
    let mut layer = Layer::of_one(first(grid));
    let mut nodes: Vec<Node> = Vec::new();
    let mut caught = Caught {
        best: None,
        steps: 0,
        gave_up: None,
    };
    for row in 0..grid.rows() {
        let candidates = widen(grid, row, &layer, &scale, width, &mut caught.steps);
        if caught.steps > reins.steps {
            caught.gave_up = Some(GaveUp::Steps);
            return caught;
        }
        if (reins.stop)() {
            caught.gave_up = Some(GaveUp::Told);
            return caught;
        }
        let kept = promising(grid, row + 1, &candidates, &scale, width);
        layer = candidates.layer(&kept, &layer, row, &mut nodes);
    }
    let best = layer
        .iter(size)
        .filter(|(_, key, _)| is_complete(grid, key))
        .max_by_key(|(i, _, value)| (*value, std::cmp::Reverse(*i)));
    caught.best = best.map(|(i, _, value)| (value, puts(grid, &nodes, layer.trail(i))));
    caught
}

/// How states are weighed.
struct Scale<'a> {
    grid: &'a Grid,
    aisle: i64,
    taste: Taste,
    /// Printers a square unit usually holds.
    density: f64,
    /// What the ground of each thing that must be placed would hold: it is lost anyway, and counts when the thing stands.
    musts: Vec<f64>,
}

/// The ground that a place takes: its body, and half of each strip, which another may share.
fn ground(grid: &Grid, aisle: i64, row: usize, p: &Place) -> f64 {
    let depth = grid.ys[row + usize::from(p.rows)] - grid.ys[row];
    let width = grid.xs[p.end] - grid.xs[p.col];
    let sides = usize::from(p.left.is_some()) + usize::from(p.right.is_some());
    let ends = usize::from(p.below) + usize::from(p.above > 0);
    let half = aisle as f64 * 0.5;
    (width as f64 + half * sides as f64) * (depth as f64 + half * ends as f64)
}

impl<'a> Scale<'a> {
    fn new(grid: &'a Grid, aisle: i64, taste: Taste) -> Self {
        let places = || {
            let rows = grid.places.iter().enumerate();
            rows.flat_map(|(row, cells)| cells.iter().flatten().map(move |p| (row, p)))
        };
        let density = places()
            .map(|(row, p)| f64::from(p.value) / ground(grid, aisle, row, p))
            .fold(0.0, f64::max);
        let mut musts = vec![0.0_f64; usize::from(grid.musts)];
        for (row, p) in places() {
            if let Some(most) = usize::from(p.must)
                .checked_sub(1)
                .and_then(|k| musts.get_mut(k))
            {
                *most = most.max(density * ground(grid, aisle, row, p));
            }
        }
        Self {
            grid,
            aisle,
            taste,
            density,
            musts,
        }
    }

    /// Printers that a place counts for.
    fn worth(&self, place: &Place) -> f64 {
        let must = usize::from(place.must).checked_sub(1);
        let ground = must.and_then(|k| self.musts.get(k)).copied();
        f64::from(place.value) + ground.unwrap_or(0.0)
    }

    /// Length of so many rows from a line on.
    fn length(&self, line: usize, rows: u8) -> i64 {
        let ys = &self.grid.ys;
        let last = ys.len() - 1;
        ys[(line + usize::from(rows)).min(last)] - ys[line]
    }

    fn floor(&self, line: usize, rows: &[u8], most: i64) -> f64 {
        let xs = &self.grid.xs;
        rows.iter()
            .enumerate()
            .filter(|(c, rows)| **rows > 0 && !self.grid.beyond[*c])
            .map(|(c, rows)| {
                ((xs[c + 1] - xs[c]) as f64) * (self.length(line, *rows).min(most) as f64)
            })
            .sum()
    }

    fn blocked(&self, line: usize, rows: &[u8]) -> f64 {
        self.density * self.taste.blocked * self.floor(line, rows, i64::MAX)
    }

    fn score(&self, line: usize, key: &[u8], value: u32) -> f64 {
        let view = View::of(
            Shape {
                cols: self.grid.cols(),
            },
            key,
        );
        let shallow = self.density * self.taste.shallow * self.floor(line, view.wait, self.aisle);
        let stand = |k: usize| view.placed >> k & 1 == 1;
        let musts = self.musts.iter().enumerate();
        let placed: f64 = musts
            .filter(|(k, _)| stand(*k))
            .map(|(_, worth)| worth)
            .sum();
        f64::from(value) + placed
            - self.blocked(line, view.block)
            - shallow
            - self.taste.apart * f64::from(view.claims.count_ones())
    }
}

/// The candidates after a row: its places are chosen from left to right, with the best `width` rows kept at each column.
fn widen(
    grid: &Grid,
    row: usize,
    layer: &Layer,
    scale: &Scale<'_>,
    width: usize,
    steps: &mut u64,
) -> Candidates {
    let size = Shape { cols: grid.cols() }.size();
    let states: Vec<(&[u8], u32)> = layer
        .iter(size)
        .map(|(_, key, value)| (key, value))
        .collect();
    let mut candidates = Candidates::new(size);
    let mut step = Step::new(grid, row);
    let mut columns: Vec<Vec<Part>> = vec![Vec::new(); grid.cols() + 1];
    for (parent, (key, value)) in (0..).zip(&states) {
        let part = Part {
            parent,
            picks: Vec::new(),
            score: scale.score(row, key, *value),
        };
        step.begin(key);
        let at = step.open_from(0).unwrap_or(grid.cols());
        columns[at].push(part);
    }
    for col in 0..=grid.cols() {
        let mut here = std::mem::take(&mut columns[col]);
        here.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.parent.cmp(&b.parent)));
        // Those that chose nothing stay whatever their score: without them a beam runs into the far wall and dies.
        let stays = |(rank, part): (usize, Part)| {
            (rank < width * 2 || part.picks.is_empty()).then_some(part)
        };
        for part in here.into_iter().enumerate().filter_map(stays) {
            let (key, value) = states[part.parent as usize];
            let old = step.begin(key);
            for pick in &part.picks {
                step.choose_one(old, *pick);
            }
            *steps += 1;
            if col == grid.cols() {
                if let Some((next, gain)) = step.end(old) {
                    candidates.add(next, value + gain, part.parent, &part.picks);
                }
                continue;
            }
            let before = scale.blocked(row, step.blocked());
            let without = step.open_from(col + 1).unwrap_or(grid.cols());
            for (number, place) in step.options(old, col) {
                let pick = (u8::try_from(col).unwrap_or(u8::MAX), number);
                let mut with = part.clone();
                step.begin(key);
                for p in &part.picks {
                    step.choose_one(old, *p);
                }
                step.choose_one(old, pick);
                with.picks.push(pick);
                with.score += scale.worth(place) - scale.blocked(row, step.blocked()) + before;
                let at = step.open_from(place.end).unwrap_or(grid.cols());
                columns[at].push(with);
            }
            columns[without].push(part);
        }
    }
    candidates
}

/// The most promising candidates: a quarter of the beam is kept for states without anything open, a quarter for those that
/// placed nothing, so that patience is not forgotten.
fn promising(
    grid: &Grid,
    line: usize,
    candidates: &Candidates,
    scale: &Scale<'_>,
    width: usize,
) -> Vec<u32> {
    let shape = Shape { cols: grid.cols() };
    let mut order: Vec<(f64, u32)> = (0..candidates.len())
        .map(|i| (scale.score(line, candidates.key(i), candidates.value(i)), i))
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let settled = |i: u32| {
        let view = View::of(shape, candidates.key(i));
        view.claims == 0 && view.owed.iter().all(|rows| *rows == 0)
    };
    let quota = (width / 4).max(1);
    let mut kept: Vec<u32> = order.iter().take(width).map(|(_, i)| *i).collect();
    let rest = || order.iter().skip(width).map(|(_, i)| *i);
    kept.extend(rest().filter(|i| settled(*i)).take(quota));
    let patient: Vec<u32> = rest()
        .filter(|i| !settled(*i) && candidates.placed_nothing(*i))
        .take(quota)
        .collect();
    kept.extend(patient);
    kept
}
