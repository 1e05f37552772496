//! The few questions that stand before the work: a new plan, a path, losing work, unsaved work that was found, a plan that
//! may only be looked at. Each is typed or clicked; none can write.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError};

use egui::{Context, Key, Modal, ScrollArea, TextEdit, Ui};

use super::files;
use super::panels::new_plan::{NewPlanView, new_plan_ui};
use super::panels::start::{Begin, start_ui};
use super::settings::Recent;
use super::theme::palette;
use crate::plan::Plan;
use crate::storage::journal::Left;

/// What a path is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PathFor {
    /// A plan to open.
    Open,
    /// Where to save the plan.
    Save,
    /// Where to write the sheet.
    Export,
    /// The folder for the cards of bad days and the labels.
    Cards,
    /// A picture to trace in this plan.
    Trace,
    /// A picture to trace in a plan of its own.
    TraceNew,
}

/// What to do once unsaved work is dealt with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Then {
    /// Close the window.
    Close,
    /// Ask for a new plan.
    New,
    /// Ask for a plan to open.
    Open,
    /// Open this plan.
    OpenPath(PathBuf),
    /// Ask for a picture to trace in a plan of its own.
    Trace,
}

/// A question on the screen.
#[derive(Debug)]
pub(super) enum Dialog {
    /// How to begin, with the plans opened last; true in the first frame.
    Start(Vec<Recent>, bool),
    /// Width, length and door of a new plan.
    New(Box<NewPlanView>),
    /// A path.
    Path(PathQuestion),
    /// There is unsaved work.
    Leave(Then),
    /// Unsaved work was found.
    Found(Vec<Left>),
    /// Something to read.
    Words(String),
}

/// A path being asked for.
#[derive(Debug)]
pub(super) struct PathQuestion {
    /// What for.
    pub(super) purpose: PathFor,
    /// What is typed.
    pub(super) typed: String,
    /// What went wrong with the last answer.
    pub(super) error: String,
    /// True where the name is taken and replacing it is offered.
    pub(super) taken: bool,
    /// The desktop's own dialog, while it is open.
    browsing: Option<Receiver<Option<PathBuf>>>,
}

impl PathQuestion {
    /// A question that starts from a path.
    pub(super) fn new(purpose: PathFor, typed: String) -> Self {
        Self {
            purpose,
            typed,
            error: String::new(),
            taken: false,
            browsing: None,
        }
    }
}

/// How a question was answered.
#[derive(Debug)]
pub(super) enum Answer {
    /// How to begin.
    Begin(Begin),
    /// Not yet.
    None,
    /// Never mind.
    Away,
    /// A new plan.
    Plan(Box<Plan>),
    /// A path; replacing what is there was allowed.
    Path(PathFor, PathBuf, bool),
    /// Save first, then go on.
    SaveThen(Then),
    /// Give the work up, then go on.
    DropThen(Then),
    /// Take the unsaved work of that place in the list up again.
    Recover(usize),
    /// Put all unsaved work that was found aside.
    PutAside,
}

/// Shows the question and gives the answer.
pub(super) fn dialog_ui(ctx: &Context, dialog: &mut Dialog) -> Answer {
    let mut answer = Answer::None;
    // A question of another kind has another size: an area keeps the one it had.
    let kind = std::mem::discriminant(dialog);
    let frame = egui::Frame::popup(&ctx.global_style()).inner_margin(14);
    let modal = Modal::new(egui::Id::unique("question").with(kind)).frame(frame);
    let response = modal.show(ctx, |ui| {
        let window = ui.ctx().content_rect().size();
        ui.set_max_width(520.0_f32.min(window.x - 40.0));
        let most = window.y - 60.0;
        // Not as low as it was before its words grew.
        let scroll = ScrollArea::vertical()
            .max_height(most)
            .min_scrolled_height(most);
        answer = scroll
            .show(ui, |ui| match dialog {
                Dialog::Start(recent, fresh) => {
                    let first = std::mem::take(fresh);
                    start_ui(ui, recent, first).map_or(Answer::None, Answer::Begin)
                }
                Dialog::New(view) => new_plan(ui, view),
                Dialog::Path(question) => path(ui, question),
                Dialog::Leave(then) => leave(ui, then),
                Dialog::Found(left) => found(ui, left),
                Dialog::Words(words) => words_ui(ui, words),
            })
            .inner;
    });
    let may_leave = !matches!(dialog, Dialog::Found(_));
    if matches!(answer, Answer::None) && may_leave && response.should_close() {
        return Answer::Away;
    }
    answer
}

fn new_plan(ui: &mut Ui, view: &mut NewPlanView) -> Answer {
    let made = new_plan_ui(ui, view);
    if let Some(plan) = made {
        return Answer::Plan(Box::new(plan));
    }
    ui.add_space(4.0);
    if ui.button("Not now").clicked() {
        Answer::Away
    } else {
        Answer::None
    }
}

fn path(ui: &mut Ui, question: &mut PathQuestion) -> Answer {
    let (title, label, go) = match question.purpose {
        PathFor::Open => ("Open a plan", "Plan file", "Open"),
        PathFor::Save => ("Save the plan", "Save as", "Save"),
        PathFor::Export => ("Export the floor sheet", "Sheet file", "Export"),
        PathFor::Cards => ("Print cards and labels", "Folder for the pages", "Write"),
        PathFor::Trace | PathFor::TraceNew => (
            "Choose a picture to trace",
            "PNG or JPEG file",
            "Lay it under the floor",
        ),
    };
    ui.heading(title);
    let label = ui.label(label);
    let field = ui
        .add(TextEdit::singleline(&mut question.typed).desired_width(f32::INFINITY))
        .labelled_by(label.id);
    let entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if ui.memory(|m| m.focused().is_none()) {
        field.request_focus();
    }
    if field.changed() {
        question.taken = false;
        question.error.clear();
    }
    if !question.error.is_empty() {
        ui.colored_label(palette(ui).broken.text, &question.error);
    }
    browsed(ui, question);
    let mut answer = Answer::None;
    ui.horizontal(|ui| {
        let typed = !question.typed.trim().is_empty();
        let chosen = ui.add_enabled(typed, egui::Button::new(go)).clicked() || (entered && typed);
        let replace = question.taken && ui.button("Replace it").clicked();
        if chosen || replace {
            let path = PathBuf::from(question.typed.trim());
            answer = Answer::Path(question.purpose, path, replace);
        }
        if ui.button("Browse…").clicked() {
            let start = PathBuf::from(question.typed.trim());
            question.browsing = Some(files::browse(question.purpose, &start));
        }
        if ui.button("Cancel").clicked() {
            answer = Answer::Away;
        }
    });
    answer
}

/// Takes in what the desktop's dialog chose.
fn browsed(ui: &Ui, question: &mut PathQuestion) {
    let Some(browsing) = &question.browsing else {
        return;
    };
    match browsing.try_recv() {
        Ok(Some(path)) => {
            question.typed = path.display().to_string();
            question.browsing = None;
        }
        Ok(None) | Err(TryRecvError::Disconnected) => {
            "No file was chosen, or this desktop has no file dialog; a path can be typed here."
                .clone_into(&mut question.error);
            question.browsing = None;
        }
        Err(TryRecvError::Empty) => ui
            .ctx()
            .request_repaint_after(std::time::Duration::from_millis(100)),
    }
}

fn leave(ui: &mut Ui, then: &Then) -> Answer {
    ui.heading("This plan has unsaved changes");
    ui.label("Save them before going on?");
    let mut answer = Answer::None;
    ui.horizontal(|ui| {
        if ui.button("Save").clicked() {
            answer = Answer::SaveThen(then.clone());
        }
        if ui.button("Do not save").clicked() {
            answer = Answer::DropThen(then.clone());
        }
        if ui.button("Keep working").clicked() {
            answer = Answer::Away;
        }
    });
    answer
}

fn found(ui: &mut Ui, left: &[Left]) -> Answer {
    ui.heading("Unsaved work was found");
    ui.label("The program ended last time before this was saved.");
    let mut answer = Answer::None;
    for (k, one) in left.iter().enumerate() {
        let name = one
            .about
            .as_ref()
            .and_then(|a| a.plan.as_ref())
            .and_then(|p| p.file_name())
            .map_or("a plan without a file".into(), |n| n.to_string_lossy());
        ui.horizontal(|ui| {
            ui.label(format!("{name}, {} steps", one.edits));
            if ui.button(format!("Take up {}", k + 1)).clicked() {
                answer = Answer::Recover(k);
            }
        });
    }
    if ui.button("Put it aside for 30 days").clicked() {
        answer = Answer::PutAside;
    }
    answer
}

fn words_ui(ui: &mut Ui, words: &str) -> Answer {
    ScrollArea::vertical().max_height(400.0).show(ui, |ui| {
        ui.label(words);
    });
    if ui.button("Close").clicked() {
        Answer::Away
    } else {
        Answer::None
    }
}
