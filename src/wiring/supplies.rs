//! Printers to the UPS of their rack: as many as its watts, volt-amperes and receptacles carry, one UPS filled before the next. What a
//! person locked, and what earlier phases plugged in, stays.

use std::collections::BTreeMap;

use crate::layout::{Layout, Load};
use crate::plan::{Id, Item, Presence, UpsPlace};
use crate::stock::UpsKind;
use crate::units::{VoltAmps, Watts};

/// True for what the wiring of a phase leaves as it is: locked, or of an earlier phase.
pub(super) fn stays(layout: &Layout, presence: &Presence) -> bool {
    presence.pinned || presence.arrives < layout.phase()
}

/// A UPS with what may still hang on it.
struct Room<'a> {
    /// The rack it stands at, if any.
    rack: Option<Id>,
    kind: &'a UpsKind,
    load: Load,
    printers: Vec<Id>,
}

impl Room<'_> {
    /// True where one more load is within its margin while running, its rating at the peak, and its receptacles.
    fn takes(&self, layout: &Layout, more: &Load) -> bool {
        let share = layout.limits().ups_share.value.value();
        let mut load = self.load.clone();
        load.add(more);
        let (watts, va) = (
            self.kind.watts.map(Watts::value),
            self.kind.volt_amperes.map(VoltAmps::value),
        );
        let within = |known: Option<f64>, most: Option<f64>| {
            known
                .zip(most)
                .is_some_and(|(known, most)| known <= most + 1e-9)
        };
        self.printers.len() < usize::from(self.kind.receptacles)
            && within(load.running_w.whole(), watts.map(|w| w * share))
            && within(load.running_va.whole(), va.map(|v| v * share))
            && within(load.peak_w.whole(), watts)
            && within(load.peak_va.whole(), va)
    }

    fn take(&mut self, printer: Id, load: &Load) {
        self.load.add(load);
        self.printers.push(printer);
    }
}

/// Which UPS every printer hangs on that hangs on one.
pub(super) fn printers_on_supplies(layout: &Layout) -> BTreeMap<Id, Id> {
    let mut rooms = rooms(layout);
    let mut on: BTreeMap<Id, Id> = BTreeMap::new();
    let loads = &layout.power().printers;
    let mut loose = Vec::new();
    // What stays comes first, whatever it weighs: it is there.
    for (slot, printer) in layout.printers() {
        let (Some(placed), Some(load)) = (
            layout.plan().printers().get(printer.id),
            loads.get(&printer.id),
        ) else {
            continue;
        };
        let kept = placed.power.filter(|to| is_there(layout, *to));
        match kept.filter(|_| stays(layout, &placed.presence)) {
            None => loose.push((slot.name.rack, printer.id, placed.power, load)),
            Some(to) => {
                if let Some(room) = rooms.get_mut(&to) {
                    room.take(printer.id, load);
                    on.insert(printer.id, to);
                }
            }
        }
    }
    // What hangs on a UPS already goes back to it before others fill it.
    loose.sort_by_key(|(_, _, now, _)| !now.is_some_and(|now| rooms.contains_key(&now)));
    for (rack, printer, now, load) in loose {
        // Its own first, then those of its rack in the order of their marks.
        let own = now.filter(|id| rooms.get(id).is_some_and(|room| room.takes(layout, load)));
        let mut of_rack = rooms
            .iter()
            .filter(|(_, room)| room.rack == Some(rack) && room.takes(layout, load));
        let found = own.or_else(|| of_rack.next().map(|(id, _)| *id));
        if let Some(id) = found
            && let Some(room) = rooms.get_mut(&id)
        {
            room.take(printer, load);
            on.insert(printer, id);
        }
    }
    on
}

/// True where a mark is an outlet or a UPS of the phase.
pub(super) fn is_there(layout: &Layout, to: Id) -> bool {
    let power = layout.power();
    power.outlets.contains_key(&to) || power.supplies.contains_key(&to)
}

/// Every UPS of the phase, empty.
fn rooms(layout: &Layout) -> BTreeMap<Id, Room<'_>> {
    let supplies = layout.power().supplies.keys();
    supplies
        .filter_map(|id| {
            let Some(Item::Ups(ups)) = layout.plan().items().get(*id) else {
                return None;
            };
            let rack = match ups.stands {
                UpsPlace::OnRack(rack) => Some(rack),
                UpsPlace::OnFloor(_) => None,
            };
            let room = Room {
                rack,
                kind: layout.stock().ups.get(&ups.kind)?,
                load: Load::default(),
                printers: Vec::new(),
            };
            Some((*id, room))
        })
        .collect()
}
