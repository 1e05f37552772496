//! The line at the bottom: what happened last, and the totals of the phase.

use egui::{Align, Label, Layout, Ui};

use crate::editor::shown::Shown;

/// Shows the line.
pub fn status_ui(ui: &mut Ui, shown: &Shown<'_>) {
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        ui.add_space(18.0);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(18.0);
            ui.label(totals(shown));
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(shown.status).truncate());
            });
        });
    });
    ui.add_space(3.0);
}

/// Printers, power and circuits of the phase.
fn totals(shown: &Shown<'_>) -> String {
    let power = shown.layout.power();
    let sum = |figure: fn(&crate::layout::Load) -> &crate::layout::Total| {
        let all: f64 = power
            .printers
            .values()
            .map(|l| figure(l).known)
            .fold(0.0, |sum, known| sum + known);
        let missing = power.printers.values().any(|l| figure(l).whole().is_none());
        let least = if missing { "at least " } else { "" };
        format!("{least}{:.1} kW", all / 1000.0)
    };
    let counted = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    format!(
        "phase {}: {} · {} running · {} peak · {}",
        shown.phase(),
        counted(power.printers.len(), "printer"),
        sum(|l| &l.running_w),
        sum(|l| &l.peak_w),
        counted(power.circuits.len(), "circuit")
    )
}
