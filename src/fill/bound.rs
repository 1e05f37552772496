//! Bounds for floors too wide to sweep whole: the floor is cut lengthwise into parts that overlap, each part is swept
//! exactly with open ground beyond its cuts, and the parts' counts are added. Every rack counts once over all parts
//! together, and what a part forbids the whole floor forbids too, so no arrangement holds more than the sum.

use super::grid::{Grid, WHOLE};
use super::sweep::{GaveUp, Reins, sweep};

/// How a floor is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cuts {
    /// Number of parts.
    pub parts: usize,
    /// Columns by which neighbours reach over the cut between them, each way.
    pub overlap: usize,
}

/// The most printers that any arrangement on the grid holds, as far as the parts tell, and the steps it took.
pub(super) fn by_parts(
    grid: &Grid,
    cuts: Cuts,
    aisle: i64,
    reins: Reins<'_>,
) -> (Result<u32, GaveUp>, u64) {
    let mut sum = 0_u64;
    let mut steps = 0;
    for part in spans(grid.cols(), cuts) {
        let cut = grid.part(part.from, part.to, &part.weights, aisle);
        let left = Reins {
            steps: reins.steps.saturating_sub(steps),
            ..reins
        };
        let found = sweep(&cut, 0, left);
        steps += found.steps;
        if let Some(why) = found.gave_up {
            return (Err(why), steps);
        }
        sum += found.best.map_or(0, |(value, _)| u64::from(value));
    }
    let whole = sum / u64::from(WHOLE);
    (Ok(u32::try_from(whole).unwrap_or(u32::MAX)), steps)
}

/// The columns of one part and what each counts for in it.
struct Span {
    from: usize,
    to: usize,
    weights: Vec<u32>,
}

fn spans(cols: usize, cuts: Cuts) -> Vec<Span> {
    let edge = |k: usize| cols * k / cuts.parts.max(1);
    (0..cuts.parts)
        .map(|k| {
            let from = if k == 0 {
                0
            } else {
                edge(k).saturating_sub(cuts.overlap)
            };
            let to = if k + 1 == cuts.parts {
                cols
            } else {
                (edge(k + 1) + cuts.overlap).min(cols)
            };
            let weights = (from..to)
                .map(|c| {
                    let after = if k == 0 {
                        WHOLE
                    } else {
                        ramp(c, edge(k), cuts.overlap)
                    };
                    let before = if k + 1 == cuts.parts {
                        0
                    } else {
                        ramp(c, edge(k + 1), cuts.overlap)
                    };
                    after.saturating_sub(before)
                })
                .collect();
            Span { from, to, weights }
        })
        .collect()
}

/// How much of a column belongs to the part right of a cut: none well left of it, all well right of it, a straight ramp
/// between, since a part knows least near its own cut.
fn ramp(c: usize, cut: usize, overlap: usize) -> u32 {
    if overlap == 0 {
        return if c < cut { 0 } else { WHOLE };
    }
    let low = cut.saturating_sub(overlap);
    let into = (2 * c + 1).saturating_sub(2 * low);
    let full = 4 * overlap;
    u32::try_from(into.min(full) * WHOLE as usize / full).unwrap_or(WHOLE)
}
