//! Hanging a rack, a printer or a UPS on another circuit: by pencil in a small room, and laws that hold in the example.
//!
//! The room is 144 in by 120 in. R1, a full rack, stands at the north wall (wall 2) from 36 in to 108 in, with printers P1 to P3 on its
//! lowest level. O1 of circuit C01 and O2 of C02 are behind it, O3 of C03 is on the south wall, all 18 in up. Printers run at 120 W and
//! heat at 300 W with a power factor of 1; their cords are 72 in long.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::layout::Layout;
use aislewright::plan::{
    Circuit, CircuitBuild, Edit, Head, Id, Item, Outlet, OwnKind, PhaseNo, Plan, Pose, Presence,
    Printer, Record, Room, SlotRef, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::KindId;
use aislewright::units::{Amps, Ratio, Volts};
use aislewright::wiring::rehang::{CannotHang, rehang};
use common::{edited, example, id, inches, library, put, rack_at};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn with_circuit(plan: &Plan, mark: &str, breaker: f64, volts: f64) -> Arc<Plan> {
    let circuit = Circuit {
        breaker: Amps::fixed(breaker),
        volts: Volts::fixed(volts),
        panel: None,
        built: CircuitBuild::default(),
        presence: Presence::default(),
    };
    edited(plan, &Edit::Put(vec![(id(mark), Record::Circuit(circuit))]))
}

fn with_outlet(
    plan: &Plan,
    mark: &str,
    (wall, along): (u16, i32),
    circuit: &str,
    receptacles: u8,
) -> Arc<Plan> {
    let outlet = Outlet {
        at: WallPlace::new(wall, inches(along)),
        height: inches(18),
        receptacles,
        receptacle: None,
        circuit: Some(id(circuit)),
        presence: Presence::default(),
    };
    put(plan, mark, Item::Outlet(outlet))
}

/// All three printers on what is named.
fn plugged_into(plan: &Plan, power: &str) -> Arc<Plan> {
    let records = (1..=3_u8).map(|place| {
        let printer = Printer {
            kind: kind("open-220"),
            slot: SlotRef {
                rack: id("R1"),
                level: 1,
                place,
            },
            power: Some(id(power)),
            prints: None,
            presence: Presence::default(),
        };
        let mark = Id::new(Plan::PRINTER, u32::from(place));
        (mark, Record::Printer(printer))
    });
    edited(plan, &Edit::Put(records.collect()))
}

fn room() -> Arc<Plan> {
    let room = Room::rectangle(inches(144), inches(120), inches(108), inches(6));
    let mut plan = Arc::new(Plan::new(Head::default(), room));
    for circuit in ["C01", "C02", "C03"] {
        plan = with_circuit(&plan, circuit, 20.0, 120.0);
    }
    let plan = with_outlet(&plan, "O1", (2, 66), "C01", 4);
    let plan = with_outlet(&plan, "O2", (2, 78), "C02", 4);
    let plan = with_outlet(&plan, "O3", (0, 72), "C03", 4);
    let mut own = library().stock.printers[&kind("open-220")].clone();
    own.power_factor = Some(Ratio::fixed(1.0));
    let own = Edit::PutKind(kind("open-220"), Box::new(OwnKind::Printer(own)));
    let plan = edited(&plan, &own);
    let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
        x: inches(36),
        y: inches(94),
        ..Default::default()
    });
    plugged_into(&put(&plan, "R1", rack), "O1")
}

fn with_ups(plan: &Plan) -> Arc<Plan> {
    let ups = Ups {
        kind: kind("ups-900"),
        stands: UpsPlace::OnRack(id("R1")),
        outlet: Some(id("O1")),
        presence: Presence::default(),
    };
    plugged_into(&put(plan, "U1", Item::Ups(ups)), "U1")
}

fn layout(plan: &Arc<Plan>) -> Layout {
    Layout::of(library(), plan, PhaseNo(1))
}

fn refusal(plan: &Arc<Plan>, thing: &str, circuit: &str) -> CannotHang {
    rehang(&layout(plan), &[id(thing)], id(circuit)).unwrap_err()
}

/// Three printers on a circuit of 20 A at 120 V: 360 VA of 0.8 x 2400 VA running (18.75 %; NEC 210.20(A)), 900 VA of 2400 VA at the
/// peak (37.5 %).
#[test]
fn a_rack_without_a_ups_is_hung_plug_by_plug() {
    let plan = room();
    let hung = rehang(&layout(&plan), &[id("R1")], id("C02")).unwrap();
    assert!((hung.running_share.unwrap() - 0.1875).abs() < 1e-9);
    assert!((hung.peak_share.unwrap() - 0.375).abs() < 1e-9);
    assert_eq!(
        hung.words(id("C02")),
        "takes it: 19 % running, 38 % at the peak"
    );
    let after = edited(&plan, &hung.edit);
    for place in 1..=3 {
        let printer = after.printers().get(Id::new(Plan::PRINTER, place));
        assert_eq!(printer.unwrap().power, Some(id("O2")));
    }
    assert_eq!(
        rehang(&layout(&after), &[id("R1")], id("C02")),
        Err(CannotHang::HangsThere(id("R1"), id("C02")))
    );
}

/// A breaker of 5 A: 360 of 480 VA running, 900 of 600 VA at the peak.
#[test]
fn too_much_is_told_and_done() {
    let plan = with_circuit(&room(), "C02", 5.0, 120.0);
    let hung = rehang(&layout(&plan), &[id("R1")], id("C02")).unwrap();
    assert!(hung.is_over());
    assert_eq!(hung.words(id("C02")), "C02 would be at 150 % of its limit");
    assert_eq!(hung.plugs.len(), 3);
}

#[test]
fn a_ups_behind_which_nothing_else_hangs_goes_as_it_is() {
    let plan = with_ups(&room());
    for thing in ["R1", "U1"] {
        let hung = rehang(&layout(&plan), &[id(thing)], id("C02")).unwrap();
        assert_eq!(hung.plugs, [(id("U1"), id("O2"))], "{thing}");
        let after = edited(&plan, &hung.edit);
        let printer = after.printers().get(Id::new(Plan::PRINTER, 1)).unwrap();
        assert_eq!(printer.power, Some(id("U1")));
    }
}

#[test]
fn a_printer_that_shares_its_ups_gets_its_own_plug() {
    let plan = with_ups(&room());
    let first = Id::new(Plan::PRINTER, 1);
    let hung = rehang(&layout(&plan), &[first], id("C02")).unwrap();
    assert_eq!(hung.plugs, [(first, id("O2"))]);
    let after = layout(&edited(&plan, &hung.edit));
    assert_eq!(after.power().circuits[&id("C02")].printers, [first]);
    assert_eq!(after.power().circuits[&id("C01")].printers.len(), 2);
}

#[test]
fn what_cannot_be_hung_is_refused_in_words() {
    let plan = room();
    // O3 lies across the room, 118 in from the rack's back.
    let far = refusal(&plan, "R1", "C03");
    assert!(matches!(far, CannotHang::OutOfReach(_, circuit) if circuit == id("C03")));
    assert!(
        far.to_string()
            .starts_with("no outlet of C03 within the cord of P")
    );
    assert_eq!(
        refusal(&plan, "R1", "C09"),
        CannotHang::NoCircuit(id("C09"))
    );
    assert_eq!(
        refusal(&plan, "O1", "C02"),
        CannotHang::NothingThere(id("O1"))
    );
    let full = with_outlet(&plan, "O2", (2, 78), "C02", 2);
    assert_eq!(
        refusal(&full, "R1", "C02"),
        CannotHang::NoReceptacle(id("C02"), 3)
    );
    let without = with_outlet(&plan, "O2", (2, 78), "C01", 4);
    assert_eq!(
        refusal(&without, "R1", "C02"),
        CannotHang::NoOutlet(id("C02"))
    );
    let higher = with_circuit(&plan, "C02", 20.0, 240.0);
    assert!(matches!(
        refusal(&higher, "R1", "C02"),
        CannotHang::OtherVolts(..)
    ));
}

/// One box of two receptacles and one of one: all three plugs find a seat, whichever comes first.
#[test]
fn plugs_are_spread_over_the_boxes_of_a_circuit() {
    let plan = with_outlet(&room(), "O2", (2, 78), "C02", 2);
    let plan = with_outlet(&plan, "O4", (2, 90), "C02", 1);
    let hung = rehang(&layout(&plan), &[id("R1")], id("C02")).unwrap();
    let at = |outlet: &str| hung.plugs.iter().filter(|(_, o)| *o == id(outlet)).count();
    assert_eq!((at("O2"), at("O4")), (2, 1));
}

/// Every rack, UPS and printer of the example on every circuit of every phase: on the circuit hangs afterwards what hung there and what
/// was meant, and every other printer hangs as it did.
#[test]
fn nothing_else_is_touched() {
    let plan = example();
    // Boxes with room to spare, so that more than a few can be hung elsewhere.
    let boxes = plan.items().iter().filter_map(|(id, item)| {
        let mut item = item.clone();
        let Item::Outlet(outlet) = &mut item else {
            return None;
        };
        outlet.receptacles = 12;
        Some((id, Record::Item(Box::new(item))))
    });
    let plan = edited(&plan, &Edit::Put(boxes.collect()));
    let (mut done, mut refused) = (0, 0);
    for phase in 1..=3 {
        let before = Layout::of(library(), &plan, PhaseNo(phase));
        let on_rack = |rack: Id| {
            let slots = before
                .printers()
                .filter(move |(slot, _)| slot.name.rack == rack);
            slots.map(|(_, placed)| placed.id).collect::<BTreeSet<Id>>()
        };
        let racks = before.parts().filter(|part| part.rack.is_some());
        let racks = racks.map(|part| (part.id, on_rack(part.id)));
        let supplies = before.power().supplies.iter();
        let supplies = supplies.map(|(id, ups)| (*id, ups.printers.iter().copied().collect()));
        let single = before.printers().step_by(4);
        let single = single.map(|(_, placed)| (placed.id, BTreeSet::from([placed.id])));
        for (thing, meant) in racks.chain(supplies).chain(single) {
            for (circuit, load) in &before.power().circuits {
                let Ok(hung) = rehang(&before, &[thing], *circuit) else {
                    refused += 1;
                    continue;
                };
                done += 1;
                let after = edited(&plan, &hung.edit);
                let after = Layout::of(library(), &after, PhaseNo(phase));
                let expected: BTreeSet<Id> = load.printers.iter().chain(&meant).copied().collect();
                let now: BTreeSet<Id> = after.power().circuits[circuit]
                    .printers
                    .iter()
                    .copied()
                    .collect();
                assert_eq!(now, expected, "{thing} on {circuit} in phase {phase}");
                for (other, was) in &before.power().circuits {
                    let left: Vec<Id> = after.power().circuits[other].printers.clone();
                    let stay = was.printers.iter().filter(|p| !meant.contains(p));
                    assert!(
                        stay.into_iter().all(|p| left.contains(p)),
                        "{thing} on {circuit}"
                    );
                }
                for (printer, was) in plan.printers().iter().filter(|(p, _)| !meant.contains(p)) {
                    let power = after.plan().printers().get(printer).map(|p| p.power);
                    assert_eq!(power, Some(was.power), "{printer}");
                }
                let carries = &after.power().circuits[circuit];
                let allowed = plan.circuits().get(*circuit).unwrap().breaker.value();
                if let (Some(share), Some(amperes)) = (hung.peak_share, carries.peak_a.whole()) {
                    // NEC 210.20(A): a load of minutes may reach the rating.
                    assert!(
                        (share - amperes / allowed).abs() < 1e-9,
                        "{share}, {amperes} A"
                    );
                }
            }
        }
    }
    assert!(done > 20 && refused > 20, "{done} done, {refused} refused");
}
