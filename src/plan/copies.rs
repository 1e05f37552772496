//! Copies of things that stand on the floor: racks with their printers, under fresh marks, with nothing plugged in; and of what is
//! written there. Within a plan or from one to another. Knows nothing of what stands in the way.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::{
    Dimension, Edit, End, Family, FreshMarks, Id, Item, OwnKind, PhaseNo, Plan, Pose, Presence,
    Record, SlotRef,
};
use crate::stock::{KindId, LevelKind};
use crate::units::Length;

/// What is to be put to make the copies, and the marks of the copies themselves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Copies {
    /// The copies with the printers in them.
    pub records: Vec<(Id, Record)>,
    /// The copies, in the order of what they were made of.
    pub items: Vec<Id>,
}

impl Copies {
    /// The named step that puts the copies, and their marks; `None` where there are none.
    pub fn step(self, name: &str) -> Option<(Edit, Vec<Id>)> {
        self.step_after(name, Vec::new())
    }

    /// The same, with parts that come first.
    fn step_after(self, name: &str, mut parts: Vec<Edit>) -> Option<(Edit, Vec<Id>)> {
        parts.push(Edit::Put(self.records));
        let edit = Edit::Several(name.to_owned(), parts);
        (!self.items.is_empty()).then_some((edit, self.items))
    }
}

impl Plan {
    /// A copy of each thing with a place on the floor, at the place that `place` gives for it; what has no such place, or for
    /// which `place` gives none, is left out. A dimension goes as far as `place` takes the first corner of the room; what it or
    /// a pointer is fastened to is the copy of that thing where there is one.
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
        let mut marks = FreshMarks::of(self);
        let mut copy_of = BTreeMap::new();
        let ids: Vec<Id> = ids.into_iter().collect();
        for &id in &ids {
            let Some(item) = source.items().get(id) else {
                continue;
            };
            let there = if let Item::Dimension(d) = item {
                let to = place(id, Pose::default());
                let comes_along = |end: &End| end.thing().is_some_and(|on| ids.contains(&on));
                let goes = [d.from, d.to].iter().any(comes_along);
                to.map(|to| {
                    Item::Dimension(if goes {
                        d.moved(to.x, to.y)
                    } else {
                        beside(d, to.x, to.y)
                    })
                })
            } else {
                let pose = item.pose().and_then(|pose| place(id, pose));
                pose.map(|pose| item.with_pose(pose))
            };
            let Some(mut item) = there else {
                continue;
            };
            let copy = marks.next(id.prefix());
            copy_of.insert(id, copy);
            // A copy is a thing of its own, not the one that was moved.
            item.presence_mut().moved_from = None;
            if let Item::Ups(ups) = &mut item {
                ups.outlet = None;
            }
            made.records.push((copy, Record::Item(Box::new(item))));
            made.items.push(copy);
            made.records
                .extend(printers_in(source, id, copy, &mut marks));
        }
        for (_, record) in &mut made.records {
            if let Record::Item(item) = record {
                let now = |on: Id| copy_of.get(&on).copied().unwrap_or(on);
                let fed = |on: Id| copy_of.get(&on).copied();
                **item = item.with_ends(|end| end.on(now)).with_feed(fed);
            }
        }
        made
    }

    /// The plan with nothing in it but these things and the printers in them, for another plan to paste from; `None` where none
    /// of them stands on the floor. What is fastened to things or walls that do not come along ends at the points that `stands`
    /// gives for its ends, and does not come along where it gives none.
    pub fn excerpt(
        &self,
        ids: impl IntoIterator<Item = Id>,
        stands: impl Fn(Id) -> Vec<(Length, Length)>,
    ) -> Option<Self> {
        let all: BTreeSet<Id> = ids.into_iter().collect();
        let mut loosened = self.clone();
        for (id, item) in self.items().iter().filter(|(id, _)| all.contains(id)) {
            let comes = |end: End| match end.thing() {
                Some(on) => all.contains(&on) && self.items().get(on).is_some_and(comes_along),
                None => end.wall().is_none(),
            };
            if !item.ends().into_iter().all(comes)
                && let Some(loose) = item.loosened(&stands(id))
            {
                loosened.items.put(id, loose);
            } else if !item.ends().into_iter().all(comes) {
                loosened.items.remove(id);
            }
        }
        loosened.only(all)
    }

    /// The plan with nothing in it but copies of these things.
    fn only(&self, ids: impl IntoIterator<Item = Id>) -> Option<Self> {
        let copies = self.copies(ids, |_, pose| Some(pose));
        let mut excerpt = Self {
            items: Family::default(),
            circuits: Family::default(),
            printers: Family::default(),
            accepted: Arc::default(),
            tracing: None,
            picture: None,
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
        let kinds = self.missing_kinds(excerpt, &copies.records);
        copies.step_after("Paste", kinds)
    }

    fn missing_kinds(&self, excerpt: &Self, records: &[(Id, Record)]) -> Vec<Edit> {
        let (own, theirs) = (self.kinds(), excerpt.kinds());
        let used: BTreeSet<&KindId> = records.iter().flat_map(|(_, r)| kinds_of(r)).collect();
        let come = |id: &KindId| {
            let rack = missing(&theirs.racks, &own.racks, id).map(OwnKind::Rack);
            rack.or_else(|| missing(&theirs.printers, &own.printers, id).map(OwnKind::Printer))
                .or_else(|| missing(&theirs.ups, &own.ups, id).map(OwnKind::Ups))
                .or_else(|| missing(&theirs.boards, &own.boards, id).map(OwnKind::Board))
                .or_else(|| missing(&theirs.pads, &own.pads, id).map(OwnKind::Pad))
                .or_else(|| missing(&theirs.lights, &own.lights, id).map(OwnKind::Light))
                .or_else(|| missing(&theirs.cameras, &own.cameras, id).map(OwnKind::Camera))
        };
        let of_racks = used
            .iter()
            .filter_map(|id| missing(&theirs.racks, &own.racks, id));
        // Boards and pads of the rack kinds that come along.
        let under: BTreeSet<KindId> = of_racks
            .flat_map(|kind| {
                let on_levels = kind.levels.iter().flat_map(LevelKind::kinds).cloned();
                on_levels.chain([kind.board.clone()]).collect::<Vec<_>>()
            })
            .collect();
        let all: BTreeSet<&KindId> = used.into_iter().chain(&under).collect();
        all.into_iter()
            .filter_map(|id| Some(Edit::PutKind(id.clone(), Box::new(come(id)?))))
            .collect()
    }
}

/// True for what can be copied from plan to plan.
fn comes_along(item: &Item) -> bool {
    item.pose().is_some() || matches!(item, Item::Dimension(_))
}

/// A copy of a dimension (x, y) away. One that is fastened at both ends cannot go anywhere: its line stands as far off instead.
fn beside(dimension: &Dimension, x: Length, y: Length) -> Dimension {
    let mut copy = dimension.moved(x, y);
    if copy == *dimension {
        copy.offset += x;
    }
    copy
}

/// A kind that they have and we have not.
fn missing<K: Clone>(
    theirs: &BTreeMap<KindId, K>,
    own: &BTreeMap<KindId, K>,
    id: &KindId,
) -> Option<K> {
    theirs.get(id).filter(|_| !own.contains_key(id)).cloned()
}

/// Copies of the printers in a rack for its own copy, unplugged.
fn printers_in(source: &Plan, from: Id, to: Id, marks: &mut FreshMarks<'_>) -> Vec<(Id, Record)> {
    let printers = source.printers().iter();
    printers
        .filter(|(_, p)| p.slot.rack == from)
        .map(|(_, printer)| {
            let mut printer = printer.clone();
            printer.slot = SlotRef {
                rack: to,
                ..printer.slot
            };
            printer.power = None;
            printer.presence.moved_from = None;
            (marks.next(Plan::PRINTER), Record::Printer(printer))
        })
        .collect()
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

/// The stock kinds that a thing is of: its own, and those of a rack's boards and pads.
fn kinds_of(record: &Record) -> Vec<&KindId> {
    match record {
        Record::Item(item) => {
            let levels = if let Item::Rack(rack) = item.as_ref() {
                rack.levels.as_slice()
            } else {
                &[]
            };
            let under = levels.iter().flat_map(LevelKind::kinds);
            item.stock_kind().into_iter().chain(under).collect()
        }
        Record::Printer(printer) => vec![&printer.kind],
        Record::Circuit(_) => Vec::new(),
    }
}
