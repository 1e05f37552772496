//! The punch list: the findings of the phase on show, each one click from its place, with its mend. Findings of one cause
//! stand in one row that unfolds.

mod rows;

use std::collections::BTreeSet;
use std::sync::Arc;

use egui::{ScrollArea, TextEdit, Ui};

use self::rows::{Basis, Place, Row, Rows};
use crate::checks::{Finding, Severity, Standing};
use crate::editor::action::{Action, Actions};
use crate::editor::shown::Shown;
use crate::editor::theme::{palette, text};
use crate::editor::widgets::{self, Card, Sign};
use crate::plan::{Edit, ItemKind, Label};
use crate::units::{Length, Practice, air_flow_shown, capital, floor_load_shown, mass_shown};

/// The list's own state.
#[derive(Debug, Default)]
pub struct PunchView {
    show_met: bool,
    /// The finding whose acceptance is being written: key and reason so far.
    accepting: Option<(String, String)>,
    error: String,
    /// The findings whose rows are unfolded, by key.
    unfolded: BTreeSet<String>,
    /// What stands in the list now.
    rows: Rows,
    /// The look of the row that had the keyboard last.
    keyboard: Option<u64>,
}

impl PunchView {
    /// Folds the findings of a cause away where they are open, else unfolds them.
    fn turn(&mut self, cause: &[Arc<Finding>], open: bool) {
        for finding in cause {
            if open {
                self.unfolded.remove(&finding.key());
            } else {
                self.unfolded.insert(finding.key());
            }
        }
    }

    /// True where the acceptance of that finding is being written.
    fn is_accepting(&self, finding: &Finding) -> bool {
        let writing = self.accepting.as_ref();
        writing.is_some_and(|(key, _)| *key == finding.key())
    }
}

/// The button that unfolds a row or folds it again.
struct Fold {
    /// How many findings stand behind the first.
    more: usize,
    open: bool,
    /// One of those behind is pointed at.
    pointed: bool,
}

/// Shows the list.
pub fn punch_list_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut PunchView, actions: &mut Actions) {
    let accepting = view.accepting.as_ref().map(|(key, _)| key);
    let basis = Basis::of(shown, &view.unfolded, accepting, view.show_met);
    let mut rows = std::mem::take(&mut view.rows);
    rows.follow(shown, basis);
    ui.add_space(8.0);
    let head = widgets::section(ui, "Punch list", &rows.counts);
    // Who has the list read out is read all of it.
    let node = ui.ctx().accesskit_node_builder(head.id, |_| ());
    let whole = node.is_some();
    let foot = 40.0;
    let height = (ui.available_height() - foot).max(60.0);
    ScrollArea::vertical()
        .max_height(height)
        .auto_shrink([false, false])
        .show(ui, |ui| {
            rows.measure_at(ui.available_width(), ui.ctx().pixels_per_point());
            if rows.nothing_open {
                ui.horizontal(|ui| {
                    ui.add_space(10.0);
                    ui.label("Nothing open in this phase.");
                });
                hint(ui, shown);
            }
            let open = std::mem::take(&mut rows.open);
            list(ui, shown, view, (&open, &mut rows, whole), actions);
            rows.open = open;
            // The same box, however many rows before it are laid out.
            let id = ui.scope_id().with("met");
            ui.scope_builder(egui::UiBuilder::new().scope_id(id), |ui| {
                ui.horizontal(|ui| {
                    ui.add_space(10.0);
                    ui.checkbox(&mut view.show_met, "Show what is met");
                });
            });
            let met = std::mem::take(&mut rows.met);
            list(ui, shown, view, (&met, &mut rows, whole), actions);
            rows.met = met;
        });
    view.rows = rows;
    let margin = egui::Margin::symmetric(10, 2);
    egui::Frame::new().inner_margin(margin).show(ui, |ui| {
        let calm = "Planning aid: a licensed electrician and the local code decide.";
        let words = egui::RichText::new(calm).size(text::SMALL).weak();
        ui.add(egui::Label::new(words).wrap());
    });
}

/// Rows so near to what is in view are laid out too, in points: about one row.
const AHEAD: f32 = 80.0;

/// One row after another. Far from what is in view, room is kept for a row and nothing is laid out, once its height is known;
/// not so for the first, the last and those beside the row that has the keyboard, so that Tab goes on through the whole list.
fn list(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    (list, rows, whole): (&[Row], &mut Rows, bool),
    actions: &mut Actions,
) {
    let seen = ui.clip_rect().y_range();
    let seen = seen.expand(AHEAD);
    let spacing = ui.spacing().item_spacing.y;
    let keyboard = view.keyboard;
    let held = list.iter().position(|row| Some(row.look) == keyboard);
    let mut kept = 0.0;
    for (k, row) in list.iter().enumerate() {
        let top = ui.cursor().top() + kept;
        let must = whole
            || k == 0
            || k + 1 == list.len()
            || held.is_some_and(|held| held.abs_diff(k) < 2)
            || view.is_accepting(&row.finding);
        if let (false, Some(height)) = (must, rows.height(row.look))
            && !seen.intersects(egui::Rangef::new(top, top + height))
        {
            kept += height + spacing;
            continue;
        }
        keep_room(ui, kept, spacing);
        kept = 0.0;
        // Its widgets are the same ones whether or not the rows before it were laid out. Two of one key differ in their words.
        let id = ui.scope_id();
        let id = id.with(("row", row.finding.key(), &row.finding.text));
        let area = ui.scope_builder(egui::UiBuilder::new().scope_id(id), |ui| {
            self::row(ui, shown, view, row, &rows.causes, actions);
        });
        let rect = area.response.rect;
        rows.set_height(row.look, rect.height());
        if has_keyboard(ui, rect) {
            view.keyboard = Some(row.look);
        }
    }
    keep_room(ui, kept, spacing);
}

/// Keeps room for rows that are not laid out; `height` ends with the space after the last of them.
fn keep_room(ui: &mut Ui, height: f32, spacing: f32) {
    if height > 0.0 {
        ui.allocate_space(egui::vec2(ui.available_width(), height - spacing));
    }
}

/// True where what has the keyboard lies within that row.
fn has_keyboard(ui: &Ui, rect: egui::Rect) -> bool {
    let focused = ui.memory(egui::Memory::focused);
    let response = focused.and_then(|id| ui.ctx().read_response(id));
    response.is_some_and(|r| rect.contains_rect(r.rect))
}

/// What a list without open findings means: nothing to judge, or all of it met.
fn hint(ui: &mut Ui, shown: &Shown<'_>) {
    let margin = egui::Margin::symmetric(10, 2);
    egui::Frame::new().inner_margin(margin).show(ui, |ui| {
        let empty = shown.layout.of_kind(ItemKind::Rack).next().is_none();
        let words = if empty {
            "There is not much to judge yet. As soon as a rack stands in the room, what does not hold is said here, each with its place and the smallest mend."
        } else {
            "Every check is met. Tick below to see what was measured."
        };
        widgets::hint(ui, words);
    });
}

/// One finding, with the button that unfolds those behind it.
fn row(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    row: &Row,
    causes: &[Vec<Arc<Finding>>],
    actions: &mut Actions,
) {
    match &row.place {
        Place::Alone => {
            card(ui, shown, view, &row.finding, None, actions);
        }
        Place::Behind => {
            let inset = egui::Margin {
                left: 16,
                ..egui::Margin::ZERO
            };
            egui::Frame::new().inner_margin(inset).show(ui, |ui| {
                card(ui, shown, view, &row.finding, None, actions);
            });
        }
        Place::Lead { more, open, cause } => {
            let cause = causes.get(*cause).map_or(&[][..], Vec::as_slice);
            let pointed = |key| cause.iter().skip(1).any(|f| f.key() == key);
            let fold = Fold {
                more: *more,
                open: *open,
                pointed: shown.pointed.is_some_and(pointed),
            };
            if card(ui, shown, view, &row.finding, Some(&fold), actions) {
                view.turn(cause, *open);
            }
        }
    }
}

/// One finding; true where its row is to be unfolded or folded.
fn card(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    finding: &Finding,
    fold: Option<&Fold>,
    actions: &mut Actions,
) -> bool {
    let key = finding.key();
    let accepted = finding.accepted(shown.plan);
    let sign = match (accepted, finding.standing, finding.severity) {
        (Some(_), ..) => Sign::Accepted,
        (None, Standing::Met, _) => Sign::Met,
        (None, Standing::Unknown, _) => Sign::Unknown,
        (None, Standing::Broken, Severity::MustFix) => Sign::Broken,
        (None, Standing::Broken, Severity::Caution) => Sign::Caution,
        (None, Standing::Broken, Severity::Note) => Sign::Note,
    };
    let reason = accepted
        .map(|r| format!("accepted: “{r}”"))
        .unwrap_or_default();
    let figures = figures(finding, shown.practice());
    let card = Card::new(sign, &finding.text)
        .line(&reason)
        .source(finding.check)
        .small(&figures)
        .selected(
            shown.pointed == Some(key.as_str())
                // Its row is marked where it is folded away itself.
                || fold.is_some_and(|fold| fold.pointed && !fold.open),
        );
    let response = card.ui(ui, |ui| {
        buttons(ui, shown, view, finding, &key, actions);
        fold.is_some_and(|fold| fold_button(ui, finding, fold))
    });
    if response.clicked {
        actions.ask(Action::Point(key));
    }
    if response.asked {
        actions.ask(Action::About(finding.check));
    }
    response.inner
}

/// The button that shows the findings behind the first; true when it was pressed.
fn fold_button(ui: &mut Ui, finding: &Finding, fold: &Fold) -> bool {
    let label = if fold.open {
        format!("Fold the {} more away", fold.more)
    } else {
        format!("… and {} more of the same cause", fold.more)
    };
    let name = format!("{label}: {}", finding.text);
    let button = widgets::action_named(ui, &label, &name);
    ui.ctx()
        .accesskit_node_builder(button.id, |node| node.set_expanded(fold.open));
    button.clicked()
}

/// From this share of the row on, a mend has the row for itself.
const OWN_ROW: f32 = 0.6;

fn buttons(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    finding: &Finding,
    key: &str,
    actions: &mut Actions,
) {
    if shown.read_only {
        return;
    }
    if let Some(mend) = shown.mends.get(key) {
        let words = capital(&mend.words);
        // One move may mend several findings; then the finding tells the buttons apart.
        let alike = shown.mends.values().filter(|m| m.words == mend.words);
        let name = if alike.count() > 1 {
            format!("{words}: {}", finding.text)
        } else {
            words.clone()
        };
        let button = widgets::action_folding(ui, &words, &name);
        if button.clicked() {
            actions.edit(mend.edit.clone());
        }
        if button.rect.width() > ui.max_rect().width() * OWN_ROW {
            ui.end_row();
        }
    }
    if finding.severity == Severity::MustFix || finding.standing == Standing::Met {
        return;
    }
    if finding.accepted(shown.plan).is_some() {
        let name = format!("Reopen: {}", finding.text);
        if widgets::action_named(ui, "Reopen", &name).clicked() {
            actions.edit(Edit::Accept(finding.accept_key(), None));
        }
        return;
    }
    let writing = view.accepting.as_ref().is_some_and(|(k, _)| k == key);
    if writing {
        reason(ui, view, finding, actions);
        return;
    }
    let name = format!("Accept: {}", finding.text);
    if widgets::action_named(ui, "Accept…", &name).clicked() {
        view.accepting = Some((key.to_owned(), String::new()));
        view.error.clear();
    }
}

/// The field for the reason of an acceptance.
fn reason(ui: &mut Ui, view: &mut PunchView, finding: &Finding, actions: &mut Actions) {
    let Some((_, draft)) = &mut view.accepting else {
        return;
    };
    let field = ui.add(
        TextEdit::singleline(draft)
            .hint_text("Why is that all right?")
            .desired_width(180.0),
    );
    field.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Reason"));
    let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
    if (widgets::action(ui, "Accept").clicked() || entered) && !draft.trim().is_empty() {
        match Label::new(draft.trim()) {
            Ok(reason) => {
                actions.edit(Edit::Accept(finding.accept_key(), Some(reason)));
                view.accepting = None;
                return;
            }
            Err(error) => view.error = error.to_string(),
        }
    }
    if widgets::action(ui, "Leave it open").clicked() {
        view.accepting = None;
    }
    if !view.error.is_empty() {
        ui.colored_label(palette(ui).broken.text, &view.error);
    }
}

/// Measured value, limit and source in one small line.
fn figures(finding: &Finding, practice: Practice) -> String {
    let show = |value: f64| match finding.unit {
        "mm" => Length::from_mm(value).shown(practice),
        "1" if (value - value.round()).abs() > 0.005 => format!("{value:.2}"),
        "1" => format!("{value:.0}"),
        "kPa" => floor_load_shown(value, practice),
        "L/s" => air_flow_shown(value, practice),
        "kg" => mass_shown(value, practice),
        "MPa" => format!("{value:.2} MPa"),
        "Hz" => format!("{value:.1} Hz"),
        "d" => format!("{value:.1} days"),
        "m/s" => format!("{value:.2} m/s"),
        "A" => format!("{value:.1} A"),
        unit => format!("{value:.0} {unit}"),
    };
    // A limit of nothing at all is said by the sentence already: what may not be there is there.
    let none_allowed = finding
        .limit
        .is_some_and(|limit| limit.abs() < f64::EPSILON);
    let measured = finding
        .measured
        .filter(|_| !(none_allowed && finding.unit == "1"))
        .map(show)
        .unwrap_or_default();
    let limit = finding
        .limit
        .filter(|_| !none_allowed)
        .map(|l| format!("limit {}", show(l)))
        .unwrap_or_default();
    [measured, limit, finding.source.clone()]
        .into_iter()
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" · ")
}
