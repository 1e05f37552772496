//! The plan as it stands in one phase: bodies with heights, strips, swings, zones, jets, slots, loads.
//!
//! Pure and whole: [`Layout::of`] builds it from the plan, [`Layout::step`] from the last one where little changed, and the
//! two are equal. Whatever two checks both measure is measured here, once. Nothing here judges: that is `checks`.

pub mod arrange;
mod cords;
mod jet;
mod measure;
mod part;
mod power;
mod rack;
mod wall;
mod wall_face;
mod written;

pub use cords::{Plugged, Route};
pub use jet::{Fastest, Jet};
pub use measure::{Across, Clear, Gap, Met};
pub use part::{Doorway, Drawn, Heights, Opening, Part, Solid, WorkSpace};
pub use power::{CircuitLoad, Load, Power, Total, UpsLoad};
pub use rack::{Level, PlacedPrinter, RackParts, Slot, Strip, over, side_by_side};
pub use wall::Wall;
pub use wall_face::{OnFace, Overhung, Seen, WallFace};
pub use written::Measured;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::geometry::{Point, Polygon, TOLERANCE_MM};
use crate::plan::{Change, Id, ItemKind, Library, Limits, PhaseNo, Plan, Printer};
use crate::stock::Stock;
use part::Ground;

/// The plan as it stands in one phase.
#[derive(Clone, Debug)]
pub struct Layout {
    plan: Arc<Plan>,
    phase: PhaseNo,
    stock: Arc<Stock>,
    limits: Arc<Limits>,
    room: Arc<Polygon>,
    parts: BTreeMap<Id, Arc<Part>>,
    power: Power,
}

impl PartialEq for Layout {
    fn eq(&self, other: &Self) -> bool {
        self.phase == other.phase
            && self.plan == other.plan
            && self.room == other.room
            && self.parts == other.parts
            && self.power == other.power
    }
}

impl Layout {
    /// The plan in that phase, built whole. A room that has no outline (the audit reports it) counts as a square of 1 m.
    pub fn of(library: &Library, plan: &Arc<Plan>, phase: PhaseNo) -> Self {
        let stock = Arc::new(library.stock_of(plan));
        let limits = Arc::new(library.limits_of(plan));
        let room = Arc::new(plan.room().polygon().unwrap_or_else(unit_square));
        let mut layout = Self {
            plan: Arc::clone(plan),
            phase,
            stock,
            limits,
            room,
            parts: BTreeMap::new(),
            power: Power::default(),
        };
        let ids: Vec<Id> = plan.items().iter().map(|(id, _)| id).collect();
        layout.derive(ids);
        layout.power = Power::of(&layout);
        layout
    }

    /// The plan in the same phase after an edit, built from the last layout: only what changed is derived again.
    pub fn step(&self, library: &Library, plan: &Arc<Plan>) -> Self {
        let change = Change::between(&self.plan, plan);
        if change.ground {
            return Self::of(library, plan, self.phase);
        }
        let mut layout = Self {
            plan: Arc::clone(plan),
            ..self.clone()
        };
        let stale = layout.stale_after(&self.plan, &change);
        for id in &stale {
            layout.parts.remove(id);
        }
        layout.derive(stale);
        layout.power = Power::of(&layout);
        layout
    }

    /// The items whose parts an edit may have changed: those touched, the racks whose printers were touched, the UPS at the foot
    /// of a rack that was touched, and the dimensions and notes that are fastened to any of these.
    fn stale_after(&self, old: &Plan, change: &Change) -> BTreeSet<Id> {
        let racks_of = |plan: &Plan| -> Vec<Id> {
            change
                .printers
                .iter()
                .filter_map(|id| plan.printers().get(*id).map(|p| p.slot.rack))
                .collect()
        };
        let mut stale = change.items.clone();
        stale.extend(racks_of(old));
        stale.extend(racks_of(&self.plan));
        // A UPS at a rack's foot first, then the dimensions and pointers that end at it.
        for written in [false, true] {
            let follows: Vec<Id> = self
                .plan
                .items()
                .iter()
                .filter(|(_, item)| {
                    (item.kind() == ItemKind::Ups || written)
                        && item.kind().is_written() == written
                        && item.links().iter().any(|id| stale.contains(id))
                })
                .map(|(id, _)| id)
                .collect();
            stale.extend(follows);
        }
        stale
    }

    fn ground(&self) -> Ground<'_> {
        Ground {
            plan: &self.plan,
            stock: &self.stock,
            limits: &self.limits,
            room: &self.room,
            phase: self.phase,
        }
    }

    fn derive(&mut self, ids: impl IntoIterator<Item = Id>) {
        let mut printers: BTreeMap<Id, Vec<(Id, &Printer)>> = BTreeMap::new();
        for (id, p) in self.plan.printers().iter() {
            if p.presence.holds_in(self.phase) {
                printers.entry(p.slot.rack).or_default().push((id, p));
            }
        }
        let ground = Ground {
            plan: &self.plan,
            stock: &self.stock,
            limits: &self.limits,
            room: &self.room,
            phase: self.phase,
        };
        for id in ids {
            let Some(item) = self.plan.items().get(id) else {
                continue;
            };
            if !item.presence().holds_in(self.phase) {
                continue;
            }
            let own = printers.get(&id).map_or(&[][..], Vec::as_slice);
            if let Some(part) = Part::of(ground, id, item, own) {
                self.parts.insert(id, part);
            }
        }
    }

    /// The plan this is a view of.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// The phase.
    pub fn phase(&self) -> PhaseNo {
        self.phase
    }

    /// The kinds in force.
    pub fn stock(&self) -> &Stock {
        &self.stock
    }

    /// The limits in force.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The room's outline.
    pub fn room(&self) -> &Polygon {
        &self.room
    }

    /// The parts of all items that are there in this phase, by mark.
    pub fn parts(&self) -> impl Iterator<Item = &Arc<Part>> {
        self.parts.values()
    }

    /// The part of one item.
    pub fn part(&self, id: Id) -> Option<&Arc<Part>> {
        self.parts.get(&id)
    }

    /// The parts of one kind of item, by mark.
    pub fn of_kind(&self, kind: ItemKind) -> impl Iterator<Item = &Arc<Part>> {
        self.parts.values().filter(move |p| p.kind == kind)
    }

    /// The parts that have a body, each with it.
    pub fn solids(&self) -> impl Iterator<Item = (&Arc<Part>, &Solid)> {
        self.parts
            .values()
            .filter_map(|p| p.solid.as_ref().map(|s| (p, s)))
    }

    /// Every slot of every rack.
    pub fn slots(&self) -> impl Iterator<Item = (&Arc<Part>, &Slot)> {
        self.parts
            .values()
            .flat_map(|p| p.slots().iter().map(move |s| (p, s)))
    }

    /// Every printer in its slot.
    pub fn printers(&self) -> impl Iterator<Item = (&Slot, &PlacedPrinter)> {
        self.slots()
            .filter_map(|(_, slot)| slot.printer.as_ref().map(|p| (slot, p)))
    }

    /// Who hangs on what, and how much that is.
    pub fn power(&self) -> &Power {
        &self.power
    }

    /// The room's main direction, a unit vector: that of its longest wall, the first of those as long within the tolerance.
    pub fn main_direction(&self) -> Point {
        self.walls()
            .reduce(|longest, wall| {
                if wall.length > longest.length + TOLERANCE_MM {
                    wall
                } else {
                    longest
                }
            })
            .map_or(Point::X, |wall| wall.along)
    }

    /// The walls of the room.
    pub fn walls(&self) -> impl Iterator<Item = Wall> + '_ {
        (0..self.room.points().len()).filter_map(|k| Wall::of(&self.room, k))
    }
}

fn unit_square() -> Polygon {
    let corners = vec![
        Point::ZERO,
        Point::new(1000.0, 0.0),
        Point::new(1000.0, 1000.0),
        Point::new(0.0, 1000.0),
    ];
    Polygon::new(corners).unwrap_or_else(|| unreachable!("four finite corners are an outline"))
}
