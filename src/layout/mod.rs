//! The plan as it stands in one phase: bodies with heights, strips, swings, zones, jets, slots, loads.
//!
//! Pure and whole: [`Layout::of`] builds it from the plan, [`Layout::step`] from the last one where little changed, and the
//! two are equal. Whatever two checks both measure is measured here, once. Nothing here judges: that is `checks`.

mod air;
mod air_lines;
pub mod arrange;
mod bodies;
mod camera;
mod carried;
mod cords;
mod heat;
mod jet;
mod light;
mod loads;
mod measure;
mod part;
mod power;
mod rack;
mod runs;
mod shade;
mod spools;
mod supply;
mod wall;
mod wall_face;
mod written;

pub use air::{Exposed, STILL_M_S, Sees};
pub use air_lines::{Contour, DRAWN_M_S, Section};
pub use camera::{Unseen, View};
pub use cords::{CordStart, Plugged, Route};
pub use heat::{CoolingFigures, HeatBalance, HeatSource, HeatTerm};
pub use jet::{Fastest, Jet};
pub use light::Run;
pub use loads::{Footing, LevelLoad, RackLoad, Shelved};
pub use measure::{Across, Clear, Gap, Met};
pub use part::{Doorway, Drawn, Heights, Opening, Part, Solid, WorkSpace};
pub use power::{CircuitLoad, Load, Power, Total, UpsLoad};
pub use rack::{Level, PlacedPrinter, RackParts, Slot, Strip, over, side_by_side};
pub use runs::{CableRun, CableWay, Drop};
pub use spools::SpoolPlaces;
pub use supply::{LegLoad, Places, SupplyLoad};
pub use wall::Wall;
pub use wall_face::{OnFace, Overhung, Seen, WallFace};
pub use written::Measured;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use crate::geometry::{Bounds, Point, Polygon, TOLERANCE_MM};
use crate::plan::{Change, Id, ItemKind, Library, Limits, PhaseNo, Plan, Printer};
use crate::stock::Stock;
use air::Air;
use bodies::Bodies;
use carried::Carried;
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
    /// Where the bodies of `parts` are.
    bodies: Arc<Bodies>,
    power: Arc<Power>,
    air: Air,
    drawn: air_lines::Drawn,
    carried: Carried,
    /// The sum of the heat, once somebody asked.
    heat: OnceLock<Arc<HeatBalance>>,
    /// Every cord, once somebody asked.
    every_cord: OnceLock<Arc<[Plugged]>>,
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
            bodies: Arc::default(),
            power: Arc::default(),
            air: Air::default(),
            drawn: air_lines::Drawn::default(),
            carried: Carried::default(),
            heat: OnceLock::new(),
            every_cord: OnceLock::new(),
        };
        layout.derive(&plan.items().iter().map(|(id, _)| id).collect());
        layout.bodies = Arc::new(Bodies::of(&layout));
        layout.power = Arc::new(Power::of(&layout));
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
            air: Air::default(),
            drawn: air_lines::Drawn::default(),
            every_cord: OnceLock::new(),
            ..self.clone()
        };
        let stale = layout.stale_after(&self.plan, &change);
        for id in &stale {
            layout.parts.remove(id);
        }
        layout.derive(&stale);
        layout.bodies = Arc::new(Bodies::of(&layout));
        if layout.may_hang_otherwise(self, &change, &stale) {
            layout.power = Arc::new(Power::of(&layout));
        }
        if !layout.is_as_warm(self, &stale) {
            layout.heat = OnceLock::new();
        }
        layout
    }

    /// True where an edit leaves the sum of the heat as it was: who hangs on what, and the units, windows and lights, stay.
    fn is_as_warm(&self, old: &Self, stale: &BTreeSet<Id>) -> bool {
        let counts = |part: Option<&Arc<Part>>| part.is_some_and(|p| p.bears_on_heat());
        let touched = |id: &Id| counts(old.part(*id)) || counts(self.part(*id));
        self.hangs_as(old) && !stale.iter().any(touched)
    }

    /// False where an edit leaves who hangs on what as it was. That is read from printers and circuits, from outlets and UPS,
    /// and from which racks hold which printers in this phase: a rack that only stands elsewhere changes none of it.
    fn may_hang_otherwise(&self, old: &Self, change: &Change, stale: &BTreeSet<Id>) -> bool {
        fn held(part: Option<&Arc<Part>>) -> impl Iterator<Item = Id> {
            let slots = part.into_iter().flat_map(|p| p.slots());
            slots.filter_map(|slot| slot.printer.as_ref().map(|p| p.id))
        }
        let items = stale.iter().any(|id| {
            let (before, after) = (old.part(*id), self.part(*id));
            let wired = |p: Option<&Arc<Part>>| p.is_some_and(|p| p.kind == ItemKind::Outlet);
            let supply = |p: Option<&Arc<Part>>| p.is_some_and(|p| p.kind == ItemKind::Ups);
            wired(before)
                || wired(after)
                || supply(before) != supply(after)
                || (supply(after) && change.items.contains(id))
                || !held(before).eq(held(after))
        });
        items || !change.printers.is_empty() || !change.circuits.is_empty()
    }

    /// The items whose parts are not those of another layout; `None` where the two do not rest on the same ground (another
    /// phase, room, limits or kinds), so that nothing can be told from the parts alone.
    ///
    /// What did not change is shared from one layout to the next, so that pointers tell.
    pub fn moved_since(&self, old: &Self) -> Option<BTreeSet<Id>> {
        let same_ground = self.phase == old.phase
            && Arc::ptr_eq(&self.stock, &old.stock)
            && Arc::ptr_eq(&self.limits, &old.limits)
            && Arc::ptr_eq(&self.room, &old.room);
        let kept = |(id, part): &(&Id, &Arc<Part>), other: &Self| {
            other.parts.get(id).is_some_and(|p| Arc::ptr_eq(p, part))
        };
        same_ground.then(|| {
            let came = self.parts.iter().filter(|entry| !kept(entry, old));
            let gone = old.parts.iter().filter(|entry| !kept(entry, self));
            came.chain(gone).map(|(id, _)| *id).collect()
        })
    }

    /// True where who hangs on what is known to be the same as in another layout.
    pub fn hangs_as(&self, old: &Self) -> bool {
        Arc::ptr_eq(&self.power, &old.power)
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

    fn derive(&mut self, ids: &BTreeSet<Id>) {
        let mut printers: BTreeMap<Id, Vec<(Id, &Printer)>> = BTreeMap::new();
        for (id, p) in self.plan.printers().iter() {
            if ids.contains(&p.slot.rack) && p.presence.holds_in(self.phase) {
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
        for &id in ids {
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

    /// The parts with a body whose box is at most `gap_mm` from the given one, by mark; each with its body.
    pub fn solids_near<'a>(
        &'a self,
        to: &Bounds,
        gap_mm: f64,
    ) -> impl Iterator<Item = (&'a Arc<Part>, &'a Solid)> {
        self.bodies.near(to, gap_mm)
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
