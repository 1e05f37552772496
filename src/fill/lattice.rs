//! The lattice of positions that loses nothing, and coarser ones that are named.
//!
//! Every condition of the problem compares two coordinates along one axis with a constant made of widths, depths and the
//! aisle, or one coordinate with a fixed edge. Such a system, once satisfiable, is satisfied with every coordinate at some
//! low edge plus a whole multiple of the greatest common divisor `g` of those sizes: so only the residues of the low edges
//! modulo `g` matter. A low edge may moreover be raised to a neighbour's residue when no high edge is then missed, which
//! often leaves a single residue. DEVELOPERS.md has the argument in full.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Problem, Shape};
use super::way_in::WayIn;

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
    /// Lines for the doors that lie between the lines along; across, a place between them counts with all that it touches.
    fn add_doors(&mut self, problem: &Problem, step: i64) {
        for start in &problem.starts {
            let c = WayIn::new(problem, start, step).corners;
            if !self.lines.iter().any(|y| (c.y0..=c.y1).contains(y)) {
                self.lines.extend([c.y0, c.y0 + problem.aisle]);
            }
        }
        self.lines.sort_unstable();
        self.lines.dedup();
    }

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
        let mut plain = Self {
            x: plain_axis(&x, step, problem.width),
            y: plain_axis(&y, step, problem.depth),
        };
        if problem.way_out && !plain.y.lossless {
            plain.y.add_doors(problem, step);
        }
        plain
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
    let step = common_step(problem).max(1);
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
            let way = WayIn::new(problem, start, step);
            let c = way.corners;
            if !way.free_x {
                x.add(c.x0, c.x1 + problem.aisle);
            }
            if !way.free_y {
                y.add(c.y0, c.y1 + problem.aisle);
            }
        }
    }
    let least = problem
        .kinds
        .iter()
        .flat_map(|k| [k.width, k.depth])
        // The walker may need an edge that no body has room beside.
        .chain(problem.way_out.then_some(problem.aisle))
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

    /// Drops the edges that neither a body nor the walker can lie against, for want of room.
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
    if reached.is_empty() {
        // Nothing finds room on this axis; the lines are kept, so that there still is a floor to sweep.
        return axis.lines.clone();
    }
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
    use super::super::grid::Grid;
    use super::super::problem::{Block, Faces, PackKind, Put, Rect, Start, Turn};
    use super::super::sweep::{Found, Reins, sweep};
    use super::*;

    /// The lattice without differences of sizes, which the way out does not allow.
    fn only_sums(problem: &Problem) -> Lattice {
        let step = common_step(problem);
        let (x, y) = edges(problem);
        let sizes = sizes(problem);
        let sums = Some((&sizes, problem.aisle));
        Lattice {
            x: residue_axis(&x, step, problem.width, sums),
            y: residue_axis(&y, step, problem.depth, sums),
        }
    }

    /// The fullest arrangement on a lattice, from a sweep that came to its end.
    fn fullest(problem: &Problem, lattice: &Lattice) -> Found {
        let reins = Reins {
            steps: 50_000_000,
            bytes: 1_000_000_000,
            stop: &|| false,
        };
        let found = sweep(&Grid::new(problem, lattice), 0, reins);
        assert_eq!(found.gave_up, None, "the sweep comes to its end");
        found
    }

    fn printers(found: &Found) -> u32 {
        found.best.as_ref().map_or(0, |(value, _)| *value)
    }

    fn kind(width: i64, depth: i64, printers: u32) -> PackKind {
        PackKind {
            width,
            depth,
            printers,
            faces: Faces {
                front: true,
                ..Faces::default()
            },
            plugs: false,
            exactly: None,
        }
    }

    fn fixed(x0: i64, y0: i64, x1: i64, y1: i64) -> Block {
        Block {
            shape: Shape::Rect(Rect { x0, y0, x1, y1 }),
            bodies: u32::MAX,
            walk: true,
            gap: true,
        }
    }

    fn room(width: i64, depth: i64, aisle: i64) -> Problem {
        Problem {
            width,
            depth,
            aisle,
            gap: 0,
            kinds: Vec::new(),
            floor: None,
            blocks: Vec::new(),
            starts: Vec::new(),
            reach: Vec::new(),
            way_out: true,
        }
    }

    fn start(x: i64, y: i64) -> Start {
        Start {
            corners: Rect::sized(x, y, 0, 0),
        }
    }

    /// A pocket as wide as the rack, beside a column. The rack looks up; its face is narrower than the walker, who therefore
    /// stands partly over the column before it. So the face can be no lower than the column's top, and the rack's low side
    /// no lower than that top less the rack's depth: a difference, 30 - 24 = 6. Nor can it be any higher, since the
    /// strip reaches the far wall. Sums of 24 and 30, with the low sides of strips (48 - 30), leave out 6: with the rack at
    /// 0 the column holds the walker above its strip, and from 18 on the strip reaches into the wall.
    ///
    /// ```text
    ///  60 +---------------+
    ///     |    walker,    |
    ///     |   door, strip |
    ///  30 +------------+--+
    ///     |    rack    |##|
    ///     |            |##|
    ///   6 +------------+##|
    ///     |            |##|
    ///   0 +------------+--+
    ///     0           24  30
    /// ```
    #[test]
    fn sums_of_sizes_lose_where_the_way_out_asks_for_a_difference() {
        let problem = Problem {
            kinds: vec![kind(24, 24, 1)],
            blocks: vec![fixed(24, 0, 30, 30)],
            starts: vec![start(0, 30)],
            ..room(30, 60, 30)
        };
        let all = Lattice::residues(&problem);
        let sums = only_sums(&problem);
        assert_eq!(all.y.lines, [0, 6, 12, 18, 24, 30, 36, 42, 48, 54, 60]);
        assert_eq!(sums.y.lines, [0, 18, 24, 30, 48, 54, 60]);
        let rack = Put {
            kind: 0,
            turn: Turn(2),
            x: 0,
            y: 6,
        };
        let found = fullest(&problem, &all);
        assert_eq!(found.best, Some((1, vec![rack])), "on all residues");
        assert_eq!(printers(&fullest(&problem, &sums)), 0, "on sums");
        // Without the way out the sums do.
        let free = Problem {
            way_out: false,
            ..problem
        };
        assert_eq!(printers(&fullest(&free, &sums)), 1, "on sums, no way out");
    }

    /// The same among other racks, in a room larger by a little: three racks of 4 by 4 and one of 3 by 3 with an aisle of 4,
    /// a column that stands free. The small rack stands at 4 - 3 = 1, its face level with that of the rack beside it.
    #[test]
    fn sums_of_sizes_lose_one_of_four_racks() {
        let problem = Problem {
            kinds: vec![kind(3, 3, 9), kind(6, 3, 20), kind(4, 4, 17)],
            blocks: vec![fixed(5, 8, 7, 11)],
            starts: vec![start(0, 6)],
            ..room(11, 12, 4)
        };
        let all = fullest(&problem, &Lattice::residues(&problem));
        assert_eq!(printers(&all), 60, "on all residues");
        let sums = fullest(&problem, &only_sums(&problem));
        assert_eq!(printers(&sums), 54, "on sums");
    }

    /// The way to the upper floor leads between a wall and a block, just as wide as the walker and too narrow for any rack.
    /// The block's side, at 42, is off the lattice of the walls and of the small column's left side (12 k): only the walker
    /// needs it.
    ///
    /// ```text
    /// 108 +------------+-------+
    ///     |    rack    |       |
    ///  72 +------------+       |
    ///     |                    |
    ///  48 +---------------+    |
    ///     |###############|    |
    ///  36 +---------------+    |
    ///     | door             # |
    ///   0 +--------------------+
    ///     0               42  66
    /// ```
    #[test]
    fn an_edge_that_only_the_walker_needs_is_not_lost() {
        let problem = Problem {
            kinds: vec![kind(36, 36, 1)],
            blocks: vec![fixed(0, 36, 42, 48), fixed(48, 0, 54, 6)],
            starts: vec![start(0, 0)],
            ..room(66, 108, 24)
        };
        let lattice = Lattice::residues(&problem);
        assert!(lattice.x.lines.contains(&42), "{:?}", lattice.x.lines);
        assert_eq!(printers(&fullest(&problem, &lattice)), 1);
    }

    /// No kind has room in a floor this shallow, so no edge is of use; that is an answer and no reason to stop.
    #[test]
    fn a_floor_too_shallow_for_any_kind_holds_nothing() {
        let problem = Problem {
            kinds: vec![kind(20, 20, 1)],
            way_out: false,
            ..room(60, 10, 30)
        };
        assert_eq!(
            printers(&fullest(&problem, &Lattice::residues(&problem))),
            0
        );
    }
}
