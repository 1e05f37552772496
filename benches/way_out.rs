//! How long the widest way takes in halls of 600 racks: `cargo bench --bench way_out`. The median and the slowest of some
//! runs, in milliseconds. A name on the command line picks the halls whose name holds it.
#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench prints its table and stops where it cannot go on"
)]

use std::time::Instant;

use aislewright::geometry::{Convex, Floor, Oblong, Place, Point, Polygon, Widest};

const AISLE_MM: f64 = 914.4;
const WIDTH_MM: f64 = 1828.8;
const DEPTH_MM: f64 = 609.6;
const RUNS: usize = 5;

/// A hall with racks, each with a face before it.
struct Hall {
    name: &'static str,
    floor: Floor,
    starts: Vec<Place>,
    goals: Vec<Place>,
}

/// 30 rows of 20 racks; `turn` gives the degrees of each, `apart` the distance from row to row beyond rack and aisle, and
/// `end` the gap between neighbours in a row.
fn hall(
    name: &'static str,
    turn: impl Fn(usize, usize) -> f64,
    apart: impl Fn(usize) -> f64,
    end: f64,
) -> Hall {
    let mut racks = Vec::new();
    let mut y = 2000.0;
    for row in 0..30 {
        for k in 0..20 {
            let x = 3000.0 + k as f64 * (WIDTH_MM + end);
            let turned = turn(row, k).to_radians().sin_cos();
            racks.push(Oblong::new(Point::new(x, y), WIDTH_MM, DEPTH_MM, turned));
        }
        y += DEPTH_MM + AISLE_MM + apart(row);
    }
    let (wide, deep) = (3000.0 + 20.0 * (WIDTH_MM + end), y + 1000.0);
    let corners = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)];
    let outline = Polygon::new(corners.map(|(x, y)| Point::new(x, y)).to_vec());
    let outline = outline.expect("a rectangle has a size");
    let bodies: Vec<Convex> = racks.iter().map(Oblong::convex).collect();
    let goals = racks
        .iter()
        .map(|rack| {
            let across = rack.across();
            let middle = rack.at(0.0, -(DEPTH_MM + AISLE_MM) * 0.5);
            Place::In(Oblong::new(
                middle,
                WIDTH_MM,
                AISLE_MM,
                (across.y, across.x),
            ))
        })
        .collect();
    let (near, far) = (Point::new(500.0, 0.0), Point::new(1600.0, 0.0));
    Hall {
        name,
        floor: Floor::new(&outline, &bodies, Point::X),
        starts: vec![Place::Against(near, far)],
        goals,
    }
}

/// Degrees that look like chance and are the same every time.
fn odd(row: usize, k: usize) -> f64 {
    ((row * 31 + k * 17) % 23) as f64 - 11.0
}

fn halls() -> Vec<Hall> {
    let flat = |_: usize, _: usize| 0.0;
    let one = |narrow: f64, free: f64| move |row: usize| if row == 15 { narrow } else { free };
    vec![
        hall("straight, free", flat, |_| 50.0, 0.0),
        hall("straight, one row narrow", flat, one(-100.0, 50.0), 0.0),
        hall("straight, all narrow", flat, |_| -100.0, 0.0),
        hall("odd angles, free", odd, |_| 700.0, 40.0),
        hall("odd angles, one row narrow", odd, one(200.0, 700.0), 40.0),
        hall("odd angles, all narrow", odd, |_| 200.0, 40.0),
        hall("odd angles, gaps all round", odd, |_| 300.0, 900.0),
        hall("7 degrees, all narrow", |_, _| 7.0, |_| 100.0, 40.0),
        hall("45 degrees, all narrow", |_, _| 45.0, |_| 100.0, 40.0),
    ]
}

/// What the check asks: which faces are reached, and how wide the way to the others is, or else to all.
fn judged(hall: &Hall) -> Vec<Option<Widest>> {
    let (floor, starts, goals) = (&hall.floor, &hall.starts, &hall.goals);
    let reached = floor.reach(AISLE_MM, starts, goals);
    let held: Vec<Place> = goals
        .iter()
        .zip(&reached)
        .filter_map(|(goal, reached)| (!reached).then_some(*goal))
        .collect();
    if held.is_empty() {
        vec![floor.widest_to_all(starts, goals, 2.0 * AISLE_MM, None)]
    } else {
        floor.widest(starts, &held, AISLE_MM)
    }
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    println!("| hall | asked | sum of sides, mm | median, ms | slowest, ms |");
    println!("| --- | --- | --- | --- | --- |");
    for hall in halls() {
        if !wanted.is_empty() && !wanted.iter().any(|w| hall.name.contains(w.as_str())) {
            continue;
        }
        let mut times = Vec::new();
        let mut found = Vec::new();
        for _ in 0..RUNS {
            let started = now();
            found = judged(&hall);
            times.push(started.elapsed().as_secs_f64() * 1000.0);
        }
        times.sort_by(f64::total_cmp);
        let sum: f64 = found.iter().flatten().map(|w| w.side_mm).sum();
        let (median, slowest) = (times[RUNS / 2], times[RUNS - 1]);
        println!(
            "| {} | {} | {sum:.2} | {median:.0} | {slowest:.0} |",
            hall.name,
            found.len()
        );
    }
}
