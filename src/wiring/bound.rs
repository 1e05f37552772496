//! Lower bounds from prices. Give every load a price: whatever the prices are, no answer costs less than the sum of them,
//! less what each circuit that exists can hold at most, where an added circuit that holds more than its own cost counts for
//! the rest. Sums, the bound L2 of Martello and Toth (1990) and the dual feasible functions of Fekete and Schepers (2001)
//! are such prices; `prices` looks for better ones.

use super::fills::{Care, best_fill};
use super::meter::Meter;
use super::packing::{Kind, Packing};
use super::problem::Amps;

/// The price of one added circuit.
pub(super) const ONE: u64 = 1 << 30;
/// Thresholds tried for each resource.
const MOST_THRESHOLDS: usize = 8;

/// Critical sizes tried for each mix of the resources.
const MOST_CRITICAL: usize = 12;

/// Prices and what they prove.
#[derive(Clone, Debug)]
pub(super) struct Priced {
    /// Price of one load of each kind.
    pub each: Vec<u64>,
    /// The most that each room can hold at these prices.
    pub rooms: Vec<u64>,
    /// The most that an added circuit can hold, and no less than its own price.
    pub new: u64,
    /// What every answer costs at least, in parts of [`ONE`].
    pub bound: i128,
}

/// The highest price of a load: what it costs to leave it without power.
pub(super) fn top(packing: &Packing, kind: &Kind) -> u64 {
    packing.unpowered(kind) * ONE
}

/// A cost in parts of [`ONE`].
pub(super) fn parts(cost: u64) -> i128 {
    i128::from(cost) * i128::from(ONE)
}

/// The least cost that a bound leaves open: whole, and with no more circuits than may be added.
pub(super) fn least(packing: &Packing, bound: i128) -> u64 {
    let one = i128::from(ONE);
    let whole = u64::try_from((bound.max(0) + one - 1) / one).unwrap_or(u64::MAX);
    if whole % packing.unpowered_cost > packing.most_new() as u64 {
        whole.next_multiple_of(packing.unpowered_cost)
    } else {
        whole
    }
}

impl Priced {
    /// Works out what these prices prove.
    pub(super) fn of(packing: &Packing, each: Vec<u64>, care: Care, meter: &mut Meter<'_>) -> Self {
        let counts = packing.counts();
        let mut each: Vec<u64> = packing
            .kinds
            .iter()
            .zip(each)
            .map(|(kind, p)| p.min(top(packing, kind)))
            .collect();
        let mut hold = |room, each: &[u64]| {
            best_fill(room, &packing.kinds, &counts, each, care, meter).at_most
        };
        let mut new = packing
            .new
            .as_ref()
            .map_or(ONE, |(room, _)| hold(room, &each));
        if new > 0 && new < ONE {
            // A circuit that is never worth its price: all prices may rise together.
            for (price, kind) in each.iter_mut().zip(&packing.kinds) {
                let top = top(packing, kind);
                let risen = u128::from(*price) * u128::from(ONE) / u128::from(new);
                *price = u64::try_from(risen).unwrap_or(top).min(top);
            }
            new = ONE;
        }
        let rooms: Vec<u64> = packing.rooms.iter().map(|r| hold(r, &each)).collect();
        let new = new.max(ONE);
        let sum: i128 = each
            .iter()
            .zip(&counts)
            .map(|(p, n)| i128::from(*p) * *n as i128)
            .sum();
        let held: i128 = rooms.iter().map(|v| i128::from(*v)).sum();
        let over = i128::from(new - ONE) * packing.most_new() as i128;
        Self {
            each,
            rooms,
            new,
            bound: sum - held - over,
        }
    }
}

/// The best of the simple prices. Stops early where they prove `enough`.
pub(super) fn simple(packing: &Packing, enough: i128, meter: &mut Meter<'_>) -> Priced {
    let mut best: Option<Priced> = None;
    let few = few_powered(packing).into_iter().map(|p| (p, Care::Bound));
    let many = simple_prices(packing).into_iter().map(|p| (p, Care::Full));
    for (each, care) in many.chain(few) {
        let priced = Priced::of(packing, each, care, meter);
        if best.as_ref().is_none_or(|b| priced.bound > b.bound) {
            best = Some(priced);
        }
        if meter.is_stopped() || best.as_ref().is_some_and(|b| b.bound > enough) {
            break;
        }
    }
    best.unwrap_or_else(|| {
        let nothing = vec![0; packing.kinds.len()];
        Priced::of(packing, nothing, Care::Bound, meter)
    })
}

fn simple_prices(packing: &Packing) -> Vec<Vec<u64>> {
    let tops = packing.kinds.iter().map(|k| top(packing, k)).collect();
    let mut all = vec![
        tops,
        vec![packing.unpowered_cost * ONE; packing.kinds.len()],
    ];
    let Some((room, _)) = &packing.new else {
        return all;
    };
    all.push(vec![
        ONE / (room.receptacles() as u64).max(1);
        packing.kinds.len()
    ]);
    for of in [(|a: Amps| a.running_ma) as fn(Amps) -> u32, |a: Amps| {
        a.peak_ma
    }] {
        let full = u64::from(of(room.free)).max(1);
        let sizes: Vec<u64> = packing
            .kinds
            .iter()
            .map(|k| u64::from(of(k.draw)))
            .collect();
        for threshold in thresholds(&sizes, full) {
            all.push(sizes.iter().map(|s| above(*s, threshold, full)).collect());
        }
        for k in 2..=6 {
            all.push(sizes.iter().map(|s| stepped(*s, k, full)).collect());
        }
    }
    all
}

/// Prices where not all loads can have power: in proportion to what they draw, up to the price of having none. These find
/// how many of the smallest loads the circuits take together.
fn few_powered(packing: &Packing) -> Vec<Vec<u64>> {
    let most = packing.unpowered_cost * ONE;
    let mut all = Vec::new();
    let sum = |k: usize, f: fn(Amps) -> u32| -> u64 {
        let room = &packing.rooms;
        let free: u64 = room.iter().map(|r| u64::from(f(r.free))).sum();
        u64::from(f(packing.kinds[k].draw)) * ONE / free.max(1)
    };
    for [running, peak] in [[1, 0], [0, 1], [1, 1], [1, 3], [3, 1]] {
        let sizes: Vec<u64> = (0..packing.kinds.len())
            .map(|k| running * sum(k, |a| a.running_ma) + peak * sum(k, |a| a.peak_ma))
            .collect();
        let mut whole: Vec<u64> = sizes.iter().copied().filter(|s| *s > 0).collect();
        whole.sort_unstable();
        whole.dedup();
        let every = whole.len().div_ceil(MOST_CRITICAL).max(1);
        for critical in whole.into_iter().step_by(every) {
            all.push(
                sizes
                    .iter()
                    .map(|s| part((*s).min(critical), critical, most))
                    .collect(),
            );
        }
    }
    all
}

/// 0 and sizes up to half a circuit.
fn thresholds(sizes: &[u64], full: u64) -> Vec<u64> {
    let mut small: Vec<u64> = sizes.iter().copied().filter(|s| 2 * s <= full).collect();
    small.sort_unstable();
    small.dedup();
    let every = small.len().div_ceil(MOST_THRESHOLDS).max(1);
    std::iter::once(0)
        .chain(small.into_iter().step_by(every))
        .collect()
}

/// The bound L2: what leaves less than the threshold counts as a whole circuit, what is below it as nothing.
fn above(size: u64, threshold: u64, full: u64) -> u64 {
    if size + threshold > full {
        ONE
    } else if size < threshold {
        0
    } else {
        part(size, full, ONE)
    }
}

/// Sizes rounded to whole parts of `k`: less than a part of `k + 1` counts as nothing.
fn stepped(size: u64, k: u64, full: u64) -> u64 {
    let parts = size * (k + 1);
    if parts.is_multiple_of(full) {
        part(size, full, ONE)
    } else {
        (parts / full) * ONE / k
    }
}

/// The share that a size has of `whole`.
fn part(size: u64, full: u64, whole: u64) -> u64 {
    u64::try_from(u128::from(size) * u128::from(whole) / u128::from(full)).unwrap_or(u64::MAX)
}
