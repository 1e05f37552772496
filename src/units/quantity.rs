//! Measured quantities other than lengths and angles: finite numbers held within a sensible range, written with
//! their unit. Knows nothing of what is measured.

use std::cmp::Ordering;
use std::error::Error;
use std::fmt;
use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Practice, text};

/// What a typed unit does to its number.
type Conversion = fn(f64) -> f64;

/// What the messages say about one quantity.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Description {
    /// The quantity's name with its article, as in "a power".
    name: &'static str,
    least: f64,
    most: f64,
    /// The unit of the range.
    unit: &'static str,
    /// A right example.
    example: &'static str,
}

/// Why a quantity was refused. Each message names the range or shows a right example.
#[derive(Clone, Debug, PartialEq)]
pub enum QuantityError {
    /// Nothing but blanks.
    Empty(Description),
    /// No number, or a unit that is not one of this quantity.
    NotUnderstood(Description, String),
    /// A number alone where several units could be meant.
    NoUnit(Description, String),
    /// No finite number, or one outside the range.
    OutOfRange(Description),
}

impl fmt::Display for QuantityError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty(about) => write!(
                formatter,
                "there is nothing here; write {} such as {}",
                about.name, about.example
            ),
            Self::NotUnderstood(about, typed) => write!(
                formatter,
                "`{typed}` is not understood as {}; write one such as {}",
                about.name, about.example
            ),
            Self::NoUnit(about, typed) => write!(
                formatter,
                "`{typed}` has no unit; write {} such as {}",
                about.name, about.example
            ),
            Self::OutOfRange(about) => write!(
                formatter,
                "{} lies between {} and {} {}, for example {}",
                about.name, about.least, about.most, about.unit, about.example
            ),
        }
    }
}

impl Error for QuantityError {}

/// Reads a number and one of `units`. An empty spelling among them lets a bare number through.
fn read(
    typed: &str,
    about: Description,
    units: &[(&str, Conversion)],
) -> Result<f64, QuantityError> {
    let trimmed = typed.trim();
    if trimmed.is_empty() {
        return Err(QuantityError::Empty(about));
    }
    let quoted = || text::shortened(trimmed, 40);
    let Some((number, unit)) = text::split_number(trimmed) else {
        return Err(QuantityError::NotUnderstood(about, quoted()));
    };
    let unit = unit.to_lowercase();
    match units
        .iter()
        .find(|(spelling, _)| spelling.to_lowercase() == unit)
    {
        Some((_, conversion)) => Ok(conversion(number)),
        None if unit.is_empty() => Err(QuantityError::NoUnit(about, quoted())),
        None => Err(QuantityError::NotUnderstood(about, quoted())),
    }
}

/// Texts of a quantity written as its number and its unit.
mod plain {
    /// What the unit's number is multiplied by when written.
    pub(super) const PER_WHOLE: f64 = 1.0;

    pub(super) fn file_text(value: f64, unit: &str) -> String {
        format!("{value}{unit}")
    }

    /// To three decimals, without trailing zeros.
    pub(super) fn shown(value: f64, unit: &str) -> String {
        format!("{} {unit}", (value * 1000.0).round() / 1000.0 + 0.0)
    }
}

/// Texts of a share written as a percentage.
mod percent {
    /// What the share is multiplied by when written.
    pub(super) const PER_WHOLE: f64 = 100.0;

    /// As a percentage where that reads back to the very same number, else as the number itself.
    pub(super) fn file_text(value: f64, unit: &str) -> String {
        let percentage = (value * PER_WHOLE * 1e6).round() / 1e6;
        if (percentage / PER_WHOLE).total_cmp(&value).is_eq() {
            format!("{percentage}{unit}")
        } else {
            format!("{value}")
        }
    }

    /// To a tenth of a per cent.
    pub(super) fn shown(value: f64, unit: &str) -> String {
        format!("{}{unit}", (value * PER_WHOLE * 10.0).round() / 10.0)
    }
}

/// A quantity: documentation, name, its name in messages, range in its own unit, style and unit of its texts
/// (in a file, on the screen), an example, and every unit that is read with what it does to the number.
macro_rules! quantity {
    (
        $(#[$doc:meta])* $name:ident, $words:literal, $least:literal..=$most:literal,
        $style:ident($file_unit:literal, $shown_unit:literal), $example:literal,
        [$($spelling:literal => $conversion:expr),+ $(,)?]
    ) => {
        $(#[$doc])*
        #[derive(Copy, Clone, PartialEq)]
        pub struct $name(f64);

        impl $name {
            const ABOUT: Description = Description {
                name: $words,
                least: $least * $style::PER_WHOLE,
                most: $most * $style::PER_WHOLE,
                unit: $shown_unit,
                example: $example,
            };

            /// Refuses what is not finite or outside the range.
            pub const fn new(value: f64) -> Result<Self, QuantityError> {
                if value >= $least && value <= $most {
                    // Adding zero turns a negative zero into zero, so that none is ever printed.
                    Ok(Self(value + 0.0))
                } else {
                    Err(QuantityError::OutOfRange(Self::ABOUT))
                }
            }

            /// A value written in the program itself; one outside the range is our own mistake and stops.
            pub const fn fixed(value: f64) -> Self {
                assert!(
                    value >= $least && value <= $most,
                    "a quantity written in the program lies within its range"
                );
                Self(value + 0.0)
            }

            /// The number in this type's own unit.
            pub const fn value(self) -> f64 {
                self.0
            }

            /// Reads a number with its unit, in any letter case and spacing.
            pub fn parse(typed: &str) -> Result<Self, QuantityError> {
                let units: &[(&str, Conversion)] = &[$(($spelling, $conversion)),+];
                Self::new(read(typed, Self::ABOUT, units)?)
            }

            /// For reading, rounded.
            pub fn shown(self) -> String {
                $style::shown(self.0, $shown_unit)
            }

            /// The one form in a file, exact.
            pub fn file_text(self) -> String {
                $style::file_text(self.0, $file_unit)
            }
        }

        impl PartialOrd for $name {
            fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
                Some(self.0.total_cmp(&other.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str(&self.file_text())
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(&self.file_text())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let expected = concat!($words, " in quotes, for example \"", $example, "\"");
                text::deserialize_text(deserializer, expected, Self::parse)
            }
        }
    };
}

/// Sums of loads; a sum stops at the top of the range.
macro_rules! additive {
    ($($name:ident),+) => {$(
        impl $name {
            /// No load.
            pub const ZERO: Self = Self(0.0);
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self((self.0 + other.0).min(Self::ABOUT.most))
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(loads: I) -> Self {
                loads.fold(Self::ZERO, Add::add)
            }
        }
    )+};
}

quantity! {
    /// Active power in watts.
    Watts, "a power", 0.0..=1e6, plain("W", "W"), "120W",
    ["W" => |w| w, "kW" => |kw| kw * 1000.0]
}

quantity! {
    /// Apparent power in volt-amperes.
    VoltAmps, "an apparent power", 0.0..=1e6, plain("VA", "VA"), "500VA",
    ["VA" => |va| va, "kVA" => |kva| kva * 1000.0]
}

quantity! {
    /// Electric tension in volts.
    Volts, "a voltage", 0.0..=1000.0, plain("V", "V"), "120V",
    ["V" => |v| v]
}

quantity! {
    /// Electric current in amperes.
    Amps, "a current", 0.0..=10_000.0, plain("A", "A"), "16A",
    ["A" => |a| a, "mA" => |ma| ma / 1000.0]
}

quantity! {
    /// Mass in kilograms.
    Kilograms, "a mass", 0.0..=100_000.0, plain("kg", "kg"), "12kg",
    [
        "kg" => |kg| kg,
        "g" => |g| g / 1000.0,
        // International avoirdupois pound (1959).
        "lb" => |lb| lb * 0.453_592_37,
        "lbs" => |lb| lb * 0.453_592_37,
    ]
}

quantity! {
    /// Speed in metres per second.
    MetresPerSecond, "a speed", 0.0..=100.0, plain("m/s", "m/s"), "0.25m/s",
    ["m/s" => |speed| speed, "fpm" => |fpm| fpm * 0.3048 / 60.0, "ft/min" => |fpm| fpm * 0.3048 / 60.0]
}

quantity! {
    /// Flow of air in cubic metres per hour.
    CubicMetresPerHour, "a flow of air", 0.0..=1e6, plain("m3/h", "m³/h"), "800m3/h",
    [
        "m3/h" => |flow| flow,
        "m³/h" => |flow| flow,
        // A cubic foot is exactly 0.3048³ m³.
        "cfm" => |cfm| cfm * 0.028_316_846_592 * 60.0,
    ]
}

quantity! {
    /// Difference of two temperatures in kelvins.
    Kelvins, "a temperature difference", -300.0..=300.0, plain("K", "K"), "12K",
    ["K" => |k| k, "F" => |f| f / 1.8, "°F" => |f| f / 1.8]
}

quantity! {
    /// Temperature in degrees Celsius.
    Celsius, "a temperature", -60.0..=500.0, plain("C", "°C"), "24C",
    ["C" => |c| c, "°C" => |c| c, "F" => |f| (f - 32.0) / 1.8, "°F" => |f| (f - 32.0) / 1.8]
}

quantity! {
    /// Heat that passes through a square metre of wall or glass for a difference of a kelvin: its U value.
    UValue, "a U value", 0.0..=20.0, plain("W/m2K", "W/m²K"), "0.5W/m2K",
    [
        "W/m2K" => |u| u,
        "W/m²K" => |u| u,
        // From the international table Btu, the foot and the degree Fahrenheit, all exact by definition.
        "Btu/hft2F" => |u| u * 5.678_263_341,
    ]
}

quantity! {
    /// Power that falls on a square metre, such as the sun's on a window.
    Irradiance, "a power on an area", 0.0..=2000.0, plain("W/m2", "W/m²"), "500W/m2",
    [
        "W/m2" => |w| w,
        "W/m²" => |w| w,
        "Btu/hft2" => |w| w * 3.154_590_745,
    ]
}

quantity! {
    /// Light that a lamp gives in all, in lumens.
    Lumens, "a flow of light", 0.0..=1e7, plain("lm", "lm"), "4000lm",
    ["lm" => |lm| lm]
}

quantity! {
    /// Light that falls on a square metre, in lux.
    Lux, "an illuminance", 0.0..=1e6, plain("lx", "lx"), "500lx",
    ["lx" => |lx| lx, "lux" => |lx| lx, "fc" => |fc| fc / (0.3048 * 0.3048)]
}

quantity! {
    /// How often something happens in an hour.
    PerHour, "a rate", 0.0..=1000.0, plain("/h", "/h"), "0.5/h",
    ["/h" => |n| n, "per hour" => |n| n, "ach" => |n| n]
}

quantity! {
    /// A share; 1 is the whole.
    Ratio, "a share", 0.0..=100.0, percent("%", "%"), "80%",
    ["" => |share| share, "%" => |percentage| percentage / 100.0]
}

quantity! {
    /// Modulus of elasticity or strength of a material in megapascals, newtons per square millimetre.
    Megapascals, "a modulus or strength", 0.0..=1e6, plain("MPa", "MPa"), "2200MPa",
    [
        "MPa" => |mpa| mpa,
        "GPa" => |gpa| gpa * 1000.0,
        "N/mm2" => |mpa| mpa,
        "N/mm²" => |mpa| mpa,
        // A pound-force on a square inch: 4.4482216152605 N on 645.16 mm².
        "psi" => |psi| psi * 0.006_894_757_293_168,
    ]
}

quantity! {
    /// Load on a floor in kilopascals, kilonewtons per square metre.
    Kilopascals, "a load on the floor", 0.0..=1000.0, plain("kPa", "kPa"), "2.4kPa",
    [
        "kPa" => |kpa| kpa,
        "kN/m2" => |kpa| kpa,
        "kN/m²" => |kpa| kpa,
        // A pound-force on a square foot: 4.4482216152605 N on 0.09290304 m².
        "psf" => |psf| psf * 0.047_880_258_980_336,
        "lb/ft2" => |psf| psf * 0.047_880_258_980_336,
        "lb/ft²" => |psf| psf * 0.047_880_258_980_336,
    ]
}

quantity! {
    /// Density in kilograms per cubic metre.
    Density, "a density", 0.0..=25_000.0, plain("kg/m3", "kg/m³"), "750kg/m3",
    ["kg/m3" => |d| d, "kg/m³" => |d| d, "lb/ft3" => |d| d * 16.018_463_373_96]
}

quantity! {
    /// A proportion to one, such as height to depth.
    ToOne, "a proportion", 0.1..=10_000.0, plain(":1", ": 1"), "6:1",
    ["" => |n| n, ":1" => |n| n, ": 1" => |n| n]
}

quantity! {
    /// Time in minutes.
    Minutes, "a time", 0.0..=1e6, plain("min", "min"), "7min",
    ["min" => |min| min, "h" => |hours| hours * 60.0]
}

quantity! {
    /// Charge of a battery in ampere-hours.
    AmpHours, "a charge", 0.001..=100_000.0, plain("Ah", "Ah"), "9Ah",
    ["Ah" => |ah| ah, "mAh" => |mah| mah / 1000.0]
}

/// A current that leaks to earth, for reading: such currents are told in milliamperes.
pub fn leakage_shown(current: Amps) -> String {
    plain::shown(current.value() * 1000.0, "mA")
}

/// A time for reading: in hours where they are whole.
pub fn hours_shown(time: Minutes) -> String {
    let hours = time.value() / 60.0;
    if hours >= 1.0 && hours.fract().abs() < f64::EPSILON {
        plain::shown(hours, "h")
    } else {
        time.shown()
    }
}

/// A mass of so many kilograms for reading: pounds in US practice.
pub fn mass_shown(kg: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.0} lb", kg / 0.453_592_37),
        Practice::Metric => format!("{kg:.1} kg"),
    }
}

/// A load on the floor of so many kilopascals for reading: pounds on a square foot in US practice.
pub fn floor_load_shown(kpa: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.0} psf", kpa / 0.047_880_258_980_336),
        Practice::Metric => format!("{kpa:.2} kPa"),
    }
}

/// A flow of so many litres a second of air for reading: cubic feet a minute in US practice.
pub fn air_flow_shown(l_s: f64, practice: Practice) -> String {
    match practice {
        // A cubic foot is exactly 0.3048³ m³.
        Practice::Us => format!("{:.0} cfm", l_s * 60.0 / 28.316_846_592),
        Practice::Metric => format!("{l_s:.0} L/s"),
    }
}

/// An area of so many square metres for reading: square feet in US practice.
pub fn area_shown(m2: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.0} ft²", m2 / (0.3048 * 0.3048)),
        Practice::Metric => format!("{m2:.0} m²"),
    }
}

additive!(Watts, VoltAmps, Amps);
