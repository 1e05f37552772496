//! Laws that hold for every plan and every edit: derived anew equals derived step by step, undo restores, saving loses
//! nothing, a plan moved as a whole has the same findings.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Findings, Standing};
use aislewright::layout::Layout;
use aislewright::plan::{
    Change, Circuit, Edit, Head, Id, Item, Label, Library, LimitChange, LimitChanges, Outlet,
    Outline, Phase, PhaseNo, Plan, Pose, Presence, Record, Room, Session, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::KindId;
use aislewright::storage;
use aislewright::units::{Amps, Angle, Length, Volts};
use common::{Dice, edited, id, judged, library, rack_at, small_room};

/// An edit of any kind; it may be one that is refused.
fn any_edit(dice: &mut Dice, plan: &Plan) -> Edit {
    let ids: Vec<Id> = plan.items().iter().map(|(id, _)| id).collect();
    let some = |dice: &mut Dice| {
        let k = usize::try_from(dice.roll(i32::try_from(ids.len()).unwrap())).unwrap();
        ids.get(k).copied().unwrap_or_else(|| id("R1"))
    };
    let length = |dice: &mut Dice| Length::from_mm_whole(dice.between(-800, 800));
    let fresh = |letter: &str| plan.fresh(id(&format!("{letter}1")).prefix(), 1)[0];
    match dice.roll(12) {
        0..=2 => Edit::Move(vec![some(dice)], (length(dice), length(dice))),
        3 => Edit::Turn(
            vec![some(dice)],
            Angle::from_degrees(f64::from(dice.between(0, 359))),
        ),
        4 => Edit::Remove(vec![some(dice)]),
        5 => {
            let rack = rack_at("low-72", dice.between(0, 3000), dice.between(0, 3000), 90.0);
            Edit::Put(vec![(fresh("R"), Record::Item(Box::new(rack)))])
        }
        6 => {
            let racks: Vec<Id> = plan
                .items()
                .iter()
                .filter(|(_, i)| matches!(i, Item::Rack(_)))
                .map(|(id, _)| id)
                .collect();
            let Some(rack) = racks.first() else {
                return Edit::Remove(vec![some(dice)]);
            };
            let printers: Vec<Id> = plan
                .printers()
                .iter()
                .filter(|(_, p)| p.slot.rack == *rack)
                .map(|(id, _)| id)
                .collect();
            if printers.is_empty() {
                Edit::Put(common::printers_of(plan, *rack, 1, 2))
            } else {
                Edit::Remove(printers)
            }
        }
        7 => {
            let circuit = Circuit {
                breaker: Amps::new(20.0).unwrap(),
                volts: Volts::new(120.0).unwrap(),
                panel: None,
                presence: Presence::default(),
            };
            let (circuit_id, outlet_id, ups_id) = (fresh("C"), fresh("O"), fresh("U"));
            let outlet = Outlet {
                at: WallPlace {
                    wall: 1,
                    along: Length::from_mm_whole(dice.between(0, 3000)),
                },
                height: Length::from_mm_whole(400),
                receptacles: 2,
                circuit: Some(circuit_id),
                presence: Presence::default(),
            };
            let ups = Ups {
                kind: KindId::new("ups-900").unwrap(),
                stands: UpsPlace::OnFloor(Pose {
                    x: length(dice),
                    y: length(dice),
                    turn: Angle::default(),
                }),
                outlet: Some(outlet_id),
                presence: Presence::default(),
            };
            let printers = plan.printers().iter().take(3).map(|(id, p)| {
                let mut printer = p.clone();
                printer.power = Some(ups_id);
                (id, Record::Printer(printer))
            });
            let mut records = vec![
                (circuit_id, Record::Circuit(circuit)),
                (outlet_id, Record::Item(Box::new(Item::Outlet(outlet)))),
                (ups_id, Record::Item(Box::new(Item::Ups(ups)))),
            ];
            records.extend(printers);
            Edit::Several("Wire".to_owned(), vec![Edit::Put(records)])
        }
        8 => {
            let reason = Label::new("told so").unwrap();
            let changes = LimitChanges {
                aisle: Some(LimitChange {
                    value: Length::from_mm_whole(dice.between(700, 1200)),
                    reason,
                }),
                ..LimitChanges::default()
            };
            Edit::SetLimits(Box::new(changes))
        }
        9 => Edit::SetHead(Box::new(Head {
            hoped_for: Some(7),
            ..plan.head().clone()
        })),
        10 => Edit::SetPhases(vec![Phase::default(), Phase::default()]),
        _ => {
            let ceiling = Length::from_mm_whole(dice.between(2300, 3000));
            Edit::SetRoom(Box::new(Room {
                ceiling,
                ..plan.room().clone()
            }))
        }
    }
}

#[test]
fn step_by_step_is_the_same_as_anew_and_undo_restores() {
    let library = library();
    let mut made = 0;
    for seed in 0..60 {
        let mut dice = Dice::new(seed + 1000);
        let start = small_room(seed);
        let mut session = Session::opened(start.as_ref().clone());
        let mut layout = Layout::of(&library, session.plan(), PhaseNo(1));
        let mut findings = Findings::of(&layout);
        let mut versions = vec![Arc::clone(session.plan())];
        for _ in 0..12 {
            let edit = any_edit(&mut dice, session.plan());
            let before = Arc::clone(session.plan());
            if session.apply(&library.stock, &edit).is_err() {
                assert!(
                    Arc::ptr_eq(&before, session.plan()),
                    "a refused edit changes nothing: {edit:?}"
                );
                continue;
            }
            if Arc::ptr_eq(&before, session.plan()) {
                continue;
            }
            made += 1;
            assert!(
                session.plan().audit(&library.stock).is_empty(),
                "the plan is whole after {edit:?}"
            );
            let change = Change::between(&before, session.plan());
            layout = layout.step(&library, session.plan());
            findings = findings.step(&layout, &change);
            let anew = Layout::of(&library, session.plan(), PhaseNo(1));
            assert_eq!(layout, anew, "room {seed}: after {edit:?}");
            assert_eq!(findings, Findings::of(&anew), "room {seed}: after {edit:?}");
            versions.push(Arc::clone(session.plan()));
        }
        for k in (1..versions.len()).rev() {
            assert_eq!(session.plan(), &versions[k]);
            assert!(session.undo(), "there is a step to take back");
            assert_eq!(session.plan(), &versions[k - 1], "undo restores");
        }
        assert!(!session.undo(), "nothing more to take back");
        for version in versions.iter().skip(1) {
            assert!(session.redo(), "there is a step to make again");
            assert_eq!(session.plan(), version, "redo repeats");
        }
    }
    assert!(made > 300, "too few edits to mean much: {made}");
}

#[test]
fn what_is_saved_reads_back_equal_and_the_same_again() {
    let library = library();
    for seed in 0..40 {
        let mut dice = Dice::new(seed + 2000);
        let mut plan = small_room(seed);
        for _ in 0..6 {
            let edit = any_edit(&mut dice, &plan);
            if let Ok(next) = plan.edited(&library.stock, &edit) {
                plan = Arc::new(next);
            }
        }
        let text = storage::text_of(&plan).expect("every plan can be written");
        let opened = storage::plan_of(&library, "again", text.as_bytes()).expect("and read");
        assert_eq!(opened.plan, *plan, "room {seed}");
        assert_eq!(
            storage::text_of(&opened.plan).expect("written again"),
            text,
            "the text is canonical"
        );
    }
}

/// The plan with its corners and everything on its floor moved by the same amount.
fn moved_whole(library: &Library, plan: &Plan, dx: Length, dy: Length) -> Arc<Plan> {
    let mut room = plan.room().clone();
    let Outline::Corners(corners) = &mut room.outline;
    for corner in corners {
        *corner = (corner.0 + dx, corner.1 + dy);
    }
    let standing: Vec<Id> = plan
        .items()
        .iter()
        .filter(|(_, i)| i.pose().is_some())
        .map(|(id, _)| id)
        .collect();
    let edit = Edit::Several(
        "Move everything".to_owned(),
        vec![
            Edit::SetRoom(Box::new(room)),
            Edit::Move(standing, (dx, dy)),
        ],
    );
    Arc::new(plan.edited(&library.stock, &edit).unwrap())
}

#[test]
fn a_plan_moved_as_a_whole_has_the_same_findings() {
    let library = library();
    for seed in 0..60 {
        let plan = small_room(seed);
        let far = moved_whole(
            &library,
            &plan,
            Length::from_mm_whole(12_345),
            Length::from_mm_whole(-6_789),
        );
        let (_, here) = judged(&plan, 1);
        let (_, there) = judged(&far, 1);
        let row = |f: &Finding| (f.key(), f.standing, f.severity, f.text.clone());
        let a: Vec<_> = here.iter().map(row).collect();
        let b: Vec<_> = there.iter().map(row).collect();
        assert_eq!(a, b, "room {seed}");
        for (f, g) in here.iter().zip(there.iter()) {
            let off = f.measured.unwrap_or(0.0) - g.measured.unwrap_or(0.0);
            assert!(
                off.abs() < 0.01,
                "room {seed}: {} against {}",
                f.text,
                g.text
            );
        }
    }
}

#[test]
fn racks_that_touch_do_not_overlap() {
    let room = Room::rectangle(
        Length::from_feet(20),
        Length::from_feet(20),
        Length::from_feet(9),
        Length::from_inches(6),
    );
    for turn in [0.0, 90.0, 17.0, 45.0, 211.5] {
        let mut plan = Plan::new(Head::default(), room.clone());
        // Two racks end to end, 48 in along the turned width, in the middle of the room.
        let angle = Angle::from_degrees(turn);
        let (sin, cos) = angle.sin_cos();
        let step = Length::from_inches(48).mm();
        for (k, mark) in ["R1", "R2"].into_iter().enumerate() {
            let k = if k == 0 { 0.0 } else { 1.0 };
            let at = Pose {
                x: Length::from_mm(1800.0 + k * step * cos),
                y: Length::from_mm(2600.0 + k * step * sin),
                turn: angle,
            };
            let item = rack_at("short-48", 0, 0, 0.0).with_pose(at);
            plan = edited(
                &plan,
                &Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]),
            )
            .as_ref()
            .clone();
        }
        let (_, findings) = judged(&Arc::new(plan), 1);
        let broken: Vec<&Finding> = findings
            .of_check("fits")
            .iter()
            .filter(|f| f.standing == Standing::Broken)
            .collect();
        assert!(broken.is_empty(), "at {turn} degrees: {broken:?}");
    }
}
