//! Spools: how many are changed in a day, how many places they take, how long they last.
//!
//! Arithmetic. Sizes of spools are common practice, from memory: a spool of 1 kg is 200 mm across and up to 75 mm wide.

use super::finite;

/// A spool of 1 kg standing on its edge: width and diameter in millimetres.
pub const SPOOL_1_KG_MM: (f64, f64) = (75.0, 200.0);

/// Spools changed in a day. None unless a spool holds something.
pub fn changes_a_day(used_kg_a_day: f64, spool_kg: f64) -> Option<f64> {
    finite(
        used_kg_a_day >= 0.0 && spool_kg > 0.0,
        used_kg_a_day / spool_kg,
    )
}

/// Places that so many days of plastic take, whole spools. None unless a spool holds something.
pub fn places_needed(used_kg_a_day: f64, days: f64, spool_kg: f64) -> Option<f64> {
    let spools = used_kg_a_day * days / spool_kg;
    // A whole number of spools must not become one more by the last bit of a product.
    finite(
        used_kg_a_day >= 0.0 && days >= 0.0 && spool_kg > 0.0,
        (spools - 1e-9).ceil().max(0.0),
    )
}

/// Days that full places last. None unless something is used.
pub fn days_on_hand(places: f64, spool_kg: f64, used_kg_a_day: f64) -> Option<f64> {
    finite(
        places >= 0.0 && spool_kg >= 0.0 && used_kg_a_day > 0.0,
        places * spool_kg / used_kg_a_day,
    )
}

/// Spools of 1 kg that stand on their edges on a board, in rows one behind the other, under an opening of that height, all in
/// millimetres.
pub fn stand_on(clear_width_mm: f64, depth_mm: f64, opening_mm: f64) -> f64 {
    let (wide, round) = SPOOL_1_KG_MM;
    if opening_mm < round {
        return 0.0;
    }
    (clear_width_mm / wide).floor().max(0.0) * (depth_mm / round).floor().max(0.0)
}
