//! What the window does with a picture to trace: asks for its file, has it read behind, and lays it under the floor as one edit.

use std::path::Path;

use egui::Ui;

use super::Editor;
use crate::editor::action::TracingAction;
use crate::editor::dialogs::{Dialog, PathFor, PathQuestion};
use crate::editor::files::File;
use crate::editor::panels::aside::Aside;
use crate::editor::panels::new_plan;
use crate::editor::pictures::Pixels;
use crate::editor::tracing::{Purpose, Tool};
use crate::plan::{Edit, Label, Picture, Session, Tracing};
use crate::units::{Angle, Length};

/// How strongly a picture is drawn at first, in percent: walls and measures stay clear over it.
const FIRST_OPACITY: u8 = 60;

impl Editor {
    pub(super) fn tracing(&mut self, action: TracingAction) {
        match action {
            TracingAction::Choose => {
                if self.may_change() {
                    self.ask_path(PathFor::Trace);
                }
            }
        }
    }

    /// Has a picture's file read; its panel says so meanwhile.
    pub(super) fn read_picture(&mut self, path: &Path, fresh: bool) {
        self.dialog = None;
        self.show_fill(false);
        self.views.aside = Some(Aside::Picture);
        let disk = &self.setting.disk;
        self.views.floor.tracing.read(disk, path, fresh);
    }

    /// Follows the plan's picture, and takes in a file once it is read.
    pub(super) fn follow_tracing(&mut self, ui: &Ui) {
        if let Some(read) = self.views.floor.tracing.taken_in(ui.ctx()) {
            match read.result {
                Ok((picture, pixels)) => self.lay(ui, &read.path, read.fresh, &picture, pixels),
                Err(why) => {
                    let purpose = if read.fresh {
                        PathFor::TraceNew
                    } else {
                        PathFor::Trace
                    };
                    let mut question = PathQuestion::new(purpose, read.path.display().to_string());
                    question.error = why.to_string();
                    self.dialog = Some(Dialog::Path(question));
                }
            }
        }
        let plan = self.session.plan();
        self.views.floor.tracing.follow(ui.ctx(), plan);
    }

    fn lay(&mut self, ui: &Ui, path: &Path, fresh: bool, picture: &Picture, pixels: Pixels) {
        if fresh {
            match new_plan::usual() {
                Ok(plan) => {
                    self.file.release(self.setting.disk.as_ref());
                    self.file = File::none();
                    self.take_over(Session::new(plan));
                }
                Err(why) => {
                    self.status = why;
                    return;
                }
            }
        }
        let tall = f64::from(pixels.height()) / f64::from(pixels.width().max(1));
        let tracing = self.covering_the_room(path, tall);
        let before = self.session.revision();
        self.edit(&Edit::LayPicture(Box::new(tracing), picture.clone()));
        if self.session.revision() == before {
            return;
        }
        self.views.aside = Some(Aside::Picture);
        let view = &mut self.views.floor.tracing;
        view.shows(ui.ctx(), picture, pixels);
        // A picture has no true size before it is sized.
        view.tool = Tool::Points(Purpose::Scale, Vec::new());
        "The picture lies under the floor. Size it now: click two points whose distance you know."
            .clone_into(&mut self.status);
    }

    /// A picture of that height by width over the whole room.
    fn covering_the_room(&self, path: &Path, tall: f64) -> Tracing {
        let bounds = self.judged.layout.room().bounds();
        let (size, middle) = (bounds.size(), bounds.centre());
        let width = size.x.max(size.y / tall.max(1e-3)).max(1_000.0);
        let name: String = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .chars()
            .filter(|c| !c.is_control())
            .take(100)
            .collect();
        Tracing {
            name: Label::new(&name).unwrap_or_default(),
            at: (Length::from_mm(middle.x), Length::from_mm(middle.y)),
            width: Length::from_mm(width),
            turn: Angle::ZERO,
            opacity: FIRST_OPACITY,
            hidden: false,
        }
    }
}
