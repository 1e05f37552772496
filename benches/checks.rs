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
fn dragged(library: &Library, plan: &Plan, printers: usize, k: usize) -> Arc<Plan> {
    let by = Length::from_mm(3.0 + k as f64);
    let edit = Edit::Move(vec![hall::middle_rack(printers)], (by, Length::ZERO));
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
    let judge = median(runs, |_| {
        black_box(Findings::of(&layout));
    });
    let moved: Vec<Arc<Plan>> = (0..runs)
        .map(|k| dragged(library, &plan, printers, k))
        .collect();
    let edit = median(runs, |k| {
        black_box(dragged(library, &plan, printers, k));
    });
    let step = median(runs, |k| {
        black_box(layout.step(library, &moved[k]));
    });
    let steps: Vec<Layout> = moved.iter().map(|m| layout.step(library, m)).collect();
    let again = median(runs, |k| {
        black_box(findings.step(&layout, &steps[k]));
    });
    println!(
        "\n{printers} printers, {} findings",
        findings.iter().count()
    );
    println!("| what | median, ms |\n| --- | --- |");
    println!("| open the plan | {open:.2} |");
    println!(
        "| full: derive, check, together | {derive:.2} + {judge:.2} = {:.2} |",
        derive + judge
    );
    println!(
        "| one drag step: derive, check, together | {step:.3} + {again:.3} = {:.3} |",
        step + again
    );
    println!("| the drag's edit itself, with its audit | {edit:.3} |");
    println!("\n| check | findings | full, ms | drag step, ms |\n| --- | --- | --- | --- |");
    for check in CHECKS {
        let full = median(runs, |_| {
            black_box(check.findings(&layout));
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
