//! What an empty plan says: every panel tells how to begin, and what it says goes when there is something to show. And phases are
//! made, named and taken away where they are shown.

use aislewright::plan::{
    Edit, Head, Item, Library, PhaseNo, Plan, Pose, Presence, Record, Room, Zone, ZoneUse,
};
use aislewright::units::{Length, Practice};
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{App, editor_over, example, keep_picture, plan, settle, window};

/// A room with nothing in it.
fn empty(size: egui::Vec2, theme: Theme) -> App {
    let mm = Length::from_mm_whole;
    let room = Room::rectangle(mm(6000), mm(4000), mm(2700), mm(150));
    let head = Head {
        practice: Practice::Metric,
        ..Head::default()
    };
    let plan = Plan::new(head, room);
    let faults = plan.audit(&Library::builtin().unwrap().stock);
    assert!(faults.is_empty(), "{faults:?}");
    window(editor_over(plan, None), size, theme)
}

#[test]
fn every_panel_of_an_empty_plan_tells_how_to_begin() {
    let mut app = empty(vec2(1600.0, 1000.0), Theme::Light);
    let hints = [
        "No rack yet. Drag one here from the stock",
        "Drag onto the floor. Enter puts it at a free place.",
        "Click a thing on the floor for its own card.",
        "There is not much to judge yet.",
        "Nothing is on this wall yet.",
        "None yet. Add those that the panel's directory names",
    ];
    for hint in hints {
        app.get_by_label_contains(hint);
    }
    for (modifiers, key, hint) in [
        (Modifiers::NONE, Key::F7, "Nothing was changed yet."),
        (Modifiers::SHIFT, Key::F6, "under the floor"),
        (Modifiers::NONE, Key::F9, "Racks to choose from"),
    ] {
        app.key_press_modifiers(modifiers, key);
        settle(&mut app);
        assert!(
            app.query_all_by_label_contains(hint).next().is_some(),
            "{hint}"
        );
    }
    app.key_press(Key::F9);
    settle(&mut app);
    let rack = app.get_all_by_label_contains("Full rack").next().unwrap();
    rack.focus();
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    for hint in [hints[0], hints[3]] {
        assert!(app.query_by_label_contains(hint).is_none(), "{hint}");
    }
}

#[test]
fn phases_are_added_named_and_taken_away() {
    let mut app = empty(vec2(1600.0, 1000.0), Theme::Light);
    app.get_by_label("Add a phase").click();
    settle(&mut app);
    assert_eq!(plan(&app).phases().len(), 2);
    assert_eq!(app.state().phase().0, 2, "the new one is on show");
    app.get_by_label("phase 2").focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("phase 2").type_text("Next spring");
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    app.get_by_label("2 Next spring");
    app.get_by_label("Remove phase 2").click();
    settle(&mut app);
    assert_eq!(plan(&app).phases().len(), 1);
    assert!(app.query_by_label("Remove phase 1").is_none(), "one stays");
}

#[test]
fn a_phase_in_which_things_arrive_is_kept() {
    let mut app = window(
        editor_over(example(), None),
        vec2(1600.0, 2000.0),
        Theme::Light,
    );
    let before = plan(&app).clone();
    app.get_by_label("Remove phase 3").click();
    settle(&mut app);
    assert_eq!(*plan(&app), before);
    app.get_by_label_contains("there is no phase 3");
}

/// A promise to be dry from a phase keeps that phase in the plan.
#[test]
fn a_phase_from_which_a_zone_is_dry_is_kept() {
    let mut app = empty(vec2(1600.0, 1000.0), Theme::Light);
    app.get_by_label("Add a phase").click();
    settle(&mut app);
    let zone = Item::Zone(Zone {
        purpose: ZoneUse::Wet {
            dry_from: Some(PhaseNo(2)),
        },
        at: Pose::default(),
        width: Length::from_mm_whole(500),
        depth: Length::from_mm_whole(500),
        low: Length::ZERO,
        high: None,
        presence: Presence::default(),
    });
    let records = vec![("Z1".parse().unwrap(), Record::Item(Box::new(zone)))];
    let stock = &Library::builtin().unwrap().stock;
    let plan = plan(&app).edited(stock, &Edit::Put(records)).unwrap();
    let one = Edit::SetPhases(plan.phases()[..1].to_vec());
    let refused = plan.edited(stock, &one).unwrap_err();
    assert!(refused.to_string().contains("no phase 2"), "{refused}");
}

/// Writes pictures: `PICTURES=/tmp/empty cargo test --test editor pictures_of_an_empty_plan`.
#[test]
fn pictures_of_an_empty_plan() {
    for theme in [Theme::Light, Theme::Dark] {
        for (w, h) in [(1280_u16, 800_u16), (1920, 1080)] {
            let mut app = empty(vec2(w.into(), h.into()), theme);
            let picture = keep_picture(&mut app, &format!("empty-{theme:?}-{w}.png"));
            assert_eq!(picture.width(), u32::from(w));
        }
    }
}
