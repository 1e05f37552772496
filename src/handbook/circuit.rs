//! Electric circuits: load, breaker, voltage drop, and how long a battery carries a load.
//!
//! Sources: NFPA 70 (National Electrical Code) articles 100, 210.19, 210.20, 240.6 and chapter 9 table 8;
//! IEC 60364-5-52:2009 annex G; IEC 60228:2004 tables 1 to 4. These are planning figures: local codes and a licensed
//! electrician decide what is built.

use super::finite;

/// Share of a breaker that a continuous load (3 hours or more) may use: the inverse of the factor 1.25 in
/// NEC 210.19(A) and 210.20(A).
pub const NEC_CONTINUOUS_SHARE: f64 = 0.8;

/// The smaller standard ratings of breakers, NEC 240.6(A). 15, 20 and 30 A are widely printed; the rest is from memory.
pub const NEC_BREAKERS_A: [f64; 8] = [15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0];

/// Resistivity of copper in service, 1.25 times its value at 20 °C, Ω mm²/m; IEC 60364-5-52:2009 annex G.
pub const IEC_COPPER_OHM_MM2_M: f64 = 0.0225;

/// Reactance of a conductor, Ω/m; IEC 60364-5-52 annex G, value from memory.
pub const IEC_REACTANCE_OHM_M: f64 = 0.08e-3;

/// A copper conductor of NEC chapter 9 table 8: direct current, 75 °C, uncoated. The table has one column for solid and
/// one for stranded conductors, and they are easily confused.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct CopperAwg {
    /// American wire gauge.
    pub awg: u8,
    /// Cross-section, circular mils.
    pub circular_mils: u32,
    /// Resistance of the solid conductor, Ω per 1000 ft.
    pub solid_ohm_kft: f64,
    /// Resistance of the stranded conductor, Ω per 1000 ft; from memory.
    pub stranded_ohm_kft: f64,
    /// Largest breaker for the gauge, A; NEC 240.4(D). None where that rule sets none.
    pub largest_breaker_a: Option<f64>,
}

/// NEC chapter 9 table 8, the gauges of branch circuits.
#[expect(
    clippy::approx_constant,
    reason = "3.14 ohm is a resistance in the table, not the circle's number"
)]
pub const NEC_COPPER: [CopperAwg; 4] = [
    CopperAwg {
        awg: 14,
        circular_mils: 4110,
        solid_ohm_kft: 3.07,
        stranded_ohm_kft: 3.14,
        largest_breaker_a: Some(15.0),
    },
    CopperAwg {
        awg: 12,
        circular_mils: 6530,
        solid_ohm_kft: 1.93,
        stranded_ohm_kft: 1.98,
        largest_breaker_a: Some(20.0),
    },
    CopperAwg {
        awg: 10,
        circular_mils: 10380,
        solid_ohm_kft: 1.21,
        stranded_ohm_kft: 1.24,
        largest_breaker_a: Some(30.0),
    },
    CopperAwg {
        awg: 8,
        circular_mils: 16510,
        solid_ohm_kft: 0.764,
        stranded_ohm_kft: 0.778,
        largest_breaker_a: None,
    },
];

/// A copper conductor of IEC 60228: greatest resistance at 20 °C, plain wires.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct CopperMetric {
    /// Nominal cross-section, mm².
    pub section_mm2: f64,
    /// Classes 1 (solid) and 2 (stranded), Ω/km; tables 1 and 2.
    pub fixed_ohm_km: f64,
    /// Classes 5 and 6 (flexible), Ω/km; tables 3 and 4.
    pub flexible_ohm_km: f64,
}

/// IEC 60228:2004 tables 1 to 4, the sections of socket circuits.
pub const IEC_COPPER: [CopperMetric; 4] = [
    CopperMetric {
        section_mm2: 1.5,
        fixed_ohm_km: 12.1,
        flexible_ohm_km: 13.3,
    },
    CopperMetric {
        section_mm2: 2.5,
        fixed_ohm_km: 7.41,
        flexible_ohm_km: 7.98,
    },
    CopperMetric {
        section_mm2: 4.0,
        fixed_ohm_km: 4.61,
        flexible_ohm_km: 4.95,
    },
    CopperMetric {
        section_mm2: 6.0,
        fixed_ohm_km: 3.08,
        flexible_ohm_km: 3.30,
    },
];

/// Apparent power in volt-amperes of `watts` at a power factor above 0 and up to 1.
pub fn volt_amperes(watts: f64, power_factor: f64) -> Option<f64> {
    let sound = at_least_zero(watts) && power_factor > 0.0 && power_factor <= 1.0;
    finite(sound, watts / power_factor)
}

/// Current in amperes of a single-phase load. None for a negative load or without a voltage.
pub fn amperes(volt_amperes: f64, volts: f64) -> Option<f64> {
    finite(
        at_least_zero(volt_amperes) && volts > 0.0,
        volt_amperes / volts,
    )
}

/// Most continuous current on a breaker, A, for a share above 0 and up to 1 (see [`NEC_CONTINUOUS_SHARE`]).
pub fn continuous_limit_a(breaker_a: f64, share: f64) -> Option<f64> {
    finite(
        at_least_zero(breaker_a) && share > 0.0 && share <= 1.0,
        share * breaker_a,
    )
}

/// The least of [`NEC_BREAKERS_A`] that carries a continuous load. None beyond the list.
pub fn least_nec_breaker_a(continuous_a: f64) -> Option<f64> {
    if !at_least_zero(continuous_a) {
        return None;
    }
    // A millionth of an ampere for rounding: 24 A is exactly what 30 A carries.
    let carries = |breaker_a: &f64| continuous_a <= breaker_a * NEC_CONTINUOUS_SHARE + 1e-6;
    NEC_BREAKERS_A.into_iter().find(carries)
}

/// Voltage drop, V, of a single-phase circuit in US units: 2 L I R / 1000, one-way run in feet, Ω per 1000 ft.
pub fn drop_us_v(run_ft: f64, current_a: f64, ohm_kft: f64) -> Option<f64> {
    let sound = at_least_zero(run_ft) && at_least_zero(current_a) && at_least_zero(ohm_kft);
    finite(sound, 2.0 * run_ft * current_a * ohm_kft / 1000.0)
}

/// Voltage drop, V, of a single-phase circuit in metric units, resistance only: one-way run in metres, Ω/km.
pub fn drop_metric_v(run_m: f64, current_a: f64, ohm_km: f64) -> Option<f64> {
    drop_us_v(run_m, current_a, ohm_km)
}

/// Voltage drop, V, of a single-phase copper circuit by IEC 60364-5-52 annex G:
/// 2 (ρ L/S cos φ + λ L sin φ) I. None without a section or for a cos φ outside 0 to 1; use 0.8 if it is unknown.
pub fn drop_iec_v(run_m: f64, current_a: f64, section_mm2: f64, cos_phi: f64) -> Option<f64> {
    let sound = at_least_zero(run_m)
        && at_least_zero(current_a)
        && section_mm2 > 0.0
        && (0.0..=1.0).contains(&cos_phi);
    let sin_phi = (1.0 - cos_phi * cos_phi).max(0.0).sqrt();
    let resistive_ohm = IEC_COPPER_OHM_MM2_M * run_m / section_mm2 * cos_phi;
    let reactive_ohm = IEC_REACTANCE_OHM_M * run_m * sin_phi;
    finite(sound, 2.0 * (resistive_ohm + reactive_ohm) * current_a)
}

/// A drop as a percentage of the nominal voltage.
pub fn drop_percent(drop_v: f64, nominal_v: f64) -> Option<f64> {
    finite(
        at_least_zero(drop_v) && nominal_v > 0.0,
        100.0 * drop_v / nominal_v,
    )
}

/// Resistance of copper from its value at 75 °C: R [1 + 0.00323 (T − 75)], note to NEC chapter 9 table 8.
/// None where that would fall below zero.
pub fn nec_copper_at(ohm_at_75_c: f64, temperature_c: f64) -> Option<f64> {
    scaled_resistance(ohm_at_75_c, 1.0 + 0.00323 * (temperature_c - 75.0))
}

/// Resistance of copper from its value at 20 °C: R [1 + 0.00393 (T − 20)], IEC 60228 and IEC 60287; the constant is
/// from memory. None where that would fall below zero.
pub fn iec_copper_at(ohm_at_20_c: f64, temperature_c: f64) -> Option<f64> {
    scaled_resistance(ohm_at_20_c, 1.0 + 0.00393 * (temperature_c - 20.0))
}

fn scaled_resistance(ohm: f64, factor: f64) -> Option<f64> {
    finite(at_least_zero(ohm) && factor >= 0.0, ohm * factor)
}

/// What a UPS has left under a load; a negative number is overload. Both ratings bind.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct UpsHeadroom {
    /// Volt-amperes left.
    pub spare_va: f64,
    /// Watts left.
    pub spare_w: f64,
}

impl UpsHeadroom {
    /// None unless all four are finite and not below zero.
    pub fn of(rated_va: f64, rated_w: f64, load_va: f64, load_w: f64) -> Option<Self> {
        let sound = [rated_va, rated_w, load_va, load_w]
            .into_iter()
            .all(at_least_zero);
        sound.then_some(Self {
            spare_va: rated_va - load_va,
            spare_w: rated_w - load_w,
        })
    }
}

/// Current drawn from a battery string, A: P / (V η). None for a negative load, no voltage, or an efficiency outside
/// 0 (left out) to 1.
pub fn battery_current_a(watts: f64, string_v: f64, efficiency: f64) -> Option<f64> {
    let sound = at_least_zero(watts) && string_v > 0.0 && efficiency > 0.0 && efficiency <= 1.0;
    finite(sound, watts / (string_v * efficiency))
}

/// Hours a battery carries a current, Peukert's law with the rating time: t = H (C / (I H))^k, with the capacity C in Ah
/// at the H-hour rate (H is usually 20). The short form C / I^k is not used: at the rated current it contradicts the
/// label. An estimate only: UPS currents lie far above the 20-hour rate; a maker's runtime table comes first.
/// None unless current, capacity and H are above zero and k is at least 1.
pub fn peukert_h(capacity_ah: f64, rating_h: f64, current_a: f64, k: f64) -> Option<f64> {
    let sound = capacity_ah > 0.0 && rating_h > 0.0 && current_a > 0.0 && k >= 1.0;
    finite(
        sound,
        rating_h * libm::pow(capacity_ah / (current_a * rating_h), k),
    )
}

fn at_least_zero(value: f64) -> bool {
    value >= 0.0 && value.is_finite()
}
