//! The building's supply on the card of the plan: what this room may take of it, and what hangs on its circuits besides printers
//! and UPS. Adds nothing up.

use super::circuit;
use super::form::{Form, allowed, or_unknown};
use super::heat::percent;
use crate::editor::figure::read_maybe;
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::plan::{Edit, Label, OtherLoad, Supply};
use crate::units::{Amps, Ratio, Watts};

/// What commonly hangs on the circuits of such a room: common practice, no source.
const OFFERS: [&str; 4] = ["lights", "cooling unit", "dryer", "bench tools"];

/// Where a load keeps one of its powers.
type Power = fn(&mut OtherLoad) -> &mut Option<Watts>;

/// Shows the fields and the list.
pub(super) fn supply(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Supply");
    given(form);
    form.ui.add_space(4.0);
    form.ui.weak("Other loads");
    widgets::hint(
        form.ui,
        "What hangs on the circuits besides printers and UPS.",
    );
    // Above the list, so that they stay where they are while it grows.
    offers(form);
    for (index, load) in form.shown.plan.supply().loads.iter().enumerate() {
        one_load(form, index, load);
    }
}

/// The step that changes what is said of the supply, or what the audit says against it.
fn saying(shown: &Shown<'_>, change: impl FnOnce(&mut Supply)) -> Result<Edit, String> {
    let mut supply = shown.plan.supply().clone();
    change(&mut supply);
    allowed(shown, "supply", Edit::SetSupply(Box::new(supply)))
}

/// What the building gives, and what of it this room may take.
fn given(form: &mut Form<'_, '_>) {
    let shown = form.shown;
    let now = shown.plan.supply();
    let amps = |amps: Option<Amps>| amps.map(Amps::shown).unwrap_or_default();
    form.text("service", amps(now.service), |typed| {
        let service = read_maybe(typed, "A", Amps::parse)?;
        saying(shown, |s| s.service = service)
    });
    form.text("feeder", amps(now.feeder), |typed| {
        let feeder = read_maybe(typed, "A", Amps::parse)?;
        saying(shown, |s| s.feeder = feeder)
    });
    let share = now.share.map(Ratio::shown).unwrap_or_default();
    form.text("share of them", share, |typed| {
        let share = percent(typed)?;
        saying(shown, |s| s.share = share)
    });
    let damp = [(true, "damp"), (false, "dry")].map(|(damp, word)| (damp, word.to_owned()));
    form.choice(
        "room counts as",
        &now.damp,
        &or_unknown(damp.into_iter()),
        |damp| {
            Some(Edit::SetSupply(Box::new(Supply {
                damp,
                ..now.clone()
            })))
        },
    );
    // A system with one voltage has no higher one to allow.
    if now.higher_voltage || shown.plan.head().system.higher_volts().is_some() {
        let label = "Higher voltage for auto-ranging machines";
        form.tick(label, now.higher_voltage, |on| {
            Edit::SetSupply(Box::new(Supply {
                higher_voltage: on,
                ..now.clone()
            }))
        });
    }
}

/// Buttons that begin a load by its name, while the list has room; its figures are nobody's guess but the owner's.
fn offers(form: &mut Form<'_, '_>) {
    let shown = form.shown;
    if shown.read_only {
        return;
    }
    if shown.plan.supply().loads.len() >= Supply::MOST {
        let words = format!("The list is full: it holds {} loads at most.", Supply::MOST);
        widgets::hint(form.ui, &words);
        return;
    }
    form.ui.horizontal_wrapped(|ui| {
        ui.weak("add");
        for name in OFFERS {
            let spoken = format!("Add the load of {name}");
            if widgets::action_named(ui, name, &spoken).clicked()
                && let Ok(name) = Label::new(name)
                && let Ok(edit) = saying(shown, |s| s.loads.push(begun(shown, name)))
            {
                form.actions.edit(edit);
            }
        }
    });
}

/// A load of which nothing is known yet but its name.
fn begun(shown: &Shown<'_>, name: Label) -> OtherLoad {
    OtherLoad {
        name,
        circuit: None,
        running: None,
        peak: None,
        power_factor: None,
        arrives: shown.phase(),
    }
}

/// The fields of one load, told apart by its number, which stays when it is renamed.
fn one_load(form: &mut Form<'_, '_>, index: usize, load: &OtherLoad) {
    let (shown, number) = (form.shown, index + 1);
    form.ui.add_space(4.0);
    let set = |change: &dyn Fn(&mut OtherLoad)| {
        saying(shown, |s| {
            s.loads.get_mut(index).into_iter().for_each(change);
        })
    };
    let label = |words: &str| format!("load {number} {words}");
    form.text(&label("name"), load.name.as_str().to_owned(), |typed| {
        let name = Label::new(typed).map_err(|e| e.to_string())?;
        set(&|l| l.name = name.clone())
    });
    let circuits = circuit::choices(shown);
    form.choice(&label("circuit"), &load.circuit, &circuits, |circuit| {
        set(&|l| l.circuit = circuit).ok()
    });
    let powers: [(&str, Option<Watts>, Power); 2] = [
        ("running", load.running, |l| &mut l.running),
        ("peak", load.peak, |l| &mut l.peak),
    ];
    for (words, watts, of) in powers {
        let value = watts.map(Watts::shown).unwrap_or_default();
        form.text(&label(words), value, |typed| {
            let watts = read_maybe(typed, "W", Watts::parse)?;
            set(&|l| *of(l) = watts)
        });
    }
    let factor = load.power_factor.map(Ratio::shown).unwrap_or_default();
    form.text(&label("factor"), factor, |typed| {
        let factor = percent(typed)?;
        set(&|l| l.power_factor = factor)
    });
    let phases = form.phases();
    form.choice(&label("arrives in"), &load.arrives, &phases, |phase| {
        set(&|l| l.arrives = phase).ok()
    });
    if !shown.read_only {
        let spoken = format!("Remove load {number}, {}", load.name);
        let words = format!("Remove {}", load.name);
        if widgets::action_named(form.ui, &words, &spoken).clicked()
            && let Ok(edit) = saying(shown, |s| {
                s.loads.remove(index);
            })
        {
            form.actions.edit(edit);
        }
    }
}
