//! Bad days and coming back from them: pencil sums in a small room of one rack, one circuit and a UPS.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::handbook::heat;
use aislewright::layout::Layout;
use aislewright::layout::{CoolingFigures, HeatBalance, HeatSource, HeatTerm};
use aislewright::plan::{
    Circuit, CircuitBuild, Edit, Head, Id, Item, Label, OtherLoad, Outlet, OwnKind, PhaseNo, Plan,
    Presence, Record, Room, Supply, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::{Battery, KindId, PrinterKind, Runtime, UpsKind};
use aislewright::units::{AmpHours, Amps, Minutes, Ratio, Volts, Watts};
use aislewright::wiring::day_card::day_cards;
use aislewright::wiring::outage::{Failure, Ride, bad_day, bad_days, ride_of};
use aislewright::wiring::restart::{Stuck, restart};
use common::{edited, example, id, inches, library, printers_of, put, rack_at};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn own(plan: &Plan, kind_name: &str, own: OwnKind) -> Arc<Plan> {
    edited(plan, &Edit::PutKind(kind(kind_name), Box::new(own)))
}

fn printer_kind(change: impl Fn(&mut PrinterKind)) -> OwnKind {
    let mut own = library().stock.printers[&kind("open-220")].clone();
    own.power_factor = Some(Ratio::fixed(1.0));
    change(&mut own);
    OwnKind::Printer(own)
}

fn ups_kind(change: impl Fn(&mut UpsKind)) -> UpsKind {
    let mut own = library().stock.ups[&kind("ups-900")].clone();
    own.efficiency = Some(Ratio::fixed(1.0));
    own.recharge = Some(Watts::fixed(0.0));
    change(&mut own);
    own
}

/// Nine printers of R1 that run at 120 W and heat at 300 W on 120 V, on O1 of C01; the first three on U1 where `on_ups`.
fn room(breaker: f64, on_ups: bool) -> Arc<Plan> {
    let room = Room::rectangle(inches(144), inches(120), inches(108), inches(6));
    let circuit = Circuit {
        breaker: Amps::fixed(breaker),
        volts: Volts::fixed(120.0),
        panel: None,
        built: CircuitBuild::default(),
        presence: Presence::default(),
    };
    let outlet = Item::Outlet(Outlet {
        at: WallPlace::new(2, inches(72)),
        height: inches(18),
        receptacles: 10,
        receptacle: None,
        circuit: Some(id("C01")),
        presence: Presence::default(),
    });
    let plan = edited(
        &Plan::new(Head::default(), room),
        &Edit::Put(vec![(id("C01"), Record::Circuit(circuit))]),
    );
    let plan = put(&plan, "O1", outlet);
    let plan = own(&plan, "open-220", printer_kind(|_| {}));
    let plan = own(&plan, "ups-900", OwnKind::Ups(ups_kind(|_| {})));
    let plan = put(&plan, "R1", rack_at("full-72", 900, 1500, 0.0));
    let ups = Item::Ups(Ups {
        kind: kind("ups-900"),
        stands: UpsPlace::OnRack(id("R1")),
        outlet: Some(id("O1")),
        presence: Presence::default(),
    });
    let plan = put(&plan, "U1", ups);
    let mut records = printers_of(&plan, id("R1"), 3, 3);
    for (n, (_, record)) in records.iter_mut().enumerate() {
        let Record::Printer(printer) = record else {
            panic!("a printer");
        };
        printer.power = Some(id(if on_ups && n < 3 { "U1" } else { "O1" }));
    }
    edited(&plan, &Edit::Put(records))
}

fn layout(plan: &Arc<Plan>) -> Layout {
    Layout::of(library(), plan, PhaseNo(1))
}

fn sizes(plan: &Arc<Plan>) -> (Vec<usize>, usize) {
    let restart = restart(&layout(plan));
    let turns = restart.turns.iter().map(Vec::len).collect();
    (turns, restart.stuck.len())
}

/// One printer heats with 2.5 A and runs with 1 A. On 20 A eight heat at once (20 A), then the ninth (8 + 2.5 A). On 10 A: four (10 A),
/// two (4 + 5 A), one (6 + 2.5 A), one (7 + 2.5 A), and the ninth would make 8 + 2.5 A.
#[test]
fn printers_come_back_turn_by_turn() {
    assert_eq!(sizes(&room(25.0, false)), (vec![9], 0));
    assert_eq!(sizes(&room(20.0, false)), (vec![8, 1], 0));
    assert_eq!(sizes(&room(10.0, false)), (vec![4, 2, 1, 1], 1));
    let words = restart(&layout(&room(10.0, false))).words();
    assert_eq!(
        words,
        "4 turns, at most 4 printers heat at once; 1 may not heat at all: their breaker or UPS would be over"
    );
}

/// A UPS of 700 W heats two of its three at once (600 W), then the third beside the two that run (540 W).
#[test]
fn a_ups_holds_its_printers_back_too() {
    let plan = own(
        &room(25.0, true),
        "ups-900",
        OwnKind::Ups(ups_kind(|k| k.watts = Some(Watts::fixed(700.0)))),
    );
    assert_eq!(sizes(&plan), (vec![8, 1], 0));
}

/// Tools of 1200 W on the same circuit leave 10 A of 20 A.
#[test]
fn other_loads_leave_less() {
    let tools = OtherLoad {
        name: Label::new("bench tools").unwrap(),
        circuit: Some(id("C01")),
        running: Some(Watts::fixed(600.0)),
        peak: Some(Watts::fixed(1200.0)),
        power_factor: Some(Ratio::fixed(1.0)),
        arrives: PhaseNo(1),
    };
    let supply = Supply {
        loads: vec![tools],
        ..Supply::default()
    };
    let plan = edited(&room(20.0, false), &Edit::SetSupply(Box::new(supply)));
    assert_eq!(sizes(&plan), (vec![4, 2, 1, 1], 1));
    let day = bad_day(&layout(&plan), Failure::Circuit(id("C01")));
    assert_eq!(day.others, ["bench tools"]);
}

/// No turn of any phase of the example puts a breaker or a UPS over, and everybody gets a turn or is said.
#[test]
fn everybody_in_the_example_gets_a_turn() {
    let plan = example();
    for phase in 1..=3 {
        let layout = Layout::of(library(), &plan, PhaseNo(phase));
        let restart = restart(&layout);
        let told: usize = restart.turns.iter().map(Vec::len).sum();
        let all = told + restart.stuck.len() + restart.unknown.len();
        assert_eq!(all, layout.printers().count(), "phase {phase}");
        assert!(restart.stuck.is_empty(), "phase {phase}: {restart:?}");
    }
}

#[test]
fn a_breaker_stops_what_has_no_ups_and_a_ups_stops_its_own() {
    let plan = room(20.0, true);
    let layout = layout(&plan);
    let day = bad_day(&layout, Failure::Circuit(id("C01")));
    let p = |n: u32| Id::new(Plan::PRINTER, n);
    assert_eq!(day.stops, (4..=9).map(p).collect::<Vec<_>>());
    assert_eq!(day.carried.len(), 1);
    assert_eq!(day.carried[0].printers.len(), 3);
    assert_eq!(day.carried[0].ride, Ride::Unknown, "no battery is entered");
    assert_eq!(day.shortest(), None);
    let day = bad_day(&layout, Failure::Ups(id("U1")));
    assert_eq!(day.stops, (1..=3).map(p).collect::<Vec<_>>());
    let day = bad_day(&layout, Failure::Supply);
    assert_eq!((day.stops.len(), day.carried.len()), (6, 1));
    // One circuit, one UPS, the supply.
    assert_eq!(bad_days(&layout).len(), 3);
}

/// By hand from t = H (C/(I H))^k: 300 W from a 24 V string at 0.9, 9 Ah at 20 h, k 1.15: 23.24 min; with 80 % of the capacity left
/// 23.24 x 0.8^1.15 = 17.98 min.
#[test]
fn a_battery_is_estimated_and_derated_for_its_age() {
    let battery = |left: Option<f64>| {
        ups_kind(|k| {
            k.battery = Some(Battery {
                volts: Volts::fixed(24.0),
                capacity: AmpHours::fixed(9.0),
                rated_over: Minutes::fixed(1200.0),
                exponent: Ratio::fixed(1.15),
                efficiency: Some(Ratio::fixed(0.9)),
                left: left.map(Ratio::fixed),
            });
        })
    };
    for (left, minutes) in [(None, 23.24), (Some(0.8), 17.98)] {
        let ride = ride_of(&battery(left), 300.0);
        let estimated = ride.minutes().unwrap();
        assert!(matches!(ride, Ride::Estimate(_)), "{ride:?}");
        assert!(
            (estimated - minutes).abs() < 0.01,
            "{estimated} min, not {minutes}"
        );
    }
}

/// The maker's points come first: between 40 min at 100 W and 10 min at 400 W a straight line in the logarithms gives 20 min at 200 W.
#[test]
fn the_makers_points_come_first() {
    let point = |load: f64, lasts: f64| Runtime {
        load: Watts::fixed(load),
        lasts: Minutes::fixed(lasts),
    };
    let kind = ups_kind(|k| k.runtimes = vec![point(400.0, 10.0), point(100.0, 40.0)]);
    let ride = ride_of(&kind, 200.0);
    assert!(matches!(ride, Ride::Maker(_)), "{ride:?}");
    assert!((ride.minutes().unwrap() - 20.0).abs() < 1e-9, "{ride:?}");
    assert_eq!(ride_of(&kind, 400.0), Ride::Maker(10.0));
    assert_eq!(ride_of(&kind, 50.0), Ride::AtLeast(40.0));
    assert_eq!(ride_of(&kind, 401.0), Ride::Overloaded);
    assert_eq!(ride_of(&ups_kind(|_| {}), 200.0), Ride::Unknown);
}

/// A UPS with nothing on it does not hide how long the others last: 4000 min W at 360 W are 11.1 min.
#[test]
fn an_idle_ups_hides_no_time() {
    let point = |load: f64, lasts: f64| Runtime {
        load: Watts::fixed(load),
        lasts: Minutes::fixed(lasts),
    };
    let timed = ups_kind(|k| k.runtimes = vec![point(100.0, 40.0), point(400.0, 10.0)]);
    let plan = own(&room(20.0, true), "ups-900", OwnKind::Ups(timed));
    let Some(Item::Ups(idle)) = plan.items().get(id("U1")) else {
        panic!("a UPS");
    };
    let plan = put(&plan, "U2", Item::Ups(idle.clone()));
    let day = bad_day(&layout(&plan), Failure::Circuit(id("C01")));
    assert_eq!(day.carried.len(), 2);
    let shortest = day.shortest().unwrap();
    assert!((shortest - 11.111).abs() < 0.001, "{shortest} min");
}

/// The heaviest is to be paused first.
#[test]
fn the_heaviest_is_named_first() {
    let plan = own(
        &room(20.0, true),
        "heavy",
        printer_kind(|k| k.running = Some(Watts::fixed(200.0))),
    );
    let second = Id::new(Plan::PRINTER, 2);
    let mut printer = plan.printers().get(second).unwrap().clone();
    printer.kind = kind("heavy");
    let plan = edited(&plan, &Edit::Put(vec![(second, Record::Printer(printer))]));
    let day = bad_day(&layout(&plan), Failure::Supply);
    assert_eq!(day.carried[0].printers.first(), Some(&second));
}

/// 4000 min W: 40 min at 100 W, 10 min at 400 W. Three printers of 120 W that idle at 20 W: 360 W last 11.11 min; with one paused 260 W
/// and 15.38 min; with two 160 W and 25 min; with all 60 W, below the table: at least 40 min.
#[test]
fn pausing_the_heaviest_gains_minutes() {
    let point = |load: f64, lasts: f64| Runtime {
        load: Watts::fixed(load),
        lasts: Minutes::fixed(lasts),
    };
    let plan = own(
        &room(20.0, true),
        "open-220",
        printer_kind(|k| k.standby = Some(Watts::fixed(20.0))),
    );
    let timed = ups_kind(|k| k.runtimes = vec![point(100.0, 40.0), point(400.0, 10.0)]);
    let plan = own(&plan, "ups-900", OwnKind::Ups(timed));
    let layout = layout(&plan);
    let day = bad_day(&layout, Failure::Supply);
    let pauses = day.carried[0].pauses(&layout).unwrap();
    let minutes: Vec<f64> = pauses.iter().map(|p| p.ride.minutes().unwrap()).collect();
    for (found, by_hand) in minutes.iter().zip([15.384_615, 25.0, 40.0]) {
        assert!((found - by_hand).abs() < 1e-3, "{found} min, not {by_hand}");
    }
    assert_eq!(pauses[2].ride, Ride::AtLeast(40.0));
    let card = &day_cards(&layout)[0];
    let words: Vec<&str> = card
        .parts
        .iter()
        .flat_map(|p| p.lines.iter().map(String::as_str))
        .collect();
    assert!(
        words.contains(&"U1 with P001 P002 P003: 11 min by the maker's table."),
        "{words:?}"
    );
    assert!(
        words.contains(&"U1: P001 gains 4 min (15 min), then P002 gains 14 min (25 min), then P003 gains at least 29 min (40 min)."),
        "{words:?}"
    );
    // Nobody entered what one idles at.
    let plan = own(&plan, "open-220", printer_kind(|k| k.standby = None));
    let layout = Layout::of(library(), &plan, PhaseNo(1));
    assert_eq!(
        bad_day(&layout, Failure::Supply).carried[0].pauses(&layout),
        None
    );
}

/// 1000 W warm 100 kJ/K by 6 K in 600 s; where 10 W/K carry heat away, by 100 (1 - exp(-0.06)) = 5.8235 K.
#[test]
fn a_room_warms_as_its_heat_says() {
    let near = |found: Option<f64>, by_hand: f64| {
        let found = found.unwrap();
        assert!((found - by_hand).abs() < 1e-4, "{found} K, not {by_hand}");
    };
    near(heat::warmed_k(1000.0, 0.0, 100_000.0, 600.0), 6.0);
    near(heat::warmed_k(1000.0, 10.0, 100_000.0, 600.0), 5.823_547);
    near(heat::warmed_k(-1000.0, 0.0, 100_000.0, 600.0), -6.0);
    assert_eq!(
        heat::warmed_k(1000.0, 0.0, 0.0, 600.0),
        None,
        "nothing holds heat"
    );
    // There and back.
    let seconds = heat::warming_s(1000.0, 10.0, 100_000.0, 5.823_547).unwrap();
    assert!((seconds - 600.0).abs() < 1e-3, "{seconds} s");
}

/// 3000 W in a room whose units take 2000 and 2500 W: without the first 500 W stay, without the second 1000 W. They warm air of
/// 100 kJ/K by 6 K in 600 s, air and as much in printers by 3 K. Printers that save 100, 100 and 80 W: 180 W take two, 250 W all three.
#[test]
fn what_the_other_units_leave_warms_the_room() {
    let unit = |mark: &str, watts: f64| CoolingFigures {
        id: id(mark),
        sensible_w: Some(watts),
        from: String::new(),
        missing: Vec::new(),
        guessed: false,
    };
    let balance = HeatBalance {
        terms: vec![HeatTerm {
            source: HeatSource::Printers,
            watts: 3000.0,
            from: String::new(),
            missing: Vec::new(),
        }],
        units: vec![unit("A1", 2000.0), unit("A2", 2500.0)],
        conductance_w_k: Some(0.0),
        air_j_k: 100_000.0,
        printers_j_k: 100_000.0,
        savings: vec![(id("P001"), 100.0), (id("P002"), 100.0), (id("P003"), 80.0)],
        guessed_printers: false,
        missing_may_cool: false,
    };
    assert_eq!(balance.left_without(id("A1")), Some(500.0));
    assert_eq!(balance.left_without(id("A2")), Some(1000.0));
    assert_eq!(balance.warmed_k(1000.0, 600.0), Some((3.0, 6.0)));
    let enough = [0.0, 100.0, 180.0, 250.0, 280.0, 281.0].map(|w| balance.pauses_for(w));
    assert_eq!(enough, [Some(0), Some(1), Some(2), Some(3), Some(3), None]);
}

/// The ninth printer of `printers_come_back_turn_by_turn` would make 10.5 A of the 10 A of C01.
#[test]
fn what_is_stuck_says_over_what() {
    let restart = restart(&layout(&room(10.0, false)));
    let ninth = Stuck {
        printer: Id::new(Plan::PRINTER, 9),
        over: id("C01"),
    };
    assert_eq!(restart.stuck, [ninth]);
}

/// The supply first, then cooling, then what stops most printers, at once or later; every failure has its card.
#[test]
fn the_cards_stand_in_the_order_of_use() {
    let plan = example();
    for phase in 1..=3 {
        let layout = Layout::of(library(), &plan, PhaseNo(phase));
        let cards = day_cards(&layout);
        assert_eq!(cards.len(), bad_days(&layout).len());
        assert_eq!(cards[0].day.failure, Failure::Supply);
        assert!(matches!(cards[1].day.failure, Failure::Cooling(_)));
        let stops: Vec<usize> = cards[2..].iter().map(|c| c.day.printers()).collect();
        assert!(stops.windows(2).all(|pair| pair[0] >= pair[1]), "{stops:?}");
        let marked = cards.iter().flat_map(|c| &c.marks);
        for mark in marked {
            assert!(plan.has(*mark), "{mark} is in the plan");
        }
    }
}

/// The command's JSON says what the cards say, in seconds and watts.
#[test]
fn the_command_says_it_in_the_same_figures() {
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("pages");
    let run = |more: &[&str]| {
        let program = env!("CARGO_BIN_EXE_aislewright");
        std::process::Command::new(program)
            .args(["bad-days", "demo-data/bottling-room.plan.ron"])
            .args(more)
            .output()
            .unwrap()
    };
    let ran = run(&["--json"]);
    assert_eq!(ran.status.code(), Some(0));
    let json: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    let layout = Layout::of(library(), &example(), PhaseNo(3));
    let cards = day_cards(&layout);
    let days = json["days"].as_array().unwrap();
    assert_eq!((json["phase"].as_u64(), days.len()), (Some(3), cards.len()));
    assert_eq!(
        (&days[0]["failure"], &days[0]["id"]),
        (&"supply".into(), &serde_json::Value::Null)
    );
    assert_eq!(days[0]["restart"]["turns"][0].as_array().unwrap().len(), 48);
    assert_eq!(days[0]["carried"].as_array().unwrap().len(), 17);
    assert_eq!(days[0]["carried"][0]["basis"], "unknown");
    assert_eq!(
        (&days[1]["failure"], &days[1]["id"]),
        (&"cooling".into(), &"A1".into())
    );
    let room = cards[1].room.as_ref().unwrap();
    assert_eq!(days[1]["room"]["excess_w"].as_f64(), room.excess_w);
    assert_eq!(days[1]["room"]["rises"][0]["after_s"].as_f64(), Some(900.0));
    let words = String::from_utf8(run(&["--phase", "1"]).stdout).unwrap();
    assert!(words.starts_with("Phase 1: "), "{words}");
    let folder = pages.display().to_string();
    let written = run(&["-o", &folder]);
    assert_eq!(written.status.code(), Some(0));
    let count = std::fs::read_dir(&pages).unwrap().count();
    assert!(count >= 2);
    let again = run(&["-o", &folder]);
    assert_eq!(again.status.code(), Some(2), "nothing is replaced unasked");
    assert_eq!(run(&["-o", &folder, "--replace"]).status.code(), Some(0));
    assert_eq!(std::fs::read_dir(&pages).unwrap().count(), count);
}
