//! What is asked before the work goes on: paths, unsaved changes, unsaved work that was found; and what each answer does.

use std::path::Path;
use std::sync::Arc;

use egui::{Ui, ViewportCommand};

use super::Editor;
use crate::editor::action::Command;
use crate::editor::dialogs::{Answer, Dialog, PathFor, PathQuestion, Then, dialog_ui};
use crate::editor::files::{self, File};
use crate::editor::panels::start::Begin;
use crate::plan::{Plan, Session};
use crate::storage;

impl Editor {
    /// Goes on to something that would lose unsaved work, after asking.
    pub(super) fn leave(&mut self, ui: &Ui, then: Then) {
        if self.session.is_unsaved() {
            self.dialog = Some(Dialog::Leave(then));
        } else {
            self.go_on(ui, &then);
        }
    }

    pub(super) fn go_on(&mut self, ui: &Ui, then: &Then) {
        match then {
            Then::Close => {
                self.leaving = true;
                ui.ctx().send_viewport_cmd(ViewportCommand::Close);
            }
            Then::New => self.dialog = Some(Dialog::New(Box::default())),
            Then::Open => self.ask_path(PathFor::Open),
            Then::OpenPath(path) => self.open(path),
            Then::Trace => self.ask_path(PathFor::TraceNew),
        }
    }

    pub(super) fn ask_path(&mut self, purpose: PathFor) {
        let name: String = self.session.plan().head().name.as_str().to_lowercase();
        let stem: String = name
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join("-");
        let stem = if stem.is_empty() {
            "plan".to_owned()
        } else {
            stem
        };
        let folder = self
            .file
            .path
            .as_ref()
            .and_then(|p| p.parent())
            .map(Path::to_path_buf)
            .unwrap_or_default();
        let typed = match purpose {
            PathFor::Open | PathFor::Trace | PathFor::TraceNew => folder.join(""),
            PathFor::Save => folder.join(format!("{stem}.plan.ron")),
            PathFor::Export => folder.join(format!("{stem}-phase-{}.svg", self.phase)),
            PathFor::Cards => folder.join(format!("{stem}-phase-{}-cards", self.phase)),
        };
        self.dialog = Some(Dialog::Path(PathQuestion::new(
            purpose,
            typed.display().to_string(),
        )));
    }

    pub(super) fn save(&mut self) {
        if self.file.path.is_none() || self.file.read_only.is_some() {
            self.ask_path(PathFor::Save);
            return;
        }
        let plan = Arc::clone(self.session.plan());
        match self.file.save(self.setting.disk.as_ref(), &plan) {
            Ok(warning) => self.saved(&plan, warning),
            Err(error) => {
                self.dialog = Some(Dialog::Words(format!(
                    "{error}\n\nThe plan on the screen is kept; it can be saved under another name."
                )));
            }
        }
    }

    pub(super) fn saved(&mut self, plan: &Arc<Plan>, warning: Option<String>) {
        self.session.mark_saved(plan);
        self.keeper.close();
        self.status = warning.unwrap_or_else(|| format!("Saved {}.", self.file.name()));
        if let Some(path) = self.file.path.clone() {
            self.remember(&path);
        }
    }

    /// Shows the question that is open, if any, and takes its answer.
    pub(super) fn ask(&mut self, ui: &Ui) {
        let Some(dialog) = &mut self.dialog else {
            return;
        };
        match dialog_ui(ui.ctx(), dialog) {
            Answer::None => {}
            Answer::Away => {
                let from_start = matches!(
                    &self.dialog,
                    Some(Dialog::Path(question)) if question.purpose == PathFor::TraceNew
                );
                self.dialog = None;
                if from_start {
                    self.ask_how_to_begin();
                }
            }
            Answer::Begin(begin) => self.begin(ui, begin),
            Answer::Plan(plan) => {
                self.dialog = None;
                self.file.release(self.setting.disk.as_ref());
                self.file = File::none();
                self.take_over(Session::new(*plan));
                "Counting how many printers fit. Drag racks onto the floor, or take what is found."
                    .clone_into(&mut self.status);
                self.first_count(ui);
            }
            Answer::Path(purpose, path, replace) => self.path_given(purpose, &path, replace),
            Answer::SaveThen(then) => {
                self.dialog = None;
                self.save();
                if !self.session.is_unsaved() {
                    self.go_on(ui, &then);
                }
            }
            Answer::DropThen(then) => {
                self.dialog = None;
                // The work is given up where the window closes, else only once another plan takes its place: what comes next can
                // still fail or be thought better of.
                if then == Then::Close {
                    self.keeper.close();
                    let plan = Arc::clone(self.session.plan());
                    self.session.mark_saved(&plan);
                }
                self.go_on(ui, &then);
            }
            Answer::Recover(k) => self.recover(k),
            Answer::PutAside => self.put_aside(),
        }
    }

    /// Begins as was chosen in the first window.
    fn begin(&mut self, ui: &Ui, begin: Begin) {
        self.dialog = None;
        match begin {
            Begin::Example => {}
            Begin::Room => self.leave(ui, Then::New),
            Begin::Picture => self.leave(ui, Then::Trace),
            Begin::Open => self.leave(ui, Then::Open),
            Begin::Recent(path) => self.leave(ui, Then::OpenPath(path)),
            Begin::Forget(path) => {
                self.forget(&path);
                self.ask_how_to_begin();
            }
        }
    }

    pub(super) fn path_given(&mut self, purpose: PathFor, path: &Path, replace: bool) {
        let done = match purpose {
            PathFor::Open => {
                self.dialog = None;
                self.open(path);
                return;
            }
            PathFor::Trace | PathFor::TraceNew => {
                self.read_picture(path, purpose == PathFor::TraceNew);
                return;
            }
            PathFor::Save => {
                let plan = Arc::clone(self.session.plan());
                self.file
                    .save_as(self.setting.disk.as_ref(), &plan, path, replace)
                    .map(|warning| self.saved(&plan, warning))
            }
            PathFor::Export => files::export(
                self.setting.disk.as_ref(),
                &self.judged,
                self.filling.known(self.session.plan(), self.phase),
                path,
                &self.setting.today,
                replace,
            )
            .map(|()| self.status = format!("Wrote {}.", path.display())),
            PathFor::Cards => files::export_cards(
                self.setting.disk.as_ref(),
                &self.judged.layout,
                path,
                &self.setting.today,
                replace,
            )
            .map(|pages| {
                self.status = format!(
                    "Wrote {pages} pages into {}. Print them at 100 %.",
                    path.display()
                );
            }),
        };
        match done {
            Ok(()) => self.dialog = None,
            Err(error) => {
                if let Some(Dialog::Path(question)) = &mut self.dialog {
                    question.taken = files::name_is_taken(&error);
                    question.error = error.to_string();
                }
            }
        }
    }

    /// Takes unsaved work up again: as unsaved changes of its plan.
    pub(super) fn recover(&mut self, k: usize) {
        self.dialog = None;
        let Some(left) = self.found.get(k).cloned() else {
            return;
        };
        let disk = Arc::clone(&self.setting.disk);
        let recovered = left
            .replay(disk.as_ref())
            .map_err(|e| e.to_string())
            .and_then(|replay| {
                let (session, made) =
                    storage::replayed(&self.library, &replay).map_err(|e| e.to_string())?;
                Ok((replay, session, made))
            });
        match recovered {
            Ok((replay, session, made)) => {
                self.take_over(session);
                self.file = File::none();
                self.file.path.clone_from(&replay.about.plan);
                self.file.holds = replay.about.base;
                self.status = format!("Took up {made} unsaved steps; save them to keep them.");
                // From now on a journal of this run holds the work, beginning with the plan as it is.
                let plan = Arc::clone(self.session.plan());
                let path = self.file.path.clone();
                self.keeper.begin(&plan, path.as_deref(), self.file.holds);
                if let Err(error) = left.remove(disk.as_ref()) {
                    self.status = error.to_string();
                }
                self.found.remove(k);
            }
            Err(why) => self.dialog = Some(Dialog::Words(why)),
        }
    }

    pub(super) fn put_aside(&mut self) {
        self.dialog = None;
        let now = crate::editor::now();
        for left in std::mem::take(&mut self.found) {
            if let Err(error) = left.put_aside(self.setting.disk.as_ref(), now) {
                self.status = error.to_string();
            }
        }
    }

    /// The window is asked to close: unsaved work is asked about first.
    pub(super) fn closing(&mut self, ui: &Ui) {
        let asked = ui.input(|i| i.viewport().close_requested());
        if !asked || self.leaving {
            return;
        }
        if self.takes_in_what_is_typed(ui, Command::Quit) {
            ui.ctx().send_viewport_cmd(ViewportCommand::CancelClose);
        } else if self.session.is_unsaved() {
            ui.ctx().send_viewport_cmd(ViewportCommand::CancelClose);
            self.dialog = Some(Dialog::Leave(Then::Close));
        }
    }
}
