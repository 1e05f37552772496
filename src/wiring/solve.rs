//! The aims in their order: pinned loads first, then as many loads as possible, then the fewest added circuits. Classes have
//! nothing in common, so each is solved for itself.

use std::collections::BTreeSet;

use super::fewest::{Fewest, fewest};
use super::meter::Meter;
use super::outcome::{Added, Claim, Outcome, Place, Why};
use super::packing::Packing;
use super::problem::{Amps, Circuit, Load, Problem};
use super::seats::seated;

/// Puts the loads on circuits. Deterministic in `most_steps`; `stop` is asked now and then and ends the search early.
///
/// # Panics
/// Where the problem names a circuit or an outlet that it does not hold.
pub fn solve(problem: &Problem, most_steps: u64, stop: &dyn Fn() -> bool) -> Outcome {
    problem.assert_sound();
    let mut meter = Meter::new(most_steps, stop);
    let mut state = State::of(problem);
    let classes: BTreeSet<u8> = problem.loads.iter().map(|l| l.class).collect();
    for class in classes {
        let loads: Vec<usize> = (0..problem.loads.len())
            .filter(|k| problem.loads[*k].class == class)
            .collect();
        let (pinned, loose): (Vec<_>, Vec<_>) = loads
            .into_iter()
            .partition(|k| problem.loads[*k].pinned.is_some());
        state.pack(class, &pinned, false, &mut meter);
        state.pack(class, &loose, true, &mut meter);
    }
    state.outcome(meter.steps())
}

/// Outlets that a load may go to: those within reach, but where it is pinned.
fn may_go(load: &Load) -> Vec<usize> {
    load.reach
        .iter()
        .map(|r| r.outlet)
        .filter(|o| load.pinned.is_none_or(|p| p == *o))
        .collect()
}

struct State<'a> {
    problem: &'a Problem,
    free: Vec<Amps>,
    receptacles: Vec<u32>,
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
            free: problem.circuits.iter().map(Circuit::free).collect(),
            receptacles: problem.outlets.iter().map(|o| o.receptacles).collect(),
            places,
            added: Vec::new(),
            unpowered_at_least: 0,
            added_at_least: 0,
            is_proved: true,
        }
    }

    /// Solves for these loads and writes down where they are.
    fn pack(&mut self, class: u8, loads: &[usize], with_new: bool, meter: &mut Meter<'_>) {
        if loads.is_empty() {
            return;
        }
        let packing = Packing::of(
            self.problem,
            class,
            loads,
            &self.free,
            &self.receptacles,
            &may_go,
            with_new,
        );
        let found = fewest(&packing, meter);
        let cost = found.packed.cost();
        let never = loads.len() - packing.counts().iter().sum::<usize>();
        self.unpowered_at_least += never + found.least.0;
        if cost.0 == found.least.0 {
            self.added_at_least += found.least.1;
        }
        self.is_proved &= cost == found.least;
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
                        self.plug(*load, *outlet);
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

    fn plug(&mut self, load: usize, outlet: usize) {
        let circuit = self.problem.outlets[outlet].circuit;
        let draw = self.problem.loads[load].draw;
        self.free[circuit] = self.free[circuit].saturating_less(draw);
        self.receptacles[outlet] = self.receptacles[outlet].saturating_sub(1);
        self.places[load] = Place::Outlet(outlet);
    }

    fn outcome(self, steps: u64) -> Outcome {
        Outcome {
            powered_at_most: self.problem.loads.len() - self.unpowered_at_least,
            added_at_least: self.added_at_least,
            claim: if self.is_proved {
                Claim::Proved
            } else {
                Claim::Found
            },
            places: self.places,
            added: self.added,
            steps,
        }
    }
}

/// Why this load would stay without power, if it does.
fn why(problem: &Problem, load: &Load) -> Why {
    let offer = problem.offers.get(&load.class).filter(|o| {
        load.new_allowed && load.pinned.is_none() && o.receptacles > 0 && o.most != Some(0)
    });
    let reach = may_go(load);
    let mut outlets = reach
        .iter()
        .map(|o| (*o, &problem.outlets[*o]))
        .filter(|(_, o)| problem.circuits[o.circuit].class == load.class)
        .peekable();
    if outlets.peek().is_none() && offer.is_none() {
        return Why::OutOfReach;
    }
    let outlets: Vec<_> = outlets.map(|(_, o)| o).collect();
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
