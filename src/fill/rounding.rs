//! Sizes without a common step: all of them rounded to one, up where an arrangement is wanted, down where a bound is.
//!
//! A body that fits with every size rounded up fits with its true size at the same low corner: its strips then lie in the
//! rounded body and the rounded strips. An arrangement of true sizes is one of the sizes rounded down.

use super::lattice::{Lattice, common_step};
use super::problem::{PackKind, Problem, Rect, Start};

/// The finest lattice, in lines along the short side, that is searched as it is.
const FINE: usize = 64;

/// True where the sizes share too small a step for the lattice to be searched.
pub(super) fn needs_rounding(problem: &Problem) -> bool {
    let step = common_step(problem).max(1);
    let short = problem.width.min(problem.depth);
    let coarse = usize::try_from(short / step).unwrap_or(usize::MAX);
    coarse > FINE || Lattice::plain(problem).x.lines.len() > FINE
}

/// The problem with every size rounded up.
pub(super) fn rounded_up(problem: &Problem) -> Problem {
    rounded(problem, |size, step| (size + step - 1) / step * step)
}

/// The problem with every size rounded down.
pub(super) fn rounded_down(problem: &Problem) -> Problem {
    rounded(problem, |size, step| size / step * step)
}

fn rounded(problem: &Problem, round: impl Fn(i64, i64) -> i64) -> Problem {
    let step = best_step(problem, &round);
    let kinds = problem
        .kinds
        .iter()
        .map(|k| PackKind {
            width: round(k.width, step).max(step),
            depth: round(k.depth, step).max(step),
            ..k.clone()
        })
        .collect();
    let aisle = round(problem.aisle, step).max(step);
    let starts = problem.starts.iter();
    Problem {
        kinds,
        aisle,
        starts: starts.map(|s| resized(s, problem, aisle)).collect(),
        ..problem.clone()
    }
}

/// Where a walker of another size comes in: its square holds the true one, or lies in it, from the same low corner; at a wall on
/// the high side from the same high corner.
fn resized(start: &Start, problem: &Problem, aisle: i64) -> Start {
    let along = |low: i64, high: i64, size: i64| {
        let (most, now) = (size - problem.aisle, size - aisle);
        let moved = |v: i64| if v == most { now } else { v.min(now) };
        (moved(low), moved(high))
    };
    let c = start.corners;
    let (x0, x1) = along(c.x0, c.x1, problem.width);
    let (y0, y1) = along(c.y0, c.y1, problem.depth);
    Start {
        corners: Rect { x0, y0, x1, y1 },
    }
}

/// The step that changes the sizes least, a coarse one among those that change them almost as little.
fn best_step(problem: &Problem, round: &impl Fn(i64, i64) -> i64) -> i64 {
    let sizes: Vec<i64> = problem
        .kinds
        .iter()
        .flat_map(|k| [k.width, k.depth])
        .chain([problem.aisle])
        .filter(|v| *v > 0)
        .collect();
    let short = problem.width.min(problem.depth);
    let candidates = sizes.iter().flat_map(|size| {
        (1..=12).flat_map(move |parts| [size / parts, (size + parts - 1) / parts])
    });
    let cost = |step: i64| -> f64 {
        let change: f64 = sizes
            .iter()
            .map(|v| ((round(*v, step) - v).abs() as f64) / (*v as f64))
            .sum();
        change + 0.002 * (short as f64 / step as f64)
    };
    candidates
        .filter(|step| *step > 0 && short / step <= 40)
        .min_by(|a, b| cost(*a).total_cmp(&cost(*b)).then(b.cmp(a)))
        .unwrap_or_else(|| (short / 40).max(1))
}
