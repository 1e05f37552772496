//! Improving an arrangement piece by piece: a window of the floor is emptied and swept exactly with all that stands outside
//! of it fixed. For floors too wide to be swept whole; it finds and proves nothing.

use super::grid::Grid;
use super::lattice::Lattice;
use super::problem::{Block, Problem, Put, Rect, Shape};
use super::sweep::{GaveUp, Reins, sweep};

/// Columns and rows of a window, and how far the next one lies.
const WINDOW: (usize, usize) = (11, 14);
const STRIDE: (usize, usize) = (5, 7);
/// Most steps for one window.
const STEPS_A_WINDOW: u64 = 1_500_000;

/// One pass of windows over the floor. `better` hears of every arrangement that holds more and says whether to keep it, or an
/// error, which ends the pass.
pub(super) fn pass<E>(
    problem: &Problem,
    lattice: &Lattice,
    puts: &mut Vec<Put>,
    reins: Reins<'_>,
    steps: &mut u64,
    better: &mut dyn FnMut(&[Put]) -> Result<bool, E>,
) -> Result<Option<GaveUp>, E> {
    for window in windows(lattice) {
        if (reins.stop)() {
            return Ok(Some(GaveUp::Told));
        }
        if *steps >= reins.steps {
            return Ok(Some(GaveUp::Steps));
        }
        let (inside, outside): (Vec<Put>, Vec<Put>) = puts.iter().partition(|p| {
            problem.kinds[p.kind].exactly.is_none() && window.holds(&p.body(&problem.kinds[p.kind]))
        });
        let rest = with_fixed(problem, &window, &outside);
        let grid = Grid::new(&rest, lattice);
        let before = problem.printers(&inside);
        let found = sweep(
            &grid,
            before,
            Reins {
                steps: STEPS_A_WINDOW.min(reins.steps - *steps),
                ..reins
            },
        );
        *steps += found.steps;
        if found.gave_up == Some(GaveUp::Told) {
            return Ok(Some(GaveUp::Told));
        }
        let Some((_, new)) = found.best else {
            continue;
        };
        let fuller: Vec<Put> = outside.into_iter().chain(new).collect();
        if better(&fuller)? {
            *puts = fuller;
        }
    }
    Ok(None)
}

/// The windows, overlapping, over the whole floor.
fn windows(lattice: &Lattice) -> Vec<Rect> {
    let spans = |lines: &[i64], size: usize, stride: usize| -> Vec<(i64, i64)> {
        let cells = lines.len().saturating_sub(1);
        let last = cells.saturating_sub(size);
        let mut starts: Vec<usize> = (0..last).step_by(stride).collect();
        starts.push(last);
        starts
            .into_iter()
            .map(|i| (lines[i], lines[(i + size).min(cells)]))
            .collect()
    };
    let rows = spans(&lattice.y.lines, WINDOW.1, STRIDE.1);
    spans(&lattice.x.lines, WINDOW.0, STRIDE.0)
        .into_iter()
        .flat_map(|(x0, x1)| {
            rows.iter().map(move |(y0, y1)| Rect {
                x0,
                y0: *y0,
                x1,
                y1: *y1,
            })
        })
        .collect()
}

/// The problem with those placements as things that stay, and nothing to be placed outside the window.
fn with_fixed(problem: &Problem, window: &Rect, fixed: &[Put]) -> Problem {
    let all = u32::MAX;
    let block = |r: Rect, walk: bool| Block {
        shape: Shape::Rect(r),
        bodies: all,
        walk,
        gap: false,
    };
    let whole = Rect::sized(0, 0, problem.width, problem.depth);
    let around = [
        Rect {
            x1: window.x0,
            ..whole
        },
        Rect {
            x0: window.x1,
            ..whole
        },
        Rect {
            y1: window.y0,
            ..whole
        },
        Rect {
            y0: window.y1,
            ..whole
        },
    ];
    let mut rest = Problem {
        kinds: problem
            .kinds
            .iter()
            .map(|k| super::problem::PackKind {
                exactly: None,
                ..k.clone()
            })
            .collect(),
        ..problem.clone()
    };
    rest.blocks.extend(
        around
            .into_iter()
            .filter(|r| r.width() > 0 && r.depth() > 0)
            .map(|r| block(r, false)),
    );
    for put in fixed {
        let kind = &problem.kinds[put.kind];
        rest.blocks.push(block(put.body(kind), true));
        for strip in put.strips(kind, problem.aisle) {
            rest.blocks.push(block(strip, false));
            rest.reach.push(strip);
        }
    }
    rest
}
