//! Springs, pads and shelves that swing, against a published calculation; numbers worked out by hand say so.

mod near;

use aislewright::handbook::vibration::{
    ISOLATES_FROM, own_hz, own_hz_of_deflection, passed_on, shelf_hz_of_sag,
};
use proptest::prelude::{prop_assert, proptest};

use near::assert_near;

/// Published calculation: 25 mm of static deflection, shaken at 25 Hz, damping 0.05: 3.15 Hz, r 7.93, 0.0206 passed on.
#[test]
fn published_calculation_of_an_isolator() {
    let own = own_hz_of_deflection(25.0);
    assert_near(own, 3.153, 0.0005);
    assert_near(Some(25.0 / own.unwrap()), 7.93, 0.005);
    assert_near(passed_on(25.0, own.unwrap(), 0.05), 0.0206, 0.00005);
}

/// By hand: a printer of 12 kg on four feet of 3 N/mm: 5.033 Hz; of 30 Hz 0.0450 are passed on at a damping of 0.1.
#[test]
fn printer_on_four_feet() {
    let own = own_hz(12.0, 12.0);
    assert_near(own, 5.033, 0.0005);
    assert_near(Some(30.0 / own.unwrap()), 5.961, 0.0015);
    assert_near(passed_on(30.0, own.unwrap(), 0.1), 0.0450, 0.00005);
}

/// By hand: 5 mm of static deflection: 7.050 Hz; at 10 Hz nearly all is passed on, at 40 Hz 0.0485.
#[test]
fn soft_pad_at_two_frequencies() {
    let own = own_hz_of_deflection(5.0);
    assert_near(own, 7.050, 0.0005);
    assert_near(passed_on(10.0, own.unwrap(), 0.1), 0.989, 0.0005);
    assert_near(passed_on(40.0, own.unwrap(), 0.1), 0.0485, 0.00005);
}

/// Derived: a shelf that sags 2.8 mm swings at about 10.6 Hz, 17.8 / √d.
#[test]
fn loaded_shelf() {
    assert_near(shelf_hz_of_sag(2.8), 10.6, 0.05);
    assert_near(shelf_hz_of_sag(1.0), 17.75, 0.005);
}

/// Limiting cases: a slow push is passed on whole, at √2 times the own frequency just all, whatever the damping.
#[test]
fn where_isolation_begins() {
    for damping in [0.0, 0.05, 0.3] {
        assert_near(passed_on(0.0, 8.0, damping), 1.0, 1e-12);
        assert_near(passed_on(8.0 * ISOLATES_FROM, 8.0, damping), 1.0, 1e-9);
    }
}

#[test]
fn questions_outside_the_domain_have_no_answer() {
    assert_eq!(own_hz(0.0, 12.0), None);
    assert_eq!(own_hz(12.0, 0.0), None);
    assert_eq!(own_hz_of_deflection(0.0), None);
    assert_eq!(own_hz_of_deflection(f64::NAN), None);
    assert_eq!(shelf_hz_of_sag(-1.0), None);
    assert_eq!(passed_on(10.0, 0.0, 0.1), None);
    assert_eq!(passed_on(10.0, 10.0, 0.0), None, "undamped at resonance");
}

proptest! {
    /// The two ways to the own frequency agree: a weight presses a spring in by m g / k.
    #[test]
    fn stiffness_and_deflection_agree(k in 0.1..100.0_f64, m in 0.5..60.0_f64) {
        let by_stiffness = own_hz(k, m).unwrap();
        let by_deflection = own_hz_of_deflection(m * 9.81 / k).unwrap();
        prop_assert!((by_stiffness / by_deflection - 1.0).abs() < 1e-9);
    }

    /// Beyond √2 a higher frequency is always passed on less, and less damping passes on less.
    #[test]
    fn higher_is_isolated_better(r in 1.5..20.0_f64, more in 0.1..5.0_f64) {
        let at = |r: f64, z: f64| passed_on(r * 5.0, 5.0, z).unwrap();
        prop_assert!(at(r + more, 0.1) < at(r, 0.1));
        prop_assert!(at(r, 0.05) < at(r, 0.15));
        prop_assert!(at(r, 0.1) < 1.0);
    }
}
