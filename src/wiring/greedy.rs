//! Good answers quickly: circuits filled one after the other with what is worth most, at prices that rise for loads that
//! were left to circuits badly filled (sequential value correction, Mukhacheva 1994; Belov and Scheithauer 2007).

use super::bound::ONE;
use super::fills::{Care, best_fill};
use super::meter::Meter;
use super::packing::{Counts, Packed, Packing, Room};
use super::problem::Amps;

/// The part of the steps left that may go into rounds from one start.
const SHARE: u64 = 20;

/// The best answer of so many rounds from these prices. Ends where the cost is as low as `least`.
pub(super) fn filled(
    packing: &Packing,
    prices: &[u64],
    rounds: usize,
    least: u64,
    meter: &mut Meter<'_>,
) -> Packed {
    let sizes: Vec<u64> = packing
        .kinds
        .iter()
        .map(|k| size(packing, k.draw))
        .collect();
    let mut prices = prices.to_vec();
    let mut best = fill_all(packing, &mut prices, &sizes, meter);
    let most_steps = meter.steps() + meter.left() / SHARE;
    for _ in 1..rounds {
        if best.cost <= least || meter.is_stopped() || meter.steps() > most_steps {
            break;
        }
        let other = fill_all(packing, &mut prices, &sizes, meter);
        if other.cost < best.cost {
            best = other;
        }
    }
    best
}

/// The share of a whole circuit that such a load takes, in parts of [`ONE`].
pub(super) fn size(packing: &Packing, draw: Amps) -> u64 {
    let whole = packing.new.as_ref().map_or_else(
        || {
            packing.rooms.iter().fold(Amps::default(), |a, r| Amps {
                running_ma: a.running_ma.max(r.free.running_ma),
                peak_ma: a.peak_ma.max(r.free.peak_ma),
            })
        },
        |(room, _)| room.free,
    );
    let part = |a: u32, b: u32| u64::from(a) * ONE / u64::from(b.max(1));
    part(draw.running_ma, whole.running_ma).max(part(draw.peak_ma, whole.peak_ma)) + 1
}

fn fill_all(packing: &Packing, prices: &mut [u64], sizes: &[u64], meter: &mut Meter<'_>) -> Packed {
    let mut left = packing.counts();
    let fill = |room: &Room, left: &mut Counts, prices: &mut [u64], meter: &mut Meter<'_>| {
        let mut counts = best_fill(room, &packing.kinds, left, prices, Care::Quick, meter).counts;
        top_up(packing, room, left, &mut counts);
        for (n, c) in left.iter_mut().zip(&counts) {
            *n -= c;
        }
        correct(prices, sizes, &counts);
        counts
    };
    let rooms: Vec<Counts> = packing
        .rooms
        .iter()
        .map(|room| fill(room, &mut left, prices, meter))
        .collect();
    let mut new = Vec::new();
    if let Some((room, most)) = &packing.new {
        while new.len() < *most
            && left
                .iter()
                .zip(&packing.kinds)
                .any(|(n, k)| *n > 0 && room.takes(k))
        {
            new.push(fill(room, &mut left, prices, meter));
        }
    }
    Packed::of(packing, rooms, new)
}

/// Adds whatever still fits, the greatest first.
fn top_up(packing: &Packing, room: &Room, left: &[usize], counts: &mut Counts) {
    let Some(mut free) = free_after(packing, room, counts) else {
        return;
    };
    for (k, kind) in packing.kinds.iter().enumerate() {
        if !room.takes(kind) {
            continue;
        }
        while counts[k] < left[k] {
            let Some(less) = free.less(kind.draw) else {
                break;
            };
            counts[k] += 1;
            if !super::seats::can_seat(room, &packing.kinds, counts) {
                counts[k] -= 1;
                break;
            }
            free = less;
        }
    }
}

/// What these loads leave of a room; `None` where they are too much.
pub(super) fn free_after(packing: &Packing, room: &Room, counts: &[usize]) -> Option<Amps> {
    let mut free = room.free;
    for (kind, count) in packing.kinds.iter().zip(counts) {
        for _ in 0..*count {
            free = free.less(kind.draw)?;
        }
    }
    Some(free)
}

/// Loads of a circuit that is badly filled cost more in the next round, so that they are looked at earlier.
fn correct(prices: &mut [u64], sizes: &[u64], counts: &[usize]) {
    let full: u64 = sizes.iter().zip(counts).map(|(s, c)| s * *c as u64).sum();
    if full == 0 {
        return;
    }
    for ((price, size), count) in prices.iter_mut().zip(sizes).zip(counts) {
        if *count > 0 {
            let fair = u128::from(*size) * u128::from(ONE) / u128::from(full);
            let fair = u64::try_from(fair).unwrap_or(*size);
            *price = (3 * *price + fair.max(*size)) / 4;
        }
    }
}
