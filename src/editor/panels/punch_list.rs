//! The punch list: the findings of the phase on show, each one click from its place, with its mend. Findings of one cause
//! stand in one row that unfolds.

use std::collections::BTreeSet;

use egui::{ScrollArea, TextEdit, Ui};

use crate::checks::{Finding, Severity, Standing};
use crate::editor::action::{Action, Actions};
use crate::editor::shown::Shown;
use crate::editor::theme::{palette, text};
use crate::editor::widgets::{self, Card, Sign};
use crate::plan::{Edit, ItemKind, Label};
use crate::units::{Length, Practice, capital, floor_load_shown, mass_shown};

/// The list's own state.
#[derive(Debug, Default)]
pub struct PunchView {
    show_met: bool,
    /// The finding whose acceptance is being written: key and reason so far.
    accepting: Option<(String, String)>,
    error: String,
    /// The findings whose rows are unfolded, by key.
    unfolded: BTreeSet<String>,
}

/// The button that unfolds a row or folds it again.
struct Fold {
    /// How many findings stand behind the first.
    more: usize,
    open: bool,
    /// One of those behind is pointed at.
    pointed: bool,
}

/// How near two places or two lengths are that count as one, in millimetres: ten times what ways out are measured within.
const ALIKE_MM: f64 = 1.0;

/// Shows the list.
pub fn punch_list_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut PunchView, actions: &mut Actions) {
    let open: Vec<&Finding> = sorted(shown, |f| {
        f.standing != Standing::Met && f.accepted(shown.plan).is_none()
    });
    let accepted: Vec<&Finding> = sorted(shown, |f| f.accepted(shown.plan).is_some());
    ui.add_space(8.0);
    widgets::section(ui, "Punch list", &counts(&open, accepted.len()));
    let foot = 40.0;
    let height = (ui.available_height() - foot).max(60.0);
    ScrollArea::vertical()
        .max_height(height)
        .auto_shrink([false, false])
        .show(ui, |ui| {
            if open.is_empty() {
                ui.horizontal(|ui| {
                    ui.add_space(10.0);
                    ui.label("Nothing open in this phase.");
                });
                hint(ui, shown);
            }
            for cause in causes(shown, &open) {
                row(ui, shown, view, &cause, actions);
            }
            for finding in accepted {
                card(ui, shown, view, finding, None, actions);
            }
            ui.horizontal(|ui| {
                ui.add_space(10.0);
                ui.checkbox(&mut view.show_met, "Show what is met");
            });
            if view.show_met {
                for finding in sorted(shown, |f| f.standing == Standing::Met) {
                    card(ui, shown, view, finding, None, actions);
                }
            }
        });
    let margin = egui::Margin::symmetric(10, 2);
    egui::Frame::new().inner_margin(margin).show(ui, |ui| {
        let calm = "Planning aid: a licensed electrician and the local code decide.";
        let words = egui::RichText::new(calm).size(text::SMALL).weak();
        ui.add(egui::Label::new(words).wrap());
    });
}

/// What a list without open findings means: nothing to judge, or all of it met.
fn hint(ui: &mut Ui, shown: &Shown<'_>) {
    let margin = egui::Margin::symmetric(10, 2);
    egui::Frame::new().inner_margin(margin).show(ui, |ui| {
        let empty = shown.layout.of_kind(ItemKind::Rack).next().is_none();
        let words = if empty {
            "There is not much to judge yet. As soon as a rack stands in the room, what does not hold is said here, each with its place and the smallest mend."
        } else {
            "Every check is met. Tick below to see what was measured."
        };
        widgets::hint(ui, words);
    });
}

/// The findings that pass, worst first: must fix, cautions, notes, unknown.
fn sorted<'a>(shown: &Shown<'a>, pass: impl Fn(&Finding) -> bool) -> Vec<&'a Finding> {
    let findings: &'a crate::checks::Findings = shown.findings;
    let mut list: Vec<&Finding> = findings.iter().filter(|f| pass(f)).collect();
    list.sort_by_key(|f| (f.standing == Standing::Unknown, f.severity));
    list
}

/// The findings with those of one cause together, in the place of the first. One that can be mended leads the others.
fn causes<'a>(shown: &Shown<'_>, open: &[&'a Finding]) -> Vec<Vec<&'a Finding>> {
    let mut causes: Vec<Vec<&Finding>> = Vec::new();
    for finding in open {
        let known = causes.iter_mut().find(|cause| {
            let first = cause.first();
            first.is_some_and(|first| same_cause(first, finding))
        });
        match known {
            Some(cause) => cause.push(finding),
            None => causes.push(vec![finding]),
        }
    }
    for cause in &mut causes {
        cause.sort_by_key(|f| !shown.mends.contains_key(&f.key()));
    }
    causes
}

/// True where two findings are about the same bottleneck: one check finds the same figure at the same place, against the
/// same limit.
fn same_cause(a: &Finding, b: &Finding) -> bool {
    let alike =
        |a: Option<f64>, b: Option<f64>| a.zip(b).is_some_and(|(a, b)| (a - b).abs() <= ALIKE_MM);
    let one_place = a.at.zip(b.at).is_some_and(|(a, b)| {
        a.point.distance(b.point) <= ALIKE_MM && (a.height - b.height).abs() <= ALIKE_MM
    });
    (a.check, a.standing, a.severity, a.unit) == (b.check, b.standing, b.severity, b.unit)
        && a.unit == "mm"
        && one_place
        && alike(a.limit, b.limit)
        && alike(a.measured, b.measured)
}

/// The findings of one cause: the first, and the others behind it once it is unfolded.
fn row(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    cause: &[&Finding],
    actions: &mut Actions,
) {
    let Some((first, others)) = cause.split_first() else {
        return;
    };
    let open = cause.iter().any(|f| view.unfolded.contains(&f.key()));
    let fold = Fold {
        more: others.len(),
        open,
        pointed: others.iter().any(|f| shown.pointed == Some(&f.key())),
    };
    let fold = Some(fold).filter(|fold| fold.more > 0);
    if card(ui, shown, view, first, fold.as_ref(), actions) {
        for finding in cause {
            if open {
                view.unfolded.remove(&finding.key());
            } else {
                view.unfolded.insert(finding.key());
            }
        }
    }
    if open {
        let inset = egui::Margin {
            left: 16,
            ..egui::Margin::ZERO
        };
        egui::Frame::new().inner_margin(inset).show(ui, |ui| {
            for finding in others {
                card(ui, shown, view, finding, None, actions);
            }
        });
    }
}

fn counts(open: &[&Finding], accepted: usize) -> String {
    let count = |severity, standing| {
        open.iter()
            .filter(|f| f.severity == severity && f.standing == standing)
            .count()
    };
    let plural =
        |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let mut words = vec![
        format!("{} must fix", count(Severity::MustFix, Standing::Broken)),
        plural(
            count(Severity::Caution, Standing::Broken),
            "caution",
            "cautions",
        ),
        plural(count(Severity::Note, Standing::Broken), "note", "notes"),
    ];
    let unknown = open
        .iter()
        .filter(|f| f.standing == Standing::Unknown)
        .count();
    if unknown > 0 {
        words.push(format!("{unknown} unknown"));
    }
    if accepted > 0 {
        words.push(format!("{accepted} accepted"));
    }
    words.join(" · ")
}

/// One finding; true where its row is to be unfolded or folded.
fn card(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    finding: &Finding,
    fold: Option<&Fold>,
    actions: &mut Actions,
) -> bool {
    let key = finding.key();
    let accepted = finding.accepted(shown.plan);
    let sign = match (accepted, finding.standing, finding.severity) {
        (Some(_), ..) => Sign::Accepted,
        (None, Standing::Met, _) => Sign::Met,
        (None, Standing::Unknown, _) => Sign::Unknown,
        (None, Standing::Broken, Severity::MustFix) => Sign::Broken,
        (None, Standing::Broken, Severity::Caution) => Sign::Caution,
        (None, Standing::Broken, Severity::Note) => Sign::Note,
    };
    let reason = accepted
        .map(|r| format!("accepted: “{r}”"))
        .unwrap_or_default();
    let figures = figures(finding, shown.practice());
    let card = Card::new(sign, &finding.text)
        .line(&reason)
        .source(finding.check)
        .small(&figures)
        .selected(
            shown.pointed == Some(key.as_str())
                // Its row is marked where it is folded away itself.
                || fold.is_some_and(|fold| fold.pointed && !fold.open),
        );
    let response = card.ui(ui, |ui| {
        buttons(ui, shown, view, finding, &key, actions);
        fold.is_some_and(|fold| fold_button(ui, finding, fold))
    });
    if response.clicked {
        actions.ask(Action::Point(key));
    }
    if response.asked {
        actions.ask(Action::About(finding.check));
    }
    response.inner
}

/// The button that shows the findings behind the first; true when it was pressed.
fn fold_button(ui: &mut Ui, finding: &Finding, fold: &Fold) -> bool {
    let label = if fold.open {
        format!("Fold the {} more away", fold.more)
    } else {
        format!("… and {} more of the same cause", fold.more)
    };
    let name = format!("{label}: {}", finding.text);
    let button = widgets::action_named(ui, &label, &name);
    ui.ctx()
        .accesskit_node_builder(button.id, |node| node.set_expanded(fold.open));
    button.clicked()
}

fn buttons(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut PunchView,
    finding: &Finding,
    key: &str,
    actions: &mut Actions,
) {
    if shown.read_only {
        return;
    }
    if let Some(mend) = shown.mends.get(key) {
        let words = capital(&mend.words);
        // One move may mend several findings; then the finding tells the buttons apart.
        let alike = shown.mends.values().filter(|m| m.words == mend.words);
        let name = if alike.count() > 1 {
            format!("{words}: {}", finding.text)
        } else {
            words.clone()
        };
        if widgets::action_named(ui, &words, &name).clicked() {
            actions.edit(mend.edit.clone());
        }
    }
    if finding.severity == Severity::MustFix || finding.standing == Standing::Met {
        return;
    }
    if finding.accepted(shown.plan).is_some() {
        let name = format!("Reopen: {}", finding.text);
        if widgets::action_named(ui, "Reopen", &name).clicked() {
            actions.edit(Edit::Accept(finding.accept_key(), None));
        }
        return;
    }
    let writing = view.accepting.as_ref().is_some_and(|(k, _)| k == key);
    if writing {
        reason(ui, view, finding, actions);
        return;
    }
    let name = format!("Accept: {}", finding.text);
    if widgets::action_named(ui, "Accept…", &name).clicked() {
        view.accepting = Some((key.to_owned(), String::new()));
        view.error.clear();
    }
}

/// The field for the reason of an acceptance.
fn reason(ui: &mut Ui, view: &mut PunchView, finding: &Finding, actions: &mut Actions) {
    let Some((_, draft)) = &mut view.accepting else {
        return;
    };
    let field = ui.add(
        TextEdit::singleline(draft)
            .hint_text("Why is that all right?")
            .desired_width(180.0),
    );
    field.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Reason"));
    let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
    if (widgets::action(ui, "Accept").clicked() || entered) && !draft.trim().is_empty() {
        match Label::new(draft.trim()) {
            Ok(reason) => {
                actions.edit(Edit::Accept(finding.accept_key(), Some(reason)));
                view.accepting = None;
                return;
            }
            Err(error) => view.error = error.to_string(),
        }
    }
    if widgets::action(ui, "Leave it open").clicked() {
        view.accepting = None;
    }
    if !view.error.is_empty() {
        ui.colored_label(palette(ui).broken.text, &view.error);
    }
}

/// Measured value, limit and source in one small line.
fn figures(finding: &Finding, practice: Practice) -> String {
    let show = |value: f64| match finding.unit {
        "mm" => Length::from_mm(value).shown(practice),
        "1" if (value - value.round()).abs() > 0.005 => format!("{value:.2}"),
        "1" => format!("{value:.0}"),
        "kPa" => floor_load_shown(value, practice),
        "kg" => mass_shown(value, practice),
        "MPa" => format!("{value:.2} MPa"),
        "Hz" => format!("{value:.1} Hz"),
        "m/s" => format!("{value:.2} m/s"),
        "A" => format!("{value:.1} A"),
        unit => format!("{value:.0} {unit}"),
    };
    // A limit of nothing at all is said by the sentence already: what may not be there is there.
    let none_allowed = finding
        .limit
        .is_some_and(|limit| limit.abs() < f64::EPSILON);
    let measured = finding
        .measured
        .filter(|_| !(none_allowed && finding.unit == "1"))
        .map(show)
        .unwrap_or_default();
    let limit = finding
        .limit
        .filter(|_| !none_allowed)
        .map(|l| format!("limit {}", show(l)))
        .unwrap_or_default();
    [measured, limit, finding.source.clone()]
        .into_iter()
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" · ")
}
