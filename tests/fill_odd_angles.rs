//! Rooms with something at an odd angle: the search names its lattice and claims no more, and the same room with that thing boxed
//! in holds no more than its bound says.

use aislewright::fill::problem::{Block, Faces, PackKind, Problem, Rect, Shape, Start};
use aislewright::fill::{Claim, Effort, MOST_BYTES, Solved, solve};
use aislewright::geometry::{Oblong, Point};
use aislewright::units::Length;

fn inches(n: i32) -> i64 {
    Length::from_inches(n).units()
}

/// An empty room of 10 by 10 ft with a door in its lower wall.
fn room() -> Problem {
    let kind = |width: i32, printers: u32| PackKind {
        width: inches(width),
        depth: inches(24),
        printers,
        faces: Faces {
            front: true,
            ..Faces::default()
        },
        plugs: true,
        exactly: None,
    };
    Problem {
        width: inches(120),
        depth: inches(120),
        aisle: inches(36),
        gap: 0,
        kinds: vec![kind(72, 9), kind(48, 6), kind(36, 3)],
        floor: None,
        blocks: Vec::new(),
        starts: vec![Start {
            corners: Rect {
                x0: inches(12),
                y0: 0,
                x1: inches(12),
                y1: 0,
            },
        }],
        reach: Vec::new(),
        way_out: true,
    }
}

fn block(shape: Shape) -> Block {
    Block {
        shape,
        bodies: u32::MAX,
        walk: true,
        gap: true,
    }
}

fn solved(problem: &Problem, squared: bool) -> Solved {
    let effort = Effort {
        steps: 20_000_000,
        bytes: MOST_BYTES,
    };
    solve(problem, squared, effort, &mut |_| {}, &|| None)
}

/// A column of 16 by 10 in, turned by 7 and by 30 degrees, in the far corner of the room.
#[test]
fn a_turned_column_is_counted_on_a_named_lattice_and_never_called_proved() {
    for degrees in [7.0_f64, 30.0] {
        let turn = degrees.to_radians().sin_cos();
        let middle = Point::new(100.0 * 25.4, 95.0 * 25.4);
        let shape = Oblong::new(middle, 16.0 * 25.4, 10.0 * 25.4, turn).convex();
        let bounds = *shape.bounds();
        let mut odd = room();
        odd.blocks.push(block(Shape::Convex(shape)));
        let found = solved(&odd, false);
        assert_eq!(found.claim, Claim::ProvedOnLattice, "{degrees} degrees");
        assert!(found.lattice.is_some(), "the lattice is named");
        assert!(found.bound > found.printers, "nothing better is ruled out");

        // The box round the column takes at least as much floor as the column does.
        let units = |mm: f64| Length::from_mm(mm).units();
        let mut boxed = room();
        boxed.blocks.push(block(Shape::Rect(Rect {
            x0: units(bounds.low.x),
            y0: units(bounds.low.y),
            x1: units(bounds.high.x),
            y1: units(bounds.high.y),
        })));
        let least = solved(&boxed, true);
        assert!(least.printers > 0);
        assert!(least.printers <= found.bound, "{degrees} degrees");
        // And the empty room at least as many as the one with the column.
        let most = solved(&room(), true);
        assert_eq!(most.claim, Claim::Proved);
        assert!(found.printers <= most.printers, "{degrees} degrees");
    }
}
