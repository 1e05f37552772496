//! As many loads with power as possible on as few added circuits as possible: bounds from prices, quick answers, then a
//! search circuit by circuit that closes the gap. What fills a circuit badly at the prices of the bound spends the gap; where
//! nothing is left of it the branch ends.

use std::collections::BTreeMap;

use super::bound::{self, ONE, Priced, least, parts};
use super::fills::{Care, all_fills, best_fill};
use super::greedy;
use super::meter::Meter;
use super::packing::{Counts, Kind, NEW, Packed, Packing, Room};
use super::prices;
use super::problem::Amps;
use super::seats::can_seat;

/// Rounds of quick answers from each start, before there are good prices and after.
const QUICK_ROUNDS: usize = 3;
const ROUNDS: usize = 30;
/// Sets of loads looked at for one circuit in one place of the search.
const MOST_FILLS: usize = 20_000;
/// States of the search that are remembered.
const MOST_STATES: usize = 200_000;

/// The best answer and what is proved of it.
#[derive(Clone, Debug)]
pub(super) struct Fewest {
    pub packed: Packed,
    /// No answer costs less than this.
    pub least: u64,
}

/// Searches until it is proved or the meter ends.
pub(super) fn fewest(packing: &Packing, meter: &mut Meter<'_>) -> Fewest {
    let mut best = greedy::filled(packing, &sizes(packing), 1, 0, meter);
    let mut priced = bound::simple(packing, parts(best.cost) - i128::from(ONE), meter);
    let mut open = least(packing, priced.bound);
    improve(packing, &priced, QUICK_ROUNDS, open, &mut best, meter);
    if best.cost > open {
        priced = prices::better(packing, priced, &best, best.cost, meter);
        open = least(packing, priced.bound);
        improve(packing, &priced, ROUNDS, open, &mut best, meter);
    }
    if best.cost > open && !needs_as_many(packing, &priced, &best, open, meter) {
        let found = searched(packing, &priced, best, open, meter);
        let is_least = found.packed.cost == found.least;
        if is_least || !needs_as_many(packing, &priced, &found.packed, open, meter) {
            return found;
        }
        best = found.packed;
    }
    Fewest {
        least: best.cost,
        packed: best,
    }
}

/// Whether no answer with as many loads and fewer added circuits can be, where none has more loads: with one circuit fewer
/// to add, the bound of the loads without power is higher.
fn needs_as_many(
    packing: &Packing,
    priced: &Priced,
    best: &Packed,
    open: u64,
    meter: &mut Meter<'_>,
) -> bool {
    let unit = packing.unpowered_cost;
    if best.cost / unit > open / unit || best.new.is_empty() {
        return false;
    }
    let mut fewer = packing.clone();
    if let Some((_, most)) = &mut fewer.new {
        *most = best.new.len() - 1;
    }
    let start = Priced::of(&fewer, priced.each.clone(), Care::Full, meter);
    let start = prices::better(&fewer, start, best, best.cost, meter);
    least(&fewer, start.bound) >= best.cost
}

/// Quick answers from three starts: by size, by the prices of the bound, and all alike.
fn improve(
    packing: &Packing,
    priced: &Priced,
    rounds: usize,
    open: u64,
    best: &mut Packed,
    meter: &mut Meter<'_>,
) {
    let even = vec![ONE; packing.kinds.len()];
    for start in [priced.each.clone(), sizes(packing), even] {
        if best.cost <= open || meter.is_stopped() {
            break;
        }
        let other = greedy::filled(packing, &start, rounds, open, meter);
        if other.cost < best.cost {
            *best = other;
        }
    }
}

fn sizes(packing: &Packing) -> Vec<u64> {
    packing
        .kinds
        .iter()
        .map(|k| greedy::size(packing, k.draw))
        .collect()
}

/// The search over circuits one after the other.
fn searched(
    packing: &Packing,
    priced: &Priced,
    best: Packed,
    open: u64,
    meter: &mut Meter<'_>,
) -> Fewest {
    let merged = Merged::of(packing);
    let new_priced = bound::simple(&merged.packing, i128::MAX, meter);
    let mut search = Search {
        packing,
        priced,
        merged: &merged,
        new_priced: &new_priced,
        dominance: vec![None; packing.rooms.len()],
        best_cost: parts(best.cost),
        best,
        enough: parts(open),
        states: BTreeMap::new(),
        rooms: Vec::new(),
        new: Vec::new(),
        missed: false,
        meter,
    };
    search.existing(0, &packing.counts(), priced.bound);
    let proved = !search.missed && !search.meter.is_stopped();
    let packed = search.best;
    let least = if proved || packed.cost <= open {
        packed.cost
    } else {
        open
    };
    Fewest { packed, least }
}

/// The loads that may go to added circuits, where only what they draw tells them apart.
struct Merged {
    packing: Packing,
    /// For each kind of the whole packing its kind here.
    of: Vec<Option<usize>>,
}

impl Merged {
    fn of(packing: &Packing) -> Self {
        let mut kinds: Vec<Kind> = Vec::new();
        let mut at: BTreeMap<Amps, usize> = BTreeMap::new();
        let mut of = Vec::new();
        for kind in &packing.kinds {
            of.push(kind.reaches(NEW).then(|| {
                let k = *at.entry(kind.draw).or_insert_with(|| {
                    kinds.push(Kind {
                        draw: kind.draw,
                        reach: vec![NEW],
                        is_pinned: false,
                        loads: Vec::new(),
                    });
                    kinds.len() - 1
                });
                kinds[k].loads.extend(&kind.loads);
                k
            }));
        }
        let packing = Packing {
            kinds,
            rooms: Vec::new(),
            new: packing.new.clone(),
            unpowered_cost: packing.unpowered_cost,
        };
        Self { packing, of }
    }
}

/// For each kind, which kinds may take its place without loss.
type Dominance = Vec<Vec<bool>>;

struct Search<'a, 'm> {
    packing: &'a Packing,
    priced: &'a Priced,
    merged: &'a Merged,
    new_priced: &'a Priced,
    dominance: Vec<Option<Dominance>>,
    best: Packed,
    best_cost: i128,
    /// An answer as good as this ends the search.
    enough: i128,
    /// The least bound with which each state was entered: rooms done and loads left.
    states: BTreeMap<(usize, Counts), i128>,
    rooms: Vec<Counts>,
    /// Added circuits, by kinds of the merged packing.
    new: Vec<Counts>,
    /// Whether some branch was left out without proof.
    missed: bool,
    meter: &'a mut Meter<'m>,
}

impl Search<'_, '_> {
    /// What may still be spent above the bound for a better answer than the best; `None`: nothing.
    fn slack(&self, bound: i128) -> Option<i128> {
        let slack = self.best_cost - i128::from(ONE) - bound;
        (slack >= 0 && self.best_cost > self.enough).then_some(slack)
    }

    /// Whether this state was entered before at no greater spending.
    fn is_known(&mut self, room: usize, left: &Counts, spent: i128) -> bool {
        let key = (room, left.clone());
        if let Some(before) = self.states.get_mut(&key) {
            if *before <= spent {
                return true;
            }
            *before = spent;
        } else if self.states.len() < MOST_STATES {
            self.states.insert(key, spent);
        }
        false
    }

    fn existing(&mut self, at: usize, left: &Counts, bound: i128) {
        let Some(slack) = self.slack(bound) else {
            return;
        };
        if !self.meter.step() || self.is_known(at, left, bound) {
            return;
        }
        let Some(room) = self.packing.rooms.get(at) else {
            self.first_new(left, bound);
            return;
        };
        let most = self.priced.rooms[at];
        let need = least_worth(most, slack);
        let kinds = &self.packing.kinds;
        let each = &self.priced.each;
        let all = all_fills(room, kinds, left, each, need, MOST_FILLS, self.meter);
        let fills = if let Some(fills) = all {
            self.undominated(at, fills, left)
        } else {
            self.missed = true;
            vec![self.best_alone(room, kinds, left, each)]
        };
        for (value, counts) in fills {
            let rest = minus(left, &counts);
            self.rooms.push(counts);
            self.existing(at + 1, &rest, bound + i128::from(most) - i128::from(value));
            self.rooms.pop();
        }
    }

    /// Leaves out sets in which a load could be exchanged for one that is harder to put elsewhere.
    fn undominated(
        &mut self,
        at: usize,
        fills: Vec<(u64, Counts)>,
        left: &[usize],
    ) -> Vec<(u64, Counts)> {
        let packing = self.packing;
        let room = &packing.rooms[at];
        let harder = self.dominance[at].get_or_insert_with(|| dominance(packing, at));
        fills
            .into_iter()
            .filter(|(_, counts)| {
                let Some(free) = greedy::free_after(packing, room, counts) else {
                    return false;
                };
                !exchangeable(&packing.kinds, counts, left, free, harder, &|c| {
                    can_seat(room, &packing.kinds, c)
                        && c.iter()
                            .zip(&packing.kinds)
                            .all(|(n, k)| *n == 0 || room.takes(k))
                })
            })
            .collect()
    }

    /// The best set where there are too many to look at all.
    fn best_alone(
        &mut self,
        room: &Room,
        kinds: &[Kind],
        left: &[usize],
        each: &[u64],
    ) -> (u64, Counts) {
        let counts = best_fill(room, kinds, left, each, Care::Quick, self.meter).counts;
        (worth(each, &counts), counts)
    }

    /// All rooms are done: what may not go to an added circuit stays without power.
    fn first_new(&mut self, left: &Counts, bound: i128) {
        let mut merged = vec![0; self.merged.packing.kinds.len()];
        let mut unpowered = 0;
        for (k, n) in left.iter().enumerate() {
            match self.merged.of[k] {
                Some(m) => merged[m] += n,
                None => unpowered += self.packing.unpowered(&self.packing.kinds[k]) * *n as u64,
            }
        }
        let sum: i128 = self
            .new_priced
            .each
            .iter()
            .zip(&merged)
            .map(|(p, n)| i128::from(*p) * *n as i128)
            .sum();
        let most = self.packing.most_new();
        let over = i128::from(self.new_priced.new - ONE) * most as i128;
        let alone = parts(unpowered) + sum - over;
        if self.slack(bound).is_some() {
            self.added(left, merged, alone);
        }
    }

    /// The next added circuit, with the hardest load that is left on it or without power.
    fn added(&mut self, before: &Counts, left: Counts, bound: i128) {
        let Some(slack) = self.slack(bound) else {
            return;
        };
        let Some(seed) = left.iter().position(|n| *n > 0) else {
            self.take(before);
            return;
        };
        let depth = self.packing.rooms.len() + 1 + self.new.len();
        if !self.meter.step() || self.is_known(depth, &left, bound) {
            return;
        }
        let merged = self.merged;
        let kinds = &merged.packing.kinds;
        let each = &self.new_priced.each;
        let mut rest = left;
        rest[seed] -= 1;
        if let Some((room, most)) = &merged.packing.new
            && self.new.len() < *most
            && let Some(free) = room.free.less(kinds[seed].draw)
        {
            let mut beside = room.clone();
            beside.free = free;
            beside.outlets = vec![(NEW, room.receptacles() - 1)];
            let hold = self.new_priced.new;
            let need = least_worth(hold, slack).saturating_sub(each[seed]);
            let all = all_fills(&beside, kinds, &rest, each, need, MOST_FILLS, self.meter);
            let fills = if let Some(mut fills) = all {
                fills.retain(|(_, counts)| !is_exchangeable(kinds, free, counts, &rest));
                fills
            } else {
                self.missed = true;
                vec![self.best_alone(&beside, kinds, &rest, each)]
            };
            for (value, mut counts) in fills {
                let after = minus(&rest, &counts);
                counts[seed] += 1;
                self.new.push(counts);
                let spent = i128::from(hold) - i128::from(value) - i128::from(each[seed]);
                self.added(before, after, bound + spent);
                self.new.pop();
            }
        }
        let dropped = parts(self.packing.unpowered_cost) - i128::from(each[seed]);
        self.added(before, rest, bound + dropped);
    }

    /// A better answer: the added circuits by draw become circuits by kind.
    fn take(&mut self, before: &Counts) {
        let mut left = before.clone();
        let mut new = Vec::new();
        for circuit in &self.new {
            let mut wanted = circuit.clone();
            let mut counts = vec![0; left.len()];
            for k in 0..left.len() {
                if let Some(m) = self.merged.of[k] {
                    let n = wanted[m].min(left[k]);
                    wanted[m] -= n;
                    left[k] -= n;
                    counts[k] = n;
                }
            }
            new.push(counts);
        }
        let packed = Packed::of(self.packing, self.rooms.clone(), new);
        if packed.cost < self.best.cost {
            self.best_cost = parts(packed.cost);
            self.best = packed;
        }
    }
}

/// The same as [`exchangeable`] for added circuits, where what draws more is harder.
fn is_exchangeable(kinds: &[Kind], free: Amps, counts: &[usize], left: &[usize]) -> bool {
    let mut after = Some(free);
    for (kind, n) in kinds.iter().zip(counts) {
        for _ in 0..*n {
            after = after.and_then(|f| f.less(kind.draw));
        }
    }
    let Some(after) = after else {
        return true;
    };
    (0..kinds.len()).filter(|i| left[*i] > counts[*i]).any(|i| {
        (0..kinds.len()).any(|j| {
            counts[j] > 0
                && i != j
                && kinds[i].draw.covers(kinds[j].draw)
                && fits_instead(after, kinds[j].draw, kinds[i].draw)
        })
    })
}

/// What a set must be worth, where so much may be spent.
fn least_worth(most: u64, slack: i128) -> u64 {
    u64::try_from(i128::from(most) - slack).unwrap_or(0)
}

fn worth(each: &[u64], counts: &[usize]) -> u64 {
    each.iter().zip(counts).map(|(p, n)| p * *n as u64).sum()
}

fn minus(left: &[usize], counts: &[usize]) -> Counts {
    left.iter().zip(counts).map(|(n, c)| n - c).collect()
}

fn fits_instead(free: Amps, out: Amps, into: Amps) -> bool {
    let grown =
        |free: u32, out: u32, into: u32| u64::from(free) + u64::from(out) >= u64::from(into);
    grown(free.running_ma, out.running_ma, into.running_ma)
        && grown(free.peak_ma, out.peak_ma, into.peak_ma)
}

/// Which kinds are harder than which once room `at` is done: they draw no less and reach nothing more of what comes later.
/// Of two alike the first counts as harder, so that exchanges cannot go round in a circle.
fn dominance(packing: &Packing, at: usize) -> Dominance {
    let later: Vec<usize> = packing
        .rooms
        .iter()
        .skip(at + 1)
        .flat_map(|r| r.outlets.iter().map(|(o, _)| *o))
        .chain([NEW])
        .collect();
    let reach: Vec<Vec<bool>> = packing
        .kinds
        .iter()
        .map(|k| later.iter().map(|o| k.reaches(*o)).collect())
        .collect();
    let harder = |i: usize, j: usize| {
        let (a, b) = (&packing.kinds[i], &packing.kinds[j]);
        a.draw.covers(b.draw)
            && (a.is_pinned || !b.is_pinned)
            && reach[i].iter().zip(&reach[j]).all(|(x, y)| !x || *y)
            && !(a.draw == b.draw && a.is_pinned == b.is_pinned && reach[i] == reach[j] && i >= j)
    };
    let n = packing.kinds.len();
    (0..n)
        .map(|i| (0..n).map(|j| harder(i, j)).collect())
        .collect()
}

/// Whether a harder load left outside could be here instead of one that is in the set.
fn exchangeable(
    kinds: &[Kind],
    counts: &[usize],
    left: &[usize],
    free: Amps,
    harder: &Dominance,
    can: &dyn Fn(&[usize]) -> bool,
) -> bool {
    let mut tried = counts.to_vec();
    for i in (0..kinds.len()).filter(|i| left[*i] > counts[*i]) {
        for j in (0..kinds.len()).filter(|j| counts[*j] > 0 && harder[i][*j]) {
            if !fits_instead(free, kinds[j].draw, kinds[i].draw) {
                continue;
            }
            tried[i] += 1;
            tried[j] -= 1;
            let fits = can(&tried);
            tried[i] -= 1;
            tried[j] += 1;
            if fits {
                return true;
            }
        }
    }
    false
}
