//! The operator on the card of the plan: a model one or one's own measures, and the figures that follow with their sources.

use super::form::Form;
use crate::editor::widgets;
use crate::plan::{Body, Edit, Operator};

/// Shows the fields, and grip and shoulder as they are in force.
pub(super) fn operator(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Operator");
    let now = form.shown.plan.head().operator;
    let bodies = [
        (Body::Public, "a small adult"),
        (Body::Women, "small woman, survey"),
        (Body::Men, "small man, survey"),
    ]
    .map(|(body, words)| (body, words.to_owned()));
    form.choice("who reaches", &now.body, &bodies, |body| {
        Some(Edit::SetOperator(Operator { body, ..now }))
    });
    if now.body != Body::Public {
        form.tick("In shoes", now.shoes, |shoes| {
            Edit::SetOperator(Operator { shoes, ..now })
        });
    }
    form.maybe_length("own grip height", now.grip, |grip| {
        Edit::SetOperator(Operator { grip, ..now })
    });
    form.maybe_length("own shoulder", now.shoulder, |shoulder| {
        Edit::SetOperator(Operator { shoulder, ..now })
    });
    let limits = form.shown.layout.limits();
    for (name, limit) in [
        ("Grip", &limits.reach_grip),
        ("Shoulder", &limits.reach_shoulder),
    ] {
        let height = limit.value.shown(form.shown.practice());
        let words = format!("{name} at {height}: {}.", limit.source_words());
        widgets::hint(form.ui, &words);
    }
}
