//! Who hangs on what: the wiring of whole plans, held against the checks, and of a small room by pencil.
//!
//! The small room is 240 in by 120 in. Racks R1 and R2 stand along the north wall (wall 2) with a gap of 24 in between them, each with a
//! UPS at its foot. Figures: an open printer runs at 120 W and heats at 300 W with a power factor of 1; the UPS loses nothing and
//! recharges with 0 W, so that three printers are 3 A running and 7.5 A at the peak on 120 V.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::process::Command;
use std::sync::Arc;

use aislewright::checks::{Findings, Standing};
use aislewright::layout::Layout;
use aislewright::plan::{
    Circuit, CircuitBuild, Edit, Head, Id, Item, Outlet, OwnKind, Panel, PhaseNo, Plan, Pose,
    Presence, Printer, Record, Room, SlotRef, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::KindId;
use aislewright::units::{Amps, Length, Ratio, Volts, Watts};
use aislewright::wiring::{Claim, STEPS, Wired, wire, wire_also_behind};
use common::{edited, example, id, inches, library, put, rack_at};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn outlet(along: i32, receptacles: u8, circuit: &str) -> Item {
    Item::Outlet(Outlet {
        at: WallPlace::new(2, inches(along)),
        height: inches(18),
        receptacles,
        receptacle: None,
        circuit: Some(id(circuit)),
        presence: Presence::default(),
    })
}

fn circuit(breaker: f64) -> Circuit {
    Circuit {
        breaker: Amps::fixed(breaker),
        volts: Volts::fixed(120.0),
        panel: Some(id("E1")),
        built: CircuitBuild::default(),
        presence: Presence::default(),
    }
}

/// Two racks with three printers and a UPS each; C01 with O1 in the gap between them.
fn room(breaker: f64, free: Option<u8>) -> Arc<Plan> {
    let room = Room::rectangle(inches(240), inches(120), inches(108), inches(6));
    let panel = Item::Panel(Panel {
        at: WallPlace::new(1, inches(20)),
        width: inches(14),
        depth: inches(4),
        bottom: inches(42),
        height: inches(30),
        main: None,
        free,
        presence: Presence::default(),
    });
    let mut plan = put(&Plan::new(Head::default(), room), "E1", panel);
    let mut printer = library().stock.printers[&kind("open-220")].clone();
    printer.power_factor = Some(Ratio::fixed(1.0));
    let mut ups = library().stock.ups[&kind("ups-900")].clone();
    ups.efficiency = Some(Ratio::fixed(1.0));
    ups.recharge = Some(Watts::fixed(0.0));
    ups.watts = Some(Watts::fixed(1000.0));
    for own in [
        Edit::PutKind(kind("open-220"), Box::new(OwnKind::Printer(printer))),
        Edit::PutKind(kind("ups-900"), Box::new(OwnKind::Ups(ups))),
        Edit::Put(vec![(id("C01"), Record::Circuit(circuit(breaker)))]),
    ] {
        plan = edited(&plan, &own);
    }
    // Wall 2 runs from east to west: 120 in along it is the middle.
    plan = put(&plan, "O1", outlet(120, 4, "C01"));
    let mut number = 0;
    for (n, west) in [(1, 36), (2, 132)] {
        plan = with_rack(&plan, n, west, &mut number);
    }
    plan
}

/// A rack at the north wall with a UPS and three printers, numbered on from `number`, none of it plugged in.
fn with_rack(plan: &Plan, n: u32, west: i32, number: &mut u32) -> Arc<Plan> {
    let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
        x: inches(west),
        y: inches(94),
        ..Default::default()
    });
    let plan = put(plan, &format!("R{n}"), rack);
    let ups = Ups {
        kind: kind("ups-900"),
        stands: UpsPlace::OnRack(id(&format!("R{n}"))),
        outlet: None,
        presence: Presence::default(),
    };
    let plan = put(&plan, &format!("U{n}"), Item::Ups(ups));
    let records = (1..=3).map(|place| {
        let printer = Printer {
            kind: kind("open-220"),
            slot: SlotRef {
                rack: id(&format!("R{n}")),
                level: 1,
                place,
            },
            power: None,
            prints: None,
            presence: Presence::default(),
        };
        *number += 1;
        (Id::new(Plan::PRINTER, *number), Record::Printer(printer))
    });
    edited(&plan, &Edit::Put(records.collect()))
}

fn wired(plan: &Arc<Plan>, phase: u8) -> (Layout, Wired) {
    let layout = Layout::of(library(), plan, PhaseNo(phase));
    let wired = wire(&layout, STEPS, &|| false);
    (layout, wired)
}

fn taken_over(plan: &Arc<Plan>, phase: u8) -> Arc<Plan> {
    let (layout, wired) = wired(plan, phase);
    wired
        .edit(&layout)
        .map_or_else(|| Arc::clone(plan), |edit| edited(plan, &edit))
}

/// The sentences of broken findings of checks about power.
fn broken(plan: &Arc<Plan>, phase: u8) -> Vec<String> {
    let findings = Findings::of(&Layout::of(library(), plan, PhaseNo(phase)));
    ["circuits", "ups", "cords"]
        .iter()
        .flat_map(|check| findings.of_check(check).iter())
        .filter(|f| f.standing == Standing::Broken)
        .map(|f| f.text.clone())
        .collect()
}

/// 20 A carry both UPS: 6 A running of 16 A, 15 A at the peak of 20 A.
#[test]
fn everything_goes_on_the_circuit_that_is_there() {
    let plan = room(20.0, Some(4));
    assert!(!broken(&plan, 1).is_empty(), "nothing is plugged in yet");
    let (layout, found) = wired(&plan, 1);
    assert_eq!(found.outcome.claim, Claim::Proved);
    assert_eq!(found.outcome.added.len(), 0);
    let lines = found.lines(&layout);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].plugs, [id("U1"), id("U2")]);
    assert_eq!(
        (lines[0].carries.running_ma, lines[0].carries.peak_ma),
        (6_000, 15_000)
    );
    assert_eq!(
        (lines[0].limit.running_ma, lines[0].limit.peak_ma),
        (16_000, 20_000)
    );
    let after = taken_over(&plan, 1);
    assert_eq!(broken(&after, 1), Vec::<String>::new());
    let (layout, again) = wired(&after, 1);
    assert_eq!(again.edit(&layout), None, "nothing is left to change");
}

/// 10 A carry one UPS (7.5 A at the peak), not both (15 A): a circuit is added, with a box for the other in the free gap.
#[test]
fn a_circuit_is_added_with_a_box_that_the_cord_reaches() {
    let plan = room(10.0, Some(4));
    let (layout, found) = wired(&plan, 1);
    assert_eq!(
        (found.outcome.added.len(), found.outcome.added_at_least),
        (1, 1)
    );
    assert_eq!(found.outcome.claim, Claim::Proved);
    let hung: Vec<_> = found.hung(&layout).collect();
    assert_eq!(hung.len(), 1, "one box: {:?}", found.boxes);
    let (mark, one) = hung[0];
    assert_eq!((mark, one.at.wall), (id("O2"), 2));
    // Between the racks, off O1 by 100 mm at least: 108 in to 116 in or 124 in to 132 in from the corner.
    let along = one.at.along.mm() / 25.4;
    assert!(
        (108.0..=116.1).contains(&along) || (123.9..=132.0).contains(&along),
        "{along} in along the wall"
    );
    let after = taken_over(&plan, 1);
    assert_eq!(broken(&after, 1), Vec::<String>::new());
    let outlet = match after.items().get(id("O2")) {
        Some(Item::Outlet(outlet)) => outlet.clone(),
        other => panic!("{other:?}"),
    };
    assert_eq!(outlet.circuit, Some(id("C02")));
    assert_eq!(outlet.height, inches(18), "as high as the other outlet");
    let added = after.circuits().get(id("C02")).unwrap();
    assert_eq!(
        (added.breaker, added.panel),
        (Amps::fixed(10.0), Some(id("E1")))
    );
}

/// A circuit of the plan that has no box yet takes what is left before another is asked for, and gets its box.
#[test]
fn a_new_circuit_without_a_box_comes_before_another() {
    let with = |presence| {
        let circuit = Circuit {
            presence,
            ..circuit(10.0)
        };
        let records = vec![(id("C02"), Record::Circuit(circuit))];
        edited(&room(10.0, Some(4)), &Edit::Put(records))
    };
    let plan = with(Presence::new_in(PhaseNo(1)));
    let (layout, found) = wired(&plan, 1);
    assert_eq!(found.outcome.added.len(), 0);
    assert_eq!(found.outcome.claim, Claim::Proved);
    let hung: Vec<_> = found.hung(&layout).collect();
    assert_eq!(hung.len(), 1, "{:?}", found.boxes);
    assert_eq!(found.circuit_of(&layout, hung[0].1), Some(id("C02")));
    let after = taken_over(&plan, 1);
    assert_eq!(broken(&after, 1), Vec::<String>::new());
    let (layout, again) = wired(&after, 1);
    assert_eq!(again.edit(&layout), None, "nothing is left to change");
    // What hangs on one that is there already nobody knows.
    let there = wired(&with(Presence::default()), 1).1;
    assert_eq!(there.outcome.added.len(), 1);
}

/// Four racks with a UPS each, two at each end of a room 50 ft long, on circuits of 20 A that carry two of them (3 A running, 7.5 A
/// at the peak each) and reach no further than 6 ft: one box at each end, whichever two the search put together first.
#[test]
fn circuits_are_dealt_out_by_place() {
    let plan = far_apart();
    let (layout, found) = wired(&plan, 1);
    assert_eq!(found.outcome.added.len(), 2);
    let hung: Vec<_> = found.hung(&layout).collect();
    let mut pairs: Vec<Vec<Id>> = hung.iter().map(|(_, b)| b.plugs.clone()).collect();
    pairs.sort();
    assert_eq!(pairs, [[id("U1"), id("U3")], [id("U2"), id("U4")]]);
    assert_eq!(found.boxes.at_least, 2);
    let said = found.missing(&layout).join("; ");
    assert!(
        said.contains("2 boxes to be hung; proved: no fewer serve these circuits"),
        "{said}"
    );
    let after = taken_over(&plan, 1);
    assert_eq!(broken(&after, 1), Vec::<String>::new());
}

/// U1 and U3 at one end, U2 and U4 at the other: putting the first together with the second would need a box at each end for both
/// circuits.
fn far_apart() -> Arc<Plan> {
    let mut plan = room(10.0, Some(4));
    let long = Room::rectangle(inches(600), inches(120), inches(108), inches(6));
    plan = edited(
        &plan,
        &Edit::Remove(vec![
            id("R1"),
            id("R2"),
            id("U1"),
            id("U2"),
            id("O1"),
            id("C01"),
        ]),
    );
    plan = edited(&plan, &Edit::SetRoom(Box::new(long)));
    let mut number = 0;
    for (n, west) in [(1, 12), (2, 420), (3, 108), (4, 516)] {
        plan = with_rack(&plan, n, west, &mut number);
    }
    plan
}

/// Without a free place in the panel nothing is added, and one UPS stays without power; it is said why.
#[test]
fn a_full_panel_is_said() {
    let plan = room(10.0, Some(0));
    let (layout, found) = wired(&plan, 1);
    assert_eq!(found.outcome.added.len(), 0);
    assert_eq!(found.unpowered().len(), 3);
    let said = found.missing(&layout).join("; ");
    assert!(
        said.contains("the circuits are full and the panel has no room for more (0 places free)"),
        "{said}"
    );
}

/// Racks along the whole wall leave no gap: a box behind them only where somebody asks.
#[test]
fn a_box_behind_a_rack_is_hung_only_when_asked() {
    let mut plan = room(10.0, Some(4));
    let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
        x: inches(84),
        y: inches(94),
        ..Default::default()
    });
    // R3 stands over the gap; it overlaps its neighbours, which other checks say.
    plan = put(&plan, "R3", rack);
    let layout = Layout::of(library(), &plan, PhaseNo(1));
    let short = wire(&layout, STEPS, &|| false);
    let behind = wire_also_behind(&layout, true, STEPS, &|| false);
    assert_eq!(short.outcome.added.len(), 1);
    assert!(short.boxes.hung.iter().all(|b| {
        let along = b.at.along.mm() / 25.4;
        b.at.wall != 2 || !(34.0..=206.0).contains(&along)
    }));
    let hung = behind.boxes.hung.first().unwrap();
    assert_eq!(hung.at.wall, 2);
}

/// What a person locked stays where it is plugged, though it costs a circuit.
#[test]
fn pins_stay() {
    let mut plan = room(10.0, Some(4));
    plan = edited(
        &plan,
        &Edit::Put(vec![(id("C02"), Record::Circuit(circuit(10.0)))]),
    );
    plan = put(&plan, "O2", outlet(114, 4, "C02"));
    for mark in ["U1", "U2"] {
        let Some(Item::Ups(ups)) = plan.items().get(id(mark)) else {
            panic!("a UPS");
        };
        let mut ups = ups.clone();
        ups.outlet = Some(id("O2"));
        ups.presence.pinned = mark == "U2";
        plan = put(&plan, mark, Item::Ups(ups));
    }
    let (layout, found) = wired(&plan, 1);
    let lines = found.lines(&layout);
    let on = |mark: &str| {
        lines
            .iter()
            .find(|l| l.plugs.contains(&id(mark)))
            .map(|l| l.id)
    };
    assert_eq!((on("U2"), on("U1")), (Some(id("C02")), Some(id("C01"))));
}

/// Every phase of the demo plans: all printers wired, no finding about power that was not there before, and wiring again adds nothing.
#[test]
fn demo_plans_are_wired_without_a_new_finding() {
    let read = |text: &str| {
        let opened = aislewright::storage::plan_of(library(), "demo", text.as_bytes());
        Arc::new(opened.unwrap_or_else(|why| panic!("{why}")).plan)
    };
    let cellar = read(include_str!("../demo-data/press-cellar.plan.ron"));
    let loft = read(include_str!("../demo-data/long-loft.plan.ron"));
    let bottling = example();
    for (plan, phase) in [
        (&bottling, 1),
        (&bottling, 2),
        (&bottling, 3),
        (&cellar, 1),
        (&cellar, 2),
        (&cellar, 3),
        (&loft, 1),
        (&loft, 2),
    ] {
        let name = &plan.head().name;
        let (_, found) = wired(plan, phase);
        assert_eq!(found.unpowered(), [], "{name} in phase {phase}");
        let after = taken_over(plan, phase);
        let before = broken(plan, phase);
        let new: Vec<String> = broken(&after, phase)
            .into_iter()
            .filter(|text| !before.contains(text))
            .collect();
        assert_eq!(new, Vec::<String>::new(), "{name} in phase {phase}");
        let (_, again) = wired(&after, phase);
        assert_eq!(again.outcome.added.len(), 0, "{name} in phase {phase}");
    }
}

/// Phase 3 of the bottling room overloads C06 (27.7 A of 20 A at the peak): one circuit more does, and no fewer.
#[test]
fn the_bottling_room_needs_one_circuit_more() {
    let plan = example();
    let (layout, found) = wired(&plan, 3);
    assert_eq!(found.outcome.added.len(), 1);
    assert_eq!(
        found.words(),
        "1 new circuit; proved: no wiring of these plugs does with fewer"
    );
    let after = taken_over(&plan, 3);
    assert!(broken(&after, 3).iter().all(|t| !t.contains("at the peak")));
    assert_eq!(found.lines(&layout).len(), 10);
}

#[test]
fn the_command_says_it_in_the_same_figures() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("wired.plan.ron");
    let ran = Command::new(env!("CARGO_BIN_EXE_aislewright"))
        .args(["wire", "demo-data/bottling-room.plan.ron", "--json", "-o"])
        .arg(&out)
        .output()
        .unwrap();
    assert_eq!(ran.status.code(), Some(0));
    let json: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    assert_eq!(json["circuits_new"], 1);
    assert_eq!(json["bound"], 1);
    assert_eq!(json["claim"], "proved");
    assert_eq!(json["unpowered"], serde_json::json!([]));
    let circuits = json["circuits"].as_array().unwrap();
    assert_eq!(circuits.len(), 10);
    for circuit in circuits {
        let of = |key: &str| circuit[key].as_f64().unwrap();
        assert!(of("running_a") <= of("continuous_limit_a"), "{circuit}");
        assert!(of("peak_a") <= of("breaker_a"), "{circuit}");
    }
    assert!(out.exists(), "the plan so wired is written");
    let length = |along: f64| Length::from_mm(along);
    let boxes = json["boxes"].as_array().unwrap();
    assert!(
        boxes
            .iter()
            .all(|b| length(b["along_mm"].as_f64().unwrap()) > Length::ZERO)
    );
}
