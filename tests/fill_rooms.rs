//! The fullest arrangement of small rooms against optima that an independent solver proved.
//!
//! Source of the values: `tests/data/fill_rooms.ron`, made by the mixed-integer programme in `tests/peers` (the solver `HiGHS`), which
//! shares no code and no method with the sweep.
#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use aislewright::fill::problem::{Block, Faces, PackKind, Problem, Rect, Shape, Start};
use aislewright::fill::{Claim, Effort, MOST_BYTES, Solved, common_step, solve};
use aislewright::units::{Length, Practice};
use serde::Deserialize;

#[derive(Clone, Copy, Debug, Deserialize)]
enum Wall {
    South,
    North,
    West,
    East,
}

#[derive(Clone, Debug, Deserialize)]
struct Door {
    wall: Wall,
    from: i64,
    to: i64,
}

#[derive(Clone, Debug, Deserialize)]
struct Kind {
    width: i64,
    depth: i64,
    printers: u32,
    tall: bool,
    back: bool,
}

type Box4 = (i64, i64, i64, i64);

#[derive(Clone, Debug, Deserialize)]
#[expect(dead_code, reason = "the data say more than the tests ask")]
struct Room {
    name: String,
    lattice: i64,
    width: i64,
    depth: i64,
    aisle: i64,
    door: Door,
    walls: Vec<Box4>,
    clear: Vec<Box4>,
    tall: Vec<Box4>,
    kinds: Vec<Kind>,
    free: u32,
    way_out: u32,
    free_half: Option<u32>,
    way_out_half: Option<u32>,
    searched_through: bool,
    peer_seconds: f64,
}

fn rooms() -> Vec<Room> {
    let text = include_str!("data/fill_rooms.ron");
    ron::from_str(text).expect("the committed values are well-formed")
}

fn inches(n: i64) -> i64 {
    Length::parse(&format!("{n}in"), Some(Practice::Us))
        .expect("whole inches")
        .units()
}

fn rect((x0, y0, x1, y1): Box4) -> Rect {
    Rect {
        x0: inches(x0),
        y0: inches(y0),
        x1: inches(x1),
        y1: inches(y1),
    }
}

/// Low corners of the walker's squares at the door.
fn start(room: &Room) -> Start {
    let (a, d) = (room.aisle, &room.door);
    let wide = d.to - d.from;
    let (low, high) = if a >= wide {
        (d.to - a, d.from)
    } else {
        (d.from, d.to - a)
    };
    let size = match d.wall {
        Wall::South | Wall::North => room.width,
        Wall::West | Wall::East => room.depth,
    };
    let (low, high) = (low.max(0), high.min(size - a));
    let corners = match d.wall {
        Wall::South => (low, 0, high, 0),
        Wall::North => (low, room.depth - a, high, room.depth - a),
        Wall::West => (0, low, 0, high),
        Wall::East => (room.width - a, low, room.width - a, high),
    };
    Start {
        corners: rect(corners),
    }
}

fn problem(room: &Room, way_out: bool) -> Problem {
    let every = (1_u32 << room.kinds.len()) - 1;
    let tall = room
        .kinds
        .iter()
        .enumerate()
        .fold(0, |mask, (k, kind)| mask | u32::from(kind.tall) << k);
    let block = |r: &Box4, bodies: u32, walk: bool| Block {
        shape: Shape::Rect(rect(*r)),
        bodies,
        walk,
        gap: walk,
    };
    Problem {
        width: inches(room.width),
        depth: inches(room.depth),
        aisle: inches(room.aisle),
        gap: 0,
        kinds: room
            .kinds
            .iter()
            .map(|k| PackKind {
                width: inches(k.width),
                depth: inches(k.depth),
                printers: k.printers,
                faces: Faces {
                    front: true,
                    back: k.back,
                    ..Faces::default()
                },
                plugs: true,
                exactly: None,
            })
            .collect(),
        floor: None,
        blocks: room
            .walls
            .iter()
            .map(|r| block(r, every, true))
            .chain(room.clear.iter().map(|r| block(r, every, false)))
            .chain(room.tall.iter().map(|r| block(r, tall, false)))
            .collect(),
        starts: vec![start(room)],
        reach: Vec::new(),
        way_out,
    }
}

fn solved(problem: &Problem) -> Solved {
    let effort = Effort {
        steps: 200_000_000,
        bytes: MOST_BYTES,
    };
    solve(problem, true, effort, &mut |_| true, &|| None)
}

#[test]
fn small_rooms_hold_what_an_independent_solver_proved() {
    let rooms = rooms();
    assert!(rooms.len() >= 100, "only {} rooms", rooms.len());
    let mut wrong = Vec::new();
    for room in &rooms {
        for (way_out, expected) in [(false, room.free), (true, room.way_out)] {
            let answer = solved(&problem(room, way_out));
            if (answer.printers, answer.claim) != (expected, Claim::Proved) {
                wrong.push(format!(
                    "{} way out {way_out}: {} ({:?}, at most {}), proved {expected}",
                    room.name, answer.printers, answer.claim, answer.bound
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A kind that holds nothing and is never worth placing, but whose depth halves the step of the lattice.
fn with_half_the_step(mut problem: Problem) -> Problem {
    let step = common_step(&problem);
    problem.kinds.push(PackKind {
        width: step,
        depth: step / 2,
        printers: 0,
        faces: Faces::default(),
        plugs: false,
        exactly: None,
    });
    problem
}

#[test]
fn a_lattice_of_half_the_step_holds_no_more() {
    let rooms = rooms();
    let every_third = rooms.iter().step_by(3);
    let mut tried = 0;
    for room in every_third.filter(|r| r.lattice == 12 && r.width * r.depth <= 84 * 84) {
        let whole = problem(room, true);
        let half = with_half_the_step(whole.clone());
        assert_eq!(common_step(&half) * 2, common_step(&whole), "{}", room.name);
        let (a, b) = (solved(&whole), solved(&half));
        assert_eq!(a.claim, Claim::Proved, "{}", room.name);
        assert_eq!(b.claim, Claim::Proved, "{}", room.name);
        assert_eq!(a.printers, b.printers, "{}", room.name);
        tried += 1;
    }
    assert!(tried >= 10, "only {tried} rooms");
}

#[test]
fn sizes_without_a_common_step_find_what_the_rounded_ones_hold() {
    let rooms = rooms();
    let room = rooms
        .iter()
        .find(|r| r.name == "empty_12x12")
        .expect("a named room");
    let mut problem = problem(room, true);
    for kind in &mut problem.kinds {
        // 1/320 mm less: no step is left but that of the sizes rounded up, which are the room's own.
        kind.width -= 1;
        kind.depth -= 1;
    }
    let answer = solved(&problem);
    assert!(answer.rounded, "no common step");
    assert!(
        answer.printers >= room.way_out,
        "{} of {}",
        answer.printers,
        room.way_out
    );
    assert!(answer.bound >= answer.printers, "a bound is no less");
}

/// A walker of the rounded size comes in at the far wall as well: the mirror image of a room holds as many.
#[test]
fn a_door_at_the_far_wall_is_one_for_a_rounded_walker_too() {
    let rooms = rooms();
    let room = rooms
        .iter()
        .find(|r| r.name == "empty_10x12")
        .expect("a named room");
    let mut problem = problem(room, true);
    problem.aisle -= 1;
    for kind in &mut problem.kinds {
        kind.width -= 1;
        kind.depth -= 1;
    }
    let at = |x: i64| Problem {
        starts: vec![Start {
            corners: Rect::sized(x, inches(12), 0, 0),
        }],
        ..problem.clone()
    };
    let near = solved(&at(0));
    let far = solved(&at(problem.width - problem.aisle));
    assert!(near.rounded && far.rounded, "no common step");
    assert!(near.printers >= 30, "{} printers", near.printers);
    assert_eq!((near.printers, near.bound), (far.printers, far.bound));
}
