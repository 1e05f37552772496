//! Loads to circuits: published packing values, cases worked out by hand, and laws that every answer keeps.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Circuit, Load, Offer, Outlet, Problem, Reach};
use aislewright::wiring::{Claim, Outcome, Place, Why, solve};

const STEPS: u64 = 20_000_000;
/// A peak limit that never binds.
const HIGH: u32 = 100_000_000;

/// Loads of one current each, and added circuits of one limit: packing in one dimension.
fn one_dimension(sizes: &[u32], capacity: u32) -> Problem {
    let loads = sizes
        .iter()
        .map(|size| Load {
            draw: Amps::new(*size, 0),
            class: 0,
            reach: Vec::new(),
            pinned: None,
            new_allowed: true,
        })
        .collect();
    let offer = Offer {
        limit: Amps::new(capacity, HIGH),
        receptacles: u32::MAX,
        most: None,
    };
    Problem {
        circuits: Vec::new(),
        outlets: Vec::new(),
        loads,
        offers: BTreeMap::from([(0, offer)]),
        legs: 0,
        fill_percent: 100,
    }
}

fn solved(problem: &Problem) -> Outcome {
    solve(problem, STEPS, &|| false)
}

/// First fit, largest first.
fn first_fit_decreasing(sizes: &[u32], capacity: u32) -> usize {
    let mut sizes = sizes.to_vec();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    let mut bins: Vec<u32> = Vec::new();
    for size in sizes {
        match bins.iter_mut().find(|b| **b + size <= capacity) {
            Some(bin) => *bin += size,
            None => bins.push(size),
        }
    }
    bins.len()
}

fn assert_fewest(sizes: &[u32], capacity: u32, circuits: usize) {
    let out = solved(&one_dimension(sizes, capacity));
    assert_eq!(out.added.len(), circuits, "{sizes:?} in {capacity}");
    assert_eq!(out.added_at_least, circuits, "{sizes:?} in {capacity}");
    assert_eq!(out.claim, Claim::Proved, "{sizes:?} in {capacity}");
    assert_eq!(out.powered(), sizes.len(), "{sizes:?} in {capacity}");
}

/// Small published packing sets with bins of 150 (sets of a public, MIT-licensed collection of instances; the optimum
/// computed again with an independent solver).
#[test]
fn small_published_sets_take_as_many_circuits_as_proved_elsewhere() {
    assert_fewest(&[24, 44, 76, 78, 52, 96, 58, 67, 74, 59], 150, 5);
    assert_fewest(
        &[
            52, 60, 67, 23, 26, 45, 76, 43, 85, 82, 41, 56, 25, 83, 50, 72, 23, 39, 21, 39,
        ],
        150,
        7,
    );
}

/// Set `u120_00` of E. Falkenauer (1996), OR-Library: bins of 150, optimum 48, first fit decreasing 49.
#[test]
fn falkenauers_first_uniform_set_takes_forty_eight() {
    let sizes = [
        98, 98, 98, 96, 96, 94, 93, 93, 92, 91, 91, 90, 87, 86, 85, 85, 84, 84, 84, 84, 84, 83, 83,
        82, 82, 81, 80, 80, 80, 79, 79, 78, 78, 78, 78, 76, 74, 74, 73, 73, 73, 73, 72, 71, 70, 70,
        70, 69, 69, 69, 67, 66, 64, 62, 62, 60, 60, 59, 58, 58, 58, 57, 57, 57, 57, 55, 55, 55, 50,
        49, 49, 49, 47, 46, 46, 45, 45, 44, 44, 43, 43, 43, 43, 42, 42, 42, 42, 42, 41, 41, 41, 39,
        39, 38, 38, 38, 37, 36, 36, 36, 35, 33, 33, 33, 32, 32, 30, 30, 30, 29, 28, 27, 27, 26, 25,
        25, 24, 23, 23, 20,
    ];
    assert_eq!(sizes.len(), 120);
    assert_eq!(sizes.iter().sum::<u32>(), 7078);
    assert_eq!(first_fit_decreasing(&sizes, 150), 49);
    assert_fewest(&sizes, 150, 48);
}

/// Circuits of 16 A where first fit decreasing takes one too many (worked out by hand).
#[test]
fn where_first_fit_takes_one_too_many_the_fewest_is_found() {
    for (sizes, fewest) in [
        (vec![6000, 6000, 5000, 5000, 5000, 5000], 2),
        (vec![8000, 7000, 6000, 5000, 4000, 2000], 2),
        (vec![9900, 7200, 4300, 3400, 3200, 2600], 2),
        (vec![10200, 9400, 7100, 5600, 4500, 4000, 3900, 2300], 3),
    ] {
        assert_eq!(first_fit_decreasing(&sizes, 16_000), fewest + 1);
        assert_fewest(&sizes, 16_000, fewest);
    }
}

/// A circuit of 16 A for long and 20 A at the peak, with one outlet of four receptacles.
fn circuit(leg: u8) -> Circuit {
    Circuit {
        limit: Amps::new(16_000, 20_000),
        taken: Amps::default(),
        class: 0,
        leg: Some(leg),
    }
}

fn load(running_ma: u32, cords: &[u32]) -> Load {
    Load {
        draw: Amps::new(running_ma, running_ma),
        class: 0,
        reach: cords
            .iter()
            .enumerate()
            .map(|(outlet, cord)| Reach {
                outlet,
                cord_mm: *cord,
            })
            .collect(),
        pinned: None,
        new_allowed: false,
    }
}

/// Circuits with one outlet each, no circuit to be added.
fn on_existing(circuits: Vec<Circuit>, loads: Vec<Load>) -> Problem {
    let outlets = (0..circuits.len())
        .map(|circuit| Outlet {
            circuit,
            receptacles: 4,
        })
        .collect();
    Problem {
        circuits,
        outlets,
        loads,
        offers: BTreeMap::new(),
        legs: 2,
        fill_percent: 80,
    }
}

/// Own case: 12 A and 3 A near one outlet. Together they are over 80 % of 16 A (12.8 A), apart they are not, and the legs are
/// nearest to each other that way; cords come last.
#[test]
fn loads_are_parted_to_stay_below_the_wanted_share() {
    let problem = on_existing(
        vec![circuit(0), circuit(1)],
        vec![load(12_000, &[500, 4000]), load(3000, &[500, 4000])],
    );
    let out = solved(&problem);
    assert_eq!(out.powered(), 2, "both have power");
    assert_eq!(out.spread.over, 0, "both circuits stay below their share");
    assert_eq!(
        out.spread.imbalance_ma, 9000,
        "12 A on one leg, 3 A on the other"
    );
    assert_eq!(out.spread.cord_mm, 4500, "one cord goes the long way");
}

/// Own case: 6, 5, 4 and 3 A on two legs can carry 9 A each.
#[test]
fn legs_carry_alike_where_that_can_be() {
    let cords = [1000, 1000];
    let loads = [6000, 5000, 4000, 3000].map(|ma| load(ma, &cords));
    let out = solved(&on_existing(vec![circuit(0), circuit(1)], loads.into()));
    assert_eq!(out.spread.imbalance_ma, 0, "9 A on each leg");
}

/// Own case: alike loads swap outlets for the shorter cords.
#[test]
fn cords_are_short_where_nothing_else_is_at_stake() {
    let loads = vec![load(3000, &[4000, 600]), load(3000, &[700, 5000])];
    let out = solved(&on_existing(vec![circuit(0), circuit(1)], loads));
    assert_eq!(out.places, [Place::Outlet(1), Place::Outlet(0)]);
    assert_eq!(out.spread.cord_mm, 1300, "0.6 m and 0.7 m");
}

/// Own case: added circuits of 16 A for loads of 10, 9, 6 and 5 A go one on each leg.
#[test]
fn added_circuits_take_the_legs_in_turn() {
    let mut problem = one_dimension(&[10_000, 9000, 6000, 5000], 16_000);
    problem.legs = 2;
    let out = solved(&problem);
    assert_eq!(out.added.len(), 2, "30 A take two circuits of 16 A");
    assert_eq!(out.spread.imbalance_ma, 0, "10 and 5 A, 9 and 6 A");
    assert_ne!(out.added[0].leg, out.added[1].leg, "one on each leg");
}

/// Each reason for staying without power, once.
#[test]
fn a_load_without_power_says_why() {
    let mut problem = on_existing(
        vec![circuit(0), circuit(1)],
        vec![
            load(17_000, &[500]),
            load(1000, &[]),
            load(1000, &[600, 700, 500]),
            load(9000, &[500]),
            load(10_000, &[500]),
        ],
    );
    problem.outlets.push(Outlet {
        circuit: 1,
        receptacles: 0,
    });
    problem.loads[2].reach.retain(|r| r.outlet == 2);
    let out = solved(&problem);
    let why: Vec<(usize, Why)> = out.unpowered().take(3).collect();
    assert_eq!(
        why,
        [
            (0, Why::TooLarge),
            (1, Why::OutOfReach),
            (2, Why::NoReceptacle)
        ]
    );
    let (last, reason) = out.unpowered().last().unwrap();
    assert!(last >= 3, "one of the two that do not fit together");
    assert_eq!(reason, Why::Capacity, "9 A and 10 A do not fit on 16 A");
    assert_eq!(out.powered(), 1, "the other has power");
    assert_eq!(out.claim, Claim::Proved, "nothing powers more");
}

/// Own case: one pinned load of 12 A keeps its power, though without it two loads of 8 A would have some.
#[test]
fn a_pinned_load_keeps_its_power() {
    let mut problem = on_existing(
        vec![circuit(0)],
        vec![load(12_000, &[500]), load(8000, &[500]), load(8000, &[500])],
    );
    problem.loads[0].pinned = Some(0);
    let out = solved(&problem);
    assert_eq!(out.places[0], Place::Outlet(0), "where it is pinned");
    assert_eq!(out.powered(), 1, "nothing fits beside it");
}

/// The caller may end the search; what was found until then is told.
#[test]
fn a_search_that_is_stopped_tells_what_it_has() {
    let sizes: Vec<u32> = (0..60).map(|k| 2000 + 137 * k % 6000).collect();
    let problem = one_dimension(&sizes, 16_000);
    let out = solve(&problem, STEPS, &|| true);
    assert_eq!(out.powered(), 60, "every load has a circuit");
    assert!(out.added_at_least <= out.added.len(), "the bound is true");
}
