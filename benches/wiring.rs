//! How long it takes to put a whole room's loads on circuits: `cargo bench --bench wiring`, in release.
#![expect(clippy::print_stdout, reason = "a bench prints its table")]

#[path = "../tests/wiring_peer/dice.rs"]
mod dice;
#[path = "../tests/wiring_peer/large.rs"]
mod large;

use std::time::Instant;

use aislewright::wiring::{Claim, solve};

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

fn main() {
    for kinds in [Some(4), Some(6), Some(8), None] {
        for loads in [100] {
            let mut times = Vec::new();
            let mut proved = 0;
            for seed in 0..10 {
                let problem = large::large(seed, loads, kinds);
                let started = now();
                let out = solve(&problem, 20_000_000, &|| false);
                let t = started.elapsed().as_secs_f64();
                times.push(t);
                proved += usize::from(out.claim == Claim::Proved);
                println!(
                    "{kinds:?} {loads} seed {seed}: powered {} <= {}, added {} >= {}, used {} steps {} {t:.3}",
                    out.powered(),
                    out.powered_at_most,
                    out.added.len(),
                    out.added_at_least,
                    out.circuits_used(&problem),
                    out.steps
                );
            }
            times.sort_by(f64::total_cmp);
            println!("{kinds:?} {loads}: median {:.3} proved {proved}", times[5]);
        }
    }
}
