//! Furniture, lights and cameras: bodies, the floor before a bench, what a light hangs over, faults of a run of lights, the file.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::Standing;
use aislewright::plan::{
    Camera, Edit, Furniture, FurnitureUse, Head, Item, Light, MustFit, Plan, Pose, Presence,
    Record, Room,
};
use aislewright::stock::{Face, KindId};
use aislewright::storage;
use aislewright::units::{Angle, Length};
use common::{edited, id, judged, library, put, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn at(x: i32, y: i32) -> Pose {
    Pose {
        x: mm(x),
        y: mm(y),
        turn: Angle::default(),
    }
}

/// 5 m by 4 m, 2.7 m high.
fn room() -> Plan {
    let room = Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150));
    Plan::new(Head::default(), room)
}

/// 1,500 mm by 750 mm, worked at from its front.
fn bench(x: i32, y: i32) -> Furniture {
    Furniture {
        purpose: FurnitureUse::Bench,
        at: at(x, y),
        width: mm(1500),
        depth: mm(750),
        height: mm(900),
        faces: vec![Face::Front],
        spools: None,
        presence: Presence::default(),
    }
}

fn light(x: i32, bottom: i32, linked_to: Option<&str>) -> Item {
    Item::Light(Light {
        kind: kind("strip-1200"),
        at: at(x, 100),
        bottom: mm(bottom),
        linked_to: linked_to.map(id),
        presence: Presence::default(),
    })
}

fn standing(plan: &Arc<Plan>, check: &str, about: &str) -> Vec<(Standing, Option<f64>)> {
    let (_, findings) = judged(plan, 1);
    let found = findings.of_check(check).iter();
    found
        .filter(|f| f.items.contains(&id(about)))
        .map(|f| (f.standing, f.measured))
        .collect()
}

/// A bench 600 mm off the wall that it faces has 600 mm before it, and the aisle asks for more.
#[test]
fn the_floor_before_a_bench_is_measured_as_before_a_rack() {
    let plan = put(&room(), "B1", Item::Furniture(bench(1000, 600)));
    let found = standing(&plan, "service-strip", "B1");
    assert_eq!(found, [(Standing::Broken, Some(600.0))]);
    let plan = put(&room(), "B1", Item::Furniture(bench(1000, 1500)));
    let found = standing(&plan, "service-strip", "B1");
    assert_eq!(found, [(Standing::Met, Some(1500.0))]);
}

/// Two benches that share 100 mm of floor stand in each other; what is moved 100 mm off does not.
#[test]
fn furniture_is_a_body() {
    let first = put(&room(), "B1", Item::Furniture(bench(0, 3000)));
    let bin = |x| Furniture {
        purpose: FurnitureUse::Bin,
        faces: Vec::new(),
        ..bench(x, 3000)
    };
    let plan = put(&first, "BN1", Item::Furniture(bin(1400)));
    let (_, findings) = judged(&plan, 1);
    let broken: Vec<_> = findings
        .of_check("fits")
        .iter()
        .filter(|f| f.standing == Standing::Broken)
        .collect();
    assert_eq!(broken.len(), 1);
    assert_eq!(broken[0].measured, Some(100.0), "{}", broken[0].text);
    let plan = put(&first, "BN1", Item::Furniture(bin(1500)));
    assert!(
        standing(&plan, "fits", "BN1")
            .iter()
            .all(|(s, _)| *s == Standing::Met)
    );
}

/// A light 1.5 m above the floor hangs into a rack; one at 2.6 m, over its posts and printers, does not.
#[test]
fn a_low_light_hangs_into_a_rack() {
    let rack = rack_at("short-48", 100, 0, 0.0);
    let with = |bottom| {
        put(
            &put(&room(), "R1", rack.clone()),
            "LT1",
            light(200, bottom, None),
        )
    };
    let broken = |plan: &Arc<Plan>| {
        standing(plan, "fits", "R1")
            .iter()
            .any(|(s, _)| *s == Standing::Broken)
    };
    assert!(broken(&with(1500)));
    assert!(!broken(&with(2600)));
}

/// Lights linked in a ring, to themselves or to what is no light are faults of the plan, told by the mark.
#[test]
fn a_run_of_lights_comes_to_an_end() {
    let two = put(&room(), "LT1", light(100, 2600, None));
    let two = put(&two, "LT2", light(1400, 2600, Some("LT1")));
    let refused = |to: &str| {
        let light = light(100, 2600, Some(to));
        let edit = Edit::Put(vec![(id("LT1"), Record::Item(Box::new(light)))]);
        let plan = two.edited(&library().stock, &edit);
        plan.expect_err("no such run").to_string()
    };
    for (to, why) in [
        ("LT2", "leads back to itself"),
        ("LT1", "leads back to itself"),
        ("B1", "B1, which is no light"),
    ] {
        assert!(refused(to).contains(why), "{}", refused(to));
    }
}

/// Taking away the first light of a run leaves the next with a feed of its own.
#[test]
fn a_light_whose_feed_is_taken_away_has_its_own() {
    let two = put(&room(), "LT1", light(100, 2600, None));
    let two = put(&two, "LT2", light(1400, 2600, Some("LT1")));
    let one = edited(&two, &Edit::Remove(vec![id("LT1")]));
    let Some(Item::Light(left)) = one.items().get(id("LT2")) else {
        panic!("LT2 stays");
    };
    assert_eq!(left.linked_to, None);
}

/// A bench of the must-also-fit list, once placed under its name, keeps its own floor.
#[test]
fn a_placed_bench_is_the_one_that_must_also_fit() {
    let mut head = Head::default();
    let name = aislewright::plan::Label::new("packing bench").unwrap();
    head.must_fit = vec![MustFit {
        name: name.clone(),
        width: mm(1500),
        depth: mm(750),
        height: mm(900),
        faces: vec![Face::Front],
    }];
    let plan = Plan::new(head, Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150)));
    let mut placed = bench(1000, 2000);
    let other = put(&plan, "B1", Item::Furniture(placed.clone()));
    assert!(other.floor_kept(id("B1")).is_none(), "it has no name");
    placed.presence.note = name;
    let plan = put(&plan, "B1", Item::Furniture(placed));
    let (thing, _) = plan.floor_kept(id("B1")).unwrap();
    assert_eq!(thing.width, mm(1500));
}

/// Everything new is written and read again as it was.
#[test]
fn the_file_holds_them() {
    let store = Furniture {
        purpose: FurnitureUse::SpoolStore,
        spools: Some(120),
        ..bench(2000, 3000)
    };
    let camera = Camera {
        kind: kind("watch-100"),
        at: at(10, 10),
        height: mm(2100),
        tilt: Angle::from_degrees(20.0),
        presence: Presence::default(),
    };
    let mut plan = put(&room(), "SS1", Item::Furniture(store));
    plan = put(&plan, "CM1", Item::Camera(camera));
    plan = put(&plan, "LT1", light(100, 2600, None));
    plan = put(&plan, "LT2", light(1400, 2600, Some("LT1")));
    let text = storage::text_of(&plan).unwrap();
    let again = storage::plan_of(library(), "again", text.as_bytes()).unwrap();
    assert_eq!(again.plan, *plan);
}
