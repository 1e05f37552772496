//! What every answer keeps to, held by plain sums over its places.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Circuit, Load, Outlet, Problem, Reach};
use aislewright::wiring::{Outcome, Place, Spread, solve};
use proptest::prelude::{any, proptest};
use proptest::prop_assert_eq;

use super::dice::Dice;
use super::large::{Size, large};
use super::small::small;

const STEPS: u64 = 2_000_000;

fn solved(problem: &Problem, steps: u64) -> Outcome {
    solve(problem, steps, &|| false)
}

/// Sums of running and peak current and loads, by circuit: those that exist, then those added.
fn sums(problem: &Problem, out: &Outcome) -> Vec<(u64, u64, u32)> {
    let existing = problem.circuits.len();
    let mut sums = vec![(0, 0, 0); existing + out.added.len()];
    for (load, place) in problem.loads.iter().zip(&out.places) {
        let at = match place {
            Place::Outlet(outlet) => problem.outlets[*outlet].circuit,
            Place::Added(k) => existing + k,
            Place::Unpowered(_) => continue,
        };
        sums[at].0 += u64::from(load.draw.running_ma);
        sums[at].1 += u64::from(load.draw.peak_ma);
        sums[at].2 += 1;
    }
    sums
}

fn assert_sound(problem: &Problem, out: &Outcome) {
    assert_eq!(out.places.len(), problem.loads.len(), "a place for each");
    assert_limits(problem, out);
    assert_seats(problem, out);
    assert!(out.powered() <= out.powered_at_most, "bound of powered");
    if out.powered() == out.powered_at_most {
        assert!(out.added_at_least <= out.added.len(), "bound of added");
    }
    assert_eq!(out.spread, spread(problem, out), "the spread is as told");
    assert!(
        out.spread.imbalance_at_least_ma <= out.spread.imbalance_ma,
        "bound of imbalance"
    );
}

/// No circuit is over a limit, and no added one is empty or has too few receptacles.
fn assert_limits(problem: &Problem, out: &Outcome) {
    let sums = sums(problem, out);
    let (existing, added) = sums.split_at(problem.circuits.len());
    for ((running, peak, loads), circuit) in existing.iter().zip(&problem.circuits) {
        if *loads > 0 {
            let all = u64::from(circuit.taken.running_ma) + running;
            assert!(all <= u64::from(circuit.limit.running_ma), "running limit");
            let all = u64::from(circuit.taken.peak_ma) + peak;
            assert!(all <= u64::from(circuit.limit.peak_ma), "peak limit");
        }
    }
    let mut by_class: BTreeMap<u8, u32> = BTreeMap::new();
    for ((running, peak, loads), new) in added.iter().zip(&out.added) {
        let offer = &problem.offers[&new.class];
        assert!(*running <= u64::from(offer.limit.running_ma), "running");
        assert!(*peak <= u64::from(offer.limit.peak_ma), "peak limit");
        assert!((1..=offer.receptacles).contains(loads), "receptacles");
        *by_class.entry(new.class).or_default() += 1;
    }
    for (class, n) in by_class {
        let most = problem.offers[&class].most;
        assert!(most.is_none_or(|most| n <= most), "no more than offered");
    }
}

/// Every load is of its circuit's class, within reach, where it is pinned, and has a receptacle of its own.
fn assert_seats(problem: &Problem, out: &Outcome) {
    let mut plugs = vec![0; problem.outlets.len()];
    for (load, place) in problem.loads.iter().zip(&out.places) {
        match place {
            Place::Outlet(k) => {
                plugs[*k] += 1;
                let circuit = &problem.circuits[problem.outlets[*k].circuit];
                assert_eq!(load.class, circuit.class, "class of the circuit");
                assert!(load.reach.iter().any(|r| r.outlet == *k), "in reach");
                assert!(load.pinned.is_none_or(|p| p == *k), "the pin is kept");
            }
            Place::Added(k) => {
                assert_eq!(load.class, out.added[*k].class, "class of the circuit");
                assert!(load.new_allowed && load.pinned.is_none(), "may be added");
            }
            Place::Unpowered(_) => {}
        }
    }
    for (n, outlet) in plugs.iter().zip(&problem.outlets) {
        assert!(*n <= outlet.receptacles, "a receptacle for every plug");
    }
}

/// The spread worked out anew; the bound of the imbalance is taken over.
fn spread(problem: &Problem, out: &Outcome) -> Spread {
    let mut over = 0;
    let mut over_hundredths = 0;
    let mut legs = vec![0_u64; usize::from(problem.legs)];
    let nothing = Amps::default();
    let existing = problem.circuits.iter().map(|c| (c.limit, c.taken, c.leg));
    let added = out
        .added
        .iter()
        .map(|a| (problem.offers[&a.class].limit, nothing, a.leg));
    for ((running, peak, _), (limit, taken, leg)) in
        sums(problem, out).into_iter().zip(existing.chain(added))
    {
        let running = running + u64::from(taken.running_ma);
        let peak = peak + u64::from(taken.peak_ma);
        let percent = u64::from(problem.fill_percent);
        let by = (running * 100).saturating_sub(u64::from(limit.running_ma) * percent)
            + (peak * 100).saturating_sub(u64::from(limit.peak_ma) * percent);
        over += usize::from(by > 0);
        over_hundredths += by;
        if let Some(leg) = leg {
            legs[usize::from(leg)] += running;
        }
    }
    let cord = |(load, place): (&Load, &Place)| match place {
        Place::Outlet(k) => load
            .reach
            .iter()
            .filter(|r| r.outlet == *k)
            .map(|r| u64::from(r.cord_mm))
            .min()
            .unwrap_or(0),
        Place::Added(_) | Place::Unpowered(_) => 0,
    };
    let most = legs.iter().max().copied().unwrap_or(0);
    let least = legs.iter().min().copied().unwrap_or(0);
    Spread {
        over,
        over_ma: over_hundredths.div_ceil(100),
        imbalance_ma: most - least,
        imbalance_at_least_ma: out.spread.imbalance_at_least_ma,
        cord_mm: problem.loads.iter().zip(&out.places).map(cord).sum(),
    }
}

/// The loads in another order.
fn shuffled(problem: &Problem, seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let mut loads = problem.loads.clone();
    for k in (1..loads.len()).rev() {
        let other = dice.roll(0, u32::try_from(k).unwrap_or(0)) as usize;
        loads.swap(k, other);
    }
    Problem {
        loads,
        ..problem.clone()
    }
}

/// Which loads are where, whatever their order.
fn by_content(problem: &Problem, out: &Outcome) -> Vec<(Load, Place)> {
    let mut all: Vec<(Load, Place)> = problem
        .loads
        .iter()
        .cloned()
        .zip(out.places.iter().copied())
        .collect();
    all.sort();
    all
}

/// One more circuit, within reach of every load.
fn with_one_more(problem: &Problem) -> Problem {
    let mut more = problem.clone();
    more.circuits.push(Circuit {
        limit: Amps::new(16_000, 20_000),
        taken: Amps::default(),
        class: 0,
        leg: Some(0),
    });
    more.outlets.push(Outlet {
        circuit: problem.circuits.len(),
        receptacles: 2,
    });
    for load in &mut more.loads {
        load.reach.push(Reach {
            outlet: problem.outlets.len(),
            cord_mm: 1000,
        });
    }
    more
}

proptest! {
    #[test]
    fn every_answer_keeps_limits_receptacles_pins_and_bounds(seed in any::<u64>()) {
        let problem = small(seed);
        assert_sound(&problem, &solved(&problem, STEPS));
    }

    #[test]
    fn the_order_of_entering_changes_nothing(seed in any::<u64>(), order in any::<u64>()) {
        let problem = small(seed);
        let other = shuffled(&problem, order);
        let (a, b) = (solved(&problem, STEPS), solved(&other, STEPS));
        prop_assert_eq!(by_content(&problem, &a), by_content(&other, &b));
        prop_assert_eq!((a.added, a.spread, a.claim), (b.added, b.spread, b.claim));
    }

    /// Only where all have power: a further circuit may else give power to more loads, and these may need an added one.
    #[test]
    fn a_further_circuit_never_asks_for_more_added_ones(seed in any::<u64>()) {
        let mut problem = small(seed);
        problem.loads.retain(|l| l.new_allowed && l.pinned.is_none());
        problem.offers.retain(|_, offer| offer.most.is_none());
        let before = solved(&problem, STEPS);
        if before.powered() == problem.loads.len() {
            let after = solved(&with_one_more(&problem), STEPS);
            prop_assert_eq!(after.powered(), problem.loads.len());
            proptest::prop_assert!(after.added.len() <= before.added.len());
        }
    }

    /// Where the steps do not suffice, the answer is sound and the bounds lie on the other side of the truth.
    #[test]
    fn a_search_cut_short_is_sound_and_its_bounds_are_true(seed in any::<u64>(), steps in 1_u64..3000) {
        let problem = small(seed);
        let cut = solved(&problem, steps);
        let whole = solved(&problem, STEPS);
        assert_sound(&problem, &cut);
        let pinned = super::pinned_with_power;
        if pinned(&problem, &cut) == pinned(&problem, &whole) {
            proptest::prop_assert!(cut.powered() <= whole.powered());
        }
        proptest::prop_assert!(whole.powered() <= cut.powered_at_most);
        if cut.powered() == whole.powered() {
            proptest::prop_assert!(cut.added_at_least <= whole.added.len());
        }
    }
}

/// Rooms of fifty loads, of few sizes and of fifty sizes, where circuits may be added for all and where they may not.
#[test]
fn answers_for_whole_rooms_are_sound() {
    for seed in 0..4 {
        for kinds in [Some(5), None] {
            for most in [None, Some(1)] {
                let size = Size {
                    loads: 50,
                    kinds,
                    circuits: 5,
                    most,
                };
                let problem = large(seed, size);
                let out = solved(&problem, STEPS);
                assert_sound(&problem, &out);
                let all = out.powered() == 50;
                assert_eq!(all, most.is_none(), "one more is too few for all");
            }
        }
    }
}
