//! What building, panel and protective devices must bear: pencil sums in a small room with a panel.
//!
//! The room is 144 in by 120 in under a ceiling of 108 in. R1, a full rack, stands at the north wall (wall 2). Panel E1 hangs on the
//! east wall (wall 1), its middle 60 in along, its top at 72 in. O1 is on the north wall 24 in from the north-east corner, O2 on the
//! south wall (wall 0) 120 in along, both 18 in up. Printers run at 120 W and heat at 300 W with a power factor of 1.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::Standing;
use aislewright::fill::Headroom;
use aislewright::geometry::Point;
use aislewright::layout::Layout;
use aislewright::plan::{
    Circuit, CircuitBuild, Conductor, Curve, Edit, Head, Id, Item, Label, OtherLoad, Outlet,
    OwnKind, Panel, PhaseNo, Plan, Pose, Presence, Printer, Protection, Record, Room, SlotRef,
    Status, Supply, SupplyLeg, Ups, UpsPlace, WallPlace, Zone, ZoneUse,
};
use aislewright::stock::{KindId, PrinterKind};
use aislewright::units::{Amps, Length, Practice, Ratio, Volts, Watts};
use common::{edited, id, inches, is, judged, library, put, rack_at, that_says};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn outlet(wall: u16, along: i32, circuit: &str) -> Item {
    Item::Outlet(Outlet {
        at: WallPlace::new(wall, inches(along)),
        height: inches(18),
        receptacles: 9,
        receptacle: None,
        circuit: Some(id(circuit)),
        presence: Presence::default(),
    })
}

fn circuit(leg: Option<SupplyLeg>) -> Circuit {
    Circuit {
        breaker: Amps::fixed(20.0),
        volts: Volts::fixed(120.0),
        panel: Some(id("E1")),
        built: CircuitBuild {
            leg,
            ..CircuitBuild::default()
        },
        presence: Presence::default(),
    }
}

fn with_circuit(plan: &Plan, mark: &str, circuit: Circuit) -> Arc<Plan> {
    edited(plan, &Edit::Put(vec![(id(mark), Record::Circuit(circuit))]))
}

fn changed(plan: &Plan, mark: &str, change: impl Fn(&mut Circuit)) -> Arc<Plan> {
    let mut circuit = plan.circuits().get(id(mark)).unwrap().clone();
    change(&mut circuit);
    with_circuit(plan, mark, circuit)
}

fn panel(main: Option<f64>, free: Option<u8>) -> Item {
    Item::Panel(Panel {
        at: WallPlace::new(1, inches(53)),
        width: inches(14),
        depth: inches(4),
        bottom: inches(42),
        height: inches(30),
        main: main.map(Amps::fixed),
        free,
        presence: Presence::default(),
    })
}

fn printers(change: impl Fn(&mut PrinterKind)) -> Edit {
    let mut own = library().stock.printers[&kind("open-220")].clone();
    own.power_factor = Some(Ratio::fixed(1.0));
    change(&mut own);
    Edit::PutKind(kind("open-220"), Box::new(OwnKind::Printer(own)))
}

/// Five printers on C01 (O1) and four on C02 (O2), on two legs where not said otherwise.
fn room(legs: [Option<SupplyLeg>; 2]) -> Arc<Plan> {
    let room = Room::rectangle(inches(144), inches(120), inches(108), inches(6));
    let plan = put(&Plan::new(Head::default(), room), "E1", panel(None, None));
    let plan = with_circuit(&plan, "C01", circuit(legs[0]));
    let plan = with_circuit(&plan, "C02", circuit(legs[1]));
    let plan = put(&plan, "O1", outlet(2, 24, "C01"));
    let plan = put(&plan, "O2", outlet(0, 120, "C02"));
    let plan = edited(&plan, &printers(|_| {}));
    let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
        x: inches(36),
        y: inches(94),
        ..Default::default()
    });
    let plan = put(&plan, "R1", rack);
    let slots = (1..=3).flat_map(|level| (1..=3).map(move |place| (level, place)));
    let records = (1..)
        .zip(slots)
        .map(|(n, (level, place))| {
            let printer = Printer {
                kind: kind("open-220"),
                slot: SlotRef {
                    rack: id("R1"),
                    level,
                    place,
                },
                power: Some(id(if n <= 5 { "O1" } else { "O2" })),
                prints: None,
                presence: Presence::default(),
            };
            (Id::new(Plan::PRINTER, n), Record::Printer(printer))
        })
        .collect();
    edited(&plan, &Edit::Put(records))
}

fn on_two_legs() -> Arc<Plan> {
    room([Some(SupplyLeg::L1), Some(SupplyLeg::L2)])
}

fn with_supply(plan: &Plan, supply: Supply) -> Arc<Plan> {
    edited(plan, &Edit::SetSupply(Box::new(supply)))
}

#[test]
fn nobody_said_what_the_supply_gives() {
    let found = that_says(&on_two_legs(), "supply", "not entered");
    is(&found, Standing::Unknown, None, None);
    assert_eq!(found.items, [id("E1")], "it points at the panel");
}

/// Five printers on L1: 5 x 120 / 120 = 5 A running, 5 x 300 / 120 = 12.5 A at the peak; four on L2: 4 A and 10 A.
#[test]
fn the_fullest_leg_is_held_against_feeder_and_share() {
    let feeder = |amperes: f64, share: Option<f64>| Supply {
        feeder: Some(Amps::fixed(amperes)),
        share: share.map(Ratio::fixed),
        ..Supply::default()
    };
    // 12.5 A at the peak of 12.5 A just does; 0.8 x 12.5 = 10 A for hours.
    let plan = with_supply(&on_two_legs(), feeder(12.5, None));
    is(
        &that_says(&plan, "supply", "at the peak from the feeder"),
        Standing::Met,
        Some(12.5),
        Some(12.5),
    );
    is(
        &that_says(&plan, "supply", "running from the feeder"),
        Standing::Met,
        Some(5.0),
        Some(10.0),
    );
    // Half of 20 A agreed: 10 A at the peak, 8 A for hours.
    let plan = with_supply(&on_two_legs(), feeder(20.0, Some(0.5)));
    is(
        &that_says(&plan, "supply", "at the peak from the feeder"),
        Standing::Broken,
        Some(12.5),
        Some(10.0),
    );
    is(
        &that_says(&plan, "supply", "running from the feeder"),
        Standing::Met,
        Some(5.0),
        Some(8.0),
    );
}

/// Legs that nobody said: 22.5 A at the peak are at least 11.25 A on the fuller of two legs and at most 22.5 A.
#[test]
fn legs_that_nobody_said_leave_a_range() {
    let feeder = |amperes: f64| Supply {
        feeder: Some(Amps::fixed(amperes)),
        ..Supply::default()
    };
    let plan = room([None, None]);
    for (rating, standing, measured) in [
        (23.0, Standing::Met, Some(11.25)),
        (20.0, Standing::Unknown, None),
        (11.0, Standing::Broken, Some(11.25)),
    ] {
        is(
            &that_says(
                &with_supply(&plan, feeder(rating)),
                "supply",
                "at the peak from the feeder",
            ),
            standing,
            measured,
            Some(rating),
        );
    }
}

/// A machine of 240 V on both legs: 2400 W is 10 A on each.
#[test]
fn a_circuit_of_two_poles_loads_both_legs() {
    let plan = with_circuit(
        &on_two_legs(),
        "C03",
        Circuit {
            volts: Volts::fixed(240.0),
            ..circuit(Some(SupplyLeg::L2))
        },
    );
    let oven = OtherLoad {
        name: Label::new("dryer").unwrap(),
        circuit: Some(id("C03")),
        running: Some(Watts::fixed(2400.0)),
        peak: Some(Watts::fixed(2400.0)),
        power_factor: Some(Ratio::fixed(1.0)),
        arrives: PhaseNo(1),
    };
    let plan = with_supply(
        &plan,
        Supply {
            feeder: Some(Amps::fixed(100.0)),
            loads: vec![oven],
            ..Supply::default()
        },
    );
    // L1: 5 + 10 A.
    is(
        &that_says(&plan, "supply", "running from the feeder"),
        Standing::Met,
        Some(15.0),
        Some(80.0),
    );
    is(
        &that_says(&plan, "circuits", "C03 carries 10.0 A running"),
        Standing::Met,
        Some(10.0),
        Some(16.0),
    );
}

#[test]
fn the_main_breaker_of_a_panel_counts_its_own_circuits() {
    let plan = put(&on_two_legs(), "E1", panel(Some(12.0), None));
    is(
        &that_says(&plan, "supply", "at the peak from the main breaker of E1"),
        Standing::Broken,
        Some(12.5),
        Some(12.0),
    );
}

#[test]
fn new_circuits_need_places_in_the_panel() {
    let new = |plan: &Plan, mark: &str| changed(plan, mark, |c| c.presence.status = Status::New);
    let plan = new(&new(&on_two_legs(), "C01"), "C02");
    is(
        &that_says(&plan, "supply", "places"),
        Standing::Unknown,
        Some(2.0),
        None,
    );
    for (free, standing) in [(2, Standing::Met), (1, Standing::Broken)] {
        let plan = put(&plan, "E1", panel(None, Some(free)));
        is(
            &that_says(&plan, "supply", "places"),
            standing,
            Some(2.0),
            Some(f64::from(free)),
        );
    }
    // Two poles take two places.
    let plan = put(&plan, "E1", panel(None, Some(2)));
    let plan = changed(&plan, "C02", |c| c.built.poles = Some(2));
    is(
        &that_says(&plan, "supply", "places"),
        Standing::Broken,
        Some(3.0),
        Some(2.0),
    );
}

/// Up 36 in from the panel's top, 60 in along the east wall to the corner, 24 in along the north wall, 90 in down: 210 in, 17.5 ft.
/// Five printers draw 5 A through 12 AWG stranded (1.98 Ω/kft): 2 x 17.5 x 5 x 1.98 / 1000 = 0.3465 V, 0.2888 %.
#[test]
fn the_drop_along_an_estimated_cable() {
    let plan = changed(&on_two_legs(), "C01", |c| {
        c.built.conductor = Some(Conductor::Awg12);
    });
    let found = that_says(&plan, "circuits", "C01 loses");
    assert!(found.text.contains("17' 6\" (estimated)"), "{}", found.text);
    assert!((found.measured.unwrap() - 0.002_887_5).abs() < 1e-9);
    assert_eq!((found.standing, found.limit), (Standing::Met, Some(0.03)));
    // Measured at 200 ft: 3.96 V, 3.3 % is over 3 %.
    let plan = changed(&plan, "C01", |c| c.built.run = Some(inches(2400)));
    let found = that_says(&plan, "circuits", "C01 loses");
    assert!(
        (found.measured.unwrap() - 0.033).abs() < 1e-9,
        "{}",
        found.text
    );
    assert_eq!(found.standing, Standing::Broken);
}

/// With O1 24 3/4 in from the corner the estimate is 210 3/4 in: 17 ft 7 in to the inch, 5353 mm and so 5350 mm to the centimetre.
/// Its way in the plan goes from the panel's middle by the corner to the box. What was measured is said as it was.
#[test]
fn an_estimated_cable_is_said_to_the_inch() {
    let mut moved = outlet(2, 24, "C01");
    if let Item::Outlet(outlet) = &mut moved {
        outlet.at.along = Length::from_mm(24.75 * 25.4);
    }
    let plan = put(&on_two_legs(), "O1", moved);
    let layout = Layout::of(library(), &plan, PhaseNo(1));
    let run = layout.cable_run(id("C01")).unwrap();
    assert_eq!(run.length_shown(Practice::Us), "17' 7\"");
    assert_eq!(run.length_shown(Practice::Metric), "5350 mm");
    let ways = layout.cable_ways(id("C01"));
    let inch = |x: f64, y: f64| Point::new(x * 25.4, y * 25.4);
    let expected = [inch(144.0, 60.0), inch(144.0, 120.0), inch(119.25, 120.0)];
    assert_eq!((ways.len(), ways[0].outlet), (1, id("O1")));
    assert_eq!(ways[0].path.len(), 3);
    for (at, wanted) in ways[0].path.iter().zip(expected) {
        assert!(at.distance(wanted) < 0.01, "{at} is not {wanted}");
    }
    let measured = Length::from_mm(210.25 * 25.4);
    let plan = changed(&plan, "C01", |c| c.built.run = Some(measured));
    let run = Layout::of(library(), &plan, PhaseNo(1)).cable_run(id("C01"));
    assert_eq!(run.unwrap().length_shown(Practice::Us), "17' 6 1/4\"");
}

/// NEC 240.4(D): 14 AWG is protected by 15 A at most.
#[test]
fn a_breaker_too_large_for_its_conductor() {
    let plan = changed(&on_two_legs(), "C01", |c| {
        c.built.conductor = Some(Conductor::Awg14);
    });
    is(
        &that_says(&plan, "circuits", "too large for 14 AWG"),
        Standing::Broken,
        Some(20.0),
        Some(15.0),
    );
}

/// IEC 60364-5-52 annex G at 230 V: 5 A over 20 m of 1.5 mm² at cos φ 1: 2 x 0.0225 x 20 / 1.5 x 5 = 3 V, 1.304 %.
#[test]
fn the_drop_along_a_metric_cable() {
    let plan = changed(&on_two_legs(), "C01", |c| {
        c.volts = Volts::fixed(230.0);
        c.built.conductor = Some(Conductor::Mm1_5);
        c.built.run = Some(Length::from_mm_whole(20_000));
    });
    // 5 printers of 120 W at 230 V draw 2.6087 A.
    let drop = Layout::of(library(), &plan, PhaseNo(1))
        .voltage_drop(id("C01"), 5.0)
        .unwrap();
    assert!((drop.volts - 3.0).abs() < 1e-9 && (drop.percent - 300.0 / 230.0).abs() < 1e-9);
}

/// 2 mA a printer: five leak 10 mA behind one device.
#[test]
fn leakage_behind_a_device() {
    let leaky = |plan: &Plan| edited(plan, &printers(|k| k.leakage = Some(Amps::fixed(0.002))));
    let behind = |plan: &Plan, device| changed(plan, "C01", |c| c.built.protection = Some(device));
    for (device, standing, allowed) in [
        // 30 % of 30 mA (BS 7671:2018, 531.3.2).
        (Protection::Residual30, Standing::Broken, 9.0),
        (Protection::Residual100, Standing::Met, 30.0),
        // UL 943, class A: must not trip below 4 mA.
        (Protection::GroundFault, Standing::Broken, 4.0),
    ] {
        is(
            &that_says(
                &leaky(&behind(&on_two_legs(), device)),
                "protection",
                "leak to earth on C01",
            ),
            standing,
            Some(10.0),
            Some(allowed),
        );
    }
    // Nobody metered the printers.
    is(
        &that_says(
            &behind(&on_two_legs(), Protection::Residual30),
            "protection",
            "leak to earth on C01",
        ),
        Standing::Unknown,
        None,
        Some(9.0),
    );
}

/// IEC 60898-1: a 20 A breaker of curve B may trip from 60 A on and surely does from 100 A; five printers of 15 A rush 75 A in.
#[test]
fn inrush_against_the_curve() {
    let rushing = |amperes: f64| {
        edited(
            &on_two_legs(),
            &printers(|k| k.inrush = Some(Amps::fixed(amperes))),
        )
    };
    let curved = |plan: &Plan, curve| changed(plan, "C01", |c| c.built.curve = Some(curve));
    for (amperes, curve, standing, words, may) in [
        (15.0, Curve::B, Standing::Broken, "may trip at once", 60.0),
        (21.0, Curve::B, Standing::Broken, "trips at once", 60.0),
        (15.0, Curve::C, Standing::Met, "holds", 100.0),
        (15.0, Curve::D, Standing::Met, "holds", 200.0),
    ] {
        let found = that_says(&curved(&rushing(amperes), curve), "protection", words);
        is(&found, standing, Some(5.0 * amperes), Some(may));
    }
    is(
        &that_says(
            &curved(&on_two_legs(), Curve::C),
            "protection",
            "not known to hold",
        ),
        Standing::Unknown,
        None,
        Some(100.0),
    );
}

/// O2 at 120 in along the south wall hangs in a zone of 24 by 24 in that nobody has promised dry.
#[test]
fn an_outlet_in_a_wet_zone_needs_a_device() {
    let wet = Item::Zone(Zone {
        purpose: ZoneUse::Wet { dry_from: None },
        at: Pose {
            x: inches(108),
            y: inches(0),
            ..Default::default()
        },
        width: inches(24),
        depth: inches(24),
        low: Length::ZERO,
        high: None,
        presence: Presence::default(),
    });
    let plan = put(&on_two_legs(), "Z1", wet);
    for (device, standing) in [
        (None, Standing::Unknown),
        (Some(Protection::Bare), Standing::Broken),
        (Some(Protection::Residual300), Standing::Broken),
        (Some(Protection::GroundFault), Standing::Met),
        (Some(Protection::Residual30), Standing::Met),
    ] {
        let plan = changed(&plan, "C02", |c| c.built.protection = device);
        let found = that_says(&plan, "protection", "O2 hangs in wet zone Z1");
        assert_eq!(found.standing, standing, "{}", found.text);
    }
}

/// The same devices at every outlet of a room that counts as damp; of a dry one, or where nobody said so, nothing is asked.
#[test]
fn every_outlet_of_a_damp_room_needs_a_device() {
    let said = |damp| {
        let supply = Supply {
            damp,
            ..Supply::default()
        };
        with_supply(&on_two_legs(), supply)
    };
    for dry in [None, Some(false)] {
        let (_, findings) = judged(&said(dry), 1);
        let found = findings.of_check("protection").iter();
        assert_eq!(found.filter(|f| f.facet == "damp").count(), 0);
    }
    let plan = changed(&said(Some(true)), "C01", |c| {
        c.built.protection = Some(Protection::Residual30);
    });
    let one = that_says(
        &plan,
        "protection",
        "O1 hangs in a room that counts as damp",
    );
    let other = that_says(
        &plan,
        "protection",
        "O2 hangs in a room that counts as damp",
    );
    assert_eq!(
        (one.standing, other.standing),
        (Standing::Met, Standing::Unknown)
    );
}

/// A feeder of 20 A of which half is agreed, on two legs of 120 V: 2400 VA at the peak, 1920 VA for hours. Printers run at 120 VA
/// (16) and heat at 300 VA (8).
#[test]
fn the_ceiling_of_the_supply() {
    let plan = with_supply(
        &on_two_legs(),
        Supply {
            feeder: Some(Amps::fixed(20.0)),
            share: Some(Ratio::fixed(0.5)),
            ..Supply::default()
        },
    );
    let headroom = Headroom::of(&Layout::of(library(), &plan, PhaseNo(1)));
    assert_eq!(headroom.ceiling("supply").unwrap().allows, Some(8));
    let headroom = Headroom::of(&Layout::of(library(), &on_two_legs(), PhaseNo(1)));
    assert_eq!(headroom.ceiling("supply").unwrap().allows, None);
}

/// The maker of every UPS forbids it; common practice, no source.
#[test]
fn a_ups_is_never_plugged_into_another() {
    let on_rack = |into: &str| {
        Item::Ups(Ups {
            kind: kind("ups-900"),
            stands: UpsPlace::OnRack(id("R1")),
            outlet: Some(id(into)),
            presence: Presence::default(),
        })
    };
    let plan = put(&on_two_legs(), "U1", on_rack("O1"));
    let chain = Edit::Put(vec![(id("U2"), Record::Item(Box::new(on_rack("U1"))))]);
    let refused = plan.edited(&library().stock, &chain).unwrap_err();
    let words = refused.to_string();
    assert!(
        words.contains("plugged into U1, and a UPS is never plugged into another"),
        "{words}"
    );
}
