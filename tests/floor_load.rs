//! The check `floor-load` and the UPS that stand about a rack: a full rack, 72 in by 24 in, of 30 kg without boards or anything else,
//! on a floor for 6 kPa, worked out by hand.
//!
//! Boards weigh nothing here, as the plan's own kind of them has a density of nothing.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Standing};
use aislewright::plan::{Edit, Head, Item, OwnKind, Plan, Pose, Presence, Room, Ups, UpsPlace};
use aislewright::stock::{Figure, KindId, Known};
use aislewright::units::{Density, Kilograms, Kilopascals, Length};
use common::{edited, id, judged, library, put, rack_at};

/// Standard gravity, rounded as on site, in m/s² (ISO 80000-3: 9.80665).
const GRAVITY: f64 = 9.81;
/// The rack's footprint, and that with half an aisle of 36 in before its front, in square metres.
const FOOTPRINT_M2: f64 = 1.8288 * 0.6096;
const SPREAD_M2: f64 = 1.8288 * (0.6096 + 0.4572);

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

/// The rack with its front down the sheet at y 3,000 mm, from x 1,000 mm on.
fn rack() -> Arc<Plan> {
    let room = Room::rectangle(mm(6000), mm(5000), mm(2700), mm(150));
    let head = Head {
        floor_rating: Some(Kilopascals::fixed(6.0)),
        ..Head::default()
    };
    let mut board = library().stock.boards[&kind("mdf-18")].clone();
    board.density = Some(Figure {
        value: Density::fixed(0.0),
        source: "the test".to_owned(),
        sure: Known::Owner,
    });
    let edit = Edit::PutKind(kind("mdf-18"), Box::new(OwnKind::Board(board)));
    let plan = edited(&Plan::new(head, room), &edit);
    put(&plan, "R1", rack_at("full-72", 1000, 3000, 0.0))
}

fn ups(mark: &str, plan: &Plan, name: &str, stands: UpsPlace) -> Arc<Plan> {
    let ups = Ups {
        kind: kind(name),
        stands,
        outlet: None,
        presence: Presence::default(),
    };
    put(plan, mark, Item::Ups(ups))
}

fn on_floor(x: i32, y: i32) -> UpsPlace {
    UpsPlace::OnFloor(Pose {
        x: mm(x),
        y: mm(y),
        ..Pose::default()
    })
}

fn weighing(plan: &Plan, mass: Option<f64>) -> Arc<Plan> {
    let mut own = library().stock.ups[&kind("ups-900")].clone();
    own.mass = mass.map(Kilograms::fixed);
    let edit = Edit::PutKind(kind("own-ups"), Box::new(OwnKind::Ups(own)));
    edited(plan, &edit)
}

fn of_floor(plan: &Arc<Plan>) -> Vec<Arc<Finding>> {
    judged(plan, 1).1.of_check("floor-load").to_vec()
}

/// What the rack presses on its footprint and spread, in kPa.
fn pressed(plan: &Arc<Plan>) -> (f64, f64) {
    let (layout, _) = judged(plan, 1);
    let footing = layout.footing(layout.part(id("R1")).unwrap()).unwrap();
    assert!(footing.missing.is_empty(), "{:?}", footing.missing);
    (footing.patch_kpa, footing.spread_kpa)
}

fn are(found: (f64, f64), wanted_kg: (f64, f64)) {
    let patch = wanted_kg.0 * GRAVITY * 1e-3 / FOOTPRINT_M2;
    let spread = wanted_kg.1 * GRAVITY * 1e-3 / SPREAD_M2;
    let near = (found.0 - patch).abs() < 1e-4 && (found.1 - spread).abs() < 1e-4;
    assert!(near, "{found:?} is not {:?}", (patch, spread));
}

#[test]
fn what_stands_at_its_foot_weighs_on_its_footprint() {
    let plan = weighing(&rack(), Some(20.0));
    are(pressed(&plan), (30.0, 30.0));
    let foot = UpsPlace::OnRack(id("R1"));
    let plan = ups("U1", &ups("U2", &plan, "own-ups", foot), "own-ups", foot);
    are(pressed(&plan), (70.0, 70.0));
    // An avoirdupois pound is 0.453 592 37 kg.
    assert!(of_floor(&plan)[0].text.contains("R1 weighs 154 lb loaded"));
}

#[test]
fn what_stands_on_the_floor_counts_within_half_an_aisle_before_it() {
    let plan = weighing(&rack(), Some(20.0));
    // The middle of its case 150 mm before the front, and 800 mm before it; half an aisle is 457 mm.
    let near = ups("U1", &plan, "own-ups", on_floor(1500, 2672));
    are(pressed(&near), (30.0, 50.0));
    let far = ups("U1", &plan, "own-ups", on_floor(1500, 2022));
    are(pressed(&far), (30.0, 30.0));
    // Beside the rack nobody works, so that no strip of floor is shared there.
    let beside = ups("U1", &plan, "own-ups", on_floor(700, 3100));
    are(pressed(&beside), (30.0, 30.0));
}

#[test]
fn what_nobody_weighed_is_said() {
    let plan = weighing(&rack(), None);
    let foot = UpsPlace::OnRack(id("R1"));
    for stands in [foot, on_floor(1500, 2672)] {
        let plan = ups("U1", &plan, "own-ups", stands);
        let found = of_floor(&plan);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].standing, Standing::Unknown);
        let named = "not entered: the mass of UPS 1500 VA, 900 W.";
        assert!(found[0].text.ends_with(named), "{}", found[0].text);
    }
}
