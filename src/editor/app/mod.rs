//! The window: builds what a frame shows, draws the panels, and carries out what was asked for, once, after the frame.

mod arranging;
mod comfort;
mod commands;
mod filling;
mod measuring;
mod questions;
mod tracing;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::{CentralPanel, Frame, Panel, Ui};

use super::action::{Action, Actions, Command};
use super::command;
use super::derived::{Judged, Mends};
use super::dialogs::{Dialog, Then};
use super::files::{File, SharedDisk};
use super::filling::{Filler, Filling};
use super::floor::{Camera, FloorView, Gesture, floor_ui, put, reach_mm, refusal, sensible_place};
use super::keeper::Keeper;
use super::panels::aside::Aside;
use super::panels::{
    bad_days, card, drawer, elevation, fill, find, headroom, phases, punch_list, room, schedule,
    status, tracing as picture,
};
use super::settings::{Recent, Settings};
use super::shown::{Selection, Shown};
use super::theme::{self, palette};
use crate::plan::{Edit, Id, Library, PhaseNo, Plan, Session};
use crate::storage::Recorded;
use crate::storage::disk::folder_of;
use crate::storage::journal::{Left, find_left, tidy_refused};
use crate::storage::save::sweep_temps;
use crate::units::Length;

/// What the editor is given from outside.
#[derive(Clone, Debug)]
pub struct Setting {
    /// The door to files.
    pub disk: SharedDisk,
    /// The folder for unsaved work; nothing is kept without one.
    pub state: Option<PathBuf>,
    /// Today's date as it stands on sheets.
    pub today: String,
}

/// The views of the panels: drafts of fields, scroll places.
#[derive(Debug, Default)]
struct Views {
    floor: FloorView,
    drawer: drawer::DrawerView,
    fill: fill::FillView,
    find: find::FindView,
    aside: Option<Aside>,
    room: room::RoomView,
    picture: picture::TracingPanel,
    card: card::CardView,
    elevation: elevation::ElevationView,
    schedule: schedule::ScheduleView,
    days: bad_days::DaysView,
    punch: punch_list::PunchView,
    compact: comfort::Compact,
    /// The height above the floor at which lines of equal air speed are drawn; none for the middle of the printers.
    air_height: Option<Length>,
}

/// The editor.
#[derive(Debug)]
pub struct Editor {
    library: Arc<Library>,
    setting: Setting,
    session: Session,
    phase: PhaseNo,
    judged: Judged,
    /// The plan as if what is dragged were dropped.
    preview: Option<(Judged, Selection)>,
    mends: Mends,
    /// The revision and phase that the mends are for.
    mended: Option<(u64, PhaseNo)>,
    filling: Filling,
    selection: Selection,
    pointed: Option<String>,
    status: String,
    file: File,
    file_name: String,
    keeper: Keeper,
    views: Views,
    dialog: Option<Dialog>,
    found: Vec<Left>,
    leaving: bool,
    settings: Settings,
    /// A command that waits for what stands typed in a field to be taken in.
    waiting: Option<Command>,
}

impl Editor {
    /// An editor over a plan that no file holds, or that is only an example.
    pub fn new(library: Library, setting: Setting, session: Session) -> Self {
        let phase = session.plan().last_phase();
        let judged = Judged::of(&library, session.plan(), phase);
        let keeper = Keeper::new(Arc::clone(&setting.disk), setting.state.clone());
        Self {
            library: Arc::new(library),
            session,
            phase,
            judged,
            preview: None,
            mends: Mends::default(),
            mended: None,
            filling: Filling::default(),
            selection: Selection::default(),
            pointed: None,
            status: String::new(),
            file: File::none(),
            file_name: String::new(),
            keeper,
            views: Views::default(),
            dialog: None,
            found: Vec::new(),
            leaving: false,
            waiting: None,
            settings: Settings::of(Arc::clone(&setting.disk), None),
            setting,
        }
    }

    /// The same with another searcher in the place of fill's own.
    #[must_use]
    pub fn with_filler(mut self, filler: Filler) -> Self {
        self.filling = Filling::new(filler);
        self
    }

    /// Looks for unsaved work that an earlier run left, and asks about it.
    pub fn look_for_unsaved_work(&mut self) {
        let Some(folder) = &self.setting.state else {
            return;
        };
        // Leftovers of runs that were killed in the middle of a save; what cannot be swept now is swept another time.
        let _ = sweep_temps(self.setting.disk.as_ref(), folder);
        tidy_refused(self.setting.disk.as_ref(), folder, crate::editor::now());
        match find_left(self.setting.disk.as_ref(), folder) {
            Ok(left) if !left.is_empty() => {
                self.found.clone_from(&left);
                self.dialog = Some(Dialog::Found(left));
            }
            Ok(_) => {}
            Err(error) => self.status = error.to_string(),
        }
    }

    /// Opens a plan; what goes wrong is said on the screen.
    pub fn open(&mut self, path: &Path) {
        match File::open(self.setting.disk.as_ref(), &self.library, path) {
            Ok((file, plan)) => {
                self.file.release(self.setting.disk.as_ref());
                let _ = sweep_temps(self.setting.disk.as_ref(), folder_of(path));
                self.file = file;
                if let Some(why) = &self.file.read_only {
                    self.dialog = Some(Dialog::Words(format!(
                        "This plan can only be looked at.\n\n{why}"
                    )));
                }
                self.take_over(Session::opened(plan));
                if let Some(why) = self.file.to_mend.take() {
                    self.views.aside = Some(Aside::Room);
                    self.dialog = Some(Dialog::Words(format!(
                        "The tape walk of this room has to be mended before anything else can be changed; the Room panel is open beside the floor.\n\n{why}"
                    )));
                }
                self.status = format!("Opened {}.", self.file.name());
                self.remember(path);
            }
            Err(error) => self.dialog = Some(Dialog::Words(error.to_string())),
        }
    }

    /// The document and its history.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// What is selected.
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// Where the floor view looks; `None` before the first frame.
    pub fn camera(&self) -> Option<Camera> {
        self.views.floor.camera
    }

    /// The phase on show.
    pub fn phase(&self) -> PhaseNo {
        self.phase
    }

    /// Shows another phase.
    pub fn show_phase(&mut self, phase: PhaseNo) {
        self.phase = phase;
        self.refresh(true);
    }

    /// Selects one thing.
    pub fn select(&mut self, id: Id) {
        self.selection = Selection::one(id);
    }

    /// Waits for everything that is worked out behind: for pictures, which show a finished frame.
    pub fn settle(&mut self) {
        self.mends.finish();
        self.views.schedule.finish();
        self.views.days.finish();
        self.views.floor.tracing.finish();
    }

    /// Another document takes the place of this one.
    fn take_over(&mut self, session: Session) {
        self.keeper.close();
        self.session = session;
        self.phase = self.session.plan().last_phase();
        self.selection = Selection::default();
        self.pointed = None;
        self.views = Views::default();
        self.filling.forget();
        self.refresh(true);
    }

    /// Derives anew what the document or the phase changed.
    fn refresh(&mut self, whole: bool) {
        self.follow_plan();
        let plan = self.session.plan();
        if self.phase > plan.last_phase() {
            self.phase = plan.last_phase();
        }
        self.judged = if whole || self.judged.layout.phase() != self.phase {
            Judged::of(&self.library, plan, self.phase)
        } else {
            self.judged.step(&self.library, plan)
        };
        self.selection.keep(plan);
    }

    /// One frame.
    pub fn ui(&mut self, ui: &mut Ui) {
        self.follow_scale(ui);
        self.mends.collect();
        self.collect_fill(ui);
        if let Some(why) = self.keeper.trouble() {
            self.status = why;
        }
        self.follow_tracing(ui);
        self.follow_gesture();
        self.work_on_mends(ui);
        self.file_name = self.file.name();
        let mut actions = Actions::default();
        let walls_open = !self.views.fill.is_open() && self.views.aside == Some(Aside::Room);
        let walls = &mut self.views.floor.walls;
        walls.follow(walls_open, self.session.plan());
        self.panels(ui, &mut actions);
        self.ask(ui);
        let waited = self.waiting.take();
        for action in actions.take() {
            self.carry_out(ui, action);
        }
        if let Some(command) = waited {
            self.command(ui, command);
        }
        self.closing(ui);
    }

    /// The plan as if what is dragged were dropped here.
    fn follow_gesture(&mut self) {
        let floor = &mut self.views.floor;
        floor
            .walls
            .foresee(&floor.gesture, &self.library, &self.judged.layout);
        self.preview = self.in_hand().and_then(|(edit, selection)| {
            let plan = self
                .session
                .plan()
                .edited(&self.library.stock, &edit)
                .ok()?;
            Some((self.judged.step(&self.library, &Arc::new(plan)), selection))
        });
    }

    /// The change that letting go would make now, and what is selected then.
    fn in_hand(&self) -> Option<(Edit, Selection)> {
        let layout = &self.judged.layout;
        let gesture = &self.views.floor.gesture;
        let shows = !matches!(
            gesture,
            Gesture::Idle | Gesture::Pan | Gesture::Marquee { .. }
        );
        if shows {
            let reach = reach_mm(self.views.floor.mm_per_point());
            let (edit, ids) = gesture.edit(&self.library, layout, reach)?;
            return Some((edit, Selection::of(ids)));
        }
        let plan = self.session.plan();
        if let Some((edit, id)) = self.views.elevation.wall.edit(plan) {
            return Some((edit, Selection::one(id)));
        }
        self.views.elevation.edit(layout)
    }

    fn work_on_mends(&mut self, ui: &Ui) {
        let now = (self.session.revision(), self.phase);
        let resting =
            self.views.floor.gesture == Gesture::Idle && !self.views.elevation.wall.is_busy();
        if resting && self.mended != Some(now) {
            self.mended = Some(now);
            let ctx = ui.ctx().clone();
            self.mends
                .begin(&self.library, &self.judged, move || ctx.request_repaint());
        }
    }

    fn panels(&mut self, ui: &mut Ui, actions: &mut Actions) {
        self.views.floor.marked = self.views.days.marked();
        let (judged, selection) = match &self.preview {
            Some((judged, selection)) => (judged, selection.clone()),
            None => (&self.judged, self.selection.clone()),
        };
        let headroom = self.headroom_of(judged);
        let shown = Shown {
            library: &self.library,
            plan: judged.layout.plan(),
            layout: &judged.layout,
            findings: &judged.findings,
            mends: self.mends.found(),
            headroom: &headroom,
            filling: &self.filling,
            air_height: self.views.air_height,
            selection: &selection,
            pointed: self.pointed.as_deref(),
            file: &self.file_name,
            unsaved: self.session.is_unsaved(),
            read_only: self.file.read_only.is_some(),
            undo: self.session.undo_label(),
            redo: self.session.redo_label(),
            measures: self.views.floor.measure.settled().is_some(),
            history: &self.session,
            status: &self.status,
        };
        if self.dialog.is_none() {
            leave_measure(ui, &mut self.views.floor);
            shortcuts(ui, &shown, actions);
            clipboard(ui, &shown, actions);
        }
        let colours = palette(ui);
        let frame = |fill| Frame::new().fill(fill);
        let small = comfort::is_small(ui);
        Panel::top("head")
            .frame(frame(colours.frame))
            .show(ui, |ui| {
                theme::on_frame(ui);
                let kept = (self.settings.recent(), self.settings.scale());
                menus(ui, &shown, kept, &mut self.views.find, actions);
                if !small {
                    headroom::headroom_ui(ui, &shown);
                    phases::phases_ui(ui, &shown, actions);
                }
            });
        Panel::bottom("foot")
            .frame(frame(colours.frame))
            .show(ui, |ui| {
                theme::on_frame(ui);
                status::status_ui(ui, &shown);
            });
        if small {
            CentralPanel::no_frame()
                .frame(frame(colours.drawer))
                .show(ui, |ui| {
                    comfort::compact_ui(ui, &shown, &mut self.views, actions);
                });
            return;
        }
        let (name, size) = if self.views.fill.is_open() {
            ("fill", 272.0)
        } else if self.views.aside.is_some() {
            ("aside", 272.0)
        } else {
            ("stock", 224.0)
        };
        Panel::left(name)
            .frame(frame(colours.drawer).inner_margin(SIDE))
            .default_size(size)
            .size_range(180.0..=380.0)
            .show(ui, |ui| {
                comfort::left_ui(ui, &shown, &mut self.views, actions);
            });
        Panel::right("side")
            .frame(frame(colours.drawer).inner_margin(SIDE))
            .default_size(340.0)
            .size_range(280.0..=520.0)
            .show(ui, |ui| {
                let half = ui.available_height() * 0.46;
                Panel::top("card")
                    .frame(frame(colours.drawer))
                    .resizable(true)
                    .default_size(half)
                    .show(ui, |ui| {
                        card::card_ui(ui, &shown, &mut self.views.card, actions);
                    });
                punch_list::punch_list_ui(ui, &shown, &mut self.views.punch, actions);
            });
        let (name, fill, most) = if self.views.schedule.is_open() {
            ("schedule", colours.drawer, 320.0_f32)
        } else if self.views.days.is_open() {
            ("bad days", colours.drawer, 320.0)
        } else {
            ("elevation", colours.elevation, 240.0)
        };
        let share = most / 700.0;
        Panel::bottom(name)
            .frame(frame(fill))
            .resizable(true)
            .default_size(most.min(ui.available_height() * share))
            .size_range(90.0..=420.0)
            .show(ui, |ui| {
                comfort::foot_ui(ui, &shown, &mut self.views, actions);
            });
        CentralPanel::no_frame()
            .frame(frame(colours.paper))
            .show(ui, |ui| {
                floor_ui(ui, &shown, &mut self.views.floor, actions);
            });
    }

    fn carry_out(&mut self, ui: &Ui, action: Action) {
        match action {
            Action::Edit(edit) => self.edit(&edit),
            Action::Command(command) if self.takes_in_what_is_typed(ui, command) => {}
            Action::Command(command) => self.command(ui, command),
            Action::Select(selection) => {
                self.selection = selection;
                self.pointed = None;
            }
            Action::Point(key) => self.point(&key),
            Action::Phase(phase) => self.show_phase(phase),
            Action::Take(entry) => {
                if self.may_change() {
                    self.views.floor.carry(entry);
                }
            }
            Action::Put(entry) => {
                let at = sensible_place(&self.shown_plainly(), &entry);
                if let Some((edit, id)) = put(&self.judged.layout, &entry, at, None) {
                    self.edit_and_select(&edit, [id]);
                }
            }
            Action::Drop(gesture, mm_per_point) => self.drop_gesture(&gesture, mm_per_point),
            Action::LetGo => {
                if let Some((edit, selection)) = self.views.elevation.edit(&self.judged.layout) {
                    self.edit(&edit);
                    self.selection = selection;
                }
                self.views.elevation.leave();
            }
            Action::DropOnWall => {
                if let Some((edit, id)) = self.views.elevation.wall.drop(self.session.plan()) {
                    self.edit_and_select(&edit, [id]);
                }
            }
            Action::Fill(action) => self.fill(ui, action),
            Action::Tracing(action) => self.tracing(action),
            Action::OpenRecent(path) => self.leave(ui, Then::OpenPath(path)),
            Action::Forget(path) => self.forget(&path),
            Action::About(check) => self.open_aside(Aside::Check(check)),
            Action::AirHeight(height) => self.views.air_height = height,
            Action::Scale(percent) => self.set_scale(percent),
            Action::StepTo(steps) => self.step_to(steps),
            Action::Find(words) => self.find(&words),
            Action::Copy(away) => self.copy(ui, away),
            Action::Paste(text) => self.paste(&text),
            Action::Say(words) => self.status = words,
        }
    }

    /// What is shown without anything being dragged.
    fn shown_plainly(&self) -> Shown<'_> {
        Shown {
            library: &self.library,
            plan: self.judged.layout.plan(),
            layout: &self.judged.layout,
            findings: &self.judged.findings,
            mends: self.mends.found(),
            headroom: &self.judged.headroom,
            filling: &self.filling,
            air_height: self.views.air_height,
            selection: &self.selection,
            pointed: None,
            file: &self.file_name,
            unsaved: self.session.is_unsaved(),
            read_only: self.file.read_only.is_some(),
            undo: None,
            redo: None,
            measures: self.views.floor.measure.settled().is_some(),
            history: &self.session,
            status: "",
        }
    }

    fn drop_gesture(&mut self, gesture: &Gesture, mm_per_point: f64) {
        let reach = reach_mm(mm_per_point);
        if let Some((edit, ids)) = gesture.edit(&self.library, &self.judged.layout, reach) {
            self.edit_and_select(&edit, ids);
        } else if let Some(why) = refusal(gesture, &self.library, &self.judged.layout) {
            self.status = format!("{}.", crate::units::capital(&why));
        }
    }

    /// True where the plan may be changed; says why not.
    fn may_change(&mut self) -> bool {
        if self.file.read_only.is_some() {
            "This plan can only be looked at; save a copy to change it."
                .clone_into(&mut self.status);
            return false;
        }
        true
    }

    /// Changes the document and selects what the change made.
    fn edit_and_select(&mut self, edit: &Edit, ids: impl IntoIterator<Item = Id>) {
        self.edit(edit);
        self.selection = Selection::of(ids);
        self.selection.keep(self.session.plan());
    }

    /// The only place from which the document is changed, apart from undo and redo.
    fn edit(&mut self, edit: &Edit) {
        if !self.may_change() {
            return;
        }
        let before = Arc::clone(self.session.plan());
        match self.session.apply(&self.library.stock, edit) {
            Ok(()) => {
                self.status = edit.label();
                self.written_down(Recorded::Edit(edit.clone()), &before);
            }
            Err(refused) => self.status = refused.to_string(),
        }
    }

    /// After a change: into the journal, and derive anew.
    fn written_down(&mut self, step: Recorded, before: &Arc<Plan>) {
        let after = Arc::clone(self.session.plan());
        if Arc::ptr_eq(before, &after) {
            return;
        }
        let path = self.file.path.as_deref();
        self.keeper
            .step(step, before, &after, path, self.file.holds);
        self.refresh(false);
    }
}

impl eframe::App for Editor {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        Self::ui(self, ui);
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.file.release(self.setting.disk.as_ref());
        self.keeper.settle();
    }
}

/// The margin of the panels at both sides.
const SIDE: egui::Margin = egui::Margin {
    left: 8,
    right: 6,
    top: 0,
    bottom: 4,
};

/// Escape takes the tape off the floor before it does anything else, unless something is dragged or typed.
fn leave_measure(ui: &Ui, floor: &mut FloorView) {
    let other = floor.gesture != Gesture::Idle || ui.ctx().text_edit_focused();
    if floor.measure.is_on()
        && !other
        && ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Escape))
    {
        floor.measure.leave();
    }
}

/// The keys of all commands; letters and editing keys are left to a field that has the keyboard.
fn shortcuts(ui: &Ui, shown: &Shown<'_>, actions: &mut Actions) {
    let typing = ui.ctx().text_edit_focused();
    let alt = ui.input(|i| i.modifiers.alt);
    let mut offers: Vec<_> = command::all()
        .filter_map(|o| o.keys.map(|k| (o, k)))
        .collect();
    offers.sort_by_key(|(_, keys)| std::cmp::Reverse(u8::from(keys.modifiers.shift)));
    for (offer, keys) in offers {
        // A key held with Alt is another key, though egui takes it for the same.
        if (typing && !command::works_while_typing(offer)) || (alt && !keys.modifiers.alt) {
            continue;
        }
        if !offer.enabled(shown) {
            // Else the same key without Shift would answer in its place.
            if keys.modifiers.shift {
                ui.input_mut(|i| i.consume_shortcut(&keys));
            }
            continue;
        }
        // A level of a rack is taken away by the elevation.
        if offer.command == Command::Delete && shown.selection.level().is_some() {
            continue;
        }
        // Escape first leaves what the floor is doing.
        if offer.command == Command::SelectNone
            && shown.selection.is_empty()
            && shown.pointed.is_none()
        {
            continue;
        }
        if ui.input_mut(|i| i.consume_shortcut(&keys)) {
            actions.command(offer.command);
        }
    }
    // On many keyboards plus is Shift and equals; nobody holds Shift for it.
    if ui.input_mut(|i| i.consume_key(egui::Modifiers::COMMAND, egui::Key::Equals)) {
        actions.command(Command::Larger);
    }
}

fn menus(
    ui: &mut Ui,
    shown: &Shown<'_>,
    (recent, scale): (&[Recent], u16),
    find: &mut find::FindView,
    actions: &mut Actions,
) {
    ui.add_space(5.0);
    egui::MenuBar::new().ui(ui, |ui| {
        ui.add_space(14.0);
        let menus: [(&str, &[command::Offer]); 4] = [
            ("Plan", &command::PLAN),
            ("Change", &command::CHANGE),
            ("Arrange", &command::ARRANGE),
            ("View", &command::VIEW),
        ];
        for (title, offers) in menus {
            ui.menu_button(title, |ui| {
                // A long menu in a low window scrolls.
                let most = (ui.ctx().content_rect().height() - 60.0).max(80.0);
                egui::ScrollArea::vertical()
                    .max_height(most)
                    .show(ui, |ui| menu(ui, shown, offers, actions));
                match title {
                    "Plan" => comfort::recent_menu(ui, recent, actions),
                    "View" => comfort::scale_menu(ui, scale, actions),
                    _ => {}
                }
            });
        }
        fill::command_ui(ui, actions);
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(18.0);
            find::find_ui(ui, find, actions);
        });
    });
}

/// The offers of one menu.
fn menu(ui: &mut Ui, shown: &Shown<'_>, offers: &[command::Offer], actions: &mut Actions) {
    for offer in offers {
        let button = egui::Button::new(offer.words(shown)).shortcut_text(offer.keys_words());
        if ui.add_enabled(offer.enabled(shown), button).clicked() {
            actions.command(offer.command);
            ui.close();
        }
    }
}

/// The system's own copy, cut and paste, where no field has the keyboard.
fn clipboard(ui: &Ui, shown: &Shown<'_>, actions: &mut Actions) {
    if ui.ctx().text_edit_focused() {
        return;
    }
    let asked: Vec<Action> = ui.input(|i| {
        let mut asked = Vec::new();
        for event in &i.events {
            if let egui::Event::Paste(text) = event {
                asked.push(Action::Paste(text.clone()));
            } else if matches!(event, egui::Event::Copy | egui::Event::Cut)
                && !shown.selection.is_empty()
            {
                asked.push(Action::Copy(*event == egui::Event::Cut));
            }
        }
        asked
    });
    for action in asked {
        actions.ask(action);
    }
}
