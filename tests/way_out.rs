//! The check `way-out` in rooms whose narrowest place is a pencil sum, and the widest path below it against a flood of a grid
//! and against laws that hold for any room.
//!
//! Lengths are in mm; the aisle of US practice is 36 in = 914.4 mm (ADA 2010 Standards 403.5.1). The distance that counts
//! between two things is that of a square's sides: the larger of the distances along the room's main direction and across it.
//! For a body with a side of unit normal (p, q), a corner at a true distance d from that side is d / (|p| + |q|) away so
//! measured; that sum follows from the square's corner touching the side.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::geometry::{Convex, Floor, Oblong, Place, Point, Polygon};
use aislewright::plan::{
    Blow, Column, CoolingUnit, Door, Edit, Head, Hinge, Item, Label, LimitChange, LimitChanges,
    Outline, Panel, Plan, Pose, Presence, Rack, Record, Room, Swing, WallPlace,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length};
use common::{edited, id, judged};
use proptest::prelude::*;

const AISLE: f64 = 914.4;
/// The rack that most rooms hold: 48 in by 24 in.
const RACK: (f64, f64) = (1219.2, 609.6);

/// A room under construction, turned as a whole about its first corner.
struct Site {
    plan: Arc<Plan>,
    turn: f64,
}

impl Site {
    fn new(corners: &[(f64, f64)]) -> Self {
        Self::turned(corners, 0.0)
    }

    fn turned(corners: &[(f64, f64)], turn: f64) -> Self {
        let length = Length::from_mm_whole;
        let mut room = Room::rectangle(length(1000), length(1000), length(2700), length(150));
        let place = |(x, y): &(f64, f64)| {
            let p = rotated(Point::new(*x, *y), turn);
            (Length::from_mm(p.x), Length::from_mm(p.y))
        };
        room.outline = Outline::Corners(corners.iter().map(place).collect());
        let plan = Arc::new(Plan::new(Head::default(), room));
        Self { plan, turn }
    }

    fn rectangle(width: f64, depth: f64) -> Self {
        Self::new(&[(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)])
    }

    fn put(mut self, mark: &str, item: Item) -> Self {
        let record = (id(mark), Record::Item(Box::new(item)));
        self.plan = edited(&self.plan, &Edit::Put(vec![record]));
        self
    }

    /// A body of that size round a middle.
    fn pose(&self, (x, y): (f64, f64), (width, depth): (f64, f64), turn: f64) -> Pose {
        let middle = rotated(Point::new(x, y), self.turn);
        Pose {
            x: Length::from_mm(middle.x - width * 0.5),
            y: Length::from_mm(middle.y - depth * 0.5),
            turn: Angle::from_degrees(turn + self.turn),
        }
    }

    fn door(self, mark: &str, wall: u16, along: f64, width: f64) -> Self {
        self.any_door(mark, (wall, along), width, true)
    }

    fn any_door(self, mark: &str, (wall, along): (u16, f64), width: f64, way_out: bool) -> Self {
        let door = Door {
            at: WallPlace::new(wall, Length::from_mm(along)),
            width: Length::from_mm(width),
            height: Length::from_mm_whole(2030),
            clear: None,
            hinge: Hinge::Near,
            swing: Swing::Out,
            way_out,
            presence: Presence::default(),
        };
        self.put(mark, Item::Door(door))
    }

    fn column(self, mark: &str, middle: (f64, f64), size: (f64, f64), turn: f64) -> Self {
        let column = Column {
            at: self.pose(middle, size, turn),
            width: Length::from_mm(size.0),
            depth: Length::from_mm(size.1),
            presence: Presence::default(),
        };
        self.put(mark, Item::Column(column))
    }

    /// A column along the axes from one corner to the other.
    fn block(self, mark: &str, from: (f64, f64), to: (f64, f64)) -> Self {
        let middle = ((from.0 + to.0) * 0.5, (from.1 + to.1) * 0.5);
        self.column(mark, middle, (to.0 - from.0, to.1 - from.1), 0.0)
    }

    fn rack(self, mark: &str, middle: (f64, f64), turn: f64) -> Self {
        self.rack_with(mark, middle, turn, Vec::new())
    }

    fn rack_with(self, mark: &str, middle: (f64, f64), turn: f64, faces: Vec<Face>) -> Self {
        let rack = Rack {
            kind: KindId::new("short-48").unwrap(),
            at: self.pose(middle, RACK, turn),
            levels: Vec::new(),
            faces,
            anchored: None,
            presence: Presence::default(),
        };
        self.put(mark, Item::Rack(rack))
    }

    fn findings(&self) -> Vec<Finding> {
        let (_, findings) = judged(&self.plan, 1);
        let found = findings.of_check("way-out").iter();
        found.map(|f| f.as_ref().clone()).collect()
    }

    fn only(&self) -> Finding {
        let all = self.findings();
        match all.as_slice() {
            [one] => one.clone(),
            _ => panic!("not one finding: {all:#?}"),
        }
    }

    /// Asserts that the only finding measures so many millimetres within 0.1 and stands as that is to the aisle.
    fn measures(&self, expected: f64) -> Finding {
        let found = self.only();
        let near = found.measured.is_some_and(|m| (m - expected).abs() < 0.1);
        assert!(near, "{:?}, not {expected}: {}", found.measured, found.text);
        let standing = if expected < AISLE - 0.01 {
            Standing::Broken
        } else {
            Standing::Met
        };
        assert_eq!(found.standing, standing, "{}", found.text);
        assert_eq!(found.severity, Severity::MustFix, "{}", found.text);
        assert_eq!(found.limit, Some(AISLE), "{}", found.text);
        found
    }
}

fn rotated(p: Point, degrees: f64) -> Point {
    Point::from_angle(degrees.to_radians()).rotate(p)
}

fn points_at(found: &Finding, x: f64, y: f64) {
    let at = found.at.map(|a| a.point).unwrap();
    assert!(
        at.distance(Point::new(x, y)) < 0.2,
        "it points at {at}, not {x}, {y}: {}",
        found.text
    );
}

fn says(found: &Finding, words: &str) {
    assert!(
        found.text.contains(words),
        "{words:?} is not in: {}",
        found.text
    );
}

/// A room 6000 by `depth` with a door in the west wall and, at the east wall, a rack that faces west.
fn long_room(depth: f64, turn: f64) -> Site {
    let corners = [(0.0, 0.0), (6000.0, 0.0), (6000.0, depth), (0.0, depth)];
    Site::turned(&corners, turn)
        .door("D1", 3, depth * 0.5 - 450.0, 900.0)
        .rack("R1", (6000.0 - 355.6, depth * 0.5), 270.0)
}

#[test]
fn a_column_leaves_a_gap_to_the_wall() {
    // 2000 - 1200 = 800, in the middle of the column's depth: x = (2500 + 2900) / 2, y = 1200 + 800 / 2.
    let site = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, 1200.0));
    let found = site.measures(800.0);
    points_at(&found, 2700.0, 1600.0);
    assert_eq!(
        found.items,
        [id("R1"), id("K1")],
        "what could be moved first"
    );
    assert_eq!(found.key(), "way-out front R1", "known by its face alone");
    // 800 mm = 31.496 in, nearest 1/16: 2' 7 1/2".
    assert_eq!(
        found.text,
        "From door D1 a cart of 2' 7 1/2\" at most comes to R1; the aisle needs 3' 0\". \
         The narrowest place is between the north wall and K1."
    );
}

#[test]
fn a_gap_just_as_wide_as_the_aisle_is_enough_and_a_fifth_of_a_millimetre_less_is_not() {
    // 2000 - 1085.6 = 914.4.
    let just = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, 1085.6));
    says(&just.measures(914.4), "to every face");
    // 2000 - 1085.8 = 914.2.
    let under = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, 1085.8));
    says(&under.measures(914.2), "at most comes to R1");
    // Just as wide along the whole way, with walls and bodies that touch each other: 2000 - 2 * 542.8 = 914.4.
    let mut tube = long_room(2000.0, 0.0);
    for (k, x) in [1000.0, 2000.0, 3000.0, 4000.0].into_iter().enumerate() {
        tube = tube
            .block(&format!("K{}", 2 * k + 1), (x, 0.0), (x + 1000.0, 542.8))
            .block(
                &format!("K{}", 2 * k + 2),
                (x, 1457.2),
                (x + 1000.0, 2000.0),
            );
    }
    // The strip before the rack ends at 5034.8, so the walker has left the tube when it comes to it: 5034.8 - 914.4 < 5000.
    tube.measures(914.4);
}

#[test]
fn a_turned_column_narrows_by_its_corner() {
    // A square of 1000 at 45 degrees reaches 1000 / sqrt(2) = 707.107 from its middle: 2000 - (500 + 707.107) = 792.893.
    let site = long_room(2000.0, 0.0).column("K1", (3000.0, 500.0), (1000.0, 1000.0), 45.0);
    let found = site.measures(792.893);
    points_at(&found, 3000.0, 2000.0 - 792.893 * 0.5);
}

#[test]
fn two_turned_columns_narrow_between_two_sides() {
    // Middles 1100 and 1800 apart along the axes, each reaching 707.107 along both: the sides that look at each other have the
    // normal (1, 1) / sqrt(2); measured by squares they are (1100 + 1800 - 2 * 707.107) / 2 = 742.893 apart. Above K1 and
    // below K2 there are 1800 - 707.107 = 1092.893.
    let site = long_room(1800.0, 0.0)
        .column("K1", (2500.0, 0.0), (1000.0, 1000.0), 45.0)
        .column("K2", (3600.0, 1800.0), (1000.0, 1000.0), 45.0);
    let found = site.measures(742.893);
    says(&found, "between K1 and K2");
    points_at(&found, 3050.0, 900.0);
    assert_eq!(found.items, [id("R1"), id("K1"), id("K2")]);
}

#[test]
fn a_room_turned_as_a_whole_is_the_same_room() {
    // As in the first room: 2000 - 1200 = 800; and with the turned column 792.893.
    for turn in [17.0, 90.0, 123.0, 200.0] {
        let site = long_room(2000.0, turn).block("K1", (2500.0, 0.0), (2900.0, 1200.0));
        let found = site.measures(800.0);
        let at = rotated(Point::new(2700.0, 1600.0), turn);
        points_at(&found, at.x, at.y);
        long_room(2000.0, turn)
            .column("K1", (3000.0, 500.0), (1000.0, 1000.0), 45.0)
            .measures(792.893);
    }
    // Just the aisle in a turned room, where corners are rounded to 1/320 mm: 2000 - 1085.6 = 914.4, and 0.2 under.
    let just = |depth: f64| {
        let site = long_room(2000.0, 17.0).block("K1", (2500.0, 0.0), (2900.0, depth));
        site.only().measured.unwrap()
    };
    assert!((just(1085.6) - 914.4).abs() < 0.1);
    assert!((just(1085.8) - 914.2).abs() < 0.1);
}

#[test]
fn the_arm_of_an_l_shaped_room_is_a_way_between_two_walls() {
    // The arm is 850 wide; the door at its end is 800 wide, so the walker covers it.
    let corners = [
        (0.0, 0.0),
        (5000.0, 0.0),
        (5000.0, 1500.0),
        (850.0, 1500.0),
        (850.0, 5000.0),
        (0.0, 5000.0),
    ];
    for turn in [0.0, 17.0] {
        let site = Site::turned(&corners, turn)
            .door("D1", 4, 25.0, 800.0)
            .rack("R1", (5000.0 - 355.6, 750.0), 270.0);
        let found = site.measures(850.0);
        assert!(
            !found.text.contains('K') && found.text.contains("between the"),
            "{}",
            found.text
        );
        assert_eq!(found.items, [id("R1")], "walls have no mark");
    }
}

#[test]
fn two_bodies_across_the_room() {
    // 3000 - 1000 - 1300 = 700.
    let site = long_room(3000.0, 0.0)
        .block("K1", (2500.0, 0.0), (2900.0, 1000.0))
        .block("K2", (2500.0, 1700.0), (2900.0, 3000.0));
    let found = site.measures(700.0);
    points_at(&found, 2700.0, 1350.0);
    says(&found, "between K1 and K2");
}

#[test]
fn two_bodies_past_each_other_leave_the_larger_of_two_distances() {
    // K1 ends at x = 2900, K2 begins at 3600: 700 along. K1 reaches up to 1600, K2 down to 1000: they overlap across the room,
    // so 700 it is. With K2 down to 2420 only, 2420 - 1600 = 820 across is the larger. Beside both there are 1400 and 1000.
    let with = |low: f64| {
        long_room(3000.0, 0.0)
            .block("K1", (2500.0, 0.0), (2900.0, 1600.0))
            .block("K2", (3600.0, low), (4000.0, 3000.0))
    };
    with(1000.0).measures(700.0);
    with(2420.0).measures(820.0);
}

#[test]
fn a_strip_narrower_than_the_walker_is_covered() {
    // The rack's right end looks west: its strip is 609.6 wide, from 695.2 to 1304.8 across the room. Two bodies before it
    // leave 1400 - 600 = 800: the walker covers the strip. Then they leave 1290 - 710 = 580, and it lies within.
    let with = |low: f64, high: f64| {
        Site::rectangle(6000.0, 2000.0)
            .door("D1", 3, 550.0, 900.0)
            .rack_with("R1", (6000.0 - 609.6, 1000.0), 180.0, vec![Face::Right])
            .block("K1", (3700.0, 0.0), (4780.8, low))
            .block("K2", (3700.0, high), (4780.8, 2000.0))
    };
    let found = with(600.0, 1400.0).measures(800.0);
    assert_eq!(found.facet, "right");
    with(710.0, 1290.0).measures(580.0);
}

#[test]
fn a_body_over_half_the_opening_narrows_the_start() {
    // The opening goes from 200 to 1800 up the west wall; K1 stands against that wall from 900 on: a walker narrower than the
    // opening must lie within it, between 200 and 900: 700.
    let site = Site::rectangle(6000.0, 2000.0)
        .door("D1", 3, 200.0, 1600.0)
        .rack("R1", (6000.0 - 355.6, 1000.0), 270.0)
        .block("K1", (0.0, 900.0), (300.0, 2000.0));
    let found = site.measures(700.0);
    says(&found, "at door D1, beside K1");
    assert_eq!(found.items, [id("R1"), id("K1")]);
}

#[test]
fn a_walker_wider_than_the_door_covers_it() {
    // The opening goes from 100 to 700 up the west wall, K1 stands from 850 on: between the south wall and K1 there are 850.
    let site = Site::rectangle(6000.0, 2000.0)
        .door("D1", 3, 2000.0 - 700.0, 600.0)
        .rack("R1", (6000.0 - 355.6, 1000.0), 270.0)
        .block("K1", (0.0, 850.0), (300.0, 2000.0));
    let found = site.measures(850.0);
    says(&found, "between the south wall and K1");
}

#[test]
fn any_of_two_doors_will_do() {
    // From the west door 2000 - 1300 = 700, from the north door beyond the column the walker comes to the rack freely.
    let west = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, 1300.0));
    west.measures(700.0);
    let both = long_room(2000.0, 0.0)
        .block("K1", (2500.0, 0.0), (2900.0, 1300.0))
        .door("D2", 2, 1600.0, 900.0);
    let found = both.only();
    assert_eq!(found.standing, Standing::Met, "{}", found.text);
    says(&found, "doors D1 and D2");
    // The second is no way out: as if it were not there.
    long_room(2000.0, 0.0)
        .block("K1", (2500.0, 0.0), (2900.0, 1300.0))
        .any_door("D2", (2, 1600.0), 900.0, false)
        .measures(700.0);
}

#[test]
fn a_pocket_that_nothing_comes_to() {
    // K1 spans the room; then it leaves 5 mm, less than any cart.
    for depth in [2000.0, 1995.0] {
        let site = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, depth));
        let found = site.measures(0.0);
        says(&found, "No way leads from door D1 to R1");
        assert!(found.at.is_some(), "it points at the face");
    }
}

#[test]
fn the_wider_side_of_a_column_counts() {
    // Below K1 700, above it 3000 - 700 - 1460 = 840.
    let site = long_room(3000.0, 0.0).block("K1", (2500.0, 700.0), (2900.0, 2160.0));
    let found = site.measures(840.0);
    says(&found, "between the north wall and K1");
    points_at(&found, 2700.0, 2160.0 + 420.0);
}

#[test]
fn what_hangs_above_the_headroom_is_passed_under() {
    // Opposite the column a panel 100 deep from 1200 up: 2000 - 1000 - 100 = 900. The headroom is 80 in = 2032: a cooling unit
    // from 2100 up does not count, from 2000 up it does: 2000 - 1000 - its depth.
    let site = |item: Option<Item>| {
        let site = long_room(2000.0, 0.0).block("K1", (2000.0, 0.0), (3500.0, 1000.0));
        match item {
            Some(Item::Panel(p)) => site.put("E1", Item::Panel(p)),
            Some(other) => site.put("A1", other),
            None => site,
        }
    };
    // Along the north wall, which goes from x = 6000 to 0.
    let at = WallPlace::new(2, Length::from_mm_whole(3000));
    let panel = Panel {
        at,
        width: Length::from_mm_whole(400),
        depth: Length::from_mm_whole(100),
        bottom: Length::from_mm_whole(1200),
        height: Length::from_mm_whole(760),
        presence: Presence::default(),
        main: None,
        free: None,
    };
    let unit = |bottom: i32| {
        Item::Cooling(CoolingUnit {
            kind: KindId::new("wall-24k").unwrap(),
            at,
            bottom: Length::from_mm_whole(bottom),
            blow: Blow::default(),
            presence: Presence::default(),
        })
    };
    site(None).measures(1000.0);
    let found = site(Some(Item::Panel(panel))).measures(900.0);
    says(&found, "between E1 and K1");
    site(Some(unit(2100))).measures(1000.0);
    let kind = &common::library().stock.cooling[&KindId::new("wall-24k").unwrap()];
    site(Some(unit(2000))).measures(1000.0 - kind.depth.mm());
}

#[test]
fn a_turned_rack_is_reached_by_the_middle_of_the_walker() {
    // Rack and K1 at 45 degrees face each other 1000 apart: their sides have the normal (1, 1) / sqrt(2), so measured by
    // squares they are 1000 / sqrt(2) = 707.107 apart, along all of the strip and beyond.
    let forward = Point::new(1.0, -1.0).normalize();
    let rack = Point::new(3000.0, 4000.0);
    let block = rack + forward * (RACK.1 * 0.5 + 1000.0 + 300.0);
    let site = Site::rectangle(8000.0, 8000.0)
        .door("D1", 3, 3500.0, 900.0)
        .rack("R1", (rack.x, rack.y), 45.0)
        .column("K1", (block.x, block.y), (4000.0, 600.0), 45.0);
    let found = site.measures(707.107);
    says(&found, "between");
    assert_eq!(found.items, [id("R1"), id("K1")]);
}

#[test]
fn a_wall_out_of_square_narrows_aslant() {
    // The north wall climbs 1000 over 5500. Over K1's left upper corner, 2800 along and 1500 up, it is at
    // 2000 + 2800 / 5.5 = 2509.091; a square whose right lower corner is there touches the wall with its left upper corner:
    // (2509.091 - 1500) / (1 + 1 / 5.5) = 853.846, and its middle is half of that to the left and up.
    let corners = [(0.0, 0.0), (6000.0, 0.0), (5500.0, 3000.0), (0.0, 2000.0)];
    for turn in [0.0, 17.0] {
        let site = Site::turned(&corners, turn)
            .door("D1", 3, 500.0, 900.0)
            .rack("R1", (5000.0, 355.6), 180.0)
            .block("K1", (2800.0, 0.0), (3200.0, 1500.0));
        let found = site.measures(853.846);
        let at = rotated(Point::new(2800.0 - 426.923, 1500.0 + 426.923), turn);
        points_at(&found, at.x, at.y);
    }
}

#[test]
fn a_door_in_a_wall_across_the_corner() {
    // The south-west corner is cut off from (0, 2000) to (2000, 0); the door's middle is at (1000, 1000). The walker touches
    // it with its left lower corner. K1 stands 700 to the right of that, from the south wall up to the north, and K2 closes the
    // way above: 1000 + 800 = 1800 is where it begins. Up to 700 the walker stands free between wall and K1.
    let corners = [
        (2000.0, 0.0),
        (6000.0, 0.0),
        (6000.0, 4000.0),
        (0.0, 4000.0),
        (0.0, 2000.0),
    ];
    let length = 2000.0 * 2.0_f64.sqrt();
    let site = |low: f64| {
        Site::new(&corners)
            .door("D1", 4, length * 0.5 - 450.0, 900.0)
            .rack("R1", (5000.0, 4000.0 - 355.6), 0.0)
            .block("K1", (1700.0, low), (2100.0, 2600.0))
    };
    // K1 from the very bottom: 700, held between the door's wall and K1.
    site(0.0).measures(700.0);
    // K1 from 2500 on stands above the walker, which can be as large as the room lets it: it passes below K1, and above the
    // wall the least is between K1's lower left corner (1700, 2500) and the wall x + y = 2000: (1700 + 2500 - 2000) / 2 = 1100.
    let found = site(2500.0).only();
    assert_eq!(found.standing, Standing::Met, "{}", found.text);
}

#[test]
fn without_a_way_out_nobody_can_say() {
    let rack = |site: Site| site.rack("R1", (5000.0, 355.6), 180.0);
    let found = rack(Site::rectangle(6000.0, 3000.0)).only();
    assert_eq!(found.standing, Standing::Unknown, "{}", found.text);
    says(&found, "The plan has no door");
    assert_eq!(found.items, [id("R1")]);
    let closed = Site::rectangle(6000.0, 3000.0).any_door("D1", (3, 500.0), 900.0, false);
    let found = rack(closed).only();
    assert_eq!(found.standing, Standing::Unknown, "{}", found.text);
    assert_eq!(found.measured, None);
    says(&found, "No door is marked as a way out");
    assert_eq!(found.items, [id("D1")]);
    // Where nothing needs to be reached, nothing is said.
    assert_eq!(Site::rectangle(6000.0, 3000.0).findings(), []);
}

#[test]
fn every_face_is_judged_by_itself() {
    // R1 has two faces: before its front there is room, before its back 3000 - 1600 - 609.6 = 790.4.
    let site = Site::rectangle(6000.0, 3000.0)
        .door("D1", 3, 1900.0, 900.0)
        .rack_with(
            "R1",
            (4000.0, 1600.0 + 304.8),
            0.0,
            vec![Face::Front, Face::Back],
        );
    let found = site.measures(790.4);
    assert_eq!(found.facet, "back");
    says(&found, "comes to the back of R1");
    says(&found, "between the north wall and R1");
    assert_eq!(found.items, [id("R1")], "once is enough");
}

#[test]
fn a_free_room_is_looked_at_up_to_twice_the_aisle() {
    let found = long_room(2500.0, 0.0).measures(2.0 * AISLE);
    says(&found, "at least 6' 0\"");
    assert_eq!(found.items, [id("D1")]);
}

#[test]
fn an_aisle_of_next_to_nothing_is_still_judged() {
    for (aisle, gap, standing) in [
        (Length::ZERO, 5.0, Standing::Met),
        (Length::from_mm_whole(4), 5.0, Standing::Met),
        (Length::from_mm_whole(6), 5.0, Standing::Broken),
    ] {
        let mut site = long_room(2000.0, 0.0).block("K1", (2500.0, 0.0), (2900.0, 2000.0 - gap));
        let changes = LimitChanges {
            aisle: Some(LimitChange {
                value: aisle,
                reason: Label::new("a trial").unwrap(),
            }),
            ..LimitChanges::default()
        };
        site.plan = edited(&site.plan, &Edit::SetLimits(Box::new(changes)));
        let found = site.only();
        assert_eq!(found.standing, standing, "{}", found.text);
    }
}

// ---- The widest path by itself ----

/// A room along the axes with bodies of whole grid steps.
#[derive(Clone, Debug)]
struct Grid {
    wide: u8,
    deep: u8,
    bodies: Vec<(u8, u8, u8, u8)>,
    goal: (u8, u8),
}

/// The grid's step; the side of the goal and the length of the start, in steps.
const STEP: f64 = 100.0;
const GOAL: u8 = 12;

fn grids() -> impl Strategy<Value = Grid> {
    (20_u8..50, 20_u8..50).prop_flat_map(|(wide, deep)| {
        let body = (0..wide - 2, 0..deep - 2, 1_u8..12, 1_u8..12);
        let goal = (0..wide - GOAL, 0..deep - GOAL);
        (proptest::collection::vec(body, 0..9), goal).prop_map(move |(bodies, goal)| Grid {
            wide,
            deep,
            bodies,
            goal,
        })
    })
}

fn oblong(x: f64, y: f64, w: f64, d: f64) -> Oblong {
    Oblong::new(Point::new(x + w * 0.5, y + d * 0.5), w, d, (0.0, 1.0))
}

/// The opening: twelve steps of the lower wall from the second on.
fn opening() -> (Point, Point) {
    (Point::new(STEP, 0.0), Point::new(STEP * 13.0, 0.0))
}

impl Grid {
    fn bodies(&self) -> Vec<Oblong> {
        let mm = |k: &u8| f64::from(*k) * STEP;
        self.bodies
            .iter()
            .map(|(x, y, w, d)| oblong(mm(x), mm(y), mm(w), mm(d)))
            .collect()
    }

    fn size(&self) -> (f64, f64) {
        (f64::from(self.wide) * STEP, f64::from(self.deep) * STEP)
    }

    fn goal(&self) -> Oblong {
        let side = f64::from(GOAL) * STEP;
        let (x, y) = self.goal;
        oblong(f64::from(x) * STEP, f64::from(y) * STEP, side, side)
    }

    /// The widest, the room moved and turned, with some more bodies.
    fn widest(&self, more: &[Oblong], turn: f64, by: Point) -> f64 {
        let (w, d) = self.size();
        let moved = |p: Point| rotated(p, turn) + by;
        let turned = |o: &Oblong| {
            let across = rotated(o.across(), turn);
            Oblong::new(
                moved(o.centre()),
                o.width(),
                o.depth(),
                (across.y, across.x),
            )
        };
        let corners = [(0.0, 0.0), (w, 0.0), (w, d), (0.0, d)];
        let corners = corners.map(|(x, y)| moved(Point::new(x, y))).to_vec();
        let bodies: Vec<Convex> = self
            .bodies()
            .iter()
            .chain(more)
            .map(|o| turned(o).convex())
            .collect();
        let room = Polygon::new(corners).unwrap();
        let floor = Floor::new(&room, &bodies, rotated(Point::X, turn));
        let (near, far) = opening();
        let start = [Place::Against(moved(near), moved(far))];
        let goal = [Place::In(turned(&self.goal()))];
        let widest = floor.widest(&start, &goal, 2000.0)[0];
        if let Some(widest) = widest {
            let side = widest.side_mm;
            let reach = |side: f64| floor.reach(side, &start, &goal) == [true];
            assert!(reach(side), "a square of just {side} comes through");
            assert!(
                side >= 2000.0 || !reach(side + 0.1),
                "none of {side} + 0.1 does"
            );
            let all = floor.widest_to_all(&start, &goal, 2000.0, None);
            assert_eq!(
                all.map(|w| w.side_mm),
                Some(side),
                "one goal is all there are"
            );
            for guess in [side, side - 0.02, side + 0.02, 0.0, 777.0, 5000.0] {
                let guessed = floor.widest_to_all(&start, &goal, 2000.0, Some(guess));
                assert_eq!(guessed, all, "a guess of {guess} changes nothing");
            }
        }
        widest.map_or(0.0, |w| w.side_mm)
    }

    /// Whether a square of that side comes from the start to the goal in steps of 20 mm; exact where the side is a multiple
    /// of 20, as every distance in the room is one.
    fn flood(&self, side: i32) -> bool {
        const CELL: i32 = 20;
        let per = 5;
        let (w, d) = (i32::from(self.wide) * per, i32::from(self.deep) * per);
        let s = side / CELL;
        let free = |x: i32, y: i32| {
            x >= 0
                && y >= 0
                && x + s <= w
                && y + s <= d
                && self.bodies.iter().all(|(bx, by, bw, bd)| {
                    let (bx, by) = (i32::from(*bx) * per, i32::from(*by) * per);
                    let (bw, bd) = (i32::from(*bw) * per, i32::from(*bd) * per);
                    x + s <= bx || bx + bw <= x || y + s <= by || by + bd <= y
                })
        };
        let fits = |at: i32, from: i32, length: i32| {
            let within = from <= at && at + s <= from + length;
            let covers = at <= from && from + length <= at + s;
            if s <= length { within } else { covers }
        };
        let size = i32::from(GOAL) * per;
        let (gx, gy) = (i32::from(self.goal.0) * per, i32::from(self.goal.1) * per);
        let mut waiting: Vec<(i32, i32)> = (0..w)
            .filter(|x| fits(*x, per, 12 * per) && free(*x, 0))
            .map(|x| (x, 0))
            .collect();
        let mut seen: BTreeSet<(i32, i32)> = waiting.iter().copied().collect();
        while let Some((x, y)) = waiting.pop() {
            if fits(x, gx, size) && fits(y, gy, size) {
                return true;
            }
            for next in [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)] {
                if free(next.0, next.1) && seen.insert(next) {
                    waiting.push(next);
                }
            }
        }
        false
    }
}

/// The step of the rough flood.
const ROUGH: f64 = 40.0;

impl Grid {
    /// Whether a square of the side `moved`, tried at places 40 mm apart against bodies at any angle, comes from where one of
    /// the side `asked` starts to where it should come to, both taken `slack` wider.
    fn rough_flood(&self, bodies: &[Convex], asked: f64, moved: f64, slack: f64) -> bool {
        let (wide, deep) = self.size();
        let at = |(x, y): (i32, i32)| Point::new(f64::from(x), f64::from(y)) * ROUGH;
        let free = |node: (i32, i32)| {
            let p = at(node);
            let square = oblong(p.x, p.y, moved, moved).convex();
            p.x >= -slack
                && p.y >= -slack
                && p.x + moved <= wide + slack
                && p.y + moved <= deep + slack
                && bodies.iter().all(|b| !b.overlaps(&square))
        };
        let fits = |at: f64, from: f64, length: f64| {
            let (low, high) = (from, from + length - asked);
            low.min(high) - slack <= at && at <= low.max(high) + slack
        };
        let (near, far) = opening();
        let goal = self.goal();
        let corner = goal.at(goal.width() * -0.5, goal.depth() * -0.5);
        let mut waiting: Vec<(i32, i32)> = (0..200)
            .flat_map(|x| [(x, 0), (x, 1)])
            .filter(|node| at(*node).y <= slack && fits(at(*node).x, near.x, far.x - near.x))
            .filter(|node| free(*node))
            .collect();
        let mut seen: BTreeSet<(i32, i32)> = waiting.iter().copied().collect();
        while let Some((x, y)) = waiting.pop() {
            let p = at((x, y));
            if fits(p.x, corner.x, goal.width()) && fits(p.y, corner.y, goal.depth()) {
                return true;
            }
            for next in [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)] {
                if !seen.contains(&next) && free(next) {
                    seen.insert(next);
                    waiting.push(next);
                }
            }
        }
        false
    }
}

/// A body anywhere, at any angle.
fn turned_body() -> impl Strategy<Value = Oblong> {
    (
        0.0..4000.0,
        0.0..4000.0,
        100.0..900.0,
        100.0..900.0,
        0.0..180.0_f64,
    )
        .prop_map(|(x, y, w, d, turn)| {
            let (sin, cos) = turn.to_radians().sin_cos();
            Oblong::new(Point::new(x, y), w, d, (sin, cos))
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Bodies at any angle: a square 40 mm larger that comes through in steps of 40 mm holds one of the side asked all along
    /// its way, so the widest is at least that. And a square of the side asked that comes through at all holds, wherever it
    /// is, one 80 mm smaller on the grid; so where that one does not come through, the widest is less.
    #[test]
    fn a_rough_flood_brackets_the_widest_among_turned_bodies(
        grid in grids(),
        more in proptest::collection::vec(turned_body(), 2..7),
    ) {
        let widest = grid.widest(&more, 0.0, Point::ZERO);
        let own = grid.bodies();
        let bodies: Vec<Convex> = own.iter().chain(&more).map(Oblong::convex).collect();
        let near = [widest - 60.0, widest + 100.0];
        let sides = [300.0, 600.0, 900.0].into_iter().chain(near);
        for side in sides.filter(|s| (120.0..2000.0).contains(s)) {
            if grid.rough_flood(&bodies, side, side + ROUGH, 0.0) {
                prop_assert!(widest >= side - 0.1, "{} comes through, the widest is {}", side, widest);
            }
            if !grid.rough_flood(&bodies, side, side - 2.0 * ROUGH, 2.0 * ROUGH) {
                prop_assert!(widest <= side, "{} does not come through, the widest is {}", side, widest);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// A square that moves in steps and comes through shows that one may; one a step larger than the measured, that does
    /// not, brackets it from above. Between bodies on the grid every path can be pushed onto the grid when the side lies on
    /// it too, so both sides of the bracket are sharp.
    #[test]
    fn a_flood_of_a_grid_brackets_the_widest(grid in grids()) {
        let widest = grid.widest(&[], 0.0, Point::ZERO);
        for side in [100, 300, 500, 560, 600, 700, 820, 900, 1000, 1200, 1400] {
            let through = grid.flood(side);
            let side = f64::from(side);
            prop_assert_eq!(through, side <= widest + 0.02, "{} of {}", side, widest);
        }
    }

    #[test]
    fn one_body_more_never_widens_the_way(
        grid in grids(),
        more in turned_body(),
    ) {
        let before = grid.widest(&[], 0.0, Point::ZERO);
        let after = grid.widest(&[more], 0.0, Point::ZERO);
        prop_assert!(after <= before + 0.05, "{before} became {after}");
    }

    #[test]
    fn a_room_moved_and_turned_has_the_same_way(
        grid in grids(),
        more in proptest::collection::vec(turned_body(), 0..4),
        (turn, x, y) in (0.0..360.0_f64, -9000.0..9000.0, -9000.0..9000.0),
    ) {
        let here = grid.widest(&more, 0.0, Point::ZERO);
        let there = grid.widest(&more, turn, Point::new(x, y));
        prop_assert!((here - there).abs() < 0.1, "{here} became {there}");
    }
}
