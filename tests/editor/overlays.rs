//! What can be laid over the floor: switched on by hand, on show by itself where it concerns what is selected or pointed at, told in
//! a legend, and readable without colour.

use aislewright::plan::{
    Camera, Edit, Furniture, FurnitureUse, Item, Light, Plan, Pose, Presence, Record,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length};
use egui::accesskit::Role;
use egui::{Theme, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use image::RgbaImage;

use crate::harness::{App, editor_over, example, keep_picture, plan, settle, type_into, window};

fn at(x_in: i32, y_in: i32, turn: f64) -> Pose {
    Pose {
        x: Length::from_inches(x_in),
        y: Length::from_inches(y_in),
        turn: Angle::from_degrees(turn),
    }
}

/// The example with five lights in one run, a camera, a bench and a spool store.
fn furnished() -> Plan {
    let kind = |name: &str| KindId::new(name).unwrap();
    let mut records = Vec::new();
    for k in 1..=5_i32 {
        let light = Light {
            kind: kind("strip-1200"),
            at: at(50 * k, 66, 0.0),
            bottom: Length::from_inches(100),
            linked_to: (k > 1).then(|| format!("LT{}", k - 1).parse().unwrap()),
            presence: Presence::default(),
        };
        records.push((format!("LT{k}"), Item::Light(light)));
    }
    let camera = Camera {
        kind: kind("watch-100"),
        at: at(110, 36, 180.0),
        height: Length::from_inches(84),
        tilt: Angle::from_degrees(15.0),
        presence: Presence::default(),
    };
    records.push(("CM1".to_owned(), Item::Camera(camera)));
    for (mark, purpose, x) in [
        ("B1", FurnitureUse::Bench, 96),
        ("SS1", FurnitureUse::SpoolStore, 136),
    ] {
        let thing = Furniture {
            purpose,
            at: at(x, 4, 180.0),
            width: Length::from_inches(36),
            depth: Length::from_inches(20),
            height: Length::from_inches(36),
            faces: vec![Face::Front],
            spools: None,
            presence: Presence::default(),
        };
        records.push((mark.to_owned(), Item::Furniture(thing)));
    }
    let records = records
        .into_iter()
        .map(|(mark, item)| (mark.parse().unwrap(), Record::Item(Box::new(item))));
    let library = aislewright::plan::Library::builtin().unwrap();
    example()
        .edited(&library.stock, &Edit::Put(records.collect()))
        .unwrap()
}

fn over_furnished(size: Vec2, theme: Theme) -> App {
    window(editor_over(furnished(), None), size, theme)
}

fn switch(app: &mut App, overlay: &str) {
    app.get_by_role_and_label(Role::Button, overlay).click();
    settle(app);
}

/// How many pixels differ in brightness by more than an eighth of the whole, colour left aside.
fn darker_or_lighter(a: &RgbaImage, b: &RgbaImage) -> usize {
    let grey = |p: &image::Rgba<u8>| {
        let [r, g, b, _] = p.0.map(f64::from);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    a.pixels()
        .zip(b.pixels())
        .filter(|(p, q)| (grey(p) - grey(q)).abs() > 32.0)
        .count()
}

#[test]
fn every_overlay_can_be_told_without_colour() {
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut app = over_furnished(vec2(1600.0, 1000.0), theme);
        for overlay in ["Air", "Ways", "Phases"] {
            switch(&mut app, overlay);
        }
        let bare = keep_picture(&mut app, &format!("overlay-none-{name}.png"));
        assert!(app.query_by_label_contains("kept free to work").is_none());
        for (overlay, says) in [
            ("Air", "as fast as is written"),
            ("Ways", "kept free to work"),
            ("Reach", "out of reach"),
            ("Load", "over it"),
            ("Light", "a run of too many"),
            ("Cameras", "no camera sees"),
            ("Power", "plugged in"),
            ("Phases", "another phase"),
        ] {
            switch(&mut app, overlay);
            app.get_by_label_contains(says);
            let shown = keep_picture(
                &mut app,
                &format!("overlay-{}-{name}.png", overlay.to_lowercase()),
            );
            let differ = darker_or_lighter(&bare, &shown);
            assert!(differ > 300, "{overlay} in {name}: {differ} pixels");
            switch(&mut app, overlay);
        }
    }
}

/// A camera that is selected shows what it sees, whatever is switched on; so does a finding that is pointed at.
#[test]
fn what_is_concerned_is_on_show() {
    let mut app = over_furnished(vec2(1600.0, 1000.0), Theme::Light);
    let cameras = "printer that no camera sees";
    assert!(app.query_by_label_contains(cameras).is_none());
    app.state_mut().select("CM1".parse().unwrap());
    settle(&mut app);
    app.get_by_label_contains(cameras);
    app.state_mut().select("LT1".parse().unwrap());
    settle(&mut app);
    assert!(app.query_by_label_contains(cameras).is_none());
    app.get_by_label_contains("a run of too many");
}

#[test]
fn a_small_window_holds_the_switches_and_the_legend() {
    let mut app = over_furnished(vec2(1280.0, 800.0), Theme::Light);
    switch(&mut app, "Cameras");
    keep_picture(&mut app, "overlay-small.png");
    let phases = app.get_by_role_and_label(Role::Button, "Phases").rect();
    assert!(phases.right() < 1000.0, "{phases:?}");
}

#[test]
fn furniture_lights_and_cameras_are_typed() {
    let mut app = over_furnished(vec2(1600.0, 3000.0), Theme::Light);
    app.state_mut().select("SS1".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "takes spools", "120");
    type_into(&mut app, "height", "6ft");
    let Some(Item::Furniture(store)) = plan(&app).items().get("SS1".parse().unwrap()) else {
        panic!("SS1 is furniture");
    };
    assert_eq!(store.spools, Some(120));
    assert_eq!(store.height, Length::from_inches(72));
    app.state_mut().select("CM1".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "tilted down", "25");
    type_into(&mut app, "sees across", "80");
    let Some(Item::Camera(camera)) = plan(&app).items().get("CM1".parse().unwrap()) else {
        panic!("CM1 is a camera");
    };
    assert_eq!(camera.tilt, Angle::from_degrees(25.0));
    let own = &plan(&app).kinds().cameras[&KindId::new("watch-100").unwrap()];
    assert_eq!(own.view_across, Some(Angle::from_degrees(80.0)));
    app.state_mut().select("LT2".parse().unwrap());
    settle(&mut app);
    type_into(&mut app, "linked at most", "6");
    let own = &plan(&app).kinds().lights[&KindId::new("strip-1200").unwrap()];
    assert_eq!(own.most_linked, Some(6));
}
