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

/// Sweeps the grid from end to end.
pub(super) fn sweep(grid: &Grid, reins: Reins<'_>) -> Found {
    let shape = Shape { cols: grid.cols() };
    let size = shape.size();
    let mut layer = Layer::of_one(first(grid));
    let mut nodes: Vec<Node> = Vec::new();
    let mut found = Found::default();
    for row in 0..grid.rows() {
        let mut candidates = Candidates::new(size);
        let mut step = Step::new(grid, row);
        for (i, key, value) in layer.iter(size) {
            step.each(key, &mut |key, gain, picks| {
                found.steps += 1;
                candidates.add(key, value + gain, i, picks);
                if found.steps % LOOK == 0 && found.gave_up.is_none() {
                    found.gave_up = over(reins, found.steps, candidates.bytes() + nodes.len() * 8);
                }
                found.gave_up.is_none()
            });
            if found.gave_up.is_some() {
                return found;
            }
        }
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
        .filter(|(_, key, _)| is_complete(grid, key))
        .max_by_key(|(i, _, value)| (*value, std::cmp::Reverse(*i)));
    found.best = best.map(|(i, _, value)| (value, puts(grid, &nodes, layer.trail(i))));
    found
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
