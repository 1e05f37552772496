//! The row of phases, and beside it the sentence that holds what is hoped for against what the floor holds.

use egui::{Label, Ui};

use crate::editor::action::{Action, Actions};
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
        let known = shown.known();
        if let Some(words) = known.and_then(|answer| answer.against(shown.headroom.hoped_for)) {
            ui.add_space(14.0);
            ui.add(Label::new(words).truncate());
        }
    });
    ui.add_space(6.0);
}
