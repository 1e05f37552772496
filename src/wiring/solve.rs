//! The aims in their order: pinned loads first, then as many loads as possible, then the fewest added circuits. Classes have
//! nothing in common, so each is solved for itself.

use std::collections::BTreeSet;

use super::fewest::{Fewest, fewest};
use super::meter::Meter;
use super::outcome::{Added, Claim, Outcome, Place, Why};
use super::packing::Packing;
use super::problem::{Load, Outlet, Problem};
use super::seats::seated;
use super::spread::spread;

/// Puts the loads on circuits. Deterministic in `most_steps`; `stop` is asked now and then and ends the search early.
///
/// # Panics
/// Where the problem names a circuit or an outlet that it does not hold.
pub fn solve(problem: &Problem, most_steps: u64, stop: &dyn Fn() -> bool) -> Outcome {
    problem.assert_sound();
    // Sorted by what they are, so that the order in which they were entered changes nothing.
    let mut order: Vec<usize> = (0..problem.loads.len()).collect();
    order.sort_by(|a, b| problem.loads[*b].cmp(&problem.loads[*a]));
    let mut meter = Meter::new(most_steps, stop);
    let mut state = State::of(problem);
    let classes: BTreeSet<u8> = problem.loads.iter().map(|l| l.class).collect();
    for class in classes {
        let is_class = |k: &usize| problem.loads[*k].class == class;
        let loads: Vec<usize> = order.iter().copied().filter(is_class).collect();
        state.pack(class, &loads, &mut meter);
    }
    let (places, added, spread, steps) = spread(problem, &order, &state.places, &state.added, stop);
    let mut outcome = Outcome {
        powered_at_most: problem.loads.len() - state.unpowered_at_least,
        added_at_least: state.added_at_least,
        claim: Claim::Found,
        places,
        added,
        spread,
        steps: meter.steps() + steps,
    };
    let is_least = outcome.powered() == outcome.powered_at_most
        && outcome.added.len() == outcome.added_at_least;
    if state.is_proved || is_least {
        outcome.claim = Claim::Proved;
    }
    outcome
}

struct State<'a> {
    problem: &'a Problem,
    places: Vec<Place>,
    added: Vec<Added>,
    unpowered_at_least: usize,
    added_at_least: usize,
    is_proved: bool,
}

impl<'a> State<'a> {
    fn of(problem: &'a Problem) -> Self {
        let places = problem
            .loads
            .iter()
            .map(|l| Place::Unpowered(why(problem, l)))
            .collect();
        Self {
            problem,
            places,
            added: Vec::new(),
            unpowered_at_least: 0,
            added_at_least: 0,
            is_proved: true,
        }
    }

    /// Solves for these loads and writes down where they are.
    fn pack(&mut self, class: u8, loads: &[usize], meter: &mut Meter<'_>) {
        let packing = Packing::of(self.problem, class, loads);
        let found = fewest(&packing, meter);
        let never = loads.len() - packing.counts().iter().sum::<usize>();
        let (cost, least) = (
            Parts::of(&packing, found.packed.cost),
            Parts::of(&packing, found.least),
        );
        self.unpowered_at_least += never + least.pinned;
        if cost.pinned == least.pinned {
            self.unpowered_at_least += least.loose;
            if cost.loose == least.loose {
                self.added_at_least += least.added;
            }
        }
        self.is_proved &= found.packed.cost == found.least;
        self.seat(class, &packing, &found);
    }

    fn seat(&mut self, class: u8, packing: &Packing, found: &Fewest) {
        let mut next: Vec<std::slice::Iter<'_, usize>> =
            packing.kinds.iter().map(|k| k.loads.iter()).collect();
        for (room, counts) in packing.rooms.iter().zip(&found.packed.rooms) {
            let Some(seating) = seated(room, &packing.kinds, counts) else {
                continue;
            };
            for ((outlet, _), kinds) in room.outlets.iter().zip(&seating.at) {
                for kind in kinds {
                    if let Some(load) = next[*kind].next() {
                        self.places[*load] = Place::Outlet(*outlet);
                    }
                }
            }
        }
        for counts in &found.packed.new {
            let added = self.added.len();
            self.added.push(Added { class, leg: None });
            for (kind, n) in counts.iter().enumerate() {
                for load in next[kind].by_ref().take(*n) {
                    self.places[*load] = Place::Added(added);
                }
            }
        }
    }
}

/// A cost taken apart.
struct Parts {
    pinned: usize,
    loose: usize,
    added: usize,
}

impl Parts {
    fn of(packing: &Packing, cost: u64) -> Self {
        let unit = packing.unpowered_cost;
        let count = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
        Self {
            pinned: count(cost / unit / unit),
            loose: count(cost / unit % unit),
            added: count(cost % unit),
        }
    }
}

/// Why this load would stay without power, if it does.
fn why(problem: &Problem, load: &Load) -> Why {
    let offer = problem
        .offers
        .get(&load.class)
        .filter(|o| load.may_add() && o.receptacles > 0 && o.most != Some(0));
    let outlets: Vec<&Outlet> = load
        .outlets()
        .map(|o| &problem.outlets[o])
        .filter(|o| problem.circuits[o.circuit].class == load.class)
        .collect();
    if outlets.is_empty() && offer.is_none() {
        return Why::OutOfReach;
    }
    let fits_empty = outlets
        .iter()
        .any(|o| problem.circuits[o.circuit].limit.covers(load.draw))
        || offer.is_some_and(|o| o.limit.covers(load.draw));
    if !fits_empty {
        return Why::TooLarge;
    }
    let has_receptacle = outlets.iter().any(|o| o.receptacles > 0);
    if has_receptacle || offer.is_some() {
        Why::Capacity
    } else {
        Why::NoReceptacle
    }
}
