//! Coming back after an outage: which printers may heat at once, turn by turn, so that no breaker and no UPS is over. What has heated
//! runs on; what has not yet had its turn stays off. Decides only the order.

use std::collections::{BTreeMap, BTreeSet};

use crate::layout::{Layout, Load};
use crate::plan::Id;
use crate::units::{Ratio, VoltAmps, Watts};

/// The order in which printers come back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Restart {
    /// Turn by turn the printers that heat together.
    pub turns: Vec<Vec<Id>>,
    /// Printers that no turn may heat: too much even after all others of theirs run.
    pub stuck: Vec<Stuck>,
    /// Printers with a figure missing, or without power: not counted.
    pub unknown: Vec<Id>,
}

/// A printer that no turn may heat, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stuck {
    /// The printer.
    pub printer: Id,
    /// The UPS or the circuit that would be over.
    pub over: Id,
}

/// Watts and volt-amperes.
#[derive(Clone, Copy, Debug, Default)]
struct Draw {
    watts: f64,
    va: f64,
}

/// A printer with what it draws and what it hangs on.
struct Plugged {
    id: Id,
    circuit: Id,
    ups: Option<Id>,
    running: Draw,
    peak: Draw,
}

/// What a printer does in a turn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Off,
    Heats,
    Runs,
}

/// The fewest turns that taking printers in the order of their slots gives.
pub fn restart(layout: &Layout) -> Restart {
    let mut restart = Restart::default();
    let plugged = plugged(layout, &mut restart.unknown);
    // Circuits do not meddle with each other, and a UPS hangs on one.
    let mut by_circuit: BTreeMap<Id, Vec<&Plugged>> = BTreeMap::new();
    for printer in &plugged {
        by_circuit.entry(printer.circuit).or_default().push(printer);
    }
    let same = |printer: &Plugged| {
        by_circuit
            .get(&printer.circuit)
            .map_or(&[][..], Vec::as_slice)
    };
    let mut states: BTreeMap<Id, State> = plugged.iter().map(|p| (p.id, State::Off)).collect();
    loop {
        let mut turn = Vec::new();
        for printer in &plugged {
            if states.get(&printer.id) != Some(&State::Off) {
                continue;
            }
            states.insert(printer.id, State::Heats);
            if over(layout, same(printer), &states, printer).is_none() {
                turn.push(printer.id);
            } else {
                states.insert(printer.id, State::Off);
            }
        }
        if turn.is_empty() {
            break;
        }
        for id in &turn {
            states.insert(*id, State::Runs);
        }
        restart.turns.push(turn);
    }
    for printer in &plugged {
        if states.get(&printer.id) != Some(&State::Off) {
            continue;
        }
        states.insert(printer.id, State::Heats);
        restart.stuck.extend(
            over(layout, same(printer), &states, printer).map(|over| Stuck {
                printer: printer.id,
                over,
            }),
        );
        states.insert(printer.id, State::Off);
    }
    restart
}

/// Every printer that hangs on a circuit with all its figures, in the order of slots.
fn plugged(layout: &Layout, unknown: &mut Vec<Id>) -> Vec<Plugged> {
    let power = layout.power();
    let mut on: BTreeMap<Id, Id> = BTreeMap::new();
    for (circuit, load) in &power.circuits {
        on.extend(load.printers.iter().map(|printer| (*printer, *circuit)));
    }
    let behind: BTreeMap<Id, Id> = power
        .supplies
        .iter()
        .flat_map(|(ups, load)| load.printers.iter().map(move |printer| (*printer, *ups)))
        .collect();
    layout
        .printers()
        .filter_map(|(_, printer)| {
            let id = printer.id;
            let known = power.printers.get(&id).and_then(draws).zip(on.get(&id));
            let Some(((running, peak), circuit)) = known else {
                unknown.push(id);
                return None;
            };
            Some(Plugged {
                id,
                circuit: *circuit,
                ups: behind.get(&id).copied(),
                running,
                peak,
            })
        })
        .collect()
}

fn draws(load: &Load) -> Option<(Draw, Draw)> {
    let running = Draw {
        watts: load.running_w.whole()?,
        va: load.running_va.whole()?,
    };
    let peak = Draw {
        watts: load.peak_w.whole()?,
        va: load.peak_va.whole()?,
    };
    Some((running, peak))
}

/// What is over while a printer heats: its UPS, or its circuit; none where both hold. `all` are those on its circuit.
fn over(
    layout: &Layout,
    all: &[&Plugged],
    states: &BTreeMap<Id, State>,
    printer: &Plugged,
) -> Option<Id> {
    let holds = |ups: Id| {
        let drawn = drawn(all, states, |p| p.ups == Some(ups));
        rating(layout, ups)
            .is_some_and(|most| drawn.watts <= most.watts + 1e-9 && drawn.va <= most.va + 1e-9)
    };
    let ups = printer.ups.filter(|ups| !holds(*ups));
    let circuit = printer.circuit;
    ups.or_else(|| (!circuit_holds(layout, all, states, circuit)).then_some(circuit))
}

/// What the chosen printers draw together.
fn drawn(all: &[&Plugged], states: &BTreeMap<Id, State>, which: impl Fn(&Plugged) -> bool) -> Draw {
    all.iter()
        .filter(|p| which(p))
        .fold(Draw::default(), |sum, p| {
            let draw = match states.get(&p.id) {
                Some(State::Heats) => p.peak,
                Some(State::Runs) => p.running,
                Some(State::Off) | None => Draw::default(),
            };
            Draw {
                watts: sum.watts + draw.watts,
                va: sum.va + draw.va,
            }
        })
}

fn rating(layout: &Layout, ups: Id) -> Option<Draw> {
    let kind = layout.ups_kind(ups)?;
    Some(Draw {
        watts: kind.watts.map(Watts::value)?,
        va: kind.volt_amperes.map(VoltAmps::value)?,
    })
}

/// The amperes of a circuit against its breaker: UPS loss and recharge and other loads at their peak counted.
fn circuit_holds(layout: &Layout, all: &[&Plugged], states: &BTreeMap<Id, State>, id: Id) -> bool {
    let (Some(circuit), Some(load)) = (
        layout.plan().circuits().get(id),
        layout.power().circuits.get(&id),
    ) else {
        return false;
    };
    let straight = drawn(all, states, |p| p.ups.is_none()).va;
    let supplies: BTreeSet<Id> = load.supplies.iter().copied().collect();
    let behind = supplies.iter().fold(0.0, |sum, ups| {
        let kind = layout.ups_kind(*ups);
        let efficiency = kind.and_then(|k| k.efficiency).map_or(1.0, Ratio::value);
        let recharge = kind.and_then(|k| k.recharge).map_or(0.0, Watts::value);
        sum + drawn(all, states, |p| p.ups == Some(*ups)).va / efficiency.max(0.01) + recharge
    });
    let others = load.others_load.peak_va.known;
    let most = circuit.breaker.value() * layout.limits().breaker_share.value.value();
    let volts = circuit.volts.value();
    volts > 0.0 && (straight + behind + others) / volts <= most + 1e-9
}

impl Restart {
    /// In words: how many at once, and in how many turns.
    pub fn words(&self) -> String {
        let most = self.turns.iter().map(Vec::len).max().unwrap_or(0);
        let turns = match self.turns.as_slice() {
            [] => "nothing may heat".to_owned(),
            [all] => format!("all {} may heat at once", all.len()),
            turns => format!(
                "{} turns, at most {most} printers heat at once",
                turns.len()
            ),
        };
        let stuck = match self.stuck.len() {
            0 => String::new(),
            n => format!("; {n} may not heat at all: their breaker or UPS would be over"),
        };
        let unknown = match self.unknown.len() {
            0 => String::new(),
            n => format!("; {n} not counted, for want of a figure or of power"),
        };
        format!("{turns}{stuck}{unknown}")
    }
}
