//! The sweep: row by row over the floor, keeping every state that no other makes needless. With a cap on the states kept
//! it is a beam, which only finds; without one it is exact.

use hashbrown::HashTable;

use super::frontier::{Shape, Step, View, beats, first, is_complete};
use super::grid::Grid;
use super::problem::Put;

/// No trail.
const NONE: u32 = u32::MAX;

/// The states at one line.
#[derive(Debug, Default)]
struct Layer {
    keys: Vec<u8>,
    values: Vec<u32>,
    trails: Vec<u32>,
}

/// One place that was chosen, and what was chosen before it.
#[derive(Clone, Copy, Debug)]
struct Node {
    before: u32,
    row: u16,
    col: u8,
    number: u8,
}

/// What a sweep found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    /// The fullest arrangement; `None` where there is none.
    pub best: Option<(u32, Vec<Put>)>,
    /// States kept, over all lines, and at most at one.
    pub kept: u64,
    pub peak: usize,
    pub tried: u64,
}

/// The candidates of a line: each key once, with its greatest value.
#[derive(Default)]
struct Candidates {
    keys: Vec<u8>,
    values: Vec<u32>,
    parents: Vec<u32>,
    picks: Vec<(u32, u8)>,
    pool: Vec<(u8, u8)>,
    table: HashTable<u32>,
}

fn hash(key: &[u8]) -> u64 {
    let mut h = 0xcbf2_9ce4_8422_2325_u64;
    for chunk in key.chunks(8) {
        let mut word = [0; 8];
        word[..chunk.len()].copy_from_slice(chunk);
        h = (h ^ u64::from_le_bytes(word)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        h ^= h >> 29;
    }
    h
}

impl Candidates {
    fn add(&mut self, size: usize, key: &[u8], value: u32, parent: u32, picks: &[(u8, u8)]) {
        let h = hash(key);
        let keys = &self.keys;
        let at = |i: u32| &keys[i as usize * size..(i as usize + 1) * size];
        let found = self.table.find(h, |i| at(*i) == key).copied();
        let slot = match found {
            Some(i) => {
                let i = i as usize;
                if self.values[i] >= value {
                    return;
                }
                i
            }
            None => {
                let i = u32::try_from(self.values.len()).unwrap_or(NONE);
                self.keys.extend_from_slice(key);
                self.values.push(0);
                self.parents.push(0);
                self.picks.push((0, 0));
                let keys = &self.keys;
                self.table.insert_unique(h, i, |i| {
                    hash(&keys[*i as usize * size..(*i as usize + 1) * size])
                });
                i as usize
            }
        };
        self.values[slot] = value;
        self.parents[slot] = parent;
        self.picks[slot] = (u32::try_from(self.pool.len()).unwrap_or(NONE), u8::try_from(picks.len()).unwrap_or(0));
        self.pool.extend_from_slice(picks);
    }
}

/// Sweeps the grid.
pub(super) fn sweep(grid: &Grid, verbose: bool) -> Found {
    let shape = Shape { cols: grid.cols() };
    let size = shape.size();
    let mut layer = Layer {
        keys: first(grid),
        values: vec![0],
        trails: vec![NONE],
    };
    let mut nodes: Vec<Node> = Vec::new();
    let mut found = Found::default();
    for row in 0..grid.rows() {
        let mut candidates = Candidates::default();
        let mut step = Step::new(grid, row);
        for i in 0..layer.values.len() {
            let key = &layer.keys[i * size..(i + 1) * size];
            let value = layer.values[i];
            let parent = i as u32;
            step.each(key, &mut |key, gain, picks| {
                found.tried += 1;
                candidates.add(size, key, value + gain, parent, picks);
            });
        }
        let keep = undominated(grid, shape, &candidates);
        let mut next = Layer::default();
        for i in keep {
            let i = i as usize;
            next.keys.extend_from_slice(&candidates.keys[i * size..(i + 1) * size]);
            next.values.push(candidates.values[i]);
            let mut trail = layer.trails[candidates.parents[i] as usize];
            let (at, count) = candidates.picks[i];
            for (col, number) in &candidates.pool[at as usize..at as usize + count as usize] {
                nodes.push(Node { before: trail, row: row as u16, col: *col, number: *number });
                trail = nodes.len() as u32 - 1;
            }
            next.trails.push(trail);
        }
        if verbose {
            eprintln!("row {row}: {} candidates of {}, {} kept", candidates.values.len(), found.tried, next.values.len());
        }
        layer = next;
        found.kept += layer.values.len() as u64;
        found.peak = found.peak.max(layer.values.len());
    }
    let best = (0..layer.values.len())
        .filter(|i| is_complete(grid, &layer.keys[i * size..(i + 1) * size]))
        .max_by_key(|i| (layer.values[*i], std::cmp::Reverse(*i)));
    found.best = best.map(|i| (layer.values[i], puts(grid, &nodes, layer.trails[i])));
    found
}

fn puts(grid: &Grid, nodes: &[Node], trail: u32) -> Vec<Put> {
    let mut puts = Vec::new();
    let mut at = trail;
    while let Some(node) = nodes.get(at as usize) {
        let row = usize::from(node.row);
        let place = &grid.places[row][usize::from(node.col)][usize::from(node.number)];
        puts.push(grid.put(row, place));
        at = node.before;
    }
    puts.reverse();
    puts
}

/// The candidates that no other makes needless, the fullest first.
fn undominated(grid: &Grid, shape: Shape, candidates: &Candidates) -> Vec<u32> {
    let size = shape.size();
    let n = shape.cols;
    let key = |i: u32| &candidates.keys[i as usize * size..(i as usize + 1) * size];
    let mut order: Vec<(u32, u32, u32)> = (0..candidates.values.len() as u32)
        .map(|i| {
            let sum: u32 = key(i)[..3 * n].iter().map(|b| u32::from(*b)).sum();
            (u32::MAX - candidates.values[i as usize], sum, i)
        })
        .collect();
    order.sort_unstable();
    let mut kept = Vec::new();
    let mut groups: Vec<(u64, Vec<(u128, u32)>)> = Vec::new();
    let mut index: std::collections::BTreeMap<u64, usize> = std::collections::BTreeMap::new();
    for (_, _, i) in order {
        let k = key(i);
        let view = View::of(shape, k);
        let mask = coarse(view);
        let sig = fine(view);
        let beaten = groups.iter().any(|(m, members)| {
            m & !mask == 0
                && members.iter().any(|(s, j)| {
                    s & !sig == 0 && beats(grid, View::of(shape, key(*j)), view)
                })
        });
        if !beaten {
            kept.push(i);
            let g = *index.entry(mask).or_insert_with(|| {
                groups.push((mask, Vec::new()));
                groups.len() - 1
            });
            groups[g].1.push((sig, i));
        }
    }
    kept
}

fn coarse(view: View<'_>) -> u64 {
    view.block
        .iter()
        .enumerate()
        .fold(0, |m, (c, b)| m | u64::from(*b > 0) << (c % 64))
}

fn fine(view: View<'_>) -> u128 {
    let n = view.block.len();
    let mut bit = 0;
    let mut sig = 0_u128;
    for level in 0..6 {
        for c in 0..n {
            let set = match level {
                0 => view.wait[c] > 0,
                1 => view.body[c] > 0,
                2 => view.wait[c] > 2,
                3 => view.block[c] > 3,
                4 => view.wait[c] > 1,
                _ => view.body[c] > 1,
            };
            if bit < 128 {
                sig |= u128::from(set) << bit;
                bit += 1;
            }
        }
    }
    sig
}
