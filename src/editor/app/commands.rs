//! The commands of menu and keyboard, carried out; every change goes through the editor's one place for edits.

use std::sync::Arc;

use egui::Ui;

use super::Editor;
use crate::checks::{CHECKS, Finding, Standing};
use crate::editor::action::Command;
use crate::editor::command;
use crate::editor::dialogs::{PathFor, Then};
use crate::editor::floor::Overlay;
use crate::editor::panels::aside::Aside;
use crate::editor::shown::Selection;
use crate::editor::tracing::Tool;
use crate::plan::{Edit, Id, Label, Phase, Pose};
use crate::storage::Recorded;
use crate::units::{Angle, Length};

impl Editor {
    pub(super) fn command(&mut self, ui: &Ui, command: Command) {
        match command {
            Command::New => self.leave(ui, Then::New),
            Command::Open => self.leave(ui, Then::Open),
            Command::Save => self.save(),
            Command::SaveAs => self.ask_path(PathFor::Save),
            Command::ExportSheet => self.ask_path(PathFor::Export),
            Command::ExportCards => self.ask_path(PathFor::Cards),
            Command::Quit => self.leave(ui, Then::Close),
            Command::AddPhase => self.add_phase(),
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::Duplicate => self.duplicate(),
            Command::Delete => {
                let ids: Vec<Id> = self.selection.iter().collect();
                if !ids.is_empty() {
                    self.edit(&Edit::Remove(ids));
                }
            }
            Command::TurnLeft => self.turn(Angle::QUARTER),
            Command::TurnRight => self.turn(-Angle::QUARTER),
            Command::SelectAll => {
                self.selection = Selection::of(self.judged.layout.parts().map(|p| p.id));
            }
            Command::SelectNone => {
                self.selection = Selection::default();
                self.views.elevation.leave();
                self.pointed = None;
            }
            Command::ZoomToFit => self.views.floor.fit(),
            Command::ZoomIn => self.zoom(1.25),
            Command::ZoomOut => self.zoom(0.8),
            Command::SwitchTheme => self.switch_theme(ui),
            Command::NextFinding => self.next_finding(),
            Command::Fill => self.show_fill(!self.views.fill.is_open()),
            Command::LineUp(side) => self.line_up(side),
            Command::Spread(along) => self.spread(along),
            Command::ToWall => self.turn_to_wall(),
            Command::MirrorAcross => self.mirror_across(),
            Command::OneBeside => self.one_beside(),
            Command::FromPhase => self.leave_place(),
            Command::Lock => self.lock(),
            Command::Steps => self.show_aside(Aside::Steps),
            Command::Room => self.show_aside(Aside::Room),
            Command::Picture => self.show_aside(Aside::Picture),
            Command::Larger => self.step_scale(true),
            Command::Lesser => self.step_scale(false),
            Command::UsualSize => self.set_scale(100),
            Command::Keys => self.show_aside(Aside::Keys),
            Command::Checks => self.show_aside(Aside::Check(self.check_to_read())),
            Command::Schedule => self.show_schedule(!self.views.schedule.is_open()),
            Command::BadDays => self.show_bad_days(!self.views.days.is_open()),
            Command::Measure => self.measure(),
            Command::KeepDimension => self.keep_dimension(),
            Command::Note => self.write_note(),
            Command::Find => self.views.find.focus(),
        }
    }

    fn undo(&mut self) {
        let before = Arc::clone(self.session.plan());
        if self.session.undo() {
            self.written_down(Recorded::Undo, &before);
        }
    }

    fn redo(&mut self) {
        let before = Arc::clone(self.session.plan());
        if self.session.redo() {
            self.written_down(Recorded::Redo, &before);
        }
    }

    /// Undoes or does again until so many steps are taken.
    pub(super) fn step_to(&mut self, steps: usize) {
        if !self.may_change() {
            return;
        }
        for _ in steps..self.session.undo_len() {
            self.undo();
        }
        let most = self.session.undo_len() + self.session.future().len();
        for _ in self.session.undo_len()..steps.min(most) {
            self.redo();
        }
        self.status = match self.session.undo_label() {
            Some(step) => format!("The plan is as it was after: {step}."),
            None => "The plan is as it was opened.".to_owned(),
        };
    }

    /// One more phase at the end, on show at once.
    fn add_phase(&mut self) {
        let mut phases = self.session.plan().phases().to_vec();
        let Ok(name) = Label::new(&format!("Phase {}", phases.len() + 1)) else {
            return;
        };
        phases.push(Phase { name });
        self.edit(&Edit::SetPhases(phases));
        self.show_phase(self.session.plan().last_phase());
    }

    /// True where a command that saves or leaves the plan has to wait a frame, so that what stands typed in a field is in the plan
    /// by then.
    pub(super) fn takes_in_what_is_typed(&mut self, ui: &Ui, command: Command) -> bool {
        let ctx = ui.ctx();
        let field = ctx.memory(egui::Memory::focused);
        let waits = command::concerns_the_file(command) && ctx.text_edit_focused();
        let Some(field) = field.filter(|_| waits) else {
            return false;
        };
        ctx.memory_mut(|m| m.surrender_focus(field));
        ctx.request_repaint();
        self.waiting = Some(command);
        true
    }

    /// Puts the panel schedule in the elevation's place, or the elevation back.
    fn show_schedule(&mut self, open: bool) {
        self.views.elevation.leave();
        self.views.days.show(false);
        self.views.schedule.show(open);
        let wires = open.then_some(Overlay::Wires);
        self.views.floor.overlays.beside(wires);
    }

    /// Puts the cards of bad days in the elevation's place, or the elevation back.
    fn show_bad_days(&mut self, open: bool) {
        self.show_schedule(false);
        self.views.days.show(open);
    }

    /// Puts a list in the stock drawer's place, or the drawer back.
    fn show_aside(&mut self, aside: Aside) {
        let both_about_checks = matches!(
            (self.views.aside, aside),
            (Some(Aside::Check(_)), Aside::Check(_))
        );
        if self.views.aside == Some(aside) || both_about_checks {
            self.show_fill(false);
            self.views.aside = None;
            self.views.floor.tracing.tool = Tool::Rest;
        } else {
            self.open_aside(aside);
        }
    }

    /// Puts a list in the stock drawer's place.
    pub(super) fn open_aside(&mut self, aside: Aside) {
        self.show_fill(false);
        self.views.aside = Some(aside);
        if aside != Aside::Picture {
            self.views.floor.tracing.tool = Tool::Rest;
        }
    }

    /// The check that a person who asks about checks most likely means: that of the finding pointed at, else the first.
    fn check_to_read(&self) -> &'static str {
        let pointed = self.pointed.as_deref();
        let findings = &self.judged.findings;
        let found = pointed.and_then(|key| findings.iter().find(|f| f.key() == key));
        found.map_or(CHECKS[0].id, |f| f.check)
    }

    pub(super) fn zoom(&mut self, factor: f32) {
        if let Some(camera) = self.views.floor.camera {
            let middle = camera.view().center();
            self.views.floor.look(camera.zoomed(factor, middle));
        }
    }

    pub(super) fn turn(&mut self, by: Angle) {
        let ids: Vec<Id> = self
            .selection
            .iter()
            .filter(|id| {
                self.session
                    .plan()
                    .items()
                    .get(*id)
                    .is_some_and(|i| i.pose().is_some() && !i.kind().is_written())
            })
            .collect();
        if !ids.is_empty() {
            self.edit(&Edit::Turn(ids, by));
        }
    }

    /// Copies of what is selected, a little beside, racks with their printers; nothing stays plugged in.
    pub(super) fn duplicate(&mut self) {
        let plan = self.session.plan();
        let copies = plan.copies(self.selection.iter(), |_, pose| Some(beside(pose)));
        let nothing = "Only things that stand on the floor can be duplicated.";
        self.made(copies.step("Duplicate"), nothing);
    }

    /// Shows the place of a finding and selects what it is about.
    pub(super) fn point(&mut self, key: &str) {
        let Some(finding) = self.judged.findings.iter().find(|f| f.key() == key) else {
            return;
        };
        let lead = finding.items.first().copied();
        if let Some(at) = finding.at {
            self.views.floor.show_place(at.point);
        }
        self.selection = lead.map_or_else(Selection::default, Selection::one);
        self.pointed = Some(key.to_owned());
    }

    pub(super) fn next_finding(&mut self) {
        let open: Vec<String> = self
            .judged
            .findings
            .iter()
            .filter(|f| f.standing != Standing::Met)
            .map(Finding::key)
            .collect();
        let now = self
            .pointed
            .as_ref()
            .and_then(|key| open.iter().position(|k| k == key));
        let next = now.map_or(0, |k| (k + 1) % open.len().max(1));
        if let Some(key) = open.get(next) {
            self.point(&key.clone());
        }
    }
}

/// Where a copy of what stands at a place comes down: a foot to the right and down the sheet.
pub(super) fn beside(pose: Pose) -> Pose {
    let step = Length::from_inches(12);
    pose.moved(step, -step)
}
