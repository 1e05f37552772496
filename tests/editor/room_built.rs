//! Drives the building of the room: drawn by a drag or typed, its walls dragged, split, bevelled, by pointer and by keyboard.

use aislewright::geometry::Point;
use aislewright::plan::{Head, Item, ItemKind, Library, Outline, Plan, Room, TapeWalk, WallPlace};
use aislewright::storage;
use aislewright::storage::disk::RealDisk;
use aislewright::storage::save::Expected;
use aislewright::units::Length;
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, plan, settle};

/// A new plan of 12 by 20 ft with its door, the room's panel open.
fn new_room() -> App {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    app.get_by_label("Create plan").click();
    settle(&mut app);
    app.key_press(Key::F6);
    settle(&mut app);
    app
}

/// Where a point of the room, in inches, is on the screen.
fn on_screen(app: &App, x_in: f64, y_in: f64) -> Pos2 {
    let camera = app.state().camera().unwrap();
    camera.to_screen(Point::new(x_in * 25.4, y_in * 25.4))
}

fn press_and_move(app: &mut App, from: (f64, f64), to: (f64, f64)) -> Pos2 {
    let (from, to) = (on_screen(app, from.0, from.1), on_screen(app, to.0, to.1));
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for share in [0.2_f32, 0.6, 0.95, 1.0] {
        app.hover_at(from + (to - from) * share);
        app.step();
    }
    app.hover_at(to + Vec2::splat(0.25));
    app.step();
    to
}

fn drag(app: &mut App, from: (f64, f64), to: (f64, f64)) {
    let end = press_and_move(app, from, to);
    app.drop_at(end);
    settle(app);
}

fn click(app: &mut App, label: &str) {
    app.get_by_label(label).scroll_to_me();
    settle(app);
    app.get_by_label(label).click();
    settle(app);
}

fn fill_in(app: &mut App, label: &str, text: &str) {
    click(app, label);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(app);
    app.event(Event::Text(text.to_owned()));
    settle(app);
    app.key_press(Key::Enter);
    settle(app);
}

/// The corners in whole inches.
fn corners(app: &App) -> Vec<(i32, i32)> {
    let whole = |mm: f64| format!("{:.0}", mm / 25.4).parse().unwrap();
    let corners = plan(app).room().corners();
    corners
        .iter()
        .map(|(x, y)| (whole(x.mm()), whole(y.mm())))
        .collect()
}

fn undo(app: &mut App) {
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(app);
}

const TWELVE_BY_TWENTY: [(i32, i32); 4] = [(0, 0), (144, 0), (144, 240), (0, 240)];

#[test]
fn a_rectangle_is_dragged_on_the_floor_as_one_step() {
    let mut app = new_room();
    click(&mut app, "Draw anew");
    click(&mut app, "Drag it on the floor");
    drag(&mut app, (0.0, 0.0), (120.0, 204.0));
    assert_eq!(corners(&app), [(0, 0), (120, 0), (120, 204), (0, 204)]);
    assert_eq!(plan(&app).items().iter().count(), 1, "the door stays");
    undo(&mut app);
    assert_eq!(corners(&app), TWELVE_BY_TWENTY);
    // The next drag draws no room again.
    drag(&mut app, (30.0, 60.0), (100.0, 200.0));
    assert_eq!(corners(&app), TWELVE_BY_TWENTY);
}

#[test]
fn width_and_length_are_typed_while_a_room_is_drawn() {
    let mut app = new_room();
    click(&mut app, "Draw anew");
    click(&mut app, "Drag it on the floor");
    let end = press_and_move(&mut app, (0.0, 0.0), (120.0, 204.0));
    app.event(Event::Text("13ft".to_owned()));
    app.step();
    app.key_press(Key::Tab);
    app.step();
    app.event(Event::Text("18ft 6in".to_owned()));
    app.step();
    app.get_by_label("typed: 13ft wide, 18ft 6in long");
    app.key_press(Key::Enter);
    app.step();
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(corners(&app), [(0, 0), (156, 0), (156, 222), (0, 222)]);
    undo(&mut app);
    assert_eq!(corners(&app), TWELVE_BY_TWENTY, "one step");
}

#[test]
fn an_l_is_dragged_with_its_notch_where_the_drag_ends() {
    let mut app = new_room();
    click(&mut app, "Draw anew");
    click(&mut app, "L");
    click(&mut app, "Drag it on the floor");
    drag(&mut app, (0.0, 0.0), (120.0, 210.0));
    assert_eq!(
        corners(&app),
        [(0, 0), (120, 0), (120, 140), (80, 140), (80, 210), (0, 210)]
    );
}

#[test]
fn rectangle_and_l_are_typed_with_units() {
    let mut app = new_room();
    click(&mut app, "Draw anew");
    fill_in(&mut app, "room width", "4 m");
    let width = plan(&app).room().polygon().unwrap().bounds().size().x;
    assert!((width - 4000.0).abs() < 0.01, "{width}");
    undo(&mut app);
    click(&mut app, "L");
    fill_in(&mut app, "notch width", "5ft");
    fill_in(&mut app, "notch length", "6ft");
    click(&mut app, "upper left");
    click(&mut app, "Use these sizes");
    assert_eq!(
        corners(&app),
        [(0, 0), (144, 0), (144, 240), (60, 240), (60, 168), (0, 168)]
    );
    fill_in(&mut app, "notch width", "13ft");
    app.get_by_label_contains("The notch must be smaller than the room both ways.");
}

#[test]
fn a_wall_is_dragged_and_its_new_length_written_and_typed() {
    let mut app = new_room();
    // The east wall, four feet out: the walls beside it are as long as whole inches.
    drag(&mut app, (144.0, 100.0), (192.3, 104.0));
    assert_eq!(corners(&app), [(0, 0), (192, 0), (192, 240), (0, 240)]);
    app.get_by_label_contains("Wall 1, south wall, 16' 0\", on the floor");
    let end = press_and_move(&mut app, (192.0, 100.0), (170.0, 100.0));
    app.event(Event::Text("13ft 3in".to_owned()));
    app.step();
    app.get_by_label("typed: 13ft 3in");
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(corners(&app)[1], (159, 0));
    undo(&mut app);
    undo(&mut app);
    assert_eq!(corners(&app), TWELVE_BY_TWENTY, "each drag is one step");
}

#[test]
fn escape_leaves_a_dragged_wall_where_it_was() {
    let mut app = new_room();
    let end = press_and_move(&mut app, (144.0, 100.0), (180.0, 100.0));
    app.key_press(Key::Escape);
    app.step();
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(corners(&app), TWELVE_BY_TWENTY);
}

#[test]
fn escape_leaves_a_dragged_rack_where_it_was() {
    let mut app = app();
    let rack = |app: &App| {
        let loose = plan(app).items().iter().map(|(_, item)| item);
        let mut loose = loose.filter(|item| !item.presence().pinned);
        let first = loose.find(|item| item.kind() == ItemKind::Rack);
        let first = first.and_then(Item::pose);
        first.unwrap()
    };
    let at = rack(&app);
    let (x, y) = (at.x.mm() / 25.4 + 8.0, at.y.mm() / 25.4 + 8.0);
    let end = press_and_move(&mut app, (x, y), (x + 20.0, y + 20.0));
    app.key_press(Key::Escape);
    app.step();
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(rack(&app), at);
    assert_eq!(app.state().session().undo_len(), 0);
}

#[test]
fn a_drag_that_would_leave_the_door_hanging_nowhere_is_refused_in_words() {
    let mut app = new_room();
    // The door takes 2 to 5 ft of the south wall.
    let end = press_and_move(&mut app, (144.0, 100.0), (48.0, 100.0));
    app.run();
    app.get_by_label_contains("door D1 would not lie within one piece of the south wall any more");
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(corners(&app), TWELVE_BY_TWENTY);
}

#[test]
fn walls_are_worked_on_by_keyboard_alone() {
    let mut app = new_room();
    let row = app
        .query_all_by_label_contains("Wall 2, east wall")
        .find(|node| node.rect().left() < 60.0)
        .unwrap();
    row.focus();
    settle(&mut app);
    app.key_press(Key::Enter);
    settle(&mut app);
    let chosen = app.get_by_label_contains("Wall 2, east wall, 20' 0\", on the floor");
    assert!(format!("{:?}", chosen.accesskit_node().toggled()).contains("True"));
    app.get_by_label_contains("Floor of New room").focus();
    settle(&mut app);
    app.key_press(Key::ArrowRight);
    settle(&mut app);
    assert_eq!(corners(&app)[1], (145, 0));
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    fill_in(&mut app, "split it at", "8ft");
    assert_eq!(
        corners(&app),
        [(0, 0), (144, 0), (144, 96), (144, 240), (0, 240)]
    );
    fill_in(&mut app, "move out by", "-1ft");
    assert_eq!(
        corners(&app),
        [(0, 0), (132, 0), (132, 96), (144, 96), (144, 240), (0, 240)]
    );
    fill_in(&mut app, "wall thickness", "10in");
    assert!((plan(&app).room().wall_thickness(1).mm() - 254.0).abs() < 0.01);
    assert!((plan(&app).room().wall_thickness(2).mm() - 152.4).abs() < 0.01);
    fill_in(&mut app, "wall length", "9ft");
    assert_eq!(corners(&app)[2], (132, 108));
}

/// A double click splits the north wall three feet from its corner; the piece dragged out becomes an alcove and stays chosen.
#[test]
fn a_double_click_splits_a_wall_where_it_is() {
    let mut app = new_room();
    let at = on_screen(&app, 100.2, 240.5);
    app.hover_at(at);
    app.step();
    // Both clicks in one frame: the frames of a test are too far apart for two clicks to be a double one.
    let click = |pressed| Event::PointerButton {
        pos: at,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    let clicks = [click(true), click(false), click(true), click(false)];
    app.input_mut().events.extend(clicks);
    app.step();
    settle(&mut app);
    assert_eq!(corners(&app)[3], (100, 240));
    drag(&mut app, (60.0, 240.0), (60.0, 264.0));
    assert_eq!(
        corners(&app),
        [
            (0, 0),
            (144, 0),
            (144, 240),
            (100, 240),
            (100, 264),
            (0, 264)
        ]
    );
    app.get_by_label_contains("Floor of New room").focus();
    settle(&mut app);
    app.key_press(Key::ArrowDown);
    settle(&mut app);
    assert_eq!(
        corners(&app)[4],
        (100, 263),
        "the same wall is chosen still"
    );
}

#[test]
fn a_corner_is_bevelled_and_taken_out_again() {
    let mut app = new_room();
    let row = app
        .query_all_by_label_contains("Wall 3, north wall")
        .find(|node| node.rect().left() < 60.0)
        .unwrap();
    row.click();
    settle(&mut app);
    fill_in(&mut app, "bevel corner 3 by", "2ft");
    assert_eq!(
        corners(&app),
        [(0, 0), (144, 0), (144, 216), (120, 240), (0, 240)]
    );
    // The same wall is chosen still; it begins at the fourth corner now.
    click(&mut app, "Remove corner 4");
    assert_eq!(corners(&app), [(0, 0), (144, 0), (144, 216), (0, 240)]);
    // The south wall holds the door: its corner cannot go.
    undo(&mut app);
    undo(&mut app);
    let row = app
        .query_all_by_label_contains("Wall 1, south wall")
        .find(|node| node.rect().left() < 60.0)
        .unwrap();
    row.click();
    settle(&mut app);
    click(&mut app, "Remove corner 1");
    app.get_by_label_contains("D1 hangs on the south wall, which would be gone");
    assert_eq!(corners(&app), TWELVE_BY_TWENTY);
}

#[test]
fn a_wall_of_a_tape_walk_changes_its_two_legs() {
    let mut app = new_room();
    click(&mut app, "Tape walk");
    click(&mut app, "Use this walk");
    let walk = |app: &App| plan(app).room().tape_walk().cloned();
    assert!(walk(&app).is_some());
    drag(&mut app, (144.0, 150.0), (168.0, 150.0));
    let legs: Vec<f64> = walk(&app)
        .unwrap()
        .legs()
        .iter()
        .map(|leg| leg.length.mm() / 304.8)
        .collect();
    for (is, should) in legs.iter().zip([14.0, 20.0, 14.0, 20.0]) {
        assert!((is - should).abs() < 1e-6, "{legs:?}");
    }
    click(&mut app, "Walls");
    // What would end the walk is said before it is done.
    app.get_by_label_contains("Splitting it, Bevelling: the tape walk becomes plain corners");
}

/// A room whose first wall climbs: taken as a walk it stays where it is, and so does the door in it.
#[test]
fn a_walk_used_in_place_of_corners_does_not_turn_the_room() {
    let mut app = new_room();
    click(&mut app, "Draw anew");
    click(&mut app, "L");
    click(&mut app, "lower left");
    fill_in(&mut app, "notch width", "2ft");
    let before = corners(&app);
    assert_eq!(before[0], (0, 80));
    let door = place(&app);
    click(&mut app, "Tape walk");
    click(&mut app, "Use this walk");
    assert!(matches!(plan(&app).room().outline, Outline::TapeWalk(_)));
    assert_eq!(corners(&app), before);
    assert_eq!(place(&app), door);
}

fn place(app: &App) -> WallPlace {
    let (_, door) = plan(app).items().iter().next().unwrap();
    door.wall_place().unwrap()
}

/// A walk whose fourth wall runs through the first: it opens, says so, and is mended in the panel.
#[test]
fn a_walk_that_crosses_itself_opens_to_be_mended() {
    let walk = "6 m left\n3 m left\n4 m left\n5 m right\n2 m right\n2 m right";
    let room = Room {
        outline: Outline::TapeWalk(TapeWalk::parse(walk, None).unwrap()),
        ..Room::rectangle(
            Length::from_mm_whole(1),
            Length::from_mm_whole(1),
            Length::from_mm_whole(2700),
            Length::from_mm_whole(100),
        )
    };
    assert!(room.polygon().unwrap().crossing().is_some());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("crossed.plan.ron");
    let crossed = Plan::new(Head::default(), room);
    storage::write(&RealDisk, &path, &crossed, Expected::Nothing).unwrap();
    let mut app = app();
    app.state_mut().open(&path);
    settle(&mut app);
    app.get_by_label_contains("has to be mended before anything else can be changed");
    app.key_press(Key::Escape);
    settle(&mut app);
    app.get_by_label_contains("cross or touch; the walk must go round once");
    assert!(app.query_by_label("Use this walk").is_none());
    app.get_by_label("Walls of the room").focus();
    settle(&mut app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("Walls of the room")
        .type_text("6 m left\n5 m left\n6 m left\n5 m left");
    settle(&mut app);
    click(&mut app, "Use this walk");
    let area = plan(&app).room().polygon().unwrap().area() / 1e6;
    assert!((area - 30.0).abs() < 1e-6, "{area}");
    assert_eq!(plan(&app).audit(&Library::builtin().unwrap().stock), []);
}

/// The residuals name the worst: a diagonal that is a hand's breadth off stands first.
#[test]
fn what_each_measurement_is_off_by_is_listed() {
    let mut app = new_room();
    click(&mut app, "Tape walk");
    click(&mut app, "Use this walk");
    for diagonal in ["1 3 23ft 3 7/8in", "2 4 24ft"] {
        fill_in(&mut app, "add a diagonal", diagonal);
    }
    click(&mut app, "What each measurement is off by (10)");
    app.get_by_label_contains(", the worst");
    assert!(app.query_all_by_label_contains("Wall 1: ").next().is_some());
}

/// Writes pictures of the panel and the floor: `PICTURES=/tmp/room cargo test --test editor pictures_of_building`.
#[test]
fn pictures_of_building() {
    let folder = std::env::var_os("PICTURES").map(std::path::PathBuf::from);
    let mut app = new_room();
    let save = |app: &mut App, name: &str| {
        let picture = app.render().unwrap();
        assert_eq!(picture.width(), 1600);
        if let Some(folder) = &folder {
            picture.save(folder.join(name)).unwrap();
        }
    };
    save(&mut app, "built-open.png");
    let end = press_and_move(&mut app, (144.0, 100.0), (180.0, 100.0));
    app.event(Event::Text("14ft".to_owned()));
    app.step();
    app.step();
    save(&mut app, "built-typed.png");
    app.drop_at(end);
    settle(&mut app);
    save(&mut app, "built-chosen.png");
    let end = press_and_move(&mut app, (168.0, 100.0), (48.0, 100.0));
    app.step();
    save(&mut app, "built-refused.png");
    app.drop_at(end);
    settle(&mut app);
    click(&mut app, "Draw anew");
    click(&mut app, "L");
    click(&mut app, "Drag it on the floor");
    let end = press_and_move(&mut app, (0.0, 0.0), (160.0, 200.0));
    save(&mut app, "built-l.png");
    app.drop_at(end);
    settle(&mut app);
    assert_eq!(Room::walls(plan(&app).room()), 6);
    let tape = |app: &mut App, name: &str| {
        click(app, name);
    };
    tape(&mut app, "Tape walk");
    tape(&mut app, "Use this walk");
    fill_in(&mut app, "add a diagonal", "1 3 20ft");
    tape(&mut app, "What each measurement is off by (13)");
    save(&mut app, "built-residuals.png");
}
