//! The check `cameras`: one rack with six printers before one camera, worked out by hand.
//!
//! The rack `short-48` stands with its front at y 3,000 mm; its printers' fronts, in the middle of the board's depth, at
//! 3,063.5 mm, 285.75 mm to both sides of x 1,609.6 mm, and half their heights at 362, 946 and 1,530 mm.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Standing};
use aislewright::plan::{
    Camera, Column, Edit, Furniture, FurnitureUse, Head, Item, Outline, OwnKind, Plan, Pose,
    Presence, Room,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length};
use common::{edited, id, judged, library, printers_of, put, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn pose(x: i32, y: i32, turn: f64) -> Pose {
    Pose {
        x: mm(x),
        y: mm(y),
        turn: Angle::from_degrees(turn),
    }
}

/// A rack full of printers.
fn rack() -> Arc<Plan> {
    let room = Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150));
    let plan = put(
        &Plan::new(Head::default(), room),
        "R1",
        rack_at("short-48", 1000, 3000, 0.0),
    );
    edited(&plan, &Edit::Put(printers_of(&plan, id("R1"), 3, 2)))
}

/// The lens at (1,610, y) as high as the middle level; turned half round it looks up the sheet.
fn camera(y: i32, turn: f64, tilt: f64) -> Item {
    Item::Camera(Camera {
        kind: KindId::new("watch-60").unwrap(),
        // Its case is 70 mm square.
        at: pose(1575, y - 35, turn),
        height: mm(946),
        tilt: Angle::from_degrees(tilt),
        presence: Presence::default(),
    })
}

fn watched(plan: &Plan, y: i32, turn: f64, tilt: f64) -> Arc<Plan> {
    put(plan, "CM1", camera(y, turn, tilt))
}

fn found(plan: &Arc<Plan>) -> Vec<Arc<Finding>> {
    let (_, findings) = judged(plan, 1);
    findings.of_check("cameras").to_vec()
}

/// How many printers the one camera sees, and how many none does.
fn counts(plan: &Arc<Plan>) -> (Option<f64>, Option<f64>) {
    let all = found(plan);
    let of = |facet: &str| {
        all.iter()
            .find(|f| f.facet == facet)
            .and_then(|f| f.measured)
    };
    (of(""), of("unseen"))
}

#[test]
fn before_the_rack_it_sees_all() {
    let plan = watched(&rack(), 500, 180.0, 0.0);
    assert_eq!(counts(&plan), (Some(6.0), Some(0.0)));
    assert!(found(&plan).iter().all(|f| f.standing == Standing::Met));
}

#[test]
fn without_cameras_nothing_is_said() {
    assert!(found(&rack()).is_empty());
}

/// 2,579 mm to the printers of the middle level, 2,645 mm to the others.
#[test]
fn beyond_its_range_it_judges_nothing() {
    let plan = watched(&rack(), 500, 180.0, 0.0);
    let name = KindId::new("watch-60").unwrap();
    let mut kind = library().stock.cameras[&name].clone();
    kind.range = Some(mm(2600));
    let near = edited(
        &plan,
        &Edit::PutKind(name.clone(), Box::new(OwnKind::Camera(kind.clone()))),
    );
    assert_eq!(counts(&near), (Some(2.0), Some(4.0)));
    kind.range = None;
    let unknown = edited(&plan, &Edit::PutKind(name, Box::new(OwnKind::Camera(kind))));
    let all = found(&unknown);
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].standing, Standing::Unknown);
    assert!(all[0].text.contains("how far it sees"), "{}", all[0].text);
}

#[test]
fn a_camera_that_sees_no_way_at_all_is_refused() {
    let plan = watched(&rack(), 500, 180.0, 0.0);
    let name = KindId::new("watch-60").unwrap();
    let mut kind = library().stock.cameras[&name].clone();
    for range in [mm(0), mm(-5), mm(100_001)] {
        kind.range = Some(range);
        let edit = Edit::PutKind(name.clone(), Box::new(OwnKind::Camera(kind.clone())));
        let refused = plan.edited(&library().stock, &edit).unwrap_err();
        let words = refused.to_string();
        assert!(
            words.contains("how far it sees must be 1 mm to 100 m"),
            "{words}"
        );
    }
}

/// It sees 17.5 degrees up and down; the upper level lies 12.8 degrees up. Tilted down by 10 degrees it loses that level, by 22
/// the middle one too.
#[test]
fn a_tilted_camera_loses_levels() {
    assert_eq!(counts(&watched(&rack(), 500, 180.0, 10.0)).0, Some(4.0));
    assert_eq!(counts(&watched(&rack(), 500, 180.0, 22.0)).0, Some(2.0));
}

/// It sees 30 degrees to each side; the printers lie 6.4 degrees to each side. Turned by 25 degrees one column is left, by 40 none.
#[test]
fn a_turned_camera_loses_columns() {
    assert_eq!(counts(&watched(&rack(), 500, 205.0, 0.0)).0, Some(3.0));
    let away = watched(&rack(), 500, 220.0, 0.0);
    assert_eq!(counts(&away), (Some(0.0), Some(6.0)));
    let all = found(&away);
    assert!(all.iter().all(|f| f.standing == Standing::Broken));
}

#[test]
fn from_behind_nothing_is_judged() {
    let plan = watched(&rack(), 3900, 0.0, 0.0);
    assert_eq!(counts(&plan).0, Some(0.0));
    let all = found(&plan);
    let unseen = all.iter().find(|f| f.facet == "unseen").unwrap();
    assert!(unseen.text.contains("seen from behind"), "{}", unseen.text);
}

/// However many there are, the sentence counts them and names the first few; all are listed with it for whoever reads the findings by
/// machine.
#[test]
fn many_unseen_printers_make_a_short_sentence() {
    let plan = put(&rack(), "R2", rack_at("short-48", 2500, 3000, 0.0));
    let plan = edited(&plan, &Edit::Put(printers_of(&plan, id("R2"), 3, 2)));
    let plan = put(&plan, "R3", rack_at("short-48", 3720, 3000, 0.0));
    let plan = edited(&plan, &Edit::Put(printers_of(&plan, id("R3"), 3, 2)));
    let away = watched(&plan, 500, 0.0, 0.0);
    let all = found(&away);
    let unseen = all.iter().find(|f| f.facet == "unseen").unwrap();
    assert_eq!(unseen.items.len(), 18);
    let begins = "No camera sees 18 of 18 printers: P";
    assert!(unseen.text.starts_with(begins), "{}", unseen.text);
    assert!(unseen.text.contains(" and 12 more. P"), "{}", unseen.text);
    assert!(unseen.text.len() < 140, "{}", unseen.text);
}

/// The plan with the rack's kind closed on that side.
fn closed(plan: &Plan, side: Face) -> Arc<Plan> {
    let name = KindId::new("short-48").unwrap();
    let mut kind = library().stock.racks[&name].clone();
    kind.closed = vec![side];
    edited(plan, &Edit::PutKind(name, Box::new(OwnKind::Rack(kind))))
}

/// From before the rack every line comes in through its front.
#[test]
fn a_closed_side_of_its_own_rack_hides_a_printer() {
    let plan = watched(&rack(), 500, 180.0, 0.0);
    for side in [Face::Back, Face::Left, Face::Right] {
        assert_eq!(counts(&closed(&plan, side)), (Some(6.0), Some(0.0)));
    }
    let front = closed(&plan, Face::Front);
    assert_eq!(counts(&front), (Some(0.0), Some(6.0)));
    assert!(
        found(&front)
            .iter()
            .any(|f| f.text.contains("hidden by R1"))
    );
}

/// A lens at (3,600, 3,040) that looks along the front: the way to the near column, 1,705 mm off, leaves a picture of 17.5 degrees up
/// and down for the upper and lower level, 584 mm off; that to the far one, 2,276 mm, does not. All lines come in through the right end
/// of the rack, at x 2,219 mm and y 3,040 to 3,060 mm.
#[test]
fn a_closed_end_of_its_own_rack_hides_from_aside() {
    let beside = Item::Camera(Camera {
        kind: KindId::new("watch-60").unwrap(),
        at: pose(3565, 3005, 270.0),
        height: mm(946),
        tilt: Angle::from_degrees(0.0),
        presence: Presence::default(),
    });
    let plan = put(&rack(), "CM1", beside);
    assert_eq!(counts(&plan).0, Some(4.0));
    assert_eq!(counts(&closed(&plan, Face::Left)).0, Some(4.0));
    assert_eq!(counts(&closed(&plan, Face::Right)).0, Some(0.0));
}

/// A pier of the west wall, from y 1,500 to 2,500 mm, reaches to x 1,600 mm: the lines to the left column cross it, at x 1,498 mm where
/// they come to it; those to the right column run on the other side of the lens.
#[test]
fn a_wall_hides_what_lies_behind_it() {
    let pier = [(0, 2500), (1600, 2500), (1600, 1500), (0, 1500)];
    let corners = [[(0, 0), (5000, 0), (5000, 4000), (0, 4000)], pier].concat();
    let corners = corners.into_iter().map(|(x, y)| (mm(x), mm(y))).collect();
    let room = Room {
        outline: Outline::Corners(corners),
        ..Room::rectangle(mm(5000), mm(4000), mm(2700), mm(150))
    };
    let plan = edited(&rack(), &Edit::SetRoom(Box::new(room)));
    let plan = watched(&plan, 500, 180.0, 0.0);
    assert_eq!(counts(&plan), (Some(3.0), Some(3.0)));
    let all = found(&plan);
    assert!(all.iter().any(|f| f.text.contains("hidden by a wall")));
}

/// A column of 300 mm right before the lens takes in both lines of sight, 145 mm to each side where they leave it.
#[test]
fn a_column_hides_what_lies_behind_it() {
    let column = Column {
        at: pose(1460, 1500, 0.0),
        width: mm(300),
        depth: mm(300),
        presence: Presence::default(),
    };
    let plan = put(
        &watched(&rack(), 500, 180.0, 0.0),
        "K1",
        Item::Column(column),
    );
    assert_eq!(counts(&plan), (Some(0.0), Some(6.0)));
    let all = found(&plan);
    assert!(all.iter().any(|f| f.text.contains("hidden by K1")));
}

/// A bench 900 mm high hides the lowest level alone: the line to it falls from 946 to 718 mm where it comes to the bench.
#[test]
fn a_bench_hides_the_lowest_level() {
    let bench = Furniture {
        purpose: FurnitureUse::Bench,
        at: pose(1000, 1500, 0.0),
        width: mm(1500),
        depth: mm(700),
        height: mm(900),
        faces: Vec::new(),
        spools: None,
        presence: Presence::default(),
    };
    let plan = put(
        &watched(&rack(), 500, 180.0, 0.0),
        "B1",
        Item::Furniture(bench),
    );
    assert_eq!(counts(&plan).0, Some(4.0));
}
