//! Who hangs on what in one phase, and how much that is. Sums only: what is too much is judged by `checks`.

use std::collections::{BTreeMap, BTreeSet};

use super::Layout;
use crate::handbook::circuit;
use crate::plan::{Id, Item, Printer};
use crate::stock::{PrinterKind, UpsKind};
use crate::units::{Ratio, Watts};

/// A sum in which some figures may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Total {
    /// Sum of the figures that are known.
    pub known: f64,
    /// The things whose figure is missing.
    pub missing: Vec<Id>,
}

impl Total {
    fn add(&mut self, id: Id, figure: Option<f64>) {
        match figure {
            Some(value) => self.known += value,
            None => self.missing.push(id),
        }
    }

    fn add_total(&mut self, other: &Self) {
        self.known += other.known;
        self.missing.extend(other.missing.iter().copied());
    }

    /// The sum, where nothing is missing.
    pub fn whole(&self) -> Option<f64> {
        self.missing.is_empty().then_some(self.known)
    }
}

/// Real and apparent power, running and at the peak after an outage, when everything heats at once; and what it draws idle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    /// Running, in watts.
    pub running_w: Total,
    /// Running, in volt-amperes.
    pub running_va: Total,
    /// Everything heating at once, in watts.
    pub peak_w: Total,
    /// Everything heating at once, in volt-amperes.
    pub peak_va: Total,
    /// Switched on and idle, in watts.
    pub standby_w: Total,
}

impl Load {
    /// The load of one printer.
    fn of_printer(id: Id, kind: Option<&PrinterKind>) -> Self {
        let mut load = Self::of_figures(
            id,
            kind.and_then(|k| k.running),
            kind.and_then(|k| k.peak),
            kind.and_then(|k| k.power_factor),
        );
        let standby = kind.and_then(|k| k.standby);
        load.standby_w.add(id, standby.map(Watts::value));
        load
    }

    /// The load of a thing with these figures; what is missing is missing of `id`.
    fn of_figures(
        id: Id,
        running: Option<Watts>,
        peak: Option<Watts>,
        power_factor: Option<Ratio>,
    ) -> Self {
        let running = running.map(Watts::value);
        let peak = peak.map(Watts::value);
        let factor = power_factor.map(Ratio::value);
        let apparent = |watts: Option<f64>| circuit::volt_amperes(watts?, factor?);
        let mut load = Self::default();
        load.running_w.add(id, running);
        load.peak_w.add(id, peak);
        load.running_va.add(id, apparent(running));
        load.peak_va.add(id, apparent(peak));
        load
    }

    /// Adds another load.
    pub fn add(&mut self, other: &Self) {
        self.running_w.add_total(&other.running_w);
        self.running_va.add_total(&other.running_va);
        self.peak_w.add_total(&other.peak_w);
        self.peak_va.add_total(&other.peak_va);
        self.standby_w.add_total(&other.standby_w);
    }

    /// What a UPS with this load behind it takes from its outlet: the load over the efficiency, and at the peak the
    /// recharge of its battery too (after an outage both come together).
    pub fn behind_ups(&self, id: Id, kind: Option<&UpsKind>) -> Self {
        let efficiency = kind
            .and_then(|k| k.efficiency)
            .map(Ratio::value)
            .filter(|e| *e > 0.0);
        let recharge = kind.and_then(|k| k.recharge).map(Watts::value);
        let with_loss = |load: &Total| {
            let mut total = Total {
                known: efficiency.map_or(load.known, |e| load.known / e),
                missing: load.missing.clone(),
            };
            if efficiency.is_none() {
                total.missing.push(id);
            }
            total
        };
        let mut taken = Self {
            running_w: with_loss(&self.running_w),
            running_va: with_loss(&self.running_va),
            peak_w: with_loss(&self.peak_w),
            peak_va: with_loss(&self.peak_va),
            standby_w: with_loss(&self.standby_w),
        };
        taken.peak_w.add(id, recharge);
        taken.peak_va.add(id, recharge);
        taken
    }
}

/// What hangs on one UPS.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct UpsLoad {
    /// The printers plugged into it.
    pub printers: Vec<Id>,
    /// Their load.
    pub load: Load,
    /// What it takes from its outlet.
    pub taken: Load,
}

/// What hangs on one circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CircuitLoad {
    /// Its outlets.
    pub outlets: Vec<Id>,
    /// The UPS on them.
    pub supplies: Vec<Id>,
    /// The printers on them, by UPS or straight.
    pub printers: Vec<Id>,
    /// Numbers of the plan's other loads on it.
    pub others: Vec<usize>,
    /// The load of those alone.
    pub others_load: Load,
    /// The load.
    pub load: Load,
    /// Amperes while running.
    pub running_a: Total,
    /// Amperes when everything heats at once, UPS loss and recharge counted.
    pub peak_a: Total,
}

/// Who hangs on what.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Power {
    /// By printer: the load of each.
    pub printers: BTreeMap<Id, Load>,
    /// By UPS.
    pub supplies: BTreeMap<Id, UpsLoad>,
    /// By outlet: what is plugged in, UPS and printers.
    pub outlets: BTreeMap<Id, Vec<Id>>,
    /// By circuit.
    pub circuits: BTreeMap<Id, CircuitLoad>,
    /// Printers plugged into nothing, or into a UPS or outlet that leads to no circuit.
    pub unpowered: Vec<Id>,
}

impl Power {
    /// A figure of all printers together in words, such as "6.1 kW"; "at least" where one is missing.
    pub fn kilowatts(&self, figure: fn(&Load) -> &Total) -> String {
        let all = self.of_all(figure);
        let least = if all.whole().is_none() {
            "at least "
        } else {
            ""
        };
        format!("{least}{:.1} kW", all.known / 1000.0)
    }

    /// A figure of all printers together.
    pub fn of_all(&self, figure: fn(&Load) -> &Total) -> Total {
        let mut all = Total::default();
        for load in self.printers.values() {
            all.add_total(figure(load));
        }
        all
    }

    pub(super) fn of(layout: &Layout) -> Self {
        let mut power = Self::default();
        power.list(layout);
        let printers: Vec<(Id, &Printer)> = layout
            .printers()
            .filter_map(|(_, s)| layout.plan.printers().get(s.id).map(|p| (s.id, p)))
            .collect();
        for (id, printer) in &printers {
            power.plug_printer(layout, *id, printer);
        }
        let outlet_circuit = |outlet: Id| match layout.plan.items().get(outlet) {
            Some(Item::Outlet(o)) => o.circuit,
            _ => None,
        };
        let supplies: Vec<Id> = power.supplies.keys().copied().collect();
        for id in supplies {
            power.plug_supply(layout, id, outlet_circuit);
        }
        for (id, printer) in &printers {
            power.trace(*id, printer, outlet_circuit);
        }
        power.others(layout);
        let on_circuits = power
            .circuits
            .values()
            .flat_map(|c| c.printers.iter().copied());
        let powered: BTreeSet<Id> = on_circuits.collect();
        let without = printers.iter().map(|(id, _)| *id);
        power.unpowered = without.filter(|id| !powered.contains(id)).collect();
        power.amperes(layout);
        power
    }

    /// Lists what there is in this phase, without any load yet.
    fn list(&mut self, layout: &Layout) {
        for (id, circuit) in layout.plan.circuits().iter() {
            if circuit.presence.holds_in(layout.phase) {
                self.circuits.insert(id, CircuitLoad::default());
            }
        }
        for part in layout.parts() {
            match layout.plan.items().get(part.id) {
                Some(Item::Outlet(outlet)) => {
                    self.outlets.insert(part.id, Vec::new());
                    if let Some(circuit) = outlet.circuit.and_then(|c| self.circuits.get_mut(&c)) {
                        circuit.outlets.push(part.id);
                    }
                }
                Some(Item::Ups(_)) => {
                    self.supplies.insert(part.id, UpsLoad::default());
                }
                _ => {}
            }
        }
    }

    fn plug_printer(&mut self, layout: &Layout, id: Id, printer: &Printer) {
        let load = Load::of_printer(id, layout.stock.printers.get(&printer.kind));
        if let Some(ups) = printer.power.and_then(|to| self.supplies.get_mut(&to)) {
            ups.printers.push(id);
            ups.load.add(&load);
        } else if let Some(outlet) = printer.power.and_then(|to| self.outlets.get_mut(&to)) {
            outlet.push(id);
        }
        self.printers.insert(id, load);
    }

    fn plug_supply(&mut self, layout: &Layout, id: Id, circuit_of: impl Fn(Id) -> Option<Id>) {
        let Some(Item::Ups(item)) = layout.plan.items().get(id) else {
            return;
        };
        let kind = layout.stock.ups.get(&item.kind);
        let Some(ups) = self.supplies.get_mut(&id) else {
            return;
        };
        ups.taken = ups.load.behind_ups(id, kind);
        let Some(outlet) = item.outlet else {
            return;
        };
        if let Some(plugged) = self.outlets.get_mut(&outlet) {
            plugged.push(id);
            if let Some(circuit) = circuit_of(outlet).and_then(|c| self.circuits.get_mut(&c)) {
                circuit.supplies.push(id);
                circuit.load.add(&ups.taken);
                circuit.printers.extend(ups.printers.iter().copied());
            }
        }
    }

    /// Puts a printer that is plugged straight into an outlet on its circuit.
    fn trace(&mut self, id: Id, printer: &Printer, circuit_of: impl Fn(Id) -> Option<Id>) {
        let straight = printer
            .power
            .filter(|to| self.outlets.contains_key(to))
            .and_then(circuit_of);
        if let Some(circuit) = straight.and_then(|c| self.circuits.get_mut(&c)) {
            circuit.printers.push(id);
            if let Some(load) = self.printers.get(&id) {
                circuit.load.add(load);
            }
        }
    }

    /// Puts the plan's other loads on their circuits; of one with a figure missing its circuit is named.
    fn others(&mut self, layout: &Layout) {
        for (number, other) in layout.plan.supply().loads.iter().enumerate() {
            let there = other.circuit.filter(|_| other.arrives <= layout.phase);
            let Some((id, circuit)) = there.and_then(|id| Some((id, self.circuits.get_mut(&id)?)))
            else {
                continue;
            };
            circuit.others.push(number);
            let load = Load::of_figures(id, other.running, other.peak, other.power_factor);
            circuit.load.add(&load);
            circuit.others_load.add(&load);
        }
    }

    fn amperes(&mut self, layout: &Layout) {
        for (id, circuit) in &mut self.circuits {
            circuit.printers.sort_unstable();
            let volts = layout
                .plan
                .circuits()
                .get(*id)
                .map(|c| c.volts.value())
                .filter(|v| *v > 0.0);
            let over = |va: &Total| Total {
                known: volts.map_or(0.0, |v| va.known / v),
                missing: if volts.is_some() {
                    va.missing.clone()
                } else {
                    vec![*id]
                },
            };
            circuit.running_a = over(&circuit.load.running_va);
            circuit.peak_a = over(&circuit.load.peak_va);
        }
    }
}

impl Layout {
    /// The kind of a UPS of the plan.
    pub fn ups_kind(&self, ups: Id) -> Option<&UpsKind> {
        let Item::Ups(item) = self.plan.items().get(ups)? else {
            return None;
        };
        self.stock.ups.get(&item.kind)
    }
}
