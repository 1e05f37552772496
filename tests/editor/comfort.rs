//! Everything larger: the keys and the menu, that the choice is kept, and that in a window of 1366 by 768 pixels at 250 % every part
//! can still be reached.

use egui::accesskit::Role;
use egui::{Key, Modifiers, Theme, Vec2, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, builder, editor_over, example, keep_picture, settle, window};

/// The example in a window of that many pixels, shown at that many percent.
fn scaled(pixels: Vec2, percent: f32) -> App {
    let scale = percent / 100.0;
    let mut app = builder(pixels / scale, Theme::Light)
        .with_pixels_per_point(scale)
        .with_max_steps(20)
        .build_ui_state(
            |ui, editor: &mut aislewright::editor::app::Editor| editor.ui(ui),
            editor_over(example(), None),
        );
    settle(&mut app);
    app
}

const LAPTOP: Vec2 = vec2(1366.0, 768.0);
const DESK: Vec2 = vec2(1920.0, 1080.0);

#[test]
fn keys_and_menu_change_the_size_and_it_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let settings = Some(folder.path().to_path_buf());
    let editor = editor_over(example(), None).with_settings(settings.clone());
    let mut app = window(editor, vec2(1600.0, 1000.0), Theme::Light);
    app.key_press_modifiers(Modifiers::COMMAND, Key::Plus);
    settle(&mut app);
    assert_eq!(app.state().scale(), 125);
    assert!((app.ctx.zoom_factor() - 1.25).abs() < 1e-6);
    // Where plus needs Shift, the key alone is enough.
    app.key_press_modifiers(Modifiers::COMMAND, Key::Equals);
    settle(&mut app);
    assert_eq!(app.state().scale(), 150);
    app.key_press_modifiers(Modifiers::COMMAND, Key::Minus);
    settle(&mut app);
    assert_eq!(app.state().scale(), 125);
    app.get_by_label("View").click();
    settle(&mut app);
    app.get_by_label_contains("Size of everything: 125 %")
        .click();
    settle(&mut app);
    app.get_by_label("225 %").click();
    settle(&mut app);
    assert_eq!(app.state().scale(), 225);
    assert_eq!(
        editor_over(example(), None).with_settings(settings).scale(),
        225
    );
    app.key_press_modifiers(Modifiers::COMMAND, Key::Num0);
    settle(&mut app);
    assert!((app.ctx.zoom_factor() - 1.0).abs() < 1e-6);
    for _ in 0..12 {
        app.key_press_modifiers(Modifiers::COMMAND, Key::Plus);
        app.run();
    }
    assert_eq!(app.state().scale(), 250, "and no further");
}

#[test]
fn the_theme_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let settings = Some(folder.path().to_path_buf());
    let again = || editor_over(example(), None).with_settings(settings.clone());
    assert_eq!(again().theme(), Theme::Light, "until another is chosen");
    let mut app = window(again(), vec2(1600.0, 1000.0), Theme::Light);
    app.key_press_modifiers(Modifiers::COMMAND, Key::T);
    settle(&mut app);
    assert_eq!(again().theme(), Theme::Dark);
    app.key_press_modifiers(Modifiers::COMMAND, Key::T);
    settle(&mut app);
    assert_eq!(again().theme(), Theme::Light);
}

#[test]
fn the_floors_own_zoom_has_its_keys() {
    let mut app = app();
    let zoom = |app: &App| app.state().camera().unwrap().points(1000.0);
    let before = zoom(&app);
    app.key_press_modifiers(Modifiers::ALT, Key::Plus);
    settle(&mut app);
    assert!(zoom(&app) > before * 1.2);
    app.key_press(Key::Home);
    settle(&mut app);
    assert!((zoom(&app) - before).abs() < 1e-3);
}

/// Brings a control on the screen and sees that it is there: by scrolling where need be.
fn reach(app: &mut App, label: &str) {
    let node = app.query_all_by_label(label).next();
    let Some(node) = node else {
        panic!("{label} is nowhere");
    };
    node.scroll_to_me();
    settle(app);
    settle(app);
    let rect = app.query_all_by_label(label).next().unwrap().rect();
    let screen = app.ctx.content_rect();
    assert!(
        screen.contains(rect.center())
            && rect.left() >= -1.0
            && rect.right() <= screen.right() + 1.0,
        "{label} lies at {rect:?}, outside of {screen:?}"
    );
}

fn click(app: &mut App, label: &str) {
    app.query_all_by_label(label).next().unwrap().click();
    settle(app);
}

#[test]
fn at_250_percent_on_a_small_screen_every_part_can_be_reached() {
    let mut app = scaled(LAPTOP, 250.0);
    for label in [
        "Plan",
        "Change",
        "Arrange",
        "View",
        "Fill: count what the floor holds",
        "Find a mark or kind",
    ] {
        reach(&mut app, label);
    }
    let parts: [(&str, &[&str]); 6] = [
        ("Floor", &["Air", "Ways", "Power", "Phases"]),
        ("Stock", &["Find in stock", "Door", "Outlet"]),
        (
            "Card",
            &[
                "name",
                "printers hoped for",
                "Change aisle",
                "Change reach-low",
            ],
        ),
        ("Punch list", &["Show what is met"]),
        ("Elevation", &["Wall to the left", "Wall to the right"]),
        ("Count", &["1 First twelve", "3 Growth"]),
    ];
    for (part, controls) in parts {
        click(&mut app, part);
        for label in controls {
            reach(&mut app, label);
        }
    }
    // What a finding offers is reached too, the last one of the list as well.
    click(&mut app, "Punch list");
    let last = app
        .query_all_by_role(Role::Button)
        .filter_map(|n| n.accesskit_node().label())
        .rfind(|l| l.starts_with("Accept: "))
        .unwrap();
    reach(&mut app, &last);
    // Panels in the place of the stock drawer come on show by themselves.
    app.key_press(Key::F9);
    settle(&mut app);
    reach(&mut app, "Back to the stock drawer");
    app.key_press(Key::F6);
    settle(&mut app);
    reach(&mut app, "Tape walk");
    click(&mut app, "Tape walk");
    reach(&mut app, "Walls of the room");
    reach(&mut app, "add a diagonal");
    app.key_press_modifiers(Modifiers::SHIFT, Key::F6);
    settle(&mut app);
    reach(&mut app, "Choose a picture…");
}

#[test]
fn long_menus_and_questions_scroll_at_250_percent() {
    let mut app = scaled(LAPTOP, 250.0);
    for (menu, last) in [
        ("Change", "Fill the floor"),
        ("Arrange", "Pin or unpin"),
        ("View", "Light or dark"),
        ("Plan", "Quit"),
    ] {
        click(&mut app, menu);
        let label = app
            .query_all_by_label_contains(last)
            .next()
            .and_then(|n| n.accesskit_node().label())
            .unwrap_or_else(|| panic!("{last} is nowhere in {menu}"));
        reach(&mut app, &label);
        app.key_press(Key::Escape);
        settle(&mut app);
    }
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    for label in ["Name", "Door width", "Create plan", "Not now"] {
        reach(&mut app, label);
    }
    click(&mut app, "Not now");
    let mut app = scaled(LAPTOP, 250.0);
    app.state_mut().ask_how_to_begin();
    settle(&mut app);
    for label in [
        "A new room",
        "Trace a picture",
        "See the example",
        "Open a plan…",
    ] {
        reach(&mut app, label);
    }
}

/// A thing taken from the stock drawer comes over the floor, and is put down there.
#[test]
fn in_a_small_window_a_thing_goes_from_the_drawer_to_the_floor() {
    let mut app = scaled(LAPTOP, 200.0);
    click(&mut app, "Stock");
    let before = app.state().session().plan().items().iter().count();
    let entry = app.query_all_by_label("Column").next().unwrap();
    entry.scroll_to_me();
    settle(&mut app);
    let from = app
        .query_all_by_label("Column")
        .next()
        .unwrap()
        .rect()
        .center();
    app.drag_at(from);
    app.run();
    app.hover_at(from + vec2(30.0, 0.0));
    app.run();
    app.run();
    let to = app.state().camera().map_or(from, |c| c.view().center());
    app.hover_at(to);
    app.run();
    app.drop_at(to);
    settle(&mut app);
    let after = app.state().session().plan().items().iter().count();
    assert_eq!(after, before + 1);
}

/// Writes pictures: `PICTURES=/tmp/scale cargo test --test editor pictures_of_all_sizes`.
#[test]
fn pictures_of_all_sizes() {
    for (name, pixels) in [("laptop", LAPTOP), ("desk", DESK)] {
        for percent in [100.0, 150.0, 200.0, 250.0] {
            let mut app = scaled(pixels, percent);
            let picture = keep_picture(&mut app, &format!("{name}-{percent}.png"));
            assert!(
                picture
                    .width()
                    .abs_diff(if name == "laptop" { 1366 } else { 1920 })
                    <= 1
            );
            if percent > 240.0 {
                for part in ["Stock", "Card", "Punch list", "Elevation", "Count"] {
                    click(&mut app, part);
                    keep_picture(&mut app, &format!("{name}-{percent}-{part}.png"));
                }
            }
        }
    }
}
