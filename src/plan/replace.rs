//! One kind of rack or printer in the place of another, throughout the plan. What that breaks is for the checks to say.

use super::{Edit, Id, Item, Plan, Record};
use crate::stock::{KindId, Stock};

/// A replacement that was worked out and not yet made.
#[derive(Clone, Debug, PartialEq)]
pub struct Replaced {
    /// The step that makes it.
    pub edit: Edit,
    /// How many things it changes.
    pub changed: usize,
    /// Printers that go with it, for want of a slot.
    pub gone: usize,
}

impl Plan {
    /// Every rack of one kind, in every phase, made one of another, with that kind's own levels and faces. Printers stay in the
    /// slots that both have, and go where the new kind has none. `None` where there is nothing to replace or no such kind.
    pub fn racks_replaced(&self, stock: &Stock, from: &KindId, to: &KindId) -> Option<Replaced> {
        let kind = stock.racks.get(to).filter(|_| from != to)?;
        let mut records = Vec::new();
        let mut gone: Vec<Id> = Vec::new();
        for (id, item) in self.items().iter() {
            let Item::Rack(rack) = item else { continue };
            if rack.kind != *from {
                continue;
            }
            let mut rack = rack.clone();
            rack.kind = to.clone();
            rack.levels = Vec::new();
            rack.faces = Vec::new();
            records.push((id, Record::Item(Box::new(Item::Rack(rack)))));
            let homeless = self.printers().iter().filter(|(_, p)| {
                let level = usize::from(p.slot.level).checked_sub(1);
                let slots = level
                    .and_then(|l| kind.levels.get(l))
                    .map_or(0, |l| l.slots);
                p.slot.rack == id && p.slot.place > slots
            });
            gone.extend(homeless.map(|(printer, _)| printer));
        }
        replaced(format!("Replace every {from} by {to}"), records, gone)
    }

    /// Every printer of one kind, in every phase, made one of another. `None` where there is nothing to replace or no such kind.
    pub fn printers_replaced(&self, stock: &Stock, from: &KindId, to: &KindId) -> Option<Replaced> {
        stock.printers.get(to).filter(|_| from != to)?;
        let records = self.printers().iter().filter(|(_, p)| p.kind == *from);
        let records = records.map(|(id, printer)| {
            let mut printer = printer.clone();
            printer.kind = to.clone();
            (id, Record::Printer(printer))
        });
        let name = format!("Replace every {from} by {to}");
        replaced(name, records.collect(), Vec::new())
    }
}

fn replaced(name: String, records: Vec<(Id, Record)>, gone: Vec<Id>) -> Option<Replaced> {
    let (changed, lost) = (records.len(), gone.len());
    let mut parts = Vec::new();
    if lost > 0 {
        parts.push(Edit::Remove(gone));
    }
    parts.push(Edit::Put(records));
    (changed > 0).then_some(Replaced {
        edit: Edit::Several(name, parts),
        changed,
        gone: lost,
    })
}
