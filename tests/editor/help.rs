//! The help behind every figure and every check: each field of every card says what it is, and what `explain` tells of a check is
//! one click from its findings.

use aislewright::checks::CHECKS;
use aislewright::plan::Id;
use egui::accesskit::Role;
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{
    App, app, click, editor_over, example, keep_picture, plan, settle, type_into, window,
};

/// A window high enough for every field of a card.
fn tall() -> App {
    window(
        editor_over(example(), None),
        vec2(1600.0, 9000.0),
        Theme::Light,
    )
}

/// The fields of the card without help, by name; and how many there are in all.
fn without_help(app: &App) -> (Vec<String>, usize) {
    let mut fields = 0;
    let mut bare = Vec::new();
    let roles = [
        Role::TextInput,
        Role::MultilineTextInput,
        Role::ComboBox,
        Role::CheckBox,
    ];
    for role in roles {
        for node in app.query_all_by_role(role) {
            let rect = node.rect();
            let name = node.accesskit_node().label().unwrap_or_default();
            if rect.left() < 1260.0 || rect.top() < 200.0 || name == "Show what is met" {
                continue;
            }
            fields += 1;
            let words = node.accesskit_node().description().unwrap_or_default();
            if words.trim().is_empty() {
                bare.push(name);
            }
        }
    }
    (bare, fields)
}

#[test]
fn every_field_of_every_card_says_what_it_is() {
    let mut app = tall();
    for name in [
        "Data point",
        "Extinguisher",
        "Radiator",
        "Beam",
        "Detector",
        "Bench",
        "Bin",
        "Cart",
        "Spool store",
        "Strip light 1.2 m, 4,000 lm",
        "Watch camera, 100 degrees across",
        "Note",
    ] {
        app.get_by_label(name).focus();
        app.run();
        app.key_press(Key::Enter);
        settle(&mut app);
    }
    let (bare, fields) = without_help(&app);
    assert!(fields > 4, "the last thing put down has its card");
    assert_eq!(bare, Vec::<String>::new());
    let items: Vec<Id> = plan(&app).items().iter().map(|(id, _)| id).collect();
    let circuits = plan(&app).circuits().iter().map(|(id, _)| id);
    let printers = plan(&app).printers().iter().map(|(id, _)| id).take(1);
    let things: Vec<Id> = items.into_iter().chain(circuits).chain(printers).collect();
    assert!(things.len() > 20);
    for id in things {
        app.state_mut().select(id);
        settle(&mut app);
        let (bare, fields) = without_help(&app);
        assert!(fields > 2, "{id} has a card");
        assert_eq!(bare, Vec::<String>::new(), "{id}");
    }
}

/// What a battery asks for is there once it has a voltage.
#[test]
fn every_field_of_a_battery_says_what_it_is() {
    let mut app = tall();
    app.state_mut().select("U1".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "battery", "24 V, 9 Ah");
    app.get_by_role_and_label(Role::TextInput, "left at its age");
    let (bare, fields) = without_help(&app);
    assert!(fields > 15, "{fields} fields");
    assert_eq!(bare, Vec::<String>::new());
}

#[test]
fn every_field_of_a_level_says_what_it_is() {
    let mut app = tall();
    app.state_mut().select("R1".parse().unwrap());
    settle(&mut app);
    app.get_by_label_contains("Board 2 of R1").click();
    settle(&mut app);
    choose(&mut app, "pads under them", "Paver 40 mm");
    app.get_by_role_and_label(Role::TextInput, "pad under load");
    let (bare, fields) = without_help(&app);
    assert!(fields > 15, "{fields} fields");
    assert_eq!(bare, Vec::<String>::new());
}

/// Chooses in a list, by the beginning of what stands there.
fn choose(app: &mut App, label: &str, words: &str) {
    app.get_by_role_and_label(Role::ComboBox, label).click();
    settle(app);
    app.get_by_label_contains(words).click();
    settle(app);
}

#[test]
fn every_field_of_the_plans_own_card_says_what_it_is() {
    let mut app = tall();
    app.get_by_label("Change aisle").click();
    settle(&mut app);
    for thing in ["bench", "cabinet"] {
        app.get_all_by_label(&format!("Add a {thing}"))
            .next()
            .unwrap()
            .click();
        settle(&mut app);
    }
    click(&mut app, "Add the load of lights");
    let (bare, fields) = without_help(&app);
    assert!(fields > 35, "{fields} fields");
    assert_eq!(bare, Vec::<String>::new());
}

/// A field that has the keyboard shows its help without the mouse.
#[test]
fn help_is_shown_to_whoever_comes_by_keyboard() {
    let mut app = app();
    let words = "the tape shows it beside what the room holds";
    assert!(app.query_by_label_contains(words).is_none());
    app.get_by_label("printers hoped for").focus();
    app.run();
    app.get_by_label_contains(words);
    app.key_press(Key::Tab);
    app.run();
    app.run();
    assert!(app.query_by_label_contains(words).is_none());
}

#[test]
fn a_finding_leads_to_what_there_is_to_read_about_its_check() {
    let mut app = app();
    app.get_all_by_label("About door-swing")
        .next()
        .unwrap()
        .click();
    settle(&mut app);
    let check = CHECKS.iter().find(|c| c.id == "door-swing").unwrap();
    for (heading, words) in check.parts() {
        app.get_by_label(heading);
        assert!(app.query_all_by_label(words).next().is_some(), "{heading}");
    }
    // Its limits stand there as this plan has them, with where they come from.
    app.get_by_label_contains("door-clear: 2' 8\". Least clear width");
    assert!(
        app.query_all_by_label_contains("ADA 2010 Standards 404.2.3")
            .next()
            .is_some()
    );
}

#[test]
fn every_check_can_be_read_about_by_keyboard_alone() {
    let mut app = app();
    app.key_press_modifiers(Modifiers::SHIFT, Key::F1);
    settle(&mut app);
    app.get_by_label("Check to read about").click();
    settle(&mut app);
    for check in CHECKS {
        let label = format!("{}: {}", check.id, check.title);
        assert!(
            app.query_all_by_label(&label).next().is_some(),
            "{label} is in the list"
        );
    }
    app.get_by_label("throw: Draught at the printers").focus();
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    let throw = CHECKS.iter().find(|c| c.id == "throw").unwrap();
    app.get_by_label(throw.how);
    app.key_press_modifiers(Modifiers::SHIFT, Key::F1);
    settle(&mut app);
    assert!(
        app.query_by_label(throw.how).is_none(),
        "the drawer is back"
    );
}

/// Writes pictures: `PICTURES=/tmp/help cargo test --test editor pictures_of_the_help`.
#[test]
fn pictures_of_the_help() {
    let mut app = app();
    app.get_all_by_label("About door-swing")
        .next()
        .unwrap()
        .click();
    settle(&mut app);
    app.get_by_label("printers hoped for").focus();
    app.run();
    let picture = keep_picture(&mut app, "help.png");
    assert_eq!(picture.width(), 1600);
}
