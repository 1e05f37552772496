//! How long it takes to put a room's loads on circuits: `cargo bench --bench wiring`, in release, on whatever machine runs it.
//! Rooms of a hundred loads by themselves, then smaller ones beside a general mixed-integer solver (`microlp`) on the same
//! question, which is given so many seconds.
#![expect(clippy::print_stdout, reason = "a bench prints its table")]

#[path = "../tests/wiring_peer/dice.rs"]
mod dice;
#[path = "../tests/wiring_peer/large.rs"]
mod large;
#[path = "../tests/wiring_peer/peer.rs"]
mod peer;

use std::time::{Duration, Instant};

use aislewright::wiring::problem::Problem;
use aislewright::wiring::{Claim, Outcome, solve};

use large::Size;

/// Steps allowed to each room.
const STEPS: u64 = 20_000_000;
/// Rooms of each sort.
const ROOMS: u64 = 20;
/// Rooms of each sort beside the general solver, and the seconds it has for each.
const BESIDE: u64 = 3;
const SECONDS: u64 = 20;

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

fn timed(problem: &Problem) -> (Outcome, f64) {
    let started = now();
    let out = solve(problem, STEPS, &|| false);
    (out, started.elapsed().as_secs_f64())
}

fn median(times: &mut [f64]) -> f64 {
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(0.0)
}

fn alone(name: &str, size: Size) {
    let mut times = Vec::new();
    let (mut proved, mut used, mut open) = (0, 0, 0);
    for seed in 0..ROOMS {
        let problem = large::large(seed, size);
        let (out, seconds) = timed(&problem);
        times.push(seconds);
        proved += usize::from(out.claim == Claim::Proved);
        used += out.circuits_used(&problem);
        open = open.max(out.added.len() - out.added_at_least.min(out.added.len()));
    }
    let middle = median(&mut times);
    let longest = times.last().copied().unwrap_or(0.0);
    let used = used as f64 / ROOMS as f64;
    println!("| {name} | {used:.0} | {middle:.2} | {longest:.2} | {proved} of {ROOMS} | {open} |");
}

fn beside(name: &str, size: Size) {
    let (mut own_times, mut times) = (Vec::new(), Vec::new());
    let (mut own_proved, mut proved) = (0, 0);
    for seed in 0..BESIDE {
        let problem = large::large(seed, size);
        let (out, seconds) = timed(&problem);
        own_times.push(seconds);
        own_proved += usize::from(out.claim == Claim::Proved);
        let started = now();
        let limit = Some(Duration::from_secs(SECONDS));
        let counts = peer::optimum(&problem, out.added.len(), limit);
        times.push(started.elapsed().as_secs_f64());
        if let Some(counts) = counts.filter(|c| c.proved) {
            proved += 1;
            let same = (counts.powered, counts.added) == (out.powered(), out.added.len());
            if !same {
                println!("{name}, room {seed}: the solver says {counts:?}");
            }
        }
    }
    println!(
        "| {name} | {:.3} | {own_proved} of {BESIDE} | {:.1} | {proved} of {BESIDE} |",
        median(&mut own_times),
        median(&mut times)
    );
}

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    let asked = |name: &str| wanted.is_empty() || wanted.iter().any(|w| name.contains(w.as_str()));
    println!("| 100 loads | circuits used | median, s | longest, s | proved | most left open |");
    println!("| --- | --- | --- | --- | --- | --- |");
    for (kinds, sizes) in [
        (Some(4), "4 sizes"),
        (Some(6), "6 sizes"),
        (Some(8), "8 sizes"),
        (None, "100 sizes"),
    ] {
        for (circuits, most, there) in [
            (10, None, "10 circuits there"),
            (0, None, "none there"),
            (10, Some(5), "10 there, 5 may be added"),
        ] {
            let name = format!("{sizes}, {there}");
            if asked(&name) {
                let size = Size {
                    loads: 100,
                    kinds,
                    circuits,
                    most,
                };
                alone(&name, size);
            }
        }
    }
    println!();
    println!("| room | median, s | proved | general solver, median, s | proved |");
    println!("| --- | --- | --- | --- | --- |");
    for loads in [10, 20, 30, 50, 100] {
        let name = format!("beside: {loads} loads, 6 sizes");
        if asked(&name) {
            let size = Size {
                loads,
                kinds: Some(6),
                circuits: loads / 10,
                most: None,
            };
            beside(&name, size);
        }
    }
}
