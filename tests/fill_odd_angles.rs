//! Rooms with something at an odd angle: the search names its lattice and claims no more, and the same room with that thing boxed
//! in holds no more than its bound says.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::fill::problem::{Block, Faces, PackKind, Problem, Rect, Shape, Start};
use aislewright::fill::{
    Answer, Ask, Claim, Effort, MOST_BYTES, Solved, StoppedBy, Watch, fill, solve, verify,
};
use aislewright::geometry::{Oblong, Point};
use aislewright::plan::{
    Column, Door, Edit, Head, Hinge, Item, Outline, PhaseNo, Plan, Pose, Presence, Record, Room,
    Swing, WallPlace,
};
use aislewright::stock::KindId;
use aislewright::units::{Angle, Length};
use common::{edited, id, inches as length, library};

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
    solve(problem, squared, effort, &mut |_| true, &|| None)
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

struct Nobody;

impl Watch for Nobody {
    fn seen(&self, _: &Answer) {}

    fn stop(&self) -> Option<StoppedBy> {
        None
    }
}

/// A room with those corners in inches and a door that is a way out in its first wall.
fn plan(corners: [(i32, i32); 4]) -> Arc<Plan> {
    let mut shell = Room::rectangle(length(1), length(1), length(108), length(6));
    let corners = corners.map(|(x, y)| (length(x), length(y)));
    shell.outline = Outline::Corners(corners.to_vec());
    let head = Head {
        leading: Some(KindId::new("open-220").unwrap()),
        ..Head::default()
    };
    let door = Door {
        at: WallPlace::new(0, length(12)),
        width: length(36),
        height: length(80),
        clear: Some(length(36)),
        hinge: Hinge::Near,
        swing: Swing::Out,
        way_out: true,
        presence: Presence::default(),
    };
    put(&Plan::new(head, shell), "D1", Item::Door(door))
}

fn put(plan: &Plan, mark: &str, item: Item) -> Arc<Plan> {
    let records = vec![(id(mark), Record::Item(Box::new(item)))];
    edited(plan, &Edit::Put(records))
}

/// A room of 110 by 120 in with a column of so many inches round a middle.
fn with_column((x, y): (f64, f64), (width, depth): (f64, f64), degrees: f64) -> Arc<Plan> {
    let from_inches = |n: f64| Length::from_mm(n * 25.4);
    let column = Column {
        at: Pose {
            x: from_inches(x - width * 0.5),
            y: from_inches(y - depth * 0.5),
            turn: Angle::from_degrees(degrees),
        },
        width: from_inches(width),
        depth: from_inches(depth),
        presence: Presence::default(),
    };
    put(&square(110, 120), "K1", Item::Column(column))
}

fn square(wide: i32, deep: i32) -> Arc<Plan> {
    plan([(0, 0), (wide, 0), (wide, deep), (0, deep)])
}

fn ask() -> Ask {
    Ask {
        floor_only: false,
        phase: PhaseNo(1),
        kinds: None,
        part: None,
        steps: 20_000_000,
    }
}

/// What the plan holds, after the checks accepted it.
fn filled(plan: &Arc<Plan>) -> Answer {
    let answer = fill(library(), plan, &ask(), &Nobody).unwrap();
    let after = verify(library(), plan, &ask(), &answer).unwrap();
    let standing = u32::try_from(after.printers().len()).unwrap();
    assert_eq!(standing, answer.printers, "every printer counted stands");
    answer
}

/// The answer says that it is no proof beyond its lattice, in its claim, its words and what it rests on.
fn claims_no_more_than_its_lattice(answer: &Answer) {
    assert_eq!(answer.claim, Claim::ProvedOnLattice, "{}", answer.words());
    assert!(
        answer.printers > 0 && answer.bound > answer.printers,
        "{} of {}: nothing better is ruled out",
        answer.printers,
        answer.bound
    );
    let lattice = answer.lattice_words.clone().unwrap();
    assert!(answer.lattice_mm.unwrap() > 0.0, "{lattice}");
    let words = format!("proved on the {lattice} lattice");
    assert_eq!(answer.words(), words, "the claim names the lattice");
    let on = format!(" on the {lattice} lattice holds more.");
    assert!(answer.against(None, false).ends_with(&on), "{on}");
    let rests_on = &answer.assumptions;
    let said = rests_on.iter().any(|a| a.contains("odd angle"));
    assert!(said, "{rests_on:?}");
}

/// A column of 20 by 12 in at several places. Boxed in, it takes more floor than it does, so what then stands also stands
/// round the column itself; without it there is room for as much at least.
#[test]
fn a_turned_column_lies_between_its_box_and_no_column() {
    let empty = filled(&square(110, 120));
    assert_eq!(empty.claim, Claim::Proved);
    for (degrees, middle) in [
        (7.0, (80.0, 84.0)),
        (30.0, (30.0, 90.0)),
        (45.0, (92.0, 60.0)),
    ] {
        let size = (20.0, 12.0);
        let odd = filled(&with_column(middle, size, degrees));
        claims_no_more_than_its_lattice(&odd);
        let (sin, cos) = f64::to_radians(degrees).sin_cos();
        let wide = size.0 * cos + size.1 * sin;
        let deep = size.0 * sin + size.1 * cos;
        let boxed = filled(&with_column(middle, (wide, deep), 0.0));
        assert!(
            0 < boxed.printers && boxed.printers <= odd.bound,
            "{degrees} degrees: {} boxed, {} at most",
            boxed.printers,
            odd.bound
        );
        assert!(
            odd.printers <= empty.printers && empty.printers <= empty.bound,
            "{degrees} degrees: {} of {}",
            odd.printers,
            empty.printers
        );
    }
}

/// The right wall leans in by 10 in, then the far wall: between the largest rectangle inside and the smallest outside.
#[test]
fn a_room_out_of_square_lies_between_two_rectangles() {
    let outside = filled(&square(110, 120));
    for (corners, (wide, deep)) in [
        ([(0, 0), (110, 0), (100, 120), (0, 120)], (100, 120)),
        ([(0, 0), (110, 0), (110, 110), (0, 120)], (110, 110)),
    ] {
        let leaning = filled(&plan(corners));
        claims_no_more_than_its_lattice(&leaning);
        let inside = filled(&square(wide, deep));
        assert!(
            0 < inside.printers && inside.printers <= leaning.bound,
            "{wide} by {deep} in inside: {}, at most {}",
            inside.printers,
            leaning.bound
        );
        assert!(
            leaning.printers <= outside.bound,
            "{} of {} outside",
            leaning.printers,
            outside.bound
        );
    }
}

/// One exception: where the arrangement meets a bound that needs no lattice. A floor without room for any rack holds none,
/// whatever stands on it.
#[test]
fn a_turned_column_where_nothing_fits_is_proved_by_the_area_alone() {
    let turned = Oblong::new(
        Point::new(300.0, 300.0),
        100.0,
        60.0,
        (0.5, 0.75_f64.sqrt()),
    );
    let mut tiny = room();
    (tiny.width, tiny.depth) = (inches(24), inches(24));
    tiny.kinds.truncate(1);
    tiny.kinds[0].printers = 1;
    tiny.blocks.push(block(Shape::Convex(turned.convex())));
    let found = solved(&tiny, false);
    // 24 by 24 in is a third of a rack of 72 by 24.
    assert_eq!((found.printers, found.bound), (0, 0));
    assert_eq!((found.claim, found.lattice), (Claim::Proved, None));
}
