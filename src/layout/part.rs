//! The part one item plays in the room: its body with heights, the floor it needs free, the air it blows, the slots it
//! offers. Derived from the item, its kind, the limits, the walls and what the item is fastened to, never from its neighbours.

use std::sync::Arc;

use super::jet::Jet;
use super::rack::{RackParts, Slot, Strip};
use super::wall::Wall;
use super::written::Measured;
use crate::geometry::{Convex, Oblong, Point, Polygon};
use crate::plan::{
    Door, Fan, Hinge, Id, Item, ItemKind, Limits, Panel, PhaseNo, Plan, Swing, UpsPlace, ZoneUse,
};
use crate::stock::{Face, Stock};
use crate::units::Length;

/// A height range above the floor, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Heights {
    /// True where the two ranges share more than a touch.
    pub fn overlap(self, other: Self) -> bool {
        self.low.max(other.low) + crate::geometry::TOLERANCE_MM < self.high.min(other.high)
    }
}

/// A solid body: its outline in the plan and its heights.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// The outline as a rectangle.
    pub oblong: Oblong,
    /// The outline as a convex shape.
    pub shape: Convex,
    /// The heights it takes.
    pub heights: Heights,
}

impl Solid {
    fn new(oblong: Oblong, low_mm: f64, high_mm: f64) -> Self {
        Self {
            shape: oblong.convex(),
            oblong,
            heights: Heights {
                low: low_mm,
                high: high_mm,
            },
        }
    }
}

/// A door's opening and the floor its leaf sweeps.
#[derive(Clone, Debug, PartialEq)]
pub struct Doorway {
    /// The opening on the inner face of the wall, from near to far.
    pub opening: (Point, Point),
    /// Where the leaf hangs and, a leaf's width into the room, where its edge stands when open.
    pub leaf: Option<(Point, Point)>,
    /// The floor that the leaf sweeps inside the room.
    pub sweep: Option<Convex>,
    /// Height of the opening.
    pub height: f64,
}

/// A window's opening and the floor before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// The opening on the inner face of the wall, from near to far.
    pub line: (Point, Point),
    /// The wall it is in.
    pub wall: Wall,
    /// Sill and head above the floor.
    pub heights: Heights,
    /// True where it serves as a way out.
    pub way_out: bool,
}

impl Opening {
    /// The floor before the glass: as wide as the window, as deep as the aisle.
    pub fn floor_before(&self, aisle: Length) -> Option<Convex> {
        let (near, far) = self.line;
        let out = self.wall.inward * aisle.mm();
        Convex::new(vec![near, far, far + out, near + out])
    }
}

/// The working space of a panel: the space may lie anywhere along the wall that holds the panel's own width.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkSpace {
    /// The wall that the panel is on.
    pub wall: Wall,
    /// The panel's edges along the wall, in millimetres.
    pub case: (f64, f64),
    /// How far the case stands out, where the space begins.
    pub front: f64,
    /// Depth that must be free, in millimetres.
    pub depth: f64,
    /// Width that must be free, in millimetres.
    pub width: f64,
    /// Heights that must be free.
    pub heights: Heights,
}

/// A zone drawn on the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// What it is for.
    pub purpose: ZoneUse,
    /// The outline.
    pub shape: Convex,
    /// The heights it takes.
    pub heights: Heights,
}

impl Drawn {
    /// True for a zone that water comes into and that is not dry in that phase.
    pub fn is_wet_in(&self, phase: PhaseNo) -> bool {
        match self.purpose {
            ZoneUse::Wet { dry_from } => dry_from.is_none_or(|dry| phase < dry),
            ZoneUse::KeepClear => false,
        }
    }
}

/// What one item takes and offers.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The item's mark.
    pub id: Id,
    /// What it is.
    pub kind: ItemKind,
    /// True for what belongs to the room: all but racks, supplies and furniture.
    pub fixed: bool,
    /// The place to point at, on the floor.
    pub spot: Point,
    /// The height to point at, in millimetres.
    pub spot_height: f64,
    /// Its body, if it has one that can be bumped into.
    pub solid: Option<Solid>,
    /// For a rack: slots and the outline with the gap behind.
    pub rack: Option<RackParts>,
    /// The strips before its access faces.
    strips: Vec<Strip>,
    /// For a door.
    pub doorway: Option<Doorway>,
    /// For a window.
    pub opening: Option<Opening>,
    /// For a panel.
    pub space: Option<WorkSpace>,
    /// For a zone.
    pub zone: Option<Drawn>,
    /// For a cooling unit, the air at its top fan speed.
    pub jet: Option<Jet>,
    /// For a cooling unit, the air at the fan speed in use.
    pub jet_in_use: Option<Jet>,
    /// For a dimension.
    pub dimension: Option<Measured>,
    /// For a note, the place that it points at.
    pub pointer: Option<Point>,
}

/// What a part is derived from besides its item.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ground<'a> {
    pub(super) plan: &'a Plan,
    pub(super) stock: &'a Stock,
    pub(super) limits: &'a Limits,
    pub(super) room: &'a Polygon,
    pub(super) phase: PhaseNo,
}

impl Part {
    /// The part an item plays; `None` where it names a wall or a kind that does not exist (the audit reports that).
    pub(super) fn of(
        ground: Ground<'_>,
        id: Id,
        item: &Item,
        slots: &[(Id, &crate::plan::Printer)],
    ) -> Option<Arc<Self>> {
        let part = match item {
            Item::Door(door) => doorway(ground, id, door)?,
            Item::Window(w) => {
                let wall = Wall::at(ground.room, w.at)?;
                let near = w.at.along.mm();
                let line = (wall.point(near, 0.0), wall.point(near + w.width.mm(), 0.0));
                let mut part = bare(id, item, (line.0 + line.1) * 0.5, w.sill.mm());
                part.opening = Some(Opening {
                    line,
                    wall,
                    heights: Heights {
                        low: w.sill.mm(),
                        high: w.head.mm(),
                    },
                    way_out: w.way_out,
                });
                part
            }
            Item::Column(c) => {
                let solid = Solid::new(
                    c.at.oblong(c.width, c.depth),
                    0.0,
                    ground.plan.room().ceiling.mm(),
                );
                with_solid(id, item, &solid)
            }
            Item::Panel(p) => panel(ground, id, item, p)?,
            Item::Outlet(o) => {
                let wall = Wall::at(ground.room, o.at)?;
                bare(id, item, wall.point(o.at.along.mm(), 0.0), o.height.mm())
            }
            Item::Cooling(c) => {
                let wall = Wall::at(ground.room, c.at)?;
                let kind = ground.stock.cooling.get(&c.kind)?;
                let low = c.bottom.mm();
                let body = wall.oblong(c.at.along, kind.width, kind.depth);
                let mut part = with_solid(id, item, &Solid::new(body, low, low + kind.height.mm()));
                let ceiling = ground.plan.room().ceiling;
                part.jet = Jet::of(kind, &wall, c, (Fan::Top, ceiling));
                part.jet_in_use = match c.blow.fan {
                    Fan::Top => part.jet.clone(),
                    fan @ Fan::Lower(_) => Jet::of(kind, &wall, c, (fan, ceiling)),
                };
                part
            }
            Item::Fitting(f) => {
                let wall = Wall::at(ground.room, f.at)?;
                let (low, high) = (f.bottom.mm(), (f.bottom + f.height).mm());
                if f.depth > Length::ZERO {
                    let body = wall.oblong(f.at.along, f.width, f.depth);
                    with_solid(id, item, &Solid::new(body, low, high))
                } else {
                    let middle = f.at.along + f.width.half();
                    bare(id, item, wall.point(middle.mm(), 0.0), (low + high) * 0.5)
                }
            }
            Item::Overhead(o) => {
                let body = o.at.oblong(o.width, o.depth);
                let ceiling = ground.plan.room().ceiling;
                with_solid(id, item, &Solid::new(body, o.bottom.mm(), ceiling.mm()))
            }
            Item::Light(l) => {
                let kind = ground.stock.lights.get(&l.kind)?;
                let body = l.at.oblong(kind.width, kind.depth);
                let (low, high) = (l.bottom.mm(), (l.bottom + kind.height).mm());
                with_solid(id, item, &Solid::new(body, low, high))
            }
            Item::Camera(c) => {
                let kind = ground.stock.cameras.get(&c.kind)?;
                let case = c.at.oblong(kind.side, kind.side);
                bare(id, item, case.centre(), c.height.mm())
            }
            Item::Furniture(f) => {
                let body = f.at.oblong(f.width, f.depth);
                let mut part = with_solid(id, item, &Solid::new(body, 0.0, f.height.mm()));
                part.strips = strips(ground, &body, &f.faces);
                part
            }
            Item::Zone(z) => {
                let shape = z.at.oblong(z.width, z.depth).convex();
                let ceiling = ground.plan.room().ceiling;
                let mut part = bare(id, item, shape.middle(), z.low.mm());
                part.zone = Some(Drawn {
                    purpose: z.purpose,
                    shape,
                    heights: Heights {
                        low: z.low.mm(),
                        high: z.high.unwrap_or(ceiling).mm(),
                    },
                });
                part
            }
            Item::Rack(rack) => {
                let parts = RackParts::of(ground, id, rack, slots)?;
                let body = parts.body;
                let kind = ground.stock.racks.get(&rack.kind)?;
                let mut part = with_solid(id, item, &Solid::new(body, 0.0, parts.height));
                part.strips = strips(ground, &body, rack.faces(kind));
                part.rack = Some(parts);
                part
            }
            Item::Ups(u) => {
                let kind = ground.stock.ups.get(&u.kind)?;
                match u.stands {
                    UpsPlace::OnFloor(at) => {
                        let body = at.oblong(kind.width, kind.depth);
                        with_solid(id, item, &Solid::new(body, 0.0, kind.height.mm()))
                    }
                    UpsPlace::OnRack(rack) => {
                        let foot = rack_foot(ground, rack)?;
                        bare(id, item, foot, 0.0)
                    }
                }
            }
            Item::Dimension(d) => {
                let ends = ground.ends(d.from, d.to)?;
                let measured = Measured::new(ends, d.offset.mm());
                let mut part = bare(id, item, measured.middle(), 0.0);
                part.dimension = Some(measured);
                part
            }
            Item::Note(n) => {
                let at = Point::new(n.at.0.mm(), n.at.1.mm());
                let mut part = bare(id, item, at, 0.0);
                part.pointer = n.pointer.and_then(|end| ground.pointed(n.at, end));
                part
            }
        };
        Some(Arc::new(part))
    }

    /// The slots it offers.
    pub fn slots(&self) -> &[Slot] {
        self.rack.as_ref().map_or(&[], |r| &r.slots)
    }

    /// True for what takes heat, lets it in or gives it, apart from what is plugged in.
    pub fn bears_on_heat(&self) -> bool {
        matches!(
            self.kind,
            ItemKind::Cooling | ItemKind::Window | ItemKind::Light
        )
    }

    /// The strips before its access faces.
    pub fn strips(&self) -> &[Strip] {
        &self.strips
    }
}

fn bare(id: Id, item: &Item, spot: Point, spot_height: f64) -> Part {
    let kind = item.kind();
    Part {
        id,
        kind,
        fixed: !matches!(
            kind,
            ItemKind::Rack | ItemKind::Ups | ItemKind::Furniture(_)
        ),
        spot,
        spot_height,
        solid: None,
        rack: None,
        strips: Vec::new(),
        doorway: None,
        opening: None,
        space: None,
        zone: None,
        jet: None,
        jet_in_use: None,
        dimension: None,
        pointer: None,
    }
}

/// The strips before those faces of a body.
fn strips(ground: Ground<'_>, body: &Oblong, faces: &[Face]) -> Vec<Strip> {
    let aisle = ground.limits.aisle.value;
    let faces = faces.iter();
    faces.map(|f| Strip::before(body, *f, aisle)).collect()
}

fn with_solid(id: Id, item: &Item, solid: &Solid) -> Part {
    let middle = (solid.heights.low + solid.heights.high) * 0.5;
    Part {
        solid: Some(solid.clone()),
        ..bare(id, item, solid.oblong.centre(), middle)
    }
}

fn doorway(ground: Ground<'_>, id: Id, door: &Door) -> Option<Part> {
    let wall = Wall::at(ground.room, door.at)?;
    let (near, width) = (door.at.along.mm(), door.width.mm());
    let opening = (wall.point(near, 0.0), wall.point(near + width, 0.0));
    let (hinge, start) = match door.hinge {
        Hinge::Near => (opening.0, wall.along),
        Hinge::Far => (opening.1, wall.inward),
    };
    let leaf = match door.swing {
        Swing::In => Some((hinge, hinge + wall.inward * width)),
        Swing::Out => Some((hinge, hinge - wall.inward * width)),
        Swing::None => None,
    };
    let sweep = (door.swing == Swing::In)
        .then(|| Convex::sector(hinge, width, start.to_angle(), std::f64::consts::FRAC_PI_2))
        .flatten();
    let item = Item::Door(door.clone());
    let mut part = bare(id, &item, (opening.0 + opening.1) * 0.5, 0.0);
    part.doorway = Some(Doorway {
        opening,
        leaf,
        sweep,
        height: door.height.mm(),
    });
    Some(part)
}

fn panel(ground: Ground<'_>, id: Id, item: &Item, p: &Panel) -> Option<Part> {
    let wall = Wall::at(ground.room, p.at)?;
    let body = wall.oblong(p.at.along, p.width, p.depth);
    let low = p.bottom.mm();
    let mut part = with_solid(id, item, &Solid::new(body, low, low + p.height.mm()));
    let limits = ground.limits;
    let near = p.at.along.mm();
    part.space = Some(WorkSpace {
        wall,
        case: (near, near + p.width.mm()),
        front: p.depth.mm(),
        depth: limits.panel_depth.value.mm(),
        width: limits.panel_width.value.max(p.width).mm(),
        heights: Heights {
            low: 0.0,
            high: limits
                .panel_height
                .value
                .max(p.bottom + p.height)
                .min(ground.plan.room().ceiling.max(Length::from_mm(1.0)))
                .mm(),
        },
    });
    Some(part)
}

/// The middle of a rack's back, at the floor: where the UPS at its foot is plugged from.
fn rack_foot(ground: Ground<'_>, rack: Id) -> Option<Point> {
    let rack = ground.plan.rack(rack)?;
    let kind = ground.stock.racks.get(&rack.kind)?;
    let body = rack.at.oblong(kind.width, kind.depth);
    Some(body.at(0.0, body.depth() * 0.5))
}
