//! The picture to trace: which, how big, where, how it is turned and how strongly it is drawn; all of it typed too. Keeps drafts,
//! asks for edits.

use egui::{Label, RichText, Slider, Ui};

use crate::editor::action::{Action, Actions, TracingAction};
use crate::editor::floor::picture_step;
use crate::editor::shown::Shown;
use crate::editor::theme::{palette, text};
use crate::editor::tracing::{Purpose, Tool, TracingView, scaled};
use crate::editor::widgets::{self, Field, FieldEvent};
use crate::plan::{Edit, Tracing};
use crate::units::{Angle, Length, Practice};

/// A field's draft and what is wrong with it.
#[derive(Debug, Default)]
struct Draft {
    typed: String,
    error: String,
}

/// The panel's own state.
#[derive(Debug, Default)]
pub struct TracingPanel {
    /// What the drafts began from.
    base: Option<(Tracing, Practice)>,
    width: Draft,
    right: Draft,
    up: Draft,
    turn: Draft,
    between: Draft,
}

impl TracingPanel {
    fn begin(&mut self, tracing: &Tracing, practice: Practice) {
        let base = Some((tracing.clone(), practice));
        if self.base == base {
            return;
        }
        self.base = base;
        let draft = |typed: String| Draft {
            typed,
            error: String::new(),
        };
        self.width = draft(tracing.width.shown(practice));
        self.right = draft(tracing.at.0.shown(practice));
        self.up = draft(tracing.at.1.shown(practice));
        self.turn = draft(tracing.turn.shown());
        self.between = Draft::default();
    }
}

/// Shows the panel.
pub fn tracing_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    panel: &mut TracingPanel,
    view: &mut TracingView,
    actions: &mut Actions,
) {
    if let Some(path) = view.is_reading() {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        ui.label(format!("Reading {name}…"));
        if widgets::action(ui, "Do not read it").clicked() {
            view.leave_reading();
        }
        return;
    }
    let Some((tracing, _)) = shown.plan.traced() else {
        widgets::hint(
            ui,
            "No picture lies under the floor yet. A photo or a scan of the building's drawing can be laid there, PNG or JPEG; \
             it is then sized by two points whose distance you know, and the walls are drawn after it.",
        );
        if !shown.read_only && widgets::action(ui, "Choose a picture…").clicked() {
            actions.ask(Action::Tracing(TracingAction::Choose));
        }
        return;
    };
    panel.begin(tracing, shown.practice());
    ui.add(Label::new(RichText::new(tracing.name.as_str()).strong()).wrap());
    if let Some(why) = view.trouble() {
        ui.add(Label::new(RichText::new(why).color(palette(ui).broken.text)).wrap());
    }
    ui.add_enabled_ui(!shown.read_only, |ui| {
        ui.horizontal_wrapped(|ui| {
            if widgets::action(ui, "Choose another…").clicked() {
                actions.ask(Action::Tracing(TracingAction::Choose));
            }
            if widgets::action(ui, "Take the picture away").clicked() {
                actions.edit(Edit::Trace(None));
            }
        });
        looks(ui, tracing, view, actions);
        size(ui, shown, tracing, panel, view, actions);
        place(ui, shown, tracing, panel, view, actions);
        turn(ui, tracing, panel, view, actions);
    });
    ui.add_space(6.0);
    widgets::hint(
        ui,
        "The picture is kept in the plan's file, without what a camera notes of time and place. It is not drawn on the sheet. A photo \
         taken at a slant is no drawing: check lengths with a tape.",
    );
}

fn head(ui: &mut Ui, words: &str) {
    ui.add_space(6.0);
    ui.label(RichText::new(words).size(text::LABEL).strong());
}

/// Show or hide, and how strongly.
fn looks(ui: &mut Ui, tracing: &Tracing, view: &mut TracingView, actions: &mut Actions) {
    let mut show = !tracing.hidden;
    if ui.checkbox(&mut show, "Show the picture").changed() {
        let name = if show {
            "Show the picture"
        } else {
            "Hide the picture"
        };
        let hidden = !show;
        actions.edit(picture_step(
            name,
            Tracing {
                hidden,
                ..tracing.clone()
            },
        ));
    }
    let mut percent = view.opacity.unwrap_or(tracing.opacity);
    ui.horizontal(|ui| {
        let label = ui.label("Opacity");
        let slider = Slider::new(&mut percent, Tracing::FAINTEST..=100).suffix(" %");
        let response = ui.add(slider).labelled_by(label.id);
        if response.changed() {
            view.opacity = Some(percent);
        }
        // One step for a whole drag.
        if !response.dragged()
            && let Some(opacity) = view.opacity.take()
        {
            actions.edit(picture_step(
                "Fade the picture",
                Tracing {
                    opacity,
                    ..tracing.clone()
                },
            ));
        }
    });
}

/// The tool's switch: takes it in hand, or puts it back.
fn tool(ui: &mut Ui, label: &str, on: bool, view: &mut TracingView, tool: Tool) {
    if widgets::pill(ui, label, on).clicked() {
        view.tool = if on { Tool::Rest } else { tool };
    }
}

fn size(
    ui: &mut Ui,
    shown: &Shown<'_>,
    tracing: &Tracing,
    panel: &mut TracingPanel,
    view: &mut TracingView,
    actions: &mut Actions,
) {
    let practice = shown.practice();
    head(ui, "Size");
    let on = matches!(view.tool, Tool::Points(Purpose::Scale, _));
    let fresh = Tool::Points(Purpose::Scale, Vec::new());
    tool(ui, "Size by two points", on, view, fresh);
    if let Tool::Points(Purpose::Scale, points) = &view.tool {
        match points.as_slice() {
            [] => widgets::hint(
                ui,
                "Click one end of something whose true length you know: a long wall, or a scale bar.",
            ),
            [_] => widgets::hint(ui, "Click its other end."),
            [a, b, ..] => {
                let pair = (*a, *b);
                let now = Length::from_mm(a.distance(*b)).shown(practice);
                let words = format!(
                    "A to B is {now} as it lies now. Type the true length; or click two other points."
                );
                widgets::hint(ui, &words);
                if between(ui, practice, tracing, panel, pair, actions) {
                    view.tool = Tool::Rest;
                }
            }
        }
    }
    let name = "Size the picture";
    length(
        ui,
        "width",
        practice,
        &mut panel.width,
        name,
        actions,
        |width| Tracing {
            width,
            ..tracing.clone()
        },
    );
}

/// The field for the true length between the points; true once it was used.
fn between(
    ui: &mut Ui,
    practice: Practice,
    tracing: &Tracing,
    panel: &mut TracingPanel,
    pair: (crate::geometry::Point, crate::geometry::Point),
    actions: &mut Actions,
) -> bool {
    let draft = &mut panel.between;
    let field = Field::new("true length")
        .hint("26ft 4in")
        .error(&draft.error);
    let FieldEvent::Committed(typed) = field.ui(ui, &mut draft.typed) else {
        return false;
    };
    let sized = Length::parse(&typed, Some(practice))
        .map_err(|e| e.to_string())
        .and_then(|length| {
            scaled(tracing, pair, length.mm()).ok_or_else(|| {
                "the points are one, or the length is none; mark them again".to_owned()
            })
        });
    match sized {
        Ok(sized) => {
            actions.edit(picture_step("Size the picture", sized));
            true
        }
        Err(why) => {
            draft.error = why;
            false
        }
    }
}

fn place(
    ui: &mut Ui,
    shown: &Shown<'_>,
    tracing: &Tracing,
    panel: &mut TracingPanel,
    view: &mut TracingView,
    actions: &mut Actions,
) {
    let practice = shown.practice();
    head(ui, "Place of its middle");
    let on = matches!(view.tool, Tool::Move(_));
    tool(ui, "Move by dragging", on, view, Tool::Move(None));
    let (x, y) = tracing.at;
    let at = |at| Tracing {
        at,
        ..tracing.clone()
    };
    let name = "Move the picture";
    length(
        ui,
        "to the right",
        practice,
        &mut panel.right,
        name,
        actions,
        |x| at((x, y)),
    );
    length(ui, "up", practice, &mut panel.up, name, actions, |y| {
        at((x, y))
    });
}

fn turn(
    ui: &mut Ui,
    tracing: &Tracing,
    panel: &mut TracingPanel,
    view: &mut TracingView,
    actions: &mut Actions,
) {
    head(ui, "Turn");
    let on = matches!(view.tool, Tool::Points(Purpose::Level, _));
    let fresh = Tool::Points(Purpose::Level, Vec::new());
    tool(ui, "Level by two points", on, view, fresh);
    if let Tool::Points(Purpose::Level, points) = &view.tool {
        widgets::hint(
            ui,
            if points.is_empty() {
                "Click one end of a wall that should lie level or stand upright."
            } else {
                "Click its other end; the picture turns by itself."
            },
        );
    }
    let draft = &mut panel.turn;
    let field = Field::new("turned by").hint("1.5").error(&draft.error);
    if let FieldEvent::Committed(typed) = field.ui(ui, &mut draft.typed) {
        match Angle::parse(&typed) {
            Ok(turn) => actions.edit(picture_step(
                "Turn the picture",
                Tracing {
                    turn,
                    ..tracing.clone()
                },
            )),
            Err(why) => draft.error = why.to_string(),
        }
    }
}

/// A field for a length of the picture.
fn length(
    ui: &mut Ui,
    label: &str,
    practice: Practice,
    draft: &mut Draft,
    name: &str,
    actions: &mut Actions,
    with: impl FnOnce(Length) -> Tracing,
) {
    let field = Field::new(label).error(&draft.error);
    if let FieldEvent::Committed(typed) = field.ui(ui, &mut draft.typed) {
        match Length::parse(&typed, Some(practice)) {
            Ok(length) => {
                draft.error.clear();
                actions.edit(picture_step(name, with(length)));
            }
            Err(why) => draft.error = why.to_string(),
        }
    }
}
