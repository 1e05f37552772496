//! What the owner says of the work: plastic used, days of it to keep, hours without anybody there; and what the landlord, the
//! insurer and others have answered. What is not said is unknown.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::Label;
use crate::units::{Kilograms, Watts};

/// What the work takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Demand {
    /// Plastic that one printer uses in a day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub a_day: Option<Kilograms>,
    /// Days for which plastic is kept in the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days: Option<u16>,
    /// Hours a day in which machines run and nobody is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unattended: Option<u8>,
}

impl Demand {
    /// What cannot be, in a sentence.
    pub(super) fn fault(&self) -> Option<&'static str> {
        let beyond = self.unattended.is_some_and(|hours| hours > 24);
        beyond.then_some("a day has at most 24 hours without anybody there")
    }
}

/// What a check cannot measure and somebody has to answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Question {
    /// Whether exhaust may be led outdoors, or outdoor air brought in.
    Duct,
    /// What is done about fumes and fine dust of plastics.
    Emissions,
    /// Whether the insurer agrees.
    Insurer,
    /// Whether an alarm reaches somebody who comes.
    Alarm,
    /// Which extinguishers are wanted.
    Extinguishers,
}

impl Question {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Duct,
        Self::Emissions,
        Self::Insurer,
        Self::Alarm,
        Self::Extinguishers,
    ];

    /// The name of its field.
    pub fn word(self) -> &'static str {
        match self {
            Self::Duct => "duct outdoors",
            Self::Emissions => "fumes and dust",
            Self::Insurer => "insurer",
            Self::Alarm => "alarm",
            Self::Extinguishers => "extinguishers",
        }
    }

    /// What to ask, and whom.
    pub fn asks(self) -> &'static str {
        match self {
            Self::Duct => {
                "ask the landlord whether exhaust may be led outdoors or outdoor air brought in"
            }
            Self::Emissions => {
                "ask the makers for emission tests (ANSI/CAN/UL 2904) and decide which machines are enclosed and filtered"
            }
            Self::Insurer => "ask the insurer to agree to these figures in writing",
            Self::Alarm => {
                "ask the landlord whom the detectors call, and what an alarm switches off"
            }
            Self::Extinguishers => {
                "ask the fire authority which extinguishers it wants beside electrical machines"
            }
        }
    }
}

/// The figures that the insurer agreed to, where they were written down with the answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Agreed {
    /// Plastic kept in the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plastic: Option<Kilograms>,
    /// Power of all printers at its peak.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak: Option<Watts>,
}

/// What was answered, by whom and when, in the owner's words.
pub type Answers = BTreeMap<Question, Label>;
