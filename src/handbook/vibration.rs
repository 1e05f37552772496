//! A machine on a soft pad, and a loaded shelf, as one mass on one spring: its own frequency, and how much of a shake it passes on.
//!
//! Sources: textbook vibration of one degree of freedom; natural frequency from static deflection as in engineering tables.
//! The frequencies of printers are a collection of our own, without a source.

use super::finite;
use std::f64::consts::{PI, SQRT_2};

/// Gravity in mm/s².
const GRAVITY_MM_S2: f64 = 9810.0;

/// Damping of rubber as a share of the critical, the middle of 0.05 to 0.15 in textbooks.
pub const RUBBER_DAMPING: f64 = 0.1;

/// Lowest and highest resonance seen on small printers, Hz: our own collection, no source.
pub const MACHINE_RESONANCES_HZ: (f64, f64) = (27.0, 79.0);

/// Below this, quick reversals of the head shake what has its own frequency there, Hz: our own collection, no source.
pub const REVERSALS_BELOW_HZ: f64 = 20.0;

/// A spring isolates only from frequencies above this many times its own.
pub const ISOLATES_FROM: f64 = SQRT_2;

/// Own frequency of a mass on springs of that stiffness together, Hz: √(k/m) / 2π. None unless both are above zero.
pub fn own_hz(stiffness_n_mm: f64, mass_kg: f64) -> Option<f64> {
    finite(
        stiffness_n_mm > 0.0 && mass_kg > 0.0,
        (stiffness_n_mm * 1000.0 / mass_kg).sqrt() / (2.0 * PI),
    )
}

/// Own frequency of a mass that presses its spring in by that much, Hz: √(g/d) / 2π. None unless it does.
pub fn own_hz_of_deflection(deflection_mm: f64) -> Option<f64> {
    finite(
        deflection_mm > 0.0,
        (GRAVITY_MM_S2 / deflection_mm).sqrt() / (2.0 * PI),
    )
}

/// Own frequency of a board on two supports whose evenly spread load makes it sag by that much, Hz. From
/// (π/2) √(E I / (m L⁴)) and d = 5 m g L⁴ / (384 E I): (π/2) √(5 g / (384 d)). None unless it sags.
pub fn shelf_hz_of_sag(sag_mm: f64) -> Option<f64> {
    finite(
        sag_mm > 0.0,
        PI * 0.5 * (5.0 * GRAVITY_MM_S2 / (384.0 * sag_mm)).sqrt(),
    )
}

/// Share of a shake of frequency `hz` that a spring with its own frequency passes on, at a share of critical damping:
/// √((1 + (2 z r)²) / ((1 − r²)² + (2 z r)²)), r = f/fn. None outside the domain, and for no damping at resonance.
pub fn passed_on(hz: f64, own_hz: f64, damping: f64) -> Option<f64> {
    let r = hz / own_hz;
    let damped = (2.0 * damping * r).powi(2);
    let share = ((1.0 + damped) / ((1.0 - r * r).powi(2) + damped)).sqrt();
    finite(hz >= 0.0 && own_hz > 0.0 && damping >= 0.0, share)
}
