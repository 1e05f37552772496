//! Putting several things in order at once: lined up, evenly spread, turned to the wall, a bank mirrored across the aisle, one
//! more beside the last. Every result is an edit; what is locked stays where it is. Whether the checks like the result is theirs to say.

use super::{Layout, Part, Wall};
use crate::geometry::{Convex, Oblong, Point, TOLERANCE_MM};
use crate::plan::{Edit, Id, Pose, Record};
use crate::units::{Angle, Length};

/// A side of the sheet that things are lined up on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Left ends.
    Left,
    /// Right ends.
    Right,
    /// Upper ends.
    Upper,
    /// Lower ends.
    Lower,
}

impl Side {
    /// The direction that the side looks.
    fn direction(self) -> Point {
        match self {
            Self::Left => -Point::X,
            Self::Right => Point::X,
            Self::Upper => Point::Y,
            Self::Lower => -Point::Y,
        }
    }

    /// The word in the name of a step.
    fn word(self) -> &'static str {
        match self {
            Self::Left => "left ends",
            Self::Right => "right ends",
            Self::Upper => "upper ends",
            Self::Lower => "lower ends",
        }
    }
}

/// A direction along which things are spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Along {
    /// Left to right.
    Across,
    /// Up the sheet.
    Up,
}

impl Along {
    fn axis(self) -> Point {
        match self {
            Self::Across => Point::X,
            Self::Up => Point::Y,
        }
    }
}

/// Things within this of each other, in millimetres, count as in line already.
const SAME_MM: f64 = 0.005;

/// The things that may be moved on the floor, with their outlines.
fn loose<'a>(layout: &'a Layout, ids: &[Id]) -> Vec<(Id, &'a Convex)> {
    ids.iter()
        .filter_map(|id| Some((*id, layout.part(*id)?)))
        .filter(|(id, _)| {
            let item = layout.plan().items().get(*id);
            item.is_some_and(|i| i.pose().is_some() && !i.presence().pinned)
        })
        .filter_map(|(id, part)| Some((id, &part.solid.as_ref()?.shape)))
        .collect()
}

/// The step that moves each thing by its own amount along a direction; `None` where nothing would move.
fn moves(name: String, axis: Point, by: impl IntoIterator<Item = (Id, f64)>) -> Option<Edit> {
    let parts: Vec<Edit> = by
        .into_iter()
        .filter(|(_, mm)| mm.abs() > SAME_MM)
        .map(|(id, mm)| {
            let by = axis * mm;
            Edit::Move(vec![id], (Length::from_mm(by.x), Length::from_mm(by.y)))
        })
        .collect();
    (!parts.is_empty()).then_some(Edit::Several(name, parts))
}

/// Moves things until their ends on one side are in line with that of `lead`, which stays.
pub fn line_up(layout: &Layout, ids: &[Id], lead: Id, side: Side) -> Option<Edit> {
    let axis = side.direction();
    let (_, target) = layout.part(lead)?.solid.as_ref()?.shape.along(axis);
    let off = loose(layout, ids).into_iter().map(|(id, shape)| {
        let (_, end) = shape.along(axis);
        (id, target - end)
    });
    moves(format!("Line up {}", side.word()), axis, off)
}

/// Moves all but the first and the last so that the gaps between neighbours are equal; `None` below three things. Gaps come out
/// below nothing where the things are longer than the stretch they stand on.
pub fn spread(layout: &Layout, ids: &[Id], along: Along) -> Option<Edit> {
    let axis = along.axis();
    let mut ends: Vec<(Id, f64, f64)> = loose(layout, ids)
        .into_iter()
        .map(|(id, shape)| {
            let (low, high) = shape.along(axis);
            (id, low, high)
        })
        .collect();
    ends.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let [first, between @ .., last] = ends.as_slice() else {
        return None;
    };
    let solid: f64 = between.iter().map(|(_, low, high)| high - low).sum();
    let gaps = u32::try_from(between.len() + 1).ok()?;
    let gap = (last.1 - first.2 - solid) / f64::from(gaps);
    let mut at = first.2;
    let by: Vec<(Id, f64)> = between
        .iter()
        .map(|(id, low, high)| {
            let start = at + gap;
            at = start + high - low;
            (*id, start - low)
        })
        .collect();
    moves("Spread evenly".to_owned(), axis, by)
}

/// A rack that is to stand before a wall.
struct ToWall {
    id: Id,
    wall: Wall,
    oblong: Oblong,
    /// Where its middle stands along the wall, in millimetres from the wall's first corner.
    along: f64,
}

/// Turns racks so that each has its back to the wall nearest to it, whatever the wall's angle, the gap for plugs between; each
/// keeps its place along the wall as far as the wall is long and its neighbours of the same step let it. `None` where all stand
/// so already, are locked or are no racks.
pub fn to_wall(layout: &Layout, ids: &[Id]) -> Option<Edit> {
    let mut racks: Vec<ToWall> = loose(layout, ids)
        .into_iter()
        .filter_map(|(id, shape)| {
            let oblong = rack_oblong(layout, id)?;
            let wall = nearest_wall(layout, shape)?;
            let along = (oblong.centre() - wall.start).dot(wall.along);
            Some(ToWall {
                id,
                wall,
                oblong,
                along,
            })
        })
        .collect();
    racks.sort_by(|a, b| {
        let walls = a.wall.number.cmp(&b.wall.number);
        walls
            .then(a.along.total_cmp(&b.along))
            .then(a.id.cmp(&b.id))
    });
    for side_by_side in racks.chunk_by_mut(|a, b| a.wall.number == b.wall.number) {
        part_along(side_by_side);
    }
    let turned: Vec<(Id, Record)> = racks
        .iter()
        .filter_map(|rack| {
            let item = layout.plan().items().get(rack.id)?;
            let there = before_wall(rack, layout.limits().back_gap.value.mm());
            (item.pose() != Some(there))
                .then(|| (rack.id, Record::Item(Box::new(item.with_pose(there)))))
        })
        .collect();
    let name = match turned.as_slice() {
        [] => return None,
        [(id, _)] => format!("Turn {id} to the wall"),
        several => format!("Turn {} racks to the wall", several.len()),
    };
    Some(Edit::Several(name, vec![Edit::Put(turned)]))
}

/// The wall that a body stands nearest to; of those as near, the one its middle is nearest to.
fn nearest_wall(layout: &Layout, shape: &Convex) -> Option<Wall> {
    let off = |body: &Convex, wall: &Wall| {
        body.distance(&Convex::line(wall.start, wall.point(wall.length, 0.0)))
    };
    let middle = Convex::line(shape.middle(), shape.middle());
    let least = layout
        .walls()
        .map(|wall| off(shape, &wall))
        .fold(f64::INFINITY, f64::min);
    layout
        .walls()
        .filter(|wall| off(shape, wall) <= least + TOLERANCE_MM)
        .min_by(|a, b| off(&middle, a).total_cmp(&off(&middle, b)))
}

/// Moves racks at one wall, which come in order, along it until none stands in the next and all stand within its length, where
/// it is long enough for all.
fn part_along(racks: &mut [ToWall]) {
    let mut free_from = 0.0;
    for rack in racks.iter_mut() {
        let half = rack.oblong.width() * 0.5;
        rack.along = rack.along.max(free_from + half);
        free_from = rack.along + half;
    }
    let mut free_to = racks.first().map_or(0.0, |rack| rack.wall.length);
    for rack in racks.iter_mut().rev() {
        let half = rack.oblong.width() * 0.5;
        rack.along = rack.along.min(free_to - half);
        free_to = rack.along - half;
    }
}

/// The place of a rack with its back to its wall.
fn before_wall(rack: &ToWall, gap_mm: f64) -> Pose {
    let out = gap_mm + rack.oblong.depth() * 0.5;
    let inward = rack.wall.inward;
    // Unturned, the front looks down the sheet; it must look into the room.
    let turn = inward.y.atan2(inward.x).to_degrees() + 90.0;
    centred(
        &rack.oblong,
        rack.wall.point(rack.along, out),
        Angle::from_degrees(turn),
    )
}

/// Copies of a bank of racks on the other side of the aisle before the face of `lead`, looking back at it.
pub fn across_aisle(layout: &Layout, ids: &[Id], lead: Id) -> Option<(Edit, Vec<Id>)> {
    let bank = layout.part(lead)?;
    let front = front_of(bank)?;
    let (_, face) = bank.solid.as_ref()?.shape.along(front);
    let middle = face + layout.limits().aisle.value.mm() * 0.5;
    let lead_turn = layout.plan().items().get(lead)?.pose()?.turn;
    let copies = layout.plan().copies(ids.iter().copied(), |id, pose| {
        let oblong = rack_oblong(layout, id)?;
        let centre = oblong.centre();
        let beyond = centre + front * (2.0 * (middle - centre.dot(front)));
        let turn = lead_turn + lead_turn - pose.turn - Angle::QUARTER - Angle::QUARTER;
        Some(centred(&oblong, beyond, turn))
    });
    copies.step("Mirror across the aisle")
}

/// One more like `id`, end to end with it: at its right end as seen from the front, or at the left where it does not fit there.
pub fn one_beside(layout: &Layout, id: Id) -> Option<(Edit, Vec<Id>)> {
    let oblong = rack_oblong(layout, id)?;
    let place = [1.0, -1.0]
        .into_iter()
        .map(|sign| oblong.moved(oblong.across() * (oblong.width() * sign)))
        .find(|next| is_free(layout, next, id))?;
    let copies = layout.plan().copies([id], |_, pose| {
        Some(centred(&oblong, place.centre(), pose.turn))
    });
    copies.step("One more beside it")
}

/// The direction that the front of a thing looks.
fn front_of(part: &Part) -> Option<Point> {
    Some(-part.solid.as_ref()?.oblong.up())
}

fn rack_oblong(layout: &Layout, id: Id) -> Option<Oblong> {
    layout.plan().rack(id)?;
    Some(layout.part(id)?.solid.as_ref()?.oblong)
}

/// The place of a body of that size round a centre.
fn centred(oblong: &Oblong, centre: Point, turn: Angle) -> Pose {
    Pose {
        x: Length::from_mm(centre.x - oblong.width() * 0.5),
        y: Length::from_mm(centre.y - oblong.depth() * 0.5),
        turn,
    }
}

/// True where a body as high as that of `like` stands inside the walls and in nothing else.
fn is_free(layout: &Layout, body: &Oblong, like: Id) -> bool {
    let shape = body.convex();
    let heights = layout
        .part(like)
        .and_then(|p| p.solid.as_ref())
        .map(|s| s.heights);
    let inside = layout.room().contains(shape.middle())
        && layout
            .room()
            .sides()
            .all(|(a, b)| !shape.overlaps(&Convex::line(a, b)));
    inside
        && layout.solids().all(|(_, solid)| {
            heights.is_some_and(|h| !h.overlap(solid.heights)) || !shape.overlaps(&solid.shape)
        })
}
