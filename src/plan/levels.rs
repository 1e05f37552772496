//! The levels of one rack changed one by one, each change a single step: the printers on it stay with their boards. What a
//! change breaks is for the checks to say.

use super::{Edit, Id, Item, Plan, Rack, Record};
use crate::stock::{LevelKind, Stock};

impl Plan {
    /// The step that puts `to` in the place of a level of that rack, the lowest being level 1. Printers whose places are gone
    /// go with them. `None` where there is no such level, or where nothing would change.
    pub fn level_set(&self, stock: &Stock, id: Id, level: u8, to: LevelKind) -> Option<Edit> {
        let (rack, mut levels) = self.levels_of(stock, id)?;
        let old = levels.get_mut(index(level)?)?;
        if *old == to {
            return None;
        }
        let moved = old.height != to.height;
        let slots = to.slots;
        *old = to;
        let verb = if moved { "Move" } else { "Set" };
        let homeless = self.printers_where(id, |at, place| at == level && place > slots);
        let name = format!("{verb} level {level} of {id}");
        Some(step(name, homeless, vec![with_levels(id, rack, levels)]))
    }

    /// The step that adds a level to that rack at its own height; the printers above keep their boards. `None` where there is
    /// no such rack.
    pub fn level_added(&self, stock: &Stock, id: Id, new: LevelKind) -> Option<Edit> {
        let (rack, mut levels) = self.levels_of(stock, id)?;
        let below = levels.iter().filter(|l| l.height <= new.height).count();
        levels.insert(below, new);
        let first_raised = u8::try_from(below).ok()?.checked_add(1)?;
        let mut records = self.renumbered(id, |at| {
            if at >= first_raised {
                at.saturating_add(1)
            } else {
                at
            }
        });
        records.push(with_levels(id, rack, levels));
        Some(step(format!("Add a level to {id}"), Vec::new(), records))
    }

    /// The step that takes a level of that rack away with the printers on it; those above keep their boards. `None` where
    /// there is no such level, or no other: a rack keeps at least one.
    pub fn level_removed(&self, stock: &Stock, id: Id, level: u8) -> Option<Edit> {
        let (rack, mut levels) = self.levels_of(stock, id)?;
        let index = index(level)?;
        if index >= levels.len() || levels.len() < 2 {
            return None;
        }
        levels.remove(index);
        let gone = self.printers_where(id, |at, _| at == level);
        let mut records = self.renumbered(id, |at| if at > level { at - 1 } else { at });
        records.retain(|(id, _)| !gone.contains(id));
        records.push(with_levels(id, rack, levels));
        Some(step(format!("Remove level {level} of {id}"), gone, records))
    }

    /// The rack with the levels in force.
    fn levels_of(&self, stock: &Stock, id: Id) -> Option<(&Rack, Vec<LevelKind>)> {
        let rack = self.rack(id)?;
        let kind = stock.racks.get(&rack.kind)?;
        Some((rack, rack.levels(kind).to_vec()))
    }

    /// The printers of a rack, in every phase, by level and place.
    fn printers_where(&self, rack: Id, holds: impl Fn(u8, u8) -> bool) -> Vec<Id> {
        let there = self.printers().iter().filter(|(_, p)| p.slot.rack == rack);
        there
            .filter(|(_, p)| holds(p.slot.level, p.slot.place))
            .map(|(id, _)| id)
            .collect()
    }

    /// The printers of a rack whose level gets another number, with it.
    fn renumbered(&self, rack: Id, number: impl Fn(u8) -> u8) -> Vec<(Id, Record)> {
        let there = self.printers().iter().filter(|(_, p)| p.slot.rack == rack);
        there
            .filter(|(_, p)| number(p.slot.level) != p.slot.level)
            .map(|(id, printer)| {
                let mut printer = printer.clone();
                printer.slot.level = number(printer.slot.level);
                (id, Record::Printer(printer))
            })
            .collect()
    }
}

/// Where a level of that number stands in the list.
fn index(level: u8) -> Option<usize> {
    level.checked_sub(1).map(usize::from)
}

fn with_levels(id: Id, rack: &Rack, levels: Vec<LevelKind>) -> (Id, Record) {
    let rack = Rack {
        levels,
        ..rack.clone()
    };
    (id, Record::Item(Box::new(Item::Rack(rack))))
}

/// The step, named for the printers that go too.
fn step(name: String, gone: Vec<Id>, records: Vec<(Id, Record)>) -> Edit {
    let name = match gone.len() {
        0 => name,
        1 => format!("{name}; 1 printer goes"),
        n => format!("{name}; {n} printers go"),
    };
    let removed = (!gone.is_empty()).then_some(Edit::Remove(gone));
    let parts = removed.into_iter().chain([Edit::Put(records)]).collect();
    Edit::Several(name, parts)
}
