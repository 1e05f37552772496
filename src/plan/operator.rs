//! Who reaches into the racks: figures the owner measured, or else those of a model operator. Judges nothing.

use serde::{Deserialize, Serialize};

use super::place::is_default;
use super::{Limit, LimitChanges, Limits, Sure};
use crate::units::Length;

/// The model operator, whose figures hold where nothing was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Body {
    /// A small adult of the public: the limits `reach-grip` and `reach-shoulder` as they are.
    #[default]
    Public,
    /// A small woman of a survey of soldiers, barefoot.
    Women,
    /// A small man of the same survey.
    Men,
}

/// The operator that reach is judged by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Operator {
    /// Whose figures hold where nothing was measured.
    #[serde(skip_serializing_if = "is_default")]
    pub body: Body,
    /// True where shoes are counted on top of a barefoot survey.
    #[serde(skip_serializing_if = "is_default")]
    pub shoes: bool,
    /// Height of the operator's own grip, the arm stretched up, as measured at work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grip: Option<Length>,
    /// Height of the operator's own shoulder, as measured at work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shoulder: Option<Length>,
}

/// What a survey says of one model operator.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BodyFigures {
    grip: Limit<Length>,
    shoulder: Limit<Length>,
}

/// The model operators that surveys know, and what shoes add to them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Bodies {
    women: BodyFigures,
    men: BodyFigures,
    shoes: Limit<Length>,
}

impl Operator {
    /// True where the operator's own measures give the limit of that id.
    pub fn measured(&self, limit: &str) -> bool {
        match limit {
            "reach-grip" => self.grip.is_some(),
            "reach-shoulder" => self.shoulder.is_some(),
            _ => false,
        }
    }

    /// The limits of a plan with grip and shoulder of its operator. What was measured goes before a limit that the plan
    /// changes, and that before the model operator.
    pub(super) fn limits(&self, profile: &Limits, changes: &LimitChanges, all: &Bodies) -> Limits {
        let mut limits = profile.clone();
        if let Some(model) = self.model(all) {
            limits.reach_grip = model.grip;
            limits.reach_shoulder = model.shoulder;
        }
        let model = limits.clone();
        match (self.grip, self.shoulder) {
            (Some(grip), None) => {
                let with = (grip, "the measured grip");
                limits.reach_shoulder =
                    in_proportion(&model.reach_shoulder, &model.reach_grip, with);
            }
            (None, Some(shoulder)) => {
                let with = (shoulder, "the measured shoulder");
                limits.reach_grip = in_proportion(&model.reach_grip, &model.reach_shoulder, with);
            }
            (None, None) | (Some(_), Some(_)) => {}
        }
        limits = limits.with(changes);
        if let Some(grip) = self.grip {
            limits.reach_grip = measured(grip);
        }
        if let Some(shoulder) = self.shoulder {
            limits.reach_shoulder = measured(shoulder);
        }
        limits
    }

    /// The figures of the survey that was chosen, if one was.
    fn model(&self, all: &Bodies) -> Option<BodyFigures> {
        let figures = match self.body {
            Body::Public => return None,
            Body::Women => &all.women,
            Body::Men => &all.men,
        };
        if !self.shoes {
            return Some(figures.clone());
        }
        let shod = |barefoot: &Limit<Length>| Limit {
            value: barefoot.value + all.shoes.value,
            source: format!("{}; shoes: {}", barefoot.source, all.shoes.source_words()),
            sure: barefoot.sure,
        };
        Some(BodyFigures {
            grip: shod(&figures.grip),
            shoulder: shod(&figures.shoulder),
        })
    }

    /// What cannot be, in words, where anything cannot.
    pub(super) fn fault(&self) -> Option<&'static str> {
        let (grip, shoulder) = (self.grip?, self.shoulder?);
        (grip <= shoulder).then_some(
            "the operator's grip is no higher than the shoulder; measure it with the arm stretched up",
        )
    }
}

fn measured(value: Length) -> Limit<Length> {
    Limit {
        value,
        source: String::new(),
        sure: Sure::Measured,
    }
}

/// A figure of the model operator for somebody of another size: whoever grips higher has the shoulder higher too, and an arm
/// that grew with both. Taken alone, either would make the arm too long or too short.
fn in_proportion(
    figure: &Limit<Length>,
    to: &Limit<Length>,
    (own, name): (Length, &str),
) -> Limit<Length> {
    let share = figure.value.mm() / to.value.mm().max(1.0);
    Limit {
        value: Length::from_mm((own.mm() * share).round()),
        source: format!("in proportion to {name}; {}", figure.source),
        sure: Sure::Judgement,
    }
}
