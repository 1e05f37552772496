//! Exact quantities: they parse what people type and print what people read. Knows nothing of rooms or items.

mod angle;
mod length;
mod length_file;
mod length_text;
mod quantity;
mod text;
mod turn;

pub use angle::{Angle, AngleError};
pub use length::{Length, Practice};
pub use length_file::length_in_file;
pub use length_text::LengthError;
pub use quantity::{
    AmpHours, Amps, Celsius, CubicMetresPerHour, Density, Irradiance, Kelvins, Kilograms,
    Kilopascals, Lumens, Lux, Megapascals, MetresPerSecond, Minutes, PerHour, QuantityError, Ratio,
    ToOne, UValue, VoltAmps, Volts, Watts, air_flow_shown, area_shown, floor_load_shown,
    hours_shown, leakage_shown, mass_shown,
};
pub use text::{capital, degrees, kelvins, nearest};
pub use turn::{Turn, TurnError};
