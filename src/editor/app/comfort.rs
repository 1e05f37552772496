//! How the window suits a person: how large everything is shown, the plans opened last, and the layout for little room, in which one
//! part is on show at a time and each scrolls.

use std::path::Path;

use egui::{Frame, Margin, ScrollArea, Ui};

use super::{Editor, SIDE, Views};
use crate::editor::action::{Action, Actions};
use crate::editor::dialogs::Dialog;
use crate::editor::floor::{Gesture, floor_ui};
use crate::editor::panels::aside::Aside;
use crate::editor::panels::{
    aside, bad_days, card, drawer, elevation, fill, headroom, phases, punch_list, schedule,
};
use crate::editor::settings::{Recent, next_scale};
use crate::editor::shown::Shown;
use crate::editor::theme::palette;
use crate::editor::tracing::Tool;
use crate::editor::widgets;

/// Below this width or height in points, one part is shown at a time.
const ROOMY: egui::Vec2 = egui::vec2(940.0, 560.0);

/// Which part a window with little room shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum PartOnShow {
    /// The floor.
    #[default]
    Floor,
    /// The stock drawer, or what stands in its place.
    Left,
    /// The card.
    Card,
    /// The punch list.
    Findings,
    /// The elevation, or what stands in its place.
    Elevation,
    /// The tape and the phases.
    Tape,
}

/// What little room remembers.
#[derive(Debug, Default)]
pub(super) struct Compact {
    part: PartOnShow,
    /// What stood at the left in the last frame; another one comes on show by itself.
    left: Option<&'static str>,
    /// What stood in the elevation's place in the last frame; opened, it comes on show by itself.
    foot: Option<&'static str>,
    /// True while something was carried in the last frame.
    carried: bool,
}

/// True where the window is too small for all its parts at once.
pub(super) fn is_small(ui: &Ui) -> bool {
    let size = ui.ctx().content_rect().size();
    size.x < ROOMY.x || size.y < ROOMY.y
}

/// What stands at the left, in a word.
fn left_word(views: &Views) -> &'static str {
    if views.fill.is_open() {
        return "Fill";
    }
    match views.aside {
        None => "Stock",
        Some(Aside::Steps) => "Steps",
        Some(Aside::Keys) => "Keys",
        Some(Aside::Room) => "Room",
        Some(Aside::Picture) => "Picture",
        Some(Aside::Check(_)) => "Check",
    }
}

/// The stock drawer, or what stands in its place.
pub(super) fn left_ui(ui: &mut Ui, shown: &Shown<'_>, views: &mut Views, actions: &mut Actions) {
    if views.fill.is_open() {
        fill::fill_ui(ui, shown, &mut views.fill, actions);
    } else if let Some(open) = views.aside {
        let room = (&mut views.room, &mut views.floor.walls);
        let picture = (&mut views.picture, &mut views.floor.tracing);
        if aside::aside_ui(ui, shown, open, room, picture, actions) {
            views.floor.tracing.tool = Tool::Rest;
            views.aside = None;
        }
    } else {
        drawer::drawer_ui(ui, shown, &mut views.drawer, actions);
    }
}

/// The elevation, or the panel schedule or the bad days in its place.
pub(super) fn foot_ui(ui: &mut Ui, shown: &Shown<'_>, views: &mut Views, actions: &mut Actions) {
    if views.schedule.is_open() {
        let gesture = &views.floor.gesture;
        let alone = ui.input(|i| i.key_down(schedule::ALONE));
        match gesture.printer(shown.layout).filter(|_| alone) {
            Some(printer) => views.schedule.carry(&[printer]),
            None => views.schedule.carry(gesture.carried()),
        }
        schedule::schedule_ui(ui, shown, &mut views.schedule, actions);
        views.floor.not_floor = views.schedule.area();
        return;
    }
    views.floor.not_floor = None;
    if views.days.is_open() {
        bad_days::bad_days_ui(ui, shown, &mut views.days, actions);
        return;
    }
    let chosen = views.floor.walls.chosen;
    views.elevation.wall.follow_chosen(chosen);
    elevation::elevation_ui(ui, shown, &mut views.elevation, actions);
}

/// The tabs of a small window, and the part that is on show.
pub(super) fn compact_ui(ui: &mut Ui, shown: &Shown<'_>, views: &mut Views, actions: &mut Actions) {
    let left = left_word(views);
    let compact = &mut views.compact;
    if compact.left.is_some_and(|before| before != left) {
        compact.part = PartOnShow::Left;
    }
    compact.left = Some(left);
    let instead = if views.schedule.is_open() {
        Some("Schedule")
    } else {
        views.days.is_open().then_some("Bad days")
    };
    if instead.is_some() && compact.foot != instead {
        compact.part = PartOnShow::Elevation;
    }
    compact.foot = instead;
    let foot = instead.unwrap_or("Elevation");
    // What is carried is put down on the floor, and two points are marked there.
    let carried = matches!(views.floor.gesture, Gesture::Carry { .. });
    if carried && !compact.carried {
        compact.part = PartOnShow::Floor;
    }
    compact.carried = carried;
    let parts = [
        (PartOnShow::Floor, "Floor"),
        (PartOnShow::Left, left),
        (PartOnShow::Card, "Card"),
        (PartOnShow::Findings, "Punch list"),
        (PartOnShow::Elevation, foot),
        (PartOnShow::Tape, "Count"),
    ];
    ui.horizontal_wrapped(|ui| {
        ui.add_space(6.0);
        for (part, label) in parts {
            if widgets::pill(ui, label, compact.part == part).clicked() {
                compact.part = part;
            }
        }
    });
    let colours = palette(ui);
    let part = compact.part;
    let framed = |fill, margin| Frame::new().fill(fill).inner_margin(margin);
    let within = |ui: &mut Ui, fill, margin: Margin, show: &mut dyn FnMut(&mut Ui)| {
        framed(fill, margin).show(ui, |ui| {
            ui.set_min_size(ui.available_size());
            show(ui);
        });
    };
    match part {
        PartOnShow::Floor => within(ui, colours.paper, Margin::ZERO, &mut |ui| {
            views.floor.not_floor = None;
            floor_ui(ui, shown, &mut views.floor, actions);
        }),
        PartOnShow::Left => within(ui, colours.drawer, SIDE, &mut |ui| {
            left_ui(ui, shown, views, actions);
        }),
        PartOnShow::Card => within(ui, colours.drawer, SIDE, &mut |ui| {
            card::card_ui(ui, shown, &mut views.card, actions);
        }),
        PartOnShow::Findings => within(ui, colours.drawer, SIDE, &mut |ui| {
            punch_list::punch_list_ui(ui, shown, &mut views.punch, actions);
        }),
        PartOnShow::Elevation => {
            let fill = if instead.is_some() {
                colours.drawer
            } else {
                colours.elevation
            };
            within(ui, fill, Margin::ZERO, &mut |ui| {
                foot_ui(ui, shown, views, actions);
            });
        }
        PartOnShow::Tape => within(ui, colours.frame, Margin::ZERO, &mut |ui| {
            ScrollArea::vertical().show(ui, |ui| {
                headroom::headroom_ui(ui, shown);
                phases::phases_ui(ui, shown, actions);
            });
        }),
    }
}

impl Editor {
    /// The same with a folder in which what suits a person is kept.
    #[must_use]
    pub fn with_settings(mut self, folder: Option<std::path::PathBuf>) -> Self {
        let disk = std::sync::Arc::clone(&self.setting.disk);
        self.settings = crate::editor::settings::Settings::of(disk, folder);
        self
    }

    /// The plans opened last.
    pub fn recent(&self) -> &[Recent] {
        self.settings.recent()
    }

    /// How large everything is shown, in percent.
    pub fn scale(&self) -> u16 {
        self.settings.scale()
    }

    /// The theme that was chosen.
    pub fn theme(&self) -> egui::Theme {
        if self.settings.dark() {
            egui::Theme::Dark
        } else {
            egui::Theme::Light
        }
    }

    /// Shows the other theme and keeps the choice.
    pub(super) fn switch_theme(&mut self, ui: &Ui) {
        let dark = ui.ctx().global_style().visuals.dark_mode;
        let next = if dark {
            egui::Theme::Light
        } else {
            egui::Theme::Dark
        };
        ui.ctx().set_theme(next);
        if let Some(trouble) = self.settings.set_dark(!dark) {
            self.status = trouble;
        }
    }

    /// Asks how to begin, unless something else is being asked.
    pub fn ask_how_to_begin(&mut self) {
        if self.dialog.is_none() {
            self.dialog = Some(Dialog::Start(self.settings.recent().to_vec(), true));
        }
    }

    /// Shows everything as large as was chosen.
    pub(super) fn follow_scale(&self, ui: &Ui) {
        let ctx = ui.ctx();
        // The keys that egui has for this would go by what is kept.
        ctx.options_mut(|options| options.zoom_with_keyboard = false);
        let wanted = f32::from(self.scale()) / 100.0;
        if (ctx.zoom_factor() - wanted).abs() > 0.001 {
            ctx.set_zoom_factor(wanted);
        }
    }

    /// Shows everything larger or smaller by a step.
    pub(super) fn step_scale(&mut self, up: bool) {
        self.set_scale(next_scale(self.scale(), up));
    }

    pub(super) fn set_scale(&mut self, percent: u16) {
        let trouble = self.settings.set_scale(percent);
        self.status = trouble.unwrap_or_else(|| format!("Everything is shown at {percent} %."));
    }

    /// Keeps a plan in the list of those opened last.
    pub(super) fn remember(&mut self, path: &Path) {
        if let Some(trouble) = self.settings.opened(path) {
            self.status = trouble;
        }
    }

    pub(super) fn forget(&mut self, path: &Path) {
        if let Some(trouble) = self.settings.forget(path) {
            self.status = trouble;
        }
    }
}

/// The menu of the plans opened last.
pub(super) fn recent_menu(ui: &mut Ui, recent: &[Recent], actions: &mut Actions) {
    ui.menu_button("Opened last", |ui| {
        if recent.is_empty() {
            widgets::hint(ui, "Plans that you save or open will stand here.");
        }
        for plan in recent {
            let label = if plan.there {
                plan.name()
            } else {
                format!("{}: missing, take off the list", plan.name())
            };
            if ui.button(label).on_hover_text(plan.folder()).clicked() {
                let path = plan.path.clone();
                actions.ask(if plan.there {
                    Action::OpenRecent(path)
                } else {
                    Action::Forget(path)
                });
                ui.close();
            }
        }
    });
}

/// The menu of sizes.
pub(super) fn scale_menu(ui: &mut Ui, now: u16, actions: &mut Actions) {
    ui.menu_button(format!("Size of everything: {now} %"), |ui| {
        for percent in crate::editor::settings::SCALES {
            if ui.radio(percent == now, format!("{percent} %")).clicked() {
                actions.ask(Action::Scale(percent));
                ui.close();
            }
        }
    });
}
