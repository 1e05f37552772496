//! Loads to circuits: published packing values, cases worked out by hand, and laws that every answer keeps.

use std::collections::BTreeMap;

use aislewright::wiring::problem::{Amps, Load, Offer, Problem};
use aislewright::wiring::{Claim, Outcome, solve};

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
