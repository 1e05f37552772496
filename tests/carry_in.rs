//! The check `carry-in` in rooms whose sums are done by hand: the door's section, a corner by the calculus, what the kind says of
//! itself, and the things that must also fit.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::plan::{
    Door, Edit, Head, Hinge, Item, Label, MustFit, Outline, Overhead, OverheadUse, OwnKind, Phase,
    PhaseNo, Plan, Pose, Presence, Record, Room, Status, Swing, WallPlace, Zone, ZoneUse,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length};
use common::{edited, example, id, inches, judged, library, rack_at};

fn put(plan: &Plan, mark: &str, item: Item) -> Arc<Plan> {
    let records = vec![(id(mark), Record::Item(Box::new(item)))];
    edited(plan, &Edit::Put(records))
}

fn door(along: i32, width: i32, height: i32) -> Item {
    Item::Door(Door {
        at: WallPlace::new(0, inches(along)),
        width: inches(width),
        height: inches(height),
        clear: Some(inches(width)),
        hinge: Hinge::Near,
        swing: Swing::Out,
        way_out: true,
        presence: Presence::default(),
    })
}

/// A new rack with its lower left corner there.
fn rack(kind: &str, x: i32, y: i32) -> Item {
    let mut item = rack_at(kind, x * 254 / 10, y * 254 / 10, 0.0);
    item.presence_mut().status = Status::New;
    item
}

/// A room of 144 by 120 in under a ceiling, with a door in its south wall.
fn room(ceiling: i32, door: Item) -> Arc<Plan> {
    let room = Room::rectangle(inches(144), inches(120), inches(ceiling), inches(6));
    put(&Plan::new(Head::default(), room), "D1", door)
}

fn found(plan: &Arc<Plan>, phase: u8, mark: &str) -> Option<Finding> {
    let (_, findings) = judged(plan, phase);
    let about = |f: &&Finding| f.items.first() == Some(&id(mark));
    let mut found = findings.of_check("carry-in").iter().map(AsRef::as_ref);
    found.find(about).cloned()
}

fn finding(plan: &Arc<Plan>, mark: &str) -> Finding {
    let found = found(plan, 1, mark).unwrap_or_else(|| panic!("{mark} is judged"));
    assert_eq!(found.severity, Severity::Caution, "{mark}");
    found
}

/// The same with the kind's own word on whether it comes in parts.
fn in_parts(plan: &Plan, kind: &str, parts: bool) -> Arc<Plan> {
    let kind = KindId::new(kind).unwrap();
    let mut own = library().stock.racks[&kind].clone();
    own.in_parts = Some(parts);
    edited(plan, &Edit::PutKind(kind, Box::new(OwnKind::Rack(own))))
}

#[test]
fn a_rack_is_carried_upright_else_on_its_end_where_it_can_be_stood_up_again() {
    // 72 by 24 in and 72 in high, end on through 34 by 80 in.
    let plan = put(&room(108, door(20, 34, 80)), "R1", rack("full-72", 40, 90));
    let upright = finding(&plan, "R1");
    assert_eq!(upright.standing, Standing::Met, "{}", upright.text);
    assert!(
        upright.text.contains("door D1, upright"),
        "{}",
        upright.text
    );
    assert_eq!(upright.measured, Some(inches(24).mm()));
    assert_eq!(upright.limit, Some(inches(34).mm()));
    // 48 by 24 in and 72 in high: too high for 66 in, 48 in high on its end; its diagonal is 86.5 in.
    for (ceiling, standing) in [(87, Standing::Met), (86, Standing::Broken)] {
        let low = room(ceiling, door(20, 34, 66));
        let plan = put(&low, "R1", rack("short-48", 60, 90));
        let plan = in_parts(&plan, "short-48", false);
        let on_end = finding(&plan, "R1");
        assert_eq!(on_end.standing, standing, "{}", on_end.text);
    }
    // 24 in do not go through 23.
    let narrow = put(&room(108, door(20, 23, 80)), "R1", rack("full-72", 40, 90));
    let narrow = in_parts(&narrow, "full-72", false);
    let outside = finding(&narrow, "R1");
    assert_eq!(outside.standing, Standing::Broken);
    assert!(
        outside.text.contains("comes through no door"),
        "{}",
        outside.text
    );
}

#[test]
fn what_does_not_come_in_whole_may_come_in_parts_if_its_kind_says_so() {
    let narrow = put(&room(108, door(20, 23, 80)), "R1", rack("full-72", 40, 90));
    let standing = |plan: &Arc<Plan>| finding(plan, "R1").standing;
    assert_eq!(standing(&narrow), Standing::Unknown, "nobody said");
    let parts = |parts| in_parts(&narrow, "full-72", parts);
    assert_eq!(standing(&parts(true)), Standing::Met);
    assert_eq!(standing(&parts(false)), Standing::Broken);
}

#[test]
fn a_door_whose_clear_width_nobody_measured_leaves_it_open() {
    let Item::Door(mut unmeasured) = door(20, 36, 80) else {
        panic!("it is a door");
    };
    unmeasured.clear = None;
    let plan = room(108, Item::Door(unmeasured));
    let plan = put(&plan, "R1", rack("full-72", 40, 90));
    let found = finding(&plan, "R1");
    assert_eq!(found.standing, Standing::Unknown);
    assert!(
        found.text.contains("clear width is not measured"),
        "{}",
        found.text
    );
}

/// An L of two corridors, both as wide: 72 in of rack, 24 in deep, pass a corner of width a where 72 <= 2 sqrt(2) a - 2 * 24
/// (see `tests/carry.rs`), from a = 42.4 in on.
#[test]
fn a_corner_is_passed_or_not_as_the_calculus_says() {
    let bend = |a: i32| {
        let mut room = Room::rectangle(inches(200), inches(200), inches(108), inches(6));
        let corner = |x: i32, y: i32| (inches(x), inches(y));
        room.outline = Outline::Corners(vec![
            corner(0, 0),
            corner(a, 0),
            corner(a, 200 - a),
            corner(220, 200 - a),
            corner(220, 200),
            corner(0, 200),
        ]);
        let plan = put(&Plan::new(Head::default(), room), "D1", door(2, 34, 80));
        let plan = put(&plan, "R1", rack("full-72", 140, 200 - 26));
        finding(&in_parts(&plan, "full-72", false), "R1")
    };
    let (tight, wide) = (bend(42), bend(52));
    assert_eq!(tight.standing, Standing::Broken, "{}", tight.text);
    assert!(tight.text.contains("no way was found"), "{}", tight.text);
    assert_eq!(wide.standing, Standing::Met, "{}", wide.text);
}

#[test]
fn only_what_stood_there_before_the_phase_is_in_the_way_and_only_what_is_new_is_judged() {
    let plan = room(108, door(60, 34, 80));
    let phases = ["one", "two"].map(|n| Phase {
        name: Label::new(n).unwrap(),
    });
    let plan = edited(&plan, &Edit::SetPhases(phases.to_vec()));
    let later = |mut item: Item, arrives: u8| {
        item.presence_mut().arrives = PhaseNo(arrives);
        item
    };
    // R1 shuts the door off 12 in before it, R2 stands beyond: as one phase neither is in the other's way.
    let plan = put(&plan, "R1", rack("full-72", 40, 12));
    let both = put(&plan, "R2", rack("full-72", 40, 90));
    assert_eq!(finding(&both, "R2").standing, Standing::Met);
    let second = put(&plan, "R2", later(rack("full-72", 40, 90), 2));
    let second = in_parts(&second, "full-72", false);
    let stuck = found(&second, 2, "R2").unwrap();
    assert_eq!(stuck.standing, Standing::Broken, "{}", stuck.text);
    assert!(found(&second, 2, "R1").is_none(), "in since phase 1");
    let mut there = rack("full-72", 40, 90);
    there.presence_mut().status = Status::Existing;
    assert!(found(&put(&plan, "R2", there), 1, "R2").is_none());
}

/// R5 stands before the door from phase 2 on, its upper edge 26 in up; the door is clear from 18 to 52 in, so that 24 in of
/// rack still come in above it, straight, and past the column.
#[test]
fn the_examples_racks() {
    let plan = example();
    let standing = |phase: u8, mark: &str| found(&plan, phase, mark).map(|f| f.standing);
    for mark in ["R1", "R2", "R7"] {
        assert_eq!(standing(1, mark), Some(Standing::Met), "{mark}");
    }
    for mark in ["R3", "R5"] {
        assert_eq!(standing(2, mark), Some(Standing::Met), "{mark}");
    }
    for mark in ["R4", "R6"] {
        assert_eq!(standing(3, mark), Some(Standing::Met), "{mark}");
    }
    let depth = Length::from_inches(24).mm();
    assert_eq!(found(&plan, 1, "R1").unwrap().measured, Some(depth));
}

/// The plan with these things on the must-also-fit list, each worked at from the front.
fn needs(plan: &Plan, things: &[(&str, [i32; 3])]) -> Arc<Plan> {
    let must_fit = things.iter().map(|(name, size)| {
        let [width, depth, height] = size.map(inches);
        MustFit {
            name: Label::new(name).unwrap(),
            width,
            depth,
            height,
            faces: vec![Face::Front],
        }
    });
    let head = Head {
        must_fit: must_fit.collect(),
        ..plan.head().clone()
    };
    edited(plan, &Edit::SetHead(Box::new(head)))
}

fn of_thing(plan: &Arc<Plan>, phase: u8, name: &str) -> Option<Finding> {
    let (_, findings) = judged(plan, phase);
    let key = format!("carry-in the {name}");
    let found = findings.of_check("carry-in").iter();
    let found: Vec<_> = found.filter(|f| f.key() == key).cloned().collect();
    assert!(found.len() < 2, "{found:?}");
    found.into_iter().next().map(|f| f.as_ref().clone())
}

/// A bench of 60 by 30 in, 36 in high, through a door 80 in high: 30 in pass 34, not 29; on its end and on its back it takes
/// 30 by 36 and 60 by 36 in, which pass 29 in no better.
#[test]
fn a_bench_comes_through_the_door_or_not_and_is_named() {
    let bench = ("packing bench", [60, 30, 36]);
    for (width, standing) in [(34, Standing::Met), (29, Standing::Broken)] {
        let plan = needs(&room(108, door(20, width, 80)), &[bench]);
        let found = of_thing(&plan, 1, "packing bench").unwrap();
        assert_eq!(found.standing, standing, "{}", found.text);
        assert_eq!(found.severity, Severity::Caution);
        assert!(found.text.starts_with("Packing bench "), "{}", found.text);
        assert_eq!(found.items, [id("D1")]);
        assert_eq!(found.measured, Some(inches(30).mm()));
        assert_eq!(found.limit, Some(inches(width).mm()));
    }
    // Stood on its end a cabinet of 36 by 18 in, 72 in high, is 36 in high; its diagonal of 80.5 in passes a ceiling of 81 in.
    for (ceiling, standing) in [(81, Standing::Met), (80, Standing::Broken)] {
        let low = room(ceiling, door(20, 34, 60));
        let plan = needs(&low, &[("cabinet", [36, 18, 72])]);
        let found = of_thing(&plan, 1, "cabinet").unwrap();
        assert_eq!(found.standing, standing, "{}", found.text);
    }
}

/// A cabinet 72 in high comes in on its end, 36 in high, under a duct over the whole room at 50 in, and cannot be stood up there.
#[test]
fn a_thing_is_not_in_its_place_before_it_stands_there() {
    let open = room(108, door(20, 34, 60));
    let cabinet = ("cabinet", [36, 18, 72]);
    let found = of_thing(&needs(&open, &[cabinet]), 1, "cabinet").unwrap();
    assert_eq!(found.standing, Standing::Met, "{}", found.text);
    let duct = Item::Overhead(Overhead {
        purpose: OverheadUse::Pipe,
        at: Pose::default(),
        width: inches(400),
        depth: inches(400),
        bottom: inches(50),
        presence: Presence::default(),
    });
    let low = put(&open, "L1", duct);
    let found = of_thing(&needs(&low, &[cabinet]), 1, "cabinet").unwrap();
    assert_eq!(found.standing, Standing::Broken, "{}", found.text);
}

#[test]
fn a_bench_through_a_door_that_nobody_measured_is_unknown() {
    let Item::Door(mut unmeasured) = door(20, 36, 80) else {
        panic!("it is a door");
    };
    unmeasured.clear = None;
    let plan = room(108, Item::Door(unmeasured));
    let plan = needs(&plan, &[("bench", [60, 30, 36]), ("R1", [24, 24, 24])]);
    let found = of_thing(&plan, 1, "bench").unwrap();
    assert_eq!(found.standing, Standing::Unknown);
    assert!(
        found.text.contains("clear width is not measured"),
        "{}",
        found.text
    );
    // A thing that is called like a rack's mark has a finding of its own all the same.
    let plan = put(&plan, "R1", rack("full-72", 40, 90));
    assert!(of_thing(&plan, 1, "R1").is_some());
    assert_eq!(found_of_rack(&plan), 1);
}

fn found_of_rack(plan: &Arc<Plan>) -> usize {
    let (_, findings) = judged(plan, 1);
    let keys = findings.of_check("carry-in").iter().map(|f| f.key());
    keys.filter(|key| key == "carry-in R1").count()
}

/// The bend of [`a_corner_is_passed_or_not_as_the_calculus_says`] with a wide end: a cabinet of 72 by 24 in, 72 in high, comes round the corner from
/// 42.4 in on, and in the corridors it cannot be worked at: 24 in and an aisle of 36 in are more than either is wide.
#[test]
fn a_bench_comes_round_the_turns_or_not() {
    let bend = |a: i32| {
        let mut room = Room::rectangle(inches(200), inches(200), inches(108), inches(6));
        let corner = |x: i32, y: i32| (inches(x), inches(y));
        room.outline = Outline::Corners(vec![
            corner(0, 0),
            corner(a, 0),
            corner(a, 200 - a),
            corner(160, 200 - a),
            corner(160, 60),
            corner(300, 60),
            corner(300, 200),
            corner(0, 200),
        ]);
        let plan = put(&Plan::new(Head::default(), room), "D1", door(2, 34, 80));
        let plan = needs(&plan, &[("cabinet", [72, 24, 72])]);
        of_thing(&plan, 1, "cabinet").unwrap()
    };
    let (tight, wide) = (bend(42), bend(52));
    assert_eq!(tight.standing, Standing::Broken, "{}", tight.text);
    assert!(tight.text.contains("no way was found"), "{}", tight.text);
    assert_eq!(wide.standing, Standing::Met, "{}", wide.text);
}

/// Floor kept for a bench is where it has to get to, in the phase in which it is kept.
#[test]
fn a_bench_goes_to_the_floor_kept_for_it() {
    let plan = needs(&room(108, door(60, 34, 80)), &[("bench", [60, 30, 36])]);
    let phases = ["one", "two"].map(|n| Phase {
        name: Label::new(n).unwrap(),
    });
    let plan = edited(&plan, &Edit::SetPhases(phases.to_vec()));
    let kept = |x: i32, y: i32, arrives: u8| {
        Item::Zone(Zone {
            purpose: ZoneUse::KeepClear,
            at: Pose {
                x: inches(x),
                y: inches(y),
                turn: Angle::default(),
            },
            width: inches(60),
            depth: inches(30),
            low: Length::ZERO,
            high: Some(inches(36)),
            presence: Presence {
                arrives: PhaseNo(arrives),
                note: Label::new("bench").unwrap(),
                ..Presence::default()
            },
        })
    };
    let there = put(&plan, "Z1", kept(2, 88, 1));
    let met = of_thing(&there, 1, "bench").unwrap();
    assert_eq!(
        (met.standing, met.items.as_slice()),
        (Standing::Met, [id("Z1"), id("D1")].as_slice())
    );
    assert!(of_thing(&there, 2, "bench").is_none(), "in since phase 1");
    // R1 shuts the door off 12 in before it from phase 1 on: in phase 2 the bench does not get past.
    let shut = put(&plan, "R1", rack("full-72", 40, 12));
    let later = put(&shut, "Z1", kept(2, 88, 2));
    assert!(of_thing(&later, 1, "bench").is_none(), "not yet");
    let stuck = of_thing(&later, 2, "bench").unwrap();
    assert_eq!(stuck.standing, Standing::Broken, "{}", stuck.text);
    // A rack that stands there already is in the way from the beginning.
    let mut before = rack("full-72", 40, 12);
    before.presence_mut().status = Status::Existing;
    let stuck = of_thing(&put(&plan, "R1", before), 1, "bench").unwrap();
    assert_eq!(stuck.standing, Standing::Broken, "{}", stuck.text);
}
