//! Reach of a standing person against published figures of ergonomics teaching texts and ANSUR II.

mod near;

use aislewright::handbook::reach::{
    CIVILIAN_GRIP_HEIGHT_MM, FORWARD_REACH, GRIP_HEIGHT, Measure, SHOULDER_BREADTH,
    SHOULDER_HEIGHT, STATURE, arm_mm, depth_mm, height_mm, normal_percentile, share_at_least,
};
use proptest::prelude::{prop_assert, proptest};

use near::assert_near;

/// Inputs published (teaching text): shoulder 1330 mm, arm 580 mm, 420 mm out. By hand: √(580² − 420²) is 400.0 mm.
#[test]
fn height_over_a_shelf_of_some_depth() {
    assert_near(height_mm(1330.0, 580.0, 420.0), 1730.0, 0.05);
    assert_near(depth_mm(1330.0, 580.0, 1730.0), 420.0, 0.05);
    assert_near(depth_mm(1330.0, 580.0, 930.0), 420.0, 0.05);
}

#[test]
fn straight_up_is_the_whole_arm_and_straight_ahead_none() {
    assert_near(height_mm(1330.0, 580.0, 0.0), 1910.0, 1e-9);
    assert_near(height_mm(1330.0, 580.0, 580.0), 1330.0, 1e-9);
    assert_near(depth_mm(1330.0, 580.0, 1330.0), 580.0, 1e-9);
    assert_near(depth_mm(1330.0, 580.0, 1910.0), 0.0, 1e-9);
    assert_near(arm_mm(1910.0, 1330.0), 580.0, 0.0);
}

/// Published (teaching text): women's overhead grip 1910 mm, deviation 85 mm: 5th percentile 1770 mm, and 76 per cent of
/// them reach 1850 mm. Men's forward grip 800 mm, deviation 38 mm: 5th percentile 737.5 mm.
#[test]
fn percentiles_of_the_teaching_text() {
    assert_near(normal_percentile(0.05, 1910.0, 85.0), 1770.0, 0.5);
    assert_near(Some(CIVILIAN_GRIP_HEIGHT_MM), 1770.0, 0.0);
    // The safer figure: 5 in 100 of those women fall short of it, and 15 in 100 of the soldiers' figure.
    assert_near(
        share_at_least(CIVILIAN_GRIP_HEIGHT_MM, 1910.0, 85.0),
        0.95,
        1e-3,
    );
    assert_near(
        share_at_least(GRIP_HEIGHT.women.p5_mm, 1910.0, 85.0),
        0.847,
        1e-3,
    );
    assert_near(share_at_least(1850.0, 1910.0, 85.0), 0.7599, 6e-5);
    assert_near(normal_percentile(0.05, 800.0, 38.0), 737.5, 0.05);
}

/// Published in any table of the normal distribution: z of 0.95 is 1.645, of 0.975 1.960, of 0.5 0.
#[test]
fn normal_table() {
    for (share, z) in [
        (0.5, 0.0),
        (0.95, 1.644_854),
        (0.975, 1.959_964),
        (0.05, -1.644_854),
    ] {
        assert_near(normal_percentile(share, 0.0, 1.0), z, 6e-7);
    }
    assert_near(share_at_least(1.0, 0.0, 1.0), 0.158_655, 6e-7);
}

/// ANSUR II means and deviations against the percentiles taken over: a body measure is close to normal, so the 5th and
/// the 95th lie within 10 mm of mean ± 1.645 deviations.
#[test]
fn percentiles_agree_with_mean_and_deviation() {
    let table = [
        (STATURE, (1628.5, 64.2), (1756.2, 68.6)),
        (SHOULDER_HEIGHT, (1335.1, 58.1), (1440.7, 63.3)),
        (FORWARD_REACH, (744.0, 42.8), (811.9, 43.7)),
        (GRIP_HEIGHT, (1972.9, 94.1), (2148.6, 100.1)),
        (SHOULDER_BREADTH, (450.3, 28.7), (510.4, 32.5)),
    ];
    for (measure, women, men) in table {
        let Measure { name, source, .. } = measure;
        assert!(source.contains("ANSUR II"), "{name} names its source");
        for (group, (mean, deviation)) in [(measure.women, women), (measure.men, men)] {
            assert_near(normal_percentile(0.05, mean, deviation), group.p5_mm, 10.0);
            assert_near(Some(mean), group.p50_mm, 6.0);
            assert_near(normal_percentile(0.95, mean, deviation), group.p95_mm, 10.0);
        }
    }
}

#[test]
fn questions_outside_the_domain_have_no_answer() {
    assert_eq!(height_mm(1330.0, 580.0, 580.1), None);
    assert_eq!(height_mm(1330.0, 580.0, -1.0), None);
    assert_eq!(height_mm(1330.0, 0.0, 0.0), None);
    assert_eq!(height_mm(f64::NAN, 580.0, 100.0), None);
    assert_eq!(depth_mm(1330.0, 580.0, 1910.1), None);
    assert_eq!(depth_mm(1330.0, 580.0, f64::NAN), None);
    assert_eq!(arm_mm(1300.0, 1330.0), None);
    assert_eq!(share_at_least(1.0, 0.0, 0.0), None);
    for share in [0.0, 1.0, f64::NAN] {
        assert_eq!(normal_percentile(share, 0.0, 1.0), None);
    }
    assert_eq!(normal_percentile(0.5, 0.0, f64::NAN), None);
}

proptest! {
    #[test]
    fn depth_undoes_height(shoulder_mm in 1100.0..1600.0_f64, arm_mm in 400.0..800.0_f64, share in 0.0..=1.0_f64) {
        let out_mm = share * arm_mm;
        let height = height_mm(shoulder_mm, arm_mm, out_mm).unwrap();
        let back_mm = depth_mm(shoulder_mm, arm_mm, height).unwrap();
        // Near the top a hair of height is much depth, so the comparison is of squares.
        prop_assert!((back_mm * back_mm - out_mm * out_mm).abs() < 1e-5, "{back_mm} {out_mm}");
    }

    #[test]
    fn deeper_is_lower(out_mm in 0.0..300.0_f64, more_mm in 1.0..280.0_f64) {
        let near = height_mm(1330.0, 580.0, out_mm).unwrap();
        let far = height_mm(1330.0, 580.0, out_mm + more_mm).unwrap();
        prop_assert!(far < near, "{far} {near}");
    }

    #[test]
    fn percentile_and_share_are_inverse(share in 0.001..0.999_f64) {
        let value = normal_percentile(share, 1910.0, 85.0).unwrap();
        let back = 1.0 - share_at_least(value, 1910.0, 85.0).unwrap();
        prop_assert!((back - share).abs() < 1e-9, "{back} {share}");
    }
}
