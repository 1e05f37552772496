//! Shelf boards against published formulas and exercises; numbers that were worked out by hand say so.

mod near;

use aislewright::handbook::shelf_beam::{
    AFTER_LONG_LOADING, Board, GRAVITY, centre_sag_mm, end_slope_of_sag, second_moment_mm4,
    spread_sag_mm, two_points_sag_mm,
};
use proptest::prelude::{prop_assert, proptest};

use near::assert_near;

/// A board with a mass spread over it.
fn spread(mass_kg: f64, length_mm: f64, width_mm: f64) -> Board {
    Board {
        length_mm,
        width_mm,
        thickness_mm: 18.0,
        spread_n_mm: mass_kg * GRAVITY / length_mm,
        points: Vec::new(),
    }
}

fn sag(board: &Board, modulus_mpa: f64) -> Option<f64> {
    board.bent(modulus_mpa).map(|b| b.sag_mm)
}

/// Formula and modulus of the European MDF industry's guide, d = 9.81 · 5 W L³ / (32 E b t³); the numbers by hand.
#[test]
fn mdf_shelf_of_the_industrys_guide() {
    let by_guide =
        |w: f64, l: f64, e: f64| 9.81 * 5.0 * w * l.powi(3) / (32.0 * e * 300.0 * 18_f64.powi(3));
    assert_near(Some(by_guide(25.0, 800.0, 2500.0)), 4.486, 0.001);
    assert_near(sag(&spread(25.0, 800.0, 300.0), 2500.0), 4.486, 0.001);
    assert_near(sag(&spread(30.0, 1000.0, 300.0), 2500.0), 10.513, 0.001);
    // The guide: up to half as much again under long loading.
    assert_near(Some(4.486 * AFTER_LONG_LOADING), 6.73, 0.005);
}

// By hand: a board 0.4 m wide and 18 mm thick over 0.8 m at 3.59 GPa (Wood Handbook FPL-GTR-282, MDF), 30 kg three ways.
#[test]
fn two_printers_on_a_board_three_ways() {
    let moment = second_moment_mm4(400.0, 18.0);
    assert_near(moment, 194_400.0, 1e-6);
    let moment = moment.unwrap();
    let load = 30.0 * GRAVITY;
    assert_near(
        spread_sag_mm(load / 800.0, 800.0, 3590.0, moment),
        2.811,
        0.0005,
    );
    assert_near(centre_sag_mm(load, 800.0, 3590.0, moment), 4.498, 0.0005);
    assert_near(
        two_points_sag_mm(load * 0.5, 200.0, 800.0, 3590.0, moment),
        3.092,
        0.0005,
    );
    // Plywood at the lower end of the Wood Handbook's range.
    assert_near(
        spread_sag_mm(load / 800.0, 800.0, 6960.0, moment),
        1.450,
        0.0005,
    );
    // The same from the board with any loads.
    let board = |points: &[(f64, f64)]| Board {
        points: points.to_vec(),
        ..spread(0.0, 800.0, 400.0)
    };
    assert_near(sag(&spread(30.0, 800.0, 400.0), 3590.0), 2.811, 0.0005);
    assert_near(sag(&board(&[(400.0, load)]), 3590.0), 4.498, 0.0005);
    let quarters = board(&[(200.0, load * 0.5), (600.0, load * 0.5)]);
    assert_near(sag(&quarters, 3590.0), 3.092, 0.0005);
}

// By hand: M = w L²/8 = 367.875 N/m · 0.64 m² / 8 = 29.43 N m; 6 M / (b t²) = 1.3625 MPa.
#[test]
fn bending_stress() {
    let board = spread(30.0, 800.0, 400.0);
    assert_near(board.moment_n_mm(), 29_430.0, 0.01);
    assert_near(board.stress_mpa(), 1.3625, 1e-5);
    // P L/4 under a load in the middle; P a under two.
    let centre = Board {
        points: vec![(400.0, 100.0)],
        ..spread(0.0, 800.0, 400.0)
    };
    assert_near(centre.moment_n_mm(), 20_000.0, 1e-6);
}

// Published exercise: a steel beam of 6 m, 2 kN/m, E 200 GPa, I 8e-6 m⁴ sags 21.09 mm.
#[test]
fn published_exercise_of_a_steel_beam() {
    assert_near(spread_sag_mm(2.0, 6000.0, 200_000.0, 8e6), 21.09, 0.005);
}

/// Textbook: w L³ / (24 E I) at the ends, which is 16 d / (5 L).
#[test]
fn end_slope() {
    let bent = spread(30.0, 800.0, 400.0).bent(3590.0).unwrap();
    assert_near(
        Some(bent.end_slope),
        367.875e-3 * 800_f64.powi(3) / (24.0 * 3590.0 * 194_400.0),
        1e-9,
    );
    assert_near(end_slope_of_sag(bent.sag_mm, 800.0), bent.end_slope, 1e-9);
    // Textbook: P L² / (16 E I) under a load in the middle.
    let centre = Board {
        points: vec![(400.0, 100.0)],
        ..spread(0.0, 800.0, 400.0)
    };
    let slope = centre.bent(3590.0).map(|b| b.end_slope);
    assert_near(
        slope,
        100.0 * 800.0 * 800.0 / (16.0 * 3590.0 * 194_400.0),
        1e-9,
    );
}

/// Limiting cases: no load does nothing, a load over a support neither.
#[test]
fn nothing_bends_without_a_load_between_the_supports() {
    let at_ends = Board {
        points: vec![(0.0, 500.0), (800.0, 500.0)],
        ..spread(0.0, 800.0, 400.0)
    };
    for board in [spread(0.0, 800.0, 400.0), at_ends] {
        let bent = board.bent(2200.0).unwrap();
        assert!(
            bent.sag_mm.abs() < 1e-12 && bent.end_slope.abs() < 1e-12,
            "{bent:?}"
        );
        assert_near(board.stress_mpa(), 0.0, 1e-12);
    }
}

#[test]
fn questions_outside_the_domain_have_no_answer() {
    assert_eq!(second_moment_mm4(0.0, 18.0), None);
    assert_eq!(second_moment_mm4(400.0, f64::NAN), None);
    assert_eq!(spread_sag_mm(1.0, 0.0, 2200.0, 1e5), None);
    assert_eq!(centre_sag_mm(-1.0, 800.0, 2200.0, 1e5), None);
    assert_eq!(two_points_sag_mm(1.0, 500.0, 800.0, 2200.0, 1e5), None);
    assert_eq!(spread(10.0, 800.0, 400.0).bent(0.0), None);
    let off = Board {
        points: vec![(900.0, 1.0)],
        ..spread(0.0, 800.0, 400.0)
    };
    assert_eq!(off.bent(2200.0), None);
    assert_eq!(off.moment_n_mm(), None);
    assert_eq!(end_slope_of_sag(1.0, 0.0), None);
}

proptest! {
    /// Maxwell and superposition: loads add up, in any order, and more load never sags less.
    #[test]
    fn loads_add_up(a in 1.0..799.0_f64, b in 1.0..799.0_f64, p in 1.0..500.0_f64, q in 1.0..500.0_f64) {
        let board = |points: &[(f64, f64)]| Board { points: points.to_vec(), ..spread(5.0, 800.0, 400.0) };
        let both = sag(&board(&[(a, p), (b, q)]), 2200.0).unwrap();
        let turned = sag(&board(&[(800.0 - b, q), (800.0 - a, p)]), 2200.0).unwrap();
        let one = sag(&board(&[(a, p)]), 2200.0).unwrap();
        prop_assert!((both - turned).abs() < 1e-9, "seen from the other end: {both} {turned}");
        prop_assert!(both >= one * (1.0 - 1e-5), "{both} {one}");
        let other = sag(&board(&[(b, q)]), 2200.0).unwrap();
        prop_assert!(both <= (one + other) * (1.0 + 1e-5), "{both} {one} {other}");
    }

    /// No place of a load sags more than the middle.
    #[test]
    fn the_middle_is_the_worst_place(a in 0.0..800.0_f64) {
        let at = |x: f64| Board { points: vec![(x, 100.0)], ..spread(0.0, 800.0, 400.0) };
        prop_assert!(sag(&at(a), 2200.0).unwrap() <= sag(&at(400.0), 2200.0).unwrap() + 1e-12);
        prop_assert!(at(a).stress_mpa().unwrap() <= at(400.0).stress_mpa().unwrap() + 1e-12);
    }
}
