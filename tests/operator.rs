//! The operator of a plan: measured or of a survey, in the limits that reach is judged by, in files and in edits.

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Standing};
use aislewright::handbook::reach::{
    CIVILIAN_GRIP_HEIGHT_MM, GRIP_HEIGHT, SHOES_MM, SHOULDER_HEIGHT,
};
use aislewright::plan::{
    Body, Edit, Head, Label, LimitChange, LimitChanges, Operator, Plan, Record, Room, Session,
};
use aislewright::storage;
use aislewright::units::{Length, Practice};
use common::{edited, example, id, judged, library, printers_of, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn with(plan: &Plan, operator: Operator) -> Arc<Plan> {
    edited(plan, &Edit::SetOperator(operator))
}

/// A room in millimetres with nine printers on one rack.
fn room() -> Arc<Plan> {
    let head = Head {
        practice: Practice::Metric,
        ..Head::default()
    };
    let room = Room::rectangle(mm(4000), mm(4000), mm(2700), mm(150));
    let rack = Record::Item(Box::new(rack_at("full-72", 1000, 1000, 0.0)));
    let plan = edited(&Plan::new(head, room), &Edit::Put(vec![(id("R1"), rack)]));
    edited(&plan, &Edit::Put(printers_of(&plan, id("R1"), 3, 3)))
}

/// Grip and shoulder in force in whole millimetres, each with its source.
fn in_force(plan: &Plan) -> [(f64, String); 2] {
    let limits = library().limits_of(plan);
    [limits.reach_grip, limits.reach_shoulder].map(|l| (l.value.mm().round(), l.source_words()))
}

fn figures(plan: &Plan) -> (f64, f64) {
    let [grip, shoulder] = in_force(plan);
    (grip.0, shoulder.0)
}

fn reach(plan: &Arc<Plan>) -> Vec<Finding> {
    let (_, findings) = judged(plan, 1);
    let found = findings.of_check("reach").iter();
    found.map(|f| f.as_ref().clone()).collect()
}

/// Nobody named: a small adult of the public, 1770 mm, with the shoulder of the survey's 5th percentile of women.
#[test]
fn without_an_operator_the_limits_hold() {
    for plan in [example(), room()] {
        assert_eq!(figures(&plan), (CIVILIAN_GRIP_HEIGHT_MM, 1242.0));
        let named = with(&plan, Operator::default());
        assert_eq!(*named, *plan, "the default is nobody");
        let text = storage::text_of(&named).unwrap();
        assert!(!text.contains("operator"), "nothing is written of it");
    }
}

/// The figures of ANSUR II as handbook/reach.rs has them, and 25 mm more in shoes.
#[test]
fn a_model_operator_has_the_figures_of_the_survey() {
    let plan = room();
    for (body, grip, shoulder, word) in [
        (
            Body::Women,
            GRIP_HEIGHT.women,
            SHOULDER_HEIGHT.women,
            "women",
        ),
        (Body::Men, GRIP_HEIGHT.men, SHOULDER_HEIGHT.men, "men"),
    ] {
        for (shoes, more) in [(false, 0.0), (true, SHOES_MM)] {
            let operator = Operator {
                body,
                shoes,
                ..Operator::default()
            };
            let [found_grip, found_shoulder] = in_force(&with(&plan, operator));
            assert!((found_grip.0 - grip.p5_mm - more).abs() < 1e-9);
            assert!((found_shoulder.0 - shoulder.p5_mm - more).abs() < 1e-9);
            for (_, source) in [&found_grip, &found_shoulder] {
                assert!(source.contains("ANSUR II 2012"), "{source}");
                assert!(source.contains(&format!("{word}, 5th percentile")));
                assert_eq!(source.contains("25 mm added"), shoes, "{source}");
            }
            assert!(found_grip.1.contains("derived"), "{}", found_grip.1);
        }
    }
}

/// The spool of a printer on level 3 is 50 + 17.5 in = 1714.5 mm up and, off by 150 mm, 150 + 63.5 + 228.6 = 442.1 mm from the shoulder.
/// Women of the survey, by hand: arm 581 mm, √(581² - 442.1²) = 377.0, 1242 + 377.0 = 1619.0 mm: out of reach. Men: arm 648 mm, √(648² -
/// 442.1²) = 473.8, 1339 + 473.8 = 1812.8 mm: within. Own figures: arm 500 mm, √(500² - 442.1²) = 233.6 mm, 1450 + 233.6 = 1683.6 mm.
#[test]
fn reach_is_judged_by_the_operators_arm() {
    let spool = |plan: &Arc<Plan>| {
        let broken = reach(plan).into_iter().find(|f| f.facet == "level 3 spool");
        broken.map(|f| (f.limit.unwrap(), f.source))
    };
    let plan = room();
    let of = |body| Operator {
        body,
        ..Operator::default()
    };
    let (height, source) = spool(&with(&plan, of(Body::Women))).unwrap();
    assert!((height - 1619.0).abs() < 0.1, "{height}");
    assert!(source.contains("ANSUR II 2012"), "{source}");
    assert_eq!(spool(&with(&plan, of(Body::Men))), None);
    let own = Operator {
        grip: Some(mm(1950)),
        shoulder: Some(mm(1450)),
        ..of(Body::Men)
    };
    let (height, source) = spool(&with(&plan, own)).unwrap();
    assert!((height - 1683.6).abs() < 0.1, "{height}");
    assert_eq!(
        source,
        "grip: measured by the owner; shoulder: measured by the owner"
    );
}

/// Only one of the two measured: the other in proportion, so that the arm fits the person. 1770 / 1242 of the default: a grip of
/// 1947 mm, a tenth more, has the shoulder at 1366 mm; a shoulder at 1366 mm has its grip at 1947 mm (1946.7).
#[test]
fn what_was_not_measured_is_taken_in_proportion() {
    let plan = room();
    let grip = Operator {
        grip: Some(mm(1947)),
        ..Operator::default()
    };
    assert_eq!(figures(&with(&plan, grip)), (1947.0, 1366.0));
    let shoulder = Operator {
        shoulder: Some(mm(1366)),
        ..Operator::default()
    };
    let plan = with(&plan, shoulder);
    assert_eq!(figures(&plan), (1947.0, 1366.0));
    let [(_, grip), (_, shoulder)] = in_force(&plan);
    assert!(grip.starts_with("in proportion to the measured shoulder; "));
    assert!(grip.ends_with("(own judgement)"), "{grip}");
    assert_eq!(shoulder, "measured by the owner");
}

/// A plan that changed a limit keeps it, whatever model is chosen later; a measure of one's own goes before it.
#[test]
fn a_changed_limit_holds_until_somebody_measures() {
    let plan = room();
    let changes = LimitChanges {
        reach_grip: Some(LimitChange {
            value: mm(1900),
            reason: Label::new("we are tall").unwrap(),
        }),
        ..LimitChanges::default()
    };
    let plan = edited(&plan, &Edit::SetLimits(Box::new(changes)));
    assert_eq!(figures(&plan), (1900.0, 1242.0));
    assert!(in_force(&plan)[0].1.contains("we are tall"));
    let men = Operator {
        body: Body::Men,
        ..Operator::default()
    };
    assert_eq!(figures(&with(&plan, men)), (1900.0, 1339.0));
    let own = Operator {
        grip: Some(mm(2000)),
        ..men
    };
    // 2000 × 1339 / 1987 = 1347.8 mm.
    assert_eq!(figures(&with(&plan, own)), (2000.0, 1348.0));
    let shoulder = Operator {
        shoulder: Some(mm(1400)),
        ..men
    };
    assert_eq!(figures(&with(&plan, shoulder)), (1900.0, 1400.0));
}

#[test]
fn an_operator_is_saved_loaded_and_taken_back() {
    let operator = Operator {
        body: Body::Women,
        shoes: true,
        grip: Some(mm(1888)),
        shoulder: None,
    };
    let mut session = Session::opened(room().as_ref().clone());
    let before = Arc::clone(session.plan());
    let edit = Edit::SetOperator(operator);
    session.apply(&library().stock, &edit).unwrap();
    let text = storage::text_of(session.plan()).unwrap();
    assert!(
        text.contains("operator: (body: Women, shoes: true, grip: \"1888mm\")"),
        "{text}"
    );
    let again = storage::plan_of(library(), "again", text.as_bytes()).unwrap();
    assert_eq!(again.plan, **session.plan());
    assert_eq!(edit.label(), "Change the operator");
    session.undo();
    assert_eq!(**session.plan(), *before);
}

#[test]
fn impossible_measures_are_refused_and_unfit_ones_said() {
    let plan = room();
    let refused = |grip: i32, shoulder: Option<i32>| {
        let operator = Operator {
            grip: Some(mm(grip)),
            shoulder: shoulder.map(mm),
            ..Operator::default()
        };
        let edit = Edit::SetOperator(operator);
        plan.edited(&library().stock, &edit)
            .unwrap_err()
            .to_string()
    };
    let why = refused(1400, Some(1400));
    assert!(why.contains("grip is no higher than the shoulder"), "{why}");
    let why = refused(-5, None);
    assert!(why.contains("head › operator › grip"), "{why}");
    // A limit may still contradict the operator: then nobody knows, and that is said once a rack.
    let changes = LimitChanges {
        reach_shoulder: Some(LimitChange {
            value: mm(1800),
            reason: Label::new("a slip").unwrap(),
        }),
        ..LimitChanges::default()
    };
    let plan = edited(&plan, &Edit::SetLimits(Box::new(changes)));
    let all = reach(&plan);
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!(all[0].standing, Standing::Unknown);
    assert!(
        all[0]
            .text
            .contains("grip at 1770 mm is no higher than the shoulder at 1800 mm")
    );
}
