//! The row of phases with a button for one more, and beside it the sentence that holds what is hoped for against what the floor holds.

use egui::{Label, Role, Ui, WidgetInfo};

use crate::editor::action::{Action, Actions, Command};
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::plan::PhaseNo;

/// Shows the phases and asks for another.
pub fn phases_ui(ui: &mut Ui, shown: &Shown<'_>, actions: &mut Actions) {
    let labels: Vec<String> = (1..=u8::MAX)
        .zip(shown.plan.phases())
        .map(|(n, phase)| format!("{n} {}", phase.name))
        .collect();
    let now = usize::from(shown.phase().0.saturating_sub(1));
    ui.horizontal(|ui| {
        ui.add_space(18.0);
        if let Some(chosen) = widgets::tabs(ui, &labels, now)
            && let Ok(n) = u8::try_from(chosen + 1)
        {
            actions.ask(Action::Phase(PhaseNo(n)));
        }
        if !shown.read_only {
            let button = ui.button("+").on_hover_text("Add a phase");
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Add a phase"));
            if button.clicked() {
                actions.command(Command::AddPhase);
            }
        }
        if let Some(answer) = shown.known() {
            let running = shown.filling.is_searching(shown.phase());
            let words = answer.against(shown.headroom.hoped_for, running);
            ui.add_space(14.0);
            ui.add(Label::new(words).truncate());
        }
    });
    ui.add_space(6.0);
}
