//! What can be laid over the floor: switched on by hand, on show by itself where it concerns what is selected or pointed at, told in
//! a legend, and readable without colour.

use aislewright::editor::floor::{Wanted, apart};
use aislewright::editor::theme::Palette;
use aislewright::plan::{
    Camera, Edit, Furniture, FurnitureUse, Item, Light, Plan, Pose, Presence, Record,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length};
use egui::accesskit::Role;
use egui::{Rect, Theme, Vec2, pos2, vec2};
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
            ("Wires", "cable of the circuit of that number"),
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

/// The wires are on show beside the panel schedule, and while a finding about circuits is pointed at or a circuit is selected; then
/// only its own are strong.
#[test]
fn wires_are_on_show_while_they_are_concerned() {
    let mut app = over_furnished(vec2(1600.0, 1000.0), Theme::Light);
    let legend = "cable of the circuit of that number";
    assert!(app.query_by_label_contains(legend).is_none());
    app.key_press(egui::Key::F5);
    settle(&mut app);
    app.get_by_label_contains(legend);
    let strong = |app: &mut App, name: &str| {
        let lines = Palette::of(Theme::Light).wires.map(|c| c.to_array());
        let picture = keep_picture(app, name);
        // The floor alone, between the panels at its sides and below the bar.
        let floor = (245..1195).flat_map(|x| (230..650).map(move |y| (x, y)));
        let pixels = floor.map(|(x, y)| picture.get_pixel(x, y).0);
        pixels.filter(|pixel| lines.contains(pixel)).count()
    };
    let all = strong(&mut app, "wires-all.png");
    app.get_by_label_contains("Circuit C02").click();
    settle(&mut app);
    let one = strong(&mut app, "wires-one.png");
    assert!(one * 2 < all, "{all} points of all wires, {one} of one");
    app.key_press(egui::Key::F5);
    settle(&mut app);
    app.get_by_label_contains(legend);
    app.state_mut().select("R1".parse().unwrap());
    settle(&mut app);
    assert!(app.query_by_label_contains(legend).is_none());
}

/// Twenty tags are wanted 5 points apart along a wall: all have a place, none lies over another, over words that stand there, or out of
/// view.
#[test]
fn tags_of_wires_lie_apart() {
    let view = Rect::from_min_size(pos2(0.0, 0.0), vec2(400.0, 200.0));
    let wanted = (0..20_u8).map(|k| Wanted {
        at: pos2(150.0 + 5.0 * f32::from(k), 120.0),
        out: vec2(0.0, -1.0),
        size: vec2(30.0, 14.0),
    });
    let words = Rect::from_min_size(pos2(180.0, 112.0), vec2(60.0, 14.0));
    let placed = apart(&wanted.collect::<Vec<_>>(), &[words], view);
    let placed: Vec<Rect> = placed.into_iter().map(Option::unwrap).collect();
    for (k, tag) in placed.iter().enumerate() {
        assert!(
            view.contains_rect(*tag) && !tag.intersects(words),
            "{tag:?}"
        );
        assert!(
            placed
                .iter()
                .skip(k + 1)
                .all(|other| !other.intersects(*tag))
        );
    }
}

/// Writes pictures: `PICTURES=/tmp/wires cargo test --test editor pictures_of_wires`.
#[test]
fn pictures_of_wires() {
    let library = aislewright::plan::Library::builtin().unwrap();
    for name in ["bottling-room", "press-cellar", "long-loft"] {
        let text = std::fs::read(format!("demo-data/{name}.plan.ron")).unwrap();
        let plan = aislewright::storage::plan_of(&library, name, &text)
            .unwrap()
            .plan;
        let circuit = plan.circuits().iter().map(|(id, _)| id).last().unwrap();
        for (theme, look) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let mut app = window(editor_over(plan.clone(), None), vec2(1600.0, 1000.0), theme);
            switch(&mut app, "Wires");
            let all = keep_picture(&mut app, &format!("wires-{name}-{look}.png"));
            app.state_mut().select(circuit);
            settle(&mut app);
            let one = keep_picture(&mut app, &format!("wires-{name}-{look}-one.png"));
            assert!(darker_or_lighter(&all, &one) > 300, "{name} in {look}");
        }
    }
}

#[test]
fn a_small_window_holds_the_switches_and_the_legend() {
    let mut app = over_furnished(vec2(1280.0, 800.0), Theme::Light);
    switch(&mut app, "Cameras");
    keep_picture(&mut app, "overlay-small.png");
    let phases = app.get_by_role_and_label(Role::Button, "Phases").rect();
    assert!(phases.right() < 1000.0, "{phases:?}");
    let measure = app.get_by_role_and_label(Role::Button, "Measure").rect();
    assert!((measure.top() - phases.top()).abs() < 1.0, "one row");
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
