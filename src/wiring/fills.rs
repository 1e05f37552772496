//! What one circuit may hold: the loads worth most at given prices, or all sets worth enough. Branch and bound over two
//! currents and the receptacles; knows nothing of other circuits.

use std::collections::BTreeMap;

use super::meter::Meter;
use super::packing::{Counts, Kind, Room};
use super::problem::Amps;
use super::seats::can_seat;

/// The weight of a full circuit in one resource.
const FULL: u64 = 1 << 24;
/// Shares of running current, peak current and receptacles in the one weight that orders the search.
const MIXES: [[u64; 3]; 7] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
    [1, 1, 0],
    [2, 1, 0],
    [1, 2, 0],
    [1, 1, 1],
];

/// How carefully the best loads of one circuit are looked for. The bound is true at any care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Care {
    /// As good as can be.
    Full,
    /// Within a thousandth.
    Near,
    /// Good ones, soon.
    Quick,
    /// Only the bound, without a search.
    Bound,
}

impl Care {
    /// Steps after which the best is taken as found.
    fn most_steps(self) -> u64 {
        match self {
            Self::Full | Self::Near => 20_000,
            Self::Quick => 4000,
            Self::Bound => 0,
        }
    }

    /// What may be lost of so much.
    fn may_lose(self, value: u64) -> u64 {
        match self {
            Self::Full | Self::Bound => 0,
            Self::Near => value >> 10,
            Self::Quick => value >> 7,
        }
    }
}

/// One weight made of the three resources. Any shares give a true bound.
#[derive(Clone, Copy)]
struct Mix {
    running: u64,
    peak: u64,
    receptacle: u64,
}

impl Mix {
    fn new(shares: [u64; 3], room: &Room) -> Self {
        let [running, peak, receptacle] = shares;
        Self {
            running: running * FULL / u64::from(room.free.running_ma.max(1)),
            peak: peak * FULL / u64::from(room.free.peak_ma.max(1)),
            receptacle: receptacle * FULL / (room.receptacles().max(1) as u64),
        }
    }

    fn weight(self, draw: Amps, receptacles: usize) -> u64 {
        self.running * u64::from(draw.running_ma)
            + self.peak * u64::from(draw.peak_ma)
            + self.receptacle * receptacles as u64
    }
}

/// A kind that fits, at its price.
#[derive(Clone, Copy)]
struct Item {
    kind: usize,
    value: u64,
    most: usize,
    draw: Amps,
    weight: u64,
    /// The item before it that draws the same and reaches the same outlets here, at a price no lower.
    like: Option<usize>,
}

/// Kinds of a room in the order of the search.
struct Ordered {
    mix: Mix,
    items: Vec<Item>,
}

impl Ordered {
    /// The order whose bound at the start is the lowest.
    fn of(room: &Room, kinds: &[Kind], left: &[usize], prices: &[u64], with_free: bool) -> Self {
        let fitting: Vec<usize> = (0..kinds.len())
            .filter(|k| left[*k] > 0 && (with_free || prices[*k] > 0) && room.takes(&kinds[*k]))
            .collect();
        let ordered = |shares: &[u64; 3]| {
            let mix = Mix::new(*shares, room);
            let mut items: Vec<Item> = fitting
                .iter()
                .map(|&kind| Item {
                    kind,
                    value: prices[kind],
                    most: most_of(room, kinds[kind].draw, left[kind]),
                    draw: kinds[kind].draw,
                    weight: mix.weight(kinds[kind].draw, 1),
                    like: None,
                })
                .collect();
            items.sort_by(|a, b| {
                let left = u128::from(a.value) * u128::from(b.weight);
                let right = u128::from(b.value) * u128::from(a.weight);
                right
                    .cmp(&left)
                    .then(b.value.cmp(&a.value))
                    .then(a.kind.cmp(&b.kind))
            });
            let ordered = Self { mix, items };
            (ordered.at_most(0, room.free, room.receptacles()), ordered)
        };
        let mut best = ordered(&MIXES[0]);
        for shares in MIXES.iter().skip(1) {
            let other = ordered(shares);
            if other.0 < best.0 {
                best = other;
            }
        }
        best.1.link(room, kinds);
        best.1
    }

    /// Finds for every item the one before it that it can be exchanged for.
    fn link(&mut self, room: &Room, kinds: &[Kind]) {
        let mut last: BTreeMap<(Amps, Vec<bool>), usize> = BTreeMap::new();
        for (k, item) in self.items.iter_mut().enumerate() {
            let reach = room
                .outlets
                .iter()
                .map(|(o, _)| kinds[item.kind].reaches(*o));
            item.like = last.insert((item.draw, reach.collect()), k);
        }
    }

    /// No choice among the items from `k` on is worth more.
    fn at_most(&self, k: usize, free: Amps, receptacles: usize) -> u64 {
        let mut room = self.mix.weight(free, receptacles);
        let mut value = 0;
        for item in &self.items[k..] {
            let all = item.weight * item.most as u64;
            if all <= room {
                room -= all;
                value += item.value * item.most as u64;
            } else {
                let part = u128::from(item.value) * u128::from(room) / u128::from(item.weight);
                return value + u64::try_from(part).unwrap_or(u64::MAX - value);
            }
        }
        value
    }
}

fn most_of(room: &Room, draw: Amps, left: usize) -> usize {
    let by = |free: u32, one: u32| free.checked_div(one).map_or(left, |n| n as usize);
    by(room.free.running_ma, draw.running_ma)
        .min(by(room.free.peak_ma, draw.peak_ma))
        .min(room.receptacles())
        .min(left)
}

/// The most valuable loads of one room.
#[derive(Clone, Debug)]
pub(super) struct Best {
    pub counts: Counts,
    /// No choice is worth more than this; what `counts` is worth, but where the search was cut short.
    pub at_most: u64,
}

/// The loads worth most in this room, out of `left`, at these prices for one load of each kind.
pub(super) fn best_fill(
    room: &Room,
    kinds: &[Kind],
    left: &[usize],
    prices: &[u64],
    care: Care,
    meter: &mut Meter<'_>,
) -> Best {
    let ordered = Ordered::of(room, kinds, left, prices, false);
    let root = ordered.at_most(0, room.free, room.receptacles());
    let mut search = Fills {
        room,
        kinds,
        ordered: &ordered,
        need: 1,
        counts: vec![0; kinds.len()],
        found: Vec::new(),
        keep: Keep::Best(care.may_lose(root)),
        steps: care.most_steps(),
        cut: false,
    };
    search.go(0, room.free, room.receptacles(), 0, meter);
    let (value, counts) = search
        .found
        .pop()
        .unwrap_or_else(|| (0, vec![0; kinds.len()]));
    Best {
        counts,
        at_most: if search.cut {
            root
        } else {
            root.min(value + care.may_lose(root))
        },
    }
}

/// All sets worth at least `need` to which no load of `left` can be added, most valuable first. `None` where there are more
/// than `most` of them or the search was stopped.
pub(super) fn all_fills(
    room: &Room,
    kinds: &[Kind],
    left: &[usize],
    prices: &[u64],
    need: u64,
    most: usize,
    meter: &mut Meter<'_>,
) -> Option<Vec<(u64, Counts)>> {
    let ordered = Ordered::of(room, kinds, left, prices, true);
    let mut search = Fills {
        room,
        kinds,
        ordered: &ordered,
        need,
        counts: vec![0; kinds.len()],
        found: Vec::new(),
        keep: Keep::Maximal(most),
        steps: u64::MAX,
        cut: false,
    };
    search.go(0, room.free, room.receptacles(), 0, meter);
    if search.cut {
        return None;
    }
    let mut found = search.found;
    found.sort_by(|a, b| b.cmp(a));
    Some(found)
}

/// Which sets are kept.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Keep {
    /// Only the most valuable one, where so much may be lost.
    Best(u64),
    /// All that nothing can be added to, up to so many.
    Maximal(usize),
}

struct Fills<'a> {
    room: &'a Room,
    kinds: &'a [Kind],
    ordered: &'a Ordered,
    /// Sets worth less are of no use.
    need: u64,
    counts: Counts,
    found: Vec<(u64, Counts)>,
    keep: Keep,
    steps: u64,
    /// Whether some set may have been missed.
    cut: bool,
}

impl Fills<'_> {
    fn go(&mut self, k: usize, free: Amps, receptacles: usize, value: u64, meter: &mut Meter<'_>) {
        if self.cut || value + self.ordered.at_most(k, free, receptacles) < self.need {
            return;
        }
        if self.steps == 0 || !meter.step() {
            self.cut = true;
            return;
        }
        self.steps -= 1;
        let Some(item) = self.ordered.items.get(k).copied() else {
            self.leaf(free, receptacles, value);
            return;
        };
        let most = if self.may_skip(&item) {
            0
        } else {
            item.most.min(receptacles)
        };
        // What is left after 0, 1, 2 ... of this kind; the most first.
        let mut after = vec![free];
        while after.len() <= most {
            match after.last().and_then(|f| f.less(item.draw)) {
                Some(less) => after.push(less),
                None => break,
            }
        }
        for (count, less) in after.into_iter().enumerate().rev() {
            self.counts[item.kind] = count;
            if count == 0 || can_seat(self.room, self.kinds, &self.counts) {
                let worth = value + item.value * count as u64;
                self.go(k + 1, less, receptacles - count, worth, meter);
            }
        }
        self.counts[item.kind] = 0;
    }

    /// Whether another load like this one, worth no less, was left out: then this one need not be looked at.
    fn may_skip(&self, item: &Item) -> bool {
        let like = item.like.and_then(|k| self.ordered.items.get(k));
        matches!(self.keep, Keep::Best(_))
            && like.is_some_and(|like| self.counts[like.kind] < like.most)
    }

    fn leaf(&mut self, free: Amps, receptacles: usize, value: u64) {
        match self.keep {
            Keep::Best(lost) => {
                self.need = value + lost + 1;
                self.found = vec![(value, self.counts.clone())];
            }
            Keep::Maximal(most) => {
                if self.is_maximal(free, receptacles) {
                    if self.found.len() == most {
                        self.cut = true;
                        return;
                    }
                    self.found.push((value, self.counts.clone()));
                }
            }
        }
    }

    fn is_maximal(&self, free: Amps, receptacles: usize) -> bool {
        if receptacles == 0 {
            return true;
        }
        let mut counts = self.counts.clone();
        !self.ordered.items.iter().any(|item| {
            if counts[item.kind] >= item.most || !free.covers(item.draw) {
                return false;
            }
            counts[item.kind] += 1;
            let can = can_seat(self.room, self.kinds, &counts);
            counts[item.kind] -= 1;
            can
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Kinds with draws and prices that look random, on two outlets.
    fn kinds(seed: u32) -> (Vec<Kind>, Vec<u64>) {
        let mut state = seed;
        let mut next = |most: u32| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 16) % most
        };
        let kinds = (0..6)
            .map(|_| Kind {
                draw: Amps::new(10 + next(40), 10 + next(60)),
                reach: [vec![0], vec![1], vec![0, 1]][next(3) as usize].clone(),
                is_pinned: false,
                loads: vec![0; 2],
            })
            .collect();
        let prices = (0..6).map(|_| u64::from(next(100))).collect();
        (kinds, prices)
    }

    /// Every choice of none, one or two of each kind.
    fn every_choice(room: &Room, kinds: &[Kind]) -> Vec<Counts> {
        let digits = |mut n: usize| {
            let mut counts = vec![0; kinds.len()];
            for c in &mut counts {
                *c = n % 3;
                n /= 3;
            }
            counts
        };
        let fits = |counts: &Counts| {
            let sum = |f: fn(Amps) -> u32| -> usize {
                let all = kinds.iter().zip(counts);
                all.map(|(k, n)| f(k.draw) as usize * n).sum()
            };
            sum(|a| a.running_ma) <= room.free.running_ma as usize
                && sum(|a| a.peak_ma) <= room.free.peak_ma as usize
                && can_seat(room, kinds, counts)
        };
        let all = (0..3_usize.pow(6)).map(digits);
        all.filter(fits).collect()
    }

    #[test]
    fn the_best_loads_of_a_circuit_are_worth_what_trying_all_finds() {
        let room = Room {
            free: Amps::new(100, 120),
            outlets: vec![(0, 2), (1, 2)],
        };
        for seed in 0..40 {
            let (kinds, prices) = kinds(seed);
            let worth = |counts: &Counts| -> u64 {
                let all = prices.iter().zip(counts);
                all.map(|(p, n)| p * *n as u64).sum()
            };
            let choices = every_choice(&room, &kinds);
            let most = choices.iter().map(worth).max();
            let left = vec![2; kinds.len()];
            let stop = || false;
            let mut meter = Meter::new(u64::MAX, &stop);
            let best = best_fill(&room, &kinds, &left, &prices, Care::Full, &mut meter);
            assert_eq!(Some(worth(&best.counts)), most, "seed {seed}");
            assert_eq!(Some(best.at_most), most, "seed {seed}");
            for care in [Care::Near, Care::Quick, Care::Bound] {
                let near = best_fill(&room, &kinds, &left, &prices, care, &mut meter);
                assert!(Some(near.at_most) >= most, "seed {seed}: {care:?}");
            }
            let maximal = all_fills(&room, &kinds, &left, &prices, 0, 1000, &mut meter);
            let is_within = |a: &Counts, b: &Counts| a != b && a.iter().zip(b).all(|(x, y)| x <= y);
            let mut wanted: Vec<(u64, Counts)> = choices
                .iter()
                .filter(|a| !choices.iter().any(|b| is_within(a, b)))
                .map(|a| (worth(a), a.clone()))
                .collect();
            wanted.sort_by(|a, b| b.cmp(a));
            assert_eq!(maximal, Some(wanted), "seed {seed}");
        }
    }
}
