//! Heat on the plan's card: the bars as they are told, what is typed, and what is not understood.

use aislewright::plan::{Beyond, OutdoorAir};
use aislewright::stock::KindId;
use aislewright::units::{Celsius, CubicMetresPerHour, Ratio, UValue, Watts};
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{
    App, choose, editor_over, example, keep_picture, plan, settle, type_into, window,
};

/// A window high enough for the whole card, in the last phase.
fn tall() -> App {
    let mut app = window(
        editor_over(example(), None),
        vec2(1600.0, 6000.0),
        Theme::Light,
    );
    app.get_by_label("3 Growth").click();
    settle(&mut app);
    app
}

/// The sums are those of the example's cooling in `tests/checks_example.rs`.
#[test]
fn every_bar_says_what_it_is() {
    let app = tall();
    for says in [
        "Printers: 4994 W, 51 printers printing 80% of the time",
        "UPS loss: 434 W, 17 UPS",
        "Other machines: 150 W",
        "Lights: 240 W",
        "People: 80 W, 1 at light bench work",
        "Walls: 301 W, the south wall 20.3 m², the east wall 9.8 m², at 10 K",
        "Ceiling: 171 W",
        "Windows: 48 W",
        "Sun: 426 W",
        "Outdoor air: 130 W, 10.9 L/s, at 10 K",
        "Together: 6974 W",
        "A1 takes: 5212 W, A1: rated 7034 W × 78% sensible × 95% on the hottest day",
    ] {
        app.get_by_label_contains(says);
    }
    app.get_by_label_contains("cooling ceiling: 34 printers");
}

#[test]
fn what_is_typed_is_said_of_the_room() {
    let mut app = tall();
    type_into(&mut app, "people at work", "3");
    type_into(&mut app, "lights", "120");
    type_into(&mut app, "hottest outdoors", "86");
    type_into(&mut app, "air from outdoors", "60 m3/h");
    // R 13 ft² h °F/Btu: 5.678 / 13 = 0.4368 W/m²K.
    type_into(&mut app, "U of the east wall", "R 13");
    choose(&mut app, "above the ceiling", "a room as warm");
    let heat = plan(&app).heat().clone();
    assert_eq!(heat.people, Some(3));
    assert_eq!(heat.lights.map(Watts::value), Some(120.0));
    assert_eq!(heat.outdoors.map(Celsius::value), Some(30.0), "86 °F");
    let fan = CubicMetresPerHour::parse("60 m3/h").map(OutdoorAir::Flow);
    assert_eq!(heat.outdoor_air, fan.ok());
    assert_eq!(heat.wall(1).u.map(UValue::value), Some(0.4368));
    assert_eq!(heat.ceiling.beyond, Some(Beyond::AsWarm));
    app.get_by_label_contains("People: 240 W");
    // Taken back: unknown, and said so where it counts.
    type_into(&mut app, "lights", "");
    assert_eq!(plan(&app).heat().lights, None);
    app.get_by_label_contains("Lights: ?, unknown: lights");
    app.get_by_label_contains("cooling ceiling: unknown, lights is not entered");
    type_into(&mut app, "printing", "150%");
    app.get_by_label_contains("at most all the time");
    assert_eq!(plan(&app).heat().duty.map(Ratio::value), Some(0.8));
    type_into(&mut app, "U of the east wall", "R 0");
    app.get_by_label_contains("more than nought");
}

#[test]
fn a_windows_glass_and_a_units_shares_stand_on_their_own_cards() {
    let mut app = tall();
    app.state_mut().select("W1".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "sun on it", "0");
    app.state_mut().select("A1".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "sensible share", "90");
    let unit = &plan(&app).kinds().cooling[&KindId::new("wall-24k").unwrap()];
    assert_eq!(unit.sensible_share.map(Ratio::value), Some(0.9));
    app.key_press(Key::Escape);
    settle(&mut app);
    app.get_by_label_contains("Sun: 0 W");
    // 7034 × 0.9 × 0.95 = 6014.07 W.
    app.get_by_label_contains("A1 takes: 6014 W");
}

/// Writes pictures: `PICTURES=/tmp/heat cargo test --test editor picture_of_the_heat`.
#[test]
fn picture_of_the_heat() {
    for (theme, name) in [(Theme::Light, "heat.png"), (Theme::Dark, "heat-dark.png")] {
        let editor = editor_over(example(), None);
        let mut app = window(editor, vec2(1600.0, 1800.0), theme);
        app.get_by_label("3 Growth").click();
        settle(&mut app);
        let picture = keep_picture(&mut app, name);
        assert_eq!(picture.width(), 1600);
    }
}
