//! What if: small rooms by pencil, and that asking changes nothing.
//!
//! The room is that of `tests/wire.rs` in other numbers: 240 in by 120 in, racks R1 and R2 along the north wall with a gap of 24 in between
//! them, each with three printers; O1 of C01 in the gap. A printer runs at 120 W and heats at 300 W with a power factor of 1, so that three are
//! 3 A running and 7.5 A at the peak on 120 V. A UPS loses nothing and recharges with 0 W.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::process::Command;
use std::sync::Arc;

use aislewright::checks::Findings;
use aislewright::layout::Layout;
use aislewright::plan::{
    Circuit, CircuitBuild, Edit, Head, Id, Item, Outlet, OwnKind, Panel, PhaseNo, Plan, Pose,
    Presence, Printer, Record, Room, SlotRef, Supply, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::{KindId, Runtime};
use aislewright::units::{Amps, Minutes, Ratio, Volts, Watts};
use aislewright::wiring::STEPS;
use aislewright::wiring::what_if::{Answer, Asking, Figures, Question};
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

/// The two racks; a UPS at each where `with_ups`, else the printers are plugged into nothing.
fn room(breaker: f64, free: Option<u8>, with_ups: bool) -> Arc<Plan> {
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
    printer.auto_ranging = Some(true);
    let point = |load: f64, lasts: f64| Runtime {
        load: Watts::fixed(load),
        lasts: Minutes::fixed(lasts),
    };
    let mut ups = library().stock.ups[&kind("ups-900")].clone();
    ups.efficiency = Some(Ratio::fixed(1.0));
    ups.recharge = Some(Watts::fixed(0.0));
    ups.watts = Some(Watts::fixed(1000.0));
    ups.runtimes = vec![point(100.0, 40.0), point(400.0, 10.0)];
    let circuit = Circuit {
        breaker: Amps::fixed(breaker),
        volts: Volts::fixed(120.0),
        panel: Some(id("E1")),
        built: CircuitBuild::default(),
        presence: Presence::default(),
    };
    for own in [
        Edit::PutKind(kind("open-220"), Box::new(OwnKind::Printer(printer))),
        Edit::PutKind(kind("ups-900"), Box::new(OwnKind::Ups(ups))),
        Edit::Put(vec![(id("C01"), Record::Circuit(circuit))]),
    ] {
        plan = edited(&plan, &own);
    }
    plan = put(&plan, "O1", outlet(120, 6, "C01"));
    for (n, west) in [(1, 36), (2, 132)] {
        let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
            x: inches(west),
            y: inches(94),
            ..Default::default()
        });
        plan = put(&plan, &format!("R{n}"), rack);
        if with_ups {
            let ups = Ups {
                kind: kind("ups-900"),
                stands: UpsPlace::OnRack(id(&format!("R{n}"))),
                outlet: None,
                presence: Presence::default(),
            };
            plan = put(&plan, &format!("U{n}"), Item::Ups(ups));
        }
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
            let mark = Id::new(Plan::PRINTER, (n - 1) * 3 + u32::from(place));
            (mark, Record::Printer(printer))
        });
        plan = edited(&plan, &Edit::Put(records.collect()));
    }
    plan
}

fn layout(plan: &Arc<Plan>, phase: u8) -> Layout {
    Layout::of(library(), plan, PhaseNo(phase))
}

fn ask(plan: &Arc<Plan>, phase: u8, question: Question) -> Answer {
    let asking = Asking {
        library: library(),
        layout: &layout(plan, phase),
        stops: &|layout| Findings::of(layout).stops(),
        steps: STEPS,
        stop: &|| false,
    };
    asking.answer(question)
}

fn both(answer: &Answer) -> (Figures, Figures) {
    let before = answer
        .before
        .clone()
        .unwrap_or_else(|| panic!("{:?}", answer.words));
    (before, answer.after.clone().unwrap())
}

/// 10 A carry one UPS with three printers (7.5 A at the peak), not both (15 A): one more circuit of 10 A takes the other.
#[test]
fn one_more_circuit_powers_three_printers_more() {
    let plan = room(10.0, Some(4), true);
    let answer = ask(&plan, 1, Question::OneCircuit);
    let (before, after) = both(&answer);
    assert_eq!((before.powered, after.powered), (3, 6));
    assert_eq!((before.circuits, after.circuits), (1, 2));
    // 7.5 A of 10 A on each.
    let share = after.fullest_circuit.unwrap().1;
    assert!((share - 0.75).abs() < 1e-9, "{share}");
    assert!(
        answer
            .words
            .iter()
            .any(|w| w == "C02: 10 A at 120 V, for 3 printers."),
        "{:?}",
        answer.words
    );
    assert!(
        answer
            .words
            .iter()
            .any(|w| w == "Printers with power: 3 → 6 of 6."),
        "{:?}",
        answer.words
    );
    // Taken over, it is so.
    let taken = edited(&plan, &answer.edit.unwrap());
    assert!(taken.circuits().get(id("C02")).is_some());
    assert!(layout(&taken, 1).power().unpowered.is_empty());
}

/// 20 A carry both (15 A): nothing is gained, and it is said.
#[test]
fn a_circuit_that_powers_nothing_more_is_said_to() {
    let answer = ask(&room(20.0, Some(4), true), 1, Question::OneCircuit);
    let (before, after) = both(&answer);
    assert_eq!(before, after);
    assert_eq!(answer.edit, None);
    assert_eq!(
        answer.words[0],
        "Every printer can have power on the circuits there are: one more would power none."
    );
    assert!(
        answer.words.iter().any(|w| w == "Nothing changes."),
        "{:?}",
        answer.words
    );
    // 15 A of 20 A at the peak.
    assert!(
        answer
            .words
            .iter()
            .any(|w| w == "Next binds C01, at 75 % of what its breaker may carry."),
        "{:?}",
        answer.words
    );
}

/// Three printers stay without, and the panel has no place.
#[test]
fn a_full_panel_takes_no_circuit_more() {
    let answer = ask(&room(10.0, Some(0), true), 1, Question::OneCircuit);
    let (before, after) = both(&answer);
    assert_eq!((before.powered, after.powered), (3, 3));
    assert_eq!(answer.words[0], "The panel has no place free for it.");
    assert_eq!(answer.edit, None);
}

/// Three printers of 120 W on a UPS of 1000 W: 36 % and 4000 / 360 = 11.1 min. With another at each rack two and one share it:
/// 24 % and 4000 / 240 = 16.7 min.
#[test]
fn another_ups_at_every_rack_halves_the_load_and_lengthens_the_ride() {
    let plan = room(20.0, Some(4), true);
    let answer = ask(&plan, 1, Question::MoreSupplies);
    let (before, after) = both(&answer);
    assert_eq!((before.supplies, after.supplies), (2, 4));
    assert_eq!((before.on_ups, after.on_ups), (6, 6));
    assert_eq!((before.powered, after.powered), (6, 6));
    let near = |found: f64, by_hand: f64| {
        assert!((found - by_hand).abs() < 0.01, "{found}, not {by_hand}");
    };
    near(before.fullest_ups.unwrap().1, 0.36);
    near(after.fullest_ups.unwrap().1, 0.24);
    near(before.ride_min.unwrap(), 11.11);
    near(after.ride_min.unwrap(), 16.67);
    assert!(
        answer
            .words
            .iter()
            .any(|w| w == "First battery empty after: 11.1 → 16.7 min."),
        "{:?}",
        answer.words
    );
    let taken = edited(&plan, &answer.edit.unwrap());
    let layout = layout(&taken, 1);
    let on: Vec<usize> = layout
        .power()
        .supplies
        .values()
        .map(|u| u.printers.len())
        .collect();
    let mut sorted = on.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, [1, 1, 2, 2]);
}

/// Six printers straight on 10 A at 120 V: running 6 A of 8 A, heating 15 A of 10 A; four go on one circuit (10 A), so two circuits are
/// needed. At 240 V all six are 3 A and 7.5 A: one does.
#[test]
fn the_higher_voltage_halves_the_amperes() {
    let plan = room(10.0, Some(4), false);
    let plan = straight(&plan);
    let answer = ask(&plan, 1, Question::HigherVoltage);
    let (before, after) = both(&answer);
    assert_eq!((before.powered, after.powered), (6, 6));
    assert_eq!((before.circuits, after.circuits), (2, 1));
    let share = after.fullest_circuit.unwrap();
    assert_eq!(share.0, id("C01"));
    assert!((share.1 - 0.75).abs() < 1e-9, "{share:?}");
    assert_eq!(answer.edit, None, "nobody allowed it");
    assert!(
        answer
            .words
            .iter()
            .any(|w| w.starts_with("Nobody has allowed it yet")),
        "{:?}",
        answer.words
    );
    let supply = Supply {
        higher_voltage: true,
        ..Supply::default()
    };
    let allowed = edited(&plan, &Edit::SetSupply(Box::new(supply)));
    let answer = ask(&allowed, 1, Question::HigherVoltage);
    let taken = edited(&allowed, &answer.edit.unwrap());
    assert_eq!(
        taken.circuits().get(id("C01")).unwrap().volts,
        Volts::fixed(240.0)
    );
    assert!(layout(&taken, 1).power().unpowered.is_empty());
}

/// The same six printers plugged into nothing, and breakers of 5 A. At 120 V two heat on each (2.5 A), on three circuits. At 240 V four do
/// (1.25 A), as many as an added circuit has receptacles: two circuits.
#[test]
fn printers_that_wait_hang_where_fewer_circuits_are_needed() {
    let answer = ask(&room(5.0, Some(4), false), 1, Question::HigherVoltage);
    let (before, after) = both(&answer);
    assert_eq!((before.powered, after.powered), (6, 6));
    assert_eq!((before.circuits, after.circuits), (3, 2));
}

/// On 20 A all six heat at 120 V (15 A): a circuit of the higher voltage would be one more for nothing.
#[test]
fn printers_that_wait_stay_at_the_lower_voltage_where_that_does() {
    let answer = ask(&room(20.0, Some(4), false), 1, Question::HigherVoltage);
    assert!(answer.before.is_none() && answer.edit.is_none());
    assert!(
        answer.words[0].starts_with("Nothing is gained:"),
        "{:?}",
        answer.words
    );
}

/// All printers on O1.
fn straight(plan: &Arc<Plan>) -> Arc<Plan> {
    let records = plan.printers().iter().map(|(id_, printer)| {
        let power = Some(id("O1"));
        let printer = Printer {
            power,
            ..printer.clone()
        };
        (id_, Record::Printer(printer))
    });
    edited(plan, &Edit::Put(records.collect()))
}

/// Printers on a UPS keep the UPS's voltage, and a supply of one voltage has no higher one.
#[test]
fn where_the_higher_voltage_gains_nothing_it_says_so() {
    let answer = ask(&room(20.0, Some(4), true), 1, Question::HigherVoltage);
    // They are plugged into nothing, but their UPS take them; once wired, they hang there.
    assert!(answer.before.is_none(), "{:?}", answer.words);
    let wired = aislewright::wiring::wire(&layout(&room(20.0, Some(4), true), 1), STEPS, &|| false);
    let plan = room(20.0, Some(4), true);
    let hung = edited(&plan, &wired.edit(&layout(&plan, 1)).unwrap());
    let hung = ask(&hung, 1, Question::HigherVoltage);
    assert!(hung.before.is_none() && hung.edit.is_none());
    assert!(
        hung.words[0].starts_with("Nothing changes:"),
        "{:?}",
        hung.words
    );
    assert!(answer.edit.is_none());
    let mut head = plan.head().clone();
    head.system = aislewright::plan::System::Single230;
    let single = edited(&plan, &Edit::SetHead(Box::new(head)));
    let answer = ask(&single, 1, Question::HigherVoltage);
    assert_eq!(
        answer.words,
        [
            "A supply of 230 V single phase has no higher voltage for one machine: there is nothing to gain."
        ]
    );
}

/// Asking changes no plan; what is taken over leaves a whole one that can be undone by its one step.
#[test]
fn a_question_changes_nothing() {
    let read = |text: &str| {
        let opened = aislewright::storage::plan_of(library(), "demo", text.as_bytes());
        Arc::new(opened.unwrap_or_else(|why| panic!("{why}")).plan)
    };
    let cellar = read(include_str!("../demo-data/press-cellar.plan.ron"));
    for (plan, phase) in [
        (example(), 1),
        (example(), 3),
        (cellar, 3),
        (room(10.0, Some(4), true), 1),
        (straight(&room(10.0, None, false)), 1),
    ] {
        let before = (*plan).clone();
        for question in Question::ALL {
            let answer = ask(&plan, phase, question);
            assert_eq!(*plan, before, "{question:?}");
            assert!(!answer.words.is_empty());
            if let Some(edit) = answer.edit {
                let after = edited(&plan, &edit);
                assert_ne!(*after, before);
                assert!(after.audit(&library().stock).is_empty());
                // It is as it was told.
                let told = answer.after.unwrap();
                let layout = layout(&after, phase);
                let powered = layout.printers().count() - layout.power().unpowered.len();
                assert_eq!(
                    (powered, layout.power().supplies.len()),
                    (told.powered, told.supplies)
                );
                assert_eq!(Findings::of(&layout).stops(), told.stops);
            }
        }
    }
}

#[test]
fn the_command_says_the_same() {
    let plan = "demo-data/bottling-room.plan.ron";
    let before = std::fs::read(plan).unwrap();
    let run = |more: &[&str]| {
        let program = env!("CARGO_BIN_EXE_aislewright");
        Command::new(program)
            .args(["wire", plan, "--what-if"])
            .args(more)
            .output()
            .unwrap()
    };
    let ran = run(&["--json"]);
    assert_eq!(ran.status.code(), Some(0));
    let json: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    let rows = json["what_if"].as_array().unwrap();
    assert_eq!(rows.len(), 3);
    let answer = ask(&example(), 3, Question::OneCircuit);
    let (was, is) = both(&answer);
    assert_eq!(rows[1]["before"]["powered"], was.powered);
    assert_eq!(rows[1]["after"]["powered"], is.powered);
    assert_eq!(
        std::fs::read(plan).unwrap(),
        before,
        "the file is as it was"
    );
    let words = String::from_utf8(run(&[]).stdout).unwrap();
    for said in &answer.words {
        assert!(words.contains(said), "{said}");
    }
    assert_eq!(
        run(&["-o", "never.ron"]).status.code(),
        Some(2),
        "nothing to write"
    );
}
