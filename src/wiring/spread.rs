//! The later aims: loads that have power are moved and exchanged among outlets and added circuits, so that circuits stay
//! below the wanted share of their limits, then the legs carry alike, then cords are short. A descent from what was found: it
//! never takes power from a load and never adds a circuit.

use super::meter::Meter;
use super::outcome::{Added, Place, Spread};
use super::problem::{Amps, Load, Problem};

/// Moves tried at most.
const MOST_STEPS: u64 = 3_000_000;

/// What is better comes first: fewer added circuits, fewer circuits over the wanted share and by less, legs nearer to each
/// other, shorter cords.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Score {
    added: usize,
    over: usize,
    over_hundredths_ma: u64,
    imbalance_ma: u64,
    cord_mm: u64,
}

/// A circuit with what hangs on it.
#[derive(Clone, Debug)]
struct Wire {
    limit: Amps,
    class: u8,
    leg: Option<u8>,
    running_ma: u64,
    peak_ma: u64,
    /// Loads of the problem on it.
    loads: usize,
    is_added: bool,
    /// Receptacles of its box, for an added circuit.
    receptacles: usize,
}

impl Wire {
    fn takes(&self, draw: Amps) -> bool {
        self.running_ma + u64::from(draw.running_ma) <= u64::from(self.limit.running_ma)
            && self.peak_ma + u64::from(draw.peak_ma) <= u64::from(self.limit.peak_ma)
    }

    /// How far it is over this share of its limits, in hundredths of a milliampere.
    fn over(&self, percent: u32) -> u64 {
        let over = |now: u64, limit: u32| {
            (now * 100).saturating_sub(u64::from(limit) * u64::from(percent))
        };
        over(self.running_ma, self.limit.running_ma) + over(self.peak_ma, self.limit.peak_ma)
    }
}

/// Loads on circuits, to be moved about.
pub(super) struct Spreading<'a> {
    problem: &'a Problem,
    /// Loads with power, in an order that does not depend on how they were entered.
    order: Vec<usize>,
    places: Vec<Place>,
    /// For each load the places it may have, sorted, each with the length of its cord.
    options: Vec<Vec<(Place, u32)>>,
    /// Circuits that exist, then those added.
    wires: Vec<Wire>,
    receptacles: Vec<u32>,
    cord_mm: u64,
    leg_sums: Vec<u64>,
}

/// Spreads the loads; `order` names all loads.
pub(super) fn spread(
    problem: &Problem,
    order: &[usize],
    places: &[Place],
    added: &[Added],
    stop: &dyn Fn() -> bool,
) -> (Vec<Place>, Vec<Added>, Spread, u64) {
    let mut spreading = Spreading::of(problem, order, places, added);
    let mut meter = Meter::new(MOST_STEPS, stop);
    spreading.choose_legs();
    while spreading.improve(&mut meter) {}
    let (places, added) = spreading.told();
    let score = spreading.score();
    let told = Spread {
        over: score.over,
        over_ma: score.over_hundredths_ma.div_ceil(100),
        imbalance_ma: score.imbalance_ma,
        imbalance_at_least_ma: spreading.imbalance_at_least(),
        cord_mm: score.cord_mm,
    };
    (places, added, told, meter.steps())
}

impl<'a> Spreading<'a> {
    fn of(problem: &'a Problem, order: &[usize], places: &[Place], added: &[Added]) -> Self {
        let existing = problem.circuits.iter().map(|c| Wire {
            limit: c.limit,
            class: c.class,
            leg: c.leg.filter(|leg| *leg < problem.legs),
            running_ma: u64::from(c.taken.running_ma),
            peak_ma: u64::from(c.taken.peak_ma),
            loads: 0,
            is_added: false,
            receptacles: 0,
        });
        let new = added.iter().filter_map(|a| {
            let offer = problem.offers.get(&a.class)?;
            Some(Wire {
                limit: offer.limit,
                class: a.class,
                leg: None,
                running_ma: 0,
                peak_ma: 0,
                loads: 0,
                is_added: true,
                receptacles: usize::try_from(offer.receptacles).unwrap_or(usize::MAX),
            })
        });
        let wires: Vec<Wire> = existing.chain(new).collect();
        let options = problem
            .loads
            .iter()
            .map(|l| options(problem, l, added))
            .collect();
        let powered = |k: &usize| !matches!(places[*k], Place::Unpowered(_));
        let mut spreading = Self {
            problem,
            order: order.iter().copied().filter(powered).collect(),
            places: places.to_vec(),
            options,
            wires,
            receptacles: problem.outlets.iter().map(|o| o.receptacles).collect(),
            cord_mm: 0,
            leg_sums: vec![0; usize::from(problem.legs)],
        };
        for wire in &spreading.wires {
            if let Some(leg) = wire.leg {
                spreading.leg_sums[usize::from(leg)] += wire.running_ma;
            }
        }
        for load in spreading.order.clone() {
            spreading.put(load, places[load]);
        }
        spreading
    }

    fn wire_of(&self, place: Place) -> Option<usize> {
        match place {
            Place::Outlet(outlet) => Some(self.problem.outlets[outlet].circuit),
            Place::Added(k) => Some(self.problem.circuits.len() + k),
            Place::Unpowered(_) => None,
        }
    }

    /// The length of a load's cord to a place it may have.
    fn cord(&self, load: usize, place: Place) -> Option<u32> {
        let options = &self.options[load];
        let at = options.binary_search_by_key(&place, |o| o.0).ok()?;
        Some(options[at].1)
    }

    fn can(&self, load: usize, place: Place) -> bool {
        let Some(wire) = self.wire_of(place).map(|w| &self.wires[w]) else {
            return false;
        };
        let is_seat = match place {
            Place::Outlet(outlet) => self.receptacles[outlet] > 0,
            Place::Added(_) => wire.loads < wire.receptacles,
            Place::Unpowered(_) => false,
        };
        is_seat && wire.takes(self.problem.loads[load].draw) && self.cord(load, place).is_some()
    }

    fn put(&mut self, load: usize, place: Place) {
        self.places[load] = place;
        let draw = self.problem.loads[load].draw;
        self.cord_mm += u64::from(self.cord(load, place).unwrap_or(0));
        if let Place::Outlet(outlet) = place {
            self.receptacles[outlet] -= 1;
        }
        if let Some(w) = self.wire_of(place) {
            let wire = &mut self.wires[w];
            wire.running_ma += u64::from(draw.running_ma);
            wire.peak_ma += u64::from(draw.peak_ma);
            wire.loads += 1;
            if let Some(leg) = wire.leg {
                self.leg_sums[usize::from(leg)] += u64::from(draw.running_ma);
            }
        }
    }

    /// Takes a load from where it is; it must be put somewhere next.
    fn lift(&mut self, load: usize) {
        let place = self.places[load];
        let draw = self.problem.loads[load].draw;
        self.cord_mm -= u64::from(self.cord(load, place).unwrap_or(0));
        if let Place::Outlet(outlet) = place {
            self.receptacles[outlet] += 1;
        }
        if let Some(w) = self.wire_of(place) {
            let wire = &mut self.wires[w];
            wire.running_ma -= u64::from(draw.running_ma);
            wire.peak_ma -= u64::from(draw.peak_ma);
            wire.loads -= 1;
            if let Some(leg) = wire.leg {
                self.leg_sums[usize::from(leg)] -= u64::from(draw.running_ma);
            }
        }
    }

    fn score(&self) -> Score {
        let mut score = Score {
            added: 0,
            over: 0,
            over_hundredths_ma: 0,
            imbalance_ma: self.imbalance(),
            cord_mm: self.cord_mm,
        };
        for wire in &self.wires {
            let over = wire.over(self.problem.fill_percent);
            score.added += usize::from(wire.is_added && wire.loads > 0);
            score.over += usize::from(over > 0);
            score.over_hundredths_ma += over;
        }
        score
    }

    fn imbalance(&self) -> u64 {
        let most = self.leg_sums.iter().max().copied().unwrap_or(0);
        let least = self.leg_sums.iter().min().copied().unwrap_or(0);
        most - least
    }

    /// Legs for the added circuits: the greatest goes to the leg that carries least.
    fn choose_legs(&mut self) {
        let mut added: Vec<usize> = (self.problem.circuits.len()..self.wires.len()).collect();
        added.sort_by_key(|w| std::cmp::Reverse(self.wires[*w].running_ma));
        for w in added {
            let least = (0_u8..self.problem.legs).min_by_key(|l| self.leg_sums[usize::from(*l)]);
            if let Some(leg) = least.filter(|_| self.problem.legs > 1) {
                self.set_leg(w, leg);
            }
        }
    }

    fn set_leg(&mut self, w: usize, leg: u8) {
        let running = self.wires[w].running_ma;
        if let Some(before) = self.wires[w].leg.replace(leg) {
            self.leg_sums[usize::from(before)] -= running;
        }
        self.leg_sums[usize::from(leg)] += running;
    }

    /// One pass over all moves; whether any made it better.
    fn improve(&mut self, meter: &mut Meter<'_>) -> bool {
        let before = self.score();
        let mut best = before;
        for k in 0..self.order.len() {
            self.move_one(self.order[k], &mut best, meter);
        }
        for k in 0..self.order.len() {
            for m in k + 1..self.order.len() {
                self.exchange(self.order[k], self.order[m], &mut best, meter);
            }
        }
        for w in self.problem.circuits.len()..self.wires.len() {
            self.turn_leg(w, &mut best, meter);
        }
        best < before && !meter.is_stopped()
    }

    fn move_one(&mut self, load: usize, best: &mut Score, meter: &mut Meter<'_>) {
        for k in 0..self.options[load].len() {
            let (to, from) = (self.options[load][k].0, self.places[load]);
            if to == from || !meter.step() {
                continue;
            }
            self.lift(load);
            if !self.can(load, to) {
                self.put(load, from);
                continue;
            }
            self.put(load, to);
            let score = self.score();
            if score < *best {
                *best = score;
            } else {
                self.lift(load);
                self.put(load, from);
            }
        }
    }

    fn exchange(&mut self, a: usize, b: usize, best: &mut Score, meter: &mut Meter<'_>) {
        let (at_a, at_b) = (self.places[a], self.places[b]);
        let may = at_a != at_b && self.cord(a, at_b).is_some() && self.cord(b, at_a).is_some();
        if !may || !meter.step() {
            return;
        }
        self.lift(a);
        self.lift(b);
        if self.can(a, at_b) {
            self.put(a, at_b);
            if self.can(b, at_a) {
                self.put(b, at_a);
                let score = self.score();
                if score < *best {
                    *best = score;
                    return;
                }
                self.lift(b);
            }
            self.lift(a);
        }
        self.put(a, at_a);
        self.put(b, at_b);
    }

    fn turn_leg(&mut self, w: usize, best: &mut Score, meter: &mut Meter<'_>) {
        for leg in 0..self.problem.legs {
            let Some(before) = self.wires[w].leg.filter(|l| *l != leg) else {
                continue;
            };
            if !meter.step() {
                return;
            }
            self.set_leg(w, leg);
            let score = self.score();
            if score < *best {
                *best = score;
            } else {
                self.set_leg(w, before);
            }
        }
    }

    /// No spreading of the same loads over the same circuits brings the legs nearer to each other: what must hang on one leg
    /// is more than what can hang on another.
    fn imbalance_at_least(&self) -> u64 {
        let legs = self.leg_sums.len();
        let mut must: Vec<u64> = vec![0; legs];
        let mut may: Vec<u64> = vec![0; legs];
        for circuit in &self.problem.circuits {
            if let Some(leg) = circuit.leg.map(usize::from).filter(|l| *l < legs) {
                must[leg] += u64::from(circuit.taken.running_ma);
                may[leg] += u64::from(circuit.taken.running_ma);
            }
        }
        for load in &self.order {
            let running = u64::from(self.problem.loads[*load].draw.running_ma);
            let reached = self.legs_reached(*load);
            for (leg, sum) in may.iter_mut().enumerate() {
                *sum += if reached.contains(&Some(leg)) {
                    running
                } else {
                    0
                };
            }
            if let [Some(only)] = reached.as_slice() {
                must[*only] += running;
            }
        }
        let most = must.iter().max().copied().unwrap_or(0);
        let least = may.iter().min().copied().unwrap_or(0);
        most.saturating_sub(least)
    }

    /// The legs a load may hang on; `None` among them for circuits without one.
    fn legs_reached(&self, load: usize) -> Vec<Option<usize>> {
        let mut legs = Vec::new();
        for (place, _) in &self.options[load] {
            let Some(wire) = self.wire_of(*place).map(|w| &self.wires[w]) else {
                continue;
            };
            if wire.is_added && self.leg_sums.len() > 1 {
                legs.extend((0..self.leg_sums.len()).map(Some));
            } else {
                legs.push(wire.leg.map(usize::from));
            }
        }
        legs.sort_unstable();
        legs.dedup();
        legs
    }

    /// The places and the added circuits, those that became empty left out.
    fn told(&self) -> (Vec<Place>, Vec<Added>) {
        let first = self.problem.circuits.len();
        let mut number = Vec::new();
        let mut added = Vec::new();
        for wire in self.wires.iter().skip(first) {
            number.push(added.len());
            if wire.loads > 0 {
                added.push(Added {
                    class: wire.class,
                    leg: wire.leg,
                });
            }
        }
        let places = self.places.iter().map(|place| match place {
            Place::Added(k) => Place::Added(number[*k]),
            Place::Outlet(_) | Place::Unpowered(_) => *place,
        });
        (places.collect(), added)
    }
}

/// The places a load may have: the outlets of its class that it may go to, and the added circuits.
fn options(problem: &Problem, load: &Load, added: &[Added]) -> Vec<(Place, u32)> {
    let mut options: Vec<(Place, u32)> = load
        .reach
        .iter()
        .filter(|r| load.pinned.is_none_or(|pin| pin == r.outlet))
        .filter(|r| problem.circuits[problem.outlets[r.outlet].circuit].class == load.class)
        .map(|r| (Place::Outlet(r.outlet), r.cord_mm))
        .collect();
    if load.may_add() {
        let same = added
            .iter()
            .enumerate()
            .filter(|(_, a)| a.class == load.class);
        options.extend(same.map(|(k, _)| (Place::Added(k), 0)));
    }
    options.sort_unstable();
    options.dedup_by_key(|o| o.0);
    options
}
