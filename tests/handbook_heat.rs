//! Heat of a room against published exercises, definitions, and sums by hand; each with its limits and laws.

#![expect(clippy::unwrap_used, reason = "a missing answer is a failed test")]

use aislewright::handbook::heat::{
    AIR_J_PER_M3_K, BTU_H_PER_TON, LIGHT_BENCH_WORK, PEOPLE, Work, air_btu_h, air_w,
    balance_rise_k, btu_h, conduction_w, layer_m2k_w, leakage_l_s, sun_w, supply_loss_w, tons,
    transmittance, warming_s,
};
use proptest::prelude::{prop_assert, proptest};

fn near(value: Option<f64>, expected: f64, tolerance: f64) {
    let value = value.unwrap();
    assert!(
        (value - expected).abs() <= tolerance,
        "{value} is not within {tolerance} of {expected}"
    );
}

/// By definition: a ton of refrigeration is 12,000 Btu/h = 3516.85 W.
#[test]
fn a_ton_of_refrigeration() {
    near(tons(3516.85), 1.0, 1e-5);
    near(btu_h(1000.0), 3412.142, 1e-9);
    near(tons(0.0), 0.0, 0.0);
    assert_eq!(tons(f64::INFINITY), None);
}

/// Published exercise (a teaching text on cooling loads): 2 people at 200 Btu/h sensible and 180 latent give 400 and 360. The same
/// by the table: standing, light work is 75 W sensible = 256 Btu/h, which is why the year of a table matters.
#[test]
fn people() {
    let row = Work {
        work: "in Btu/h",
        sensible_w: 200.0,
        latent_w: 180.0,
    };
    let (sensible, latent) = row.of_people(2.0);
    near(Some(sensible), 400.0, 0.0);
    near(Some(latent), 360.0, 0.0);
    // ASHRAE Fundamentals chapter 18 table 1 adds up to the totals printed beside: 115, 130, 130, 145, 220, 295, 425 W.
    let totals = PEOPLE.map(|row| row.sensible_w + row.latent_w);
    for (found, printed) in totals
        .into_iter()
        .zip([115.0, 130.0, 130.0, 145.0, 220.0, 295.0, 425.0])
    {
        near(Some(found), printed, 1e-9);
    }
    // At 27 °C a fifth of the sensible heat goes with the moisture instead; the total stays.
    let warm = LIGHT_BENCH_WORK.at_27_c();
    near(Some(warm.sensible_w), 64.0, 1e-9);
    near(Some(warm.latent_w), 156.0, 1e-9);
}

/// Published (trade): single glass of U 6.0 at 15 K passes 90 W a square metre.
#[test]
fn conduction_through_glass() {
    near(conduction_w(1.0, 6.0, 15.0), 90.0, 1e-9);
    near(conduction_w(1.0, 6.0, 0.0), 0.0, 0.0);
    assert_eq!(conduction_w(-1.0, 6.0, 15.0), None, "no such area");
    assert_eq!(conduction_w(1.0, f64::NAN, 15.0), None);
}

/// Published (teaching text): brick of 0.22 m, 0.6 W/mK, without surface films: 0.3667 m²K/W, U 2.727, printed there as 2.72.
#[test]
fn one_layer_of_brick() {
    let resistance = layer_m2k_w(0.22, 0.6);
    near(resistance, 0.3667, 5e-5);
    near(transmittance(resistance.unwrap()), 2.727, 5e-4);
    assert_eq!(layer_m2k_w(0.22, 0.0), None);
    assert_eq!(transmittance(0.0), None, "nothing resists");
}

/// Published (trade): a roof of R 9.218 ft² h °F/Btu has U 0.1085, printed there as 0.108.
#[test]
fn a_roof_in_inch_pounds() {
    near(transmittance(9.218), 0.1085, 5e-5);
}

/// By hand: 200 cfm, 20 °F warmer: 1.08 × 200 × 20 = 4320 Btu/h. In SI 94.39 L/s, 11.11 K: 1258 W = 4294 Btu/h; 1.08 and
/// 1.2 are rounded apart by less than a per cent.
#[test]
fn air_in_both_systems_of_units() {
    near(air_btu_h(200.0, 20.0), 4320.0, 1e-9);
    let si = air_w(94.39, 11.11);
    near(si, 1258.0, 0.6);
    near(btu_h(si.unwrap()), 4294.0, 2.0);
    let inch_pounds = air_btu_h(200.0, 20.0).unwrap() / btu_h(1.0).unwrap();
    assert!((inch_pounds / si.unwrap() - 1.0).abs() < 0.01);
    assert_eq!(air_w(-1.0, 5.0), None, "no such flow");
}

/// By hand: 12 printers at 120 W, 2 people at light bench work, 6 lamps of 40 W and 300 W of other machines: 2140 W.
fn inside_w() -> f64 {
    12.0 * 120.0 + LIGHT_BENCH_WORK.of_people(2.0).0 + 6.0 * 40.0 + 300.0
}

/// By hand, the same room with 20 m² of wall at U 0.5 and 1.5 m² of window at U 2.8, 8 K warmer outside: (10 + 4.2) × 8 = 113.6 W;
/// sun 1.5 × 0.7 × 400 = 420 W; 45 m³ changed 0.5 times an hour: 6.25 L/s × 1.2 × 8 = 60 W. In all 2733.6 W = 9327 Btu/h =
/// 0.777 ton.
#[test]
fn a_whole_room() {
    near(Some(inside_w()), 2140.0, 1e-9);
    let through = conduction_w(20.0, 0.5, 8.0).unwrap() + conduction_w(1.5, 2.8, 8.0).unwrap();
    near(Some(through), 113.6, 1e-9);
    near(sun_w(1.5, 0.7, 400.0), 420.0, 1e-9);
    let air = leakage_l_s(0.5, 45.0).and_then(|flow| air_w(flow, 8.0));
    near(air, 60.0, 1e-9);
    let all = inside_w() + through + 420.0 + air.unwrap();
    near(Some(all), 2733.6, 1e-9);
    near(btu_h(all), 9327.0, 1.0);
    near(tons(all), 0.777, 5e-4);
    near(tons(all), 9327.0 / BTU_H_PER_TON, 1e-4);
}

/// By hand: 360 W behind an efficiency of 0.9 are 400 W at the outlet, 40 W lost; nothing is lost by a perfect one.
#[test]
fn loss_of_a_supply() {
    near(supply_loss_w(360.0, 0.9), 40.0, 1e-9);
    near(supply_loss_w(360.0, 1.0), 0.0, 0.0);
    for wrong in [0.0, -0.5, 1.01, f64::NAN] {
        assert_eq!(supply_loss_w(360.0, wrong), None, "{wrong}");
    }
}

/// By hand: 50 m³ of air hold 60 kJ/K. 3 kW warm them by 10 K in 200 s where nothing leaves. With 150 W/K leaving it ends 20 K up,
/// and half of that takes ln 2 time constants of 400 s: 277.26 s.
#[test]
fn a_room_warms() {
    let air = 50.0 * AIR_J_PER_M3_K;
    near(warming_s(3000.0, 0.0, air, 10.0), 200.0, 1e-9);
    near(balance_rise_k(3000.0, 150.0), 20.0, 1e-9);
    near(warming_s(3000.0, 150.0, air, 10.0), 277.258_872, 1e-5);
    assert_eq!(
        warming_s(3000.0, 150.0, air, 20.0),
        None,
        "it only nears its end"
    );
    assert_eq!(warming_s(0.0, 0.0, air, 1.0), None, "nothing warms it");
    near(warming_s(0.0, 0.0, air, 0.0), 0.0, 0.0);
    assert_eq!(balance_rise_k(3000.0, 0.0), None, "nothing leaves");
}

proptest! {
    /// What leaves slows the warming, never hastens it; as it goes to nought the time goes to that of a closed room.
    #[test]
    fn what_leaves_slows_the_warming(
        heat in 100.0..20_000.0f64, leaves in 0.0..400.0f64, capacity in 1e4..1e7f64, rise in 0.5..30.0f64,
    ) {
        let closed = warming_s(heat, 0.0, capacity, rise).unwrap();
        if let Some(open) = warming_s(heat, leaves, capacity, rise) {
            prop_assert!(open >= closed * (1.0 - 1e-12));
            prop_assert!(rise < balance_rise_k(heat, leaves).unwrap_or(f64::INFINITY));
        } else {
            prop_assert!(leaves * rise >= heat * (1.0 - 1e-12));
        }
        let hardly = warming_s(heat, 1e-6, capacity, rise).unwrap();
        prop_assert!((hardly / closed - 1.0).abs() < 1e-5);
    }

    /// Heat is carried in proportion to area, flow and difference, and turns with its sign.
    #[test]
    fn heat_goes_by_the_difference(area in 0.0..100.0f64, u in 0.0..6.0f64, by in -30.0..30.0f64) {
        let (one, back) = (conduction_w(area, u, by).unwrap(), conduction_w(area, u, -by).unwrap());
        prop_assert!((one + back).abs() < 1e-9);
        let twice = conduction_w(2.0 * area, u, by).unwrap();
        prop_assert!((twice - 2.0 * one).abs() < 1e-9);
        let air = air_w(area, by).unwrap() + air_w(area, -by).unwrap();
        prop_assert!(air.abs() < 1e-9);
    }

    /// A layer twice as thick lets half as much through; the better the supply the less it loses.
    #[test]
    fn thicker_and_better_lose_less(thick in 0.01..1.0f64, k in 0.02..3.0f64, load in 1.0..900.0f64, good in 0.5..0.98f64) {
        let u = |t: f64| transmittance(layer_m2k_w(t, k).unwrap()).unwrap();
        prop_assert!((u(thick) / u(2.0 * thick) - 2.0).abs() < 1e-9);
        prop_assert!(supply_loss_w(load, good) > supply_loss_w(load, good + 0.01));
        prop_assert!(sun_w(thick, 0.5, load) <= sun_w(thick, 0.6, load));
    }
}
