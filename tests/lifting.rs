//! Lifting onto a rack against pencil sums by the revised NIOSH lifting equation (NIOSH Publication 94-110).
//!
//! Printers are 400 mm deep in the middle of boards of 500 mm: 50 mm behind the rack's face. The operator stands 150 mm off, the
//! hands hold 200 mm behind the printer's front and 100 mm over its foot, the cart's hands are 750 mm up: H = 400 mm, and a board at
//! 1400 mm gives V = 1500 mm and D = 750 mm.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::plan::{
    Edit, Head, Label, LimitChange, LimitChanges, OwnKind, Plan, Printer, Record, Room, SlotRef,
};
use aislewright::stock::{KindId, LevelKind, PrinterKind, Stores, Touch};
use aislewright::units::{Kilograms, Length, Practice, ToOne};
use common::{edited, id, judged, library, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

/// A room with one rack, its boards at those heights, for one printer each.
fn rack(heights: &[i32]) -> Arc<Plan> {
    let room = Room::rectangle(mm(4000), mm(4000), mm(2700), mm(150));
    let head = Head {
        practice: Practice::Metric,
        ..Head::default()
    };
    let mut own = library().stock.racks[&kind("full-72")].clone();
    own.depth = mm(500);
    let usual = own.levels[0].clone();
    let level = |height: &i32| LevelKind {
        height: mm(*height),
        slots: 1,
        ..usual.clone()
    };
    own.levels = heights.iter().map(level).collect();
    let plan = edited(
        &Plan::new(head, room),
        &Edit::PutKind(kind("shelf"), Box::new(OwnKind::Rack(own))),
    );
    let record = Record::Item(Box::new(rack_at("shelf", 1000, 1000, 0.0)));
    edited(&plan, &Edit::Put(vec![(id("R1"), record)]))
}

/// The same with a printer of its own kind put on a level; a kind has neither mass nor spool unless `change` gives it one.
fn on_level(plan: &Plan, level: u8, change: impl Fn(&mut PrinterKind)) -> Arc<Plan> {
    let mut own = library().stock.printers[&kind("open-220")].clone();
    own.name = format!("Machine {level}");
    own.depth = mm(400);
    (own.mass, own.spool) = (None, None);
    change(&mut own);
    let name = kind(&format!("own-{level}"));
    let plan = edited(
        plan,
        &Edit::PutKind(name.clone(), Box::new(OwnKind::Printer(own))),
    );
    let printer = Printer {
        prints: None,
        kind: name,
        slot: SlotRef {
            rack: id("R1"),
            level,
            place: 1,
        },
        power: None,
        presence: aislewright::plan::Presence::default(),
    };
    let mark = plan.fresh(Plan::PRINTER, 1)[0];
    edited(&plan, &Edit::Put(vec![(mark, Record::Printer(printer))]))
}

fn weighs(kg: f64) -> impl Fn(&mut PrinterKind) {
    move |own| own.mass = Some(Kilograms::new(kg).unwrap())
}

fn spool_at(height: i32, depth: i32) -> impl Fn(&mut PrinterKind) {
    move |own| {
        own.mass = Some(Kilograms::fixed(1.0));
        own.spool = Some(Touch {
            height: mm(height),
            depth: mm(depth),
        });
    }
}

fn lifting(plan: &Arc<Plan>) -> Vec<Finding> {
    let (_, findings) = judged(plan, 1);
    let found = findings.of_check("lifting").iter();
    found.map(|f| f.as_ref().clone()).collect()
}

/// The only finding there is.
fn only(plan: &Arc<Plan>) -> Finding {
    let mut all = lifting(plan);
    assert_eq!(all.len(), 1, "{all:#?}");
    all.pop().unwrap()
}

fn is(finding: &Finding, standing: Standing, index: Option<f64>, limit: f64) {
    assert_eq!(finding.standing, standing, "{}", finding.text);
    assert_eq!(finding.severity, Severity::Caution, "{}", finding.text);
    let near = |a: f64, b: f64| (a - b).abs() < 5e-4;
    match (finding.measured, index) {
        (Some(found), Some(index)) => assert!(near(found, index), "{found}: {}", finding.text),
        (None, None) => {}
        (found, _) => panic!("measured {found:?}: {}", finding.text),
    }
    assert!(finding.limit.is_some_and(|l| near(l, limit)), "{finding:?}");
}

fn says(finding: &Finding, all: &[&str]) {
    for words in all {
        assert!(
            finding.text.contains(words),
            "{words:?} is not in {:?}",
            finding.text
        );
    }
}

fn with_limits(plan: &Plan, change: impl Fn(&mut LimitChanges)) -> Arc<Plan> {
    let mut changes = plan.limit_changes().clone();
    change(&mut changes);
    edited(plan, &Edit::SetLimits(Box::new(changes)))
}

fn to<T>(value: T) -> LimitChange<T> {
    LimitChange {
        value,
        reason: Label::new("as we work here").unwrap(),
    }
}

/// 23 × 25/40 × (1 - 0.003 × 75) × (0.82 + 4.5/75) = 23 × 0.625 × 0.775 × 0.88 = 9.804 kg; 14 / 9.804 = 1.428.
#[test]
fn a_machine_of_14_kg_on_a_board_at_1400_mm() {
    let found = only(&on_level(&rack(&[1400]), 1, weighs(14.0)));
    is(&found, Standing::Broken, Some(1.4280), 1.0);
    says(
        &found,
        &[
            "level 1 of R1",
            "P001 (14.00 kg)",
            "9.80 kg recommended",
            "index 1.43",
            "hands 1500 mm up, 400 mm out",
        ],
    );
    assert_eq!(found.key(), "lifting level 1 R1");
    assert!(found.source.contains("94-110"), "{}", found.source);
    assert!(found.items.contains(&id("P001")), "the printer is marked");
    // 9.8 of 9.804 kg is well, 9.81 kg is not.
    let well = only(&on_level(&rack(&[1400]), 1, weighs(9.8)));
    is(&well, Standing::Met, Some(0.9996), 1.0);
    let over = only(&on_level(&rack(&[1400]), 1, weighs(9.81)));
    is(&over, Standing::Broken, Some(1.0006), 1.0);
}

/// One finding a level that has too much; what is met, once a rack, by the hardest lift. At 650 mm V = 750: 23 × 0.625 = 14.375 kg. At
/// 100 mm V = 200, D = 550: 23 × 0.625 × 0.835 × 0.901818 × 0.95 = 10.283 kg, held fairly below 75 cm.
#[test]
fn each_level_is_judged_by_itself() {
    let plan = rack(&[100, 650, 1400]);
    let plan = on_level(&plan, 1, weighs(12.0));
    let plan = on_level(&plan, 2, weighs(14.0));
    let all = lifting(&on_level(&plan, 3, weighs(14.0)));
    let keys: Vec<String> = all.iter().map(Finding::key).collect();
    assert_eq!(keys, ["lifting level 1 R1", "lifting level 3 R1"]);
    is(&all[0], Standing::Broken, Some(1.1669), 1.0);
    is(&all[1], Standing::Broken, Some(1.4280), 1.0);
    let plan = on_level(&rack(&[100, 650, 1400]), 1, weighs(9.0));
    let met = only(&on_level(&plan, 2, weighs(14.0)));
    is(&met, Standing::Met, Some(0.9739), 1.0);
    says(&met, &["hardest lift of R1, to level 2: P002"]);
}

/// An index over three is said to be a high risk: 30 / 9.804 = 3.06; just below, 29 / 9.804 = 2.958, it is not.
#[test]
fn a_high_risk_is_said() {
    let high = only(&on_level(&rack(&[1400]), 1, weighs(30.0)));
    is(&high, Standing::Broken, Some(3.0599), 1.0);
    says(&high, &["high risk for nearly everyone"]);
    let not = only(&on_level(&rack(&[1400]), 1, weighs(29.0)));
    assert!(!not.text.contains("high risk"), "{}", not.text);
}

#[test]
fn what_nobody_weighed_is_unknown_and_said_once() {
    let plan = on_level(&rack(&[100, 1400]), 1, |_| ());
    let found = only(&on_level(&plan, 2, |_| ()));
    is(&found, Standing::Unknown, None, 1.0);
    says(&found, &["mass of Machine 1", "mass of Machine 2"]);
    // What is known to be too heavy is said all the same.
    let all = lifting(&on_level(&plan, 2, weighs(14.0)));
    assert_eq!(all.len(), 2, "{all:#?}");
    is(&all[0], Standing::Broken, Some(1.4280), 1.0);
    says(&all[1], &["unknown", "Machine 1"]);
    assert_eq!(lifting(&rack(&[1400])), [], "nothing stands there");
}

/// Beyond 175 cm up or 63 cm out the equation gives no load, whatever the load weighs and whether anybody weighed it.
#[test]
fn beyond_the_range_of_the_equation_no_load_is_recommended() {
    let high = only(&on_level(&rack(&[1651]), 1, |_| ()));
    is(&high, Standing::Broken, None, 1.0);
    says(&high, &["no load recommended with the hands above 1750 mm"]);
    let just = only(&on_level(&rack(&[1650]), 1, |_| ()));
    assert_eq!(just.standing, Standing::Unknown, "1750 mm is not above it");
    // The spool 431 mm behind the printer's front: 150 + 50 + 431 = 631 mm. On the board at 650 it is 1000 mm up.
    let far = only(&on_level(&rack(&[650]), 1, spool_at(350, 431)));
    is(&far, Standing::Broken, None, 1.0);
    says(&far, &["a full spool (1.25 kg)", "further out than 630 mm"]);
    let near = only(&on_level(&rack(&[650]), 1, spool_at(350, 430)));
    // 23 × 25/63 × (1 - 0.003 × 25) × 1 = 8.442 kg.
    is(&near, Standing::Met, Some(0.1481), 1.0);
}

/// A level that stores spools: 1.25 kg set down in the middle of its depth, 100 mm over the board.
#[test]
fn spools_are_lifted_to_where_they_are_stored() {
    let store = |height: i32| {
        let plan = rack(&[height]);
        let mut own = plan.kinds().racks[&kind("shelf")].clone();
        (own.levels[0].slots, own.levels[0].stores) = (0, Stores::Spools);
        edited(
            &plan,
            &Edit::PutKind(kind("shelf"), Box::new(OwnKind::Rack(own))),
        )
    };
    // 23 × 25/40 × (1 - 0.003 × 75) × 0.88 = 9.804 kg.
    let met = only(&store(1400));
    is(&met, Standing::Met, Some(0.1275), 1.0);
    let high = only(&store(1700));
    is(&high, Standing::Broken, None, 1.0);
    says(&high, &["a full spool (1.25 kg)", "above 1750 mm"]);
}

/// Taken up from the floor the beginning is the harder end: V = 100, H = 150 + 200 = 350, D = 650: 23 × 25/35 × 0.805 × 0.889231 × 0.95 =
/// 11.172 kg. Where it ends: 23 × 0.625 × 0.889231 = 12.783 kg.
#[test]
fn the_harder_end_decides() {
    let plan = on_level(&rack(&[650]), 1, weighs(12.0));
    let plan = with_limits(&plan, |l| l.lift_from = Some(to(mm(100))));
    let found = only(&plan);
    is(&found, Standing::Broken, Some(1.0741), 1.0);
    says(&found, &["taken up with the hands 100 mm up, 350 mm out"]);
}

/// Every assumption is a limit that a plan may change.
#[test]
fn the_assumptions_can_be_changed() {
    let plan = on_level(&rack(&[1400]), 1, weighs(14.0));
    let higher = with_limits(&plan, |l| l.lift_index = Some(to(ToOne::fixed(1.5))));
    is(&only(&higher), Standing::Met, Some(1.4280), 1.5);
    // H = 150 + 50 + 50 = 250 mm: 23 × 0.775 × 0.88 = 15.686 kg.
    let near = with_limits(&plan, |l| l.lift_hands = Some(to(mm(50))));
    is(&only(&near), Standing::Met, Some(0.8925), 1.0);
    // V = 1400 mm, D = 650: 23 × 0.625 × 0.805 × 0.889231 = 10.290 kg.
    let lower = with_limits(&plan, |l| l.lift_grip = Some(to(mm(0))));
    is(&only(&lower), Standing::Broken, Some(1.3605), 1.0);
    // D = 500 mm from a cart at 1000: 23 × 0.625 × 0.775 × 0.91 = 10.138 kg.
    let cart = with_limits(&plan, |l| l.lift_from = Some(to(mm(1000))));
    is(&only(&cart), Standing::Broken, Some(1.3810), 1.0);
    // H = 500 mm: 23 × 0.5 × 0.775 × 0.88 = 7.843 kg.
    let off = with_limits(&plan, |l| l.reach_stand_off = Some(to(mm(250))));
    is(&only(&off), Standing::Broken, Some(1.7850), 1.0);
    let spool = on_level(&rack(&[650]), 1, spool_at(350, 430));
    let heavy = with_limits(&spool, |l| l.lift_spool = Some(to(Kilograms::fixed(10.0))));
    // 10 / 8.442 = 1.1846.
    is(&only(&heavy), Standing::Broken, Some(1.1846), 1.0);
}
