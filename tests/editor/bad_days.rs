//! Drives the cards of bad days and the what-ifs: opened by key, menu and from the schedule, gone through by keyboard, marked on the floor,
//! printed, taken over.

use aislewright::checks::Findings;
use aislewright::layout::Layout;
use aislewright::plan::{Id, Library, PhaseNo};
use aislewright::wiring::what_if::{Asking, Question};
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, click, editor_over, example, keep_picture, plan, settle, window};

fn open(app: &mut App) {
    app.key_press_modifiers(Modifiers::SHIFT, Key::F5);
    settle(app);
}

fn opened() -> App {
    let mut app = app();
    open(&mut app);
    app
}

/// Brings what begins with these words into view and clicks it.
fn press(app: &mut App, words: &str) {
    app.get_by_label_contains(words).scroll_to_me();
    settle(app);
    app.get_by_label_contains(words).click();
    settle(app);
}

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

fn says(app: &App, words: &str) -> bool {
    app.query_all_by_label_contains(words).next().is_some()
}

#[test]
fn it_is_opened_by_key_menu_and_from_the_schedule() {
    let mut app = app();
    assert!(app.query_by_label("Bad days").is_none());
    open(&mut app);
    assert!(says(&app, "The whole supply is off"));
    assert!(!says(&app, "Wall to the right"), "in the elevation's place");
    assert!(app.get_by_label("Back to the elevation").is_focused());
    open(&mut app);
    assert!(!says(&app, "The whole supply is off"), "same key");
    app.key_press(Key::F5);
    settle(&mut app);
    click(&mut app, "Bad days");
    assert!(says(&app, "The whole supply is off"));
    assert!(
        app.query_by_label("Wire this phase").is_none(),
        "instead of the schedule"
    );
    click(&mut app, "To the panel schedule");
    app.get_by_label("Wire this phase");
    click(&mut app, "View");
    app.get_by_label_contains("Bad days Shift").click();
    settle(&mut app);
    click(&mut app, "Back to the elevation");
    assert!(says(&app, "Wall to the right"), "the elevation is back");
}

/// The example has nine circuits, seventeen UPS and one cooling unit in its last phase: with the supply 28 bad days.
#[test]
fn every_bad_day_has_a_card() {
    let app = opened();
    let count = |words: &str| app.query_all_by_label_contains(words).count();
    assert_eq!(count("The breaker of C"), 9);
    assert_eq!(app.query_all_by_label_contains(" fails, ").count(), 17);
    assert_eq!(count("Cooling unit A1 stops, "), 1);
    // In the list, and in full beside it.
    assert_eq!(count("The whole supply is off"), 2);
    for words in [
        "Stops at once",
        "Runs on for a while, the heaviest named first",
        "Coming back, turn by turn",
    ] {
        app.get_by_label(words);
    }
    let caution = aislewright::wiring::day_card::CAUTION;
    assert_eq!(app.query_all_by_label(caution).count(), 1);
}

#[test]
fn a_card_is_chosen_by_click_and_by_arrow_and_marks_its_things() {
    let mut app = opened();
    let dashes = |app: &mut App, name: &str| {
        let line = aislewright::editor::theme::Palette::of(Theme::Light)
            .selection
            .line
            .to_array();
        let picture = keep_picture(app, name);
        let floor = (245..1195).flat_map(|x| (230..640).map(move |y| (x, y)));
        floor
            .filter(|(x, y)| picture.get_pixel(*x, *y).0 == line)
            .count()
    };
    let whole = dashes(&mut app, "bad-days.png");
    press(&mut app, "UPS U1 fails");
    settle(&mut app);
    assert_eq!(app.state().selection().lead(), Some(id("U1")));
    let one = dashes(&mut app, "bad-days-ups.png");
    assert!(
        whole > one + 100 && one > 20,
        "{whole} points for all racks, {one} for one"
    );
    // From the first card down.
    app.get_by_label_contains("The whole supply is off, ")
        .focus();
    settle(&mut app);
    assert_eq!(app.state().selection().lead(), None, "the whole supply");
    app.key_press(Key::ArrowDown);
    settle(&mut app);
    let lead = app.state().selection().lead();
    assert_eq!(
        lead.map(|id| id.to_string()),
        Some("A1".to_owned()),
        "cooling comes next"
    );
    app.get_by_label("The room");
    let before = plan(&app).clone();
    app.key_press(Key::ArrowDown);
    settle(&mut app);
    assert_eq!(*plan(&app), before, "the arrows move no thing on the floor");
    app.key_press(Key::ArrowUp);
    settle(&mut app);
    let lead = app.state().selection().lead();
    assert_eq!(lead, Some(id("A1")), "and up again");
    app.key_press(Key::ArrowDown);
    settle(&mut app);
    assert!(
        app.state()
            .selection()
            .lead()
            .is_some_and(|id| id.to_string().starts_with('C'))
    );
}

#[test]
fn closing_takes_the_marks_off_the_floor() {
    let mut app = app();
    let plain = keep_picture(&mut app, "bad-days-before.png");
    open(&mut app);
    open(&mut app);
    click(&mut app, "Plan");
    app.key_press(Key::Escape);
    settle(&mut app);
    let again = keep_picture(&mut app, "bad-days-after.png");
    let floor = (245..1195).flat_map(|x| (230..600).map(move |y| (x, y)));
    let differ = floor.filter(|(x, y)| plain.get_pixel(*x, *y) != again.get_pixel(*x, *y));
    assert_eq!(differ.count(), 0);
}

#[test]
fn pages_are_written_into_a_folder_and_nothing_is_replaced_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("pages");
    let mut app = opened();
    click(&mut app, "Print cards and labels…");
    app.get_by_label("Print cards and labels");
    crate::harness::type_into(
        &mut app,
        "Folder for the pages",
        &pages.display().to_string(),
    );
    let names = || {
        let mut names: Vec<String> = std::fs::read_dir(&pages)
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    };
    let first = names();
    assert!(first[0].starts_with("bad-days-1-of-"), "{first:?}");
    assert!(
        first.iter().any(|n| n.starts_with("labels-1-of-")),
        "{first:?}"
    );
    assert!(says(&app, "Print them at 100 %."));
    app.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    settle(&mut app);
    crate::harness::type_into(
        &mut app,
        "Folder for the pages",
        &pages.display().to_string(),
    );
    assert!(says(&app, "a file of that name exists"));
    click(&mut app, "Replace it");
    assert_eq!(names(), first);
}

/// Each answer says what the wiring says, changes nothing by itself, and is taken over as one step.
#[test]
fn a_what_if_is_worked_out_and_taken_over_as_one_step() {
    let mut app = opened();
    let before = plan(&app).clone();
    click(&mut app, "What if");
    for question in Question::ALL {
        press(&mut app, &format!("Work out: {}", question.words()));
    }
    keep_picture(&mut app, "what-if.png");
    assert_eq!(*plan(&app), before, "only shown");
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &std::sync::Arc::new(before.clone()), PhaseNo(3));
    let asking = Asking {
        library: &library,
        layout: &layout,
        stops: &|layout| Findings::of(layout).stops(),
        steps: aislewright::wiring::STEPS,
        stop: &|| false,
    };
    let answer = asking.answer(Question::OneCircuit);
    for words in &answer.words {
        assert!(says(&app, words), "{words}");
    }
    press(&mut app, "Take over: One more circuit");
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    assert!(plan(&app).circuits().get(id("C10")).is_some());
    assert!(!says(&app, &answer.words[0]), "it was for another plan");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(*plan(&app), before);
}

#[test]
fn it_is_readable_in_a_narrow_window_and_in_the_dark() {
    let size = vec2(1280.0, 800.0);
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut app = window(editor_over(example(), None), size, theme);
        open(&mut app);
        keep_picture(&mut app, &format!("bad-days-{name}.png"));
        press(&mut app, "Cooling unit A1 stops, ");
        keep_picture(&mut app, &format!("bad-days-cooling-{name}.png"));
        let right = 1280.0 - 340.0;
        for node in app.query_all_by_label_contains("The breaker of C") {
            let rect = node.rect();
            assert!(rect.left() >= 224.0 && rect.right() <= right, "{rect:?}");
        }
        assert!(node_names(&app, "Print cards and labels…"));
    }
}

/// The pages, to be looked at.
#[test]
fn pages_are_drawn_in_black_on_white() {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &std::sync::Arc::new(example()), PhaseNo(3));
    for page in aislewright::sheet::cards_and_labels(&layout, "2026-01-31") {
        let pixels = crate::app::pixels_of(&page.sheet);
        let dark = pixels.pixels().iter().filter(|p| p.red() < 128).count();
        assert!(dark > 1000, "{}: {dark} dark points", page.file);
        if let Some(folder) = std::env::var_os("PICTURES") {
            let path = std::path::PathBuf::from(folder).join(format!("{}.png", page.file));
            pixels.save_png(path).unwrap();
        }
    }
}

fn node_names(app: &App, label: &str) -> bool {
    app.query_all_by_label(label)
        .any(|node| node.accesskit_node().label().is_some())
}
