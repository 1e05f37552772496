//! Things on walls and under ceilings: the measure that is kept when a wall changes, what hides what, what a beam leaves room for.

mod common;

use std::sync::Arc;

use aislewright::checks::Standing;
use aislewright::layout::{Layout, Seen};
use aislewright::plan::{
    Edit, Fitting, FittingUse, Head, Item, ItemKind, Outlet, Outline, Overhead, OverheadUse,
    PhaseNo, Plan, Pose, Presence, Record, Room, WallEnd, WallPlace,
};
use aislewright::storage;
use aislewright::units::{Angle, Length};
use common::{edited, example, id, judged, library, put, rack_at};

fn room() -> Plan {
    let mm = Length::from_mm_whole;
    let room = Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150));
    Plan::new(Head::default(), room)
}

fn outlet(kept_from: WallEnd) -> Item {
    Item::Outlet(Outlet {
        receptacle: None,
        at: WallPlace {
            kept_from,
            ..WallPlace::new(0, Length::from_mm_whole(4200))
        },
        height: Length::from_mm_whole(450),
        receptacles: 2,
        circuit: None,
        presence: Presence::default(),
    })
}

fn fitting(purpose: FittingUse) -> Fitting {
    let mm = Length::from_mm_whole;
    Fitting {
        purpose,
        at: WallPlace::new(0, mm(1000)),
        width: mm(180),
        depth: mm(180),
        bottom: mm(700),
        height: mm(500),
        presence: Presence::default(),
    }
}

fn beam(bottom_mm: i32) -> Item {
    let mm = Length::from_mm_whole;
    Item::Overhead(Overhead {
        purpose: OverheadUse::Beam,
        at: Pose {
            x: mm(0),
            y: mm(3300),
            turn: Angle::default(),
        },
        width: mm(5000),
        depth: mm(250),
        bottom: mm(bottom_mm),
        presence: Presence::default(),
    })
}

fn along_mm(plan: &Plan, mark: &str) -> f64 {
    let item = plan.items().get(id(mark));
    let at = item.and_then(Item::wall_place);
    at.map_or(f64::NAN, |at| at.along.mm())
}

/// 800 mm from the last corner stay 800 mm when the wall becomes a metre longer, and 4200 mm from the first corner 4200.
#[test]
fn a_measure_is_kept_from_the_corner_that_was_chosen() {
    let plan = put(&room(), "O1", outlet(WallEnd::First));
    let plan = put(&plan, "O2", outlet(WallEnd::Last));
    let mut longer = plan.room().clone();
    let Outline::Corners(corners) = &mut longer.outline else {
        panic!("a rectangle has corners");
    };
    corners[1].0 = Length::from_mm_whole(6000);
    corners[2].0 = Length::from_mm_whole(6000);
    let after = edited(&plan, &Edit::SetRoom(Box::new(longer)));
    assert!((along_mm(&after, "O1") - 4200.0).abs() < 1e-9);
    assert!((along_mm(&after, "O2") - 5200.0).abs() < 1e-9);
}

/// The room shrinks so far that a thing measured from its first corner would hang in the air: the edit is refused.
#[test]
fn a_wall_too_short_for_what_hangs_on_it_is_refused() {
    let plan = put(&room(), "O1", outlet(WallEnd::First));
    let small = Room::rectangle(
        Length::from_mm_whole(4000),
        Length::from_mm_whole(4000),
        Length::from_mm_whole(2700),
        Length::from_mm_whole(150),
    );
    let refused = plan.edited(&library().stock, &Edit::SetRoom(Box::new(small.clone())));
    assert!(refused.is_err(), "4200 mm along a wall of 4000");
    let plan = put(&room(), "O1", outlet(WallEnd::Last));
    let after = edited(&plan, &Edit::SetRoom(Box::new(small)));
    assert!((along_mm(&after, "O1") - 3200.0).abs() < 1e-9);
}

/// The example's R1 (4 in to 76 in from the west) stands before outlet O1 at 36 in from it: 1 ft 6 in high, under the rack's top.
#[test]
fn what_stands_before_a_wall_hides_what_is_on_it() {
    let layout = Layout::of(library(), &example(), PhaseNo(1));
    let face = layout.wall_face(2).unwrap();
    let hidden = face.hidden();
    assert!(hidden.contains(&(id("O1"), id("R1"))), "{hidden:?}");
    // The south wall's window begins at 3 ft 4 in; nothing stands before it in phase 1.
    let south = layout.wall_face(0).unwrap();
    assert!(south.fixed.iter().any(|t| t.id == id("W1")));
    assert_eq!(south.hidden(), []);
}

/// The room is 5 m by 4 m and looked at from its middle. A beam along the north wall, 3.3 m up the sheet, is seen whole before that
/// wall from end to end, cut at both ends before the west and the east wall, and not before the south wall.
#[test]
fn what_hangs_is_seen_before_the_walls_on_its_side_of_the_room() {
    let plan = put(&room(), "J1", beam(2400));
    let layout = Layout::of(library(), &plan, PhaseNo(1));
    let seen = |wall: usize, mark: &str| {
        let face = layout.wall_face(wall).unwrap();
        let found = face.overhead.iter().find(|o| o.on.id == id(mark));
        found.map(|o| (o.seen, o.on.along, o.on.heights.low))
    };
    assert_eq!(seen(2, "J1"), Some((Seen::Whole, (0.0, 5000.0), 2400.0)));
    assert_eq!(seen(0, "J1"), None);
    // The east wall runs north from the south-east corner, the west wall south from the north-west one.
    assert_eq!(seen(1, "J1"), Some((Seen::Cut, (3300.0, 3550.0), 2400.0)));
    assert_eq!(seen(3, "J1"), Some((Seen::Cut, (450.0, 700.0), 2400.0)));
    // A head a metre off the south and the west wall is whole before both, and hides what is on the wall at its height.
    let Item::Overhead(bar) = beam(2500) else {
        panic!("a beam hangs overhead");
    };
    let head = Overhead {
        purpose: OverheadUse::Sprinkler,
        at: Pose {
            x: Length::from_mm_whole(1000),
            y: Length::from_mm_whole(1000),
            turn: Angle::default(),
        },
        width: Length::from_mm_whole(100),
        depth: Length::from_mm_whole(100),
        ..bar
    };
    let plan = put(&plan, "S1", Item::Overhead(head));
    let high = Fitting {
        at: WallPlace::new(0, Length::from_mm_whole(950)),
        bottom: Length::from_mm_whole(2400),
        height: Length::from_mm_whole(200),
        ..fitting(FittingUse::DataPoint)
    };
    let plan = put(&plan, "N1", Item::Fitting(high));
    let layout = Layout::of(library(), &plan, PhaseNo(1));
    let face = layout.wall_face(0).unwrap();
    let head = face.overhead.iter().find(|o| o.on.id == id("S1")).unwrap();
    assert_eq!((head.seen, head.on.along), (Seen::Whole, (1000.0, 1100.0)));
    assert_eq!(face.hidden(), [(id("N1"), id("S1"))]);
    assert!(
        layout
            .wall_face(2)
            .unwrap()
            .overhead
            .iter()
            .all(|o| o.on.id != id("S1"))
    );
}

/// The rack is 72 in high, 1828.8 mm: it fits under a beam at 1829 and not under one at 1828.
#[test]
fn a_rack_fits_under_a_beam_or_not() {
    let strikes = |bottom| {
        let plan = put(&room(), "J1", beam(bottom));
        let plan = put(&plan, "R1", rack_at("full-72", 500, 3300, 0.0));
        let (_, findings) = judged(&plan, 1);
        findings.iter().any(|f| {
            f.check == "fits" && f.standing == Standing::Broken && f.items.contains(&id("J1"))
        })
    };
    assert!(!strikes(1829), "room under the beam");
    assert!(strikes(1828), "the beam is lower than the rack's top");
}

#[test]
fn every_new_kind_survives_its_file() {
    let library = library();
    let mut plan = Arc::new(room());
    for (mark, purpose) in [
        ("N1", FittingUse::DataPoint),
        ("X1", FittingUse::Extinguisher),
        ("H1", FittingUse::Radiator),
    ] {
        plan = put(&plan, mark, Item::Fitting(fitting(purpose)));
    }
    for (mark, purpose) in [
        ("J1", OverheadUse::Beam),
        ("L1", OverheadUse::Pipe),
        ("S1", OverheadUse::Sprinkler),
        ("T1", OverheadUse::Detector),
    ] {
        let Item::Overhead(thing) = beam(2400) else {
            panic!("a beam hangs overhead");
        };
        plan = put(&plan, mark, Item::Overhead(Overhead { purpose, ..thing }));
    }
    plan = put(&plan, "O1", outlet(WallEnd::Last));
    let text = storage::text_of(&plan).unwrap();
    let again = storage::plan_of(library, "again", text.as_bytes()).unwrap();
    assert_eq!(again.plan, *plan);
    let layout = Layout::of(library, &plan, PhaseNo(1));
    for kind in ItemKind::ALL {
        let there = layout.of_kind(kind).count();
        let wanted = usize::from(plan.items().iter().any(|(_, i)| i.kind() == kind));
        assert_eq!(there, wanted, "{}", kind.word());
    }
}

/// A thing that reaches below the floor, or hangs at the ceiling's own height, is refused with its reason.
#[test]
fn impossible_heights_are_refused() {
    let low = Fitting {
        bottom: -Length::from_mm_whole(10),
        ..fitting(FittingUse::Radiator)
    };
    let edits = [("H1", Item::Fitting(low)), ("J1", beam(2700))];
    for (mark, item) in edits {
        let edit = Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]);
        let refused = room().edited(&library().stock, &edit).unwrap_err();
        assert!(refused.to_string().contains(mark), "{refused}");
    }
}
