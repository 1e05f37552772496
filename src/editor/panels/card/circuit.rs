//! Circuits: the short list on the plan's own card, and the card of one with how it is built. Judges none of it.

use super::form::{Form, allowed, length_maybe, or_unknown};
use crate::editor::action::{Action, Command};
use crate::editor::figure;
use crate::editor::shown::{Selection, Shown};
use crate::editor::widgets;
use crate::plan::{
    Circuit, CircuitBuild, Conductor, Curve, Edit, Id, ItemKind, Plan, Presence, Protection,
    Record, SupplyLeg, System,
};
use crate::units::{Amps, Practice, Volts};

/// So many circuits stand on the plan's card; the panel schedule has all of them.
const LISTED_MOST: usize = 12;

/// Lists the circuits with breaker and volts; the rest stands on the card of each.
pub(super) fn circuits(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Circuits");
    let listed = form.shown.plan.circuits();
    if listed.is_empty() {
        widgets::hint(
            form.ui,
            "None yet. Add those that the panel's directory names; outlets hang on them.",
        );
    }
    for (id, circuit) in listed.iter().take(LISTED_MOST) {
        figures(form, &format!("{id} "), id, circuit);
        buttons(form, id);
    }
    if listed.len() > LISTED_MOST {
        let words = format!("All {} in the panel schedule", listed.len());
        if widgets::action(form.ui, &words).clicked() {
            form.actions.command(Command::Schedule);
        }
    }
    if !form.shown.read_only
        && widgets::action(form.ui, "Add a circuit").clicked()
        && let Some((id, circuit)) = new_circuit(form)
    {
        form.actions
            .edit(Edit::Put(vec![(id, Record::Circuit(circuit))]));
    }
}

/// The way to the circuit's own card, and away with it.
fn buttons(form: &mut Form<'_, '_>, id: Id) {
    let (open, remove) = (format!("Open {id}"), format!("Remove {id}"));
    form.ui.horizontal(|ui| {
        if widgets::action(ui, &open).clicked() {
            form.actions.ask(Action::Select(Selection::one(id)));
        }
        if !form.shown.read_only && widgets::action(ui, &remove).clicked() {
            form.actions.edit(Edit::Remove(vec![id]));
        }
    });
}

/// Breaker and volts, each label with the words before it.
fn figures(form: &mut Form<'_, '_>, before: &str, id: Id, circuit: &Circuit) {
    let with = |circuit: Circuit| Edit::Put(vec![(id, Record::Circuit(circuit))]);
    form.text(
        &format!("{before}breaker"),
        circuit.breaker.shown(),
        |typed| {
            let breaker = figure::read(typed, "A", Amps::parse)?;
            Ok(with(Circuit {
                breaker,
                ..circuit.clone()
            }))
        },
    );
    form.text(&format!("{before}volts"), circuit.volts.shown(), |typed| {
        let volts = figure::read(typed, "V", Volts::parse)?;
        Ok(with(Circuit {
            volts,
            ..circuit.clone()
        }))
    });
}

/// The card of one circuit.
pub(super) fn circuit_card(form: &mut Form<'_, '_>, id: Id, circuit: &Circuit) {
    let with = |circuit: Circuit| Edit::Put(vec![(id, Record::Circuit(circuit))]);
    figures(form, "", id, circuit);
    let panels = form.shown.layout.of_kind(ItemKind::Panel);
    let panels = panels.map(|p| (p.id, format!("panel {}", p.id)));
    let panels = or_unknown(panels);
    form.choice("comes from", &circuit.panel, &panels, |panel| {
        Some(with(Circuit {
            panel,
            ..circuit.clone()
        }))
    });
    built(form, id, circuit);
    form.presence(&circuit.presence, |presence| {
        with(Circuit {
            presence,
            ..circuit.clone()
        })
    });
    if !form.shown.read_only && widgets::action(form.ui, "Remove the circuit").clicked() {
        form.actions.edit(Edit::Remove(vec![id]));
    }
}

/// How it is built: breaker, leg and cable.
fn built(form: &mut Form<'_, '_>, id: Id, circuit: &Circuit) {
    let (shown, built) = (form.shown, &circuit.built);
    let set = |change: &dyn Fn(&mut CircuitBuild)| {
        let mut circuit = circuit.clone();
        change(&mut circuit.built);
        Edit::Put(vec![(id, Record::Circuit(circuit))])
    };
    form.choice("curve", &built.curve, &curves(), |curve| {
        Some(set(&|b| b.curve = curve))
    });
    let system = shown.plan.head().system;
    form.choice("poles", &built.poles, &poles(circuit, system), |poles| {
        Some(set(&|b| b.poles = poles))
    });
    let legs = SupplyLeg::ALL.into_iter().take(system.legs());
    let legs = or_unknown(legs.map(|leg| (leg, leg.words().to_owned())));
    form.choice("begins on leg", &built.leg, &legs, |leg| {
        Some(set(&|b| b.leg = leg))
    });
    let sizes = conductors(shown.practice());
    form.choice("conductor", &built.conductor, &sizes, |conductor| {
        Some(set(&|b| b.conductor = conductor))
    });
    let kinds = Protection::ALL.map(|p| (p, p.words().to_owned()));
    let kinds = or_unknown(kinds.into_iter());
    form.choice("leakage trip", &built.protection, &kinds, |protection| {
        Some(set(&|b| b.protection = protection))
    });
    let run = built.run.map(|run| run.shown_exact(shown.practice()));
    form.text("run", run.unwrap_or_default(), |typed| {
        let run = length_maybe(typed, shown.practice())?;
        allowed(shown, &format!("circuits › {id}"), set(&|b| b.run = run))
    });
}

/// The curves with where they trip at once.
fn curves() -> Vec<(Option<Curve>, String)> {
    let curves = Curve::ALL.map(|curve| {
        let (from, to) = curve.trips_at();
        (curve, format!("{}: {from} to {to} times", curve.letter()))
    });
    or_unknown(curves.into_iter())
}

/// The poles a breaker may have in the system; where nobody says, what its voltage lets expect.
fn poles(circuit: &Circuit, system: System) -> Vec<(Option<u8>, String)> {
    let mut unsaid = circuit.clone();
    unsaid.built.poles = None;
    let most = if system.legs() > 2 { 3 } else { 2 };
    let words = |n: u8| format!("{n} pole{}", if n == 1 { "" } else { "s" });
    let said = (1..=most).map(|n| (Some(n), words(n)));
    let by_volts = format!("not said; by its volts {}", unsaid.poles(system));
    std::iter::once((None, by_volts)).chain(said).collect()
}

/// The sizes of conductors, those of the practice first.
fn conductors(practice: Practice) -> Vec<(Option<Conductor>, String)> {
    let sizes = Conductor::for_practice(practice).into_iter();
    or_unknown(sizes.map(|size| (size, size.words().to_owned())))
}

/// All circuits by mark and breaker, for a choice, with a first line for none known.
pub(super) fn choices(shown: &Shown<'_>) -> Vec<(Option<Id>, String)> {
    let circuits = shown.plan.circuits().iter();
    or_unknown(circuits.map(|(id, c)| (id, format!("{id}, {}", c.breaker.shown()))))
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
        built: CircuitBuild::default(),
    };
    Some((id, circuit))
}
