//! How many gestures it takes to move a rack in a later phase, and what the plan then says. A gesture is a click, a drag, a key
//! chord or one typed value.

use aislewright::plan::{Id, Library, PhaseNo, Plan, Status};
use aislewright::storage;
use egui::{Event, Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{App, app, keep_picture, plan, settle};

fn key(app: &mut App, key: Key, pressed: bool) {
    app.event(Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    });
    app.step();
}

/// R1 of phase 1 is dragged in phase 2 with P held: phase 1 stays as it was.
#[test]
#[expect(clippy::print_stdout, reason = "the count is what is asked for")]
fn a_rack_is_moved_in_phase_two() {
    let mut app = app();
    let one: Id = "R1".parse().unwrap();
    let before = plan(&app).items().get(one).unwrap().clone();
    let printers = |plan: &Plan, phase: u8| {
        let there = plan.printers().iter();
        there
            .filter(|(_, p)| p.presence.holds_in(PhaseNo(phase)))
            .count()
    };
    let counts: Vec<usize> = (1..=3).map(|n| printers(plan(&app), n)).collect();
    let mut gestures = 0;

    app.get_by_label("2 All 28 moved in").click();
    settle(&mut app);
    gestures += 1;

    let at = app.get_by_label_contains("Rack R1 at ").rect().center();
    key(&mut app, Key::P, true);
    app.hover_at(at);
    app.step();
    app.drag_at(at);
    app.step();
    for k in 1..=5_u8 {
        app.hover_at(at + vec2(25.0, 22.0) * f32::from(k));
        app.step();
    }
    app.drop_at(at + vec2(125.0, 110.0));
    key(&mut app, Key::P, false);
    settle(&mut app);
    gestures += 1;

    println!("gestures phase: {gestures}");
    assert!(gestures <= 4);
    let moved = app.state().selection().lead().unwrap();
    assert_ne!(moved, one, "it stands there under a mark of its own");
    let (old, new) = (
        plan(&app).items().get(one).unwrap().clone(),
        plan(&app).items().get(moved).unwrap().clone(),
    );
    assert_eq!(old.pose(), before.pose(), "phase 1 is as it was");
    assert_eq!(old.presence().leaves, Some(PhaseNo(2)));
    assert_ne!(new.pose(), before.pose());
    assert_eq!(new.presence().arrives, PhaseNo(2));
    assert_eq!(new.presence().status, Status::Moved);
    assert_eq!(new.presence().moved_from, Some(one));
    let after: Vec<usize> = (1..=3).map(|n| printers(plan(&app), n)).collect();
    assert_eq!(after, counts, "its printers came along, none twice");
    for (id, printer) in plan(&app).printers().iter() {
        if printer.slot.rack == moved {
            assert!(printer.presence.moved_from.is_some(), "{id}");
        }
    }
    assert!(
        plan(&app)
            .audit(&Library::builtin().unwrap().stock)
            .is_empty()
    );
    // What it was is shown in the phase before, and the file tells it.
    let text = storage::text_of(plan(&app)).unwrap();
    assert!(text.contains("moved_from"), "recorded in the file");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(*plan(&app).items().get(one).unwrap(), before, "one step");
}

/// The same by keyboard: a chord, then the arrow keys.
#[test]
fn a_rack_is_moved_in_phase_two_by_keyboard() {
    let mut app = app();
    let one: Id = "R1".parse().unwrap();
    let before = plan(&app).items().get(one).unwrap().pose();
    app.get_by_label("2 All 28 moved in").click();
    settle(&mut app);
    app.get_by_label_contains("Rack R1 at ").click();
    settle(&mut app);
    let shifted = Modifiers::COMMAND.plus(Modifiers::SHIFT);
    app.key_press_modifiers(shifted, Key::P);
    settle(&mut app);
    app.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    settle(&mut app);
    let moved = app.state().selection().lead().unwrap();
    assert_ne!(moved, one);
    let there = plan(&app).items().get(moved).unwrap().pose().unwrap();
    let was = before.unwrap();
    assert!((was.y - there.y).inches() > 11.9, "a foot down the sheet");
    assert_eq!(plan(&app).items().get(one).unwrap().pose(), before);
    app.get_by_label("It was R1 before it moved.");
}

/// Draws the phases over each other: `PICTURES=/tmp/phases cargo test --test editor picture_of_the_phases`.
#[test]
fn picture_of_the_phases() {
    let mut app = app();
    app.get_by_label("1 First twelve").click();
    settle(&mut app);
    let picture = keep_picture(&mut app, "phases.png");
    assert_eq!(picture.width(), 1600);
}
