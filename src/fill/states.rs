//! Many states at once: the candidates of a line, each kept once with its greatest worth, and the trail of choices that
//! led to each. Knows nothing of what a state means.

use hashbrown::HashTable;

use super::frontier::Shape;
use super::grid::Grid;
use super::problem::Put;

/// No trail: nothing was chosen yet.
const NONE: u32 = u32::MAX;

/// One place that was chosen, and what was chosen before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    before: u32,
    row: u16,
    col: u8,
    number: u8,
}

/// The states kept at one line.
#[derive(Debug, Default)]
pub(super) struct Layer {
    keys: Vec<u8>,
    values: Vec<u32>,
    trails: Vec<u32>,
}

impl Layer {
    /// A line with one state, worth nothing yet.
    pub(super) fn of_one(key: Vec<u8>) -> Self {
        Self {
            keys: key,
            values: vec![0],
            trails: vec![NONE],
        }
    }

    /// Number, key and worth of every state.
    pub(super) fn iter(&self, size: usize) -> impl Iterator<Item = (u32, &[u8], u32)> {
        (0..)
            .zip(self.keys.chunks_exact(size))
            .zip(&self.values)
            .map(|((i, key), value)| (i, key, *value))
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.values.len()
    }

    /// Bytes in use, about.
    pub(super) fn bytes(&self) -> usize {
        self.keys.capacity() + self.values.capacity() * 8
    }

    /// What was chosen on the way to a state.
    pub(super) fn trail(&self, i: u32) -> u32 {
        self.trails.get(i as usize).copied().unwrap_or(NONE)
    }
}

/// The candidates of a line.
#[derive(Debug)]
pub(super) struct Candidates {
    size: usize,
    keys: Vec<u8>,
    values: Vec<u32>,
    parents: Vec<u32>,
    /// Where the choices of a candidate begin in the pool, and how many they are.
    picks: Vec<(u32, u8)>,
    pool: Vec<(u8, u8)>,
    table: HashTable<u32>,
}

impl Candidates {
    /// None yet, of keys of `size` bytes.
    pub(super) fn new(size: usize) -> Self {
        Self {
            size,
            keys: Vec::new(),
            values: Vec::new(),
            parents: Vec::new(),
            picks: Vec::new(),
            pool: Vec::new(),
            table: HashTable::new(),
        }
    }

    /// The key of a candidate.
    pub(super) fn key(&self, i: u32) -> &[u8] {
        key_at(&self.keys, self.size, i)
    }

    /// The worth of a candidate.
    pub(super) fn value(&self, i: u32) -> u32 {
        self.values[i as usize]
    }

    /// The state it comes from.
    pub(super) fn parent(&self, i: u32) -> u32 {
        self.parents[i as usize]
    }

    /// True where nothing was placed on the way from its parent.
    pub(super) fn placed_nothing(&self, i: u32) -> bool {
        self.picks[i as usize].1 == 0
    }

    /// How many there are.
    pub(super) fn len(&self) -> u32 {
        count(self.values.len())
    }

    /// Bytes in use, about.
    pub(super) fn bytes(&self) -> usize {
        self.keys.capacity() + self.values.capacity() * 20 + self.pool.capacity() * 2
    }

    /// Adds a candidate, or raises the worth of the one with the same key.
    pub(super) fn add(&mut self, key: &[u8], value: u32, parent: u32, picks: &[(u8, u8)]) {
        let (keys, size) = (&self.keys, self.size);
        let hash = hash_of(key);
        let known = self
            .table
            .find(hash, |i| key_at(keys, size, *i) == key)
            .copied();
        let slot = if let Some(i) = known {
            if self.values[i as usize] >= value {
                return;
            }
            i as usize
        } else {
            let i = self.len();
            self.keys.extend_from_slice(key);
            self.values.push(0);
            self.parents.push(0);
            self.picks.push((0, 0));
            let keys = &self.keys;
            self.table
                .insert_unique(hash, i, |i| hash_of(key_at(keys, size, *i)));
            i as usize
        };
        self.values[slot] = value;
        self.parents[slot] = parent;
        self.picks[slot] = (
            count(self.pool.len()),
            u8::try_from(picks.len()).unwrap_or(u8::MAX),
        );
        self.pool.extend_from_slice(picks);
    }

    /// Takes over what another worker found.
    pub(super) fn join(&mut self, other: &Self) {
        for i in 0..other.len() {
            let (at, many) = other.picks[i as usize];
            let at = at as usize;
            let picks = &other.pool[at..at + usize::from(many)];
            self.add(other.key(i), other.value(i), other.parent(i), picks);
        }
    }

    /// All of them, the fullest first; among equals those first that can beat the others.
    pub(super) fn by_worth(&self, shape: Shape) -> Vec<u32> {
        let mut order: Vec<(u32, u32, u32)> = (0..self.len())
            .map(|i| {
                let sum = self.key(i)[..shape.cols * 3]
                    .iter()
                    .map(|b| u32::from(*b))
                    .sum();
                (u32::MAX - self.value(i), sum, i)
            })
            .collect();
        order.sort_unstable();
        order.into_iter().map(|(_, _, i)| i).collect()
    }

    /// The line of those kept; their choices join the trails.
    pub(super) fn layer(
        &self,
        kept: &[u32],
        from: &Layer,
        row: usize,
        nodes: &mut Vec<Node>,
    ) -> Layer {
        let mut layer = Layer::default();
        for i in kept {
            layer.keys.extend_from_slice(self.key(*i));
            layer.values.push(self.value(*i));
            let mut trail = from.trail(self.parent(*i));
            let (at, many) = self.picks[*i as usize];
            let picks = self.pool.iter().skip(at as usize).take(many.into());
            for (col, number) in picks {
                nodes.push(Node {
                    before: trail,
                    row: u16::try_from(row).unwrap_or(u16::MAX),
                    col: *col,
                    number: *number,
                });
                trail = count(nodes.len()) - 1;
            }
            layer.trails.push(trail);
        }
        layer
    }
}

fn key_at(keys: &[u8], size: usize, i: u32) -> &[u8] {
    &keys[i as usize * size..(i as usize + 1) * size]
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NONE)
}

/// A quick hash, the same on every machine.
fn hash_of(key: &[u8]) -> u64 {
    key.chunks(8).fold(0xcbf2_9ce4_8422_2325, |h: u64, chunk| {
        let mut word = [0; 8];
        word[..chunk.len()].copy_from_slice(chunk);
        let mixed = (h ^ u64::from_le_bytes(word)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        mixed ^ (mixed >> 29)
    })
}

/// The placements along a trail, the first first.
pub(super) fn puts(grid: &Grid, nodes: &[Node], trail: u32) -> Vec<Put> {
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
