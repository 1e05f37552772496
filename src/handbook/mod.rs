//! Formulas and tables from published sources, one body of them a file, with the source beside each.
//! Plain numbers in and out, the unit last in every name; a question outside a formula's domain gives `None`,
//! never a number that is none. Knows nothing of rooms, items or limits.

pub mod air_jet;
pub mod circuit;
pub mod heat;
pub mod lifting;
pub mod light;
pub mod reach;
pub mod shelf_beam;
pub mod spools;
pub mod vibration;

/// The result if the inputs were sound and it did not overflow.
fn finite(sound: bool, result: f64) -> Option<f64> {
    (sound && result.is_finite()).then_some(result)
}
