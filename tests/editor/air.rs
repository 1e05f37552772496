//! The air of a cooling unit in the editor: what its card takes and refuses, its section in words, the lines on the floor of what is
//! chosen, what is printed on a printer, and a draught mended with a click.

use std::sync::Arc;

use aislewright::checks::{Findings, Standing, mend_for};
use aislewright::layout::Layout;
use aislewright::plan::{Fan, Item, Library, PhaseNo, Plan};
use aislewright::stock::{Face, KindId, Prints};
use aislewright::units::{Angle, CubicMetresPerHour, MetresPerSecond};
use egui::accesskit::Role;
use egui::{Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use image::RgbaImage;

use crate::harness::{
    App, choose, editor_over, example, keep_picture, plan, settle, type_into, window,
};

/// The last phase with something selected, in a window high enough for its whole card.
fn card(of: &str) -> App {
    let mut app = window(
        editor_over(example(), None),
        vec2(1600.0, 6000.0),
        Theme::Light,
    );
    app.get_by_label("3 Growth").click();
    settle(&mut app);
    app.state_mut().select(of.parse().unwrap());
    settle(&mut app);
    app
}

fn blow(plan: &Plan) -> aislewright::plan::Blow {
    let Some(Item::Cooling(unit)) = plan.items().get("A1".parse().unwrap()) else {
        panic!("A1 is a cooling unit");
    };
    unit.blow
}

fn degrees(degrees: f64) -> Angle {
    Angle::from_degrees(degrees)
}

#[test]
fn a_unit_says_how_it_blows() {
    let mut app = card("A1");
    // The example has figures of its own for the unit, and no lower speeds among them.
    type_into(&mut app, "lower speeds", "medium 800 m3/h, low 600 m3/h");
    choose(&mut app, "fan speed", "low, 600 m³/h");
    assert_eq!(blow(plan(&app)).fan, Fan::Lower(2));
    type_into(&mut app, "vane set", "10 up");
    assert_eq!(blow(plan(&app)).down, Some(degrees(-10.0)));
    type_into(&mut app, "vane set", "level");
    assert_eq!(blow(plan(&app)).down, Some(Angle::ZERO));
    type_into(&mut app, "vane set", "80");
    app.get_by_label_contains("at most 75 degrees up or down");
    assert_eq!(blow(plan(&app)).down, Some(Angle::ZERO), "as before");
    type_into(&mut app, "vane set", "");
    assert_eq!(blow(plan(&app)).down, None, "as its kind says");
    type_into(&mut app, "deflector", "20° up");
    assert_eq!(blow(plan(&app)).deflector, Some(degrees(-20.0)));
    type_into(&mut app, "deflector", "");
    assert_eq!(blow(plan(&app)).deflector, None);
    type_into(&mut app, "louvres turn", "20 right");
    assert_eq!(blow(plan(&app)).aside, degrees(-20.0));
    type_into(&mut app, "louvres turn", "20");
    app.get_by_label_contains("say which way");
    type_into(&mut app, "louvres turn", "30 left");
    assert_eq!(blow(plan(&app)).aside, degrees(30.0));
    type_into(&mut app, "swing each way", "25");
    assert_eq!(blow(plan(&app)).swing, degrees(25.0));
    type_into(&mut app, "swing each way", "50");
    app.get_by_label_contains("at most 75 degrees to either side");
    type_into(&mut app, "swing each way", "20");
    // The speeds of the kind, typed anew: one without its flow, which is said.
    type_into(&mut app, "lower speeds", "quiet 500 m3/h, silent");
    let own = &plan(&app).kinds().cooling[&KindId::new("wall-24k").unwrap()];
    let flows: Vec<_> = own
        .lower_speeds
        .iter()
        .map(|s| (s.name.as_str(), s.flow.map(CubicMetresPerHour::value)))
        .collect();
    assert_eq!(flows, [("quiet", Some(500.0)), ("silent", None)]);
    app.get_by_label_contains("so its air cannot be drawn");
}

#[test]
fn the_section_is_told_in_words_and_a_vane_changes_it() {
    let mut app = card("A1");
    let told = |app: &App| {
        let node = app.get_by_role(Role::Image);
        node.accesskit_node().label().unwrap_or_default()
    };
    let before = told(&app);
    assert!(
        before.starts_with("Section along the jet: 0.25 m/s up to the far wall, ")
            && before.contains(", 0.50 m/s up to the far wall, 1.00 m/s up to "),
        "{before}"
    );
    type_into(&mut app, "vane set", "50 down");
    assert_ne!(told(&app), before);
}

/// How many pixels of the floor differ.
fn differ(a: &RgbaImage, b: &RgbaImage) -> usize {
    let floor = |x: u32, y: u32| (200..1200).contains(&x) && (120..600).contains(&y);
    let pairs = a.enumerate_pixels().zip(b.pixels());
    pairs
        .filter(|((x, y, p), q)| floor(*x, *y) && p != q)
        .count()
}

#[test]
fn lines_are_drawn_for_what_is_chosen_at_the_height_that_is_typed() {
    let mut app = window(
        editor_over(example(), None),
        vec2(1600.0, 1000.0),
        Theme::Light,
    );
    app.get_by_label("3 Growth").click();
    settle(&mut app);
    let bare = keep_picture(&mut app, "air-bare.png");
    app.state_mut().select("A1".parse().unwrap());
    settle(&mut app);
    let chosen = keep_picture(&mut app, "air.png");
    let drawn = differ(&bare, &chosen);
    assert!(drawn > 800, "lines of the unit: {drawn} pixels");
    type_into(&mut app, "air drawn at", "6ft 6in");
    let higher = keep_picture(&mut app, "air-high.png");
    let moved = differ(&chosen, &higher);
    assert!(moved > 800, "other lines higher up: {moved} pixels");
    // No step of the plan: it is only how it is shown.
    assert_eq!(app.state().session().undo_len(), 0);
    type_into(&mut app, "air drawn at", "");
    let back = keep_picture(&mut app, "air-back.png");
    assert!(differ(&chosen, &back) < 200, "the printers' middle again");
    type_into(&mut app, "air drawn at", "-2in");
    app.get_by_label_contains("0 or more above the floor");
}

#[test]
fn a_chosen_draught_shows_the_lines_and_is_mended_with_a_click() {
    let mut app = card("A1");
    let (layout, findings) = judged(plan(&app));
    let draught = findings.iter().find(|f| f.key() == "throw R1 A1").unwrap();
    let library = Library::builtin().unwrap();
    let mend = mend_for(&library, &layout, &findings, draught).unwrap();
    let (first, rest) = mend.words.split_at(1);
    let button = format!("{}{rest}", first.to_uppercase());
    app.get_all_by_label_contains(&button)
        .next()
        .unwrap()
        .click();
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), 1, "one mend, one step");
    let (_, after) = judged(plan(&app));
    let left = after.iter().find(|f| f.key() == "throw R1 A1");
    assert!(left.is_none_or(|f| f.standing == Standing::Met));
}

/// The last phase of a plan, and its findings.
fn judged(plan: &Plan) -> (Layout, Findings) {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &Arc::new(plan.clone()), PhaseNo(3));
    let findings = Findings::of(&layout);
    (layout, findings)
}

#[test]
fn a_printer_says_what_it_prints_and_a_rack_what_is_closed() {
    let mut app = card("P001");
    choose(&mut app, "prints", "easy ones (PLA, PETG, TPU)");
    let printer = |app: &App| plan(app).printers().get("P001".parse().unwrap()).cloned();
    assert_eq!(printer(&app).unwrap().prints, Some(Prints::Easy));
    choose(
        &mut app,
        "this kind prints",
        "ones that warp (ABS, ASA, nylon)",
    );
    type_into(&mut app, "bears air of", "0.4");
    let own = plan(&app).kinds().printers[&printer(&app).unwrap().kind].clone();
    assert_eq!(own.prints, Some(Prints::Warping));
    assert_eq!(own.draught.map(MetresPerSecond::value), Some(0.4));
    app.state_mut().select("R1".parse().unwrap());
    settle(&mut app);
    app.get_by_label("closed on back").click();
    settle(&mut app);
    let racks = &plan(&app).kinds().racks;
    assert!(racks.values().any(|r| r.closed == [Face::Back]));
}

/// Writes pictures: `PICTURES=/tmp/air cargo test --test editor picture_of_the_air`.
#[test]
fn picture_of_the_air() {
    for (theme, name) in [
        (Theme::Light, "air-card.png"),
        (Theme::Dark, "air-dark.png"),
    ] {
        let mut app = window(editor_over(example(), None), vec2(1600.0, 1400.0), theme);
        app.get_by_label("3 Growth").click();
        settle(&mut app);
        app.state_mut().select("A1".parse().unwrap());
        settle(&mut app);
        let picture = keep_picture(&mut app, name);
        assert_eq!(picture.width(), 1600);
    }
}
