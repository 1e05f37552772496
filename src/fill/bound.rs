//! Bounds for floors too wide to sweep whole: the floor is cut lengthwise into parts, each part is swept
//! exactly with open ground beyond its cuts, and the parts' counts are added. Every rack counts once over all parts
//! together, and what a part forbids the whole floor forbids too, so no arrangement holds more than the sum.

use super::grid::{Grid, WHOLE};
use super::sweep::{GaveUp, Reins, sweep};

/// The most printers that any arrangement on the grid holds, as far as so many parts tell, and the steps it took.
pub(super) fn by_parts(
    grid: &Grid,
    parts: usize,
    aisle: i64,
    reins: Reins<'_>,
) -> (Result<u32, GaveUp>, u64) {
    let mut sum = 0_u64;
    let mut steps = 0;
    let edge = |k: usize| grid.cols() * k / parts.max(1);
    for k in 0..parts {
        let cut = grid.part(edge(k), edge(k + 1), aisle);
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
