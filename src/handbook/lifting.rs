//! What one person may be asked to lift with both hands: the revised NIOSH lifting equation, in metric units only.
//!
//! Source: Applications Manual for the Revised NIOSH Lifting Equation, NIOSH Publication 94-110 (revised 2021). Its two systems of
//! units are no exact conversions of each other (23 kg are 50.7 lb, not 51): convert the lengths, then reckon here. The equation is
//! made for healthy adults who stand and lift smoothly with both hands; it judges no slips, heat, or reaching from a ladder.

use super::finite;

/// Load that nearly all healthy adults can lift when everything favours it, kg.
pub const LOAD_CONSTANT_KG: f64 = 23.0;

/// Height of the hands that favours a lift most, cm: knuckles of a standing person.
pub const BEST_HEIGHT_CM: f64 = 75.0;

/// Height of the hands above which the equation gives no load at all, cm.
pub const HEIGHT_MOST_CM: f64 = 175.0;

/// Distance of the hands from the ankles beyond which the equation gives no load at all, cm.
pub const OUT_MOST_CM: f64 = 63.0;

/// How well the hands hold the load.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Coupling {
    /// Handles or cut-outs of the best shape, or a loose part that the hand closes round.
    Good,
    /// Handles that are less than that, or fingers bent at a right angle under the load.
    Fair,
    /// Bulky, sagging, sharp-edged.
    Poor,
}

/// How long people lift in a row, before they have rested as long as 94-110 asks.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Duration {
    /// Up to an hour.
    Hour,
    /// More than one hour and up to two.
    TwoHours,
}

/// One lift, measured at its beginning or at its end.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Lift {
    /// Distance of the hands from the middle between the ankles, cm.
    pub out_cm: f64,
    /// Height of the hands above the floor, cm.
    pub height_cm: f64,
    /// How far up or down the load travels, cm.
    pub travel_cm: f64,
    /// How far the load is turned to the side, degrees.
    pub turned_deg: f64,
    /// Lifts in a minute.
    pub per_min: f64,
    /// For how long.
    pub duration: Duration,
    /// How it is held.
    pub coupling: Coupling,
}

/// What each circumstance leaves of the load; 1 is all of it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Multipliers {
    /// By the distance of the hands from the ankles (HM).
    pub horizontal: f64,
    /// By the height of the hands (VM).
    pub vertical: f64,
    /// By the way up or down (DM).
    pub distance: f64,
    /// By the turn to the side (AM).
    pub asymmetry: f64,
    /// By how often and for how long (FM).
    pub frequency: f64,
    /// By the hold (CM).
    pub coupling: f64,
}

impl Lift {
    /// The six multipliers; `None` where a figure is not finite, is negative, or the lifts are more often than the table here goes.
    pub fn multipliers(&self) -> Option<Multipliers> {
        Some(Multipliers {
            horizontal: horizontal(self.out_cm)?,
            vertical: vertical(self.height_cm)?,
            distance: distance(self.travel_cm)?,
            asymmetry: asymmetry(self.turned_deg)?,
            frequency: frequency(self.per_min, self.duration, self.height_cm)?,
            coupling: coupling(self.coupling, self.height_cm),
        })
    }

    /// The recommended weight limit, kg: nought where the equation gives no load at all. See [`Lift::multipliers`] for `None`.
    pub fn limit_kg(&self) -> Option<f64> {
        Some(self.multipliers()?.limit_kg())
    }
}

impl Multipliers {
    /// The recommended weight limit, kg.
    pub fn limit_kg(&self) -> f64 {
        let all = [
            self.horizontal,
            self.vertical,
            self.distance,
            self.asymmetry,
            self.frequency,
            self.coupling,
        ];
        LOAD_CONSTANT_KG * all.iter().product::<f64>()
    }

    /// Each to two places, as the manual's worked examples have them.
    #[must_use]
    pub fn rounded(&self) -> Self {
        let to_two = |m: f64| (m * 100.0).round() / 100.0;
        Self {
            horizontal: to_two(self.horizontal),
            vertical: to_two(self.vertical),
            distance: to_two(self.distance),
            asymmetry: to_two(self.asymmetry),
            frequency: to_two(self.frequency),
            coupling: to_two(self.coupling),
        }
    }
}

/// Lifting index: the load by what is recommended. `None` unless the limit is above zero: beyond the equation's range no load,
/// however small, has an index.
pub fn index(load_kg: f64, limit_kg: f64) -> Option<f64> {
    finite(load_kg >= 0.0 && limit_kg > 0.0, load_kg / limit_kg)
}

/// Multiplier by the distance of the hands from the ankles: 25/H, 1 up to 25 cm, nought beyond 63 cm.
pub fn horizontal(out_cm: f64) -> Option<f64> {
    let multiplier = if out_cm > OUT_MOST_CM {
        0.0
    } else {
        25.0 / out_cm.max(25.0)
    };
    finite(sound(out_cm), multiplier)
}

/// Multiplier by the height of the hands: 1 - 0.003 |V - 75|, nought above 175 cm.
pub fn vertical(height_cm: f64) -> Option<f64> {
    let multiplier = if height_cm > HEIGHT_MOST_CM {
        0.0
    } else {
        1.0 - 0.003 * (height_cm - BEST_HEIGHT_CM).abs()
    };
    finite(sound(height_cm), multiplier)
}

/// Multiplier by the way up or down: 0.82 + 4.5/D, 1 up to 25 cm, nought beyond 175 cm.
pub fn distance(travel_cm: f64) -> Option<f64> {
    let multiplier = if travel_cm > 175.0 {
        0.0
    } else {
        0.82 + 4.5 / travel_cm.max(25.0)
    };
    finite(sound(travel_cm), multiplier)
}

/// Multiplier by the turn to the side: 1 - 0.0032 A, nought beyond 135 degrees.
pub fn asymmetry(turned_deg: f64) -> Option<f64> {
    let multiplier = if turned_deg > 135.0 {
        0.0
    } else {
        1.0 - 0.0032 * turned_deg
    };
    finite(sound(turned_deg), multiplier)
}

/// Lifts in a minute with their multiplier, up to an hour, hands at 75 cm or higher.
const WITHIN_AN_HOUR: [(f64, f64); 17] = [
    (0.2, 1.00),
    (0.5, 0.97),
    (1.0, 0.94),
    (2.0, 0.91),
    (3.0, 0.88),
    (4.0, 0.84),
    (5.0, 0.80),
    (6.0, 0.75),
    (7.0, 0.70),
    (8.0, 0.60),
    (9.0, 0.52),
    (10.0, 0.45),
    (11.0, 0.41),
    (12.0, 0.37),
    (13.0, 0.34),
    (14.0, 0.31),
    (15.0, 0.28),
];

/// The same from one to two hours. What 94-110 has beyond three lifts a minute is left out here, as nobody looked it up.
const WITHIN_TWO_HOURS: [(f64, f64); 5] = [
    (0.2, 0.95),
    (0.5, 0.92),
    (1.0, 0.88),
    (2.0, 0.84),
    (3.0, 0.79),
];

/// Multiplier by how often and for how long (94-110 table 5). A rate between two rows takes the lower row of the table, which is
/// the safer one; hands below 75 cm get nought above 12 lifts a minute (that from memory).
pub fn frequency(per_min: f64, duration: Duration, height_cm: f64) -> Option<f64> {
    let table = match duration {
        Duration::Hour => WITHIN_AN_HOUR.as_slice(),
        Duration::TwoHours => &WITHIN_TWO_HOURS,
    };
    let row = table.iter().find(|(rate, _)| per_min <= *rate);
    let (_, multiplier) = row.filter(|_| sound(per_min) && sound(height_cm))?;
    let too_low = per_min > 12.0 && height_cm < BEST_HEIGHT_CM;
    Some(if too_low { 0.0 } else { *multiplier })
}

/// Multiplier by the hold (94-110 table 7).
pub fn coupling(coupling: Coupling, height_cm: f64) -> f64 {
    match coupling {
        Coupling::Fair if height_cm < BEST_HEIGHT_CM => 0.95,
        Coupling::Good | Coupling::Fair => 1.0,
        Coupling::Poor => 0.9,
    }
}

fn sound(figure: f64) -> bool {
    figure.is_finite() && figure >= 0.0
}
