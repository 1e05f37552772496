//! What if: the three questions, each worked out when asked, told before and after, and taken over as one step.

use std::sync::Arc;

use egui::Ui;

use super::schedule::worked_out_ui;
use crate::checks::Findings;
use crate::editor::action::Actions;
use crate::editor::errand::Errand;
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::plan::{PhaseNo, Plan};
use crate::wiring::STEPS;
use crate::wiring::what_if::{Answer, Asking, Question};

/// The answers that were worked out.
#[derive(Debug, Default)]
pub(super) struct WhatIfView {
    /// The plan and phase that all is for.
    of: Option<(Arc<Plan>, PhaseNo)>,
    answers: Vec<Answer>,
    /// The question that is being worked out.
    asked: Option<Question>,
    work: Errand<Answer>,
}

impl WhatIfView {
    /// Takes in what was worked out; drops what is for another plan or phase.
    fn follow(&mut self, shown: &Shown<'_>) {
        let now = shown.history.plan();
        let same = |(plan, phase): &(Arc<Plan>, PhaseNo)| {
            Arc::ptr_eq(plan, now) && *phase == shown.phase()
        };
        if !self.of.as_ref().is_some_and(same) {
            *self = Self {
                of: Some((Arc::clone(now), shown.phase())),
                ..Self::default()
            };
        }
        let answer = self.work.take();
        self.keep(answer);
    }

    fn keep(&mut self, answer: Option<Answer>) {
        if let Some(answer) = answer {
            self.answers.retain(|a| a.question != answer.question);
            self.answers.push(answer);
        }
        self.asked = self.asked.filter(|_| self.work.is_busy());
    }

    /// Waits until everything is worked out.
    pub(super) fn finish(&mut self) {
        let answer = self.work.finish();
        self.keep(answer);
    }

    fn ask(&mut self, ui: &Ui, shown: &Shown<'_>, question: Question) {
        let (library, layout) = (shown.library.clone(), shown.layout.clone());
        let ctx = ui.ctx().clone();
        let wake = move || ctx.request_repaint();
        self.asked = Some(question);
        self.work.begin("what if", wake, move |stop| {
            let asking = Asking {
                library: &library,
                layout: &layout,
                stops: &|layout| Findings::of(layout).stops(),
                steps: STEPS,
                stop,
            };
            asking.answer(question)
        });
        let answer = self.work.take_in_a_moment();
        self.keep(answer);
    }
}

/// Shows the questions and their answers.
pub(super) fn what_if_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut WhatIfView,
    actions: &mut Actions,
) {
    view.follow(shown);
    for question in Question::ALL {
        let answer = view.answers.iter().find(|a| a.question == question);
        let state = match view.asked {
            None => State::Rests,
            Some(asked) if asked == question => State::Works,
            Some(_) => State::Waits,
        };
        if question_ui(ui, shown, (question, answer, state), actions) {
            view.ask(ui, shown, question);
        }
        ui.add_space(2.0);
    }
}

/// Whether a question is being worked out, or waits for another that is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Rests,
    Works,
    Waits,
}

/// One question; true where it is to be worked out.
fn question_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    (question, answer, state): (Question, Option<&Answer>, State),
    actions: &mut Actions,
) -> bool {
    let mut asked = false;
    let edit = answer.and_then(|a| a.edit.as_ref());
    let told = (
        question.words(),
        answer.map_or(&[][..], |a| a.words.as_slice()),
    );
    worked_out_ui(ui, shown, told, edit.is_some(), |ui| {
        let name = |verb: &str| format!("{verb}: {}", question.words());
        if state == State::Works {
            ui.weak("Working it out…");
        } else if answer.is_none() {
            let free = state == State::Rests;
            let button =
                |ui: &mut Ui| widgets::action_named(ui, "Work it out", &name("Work out")).clicked();
            asked = ui.add_enabled_ui(free, button).inner;
        } else if let Some(edit) = edit.filter(|_| !shown.read_only)
            && widgets::action_named(ui, "Take it over", &name("Take over")).clicked()
        {
            actions.edit(edit.clone());
        }
    });
    asked
}
