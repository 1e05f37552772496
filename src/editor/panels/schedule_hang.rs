//! Hanging what is selected, or dragged over from the floor, on another circuit: what each row of the panel schedule says to it, and
//! the edit that follows. Works out nothing itself.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::{ComboBox, Rect, Role, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use crate::editor::action::{Action, Actions};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, palette, text};
use crate::editor::widgets::Sign;
use crate::layout::Layout;
use crate::plan::{Edit, Id, Item, PhaseNo, Plan};
use crate::units::capital;
use crate::wiring::rehang::rehang;

/// The key that hangs on the row that has the keyboard.
pub(super) const KEY: egui::Key = egui::Key::H;
/// Inside a plate, and between its sign and its words, in points.
const PAD: f32 = 6.0;
/// Space for the sign.
const SIGN: f32 = 14.0;

/// What is to be hung, and what the circuits say to it.
#[derive(Debug, Default)]
pub(super) struct HangView {
    /// What is dragged on the floor in this frame.
    carried: Vec<Id>,
    kept: Option<Kept>,
}

/// What the circuits of a plan in a phase say to some things, worked out once.
#[derive(Debug)]
struct Kept {
    plan: Arc<Plan>,
    phase: PhaseNo,
    things: Vec<Id>,
    answers: BTreeMap<Id, Answer>,
}

/// What a circuit says.
#[derive(Debug)]
pub(super) struct Answer {
    words: String,
    sign: Sign,
    edit: Option<Edit>,
}

impl HangView {
    /// Says what is dragged on the floor in this frame.
    pub(super) fn carry(&mut self, things: &[Id]) {
        self.carried = things.to_vec();
    }

    /// True while something is dragged that could be hung.
    pub(super) fn is_carrying(&self) -> bool {
        !self.carried.is_empty() && self.kept.is_some()
    }

    /// Follows what is selected or dragged.
    pub(super) fn follow(&mut self, shown: &Shown<'_>) {
        let plan = shown.history.plan();
        let selected: Vec<Id> = shown.selection.iter().collect();
        let asked = if self.carried.is_empty() {
            &selected
        } else {
            &self.carried
        };
        let things: Vec<Id> = asked
            .iter()
            .copied()
            .filter(|id| hangs(plan, *id))
            .collect();
        if things.is_empty() || shown.read_only {
            self.kept = None;
            return;
        }
        let holds = |kept: &Kept| {
            Arc::ptr_eq(&kept.plan, plan) && kept.phase == shown.phase() && kept.things == things
        };
        if self.kept.as_ref().is_some_and(holds) {
            return;
        }
        let phase = shown.phase();
        // While something is dragged the plan on show is the plan as if it were dropped.
        let of_document;
        let layout = if Arc::ptr_eq(shown.plan, plan) {
            shown.layout
        } else {
            of_document = Layout::of(shown.library, plan, phase);
            &of_document
        };
        let circuits = layout.power().circuits.keys();
        self.kept = Some(Kept {
            answers: circuits
                .map(|id| (*id, answer(layout, &things, *id)))
                .collect(),
            plan: Arc::clone(plan),
            phase,
            things,
        });
    }

    /// What a circuit says to what is selected or dragged.
    pub(super) fn answer(&self, circuit: Id) -> Option<&Answer> {
        self.kept.as_ref()?.answers.get(&circuit)
    }

    /// What is selected or dragged, in a word.
    pub(super) fn name(&self) -> String {
        match self.kept.as_ref().map_or(&[][..], |kept| &kept.things) {
            [one] => one.to_string(),
            several => format!("{} things", several.len()),
        }
    }

    /// Hangs it on that circuit, or says why not.
    pub(super) fn hang(&self, circuit: Id, actions: &mut Actions) {
        let Some(answer) = self.answer(circuit) else {
            return;
        };
        match &answer.edit {
            Some(edit) => actions.edit(edit.clone()),
            None => actions.ask(Action::Say(format!("{}.", capital(&answer.words)))),
        }
    }
}

impl Answer {
    /// For who has it read out.
    pub(super) fn words(&self) -> &str {
        &self.words
    }

    /// At the right end of a row: a sign and the words.
    pub(super) fn paint(&self, ui: &Ui, row: Rect, aimed: bool) {
        let colours = palette(ui);
        let font = theme::plain(text::LABEL);
        let galley = ui
            .painter()
            .layout_no_wrap(self.words.clone(), font, colours.ink);
        let width = galley.size().x + SIGN + 2.0 * PAD;
        let seen = row.intersect(ui.clip_rect());
        let plate = Rect::from_min_max(pos2(seen.right() - width, seen.top()), seen.max);
        let plate = plate.shrink2(vec2(0.0, 1.5));
        let tone = self.sign.tone(colours);
        let edge = Stroke::new(line::EDGE, tone.line);
        ui.painter()
            .rect(plate, 3.0, colours.card_hover, edge, StrokeKind::Inside);
        let sign =
            Rect::from_min_size(plate.min + vec2(PAD * 0.5, 0.0), vec2(SIGN, plate.height()));
        self.sign.paint(ui.painter(), sign, tone.text);
        let at = pos2(
            plate.left() + SIGN + PAD,
            plate.center().y - galley.size().y * 0.5,
        );
        ui.painter().galley(at, galley, colours.ink);
        if aimed {
            let edge = Stroke::new(line::FOCUS, tone.line);
            ui.painter()
                .rect_stroke(seen, 0.0, edge, StrokeKind::Inside);
        }
    }
}

/// True for what may hang on a circuit with printers on or behind it.
fn hangs(plan: &Plan, id: Id) -> bool {
    let item = plan.items().get(id);
    matches!(item, Some(Item::Rack(_) | Item::Ups(_))) || plan.printers().get(id).is_some()
}

fn answer(layout: &Layout, things: &[Id], circuit: Id) -> Answer {
    match rehang(layout, things, circuit) {
        Ok(hung) => Answer {
            words: hung.words(circuit),
            sign: if hung.is_over() {
                Sign::Caution
            } else if hung.running_share.and(hung.peak_share).is_some() {
                Sign::Met
            } else {
                Sign::Unknown
            },
            edit: Some(hung.edit),
        },
        Err(why) => Answer {
            words: why.to_string(),
            sign: Sign::Broken,
            edit: None,
        },
    }
}

/// The list of circuits to hang on what is selected.
pub(super) fn choice_ui(ui: &mut Ui, view: &HangView, actions: &mut Actions) {
    let Some(kept) = view.kept.as_ref().filter(|_| view.carried.is_empty()) else {
        return;
    };
    let label = format!("Hang {} on…", view.name());
    let response = ComboBox::from_id_salt("hang on")
        .selected_text(&label)
        .width(150.0)
        .show_ui(ui, |ui| {
            for (circuit, answer) in &kept.answers {
                let words = format!("{circuit} · {}", answer.words);
                if ui.selectable_label(false, words).clicked() {
                    view.hang(*circuit, actions);
                }
            }
        })
        .response;
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &label));
    crate::editor::help::behind(
        response,
        "Plugs it into an outlet of the circuit chosen. Or drag it from the floor onto a row; or press H on the row that has the keyboard.",
    );
}
