//! Moving things from a phase on: each leaves where it stood and arrives anew, with what stands in it, and says what it was
//! before, so that nobody buys it twice.

use std::collections::BTreeMap;

use super::{
    Edit, FreshMarks, Id, Item, PhaseNo, Plan, Presence, Printer, Record, SlotRef, Status, UpsPlace,
};
use crate::units::Length;

impl Plan {
    /// The step that moves things by (x, y) from a phase on, and the marks they carry there; `None` where nothing stands there by
    /// itself. What arrives in that very phase is only moved: nothing stood elsewhere before.
    pub fn relocated(
        &self,
        ids: &[Id],
        phase: PhaseNo,
        by: (Length, Length),
    ) -> Option<(Edit, Vec<Id>)> {
        let mut made = Relocation::new(self, phase);
        let mut fresh = Vec::new();
        let mut carried = Vec::new();
        for id in ids {
            let Some(item) = self
                .items()
                .get(*id)
                .filter(|i| i.presence().holds_in(phase))
            else {
                continue;
            };
            let Some(pose) = item.pose() else { continue };
            if item.presence().arrives == phase {
                fresh.push(*id);
                carried.push(*id);
            } else if let Some(copy) = made.item(*id, &item.with_pose(pose.moved(by.0, by.1))) {
                carried.push(copy);
            }
        }
        made.what_stands_in();
        let mut parts = Vec::new();
        if !made.records.is_empty() {
            parts.push(Edit::Put(made.records));
        }
        if !fresh.is_empty() {
            parts.push(Edit::Move(fresh, by));
        }
        let name = format!("Move from phase {phase} on");
        (!parts.is_empty()).then_some((Edit::Several(name, parts), carried))
    }
}

/// True where a thing is there in that phase or comes after it.
fn is_there_later(presence: &Presence, phase: PhaseNo) -> bool {
    presence.leaves.is_none_or(|gone| gone > phase)
}

/// The records of a move, as they are gathered.
struct Relocation<'a> {
    plan: &'a Plan,
    marks: FreshMarks<'a>,
    phase: PhaseNo,
    records: Vec<(Id, Record)>,
    /// What each thing is called after the move.
    after: BTreeMap<Id, Id>,
}

impl<'a> Relocation<'a> {
    fn new(plan: &'a Plan, phase: PhaseNo) -> Self {
        Self {
            plan,
            marks: FreshMarks::of(plan),
            phase,
            records: Vec::new(),
            after: BTreeMap::new(),
        }
    }

    /// The presence before the move, and after it.
    fn parted(&self, id: Id, presence: &Presence) -> (Presence, Presence) {
        let before = Presence {
            leaves: Some(self.phase),
            ..presence.clone()
        };
        let after = Presence {
            arrives: self.phase,
            status: Status::Moved,
            moved_from: Some(id),
            ..presence.clone()
        };
        (before, after)
    }

    fn item(&mut self, id: Id, there: &Item) -> Option<Id> {
        let old = self.plan.items().get(id)?;
        let copy = self.marks.next(id.prefix());
        let (before, after) = self.parted(id, old.presence());
        let (mut old, mut new) = (old.clone(), there.clone());
        *old.presence_mut() = before;
        *new.presence_mut() = after;
        self.after.insert(id, copy);
        self.records.push((id, Record::Item(Box::new(old))));
        self.records.push((copy, Record::Item(Box::new(new))));
        Some(copy)
    }

    /// The UPS at the feet of what moves, and the printers in it, come along and stay plugged into each other.
    fn what_stands_in(&mut self) {
        let phase = self.phase;
        let supplies: Vec<(Id, Item)> = self
            .plan
            .items()
            .iter()
            .filter(|(_, item)| is_there_later(item.presence(), phase))
            .filter_map(|(id, item)| {
                let Item::Ups(ups) = item else { return None };
                let UpsPlace::OnRack(rack) = ups.stands else {
                    return None;
                };
                let mut there = ups.clone();
                there.stands = UpsPlace::OnRack(*self.after.get(&rack)?);
                Some((id, Item::Ups(there)))
            })
            .collect();
        for (id, there) in supplies {
            if there.presence().arrives < phase {
                self.item(id, &there);
            } else {
                self.records.push((id, Record::Item(Box::new(there))));
            }
        }
        self.what_is_fastened();
        let printers: Vec<(Id, Printer)> = self
            .plan
            .printers()
            .iter()
            .filter(|(_, p)| is_there_later(&p.presence, phase))
            .filter(|(_, p)| self.after.contains_key(&p.slot.rack))
            .map(|(id, p)| (id, p.clone()))
            .collect();
        for (id, printer) in printers {
            self.printer(id, &printer);
        }
    }

    /// The dimensions and pointers that are fastened to what moves go on measuring it and pointing at it.
    fn what_is_fastened(&mut self) {
        let phase = self.phase;
        let fastened: Vec<(Id, Item)> = self
            .plan
            .items()
            .iter()
            .filter(|(id, item)| {
                let moves = |on: &Id| self.after.contains_key(on);
                item.kind().is_written()
                    && !self.after.contains_key(id)
                    && is_there_later(item.presence(), phase)
                    && item.links().iter().any(moves)
            })
            .map(|(id, item)| (id, item.clone()))
            .collect();
        for (id, item) in fastened {
            let now = |of: Id| self.after.get(&of).copied().unwrap_or(of);
            let there = item.with_ends(|end| end.on(now));
            if item.presence().arrives < phase {
                self.item(id, &there);
            } else {
                self.records.push((id, Record::Item(Box::new(there))));
            }
        }
        // A note that moves by itself along with what it points at, a light along with its feed.
        let after = self.after.clone();
        for (_, record) in &mut self.records {
            if let Record::Item(item) = record
                && item.presence().arrives >= phase
            {
                let now = |of: Id| after.get(&of).copied().unwrap_or(of);
                **item = item
                    .with_ends(|end| end.on(now))
                    .with_feed(|of| Some(now(of)));
            }
        }
    }

    fn printer(&mut self, id: Id, printer: &Printer) {
        let now = |of: Id| self.after.get(&of).copied().unwrap_or(of);
        let mut there = printer.clone();
        there.slot = SlotRef {
            rack: now(printer.slot.rack),
            ..printer.slot
        };
        there.power = printer.power.map(now);
        if printer.presence.arrives >= self.phase {
            self.records.push((id, Record::Printer(there)));
            return;
        }
        let copy = self.marks.next(id.prefix());
        let (before, after) = self.parted(id, &printer.presence);
        there.presence = after;
        self.after.insert(id, copy);
        let old = Printer {
            presence: before,
            ..printer.clone()
        };
        self.records.push((id, Record::Printer(old)));
        self.records.push((copy, Record::Printer(there)));
    }
}
