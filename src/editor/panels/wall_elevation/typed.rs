//! Measures typed while a thing is dragged on a wall: how far it lies from one of the wall's corners, and how high. Collects keys and
//! says what they mean; moves nothing.

use egui::Ui;

use crate::editor::floor::{Keys, type_length};
use crate::plan::{Plan, WallEnd};
use crate::units::Length;

/// What is typed next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Measure {
    /// From the wall's first corner.
    #[default]
    First,
    /// From its other corner.
    Last,
    /// Above the floor.
    Height,
}

/// Which measures of a thing can be set on its wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Free {
    /// Where it lies and how high.
    #[default]
    Both,
    /// Where it lies alone: a door stands on the floor.
    Along,
    /// How high alone: what hangs under the ceiling is moved on the floor.
    Height,
}

/// What is typed while a thing is dragged on its wall.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct TypedPlace {
    along: String,
    from_last: bool,
    height: String,
    at: Measure,
    free: Free,
}

impl TypedPlace {
    /// Nothing typed yet, for a thing of which these measures can be set.
    pub(super) fn new(free: Free) -> Self {
        let at = match free {
            Free::Both | Free::Along => Measure::First,
            Free::Height => Measure::Height,
        };
        Self {
            at,
            free,
            ..Self::default()
        }
    }

    /// Takes the keys of a frame: digits begin a length, Tab goes on to the other corner and to the height. True for Enter, which
    /// lets go.
    pub(super) fn take(&mut self, ui: &Ui) -> bool {
        let text = match self.at {
            Measure::First | Measure::Last => &mut self.along,
            Measure::Height => &mut self.height,
        };
        let Keys { next, enter } = type_length(ui, text);
        if next {
            self.at = match (self.at, self.free) {
                (_, Free::Height) | (Measure::Last, Free::Both) => Measure::Height,
                (Measure::First, _) => Measure::Last,
                (Measure::Last | Measure::Height, _) => Measure::First,
            };
        }
        if self.at != Measure::Height {
            self.from_last = self.at == Measure::Last;
        }
        enter && !(self.along.is_empty() && self.height.is_empty())
    }

    /// How far from the wall's first corner a thing of that width begins, where that is typed.
    pub(super) fn along(&self, plan: &Plan, wall_mm: f64, width_mm: f64) -> Option<Length> {
        let typed = length(plan, &self.along)?;
        Some(if self.from_last {
            Length::from_mm(wall_mm - width_mm) - typed
        } else {
            typed
        })
    }

    /// How high it is, where that is typed.
    pub(super) fn height(&self, plan: &Plan) -> Option<Length> {
        length(plan, &self.height)
    }

    /// What is typed, in words; nothing where nothing is.
    pub(super) fn words(&self, plan: &Plan, wall: usize) -> Option<String> {
        let end = if self.from_last {
            WallEnd::Last
        } else {
            WallEnd::First
        };
        let from = format!("from the {} end", plan.room().end_name(wall, end));
        let told = [
            (&self.along, from.as_str()),
            (&self.height, "above the floor"),
        ]
        .into_iter()
        .filter(|(text, _)| !text.is_empty())
        .map(|(text, from)| {
            let flaw = if length(plan, text).is_some() {
                ""
            } else {
                " (no length yet)"
            };
            format!("{text} {from}{flaw}")
        })
        .collect::<Vec<_>>();
        (!told.is_empty()).then(|| format!("typed: {}", told.join(", ")))
    }

    /// What the keys do now, in words.
    pub(super) fn hint(&self, plan: &Plan, wall: usize) -> String {
        let end = |end| plan.room().end_name(wall, end);
        let now = match self.at {
            Measure::First => format!("from the {} end", end(WallEnd::First)),
            Measure::Last => format!("from the {} end", end(WallEnd::Last)),
            Measure::Height => "above the floor".to_owned(),
        };
        let tab = match self.free {
            Free::Both | Free::Along => " Tab: the next measure.",
            Free::Height => "",
        };
        format!("Type the length {now}.{tab}")
    }
}

/// The length, in the plan's unit where none is typed.
fn length(plan: &Plan, text: &str) -> Option<Length> {
    Length::parse(text, Some(plan.practice())).ok()
}
