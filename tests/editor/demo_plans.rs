//! The demo plans in the editor: each phase on the floor and in the punch list, and the broken plan, which may only be looked at.

use std::path::Path;

use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{App, click, editor_over, example, keep_picture, settle, type_into, window};

/// The example's window, with a copy of that demo plan opened in it: opening locks the file.
fn opened(folder: &Path, name: &str) -> App {
    let copy = folder.join(name);
    std::fs::copy(Path::new("demo-data").join(name), &copy).unwrap();
    let mut app = window(
        editor_over(example(), None),
        vec2(1600.0, 1000.0),
        Theme::Light,
    );
    app.key_press_modifiers(Modifiers::COMMAND, Key::O);
    settle(&mut app);
    type_into(&mut app, "Plan file", copy.to_str().unwrap());
    app
}

#[test]
fn the_cellar_is_shown_phase_by_phase() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = opened(folder.path(), "press-cellar.plan.ron");
    click(&mut app, "3 Night shift");
    app.get_by_label_contains("R4 and L1 stand 350 mm inside each other");
    app.get_by_label_contains("Rack R5 at ");
    keep_picture(&mut app, "press-cellar.png");
    click(&mut app, "1 First nine");
    app.get_by_label_contains("Nobody has promised when wet zone Z1 is dry");
    assert!(app.query_by_label_contains("Rack R5 at ").is_none());
    keep_picture(&mut app, "press-cellar-first.png");
}

#[test]
fn the_loft_is_shown_with_its_200_printers() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = opened(folder.path(), "long-loft.plan.ron");
    click(&mut app, "2 Islands");
    app.get_by_label_contains("P200 on level 1 of R23 needs");
    app.get_by_label_contains("Rack R22 at ");
    keep_picture(&mut app, "long-loft.png");
}

#[test]
fn the_broken_plan_may_only_be_looked_at_beside_its_faults() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = opened(folder.path(), "broken.plan.ron");
    app.get_by_label_contains("walls 1 and 3 cross or touch");
    keep_picture(&mut app, "broken-faults.png");
    click(&mut app, "Close");
    app.get_by_label_contains("read only");
    keep_picture(&mut app, "broken.png");
}
