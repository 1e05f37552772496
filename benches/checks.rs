//! How long the checks take in halls of 60, 600 and 6,000 printers: `cargo bench --bench checks`. For each hall the median time
//! of opening its plan, of deriving and checking it whole, and of checking it again after one rack was dragged a small step,
//! with the share of every check. A number on the command line picks the halls of that many printers.
#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench prints its table and stops where it cannot go on"
)]

#[path = "../tests/common/hall.rs"]
mod hall;

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use aislewright::checks::{CHECKS, Findings};
use aislewright::layout::Layout;
use aislewright::plan::{Edit, Library, PhaseNo, Plan};
use aislewright::storage;
use aislewright::units::Length;

/// How far a rack is pushed to stand across the aisle behind or before it.
const INTO_AISLE_MM: f64 = 500.0;
const PHASE: PhaseNo = PhaseNo(1);
/// Printers of a hall, racks of a row, and how often each thing is timed.
const HALLS: [(usize, usize, usize); 3] = [(60, 3, 51), (600, 10, 15), (6000, 30, 5)];

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

/// The median time of some runs, in milliseconds.
fn median(runs: usize, mut run: impl FnMut(usize)) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|k| {
            let started = now();
            run(k);
            started.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times.get(runs / 2).copied().unwrap_or_default()
}

/// The plan with one rack dragged to ever new places.
fn dragged(
    library: &Library,
    plan: &Plan,
    printers: usize,
    (k, across): (usize, f64),
) -> Arc<Plan> {
    let by = (Length::from_mm(3.0 + k as f64), Length::from_mm(across));
    let edit = Edit::Move(vec![hall::middle_rack(printers)], by);
    let plan = plan.edited(&library.stock, &edit);
    Arc::new(plan.expect("a rack can be dragged"))
}

fn measure(library: &Library, (printers, per_row, runs): (usize, usize, usize)) {
    let plan = hall::hall(library, printers, per_row);
    let text = storage::text_of(&plan).expect("the plan can be written");
    let open = median(runs, |_| {
        black_box(storage::plan_of(library, "hall", text.as_bytes()).expect("it can be read"));
    });
    let layout = Layout::of(library, &plan, PHASE);
    let findings = Findings::of(&layout);
    let derive = median(runs, |_| {
        black_box(Layout::of(library, &plan, PHASE));
    });
    // Anew each time, since a layout keeps the air and the ways in that were once asked for.
    let whole = median(runs, |_| {
        black_box(Findings::of(&Layout::of(library, &plan, PHASE)));
    });
    let moved: Vec<Arc<Plan>> = (0..runs)
        .map(|k| dragged(library, &plan, printers, (k, 0.0)))
        .collect();
    let edit = median(runs, |k| {
        black_box(dragged(library, &plan, printers, (k, 0.0)));
    });
    let step = median(runs, |k| {
        black_box(layout.step(library, &moved[k]));
    });
    let again = median(runs, |k| {
        black_box(findings.step(&layout, &layout.step(library, &moved[k])));
    });
    let shut: Vec<Arc<Plan>> = (0..runs)
        .map(|k| dragged(library, &plan, printers, (k, INTO_AISLE_MM)))
        .collect();
    let closing = median(runs, |k| {
        black_box(findings.step(&layout, &layout.step(library, &shut[k])));
    });
    println!(
        "\n{printers} printers, {} findings",
        findings.iter().count()
    );
    println!("| what | median, ms |\n| --- | --- |");
    println!("| open the plan | {open:.2} |");
    println!("| full check: derive {derive:.2}, with all findings | {whole:.2} |");
    println!("| one step of a drag: derive {step:.3}, with all findings | {again:.3} |");
    println!("| the same with the rack across an aisle | {closing:.3} |");
    println!("| the drag's edit itself, with its audit | {edit:.3} |");
    println!("\n| check | findings | full, ms | drag step, ms |\n| --- | --- | --- | --- |");
    let steps: Vec<Layout> = moved.iter().map(|m| layout.step(library, m)).collect();
    for check in CHECKS {
        let fresh: Vec<Layout> = (0..runs)
            .map(|_| Layout::of(library, &plan, PHASE))
            .collect();
        let full = median(runs, |k| {
            black_box(check.findings(&fresh[k]));
        });
        let step = median(runs, |k| {
            black_box(findings.step_check(check, &layout, &steps[k]));
        });
        println!(
            "| {} | {} | {full:.3} | {step:.3} |",
            check.id,
            findings.of_check(check.id).len()
        );
    }
}

fn main() {
    let wanted: Vec<usize> = std::env::args()
        .skip(1)
        .filter_map(|a| a.parse().ok())
        .collect();
    let library = Library::builtin().expect("the built-in data can be read");
    for hall in HALLS {
        if wanted.is_empty() || wanted.contains(&hall.0) {
            measure(&library, hall);
        }
    }
}
