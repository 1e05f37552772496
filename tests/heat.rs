//! The heat of a room as the layout adds it up, against pencil sums, and what is said of it as part of a plan.
//!
//! The worked room is 5.0 by 3.6 by 2.5 m: 45 m³. South and west wall look outdoors: 8.6 × 2.5 = 21.5 m² less a window of 1.5 m².

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::layout::{HeatBalance, HeatSource};
use aislewright::plan::{
    Beyond, Edit, Glass, Head, Heat, Item, OutdoorAir, Plan, Presence, Rebuild, Record, Room,
    Session, Side, WallPlace, Window,
};
use aislewright::storage;
use aislewright::units::{
    Celsius, CubicMetresPerHour, Irradiance, Length, PerHour, Ratio, UValue, Watts,
};
use common::{edited, id, judged, library, printers_of, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn outdoors(u: f64) -> Side {
    Side {
        beyond: Some(Beyond::Outdoors),
        u: Some(UValue::fixed(u)),
    }
}

const AS_WARM: Side = Side {
    beyond: Some(Beyond::AsWarm),
    u: None,
};

/// Everything that the worked room needs said.
fn said() -> Heat {
    Heat {
        duty: Some(Ratio::fixed(1.0)),
        people: Some(2),
        lights: Some(Watts::fixed(240.0)),
        machines: Some(Watts::fixed(300.0)),
        indoors: Some(Celsius::fixed(24.0)),
        outdoors: Some(Celsius::fixed(32.0)),
        outdoor_air: Some(OutdoorAir::Changes(PerHour::fixed(0.5))),
        ceiling: AS_WARM,
        walls: vec![
            (0, outdoors(0.5)),
            (1, AS_WARM),
            (2, AS_WARM),
            (3, outdoors(0.5)),
        ],
    }
}

fn with_heat(plan: &Plan, heat: Heat) -> Arc<Plan> {
    edited(plan, &Edit::SetHeat(Box::new(heat)))
}

/// The worked room with twelve printers of 120 W on two racks.
fn worked() -> Arc<Plan> {
    let room = Room::rectangle(mm(5000), mm(3600), mm(2500), mm(150));
    let mut plan = Arc::new(Plan::new(Head::default(), room));
    for (mark, y) in [("R1", 2900), ("R2", 1400)] {
        let rack = Record::Item(Box::new(rack_at("full-72", 1000, y, 0.0)));
        plan = edited(&plan, &Edit::Put(vec![(id(mark), rack)]));
        plan = edited(&plan, &Edit::Put(printers_of(&plan, id(mark), 2, 3)));
    }
    let window = Window {
        at: WallPlace::new(0, mm(2000)),
        width: mm(1500),
        sill: mm(900),
        head: mm(1900),
        opens: true,
        way_out: false,
        glass: Glass {
            u: Some(UValue::fixed(2.8)),
            sun_share: Some(Ratio::fixed(0.7)),
            sun: Some(Irradiance::fixed(400.0)),
        },
        presence: Presence::default(),
    };
    let window = Record::Item(Box::new(Item::Window(window)));
    let plan = edited(&plan, &Edit::Put(vec![(id("W1"), window)]));
    with_heat(&plan, said())
}

fn heat(plan: &Arc<Plan>) -> Arc<HeatBalance> {
    judged(plan, 1).0.heat()
}

fn watts(heat: &HeatBalance, source: HeatSource) -> f64 {
    let term = heat.terms.iter().find(|t| t.source == source);
    term.expect("the term is there").watts
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6, "{found} is not {expected}");
}

/// By hand: 12 × 120 + 300 + 240 + 2 × 80 = 2140 W inside; walls 20 × 0.5 × 8 = 80, window 1.5 × 2.8 × 8 = 33.6, sun 1.5 × 0.7 ×
/// 400 = 420, air 45 × 0.5 / 3.6 × 1.2 × 8 = 60: 2733.6 W in all.
#[test]
fn the_worked_room_adds_up() {
    let heat = heat(&worked());
    for (source, expected) in [
        (HeatSource::Printers, 1440.0),
        (HeatSource::Machines, 300.0),
        (HeatSource::Lights, 240.0),
        (HeatSource::People, 160.0),
        (HeatSource::Walls, 80.0),
        (HeatSource::Ceiling, 0.0),
        (HeatSource::Glass, 33.6),
        (HeatSource::Sun, 420.0),
        (HeatSource::OutdoorAir, 60.0),
    ] {
        near(watts(&heat, source), expected);
    }
    near(heat.whole_w().unwrap(), 2733.6);
    // Without UPS nothing is lost in any; walls, glass and air carry 10 + 4.2 + 7.5 W/K.
    assert!(heat.terms.iter().all(|t| t.source != HeatSource::Supplies));
    near(heat.conductance_w_k.unwrap(), 21.7);
    // 45 m³ × 1.2 kJ; 12 printers of 9.5 kg × 0.5 kJ.
    near(heat.air_j_k, 54_000.0);
    near(heat.printers_j_k, 57_000.0);
}

/// Printing half the time: 12 × (60 + 4) = 768 W. Nobody says a share: all print all the time.
#[test]
fn printers_idle_when_they_do_not_print() {
    let plan = worked();
    let half = Heat {
        duty: Some(Ratio::fixed(0.5)),
        ..said()
    };
    let half = heat(&with_heat(&plan, half));
    near(watts(&half, HeatSource::Printers), 768.0);
    // One paused saves 64 - 8 W.
    near(half.savings[0].1, 56.0);
    let unsaid = Heat {
        duty: None,
        ..said()
    };
    let unsaid = heat(&with_heat(&plan, unsaid));
    near(watts(&unsaid, HeatSource::Printers), 1440.0);
    assert!(unsaid.terms[0].from.contains("no share is entered"));
}

/// A change of what is said.
type Gap = fn(&mut Heat);

#[test]
fn a_figure_nobody_entered_is_named_and_never_nought() {
    let plan = worked();
    let gaps: [(&str, Gap); 8] = [
        ("people at work", |h| h.people = None),
        ("lights", |h| h.lights = None),
        ("other machines", |h| h.machines = None),
        ("the temperature to be held", |h| h.indoors = None),
        ("the hottest day outdoors", |h| h.outdoors = None),
        ("air from outdoors", |h| h.outdoor_air = None),
        ("what lies above the ceiling", |h| {
            h.ceiling = Side::default();
        }),
        ("the U value of the west wall", |h| {
            *h = h.with_wall(
                3,
                Side {
                    u: None,
                    ..outdoors(0.5)
                },
            );
        }),
    ];
    for (words, gap) in gaps {
        let mut without = said();
        gap(&mut without);
        let heat = heat(&with_heat(&plan, without));
        assert_eq!(heat.missing(), [words]);
        assert_eq!(heat.whole_w(), None, "without {words}");
        assert!(heat.known_w() < 2733.6 + 1e-9, "without {words}");
    }
    // What somebody said to be nought is known.
    let none = Heat {
        people: Some(0),
        lights: Some(Watts::ZERO),
        machines: Some(Watts::ZERO),
        outdoor_air: Some(OutdoorAir::Flow(CubicMetresPerHour::fixed(0.0))),
        ..said()
    };
    near(
        heat(&with_heat(&plan, none)).whole_w().unwrap(),
        2733.6 - 160.0 - 240.0 - 300.0 - 60.0,
    );
    // Nothing said at all: the printers alone are known.
    let nothing = heat(&with_heat(&plan, Heat::default()));
    near(nothing.known_w(), 1440.0);
    assert!(nothing.missing().contains(&"what lies beyond the walls"));
    assert_eq!(nothing.conductance_w_k, None);
}

#[test]
fn no_heat_comes_from_a_room_as_warm() {
    // The window's wall looks into the next room: neither glass nor sun, and the west wall's 9 m² alone: 36 W.
    let inside = said().with_wall(0, AS_WARM);
    let heat = heat(&with_heat(&worked(), inside));
    near(watts(&heat, HeatSource::Walls), 36.0);
    near(watts(&heat, HeatSource::Glass), 0.0);
    near(watts(&heat, HeatSource::Sun), 0.0);
}

#[test]
fn cooler_outdoors_takes_heat_away() {
    let cool = Heat {
        outdoors: Some(Celsius::fixed(16.0)),
        ..said()
    };
    let heat = heat(&with_heat(&worked(), cool));
    near(watts(&heat, HeatSource::Walls), -80.0);
    near(watts(&heat, HeatSource::OutdoorAir), -60.0);
    assert!(heat.missing_may_cool);
}

/// A fan's 162 m³/h are 45 L/s: 45 × 1.2 × 8 = 432 W.
#[test]
fn air_by_a_fan() {
    let fan = Heat {
        outdoor_air: Some(OutdoorAir::Flow(CubicMetresPerHour::fixed(162.0))),
        ..said()
    };
    near(
        watts(&heat(&with_heat(&worked(), fan)), HeatSource::OutdoorAir),
        432.0,
    );
}

#[test]
fn what_is_said_of_a_wall_goes_with_it() {
    let plan = worked();
    let split = Rebuild::Split {
        wall: 1,
        along: mm(1000),
    };
    let edit = plan.rebuilt(&library().stock, &split).unwrap();
    let mut session = Session::opened(plan.as_ref().clone());
    session.apply(&library().stock, &edit).unwrap();
    // East wall in two, then north and west, each as before.
    let sides: Vec<Side> = (0..5).map(|k| session.plan().heat().wall(k)).collect();
    assert_eq!(
        sides,
        [outdoors(0.5), AS_WARM, AS_WARM, AS_WARM, outdoors(0.5)]
    );
    near(heat(session.plan()).whole_w().unwrap(), 2733.6);
    // Fewer walls: what was said of the last is let go.
    let smaller = Room {
        outline: aislewright::plan::Outline::Corners(vec![
            (mm(0), mm(0)),
            (mm(5000), mm(0)),
            (mm(0), mm(3600)),
        ]),
        ..plan.room().clone()
    };
    session
        .apply(&library().stock, &Edit::SetRoom(Box::new(smaller)))
        .unwrap();
    assert_eq!(session.plan().heat().walls.len(), 3);
    assert!(session.undo() && session.undo());
    assert_eq!(session.plan().heat(), &said());
}

#[test]
fn it_is_written_and_read_back_and_what_cannot_be_is_refused() {
    let plan = worked();
    let text = storage::text_of(&plan).unwrap();
    let again = storage::plan_of(library(), "worked", text.as_bytes()).unwrap();
    assert_eq!(again.plan.heat(), &said());
    assert_eq!(storage::text_of(&again.plan).unwrap(), text);
    assert!(text.contains("outdoor_air: \"0.5/h\"") || text.contains("Changes(\"0.5/h\")"));
    let over = Heat {
        duty: Some(Ratio::fixed(1.2)),
        ..said()
    };
    let no_wall = said().with_wall(9, AS_WARM);
    let mut twice = said();
    twice.walls.push((0, AS_WARM));
    for (wrong, words) in [
        (over, "at most all the time"),
        (no_wall, "there is no wall 9"),
        (twice, "stands once"),
    ] {
        let refused = plan.edited(&library().stock, &Edit::SetHeat(Box::new(wrong)));
        let why = refused.unwrap_err().to_string();
        assert!(why.contains(words), "{why}");
    }
}

/// By definition of the Btu, the foot and the degree Fahrenheit: 1 Btu/h ft² °F = 5.678263 W/m²K, 100 Btu/h ft² = 315.459 W/m².
#[test]
fn figures_in_the_trades_units() {
    let u = UValue::parse("1 Btu/hft2F").unwrap();
    near(u.value(), 5.678_263_341);
    assert_eq!(u.file_text(), "5.678263341W/m2K");
    let sun = Irradiance::parse("100 Btu/hft2").unwrap();
    assert!((sun.value() - 315.459).abs() < 1e-3, "{sun:?}");
    assert_eq!(PerHour::parse("0.5 ach"), PerHour::parse("0.5/h"));
    assert!(
        PerHour::parse("0.5").is_err(),
        "changes an hour, or a minute?"
    );
}
