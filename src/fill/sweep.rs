//! The sweep: row by row over the floor, keeping every state that no other makes needless. It is exact: what it finds is
//! the fullest arrangement on its grid. `beam` finds good ones sooner.

use std::collections::BTreeMap;

use super::frontier::{Shape, Step, View, beats, first, is_complete};
use super::grid::Grid;
use super::problem::Put;
use super::states::{Candidates, Layer, Node, puts};

/// How far a sweep may go.
#[derive(Clone, Copy)]
pub(super) struct Reins<'a> {
    /// Most steps: states tried.
    pub steps: u64,
    /// Most bytes of states and trails.
    pub bytes: usize,
    /// Asked every few thousand steps: true to give up.
    pub stop: &'a (dyn Fn() -> bool + Sync),
}

/// Why a sweep gave up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum GaveUp {
    /// Its steps were used up.
    Steps,
    /// Its memory was used up.
    Memory,
    /// It was told to.
    Told,
    /// What it found cannot be reached after all.
    Unsound,
}

/// What a sweep found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    /// The fullest arrangement with its worth; `None` where there is none (or none worth more than asked).
    pub best: Option<(u32, Vec<Put>)>,
    /// Set where the sweep did not come to its end: then nothing is proved.
    pub gave_up: Option<GaveUp>,
    /// States tried.
    pub steps: u64,
    /// States kept over all lines.
    pub kept: u64,
    /// The most states kept at one line.
    pub peak: usize,
}

/// How many steps pass between two looks at the reins.
const LOOK: u64 = 4096;
/// Workers that share a line. Always as many, whatever the machine, so that the answer is the same everywhere.
const WORKERS: usize = 2;
/// Fewer states than this at a line are not worth sharing.
const SHARED_FROM: usize = 64;

/// Sweeps the grid from end to end for an arrangement worth more than `beat`: where it comes to its end without one, there is
/// none.
pub(super) fn sweep(grid: &Grid, beat: u32, reins: Reins<'_>) -> Found {
    let shape = Shape { cols: grid.cols() };
    let size = shape.size();
    let mut layer = Layer::of_one(first(grid));
    let mut nodes: Vec<Node> = Vec::new();
    let mut found = Found::default();
    for row in 0..grid.rows() {
        let used = nodes.len() * size_of::<Node>() + layer.bytes();
        let left = Reins {
            steps: reins.steps.saturating_sub(found.steps),
            bytes: reins.bytes.saturating_sub(used),
            ..reins
        };
        let (candidates, steps) =
            match after(grid, row, &layer, &Hope::new(grid, row + 1, beat), left) {
                Ok(next) => next,
                Err((why, steps)) => {
                    found.steps += steps;
                    found.gave_up = Some(why);
                    return found;
                }
            };
        found.steps += steps;
        let Some(kept) = undominated(grid, shape, &candidates, reins.stop) else {
            found.gave_up = Some(GaveUp::Told);
            return found;
        };
        layer = candidates.layer(&kept, &layer, row, &mut nodes);
        found.kept += kept.len() as u64;
        found.peak = found.peak.max(kept.len());
    }
    let best = layer
        .iter(size)
        .filter(|(_, key, value)| *value > beat && is_complete(grid, key))
        .max_by_key(|(i, _, value)| (*value, std::cmp::Reverse(*i)));
    found.best = best.map(|(i, _, value)| (value, puts(grid, &nodes, layer.trail(i))));
    found
}

/// What may still be added after a line: no more than bodies laid side by side over the floor on which any may still start.
struct Hope {
    /// Worth to beat; nothing is given up where it is 0.
    beat: f64,
    /// For every column and number of rows in which nothing may start: worth of the floor beyond.
    beyond: Vec<Vec<f64>>,
}

impl Hope {
    fn new(grid: &Grid, line: usize, beat: u32) -> Self {
        let densest = grid.densest();
        let last = grid.ys.len() - 1;
        let end = grid.ys[last];
        let beyond = if beat == 0 {
            Vec::new()
        } else {
            grid.xs
                .windows(2)
                .map(|x| {
                    (line..=last)
                        .map(|j| (x[1] - x[0]) as f64 * (end - grid.ys[j]) as f64 * densest)
                        .collect()
                })
                .collect()
        };
        Self {
            beat: f64::from(beat),
            beyond,
        }
    }

    /// True where the state may still lead to more than what is to be beaten.
    fn remains(&self, key: &[u8], value: u32) -> bool {
        let block = key.iter().skip(self.beyond.len());
        let rest: f64 = self
            .beyond
            .iter()
            .zip(block)
            .map(|(beyond, rows)| beyond.get(usize::from(*rows)).copied().unwrap_or(0.0))
            .sum();
        // A whole printer more is wanted; a millionth makes up for rounding.
        self.beyond.is_empty() || f64::from(value) + rest + 1e-6 >= self.beat + 1.0
    }
}

/// The candidates of the line after a row, and the steps they took.
fn after(
    grid: &Grid,
    row: usize,
    layer: &Layer,
    hope: &Hope,
    reins: Reins<'_>,
) -> Result<(Candidates, u64), (GaveUp, u64)> {
    let workers = if layer.len() < SHARED_FROM {
        1
    } else {
        WORKERS
    };
    let work = |first: usize| worked(grid, row, layer, (first, workers), hope, reins);
    let mut done: Vec<(Candidates, u64, Option<GaveUp>)> = Vec::new();
    if workers == 1 {
        done.push(work(0));
    } else {
        std::thread::scope(|scope| {
            let others: Vec<_> = (1..workers).map(|k| scope.spawn(move || work(k))).collect();
            done.push(work(0));
            done.extend(others.into_iter().filter_map(|o| o.join().ok()));
        });
    }
    let steps = done.iter().map(|(_, steps, _)| steps).sum();
    if let Some(why) = done.iter().find_map(|(_, _, why)| *why) {
        return Err((why, steps));
    }
    let mut parts = done.into_iter().map(|(candidates, ..)| candidates);
    let mut all = parts.next().unwrap_or_else(|| Candidates::new(1));
    for part in parts {
        all.join(&part);
    }
    Ok((all, steps))
}

/// One worker's share of a line: every so many'th state, since the emptier ones, which come last, take the most steps.
fn worked(
    grid: &Grid,
    row: usize,
    layer: &Layer,
    (first, workers): (usize, usize),
    hope: &Hope,
    reins: Reins<'_>,
) -> (Candidates, u64, Option<GaveUp>) {
    let size = Shape { cols: grid.cols() }.size();
    let mut candidates = Candidates::new(size);
    let mut step = Step::new(grid, row);
    let mut steps = 0;
    let mut gave_up = None;
    for (i, key, value) in layer.iter(size).skip(first).step_by(workers) {
        step.each(key, &mut |key, gain, picks| {
            steps += 1;
            if hope.remains(key, value + gain) {
                candidates.add(key, value + gain, i, picks);
            }
            if steps % LOOK == 0 {
                gave_up = over(reins, steps, candidates.bytes() * WORKERS);
            }
            gave_up.is_none()
        });
        if gave_up.is_some() {
            break;
        }
    }
    (candidates, steps, gave_up)
}

fn over(reins: Reins<'_>, steps: u64, bytes: usize) -> Option<GaveUp> {
    if steps > reins.steps {
        Some(GaveUp::Steps)
    } else if bytes > reins.bytes {
        Some(GaveUp::Memory)
    } else {
        (reins.stop)().then_some(GaveUp::Told)
    }
}

/// The candidates that no other makes needless, the fullest first; `None` where it was told to stop.
///
/// A candidate can only be beaten by one that holds as many printers and comes earlier in the order, since what beats it is
/// nowhere greater. Two bit patterns are asked before the states themselves: a state that beats has a subset of the bits.
fn undominated(
    grid: &Grid,
    shape: Shape,
    candidates: &Candidates,
    stop: &(dyn Fn() -> bool + Sync),
) -> Option<Vec<u32>> {
    let mut kept = Vec::new();
    let mut groups: Vec<(u64, Vec<(u128, u32)>)> = Vec::new();
    let mut index: BTreeMap<u64, usize> = BTreeMap::new();
    for (count, i) in candidates.by_worth(shape).into_iter().enumerate() {
        if count % 1024 == 0 && stop() {
            return None;
        }
        let view = View::of(shape, candidates.key(i));
        let (mask, sign) = (view.blocked(), view.sign());
        let beaten = groups.iter().any(|(m, members)| {
            m & !mask == 0
                && members.iter().any(|(s, j)| {
                    s & !sign == 0 && beats(grid, View::of(shape, candidates.key(*j)), view)
                })
        });
        if !beaten {
            kept.push(i);
            let group = *index.entry(mask).or_insert_with(|| {
                groups.push((mask, Vec::new()));
                groups.len() - 1
            });
            groups[group].1.push((sign, i));
        }
    }
    Some(kept)
}
