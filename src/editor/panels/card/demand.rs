//! What the work takes, and what landlord, insurer and others answered, on the plan's card.

use super::form::Form;
use crate::editor::figure::{read_maybe, whole_maybe};
use crate::plan::{Edit, Head, Label, Question};
use crate::units::{Kilograms, Watts};

/// Shows the fields of plastic and hours, and one for every answer.
pub(super) fn demand(form: &mut Form<'_, '_>) {
    let head = form.shown.plan.head().clone();
    let set = |change: &dyn Fn(&mut Head)| {
        let mut head = head.clone();
        change(&mut head);
        Edit::SetHead(Box::new(head))
    };
    form.ui.add_space(4.0);
    form.ui.weak("Plastic and hours");
    let a_day = head.demand.a_day.map(Kilograms::shown);
    form.text("plastic a day", a_day.unwrap_or_default(), |typed| {
        let a_day = read_maybe(typed, "kg", Kilograms::parse)?;
        Ok(set(&|h| h.demand.a_day = a_day))
    });
    let days = head.demand.days.map(|n| n.to_string());
    form.text("days to keep", days.unwrap_or_default(), |typed| {
        let days = whole_maybe(typed)?;
        Ok(set(&|h| h.demand.days = days))
    });
    let hours = head.demand.unattended.map(|n| n.to_string());
    form.text("hours alone", hours.unwrap_or_default(), |typed| {
        let hours = whole_maybe(typed)?;
        Ok(set(&|h| h.demand.unattended = hours))
    });
    form.ui.add_space(4.0);
    form.ui.weak("Answers");
    for question in Question::ALL {
        let now = head.answers.get(&question);
        let now = now.map(|words| words.as_str().to_owned());
        form.text(question.word(), now.unwrap_or_default(), |typed| {
            let words = Label::new(typed.trim()).map_err(|e| e.to_string())?;
            Ok(set(&|h| {
                if words.is_empty() {
                    h.answers.remove(&question);
                } else {
                    h.answers.insert(question, words.clone());
                }
            }))
        });
    }
    let plastic = head.agreed.plastic.map(Kilograms::shown);
    form.text("agreed plastic", plastic.unwrap_or_default(), |typed| {
        let plastic = read_maybe(typed, "kg", Kilograms::parse)?;
        Ok(set(&|h| h.agreed.plastic = plastic))
    });
    let peak = head.agreed.peak.map(Watts::shown);
    form.text("agreed peak", peak.unwrap_or_default(), |typed| {
        let peak = read_maybe(typed, "W", Watts::parse)?;
        Ok(set(&|h| h.agreed.peak = peak))
    });
}
