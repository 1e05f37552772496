//! Kinds of the plan's own: a rack as it stands, or a printer that was measured, made a kind that the stock drawer offers.
//! They are part of the plan and travel with it.

use super::{Edit, Id, Item, OwnKind, Plan, Rack, Record};
use crate::stock::{KindId, PrinterKind, RackKind, Stock};

impl Plan {
    /// The step that makes a rack, with its own levels and faces, a kind of its own and the rack one of it; and the kind's name.
    /// `None` where there is no such rack.
    pub fn rack_as_own(&self, stock: &Stock, id: Id) -> Option<(Edit, KindId)> {
        let rack = self.rack(id)?;
        let kind = stock.racks.get(&rack.kind)?;
        let own_id = fresh("own-rack", |name| stock.racks.contains_key(name))?;
        let taken = |name: &str| stock.racks.values().any(|k| k.name == name);
        let own = RackKind {
            name: unlike(&kind.name, taken),
            levels: rack.levels(kind).to_vec(),
            faces: rack.faces(kind).to_vec(),
            ..kind.clone()
        };
        let one_of_it = Rack {
            kind: own_id.clone(),
            levels: Vec::new(),
            faces: Vec::new(),
            ..rack.clone()
        };
        let parts = vec![
            Edit::PutKind(own_id.clone(), Box::new(OwnKind::Rack(own))),
            Edit::Put(vec![(id, Record::Item(Box::new(Item::Rack(one_of_it))))]),
        ];
        Some((
            Edit::Several(format!("Save {id} as own stock"), parts),
            own_id,
        ))
    }

    /// The step that puts a printer of the plan's own into its stock; and the kind's name. `None` where names are used up.
    pub fn own_printer(&self, stock: &Stock, kind: PrinterKind) -> Option<(Edit, KindId)> {
        let id = fresh("own-printer", |name| stock.printers.contains_key(name))?;
        let name = format!("Put {} into stock", kind.name);
        let put = Edit::PutKind(id.clone(), Box::new(OwnKind::Printer(kind)));
        Some((Edit::Several(name, vec![put]), id))
    }
}

/// The first of `stem-1`, `stem-2` and so on that is not taken.
fn fresh(stem: &str, taken: impl Fn(&KindId) -> bool) -> Option<KindId> {
    let names = (1..=u16::MAX).filter_map(|n| KindId::new(&format!("{stem}-{n}")).ok());
    names.into_iter().find(|name| !taken(name))
}

/// The name with "own" behind it and a number that no other name has.
fn unlike(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let stem = name.split(", own ").next().unwrap_or(name);
    (1..=u16::MAX)
        .map(|n| format!("{stem}, own {n}"))
        .find(|name| !taken(name))
        .unwrap_or_else(|| stem.to_owned())
}
