//! The operator on the plan's card, and the touch points in the elevation: what is told of them and how they look.

use aislewright::plan::{Body, Operator};
use aislewright::units::Length;
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{
    App, choose, click, editor_over, example, keep_picture, plan, settle, type_into, window,
};

/// The example in its last phase, in a window of that size.
fn grown(size: Vec2, theme: Theme) -> App {
    let mut app = window(editor_over(example(), None), size, theme);
    click(&mut app, "3 Growth");
    app
}

fn select(app: &mut App, mark: &str) {
    app.state_mut().select(mark.parse().unwrap());
    settle(app);
}

#[test]
fn the_operator_is_chosen_and_measured_on_the_plans_card() {
    let mut app = grown(vec2(1600.0, 4000.0), Theme::Light);
    let operator = |app: &App| plan(app).head().operator;
    assert_eq!(operator(&app), Operator::default());
    app.get_by_label_contains(
        "Grip at 5' 9 11/16\": 5th percentile of a civilian vertical grip reach",
    );
    assert!(
        app.query_by_label("In shoes").is_none(),
        "only a survey is barefoot"
    );
    choose(&mut app, "who reaches", "small woman, survey");
    click(&mut app, "In shoes");
    assert_eq!(
        (operator(&app).body, operator(&app).shoes),
        (Body::Women, true)
    );
    // 1823 + 25 = 1848 mm, 72.756 in; 1242 + 25 = 1267 mm, 49.882 in.
    app.get_by_label_contains(
        "Grip at 6' 0 3/4\": ANSUR II 2012 (US Army, barefoot), women, 5th percentile",
    );
    app.get_by_label_contains("Shoulder at 4' 1 7/8\": ANSUR II 2012");
    app.get_by_label("Change reach-grip");
    type_into(&mut app, "own grip height", "2m");
    assert_eq!(operator(&app).grip, Some(Length::from_mm_whole(2000)));
    app.get_by_label_contains("Grip at 6' 6 3/4\": measured by the owner.");
    // In proportion: 2000 × 1267 / 1848 = 1371.2 mm, 1371 in whole millimetres, 53.976 in.
    app.get_by_label_contains("Shoulder at 4' 6\": in proportion to the measured grip");
    assert!(
        app.query_by_label("Change reach-grip").is_none(),
        "what was measured is not changed as a limit"
    );
    app.get_by_label("Change reach-shoulder");
    type_into(&mut app, "own shoulder", "2m");
    assert_eq!(operator(&app).shoulder, None, "refused");
    type_into(&mut app, "own grip height", "");
    assert_eq!(operator(&app).grip, None);
    for _ in 0..4 {
        app.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
        settle(&mut app);
    }
    assert_eq!(operator(&app), Operator::default());
}

/// Level 1 of R5 is at 4 in, with beds and screens below 15 in; P028's spool is too far in, those on level 3 too high (see
/// `tests/checks_example.rs`).
#[test]
fn the_side_of_a_rack_tells_what_is_out_of_reach() {
    let mut app = grown(vec2(1600.0, 1000.0), Theme::Light);
    select(&mut app, "R5");
    app.get_by_label(
        "Side of R5: the operator's shoulder at 4' 0 7/8\", 6\" off the face, grip at 5' 9 11/16\"; out of reach: spool on level 1, \
         spool on level 3; by stooping: bed on level 1, screen on level 1",
    );
    // Men of the survey, arm 648 mm: the spools on level 3 come within reach, P028's at 660 mm does not.
    app.key_press(Key::Escape);
    settle(&mut app);
    let men = Operator {
        body: Body::Men,
        ..Operator::default()
    };
    let mut with_men = example();
    let library = aislewright::plan::Library::builtin().unwrap();
    let edit = aislewright::plan::Edit::SetOperator(men);
    with_men = with_men.edited(&library.stock, &edit).unwrap();
    let mut app = window(
        editor_over(with_men, None),
        vec2(1600.0, 1000.0),
        Theme::Light,
    );
    click(&mut app, "3 Growth");
    select(&mut app, "R5");
    app.get_by_label_contains("grip at 6' 6 1/4\"; out of reach: spool on level 1; by stooping");
}

/// Writes pictures: `PICTURES=/tmp/reach cargo test --test editor pictures_of_reach`.
#[test]
fn pictures_of_reach() {
    for (theme, size, name) in [
        (Theme::Light, vec2(1600.0, 1000.0), "reach.png"),
        (Theme::Dark, vec2(1600.0, 1000.0), "reach-dark.png"),
        (Theme::Light, vec2(1280.0, 800.0), "reach-small.png"),
    ] {
        let mut app = grown(size, theme);
        select(&mut app, "R5");
        let picture = keep_picture(&mut app, name);
        assert!(picture.width() >= 1280);
    }
    let mut app = grown(vec2(1600.0, 2600.0), Theme::Light);
    choose(&mut app, "who reaches", "small man, survey");
    let picture = keep_picture(&mut app, "operator.png");
    assert_eq!(picture.width(), 1600);
}
