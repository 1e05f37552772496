//! Changes of the walls: what becomes of the outline, of what hangs on the walls, and of a room entered as a tape walk.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::geometry::Point;
use aislewright::plan::{
    Edit, Head, Id, Item, Label, Outlet, Outline, Plan, Presence, Quarter, Rebuild, Record, Room,
    TapeWalk, WallPlace, l_shape_at, rectangle_at,
};
use aislewright::storage;
use aislewright::units::Length;
use common::{Dice, edited, id, library, small_room};
use proptest::prelude::*;

fn mm(mm: i32) -> Length {
    Length::from_mm_whole(mm)
}

fn outlet(wall: u16, along: i32) -> Item {
    Item::Outlet(Outlet {
        at: WallPlace::new(wall, mm(along)),
        height: mm(300),
        receptacles: 2,
        circuit: None,
        presence: Presence::default(),
        receptacle: None,
    })
}

/// A room of 6 by 4 m with an outlet on each wall, a metre from the corner that its wall begins at.
fn with_outlets() -> Plan {
    let plan = Plan::new(
        Head::default(),
        Room::rectangle(mm(6000), mm(4000), mm(2700), mm(100)),
    );
    let put = (0..4).map(|wall| {
        let mark = id(&format!("O{}", wall + 1));
        (mark, Record::Item(Box::new(outlet(wall, 1000))))
    });
    edited(&plan, &Edit::Put(put.collect())).as_ref().clone()
}

fn rebuilt(plan: &Plan, change: &Rebuild) -> Result<Arc<Plan>, String> {
    let edit = plan.rebuilt(&library().stock, change)?;
    Ok(edited(plan, &edit))
}

fn corners(plan: &Plan) -> Vec<(i32, i32)> {
    let whole = |l: Length| format!("{:.0}", l.mm()).parse().unwrap();
    let corners = plan.room().corners();
    corners
        .iter()
        .map(|(x, y)| (whole(*x), whole(*y)))
        .collect()
}

fn place(plan: &Plan, mark: &str) -> (u16, f64) {
    let at = plan.items().get(id(mark)).unwrap().wall_place().unwrap();
    (at.wall, at.along.mm())
}

#[test]
fn a_wall_moves_parallel_to_itself_and_its_neighbours_follow() {
    let plan = with_outlets();
    let out = Rebuild::Shift {
        wall: 1,
        out: mm(500),
    };
    let wider = rebuilt(&plan, &out).unwrap();
    assert_eq!(
        corners(&wider),
        [(0, 0), (6500, 0), (6500, 4000), (0, 4000)]
    );
    // What hangs on the wall after it keeps its metre from the corner, which moved.
    assert_eq!(place(&wider, "O3"), (2, 1000.0));
    let below = Rebuild::Shift {
        wall: 0,
        out: mm(300),
    };
    let longer = rebuilt(&plan, &below).unwrap();
    assert_eq!(
        corners(&longer),
        [(0, -300), (6000, -300), (6000, 4000), (0, 4000)]
    );
}

/// A wall beside one out of square goes along it: a run of 4 to a rise of 3 makes the slanting wall 5 longer for every 3 that
/// the wall moves out (the triangle of 3, 4 and 5).
#[test]
fn a_neighbour_out_of_square_keeps_its_direction() {
    let outline = vec![
        (mm(0), mm(0)),
        (mm(6000), mm(0)),
        (mm(10_000), mm(3000)),
        (mm(0), mm(3000)),
    ];
    let room = Room {
        outline: Outline::Corners(outline),
        ..Room::rectangle(mm(1), mm(1), mm(2700), mm(100))
    };
    let plan = Plan::new(Head::default(), room);
    let up = Rebuild::Shift {
        wall: 2,
        out: mm(300),
    };
    let moved = rebuilt(&plan, &up).unwrap();
    assert_eq!(
        corners(&moved),
        [(0, 0), (6000, 0), (10_400, 3300), (0, 3300)]
    );
}

#[test]
fn a_split_wall_moved_makes_a_niche() {
    let plan = with_outlets();
    let split = |plan: &Plan, wall, along| {
        rebuilt(
            plan,
            &Rebuild::Split {
                wall,
                along: mm(along),
            },
        )
    };
    let once = split(&plan, 0, 2000).unwrap();
    let twice = split(&once, 1, 1500).unwrap();
    assert_eq!(place(&twice, "O1"), (0, 1000.0));
    assert_eq!(place(&twice, "O2"), (3, 1000.0), "walls are counted on");
    let niche = Rebuild::Shift {
        wall: 1,
        out: mm(400),
    };
    let niche = rebuilt(&twice, &niche).unwrap();
    assert_eq!(
        corners(&niche),
        [
            (0, 0),
            (2000, 0),
            (2000, -400),
            (3500, -400),
            (3500, 0),
            (6000, 0),
            (6000, 4000),
            (0, 4000)
        ]
    );
    assert_eq!(place(&niche, "O2"), (5, 1000.0));
    let (stays, split_there) = (place(&niche, "O1"), split(&plan, 0, 1000).unwrap());
    assert_eq!(stays, (0, 1000.0));
    assert_eq!(place(&split_there, "O1"), (0, 1000.0), "at the cut itself");
}

#[test]
fn what_hangs_beyond_a_cut_stays_where_it_is() {
    let plan = with_outlets();
    let split = Rebuild::Split {
        wall: 3,
        along: mm(400),
    };
    let cut = rebuilt(&plan, &split).unwrap();
    assert_eq!(place(&cut, "O4"), (4, 600.0));
    let bevel = Rebuild::Bevel {
        corner: 2,
        back: mm(700),
    };
    let bevelled = rebuilt(&plan, &bevel).unwrap();
    assert_eq!(
        corners(&bevelled),
        [(0, 0), (6000, 0), (6000, 3300), (5300, 4000), (0, 4000)]
    );
    assert_eq!(place(&bevelled, "O3"), (3, 300.0));
    assert_eq!(place(&bevelled, "O4"), (4, 1000.0));
    let first = Rebuild::Bevel {
        corner: 0,
        back: mm(700),
    };
    let first = rebuilt(&plan, &first).unwrap();
    assert_eq!(
        corners(&first),
        [(700, 0), (6000, 0), (6000, 4000), (0, 4000), (0, 700)]
    );
    assert_eq!(place(&first, "O1"), (0, 300.0));
}

#[test]
fn what_would_hang_nowhere_refuses_the_change_in_words() {
    let plan = with_outlets();
    let bevel = Rebuild::Bevel {
        corner: 2,
        back: mm(1200),
    };
    let why = rebuilt(&plan, &bevel).unwrap_err();
    assert!(why.contains("outlet O3 would not lie within"), "{why}");
    let gone = Rebuild::RemoveCorner { corner: 1 };
    let why = rebuilt(&plan, &gone).unwrap_err();
    assert!(
        why.contains("O1 hangs on the south wall, which would be gone"),
        "{why}"
    );
    let through = Rebuild::Shift {
        wall: 1,
        out: mm(-6500),
    };
    let why = rebuilt(&plan, &through).unwrap_err();
    assert!(why.contains("a wall would be gone"), "{why}");
    let near = Rebuild::Shift {
        wall: 1,
        out: mm(-5500),
    };
    let why = rebuilt(&plan, &near).unwrap_err();
    assert!(why.contains("O1 would not lie within"), "{why}");
}

/// A corner that lies straight between its neighbours goes without a trace, whatever hangs there.
#[test]
fn a_split_is_undone_by_removing_its_corner() {
    let plan = with_outlets();
    let split = Rebuild::Split {
        wall: 2,
        along: mm(600),
    };
    let cut = rebuilt(&plan, &split).unwrap();
    let whole = rebuilt(&cut, &Rebuild::RemoveCorner { corner: 3 }).unwrap();
    assert_eq!(*whole, plan);
}

#[test]
fn each_wall_may_have_its_own_thickness_and_keeps_it() {
    let plan = with_outlets();
    let thick = Rebuild::Thickness {
        wall: 2,
        thickness: mm(300),
    };
    let thick = rebuilt(&plan, &thick).unwrap();
    assert_eq!(thick.room().wall_thickness(2), mm(300));
    assert_eq!(thick.room().wall_thickness(1), mm(100));
    let split = Rebuild::Split {
        wall: 0,
        along: mm(3000),
    };
    let split = rebuilt(&thick, &split).unwrap();
    assert_eq!(split.room().wall_thickness(3), mm(300));
    assert_eq!(split.room().wall_thickness(2), mm(100));
}

/// A rectangle of 6 by 4 m less a notch of 2 by 1.5 m: 21 square metres in each quarter.
#[test]
fn an_l_has_its_notch_where_it_was_asked_for() {
    for quarter in Quarter::ALL {
        let l = l_shape_at(
            (mm(100), mm(200)),
            (mm(6000), mm(4000)),
            (mm(2000), mm(1500)),
            quarter,
        )
        .unwrap();
        let plan = rebuilt(&with_outlets(), &Rebuild::Outline(l)).unwrap();
        let area = plan.room().polygon().unwrap().area();
        assert!((area - 21e6).abs() < 1.0, "{}: {area}", quarter.word());
    }
    let too_wide = l_shape_at(
        (mm(0), mm(0)),
        (mm(6000), mm(4000)),
        (mm(6000), mm(1500)),
        Quarter::UpperRight,
    );
    assert_eq!(too_wide, None);
    let small = Rebuild::Outline(rectangle_at((mm(0), mm(0)), mm(900), mm(4000)));
    let why = rebuilt(&with_outlets(), &small).unwrap_err();
    assert!(why.contains("O1"), "{why}");
}

fn walked(text: &str) -> Plan {
    let room = Room {
        outline: Outline::TapeWalk(TapeWalk::parse(text, None).unwrap()),
        ..Room::rectangle(mm(1), mm(1), mm(2700), mm(100))
    };
    Plan::new(Head::default(), room)
}

fn legs_mm(plan: &Plan) -> Vec<f64> {
    let walk = plan.room().tape_walk().unwrap();
    walk.legs().iter().map(|l| l.length.mm()).collect()
}

/// Two walks round the same room, one to the left and one to the right: a wall moved changes the two legs beside it.
#[test]
fn a_wall_of_a_walk_moves_by_its_two_legs() {
    for (walk, wall, legs) in [
        (
            "6000mm left, 4000mm left, 6003mm left, 4000mm left",
            1,
            [6500.0, 4000.0, 6503.0, 4000.0],
        ),
        (
            "4000mm right, 6000mm right, 4000mm right, 6000mm right",
            1,
            [4000.0, 6500.0, 4000.0, 6500.0],
        ),
        (
            "6000mm left, 4000mm left, 6000mm left, 4000mm left",
            0,
            [6000.0, 4500.0, 6000.0, 4500.0],
        ),
    ] {
        let plan = walked(walk);
        let out = Rebuild::Shift { wall, out: mm(500) };
        assert_eq!(plan.room().lets_go(&out), None);
        let before = corners(&plan);
        let moved = rebuilt(&plan, &out).unwrap();
        for (is, should) in legs_mm(&moved).into_iter().zip(legs) {
            assert!((is - should).abs() < 0.01, "{walk}: {is} for {should}");
        }
        let stays = (0..4).filter(|k| corners(&moved).get(*k) == before.get(*k));
        assert_eq!(stays.count(), 2, "only the wall's own corners move: {walk}");
    }
}

#[test]
fn other_changes_turn_a_walk_into_corners_and_say_so_first() {
    let plan = walked("6000mm left, 4000mm left, 6000mm left, 4000mm left");
    let split = Rebuild::Split {
        wall: 0,
        along: mm(2000),
    };
    let said = plan.room().lets_go(&split).unwrap();
    assert!(
        said.contains("the tape walk becomes plain corners"),
        "{said}"
    );
    let cut = rebuilt(&plan, &split).unwrap();
    assert_eq!(cut.room().tape_walk(), None);
    assert_eq!(
        corners(&cut),
        [(0, 0), (2000, 0), (6000, 0), (6000, 4000), (0, 4000)]
    );
}

#[test]
fn a_copy_does_not_claim_to_be_what_was_moved() {
    let plan = small_room(3);
    let rack = plan
        .items()
        .iter()
        .find(|(_, i)| matches!(i, Item::Rack(_)))
        .map(|(id, _)| id)
        .unwrap();
    let mut item = plan.items().get(rack).unwrap().clone();
    item.presence_mut().moved_from = Some(rack);
    item.presence_mut().note = Label::new("moved").unwrap();
    let plan = edited(
        &plan,
        &Edit::Put(vec![(rack, Record::Item(Box::new(item)))]),
    );
    let (edit, copies) = plan
        .copies([rack], |_, pose| Some(pose))
        .step("Duplicate")
        .unwrap();
    let after = edited(&plan, &edit);
    let copy = after.items().get(copies[0]).unwrap();
    assert_eq!(copy.presence().moved_from, None);
    // Into another plan, which knows nothing of where it came from.
    let excerpt = plan.excerpt([rack], |_| Vec::new()).unwrap();
    let other = with_outlets();
    let phase = other.last_phase();
    let (edit, pasted) = other.pasted(&excerpt, phase, |pose| pose).unwrap();
    assert!(edited(&other, &edit).items().get(pasted[0]).is_some());
}

/// Where a thing on a wall hangs, in millimetres.
fn spot(plan: &Plan, id: Id) -> Option<Point> {
    let at = plan.items().get(id)?.wall_place()?;
    let (a, b) = plan.room().polygon()?.side(usize::from(at.wall))?;
    Some(a + (b - a).normalize() * at.along.mm())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Any change that is carried out leaves a whole plan that reads back equal, and a cut moves nothing by more than rounding.
    #[test]
    fn every_change_leaves_a_whole_plan(seed in 0_u64..10_000) {
        let mut dice = Dice::new(seed);
        let mut plan = small_room(seed);
        for _ in 0..6 {
            let walls = i32::try_from(plan.room().walls()).unwrap();
            let some = usize::try_from(dice.roll(walls)).unwrap();
            let length = mm(dice.between(-900, 1500));
            let change = match dice.roll(5) {
                0 => Rebuild::Shift { wall: some, out: length },
                1 => Rebuild::Split { wall: some, along: length },
                2 => Rebuild::Bevel { corner: some, back: length },
                3 => Rebuild::RemoveCorner { corner: some },
                _ => Rebuild::Thickness { wall: some, thickness: length.abs() },
            };
            let Ok(edit) = plan.rebuilt(&library().stock, &change) else { continue };
            let after = edited(&plan, &edit);
            prop_assert_eq!(after.audit(&library().stock), vec![]);
            let text = storage::text_of(&after).unwrap();
            let back = storage::plan_of(library(), "walls", text.as_bytes()).unwrap().plan;
            prop_assert_eq!(&back, after.as_ref());
            if !matches!(change, Rebuild::Shift { .. }) {
                for (id, _) in plan.items().iter() {
                    let (was, is) = (spot(&plan, id), spot(&after, id));
                    prop_assert_eq!(was.is_some(), is.is_some());
                    let off = was.zip(is).map_or(0.0, |(a, b)| a.distance(b));
                    prop_assert!(off < 0.05, "{} moved by {} mm in {:?}", id, off, change);
                }
            }
            plan = after;
        }
    }

    /// A room of corners taken for a walk stays where it is, whatever way its first wall runs: each of up to seven turns is off
    /// by at most half of 1/1000 degree, which is 0.1 mm on ten metres.
    #[test]
    fn a_room_taken_for_a_walk_does_not_turn(
        first in 0_u16..360, x in -5_000_i32..5_000, y in -5_000_i32..5_000,
        radii in prop::collection::vec(1_500_i32..5_000, 3..8),
    ) {
        let n = i32::try_from(radii.len()).unwrap();
        let corners: Vec<(Length, Length)> = (0..).zip(&radii).map(|(k, r)| {
            let angle = (f64::from(first) + 360.0 * f64::from(k) / f64::from(n)).to_radians();
            let at = Point::from_angle(angle) * f64::from(*r);
            (mm(x) + Length::from_mm(at.x), mm(y) + Length::from_mm(at.y))
        }).collect();
        let room = Room {
            outline: Outline::Corners(corners.clone()),
            ..Room::rectangle(mm(1), mm(1), mm(2700), mm(100))
        };
        prop_assume!(room.polygon().unwrap().crossing().is_none());
        let walked = room.as_walked();
        prop_assert!(walked.tape_walk().is_some());
        for (is, should) in walked.corners().iter().zip(&corners) {
            prop_assert!((is.0 - should.0).mm().abs() < 1.0, "{:?} for {:?}", is, should);
            prop_assert!((is.1 - should.1).mm().abs() < 1.0, "{:?} for {:?}", is, should);
        }
        let plan = Plan::new(Head::default(), walked);
        let text = storage::text_of(&plan).unwrap();
        let back = storage::plan_of(library(), "walk", text.as_bytes()).unwrap().plan;
        prop_assert_eq!(back.room().lies, plan.room().lies);
        prop_assert_eq!(back.room().corners(), plan.room().corners());
    }
}
