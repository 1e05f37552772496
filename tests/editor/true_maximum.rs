//! The window's Fill with the real search behind it: what it shows is what the search proves, and what it places is sound.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use aislewright::checks::{Check, Findings};
use aislewright::layout::Layout;
use aislewright::plan::{Library, PhaseNo};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{App, app, settle};

/// Steps until a label is there, which the search has to bring about.
fn until(app: &mut App, label: &str, most: Duration) {
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits for a thread, with a bound"
    )]
    let now = Instant::now;
    let end = now() + most;
    while app.query_all_by_label_contains(label).next().is_none() {
        assert!(now() < end, "never came: {label}");
        std::thread::sleep(Duration::from_millis(20));
        app.step();
    }
    settle(app);
}

fn type_into(app: &mut App, label: &str, text: &str) {
    app.get_by_label(label).click();
    settle(app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label(label).type_text(text);
    app.key_press(Key::Tab);
    settle(app);
}

/// A new room of 10 by 10 ft is counted by itself, proved, and taken without a must-fix.
#[test]
fn a_new_room_is_counted_proved_and_taken() {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    type_into(&mut app, "Width, west to east", "10ft");
    type_into(&mut app, "Length, south to north", "10ft");
    app.get_by_label("Create plan").click();
    settle(&mut app);
    until(
        &mut app,
        "proved: no arrangement holds more",
        Duration::from_mins(1),
    );
    app.get_by_label("Place all").click();
    settle(&mut app);
    let session = app.state().session();
    let layout = Layout::of(&Library::builtin().unwrap(), session.plan(), PhaseNo(1));
    let placed = layout.printers().count();
    assert!(placed > 0, "the room holds something");
    let findings = Findings::of(&layout);
    let must_fix: Vec<String> = findings
        .iter()
        .filter(|f| f.stops() && Check::of(f.check).is_some_and(|c| c.in_fill))
        .map(|f| f.text.clone())
        .collect();
    assert!(must_fix.is_empty(), "{}", must_fix.join("\n"));
}

/// Writes the picture of the true maximum: `PICTURES=screenshots cargo test --test editor picture_of_the_true_maximum`. The
/// search of the example takes half a minute, so without the folder nothing is searched.
#[test]
fn picture_of_the_true_maximum() {
    let Some(folder) = std::env::var_os("PICTURES").map(PathBuf::from) else {
        return;
    };
    let mut app = app();
    app.get_by_label_contains("1 First twelve").click();
    settle(&mut app);
    app.key_press(Key::F9);
    settle(&mut app);
    app.get_by_label("Start").click();
    settle(&mut app);
    until(
        &mut app,
        "proved: no arrangement holds more",
        Duration::from_mins(5),
    );
    app.remove_cursor();
    app.run();
    app.render().unwrap().save(folder.join("fill.png")).unwrap();
}

/// A bench is put on the list by its button and fill keeps floor for it: fewer printers, and the bench stands in the room.
#[test]
fn what_must_also_fit_is_listed_and_kept_room_for() {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    type_into(&mut app, "Width, west to east", "8ft");
    type_into(&mut app, "Length, south to north", "10ft");
    app.get_by_label("Create plan").click();
    settle(&mut app);
    let proved = "proved: no arrangement holds more";
    until(&mut app, proved, Duration::from_mins(1));
    let counted = |app: &App| {
        let editor = app.state();
        let answer = editor.known_answer(PhaseNo(1)).unwrap();
        (answer.printers, answer.placements.clone())
    };
    let (without, _) = counted(&app);
    app.get_by_label("Discard").click();
    settle(&mut app);
    app.get_by_label("Add a bench").scroll_to_me();
    settle(&mut app);
    app.get_by_label("Add a bench").click();
    settle(&mut app);
    type_into(&mut app, "1 width", "4ft");
    let list = &app.state().session().plan().head().must_fit;
    assert_eq!(list.len(), 1);
    assert_eq!(list[0].name.as_str(), "bench");
    assert_eq!(list[0].width, aislewright::units::Length::from_feet(4));
    app.get_by_label("Start").click();
    settle(&mut app);
    until(&mut app, proved, Duration::from_mins(1));
    let (with, placements) = counted(&app);
    assert!(with < without, "{with} beside a bench, {without} without");
    let benches = placements.iter().filter(|p| p.must.is_some()).count();
    assert_eq!(benches, 1);
    app.get_by_label("Remove bench").scroll_to_me();
    settle(&mut app);
    app.get_by_label("Remove bench").click();
    settle(&mut app);
    assert!(app.state().session().plan().head().must_fit.is_empty());
}
