//! What if: the three questions, each worked out when asked, told before and after, and taken over as one step.

use std::sync::Arc;

use egui::{Frame, Label, Margin, RichText, Stroke, Ui};

use super::schedule::sentence;
use crate::checks::Findings;
use crate::editor::action::Actions;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, corner, line, palette, text};
use crate::editor::widgets;
use crate::plan::{PhaseNo, Plan};
use crate::wiring::STEPS;
use crate::wiring::what_if::{Answer, Asking, Question};

/// The answers that were worked out.
#[derive(Debug, Default)]
pub(super) struct WhatIfView {
    found: Option<Found>,
}

/// Answers for a plan in a phase; they hold for no other.
#[derive(Debug)]
struct Found {
    plan: Arc<Plan>,
    phase: PhaseNo,
    answers: Vec<Answer>,
}

impl WhatIfView {
    /// The answers for what is shown, those for another plan dropped.
    fn following(&mut self, shown: &Shown<'_>) -> &mut Vec<Answer> {
        let now = shown.history.plan();
        let kept = self
            .found
            .take()
            .filter(|f| Arc::ptr_eq(&f.plan, now) && f.phase == shown.phase());
        let found = self.found.insert(kept.unwrap_or_else(|| Found {
            plan: Arc::clone(now),
            phase: shown.phase(),
            answers: Vec::new(),
        }));
        &mut found.answers
    }
}

/// Shows the questions and their answers.
pub(super) fn what_if_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut WhatIfView,
    actions: &mut Actions,
) {
    let answers = view.following(shown);
    for question in Question::ALL {
        let answer = answers.iter().find(|a| a.question == question);
        if question_ui(ui, shown, (question, answer), actions) {
            answers.retain(|a| a.question != question);
            answers.push(worked_out(shown, question));
        }
        ui.add_space(2.0);
    }
}

fn worked_out(shown: &Shown<'_>, question: Question) -> Answer {
    let asking = Asking {
        library: shown.library,
        layout: shown.layout,
        stops: &|layout| Findings::of(layout).stops(),
        steps: STEPS,
    };
    asking.answer(question)
}

/// One question; true where it is to be worked out.
fn question_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    (question, answer): (Question, Option<&Answer>),
    actions: &mut Actions,
) -> bool {
    let colours = palette(ui);
    let mut asked = false;
    Frame::new()
        .fill(colours.card)
        .stroke(Stroke::new(line::EDGE, colours.edge))
        .corner_radius(corner::CARD)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let title = RichText::new(question.words()).font(theme::bold(text::BODY));
            ui.add(Label::new(title).wrap());
            for words in answer.iter().flat_map(|a| &a.words) {
                sentence(ui, words);
            }
            let edit = answer.and_then(|a| a.edit.as_ref());
            if shown.read_only && edit.is_some() {
                widgets::hint(
                    ui,
                    "This plan can only be looked at; save a copy to change it.",
                );
            }
            ui.horizontal(|ui| {
                let name = |verb: &str| format!("{verb}: {}", question.words());
                if answer.is_none() {
                    asked = widgets::action_named(ui, "Work it out", &name("Work out")).clicked();
                } else if let Some(edit) = edit.filter(|_| !shown.read_only)
                    && widgets::action_named(ui, "Take it over", &name("Take over")).clicked()
                {
                    actions.edit(edit.clone());
                }
            });
        });
    asked
}
