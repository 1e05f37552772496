//! Under the answer of a fill: what each wall costs if it is a little shorter than measured. Starts and stops that, shows it.

use egui::{Label, RichText, Ui};

use crate::editor::action::{Action, Actions, FillAction};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, palette, text};
use crate::editor::widgets;
use crate::fill::{WallCost, tape_tolerance};
use crate::units::{Length, capital};

/// Shows the offer, or what is known.
pub(super) fn walls_ui(ui: &mut Ui, shown: &Shown<'_>, actions: &mut Actions) {
    let practice = shown.practice();
    let (tape, stated) = tape_tolerance(shown.plan.room());
    if tape <= Length::ZERO {
        return;
    }
    ui.add_space(4.0);
    let head = RichText::new("If a wall is shorter than measured").font(theme::bold(text::BODY));
    ui.label(head.color(palette(ui).ink));
    let by = tape.shown(practice);
    let taken = if stated {
        format!("The tape is right to {by}, either way.")
    } else {
        format!("The tape is taken to be right to {by}; the Room panel can say otherwise.")
    };
    widgets::hint(ui, &taken);
    let Some(walls) = shown.filling.walls() else {
        widgets::hint(
            ui,
            "Each wall is tried so much shorter and the floor filled anew, which may take as long again for every wall.",
        );
        if widgets::action(ui, "Try each wall shorter").clicked() {
            actions.ask(Action::Fill(FillAction::Walls(true)));
        }
        return;
    };
    // What costs most comes first: it is to be measured again.
    let mut costs: Vec<&WallCost> = walls.costs.iter().collect();
    costs.sort_by_key(|cost| (std::cmp::Reverse(cost.lost()), cost.wall));
    for cost in costs {
        let words = capital(&format!("{}.", cost.words(practice)));
        let costly = cost.lost().is_some_and(|lost| lost > 0);
        let colours = palette(ui);
        let colour = if costly {
            colours.caution.text
        } else {
            colours.ink
        };
        ui.add(Label::new(RichText::new(words).size(text::LABEL).color(colour)).wrap());
    }
    let open = walls.walls.saturating_sub(walls.costs.len());
    if walls.is_running() {
        widgets::hint(
            ui,
            &format!("Trying the walls: {open} of {} left.", walls.walls),
        );
        if widgets::action(ui, "Stop trying").clicked() {
            actions.ask(Action::Fill(FillAction::Walls(false)));
        }
    } else if open > 0 {
        widgets::hint(ui, &format!("Stopped; {open} walls were not tried."));
        if widgets::action(ui, "Try each wall shorter").clicked() {
            actions.ask(Action::Fill(FillAction::Walls(true)));
        }
    }
}
