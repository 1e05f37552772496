//! Loads to circuits against a general solver that knows nothing of the program's own search, and laws of every answer.

mod dice;
mod large;
mod laws;
mod peer;
mod small;

use aislewright::wiring::problem::Problem;
use aislewright::wiring::{Claim, Outcome, Place, Why, solve};

const STEPS: u64 = 5_000_000;

fn pinned_with_power(problem: &Problem, out: &Outcome) -> usize {
    problem
        .loads
        .iter()
        .zip(&out.places)
        .filter(|(l, p)| l.pinned.is_some() && !matches!(p, Place::Unpowered(_)))
        .count()
}

/// 200 small problems: pinned loads with power, then all loads with power, then circuits added, as the mixed-integer
/// programme proves them.
#[test]
fn two_hundred_random_problems_come_out_as_a_general_solver_proves_them() {
    let (mut short, mut several, mut at_once) = (0, 0, 0);
    for seed in 0..200 {
        let problem = small::small(seed);
        let peer = peer::optimum(&problem, problem.loads.len(), None)
            .unwrap_or_else(|| panic!("problem {seed}: the general solver answers"));
        assert!(peer.proved, "problem {seed}: the general solver proves it");
        let out = solve(&problem, STEPS, &|| false);
        assert_eq!(
            (
                pinned_with_power(&problem, &out),
                out.powered(),
                out.added.len()
            ),
            (peer.pinned, peer.powered, peer.added),
            "problem {seed}"
        );
        assert_eq!(out.claim, Claim::Proved, "problem {seed}");
        short += usize::from(out.unpowered().any(|(_, why)| why == Why::Capacity));
        several += usize::from(peer.added > 1);
        at_once += usize::from(peer.added == 0 && peer.powered == problem.loads.len());
    }
    // The problems are not all of one sort.
    assert!(short > 30, "some loads lack only capacity: {short}");
    assert!(several > 30, "several circuits are added: {several}");
    assert!(at_once > 5, "no circuit need be added: {at_once}");
}
