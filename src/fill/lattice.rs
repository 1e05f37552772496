//! The lattice of positions that loses nothing, and coarser ones that are named.
//!
//! Every condition of the problem compares two coordinates along one axis with a constant made of widths, depths and the
//! aisle, or one coordinate with a fixed edge. Such a system, once satisfiable, is satisfied with every coordinate at some
//! low edge plus a whole multiple of the greatest common divisor `g` of those sizes: so only the residues of the low edges
//! modulo `g` matter. A low edge may moreover be raised to a neighbour's residue when no high edge is then missed, which
//! often leaves a single residue. DEVELOPERS.md has the argument in full.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Problem, Shape};

/// The lines of one axis that bodies may lie on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Axis {
    /// The step within one residue.
    pub step: i64,
    /// The residues in use, each in `0..step`, ascending.
    pub residues: Vec<i64>,
    /// The positions, ascending.
    pub lines: Vec<i64>,
    /// True where no arrangement is lost by keeping to these lines.
    pub lossless: bool,
    /// Low edges that count as lying at an earlier line, so that nothing is lost: what is then found may not fit, but no
    /// arrangement holds more.
    pub lowered: BTreeMap<i64, i64>,
}

impl Axis {
    /// Where a low edge counts as lying.
    pub fn low(&self, edge: i64) -> i64 {
        self.lowered.get(&edge).copied().unwrap_or(edge)
    }
}

/// The fixed edges along one axis.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Edges {
    /// What bodies or the walker may stand against with their low side.
    low: BTreeSet<i64>,
    /// With their high side.
    high: BTreeSet<i64>,
}

/// The two axes of a frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lattice {
    /// Across.
    pub x: Axis,
    /// Along.
    pub y: Axis,
}

/// The sizes that positions are made of: widths, depths and the aisle.
fn sizes(problem: &Problem) -> BTreeSet<i64> {
    problem
        .kinds
        .iter()
        .flat_map(|k| [k.width, k.depth])
        .chain([problem.aisle])
        .filter(|size| *size > 0)
        .collect()
}

/// The greatest common divisor of all sizes that positions are made of.
pub fn common_step(problem: &Problem) -> i64 {
    sizes(problem).into_iter().fold(0, gcd)
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

impl Lattice {
    /// The residue lattice of the problem: lossless where its sizes share `step`.
    pub fn residues(problem: &Problem) -> Self {
        let step = common_step(problem).max(1);
        let (x, y) = edges(problem);
        let sizes = sizes(problem);
        let sums = (!problem.way_out).then_some((&sizes, problem.aisle));
        Self {
            x: residue_axis(&x, step, problem.width, sums),
            y: residue_axis(&y, step, problem.depth, sums),
        }
    }

    /// The lattice with one residue an axis, the one that most edges agree with.
    pub fn plain(problem: &Problem) -> Self {
        let step = common_step(problem).max(1);
        let (x, y) = edges(problem);
        Self {
            x: plain_axis(&x, step, problem.width),
            y: plain_axis(&y, step, problem.depth),
        }
    }

    /// The same lines, with every low edge lowered that they would lose: for bounds.
    pub fn relaxed(problem: &Problem) -> Self {
        let plain = Self::plain(problem);
        let (x, y) = edges(problem);
        Self {
            x: relaxed_axis(plain.x, &x, problem.width),
            y: relaxed_axis(plain.y, &y, problem.depth),
        }
    }

    /// True where keeping to this lattice loses no arrangement.
    pub fn lossless(&self) -> bool {
        self.x.lossless && self.y.lossless
    }
}

/// The fixed edges across and along.
fn edges(problem: &Problem) -> (Edges, Edges) {
    let mut x = Edges::default();
    let mut y = Edges::default();
    let plugs = problem.kinds.iter().any(|k| k.plugs) && problem.gap > 0;
    let gaps = |gap: bool| {
        if gap && plugs {
            vec![0, problem.gap]
        } else {
            vec![0]
        }
    };
    for extra in gaps(true) {
        x.add(extra, problem.width - extra);
        y.add(extra, problem.depth - extra);
    }
    for block in &problem.blocks {
        let Shape::Rect(r) = &block.shape else {
            continue;
        };
        for extra in gaps(block.gap && block.bodies != 0) {
            x.add(r.x1 + extra, r.x0 - extra);
            y.add(r.y1 + extra, r.y0 - extra);
        }
    }
    if problem.way_out {
        for start in &problem.starts {
            let c = start.corners;
            // A place that touches the frame's edge may as well stand a little before it: no body fits between.
            if c.x0 != 0 && c.x1 != problem.width - problem.aisle {
                x.add(c.x0, c.x1 + problem.aisle);
            }
            if c.y0 != 0 && c.y1 != problem.depth - problem.aisle {
                y.add(c.y0, c.y1 + problem.aisle);
            }
        }
    }
    let least = problem
        .kinds
        .iter()
        .flat_map(|k| [k.width, k.depth])
        .min()
        .unwrap_or(0);
    x.keep_useful(least, problem.width);
    y.keep_useful(least, problem.depth);
    (x, y)
}

impl Edges {
    fn add(&mut self, low: i64, high: i64) {
        self.low.insert(low);
        self.high.insert(high);
    }

    /// Drops the edges that no body can lie against, for want of room.
    fn keep_useful(&mut self, least: i64, size: i64) {
        self.low.retain(|e| (0..=size - least).contains(e));
        self.high.retain(|e| (least..=size).contains(e));
    }

    /// How far each low edge may be raised without missing a high edge: the interval of residues that will do for it.
    fn low_intervals(&self, step: i64) -> Vec<(i64, i64)> {
        self.low
            .iter()
            .map(|low| {
                let slack = self.high.iter().map(|high| (high - low).rem_euclid(step));
                (low.rem_euclid(step), slack.min().unwrap_or(0))
            })
            .collect()
    }

    /// The same for high edges, which may be lowered.
    fn high_intervals(&self, step: i64) -> Vec<(i64, i64)> {
        self.high
            .iter()
            .map(|high| {
                let slack = self.low.iter().map(|low| (high - low).rem_euclid(step));
                let slack = slack.min().unwrap_or(0);
                ((high - slack).rem_euclid(step), slack)
            })
            .collect()
    }
}

fn residue_axis(
    edges: &Edges,
    step: i64,
    size: i64,
    only_sums: Option<(&BTreeSet<i64>, i64)>,
) -> Axis {
    let by_low = stab(&edges.low_intervals(step), step);
    let by_high = stab(&edges.high_intervals(step), step);
    let from_low = by_low.len() <= by_high.len();
    let residues = if from_low { by_low } else { by_high };
    let mut axis = axis(step, residues, size, true);
    if let Some(sizes) = only_sums {
        axis.lines = sums(&axis, edges, sizes, from_low);
    }
    axis
}

/// The one residue that the most low and high edges agree with; the wall's own among equals.
fn plain_axis(edges: &Edges, step: i64, size: i64) -> Axis {
    let votes = |r: i64| {
        let low = edges.low_intervals(step);
        let high = edges.high_intervals(step);
        low.iter()
            .chain(&high)
            .filter(|i| covers(**i, r, step))
            .count()
    };
    let candidates: BTreeSet<i64> = edges
        .low
        .iter()
        .chain(&edges.high)
        .map(|e| e.rem_euclid(step))
        .collect();
    let best = candidates
        .into_iter()
        .max_by(|a, b| votes(*a).cmp(&votes(*b)).then(b.cmp(a)))
        .unwrap_or(0);
    let all = residue_axis(edges, step, size, None);
    if all.residues.len() == 1 {
        return all;
    }
    axis(step, vec![best], size, false)
}

/// Lowers the low edges that no residue of the axis serves to the line before them.
fn relaxed_axis(plain: Axis, edges: &Edges, size: i64) -> Axis {
    if plain.lossless {
        return plain;
    }
    let step = plain.step;
    let before = |edge: i64| {
        let back = plain.residues.iter().map(|r| (edge - r).rem_euclid(step));
        edge - back.min().unwrap_or(0)
    };
    let lowered: BTreeMap<i64, i64> = edges
        .low
        .iter()
        .zip(edges.low_intervals(step))
        .filter(|(_, i)| !plain.residues.iter().any(|r| covers(*i, *r, step)))
        .map(|(edge, _)| (*edge, before(*edge)))
        .collect();
    let least = lowered.values().copied().min().unwrap_or(0).min(0);
    let mut relaxed = axis(step, plain.residues.clone(), size, true);
    let earlier: Vec<i64> = relaxed
        .residues
        .iter()
        .map(|r| r - step)
        .filter(|v| *v >= least)
        .collect();
    relaxed.lines.splice(0..0, earlier);
    relaxed.lowered = lowered;
    relaxed
}

/// The lines that are a sum of sizes away from a low edge, or from a high one. Without a way out no condition holds a body
/// back by less than a whole size, so no other line matters.
fn sums(
    axis: &Axis,
    edges: &Edges,
    (sizes, aisle): (&BTreeSet<i64>, i64),
    from_low: bool,
) -> Vec<i64> {
    let size = axis.lines.last().copied().unwrap_or(0);
    let mirror = |v: i64| if from_low { v } else { size - v };
    let lines: BTreeSet<i64> = axis.lines.iter().map(|v| mirror(*v)).collect();
    let seeds = if from_low { &edges.low } else { &edges.high };
    // Each edge counts as raised (or lowered) to the first line there is.
    let mut reached: BTreeSet<i64> = seeds
        .iter()
        .filter_map(|e| lines.range(mirror(*e)..).next().copied())
        .collect();
    let mut at = reached.first().copied();
    while let Some(v) = at {
        reached.extend(sizes.iter().map(|s| v + s).filter(|v| lines.contains(v)));
        at = reached.range(v + 1..).next().copied();
    }
    // A strip before a low side begins an aisle earlier: that is a line too, though no body lies on it.
    let strips: Vec<i64> = reached.iter().map(|v| v - aisle).collect();
    reached.extend(strips.into_iter().filter(|v| lines.contains(v)));
    let mut kept: Vec<i64> = reached.into_iter().map(mirror).collect();
    kept.sort_unstable();
    kept
}

fn axis(step: i64, residues: Vec<i64>, size: i64, lossless: bool) -> Axis {
    let mut lines: Vec<i64> = residues
        .iter()
        .flat_map(|r| {
            (0..)
                .map(move |k| r + k * step)
                .take_while(move |v| *v <= size)
        })
        .collect();
    lines.sort_unstable();
    Axis {
        step,
        residues,
        lines,
        lossless,
        lowered: BTreeMap::new(),
    }
}

/// True where the residue lies in the interval `(start, length)` of the circle of residues.
fn covers((start, length): (i64, i64), residue: i64, step: i64) -> bool {
    (residue - start).rem_euclid(step) <= length
}

/// The fewest residues that hit every interval. On a circle: each interval's end in turn is taken for certain, the rest
/// greedily in the order of their ends from there.
fn stab(intervals: &[(i64, i64)], step: i64) -> Vec<i64> {
    let ends: BTreeSet<i64> = intervals
        .iter()
        .map(|(start, length)| (start + length).rem_euclid(step))
        .collect();
    ends.iter()
        .map(|first| {
            let mut chosen = vec![*first];
            let mut order: Vec<(i64, i64)> = intervals.to_vec();
            order.sort_by_key(|(s, l)| (s + l - first).rem_euclid(step));
            for interval in order {
                if !chosen.iter().any(|r| covers(interval, *r, step)) {
                    chosen.push((interval.0 + interval.1).rem_euclid(step));
                }
            }
            chosen.sort_unstable();
            chosen
        })
        .min_by_key(Vec::len)
        .unwrap_or_else(|| vec![0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fill::grid::Grid;
    use crate::fill::problem::{Faces, PackKind, Rect, Start};
    use crate::fill::sweep::{Reins, sweep};
    use crate::units::Length;

    fn inches(n: i32) -> i64 {
        Length::from_inches(n).units()
    }

    /// An empty room of 7 ft 6 in square, an aisle of 36 in, and racks narrower than that: 30 by 24 in with two printers.
    fn room(way_out: bool) -> Problem {
        let corner = Rect {
            x0: 0,
            y0: 0,
            x1: 0,
            y1: 0,
        };
        Problem {
            width: inches(90),
            depth: inches(90),
            aisle: inches(36),
            gap: 0,
            kinds: vec![PackKind {
                width: inches(30),
                depth: inches(24),
                printers: 2,
                faces: Faces {
                    front: true,
                    ..Faces::default()
                },
                plugs: false,
                exactly: None,
            }],
            floor: None,
            blocks: Vec::new(),
            starts: vec![Start { corners: corner }],
            reach: Vec::new(),
            way_out,
        }
    }

    /// The same lattice with nothing but sums of sizes from the low edges.
    fn of_sums(problem: &Problem, lattice: &Lattice) -> Lattice {
        let (x, y) = edges(problem);
        let sizes = sizes(problem);
        let of = |axis: &Axis, edges: &Edges| Axis {
            lines: sums(axis, edges, (&sizes, problem.aisle), true),
            ..axis.clone()
        };
        Lattice {
            x: of(&lattice.x, &x),
            y: of(&lattice.y, &y),
        }
    }

    fn most(problem: &Problem, lattice: &Lattice) -> u32 {
        let reins = Reins {
            steps: u64::MAX,
            bytes: 1_000_000_000,
            stop: &|| false,
        };
        let found = sweep(&Grid::new(problem, lattice), 0, reins);
        assert_eq!(found.gave_up, None);
        found.best.map_or(0, |(value, _)| value)
    }

    /// The walker stands before a rack where it covers the rack's whole width, so a rack of 30 in may lie 6 in back from where
    /// the walker begins: 36 - 30, a difference. Sums of 24, 30 and 36 never come to 6, and cost a rack here.
    #[test]
    fn plain_sums_of_sizes_lose_a_rack_where_all_must_be_reached() {
        let room = room(true);
        let all = Lattice::residues(&room);
        let few = of_sums(&room, &all);
        assert!(few.x.lines.len() < all.x.lines.len());
        assert_eq!((most(&room, &all), most(&room, &few)), (10, 8));
    }

    /// Without the way out no difference matters, and the sums hold as many as all lines do.
    #[test]
    fn plain_sums_of_sizes_suffice_without_a_way_out() {
        let free = room(false);
        let reached = room(true);
        let all = Lattice::residues(&reached);
        let few = of_sums(&free, &all);
        assert!(few.x.lines.len() < all.x.lines.len());
        assert_eq!(most(&free, &all), most(&free, &few));
    }
}
