//! Drives the whole editor: from the stock drawer to the floor, to a finding, its mend, undo, a typed length, another
//! phase, a saved plan and an exported sheet.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use aislewright::checks::Findings;
use aislewright::cli::EXAMPLE;
use aislewright::editor::app::{Editor, Setting};
use aislewright::fill::Headroom;
use aislewright::layout::Layout;
use aislewright::plan::{Id, Item, Library, PhaseNo, Session};
use aislewright::sheet::{self, Made};
use aislewright::storage::disk::RealDisk;
use aislewright::storage::{self};
use aislewright::units::Length;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{
    App, app, builder, drag, editor_over, example, keep_picture, settle, type_into, window,
};

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

/// The editor over the example, as a window of 1600 by 1000 points.
fn app_with(state: Option<PathBuf>) -> App {
    app_sized(state, vec2(1600.0, 1000.0))
}

fn app_sized(state: Option<PathBuf>, size: egui::Vec2) -> App {
    window(editor_over(example(), state), size, Theme::Light)
}

fn thing(app: &App, mark: &str) -> Pos2 {
    let word = format!(" {mark} at ");
    app.get_all_by_role(Role::Button)
        .find(|n| {
            n.accesskit_node()
                .label()
                .is_some_and(|l| l.contains(&word) && l.ends_with("on the floor"))
        })
        .unwrap_or_else(|| panic!("{mark} is not on the floor"))
        .rect()
        .center()
}

fn rack_x(app: &App, mark: &str) -> f64 {
    match app.state().session().plan().items().get(id(mark)) {
        Some(Item::Rack(rack)) => rack.at.x.inches(),
        other => panic!("{mark} is no rack: {other:?}"),
    }
}

#[test]
fn a_finding_is_pointed_at_mended_and_the_mend_undone() {
    let mut app = app();
    let before = rack_x(&app, "R5");
    app.get_by_label_contains("Door D1 swings into R5").click();
    settle(&mut app);
    assert_eq!(
        app.state().selection().lead(),
        Some(id("R5")),
        "the finding selects what it is about"
    );
    app.get_by_label("Move R5 1' 0\" east").click();
    settle(&mut app);
    assert!(
        (rack_x(&app, "R5") - before - 12.0).abs() < 1e-9,
        "R5 moved 12 in east"
    );
    assert!(
        app.query_by_label_contains("Door D1 swings into R5")
            .is_none(),
        "the finding is gone"
    );
    assert_eq!(app.state().session().undo_len(), 1, "one mend, one step");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert!((rack_x(&app, "R5") - before).abs() < 1e-9, "undo restores");
    app.get_by_label_contains("Door D1 swings into R5");
}

/// The ways out that the punch list shows as cards, of those that phase 3 of the example breaks.
fn ways_out(app: &App) -> usize {
    app.query_all_by_label_contains("Must fix: From door D1 a cart of")
        .count()
}

/// R5 stands before the door of the example: no rack is reached by a cart as wide as the aisle, seven findings of one cause.
#[test]
fn findings_of_one_cause_stand_in_one_row_that_unfolds_by_keyboard() {
    let mut app = app();
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, app.state().session().plan(), PhaseNo(3));
    let broken = |f: &&aislewright::checks::Finding| f.stops();
    let all = Findings::of(&layout);
    let of_way_out = all.of_check("way-out").iter().map(AsRef::as_ref);
    assert_eq!(of_way_out.filter(broken).count(), 7);
    assert_eq!(ways_out(&app), 1, "one row");
    let must_fix = all.iter().filter(broken).count();
    app.get_by_label_contains(&format!("{must_fix} must fix ·"));

    let press = |app: &mut App, label: &str| {
        app.get_by_label_contains(label).focus();
        app.run();
        app.key_press(Key::Enter);
        settle(app);
    };
    press(&mut app, "… and 6 more of the same cause: From door D1");
    assert_eq!(ways_out(&app), 7, "all of them");
    for k in 1..=7 {
        let rack = format!("Must fix: From door D1 a cart of 2' 2\" at most comes to R{k};");
        app.get_by_label_contains(&rack);
    }
    app.get_by_label_contains("at most comes to R3;").focus();
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    let lead = app.state().selection().lead();
    assert_eq!(lead, Some(id("R3")), "each is pointed at by itself");
    press(&mut app, "Fold the 6 more away: From door D1");
    assert_eq!(ways_out(&app), 1, "folded again");
    assert!(
        app.query_by_label_contains("Reopen").is_none(),
        "nothing was accepted by it"
    );
    press(&mut app, "Move R5 1' 0\" east");
    assert_eq!(ways_out(&app), 0, "the cause is gone, and all with it");
}

/// Writes pictures of a cause folded and unfolded: `PICTURES=FOLDER cargo test --test editor pictures_of_a_cause`. Without
/// the folder it only draws them.
#[test]
fn pictures_of_a_cause() {
    let mut app = app_sized(None, vec2(1280.0, 1000.0));
    for name in ["folded", "unfolded"] {
        let picture = keep_picture(&mut app, &format!("cause-{name}.png"));
        assert_eq!((picture.width(), picture.height()), (1280, 1000), "{name}");
        for fold in app.query_all_by_label_contains("more of the same cause") {
            fold.click();
        }
        settle(&mut app);
    }
}

#[test]
fn a_rack_dragged_from_stock_stands_on_the_floor_with_printers() {
    let mut app = app();
    let racks = app.state().session().plan().printers().len();
    let from = app.get_by_label_contains("Short rack 48").rect().center();
    let floor = thing(&app, "K1");
    let to = floor + vec2(0.0, 150.0);
    drag(&mut app, from, to);
    let plan = Arc::clone(app.state().session().plan());
    let Some(Item::Rack(rack)) = plan.items().get(id("R8")) else {
        panic!("R8 was not placed: {:?}", app.state().selection());
    };
    assert_eq!(rack.kind.as_str(), "short-48");
    assert_eq!(
        plan.printers().len(),
        racks + 6,
        "it comes with six printers"
    );
    assert_eq!(app.state().session().undo_len(), 1, "one drag, one step");
    assert_eq!(
        app.state().selection().lead(),
        Some(id("R8")),
        "what was placed is selected"
    );
    app.get_by_label_contains("6 printers of R8 hang on no circuit");
    // Dropped near the south wall, its back turned to it and came to rest at the gap for plugs, 2 in.
    let name = app
        .get_by_label_contains("Rack R8 at ")
        .accesskit_node()
        .label();
    assert!(
        name.as_ref().is_some_and(|l| l.contains(", 2\",")),
        "it came to rest 2 in from the south wall: {name:?}"
    );
}

#[test]
fn dragging_a_rack_is_one_step_and_shows_its_findings_on_the_way() {
    let mut app = app();
    let from = thing(&app, "R6");
    let to = from - vec2(120.0, 0.0);
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for k in 1..=6_u8 {
        app.hover_at(from + (to - from) * (f32::from(k) / 6.0));
        app.step();
    }
    assert_eq!(
        app.state().session().undo_len(),
        0,
        "nothing is written while the button is down"
    );
    let here = app
        .query_all_by_label_contains("Rack R6 at 17' 0\"")
        .count();
    assert_eq!(here, 0, "the floor shows it where it would be dropped");
    app.drop_at(to);
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), 1, "one gesture, one step");
    assert!(
        rack_x(&app, "R6") < 204.0,
        "it moved west: {}",
        rack_x(&app, "R6")
    );
}

#[test]
fn press_and_move_in_one_frame_still_drags() {
    let mut app = app();
    let from = thing(&app, "R6");
    let before = rack_x(&app, "R6");
    app.hover_at(from);
    app.step();
    let press = Event::PointerButton {
        pos: from,
        button: PointerButton::Primary,
        pressed: true,
        modifiers: Modifiers::NONE,
    };
    app.input_mut()
        .events
        .extend([press, Event::PointerMoved(from - vec2(90.0, 0.0))]);
    app.step();
    app.hover_at(from - vec2(100.0, 0.0));
    app.step();
    app.drop_at(from - vec2(100.0, 0.0));
    settle(&mut app);
    assert!(
        rack_x(&app, "R6") < before - 12.0,
        "the drag was not lost: {}",
        rack_x(&app, "R6")
    );
}

#[test]
fn a_typed_length_moves_the_rack_and_a_wrong_one_says_why() {
    let mut app = app();
    app.get_by_label_contains("Rack R6 at ").click();
    settle(&mut app);
    type_into(&mut app, "from west wall", "9' 2 1/2\"");
    assert!(
        (rack_x(&app, "R6") - 110.5).abs() < 1e-9,
        "{}",
        rack_x(&app, "R6")
    );
    type_into(&mut app, "from west wall", "9 elephants");
    assert!((rack_x(&app, "R6") - 110.5).abs() < 1e-9, "nothing moved");
    app.get_by_label_contains("elephants");
}

#[test]
fn huge_counts_are_refused_or_drawn_and_never_stop_the_window() {
    let mut app = app();
    type_into(&mut app, "printers hoped for", "4000000000");
    assert_eq!(
        app.state().session().plan().head().hoped_for,
        Some(90),
        "nothing changed"
    );
    app.get_by_label_contains("at most 100000 printers");
    type_into(&mut app, "printers hoped for", "100000");
    assert_eq!(app.state().session().plan().head().hoped_for, Some(100_000));
    let library = Library::builtin().unwrap();
    let text = EXAMPLE.replacen("hoped_for: 90", "hoped_for: 4000000000", 1);
    let opened = storage::plan_of(&library, "huge", text.as_bytes()).unwrap();
    assert_eq!(opened.faults.len(), 1, "{:?}", opened.faults);
    // A plan with faults may still be looked at, so it must be drawn.
    let setting = Setting {
        disk: Arc::new(RealDisk),
        state: None,
        today: String::new(),
    };
    let editor = Editor::new(library, setting, Session::opened(opened.plan));
    let mut huge = builder(vec2(1280.0, 800.0), Theme::Light)
        .with_max_steps(20)
        .build_ui_state(|ui, editor: &mut Editor| editor.ui(ui), editor);
    huge.run();
    huge.get_by_label("hoped for 4000000000");
}

#[test]
fn phases_switch_and_show_what_is_there() {
    let mut app = app();
    app.get_by_label("1 First twelve").click();
    settle(&mut app);
    assert_eq!(app.state().phase(), PhaseNo(1));
    app.get_by_label("Headroom tape: 12 placed");
    assert!(
        app.query_by_label_contains("Rack R5 at ").is_none(),
        "R5 arrives in phase 2"
    );
}

#[test]
fn arrow_keys_nudge_and_r_turns() {
    let mut app = app();
    app.get_by_label_contains("Rack R6 at ").click();
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    assert!(
        (rack_x(&app, "R6") - 203.0).abs() < 1e-9,
        "one inch west: {}",
        rack_x(&app, "R6")
    );
    app.key_press_modifiers(Modifiers::SHIFT, Key::ArrowLeft);
    settle(&mut app);
    assert!(
        (rack_x(&app, "R6") - 191.0).abs() < 1e-9,
        "a foot west: {}",
        rack_x(&app, "R6")
    );
    app.key_press(Key::Delete);
    settle(&mut app);
    assert!(
        app.state().session().plan().items().get(id("R6")).is_none(),
        "taken away"
    );
    let left = app
        .state()
        .session()
        .plan()
        .printers()
        .iter()
        .filter(|(_, p)| p.slot.rack == id("R6"))
        .count();
    assert_eq!(left, 0, "with its printers");
}

#[test]
fn several_things_are_selected_copied_and_taken_away() {
    let mut app = app();
    app.get_by_label_contains("Rack R5 at ").click();
    settle(&mut app);
    app.get_by_label_contains("Rack R6 at ")
        .click_modifiers(Modifiers::SHIFT);
    settle(&mut app);
    assert_eq!(
        app.state().selection().len(),
        2,
        "{:?}",
        app.state().selection()
    );
    app.key_press_modifiers(Modifiers::COMMAND, Key::D);
    settle(&mut app);
    let plan = Arc::clone(app.state().session().plan());
    assert!(
        plan.rack(id("R8")).is_some() && plan.rack(id("R9")).is_some(),
        "two copies"
    );
    let copied = plan
        .printers()
        .iter()
        .filter(|(_, p)| p.slot.rack == id("R8"))
        .count();
    assert_eq!(copied, 9, "with their printers");
    assert_eq!(app.state().session().undo_len(), 1, "one step");
}

#[test]
fn a_plan_is_saved_as_and_its_sheet_exported() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    settle(&mut app);
    let plan = folder.path().join("mine.plan.ron");
    type_into(&mut app, "Save as", plan.to_str().unwrap());
    let seen: Vec<String> = app
        .root()
        .children_recursive()
        .filter_map(|n| n.accesskit_node().value())
        .filter(|v| v.contains("plan.ron") || v.contains("Save"))
        .collect();
    assert!(plan.is_file(), "{seen:?}");
    assert_eq!(
        std::fs::read_to_string(&plan).unwrap(),
        EXAMPLE,
        "it is saved as the example stands"
    );
    app.key_press_modifiers(Modifiers::COMMAND, Key::E);
    settle(&mut app);
    let sheet = folder.path().join("floor.svg");
    type_into(&mut app, "Sheet file", sheet.to_str().unwrap());
    let text = std::fs::read_to_string(&sheet).unwrap();
    assert!(
        text.contains("<svg") && text.contains("Bottling room"),
        "the sheet is written"
    );
}

#[test]
fn a_plan_is_opened_by_its_path_and_a_faulty_one_only_to_look_at() {
    let folder = tempfile::tempdir().unwrap();
    let good = folder.path().join("good.plan.ron");
    let faulty = folder.path().join("faulty.plan.ron");
    write(&good, &EXAMPLE.replacen("Bottling room", "Cask room", 1));
    write(
        &faulty,
        &EXAMPLE.replacen("slot: \"R1.1.1\"", "slot: \"R1.9.1\"", 1),
    );
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::O);
    settle(&mut app);
    type_into(&mut app, "Plan file", good.to_str().unwrap());
    assert_eq!(
        app.state().session().plan().head().name.as_str(),
        "Cask room"
    );
    app.key_press_modifiers(Modifiers::COMMAND, Key::O);
    settle(&mut app);
    type_into(&mut app, "Plan file", faulty.to_str().unwrap());
    app.get_by_label_contains("R1 has no place R1.9.1");
    app.get_by_label("Close").click();
    settle(&mut app);
    app.get_by_label_contains("Rack R6 at ").click();
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    assert_eq!(
        app.state().session().undo_len(),
        0,
        "it may only be looked at"
    );
    app.get_by_label_contains("can only be looked at");
    app.key_press_modifiers(Modifiers::COMMAND, Key::O);
    settle(&mut app);
    type_into(&mut app, "Plan file", "no/such/plan.ron");
    app.get_by_label_contains("no/such/plan.ron cannot be read");
}

#[expect(clippy::disallowed_methods, reason = "a test makes its own files")]
fn write(path: &std::path::Path, text: &str) {
    std::fs::write(path, text).unwrap();
}

#[test]
fn a_plan_is_made_from_nothing_by_keyboard_and_mouse() {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    for (label, words) in [
        ("Name", "Shed"),
        ("Width, west to east", "10 ft"),
        ("Length, south to north", "14 ft"),
    ] {
        app.get_by_role_and_label(Role::TextInput, label).focus();
        app.run();
        app.key_press_modifiers(Modifiers::COMMAND, Key::A);
        app.run();
        app.get_by_role_and_label(Role::TextInput, label)
            .type_text(words);
        app.run();
    }
    app.get_by_label("Create plan").click();
    settle(&mut app);
    let plan = Arc::clone(app.state().session().plan());
    assert_eq!(plan.head().name.as_str(), "Shed");
    assert_eq!(
        plan.room().corners()[2],
        (Length::from_feet(10), Length::from_feet(14))
    );
    // The count of what fits has begun by itself; the drawer is one press away.
    app.get_by_label("Back to the stock drawer").click();
    settle(&mut app);
    // A rack, an outlet and a cooling unit at free places, by keyboard. The count may have shown racks of the same name.
    for entry in [
        "Full rack 72 × 24 in, 3 levels",
        "Outlet",
        "Wall cooling unit, 12,000",
    ] {
        app.get_by_label_contains(entry).focus();
        app.run();
        app.key_press(Key::Enter);
        settle(&mut app);
    }
    let plan = Arc::clone(app.state().session().plan());
    assert_eq!(plan.items().len(), 4, "door, rack, outlet, cooling unit");
    assert_eq!(plan.printers().len(), 9, "the rack comes with printers");
    let must_fix = app.query_all_by_label_contains("Must fix: R1 ").count();
    assert_eq!(must_fix, 0, "it stands where nothing must be fixed");
}

#[test]
fn unsaved_work_is_asked_about_and_found_again() {
    let folder = tempfile::tempdir().unwrap();
    let state = folder.path().join("state");
    let mut app = app_with(Some(state.clone()));
    app.get_by_label_contains("Rack R6 at ").click();
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    settle(&mut app);
    app.get_by_label("This plan has unsaved changes");
    app.get_by_label("Keep working").click();
    settle(&mut app);
    // The window goes without a word, as when the power fails.
    drop(app);
    let mut again = app_with(Some(state));
    again.state_mut().look_for_unsaved_work();
    settle(&mut again);
    again.get_by_label("Unsaved work was found");
    again.get_by_label("Take up 1").click();
    settle(&mut again);
    assert!(
        (rack_x(&again, "R6") - 203.0).abs() < 1e-9,
        "the nudge is back: {}",
        rack_x(&again, "R6")
    );
    assert!(again.state().session().is_unsaved(), "and still unsaved");
}

#[test]
fn every_control_has_a_name() {
    let mut app = app();
    app.get_by_label_contains("Rack R5 at ").click();
    settle(&mut app);
    let named = [
        Role::Button,
        Role::TextInput,
        Role::CheckBox,
        Role::ComboBox,
        Role::Slider,
    ];
    let mut nameless = Vec::new();
    let mut stack: Vec<_> = app.root().children().collect();
    let mut seen = 0;
    while let Some(node) = stack.pop() {
        stack.extend(node.children());
        let inner = node.accesskit_node();
        if named.contains(&inner.role()) {
            seen += 1;
            if inner.label().is_none_or(|l| l.trim().is_empty()) {
                nameless.push(format!("{:?} at {:?}", inner.role(), node.rect()));
            }
        }
    }
    assert!(seen > 40, "only {seen} controls were looked at");
    assert!(nameless.is_empty(), "{}", nameless.join("\n"));
}

#[test]
fn mends_come_while_the_window_goes_on() {
    let editor = editor_over(example(), None);
    let mut app = builder(vec2(1600.0, 1000.0), Theme::Light)
        .build_ui_state(|ui, editor: &mut Editor| editor.ui(ui), editor);
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits for a thread, with a bound"
    )]
    let end = Instant::now() + Duration::from_secs(20);
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits for a thread, with a bound"
    )]
    while app.query_by_label("Move R5 1' 0\" east").is_none() {
        assert!(Instant::now() < end, "the mend never came");
        std::thread::sleep(Duration::from_millis(10));
        app.step();
    }
}

/// Writes the pictures of the README and the contributor's guide: `PICTURES=screenshots cargo test --test editor
/// pictures_of_the_screens`. Without the folder it only draws them.
#[test]
fn pictures_of_the_screens() {
    let folder = std::env::var_os("PICTURES").map(PathBuf::from);
    let keep = |app: &mut App, name: &str| {
        let picture = keep_picture(app, name);
        assert!(picture.width() >= 1280 && picture.height() >= 800, "{name}");
    };
    let mut app = app();
    keep(&mut app, "example.png");
    app.get_by_label_contains("Door D1 swings into R5").click();
    settle(&mut app);
    keep(&mut app, "editor.png");
    app.get_by_label("2 All 28 moved in").click();
    app.key_press(Key::F5);
    settle(&mut app);
    app.get_by_label_contains("Circuit C03").click();
    settle(&mut app);
    keep(&mut app, "power.png");
    app.key_press_modifiers(Modifiers::COMMAND, Key::T);
    settle(&mut app);
    keep(&mut app, "dark.png");
    app.key_press_modifiers(Modifiers::COMMAND, Key::T);
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    keep(&mut app, "new-plan.png");
    let mut small = app_sized(None, vec2(1280.0, 800.0));
    small.get_by_label_contains("Rack R2 at ").click();
    settle(&mut small);
    keep(&mut small, "small-window.png");
    if let Some(folder) = &folder {
        sheet_picture(example())
            .save_png(folder.join("sheet.png"))
            .unwrap();
    }
}

/// A plan's floor sheet as pixels, 96 to the inch.
pub(crate) fn sheet_picture(plan: aislewright::plan::Plan) -> resvg::tiny_skia::Pixmap {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &Arc::new(plan), PhaseNo(3));
    let findings = Findings::of(&layout);
    let made = Made {
        date: "2026-01-31".to_owned(),
        ..Made::default()
    };
    let drawn = sheet::floor_sheet(&layout, &findings, &Headroom::of(&layout), None, &made);
    pixels_of(&drawn)
}

/// A sheet as pixels, 96 to the inch.
pub(crate) fn pixels_of(drawn: &sheet::Sheet) -> resvg::tiny_skia::Pixmap {
    let mut options = resvg::usvg::Options::default();
    for face in ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"] {
        let bytes = std::fs::read(PathBuf::from("assets/fonts").join(face)).unwrap();
        options.fontdb_mut().load_font_data(bytes);
    }
    let tree = resvg::usvg::Tree::from_str(&sheet::svg(drawn).unwrap(), &options).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    let plain = resvg::tiny_skia::Transform::identity();
    resvg::render(&tree, plain, &mut pixels.as_mut());
    pixels
}

/// A note that is still being written is in the plan once it is saved or left.
#[test]
fn what_stands_typed_in_a_field_is_saved_with_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("note.plan.ron");
    write(&path, EXAMPLE);
    let mut editor = editor_over(example(), None);
    editor.open(&path);
    let mut app = window(editor, vec2(1600.0, 1000.0), Theme::Light);
    app.key_press(Key::F2);
    settle(&mut app);
    app.get_by_role_and_label(Role::MultilineTextInput, "what it says")
        .focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_role_and_label(Role::MultilineTextInput, "what it says")
        .type_text("ask the landlord");
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::S);
    settle(&mut app);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains("ask the landlord"));
}

/// Redo with nothing to redo does not become undo, as the same keys without Shift would be.
#[test]
fn keys_whose_command_is_not_to_be_had_do_nothing() {
    let mut app = app();
    app.state_mut().select("R5".parse().unwrap());
    settle(&mut app);
    app.key_press(Key::ArrowUp);
    settle(&mut app);
    let steps = app.state().session().undo_len();
    assert_eq!(steps, 1);
    app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), steps);
}

/// Marking a word in a field moves no rack.
#[test]
fn the_keys_of_a_field_are_the_fields() {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(&mut app);
    assert!(app.state().selection().len() > 1);
    app.key_press_modifiers(Modifiers::COMMAND, Key::F);
    settle(&mut app);
    for key in [Key::ArrowLeft, Key::ArrowUp, Key::H] {
        app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, key);
        settle(&mut app);
    }
    app.key_press_modifiers(Modifiers::COMMAND, Key::K);
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), 0);
}
