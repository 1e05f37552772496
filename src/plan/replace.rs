//! One kind of rack or printer in the place of another, throughout the plan. What that breaks is for the checks to say.

use super::{Edit, Id, Item, Plan, Record};
use crate::stock::{KindId, Stock};

impl Plan {
    /// Every rack of one kind, in every phase, made one of another, with that kind's own levels and faces. Printers stay in the
    /// slots that both have, and go where the new kind has none. `None` where there is nothing to replace or no such kind.
    pub fn racks_replaced(&self, stock: &Stock, from: &KindId, to: &KindId) -> Option<Edit> {
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
    pub fn printers_replaced(&self, stock: &Stock, from: &KindId, to: &KindId) -> Option<Edit> {
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

/// The step, named; `None` where it changes nothing.
fn replaced(name: String, records: Vec<(Id, Record)>, gone: Vec<Id>) -> Option<Edit> {
    if records.is_empty() {
        return None;
    }
    if gone.is_empty() {
        return Some(Edit::Several(name, vec![Edit::Put(records)]));
    }
    let name = format!("{name}; {} printers without a slot go", gone.len());
    let parts = vec![Edit::Remove(gone), Edit::Put(records)];
    Some(Edit::Several(name, parts))
}
