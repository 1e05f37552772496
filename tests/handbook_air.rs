//! The free jet of a cooling unit against figures worked by hand from the published formulas, and its limiting cases.
//!
//! Formulas: Hagström, Sirén and Zhivov (1999); Goodfellow and Kosonen (2020); Awbi (2003). The demo outlet is 0.8 m by
//! 0.07 m at 4 m/s with K1 7; its size is common practice, no source. "By hand" figures were worked outside this
//! program from those formulas, the off-axis ones by integrating the Gaussian numerically instead of calling erf.

#![expect(clippy::unwrap_used, reason = "a missing answer is a failed test")]

use std::f64::consts::PI;

mod near;

use aislewright::handbook::air_jet::{NEGLIGIBLE_ARCHIMEDES, Outlet, Temperatures};
use proptest::prelude::{Strategy, prop_assert, proptest};

use near::assert_near;

/// Room at 24 °C (297.15 K), air blown in 12 K colder.
const COLD: Temperatures = Temperatures {
    outlet_c: 12.0,
    room_c: 24.0,
};
const EVEN: Temperatures = Temperatures {
    outlet_c: 24.0,
    room_c: 24.0,
};

fn wall_unit() -> Outlet {
    Outlet::new(0.8, 0.07, 4.0, Outlet::USUAL_K1).unwrap()
}

/// By hand from K1 U0 √A0 / v, with A0 0.04 m² and U0 5 m/s.
#[test]
fn far_throw_of_a_square_outlet() {
    let outlet = Outlet::new(0.2, 0.2, 5.0, 7.0).unwrap();
    assert_near(outlet.far_throw_m(0.25), 28.0, 1e-9);
    assert_near(outlet.far_throw_m(0.50), 14.0, 1e-9);
    // The form for all zones comes to the same within one per cent so far out, and is never beyond it.
    assert_near(outlet.throw_m(0.25), 28.0, 0.28);
    assert_near(outlet.throw_m(0.50), 14.0, 0.14);
    assert!(
        outlet.throw_m(0.5) <= outlet.far_throw_m(0.5),
        "the far form is an upper bound"
    );
}

/// By hand from K1 U0 √A0 / x. At 1 m the formula would give 6.626 m/s, more than the outlet's 4 m/s.
#[test]
fn far_zone_speed_on_the_axis() {
    let outlet = wall_unit();
    assert_near(Some(outlet.flow_m3_h()), 806.4, 1e-9);
    assert_eq!(outlet.far_centreline_m_s(1.0), None);
    for (ahead_m, speed_m_s) in [(2.0, 3.313), (3.0, 2.209), (4.0, 1.657)] {
        assert_near(outlet.far_centreline_m_s(ahead_m), speed_m_s, 0.0006);
    }
}

/// By hand from U0 √(erf(h0/2cx) erf(b0/2cx)).
#[test]
fn speed_on_the_axis_in_all_zones() {
    for (ahead_m, speed_m_s) in [(0.3, 3.918), (1.0, 2.715), (2.0, 1.964), (4.0, 1.341)] {
        assert_near(wall_unit().centreline_m_s(ahead_m), speed_m_s, 0.0006);
    }
}

/// By hand: numerical integration of the Gaussian across the outlet.
#[test]
fn speed_off_the_axis_in_all_zones() {
    let table = [
        (1.0, 0.35, 0.0, 2.4437),
        (1.0, 0.6, 0.0, 0.0407),
        (2.0, 0.4, 0.0, 1.3891),
        (2.0, 0.0, 0.2, 0.9315),
    ];
    for (ahead_m, aside_m, above_m, speed_m_s) in table {
        assert_near(
            wall_unit().speed_m_s(ahead_m, aside_m, above_m),
            speed_m_s,
            6e-5,
        );
        assert_near(
            wall_unit().speed_m_s(ahead_m, -aside_m, -above_m),
            speed_m_s,
            6e-5,
        );
    }
}

#[test]
fn near_the_outlet_the_jet_is_as_wide_as_the_outlet() {
    let outlet = wall_unit();
    assert_near(outlet.speed_m_s(0.01, 0.39, 0.0), 4.0, 1e-6);
    assert_near(outlet.speed_m_s(0.01, 0.41, 0.0), 0.0, 1e-3);
    assert_near(outlet.speed_m_s(0.01, 0.0, 0.03), 4.0, 1e-2);
    // Exactly at the edge half the momentum is left: 4 √½.
    assert_near(outlet.speed_m_s(0.01, 0.4, 0.0), 2.8284, 1e-4);
}

#[test]
fn far_away_the_form_for_all_zones_becomes_the_far_one() {
    let outlet = wall_unit();
    // From the series of erf, what is missing is 1/6 of (b0/2cx)² + (h0/2cx)²; only the width counts here.
    for ahead_m in [50.0, 100.0, 400.0] {
        let far_m_s = outlet.far_centreline_m_s(ahead_m).unwrap();
        let missing = (7.0 * PI.sqrt() * 0.8 / (2.0 * ahead_m)).powi(2) / 6.0;
        assert_near(
            outlet.centreline_m_s(ahead_m),
            far_m_s * (1.0 - missing),
            2e-5 * far_m_s,
        );
    }
}

/// The jet keeps its momentum: U² summed over a plane across it is U0² A0 wherever the plane stands.
#[test]
fn momentum_is_kept() {
    let step_m = 0.02;
    for ahead_m in [0.3, 1.0, 4.0] {
        let mut momentum = 0.0;
        for (column, row) in
            (-100..=100).flat_map(|column| (-75..=75).map(move |row| (column, row)))
        {
            let (aside_m, above_m) = (f64::from(column) * step_m, f64::from(row) * step_m);
            let speed_m_s = wall_unit().speed_m_s(ahead_m, aside_m, above_m).unwrap();
            momentum += speed_m_s * speed_m_s * step_m * step_m;
        }
        assert_near(Some(momentum / (16.0 * 0.056)), 1.0, 0.001);
    }
}

/// By hand: Ar0 0.006612, the drop 0.47 (K2/K1²) Ar0 x³/A0, and the local number at 3 m.
#[test]
fn cold_air_drops() {
    let outlet = wall_unit();
    assert_near(outlet.archimedes(COLD), -0.006_612, 1e-6);
    for (ahead_m, drop_m) in [(1.0, 0.0074), (2.0, 0.0593), (3.0, 0.2002), (4.0, 0.4746)] {
        assert_near(outlet.drop_m(ahead_m, COLD), drop_m, 6e-5);
    }
    assert_near(outlet.local_archimedes(3.0, COLD), -0.142, 6e-4);
    assert!(
        outlet.local_archimedes(1.0, COLD).unwrap().abs() < NEGLIGIBLE_ARCHIMEDES,
        "one metre out the jet is hardly bent"
    );
}

#[test]
fn without_a_temperature_difference_the_jet_runs_straight() {
    let outlet = wall_unit();
    for ahead_m in [0.5, 3.0, 10.0] {
        assert_near(outlet.drop_m(ahead_m, EVEN), 0.0, 0.0);
        // tan 45° is 1.
        assert_near(outlet.axis_height_m(ahead_m, 45.0, EVEN), ahead_m, 1e-12);
    }
    assert_eq!(outlet.highest_point(15.0, EVEN), None);
}

#[test]
fn warm_air_rises_as_much_as_equally_cold_air_drops() {
    let outlet = wall_unit();
    let warm = Temperatures {
        outlet_c: 36.0,
        ..COLD
    };
    let drop_m = outlet.drop_m(3.0, COLD).unwrap();
    assert_near(outlet.drop_m(3.0, warm), -drop_m, 1e-12);
    assert_eq!(outlet.highest_point(15.0, warm), None);
}

/// By hand: blown 15 degrees up, the axis turns at x 3.295 m, y 0.589 m.
#[test]
fn cold_air_blown_up_turns_at_a_highest_point() {
    let outlet = wall_unit();
    let highest = outlet.highest_point(15.0, COLD).unwrap();
    assert_near(Some(highest.ahead_m), 3.295, 6e-4);
    assert_near(Some(highest.above_m), 0.589, 6e-4);
    assert_near(
        outlet.axis_height_m(highest.ahead_m, 15.0, COLD),
        highest.above_m,
        1e-9,
    );
    assert_eq!(outlet.highest_point(-15.0, COLD), None);
}

/// By hand: exp(−0.7 (r/(x tan 5.1°))²) at x 2 m. At 11 degrees, half the usual included angle of a free jet of 22, the
/// profile is down to 3.6 per cent.
#[test]
fn profile_across_the_jet() {
    let outlet = wall_unit();
    assert_near(outlet.cross_profile(2.0, 0.0), 1.0, 0.0);
    assert_near(outlet.cross_profile(2.0, 0.1), 0.8028, 6e-5);
    assert_near(outlet.cross_profile(2.0, 0.2), 0.4153, 6e-5);
    let edge_m = 2.0 * 11.0_f64.to_radians().tan();
    assert_near(outlet.cross_profile(2.0, edge_m), 0.036, 6e-4);
}

/// By hand: (2/7) · 3/√0.056. Near the outlet the jet carries what left it.
#[test]
fn the_jet_draws_in_room_air() {
    assert_near(wall_unit().entrainment(3.0), 3.622, 6e-4);
    assert_near(wall_unit().entrainment(0.1), 1.0, 0.0);
}

/// By hand: K2 = 7 √(1.75/2) = 6.548; at 3 m the share is 6.548 √0.056 / 3 = 0.5165, so 24 − 12 · 0.5165 = 17.80 °C.
#[test]
fn the_axis_warms_towards_the_room() {
    let outlet = wall_unit();
    assert_near(Some(outlet.k2()), 6.548, 6e-4);
    assert_near(outlet.centreline_c(3.0, COLD), 17.80, 0.006);
    assert_near(outlet.centreline_c(0.5, COLD), 12.0, 0.0);
    assert_near(outlet.centreline_c(1e6, COLD), 24.0, 1e-4);
}

/// By hand: 0.78 √(0.056 · 16 / (3.5 · 2.7)) = 0.2402 m/s.
#[test]
fn the_jet_stirs_the_room() {
    assert_near(wall_unit().mean_room_speed_m_s(3.5, 2.7, 1.0), 0.2402, 6e-5);
    // Four times the section, half the speed.
    assert_near(wall_unit().mean_room_speed_m_s(7.0, 5.4, 1.0), 0.1201, 6e-5);
}

#[test]
fn questions_outside_the_domain_have_no_answer() {
    let refused = [
        (0.0, 0.07, 4.0, 7.0),
        (0.8, -0.07, 4.0, 7.0),
        (0.8, 0.07, 0.0, 7.0),
        (0.8, 0.07, 4.0, f64::NAN),
        (0.8, f64::INFINITY, 4.0, 7.0),
        (2.0, 0.05, 4.0, 7.0), // 40 : 1 is a slot
    ];
    for (width_m, height_m, speed_m_s, k1) in refused {
        assert_eq!(Outlet::new(width_m, height_m, speed_m_s, k1), None);
    }
    let outlet = wall_unit();
    for ahead_m in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(outlet.centreline_m_s(ahead_m), None);
        assert_eq!(outlet.far_centreline_m_s(ahead_m), None);
        assert_eq!(outlet.entrainment(ahead_m), None);
        assert_eq!(outlet.cross_profile(ahead_m, 0.1), None);
        assert_eq!(outlet.drop_m(ahead_m, COLD), None);
        assert_eq!(outlet.centreline_c(ahead_m, COLD), None);
    }
    assert_eq!(outlet.speed_m_s(1.0, f64::NAN, 0.0), None);
    assert_eq!(outlet.axis_height_m(1.0, 90.0, COLD), None);
    for speed_m_s in [0.0, 4.0, -1.0, f64::NAN] {
        assert_eq!(outlet.throw_m(speed_m_s), None);
    }
    let impossible = Temperatures {
        outlet_c: 12.0,
        room_c: -300.0,
    };
    assert_eq!(outlet.archimedes(impossible), None);
    assert_eq!(outlet.mean_room_speed_m_s(0.0, 2.7, 1.0), None);
}

fn any_outlet() -> impl Strategy<Value = Outlet> {
    (0.05..1.5_f64, 0.05..0.5_f64, 0.5..10.0_f64, 3.0..8.0_f64).prop_map(
        |(width_m, height_m, speed_m_s, k1)| Outlet::new(width_m, height_m, speed_m_s, k1).unwrap(),
    )
}

proptest! {
    #[test]
    fn speed_on_the_axis_falls_with_distance(outlet in any_outlet(), near_m in 0.01..20.0_f64, more_m in 0.01..20.0_f64) {
        let near_m_s = outlet.centreline_m_s(near_m).unwrap();
        let far_m_s = outlet.centreline_m_s(near_m + more_m).unwrap();
        prop_assert!(far_m_s <= near_m_s, "{far_m_s} after {near_m_s}");
        prop_assert!(far_m_s > 0.0, "{far_m_s}");
    }

    #[test]
    fn speed_falls_away_from_the_axis_and_is_never_negative(
        outlet in any_outlet(), ahead_m in 0.01..20.0_f64, off_m in 0.0..3.0_f64, more_m in 0.0..3.0_f64,
    ) {
        let inner_m_s = outlet.speed_m_s(ahead_m, off_m, 0.0).unwrap();
        let outer_m_s = outlet.speed_m_s(ahead_m, off_m + more_m, 0.0).unwrap();
        prop_assert!((0.0..=inner_m_s + 1e-9).contains(&outer_m_s), "{outer_m_s} outside {inner_m_s}");
    }

    #[test]
    fn the_throw_is_where_the_axis_has_that_speed(outlet in any_outlet(), share in 0.02..0.95_f64) {
        let wanted_m_s = share * outlet.centreline_m_s(1e-6).unwrap();
        let throw_m = outlet.throw_m(wanted_m_s).unwrap();
        let reached_m_s = outlet.centreline_m_s(throw_m).unwrap();
        prop_assert!((reached_m_s - wanted_m_s).abs() < 1e-6, "{reached_m_s} for {wanted_m_s}");
    }
}

proptest! {
    #[test]
    fn no_air_of_a_box_is_faster_than_the_bound(
        near in 0.01..20.0_f64,
        deep in 0.0..3.0_f64,
        aside in 0.0..6.0_f64,
        above in 0.0..2.5_f64,
        (x, y, z) in (0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64),
    ) {
        let outlet = wall_unit();
        let most = outlet.at_most_m_s((near, near + deep), aside, above).unwrap();
        // A place of the box: from the near end to the far, and no nearer to the axis than the box.
        let speed = outlet.speed_m_s(near + deep * x, aside + y, above + z).unwrap();
        prop_assert!(speed <= most * (1.0 + 1e-9), "{speed} is over {most}");
    }
}

#[test]
fn the_bound_is_the_speed_itself_on_the_axis() {
    // Where the box is one place on the axis, nothing is left to bound.
    let outlet = wall_unit();
    for ahead in [0.5, 3.0, 12.0] {
        let most = outlet.at_most_m_s((ahead, ahead), 0.0, 0.0).unwrap();
        assert_near(outlet.centreline_m_s(ahead), most, 1e-12);
    }
}
