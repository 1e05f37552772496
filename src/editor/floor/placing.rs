//! What is made when something from the stock drawer comes down on the floor: the item at a place, its back to the wall.

use super::gesture::grid;
use crate::editor::action::StockEntry;
use crate::geometry::Point;
use crate::layout::{Layout, Wall};
use crate::plan::{
    Blow, Camera, Column, CoolingUnit, Door, Edit, Fitting, FittingUse, Furniture, FurnitureUse,
    Glass, Hinge, Id, Item, ItemKind, Light, Note, NoteText, Outlet, Overhead, OverheadUse, Panel,
    Plan, Pose, Presence, Printer, Rack, Record, SlotRef, Status, Swing, Ups, UpsPlace, WallPlace,
    Window, Zone, ZoneUse,
};
use crate::stock::{Face, KindId};
use crate::units::{Angle, Length};

/// How near a wall a rack must come down for its back to turn to it, in millimetres.
const TURN_TO_WALL_MM: f64 = 1_000.0;

/// The edit that puts the entry at a place of the floor, and the mark of the new item; `None` where it cannot stand there
/// at all (a kind that is gone, a wall that is too short).
pub fn put(
    layout: &Layout,
    entry: &StockEntry,
    at: Point,
    turn: Option<Angle>,
) -> Option<(Edit, Id)> {
    let plan = layout.plan();
    let item = item_of(layout, entry, at, turn)?;
    let id = *plan.fresh(item.kind().prefix(), 1).first()?;
    let mut records = vec![(id, Record::Item(Box::new(item)))];
    if let StockEntry::Rack(rack, Some(printer)) = entry {
        records.extend(printers_for(layout, id, rack, printer));
    }
    let word = records.first().map_or("", |_| entry_word(entry));
    Some((
        Edit::Several(format!("Place {word} {id}"), vec![Edit::Put(records)]),
        id,
    ))
}

/// A printer for every slot of a new rack.
fn printers_for(layout: &Layout, rack: Id, kind: &KindId, printer: &KindId) -> Vec<(Id, Record)> {
    let Some(kind) = layout.stock().racks.get(kind) else {
        return Vec::new();
    };
    let slots: Vec<SlotRef> = (1..=u8::MAX)
        .zip(&kind.levels)
        .flat_map(|(level, l)| (1..=l.slots).map(move |place| SlotRef { rack, level, place }))
        .collect();
    let ids = layout.plan().fresh(Plan::PRINTER, slots.len());
    ids.into_iter()
        .zip(slots)
        .map(|(id, slot)| {
            let presence = presence(layout, Status::New);
            let printer = Printer {
                kind: printer.clone(),
                slot,
                power: None,
                prints: None,
                presence,
            };
            (id, Record::Printer(printer))
        })
        .collect()
}

fn entry_word(entry: &StockEntry) -> &'static str {
    match entry {
        StockEntry::Rack(..) => "rack",
        StockEntry::Ups(_) => "UPS",
        StockEntry::Cooling(_) => "cooling unit",
        StockEntry::Light(_) => "light",
        StockEntry::Camera(_) => "camera",
        StockEntry::Fixture(kind) => kind.word(),
        StockEntry::KeepClear | StockEntry::Wet => "zone",
    }
}

fn presence(layout: &Layout, status: Status) -> Presence {
    Presence {
        arrives: layout.phase(),
        status,
        ..Presence::default()
    }
}

fn item_of(layout: &Layout, entry: &StockEntry, at: Point, turn: Option<Angle>) -> Option<Item> {
    let stock = layout.stock();
    match entry {
        StockEntry::Rack(kind_id, _) => {
            let kind = stock.racks.get(kind_id)?;
            let turn = turn.unwrap_or_else(|| turn_to_wall(layout, at));
            Some(Item::Rack(Rack {
                anchored: None,
                kind: kind_id.clone(),
                at: pose(at, kind.width, kind.depth, turn),
                levels: Vec::new(),
                faces: Vec::new(),
                presence: presence(layout, Status::New),
            }))
        }
        StockEntry::Ups(kind_id) => {
            let kind = stock.ups.get(kind_id)?;
            let rack =
                super::hit::under(layout, at, 0.0).filter(|id| layout.plan().rack(*id).is_some());
            let stands = rack.map_or_else(
                || UpsPlace::OnFloor(pose(at, kind.width, kind.depth, turn.unwrap_or_default())),
                UpsPlace::OnRack,
            );
            Some(Item::Ups(Ups {
                kind: kind_id.clone(),
                stands,
                outlet: None,
                presence: presence(layout, Status::New),
            }))
        }
        StockEntry::Cooling(kind_id) => {
            let kind = stock.cooling.get(kind_id)?;
            let ceiling = layout.plan().room().ceiling;
            let bottom = (ceiling - kind.height - Length::from_inches(8)).max(Length::ZERO);
            Some(Item::Cooling(CoolingUnit {
                kind: kind_id.clone(),
                at: on_wall(layout, at, kind.width)?,
                bottom,
                blow: Blow::default(),
                presence: presence(layout, Status::New),
            }))
        }
        StockEntry::Light(kind_id) => {
            let kind = stock.lights.get(kind_id)?;
            let ceiling = layout.plan().room().ceiling;
            Some(Item::Light(Light {
                kind: kind_id.clone(),
                at: pose(at, kind.width, kind.depth, turn.unwrap_or_default()),
                bottom: (ceiling - kind.height - Length::from_inches(1)).max(Length::ZERO),
                linked_to: None,
                presence: presence(layout, Status::New),
            }))
        }
        StockEntry::Camera(kind_id) => {
            let side = stock.cameras.get(kind_id)?.side;
            let turn = turn.unwrap_or_else(|| turn_to_wall(layout, at));
            Some(Item::Camera(Camera {
                kind: kind_id.clone(),
                at: pose(at, side, side, turn),
                height: camera_height(layout),
                tilt: Angle::from_degrees(20.0),
                presence: presence(layout, Status::New),
            }))
        }
        StockEntry::Fixture(kind) => fixture(layout, *kind, at),
        StockEntry::KeepClear => Some(zone(layout, at, ZoneUse::KeepClear)),
        StockEntry::Wet => Some(zone(layout, at, ZoneUse::Wet { dry_from: None })),
    }
}

/// A thing without a kind in the stock list, in a usual size.
fn fixture(layout: &Layout, kind: ItemKind, at: Point) -> Option<Item> {
    let inches = Length::from_inches;
    let existing = || presence(layout, Status::Existing);
    match kind {
        ItemKind::Door => Some(Item::Door(Door {
            at: on_wall(layout, at, inches(36))?,
            width: inches(36),
            height: inches(80),
            clear: None,
            hinge: Hinge::Near,
            swing: Swing::In,
            way_out: true,
            presence: existing(),
        })),
        ItemKind::Window => Some(Item::Window(Window {
            at: on_wall(layout, at, inches(48))?,
            width: inches(48),
            sill: inches(36),
            head: inches(80),
            opens: true,
            way_out: false,
            glass: Glass::default(),
            presence: existing(),
        })),
        ItemKind::Column => Some(Item::Column(Column {
            at: pose(at, inches(12), inches(12), Angle::default()),
            width: inches(12),
            depth: inches(12),
            presence: existing(),
        })),
        ItemKind::Panel => Some(Item::Panel(Panel {
            at: on_wall(layout, at, inches(15))?,
            width: inches(15),
            depth: inches(4),
            bottom: inches(48),
            height: inches(30),
            presence: existing(),
            main: None,
            free: None,
        })),
        ItemKind::Outlet => Some(Item::Outlet(Outlet {
            at: on_wall(layout, at, Length::ZERO)?,
            height: inches(18),
            receptacles: 2,
            circuit: None,
            presence: presence(layout, Status::New),
            receptacle: None,
        })),
        ItemKind::Fitting(purpose) => fitting(layout, purpose, at),
        ItemKind::Overhead(purpose) => Some(overhead(layout, purpose, at)),
        ItemKind::Furniture(purpose) => Some(furniture(layout, purpose, at)),
        ItemKind::Note => Some(Item::Note(Note {
            text: NoteText::new("Note").ok()?,
            at: (
                grid(Length::from_mm(at.x), layout.plan()),
                grid(Length::from_mm(at.y), layout.plan()),
            ),
            pointer: None,
            presence: existing(),
        })),
        ItemKind::Cooling
        | ItemKind::Light
        | ItemKind::Camera
        | ItemKind::Zone
        | ItemKind::Rack
        | ItemKind::Ups
        | ItemKind::Dimension => None,
    }
}

/// Where a camera hangs at first: over people's heads, under the ceiling.
fn camera_height(layout: &Layout) -> Length {
    let ceiling = layout.plan().room().ceiling;
    Length::from_inches(84).min((ceiling - Length::from_inches(6)).max(Length::ZERO))
}

/// A piece of furniture in a usual size, its back to the wall where one is near.
fn furniture(layout: &Layout, purpose: FurnitureUse, at: Point) -> Item {
    let inches = Length::from_inches;
    let front = vec![Face::Front];
    let (width, depth, height, faces, spools) = match purpose {
        FurnitureUse::Bench => (60, 30, 36, front, None),
        FurnitureUse::Bin => (20, 20, 30, Vec::new(), None),
        FurnitureUse::Cart => (36, 20, 36, Vec::new(), None),
        FurnitureUse::SpoolStore => (36, 16, 72, front, None),
    };
    let (width, depth, height) = (inches(width), inches(depth), inches(height));
    Item::Furniture(Furniture {
        purpose,
        at: pose(at, width, depth, turn_to_wall(layout, at)),
        width,
        depth,
        height,
        faces,
        spools,
        presence: presence(layout, Status::New),
    })
}

/// A thing fixed to a wall, in a usual size. An extinguisher's top stands 1.2 m (4 ft) above the floor, below the 5 ft that NFPA 10
/// (from memory) allows at most.
fn fitting(layout: &Layout, purpose: FittingUse, at: Point) -> Option<Item> {
    let inches = Length::from_inches;
    let (width, depth, height, bottom) = match purpose {
        FittingUse::DataPoint => (3, 0, 5, 16),
        FittingUse::Extinguisher => (7, 7, 20, 28),
        FittingUse::Radiator => (48, 5, 24, 5),
    };
    Some(Item::Fitting(Fitting {
        purpose,
        at: on_wall(layout, at, inches(width))?,
        width: inches(width),
        depth: inches(depth),
        bottom: inches(bottom),
        height: inches(height),
        presence: presence(layout, Status::Existing),
    }))
}

/// A thing under the ceiling, in a usual size; a beam or a pipe spans the room across.
fn overhead(layout: &Layout, purpose: OverheadUse, at: Point) -> Item {
    let inches = Length::from_inches;
    let room = layout.room().bounds();
    let span = Length::from_mm(room.size().x);
    let (width, depth, drop) = match purpose {
        OverheadUse::Beam => (span, inches(8), 10),
        OverheadUse::Pipe => (span, inches(6), 8),
        OverheadUse::Sprinkler => (inches(3), inches(3), 4),
        OverheadUse::Detector => (inches(5), inches(5), 2),
    };
    let spans = matches!(purpose, OverheadUse::Beam | OverheadUse::Pipe);
    let at = Point::new(if spans { room.centre().x } else { at.x }, at.y);
    let ceiling = layout.plan().room().ceiling;
    Item::Overhead(Overhead {
        purpose,
        at: pose(at, width, depth, Angle::default()),
        width,
        depth,
        bottom: (ceiling - inches(drop)).max(Length::ZERO),
        presence: presence(layout, Status::Existing),
    })
}

fn zone(layout: &Layout, at: Point, purpose: ZoneUse) -> Item {
    let side = Length::from_inches(36);
    Item::Zone(Zone {
        purpose,
        at: pose(at, side, side, Angle::default()),
        width: side,
        depth: side,
        low: Length::ZERO,
        high: None,
        presence: presence(layout, Status::Existing),
    })
}

/// The pose of a body of that size with its middle at a place.
fn pose(at: Point, width: Length, depth: Length, turn: Angle) -> Pose {
    Pose {
        x: Length::from_mm(at.x) - width.half(),
        y: Length::from_mm(at.y) - depth.half(),
        turn,
    }
}

/// The place on the nearest wall for a thing of that width with its middle nearest to `at`; `None` where the wall is too
/// short.
pub(super) fn on_wall(layout: &Layout, at: Point, width: Length) -> Option<WallPlace> {
    let (wall, along) = nearest_wall(layout, at)?;
    let free = wall.length - width.mm();
    let near = (along - width.mm() * 0.5).max(0.0).min(free);
    let number = u16::try_from(wall.number).unwrap_or(u16::MAX);
    (free >= 0.0).then(|| WallPlace::new(number, Length::from_mm(near)))
}

/// The nearest wall and how far along it the place is.
fn nearest_wall(layout: &Layout, at: Point) -> Option<(Wall, f64)> {
    layout
        .walls()
        .map(|wall| {
            let along = (at - wall.start).dot(wall.along).max(0.0).min(wall.length);
            (wall, along)
        })
        .min_by(|(a, x), (b, y)| {
            let (p, q) = (a.point(*x, 0.0), b.point(*y, 0.0));
            p.distance(at).total_cmp(&q.distance(at))
        })
}

/// The turn that brings a rack's back to the nearest wall, where one is near.
fn turn_to_wall(layout: &Layout, at: Point) -> Angle {
    let near = nearest_wall(layout, at)
        .filter(|(wall, along)| wall.point(*along, 0.0).distance(at) < TURN_TO_WALL_MM);
    near.map_or(Angle::default(), |(wall, _)| {
        // Unturned, the front looks down the sheet; it must look into the room.
        let inward = wall.inward.y.atan2(wall.inward.x).to_degrees();
        Angle::from_degrees(inward + 90.0)
    })
}
