//! A distance typed while something is dragged: the drop then lies exactly so far from a wall. Collects keys; what it means on
//! the floor is the gesture's.

use egui::{Event, Key, Modifiers, Ui};

use super::snap;
use crate::geometry::Convex;
use crate::layout::{Layout, Wall};
use crate::plan::Plan;
use crate::units::Length;

/// What is typed while something is dragged.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Typed {
    /// The text so far; empty where nothing is typed.
    pub text: String,
    /// The wall that is measured from, once one was chosen.
    pub wall: Option<usize>,
    /// For things on walls: true where it is measured from the wall's other corner.
    pub far: bool,
}

/// More than this is no length.
const LONGEST: usize = 24;

/// The keys of a frame that are no part of a length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keys {
    /// Tab: on to the next measure.
    pub next: bool,
    /// Enter: let go.
    pub enter: bool,
}

/// Takes the keys of a frame into a length that is typed while something is dragged; a digit begins it.
pub fn type_length(ui: &Ui, text: &mut String) -> Keys {
    let (fresh, back, next, enter) = ui.input_mut(|i| {
        let fresh: String = i
            .events
            .iter()
            .filter_map(|e| {
                if let Event::Text(t) = e {
                    Some(t.as_str())
                } else {
                    None
                }
            })
            .collect();
        let pressed = |i: &mut egui::InputState, key| i.consume_key(Modifiers::NONE, key);
        (
            fresh,
            pressed(i, Key::Backspace),
            pressed(i, Key::Tab),
            pressed(i, Key::Enter),
        )
    });
    for c in fresh.chars() {
        let begins = c.is_ascii_digit() || c == '.';
        let goes_on = begins || " ,'\"/-".contains(c) || "ftincm".contains(c);
        if (begins || (goes_on && !text.is_empty())) && text.len() < LONGEST {
            text.push(c);
        }
    }
    if back {
        text.pop();
    }
    Keys { next, enter }
}

impl Typed {
    /// The length, in the plan's unit where none is typed.
    pub(super) fn length(&self, plan: &Plan) -> Option<Length> {
        Length::parse(&self.text, Some(plan.practice())).ok()
    }

    /// How far from its wall's first corner a thing on a wall begins, where a length is typed.
    pub(super) fn along(&self, plan: &Plan, wall: &Wall, width: Length) -> Option<Length> {
        let typed = self.length(plan)?;
        Some(if self.far {
            Length::from_mm(wall.length) - typed - width
        } else {
            typed
        })
    }

    /// What is typed, in words.
    pub(super) fn words(&self, plan: &Plan) -> String {
        let wall = self.wall.map_or_else(
            || self.corner().to_owned(),
            |k| format!("the {}", plan.room().wall_name(k)),
        );
        let flaw = if self.length(plan).is_some() {
            ""
        } else {
            ", no length yet"
        };
        format!("typed: {} from {wall}{flaw}", self.text)
    }

    fn corner(&self) -> &'static str {
        if self.far {
            "the wall's other corner"
        } else {
            "the wall's first corner"
        }
    }

    /// Takes the keys of a frame: digits begin a length, Tab goes to the next wall. True for Enter, which drops.
    pub(super) fn take(&mut self, ui: &Ui, layout: &Layout, body: Option<&Convex>) -> bool {
        let Keys { next, enter } = type_length(ui, &mut self.text);
        self.far ^= next;
        if !self.text.is_empty() && (self.wall.is_none() || next) {
            self.wall = body.and_then(|b| self.next_wall(layout, b)).or(self.wall);
        }
        enter && !self.text.is_empty()
    }

    /// The wall to measure from after the one now, among those that the body has a guide to; the nearest to begin with.
    fn next_wall(&self, layout: &Layout, body: &Convex) -> Option<usize> {
        let guides = snap::guides(layout, body);
        let now = self
            .wall
            .and_then(|w| guides.iter().position(|g| g.wall == w));
        let k = now.map_or(0, |k| (k + 1) % guides.len().max(1));
        guides.get(k).map(|g| g.wall)
    }
}
