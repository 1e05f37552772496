//! The card of the plan itself: what stands at its head, its circuits, its limits.

use crate::editor::panels::card::form::Form;
use crate::editor::widgets;
use crate::plan::{Circuit, Edit, Head, Id, Label, LimitChange, Plan, Presence, Record};
use crate::units::{Amps, Length, Volts};

/// Shows the plan's own fields.
pub(super) fn plan(form: &mut Form<'_, '_>) {
    head(form);
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
    let room = form.shown.plan.room().clone();
    form.length("ceiling height", room.ceiling, |ceiling| {
        Edit::SetRoom(Box::new(crate::plan::Room {
            ceiling,
            ..room.clone()
        }))
    });
}

fn circuits(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Circuits");
    let listed: Vec<(Id, Circuit)> = form
        .shown
        .plan
        .circuits()
        .iter()
        .map(|(id, c)| (id, c.clone()))
        .collect();
    for (id, circuit) in listed {
        form.text(&format!("{id} breaker"), circuit.breaker.shown(), |typed| {
            let with_unit = format!("{typed} A");
            let breaker = Amps::parse(typed)
                .or_else(|e| Amps::parse(&with_unit).map_err(|_second| e))
                .map_err(|e| e.to_string())?;
            let circuit = Circuit {
                breaker,
                ..circuit.clone()
            };
            Ok(Edit::Put(vec![(id, Record::Circuit(circuit))]))
        });
    }
    if !form.shown.read_only
        && widgets::action(form.ui, "Add a circuit").clicked()
        && let Some((id, circuit)) = new_circuit(form)
    {
        form.actions
            .edit(Edit::Put(vec![(id, Record::Circuit(circuit))]));
    }
}

/// A new circuit of 20 A at the voltage of an ordinary outlet.
pub(super) fn new_circuit(form: &Form<'_, '_>) -> Option<(Id, Circuit)> {
    let plan = form.shown.plan;
    let id = *plan.fresh(Plan::CIRCUIT, 1).first()?;
    let circuit = Circuit {
        breaker: Amps::new(20.0).ok()?,
        volts: Volts::new(plan.head().system.outlet_volts()).ok()?,
        panel: None,
        presence: Presence::new_in(form.shown.phase()),
    };
    Some((id, circuit))
}

/// The limits with their sources; the aisle can be changed here, with the owner's reason.
fn limits(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Limits");
    let practice = form.shown.practice();
    let limits = form.shown.layout.limits().clone();
    form.text("aisle", limits.aisle.value.shown_exact(practice), |typed| {
        let value = Length::parse(typed, Some(practice)).map_err(|e| e.to_string())?;
        let mut changes = form.shown.plan.limit_changes().clone();
        let reason = Label::new("changed by the owner of the plan").unwrap_or_default();
        changes.aisle = Some(LimitChange { value, reason });
        Ok(Edit::SetLimits(Box::new(changes)))
    });
    for row in limits.rows(practice) {
        form.ui
            .label(format!("{}: {}", row.id, row.value))
            .on_hover_text(format!("{} Source: {}.", row.says, row.source));
    }
}
