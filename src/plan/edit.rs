//! Edits: what can be done to a plan, as data. An edit refuses only what would make the document malformed; a plan that
//! breaks a check is a normal plan.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{
    AcceptKey, Circuit, End, Head, Heat, Id, Item, Label, LimitChanges, Operator, Phase, Picture,
    Plan, Printer, Room, Supply, Tracing, UpsPlace, WallPlace,
};
use crate::geometry::Point;
use crate::stock::{
    BoardKind, CameraKind, CoolingKind, KindId, LightKind, PadKind, PrinterKind, RackKind, Stock,
    UpsKind,
};
use crate::units::{Angle, Length};

/// One thing of a plan with its content, to be put under a mark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Record {
    /// An item.
    Item(Box<Item>),
    /// A printer.
    Printer(Printer),
    /// A circuit.
    Circuit(Circuit),
}

/// A kind that the plan carries itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum OwnKind {
    /// A printer.
    Printer(PrinterKind),
    /// A rack.
    Rack(RackKind),
    /// A UPS.
    Ups(UpsKind),
    /// A cooling unit.
    Cooling(CoolingKind),
    /// A light.
    Light(LightKind),
    /// A camera.
    Camera(CameraKind),
    /// A shelf board.
    Board(BoardKind),
    /// A pad under printers.
    Pad(PadKind),
}

/// A family of kinds from which one of the plan's own can be taken out again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OwnFamily {
    /// Printers.
    Printers,
    /// Racks.
    Racks,
}

/// What can be done to a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Edit {
    /// Put things under their marks: new ones, or in place of what stood there.
    Put(Vec<(Id, Record)>),
    /// Take things away, with what stands in or on them; what was plugged into them is unplugged.
    Remove(Vec<Id>),
    /// Move items by (x, y); what is fixed to a wall slides along it by its share, and of a dimension the free ends go along.
    Move(Vec<Id>, (Length, Length)),
    /// Turn items about their own centres.
    Turn(Vec<Id>, Angle),
    /// Change the name, practice, supply or hoped-for count.
    SetHead(Box<Head>),
    /// Change the room.
    SetRoom(Box<Room>),
    /// Change the list of phases.
    SetPhases(Vec<Phase>),
    /// Change the limits of this plan.
    SetLimits(Box<LimitChanges>),
    /// Change who reaches into the racks.
    SetOperator(Operator),
    /// Change what is said of the room's heat.
    SetHeat(Box<Heat>),
    /// Change what the building gives and the other loads.
    SetSupply(Box<Supply>),
    /// Put a kind of the plan's own.
    PutKind(KindId, Box<OwnKind>),
    /// Take a kind of the plan's own out again; where there is a built-in one of that name, that holds then.
    TakeKind(OwnFamily, KindId),
    /// Accept a caution or note with a reason, or take that back.
    Accept(AcceptKey, Option<Label>),
    /// Lay a picture under the floor, in place of the one there.
    LayPicture(Box<Tracing>, Picture),
    /// Move, turn, size or show the picture under the floor, or take it away.
    Trace(Option<Box<Tracing>>),
    /// Several edits as one step, named.
    Several(String, Vec<Edit>),
}

/// Why an edit was refused. The plan is unchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// Nothing carries this mark.
    Unknown(Id),
    /// The mark's letters are those of another kind of thing.
    WrongMark(Id),
    /// A figure is impossible.
    Impossible(String),
    /// The result would hold a broken reference or shape; the sentences say which.
    Faulty(Vec<String>),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown(id) => write!(f, "there is no {id} in this plan; nothing was changed"),
            Self::WrongMark(id) => write!(
                f,
                "the mark {id} belongs to another kind of thing; nothing was changed"
            ),
            Self::Impossible(why) => write!(f, "{why}; nothing was changed"),
            Self::Faulty(why) => write!(f, "{}; nothing was changed", why.join("; ")),
        }
    }
}

impl std::error::Error for Refused {}

impl Edit {
    /// The step's name in the history, such as "Move R3".
    pub fn label(&self) -> String {
        match self {
            Self::Put(records) => format!("Set {}", marks(records.iter().map(|(id, _)| *id))),
            Self::Remove(ids) => format!("Remove {}", marks(ids.iter().copied())),
            Self::Move(ids, _) => format!("Move {}", marks(ids.iter().copied())),
            Self::Turn(ids, _) => format!("Turn {}", marks(ids.iter().copied())),
            Self::SetHead(_) => "Change the plan's name and supply".to_owned(),
            Self::SetRoom(_) => "Change the room".to_owned(),
            Self::SetPhases(_) => "Change the phases".to_owned(),
            Self::SetLimits(_) => "Change a limit".to_owned(),
            Self::SetOperator(_) => "Change the operator".to_owned(),
            Self::SetHeat(_) => "Change what is said of the heat".to_owned(),
            Self::SetSupply(_) => "Change the supply".to_owned(),
            Self::PutKind(kind, _) => format!("Change the figures of {kind}"),
            Self::TakeKind(_, kind) => format!("Take {kind} out of stock"),
            Self::Accept(_, Some(_)) => "Accept a finding".to_owned(),
            Self::Accept(_, None) => "Reopen a finding".to_owned(),
            Self::LayPicture(tracing, _) => format!("Lay the picture {}", tracing.name),
            Self::Trace(Some(_)) => "Change the picture".to_owned(),
            Self::Trace(None) => "Take the picture away".to_owned(),
            Self::Several(name, _) => name.clone(),
        }
    }
}

/// The marks as a short list: the first three and how many more.
fn marks(ids: impl Iterator<Item = Id>) -> String {
    let all: Vec<String> = ids.map(|id| id.to_string()).collect();
    match all.get(..3) {
        Some(first) if all.len() > 4 => format!("{} and {} more", first.join(", "), all.len() - 3),
        _ => all.join(", "),
    }
}

impl Plan {
    /// The plan after the edit. It is whole, or the edit is refused and nothing changed.
    pub fn edited(&self, stock: &Stock, edit: &Edit) -> Result<Self, Refused> {
        let mut plan = self.clone();
        plan.carry_out(edit)?;
        let faults = plan.audit(stock);
        if faults.is_empty() {
            Ok(plan)
        } else {
            let few = faults.into_iter().take(5).map(|f| f.to_string()).collect();
            Err(Refused::Faulty(few))
        }
    }

    fn carry_out(&mut self, edit: &Edit) -> Result<(), Refused> {
        match edit {
            Edit::Put(records) => records.iter().try_for_each(|(id, r)| self.put(*id, r)),
            Edit::Remove(ids) => self.remove(ids),
            Edit::Move(ids, by) => self.replace_items(ids, |item, room| moved(item, *by, room)),
            Edit::Turn(ids, by) => self.replace_items(ids, |item, _| turned(item, *by)),
            Edit::SetHead(head) => {
                self.head = Arc::new(head.as_ref().clone());
                Ok(())
            }
            Edit::SetRoom(room) => {
                let old = std::mem::replace(&mut self.room, Arc::new(room.as_ref().clone()));
                self.keep_measures(&old);
                self.let_go_of_lost_sides();
                self.let_go_of_lost_walls()
            }
            Edit::SetPhases(phases) => {
                self.phases = Arc::new(phases.clone());
                Ok(())
            }
            Edit::SetLimits(changes) => {
                self.limits = Arc::new(changes.as_ref().clone());
                Ok(())
            }
            Edit::SetOperator(operator) => {
                Arc::make_mut(&mut self.head).operator = *operator;
                Ok(())
            }
            Edit::SetHeat(heat) => {
                self.heat = Arc::new(heat.as_ref().clone());
                Ok(())
            }
            Edit::SetSupply(supply) => {
                self.supply = Arc::new(supply.as_ref().clone());
                Ok(())
            }
            Edit::PutKind(id, kind) => {
                self.put_kind(id, kind);
                Ok(())
            }
            Edit::TakeKind(family, id) => self.take_kind(*family, id),
            Edit::Accept(key, reason) => {
                let accepted = Arc::make_mut(&mut self.accepted);
                match reason {
                    Some(reason) => accepted.insert(key.clone(), reason.clone()),
                    None => accepted.remove(key),
                };
                Ok(())
            }
            Edit::LayPicture(tracing, picture) => {
                self.tracing = Some(Arc::new(tracing.as_ref().clone()));
                self.picture = Some(picture.clone());
                Ok(())
            }
            Edit::Trace(tracing) => {
                self.tracing = tracing.as_deref().cloned().map(Arc::new);
                if tracing.is_none() {
                    self.picture = None;
                }
                Ok(())
            }
            Edit::Several(_, edits) => edits.iter().try_for_each(|e| self.carry_out_part(e)),
        }
    }

    /// A part of a step: everything but another list of parts, so that no list is ever deeper than one.
    fn carry_out_part(&mut self, edit: &Edit) -> Result<(), Refused> {
        if matches!(edit, Edit::Several(..)) {
            return Err(Refused::Impossible(
                "a step cannot hold a list of steps".to_owned(),
            ));
        }
        self.carry_out(edit)
    }

    fn put(&mut self, id: Id, record: &Record) -> Result<(), Refused> {
        let right = match record {
            Record::Item(item) => item.kind().prefix(),
            Record::Printer(_) => Plan::PRINTER,
            Record::Circuit(_) => Plan::CIRCUIT,
        };
        if id.prefix() != right {
            return Err(Refused::WrongMark(id));
        }
        match record {
            Record::Item(item) => self.items.put(id, item.as_ref().clone()),
            Record::Printer(printer) => self.printers.put(id, printer.clone()),
            Record::Circuit(circuit) => self.circuits.put(id, circuit.clone()),
        }
        self.remember(id);
        Ok(())
    }

    pub(super) fn remove(&mut self, ids: &[Id]) -> Result<(), Refused> {
        if let Some(id) = ids.iter().find(|id| !self.has(**id)) {
            return Err(Refused::Unknown(*id));
        }
        let gone = self.with_dependents(ids);
        for id in &gone {
            self.items.remove(*id);
            self.printers.remove(*id);
            self.circuits.remove(*id);
        }
        self.unlink(&gone);
        Ok(())
    }

    /// The marks with what stands in or on them, the printers of a rack and the UPS at its foot, and the dimensions that are
    /// fastened to any of it.
    pub fn with_dependents(&self, ids: &[Id]) -> BTreeSet<Id> {
        let given: BTreeSet<Id> = ids.iter().copied().collect();
        let printers = self
            .printers
            .iter()
            .filter(|(_, p)| given.contains(&p.slot.rack))
            .map(|(id, _)| id);
        let supplies = self.items.iter().filter_map(|(id, item)| match item {
            Item::Ups(ups) => match ups.stands {
                UpsPlace::OnRack(rack) if given.contains(&rack) => Some(id),
                UpsPlace::OnRack(_) | UpsPlace::OnFloor(_) => None,
            },
            Item::Door(_)
            | Item::Window(_)
            | Item::Column(_)
            | Item::Panel(_)
            | Item::Outlet(_)
            | Item::Cooling(_)
            | Item::Fitting(_)
            | Item::Overhead(_)
            | Item::Light(_)
            | Item::Camera(_)
            | Item::Furniture(_)
            | Item::Zone(_)
            | Item::Rack(_)
            | Item::Dimension(_)
            | Item::Note(_) => None,
        });
        let mut all: BTreeSet<Id> = printers
            .chain(supplies)
            .chain(given.iter().copied())
            .collect();
        let fastened = self.dimensions_on(|end| end.thing().is_some_and(|id| all.contains(&id)));
        all.extend(fastened);
        all
    }

    /// Unplugs whatever hung on things that are gone.
    fn unlink(&mut self, gone: &BTreeSet<Id>) {
        let is_gone = |id: &mut Option<Id>| {
            if id.is_some_and(|id| gone.contains(&id)) {
                *id = None;
                true
            } else {
                false
            }
        };
        for (id, printer) in self.printers.clone().iter() {
            let mut printer = printer.clone();
            let moved = is_gone(&mut printer.presence.moved_from);
            if is_gone(&mut printer.power) || moved {
                self.printers.put(id, printer);
            }
        }
        let mut supply = self.supply.as_ref().clone();
        if supply.unplug(|id| gone.contains(&id)) {
            self.supply = Arc::new(supply);
        }
        for (id, circuit) in self.circuits.clone().iter() {
            let mut circuit = circuit.clone();
            if is_gone(&mut circuit.panel) {
                self.circuits.put(id, circuit);
            }
        }
        for (id, item) in self.items.clone().iter() {
            let mut item = item.clone();
            let moved = is_gone(&mut item.presence_mut().moved_from);
            let unplugged = match &mut item {
                Item::Outlet(outlet) => is_gone(&mut outlet.circuit),
                Item::Ups(ups) => is_gone(&mut ups.outlet),
                Item::Light(light) => is_gone(&mut light.linked_to),
                Item::Note(note) => {
                    let points_at = note.pointer.and_then(End::thing);
                    let lost = is_gone(&mut { points_at });
                    if lost {
                        note.pointer = None;
                    }
                    lost
                }
                Item::Door(_)
                | Item::Window(_)
                | Item::Column(_)
                | Item::Panel(_)
                | Item::Cooling(_)
                | Item::Fitting(_)
                | Item::Overhead(_)
                | Item::Camera(_)
                | Item::Furniture(_)
                | Item::Zone(_)
                | Item::Rack(_)
                | Item::Dimension(_) => false,
            };
            if unplugged || moved {
                self.items.put(id, item);
            }
        }
    }

    fn replace_items(
        &mut self,
        ids: &[Id],
        change: impl Fn(&Item, &Room) -> Item,
    ) -> Result<(), Refused> {
        for id in ids {
            let item = self.items.get(*id).ok_or(Refused::Unknown(*id))?;
            let new = change(item, &self.room);
            self.items.put(*id, new);
        }
        Ok(())
    }

    fn take_kind(&mut self, family: OwnFamily, id: &KindId) -> Result<(), Refused> {
        let own = Arc::make_mut(&mut self.kinds);
        let gone = match family {
            OwnFamily::Printers => own.printers.remove(id).is_some(),
            OwnFamily::Racks => own.racks.remove(id).is_some(),
        };
        if gone {
            Ok(())
        } else {
            Err(Refused::Impossible(format!(
                "{id} is no kind of this plan's own"
            )))
        }
    }

    fn put_kind(&mut self, id: &KindId, kind: &OwnKind) {
        let own = Arc::make_mut(&mut self.kinds);
        let id = id.clone();
        match kind {
            OwnKind::Printer(k) => {
                own.printers.insert(id, k.clone());
            }
            OwnKind::Rack(k) => {
                own.racks.insert(id, k.clone());
            }
            OwnKind::Ups(k) => {
                own.ups.insert(id, k.clone());
            }
            OwnKind::Cooling(k) => {
                own.cooling.insert(id, k.clone());
            }
            OwnKind::Light(k) => {
                own.lights.insert(id, k.clone());
            }
            OwnKind::Camera(k) => {
                own.cameras.insert(id, k.clone());
            }
            OwnKind::Board(k) => {
                own.boards.insert(id, k.clone());
            }
            OwnKind::Pad(k) => {
                own.pads.insert(id, k.clone());
            }
        }
    }
}

/// The item moved by (x, y), or along its wall by the share of the move that points along it.
fn moved(item: &Item, (dx, dy): (Length, Length), room: &Room) -> Item {
    if let Some(pose) = item.pose() {
        return item.with_pose(pose.moved(dx, dy));
    }
    if let Item::Dimension(dimension) = item {
        return Item::Dimension(dimension.moved(dx, dy));
    }
    let Some(at) = item.wall_place() else {
        return item.clone();
    };
    let along = room
        .polygon()
        .and_then(|p| p.side(usize::from(at.wall)))
        .map_or(0.0, |(a, b)| {
            let wall = (b - a).normalize_or_zero();
            wall.dot(Point::new(dx.mm(), dy.mm()))
        });
    item.with_wall_place(WallPlace {
        along: at.along + Length::from_mm(along),
        ..at
    })
}

fn turned(item: &Item, by: Angle) -> Item {
    item.pose().map_or_else(
        || item.clone(),
        |pose| {
            let turn = pose.turn + by;
            item.with_pose(super::Pose { turn, ..pose })
        },
    )
}
