//! The limits that checks hold measured values against: each a value and where it comes from, kept together. A plan starts
//! from a practice profile and may change any limit with a reason.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::operator::Bodies;
use super::place::is_default;
use super::{Label, Plan};
use crate::units::{Kilograms, Length, Lux, MetresPerSecond, Practice, Ratio, ToOne};

/// How sure the source of a limit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sure {
    /// A published rule, read there.
    Published,
    /// Usual in the trade; no source is known.
    Practice,
    /// The makers' own judgement; no published value was found.
    Judgement,
    /// From memory, not looked up again.
    Memory,
    /// Changed by the owner of the plan.
    Owner,
    /// Measured by the owner on the thing or person itself.
    Measured,
}

impl Sure {
    /// The words set behind a source, empty for a published one.
    pub fn words(self) -> &'static str {
        match self {
            Self::Published => "",
            Self::Practice => "common practice, no source",
            Self::Judgement => "own judgement",
            Self::Memory => "from memory",
            Self::Owner => "changed in this plan",
            Self::Measured => "measured by the owner",
        }
    }
}

/// A limit: its value and where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: String,
    /// How sure that is.
    pub sure: Sure,
}

impl<T> Limit<T> {
    /// The source with its sureness, as shown beside a finding.
    pub fn source_words(&self) -> String {
        match (self.source.as_str(), self.sure.words()) {
            ("", words) => words.to_owned(),
            (source, "") => source.to_owned(),
            (source, words) => format!("{source} ({words})"),
        }
    }
}

/// A change of a limit in one plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitChange<T> {
    /// The value in this plan.
    pub value: T,
    /// Why, in a sentence.
    pub reason: Label,
}

/// Declares every limit once: its field, its type, its id and what it limits.
macro_rules! limits {
    ($($field:ident: $type:ty, $id:literal, $says:literal;)+) => {
        /// Every limit in force, with its source.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct Limits { $(#[doc = $says] pub $field: Limit<$type>,)+ }

        /// The limits that one plan changes.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields, default)]
        pub struct LimitChanges {
            $(#[doc = $says] #[serde(skip_serializing_if = "is_default")] pub $field: Option<LimitChange<$type>>,)+
        }

        impl Limits {
            /// The limits with the plan's changes put in.
            #[must_use]
            pub fn with(&self, changes: &LimitChanges) -> Self {
                Self { $($field: changed(&self.$field, changes.$field.as_ref()),)+ }
            }

            /// Every limit as a row: id, what it limits, value, source; for lists that show them all.
            pub fn rows(&self, practice: Practice) -> Vec<LimitRow> {
                vec![$(LimitRow {
                    id: $id,
                    says: $says,
                    value: self.$field.value.in_words(practice),
                    source: self.$field.source_words(),
                },)+]
            }
        }
    };
}

/// One limit as a row of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LimitRow {
    /// The stable id.
    pub id: &'static str,
    /// What it limits.
    pub says: &'static str,
    /// The value with its unit.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}

limits! {
    aisle: Length, "aisle", "Least free depth before an access face, and side of the square cart that must pass.";
    headroom: Length, "headroom", "Height up to which the floor before a face must be free.";
    back_gap: Length, "back-gap", "Gap between the back of a rack and a wall or fixed thing, for plugs and skirting.";
    door_clear: Length, "door-clear", "Least clear width of a door on the way out.";
    panel_depth: Length, "panel-depth", "Depth of the working space before an electrical panel.";
    panel_width: Length, "panel-width", "Width of the working space before an electrical panel.";
    panel_height: Length, "panel-height", "Height of the working space before an electrical panel.";
    jet_hard: MetresPerSecond, "jet-hard", "Air speed at printer height above which no printer may stand.";
    draught: MetresPerSecond, "draught", "Air speed that an open printer bears while printing what warps, or what nobody named.";
    draught_easy: MetresPerSecond, "draught-easy", "Air speed that an open printer bears while printing easy materials.";
    continuous_share: Ratio, "continuous-share", "Share of a breaker's rating that may be taken for hours.";
    breaker_share: Ratio, "breaker-share", "Share of a breaker's rating that may be taken for minutes.";
    ups_share: Ratio, "ups-share", "Share of a UPS rating that may be taken while running.";
    voltage_drop: Ratio, "voltage-drop", "Share of its voltage that a circuit may lose along its cable while running.";
    reach_grip: Length, "reach-grip", "Height that a standing operator can grip overhead.";
    reach_shoulder: Length, "reach-shoulder", "Height of the operator's shoulder.";
    reach_stand_off: Length, "reach-stand-off", "Distance of the operator's shoulder from the face of a rack.";
    reach_low: Length, "reach-low", "Height below which an operator stoops.";
    lift_from: Length, "lift-from", "Height of the hands where a load is taken up, from a cart or a carton.";
    lift_grip: Length, "lift-grip", "Height of the hands above the foot of what is lifted.";
    lift_hands: Length, "lift-hands", "Distance of the hands behind the front of what is lifted.";
    lift_spool: Kilograms, "lift-spool", "Mass of a full spool with its reel.";
    lift_index: ToOne, "lift-index", "Load to what one person may be asked to lift, at most: the lifting index.";
    lift_high: ToOne, "lift-high", "Lifting index above which the risk is high for nearly everyone.";
    board_strength: ToOne, "board-strength", "Bending strength of a board to its stress, at least.";
    sag_span: ToOne, "sag-span", "Span of a board to its sag after long loading, at least.";
    rack_fix: ToOne, "rack-fix", "Height of the top loaded level to depth from which a rack is anchored.";
    rack_slender: ToOne, "rack-slender", "Height to depth from which anchors must bear overturning by themselves.";
    sprinkler_clear: Length, "sprinkler-clear", "Clearance below the deflectors of sprinkler heads, over the whole room.";
    ceiling_clear: Length, "ceiling-clear", "Clearance below the ceiling where there are no sprinklers.";
    extinguisher_way: Length, "extinguisher-way", "Way to an extinguisher, at most.";
    light_task: Lux, "light-task", "Illuminance that the work asks for, on average.";
    light_use: Ratio, "light-use", "Share of the lamps' light that reaches the working plane.";
    light_upkeep: Ratio, "light-upkeep", "Share of a new lamp's light that is left between cleanings.";
    rack_tall: ToOne, "rack-tall", "Height to depth from which a rack is tied overhead or its anchors are engineered.";
}

fn changed<T: Clone>(limit: &Limit<T>, change: Option<&LimitChange<T>>) -> Limit<T> {
    change.map_or_else(
        || limit.clone(),
        |c| Limit {
            value: c.value.clone(),
            source: c.reason.as_str().to_owned(),
            sure: Sure::Owner,
        },
    )
}

/// A value of a limit written for people.
trait InWords {
    fn in_words(&self, practice: Practice) -> String;
}

impl InWords for Length {
    fn in_words(&self, practice: Practice) -> String {
        self.shown(practice)
    }
}

impl InWords for Kilograms {
    fn in_words(&self, _practice: Practice) -> String {
        self.shown()
    }
}

impl InWords for MetresPerSecond {
    fn in_words(&self, _practice: Practice) -> String {
        self.shown()
    }
}

impl InWords for Lux {
    fn in_words(&self, _practice: Practice) -> String {
        self.shown()
    }
}

impl InWords for Ratio {
    fn in_words(&self, _practice: Practice) -> String {
        self.shown()
    }
}

impl InWords for ToOne {
    fn in_words(&self, _practice: Practice) -> String {
        self.shown()
    }
}

/// The practice profiles, read from the built-in list.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profiles {
    us: Limits,
    metric: Limits,
    operators: Bodies,
}

/// The built-in list of limits could not be read: a mistake of ours, said in words so that it can be reported.
#[derive(Debug)]
pub struct ProfileFault(String);

impl fmt::Display for ProfileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the built-in list of limits is damaged: {}", self.0)
    }
}

impl std::error::Error for ProfileFault {}

impl Profiles {
    /// The built-in profiles.
    pub fn builtin() -> Result<Self, ProfileFault> {
        ron::from_str(include_str!("../../assets/limits.ron"))
            .map_err(|e| ProfileFault(e.to_string()))
    }

    /// The profile of a practice.
    pub fn of(&self, practice: Practice) -> &Limits {
        match practice {
            Practice::Us => &self.us,
            Practice::Metric => &self.metric,
        }
    }

    /// The limits that hold in a plan: those of its practice, its operator and its own changes.
    pub fn of_plan(&self, plan: &Plan) -> Limits {
        let profile = self.of(plan.practice());
        let operator = plan.head().operator;
        operator.limits(profile, plan.limit_changes(), &self.operators)
    }
}
