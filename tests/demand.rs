//! The checks `spools`, `air`, `fire` and what of `wet-zone` stops a phase, by hand in a room of 5 m by 4 m, 2.7 m high, with one rack
//! of six printers whose highest envelope ends at 50 + 20 1/2 in, 1,791 mm, below its posts of 72 in, 1,828.8 mm.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::handbook::heat::outdoor_air_wanted_l_s;
use aislewright::handbook::spools;
use aislewright::plan::{
    Answers, Demand, Edit, Fitting, FittingUse, Furniture, FurnitureUse, Head, Heat, Item, Label,
    LimitChange, OutdoorAir, Overhead, OverheadUse, Phase, PhaseNo, Plan, Pose, Presence, Question,
    Room, Ups, UpsPlace, WallPlace, Zone, ZoneUse,
};
use aislewright::stock::{KindId, LevelKind};
use aislewright::units::{Angle, CubicMetresPerHour, Kilograms, Length, Practice, Watts};
use common::{edited, id, judged, printers_of, put, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn at(x: i32, y: i32) -> Pose {
    Pose {
        x: mm(x),
        y: mm(y),
        turn: Angle::default(),
    }
}

fn room() -> Arc<Plan> {
    let room = Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150));
    let plan = Plan::new(Head::default(), room);
    let plan = put(&plan, "R1", rack_at("short-48", 1000, 3300, 0.0));
    edited(&plan, &Edit::Put(printers_of(&plan, id("R1"), 3, 2)))
}

fn with_head(plan: &Plan, change: impl FnOnce(&mut Head)) -> Arc<Plan> {
    let mut head = plan.head().clone();
    change(&mut head);
    edited(plan, &Edit::SetHead(Box::new(head)))
}

fn found(plan: &Arc<Plan>, check: &str, facet: &str) -> Arc<Finding> {
    let (_, findings) = judged(plan, 1);
    let mut all = findings.of_check(check).iter();
    all.find(|f| f.facet == facet).unwrap().clone()
}

fn store(spools: Option<u16>) -> Item {
    Item::Furniture(Furniture {
        purpose: FurnitureUse::SpoolStore,
        at: at(3500, 3500),
        width: mm(900),
        depth: mm(400),
        height: mm(1800),
        faces: Vec::new(),
        spools,
        presence: Presence::default(),
    })
}

fn demand() -> Demand {
    Demand {
        a_day: Some(Kilograms::fixed(0.5)),
        days: Some(10),
        unattended: Some(14),
    }
}

/// By hand: 3 kg a day are 3 changes of 1 kg and 1 of 3 kg; ten days take 30 places and 10; 24 places last 8 days.
#[test]
fn arithmetic_of_spools() {
    assert_eq!(spools::changes_a_day(3.0, 3.0), Some(1.0));
    assert_eq!(spools::places_needed(3.0, 10.0, 1.0), Some(30.0));
    assert_eq!(spools::places_needed(3.1, 10.0, 3.0), Some(11.0));
    assert_eq!(spools::days_on_hand(24.0, 1.0, 3.0), Some(8.0));
    assert_eq!(spools::days_on_hand(24.0, 1.0, 0.0), None);
    assert_eq!(spools::changes_a_day(3.0, 0.0), None);
    // 838 by 457 mm: 11 in a row, two rows; 190 mm high they do not stand.
    let count = spools::stand_on(838.2, 457.2, 400.0);
    assert!((count - 22.0).abs() < 1e-9, "{count}");
    assert!(spools::stand_on(838.2, 457.2, 190.0).abs() < 1e-9);
}

#[test]
fn spools_last_or_not() {
    let empty = room();
    let unknown = found(&empty, "spools", "");
    assert_eq!(unknown.standing, Standing::Unknown);
    let used = with_head(&empty, |h| h.demand = demand());
    let none = found(&used, "spools", "");
    assert_eq!(
        (none.standing, none.measured, none.limit),
        (Standing::Broken, Some(0.0), Some(10.0))
    );
    let short = found(&put(&used, "SS1", store(Some(24))), "spools", "");
    assert_eq!(
        (short.standing, short.measured),
        (Standing::Broken, Some(8.0))
    );
    assert!(
        short
            .text
            .contains("3.0 spools of 1 kg are changed, or 1.0 of 3 kg"),
        "{}",
        short.text
    );
    assert!(
        short.text.contains("30 places for 1 kg, or 10 for 3 kg"),
        "{}",
        short.text
    );
    let enough = found(&put(&used, "SS1", store(Some(30))), "spools", "");
    assert_eq!(enough.standing, Standing::Met);
    let unsaid = found(&put(&used, "SS1", store(None)), "spools", "");
    assert_eq!(unsaid.standing, Standing::Unknown);
}

/// The levels of `spool-36` are 33 by 18 in: 11 spools in a row, two rows, four levels: 88.
#[test]
fn levels_for_spools_are_counted() {
    let plan = put(&room(), "R2", rack_at("spool-36", 3500, 3500, 0.0));
    let (layout, _) = judged(&plan, 1);
    let kept = layout.spool_places();
    assert!((kept.places - 88.0).abs() < 1e-9, "{}", kept.places);
    assert_eq!(kept.kept_in, [id("R2")]);
}

/// By hand: 2 people and 20 m² ask for 2 × 5 + 20 × 0.9 = 28 L/s, which are 100.8 m³/h.
#[test]
fn outdoor_air_is_held_against_a_laboratorys() {
    assert_eq!(outdoor_air_wanted_l_s(2.0, 20.0), Some(28.0));
    assert_eq!(outdoor_air_wanted_l_s(-1.0, 20.0), None);
    let with = |flow: Option<f64>, people: Option<u8>| {
        let heat = Heat {
            people,
            outdoor_air: flow.map(|f| OutdoorAir::Flow(CubicMetresPerHour::fixed(f))),
            ..Heat::default()
        };
        let plan = edited(&room(), &Edit::SetHeat(Box::new(heat)));
        found(&plan, "air", "outdoors")
    };
    assert_eq!(with(None, Some(2)).standing, Standing::Unknown);
    assert_eq!(with(Some(90.0), None).standing, Standing::Unknown);
    let little = with(Some(90.0), Some(2));
    assert_eq!(
        (little.standing, little.measured, little.limit),
        (Standing::Broken, Some(25.0), Some(28.0))
    );
    assert_eq!(with(Some(101.0), Some(2)).standing, Standing::Met);
}

/// In US practice cubic feet a minute: 1 L/s is 2.118880 cfm and 1 m² 10.76391 ft² (NIST SP 811, appendix B).
#[test]
fn outdoor_air_is_told_in_the_units_of_the_practice() {
    let told = |practice: Practice, people: Option<u8>, flow: f64| {
        let heat = Heat {
            people,
            outdoor_air: Some(OutdoorAir::Flow(CubicMetresPerHour::fixed(flow))),
            ..Heat::default()
        };
        let plan = edited(&room(), &Edit::SetHeat(Box::new(heat)));
        found(
            &with_head(&plan, |h| h.practice = practice),
            "air",
            "outdoors",
        )
        .text
        .clone()
    };
    let begins = |practice, people, flow, words: &str| {
        let text = told(practice, people, flow);
        assert!(text.starts_with(words), "{text}");
    };
    let us = Practice::Us;
    begins(us, None, 90.0, "53 cfm come in from outdoors;");
    begins(
        us,
        Some(2),
        90.0,
        "Only 53 cfm come in from outdoors; a laboratory of 215 ft² would ask for 59 cfm.",
    );
    begins(
        us,
        Some(2),
        108.0,
        "64 cfm come in from outdoors; a laboratory would ask for 59 cfm.",
    );
    begins(
        Practice::Metric,
        Some(2),
        90.0,
        "Only 25 L/s come in from outdoors; a laboratory of 20 m² would ask for 28 L/s.",
    );
}

#[test]
fn what_is_asked_is_unknown_until_it_is_answered() {
    let plan = with_head(&room(), |h| h.demand = demand());
    let plan = put(&plan, "SS1", store(Some(24)));
    let open = found(&plan, "fire", "asked");
    assert_eq!(
        (open.standing, open.measured),
        (Standing::Unknown, Some(3.0))
    );
    // 24 places and a spool on each of six printers: 30 kg, in pounds 66.
    for says in [
        "up to 66 lb of plastic",
        "0.7 kW running",
        "1.8 kW at its peak",
        "14 hours a day",
        "sk the insurer",
    ] {
        assert!(open.text.contains(says), "{says}: {}", open.text);
    }
    let words = |q: &Question| (*q, Label::new("yes, in writing").unwrap());
    let answers: Answers = Question::ALL.iter().map(words).collect();
    let asked = with_head(&plan, |h| h.answers = answers);
    for check in ["air", "fire"] {
        let met = found(&asked, check, "asked");
        assert_eq!(met.standing, Standing::Met, "{}", met.text);
        assert!(met.text.contains("not judged"), "{}", met.text);
    }
    let agreed = found(&asked, "fire", "asked");
    assert!(agreed.text.contains("up to 66 lb"), "the figures stay");
}

/// 24 places and a spool on each of six printers: 30 kg; six printers of 300 W: 1,800 W.
#[test]
fn a_plan_that_outgrew_the_figures_agreed_to_says_so() {
    let plan = put(&room(), "SS1", store(Some(24)));
    let silent = judged(&plan, 1).1;
    let mut silent = silent.of_check("fire").iter();
    assert!(silent.all(|f| !f.facet.starts_with("agreed")));
    let with = |plan: &Plan, kg: f64, watts: f64| {
        with_head(plan, |h| {
            h.agreed.plastic = Some(Kilograms::fixed(kg));
            h.agreed.peak = Some(Watts::fixed(watts));
        })
    };
    let standings = |plan: &Arc<Plan>| {
        ["agreed plastic", "agreed power"].map(|facet| found(plan, "fire", facet).standing)
    };
    let just = with(&plan, 30.0, 1800.0);
    assert_eq!(standings(&just), [Standing::Met, Standing::Met]);
    let less = with(&plan, 29.0, 1799.0);
    assert_eq!(standings(&less), [Standing::Broken, Standing::Broken]);
    let plastic = found(&less, "fire", "agreed plastic");
    assert_eq!(plastic.severity, Severity::Caution);
    assert_eq!((plastic.measured, plastic.limit), (Some(30.0), Some(29.0)));
    assert!(
        plastic.text.starts_with(
            "The room would hold up to 66 lb of plastic; the insurer agreed to 64 lb. Ask"
        ),
        "{}",
        plastic.text
    );
    let power = found(&less, "fire", "agreed power");
    assert_eq!((power.measured, power.limit), (Some(1800.0), Some(1799.0)));
    // A store of which nobody said how many it takes: six kilograms are known, and may be within the figure or not.
    let unsaid = with(&put(&room(), "SS1", store(None)), 6.0, 1800.0);
    assert_eq!(standings(&unsaid), [Standing::Unknown, Standing::Met]);
    let beyond = with(&put(&room(), "SS1", store(None)), 5.0, 1800.0);
    assert_eq!(standings(&beyond)[0], Standing::Broken);
}

/// A puddle under the front of a rack, where its printers stand higher, still reaches the UPS at its foot.
#[test]
fn a_supply_at_a_foot_may_stand_anywhere_under_its_rack() {
    let ups = Ups {
        kind: KindId::new("ups-900").unwrap(),
        stands: UpsPlace::OnRack(id("R1")),
        outlet: None,
        presence: Presence::default(),
    };
    let puddle = Zone {
        purpose: ZoneUse::Wet {
            dry_from: Some(PhaseNo(2)),
        },
        at: at(1000, 3200),
        width: mm(400),
        depth: mm(200),
        low: Length::ZERO,
        high: Some(mm(50)),
        presence: Presence::default(),
    };
    let plan = put(&room(), "U1", Item::Ups(ups));
    let plan = edited(
        &plan,
        &Edit::SetPhases(vec![Phase::default(), Phase::default()]),
    );
    let plan = put(&plan, "Z1", Item::Zone(puddle));
    let (_, findings) = judged(&plan, 1);
    let wet = findings.of_check("wet-zone").iter().find(|f| f.stops());
    assert!(wet.unwrap().items.contains(&id("U1")));
}

/// A way of 75 ft from the rack's middle cannot be had in this room, so the limit is changed to what is there.
#[test]
fn the_way_to_an_extinguisher_is_measured_straight() {
    assert_eq!(
        found(&room(), "fire", "extinguisher").standing,
        Standing::Unknown
    );
    let fitting = Fitting {
        purpose: FittingUse::Extinguisher,
        at: WallPlace::new(0, mm(4600)),
        width: mm(200),
        depth: mm(200),
        bottom: mm(700),
        height: mm(500),
        presence: Presence::default(),
    };
    let plan = put(&room(), "X1", Item::Fitting(fitting));
    let met = found(&plan, "fire", "extinguisher");
    assert_eq!(met.standing, Standing::Met);
    // The rack's middle (1609.6, 3604.8) to the extinguisher's (4700, 100).
    let way = (3090.4_f64.powi(2) + 3504.8_f64.powi(2)).sqrt();
    assert!((met.measured.unwrap() - way).abs() < 0.01, "{}", met.text);
    // 6,595.2 mm along the walls; where 5,000 mm are the most, straight it is enough and on foot it may not be.
    let mut limits = plan.limit_changes().clone();
    limits.extinguisher_way = Some(LimitChange {
        value: mm(5000),
        reason: Label::new("the insurer's rule").unwrap(),
    });
    let plan = edited(&plan, &Edit::SetLimits(Box::new(limits)));
    let unsure = found(&plan, "fire", "extinguisher");
    assert_eq!(unsure.standing, Standing::Unknown, "{}", unsure.text);
}

/// Spools stand 200 mm high on an open top board at 72 in, 1,828.8 mm: 2,028.8, which leaves 671.2 mm below the ceiling.
#[test]
fn spools_on_the_top_board_stand_high_too() {
    let mut rack = rack_at("spool-36", 3500, 3500, 0.0);
    let Item::Rack(spools) = &mut rack else {
        unreachable!("it is a rack");
    };
    spools.levels = vec![LevelKind::new(Length::from_inches(72), 0)];
    let plan = put(&room(), "R2", rack);
    let high = found(&plan, "fire", "overhead");
    assert!(
        (high.measured.unwrap() - 671.2).abs() < 0.01,
        "{}",
        high.text
    );
}

/// Under the ceiling of 2,700 mm the posts of 1,828.8 mm leave 871.2; under heads whose deflectors are at 2,200 mm, 371.2, less
/// than 18 in.
#[test]
fn what_stands_high_is_held_against_heads_and_ceiling() {
    let free = found(&room(), "fire", "overhead");
    assert_eq!(free.standing, Standing::Met);
    assert!((free.measured.unwrap() - 871.2).abs() < 0.01);
    let head = Overhead {
        purpose: OverheadUse::Sprinkler,
        at: at(2500, 500),
        width: mm(60),
        depth: mm(60),
        bottom: mm(2200),
        presence: Presence::default(),
    };
    let plan = put(&room(), "S1", Item::Overhead(head));
    let low = found(&plan, "fire", "overhead");
    assert_eq!(low.standing, Standing::Broken);
    assert!((low.measured.unwrap() - 371.2).abs() < 0.01);
    assert_eq!(low.severity, Severity::Caution);
}

#[test]
fn a_detector_is_drawn_or_not() {
    assert_eq!(
        found(&room(), "fire", "detector").standing,
        Standing::Unknown
    );
    let detector = Overhead {
        purpose: OverheadUse::Detector,
        at: at(2500, 500),
        width: mm(120),
        depth: mm(120),
        bottom: mm(2640),
        presence: Presence::default(),
    };
    let plan = put(&room(), "T1", Item::Overhead(detector));
    assert_eq!(found(&plan, "fire", "detector").standing, Standing::Met);
}

/// A zone with nothing in it stops its phase until somebody promises a date; a promise for another phase stops nothing here.
#[test]
fn a_wet_zone_stops_its_phase_until_it_is_promised_dry() {
    let zone = |dry_from: Option<u8>| {
        Item::Zone(Zone {
            purpose: ZoneUse::Wet {
                dry_from: dry_from.map(PhaseNo),
            },
            at: at(3500, 200),
            width: mm(700),
            depth: mm(500),
            low: Length::ZERO,
            high: None,
            presence: Presence::default(),
        })
    };
    let plan = put(&room(), "Z1", zone(None));
    let wet = found(&plan, "wet-zone", "not dry");
    assert!(wet.stops(), "{}", wet.text);
    let plan = put(&room(), "Z1", zone(Some(1)));
    let (_, findings) = judged(&plan, 1);
    let all = findings.of_check("wet-zone");
    assert!(all.iter().all(|f| f.standing == Standing::Met), "{all:?}");
}

/// No day has 25 hours.
#[test]
fn impossible_hours_are_refused() {
    let plan = room();
    let mut head = plan.head().clone();
    head.demand.unattended = Some(25);
    let refused = plan.edited(&common::library().stock, &Edit::SetHead(Box::new(head)));
    assert!(refused.unwrap_err().to_string().contains("24 hours"));
}
