//! What each measurement of the room is off by against the corners that came out, the worst first. Shows only.

use egui::{CollapsingHeader, Label, RichText, Role, Ui, WidgetInfo};

use crate::editor::theme::{palette, text};
use crate::editor::widgets::{self, Sign};
use crate::plan::{Measurement, Room, Survey};
use crate::units::{Practice, capital};

/// Measurements that are listed at most.
const LISTED: usize = 40;

/// Off by less than this, in millimetres or degrees, a measurement fits.
const FITS: f64 = 0.05;

/// Shows the list, folded away until it is asked for.
pub(super) fn residuals_ui(ui: &mut Ui, survey: &Survey, room: &Room, practice: Practice) {
    if survey.measurements.is_empty() {
        return;
    }
    let worst = survey.worst.and_then(|k| survey.measurements.get(k));
    CollapsingHeader::new(format!(
        "What each measurement is off by ({})",
        survey.measurements.len()
    ))
    .id_salt("residuals")
    .show(ui, |ui| {
        let mut sorted: Vec<&Measurement> = survey.measurements.iter().collect();
        sorted.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
        for measurement in sorted.iter().take(LISTED) {
            let is_worst = worst == Some(*measurement);
            row(ui, measurement, is_worst, room, practice);
        }
        if sorted.len() > LISTED {
            widgets::hint(
                ui,
                &format!(
                    "and {} more that fit as well or better.",
                    sorted.len() - LISTED
                ),
            );
        }
        if sorted.iter().any(|m| !m.is_checked()) {
            widgets::hint(
                ui,
                "What nothing else checks cannot be off: only more diagonals would tell.",
            );
        }
    });
}

/// How far it stands out: by chance where that is known, before everything that nothing checks.
fn weight(m: &Measurement) -> f64 {
    match m.standardized {
        Some(by_chance) if m.is_checked() => 1e6 + by_chance.abs(),
        _ => m.residual.abs(),
    }
}

fn row(ui: &mut Ui, m: &Measurement, is_worst: bool, room: &Room, practice: Practice) {
    let name = capital(&m.name(room));
    let off = if m.residual.abs() < FITS {
        "fits".to_owned()
    } else {
        m.off_words(practice)
    };
    let more = match (is_worst, m.is_checked()) {
        (true, _) => ", the worst",
        (false, true) => "",
        (false, false) => ", not checked",
    };
    let colours = palette(ui);
    let tone = if m.is_suspect() {
        colours.caution
    } else {
        colours.met
    };
    let words = format!("{name}: {off}{more}");
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(egui::vec2(12.0, 14.0), egui::Sense::hover());
        if m.is_suspect() {
            Sign::Caution.paint(ui.painter(), rect, tone.text);
        }
        let mut shown = RichText::new(&words).size(text::SMALL);
        if is_worst {
            shown = shown.strong();
        }
        let label = ui.add(Label::new(shown).wrap());
        label.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    });
}
