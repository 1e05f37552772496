//! Shapes in the plane against hand values: contact, distance, the sweep of a door, corridors, slides, outlines; and laws
//! that hold for any two rectangles. The values are worked out beside each check from school geometry.

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use aislewright::geometry::{
    Bounds, BoxList, Convex, Corridor, Oblong, Point, Polygon, TOLERANCE_MM, slide_overlap,
};
use aislewright::units::Angle;
use proptest::prelude::{Just, ProptestConfig, Strategy, prop_assert, prop_oneof, proptest};

/// The turns at which contact is asked for: along the axes and not.
const TURNS: [f64; 7] = [0.0, 90.0, 180.0, 270.0, 17.3, 45.0, 211.5];

fn turned(x: f64, y: f64, width: f64, depth: f64, degrees: f64) -> Oblong {
    let turn = Angle::from_degrees(degrees).sin_cos();
    Oblong::new(Point::new(x, y), width, depth, turn)
}

/// A rectangle along the axes from its lower left corner.
fn upright(x: f64, y: f64, width: f64, depth: f64) -> Convex {
    turned(x + width / 2.0, y + depth / 2.0, width, depth, 0.0).convex()
}

/// A square on its corner: its middle and its half diagonal.
fn diamond(x: f64, y: f64, half: f64) -> Convex {
    let corners = [(half, 0.0), (0.0, half), (-half, 0.0), (0.0, -half)];
    let corners = corners.map(|(dx, dy)| Point::new(x + dx, y + dy));
    Convex::new(corners.to_vec()).expect("four corners make a shape")
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
}

/// Signed area by the corners, positive anticlockwise.
fn area(shape: &Convex) -> f64 {
    let doubled: f64 = shape.sides().map(|(a, b)| a.x * b.y - b.x * a.y).sum();
    doubled / 2.0
}

#[test]
fn side_by_side_touching_is_not_overlapping_at_any_turn() {
    for turn in TURNS {
        let first = turned(1000.0, 2000.0, 1219.2, 609.6, turn);
        let end_to_end = first.moved(first.across() * 1219.2);
        let back_to_back = first.moved(first.up() * 609.6);
        for (second, away) in [(end_to_end, first.across()), (back_to_back, first.up())] {
            let at = |by: f64| second.moved(away * by).convex();
            let first = first.convex();
            near(first.separation(&at(0.0)), 0.0, 1e-9);
            assert!(!first.overlaps(&at(0.0)), "they touch at {turn} degrees");
            // The tolerance is 0.01 mm: 0.009 mm shared is contact, 0.011 mm is not.
            assert!(!first.overlaps(&at(-0.009)), "within at {turn} degrees");
            assert!(first.overlaps(&at(-0.011)), "beyond at {turn} degrees");
            assert_eq!(first.overlap_depth(&at(-0.009)), None, "at {turn} degrees");
            let depth = first.overlap_depth(&at(-25.4));
            near(depth.expect("they overlap by 1 in"), 25.4, 1e-9);
            near(first.distance(&at(914.4)), 914.4, 1e-9);
            near(first.distance(&at(-25.4)), 0.0, 0.0);
        }
    }
}

#[test]
fn a_corner_touches_a_side_at_half_a_diagonal() {
    // A square of side 10 turned by 45 degrees reaches 5 * sqrt(2) = 7.0711 from its middle; the upright one reaches 5.
    let upright = turned(0.0, 0.0, 10.0, 10.0, 0.0).convex();
    let at = |x: f64| turned(x, 0.0, 10.0, 10.0, 45.0).convex();
    let contact = 5.0 + 50.0_f64.sqrt();
    assert!(!upright.overlaps(&at(contact)), "the corner only touches");
    assert!(
        !upright.overlaps(&at(contact - 0.009)),
        "still only touches"
    );
    assert!(upright.overlaps(&at(contact - 0.011)), "the corner is in");
    near(upright.distance(&at(contact + 3.0)), 3.0, 1e-9);
    let depth = upright.overlap_depth(&at(contact - 1.0));
    near(depth.expect("1 mm is in"), 1.0, 1e-9);
}

#[test]
fn distances_are_those_of_a_pencil() {
    let square = upright(0.0, 0.0, 10.0, 10.0);
    // 3 to the right and 4 up: 5 from corner to corner, though no axis parts them by more than 4.
    let corner = upright(13.0, 14.0, 6.0, 6.0);
    near(square.distance(&corner), 5.0, 1e-12);
    near(square.separation(&corner), 4.0, 1e-12);
    // From the corner at (10, 10) to the middle of the facing side of a square of side 10 on its corner at (25, 25): the
    // middles' diagonal is 15 * sqrt(2) from that corner, less half a side: 15 * 1.41421 - 5 = 16.2132.
    let slanted = diamond(25.0, 25.0, 50.0_f64.sqrt());
    near(square.distance(&slanted), 16.2132, 1e-4);
    // A wall line 7 below, and one that ends 5 to the left and 12 up of the corner: 13.
    let below = Convex::line(Point::new(-50.0, -7.0), Point::new(50.0, -7.0));
    near(square.distance(&below), 7.0, 1e-12);
    let ends = Convex::line(Point::new(-5.0, 22.0), Point::new(-5.0, 90.0));
    near(square.distance(&ends), 13.0, 1e-12);
    // One inside the other is no distance away.
    near(square.distance(&upright(4.0, 4.0, 1.0, 1.0)), 0.0, 0.0);
}

#[test]
fn a_line_is_overlapped_only_by_what_lies_across_it() {
    let square = upright(0.0, 0.0, 10.0, 10.0);
    let line =
        |ax: f64, ay: f64, bx: f64, by: f64| Convex::line(Point::new(ax, ay), Point::new(bx, by));
    assert!(
        square.overlaps(&line(-5.0, 4.0, 15.0, 4.0)),
        "right through"
    );
    assert!(square.overlaps(&line(4.0, 4.0, 6.0, 5.0)), "all inside");
    assert!(
        !square.overlaps(&line(-5.0, 0.0, 15.0, 0.0)),
        "along a side"
    );
    assert!(
        !square.overlaps(&line(10.0, 5.0, 20.0, 5.0)),
        "ends at a side"
    );
    assert!(!square.overlaps(&line(10.0, 20.0, 20.0, 10.0)), "passes by");
    assert!(!square.overlaps(&line(5.0, 15.0, 15.0, 5.0)), "on a corner");
    // 0.1 mm nearer on the slant it is inside by 0.1 mm.
    let inside = line(4.9, 14.9, 14.9, 4.9);
    let depth = square.overlap_depth(&inside).expect("it cuts the corner");
    near(depth, 0.2 / 2.0_f64.sqrt(), 1e-9);
}

#[test]
fn a_shape_holds_its_edge_and_a_line_holds_nothing() {
    for turn in TURNS {
        let rack = turned(500.0, -300.0, 1200.0, 600.0, turn);
        let shape = rack.convex();
        assert!(shape.contains(rack.at(0.0, 0.0)), "its middle");
        assert!(shape.contains(rack.at(600.0, 300.0)), "its corner");
        assert!(shape.contains(rack.at(-600.0, 10.0)), "its end");
        assert!(!shape.contains(rack.at(600.1, 0.0)), "past its end");
        assert!(!shape.contains(rack.at(0.0, -300.1)), "past its face");
        near(area(&shape), 720_000.0, 1e-6);
        let middle = shape.middle();
        near(middle.x, 500.0, 1e-9);
        near(middle.y, -300.0, 1e-9);
    }
    let line = Convex::line(Point::ZERO, Point::X);
    assert!(!line.contains(Point::ZERO), "a line has no inside");
}

#[test]
fn an_oblong_grows_by_its_own_sides() {
    // 1000 by 400 at a quarter turn: its width lies along y, its own left is below, its own below is to the right.
    let rack = turned(0.0, 0.0, 1000.0, 400.0, 90.0);
    let grown = rack.grown(10.0, 20.0, 30.0, 40.0);
    near(grown.width(), 1030.0, 1e-9);
    near(grown.depth(), 470.0, 1e-9);
    let shape = grown.convex();
    let (bounds, expected) = (shape.bounds(), [-240.0, -510.0, 230.0, 520.0]);
    let found = [bounds.low.x, bounds.low.y, bounds.high.x, bounds.high.y];
    for (a, b) in found.into_iter().zip(expected) {
        near(a, b, 1e-9);
    }
    // Shrunk by more than there is, nothing is left, and it is not inside out.
    let none = rack.grown(-600.0, -600.0, 0.0, 0.0);
    near(none.width(), 0.0, 0.0);
    near(none.depth(), 400.0, 1e-9);
}

#[test]
fn a_door_sweeps_a_quarter_disc() {
    // Hinged at the origin, 900 wide, from along the wall to straight into the room.
    let quarter = std::f64::consts::FRAC_PI_2;
    let sweep = Convex::sector(Point::ZERO, 900.0, 0.0, quarter).expect("a door sweeps");
    // A quarter of a disc is pi / 4 * 900^2 = 636172.5; chords lie inside the arc of 1413.7 by under 0.01 mm.
    let lost = 636_172.5 - area(&sweep);
    assert!((0.0..14.2).contains(&lost), "{lost} is lost to the chords");
    assert!(sweep.contains(Point::new(0.0, 900.0)), "the leaf open");
    assert!(sweep.contains(Point::new(900.0, 0.0)), "the leaf shut");
    // Half way 900 / sqrt(2) = 636.396 along and up.
    assert!(sweep.contains(Point::new(636.39, 636.39)), "half way");
    assert!(!sweep.contains(Point::new(636.43, 636.43)), "past the leaf");
    assert!(!sweep.contains(Point::new(-0.1, 300.0)), "behind the leaf");
    // A rack's corner: at 636.40 it is 900.006 from the hinge and clear; at 636.30 it is 899.864 and in by 0.136.
    assert!(
        !sweep.overlaps(&upright(636.40, 636.40, 500.0, 500.0)),
        "clear"
    );
    let depth = sweep.overlap_depth(&upright(636.30, 636.30, 500.0, 500.0));
    near(depth.expect("it is in the way"), 0.136, 0.006);
    // Against the frame the sweep only touches.
    assert!(
        !sweep.overlaps(&upright(-500.0, 0.0, 500.0, 500.0)),
        "beside"
    );
    assert!(
        !sweep.overlaps(&upright(0.0, -500.0, 900.0, 500.0)),
        "the wall"
    );
}

#[test]
fn a_sweep_is_turned_with_its_hinge_and_ends_at_a_half_turn() {
    // From straight down on anticlockwise to the right: the quarter with x > 0 and y < 0.
    let quarter = std::f64::consts::FRAC_PI_2;
    let hinge = Point::new(1000.0, 1000.0);
    let sweep = Convex::sector(hinge, 800.0, -quarter, quarter).expect("a door sweeps");
    assert!(
        sweep.contains(Point::new(1500.0, 500.0)),
        "500 and 500 away"
    );
    assert!(
        !sweep.contains(Point::new(1500.0, 1500.0)),
        "the other side"
    );
    assert!(!sweep.contains(Point::new(1600.0, 400.0)), "848.5 away");
    let most = Convex::sector(hinge, 800.0, 0.0, 9.0).expect("kept to a half turn");
    let half = std::f64::consts::PI * 800.0 * 800.0 / 2.0;
    near(area(&most), half, 26.0);
    let nan = f64::NAN;
    for (radius, sweep) in [
        (0.0, 1.0),
        (-1.0, 1.0),
        (nan, 1.0),
        (800.0, 0.0),
        (800.0, -1.0),
        (800.0, nan),
    ] {
        let shape = Convex::sector(hinge, radius, 0.0, sweep);
        assert!(shape.is_none(), "radius {radius}, sweep {sweep}");
    }
}

#[test]
fn a_corridor_is_free_up_to_what_stands_in_it() {
    for turn in TURNS {
        // A face 1000 wide at the top of a body 600 deep.
        let body = turned(200.0, 100.0, 1000.0, 600.0, turn);
        let face = Corridor {
            origin: body.at(0.0, 300.0),
            forward: body.up(),
            half_width: 500.0,
        };
        let ahead = |across: f64, up: f64| {
            let middle = body.at(across, 300.0 + up + 200.0);
            turned(middle.x, middle.y, 400.0, 400.0, turn).convex()
        };
        let free = |shape: &Convex| face.free_before(shape);
        near(
            free(&ahead(0.0, 914.4)).expect("straight ahead"),
            914.4,
            1e-6,
        );
        near(free(&ahead(699.0, 50.0)).expect("1 mm in"), 50.0, 1e-6);
        assert_eq!(free(&ahead(700.0, 50.0)), None, "beside at {turn} degrees");
        assert_eq!(free(&ahead(-700.0, 50.0)), None, "beside at {turn} degrees");
        near(free(&ahead(0.0, 0.0)).expect("against the face"), 0.0, 1e-9);
        near(free(&ahead(0.0, -150.0)).expect("over the face"), 0.0, 0.0);
        assert_eq!(free(&ahead(0.0, -400.0)), None, "behind at {turn} degrees");
        // The band to 900 deep is a rectangle 1000 by 900 that touches the face.
        let strip = face.strip(900.0);
        near(area(&strip.convex()), 900_000.0, 1e-6);
        assert!(!strip.convex().overlaps(&body.convex()), "it only touches");
        near(strip.centre().distance(body.at(0.0, 750.0)), 0.0, 1e-9);
        assert!(
            strip.convex().contains(body.at(499.0, 1199.0)),
            "its corner"
        );
    }
}

#[test]
fn a_corridor_meets_a_slanted_side_where_it_enters() {
    // A square on its corner round (600, 1000), 200 to each side: it spans x from 400 to 800. At the band's edge x = 500 its
    // lower side stands at 1000 - (200 - 100) = 900; inside the band nothing of it is lower.
    let face = Corridor {
        origin: Point::ZERO,
        forward: Point::Y,
        half_width: 500.0,
    };
    let entered = face.free_before(&diamond(600.0, 1000.0, 200.0));
    near(entered.expect("its left part is ahead"), 900.0, 0.02);
    // A slanted wall from (-1000, 2000) to (1000, 1000): at x = 500 it stands at 1250.
    let wall = Convex::line(Point::new(-1000.0, 2000.0), Point::new(1000.0, 1000.0));
    near(face.free_before(&wall).expect("the wall"), 1250.0, 0.02);
    // A wall that lies on the face, or on a part of it, closes it; one on the line of the face beside the band does not.
    for (from, to, depth) in [
        (-900.0, 900.0, Some(0.0)),
        (400.0, 900.0, Some(0.0)),
        (500.0, 900.0, None),
    ] {
        let flush = Convex::line(Point::new(from, 0.0), Point::new(to, 0.0));
        assert_eq!(face.free_before(&flush), depth, "from {from} to {to}");
    }
    // A line that only runs along the band's edge is beside it.
    let edge = Convex::line(Point::new(500.0, 100.0), Point::new(500.0, 900.0));
    assert_eq!(face.free_before(&edge), None);
}

#[test]
fn a_slide_overlaps_from_contact_to_contact() {
    // Squares of side 10, 30 apart: contact at 20 and at 40, each moved inward by the tolerance.
    for turn in TURNS {
        let moving = turned(7.0, 9.0, 10.0, 10.0, turn);
        let fixed = moving.moved(moving.across() * 30.0).convex();
        let stretch = slide_overlap(&moving.convex(), &fixed, moving.across());
        let stretch = stretch.expect("it runs into it");
        near(stretch.from, 20.01, 1e-9);
        near(stretch.to, 39.99, 1e-9);
        assert!(
            !stretch.holds(20.0) && stretch.holds(20.1),
            "open at its ends"
        );
        let back = slide_overlap(&moving.convex(), &fixed, -moving.across());
        let back = back.expect("it lies behind");
        near(back.from, -39.99, 1e-9);
        near(back.to, -20.01, 1e-9);
        let aside = slide_overlap(&moving.convex(), &fixed, moving.up());
        assert_eq!(aside, None, "it passes by at {turn} degrees");
    }
}

#[test]
fn a_slanted_slide_overlaps_while_both_axes_do() {
    // Three across to four up. To a square 30 right and 40 up: across 20.01 < 0.6 t < 39.99, up 30.01 < 0.8 t < 49.99, so
    // 37.5125 < t < 62.4875. To one straight to the right the two stretches are apart.
    let moving = upright(-5.0, -5.0, 10.0, 10.0);
    let way = Point::new(0.6, 0.8);
    let stretch = slide_overlap(&moving, &upright(25.0, 35.0, 10.0, 10.0), way);
    let stretch = stretch.expect("it runs into it");
    near(stretch.from, 37.5125, 1e-9);
    near(stretch.to, 62.4875, 1e-9);
    assert_eq!(
        slide_overlap(&moving, &upright(25.0, -5.0, 10.0, 10.0), way),
        None
    );
    // A square of side 10 on its corner at (30, 9), half diagonal 7.0711. The upper right corner (5 + t, 5) meets its side
    // where (25 - t) + 4 = 7.0711, at t = 21.9289; the upper left one leaves where (t - 35) + 4 = 7.0711, at 38.0711. The
    // tolerance is measured square to the side: 0.01 * sqrt(2) = 0.0141 along the slide.
    let slanted = diamond(30.0, 9.0, 50.0_f64.sqrt());
    let stretch = slide_overlap(&moving, &slanted, Point::X).expect("it clips it");
    near(stretch.from, 21.9430, 1e-4);
    near(stretch.to, 38.0570, 1e-4);
}

#[test]
fn an_outline_that_meets_itself_is_found() {
    let outline = |corners: &[(f64, f64)]| {
        let points = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        Polygon::new(points).expect("three corners or more")
    };
    let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
    assert_eq!(outline(&square).crossing(), None);
    let ell = [
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.0),
        (4.0, 4.0),
        (4.0, 10.0),
        (0.0, 10.0),
    ];
    assert_eq!(outline(&ell).crossing(), None);
    // The first side and the third cross at (5, 5).
    let bow = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)];
    assert_eq!(outline(&bow).crossing(), Some((0, 2)));
    // A corner that comes down to the first side and touches it.
    let touches = [
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 10.0),
        (5.0, 0.0),
        (0.0, 10.0),
    ];
    assert_eq!(outline(&touches).crossing(), Some((0, 2)));
    let short_of_it = [
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 10.0),
        (5.0, 0.02),
        (0.0, 10.0),
    ];
    assert_eq!(outline(&short_of_it).crossing(), None);
    // A side that runs back over the one before, one of no length, and a last side that runs over the first.
    let back = [(0.0, 0.0), (10.0, 0.0), (5.0, 0.0), (5.0, 10.0)];
    assert_eq!(outline(&back).crossing(), Some((0, 1)));
    let twice = [(0.0, 0.0), (10.0, 0.0), (10.0, 0.0), (5.0, 10.0)];
    assert_eq!(outline(&twice).crossing(), Some((0, 1)));
    let over_first = [
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, -10.0),
        (30.0, -10.0),
        (20.0, 0.0),
    ];
    assert_eq!(outline(&over_first).crossing(), Some((0, 4)));
    // A straight corner is no fold.
    let straight = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0)];
    assert_eq!(outline(&straight).crossing(), None);
}

#[test]
fn an_outline_has_area_inside_and_outer_faces() {
    let corners = [
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.0),
        (4.0, 4.0),
        (4.0, 10.0),
        (0.0, 10.0),
    ];
    let points: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    let ell = Polygon::new(points.clone()).expect("six corners");
    // 10 by 4 and 4 by 6: 64; walked the other way it counts below zero.
    near(ell.area(), 64.0, 1e-12);
    let reversed = Polygon::new(points.iter().rev().copied().collect()).expect("six corners");
    near(reversed.area(), -64.0, 1e-12);
    assert!(ell.contains(Point::new(8.0, 2.0)), "in the foot");
    assert!(ell.contains(Point::new(2.0, 8.0)), "in the stem");
    assert!(!ell.contains(Point::new(8.0, 8.0)), "in the notch");
    assert!(
        !ell.contains(Point::new(-1.0, 4.0)),
        "level with a corner, outside"
    );
    assert_eq!(
        ell.side(5),
        Some((points[5], points[0])),
        "the last closes it"
    );
    assert_eq!(ell.side(6), None);
    // Walls 1, 2, 3 and 4 thick below, right, above, left of 100 by 50.
    let room = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)];
    let room = Polygon::new(room.map(|(x, y)| Point::new(x, y)).to_vec()).expect("four corners");
    let faces = room.outset(|k| [1.0, 2.0, 3.0, 4.0][k]);
    let expected = [(-4.0, -1.0), (102.0, -1.0), (102.0, 53.0), (-4.0, 53.0)];
    for (face, (x, y)) in faces.iter().zip(expected) {
        near(face.distance(Point::new(x, y)), 0.0, 1e-9);
    }
    assert_eq!(faces.len(), 4);
}

#[test]
fn hulls_and_cuts_keep_what_they_should() {
    let p = Point::new;
    let cloud = [
        p(0.0, 0.0),
        p(10.0, 0.0),
        p(5.0, 1.0),
        p(10.0, 10.0),
        p(0.0, 10.0),
        p(5.0, 0.0),
    ];
    let hull = Convex::hull(&cloud).expect("not all the same");
    assert_eq!(
        hull.points().len(),
        4,
        "the inner and the straight point are gone"
    );
    near(area(&hull), 100.0, 1e-12);
    assert_eq!(Convex::hull(&[Point::X, Point::X]), None);
    let line = Convex::hull(&[p(0.0, 0.0), p(2.0, 2.0), p(1.0, 1.0)]).expect("a line");
    assert_eq!(line.points().len(), 2);
    // A square of side 10 cut from (5, 0) along the diagonal loses a corner of 5 * 5 / 2.
    let square = upright(0.0, 0.0, 10.0, 10.0);
    let cut = square.cut(p(5.0, 0.0), p(-1.0, 1.0)).expect("most is left");
    near(area(&cut), 87.5, 1e-9);
    assert_eq!(square.cut(p(11.0, 0.0), Point::X), None, "nothing is left");
    assert_eq!(
        diamond(0.0, 0.0, 1.0).cut(Point::X, Point::X),
        None,
        "a corner"
    );
    assert_eq!(Convex::new(vec![p(0.0, f64::NAN), Point::X]), None);
    assert_eq!(Polygon::new(vec![Point::ZERO, Point::X]), None);
    assert_eq!(Bounds::of(&[]), None);
}

/// Any rectangle of the size of a rack, at a quarter turn or any other.
fn any_oblong() -> impl Strategy<Value = Oblong> {
    let turn = prop_oneof![
        Just(0.0),
        Just(90.0),
        Just(180.0),
        Just(270.0),
        0.0..360.0_f64
    ];
    (
        -1500.0..1500.0_f64,
        -1500.0..1500.0_f64,
        10.0..2000.0_f64,
        10.0..900.0_f64,
        turn,
    )
        .prop_map(|(x, y, width, depth, turn)| turned(x, y, width, depth, turn))
}

fn many() -> ProptestConfig {
    ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Places on the outline, `each` to a side.
fn outline_of(shape: &Convex, each: u16) -> Vec<Point> {
    let share = |k: u16| f64::from(k) / f64::from(each);
    shape
        .sides()
        .flat_map(|(a, b)| (0..each).map(move |k| a + (b - a) * share(k)))
        .collect()
}

proptest! {
    #![proptest_config(many())]

    #[test]
    fn separation_and_distance_are_the_same_both_ways(a in any_oblong(), b in any_oblong()) {
        let (a, b) = (a.convex(), b.convex());
        prop_assert!((a.separation(&b) - b.separation(&a)).abs() < 1e-9, "separation");
        prop_assert!((a.distance(&b) - b.distance(&a)).abs() < 1e-9, "distance");
        prop_assert!(a.overlaps(&b) == b.overlaps(&a), "overlap");
        prop_assert!(a.overlaps(&b) == a.overlap_depth(&b).is_some(), "depth");
    }

    #[test]
    fn shapes_moved_alike_stay_as_far_apart(
        a in any_oblong(), b in any_oblong(), dx in -9000.0..9000.0_f64, dy in -9000.0..9000.0_f64,
    ) {
        let by = Point::new(dx, dy);
        let (p, q) = (a.convex(), b.convex());
        prop_assert!((p.separation(&q) - p.moved(by).separation(&q.moved(by))).abs() < 1e-6, "separation");
        prop_assert!((p.distance(&q) - p.moved(by).distance(&q.moved(by))).abs() < 1e-6, "distance");
        // Moving the shape or the rectangle it comes from is the same.
        let (one, other) = (p.moved(by), a.moved(by).convex());
        for (c, d) in one.points().iter().zip(other.points()) {
            prop_assert!(c.distance(*d) < 1e-9, "{} is not {}", c, d);
        }
        let box_of = Bounds::of(one.points()).expect("four corners");
        prop_assert!((box_of.low - one.bounds().low).length() < 1e-9, "the box moves too");
        prop_assert!((box_of.high - one.bounds().high).length() < 1e-9, "the box moves too");
    }

    #[test]
    fn distance_is_never_less_than_a_gap_nor_more_than_a_sample(a in any_oblong(), b in any_oblong()) {
        let (p, q) = (a.convex(), b.convex());
        let distance = p.distance(&q);
        prop_assert!(distance >= p.bounds().gap(q.bounds()) - 1e-9, "the boxes' gap");
        prop_assert!(distance >= p.separation(&q) - 1e-9, "the separation");
        prop_assert!((distance > 0.0) == (p.separation(&q) > 0.0), "apart or not");
        if distance > 0.0 {
            // Places 1/64 of a side apart: the nearest two are off by at most half of such a step on either outline.
            let (on_p, on_q) = (outline_of(&p, 64), outline_of(&q, 64));
            let sampled = on_p.iter()
                .flat_map(|c| on_q.iter().map(move |d| c.distance(*d)))
                .fold(f64::INFINITY, f64::min);
            let step = (a.width().max(a.depth()) + b.width().max(b.depth())) / 128.0;
            prop_assert!(distance <= sampled + 1e-9, "{} over the sampled {}", distance, sampled);
            prop_assert!(sampled <= distance + step, "{} under the sampled {}", distance, sampled);
        }
    }

    #[test]
    fn no_slide_shorter_than_the_depth_parts_two_shapes(a in any_oblong(), b in any_oblong()) {
        let (p, q) = (a.convex(), b.convex());
        if let Some(depth) = p.overlap_depth(&q) {
            for k in 0..24_u8 {
                let way = Point::from_angle(f64::from(k) * std::f64::consts::TAU / 24.0);
                prop_assert!(p.moved(way * (depth - 2.0 * TOLERANCE_MM).max(0.0)).overlaps(&q), "too short");
            }
            let ways = [a.across(), a.up(), b.across(), b.up()];
            let parts = ways.iter()
                .flat_map(|w| [*w, -*w])
                .any(|w| !p.moved(w * depth).overlaps(&q));
            prop_assert!(parts, "no slide of {} parts them", depth);
        }
    }

    #[test]
    fn a_slide_overlaps_inside_its_stretch_and_nowhere_else(
        a in any_oblong(), b in any_oblong(), way in 0.0..std::f64::consts::TAU,
    ) {
        let (p, q, way) = (a.convex(), b.convex(), Point::from_angle(way));
        let stretch = slide_overlap(&p, &q, way);
        for k in -60..=60_i8 {
            let t = f64::from(k) * 100.0;
            let overlaps = p.moved(way * t).overlaps(&q);
            let near_an_end = stretch.is_some_and(|s| (s.from - t).abs() < 1e-6 || (s.to - t).abs() < 1e-6);
            let says = stretch.is_some_and(|s| s.holds(t));
            prop_assert!(near_an_end || overlaps == says, "at {}: {} but {:?}", t, overlaps, stretch);
        }
    }

    #[test]
    fn the_two_sides_of_a_cut_make_up_the_whole(
        a in any_oblong(), x in -800.0..800.0_f64, y in -400.0..400.0_f64, way in 0.0..std::f64::consts::TAU,
    ) {
        let (shape, at, normal) = (a.convex(), a.at(x, y), Point::from_angle(way));
        let part = |normal: Point| shape.cut(at, normal).map_or(0.0, |s| area(&s));
        let sum = part(normal) + part(-normal);
        prop_assert!((sum - a.width() * a.depth()).abs() < 1e-3, "{} is not all", sum);
    }
}

#[test]
fn a_list_of_boxes_finds_what_asking_each_finds() {
    // Boxes at places that look like chance, and a beam across them all, which is kept apart.
    let odd = |k: u32, step: u32, most: u32| f64::from(k * step % most);
    let mut boxes: Vec<Bounds> = (0..200)
        .map(|k| {
            let low = Point::new(odd(k, 7919, 10_000), odd(k, 104_729, 8000));
            let size = Point::new(300.0 + odd(k, 31, 900), 300.0 + odd(k, 17, 600));
            Bounds {
                low,
                high: low + size,
            }
        })
        .collect();
    boxes.push(Bounds {
        low: Point::new(0.0, 4000.0),
        high: Point::new(11_000.0, 4250.0),
    });
    let list = BoxList::new(boxes.iter().copied());
    let mut met = 0;
    for (to, gap) in boxes
        .iter()
        .zip([0.0, 0.01, 150.0, 1000.0, -5.0].into_iter().cycle())
    {
        let each = (0..boxes.len()).filter(|k| boxes[*k].gap(to) <= gap);
        let each: Vec<usize> = each.collect();
        met += each.len();
        assert_eq!(list.near(to, gap), each, "within {gap} of {to:?}");
    }
    assert!(met > 1000, "only {met} neighbours were asked about");
    assert!(BoxList::default().near(&boxes[0], 100.0).is_empty());
}
