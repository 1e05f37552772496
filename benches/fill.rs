//! How long `fill` takes, room by room: `cargo bench --bench fill`, in release, on whatever machine runs it. Each exact
//! room is solved three times and the median told; the wide rooms run once for 60 seconds. A name on the command line picks
//! the rooms whose name holds it.
#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench prints its table and stops where it cannot go on"
)]

use std::cell::RefCell;
use std::sync::Arc;
use std::time::{Duration, Instant};

use aislewright::fill::problem::{Block, Faces, PackKind, Problem, Rect, Shape, Start};
use aislewright::fill::{Ask, Effort, MOST_BYTES, Solved, StoppedBy, Watch, fill, solve};
use aislewright::plan::{Library, PhaseNo};
use aislewright::storage;
use aislewright::units::Length;

const EXAMPLE: &str = include_str!("../demo-data/bottling-room.plan.ron");
const WIDE_SECONDS: u64 = 60;

fn inches(n: i32) -> i64 {
    Length::from_inches(n).units()
}

fn rect(x0: i32, y0: i32, x1: i32, y1: i32) -> Rect {
    Rect {
        x0: inches(x0),
        y0: inches(y0),
        x1: inches(x1),
        y1: inches(y1),
    }
}

fn kind(width: i32, printers: u32) -> PackKind {
    PackKind {
        width: inches(width),
        depth: inches(24),
        printers,
        faces: Faces {
            front: true,
            ..Faces::default()
        },
        plugs: true,
        exactly: None,
    }
}

/// An empty room with a door from 12 to 48 in of its short wall, and racks of 72, 60, 48 and 36 by 24 in.
fn empty(width_ft: i32, depth_ft: i32) -> Problem {
    Problem {
        width: inches(width_ft * 12),
        depth: inches(depth_ft * 12),
        aisle: inches(36),
        gap: 0,
        kinds: vec![kind(72, 9), kind(60, 6), kind(48, 6), kind(36, 3)],
        floor: None,
        blocks: Vec::new(),
        starts: vec![Start {
            corners: rect(12, 0, 12, 0),
        }],
        reach: Vec::new(),
        way_out: true,
    }
}

/// The same with a window in a long wall (nothing high before it) and a keep-out before a cooling unit on the far wall,
/// both off the walls' own lattice.
fn furnished(width_ft: i32, depth_ft: i32) -> Problem {
    let mut room = empty(width_ft, depth_ft);
    room.kinds.push(kind(72, 6));
    let tall = 0b01111;
    let all = 0b11111;
    let (w, d) = (width_ft * 12, depth_ft * 12);
    let block = |r: Rect, bodies: u32| Block {
        shape: Shape::Rect(r),
        bodies,
        walk: false,
        gap: false,
    };
    room.blocks
        .push(block(rect(0, d / 2 - 20, 36, d / 2 + 40), tall));
    room.blocks
        .push(block(rect(w / 2 - 22, d - 66, w / 2 + 26, d), all));
    room
}

fn effort() -> Effort {
    Effort {
        steps: u64::MAX,
        bytes: MOST_BYTES,
    }
}

struct Timed {
    solved: Solved,
    first: Duration,
    whole: Duration,
}

fn timed(problem: &Problem, most: Option<Duration>) -> Timed {
    let started = now();
    let first = RefCell::new(None);
    let solved = solve(
        problem,
        true,
        effort(),
        &mut |s| {
            if s.printers > 0 {
                first.borrow_mut().get_or_insert(started.elapsed());
            }
            true
        },
        &|| {
            most.filter(|m| started.elapsed() >= *m)
                .map(|_| StoppedBy::Seconds)
        },
    );
    let whole = started.elapsed();
    Timed {
        solved,
        first: first.into_inner().unwrap_or(whole),
        whole,
    }
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

fn row(name: &str, mut runs: Vec<Timed>) {
    runs.sort_by_key(|r| r.whole);
    let Some(r) = runs.get(runs.len() / 2) else {
        return;
    };
    let s = &r.solved;
    let gap = 100.0 * f64::from(s.bound - s.printers) / f64::from(s.bound.max(1));
    println!(
        "| {name} | {} | {} | {:?} | {gap:.0} % | {:.2} | {:.2} | {} |",
        s.printers,
        s.bound,
        s.claim,
        r.first.as_secs_f64(),
        r.whole.as_secs_f64(),
        s.steps
    );
}

struct Nobody;

impl Watch for Nobody {
    fn seen(&self, _: &aislewright::fill::Answer) {}

    fn stop(&self) -> Option<StoppedBy> {
        None
    }
}

fn example() {
    let library = Library::builtin().expect("the built-in data are sound");
    let plan = storage::plan_of(&library, "bottling-room.plan.ron", EXAMPLE.as_bytes())
        .expect("the example is sound")
        .plan;
    let plan = Arc::new(plan);
    let ask = Ask {
        floor_only: true,
        phase: PhaseNo(1),
        kinds: None,
        part: None,
        steps: u64::MAX,
    };
    let mut times = Vec::new();
    let mut told = None;
    for _ in 0..3 {
        let started = now();
        told = fill(&library, &plan, &ask, &Nobody).ok();
        times.push(started.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    if let (Some(answer), Some(median)) = (told, times.get(1)) {
        println!(
            "| bottling room, phase 1 | {} | {} | {:?} | 0 % | | {median:.2} | {} |",
            answer.printers, answer.bound, answer.claim, answer.steps
        );
    }
}

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    let asked = |name: &str| wanted.is_empty() || wanted.iter().any(|w| name.contains(w.as_str()));
    println!("| room | printers | at most | claim | gap | first answer, s | end, s | steps |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    let exact = [
        ("empty 10 × 10 ft", empty(10, 10)),
        ("empty 12 × 12 ft", empty(12, 12)),
        ("furnished 12 × 20 ft", furnished(12, 20)),
        ("furnished 10 × 40 ft", furnished(10, 40)),
        ("empty 15 × 25 ft", empty(15, 25)),
    ];
    for (name, problem) in exact {
        if asked(name) {
            row(name, (0..3).map(|_| timed(&problem, None)).collect());
        }
    }
    if asked("bottling") {
        example();
    }
    for (name, problem) in [
        ("empty 20 × 30 ft", empty(20, 30)),
        ("empty 30 × 50 ft", empty(30, 50)),
    ] {
        if asked(name) {
            row(
                name,
                vec![timed(&problem, Some(Duration::from_secs(WIDE_SECONDS)))],
            );
        }
    }
}
