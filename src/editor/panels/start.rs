//! The first window: how to begin, and the plans opened last. Asks, opens nothing.

use std::path::PathBuf;

use egui::{Button, Label, RichText, Ui, vec2};

use crate::editor::settings::Recent;
use crate::editor::theme::text;
use crate::editor::widgets;

/// How a person wants to begin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Begin {
    /// Look at the example, which is on the screen already.
    Example,
    /// A new room from its width, its length and its door.
    Room,
    /// A picture to trace.
    Picture,
    /// A plan by its path, asked for.
    Open,
    /// A plan of the list.
    Recent(PathBuf),
    /// Take a plan off the list.
    Forget(PathBuf),
}

/// Width of the buttons, so that what each does stands in one column.
const BUTTON: f32 = 150.0;

/// Shows the choices; gives the one taken. `fresh` is true in the first frame, which gives the first choice the keyboard.
pub fn start_ui(ui: &mut Ui, recent: &[Recent], fresh: bool) -> Option<Begin> {
    let mut begin = None;
    ui.heading("How many printers does your room hold?");
    ui.label("Begin with one of these. Everything can be changed later, and nothing leaves this computer.");
    ui.add_space(8.0);
    let choices = [
        (
            "A new room",
            Begin::Room,
            "Width, length and where the door is; a first count of printers follows at once.",
        ),
        (
            "Trace a picture",
            Begin::Picture,
            "Lay a photo or a scan of the building's drawing under the floor and size it.",
        ),
        (
            "See the example",
            Begin::Example,
            "A bottling room that a workshop moves into in three phases, to look round and try things in.",
        ),
        (
            "Open a plan…",
            Begin::Open,
            "A plan that was saved before, or that somebody sent you.",
        ),
    ];
    for (k, (label, choice, words)) in choices.into_iter().enumerate() {
        ui.horizontal(|ui| {
            let button = Button::new(RichText::new(label).strong()).min_size(vec2(BUTTON, 34.0));
            let response = ui.add(button);
            if k == 0 && fresh {
                response.request_focus();
            }
            if response.clicked() {
                begin = Some(choice);
            }
            ui.add(Label::new(RichText::new(words).size(text::LABEL)).wrap());
        });
        ui.add_space(2.0);
    }
    ui.add_space(8.0);
    ui.label(RichText::new("Plans opened last").strong());
    if recent.is_empty() {
        widgets::hint(
            ui,
            "Plans that you save or open will stand here, the last one first.",
        );
    }
    for plan in recent {
        if let Some(chosen) = row(ui, plan) {
            begin = Some(chosen);
        }
    }
    begin
}

/// One plan of the list: open it, or take it off where its file is gone.
fn row(ui: &mut Ui, plan: &Recent) -> Option<Begin> {
    let mut begin = None;
    ui.horizontal(|ui| {
        let name = plan.name();
        if plan.there {
            let button = widgets::action_named(ui, &name, &format!("Open {name}"));
            if button.clicked() {
                begin = Some(Begin::Recent(plan.path.clone()));
            }
        } else {
            ui.label(RichText::new(format!("{name}: missing")).italics());
            let label = format!("Take {name} off the list");
            if widgets::action_named(ui, "Take off the list", &label).clicked() {
                begin = Some(Begin::Forget(plan.path.clone()));
            }
        }
        let folder = RichText::new(plan.folder()).size(text::SMALL).weak();
        ui.add(Label::new(folder).truncate());
    });
    begin
}
