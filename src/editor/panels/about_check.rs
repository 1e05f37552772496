//! The help behind a check: what it computes, why, how, what it does not see, and the limits in force in this plan with where
//! each comes from. Reads the table of checks and shows; every check can be chosen here, with findings or without.

use egui::{ComboBox, Label, RichText, Role, Ui, WidgetInfo};

use crate::checks::{CHECKS, Check};
use crate::editor::action::{Action, Actions};
use crate::editor::shown::Shown;
use crate::editor::theme::text;
use crate::plan::LimitRow;

/// Shows the help of the check of that id.
pub fn about_check_ui(ui: &mut Ui, shown: &Shown<'_>, id: &str, actions: &mut Actions) {
    let Some(check) = Check::of(id) else {
        return;
    };
    choice(ui, check, actions);
    ui.add_space(4.0);
    ui.add(Label::new(RichText::new(check.title).strong()).wrap());
    let within = if check.in_fill {
        ", and a search for the fullest floor keeps to it"
    } else {
        ""
    };
    paragraph(ui, &format!("At worst: {}{within}.", check.worst.words()));
    for (heading, words) in check.parts() {
        head(ui, heading);
        paragraph(ui, words);
    }
    let rows = shown.layout.limits().rows(shown.practice());
    let limits: Vec<&LimitRow> = rows
        .iter()
        .filter(|r| check.limits.contains(&r.id))
        .collect();
    if !limits.is_empty() {
        head(ui, "Held against");
    }
    for limit in limits {
        paragraph(
            ui,
            &format!("{}: {}. {}", limit.id, limit.value, limit.says),
        );
        let source = RichText::new(&limit.source).size(text::SMALL).weak();
        ui.add(Label::new(source).wrap());
    }
    ui.add_space(6.0);
    paragraph(
        ui,
        "A planning aid: licensed electricians, the local code and the landlord decide. A limit is changed, with a reason, on the card of the plan.",
    );
}

fn choice(ui: &mut Ui, check: &Check, actions: &mut Actions) {
    let response = ComboBox::from_id_salt("check to read about")
        .selected_text(check.id)
        .width(ui.available_width())
        .show_ui(ui, |ui| {
            for other in CHECKS {
                let label = format!("{}: {}", other.id, other.title);
                if ui.selectable_label(other.id == check.id, label).clicked() {
                    actions.ask(Action::About(other.id));
                }
            }
        })
        .response;
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, "Check to read about"));
}

fn head(ui: &mut Ui, words: &str) {
    ui.add_space(4.0);
    ui.label(RichText::new(words).size(text::LABEL).weak());
}

fn paragraph(ui: &mut Ui, words: &str) {
    ui.add(Label::new(RichText::new(words).size(text::LABEL)).wrap());
}
