//! The changes that are tried, as edits: circuits of the higher voltage, another UPS at every rack. Works out nothing of what follows.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::layout::Layout;
use crate::plan::{
    Circuit, Edit, Id, Item, ItemKind, Plan, Presence, Printer, Receptacle, Record, Ups, UpsPlace,
};
use crate::stock::{KindId, Stock};
use crate::units::{Volts, Watts};
use crate::wiring::ask::{Asked, free_places, takes_any_voltage};
use crate::wiring::outage::ride_of;
use crate::wiring::supplies::stays;

/// Circuits of the higher voltage for printers whose supplies take it.
#[derive(Clone)]
pub(super) struct HigherVoltage {
    volts: f64,
    /// The circuits that carry nothing but such printers.
    circuits: Vec<Id>,
    /// Circuits that would qualify, but for which the panel has no place.
    no_place: Vec<Id>,
    /// Such printers that are plugged into nothing: circuits added for them have the higher voltage too.
    waiting: usize,
    /// Places that circuits of the plan take besides those that a layout counts.
    places: u32,
}

impl HigherVoltage {
    pub(super) fn of(layout: &Layout, volts: f64) -> Self {
        let mut fit: Vec<Id> = Vec::new();
        for (id, load) in &layout.power().circuits {
            let Some(circuit) = layout.plan().circuits().get(*id) else {
                continue;
            };
            let only_such = !load.printers.is_empty()
                && load.supplies.is_empty()
                && load.others.is_empty()
                && load.printers.iter().all(|p| takes_any_voltage(layout, *p));
            if only_such && circuit.volts.value() < volts - 0.5 && !stays(layout, &circuit.presence)
            {
                fit.push(*id);
            }
        }
        // Each takes a second pole.
        let most = free_places(layout).and_then(|n| usize::try_from(n).ok());
        let no_place = fit.split_off(most.unwrap_or(usize::MAX).min(fit.len()));
        let is_existing = |id: &&Id| {
            let circuit = layout.plan().circuits().get(**id);
            circuit.is_some_and(|c| c.presence.status != crate::plan::Status::New)
        };
        let places = fit.iter().filter(is_existing).count();
        Self {
            volts,
            waiting: Asked::of(layout).waiting(layout),
            no_place,
            places: u32::try_from(places).unwrap_or(u32::MAX),
            circuits: fit,
        }
    }

    /// The ways to do it: those that wait on circuits of the higher voltage, or left to what is there.
    pub(super) fn ways(self) -> Vec<Self> {
        let without = Self {
            waiting: 0,
            ..self.clone()
        };
        let ways = [self, without].into_iter();
        ways.filter(|way| !way.is_none()).collect()
    }

    /// True where it changes circuits there are and adds none of the higher voltage.
    pub(super) fn is_for_present_circuits(&self) -> bool {
        self.waiting == 0
    }

    /// True where nothing can be changed.
    pub(super) fn is_none(&self) -> bool {
        self.circuits.is_empty() && self.waiting == 0
    }

    pub(super) fn why_none(&self, layout: &Layout) -> String {
        let unsaid = layout
            .stock()
            .printers
            .iter()
            .filter(|(kind, k)| {
                k.auto_ranging.is_none() && layout.printers().any(|(_, p)| p.kind == **kind)
            })
            .count();
        let unsaid = match unsaid {
            0 => "",
            _ => {
                " Of some kinds nobody entered whether their supply takes 100 to 240 V: it stands on their plate."
            }
        };
        if !self.no_place.is_empty() {
            return format!(
                "Nothing changes: {} would do, but the panel has no place free for a second pole.",
                listed(&self.no_place)
            );
        }
        format!(
            "Nothing changes: no circuit of this phase carries printers alone whose supplies take {:.0} V, and none such waits for power. A UPS keeps to its own voltage.{unsaid}",
            self.volts
        )
    }

    pub(super) fn words(&self, layout: &Layout) -> Vec<String> {
        let mut words = Vec::new();
        if !self.circuits.is_empty() {
            words.push(format!(
                "{} at {:.0} V: breakers of two poles, a place more in the panel for each, other receptacles, and cords for them.",
                listed(&self.circuits),
                self.volts
            ));
        }
        if self.waiting > 0 {
            words.push(format!(
                "Without a plug, {:.0} V on their plate: {}. Circuits added for them have it.",
                self.volts,
                crate::wiring::day_card::printers(self.waiting)
            ));
        }
        if !self.no_place.is_empty() {
            words.push(format!(
                "{} stay as they are: the panel has no place for a second pole.",
                listed(&self.no_place)
            ));
        }
        if free_places(layout).is_none() {
            words.push("How many places are free in the panel is not entered.".to_owned());
        }
        words
    }

    /// The phase's wiring, with the higher voltage for printers that wait.
    pub(super) fn asked(&self, layout: &Layout) -> Asked {
        let higher = (self.waiting > 0).then_some(self.volts);
        Asked::of_at(layout, higher).with_places_less(self.places)
    }

    pub(super) fn edit(&self, layout: &Layout) -> Vec<Edit> {
        let mut records = Vec::new();
        for id in &self.circuits {
            let (Some(circuit), Ok(volts)) =
                (layout.plan().circuits().get(*id), Volts::new(self.volts))
            else {
                continue;
            };
            let circuit = Circuit {
                volts,
                ..circuit.clone()
            };
            records.extend(receptacles(layout, *id, &circuit));
            records.push((*id, Record::Circuit(circuit)));
        }
        if records.is_empty() {
            return Vec::new();
        }
        vec![Edit::Put(records)]
    }

    /// The plan with that edit.
    pub(super) fn edited(&self, layout: &Layout, stock: &Stock) -> Option<Arc<Plan>> {
        applied(layout.plan(), stock, &self.edit(layout))
    }
}

/// The outlets of a circuit with receptacles for its voltage: NEMA 6-20 on a breaker of 20 A, else none that is known.
fn receptacles(layout: &Layout, id: Id, circuit: &Circuit) -> Vec<(Id, Record)> {
    let load = layout.power().circuits.get(&id);
    let outlets = load.into_iter().flat_map(|load| load.outlets.iter());
    outlets
        .filter_map(|id| match layout.plan().items().get(*id) {
            Some(Item::Outlet(outlet)) => {
                let mut outlet = outlet.clone();
                let fits = (circuit.breaker.value() - 20.0).abs() < 1e-9;
                outlet.receptacle = outlet.receptacle.and(fits.then_some(Receptacle::Nema6x20));
                Some((*id, Record::Item(Box::new(Item::Outlet(outlet)))))
            }
            _ => None,
        })
        .collect()
}

/// Another UPS at every rack, its printers shared out anew.
pub(super) struct MoreSupplies {
    added: Vec<(Id, Ups)>,
    moved: Vec<(Id, Printer)>,
    /// The racks that get one.
    racks: BTreeSet<Id>,
    /// Racks whose printers stay where they are plugged.
    left: Vec<Id>,
}

impl MoreSupplies {
    /// The change; why there is none.
    pub(super) fn of(layout: &Layout) -> Result<Self, String> {
        let Some(usual) = usual_kind(layout) else {
            return Err(
                "No UPS stands in this phase: put one at a rack first, then ask what another would do."
                    .to_owned(),
            );
        };
        let mut loose: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
        let mut racks = BTreeSet::new();
        for (slot, placed) in layout.printers() {
            racks.insert(slot.name.rack);
            let printer = layout.plan().printers().get(placed.id);
            if printer.is_some_and(|p| !stays(layout, &p.presence)) {
                loose.entry(slot.name.rack).or_default().push(placed.id);
            }
        }
        let marks = layout.plan().fresh(ItemKind::Ups.prefix(), loose.len());
        let mut change = Self {
            added: Vec::new(),
            moved: Vec::new(),
            racks: loose.keys().copied().collect(),
            left: racks
                .into_iter()
                .filter(|r| !loose.contains_key(r))
                .collect(),
        };
        for ((rack, printers), mark) in loose.into_iter().zip(marks) {
            change.at_rack(layout, (rack, printers), mark, &usual);
        }
        if change.added.is_empty() {
            return Err(
                "No printer of this phase may move to another plug: all are locked or of earlier phases."
                    .to_owned(),
            );
        }
        Ok(change)
    }

    /// One rack: the new UPS, and its loose printers shared out over all of its UPS, the heaviest first to the one used least.
    fn at_rack(
        &mut self,
        layout: &Layout,
        (rack, mut printers): (Id, Vec<Id>),
        mark: Id,
        usual: &KindId,
    ) {
        let there = supplies_at(layout, rack);
        let kind = there.first().map_or(usual, |(_, ups)| &ups.kind).clone();
        let new = Ups {
            kind,
            stands: UpsPlace::OnRack(rack),
            outlet: None,
            presence: Presence::new_in(layout.phase()),
        };
        let mut seats: Vec<Seat> = there
            .iter()
            .map(|(id, ups)| Seat::of(layout, *id, ups))
            .chain([Seat::of(layout, mark, &new)])
            .collect();
        let running = |id: &Id| {
            let load = layout.power().printers.get(id);
            load.and_then(|l| l.running_w.whole()).unwrap_or(0.0)
        };
        // What stays keeps its place.
        for seat in &mut seats {
            let on = layout.power().supplies.get(&seat.ups);
            for id in on.into_iter().flat_map(|on| &on.printers) {
                if !printers.contains(id) {
                    seat.take(running(id));
                }
            }
        }
        printers.sort_by(|a, b| running(b).total_cmp(&running(a)).then(a.cmp(b)));
        for id in printers {
            let free = seats.iter_mut().filter(|seat| seat.receptacles > 0);
            let Some(seat) = free.min_by(|a, b| a.used().total_cmp(&b.used())) else {
                continue;
            };
            seat.take(running(&id));
            if let Some(printer) = layout.plan().printers().get(id)
                && printer.power != Some(seat.ups)
            {
                let power = Some(seat.ups);
                self.moved.push((
                    id,
                    Printer {
                        power,
                        ..printer.clone()
                    },
                ));
            }
        }
        self.added.push((mark, new));
    }

    pub(super) fn words(&self, layout: &Layout) -> Vec<String> {
        let mut kinds: BTreeMap<&KindId, usize> = BTreeMap::new();
        for (_, ups) in &self.added {
            *kinds.entry(&ups.kind).or_default() += 1;
        }
        let of = kinds.iter().map(|(kind, n)| {
            let name = layout.stock().ups.get(*kind).map_or("UPS", |k| &k.name);
            format!("{n} × {name}")
        });
        let of: Vec<String> = of.collect();
        let mut words = vec![format!("Added: {}.", of.join(", "))];
        if !self.left.is_empty() {
            words.push(format!(
                "{} without one: what is locked or of earlier phases stays as it is plugged.",
                listed(&self.left)
            ));
        }
        words
    }

    /// How far the UPS of the racks that get one are used, and how long the first of their batteries lasts, before and after.
    pub(super) fn at_racks(&self, before: &Layout, after: &Layout) -> String {
        let (was, is) = (self.margin(before), self.margin(after));
        let share = |share: Option<f64>| {
            share.map_or_else(|| "?".to_owned(), |s| format!("{:.0} %", s * 100.0))
        };
        let minutes =
            |m: Option<f64>| m.map_or_else(|| "not known".to_owned(), |m| format!("{m:.1}"));
        let lasts = match (was.1, is.1) {
            (None, None) => "how long their batteries last is not known".to_owned(),
            (was, is) => format!(
                "the first battery empty after {} → {} min",
                minutes(was),
                minutes(is)
            ),
        };
        let racks: Vec<Id> = self.racks.iter().copied().collect();
        format!(
            "At {}: {} → {} of the rated watts of the UPS used most; {lasts}.",
            listed(&racks),
            share(was.0),
            share(is.0)
        )
    }

    /// The greatest share of rated watts, and the shortest time of a battery, of the UPS at the racks; `None` where one is not known.
    fn margin(&self, layout: &Layout) -> (Option<f64>, Option<f64>) {
        let at_racks = self
            .racks
            .iter()
            .flat_map(|rack| supplies_at(layout, *rack));
        let loads = at_racks.filter_map(|(id, _)| {
            let load = layout.power().supplies.get(&id)?;
            (!load.printers.is_empty()).then(|| (layout.ups_kind(id), load.load.running_w.whole()))
        });
        let loads: Vec<_> = loads.collect();
        let shares: Option<Vec<f64>> = loads
            .iter()
            .map(|(kind, watts)| Some((*watts)? / (*kind)?.watts?.value().max(1.0)))
            .collect();
        let times: Option<Vec<f64>> = loads
            .iter()
            .map(|(kind, watts)| ride_of((*kind)?, (*watts)?).minutes())
            .collect();
        (
            shares.and_then(|all| all.into_iter().max_by(f64::total_cmp)),
            times.and_then(|all| all.into_iter().min_by(f64::total_cmp)),
        )
    }

    pub(super) fn edit(&self) -> Vec<Edit> {
        let supplies = self.added.iter().map(|(id, ups)| {
            let item = Item::Ups(ups.clone());
            (*id, Record::Item(Box::new(item)))
        });
        let printers = self.moved.iter();
        let printers = printers.map(|(id, printer)| (*id, Record::Printer(printer.clone())));
        vec![Edit::Put(supplies.chain(printers).collect())]
    }

    /// The plan with that edit.
    pub(super) fn edited(&self, layout: &Layout, stock: &Stock) -> Option<Arc<Plan>> {
        applied(layout.plan(), stock, &self.edit())
    }
}

/// What one UPS carries while printers are shared out.
struct Seat {
    ups: Id,
    rated_w: f64,
    receptacles: u8,
    running_w: f64,
}

impl Seat {
    fn of(layout: &Layout, id: Id, ups: &Ups) -> Self {
        let kind = layout.stock().ups.get(&ups.kind);
        Self {
            ups: id,
            rated_w: kind
                .and_then(|k| k.watts)
                .map_or(1.0, Watts::value)
                .max(1.0),
            receptacles: kind.map_or(0, |k| k.receptacles),
            running_w: 0.0,
        }
    }

    fn take(&mut self, watts: f64) {
        self.running_w += watts;
        self.receptacles = self.receptacles.saturating_sub(1);
    }

    fn used(&self) -> f64 {
        self.running_w / self.rated_w
    }
}

/// The UPS of the phase that stand at a rack.
fn supplies_at(layout: &Layout, rack: Id) -> Vec<(Id, Ups)> {
    let supplies = layout.power().supplies.keys();
    supplies
        .filter_map(|id| match layout.plan().items().get(*id) {
            Some(Item::Ups(ups)) if ups.stands == UpsPlace::OnRack(rack) => {
                Some((*id, ups.clone()))
            }
            _ => None,
        })
        .collect()
}

/// The commonest kind of UPS in the phase.
fn usual_kind(layout: &Layout) -> Option<KindId> {
    let mut counts: BTreeMap<&KindId, usize> = BTreeMap::new();
    for id in layout.power().supplies.keys() {
        if let Some(Item::Ups(ups)) = layout.plan().items().get(*id) {
            *counts.entry(&ups.kind).or_default() += 1;
        }
    }
    let most = counts
        .into_iter()
        .max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(a.0)));
    most.map(|(kind, _)| kind.clone())
}

/// The plan with these edits; none where one is refused.
fn applied(plan: &Arc<Plan>, stock: &Stock, edits: &[Edit]) -> Option<Arc<Plan>> {
    let mut plan = Arc::clone(plan);
    for edit in edits {
        plan = Arc::new(plan.edited(stock, edit).ok()?);
    }
    Some(plan)
}

fn listed(ids: &[Id]) -> String {
    let words: Vec<String> = ids.iter().map(ToString::to_string).collect();
    words.join(", ")
}
