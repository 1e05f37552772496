//! The first window: the example, a new room, a picture to trace, and the plans opened last.

use std::path::{Path, PathBuf};

use aislewright::editor::settings::MOST_RECENT;
use aislewright::storage;
use aislewright::storage::disk::RealDisk;
use aislewright::storage::save::Expected;
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::Queryable as _;
use image::RgbImage;
use image::codecs::png::PngEncoder;

use crate::harness::{App, click, editor_over, example, keep_picture, plan, settle, window};

/// The program as it starts without a plan, its settings in that folder.
fn started(settings: &Path) -> App {
    let mut editor = editor_over(example(), None).with_settings(Some(settings.to_path_buf()));
    editor.ask_how_to_begin();
    window(editor, vec2(1600.0, 1000.0), Theme::Light)
}

/// Saves the example under a name.
fn saved(folder: &Path, name: &str) -> PathBuf {
    let path = folder.join(name);
    storage::write(&RealDisk, &path, &example(), Expected::Nothing).unwrap();
    path
}

#[test]
fn the_example_is_one_click_away() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = started(folder.path());
    app.get_by_label_contains("Plans that you save or open will stand here");
    click(&mut app, "See the example");
    assert!(app.query_by_label("A new room").is_none());
    assert_eq!(*plan(&app), example());
}

/// The first choice has the keyboard: Enter goes on to width, length and door.
#[test]
fn a_new_room_is_made_by_keyboard_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = started(folder.path());
    app.key_press(Key::Enter);
    settle(&mut app);
    app.get_by_label("Width, west to east");
    click(&mut app, "Create plan");
    assert_eq!(plan(&app).items().iter().count(), 1, "a door");
    assert_eq!(plan(&app).room().walls(), 4);
}

#[test]
#[expect(clippy::disallowed_methods, reason = "a test makes its own files")]
fn tracing_leads_from_the_picture_to_sizing_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("scan.png");
    let mut bytes = Vec::new();
    let scan = RgbImage::from_pixel(300, 200, image::Rgb([200, 210, 220]));
    scan.write_with_encoder(PngEncoder::new(&mut bytes))
        .unwrap();
    std::fs::write(&path, bytes).unwrap();
    let mut app = started(folder.path());
    click(&mut app, "Trace a picture");
    // Thinking better of it leads back to the choices, not into the example.
    click(&mut app, "Cancel");
    click(&mut app, "Trace a picture");
    app.get_by_label("PNG or JPEG file").focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("PNG or JPEG file")
        .type_text(&path.display().to_string());
    app.run();
    click(&mut app, "Lay it under the floor");
    settle(&mut app);
    assert_eq!(plan(&app).traced().unwrap().0.name.as_str(), "scan.png");
    assert!(
        plan(&app).printers().iter().next().is_none(),
        "a plan of its own"
    );
    app.get_by_label_contains("Click one end of something whose true length you know");
    assert!(app.state().session().is_unsaved());
}

#[test]
fn plans_opened_last_are_kept_and_a_missing_one_can_be_taken_off() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings");
    let (first, second) = (
        saved(folder.path(), "first.ron"),
        saved(folder.path(), "second.ron"),
    );
    {
        let mut editor = editor_over(example(), None).with_settings(Some(settings.clone()));
        editor.open(&first);
        editor.open(&second);
        editor.open(&first);
        let names: Vec<String> = editor
            .recent()
            .iter()
            .map(aislewright::editor::settings::Recent::name)
            .collect();
        assert_eq!(
            names,
            ["first.ron", "second.ron"],
            "the last one first, none twice"
        );
    }
    std::fs::remove_file(&second).unwrap();
    let mut app = started(&settings);
    app.get_by_label_contains("second.ron: missing");
    click(&mut app, "Take second.ron off the list");
    assert!(app.query_by_label_contains("second.ron").is_none());
    click(&mut app, "Open first.ron");
    app.get_by_label_contains("Opened first.ron.");
    assert!(app.query_by_label("A new room").is_none());
    // From the menu it is opened too.
    click(&mut app, "Plan");
    app.get_by_label_contains("Opened last").click();
    settle(&mut app);
    click(&mut app, "first.ron");
    assert_eq!(app.state().session().undo_len(), 0);
}

#[test]
#[expect(clippy::disallowed_methods, reason = "a test makes its own files")]
fn at_most_ten_are_kept_and_a_damaged_list_is_as_good_as_none() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings");
    let mut editor = editor_over(example(), None).with_settings(Some(settings.clone()));
    for k in 0..13 {
        editor.open(&saved(folder.path(), &format!("plan {k}.ron")));
    }
    assert_eq!(editor.recent().len(), MOST_RECENT);
    assert_eq!(editor.recent()[0].name(), "plan 12.ron");
    std::fs::write(settings.join("settings.ron"), "(format: 1, recent: [\"a").unwrap();
    let editor = editor_over(example(), None).with_settings(Some(settings));
    assert!(editor.recent().is_empty());
    assert_eq!(editor.scale(), 100);
}

/// Writes a picture: `PICTURES=/tmp/first cargo test --test editor pictures_of_the_first_window`.
#[test]
fn pictures_of_the_first_window() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings");
    let gone = saved(folder.path(), "old shop.ron");
    let mut editor = editor_over(example(), None).with_settings(Some(settings.clone()));
    editor.open(&gone);
    editor.open(&saved(folder.path(), "north hall.ron"));
    drop(editor);
    std::fs::remove_file(&gone).unwrap();
    let mut app = started(&settings);
    let picture = keep_picture(&mut app, "first-window.png");
    assert_eq!(picture.width(), 1600);
}

/// Work that was given up for a plan which then cannot be opened is still there, and still unsaved.
#[test]
fn work_is_given_up_only_once_another_plan_takes_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings");
    let gone = saved(folder.path(), "gone.ron");
    let mut editor = editor_over(example(), None).with_settings(Some(settings));
    editor.open(&gone);
    std::fs::remove_file(&gone).unwrap();
    let mut app = window(editor, vec2(1600.0, 1000.0), Theme::Light);
    app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::N);
    settle(&mut app);
    assert!(app.state().session().is_unsaved());
    app.key_press_modifiers(Modifiers::COMMAND, Key::O);
    settle(&mut app);
    click(&mut app, "Do not save");
    app.get_by_label("Plan file").focus();
    app.run();
    click(&mut app, "Cancel");
    assert!(app.state().session().is_unsaved(), "thought better of");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    settle(&mut app);
    app.get_by_label("This plan has unsaved changes");
}

#[test]
fn a_picture_to_trace_asks_about_unsaved_work_first() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = started(folder.path());
    click(&mut app, "See the example");
    app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::N);
    settle(&mut app);
    app.state_mut().ask_how_to_begin();
    settle(&mut app);
    click(&mut app, "Trace a picture");
    app.get_by_label("This plan has unsaved changes");
}
