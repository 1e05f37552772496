//! The check `light` in a room of 20 m², by hand: a light of 4,000 lm gives 4000 × 0.5 × 0.8 / 20 = 80 lx there. And the heat that
//! drawn lights give.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Standing};
use aislewright::layout::HeatSource;
use aislewright::plan::{Edit, Head, Item, Light, OwnKind, Plan, Pose, Presence, Room};
use aislewright::stock::KindId;
use aislewright::units::{Angle, Length};
use common::{edited, id, judged, library, printers_of, put, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

/// That many lights, each linked to the one before it where they are in one run.
fn lit(count: i32, in_one_run: bool) -> Arc<Plan> {
    let room = Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150));
    let mut plan = Arc::new(Plan::new(Head::default(), room));
    for k in 1..=count {
        let light = Light {
            kind: KindId::new("strip-1200").unwrap(),
            at: Pose {
                x: mm(100),
                y: mm(300 * k),
                turn: Angle::default(),
            },
            bottom: mm(2600),
            linked_to: (in_one_run && k > 1).then(|| id(&format!("LT{}", k - 1))),
            presence: Presence::default(),
        };
        plan = put(&plan, &format!("LT{k}"), Item::Light(light));
    }
    plan
}

fn found(plan: &Arc<Plan>, facet: &str) -> Option<Arc<Finding>> {
    let (_, findings) = judged(plan, 1);
    let mut all = findings.of_check("light").iter();
    all.find(|f| f.facet == facet).cloned()
}

#[test]
fn the_average_is_held_against_the_task() {
    // Without lights and without printers there is nothing to say.
    assert!(found(&lit(0, false), "average").is_none());
    let racked = put(&lit(0, false), "R1", rack_at("short-48", 1000, 3000, 0.0));
    let printers = printers_of(&racked, id("R1"), 3, 2);
    let racked = edited(&racked, &Edit::Put(printers));
    let dark = found(&racked, "average").unwrap();
    assert_eq!(dark.standing, Standing::Unknown);
    let one = found(&lit(1, false), "average").unwrap();
    assert_eq!((one.standing, one.measured), (Standing::Broken, Some(80.0)));
    assert_eq!(one.limit, Some(500.0));
    // (500 - 80) × 20 / 1600 = 5.25.
    assert!(one.text.contains("It takes 6 more"), "{}", one.text);
    // L 5 m, W 4 m, 2.60 - 0.85 = 1.75 m above the plane: 20 / (9 × 1.75) = 1.27.
    assert!(one.text.contains("room index 1.3"), "{}", one.text);
    let seven = found(&lit(7, false), "average").unwrap();
    assert_eq!(
        (seven.standing, seven.measured),
        (Standing::Met, Some(560.0))
    );
}

#[test]
fn a_light_without_its_figures_leaves_the_room_unknown() {
    let name = KindId::new("strip-1200").unwrap();
    let mut kind = library().stock.lights[&name].clone();
    (kind.lumens, kind.most_linked, kind.watts) = (None, None, None);
    let plan = edited(
        &lit(2, true),
        &Edit::PutKind(name, Box::new(OwnKind::Light(kind))),
    );
    for facet in ["average", "run"] {
        let finding = found(&plan, facet).unwrap();
        assert_eq!(finding.standing, Standing::Unknown, "{}", finding.text);
    }
    let (layout, _) = judged(&plan, 1);
    let heat = layout.heat();
    let lights = heat.terms.iter().find(|t| t.source == HeatSource::Lights);
    assert_eq!(lights.unwrap().missing.len(), 1);
}

/// The maker of the strip lights allows four in one run.
#[test]
fn a_run_is_held_against_what_its_maker_allows() {
    assert!(found(&lit(4, false), "run").is_none());
    let four = found(&lit(4, true), "run").unwrap();
    assert_eq!((four.standing, four.measured), (Standing::Met, Some(4.0)));
    let five = found(&lit(5, true), "run").unwrap();
    assert_eq!(
        (five.standing, five.measured),
        (Standing::Broken, Some(5.0))
    );
    assert_eq!(five.items[0], id("LT1"));
}

/// Three lights of 36 W.
#[test]
fn drawn_lights_are_heat() {
    let (layout, _) = judged(&lit(3, false), 1);
    let heat = layout.heat();
    let lights = heat.terms.iter().find(|t| t.source == HeatSource::Lights);
    assert!((lights.unwrap().watts - 108.0).abs() < 1e-9);
}
