//! Bad days in the elevation's place: a card for each thing that may fail, the one chosen in full, its things marked on the floor; and
//! what would be if something were added. Works out no figure itself.

use std::collections::BTreeSet;
use std::sync::Arc;

use egui::{
    EventFilter, Frame, Key, Label, Margin, Modifiers, Panel, Response, RichText, ScrollArea, Ui,
};

use super::schedule::{MARGIN, caution, sentence};
use super::what_if::{WhatIfView, what_if_ui};
use crate::editor::action::{Action, Actions, Command};
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::{self, text};
use crate::editor::widgets::{self, Entry};
use crate::plan::{Id, PhaseNo, Plan};
use crate::wiring::day_card::{CAUTION, DayCard, day_cards};
use crate::wiring::outage::Failure;

/// Width of the list of cards, in points.
const LIST: f32 = 300.0;

/// The panel's own state.
#[derive(Debug, Default)]
pub struct DaysView {
    open: bool,
    /// True in the first frame after it was opened: the keyboard goes to it.
    fresh: bool,
    /// What it showed last.
    kept: Option<Kept>,
    chosen: Option<Failure>,
    /// True while the questions stand there instead of the cards.
    asks: bool,
    what_if: WhatIfView,
}

/// The cards of a plan in a phase, worked out once.
#[derive(Debug)]
struct Kept {
    plan: Arc<Plan>,
    phase: PhaseNo,
    cards: Vec<DayCard>,
}

impl Kept {
    fn of(shown: &Shown<'_>) -> Self {
        Self {
            plan: Arc::clone(shown.plan),
            phase: shown.phase(),
            cards: day_cards(shown.layout),
        }
    }

    /// The card chosen; the first where none is.
    fn chosen(&self, chosen: Option<Failure>) -> Option<&DayCard> {
        let of = |failure| self.cards.iter().find(|c| c.day.failure == failure);
        chosen.and_then(of).or(self.cards.first())
    }
}

impl DaysView {
    /// True while the panel is on show.
    pub fn is_open(&self) -> bool {
        self.open
    }

    /// Opens or closes the panel.
    pub fn show(&mut self, open: bool) {
        *self = Self {
            open,
            fresh: open,
            ..Self::default()
        };
    }

    /// Waits for what is worked out behind.
    pub fn finish(&mut self) {
        self.what_if.finish();
    }

    /// The things of the card chosen, to be marked on the floor.
    pub fn marked(&self) -> BTreeSet<Id> {
        let kept = self.kept.as_ref().filter(|_| self.open && !self.asks);
        let card = kept.and_then(|kept| kept.chosen(self.chosen));
        card.map_or_else(BTreeSet::new, |card| card.marks.iter().copied().collect())
    }
}

/// Shows the panel.
pub fn bad_days_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut DaysView, actions: &mut Actions) {
    let kept = view
        .kept
        .take()
        .filter(|k| Arc::ptr_eq(&k.plan, shown.plan) && k.phase == shown.phase())
        .unwrap_or_else(|| Kept::of(shown));
    Frame::new().inner_margin(MARGIN).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        head(ui, shown, view, actions);
        caution(ui, "bad days caution", CAUTION);
        if view.asks {
            ScrollArea::vertical()
                .id_salt("what if")
                .auto_shrink([false, false])
                .show(ui, |ui| what_if_ui(ui, shown, &mut view.what_if, actions));
            return;
        }
        let list = LIST.min(ui.available_width() * 0.4);
        Panel::left("bad days list")
            .frame(Frame::new())
            .resizable(false)
            .exact_size(list)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("bad days list")
                    .auto_shrink([false, false])
                    .show(ui, |ui| list_ui(ui, &kept, &mut view.chosen, actions));
            });
        // Off the list's scroll bar.
        let apart = Margin {
            left: 10,
            ..Margin::ZERO
        };
        Frame::new().inner_margin(apart).show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("bad day")
                .auto_shrink([false, false])
                .show(ui, |ui| {
                    if let Some(card) = kept.chosen(view.chosen) {
                        card_ui(ui, card);
                    }
                });
        });
    });
    view.kept = Some(kept);
}

fn head(ui: &mut Ui, shown: &Shown<'_>, view: &mut DaysView, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        widgets::section(ui, "Bad days", &shown.phase_words());
        for (label, asks) in [("Cards", false), ("What if", true)] {
            if widgets::pill(ui, label, view.asks == asks).clicked() {
                view.asks = asks;
            }
        }
        if widgets::action_named(ui, "Print…", "Print cards and labels…").clicked() {
            actions.command(Command::ExportCards);
        }
        if widgets::action_named(ui, "Panel schedule", "To the panel schedule").clicked() {
            actions.command(Command::Schedule);
        }
        let back = widgets::action_named(ui, "Elevation", "Back to the elevation");
        if std::mem::take(&mut view.fresh) {
            back.request_focus();
        }
        if back.clicked() {
            actions.command(Command::BadDays);
        }
    });
}

/// The cards by title; what has the keyboard is chosen, so that the arrow keys go through them.
fn list_ui(ui: &mut Ui, kept: &Kept, chosen: &mut Option<Failure>, actions: &mut Actions) {
    ui.spacing_mut().item_spacing.y = 1.0;
    let now = kept.chosen(*chosen).map(|card| card.day.failure);
    let mut rows = Vec::new();
    let mut next = None;
    for card in &kept.cards {
        let failure = card.day.failure;
        let entry = Entry::new(&card.title, &card.summary)
            .selected(now == Some(failure))
            .row(ui);
        let reached = entry.gained_focus();
        if reached {
            entry.scroll_to_me(None);
        }
        if entry.clicked() || (reached && now != Some(failure)) {
            next = Some(failure);
        }
        rows.push(entry);
    }
    let by_arrow = follow_arrows(ui, &rows).and_then(|k| kept.cards.get(k));
    if let Some(failure) = by_arrow.map(|card| card.day.failure).or(next) {
        *chosen = Some(failure);
        actions.ask(Action::Select(selection(failure)));
    }
}

/// The arrow keys up and down take the keyboard from row to row; the number of the row that they come to.
fn follow_arrows(ui: &Ui, rows: &[Response]) -> Option<usize> {
    let now = rows.iter().position(Response::has_focus)?;
    let filter = EventFilter {
        vertical_arrows: true,
        ..EventFilter::default()
    };
    let id = rows.get(now)?.id;
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let next = if pressed(Key::ArrowDown) {
        now.checked_add(1)
    } else if pressed(Key::ArrowUp) {
        now.checked_sub(1)
    } else {
        None
    };
    let next = next.filter(|k| *k < rows.len())?;
    let row = rows.get(next)?;
    row.request_focus();
    row.scroll_to_me(None);
    Some(next)
}

/// What fails; nothing where that is the whole supply.
fn selection(failure: Failure) -> Selection {
    match failure {
        Failure::Circuit(id) | Failure::Ups(id) | Failure::Cooling(id) => Selection::one(id),
        Failure::Supply => Selection::default(),
    }
}

/// One card in full.
fn card_ui(ui: &mut Ui, card: &DayCard) {
    let bold = |words: &str, size| RichText::new(words).font(theme::bold(size));
    ui.add(Label::new(bold(&card.title, text::SECTION)).wrap());
    sentence(ui, &card.summary);
    for part in &card.parts {
        ui.add_space(4.0);
        ui.add(Label::new(bold(part.heading, text::BODY)).wrap());
        for line in &part.lines {
            sentence(ui, line);
        }
    }
}
