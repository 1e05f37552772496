//! The best prices for a bound: column generation over what single circuits may hold (Gilmore and Gomory 1961). Floating
//! point only looks for prices; what they prove is worked out in whole numbers by `bound`, so no rounding can make a bound
//! untrue.

use super::bound::{ONE, Priced, least, top};
use super::fills::{Care, best_fill};
use super::meter::Meter;
use super::packing::{Counts, Packed, Packing};

/// Rounds of new columns at most.
const ROUNDS: usize = 400;
/// The part of the steps left that may go into prices.
const SHARE: u64 = 2;
/// How much of the prices that prove most is kept when new ones are tried, in tenths: prices of the programme alone swing
/// to and fro (smoothing, Wentges 1997).
const STEADY: u64 = 7;
/// What counts as nothing in prices, whose unit is one circuit.
const SMALL: f64 = 1e-9;

/// Prices that prove more than `start`, where they are found before a cost of `enough` is proved or the rounds end. The
/// circuits of `known` are the first columns.
pub(super) fn better(
    packing: &Packing,
    start: Priced,
    known: &Packed,
    enough: u64,
    meter: &mut Meter<'_>,
) -> Priced {
    let mut master = Master::of(packing);
    for (room, counts) in known.rooms.iter().enumerate() {
        master.enter(&master.column(Some(room), counts));
    }
    for counts in &known.new {
        master.enter(&master.column(None, counts));
    }
    let mut proved = start;
    let mut tenths = STEADY;
    let most_steps = meter.steps() + meter.left() / SHARE;
    for _ in 0..ROUNDS {
        if meter.steps() > most_steps || least(packing, proved.bound) >= enough {
            break;
        }
        let each = between(&proved.each, &master.prices(), tenths);
        let priced = hold(packing, &each, meter);
        if let Some(stronger) = proves_more(packing, &each, &priced, proved.bound, meter) {
            proved = stronger;
        }
        let value = master.value();
        let reached = least(packing, proved.bound) as f64 >= value - 1e-6;
        let mut entered = false;
        for (room, counts) in priced.fills {
            entered |= master.enter(&master.column(room, &counts));
        }
        entered |= master.enter_rest();
        if reached || (!entered && tenths == 0) {
            break;
        }
        tenths = if entered { STEADY } else { 0 };
    }
    proved
}

/// Prices part of the way from some to others.
fn between(steady: &[u64], new: &[u64], tenths: u64) -> Vec<u64> {
    let mix = |(a, b): (&u64, &u64)| (a * tenths + b * (10 - tenths)) / 10;
    steady.iter().zip(new).map(mix).collect()
}

/// What each circuit may hold at some prices.
struct Held {
    fills: Vec<(Option<usize>, Counts)>,
    rooms: i128,
    new: u64,
}

fn hold(packing: &Packing, each: &[u64], meter: &mut Meter<'_>) -> Held {
    let counts = packing.counts();
    let mut held = Held {
        fills: Vec::new(),
        rooms: 0,
        new: ONE,
    };
    if let Some((room, _)) = &packing.new {
        let best = best_fill(room, &packing.kinds, &counts, each, Care::Near, meter);
        held.new = best.at_most;
        held.fills.push((None, best.counts));
    }
    for (k, room) in packing.rooms.iter().enumerate() {
        let best = best_fill(room, &packing.kinds, &counts, each, Care::Near, meter);
        held.rooms += i128::from(best.at_most);
        held.fills.push((Some(k), best.counts));
    }
    held
}

/// These prices as they are, or made smaller so that no added circuit holds more than its own price, whichever is worth a
/// proof of its own.
fn proves_more(
    packing: &Packing,
    each: &[u64],
    held: &Held,
    bound: i128,
    meter: &mut Meter<'_>,
) -> Option<Priced> {
    let sum: i128 = each
        .iter()
        .zip(&packing.kinds)
        .map(|(p, k)| i128::from(*p) * k.loads.len() as i128)
        .sum();
    let over = i128::from(held.new.max(ONE) - ONE);
    let plain = sum - held.rooms - over * packing.most_new() as i128;
    let small = (sum - held.rooms) * i128::from(ONE) / i128::from(held.new.max(1));
    if plain.max(small) <= bound {
        return None;
    }
    let each = if plain >= small {
        each.to_vec()
    } else {
        let scale = |p: &u64| u128::from(*p) * u128::from(ONE) / u128::from(held.new.max(1));
        each.iter()
            .map(|p| u64::try_from(scale(p)).unwrap_or(u64::MAX))
            .collect()
    };
    Some(Priced::of(packing, each, Care::Full, meter)).filter(|p| p.bound > bound)
}

/// A column: what it gives to each row, and what it costs.
struct Column {
    entries: Vec<(usize, f64)>,
    cost: f64,
}

/// The linear programme of the columns met so far, by the revised simplex method with a dense inverse. Rows: each kind is
/// covered, each room is used once, no more circuits are added than may be.
struct Master<'a> {
    packing: &'a Packing,
    inverse: Vec<Vec<f64>>,
    /// Value and cost of the column that is basic in each row.
    basic: Vec<(f64, f64)>,
}

impl<'a> Master<'a> {
    /// Starts with every load without power.
    fn of(packing: &'a Packing) -> Self {
        let mut basic: Vec<(f64, f64)> = packing
            .kinds
            .iter()
            .map(|k| (k.loads.len() as f64, packing.unpowered(k) as f64))
            .collect();
        basic.extend(packing.rooms.iter().map(|_| (1.0, 0.0)));
        basic.push((packing.most_new() as f64, 0.0));
        let rows = basic.len();
        let inverse = (0..rows)
            .map(|i| (0..rows).map(|j| f64::from(u8::from(i == j))).collect())
            .collect();
        Self {
            packing,
            inverse,
            basic,
        }
    }

    fn kinds(&self) -> usize {
        self.packing.kinds.len()
    }

    fn column(&self, room: Option<usize>, counts: &[usize]) -> Column {
        let mut entries: Vec<(usize, f64)> = counts
            .iter()
            .enumerate()
            .filter(|(_, n)| **n > 0)
            .map(|(k, n)| (k, *n as f64))
            .collect();
        let of = room.unwrap_or(self.packing.rooms.len());
        entries.push((self.kinds() + of, 1.0));
        Column {
            entries,
            cost: if room.is_some() { 0.0 } else { 1.0 },
        }
    }

    /// What the columns cost in all.
    fn value(&self) -> f64 {
        self.basic.iter().map(|(x, cost)| x * cost).sum()
    }

    fn dual(&self) -> Vec<f64> {
        let mut dual = vec![0.0; self.basic.len()];
        for ((_, cost), row) in self.basic.iter().zip(&self.inverse) {
            if *cost != 0.0 {
                for (d, b) in dual.iter_mut().zip(row) {
                    *d += cost * b;
                }
            }
        }
        dual
    }

    /// Prices in whole parts of a circuit.
    fn prices(&self) -> Vec<u64> {
        self.dual()
            .iter()
            .zip(&self.packing.kinds)
            .map(|(d, kind)| whole(*d, top(self.packing, kind)))
            .collect()
    }

    /// Takes a column into the basis where it makes the programme cheaper.
    fn enter(&mut self, column: &Column) -> bool {
        let dual = self.dual();
        let gain: f64 = column.entries.iter().map(|(row, a)| dual[*row] * a).sum();
        if gain - column.cost <= SMALL {
            return false;
        }
        let along: Vec<f64> = self
            .inverse
            .iter()
            .map(|row| column.entries.iter().map(|(k, a)| row[*k] * a).sum())
            .collect();
        let mut leaving: Option<(usize, f64)> = None;
        for (k, a) in along.iter().enumerate() {
            if *a > SMALL {
                let ratio = self.basic[k].0 / a;
                // Of equal ratios the largest pivot, which keeps the inverse accurate.
                let closer = leaving.is_none_or(|(best, least)| {
                    ratio < least - SMALL || (ratio < least + SMALL && *a > along[best])
                });
                if closer {
                    leaving = Some((k, ratio));
                }
            }
        }
        let Some((row, _)) = leaving else {
            return false;
        };
        self.pivot(row, &along, column.cost);
        true
    }

    fn pivot(&mut self, row: usize, along: &[f64], cost: f64) {
        let pivot = along[row];
        let value = (self.basic[row].0 / pivot).max(0.0);
        let leaving: Vec<f64> = self.inverse[row].iter().map(|b| b / pivot).collect();
        for (k, a) in along.iter().enumerate() {
            if k != row && a.abs() > 0.0 {
                self.basic[k].0 = (self.basic[k].0 - a * value).max(0.0);
                for (b, l) in self.inverse[k].iter_mut().zip(&leaving) {
                    *b -= a * l;
                }
            }
        }
        self.inverse[row] = leaving;
        self.basic[row] = (value, cost);
    }

    /// Columns of what is left over (more loads covered than there are, rooms and circuits not used) and of loads without
    /// power.
    fn enter_rest(&mut self) -> bool {
        let dual = self.dual();
        let mut entered = false;
        for (row, price) in dual.iter().enumerate() {
            let kind = self.packing.kinds.get(row);
            let is_kind = kind.is_some();
            let wrong = if is_kind { -*price } else { *price };
            if wrong > SMALL {
                let sign = if is_kind { -1.0 } else { 1.0 };
                entered |= self.enter(&Column {
                    entries: vec![(row, sign)],
                    cost: 0.0,
                });
            }
            if let Some(kind) = kind {
                let cost = self.packing.unpowered(kind) as f64;
                if *price > cost + SMALL {
                    entered |= self.enter(&Column {
                        entries: vec![(row, 1.0)],
                        cost,
                    });
                }
            }
        }
        entered
    }
}

/// A price in whole parts of a circuit, from 0 to `most`.
fn whole(price: f64, most: u64) -> u64 {
    let parts = (price * ONE as f64).round();
    if parts >= most as f64 {
        most
    } else if parts > 0.0 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held between 0 and a u64 above"
        )]
        let parts = parts as u64;
        parts
    } else {
        0
    }
}
