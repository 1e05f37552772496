//! Ceilings against pencil sums: those of the example, and of rooms with one circuit or one UPS.
//!
//! An open printer of 220 mm takes 120 W running and 300 W at the peak, power factor 0.95: 126.32 VA and 315.79 VA. A breaker
//! may be taken for 80 % of its rating for hours (NEC 210.20(A)), a UPS for 80 % (common practice, no source).

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::fill::Headroom;
use aislewright::plan::{
    Circuit, Edit, Head, Heat, Item, OwnKind, Phase, PhaseNo, Plan, Pose, Presence, Record, Room,
    Ups, UpsPlace,
};
use aislewright::stock::{CoolingKind, FigureOrigin, KindId, PrinterKind, UpsKind};
use aislewright::units::{Amps, Angle, Length, Ratio, Volts, Watts};
use common::{edited, example, id, judged, library, printers_of, rack_at};

fn allows(plan: &Arc<Plan>, phase: u8, limit: &str) -> Option<u32> {
    let (layout, _) = judged(plan, phase);
    Headroom::of(&layout).ceiling(limit).and_then(|c| c.allows)
}

#[test]
fn each_limit_alone_allows_so_many() {
    let plan = example();
    // Two full racks of nine slots in phase 1.
    assert_eq!(allows(&plan, 1, "slots"), Some(18));
    // A 20 A circuit at 120 V: running 0.8 * 2400 / (120 / 0.95) = 15.2, at the peak 2400 / (300 / 0.95) = 7.6: 7 a
    // circuit. Two circuits in phase 1, nine in phase 3.
    assert_eq!(allows(&plan, 1, "circuits"), Some(14));
    assert_eq!(allows(&plan, 3, "circuits"), Some(63));
    // A UPS of 900 W: 0.8 * 900 / 120 = 6, 900 / 300 = 3 at the peak, 5 receptacles: 3. Four in phase 1, 17 in phase 3.
    assert_eq!(allows(&plan, 1, "ups"), Some(12));
    assert_eq!(allows(&plan, 3, "ups"), Some(51));
}

/// The unit takes 5212.19 W, everything but printers 1545.94 W (see the example's sum in `checks_example`); an open printer behind a
/// UPS of 0.92 is 97.6 / 0.92 = 106.09 W: 3666.26 / 106.09 = 34.6. The same in every phase: neither room nor unit changes.
#[test]
fn the_cooling_unit_carries_so_many() {
    let plan = example();
    for phase in [1, 3] {
        assert_eq!(allows(&plan, phase, "cooling"), Some(34), "phase {phase}");
    }
    let name = kind("wall-24k");
    let own = |change: &dyn Fn(&mut CoolingKind)| {
        let mut unit = plan.kinds().cooling[&name].clone();
        change(&mut unit);
        edited(
            &plan,
            &Edit::PutKind(name.clone(), Box::new(OwnKind::Cooling(unit))),
        )
    };
    // Half the capacity: (2606.10 - 1545.94) / 106.09 = 9.99; a tenth does not carry the rest of the room.
    let small = own(&|k| k.capacity = Watts::new(3517.0).ok());
    assert_eq!(allows(&small, 3, "cooling"), Some(9));
    let tiny = own(&|k| k.capacity = Watts::new(703.0).ok());
    assert_eq!(allows(&tiny, 3, "cooling"), Some(0));
    // A guess is said, and bounds nothing; a figure that is missing is named.
    for (gone, words) in [
        (
            own(&|k| k.figures = FigureOrigin::Guess),
            "a guess; by that, 34",
        ),
        (own(&|k| k.sensible_share = None), "sensible share of A1"),
        (own(&|k| k.hot_day_share = None), "hottest day of A1"),
        (
            edited(
                &plan,
                &Edit::SetHeat(Box::new(Heat {
                    lights: None,
                    ..plan.heat().clone()
                })),
            ),
            "lights is not entered",
        ),
        (with_printer(&plan, |k| k.standby = None), "power figure"),
        (
            edited(&plan, &Edit::Remove(vec![id("A1")])),
            "no cooling unit",
        ),
    ] {
        assert_eq!(allows(&gone, 3, "cooling"), None, "{words}");
        let (layout, _) = judged(&gone, 3);
        let basis = Headroom::of(&layout)
            .ceiling("cooling")
            .map(|c| c.basis.clone());
        assert!(
            basis.as_ref().is_some_and(|b| b.contains(words)),
            "{basis:?}"
        );
    }
}

#[test]
fn what_is_not_judged_or_not_entered_is_unknown() {
    let plan = example();
    assert_eq!(allows(&plan, 3, "floor"), None);
    let room = Room::rectangle(
        Length::from_feet(12),
        Length::from_feet(20),
        Length::from_feet(9),
        Length::from_inches(6),
    );
    let empty = Arc::new(Plan::new(Head::default(), room));
    for limit in ["circuits", "supply", "ups", "cooling"] {
        assert_eq!(allows(&empty, 1, limit), None, "nobody entered a {limit}");
    }
    assert_eq!(allows(&empty, 1, "slots"), Some(0), "no rack, no slot");
}

/// A figure's name, and what takes it away.
type Gap<Kind> = (&'static str, fn(&mut Kind));

fn kind(name: &str) -> KindId {
    KindId::new(name).expect("a kind's name")
}

/// An empty room whose ceilings are counted in that kind of printer, if any.
fn bare(leading: Option<&str>) -> Arc<Plan> {
    let room = Room::rectangle(
        Length::from_feet(12),
        Length::from_feet(20),
        Length::from_feet(9),
        Length::from_inches(6),
    );
    let head = Head {
        leading: leading.map(kind),
        ..Head::default()
    };
    Arc::new(Plan::new(head, room))
}

fn with_circuit(
    plan: &Plan,
    mark: &str,
    amperes: f64,
    volts: f64,
    presence: Presence,
) -> Arc<Plan> {
    let circuit = Circuit {
        breaker: Amps::new(amperes).expect("a rating"),
        volts: Volts::new(volts).expect("a voltage"),
        panel: None,
        presence,
        built: aislewright::plan::CircuitBuild::default(),
    };
    edited(plan, &Edit::Put(vec![(id(mark), Record::Circuit(circuit))]))
}

fn with_ups(plan: &Plan, mark: &str, name: &str) -> Arc<Plan> {
    let at = Pose {
        x: Length::from_feet(3),
        y: Length::from_feet(3),
        turn: Angle::ZERO,
    };
    let ups = Item::Ups(Ups {
        kind: kind(name),
        stands: UpsPlace::OnFloor(at),
        outlet: None,
        presence: Presence::default(),
    });
    edited(
        plan,
        &Edit::Put(vec![(id(mark), Record::Item(Box::new(ups)))]),
    )
}

/// The plan with its own figures for the open printer.
fn with_printer(plan: &Plan, change: impl FnOnce(&mut PrinterKind)) -> Arc<Plan> {
    let name = kind("open-220");
    let mut own = library().stock.printers[&name].clone();
    change(&mut own);
    edited(plan, &Edit::PutKind(name, Box::new(OwnKind::Printer(own))))
}

/// The plan with its own figures for the UPS of 900 W.
fn with_supply(plan: &Plan, change: impl FnOnce(&mut UpsKind)) -> Arc<Plan> {
    let name = kind("ups-900");
    let mut own = library().stock.ups[&name].clone();
    change(&mut own);
    edited(plan, &Edit::PutKind(name, Box::new(OwnKind::Ups(own))))
}

#[test]
fn one_circuit_carries_the_lesser_of_running_and_peak() {
    // A, V, printer, printers. Peak volt-amperes: open-220 315.79, cased-256 350 / 0.95 = 368.42, open-300 400 / 0.95 = 421.05.
    let cases = [
        // Running 0.8 * 2400 / 126.32 = 15.2, at the peak 2400 / 315.79 = 7.6.
        (20.0, 120.0, "open-220", 7),
        // 1800 / 315.79 = 5.7.
        (15.0, 120.0, "open-220", 5),
        // 16 * 230 = 3680; 3680 / 315.79 = 11.65.
        (16.0, 230.0, "open-220", 11),
        // 2400 / 368.42 = 6.51; 2400 / 421.05 = 5.7.
        (20.0, 120.0, "cased-256", 6),
        (20.0, 120.0, "open-300", 5),
        // 1 * 120 = 120: not even one.
        (1.0, 120.0, "open-220", 0),
    ];
    for (amperes, volts, printer, expected) in cases {
        let plan = with_circuit(
            &bare(Some(printer)),
            "C1",
            amperes,
            volts,
            Presence::default(),
        );
        let found = allows(&plan, 1, "circuits");
        assert_eq!(found, Some(expected), "{amperes} A, {volts} V, {printer}");
    }
    // Where the peak is hardly above the mean the long load binds: 150 W at the peak 2400 / 157.89 = 15.2, 140 W
    // running 1920 / 147.37 = 13.03.
    let plan = with_circuit(
        &bare(Some("open-220")),
        "C1",
        20.0,
        120.0,
        Presence::default(),
    );
    let steady = with_printer(&plan, |k| {
        k.peak = Watts::new(150.0).ok();
        k.running = Watts::new(140.0).ok();
    });
    assert_eq!(allows(&steady, 1, "circuits"), Some(13));
}

#[test]
fn circuits_are_counted_one_by_one_and_by_phase() {
    let plan = with_circuit(
        &bare(Some("open-220")),
        "C1",
        20.0,
        120.0,
        Presence::default(),
    );
    // 7.6 and 7.6 are 7 and 7, not 15: no printer hangs on two circuits.
    let two = with_circuit(&plan, "C2", 20.0, 120.0, Presence::default());
    assert_eq!(allows(&two, 1, "circuits"), Some(14));
    // One that comes in phase 2 carries nothing before.
    let phases = edited(&plan, &Edit::SetPhases(vec![Phase::default(); 2]));
    let later = Presence::new_in(PhaseNo(2));
    let later = with_circuit(&phases, "C2", 20.0, 120.0, later);
    assert_eq!(allows(&later, 1, "circuits"), Some(7));
    assert_eq!(allows(&later, 2, "circuits"), Some(14));
}

#[test]
fn one_ups_carries_what_its_tightest_figure_allows() {
    let bare = bare(Some("open-220"));
    // 900 W: 900 / 300 = 3 at the peak; 0.8 * 900 / 120 = 6; 1500 / 315.79 = 4.75; 0.8 * 1500 / 126.32 = 9.5; 5 receptacles.
    let small = with_ups(&bare, "U1", "ups-900");
    assert_eq!(allows(&small, 1, "ups"), Some(3));
    // 1350 W: 1350 / 300 = 4.5, 1500 / 315.79 = 4.75, 6 receptacles.
    let large = with_ups(&bare, "U1", "ups-1350");
    assert_eq!(allows(&large, 1, "ups"), Some(4));
    // Both: 3 + 4.
    assert_eq!(
        allows(&with_ups(&small, "U2", "ups-1350"), 1, "ups"),
        Some(7)
    );
    // With two receptacles, two.
    let few = with_supply(&small, |k| k.receptacles = 2);
    assert_eq!(allows(&few, 1, "ups"), Some(2));
    // Apparent power binds too: at a power factor of 0.5 the peak is 600 VA, and 1500 / 600 = 2.5.
    let lagging = with_printer(&small, |k| k.power_factor = Ratio::new(0.5).ok());
    assert_eq!(allows(&lagging, 1, "ups"), Some(2));
}

#[test]
fn ups_bound_nothing_where_printers_do_without() {
    // Phase 1 of the example: four UPS of three printers each, as one of 900 W bears three of 300 W at their peak.
    let plan = example();
    assert_eq!(allows(&plan, 1, "ups"), Some(12));
    let printer = plan.printers().get(id("P001")).cloned();
    let mut printer = printer.expect("a printer of the example");
    printer.power = Some(id("O1"));
    let record = Record::Printer(printer);
    let straight = edited(&plan, &Edit::Put(vec![(id("P001"), record)]));
    assert_eq!(allows(&straight, 1, "ups"), None);
}

#[test]
fn a_missing_figure_makes_unknown_never_a_number() {
    let plan = with_circuit(
        &bare(Some("open-220")),
        "C1",
        20.0,
        120.0,
        Presence::default(),
    );
    let plan = with_ups(&plan, "U1", "ups-900");
    assert_eq!(allows(&plan, 1, "circuits"), Some(7));
    assert_eq!(allows(&plan, 1, "ups"), Some(3));
    let gaps: [Gap<PrinterKind>; 3] = [
        ("peak", |k| k.peak = None),
        ("running", |k| k.running = None),
        ("power factor", |k| k.power_factor = None),
    ];
    for (what, gap) in gaps {
        let gone = with_printer(&plan, gap);
        assert_eq!(allows(&gone, 1, "circuits"), None, "without {what}");
        assert_eq!(allows(&gone, 1, "ups"), None, "without {what}");
    }
    let gaps: [Gap<UpsKind>; 2] = [
        ("watts", |k| k.watts = None),
        ("volt-amperes", |k| k.volt_amperes = None),
    ];
    for (what, gap) in gaps {
        let gone = with_supply(&plan, gap);
        assert_eq!(allows(&gone, 1, "ups"), None, "without {what}");
        assert_eq!(
            allows(&gone, 1, "circuits"),
            Some(7),
            "a UPS's {what} is no matter here"
        );
        // A known one beside it does not make the sum known.
        let both = with_ups(&gone, "U2", "ups-1350");
        assert_eq!(allows(&both, 1, "ups"), None, "one without {what}");
        let (layout, _) = judged(&gone, 1);
        let headroom = Headroom::of(&layout);
        let ceiling = headroom.ceiling("ups").expect("it is listed");
        assert!(ceiling.basis.contains("missing"), "{}", ceiling.basis);
    }
}

#[test]
fn ceilings_are_counted_in_the_leading_kind() {
    // None named and none placed: no kind to count in.
    let plan = with_circuit(&bare(None), "C1", 20.0, 120.0, Presence::default());
    assert_eq!(allows(&plan, 1, "circuits"), None);
    // Six open printers placed on a short rack, so they are the commonest.
    let rack = Record::Item(Box::new(rack_at("short-48", 900, 2000, 0.0)));
    let plan = edited(&plan, &Edit::Put(vec![(id("R1"), rack)]));
    let plan = edited(&plan, &Edit::Put(printers_of(&plan, id("R1"), 3, 2)));
    let (layout, _) = judged(&plan, 1);
    let headroom = Headroom::of(&layout);
    assert_eq!(headroom.leading, Some(kind("open-220")));
    assert_eq!((headroom.placed, headroom.slots), (6, 6));
    assert_eq!(allows(&plan, 1, "circuits"), Some(7));
    // Named, another kind goes before the commonest: 2400 / 421.05 = 5.7.
    let head = Head {
        leading: Some(kind("open-300")),
        ..plan.head().clone()
    };
    let named = edited(&plan, &Edit::SetHead(Box::new(head)));
    assert_eq!(allows(&named, 1, "circuits"), Some(5));
}
