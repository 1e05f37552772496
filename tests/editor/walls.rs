//! Drives the elevation of a wall: things dragged along it and up, nudged by keyboard, measured from a chosen corner; what is
//! hidden; things for walls and ceilings from the stock drawer.

use aislewright::plan::{
    Edit, FittingUse, Id, Item, ItemKind, Library, Overhead, OverheadUse, Pose, Presence, Record,
    WallPlace,
};
use aislewright::units::{Angle, Length};
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Pos2, Rect, Shape, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, drag, editor_over, example, keep_picture, plan, settle, window};

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

/// Along its wall and above the floor, in inches.
fn place(app: &App, mark: &str) -> (f64, f64) {
    let item = plan(app).items().get(id(mark)).unwrap();
    let along = item.wall_place().unwrap().along;
    (along.inches(), item.wall_height().inches())
}

/// The thing's node in the elevation.
fn on_wall(app: &App, name: &str) -> Pos2 {
    let name = format!("{name} in elevation");
    app.get_by_label_contains(&name).rect().center()
}

fn select(app: &mut App, name: &str) {
    app.get_by_label_contains(&format!("{name} at ")).click();
    settle(app);
}

#[test]
fn an_outlet_is_dragged_along_its_wall_and_up() {
    let mut app = app();
    select(&mut app, "Outlet O7");
    app.get_by_label_contains("Elevation · south wall");
    app.get_by_label_contains("outlet O7 in elevation, 20' 0\" from the west end, 1' 6\" above");
    let before = place(&app, "O7");
    let from = on_wall(&app, "outlet O7");
    // From inside, west is at the right of the south wall.
    drag(&mut app, from, from + vec2(60.0, -50.0));
    let after = place(&app, "O7");
    assert!(after.0 < before.0, "towards the west: {after:?}");
    assert!(after.1 > before.1, "higher: {after:?}");
    assert!(after.0.fract().abs() < 1e-9 && after.1.fract().abs() < 1e-9);
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(place(&app, "O7"), before);
}

#[test]
fn arrow_keys_nudge_what_is_chosen_in_the_elevation() {
    let mut app = app();
    select(&mut app, "Window W1");
    let before = place(&app, "W1");
    app.get_by_label_contains("window W1 in elevation").focus();
    settle(&mut app);
    app.key_press(Key::ArrowUp);
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    let after = place(&app, "W1");
    assert_eq!((after.0 - before.0, after.1 - before.1), (1.0, 1.0));
}

#[test]
fn what_stands_before_the_wall_is_said_to_hide_what_is_on_it() {
    let mut app = app();
    select(&mut app, "Outlet O1");
    app.get_by_label_contains("Hidden: O1 behind R1");
    app.get_by_label_contains(
        "outlet O1 in elevation, 23' 4\" from the east end, 1' 6\" above the floor, behind R1",
    );
    app.get_by_label("Wall to the right").click();
    settle(&mut app);
    app.get_by_label_contains("Elevation · east wall");
}

/// The words drawn on the wall on show, and where.
fn words_on_the_wall(app: &App) -> Vec<(String, Rect)> {
    let nodes = app.query_all_by_label_contains("in elevation");
    let wall = nodes.map(|node| node.rect()).reduce(Rect::union).unwrap();
    let wall = wall.expand2(vec2(40.0, 80.0));
    let mut all = Vec::new();
    for drawn in &app.output().shapes {
        if let Shape::Text(text) = &drawn.shape {
            let place = Rect::from_min_size(text.pos, text.galley.size());
            if wall.contains_rect(place) {
                all.push((text.galley.text().to_owned(), place));
            }
        }
    }
    all
}

/// Eight outlets 8 in apart at one height, one of them over another, beside a data point, and a rack before half of them.
#[test]
fn no_two_marks_on_a_wall_lie_over_one_another() {
    let mut plan = example();
    let records = |mark: &str, item: Item| (id(mark), Record::Item(Box::new(item)));
    let outlet = plan.items().get(id("O7")).unwrap().clone();
    let mut marks = Vec::new();
    let mut all = Vec::new();
    for k in 0..9_u8 {
        let at = WallPlace::new(2, Length::from_inches(180 + 8 * i32::from(k.min(7))));
        let mark = format!("O{}", 90 + k);
        all.push(records(&mark, outlet.with_wall_place(at)));
        marks.push(mark);
    }
    plan = plan
        .edited(&Library::builtin().unwrap().stock, &Edit::Put(all))
        .unwrap();
    for size in [vec2(1600.0, 1000.0), vec2(1280.0, 800.0)] {
        let mut app = window(editor_over(plan.clone(), None), size, Theme::Light);
        select(&mut app, "Window W1");
        for _ in 0..4 {
            if app
                .query_by_label_contains("outlet O90 in elevation")
                .is_some()
            {
                break;
            }
            app.get_by_label("Wall to the left").click();
            settle(&mut app);
        }
        keep_picture(&mut app, &format!("marks-{:.0}.png", size.x));
        let words = words_on_the_wall(&app);
        for mark in &marks {
            let count = words.iter().filter(|(w, _)| w == mark).count();
            assert_eq!(count, 1, "{mark} is written once");
        }
        for (k, (one, place)) in words.iter().enumerate() {
            for (other, theirs) in words.iter().skip(k + 1) {
                let apart = !place.shrink(0.5).intersects(theirs.shrink(0.5));
                assert!(apart, "{one:?} lies over {other:?} at {size:?}");
            }
        }
    }
}

#[test]
fn a_measure_is_kept_from_the_other_end_and_typed_from_there() {
    let mut app = app();
    select(&mut app, "Outlet O7");
    app.get_by_role_and_label(Role::ComboBox, "measured from")
        .click();
    settle(&mut app);
    app.get_by_label("east end").click();
    settle(&mut app);
    let field = app.get_by_label("from its corner");
    // 26 ft 4 in less 20 ft.
    assert_eq!(field.accesskit_node().value().as_deref(), Some("6' 4\""));
    field.focus();
    settle(&mut app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("from its corner").type_text("5ft");
    app.key_press(Key::Enter);
    settle(&mut app);
    let at = plan(&app).items().get(id("O7")).unwrap().wall_place();
    assert_eq!(at.unwrap().along, Length::from_inches(21 * 12 + 4));
}

#[test]
fn things_for_walls_and_ceilings_come_from_the_drawer() {
    let mut app = app();
    for (title, kind) in [
        ("Extinguisher", ItemKind::Fitting(FittingUse::Extinguisher)),
        ("Data point", ItemKind::Fitting(FittingUse::DataPoint)),
        ("Radiator", ItemKind::Fitting(FittingUse::Radiator)),
        ("Beam", ItemKind::Overhead(OverheadUse::Beam)),
        ("Pipe or duct", ItemKind::Overhead(OverheadUse::Pipe)),
        ("Sprinkler head", ItemKind::Overhead(OverheadUse::Sprinkler)),
        ("Detector", ItemKind::Overhead(OverheadUse::Detector)),
    ] {
        app.get_by_label("Find in stock").focus();
        settle(&mut app);
        app.key_press_modifiers(Modifiers::COMMAND, Key::A);
        app.get_by_label("Find in stock").type_text(title);
        settle(&mut app);
        app.get_by_label(title).focus();
        settle(&mut app);
        app.key_press(Key::Enter);
        settle(&mut app);
        let there = plan(&app).items().iter().any(|(_, i)| i.kind() == kind);
        assert!(there, "{title}");
    }
}

/// Takes a thing on a wall by the hand and moves it a little, without letting go.
fn take(app: &mut App, name: &str, by: egui::Vec2) -> Pos2 {
    let from = on_wall(app, name);
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    app.hover_at(from + by);
    app.step();
    app.step();
    from + by
}

fn type_while_dragging(app: &mut App, words: &str) {
    app.event(Event::Text(words.to_owned()));
    app.step();
    app.step();
}

/// O7 is 20 ft from the west end of a wall of 26 ft 4 in, 1 ft 6 in up.
#[test]
fn measures_are_written_and_typed_while_a_thing_is_dragged_on_its_wall() {
    let mut app = app();
    select(&mut app, "Outlet O7");
    let to = take(&mut app, "outlet O7", vec2(30.0, -20.0));
    app.get_by_label_contains("Type the length from the west end. Tab: the next measure.");
    type_while_dragging(&mut app, "5ft");
    app.get_by_label("typed: 5ft from the west end");
    app.get_by_label_contains("outlet O7 in elevation, 5' 0\" from the west end");
    // The other corner, then the height.
    app.key_press(Key::Tab);
    app.step();
    app.step();
    app.get_by_label("typed: 5ft from the east end");
    app.get_by_label_contains("outlet O7 in elevation, 21' 4\" from the west end");
    app.key_press(Key::Tab);
    app.step();
    type_while_dragging(&mut app, "4");
    type_while_dragging(&mut app, "2");
    app.get_by_label("typed: 5ft from the east end, 42 above the floor");
    assert_eq!(place(&app, "O7"), (240.0, 18.0), "not yet");
    app.key_press(Key::Enter);
    app.step();
    app.drop_at(to);
    settle(&mut app);
    assert_eq!(place(&app, "O7"), (256.0, 42.0));
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    // What cannot be is refused with its reason, and Escape lets go.
    let to = take(&mut app, "outlet O7", vec2(10.0, 0.0));
    type_while_dragging(&mut app, "40ft");
    app.key_press(Key::Enter);
    app.step();
    app.drop_at(to);
    settle(&mut app);
    app.get_by_label_contains("it does not lie within wall 0");
    let to = take(&mut app, "outlet O7", vec2(40.0, 0.0));
    app.key_press(Key::Escape);
    app.step();
    app.drop_at(to);
    settle(&mut app);
    assert_eq!(place(&app, "O7"), (256.0, 42.0));
    assert_eq!(app.state().session().undo_len(), 1, "still one");
}

/// A door stands on the floor: there is no height to be typed, Tab goes from one corner to the other. D1 is on the west wall of
/// 11 ft 8 in.
#[test]
fn a_door_is_typed_along_its_wall_alone() {
    let mut app = app();
    app.get_by_label_contains("Door D1 at ").click();
    settle(&mut app);
    let before = place(&app, "D1");
    let to = take(&mut app, "door D1", vec2(-15.0, 0.0));
    for end in ["south", "north", "south"] {
        app.key_press(Key::Tab);
        app.step();
        app.step();
        app.get_by_label_contains(&format!("Type the length from the {end} end. Tab"));
    }
    type_while_dragging(&mut app, "1ft 1in");
    app.drop_at(to);
    settle(&mut app);
    let after = place(&app, "D1");
    let Some(Item::Door(door)) = plan(&app).items().get(id("D1")) else {
        panic!("it is a door");
    };
    assert!(
        (140.0 - door.width.inches() - after.0 - 13.0).abs() < 1e-9,
        "{after:?}"
    );
    assert!(after.1.abs() < 1e-9 && after != before);
}

/// Puts what is overhead from the drawer; it is selected then.
fn hang(app: &mut App, title: &str) -> Id {
    app.get_by_label("Find in stock").focus();
    settle(app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("Find in stock").type_text(title);
    settle(app);
    app.get_by_label(title).focus();
    settle(app);
    app.key_press(Key::Enter);
    settle(app);
    app.state().selection().lead().unwrap()
}

fn bottom(app: &App, id: Id) -> f64 {
    match plan(app).items().get(id) {
        Some(Item::Overhead(thing)) => thing.bottom.inches(),
        other => panic!("{id} hangs overhead: {other:?}"),
    }
}

#[test]
fn a_beam_is_seen_before_the_wall_and_its_height_dragged_nudged_and_typed() {
    let mut app = app();
    let beam = hang(&mut app, "Beam");
    let name = format!("beam {beam}");
    app.get_by_label_contains("Elevation · ");
    let low = bottom(&app, beam);
    let before = app.state().session().undo_len();
    app.get_by_label_contains(&format!("{name} in elevation"))
        .focus();
    settle(&mut app);
    app.key_press(Key::ArrowDown);
    settle(&mut app);
    assert!((bottom(&app, beam) - (low - 1.0)).abs() < 1e-9);
    let from = on_wall(&app, &name);
    drag(&mut app, from, from + vec2(25.0, 30.0));
    let dragged = bottom(&app, beam);
    assert!(
        dragged < low - 2.0 && dragged.fract().abs() < 1e-9,
        "{dragged}"
    );
    let to = take(&mut app, &name, vec2(0.0, 15.0));
    type_while_dragging(&mut app, "7ft 6in");
    app.get_by_label("typed: 7ft 6in above the floor");
    app.get_by_label_contains(", 7' 6\" above the floor");
    app.drop_at(to);
    settle(&mut app);
    assert!((bottom(&app, beam) - 90.0).abs() < 1e-9);
    assert_eq!(app.state().session().undo_len(), before + 3);
    for _ in 0..3 {
        app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        settle(&mut app);
    }
    assert!((bottom(&app, beam) - low).abs() < 1e-9);
}

#[test]
fn the_elevation_turns_to_the_wall_chosen_in_the_rooms_panel() {
    let mut app = app();
    app.get_by_label_contains("Rack R1 at ").click();
    settle(&mut app);
    app.get_by_label("Wall behind");
    app.key_press(Key::F6);
    settle(&mut app);
    app.get_by_label("Walls").click();
    settle(&mut app);
    let rows = [
        ("Wall 2, east", "east wall"),
        ("Wall 3, north", "north wall"),
    ];
    for (row, wall) in rows {
        app.get_by_role_and_label(Role::Button, &row_name(&app, row))
            .click();
        settle(&mut app);
        app.get_by_label_contains(&format!("Elevation · {wall}"));
    }
    // On the floor too.
    let name = "Wall 1, south wall, 26' 4\", on the floor";
    app.get_by_label_contains(name).click();
    settle(&mut app);
    app.get_by_label_contains("Elevation · south wall");
}

/// The whole name of a wall's row in the panel.
fn row_name(app: &App, begins: &str) -> String {
    let rows: Vec<String> = app
        .query_all_by_label_contains(begins)
        .filter_map(|node| node.accesskit_node().label())
        .filter(|label| label.contains("thick"))
        .collect();
    rows.into_iter().next().unwrap()
}

/// Writes pictures of walls: `PICTURES=/tmp/walls cargo test --test editor pictures_of_the_walls`.
#[test]
fn pictures_of_the_walls() {
    let folder = std::env::var_os("PICTURES").map(std::path::PathBuf::from);
    let mut app = app();
    for (name, file) in [
        ("Outlet O1", "north"),
        ("Window W1", "south"),
        ("Panel E1", "west"),
    ] {
        select(&mut app, name);
        app.remove_cursor();
        app.run();
        let picture = app.render().unwrap();
        assert_eq!(picture.width(), 1600);
        if let Some(folder) = &folder {
            picture
                .save(folder.join(format!("wall-{file}.png")))
                .unwrap();
        }
    }
}

/// The example with a beam across the room, a pipe along the north wall, a head and a detector.
fn under_the_ceiling() -> App {
    let inches = Length::from_inches;
    let hung = |purpose, (x, y): (i32, i32), (width, depth): (i32, i32), low: i32| {
        Item::Overhead(Overhead {
            purpose,
            at: Pose {
                x: inches(x),
                y: inches(y),
                turn: Angle::default(),
            },
            width: inches(width),
            depth: inches(depth),
            bottom: inches(low),
            presence: Presence::default(),
        })
    };
    let things = [
        ("J1", hung(OverheadUse::Beam, (96, 0), (10, 140), 94)),
        ("L1", hung(OverheadUse::Pipe, (110, 126), (200, 6), 100)),
        ("L2", hung(OverheadUse::Pipe, (60, 20), (8, 110), 98)),
        ("S1", hung(OverheadUse::Sprinkler, (170, 90), (3, 3), 96)),
        ("T1", hung(OverheadUse::Detector, (230, 90), (5, 5), 105)),
    ];
    let put = things.map(|(mark, item)| (id(mark), Record::Item(Box::new(item))));
    let library = Library::builtin().unwrap();
    let hung = example()
        .edited(&library.stock, &Edit::Put(put.to_vec()))
        .unwrap();
    window(editor_over(hung, None), vec2(1600.0, 1000.0), Theme::Light)
}

/// Writes pictures of what hangs before a wall: `PICTURES=/tmp/walls cargo test --test editor pictures_of_what_hangs`.
#[test]
fn pictures_of_what_hangs() {
    let folder = std::env::var_os("PICTURES").map(std::path::PathBuf::from);
    let save = |app: &mut App, name: &str| {
        let picture = app.render().unwrap();
        assert_eq!(picture.width(), 1600);
        if let Some(folder) = &folder {
            picture.save(folder.join(name)).unwrap();
        }
    };
    let mut app = under_the_ceiling();
    select(&mut app, "Outlet O1");
    app.get_by_label_contains("beam J1 in elevation, cut, 7' 10\" above the floor");
    app.get_by_label_contains("pipe L1 in elevation, 8' 4\" above the floor");
    app.get_by_label_contains("pipe L2 in elevation, cut, 8' 2\" above the floor");
    app.remove_cursor();
    app.run();
    save(&mut app, "hung-north.png");
    take(&mut app, "sprinkler head S1", vec2(0.0, 20.0));
    save(&mut app, "hung-dragged.png");
    type_while_dragging(&mut app, "7ft");
    app.get_by_label_contains("sprinkler head S1 in elevation, 7' 0\" above the floor");
    save(&mut app, "hung-typed.png");
}
