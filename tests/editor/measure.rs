//! The tape on the floor, by pointer and by keys; dimensions kept of what it reads, and notes: placed, written, moved, copied, found.

use aislewright::geometry::Point;
use aislewright::plan::{Dimension, End, Id, Item, Note, Plan, Spot};
use aislewright::units::Length;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Pos2, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::app::sheet_picture;
use crate::harness::{App, app, drag, editor_over, example, keep_picture, plan, settle, window};

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

fn press(app: &mut App, modifiers: Modifiers, key: Key) {
    app.key_press_modifiers(modifiers, key);
    settle(app);
}

fn key(app: &mut App, key: Key) {
    press(app, Modifiers::NONE, key);
}

/// Selects things one after another; the last is the lead.
fn select(app: &mut App, marks: &[&str]) {
    key(app, Key::Escape);
    for mark in marks {
        let name = format!("{mark} at ");
        app.get_by_label_contains(&name)
            .click_modifiers(Modifiers::SHIFT);
        settle(app);
    }
}

/// A place of the floor on the screen, in inches from the first corner.
fn on_screen(app: &App, x: f64, y: f64) -> Pos2 {
    let at = Point::new(x * 25.4, y * 25.4);
    app.state().camera().unwrap().to_screen(at)
}

fn click(app: &mut App, at: Pos2) {
    app.hover_at(at);
    app.step();
    app.drag_at(at);
    app.step();
    app.drop_at(at);
    settle(app);
}

fn said(app: &App, words: &str) -> bool {
    app.query_all_by_label_contains(words).next().is_some()
}

fn says(app: &App, words: &str) {
    assert!(said(app, words), "nothing says {words:?}");
}

fn dimensions(plan: &Plan) -> Vec<(Id, Dimension)> {
    plan.items()
        .iter()
        .filter_map(|(id, item)| {
            let Item::Dimension(d) = item else {
                return None;
            };
            Some((id, d.clone()))
        })
        .collect()
}

fn notes(plan: &Plan) -> Vec<(Id, Note)> {
    plan.items()
        .iter()
        .filter_map(|(id, item)| {
            let Item::Note(n) = item else {
                return None;
            };
            Some((id, n.clone()))
        })
        .collect()
}

/// R1 stands from 4 to 76 in along the north wall, 24 in deep; R2 from 76 in on. A click near a corner is drawn to it: from R1's
/// left front corner to R2's right front corner it is 144 in.
#[test]
fn two_clicks_measure_from_corner_to_corner_and_change_nothing() {
    let mut app = app();
    let before = plan(&app).clone();
    let r1 = pose(&app, "R1");
    key(&mut app, Key::F4);
    says(&app, "Measuring: choose the first point.");
    let (a, b) = (
        on_screen(&app, r1.0, r1.1),
        on_screen(&app, r1.0 + 144.0, r1.1),
    );
    click(&mut app, a + vec2(3.0, -2.0));
    says(&app, "Measuring: choose the second point.");
    app.hover_at(b + vec2(-2.0, 3.0));
    settle(&mut app);
    says(&app, "Measured 12' 0\"");
    click(&mut app, b + vec2(-2.0, 3.0));
    says(&app, "Measured 12' 0\": ");
    says(&app, "along the longest wall");
    assert_eq!(plan(&app), &before, "nothing in the plan changed");
    assert!(app.state().selection().is_empty());
    // Held F frees: a point 3 in off is taken as it is.
    app.key_down(Key::F);
    app.step();
    let at = on_screen(&app, r1.0 + 3.0, r1.1 - 30.0);
    click(&mut app, at);
    let at = on_screen(&app, r1.0 + 3.0, r1.1 - 40.0);
    click(&mut app, at);
    app.key_up(Key::F);
    settle(&mut app);
    // The screen's points are no whole inches; within one of them.
    says(&app, "Measured ");
    assert!(
        !said(&app, "12\' 0\": "),
        "a new measure takes the old one's place"
    );
    key(&mut app, Key::Escape);
    assert!(
        !said(&app, "Measured ") && !said(&app, "Measuring: "),
        "Escape puts the tape away"
    );
    assert_eq!(plan(&app), &before);
}

/// The lower left corner of an unturned rack, in inches.
fn pose(app: &App, mark: &str) -> (f64, f64) {
    let at = plan(app).items().get(id(mark)).unwrap().pose().unwrap();
    (at.x.inches(), at.y.inches())
}

#[test]
fn what_is_selected_is_measured_by_keys() {
    let mut app = app();
    select(&mut app, &["Rack R1", "Rack R2"]);
    key(&mut app, Key::F4);
    says(&app, "R1 to R2: gap 0\"");
    says(&app, "6' 0\" from middle to middle");
    // A new selection is measured anew.
    key(&mut app, Key::Escape);
    select(&mut app, &["Rack R5"]);
    key(&mut app, Key::F4);
    says(&app, "R5 is clear: ");
    for side in ["left to ", "right to ", "ahead to ", "behind to "] {
        says(&app, side);
    }
    // Each side that is clear can be kept, in one step.
    press(&mut app, Modifiers::SHIFT, Key::F4);
    let kept = dimensions(plan(&app));
    assert!((1..=4).contains(&kept.len()), "{kept:?}");
    for (_, d) in &kept {
        assert_eq!(d.from.thing(), Some(id("R5")), "{d:?}");
        assert!(!matches!(d.to, End::Point(..)), "{d:?}");
    }
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert!(dimensions(plan(&app)).is_empty());
}

/// Kept from R5's front corner to R6: it follows R5 by the arrow keys, its line is dragged and typed off, it is copied, found,
/// taken away and undone.
#[test]
fn a_measure_is_kept_as_a_dimension() {
    let mut app = app();
    let r5 = pose(&app, "R5");
    let r5_turn = plan(&app)
        .items()
        .get(id("R5"))
        .unwrap()
        .pose()
        .unwrap()
        .turn;
    key(&mut app, Key::F4);
    let corner = on_screen(&app, r5.0, r5.1);
    click(&mut app, corner);
    let free = on_screen(&app, r5.0, r5.1 - 31.0);
    app.key_down(Key::F);
    app.step();
    click(&mut app, free);
    app.key_up(Key::F);
    settle(&mut app);
    app.get_by_label("Keep as a dimension").click();
    settle(&mut app);
    let kept = dimensions(plan(&app));
    assert_eq!(kept.len(), 1);
    let (mark, dimension) = kept[0].clone();
    assert_eq!(
        dimension.from.thing(),
        Some(id("R5")),
        "{dimension:?} {r5_turn:?}"
    );
    assert!(matches!(dimension.to, End::Point(..)));
    assert_eq!(app.state().selection().lead(), Some(mark));
    says(&app, &format!("Dimension {mark} at "));
    // Dragged to the right by its middle: the line stands off.
    let middle = on_screen(&app, r5.0, r5.1 - 15.0);
    drag(&mut app, middle, middle + vec2(40.0, 0.0));
    let off = |app: &App| dimensions(plan(app))[0].1.offset;
    assert_ne!(off(&app), Length::ZERO);
    let inch = off(&app).inches();
    assert!(
        (inch - inch.round()).abs() < 1e-9,
        "in whole inches: {inch}"
    );
    app.get_by_label("Move M1");
    // The arrow keys move it by an inch.
    let before = off(&app);
    key(&mut app, Key::ArrowRight);
    let moved = off(&app) - before;
    assert!((moved.inches().abs() - 1.0).abs() < 0.01, "{moved:?}");
    // Typed.
    app.get_by_role_and_label(Role::TextInput, "line stands off")
        .click();
    settle(&mut app);
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.event(Event::Text("1ft 6in".to_owned()));
    settle(&mut app);
    key(&mut app, Key::Enter);
    assert_eq!(off(&app), Length::from_inches(18));
    // Copied: the free end goes along, the other stays at R5.
    press(&mut app, Modifiers::COMMAND, Key::D);
    let both = dimensions(plan(&app));
    assert_eq!(both.len(), 2);
    assert_eq!(both[1].1.from, both[0].1.from);
    assert_ne!(both[1].1.to, both[0].1.to);
    // R5 gone: so are they. Undone: there again.
    select(&mut app, &["Rack R5"]);
    key(&mut app, Key::Delete);
    assert!(dimensions(plan(&app)).is_empty());
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(dimensions(plan(&app)).len(), 2);
    // One end freed in the card.
    app.get_by_label_contains(&format!("Dimension {mark} at "))
        .click_accesskit();
    settle(&mut app);
    app.get_by_role_and_label(Role::ComboBox, "first end")
        .click();
    settle(&mut app);
    app.get_by_label("a free point").click();
    settle(&mut app);
    assert!(matches!(dimensions(plan(&app))[0].1.from, End::Point(..)));
}

/// From the stock drawer, written in the card on two lines, pointing at a rack; found by its words; it moves and is locked; its text
/// may not be empty.
#[test]
fn a_note_is_placed_written_and_found() {
    let mut app = app();
    let findings_before = punch(&app);
    select(&mut app, &["Rack R5"]);
    key(&mut app, Key::F2);
    let placed = notes(plan(&app));
    assert_eq!(placed.len(), 1);
    let (mark, note) = placed[0].clone();
    assert_eq!(note.pointer, Some(End::Of(id("R5"), Spot::Middle)));
    says(&app, &format!("Note {mark} at "));
    app.get_by_label("what it says").click();
    settle(&mut app);
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.event(Event::Text("Anchor this rack".to_owned()));
    app.step();
    app.key_press(Key::Enter);
    app.step();
    app.event(Event::Text("before phase 2".to_owned()));
    settle(&mut app);
    key(&mut app, Key::Tab);
    let text = |app: &App| notes(plan(app))[0].1.text.as_str().to_owned();
    assert_eq!(text(&app), "Anchor this rack\nbefore phase 2");
    says(
        &app,
        "Anchor this rack before phase 2, pointing at R5 middle",
    );
    says(&app, &format!("Change note {mark}"));
    // Nothing is refused silently.
    app.get_by_label("what it says").click();
    settle(&mut app);
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.key_press(Key::Delete);
    app.step();
    key(&mut app, Key::Tab);
    says(&app, "the note says nothing");
    assert_eq!(text(&app), "Anchor this rack\nbefore phase 2");
    // Found by what it says.
    key(&mut app, Key::Escape);
    key(&mut app, Key::Escape);
    press(&mut app, Modifiers::COMMAND, Key::F);
    app.event(Event::Text("anchor this".to_owned()));
    settle(&mut app);
    key(&mut app, Key::Enter);
    assert_eq!(app.state().selection().lead(), Some(mark));
    // Points elsewhere, by the card.
    app.get_by_role_and_label(Role::ComboBox, "points at")
        .click();
    settle(&mut app);
    app.get_by_label("nothing").click();
    settle(&mut app);
    assert_eq!(notes(plan(&app))[0].1.pointer, None);
    // No check minds any of it.
    assert_eq!(punch(&app), findings_before);
    // Dragged by its box.
    let name = format!("Note {mark} at ");
    let rect = app.get_by_label_contains(&name).rect();
    let at = notes(plan(&app))[0].1.at;
    drag(&mut app, rect.center(), rect.center() + vec2(60.0, -40.0));
    let now = notes(plan(&app))[0].1.at;
    assert!(now.0 > at.0 && now.1 > at.1, "{at:?} {now:?}");
    // Turning turns no note.
    let steps = app.state().session().undo_len();
    press(&mut app, Modifiers::COMMAND, Key::L);
    assert_eq!(app.state().session().undo_len(), steps);
    // From the drawer, by keys.
    app.get_by_label_contains("Find in stock").click();
    settle(&mut app);
    app.event(Event::Text("note".to_owned()));
    settle(&mut app);
    let entry = app.get_by_role_and_label(Role::Button, "Note");
    entry.focus();
    settle(&mut app);
    key(&mut app, Key::Enter);
    assert_eq!(notes(plan(&app)).len(), 2);
}

/// What the punch list says.
fn punch(app: &App) -> Vec<String> {
    let layout = aislewright::layout::Layout::of(
        &aislewright::plan::Library::builtin().unwrap(),
        app.state().session().plan(),
        app.state().phase(),
    );
    let findings = aislewright::checks::Findings::of(&layout);
    findings.iter().map(|f| f.text.clone()).collect()
}

/// Racks, dimensions and a note copied together and pasted: the copies hang on the copies.
#[test]
fn they_are_copied_with_what_they_are_fastened_to() {
    let mut app = app();
    select(&mut app, &["Rack R5", "Rack R6"]);
    key(&mut app, Key::F4);
    press(&mut app, Modifiers::SHIFT, Key::F4);
    let kept = dimensions(plan(&app));
    assert_eq!(kept.len(), 1);
    let on: Vec<Id> = kept[0].1.ends().iter().filter_map(|e| e.thing()).collect();
    assert_eq!(on, [id("R5"), id("R6")]);
    select(&mut app, &["Rack R5", "Rack R6"]);
    app.get_by_label_contains("Dimension M1 at ")
        .click_modifiers(Modifiers::SHIFT);
    settle(&mut app);
    assert_eq!(app.state().selection().len(), 3);
    press(&mut app, Modifiers::COMMAND, Key::D);
    let copy = &dimensions(plan(&app))[1].1;
    let on: Vec<Id> = copy.ends().iter().filter_map(|e| e.thing()).collect();
    assert!(on.len() == 2 && !on.contains(&id("R5")) && !on.contains(&id("R6")));
}

/// Writes `measure.png`, `dimensions.png` and `notes.png`: `PICTURES=folder cargo test --test editor picture_of_the_tape`.
#[test]
fn picture_of_the_tape() {
    let folder = std::env::var_os("PICTURES").map(std::path::PathBuf::from);
    let keep = |app: &mut App, name: &str| {
        let picture = keep_picture(app, name);
        assert!(picture.width() >= 1280, "{name}");
    };
    for theme in [Theme::Light, Theme::Dark] {
        let editor = editor_over(example(), None);
        let mut app = window(editor, vec2(1280.0, 800.0), theme);
        let named = |what: &str| {
            let theme = if theme == Theme::Dark { "-dark" } else { "" };
            format!("{what}{theme}.png")
        };
        select(&mut app, &["Rack R5"]);
        key(&mut app, Key::F4);
        keep(&mut app, &named("measure-around"));
        press(&mut app, Modifiers::SHIFT, Key::F4);
        key(&mut app, Key::Escape);
        let r1 = pose(&app, "R1");
        key(&mut app, Key::F4);
        let at = on_screen(&app, r1.0, r1.1);
        click(&mut app, at);
        let at = on_screen(&app, r1.0 + 110.0, r1.1 - 60.0);
        click(&mut app, at);
        keep(&mut app, &named("measure"));
        press(&mut app, Modifiers::SHIFT, Key::F4);
        let middle = on_screen(&app, r1.0 + 55.0, r1.1 - 30.0);
        drag(&mut app, middle, middle + vec2(26.0, -30.0));
        keep(&mut app, &named("dimensions"));
        select(&mut app, &["Rack R5"]);
        key(&mut app, Key::F2);
        app.get_by_label("what it says").click();
        settle(&mut app);
        press(&mut app, Modifiers::COMMAND, Key::A);
        app.event(Event::Text(
            "Anchor this rack to the slab before phase 2; ask the landlord about the coating first.".to_owned(),
        ));
        settle(&mut app);
        key(&mut app, Key::Tab);
        keep(&mut app, &named("notes"));
        key(&mut app, Key::Escape);
        key(&mut app, Key::Escape);
        keep(&mut app, &named("notes-plain"));
        if let (Some(folder), Theme::Light) = (&folder, theme) {
            let sheet = sheet_picture(plan(&app).clone());
            sheet.save_png(folder.join("written-sheet.png")).unwrap();
        }
    }
}
