//! The limits of a plan with their sources. Each can be changed for one plan, with the owner's reason, and put back.

use egui::{Label as Words, RichText};

use crate::editor::help::behind;
use crate::editor::panels::card::form::Form;
use crate::editor::theme::{palette, text};
use crate::editor::widgets::{self, Field, FieldEvent};
use crate::plan::{Edit, Label, LimitChange, LimitChanges, LimitRow, Limits};
use crate::units::{Kilograms, Length, Lux, MetresPerSecond, Practice, Ratio, ToOne};

/// A limit that is being changed.
#[derive(Clone, Debug)]
pub(super) struct LimitDraft {
    id: &'static str,
    value: String,
    reason: String,
    error: String,
}

/// What a person decided about the limit being changed.
enum Answer {
    Set,
    AsInProfile,
    Leave,
}

/// Shows every limit.
pub(super) fn limits(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Limits");
    for row in form.shown.layout.limits().rows(form.shown.practice()) {
        limit(form, &row);
    }
}

fn limit(form: &mut Form<'_, '_>, row: &LimitRow) {
    let says = row.says;
    let changing = form.drafts.limit.as_ref().is_some_and(|d| d.id == row.id);
    // What the operator's own measures give is changed in their fields, not here.
    let measured = form.shown.plan.head().operator.measured(row.id);
    form.ui.horizontal(|ui| {
        behind(ui.label(format!("{}: {}", row.id, row.value)), says);
        if form.shown.read_only || changing || measured {
            return;
        }
        let change = widgets::action_named(ui, "Change", &format!("Change {}", row.id));
        if behind(change, says).clicked() {
            form.drafts.limit = Some(LimitDraft {
                id: row.id,
                value: exact(form.shown.layout.limits(), row.id, form.shown.practice()),
                reason: String::new(),
                error: String::new(),
            });
        }
    });
    let source = RichText::new(&row.source).size(text::SMALL).weak();
    form.ui.add(Words::new(source).wrap());
    if changing {
        change(form, says);
    }
}

/// Value and reason of the limit being changed.
fn change(form: &mut Form<'_, '_>, says: &str) {
    let Some(draft) = &mut form.drafts.limit else {
        return;
    };
    Field::new("value").help(says).ui(form.ui, &mut draft.value);
    let reason = Field::new("reason")
        .help("It stands beside the limit on every list and with every finding.")
        .hint("Why this plan differs")
        .ui(form.ui, &mut draft.reason);
    let mut answer = matches!(reason, FieldEvent::Committed(_))
        .then_some(Answer::Set)
        .filter(|_| form.ui.input(|i| i.key_pressed(egui::Key::Enter)));
    form.ui.horizontal_wrapped(|ui| {
        for (label, meant) in [
            ("Set the limit", Answer::Set),
            ("As in the profile", Answer::AsInProfile),
            ("Leave it", Answer::Leave),
        ] {
            if widgets::action(ui, label).clicked() {
                answer = Some(meant);
            }
        }
    });
    if !draft.error.is_empty() {
        let broken = palette(form.ui).broken.text;
        form.ui.colored_label(broken, &draft.error);
    }
    let decided = match answer {
        None => return,
        Some(Answer::Leave) => Ok(None),
        Some(Answer::Set) => decided(
            form.shown.plan.limit_changes(),
            draft,
            form.shown.practice(),
        ),
        Some(Answer::AsInProfile) => changed(
            form.shown.plan.limit_changes(),
            draft.id,
            None,
            form.shown.practice(),
        ),
    };
    match decided {
        Ok(changes) => {
            form.drafts.limit = None;
            if let Some(changes) = changes {
                form.actions.edit(Edit::SetLimits(Box::new(changes)));
            }
        }
        Err(why) => draft.error = why,
    }
}

/// The changes with this draft in them; a limit is never changed without a reason.
fn decided(
    changes: &LimitChanges,
    draft: &LimitDraft,
    practice: Practice,
) -> Result<Option<LimitChanges>, String> {
    if draft.reason.trim().is_empty() {
        return Err("write the reason; it stands beside the limit on every list".to_owned());
    }
    let reason = Label::new(draft.reason.trim()).map_err(|e| e.to_string())?;
    changed(changes, draft.id, Some((&draft.value, reason)), practice)
}

/// A value of a limit as it is typed.
trait Typed: Sized {
    fn read(typed: &str, practice: Practice) -> Result<Self, String>;
    /// The text that reads back to the very same value.
    fn exact(self, practice: Practice) -> String;
}

impl Typed for Length {
    fn read(typed: &str, practice: Practice) -> Result<Self, String> {
        Self::parse(typed, Some(practice)).map_err(|e| e.to_string())
    }

    fn exact(self, practice: Practice) -> String {
        self.shown_exact(practice)
    }
}

impl Typed for MetresPerSecond {
    fn read(typed: &str, _practice: Practice) -> Result<Self, String> {
        Self::parse(typed).map_err(|e| e.to_string())
    }

    fn exact(self, _practice: Practice) -> String {
        self.file_text()
    }
}

impl Typed for Lux {
    fn read(typed: &str, _practice: Practice) -> Result<Self, String> {
        Self::parse(typed).map_err(|e| e.to_string())
    }

    fn exact(self, _practice: Practice) -> String {
        self.file_text()
    }
}

impl Typed for Kilograms {
    fn read(typed: &str, _practice: Practice) -> Result<Self, String> {
        Self::parse(typed).map_err(|e| e.to_string())
    }

    fn exact(self, _practice: Practice) -> String {
        self.file_text()
    }
}

impl Typed for Ratio {
    fn read(typed: &str, _practice: Practice) -> Result<Self, String> {
        Self::parse(typed).map_err(|e| e.to_string())
    }

    fn exact(self, _practice: Practice) -> String {
        self.file_text()
    }
}

impl Typed for ToOne {
    fn read(typed: &str, _practice: Practice) -> Result<Self, String> {
        Self::parse(typed).map_err(|e| e.to_string())
    }

    fn exact(self, _practice: Practice) -> String {
        self.file_text()
    }
}

/// Writes down once which id is which field, for reading a limit and for changing it.
macro_rules! limits_by_id {
    ($($id:literal => $field:ident,)+) => {
        /// The exact value of a limit as text; empty where there is no such limit.
        fn exact(limits: &Limits, id: &str, practice: Practice) -> String {
            match id {
                $($id => limits.$field.value.exact(practice),)+
                _ => String::new(),
            }
        }

        /// The changes with one limit set to a typed value, or put back; `None` where there is no such limit.
        fn changed(
            changes: &LimitChanges,
            id: &str,
            to: Option<(&str, Label)>,
            practice: Practice,
        ) -> Result<Option<LimitChanges>, String> {
            let mut changes = changes.clone();
            match id {
                $($id => {
                    changes.$field = match to {
                        Some((typed, reason)) => Some(LimitChange {
                            value: Typed::read(typed.trim(), practice)?,
                            reason,
                        }),
                        None => None,
                    };
                })+
                _ => return Ok(None),
            }
            Ok(Some(changes))
        }
    };
}

limits_by_id! {
    "aisle" => aisle,
    "headroom" => headroom,
    "back-gap" => back_gap,
    "door-clear" => door_clear,
    "panel-depth" => panel_depth,
    "panel-width" => panel_width,
    "panel-height" => panel_height,
    "jet-hard" => jet_hard,
    "draught" => draught,
    "draught-easy" => draught_easy,
    "continuous-share" => continuous_share,
    "breaker-share" => breaker_share,
    "ups-share" => ups_share,
    "voltage-drop" => voltage_drop,
    "reach-grip" => reach_grip,
    "reach-shoulder" => reach_shoulder,
    "reach-stand-off" => reach_stand_off,
    "reach-low" => reach_low,
    "lift-from" => lift_from,
    "lift-grip" => lift_grip,
    "lift-hands" => lift_hands,
    "lift-spool" => lift_spool,
    "lift-index" => lift_index,
    "lift-high" => lift_high,
    "board-strength" => board_strength,
    "sag-span" => sag_span,
    "rack-fix" => rack_fix,
    "rack-slender" => rack_slender,
    "sprinkler-clear" => sprinkler_clear,
    "ceiling-clear" => ceiling_clear,
    "extinguisher-way" => extinguisher_way,
    "light-task" => light_task,
    "light-use" => light_use,
    "light-upkeep" => light_upkeep,
    "rack-tall" => rack_tall,
}
