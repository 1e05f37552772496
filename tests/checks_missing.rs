//! What the checks say while figures are missing, just at a limit and just over it, in a small room of pencil sums.
//!
//! The room is 144 in by 120 in. R1, a full rack of 72 by 24 in, stands with its back 2 in off the north wall, its middle at
//! 72 in; O1 is on the north wall behind its middle, 18 in up, on C01 of 20 A at 120 V.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::plan::{
    Beyond, Blow, Circuit, Column, CoolingUnit, Door, Edit, Head, Heat, Hinge, Item, LimitChange,
    LimitChanges, OutdoorAir, Outlet, Outline, OwnKind, Panel, Phase, PhaseNo, Plan, Pose,
    Presence, Printer, Record, Room, Side, SlotRef, Swing, Ups, UpsPlace, WallPlace,
};
use aislewright::plan::{Id, Label};
use aislewright::stock::{
    BoardKind, CoolingKind, KindId, LevelKind, PrinterKind, RackKind, Support, UpsKind,
};
use aislewright::units::{
    Amps, Angle, Celsius, CubicMetresPerHour, Kilograms, Length, MetresPerSecond, PerHour, Ratio,
    VoltAmps, Volts, Watts,
};
use common::{edited, id, inches, is, judged, library, rack_at, that_says};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn on_wall(wall: u16, along: i32) -> WallPlace {
    WallPlace::new(wall, inches(along))
}

fn put(plan: &Plan, mark: &str, item: Item) -> Arc<Plan> {
    edited(
        plan,
        &Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]),
    )
}

fn outlet(wall: u16, along: i32) -> Item {
    Item::Outlet(Outlet {
        at: on_wall(wall, along),
        height: inches(18),
        receptacles: 4,
        circuit: Some(id("C01")),
        presence: Presence::default(),
        receptacle: None,
    })
}

/// The room with R1, O1 and C01.
fn room() -> Arc<Plan> {
    let room = Room::rectangle(inches(144), inches(120), inches(108), inches(6));
    let circuit = Circuit {
        breaker: Amps::fixed(20.0),
        volts: Volts::fixed(120.0),
        panel: None,
        presence: Presence::default(),
        built: aislewright::plan::CircuitBuild::default(),
    };
    let plan = edited(
        &Plan::new(Head::default(), room),
        &Edit::Put(vec![(id("C01"), Record::Circuit(circuit))]),
    );
    let plan = put(&plan, "O1", outlet(2, 72));
    let rack = rack_at("full-72", 0, 0, 0.0).with_pose(Pose {
        x: inches(36),
        y: inches(94),
        ..Default::default()
    });
    put(&plan, "R1", rack)
}

/// A kind of the plan's own: the usual open printer with something changed.
fn own_printer(plan: &Plan, name: &str, change: impl Fn(&mut PrinterKind)) -> Arc<Plan> {
    let mut own = library().stock.printers[&kind("open-220")].clone();
    change(&mut own);
    edited(
        plan,
        &Edit::PutKind(kind(name), Box::new(OwnKind::Printer(own))),
    )
}

fn own_ups(plan: &Plan, name: &str, change: impl Fn(&mut UpsKind)) -> Arc<Plan> {
    let mut own = library().stock.ups[&kind("ups-900")].clone();
    change(&mut own);
    edited(
        plan,
        &Edit::PutKind(kind(name), Box::new(OwnKind::Ups(own))),
    )
}

/// Printers P001, P002 ... in the slots of R1 from the lowest level on, three to a level.
fn with_printers(plan: &Plan, kinds: &[&str], power: Option<&str>) -> Arc<Plan> {
    let slots = (1..=3).flat_map(|level| {
        (1..=3).map(move |place| SlotRef {
            rack: id("R1"),
            level,
            place,
        })
    });
    let records = (1..)
        .zip(kinds.iter().zip(slots))
        .map(|(n, (name, slot))| {
            let printer = Printer {
                kind: kind(name),
                slot,
                power: power.map(id),
                prints: None,
                presence: Presence::default(),
            };
            (Id::new(Plan::PRINTER, n), Record::Printer(printer))
        })
        .collect();
    edited(plan, &Edit::Put(records))
}

fn with_ups(plan: &Plan, name: &str, outlet: Option<&str>) -> Arc<Plan> {
    let ups = Ups {
        kind: kind(name),
        stands: UpsPlace::OnRack(id("R1")),
        outlet: outlet.map(id),
        presence: Presence::default(),
    };
    put(plan, "U1", Item::Ups(ups))
}

fn of_check(plan: &Arc<Plan>, check: &str) -> Vec<Finding> {
    let (_, findings) = judged(plan, 1);
    let found = findings.of_check(check).iter();
    found.map(|f| f.as_ref().clone()).collect()
}

fn broken(plan: &Arc<Plan>, check: &str) -> Vec<String> {
    of_check(plan, check)
        .into_iter()
        .filter(|f| f.standing == Standing::Broken)
        .map(|f| f.text)
        .collect()
}

#[test]
fn a_circuit_with_missing_figures_is_unknown_unless_the_rest_is_too_much() {
    // Nine printers of 120 W: 9 * 120 / 0.95 / 120 = 9.474 A of 0.8 * 20 = 16 A.
    let nine = with_printers(&room(), &["open-220"; 9], Some("O1"));
    is(
        &that_says(&nine, "circuits", "running"),
        Standing::Met,
        Some(9.474),
        Some(16.0),
    );
    // One of them without a running figure: nobody can say.
    let unmetered = own_printer(&room(), "unmetered", |k| k.running = None);
    let mut kinds = ["open-220"; 9];
    kinds[4] = "unmetered";
    let plan = with_printers(&unmetered, &kinds, Some("O1"));
    let found = that_says(&plan, "circuits", "running");
    is(&found, Standing::Unknown, None, Some(16.0));
    // At the peak all figures are there: 9 * 300 / 0.95 / 120 = 23.684 A of 20 A.
    is(
        &that_says(&plan, "circuits", "at the peak"),
        Standing::Broken,
        Some(23.684),
        Some(20.0),
    );
    // Eight known peaks are too much by themselves: 8 * 300 / 0.95 / 120 = 21.053 A.
    let unmetered = own_printer(&room(), "unmetered", |k| k.peak = None);
    let plan = with_printers(&unmetered, &kinds, Some("O1"));
    is(
        &that_says(&plan, "circuits", "at the peak"),
        Standing::Broken,
        Some(21.053),
        Some(20.0),
    );
}

#[test]
fn just_the_breaker_is_enough_and_a_watt_more_is_not() {
    // 8 printers of 300 VA: 2400 / 120 = 20 A of 20 A; of 301 VA: 20.067 A.
    for (watts, standing, amperes) in [
        (300.0, Standing::Met, 20.0),
        (301.0, Standing::Broken, 20.067),
    ] {
        let plan = own_printer(&room(), "round", |k| {
            k.peak = Some(Watts::fixed(watts));
            k.power_factor = Some(Ratio::fixed(1.0));
        });
        let plan = with_printers(&plan, &["round"; 8], Some("O1"));
        is(
            &that_says(&plan, "circuits", "at the peak"),
            standing,
            Some(amperes),
            Some(20.0),
        );
    }
}

#[test]
fn plugs_and_printers_without_power_are_counted() {
    // Four receptacles: four plugs fit, the fifth does not (no power strips, OSHA 1910.303(b)(2)).
    let four = with_printers(&room(), &["open-220"; 4], Some("O1"));
    assert!(
        broken(&four, "circuits").is_empty(),
        "four plugs in four receptacles"
    );
    let five = with_printers(&room(), &["open-220"; 5], Some("O1"));
    let found = that_says(&five, "circuits", "receptacles");
    is(&found, Standing::Broken, Some(5.0), Some(4.0));
    assert_eq!(found.items, [id("O1")], "it points at the outlet");
    let none = with_printers(&room(), &["open-220"; 5], None);
    let found = that_says(&none, "circuits", "hang on no circuit");
    is(&found, Standing::Broken, Some(5.0), Some(0.0));
    assert_eq!(found.severity, Severity::MustFix);
    assert_eq!(found.items, [id("R1")], "it points at the rack");
}

#[test]
fn a_ups_without_a_rating_is_unknown_and_one_just_full_is_met() {
    let plan = own_ups(&room(), "unrated", |k| {
        k.watts = None;
        k.volt_amperes = None;
    });
    let plan = with_printers(
        &with_ups(&plan, "unrated", Some("O1")),
        &["open-220"; 2],
        Some("U1"),
    );
    let all = of_check(&plan, "ups");
    assert_eq!(all.len(), 4, "watts and volt-amperes, running and peak");
    for found in &all {
        is(found, Standing::Unknown, None, None);
    }
    // A rating of 750 VA: 0.8 * 750 = 600 VA running. Five printers of 120 W at a factor of 1: 600 VA, just met; of 121 W: 605.
    for (watts, standing) in [(120.0, Standing::Met), (121.0, Standing::Broken)] {
        let plan = own_ups(&room(), "seven", |k| {
            k.watts = Some(Watts::fixed(5000.0));
            k.volt_amperes = Some(VoltAmps::fixed(750.0));
        });
        let plan = own_printer(&plan, "round", |k| {
            k.running = Some(Watts::fixed(watts));
            k.peak = Some(Watts::fixed(watts));
            k.power_factor = Some(Ratio::fixed(1.0));
        });
        let plan = with_ups(&plan, "seven", Some("O1"));
        let plan = with_printers(&plan, &["round"; 5], Some("U1"));
        is(
            &that_says(&plan, "ups", "VA running"),
            standing,
            Some(5.0 * watts),
            Some(600.0),
        );
        // Five plugs in five receptacles.
        assert!(
            of_check(&plan, "ups")
                .iter()
                .all(|f| !f.text.contains("receptacles")),
            "five plugs in five receptacles"
        );
    }
}

#[test]
fn a_ups_plugged_into_nothing_is_broken() {
    let plan = with_printers(
        &with_ups(&room(), "ups-900", None),
        &["open-220"; 3],
        Some("U1"),
    );
    is(
        &that_says(&plan, "ups", "plugged into nothing"),
        Standing::Broken,
        Some(3.0),
        Some(0.0),
    );
    // An outlet that arrives a phase later is nothing to plug into yet.
    let plan = later_outlet(&with_ups(&room(), "ups-900", Some("O1")));
    let plan = with_printers(&plan, &["open-220"; 3], Some("U1"));
    is(
        &that_says(&plan, "ups", "not there in this phase"),
        Standing::Broken,
        Some(3.0),
        Some(0.0),
    );
}

/// O1 as it arrives in phase 2.
fn later_outlet(plan: &Plan) -> Arc<Plan> {
    let plan = edited(
        plan,
        &Edit::SetPhases(vec![Phase::default(), Phase::default()]),
    );
    let mut later = outlet(2, 72);
    *later.presence_mut() = Presence::new_in(PhaseNo(2));
    put(&plan, "O1", later)
}

#[test]
fn a_cord_of_unknown_length_hides_no_other() {
    // P001 at 49 in: 2 in to the wall, 23 in along it, 18 - 4 = 14 in up: 39 in; P002 in the middle 2 + 14 = 16 in = 406.4 mm.
    let plan = own_printer(&room(), "no-cord", |k| k.cord = None);
    let plan = own_printer(&plan, "stub", |k| k.cord = Some(inches(15)));
    let just = own_printer(&plan, "stub", |k| k.cord = Some(inches(16)));
    let both = with_printers(&plan, &["no-cord", "stub"], Some("O1"));
    is(
        &that_says(&both, "cords", "P002"),
        Standing::Broken,
        Some(406.4),
        Some(381.0),
    );
    is(
        &that_says(&both, "cords", "P001"),
        Standing::Unknown,
        Some(39.0 * 25.4),
        None,
    );
    let just = with_printers(&just, &["no-cord", "stub"], Some("O1"));
    assert!(broken(&just, "cords").is_empty(), "just long enough");
}

#[test]
fn a_cord_of_unknown_length_with_a_way_round_the_door_is_unknown() {
    let door = Door {
        at: on_wall(3, 20),
        width: inches(36),
        height: inches(80),
        clear: Some(inches(34)),
        hinge: Hinge::Near,
        swing: Swing::Out,
        way_out: true,
        presence: Presence::default(),
    };
    let plan = put(&room(), "D1", Item::Door(door));
    let plan = put(&plan, "O1", outlet(3, 90));
    // From 49 in on the north wall over the door: 2 + 49 + 90 + 14 = 155 in; the other way round the room
    // 2 + 95 + 120 + 144 + 30 + 14 = 405 in = 10287 mm.
    let unknown = own_printer(&plan, "cord", |k| k.cord = None);
    let unknown = with_printers(&unknown, &["cord"], Some("O1"));
    is(
        &that_says(&unknown, "cords", "P001"),
        Standing::Unknown,
        Some(10_287.0),
        None,
    );
    let long = own_printer(&plan, "cord", |k| k.cord = Some(inches(405)));
    let long = with_printers(&long, &["cord"], Some("O1"));
    is(
        &that_says(&long, "cords", "P001"),
        Standing::Met,
        Some(10_287.0),
        Some(10_287.0),
    );
    let short = own_printer(&plan, "cord", |k| k.cord = Some(inches(404)));
    let short = with_printers(&short, &["cord"], Some("O1"));
    let found = that_says(&short, "cords", "cross door D1");
    is(&found, Standing::Broken, Some(10_287.0), Some(404.0 * 25.4));
    assert_eq!(found.severity, Severity::MustFix);
}

#[test]
fn a_cord_to_what_is_not_there_yet_says_so() {
    let plan = with_printers(&later_outlet(&room()), &["open-220"], Some("O1"));
    let found = that_says(&plan, "cords", "P001");
    is(&found, Standing::Unknown, None, Some(72.0 * 25.4));
    assert!(
        found.text.contains("not there in this phase"),
        "{}",
        found.text
    );
}

#[test]
fn a_level_is_wide_enough_in_all_and_for_each() {
    // 69 in clear for three: 23 in = 584.2 mm each.
    let wide = |width: Length, count: usize| {
        let plan = own_printer(&room(), "wide", |k| k.width = width);
        with_printers(&plan, &vec!["wide"; count], Some("O1"))
    };
    assert!(
        broken(&wide(inches(23), 3), "shelf-opening").is_empty(),
        "three of 23 in fill 69 in"
    );
    // Three of 23.5 in: 70.5 in = 1790.7 mm of 69 in = 1752.6 mm.
    is(
        &that_says(
            &wide(Length::from_mm(596.9), 3),
            "shelf-opening",
            "together",
        ),
        Standing::Broken,
        Some(1790.7),
        Some(1752.6),
    );
    // One of 30 in, alone in the first place, stands 3.5 in into the post: 762 mm of 584.2 mm.
    is(
        &that_says(&wide(inches(30), 1), "shelf-opening", "wide"),
        Standing::Broken,
        Some(762.0),
        Some(584.2),
    );
}

#[test]
fn a_board_is_deep_enough_up_to_its_edge() {
    // 24 in = 609.6 mm deep.
    for (depth, sound) in [(inches(24), true), (inches(25), false)] {
        let plan = own_printer(&room(), "deep", |k| k.depth = depth);
        let plan = with_printers(&plan, &["deep"], Some("O1"));
        assert_eq!(
            broken(&plan, "shelf-opening").is_empty(),
            sound,
            "{depth:?} on a board of 24 in"
        );
    }
    let plan = own_printer(&room(), "deep", |k| k.depth = inches(25));
    let plan = with_printers(&plan, &["deep"], Some("O1"));
    is(
        &that_says(&plan, "shelf-opening", "deep"),
        Standing::Broken,
        Some(635.0),
        Some(609.6),
    );
}

#[test]
fn reach_says_nothing_of_places_nobody_entered() {
    let plan = own_printer(&room(), "no-spool", |k| {
        k.spool = None;
        // 4 + 12 in and more: neither too low nor too high.
        k.bed = Some(aislewright::stock::Touch {
            height: inches(12),
            depth: inches(9),
        });
        k.screen = k.bed;
    });
    let plan = with_printers(&plan, &["no-spool"; 2], Some("O1"));
    let all = of_check(&plan, "reach");
    assert_eq!(all.len(), 1, "{all:#?}");
    is(&all[0], Standing::Unknown, None, Some(1770.0));
}

#[test]
fn what_is_low_is_noted() {
    // Level 1 at 4 in: the screen of the usual printer is 3 in up: 7 in = 177.8 mm; ADA 2010 308: low reach 15 in = 381 mm.
    let plan = with_printers(&room(), &["open-220"; 3], Some("O1"));
    let found = that_says(&plan, "reach", "screen");
    is(&found, Standing::Broken, Some(177.8), Some(381.0));
    assert_eq!(found.severity, Severity::Note);
    // A touch point just 15 in up is well.
    let just = own_printer(&room(), "just", |k| {
        let touch = aislewright::stock::Touch {
            height: inches(11),
            depth: inches(0),
        };
        (k.bed, k.screen, k.spool) = (Some(touch), Some(touch), Some(touch));
    });
    let just = with_printers(&just, &["just"], Some("O1"));
    assert!(
        broken(&just, "reach").is_empty(),
        "15 in is not below 15 in"
    );
}

#[test]
fn the_worst_of_several_kinds_out_of_reach_is_named() {
    // Level 3 at 50 in. Spools 16 and 20 in up: 66 in = 1676.4 mm and 70 in = 1778 mm; both beyond 1526.963 mm, the height
    // reached 444.5 mm before the shoulder.
    let spool = |up: i32| {
        move |k: &mut PrinterKind| {
            k.spool = Some(aislewright::stock::Touch {
                height: inches(up),
                depth: inches(9),
            });
        }
    };
    let plan = own_printer(&room(), "lower", spool(16));
    let plan = own_printer(&plan, "higher", spool(20));
    let mut kinds = ["open-220"; 8];
    kinds[6] = "lower";
    kinds[7] = "higher";
    let plan = with_printers(&plan, &kinds, Some("O1"));
    let found = that_says(&plan, "reach", "spool");
    is(&found, Standing::Broken, Some(1778.0), Some(1526.963));
}

/// A cooling unit on the south wall that blows straight at R1, from 94 in away.
fn cooled(plan: &Plan, change: impl Fn(&mut CoolingKind)) -> Arc<Plan> {
    let mut own = library().stock.cooling[&kind("wall-24k")].clone();
    change(&mut own);
    let plan = edited(
        plan,
        &Edit::PutKind(kind("unit"), Box::new(OwnKind::Cooling(own))),
    );
    let unit = CoolingUnit {
        kind: kind("unit"),
        at: on_wall(0, 51),
        bottom: inches(84),
        blow: Blow::default(),
        presence: Presence::default(),
    };
    put(&plan, "A1", Item::Cooling(unit))
}

#[test]
fn a_jet_with_missing_figures_is_unknown() {
    let plan = with_printers(&room(), &["open-220"; 9], Some("O1"));
    for change in [
        |k: &mut CoolingKind| k.top_flow = None,
        |k: &mut CoolingKind| k.supply_below_room = None,
    ] {
        let all = of_check(&cooled(&plan, change), "throw");
        assert_eq!(all.len(), 1, "{all:#?}");
        is(&all[0], Standing::Unknown, None, Some(0.25));
        assert_eq!(all[0].items, [id("A1")], "it points at the unit");
        assert!(all[0].text.contains("not entered"), "{}", all[0].text);
    }
    // The figures are there, but an outlet of 36 in by 1/2 in, 72 : 1, is a slot, whose jet is another one.
    let slot = cooled(&plan, |k| k.outlet_height = Length::from_mm(12.7));
    let found = that_says(&slot, "throw", "A1");
    is(&found, Standing::Unknown, None, Some(0.25));
    assert!(!found.text.contains("not entered"), "{}", found.text);
    // A fan that blows nothing draws nothing.
    let still = cooled(&plan, |k| k.top_flow = Some(CubicMetresPerHour::fixed(0.0)));
    let found = that_says(&still, "throw", "A1");
    assert!(!found.text.contains("not entered"), "{}", found.text);
}

#[test]
fn each_kind_bears_its_own_draught_even_none_at_all() {
    let blown = cooled(
        &with_printers(&room(), &["open-220"; 9], Some("O1")),
        |_| {},
    );
    let usual = that_says(&blown, "throw", "R1");
    let air = usual.measured.unwrap_or(0.0);
    assert!(air > 0.25, "the jet meets the rack: {}", usual.text);
    assert_eq!(usual.standing, Standing::Broken, "{}", usual.text);
    // A kind that bears a little more than there is.
    let bearing = |speed: f64| {
        let plan = own_printer(&room(), "tough", |k| {
            k.draught = Some(MetresPerSecond::fixed(speed));
        });
        let plan = with_printers(&plan, &["tough"; 9], Some("O1"));
        that_says(&cooled(&plan, |_| {}), "throw", "R1")
    };
    is(
        &bearing(air + 0.01),
        Standing::Met,
        Some(air),
        Some(air + 0.01),
    );
    is(
        &bearing(air - 0.01),
        Standing::Broken,
        Some(air),
        Some(air - 0.01),
    );
    // One that bears none, by its own figure or by the plan's limit.
    is(&bearing(0.0), Standing::Broken, Some(air), Some(0.0));
    let none = LimitChanges {
        draught: Some(LimitChange {
            value: MetresPerSecond::fixed(0.0),
            reason: Label::new("none at all").unwrap(),
        }),
        ..LimitChanges::default()
    };
    let strict = edited(&blown, &Edit::SetLimits(Box::new(none)));
    is(
        &that_says(&strict, "throw", "R1"),
        Standing::Broken,
        Some(air),
        Some(0.0),
    );
}

/// All that is asked of the room's heat, and none of it: no air, no difference, nobody there.
fn still() -> Heat {
    let as_warm = Side {
        beyond: Some(Beyond::AsWarm),
        u: None,
    };
    Heat {
        duty: None,
        people: Some(0),
        lights: Some(Watts::ZERO),
        machines: Some(Watts::ZERO),
        indoors: Some(Celsius::fixed(25.0)),
        outdoors: Some(Celsius::fixed(35.0)),
        outdoor_air: Some(OutdoorAir::Changes(PerHour::fixed(0.0))),
        ceiling: as_warm,
        walls: (0..4).map(|k| (k, as_warm)).collect(),
    }
}

/// Three printers of 120 W in the still room, and a unit that takes so much.
fn balanced(takes_w: f64, heat: Heat) -> Arc<Plan> {
    let plan = with_printers(&room(), &["open-220"; 3], Some("O1"));
    let plan = cooled(&plan, |k| {
        k.capacity = Some(Watts::fixed(takes_w));
        k.sensible_share = Some(Ratio::fixed(1.0));
        k.hot_day_share = Some(Ratio::fixed(1.0));
    });
    edited(&plan, &Edit::SetHeat(Box::new(heat)))
}

#[test]
fn heat_is_held_against_what_a_unit_takes_just_to_the_watt() {
    // 3 × 120 = 360 W.
    is(
        &that_says(&balanced(360.0, still()), "cooling", "kW of it"),
        Standing::Met,
        Some(360.0),
        Some(360.0),
    );
    let over = that_says(&balanced(359.0, still()), "cooling", "kW of it");
    is(&over, Standing::Broken, Some(360.0), Some(359.0));
    assert_eq!(over.severity, Severity::Caution);
    // Nothing else carries heat out of a still room; one printer paused is 112 W less.
    for words in ["go on warming", "Pausing one printer would do: P001."] {
        assert!(over.text.contains(words), "{words}: {}", over.text);
    }
    // 9 W too little even with all three idling: 3 × 8 = 24 W.
    let far = that_says(&balanced(15.0, still()), "cooling", "kW of it");
    assert!(far.text.contains("alone would not do"), "{}", far.text);
}

#[test]
fn cooling_with_missing_figures_is_unknown_unless_the_known_part_is_too_much() {
    // No unit at all.
    let none = with_printers(&room(), &["open-220"; 3], Some("O1"));
    is(
        &that_says(&none, "cooling", "No cooling unit"),
        Standing::Unknown,
        None,
        None,
    );
    assert!(of_check(&room(), "cooling").is_empty(), "nothing to cool");
    // A unit of the stock, of which nobody entered the shares.
    let shares = edited(&cooled(&none, |_| {}), &Edit::SetHeat(Box::new(still())));
    let found = that_says(&shares, "cooling", "sensible share of A1");
    is(&found, Standing::Unknown, None, None);
    // Nothing said of the room: what is known is at least so much.
    let silent = balanced(5000.0, Heat::default());
    let found = that_says(&silent, "cooling", "kW of it");
    is(&found, Standing::Unknown, None, Some(5000.0));
    assert!(found.text.contains("at least 0.36 kW"), "{}", found.text);
    let found = that_says(&silent, "cooling", "warms when A1 stops is unknown");
    assert_eq!(found.severity, Severity::Note);
    is(&found, Standing::Unknown, None, None);
    // The printers alone are too much already, and what is missing can only add to them.
    let too_much = that_says(&balanced(300.0, Heat::default()), "cooling", "kW of it");
    is(&too_much, Standing::Broken, Some(360.0), Some(300.0));
    // Where it is cooler outdoors the missing may take it away: unknown again.
    let cool = Heat {
        outdoors: Some(Celsius::fixed(5.0)),
        outdoor_air: None,
        ..still()
    };
    let found = that_says(&balanced(300.0, cool), "cooling", "kW of it");
    is(&found, Standing::Unknown, None, Some(300.0));
    assert!(found.text.contains("about 0.36 kW"), "{}", found.text);
    // A printer without running watts.
    let plan = own_printer(&balanced(300.0, still()), "no-watts", |k| k.running = None);
    let plan = with_printers(&plan, &["no-watts"], Some("O1"));
    let found = that_says(&plan, "cooling", "kW of it");
    is(&found, Standing::Unknown, None, Some(300.0));
    assert!(
        found.text.contains("the running watts of no-watts"),
        "{}",
        found.text
    );
}

fn own_rack(plan: &Plan, change: impl Fn(&mut RackKind)) -> Arc<Plan> {
    let mut own = library().stock.racks[&kind("full-72")].clone();
    change(&mut own);
    edited(
        plan,
        &Edit::PutKind(kind("full-72"), Box::new(OwnKind::Rack(own))),
    )
}

/// The board of a level is of 1.7526 · 0.6096 · 0.018 m³ and 800 kg/m³: 15.384743 kg.
const BOARD_KG: f64 = 15.384_743;

#[test]
fn just_the_rating_of_a_level_or_rack_is_enough_and_more_is_not() {
    // Three printers of 9.5 kg on level 1: 28.5 kg and the board, 43.884743 kg.
    let three = with_printers(&room(), &["open-220"; 3], Some("O1"));
    for (rating, standing) in [(43.885, Standing::Met), (43.88, Standing::Broken)] {
        let plan = own_rack(&three, |k| k.level_rating = Some(Kilograms::fixed(rating)));
        let found = that_says(&plan, "shelf-load", "Level 1 of R1");
        is(&found, standing, Some(28.5 + BOARD_KG), Some(rating));
    }
    // With the boards of the empty levels 28.5 + 3 · 15.384743 = 74.654230 kg in all.
    for (rating, standing) in [(74.655, Standing::Met), (74.65, Standing::Broken)] {
        let plan = own_rack(&three, |k| k.rating = Some(Kilograms::fixed(rating)));
        let found = that_says(&plan, "shelf-load", "in all");
        is(&found, standing, Some(28.5 + 3.0 * BOARD_KG), Some(rating));
        assert_eq!(found.severity, Severity::MustFix);
    }
}

#[test]
fn a_load_with_missing_figures_is_unknown_unless_the_rest_is_too_much() {
    let plan = own_printer(&room(), "unweighed", |k| k.mass = None);
    let kinds = ["open-220", "unweighed", "open-220"];
    let plan = with_printers(&plan, &kinds, Some("O1"));
    for check in ["shelf-load", "sag"] {
        let found = that_says(&plan, check, "not entered: the mass of");
        is(&found, Standing::Unknown, None, None);
    }
    // Two printers and the board, 34.384743 kg, are too much for 30 kg by themselves.
    let weak = own_rack(&plan, |k| k.level_rating = Some(Kilograms::fixed(30.0)));
    let found = that_says(&weak, "shelf-load", "Level 1 of R1");
    is(&found, Standing::Broken, Some(19.0 + BOARD_KG), Some(30.0));
    // Every figure that a rack may lack is named.
    let three = with_printers(&room(), &["open-220"; 3], Some("O1"));
    let bare = own_rack(&three, |k| {
        (k.rating, k.level_rating, k.support) = (None, None, None);
    });
    let found = that_says(&bare, "shelf-load", "unknown");
    for words in [
        "the rating of Full rack",
        "the rating of a level",
        "rest on",
    ] {
        assert!(found.text.contains(words), "{words}: {}", found.text);
    }
    let found = that_says(&bare, "sag", "rest on");
    is(&found, Standing::Unknown, None, None);
    let plain = BoardKind {
        name: "Beech".to_owned(),
        thickness: Length::from_mm(18.0),
        ..BoardKind::default()
    };
    let beech = Edit::PutKind(kind("mdf-18"), Box::new(OwnKind::Board(plain)));
    let beech = edited(&three, &beech);
    for (check, words) in [
        ("shelf-load", "the density of Beech, the strength of Beech"),
        ("sag", "the density of Beech, the modulus of Beech"),
    ] {
        is(
            &that_says(&beech, check, words),
            Standing::Unknown,
            None,
            None,
        );
    }
}

#[test]
fn a_board_on_its_ends_alone_is_stressed_and_sags_more_than_on_beams() {
    // Twelve times the mass of the usual printer, 114 kg each, on feet 177.8 mm either side of the thirds' middles.
    let heavy = own_printer(&room(), "heavy", |k| k.mass = Some(Kilograms::fixed(114.0)));
    let heavy = with_printers(&heavy, &["heavy"; 3], Some("O1"));
    let on = |support| own_rack(&heavy, move |k| k.support = Some(support));
    // Ends: by the supports 3 · 559.17 N at each end; in the middle of 1752.6 mm under the symmetric feet
    // M = 559.17 · (177.8 + 406.4 + 762.0) = 752,754.654 N mm; the board adds 0.0861147 · 1752.6²/8 = 33,063.9 N mm.
    // 6 · 785,818.5 / (609.6 · 324) = 23.8718 MPa of 20/3.
    let found = that_says(&on(Support::Ends), "shelf-load", "stressed");
    assert_eq!(found.standing, Standing::Broken);
    assert_eq!(found.severity, Severity::Caution);
    assert!(
        found.measured.is_some_and(|m| (m - 23.8718).abs() < 0.001),
        "{}",
        found.text
    );
    assert!(found.limit.is_some_and(|l| (l - 20.0 / 3.0).abs() < 1e-9));
    // Beams: 609.6 mm of depth, a third of the width, feet 304.8 ± 120.65 mm: M = 559.17 · 184.15 = 102,971.2 N mm and
    // 0.0861147 / 609.6 · 584.2 · 609.6²/8 = 3,833.5 N mm: 6 · 106,804.6 / (584.2 · 324) = 3.3856 MPa.
    let beams = on(Support::Beams);
    assert!(
        of_check(&beams, "shelf-load")
            .iter()
            .all(|f| !f.text.contains("stressed")),
        "3.39 MPa are less than 6.67"
    );
    let sag = |support| {
        that_says(&on(support), "sag", "after long")
            .measured
            .unwrap()
    };
    assert!(sag(Support::Ends) > 10.0 * sag(Support::CrossBars(2)));
    assert!(
        (sag(Support::CrossBars(2)) - sag(Support::Panels)).abs() < 1e-9,
        "thirds either way"
    );
    assert!(sag(Support::Beams) < sag(Support::Ends));
}

#[test]
fn a_tall_narrow_rack_asks_for_anchors() {
    // Rack of 450 mm depth, top loaded level at 1830 mm (worked out by hand): 4.067 : 1.
    let tall = |top_mm: f64, anchored: Option<bool>| {
        let plan = own_rack(&room(), |k| {
            k.depth = Length::from_mm(450.0);
            k.height = Length::from_mm(top_mm + 100.0);
            k.levels = vec![LevelKind::new(Length::from_mm(top_mm), 3)];
        });
        let plan = with_printers(&plan, &["open-220"; 3], Some("O1"));
        let mut rack = plan.rack(id("R1")).unwrap().clone();
        rack.anchored = anchored;
        let plan = put(&plan, "R1", Item::Rack(rack));
        that_says(&plan, "rack-stability", "R1")
    };
    for (top, anchored, standing, limit) in [
        (1800.0, None, Standing::Met, 4.0),
        (1830.0, None, Standing::Unknown, 4.0),
        (1830.0, Some(false), Standing::Broken, 4.0),
        (1830.0, Some(true), Standing::Met, 6.0),
        (2700.0, Some(true), Standing::Met, 6.0),
        (2710.0, None, Standing::Broken, 6.0),
        (2710.0, Some(true), Standing::Met, 8.0),
        (3610.0, Some(true), Standing::Broken, 8.0),
    ] {
        let found = tall(top, anchored);
        is(&found, standing, Some(top / 450.0), Some(limit));
    }
}

#[test]
fn pads_isolate_from_root_two_times_their_own_frequency_on() {
    let three = with_printers(&room(), &["open-220"; 3], Some("O1"));
    let level = LevelKind {
        pad: Some(kind("foam-25")),
        ..LevelKind::new(inches(4), 3)
    };
    let step = three.level_set(&library().stock, id("R1"), 1, level);
    let padded = edited(&three, &step.unwrap());
    let found = that_says(&padded, "isolation", "not measured");
    is(&found, Standing::Unknown, None, Some(27.0 / 2_f64.sqrt()));
    // 5 mm yield: 7.050 Hz. 0.6 mm: 15.761 / √0.6 = 20.351 Hz, over 19.092.
    for (yields, standing, hz) in [
        (5.0, Standing::Met, 7.0499),
        (0.6, Standing::Broken, 20.351),
    ] {
        let mut own = library().stock.pads[&kind("foam-25")].clone();
        own.compressed = Some(Length::from_mm(25.0 - yields));
        let pad = Edit::PutKind(kind("foam-25"), Box::new(OwnKind::Pad(own)));
        let found = that_says(&edited(&padded, &pad), "isolation", "passes on");
        assert_eq!(found.standing, standing, "{}", found.text);
        assert!(
            found.measured.is_some_and(|m| (m - hz).abs() < 0.06),
            "{}",
            found.text
        );
    }
}

/// An L of 200 by 200 in whose inner corner is at 120, 80 in: beyond x = 120 in it ends at y = 80 in.
fn bent_room() -> Plan {
    let mut room = Room::rectangle(inches(200), inches(200), inches(108), inches(6));
    let corners = [(0, 0), (200, 0), (200, 80), (120, 80), (120, 200), (0, 200)];
    let corners = corners.map(|(x, y)| (inches(x), inches(y)));
    room.outline = Outline::Corners(corners.to_vec());
    Plan::new(Head::default(), room)
}

fn rack_in(plan: &Plan, x: i32, y: i32, turn: f64) -> Arc<Plan> {
    let pose = Pose {
        x: inches(x),
        y: inches(y),
        turn: Angle::from_degrees(turn),
    };
    put(plan, "R1", rack_at("short-48", 0, 0, 0.0).with_pose(pose))
}

/// The one finding of that facet.
fn of_facet(plan: &Arc<Plan>, check: &str, facet: &str) -> Finding {
    let all = of_check(plan, check);
    let found: Vec<&Finding> = all.iter().filter(|f| f.facet == facet).collect();
    assert_eq!(found.len(), 1, "{facet}: {all:#?}");
    found[0].clone()
}

#[test]
fn a_wall_that_only_takes_of_the_gap_behind_a_rack_is_no_wall_that_it_stands_in() {
    // 48 by 24 in from (100, 55): it reaches past the inner corner, its back 1 in before the wall at 80 in.
    let plan = rack_in(&bent_room(), 100, 55, 0.0);
    let short = of_facet(&plan, "fits", "wall 2");
    is(&short, Standing::Broken, Some(25.4), Some(50.8));
    // 2 in before it the gap is kept.
    let clear = rack_in(&bent_room(), 100, 54, 0.0);
    assert!(
        of_check(&clear, "fits")
            .iter()
            .all(|f| f.standing == Standing::Met)
    );
}

#[test]
fn the_gap_behind_a_turned_rack_is_measured_square_to_its_back() {
    // The middle at (40, 40) in, turned by 45 degrees: the back looks up and left, its middle at 12 in. A column of 4 by 4 in,
    // turned alike, stands square behind with its near side 1 in off, and one more 3 in to the side of the rack's end.
    let plan = rack_in(&bent_room(), 16, 28, 45.0);
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let column = |along: f64, behind: f64| {
        let out = 12.0 + behind + 2.0;
        let (x, y) = (40.0 + half * (along - out), 40.0 + half * (along + out));
        Item::Column(Column {
            at: Pose {
                x: Length::from_mm((x - 2.0) * 25.4),
                y: Length::from_mm((y - 2.0) * 25.4),
                turn: Angle::from_degrees(45.0),
            },
            width: inches(4),
            depth: inches(4),
            presence: Presence::default(),
        })
    };
    // 0.25 in of it beside the rack's end: what of it is behind the rack is 1 in off all the same.
    for along in [0.0, 25.75] {
        let with = put(&plan, "K1", column(along, 1.0));
        let short = of_check(&with, "fits")
            .into_iter()
            .find(|f| f.items.contains(&id("K1")));
        let left = short.unwrap().measured.unwrap();
        assert!((left - 25.4).abs() < 0.01, "{left} at {along}");
    }
    let beside = put(&plan, "K1", column(26.1, 1.0));
    assert!(
        of_check(&beside, "fits")
            .iter()
            .all(|f| f.standing == Standing::Met)
    );
}

#[test]
fn a_rack_behind_a_wall_stands_outside_however_near_its_back_is() {
    let plan = rack_in(&bent_room(), 140, 82, 180.0);
    let outside = of_facet(&plan, "fits", "outside");
    is(&outside, Standing::Broken, None, None);
}

#[test]
fn what_stands_before_a_panel_is_measured_over_the_case_alone() {
    let panel = Item::Panel(Panel {
        main: None,
        free: None,
        at: on_wall(0, 60),
        width: inches(16),
        depth: inches(4),
        bottom: inches(48),
        height: inches(30),
        presence: Presence::default(),
    });
    let plan = put(&bent_room(), "E1", panel);
    // A square of 20 in on its corner with the middle at (84, 28) in: its half diagonal is 14.142 in, so its left corner is at
    // x = 69.858 in, its lowest at y = 13.858 in beside the case, which ends at 76 in. There its side stands at
    // 28 - (76 - 69.858) = 21.858 in, 17.858 in before the case's front at 4 in.
    let column = Item::Column(Column {
        at: Pose {
            x: inches(74),
            y: inches(18),
            turn: Angle::from_degrees(45.0),
        },
        width: inches(20),
        depth: inches(20),
        presence: Presence::default(),
    });
    let found = of_check(&put(&plan, "K1", column), "panel-space");
    let left = found[0].measured.unwrap();
    assert_eq!(found[0].standing, Standing::Broken);
    assert!((left - 17.858 * 25.4).abs() < 0.05, "{left}");
}

#[test]
fn a_leaf_that_strikes_a_wall_does_not_open_fully() {
    // A corner of 45 degrees at the first corner: the leaf of 30 in hung there strikes the slanted wall.
    let mut room = Room::rectangle(inches(200), inches(200), inches(108), inches(6));
    let corners = [(0, 0), (200, 0), (200, 200)].map(|(x, y)| (inches(x), inches(y)));
    room.outline = Outline::Corners(corners.to_vec());
    let door = |along: i32| {
        Item::Door(Door {
            at: on_wall(0, along),
            width: inches(30),
            height: inches(80),
            clear: None,
            hinge: Hinge::Near,
            swing: Swing::In,
            way_out: false,
            presence: Presence::default(),
        })
    };
    let plan = Plan::new(Head::default(), room);
    let found = of_check(&put(&plan, "D1", door(0)), "door-swing");
    // The slide that parts them shifts the quarter disc square to the slanted wall: the leaf's edge at (0, 30) in lies
    // 30 / sqrt 2 in behind it.
    assert_eq!(found.len(), 1, "{found:#?}");
    is(
        &found[0],
        Standing::Broken,
        Some(30.0 * 25.4 * std::f64::consts::FRAC_1_SQRT_2),
        Some(0.0),
    );
    assert_eq!(found[0].items, [id("D1")]);
    // With its hinge 30 in from the corner and more the leaf stands free at a right angle.
    let free = of_check(&put(&plan, "D1", door(31)), "door-swing");
    assert!(
        free.iter().all(|f| f.standing == Standing::Met),
        "{free:#?}"
    );
}
