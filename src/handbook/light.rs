//! The light of a room on average, by the lumen method.
//!
//! Sources: the lumen method as taught in building services courses; the illuminances of tasks stand with the limits. The method
//! holds for an empty rectangular room: tall racks shade the aisles between them.

use super::finite;

/// Illuminance on the working plane on average, in lux: lumens of all lights, times the share that reaches the plane, times the
/// share that is left between cleanings, over the floor in square metres. None unless the floor has an area.
pub fn average_lux(lumens: f64, area_m2: f64, use_share: f64, upkeep_share: f64) -> Option<f64> {
    finite(
        lumens >= 0.0 && area_m2 > 0.0 && use_share >= 0.0 && upkeep_share >= 0.0,
        lumens * use_share * upkeep_share / area_m2,
    )
}

/// Lights of that many lumens each that an illuminance asks for: E A / (F UF MF), not rounded up. None unless each gives light.
pub fn lights_needed(
    lux: f64,
    area_m2: f64,
    lumens_each: f64,
    (use_share, upkeep_share): (f64, f64),
) -> Option<f64> {
    let each = lumens_each * use_share * upkeep_share;
    finite(
        lux >= 0.0 && area_m2 >= 0.0 && each > 0.0,
        lux * area_m2 / each,
    )
}

/// The room index K = L W / ((L + W) h), with h from the working plane up to the lights: tables of the share that reaches the
/// plane go by it. None unless all are above zero.
pub fn room_index(length_m: f64, width_m: f64, above_plane_m: f64) -> Option<f64> {
    finite(
        length_m > 0.0 && width_m > 0.0 && above_plane_m > 0.0,
        length_m * width_m / ((length_m + width_m) * above_plane_m),
    )
}
