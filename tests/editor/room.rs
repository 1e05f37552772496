//! Drives the panel of the room as measured: a walk typed or pasted, its closure, the slips that explain it, diagonals.

use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, app, keep_picture, plan, settle};

/// A new plan, its panel of the room open with another walk typed.
fn new_room(walk: &str) -> App {
    let mut app = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    app.get_by_label("Create plan").click();
    settle(&mut app);
    app.key_press(Key::F6);
    settle(&mut app);
    app.get_by_label("Tape walk").click();
    settle(&mut app);
    write(&mut app, walk);
    app
}

fn write(app: &mut App, walk: &str) {
    app.get_by_label("Walls of the room").focus();
    settle(app);
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.get_by_label("Walls of the room").type_text(walk);
    settle(app);
}

fn area_m2(app: &App) -> f64 {
    plan(app).room().polygon().unwrap().area() / 1e6
}

/// An L of 6 by 4 m less 2 by 1.5 m: 21 square metres.
#[test]
fn an_l_shaped_room_is_walked_and_used() {
    let mut app = new_room("6 m left\n2.5 m left\n2 m right\n1.5 m left\n4 m left\n4 m left");
    app.get_by_label("The walk closes.");
    app.get_by_label("Use this walk").click();
    settle(&mut app);
    assert_eq!(plan(&app).room().walls(), 6);
    assert!((area_m2(&app) - 21.0).abs() < 1e-9, "{}", area_m2(&app));
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(plan(&app).room().walls(), 4, "one step");
}

/// The second wall is a foot too short: the gap is said, the wall named, and one click puts it right.
#[test]
fn a_wall_mistyped_by_a_foot_is_found_and_mended() {
    let mut app = new_room("20ft left\n11ft left\n20ft left\n12ft left");
    app.get_by_label_contains("The walk ends south of its start.");
    app.get_by_label_contains("The walk ends 1' 0\" from where it began, 1 in 63 of its 63' 0\"");
    let slip = app
        .query_all_by_label_contains("wall 2 would be 12' 0\"")
        .next()
        .unwrap();
    slip.click();
    settle(&mut app);
    app.get_by_label("The walk closes.");
    app.get_by_label("Use this walk").click();
    settle(&mut app);
    let square_feet = area_m2(&app) / (0.3048 * 0.3048);
    assert!((square_feet - 240.0).abs() < 1e-9, "{square_feet}");
}

/// A quadrilateral with walls of 3, 4, 3 and 4 m leans: its diagonal of 4.9 m instead of 5 m says by how much.
#[test]
fn a_diagonal_tightens_a_room_out_of_square() {
    let mut app = new_room("4 m left\n3 m left\n4 m left\n3 m left");
    app.get_by_label("Use this walk").click();
    settle(&mut app);
    app.get_by_label("add a diagonal").focus();
    settle(&mut app);
    app.get_by_label("add a diagonal").type_text("1 3 490 cm");
    app.key_press(Key::Enter);
    settle(&mut app);
    let room = plan(&app).room();
    assert_eq!(room.diagonals.len(), 1);
    let corners = room.polygon().unwrap();
    let points = corners.points();
    let diagonal = points[0].distance(points[2]);
    assert!((diagonal - 4_900.0).abs() < 1.0, "{diagonal}");
    app.get_by_label("Remove diagonal 1").click();
    settle(&mut app);
    assert!(plan(&app).room().diagonals.is_empty());
}

#[test]
fn what_is_no_walk_is_said_with_its_line_and_never_used() {
    let mut app = new_room("20ft left\n12 parrots");
    app.get_by_label_contains("line 2, column");
    assert!(app.query_by_label("Use this walk").is_none());
    write(&mut app, "20ft left\n12ft left\n20ft left\n12ft left");
    app.get_by_label("Use this walk");
    let field = app.get_by_label("Walls of the room");
    assert!(field.accesskit_node().value().is_some());
}

/// Writes pictures of the panel: `PICTURES=/tmp/room cargo test --test editor pictures_of_the_room`.
#[test]
fn pictures_of_the_room() {
    let mut app =
        new_room("26ft 4in left\n11ft 8in left\n20ft left\n2ft right\n6ft 4in left\n12ft 8in left");
    let picture = keep_picture(&mut app, "room.png");
    assert_eq!(picture.width(), 1600);
}
