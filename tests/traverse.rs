//! Traverses and least squares against worked examples of surveying textbooks, and figures that can be checked by hand.

use aislewright::geometry::Point;
use aislewright::geometry::network::{
    Held, Observation, Sighting, Unadjustable, adjust, fixes_all,
};
use aislewright::geometry::traverse::{
    Leg, angular_misclosure_deg, closure, compass_rule, courses, heading, stations,
};
use proptest::prelude::*;
use serde::Deserialize;

/// Degrees, minutes, seconds.
fn dms(d: f64, m: f64, s: f64) -> f64 {
    d + m / 60.0 + s / 3600.0
}

/// The traverse of Purdue University, ASM 215 "Surveying", "Traverse calculations" (engineering.purdue.edu/~asm215/topics/
/// travcalc.html): azimuth clockwise from north, length in feet, latitude, departure, and both balanced by the compass rule.
const PURDUE: [(f64, f64, f64, f64, f64, f64, f64); 5] = [
    (26.0, 10.0, 285.10, 255.88, 125.72, 255.96, 125.66),
    (104.0, 35.0, 610.45, -153.70, 590.78, -153.52, 590.65),
    (195.0, 30.0, 720.48, -694.28, -192.54, -694.07, -192.69),
    (358.0, 18.0, 203.00, 202.91, -6.02, 202.97, -6.07),
    (306.0, 54.0, 647.02, 388.48, -517.41, 388.66, -517.55),
];

/// As legs: x is east and y north, and a turn to the left lessens the azimuth.
fn purdue() -> Vec<Point> {
    let azimuths: Vec<f64> = PURDUE.iter().map(|r| dms(r.0, r.1, 0.0)).collect();
    let legs: Vec<Leg> = PURDUE
        .iter()
        .enumerate()
        .map(|(k, row)| Leg {
            length_mm: row.2,
            turn_deg: azimuths[k] - azimuths[(k + 1) % 5],
        })
        .collect();
    courses(90.0 - azimuths[0], &legs)
}

#[test]
fn latitudes_departures_and_precision_are_those_of_the_published_traverse() {
    let found = purdue();
    for (course, row) in found.iter().zip(PURDUE) {
        assert!(
            (course.y - row.3).abs() < 0.006,
            "latitude {course} {row:?}"
        );
        assert!(
            (course.x - row.4).abs() < 0.006,
            "departure {course} {row:?}"
        );
    }
    let closure = closure(&found);
    // The page adds rounded figures: -0.71 and +0.53, 0.89 in 2466.05, 1 in 2771.
    assert!((closure.dy_mm + 0.71).abs() < 0.015, "{closure:?}");
    assert!((closure.dx_mm - 0.53).abs() < 0.015, "{closure:?}");
    assert!((closure.length_mm - 0.89).abs() < 0.015, "{closure:?}");
    assert!((closure.perimeter_mm - 2466.05).abs() < 1e-9, "{closure:?}");
    assert!(
        (closure.one_in().unwrap() - 2771.0).abs() < 40.0,
        "{closure:?}"
    );
    // South-east: between 270 and 360 degrees from east, anticlockwise.
    let direction = closure.direction_deg().unwrap();
    assert!((direction - 306.7).abs() < 1.0, "{direction}");
}

#[test]
fn the_compass_rule_balances_the_published_traverse() {
    let balanced = compass_rule(&purdue());
    for (course, row) in balanced.iter().zip(PURDUE) {
        // Two figures rounded to 0.01 were added on the page.
        assert!(
            (course.y - row.5).abs() < 0.0151,
            "latitude {course} {row:?}"
        );
        assert!(
            (course.x - row.6).abs() < 0.0151,
            "departure {course} {row:?}"
        );
    }
    // North and east of the stations on the page, A at 10 000.00 each.
    let published = [
        (10_000.00, 10_000.00),
        (10_255.96, 10_125.66),
        (10_102.44, 10_716.31),
        (9_408.37, 10_523.62),
        (9_611.34, 10_517.55),
        (10_000.00, 10_000.00),
    ];
    let found = stations(Point::splat(10_000.0), &balanced);
    assert_eq!(found.len(), published.len(), "the start is there twice");
    for (p, (north, east)) in found.iter().zip(published) {
        assert!(
            (p.y - north).abs() < 0.02 && (p.x - east).abs() < 0.02,
            "{p}"
        );
    }
}

/// Interior angles of two pentagons among the problems of C. D. Ghilani and P. R. Wolf, "Elementary Surveying", chapter 10; the
/// misclosures follow by adding them up: 540 degrees 0' 10" and 539 degrees 59' 40".
#[test]
fn angles_miss_540_degrees_in_two_pentagons() {
    let pentagons = [
        (
            [
                (83.0, 7.0, 23.0),
                (105.0, 23.0, 1.0),
                (124.0, 56.0, 48.0),
                (111.0, 51.0, 31.0),
                (114.0, 41.0, 27.0),
            ],
            10.0,
        ),
        (
            [
                (119.0, 37.0, 10.0),
                (106.0, 12.0, 58.0),
                (104.0, 39.0, 22.0),
                (130.0, 1.0, 54.0),
                (79.0, 28.0, 16.0),
            ],
            -20.0,
        ),
    ];
    for (angles, seconds) in pentagons {
        for side in [1.0, -1.0] {
            let turns = angles.map(|(d, m, s)| side * (180.0 - dms(d, m, s)));
            let off = angular_misclosure_deg(&turns) * 3600.0;
            assert!((off - seconds).abs() < 1e-6, "{off} against {seconds}");
        }
    }
}

#[test]
fn quarter_turns_are_exact() {
    for (deg, unit) in [
        (0.0, Point::X),
        (90.0, Point::Y),
        (-90.0, -Point::Y),
        (180.0, -Point::X),
        (-180.0, -Point::X),
        (270.0, -Point::Y),
        (720.0, Point::X),
    ] {
        assert_eq!(heading(deg), unit, "{deg}");
    }
    let half = heading(30.0);
    assert!((half.y - 0.5).abs() < 1e-15, "sin 30 degrees is a half");
}

#[test]
fn what_closes_has_no_direction_and_no_ratio() {
    let square = [Leg {
        length_mm: 1000.0,
        turn_deg: -90.0,
    }; 4];
    let round = courses(90.0, &square);
    let closure = closure(&round);
    assert_eq!(
        (closure.direction_deg(), closure.one_in()),
        (None, None),
        "it closes"
    );
    assert_eq!(compass_rule(&round), round, "nothing to share out");
    assert!(
        angular_misclosure_deg(&[-90.0; 4]).abs() < 1e-12,
        "the angles close"
    );
    assert_eq!(compass_rule(&[]), [], "no leg, no correction");
}

fn distance(from: usize, to: usize, mm: f64, sigma: f64) -> Observation {
    Observation {
        what: Sighting::Distance { from, to, mm },
        sigma,
    }
}

/// The control stations of the worked examples of C. D. Ghilani, "Adjustment Computations: Spatial Data Analysis", chapters 14 and
/// 15, in feet, and a first guess of the station that is wanted.
fn control_stations() -> ([Point; 4], Vec<Held>) {
    let start = [
        Point::new(865.40, 4527.15),
        Point::new(2432.55, 2047.25),
        Point::new(2865.22, 27.15),
        Point::new(6865.0, 3725.0),
    ];
    let held = (0..3).flat_map(|k| [Held::X(k), Held::Y(k)]).collect();
    (start, held)
}

/// Ghilani, intersection by four angles of one weight: stations and angles are as printed (50 degrees 06' 50" at the first, 101
/// 30' 47" and 98 41' 17" at the second, 59 17' 01" at the third). The answer was computed apart from this crate, by another
/// program with numerical slopes: 6860.726 and 3727.475, residuals of the angles -6.46, -4.75, 5.65 and 7.37 seconds.
#[test]
fn a_station_from_four_angles_is_where_another_program_has_it() {
    let (start, held) = control_stations();
    // An angle between two sides is the turn from one onto the other, less a half turn.
    let angle = |from, at, to, d, m, s| Observation {
        what: Sighting::Turn {
            from,
            at,
            to,
            deg: dms(d, m, s) - 180.0,
        },
        sigma: 1.0 / 3600.0,
    };
    let observations = [
        angle(1, 0, 3, 50.0, 6.0, 50.0),
        angle(3, 1, 0, 101.0, 30.0, 47.0),
        angle(2, 1, 3, 98.0, 41.0, 17.0),
        angle(3, 2, 1, 59.0, 17.0, 1.0),
    ];
    let found = adjust(&start, &held, &observations).unwrap();
    let u = found.points[3];
    assert!((u.x - 6860.726).abs() < 0.0006, "{u}");
    assert!((u.y - 3727.475).abs() < 0.0006, "{u}");
    assert_eq!(found.points[..3], start[..3], "control stations stay");
    assert_eq!(found.degrees_of_freedom, 2, "four angles, two unknowns");
    for (fit, seconds) in found.fits.iter().zip([-6.46, -4.75, 5.65, 7.37]) {
        assert!(
            (fit.residual * 3600.0 - seconds).abs() < 0.006,
            "{fit:?}, {seconds}"
        );
    }
}

/// Ghilani, Example 14.2, a station from three distances: stations and distances as printed. Checked against what least squares
/// is: residuals orthogonal to both coordinates, and a greater sum of squares everywhere around.
#[test]
fn a_station_from_three_distances_has_the_least_sum_of_squares() {
    let (start, held) = control_stations();
    let measured = [6049.00, 4736.83, 5446.49];
    let observations = [0, 1, 2].map(|k| distance(k, 3, measured[k], 1.0));
    let found = adjust(&start, &held, &observations).unwrap();
    let u = found.points[3];
    let squares = |p: Point| -> f64 {
        (0..3)
            .map(|k| (p.distance(start[k]) - measured[k]).powi(2))
            .sum()
    };
    for step in 0..16 {
        let near = u + heading(f64::from(step) * 22.5) * 0.01;
        assert!(squares(near) > squares(u), "{near} fits better than {u}");
    }
    let gradient: Point = (0..3)
        .map(|k| (u - start[k]).normalize() * found.fits[k].residual)
        .sum();
    assert!(gradient.length() < 1e-6, "{gradient}");
    let shares: f64 = found.fits.iter().map(|f| f.redundancy).sum();
    assert!(
        (shares - 1.0).abs() < 1e-9,
        "redundancy numbers sum to the degrees of freedom: {shares}"
    );
    let unit = found.unit_sigma(&observations).unwrap();
    assert!(
        (unit * unit - squares(u)).abs() < 1e-9,
        "one degree of freedom"
    );
}

/// A square of 300 by 400 whose two diagonals were measured 4 too long, all weights equal. By symmetry both sides grow by
/// a share s of their length and the residuals of sides and diagonals are orthogonal to that growth:
/// 2·(300² + 400²)·s = 2·500·(4 - 500·s), so s = 4/1000 and every measurement keeps a fit that can be written down.
#[test]
fn a_rectangle_with_two_long_diagonals_grows_by_what_symmetry_says() {
    let start = [
        Point::ZERO,
        Point::new(300.0, 0.0),
        Point::new(300.0, 400.0),
        Point::new(0.0, 400.0),
    ];
    let held = [Held::X(0), Held::Y(0), Held::Y(1)];
    let observations = [
        distance(0, 1, 300.0, 2.0),
        distance(1, 2, 400.0, 2.0),
        distance(2, 3, 300.0, 2.0),
        distance(3, 0, 400.0, 2.0),
        distance(0, 2, 504.0, 2.0),
        distance(1, 3, 504.0, 2.0),
    ];
    let found = adjust(&start, &held, &observations).unwrap();
    assert_eq!(found.degrees_of_freedom, 1, "six distances, five unknowns");
    for (fit, residual) in found.fits.iter().zip([1.2, 1.6, 1.2, 1.6, -2.0, -2.0]) {
        assert!(
            (fit.residual - residual).abs() < 1e-3,
            "{fit:?}, {residual}"
        );
    }
    assert!(
        fixes_all(&found.points, &held, &observations),
        "two diagonals fix it"
    );
    assert!(
        fixes_all(&found.points, &held, &observations[..5]),
        "one is enough"
    );
    assert!(
        !fixes_all(&found.points, &held, &observations[..4]),
        "none is not"
    );
}

/// A known quadrilateral, not square, is found again from its sides and one diagonal from a start 50 off, whatever the loose
/// turns say; and with a mistake planted in one diagonal of two, that measurement stands out together with those it cannot be
/// told from.
#[test]
fn a_known_quadrilateral_is_found_again() {
    let truth = [
        Point::ZERO,
        Point::new(4000.0, 0.0),
        Point::new(4100.0, 3000.0),
        Point::new(-60.0, 3100.0),
    ];
    let held = [Held::X(0), Held::Y(0), Held::Y(1)];
    let side = |a: usize, b: usize| distance(a, b, truth[a].distance(truth[b]), 3.0);
    let mut observations: Vec<Observation> =
        vec![side(0, 1), side(1, 2), side(2, 3), side(3, 0), side(0, 2)];
    let start = [
        truth[0],
        truth[1] + Point::new(50.0, 0.0),
        truth[2] + Point::new(-50.0, 40.0),
        truth[3] + Point::new(30.0, -50.0),
    ];
    let found = adjust(&start, &held, &observations).unwrap();
    for (p, t) in found.points.iter().zip(truth) {
        assert!(p.distance(t) < 1e-6, "{p} against {t}");
    }
    assert!(
        found.fits.iter().all(|f| f.standardized.is_none()),
        "nothing checks anything"
    );
    assert_eq!(found.unit_sigma(&observations), None, "no surplus");
    observations.push(side(1, 3));
    let checked = adjust(&start, &held, &observations).unwrap();
    assert!(
        checked.fits.iter().all(|f| f.residual.abs() < 1e-6),
        "all agree"
    );
    assert!(
        checked.fits.iter().all(|f| f.redundancy > 0.01),
        "each is checked by the others"
    );
}

/// What `SciPy` found in one network; see `tests/peers/networks.py`.
#[derive(Deserialize)]
struct Network {
    start: Vec<(f64, f64)>,
    points: Vec<(f64, f64)>,
    /// What, sigma, residual, redundancy.
    observations: Vec<(Seen, f64, f64, f64)>,
}

#[derive(Deserialize)]
enum Seen {
    Distance(usize, usize, f64),
    Turn(usize, usize, usize, f64),
}

/// Walls, loose turns and diagonals of rooms with four to ten corners, one diagonal wrong: corners, residuals and redundancy numbers
/// are those that `SciPy` finds (corners within 1/320 mm, the step of lengths).
#[test]
fn rooms_are_adjusted_as_scipy_adjusts_them() {
    let networks: Vec<Network> = ron::from_str(include_str!("data/networks.ron")).unwrap();
    assert_eq!(networks.len(), 8, "all are there");
    for (n, network) in networks.iter().enumerate() {
        let start: Vec<Point> = network.start.iter().map(|p| Point::from(*p)).collect();
        let observations: Vec<Observation> = network
            .observations
            .iter()
            .map(|(seen, sigma, _, _)| match *seen {
                Seen::Distance(from, to, mm) => distance(from, to, mm, *sigma),
                Seen::Turn(from, at, to, deg) => Observation {
                    what: Sighting::Turn { from, at, to, deg },
                    sigma: *sigma,
                },
            })
            .collect();
        let held = [Held::X(0), Held::Y(0), Held::Y(1)];
        let found = adjust(&start, &held, &observations).unwrap();
        for (p, published) in found.points.iter().zip(&network.points) {
            let off = p.distance(Point::from(*published));
            assert!(off < 1.0 / 320.0, "network {n}: {p} is off by {off}");
        }
        for (fit, (_, _, residual, redundancy)) in found.fits.iter().zip(&network.observations) {
            assert!(
                (fit.residual - residual).abs() < 1e-4,
                "network {n}: {fit:?}, {residual}"
            );
            assert!(
                (fit.redundancy - redundancy).abs() < 1e-4,
                "network {n}: {fit:?}, {redundancy}"
            );
        }
    }
}

#[test]
fn what_cannot_be_adjusted_is_said() {
    let (start, held) = control_stations();
    let one = [distance(0, 3, 6049.0, 1.0)];
    let refused = |o: &[Observation]| adjust(&start, &held, o).unwrap_err();
    assert_eq!(
        refused(&one),
        Unadjustable::TooFew,
        "one distance for two unknowns"
    );
    assert_eq!(refused(&[]), Unadjustable::TooFew, "none at all");
    for bad in [
        distance(0, 9, 6049.0, 1.0),
        distance(3, 3, 6049.0, 1.0),
        distance(0, 3, f64::NAN, 1.0),
        distance(0, 3, 6049.0, 0.0),
    ] {
        assert_eq!(refused(&[bad]), Unadjustable::BadInput, "{bad:?}");
    }
}

proptest! {
    #[test]
    fn the_compass_rule_closes_every_traverse(
        legs in prop::collection::vec((1.0..10_000.0_f64, -180.0..180.0_f64), 1..30),
        first in 0.0..360.0_f64,
    ) {
        let legs: Vec<Leg> = legs
            .into_iter()
            .map(|(length_mm, turn_deg)| Leg { length_mm, turn_deg })
            .collect();
        let raw = courses(first, &legs);
        let open = closure(&raw);
        let closed = closure(&compass_rule(&raw));
        prop_assert!(closed.length_mm < 1e-6 * open.perimeter_mm, "{:?}", closed);
        let walked = stations(Point::ZERO, &raw);
        let end = walked.last().copied().unwrap();
        prop_assert!((end - Point::new(open.dx_mm, open.dy_mm)).length() < 1e-6, "{end}");
    }

    #[test]
    fn distances_of_a_real_figure_have_no_residuals(
        shift in prop::collection::vec((-400.0..400.0_f64, -400.0..400.0_f64), 4),
    ) {
        // A hexagon, all corners but two pushed about, all its distances measured.
        let truth: Vec<Point> = [(0.0, 0.0); 2]
            .iter()
            .chain(&shift)
            .enumerate()
            .map(|(k, (dx, dy))| heading(60.0 * k as f64) * 3000.0 + Point::new(*dx, *dy))
            .collect();
        let all = (0..6).flat_map(|a| (a + 1..6).map(move |b| (a, b)));
        let observations: Vec<Observation> = all
            .map(|(a, b)| distance(a, b, truth[a].distance(truth[b]), 3.0))
            .collect();
        let held = [Held::X(0), Held::Y(0), Held::Y(1)];
        let start: Vec<Point> = (0..6).map(|k| heading(60.0 * f64::from(k)) * 3000.0).collect();
        let found = adjust(&start, &held, &observations).unwrap();
        for (fit, o) in found.fits.iter().zip(&observations) {
            prop_assert!(fit.residual.abs() < 1e-4, "{:?} {:?}", o, fit);
        }
    }
}
