//! The card of the plan itself: what stands at its head, its phases, and the sections that files of their own show.

use crate::editor::action::Command;
use crate::editor::panels::card::form::Form;
use crate::editor::widgets;
use crate::plan::{Edit, Head, Label, Room, System};
use crate::units::{Kilopascals, Practice};

use super::circuit::circuits;
use super::demand::demand;
use super::heat::heat_of_room;
use super::limits::limits;
use super::must_fit::must_fit;
use super::operator::operator;
use super::supply::supply;

/// Shows the plan's own fields.
pub(super) fn plan(form: &mut Form<'_, '_>) {
    widgets::hint(form.ui, "Click a thing on the floor for its own card.");
    head(form);
    phases(form);
    must_fit(form);
    demand(form);
    operator(form);
    heat_of_room(form);
    supply(form);
    circuits(form);
    limits(form);
}

fn head(form: &mut Form<'_, '_>) {
    let head = form.shown.plan.head().clone();
    let set = |change: &dyn Fn(&mut Head)| {
        let mut head = head.clone();
        change(&mut head);
        Edit::SetHead(Box::new(head))
    };
    form.text("name", head.name.as_str().to_owned(), |typed| {
        let name = Label::new(typed).map_err(|e| e.to_string())?;
        Ok(set(&|h| h.name = name.clone()))
    });
    let hoped = head.hoped_for.map(|n| n.to_string()).unwrap_or_default();
    form.text("printers hoped for", hoped, |typed| {
        let count = match typed {
            "" => None,
            _ => Some(
                typed
                    .parse()
                    .map_err(|_no_number| format!("{typed:?} is no whole number"))?,
            ),
        };
        Ok(set(&|h| h.hoped_for = count))
    });
    let practices = [
        (Practice::Us, "feet and inches".to_owned()),
        (Practice::Metric, "millimetres".to_owned()),
    ];
    form.choice("practice", &head.practice, &practices, |practice| {
        Some(set(&|h| h.practice = practice))
    });
    let systems = [
        System::Split120x240,
        System::Wye208x120,
        System::Single230,
        System::Three230x400,
    ]
    .map(|system| (system, system.words().to_owned()));
    form.choice("supply", &head.system, &systems, |system| {
        Some(set(&|h| h.system = system))
    });
    let room = form.shown.plan.room().clone();
    form.length("ceiling height", room.ceiling, |ceiling| {
        Edit::SetRoom(Box::new(Room {
            ceiling,
            ..room.clone()
        }))
    });
    let rating = head.floor_rating.map(Kilopascals::shown);
    form.text("floor rated for", rating.unwrap_or_default(), |typed| {
        let rating = match typed {
            "" => None,
            _ => Some(Kilopascals::parse(typed).map_err(|e| e.to_string())?),
        };
        Ok(set(&|h| h.floor_rating = rating))
    });
}

/// The names of the phases; one more at the end, or the last one away.
fn phases(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Phases");
    let now = form.shown.plan.phases().to_vec();
    for (k, phase) in now.iter().enumerate() {
        let name = phase.name.as_str().to_owned();
        form.text(&format!("phase {}", k + 1), name, |typed| {
            let name = Label::new(typed).map_err(|e| e.to_string())?;
            let mut phases = now.clone();
            phases
                .get_mut(k)
                .into_iter()
                .for_each(|p| p.name = name.clone());
            Ok(Edit::SetPhases(phases))
        });
    }
    if form.shown.read_only {
        return;
    }
    if widgets::action(form.ui, "One more phase").clicked() {
        form.actions.command(Command::AddPhase);
    }
    if let Some((_, before)) = now.split_last().filter(|(_, before)| !before.is_empty()) {
        let label = format!("Remove phase {}", now.len());
        if widgets::action(form.ui, &label).clicked() {
            form.actions.edit(Edit::SetPhases(before.to_vec()));
        }
    }
}
