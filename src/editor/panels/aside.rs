//! What stands in the stock drawer's place for a while: the steps taken, the keys, the room as measured, what there is to read about
//! a check. Each reads and asks.

use egui::{Key, KeyboardShortcut, Label, ModifierNames, Modifiers, RichText, ScrollArea, Ui};

use crate::editor::action::{Action, Actions};
use crate::editor::command;
use crate::editor::floor::WallTools;
use crate::editor::panels::about_check::about_check_ui;
use crate::editor::panels::room::{RoomView, room_ui};
use crate::editor::panels::tracing::{TracingPanel, tracing_ui};
use crate::editor::shown::Shown;
use crate::editor::theme::text;
use crate::editor::tracing::TracingView;
use crate::editor::widgets::{self, Entry};

/// Which of them stands there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aside {
    /// The steps taken and taken back.
    Steps,
    /// The keys of all commands and of the floor.
    Keys,
    /// The room as it was measured.
    Room,
    /// The picture to trace.
    Picture,
    /// What there is to read about the check of that id.
    Check(&'static str),
}

/// Shows what stands there; true where it is to be left.
pub fn aside_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    aside: Aside,
    (room, walls): (&mut RoomView, &mut WallTools),
    (panel, tracing): (&mut TracingPanel, &mut TracingView),
    actions: &mut Actions,
) -> bool {
    let (title, more) = match aside {
        Aside::Steps => ("Steps", ""),
        Aside::Keys => ("Keys", ""),
        Aside::Room => ("Room", ""),
        Aside::Picture => ("Picture", "to trace"),
        Aside::Check(_) => ("Check", ""),
    };
    ui.spacing_mut().item_spacing.y = 5.0;
    ui.add_space(8.0);
    let leave = ui
        .horizontal(|ui| {
            widgets::section(ui, title, more);
            widgets::action_named(ui, "Stock", "Back to the stock drawer").clicked()
        })
        .inner;
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(ui, |ui| match aside {
            Aside::Steps => steps(ui, shown, actions),
            Aside::Keys => keys(ui),
            Aside::Room => room_ui(ui, shown, room, walls, actions),
            Aside::Picture => tracing_ui(ui, shown, panel, tracing, actions),
            Aside::Check(id) => about_check_ui(ui, shown, id, actions),
        });
    leave
}

/// The steps, the first at the top; a click goes back or forward to that one.
fn steps(ui: &mut Ui, shown: &Shown<'_>, actions: &mut Actions) {
    let (past, future) = (shown.history.past(), shown.history.future());
    let now = past.len();
    let all = std::iter::once("As it was opened")
        .chain(past)
        .chain(future);
    let mut count = 0;
    for (n, label) in all.enumerate() {
        let note = match n.cmp(&now) {
            std::cmp::Ordering::Less => "",
            std::cmp::Ordering::Equal => "the plan is here now",
            std::cmp::Ordering::Greater => "taken back",
        };
        let entry = Entry::new(label, note).selected(n == now).row(ui);
        if n == now && entry.gained_focus() {
            entry.scroll_to_me(None);
        }
        if entry.clicked() && n != now {
            actions.ask(Action::StepTo(n));
        }
        count = n;
    }
    if count == 0 {
        widgets::hint(
            ui,
            "Nothing was changed yet. Every change stands here as one step, and a click on a step goes back to it.",
        );
    }
}

/// Keys of the floor, which no menu holds.
const FLOOR_KEYS: [(&str, &str); 16] = [
    ("arrows", "move what is selected by 1 in or 10 mm"),
    ("Shift + arrows", "by 1 ft or 120 mm"),
    ("Alt + arrows", "by 1/16 in or 1 mm"),
    (
        "arrows",
        "with nothing selected: move the wall chosen in the Room panel",
    ),
    ("arrows", "with a dimension selected: move its line"),
    ("R", "turn a quarter to the left"),
    ("Page down, up", "select the next thing, or the one before"),
    ("F, held", "nothing snaps while dragging or measuring"),
    (
        "P, held",
        "while dragging: it moves from the phase on show on",
    ),
    (
        "C, held",
        "while dragging onto a row of the panel schedule: the printer alone",
    ),
    ("digits", "while dragging: the distance from a wall"),
    ("Tab", "while dragging: measure from another wall"),
    ("Enter", "while dragging: put it down there"),
    ("Esc", "leave it where it was"),
    ("Space, held", "push the paper"),
    (
        "H",
        "on a row of the panel schedule: hang what is selected there",
    ),
];

/// Keys of a rack's level, which no menu holds either.
const LEVEL_KEYS: [(&str, &str); 2] = [
    ("up, down", "move it, by as much as on the floor"),
    ("Delete", "take it away"),
];

fn keys(ui: &mut Ui) {
    let groups: [(&str, &[command::Offer]); 4] = [
        ("The plan", &command::PLAN),
        ("Changing", &command::CHANGE),
        ("Arranging", &command::ARRANGE),
        ("Looking", &command::VIEW),
    ];
    for (title, offers) in groups {
        group(ui, title);
        for offer in offers {
            line(ui, &offer.keys_words(), offer.text.trim_end_matches('…'));
        }
    }
    group(ui, "On the floor");
    for (keys, words) in FLOOR_KEYS {
        line(ui, keys, words);
    }
    group(ui, "On a level in the elevation");
    for (keys, words) in LEVEL_KEYS {
        line(ui, keys, words);
    }
    group(ui, "Clipboard");
    let clipboard = [
        (Key::C, "copy"),
        (Key::X, "cut"),
        (Key::V, "paste, into another plan too"),
    ];
    for (key, words) in clipboard {
        let keys = KeyboardShortcut::new(Modifiers::COMMAND, key);
        line(ui, &keys.format(&ModifierNames::NAMES, false), words);
    }
}

fn group(ui: &mut Ui, title: &str) {
    ui.add_space(6.0);
    ui.label(RichText::new(title).strong());
}

/// Width of the column of keys, in points.
const KEYS: f32 = 104.0;

fn line(ui: &mut Ui, keys: &str, words: &str) {
    if keys.is_empty() {
        return;
    }
    ui.horizontal_top(|ui| {
        ui.add_space(8.0);
        let height = ui.spacing().interact_size.y * 0.7;
        let column = egui::Layout::top_down(egui::Align::Min);
        ui.allocate_ui_with_layout(egui::vec2(KEYS, height), column, |ui| {
            ui.set_min_width(KEYS);
            ui.add(Label::new(RichText::new(keys).size(text::LABEL).strong()).wrap());
        });
        ui.add(Label::new(RichText::new(words).size(text::LABEL)).wrap());
    });
}
