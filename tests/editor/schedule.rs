//! Drives the panel schedule: opened by menu and key, its rows read and clicked, the phase wired and the wiring taken over.

use std::path::Path;

use aislewright::cli::EXAMPLE;
use aislewright::plan::{Head, Id, Library, PhaseNo, Plan, Room};
use aislewright::storage;
use aislewright::units::{Length, Practice};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, click, editor_over, example, keep_picture, plan, settle, window};

const USUAL: Vec2 = vec2(1600.0, 1000.0);

/// The example in its last phase, the schedule open.
fn opened() -> App {
    let mut app = app();
    open(&mut app);
    app
}

fn open(app: &mut App) {
    app.key_press(Key::F5);
    settle(app);
}

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

/// True where something on the screen has these words in its name.
fn says(app: &App, words: &str) -> bool {
    app.query_all_by_label_contains(words).next().is_some()
}

/// The names of the table's rows.
fn rows(app: &App) -> Vec<String> {
    app.query_all_by_label_contains("Circuit C")
        .filter_map(|node| node.accesskit_node().label())
        .collect()
}

#[test]
fn it_is_opened_by_key_and_menu_and_makes_way_for_the_elevation() {
    let mut app = app();
    assert!(app.query_by_label("Panel schedule").is_none());
    assert!(says(&app, "Wall to the right"), "the elevation");
    open(&mut app);
    app.get_by_label("Panel schedule");
    assert!(!says(&app, "Wall to the right"), "in its place");
    let back = app.get_by_label("Back to the elevation");
    assert!(back.is_focused(), "the keyboard is there at once");
    open(&mut app);
    assert!(app.query_by_label("Panel schedule").is_none(), "same key");
    click(&mut app, "View");
    app.get_by_label_contains("Panel schedule").click();
    settle(&mut app);
    click(&mut app, "Back to the elevation");
    assert!(says(&app, "Wall to the right"), "the elevation is back");
}

/// C01: six printers of 120 W running and 300 W at the peak, power factor 0.95, on two UPS of efficiency 0.92 and 60 W of
/// recharging each, at 120 V. Running 6 * 120 / 0.95 / 0.92 / 120 = 6.865 A of 16 A (43 %); at the peak
/// (6 * 300 / 0.95 / 0.92 + 2 * 60) / 120 = 18.163 A of 20 A (91 %). Shares: NEC 210.20(A), 80 % of a breaker for hours.
#[test]
fn every_circuit_of_the_phase_has_a_row_with_its_figures() {
    let mut app = opened();
    let all = rows(&app);
    assert_eq!(all.len(), 9);
    let begins = "Circuit C01, Status existing, Breaker 20 A, Poles 1, Leg L1, Outlets O1 O9, UPS U1 U2, Printers 6, \
                  Run. A 6.9, % cont. 43 %, Peak A 18.2, % brk. 91 %, Cable 12 AWG, ";
    assert!(all[0].starts_with(begins), "{}", all[0]);
    assert!(!all[0].contains("Must fix"));
    // Three UPS of 950, 900 and 900 W: (2750 / 0.95 / 0.92 + 3 * 60) / 120 = 27.720 A.
    let over = all
        .iter()
        .find(|row| row.starts_with("Circuit C06"))
        .unwrap();
    assert!(
        over.ends_with("Must fix: C06 carries 27.7 A at the peak with 9 printers; 20.0 A of its 20 A breaker may be taken so."),
        "{over}"
    );
    app.get_by_label_contains("Running: L1 27.5 A, L2 31.1 A, difference 3.6 A.");
    app.get_by_label_contains("At the peak: L1 ");
    app.get_by_label_contains("The supply carries 64 printers");
    let caution =
        "For planning only: a licensed electrician and the local code decide what is built.";
    assert_eq!(app.query_all_by_label(caution).count(), 1);
    app.state_mut().show_phase(PhaseNo(1));
    settle(&mut app);
    assert_eq!(rows(&app).len(), 2, "those of the first phase");
}

#[test]
fn a_click_selects_the_circuit_and_opens_its_card() {
    let mut app = opened();
    app.get_by_label_contains("Circuit C02").click();
    settle(&mut app);
    assert_eq!(app.state().selection().lead(), Some(id("C02")));
    app.get_by_label("C02 · circuit");
    // The next row by keyboard alone.
    app.get_by_label_contains("Circuit C03").focus();
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    app.get_by_label("C03 · circuit");
}

/// The outlets of the circuit selected are outlined on the floor.
#[test]
fn the_outlets_of_the_circuit_selected_are_lit() {
    let mut app = app();
    // Jets have the same colour.
    click(&mut app, "Air");
    let selection = |app: &mut App, name: &str| {
        let line = aislewright::editor::theme::Palette::of(Theme::Light)
            .selection
            .line
            .to_array();
        let picture = keep_picture(app, name);
        // The floor alone, between the panels at its sides and below the bar.
        let floor = (245..1195).flat_map(|x| (230..650).map(move |y| (x, y)));
        floor
            .filter(|(x, y)| picture.get_pixel(*x, *y).0 == line)
            .count()
    };
    let before = selection(&mut app, "schedule.png");
    open(&mut app);
    // The cable of C02 has another colour, and those of the other circuits are faint.
    app.get_by_label_contains("Circuit C02").click();
    settle(&mut app);
    let after = selection(&mut app, "schedule-selected.png");
    assert!(after > before + 60, "{before} points before, {after} after");
}

#[test]
fn a_phase_is_wired_and_the_wiring_taken_over_as_one_step() {
    let mut app = opened();
    let before = plan(&app).clone();
    click(&mut app, "Wire this phase");
    assert_eq!(*plan(&app), before, "only shown");
    app.get_by_label("1 new circuit; proved: no wiring of these plugs does with fewer.");
    app.get_by_label("51 printers with power, none without.");
    app.get_by_label("Build C10: a circuit of 20 A at 120 V, on L1.");
    app.get_by_label_contains("Taking it over would add 1 circuit and move ");
    click(&mut app, "Take it over");
    assert_eq!(app.state().session().undo_label(), Some("Wire phase 3"));
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    assert_eq!(rows(&app).len(), 10);
    assert!(
        !rows(&app).iter().any(|row| row.contains("Must fix")),
        "no circuit carries too much"
    );
    assert!(!says(&app, "proved: no wiring"), "it was for another plan");
    app.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(*plan(&app), before);
    assert_eq!(rows(&app).len(), 9);
}

#[test]
fn what_was_found_goes_with_the_plan_and_the_phase_it_was_found_for() {
    let mut app = opened();
    let title = "proved: no wiring of these plugs does with fewer.";
    click(&mut app, "Wire this phase");
    assert!(says(&app, title));
    click(&mut app, "Leave the wiring as it is");
    assert!(!says(&app, title));
    assert_eq!(app.state().session().undo_len(), 0, "nothing was changed");
    click(&mut app, "Wire this phase");
    app.get_by_label_contains("Rack R7 at ").click();
    settle(&mut app);
    assert!(says(&app, title), "a selection changes nothing");
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), 1);
    assert!(!says(&app, title), "the plan is another one");
    click(&mut app, "Wire this phase");
    assert!(says(&app, title));
    app.state_mut().show_phase(PhaseNo(2));
    settle(&mut app);
    assert!(!says(&app, title), "found for another phase");
}

/// Whoever takes over a wiring without new circuits finds everything hanging so.
#[test]
fn a_phase_that_hangs_as_found_says_so() {
    let mut app = app();
    app.state_mut().show_phase(PhaseNo(1));
    settle(&mut app);
    open(&mut app);
    click(&mut app, "Wire this phase");
    if app.query_by_label("Take it over").is_some() {
        click(&mut app, "Take it over");
        click(&mut app, "Wire this phase");
    }
    app.get_by_label("No new circuit; proved: no wiring of these plugs does with fewer.");
    app.get_by_label("Everything hangs like this already.");
    assert!(app.query_by_label("Take it over").is_none());
}

#[test]
fn without_a_circuit_it_says_where_to_add_one() {
    let mm = Length::from_mm_whole;
    let room = Room::rectangle(mm(6000), mm(4000), mm(2700), mm(150));
    let head = Head {
        practice: Practice::Metric,
        ..Head::default()
    };
    let empty = Plan::new(head, room);
    assert!(empty.audit(&Library::builtin().unwrap().stock).is_empty());
    let mut app = window(editor_over(empty, None), USUAL, Theme::Light);
    open(&mut app);
    app.get_by_label_contains("No circuit in this phase yet.");
    assert!(rows(&app).is_empty());
    click(&mut app, "Wire this phase");
    app.get_by_label("There is no printer to plug in.");
    app.get_by_label("Everything hangs like this already.");
    app.get_by_label("Add a circuit").scroll_to_me();
    settle(&mut app);
    click(&mut app, "Add a circuit");
    assert!(!says(&app, "No circuit in this phase yet."));
    assert_eq!(rows(&app).len(), 1);
}

#[expect(
    clippy::disallowed_methods,
    reason = "a file from elsewhere, in the test's own folder"
)]
fn write(path: &Path, text: &str) {
    std::fs::write(path, text).unwrap();
}

/// A plan with a printer in a place that its rack does not have.
#[test]
fn a_plan_that_may_only_be_looked_at_offers_no_taking_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("faulty.plan.ron");
    let faulty = EXAMPLE.replacen("slot: \"R1.1.1\"", "slot: \"R1.9.1\"", 1);
    write(&path, &faulty);
    let mut app = app();
    app.state_mut().open(&path);
    settle(&mut app);
    click(&mut app, "Close");
    open(&mut app);
    click(&mut app, "Wire this phase");
    app.get_by_label_contains("Taking it over would ");
    app.get_by_label_contains("can only be looked at");
    assert!(app.query_by_label("Take it over").is_none());
}

#[test]
fn a_room_of_200_printers_is_wired_too() {
    let text = std::fs::read("demo-data/long-loft.plan.ron").unwrap();
    let library = Library::builtin().unwrap();
    let loft = storage::plan_of(&library, "loft", &text).unwrap().plan;
    let mut app = window(editor_over(loft, None), USUAL, Theme::Light);
    open(&mut app);
    let circuits = plan(&app).circuits().iter().count();
    assert_eq!(
        rows(&app).len(),
        circuits,
        "all are there in the last phase"
    );
    click(&mut app, "Wire this phase");
    assert!(says(&app, " new circuit"));
    app.get_by_label("Leave the wiring as it is");
    keep_picture(&mut app, "schedule-loft.png");
}

/// In a small window it comes on show by itself, and its table scrolls sideways to its last column.
#[test]
fn in_a_small_window_the_table_scrolls() {
    let mut app = window(
        editor_over(example(), None),
        vec2(620.0, 480.0),
        Theme::Light,
    );
    open(&mut app);
    app.get_by_label("Panel schedule");
    app.get_by_label_contains("Circuit C01");
    let head = app.get_by_label("Drop").rect();
    assert!(head.right() > 620.0, "{head:?} is out of view");
    app.get_by_label("Drop").scroll_to_me();
    settle(&mut app);
    let head = app.get_by_label("Drop").rect();
    assert!(head.right() <= 620.0, "{head:?} is in view");
    keep_picture(&mut app, "schedule-small.png");
    click(&mut app, "Back to the elevation");
    click(&mut app, "Elevation");
    assert!(says(&app, "Wall to the right"));
}

/// Writes pictures: `PICTURES=/tmp/schedule cargo test --test editor pictures_of_the_schedule`.
#[test]
fn pictures_of_the_schedule() {
    for (theme, size, name) in [
        (Theme::Light, USUAL, "light"),
        (Theme::Dark, USUAL, "dark"),
        (Theme::Light, vec2(1280.0, 800.0), "narrow"),
    ] {
        let mut app = window(editor_over(example(), None), size, theme);
        open(&mut app);
        app.get_by_label_contains("Circuit C06").click();
        settle(&mut app);
        keep_picture(&mut app, &format!("schedule-{name}.png"));
        click(&mut app, "Wire this phase");
        let picture = keep_picture(&mut app, &format!("schedule-{name}-wired.png"));
        assert_eq!(size.x.to_string(), picture.width().to_string());
    }
}
