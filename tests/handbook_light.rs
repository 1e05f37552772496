//! The lumen method against published worked examples; numbers worked out by hand say so.

mod near;

use aislewright::handbook::light::{average_lux, lights_needed, room_index};
use proptest::prelude::{prop_assert, proptest};

use near::assert_near;

/// Published, a university's course: 60 m by 24 m, 200 lx, lamps of 18,000 lm, use 0.4, upkeep 0.75: 53.3 lamps, so 54.
#[test]
fn published_works_hall() {
    assert_near(
        lights_needed(200.0, 60.0 * 24.0, 18_000.0, (0.4, 0.75)),
        53.33,
        0.005,
    );
}

/// Published, a trade page: 10 m by 8 m, 300 lx, 3,200 lm, use 0.6, upkeep 0.8: 15.6, so 16.
#[test]
fn published_office() {
    assert_near(lights_needed(300.0, 80.0, 3200.0, (0.6, 0.8)), 15.6, 0.05);
}

/// By hand: 5 m by 4 m, 500 lx, 4,000 lm, use 0.6, upkeep 0.8: 5.21; 1.85 m above the plane K is 1.20; six lights give 576 lx.
#[test]
fn small_room() {
    assert_near(
        lights_needed(500.0, 20.0, 4000.0, (0.6, 0.8)),
        5.208,
        0.0005,
    );
    assert_near(room_index(5.0, 4.0, 1.85), 1.2012, 0.00005);
    assert_near(average_lux(24_000.0, 20.0, 0.6, 0.8), 576.0, 1e-9);
}

#[test]
fn what_cannot_be_has_no_answer() {
    assert_eq!(average_lux(4000.0, 0.0, 0.5, 0.8), None);
    assert_eq!(lights_needed(500.0, 20.0, 0.0, (0.5, 0.8)), None);
    assert_eq!(room_index(5.0, 4.0, 0.0), None);
    assert_eq!(average_lux(f64::NAN, 20.0, 0.5, 0.8), None);
}

proptest! {
    /// As many lights as are needed give the illuminance that asked for them.
    #[test]
    fn the_two_ways_round_agree(
        lux in 50.0..1000.0_f64,
        area in 4.0..400.0_f64,
        lumens in 500.0..20_000.0_f64,
        use_share in 0.2..0.9_f64,
        upkeep in 0.5..1.0_f64,
    ) {
        let n = lights_needed(lux, area, lumens, (use_share, upkeep)).unwrap();
        let back = average_lux(n * lumens, area, use_share, upkeep).unwrap();
        prop_assert!((back - lux).abs() < 1e-6 * lux);
    }
}
