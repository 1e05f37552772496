//! Copies of things that stand on the floor: racks with their printers, under fresh marks, with nothing plugged in; within a
//! plan or from one to another. Knows nothing of what stands in the way.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Edit, Family, Id, Item, OwnKind, PhaseNo, Plan, Pose, Presence, Record, SlotRef};
use crate::stock::KindId;

/// What is to be put to make the copies, and the marks of the copies themselves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Copies {
    /// The copies with the printers in them.
    pub records: Vec<(Id, Record)>,
    /// The copies, in the order of what they were made of.
    pub items: Vec<Id>,
}

impl Plan {
    /// A copy of each thing with a place on the floor, at the place that `place` gives for it; what has no such place, or for
    /// which `place` gives none, is left out.
    pub fn copies(
        &self,
        ids: impl IntoIterator<Item = Id>,
        place: impl Fn(Id, Pose) -> Option<Pose>,
    ) -> Copies {
        self.copies_from(self, ids, place)
    }

    /// The same with things of another plan; their kinds are taken for known here.
    fn copies_from(
        &self,
        source: &Self,
        ids: impl IntoIterator<Item = Id>,
        place: impl Fn(Id, Pose) -> Option<Pose>,
    ) -> Copies {
        let mut made = Copies::default();
        for id in ids {
            let Some(item) = source.items().get(id) else {
                continue;
            };
            let Some(pose) = item.pose().and_then(|pose| place(id, pose)) else {
                continue;
            };
            let Some(copy) = self.fresh_beside(id, &made.records) else {
                continue;
            };
            let mut item = item.with_pose(pose);
            if let Item::Ups(ups) = &mut item {
                ups.outlet = None;
            }
            made.records.push((copy, Record::Item(Box::new(item))));
            made.items.push(copy);
            self.copy_printers(source, (id, copy), &mut made.records);
        }
        made
    }

    /// A fresh mark with the letters of `id`, after those already given to `records`.
    fn fresh_beside(&self, id: Id, records: &[(Id, Record)]) -> Option<Id> {
        let taken = records
            .iter()
            .filter(|(r, _)| r.prefix() == id.prefix())
            .count();
        self.fresh(id.prefix(), taken + 1).pop()
    }

    fn copy_printers(&self, source: &Self, (from, to): (Id, Id), records: &mut Vec<(Id, Record)>) {
        let printers = source.printers().iter();
        for (id, printer) in printers.filter(|(_, p)| p.slot.rack == from) {
            let mut printer = printer.clone();
            printer.slot = SlotRef {
                rack: to,
                ..printer.slot
            };
            printer.power = None;
            if let Some(copy) = self.fresh_beside(id, records) {
                records.push((copy, Record::Printer(printer)));
            }
        }
    }

    /// The plan with nothing in it but these things and the printers in them, for another plan to paste from; `None` where none
    /// of them stands on the floor.
    pub fn excerpt(&self, ids: impl IntoIterator<Item = Id>) -> Option<Self> {
        let here = |id: &Id| self.items().get(*id).is_some_and(|i| i.pose().is_some());
        let copies = self.copies(ids.into_iter().filter(here), |_, pose| Some(pose));
        let mut excerpt = Self {
            items: Family::default(),
            circuits: Family::default(),
            printers: Family::default(),
            accepted: Arc::default(),
            ..self.clone()
        };
        for (id, record) in copies.records {
            match record {
                Record::Item(item) => excerpt.items.put(id, *item),
                Record::Printer(printer) => excerpt.printers.put(id, printer),
                Record::Circuit(circuit) => excerpt.circuits.put(id, circuit),
            }
        }
        (!copies.items.is_empty()).then_some(excerpt)
    }

    /// The step that puts what stands on the floor of an excerpt into this plan, there from a phase on, each thing where `place`
    /// says; and the marks of the new things. Kinds that the excerpt carries itself come along where this plan has none of that
    /// name.
    pub fn pasted(
        &self,
        excerpt: &Self,
        phase: PhaseNo,
        place: impl Fn(Pose) -> Pose,
    ) -> Option<(Edit, Vec<Id>)> {
        let ids = excerpt.items().iter().map(|(id, _)| id);
        let mut copies = self.copies_from(excerpt, ids, |_, pose| Some(place(pose)));
        for (_, record) in &mut copies.records {
            arrive(record, phase);
        }
        let mut parts = self.missing_kinds(excerpt, &copies.records);
        parts.push(Edit::Put(copies.records));
        let edit = Edit::Several("Paste".to_owned(), parts);
        (!copies.items.is_empty()).then_some((edit, copies.items))
    }

    fn missing_kinds(&self, excerpt: &Self, records: &[(Id, Record)]) -> Vec<Edit> {
        let (own, theirs) = (self.kinds(), excerpt.kinds());
        let used: BTreeSet<&KindId> = records.iter().filter_map(|(_, r)| kind_of(r)).collect();
        used.into_iter()
            .filter_map(|id| {
                let rack = || theirs.racks.get(id).filter(|_| !own.racks.contains_key(id));
                let printer = || {
                    theirs
                        .printers
                        .get(id)
                        .filter(|_| !own.printers.contains_key(id))
                };
                let ups = || theirs.ups.get(id).filter(|_| !own.ups.contains_key(id));
                let kind = rack()
                    .map(|k| OwnKind::Rack(k.clone()))
                    .or_else(|| printer().map(|k| OwnKind::Printer(k.clone())))
                    .or_else(|| ups().map(|k| OwnKind::Ups(k.clone())))?;
                Some(Edit::PutKind(id.clone(), Box::new(kind)))
            })
            .collect()
    }
}

/// Lets a pasted thing be there from a phase on; its phases were those of another plan.
fn arrive(record: &mut Record, phase: PhaseNo) {
    let from_phase = |presence: &Presence| Presence {
        arrives: phase,
        leaves: None,
        ..presence.clone()
    };
    match record {
        Record::Item(item) => {
            let presence = from_phase(item.presence());
            *item.presence_mut() = presence;
        }
        Record::Printer(printer) => printer.presence = from_phase(&printer.presence),
        Record::Circuit(_) => {}
    }
}

/// The stock kind that a thing is of.
fn kind_of(record: &Record) -> Option<&KindId> {
    match record {
        Record::Item(item) => match item.as_ref() {
            Item::Rack(rack) => Some(&rack.kind),
            Item::Ups(ups) => Some(&ups.kind),
            Item::Cooling(unit) => Some(&unit.kind),
            Item::Door(_)
            | Item::Window(_)
            | Item::Column(_)
            | Item::Panel(_)
            | Item::Outlet(_)
            | Item::Zone(_) => None,
        },
        Record::Printer(printer) => Some(&printer.kind),
        Record::Circuit(_) => None,
    }
}
