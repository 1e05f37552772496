//! A rectangle carried round a corner against the calculus: the longest ladder past a right-angled corner, and the longest
//! board.

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on should stop there"
)]

use aislewright::geometry::{Carry, Convex, Entry, Oblong, Point, Polygon};

/// Legs of the corner, in millimetres: long enough that only the corner stops anything.
const LEG: f64 = 3600.0;
const SPARE: f64 = 20.0;

/// Two corridors that meet at a right angle, `a` and `b` wide, entered from the end of the first.
fn corner(a: f64, b: f64) -> (Polygon, Entry) {
    let p = Point::new;
    let outline = vec![
        p(0.0, 0.0),
        p(a, 0.0),
        p(a, LEG),
        p(LEG, LEG),
        p(LEG, LEG + b),
        p(0.0, LEG + b),
    ];
    let entry = Entry {
        middle: p(a * 0.5, 0.0),
        inward: Point::Y,
        clear_mm: a,
    };
    (Polygon::new(outline).expect("six finite corners"), entry)
}

/// True where a board of that length and width gets round the corner, to lie along the second corridor.
fn gets_round((a, b): (f64, f64), length: f64, width: f64) -> bool {
    let (floor, entry) = corner(a, b);
    let carry = Carry::of(&floor, entry, &[], (length, width), SPARE);
    assert!(
        (carry.spare_mm() - SPARE).abs() < 1e-9,
        "searched as finely as asked"
    );
    let end = Point::new(LEG - length * 0.5 - 50.0, LEG + b * 0.5);
    carry.puts(&Oblong::new(end, length, width, (0.0, 1.0)))
}

/// The longest board of that width: with its outer side from wall to wall at an angle t, the inner corner is
/// a sin t + b cos t - L sin t cos t from it, which must be the width at least at every t. For a width of 0 this is the
/// textbook's longest ladder, (a^(2/3) + b^(2/3))^(3/2).
fn longest(a: f64, b: f64, width: f64) -> f64 {
    (1..100_000)
        .map(|k| f64::from(k) / 100_000.0 * std::f64::consts::FRAC_PI_2)
        .map(|t| (a * t.sin() + b * t.cos() - width) / (t.sin() * t.cos()))
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn the_derived_length_is_the_textbooks_for_a_rod_and_the_closed_form_for_equal_corridors() {
    for (a, b) in [(1000.0, 1000.0_f64), (900.0, 1500.0), (2400.0, 800.0)] {
        let ladder = (f64::cbrt(a * a) + f64::cbrt(b * b)).powf(1.5);
        assert!((longest(a, b, 0.0) - ladder).abs() < 0.01, "{a} by {b}");
    }
    // In equal corridors the tightest angle is 45 degrees: L = 2 sqrt(2) a - 2 w. The textbook's example: 8 ft corridors,
    // 22.6 ft of ladder.
    let a = 1200.0;
    for width in [0.0, 200.0, 400.0] {
        let closed = 2.0 * 2.0_f64.sqrt() * a - 2.0 * width;
        assert!((longest(a, a, width) - closed).abs() < 0.01, "{width}");
    }
}

/// What is longer than the longest never gets round. What gets round by the calculus with the search's steps all round it does:
/// a true way can be followed on the lattice within half a step across, half a step along and half a turn, and by steps to the
/// side where the way goes slanting: together less than four times the spare room, beside the spare room itself.
#[test]
fn the_search_brackets_the_longest_board() {
    for (a, b) in [(1000.0, 1000.0), (900.0, 1300.0), (1500.0, 700.0)] {
        for width in [5.0, 200.0, 450.0] {
            let over = longest(a, b, width) + 1.0;
            assert!(
                !gets_round((a, b), over, width),
                "{over} by {width} in {a}, {b}"
            );
            let grown = width + 10.0 * SPARE;
            let under = longest(a, b, grown) - 10.0 * SPARE;
            if under > width {
                assert!(
                    gets_round((a, b), under, width),
                    "{under} by {width} in {a}, {b}"
                );
            }
        }
    }
}

#[test]
fn an_entry_is_passed_end_on_or_not_at_all() {
    let p = Point::new;
    let corners = vec![
        p(0.0, 0.0),
        p(4000.0, 0.0),
        p(4000.0, 3000.0),
        p(0.0, 3000.0),
    ];
    let floor = Polygon::new(corners).expect("four finite corners");
    let entry = |clear_mm| Entry {
        middle: p(1000.0, 0.0),
        inward: Point::Y,
        clear_mm,
    };
    let place = Oblong::new(p(3000.0, 2700.0), 1800.0, 600.0, (0.0, 1.0));
    let put = |clear, bodies: &[Convex]| {
        Carry::of(&floor, entry(clear), bodies, (1800.0, 600.0), 25.0).puts(&place)
    };
    assert!(put(800.0, &[]));
    assert!(put(600.0, &[]), "just as wide as the piece");
    assert!(!put(590.0, &[]));
    // A wall of boxes across the room, with a gap too narrow and wide enough.
    let shut = |gap: f64| {
        let body = |from: f64, to: f64| {
            Oblong::new(p(2000.0, (from + to) * 0.5), 200.0, to - from, (0.0, 1.0)).convex()
        };
        [body(0.0, 1000.0), body(1000.0 + gap, 3000.0)]
    };
    assert!(!put(800.0, &shut(500.0)));
    assert!(put(800.0, &shut(1500.0)));
    // The place itself is taken.
    assert!(!put(800.0, &[place.convex()]));
    // It fits between two others that it touches.
    let beside = [-1800.0, 1800.0_f64].map(|x| place.moved(p(x, 0.0)).convex());
    assert!(put(800.0, &beside[..1]));
    let area = Oblong::new(p(3500.0, 1500.0), 500.0, 500.0, (0.0, 1.0)).convex();
    let carry = Carry::of(&floor, entry(800.0), &[], (1800.0, 600.0), 25.0);
    assert!(carry.comes_into(&area));
    let shut = Carry::of(&floor, entry(800.0), &shut(500.0), (1800.0, 600.0), 25.0);
    assert!(!shut.comes_into(&area));
}
