//! The line at the bottom: what happened last, and the totals of the phase.

use egui::{Align, Label, Layout, Ui};

use crate::editor::help::behind;
use crate::editor::shown::Shown;

/// How the totals come about.
const TOTALS: &str = "Sums over the printers of this phase, from the figures of their kinds. Running: averaged over a print. Peak: every printer heats at once, as after an outage. UPS losses and other loads are counted by the checks `circuits` and `ups`, not here. \"At least\": a figure is missing.";

/// Shows the line.
pub fn status_ui(ui: &mut Ui, shown: &Shown<'_>) {
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        ui.add_space(18.0);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(18.0);
            behind(ui.label(totals(shown)), TOTALS);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(shown.status).truncate());
            });
        });
    });
    ui.add_space(3.0);
}

/// Printers, power, circuits and heat of the phase.
fn totals(shown: &Shown<'_>) -> String {
    let power = shown.layout.power();
    let counted = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    format!(
        "phase {}: {} · {} running · {} peak · {} · {}",
        shown.phase(),
        counted(power.printers.len(), "printer"),
        power.kilowatts(|l| &l.running_w),
        power.kilowatts(|l| &l.peak_w),
        counted(power.circuits.len(), "circuit"),
        heat(shown)
    )
}

/// The heat of the phase against what its cooling units take, as far as known.
fn heat(shown: &Shown<'_>) -> String {
    let heat = shown.layout.heat();
    let kilowatts = |watts: Option<f64>| {
        watts.map_or_else(|| "?".to_owned(), |watts| format!("{:.1}", watts / 1000.0))
    };
    format!(
        "heat {} of {} kW",
        kilowatts(heat.whole_w()),
        kilowatts(heat.sensible_w())
    )
}
