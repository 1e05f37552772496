//! The panel schedule in the elevation's place: the circuits of the phase on show, how the legs are loaded, and what wiring the phase
//! anew would change. Works out no figure itself.

use std::sync::Arc;

use egui::{Frame, Key, Label, Margin, Panel, Rect, RichText, ScrollArea, Stroke, Ui};

use super::schedule_hang::{HangView, choice_ui};
use super::schedule_table::{Line, lines, table_ui};
use super::schedule_wiring::{WiringView, outcome_ui, wire_ui};
use crate::editor::action::{Actions, Command};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, corner, line, palette, text};
use crate::editor::widgets;
use crate::plan::{Id, PhaseNo, Plan};
use crate::wiring::schedule::{CAUTION, balance, drawn, schedule};

/// Where circuits are added, said while there are none.
const NO_CIRCUIT: &str = "No circuit in this phase yet. Add those that the panel's directory names under Circuits in the card of the plan, which is shown while nothing is selected.";

/// While it is held, the printer that a drag of its rack began on is hung alone.
pub const ALONE: Key = Key::C;

/// Round what stands in the elevation's place.
pub(super) const MARGIN: Margin = Margin {
    left: 10,
    right: 6,
    top: 6,
    bottom: 4,
};

/// The panel's own state.
#[derive(Debug, Default)]
pub struct ScheduleView {
    open: bool,
    /// True in the first frame after it was opened: the keyboard goes to it.
    fresh: bool,
    /// What it showed last.
    kept: Option<Kept>,
    wiring: WiringView,
    hang: HangView,
    /// Where it was in the last frame.
    area: Option<Rect>,
}

/// The figures of a plan in a phase, worked out once.
#[derive(Debug)]
struct Kept {
    plan: Arc<Plan>,
    phase: PhaseNo,
    lines: Vec<Line>,
    /// What all circuits draw, and how the legs share it, in sentences.
    sums: Vec<String>,
}

impl Kept {
    fn of(shown: &Shown<'_>) -> Self {
        Self {
            plan: Arc::clone(shown.plan),
            phase: shown.phase(),
            lines: lines(shown, schedule(shown.layout)),
            sums: drawn(shown.layout)
                .into_iter()
                .chain(balance(shown.layout))
                .collect(),
        }
    }
}

impl ScheduleView {
    /// True while the panel is on show.
    pub fn is_open(&self) -> bool {
        self.open
    }

    /// Where it stands, while it is on show: what is dragged there is not moved on the floor.
    pub fn area(&self) -> Option<Rect> {
        self.area.filter(|_| self.open)
    }

    /// Says what is dragged on the floor in this frame.
    pub fn carry(&mut self, things: &[Id]) {
        self.hang.carry(things);
    }

    /// Opens or closes the panel.
    pub fn show(&mut self, open: bool) {
        self.fresh = open;
        self.open = open;
        self.kept = None;
        self.area = None;
        self.wiring = WiringView::default();
    }

    /// Waits for what is worked out behind.
    pub fn finish(&mut self) {
        self.wiring.finish();
    }
}

/// Shows the panel.
pub fn schedule_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut ScheduleView, actions: &mut Actions) {
    view.wiring.follow(shown);
    view.hang.follow(shown);
    view.area = Some(ui.max_rect());
    let kept = view
        .kept
        .take()
        .filter(|k| Arc::ptr_eq(&k.plan, shown.plan) && k.phase == shown.phase())
        .unwrap_or_else(|| Kept::of(shown));
    Frame::new().inner_margin(MARGIN).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        head(ui, shown, view, actions);
        caution(ui, "schedule caution", CAUTION);
        ScrollArea::vertical()
            .id_salt("schedule")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                outcome_ui(ui, shown, &mut view.wiring, actions);
                if kept.lines.is_empty() {
                    sentence(ui, NO_CIRCUIT);
                } else {
                    table_ui(ui, shown, &kept.lines, &view.hang, actions);
                }
                foot(ui, shown, &kept);
            });
    });
    view.kept = Some(kept);
}

fn head(ui: &mut Ui, shown: &Shown<'_>, view: &mut ScheduleView, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        widgets::section(ui, "Panel schedule", &shown.phase_words());
        wire_ui(ui, shown, &mut view.wiring);
        if view.hang.is_carrying() {
            ui.weak("Hold C to hang one printer alone");
        }
        choice_ui(ui, &view.hang, actions);
        if widgets::action(ui, "Bad days").clicked() {
            actions.command(Command::BadDays);
        }
        let back = widgets::action_named(ui, "Elevation", "Back to the elevation");
        if std::mem::take(&mut view.fresh) {
            back.request_focus();
        }
        if back.clicked() {
            actions.command(Command::Schedule);
        }
    });
}

/// What stands under the table.
fn foot(ui: &mut Ui, shown: &Shown<'_>, kept: &Kept) {
    for words in &kept.sums {
        sentence(ui, words);
    }
    let supply = shown.headroom.supply_in_words();
    if let Some(words) = supply.filter(|_| !kept.lines.is_empty()) {
        sentence(ui, &words);
    }
}

/// A sentence as wide as there is room.
pub(super) fn sentence(ui: &mut Ui, words: &str) {
    ui.add(Label::new(RichText::new(words).size(text::LABEL)).wrap());
}

/// Who decides, below all else and in view however far that is scrolled.
pub(super) fn caution(ui: &mut Ui, name: &'static str, words: &str) {
    Panel::bottom(name)
        .frame(Frame::new())
        .show_separator_line(false)
        .show(ui, |ui| widgets::hint(ui, words));
}

/// A card of what was worked out: title, sentences, and below them the buttons; `changes` where it could be taken over.
pub(super) fn worked_out_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    (title, sentences): (&str, &[String]),
    changes: bool,
    buttons: impl FnOnce(&mut Ui),
) {
    let colours = palette(ui);
    Frame::new()
        .fill(colours.card)
        .stroke(Stroke::new(line::EDGE, colours.edge))
        .corner_radius(corner::CARD)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let title = RichText::new(title).font(theme::bold(text::BODY));
            ui.add(Label::new(title).wrap());
            for words in sentences {
                sentence(ui, words);
            }
            if shown.read_only && changes {
                widgets::hint(
                    ui,
                    "This plan can only be looked at; save a copy to change it.",
                );
            }
            ui.horizontal(buttons);
        });
}
