//! Changes of the walls: the outline drawn anew, a wall moved, split or of another thickness, a corner bevelled or gone; with
//! what hangs on the walls. Makes one edit or says why not; what stands on the floor stays where it is.

use super::{
    Diagonal, Edit, End, Id, Item, Leg, Lies, Note, Outline, Plan, Record, Room, TapeWalk,
    WallPlace,
};
use crate::geometry::{Point, Polygon, TOLERANCE_MM};
use crate::stock::Stock;
use crate::units::Length;

/// A change of the walls. Walls and corners go by their numbers in [`Room::corners`], the first being 0.
#[derive(Clone, Debug, PartialEq)]
pub enum Rebuild {
    /// Other corners altogether, anticlockwise.
    Outline(Vec<(Length, Length)>),
    /// A wall moved parallel to itself, out of the room or, below zero, into it; its neighbours follow.
    Shift {
        /// The wall.
        wall: usize,
        /// How far out.
        out: Length,
    },
    /// A corner set into a wall.
    Split {
        /// The wall.
        wall: usize,
        /// How far from its first corner.
        along: Length,
    },
    /// A corner cut off straight across.
    Bevel {
        /// The corner.
        corner: usize,
        /// How far back from it on both walls.
        back: Length,
    },
    /// A corner taken out: one straight wall in the place of the two that met there.
    RemoveCorner {
        /// The corner.
        corner: usize,
    },
    /// A wall of another thickness.
    Thickness {
        /// The wall.
        wall: usize,
        /// How thick.
        thickness: Length,
    },
}

/// Walls whose directions differ by less than this sine count as one straight line, which a moved wall breaks off from with a
/// corner instead of running along it.
const STRAIGHT_ON: f64 = 0.02;

/// A corner of the new outline and the wall after it.
#[derive(Clone, Debug)]
struct Stretch {
    at: (Length, Length),
    /// The corner it was.
    was: Option<usize>,
    /// The walls that it was, each with how far from that wall's first corner this one begins.
    of: Vec<(usize, Length)>,
}

impl Rebuild {
    /// The step's name in the history.
    fn label(&self, room: &Room) -> String {
        let (wall, corner) = (
            |k: &usize| room.wall_number(*k),
            |k: &usize| room.corner_number(*k),
        );
        match self {
            Self::Outline(_) => "Draw the room".to_owned(),
            Self::Shift { wall: k, .. } => format!("Move wall {}", wall(k)),
            Self::Split { wall: k, .. } => format!("Split wall {}", wall(k)),
            Self::Bevel { corner: k, .. } => format!("Bevel corner {}", corner(k)),
            Self::RemoveCorner { corner: k } => format!("Remove corner {}", corner(k)),
            Self::Thickness { wall: k, .. } => format!("Thickness of wall {}", wall(k)),
        }
    }
}

impl Room {
    /// What a change of the walls lets go of beyond what it says, in a sentence to be read before; `None` where nothing.
    pub fn lets_go(&self, change: &Rebuild) -> Option<String> {
        if matches!(change, Rebuild::Thickness { .. }) {
            return None;
        }
        let walk = self.tape_walk().is_some();
        let turned_into_corners = walk && self.stays_a_walk(change).is_none();
        let before = self.diagonals.len();
        let gone = before - self.diagonals_after(change).len().min(before);
        let diagonals = match gone {
            0 => None,
            1 => {
                Some("one diagonal ends at a corner that moves or goes, and is dropped".to_owned())
            }
            n => Some(format!(
                "{n} diagonals end at corners that move or go, and are dropped"
            )),
        };
        let corners = turned_into_corners.then(|| {
            "the tape walk becomes plain corners, and its measured lengths and turns are let go"
                .to_owned()
        });
        let said: Vec<String> = corners.into_iter().chain(diagonals).collect();
        (!said.is_empty()).then(|| said.join("; "))
    }

    /// The place of wall `k` in the outline after a change: a step before it counts all walls on. `k` itself where it is gone.
    pub fn wall_after(&self, change: &Rebuild, k: usize) -> usize {
        let begins = |s: &Stretch| s.of.first().is_some_and(|(wall, _)| *wall == k);
        let new = self.stretches(change).unwrap_or_default();
        new.iter().position(begins).unwrap_or(k)
    }

    fn diagonals_after(&self, change: &Rebuild) -> Vec<Diagonal> {
        self.stretches(change)
            .map(|new| self.kept_diagonals(&new, self.stays_a_walk(change).is_some()))
            .unwrap_or_default()
    }

    /// The walk with the legs that a moved wall makes longer or shorter; `None` where the change leaves no walk.
    fn stays_a_walk(&self, change: &Rebuild) -> Option<TapeWalk> {
        let walk = self.tape_walk()?;
        let Rebuild::Shift { .. } = change else {
            return None;
        };
        let new = self.stretches(change).ok()?;
        if new.len() != walk.legs().len() {
            return None;
        }
        let (before, after) = (self.polygon()?, polygon_of(&new)?);
        let legs = walk.legs().iter().enumerate().map(|(k, leg)| {
            let wall = walk.wall_of_leg(k);
            let long = |p: &Polygon| p.side(wall).map_or(0.0, |(a, b)| a.distance(b));
            Leg {
                length: leg.length + Length::from_mm(long(&after) - long(&before)),
                ..*leg
            }
        });
        Some(TapeWalk::new(legs.collect()))
    }

    /// The new outline, or why there can be none.
    fn stretches(&self, change: &Rebuild) -> Result<Vec<Stretch>, String> {
        let outline = self.polygon().ok_or("the room has no walls yet")?;
        let mut now: Vec<Stretch> = self
            .corners()
            .iter()
            .enumerate()
            .map(|(k, at)| Stretch {
                at: *at,
                was: Some(k),
                of: vec![(k, Length::ZERO)],
            })
            .collect();
        match change {
            Rebuild::Outline(corners) => Ok(drawn(&outline, corners)),
            Rebuild::Shift { wall, out } => shifted(&outline, now, *wall, *out),
            Rebuild::Split { wall, along } => {
                let (a, b) = outline.side(*wall).ok_or_else(|| no_wall(*wall))?;
                let long = a.distance(b);
                if along.mm() < LEAST_MM || along.mm() > long - LEAST_MM {
                    return Err(format!(
                        "wall {} can be split only between its corners",
                        wall + 1
                    ));
                }
                let at = a + (b - a) * (along.mm() / long);
                now.insert(
                    wall + 1,
                    Stretch {
                        at: rounded(at),
                        was: None,
                        of: vec![(*wall, *along)],
                    },
                );
                Ok(now)
            }
            Rebuild::Bevel { corner, back } => bevelled(&outline, now, *corner, *back),
            Rebuild::RemoveCorner { corner } => without(&outline, now, *corner),
            Rebuild::Thickness { wall, .. } => {
                outline.side(*wall).ok_or_else(|| no_wall(*wall))?;
                Ok(now)
            }
        }
    }

    /// The diagonals between corners that the new outline still has where they were, numbered as it numbers them.
    fn kept_diagonals(&self, new: &[Stretch], stays_a_walk: bool) -> Vec<Diagonal> {
        let corners = self.corners();
        let kept = |leg: u16| -> Option<u16> {
            let walk = self.tape_walk();
            let corner = walk.map_or(usize::from(leg), |w| w.corner_of_leg(usize::from(leg)));
            let number = new.iter().position(|s| s.was == Some(corner))?;
            let stays = corners.get(corner) == new.get(number).map(|s| &s.at);
            let number = if stays_a_walk {
                leg
            } else {
                u16::try_from(number).ok()?
            };
            stays.then_some(number)
        };
        let n = new.len();
        self.diagonals
            .iter()
            .filter_map(|d| {
                let (from, to) = (kept(d.from)?, kept(d.to)?);
                let (a, b) = (usize::from(from), usize::from(to));
                let apart = a != b && (a + 1) % n != b && (b + 1) % n != a;
                apart.then_some(Diagonal {
                    from,
                    to,
                    length: d.length,
                })
            })
            .collect()
    }

    /// The room with the new outline.
    fn with_stretches(&self, change: &Rebuild, new: &[Stretch]) -> Self {
        let walk = self.stays_a_walk(change);
        let thick = |s: &Stretch| s.of.first().map(|(k, _)| self.wall_thickness(*k));
        let mut other_walls: Vec<(u16, Length)> = (0_u16..)
            .zip(new)
            .filter_map(|(k, s)| Some((k, thick(s).filter(|t| *t != self.wall)?)))
            .collect();
        if let Rebuild::Thickness { wall, thickness } = change {
            other_walls.retain(|(k, _)| usize::from(*k) != *wall);
            if *thickness != self.wall
                && let Ok(k) = u16::try_from(*wall)
            {
                other_walls.push((k, *thickness));
                other_walls.sort_unstable();
            }
        }
        let datum = new
            .iter()
            .position(|s| s.was == Some(usize::from(self.datum)))
            .and_then(|k| u16::try_from(k).ok())
            .unwrap_or(0);
        if matches!(change, Rebuild::Thickness { .. }) {
            return Self {
                other_walls,
                ..self.clone()
            };
        }
        let diagonals = self.kept_diagonals(new, walk.is_some());
        let corners: Vec<(Length, Length)> = new.iter().map(|s| s.at).collect();
        let (x, y) = corners.first().copied().unwrap_or_default();
        let (outline, lies) = match walk {
            Some(walk) => (Outline::TapeWalk(walk), Lies { x, y, ..self.lies }),
            None => (Outline::Corners(corners), Lies::default()),
        };
        Self {
            outline,
            other_walls,
            datum,
            diagonals,
            lies,
            ..self.clone()
        }
    }
}

/// The shortest piece that a wall may be cut into, in millimetres.
const LEAST_MM: f64 = 1.0;

fn no_wall(wall: usize) -> String {
    format!("there is no wall {}", wall + 1)
}

fn rounded(p: Point) -> (Length, Length) {
    (Length::from_mm(p.x), Length::from_mm(p.y))
}

fn polygon_of(stretches: &[Stretch]) -> Option<Polygon> {
    let point = |s: &Stretch| Point::new(s.at.0.mm(), s.at.1.mm());
    Polygon::new(stretches.iter().map(point).collect())
}

fn direction((a, b): (Point, Point)) -> Point {
    (b - a).normalize_or_zero()
}

/// A new outline whose walls take over those that ran the same way.
fn drawn(old: &Polygon, corners: &[(Length, Length)]) -> Vec<Stretch> {
    let points = corners.iter().map(|(x, y)| Point::new(x.mm(), y.mm()));
    let new = Polygon::new(points.collect());
    let alike = |k: usize| -> Vec<(usize, Length)> {
        let Some(side) = new.as_ref().and_then(|p| p.side(k)) else {
            return Vec::new();
        };
        let along = direction(side);
        // Its own number first, so that its thickness is that wall's where both ran alike.
        let mut walls: Vec<usize> = (0..old.points().len())
            .filter(|j| {
                old.side(*j)
                    .is_some_and(|s| direction(s).dot(along) > 1.0 - 1e-6)
            })
            .collect();
        walls.sort_by_key(|j| (*j != k, *j));
        walls.into_iter().map(|j| (j, Length::ZERO)).collect()
    };
    corners
        .iter()
        .enumerate()
        .map(|(k, at)| Stretch {
            at: *at,
            was: (k < old.points().len()).then_some(k),
            of: alike(k),
        })
        .collect()
}

/// The outline with wall `k` moved out. Where a neighbour goes straight on, a short wall joins the two.
fn shifted(
    outline: &Polygon,
    now: Vec<Stretch>,
    k: usize,
    out: Length,
) -> Result<Vec<Stretch>, String> {
    let n = now.len();
    let side = outline.side(k).ok_or_else(|| no_wall(k))?;
    let along = direction(side);
    let outward = -along.perp();
    let by = outward * out.mm();
    let before = outline.side((k + n - 1) % n).map(direction);
    let after = outline.side((k + 1) % n).map(direction);
    // Where an end goes along its neighbour; `None` where that goes straight on.
    let slid = |end: Point, neighbour: Option<Point>| {
        let neighbour = neighbour?;
        let steep = neighbour.dot(outward);
        (steep.abs() > STRAIGHT_ON).then(|| end + neighbour * (out.mm() / steep))
    };
    let (start, end) = (slid(side.0, before), slid(side.1, after));
    if out == Length::ZERO {
        return Ok(now);
    }
    let mut new = Vec::with_capacity(n + 2);
    for (j, stretch) in now.into_iter().enumerate() {
        if j == k {
            let moved = rounded(start.unwrap_or(side.0 + by));
            if start.is_none() {
                new.push(Stretch {
                    of: Vec::new(),
                    ..stretch.clone()
                });
            }
            new.push(Stretch {
                at: moved,
                was: stretch.was.filter(|_| start.is_some()),
                of: stretch.of,
            });
            if end.is_none() {
                new.push(Stretch {
                    at: rounded(side.1 + by),
                    was: None,
                    of: Vec::new(),
                });
            }
        } else if j == (k + 1) % n
            && let Some(end) = end
        {
            new.push(Stretch {
                at: rounded(end),
                ..stretch
            });
        } else {
            new.push(stretch);
        }
    }
    Ok(new)
}

/// The outline with a corner cut off `back` from it. The wall that began there keeps its number where it can: of the first
/// corner the new wall comes last.
fn bevelled(
    outline: &Polygon,
    mut now: Vec<Stretch>,
    corner: usize,
    back: Length,
) -> Result<Vec<Stretch>, String> {
    let n = now.len();
    let none = || format!("there is no corner {}", corner + 1);
    let (p, next) = outline.side(corner).ok_or_else(none)?;
    let (last, _) = outline.side((corner + n - 1) % n).ok_or_else(none)?;
    if back.mm() < LEAST_MM
        || back.mm() > p.distance(next) - LEAST_MM
        || back.mm() > p.distance(last) - LEAST_MM
    {
        return Err(format!(
            "corner {} can be bevelled only by less than the walls on both its sides are long",
            corner + 1
        ));
    }
    let on_last = rounded(p + direction((p, last)) * back.mm());
    let on_next = rounded(p + direction((p, next)) * back.mm());
    let of_next = Stretch {
        at: on_next,
        was: None,
        of: vec![(corner, back)],
    };
    let cut = Stretch {
        at: on_last,
        was: None,
        of: Vec::new(),
    };
    if let Some(old) = now.get_mut(corner) {
        *old = of_next;
    }
    now.insert(if corner == 0 { n } else { corner }, cut);
    // The datum stays at the corner that the first wall begins at.
    if let Some(first) = now.get_mut(if corner == 0 { 0 } else { corner + 1 }) {
        first.was = Some(corner);
    }
    Ok(now)
}

/// The outline without a corner. What hangs on the two walls stays where it is where they ran straight on.
fn without(
    outline: &Polygon,
    mut now: Vec<Stretch>,
    corner: usize,
) -> Result<Vec<Stretch>, String> {
    let n = now.len();
    if n <= 3 {
        return Err("a room keeps at least three corners".to_owned());
    }
    let before = (corner + n - 1) % n;
    let none = || format!("there is no corner {}", corner + 1);
    let (first, second) = (
        outline.side(before).ok_or_else(none)?,
        outline.side(corner).ok_or_else(none)?,
    );
    let long = first.0.distance(first.1);
    let whole = direction((first.0, second.1));
    let straight = (first.1 - first.0).perp_dot(whole).abs() <= TOLERANCE_MM
        && direction(first).dot(direction(second)) > 0.0;
    if let Some(wall) = now.get_mut(before) {
        wall.of = if straight {
            vec![(before, Length::ZERO), (corner, -Length::from_mm(long))]
        } else {
            Vec::new()
        };
    }
    now.remove(corner);
    Ok(now)
}

impl Plan {
    /// The change of the walls as one edit. What hangs on a wall keeps its measure from the corner that the wall begins at,
    /// or stays where it is where its wall was cut, and a dimension that is fastened to a wall which is gone goes with it; refused in a sentence where something would hang nowhere, or the walls
    /// would not go round once.
    pub fn rebuilt(&self, stock: &Stock, change: &Rebuild) -> Result<Edit, String> {
        let room = self.room();
        let new = room.stretches(change)?;
        let shape = polygon_of(&new).ok_or("a room has at least three corners")?;
        if let Some(old) = room.polygon() {
            goes_round(&old, &shape, &new, change)?;
        }
        let stock = stock.with(self.kinds());
        let mut records = Vec::new();
        let mut gone = Vec::new();
        for (id, item) in self.items().iter() {
            let Some(at) = item.wall_place() else {
                match refastened(room, &shape, &new, (item, change)) {
                    Some(there) if there == *item => {}
                    Some(there) => records.push((id, Record::Item(Box::new(there)))),
                    None => gone.push(id),
                }
                continue;
            };
            let width = item.wall_width(&stock);
            let place = rehung(room, &shape, &new, (at, width), is_cut(change))
                .ok_or_else(|| hangs_nowhere(id, item, room, at, &new))?;
            if place != at {
                let item = item.with_wall_place(place);
                records.push((id, Record::Item(Box::new(item))));
            }
        }
        let mut parts = Vec::new();
        if !gone.is_empty() {
            parts.push(Edit::Remove(gone));
        }
        parts.push(Edit::SetRoom(Box::new(room.with_stretches(change, &new))));
        let was: Vec<Option<usize>> = new
            .iter()
            .map(|s| s.of.first().map(|(wall, _)| *wall))
            .collect();
        let heat = self.heat().for_walls(&was);
        if heat != *self.heat() {
            parts.push(Edit::SetHeat(Box::new(heat)));
        }
        if !records.is_empty() {
            parts.push(Edit::Put(records));
        }
        Ok(Edit::Several(change.label(room), parts))
    }
}

/// Refuses walls that cross, turn about or are gone.
fn goes_round(
    old: &Polygon,
    shape: &Polygon,
    new: &[Stretch],
    change: &Rebuild,
) -> Result<(), String> {
    let turned_about = matches!(change, Rebuild::Shift { .. })
        && new.iter().enumerate().any(|(k, stretch)| {
            let was = stretch.of.first().and_then(|(j, _)| old.side(*j));
            let now = shape.side(k);
            was.zip(now)
                .is_some_and(|(a, b)| direction(a).dot(direction(b)) <= 0.0)
        });
    if turned_about || shape.area() <= 0.0 {
        return Err("a wall would be gone; move it less far".to_owned());
    }
    match shape.crossing() {
        Some((i, j)) => Err(format!(
            "walls {} and {} would cross or touch",
            i + 1,
            j + 1
        )),
        None => Ok(()),
    }
}

/// True for a change that may cut walls or take them away, and leaves what hangs on them where it is.
fn is_cut(change: &Rebuild) -> bool {
    !matches!(change, Rebuild::Shift { .. })
}

/// An item with its ends on the walls as they are then; `None` for a dimension whose wall is gone.
fn refastened(
    room: &Room,
    shape: &Polygon,
    new: &[Stretch],
    (item, change): (&Item, &Rebuild),
) -> Option<Item> {
    let now = |end: End| match end {
        End::Wall(at) => {
            rehung(room, shape, new, (at, Length::ZERO), is_cut(change)).map(End::Wall)
        }
        End::SquareToWall(wall) => {
            let came_from = |s: &Stretch| s.of.iter().any(|(j, _)| *j == usize::from(wall));
            let k = new.iter().position(came_from)?;
            Some(End::SquareToWall(u16::try_from(k).ok()?))
        }
        End::Point(..) | End::Of(..) | End::SquareTo(..) => Some(end),
    };
    if item.ends().into_iter().all(|end| now(end).is_some()) {
        return Some(item.with_ends(|end| now(end).unwrap_or(end)));
    }
    let Item::Note(note) = item else {
        return None;
    };
    Some(Item::Note(Note {
        pointer: None,
        ..note.clone()
    }))
}

/// Where a thing on a wall hangs in the new outline: of the places that its wall came to, the nearest that holds all of it.
fn rehung(
    room: &Room,
    shape: &Polygon,
    new: &[Stretch],
    (at, width): (WallPlace, Length),
    cut: bool,
) -> Option<WallPlace> {
    let wall = usize::from(at.wall);
    let old = room.polygon()?.side(wall)?;
    let half = width.mm() * 0.5;
    let before = old.0 + direction(old) * (at.along.mm() + half);
    let mut best: Option<(f64, WallPlace)> = None;
    for (k, stretch) in new.iter().enumerate() {
        let (Some(side), Ok(number)) = (shape.side(k), u16::try_from(k)) else {
            continue;
        };
        for (_, begins) in stretch.of.iter().filter(|(j, _)| *j == wall) {
            let long = |(a, b): (Point, Point)| Length::from_mm(a.distance(b));
            let kept = if cut {
                at
            } else {
                at.on_changed_wall(long(old), long(side))
            };
            let along = kept.along - *begins;
            let end = along.mm() + width.mm();
            let fits = along >= Length::ZERO && end <= side.0.distance(side.1) + TOLERANCE_MM;
            let off = before.distance(side.0 + direction(side) * (along.mm() + half));
            if fits && best.is_none_or(|(held, _)| off < held - TOLERANCE_MM) {
                let place = WallPlace {
                    wall: number,
                    along,
                    ..at
                };
                best = Some((off, place));
            }
        }
    }
    best.map(|(_, place)| place)
}

fn hangs_nowhere(id: Id, item: &Item, room: &Room, at: WallPlace, new: &[Stretch]) -> String {
    let wall = usize::from(at.wall);
    let (what, name) = (item.kind().word(), room.wall_name(wall));
    let gone = new.iter().all(|s| s.of.iter().all(|(j, _)| *j != wall));
    if gone {
        format!(
            "{what} {id} hangs on the {name}, which would be gone; move {id} to another wall first"
        )
    } else {
        format!(
            "{what} {id} would not lie within one piece of the {name} any more; move {id} along it first"
        )
    }
}

/// The corners of a rectangle from its lower left corner.
pub fn rectangle_at(
    (x, y): (Length, Length),
    width: Length,
    length: Length,
) -> Vec<(Length, Length)> {
    vec![
        (x, y),
        (x + width, y),
        (x + width, y + length),
        (x, y + length),
    ]
}

/// A quarter of a room.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Quarter {
    /// Lower left.
    LowerLeft,
    /// Lower right.
    LowerRight,
    /// Upper right.
    #[default]
    UpperRight,
    /// Upper left.
    UpperLeft,
}

impl Quarter {
    /// All of them, anticlockwise.
    pub const ALL: [Self; 4] = [
        Self::LowerLeft,
        Self::LowerRight,
        Self::UpperRight,
        Self::UpperLeft,
    ];

    /// As it is called.
    pub fn word(self) -> &'static str {
        match self {
            Self::LowerLeft => "lower left",
            Self::LowerRight => "lower right",
            Self::UpperRight => "upper right",
            Self::UpperLeft => "upper left",
        }
    }
}

/// The corners of an L: the rectangle without a notch of that width and length in one quarter. `None` where the notch is not
/// smaller than the rectangle both ways.
pub fn l_shape_at(
    from: (Length, Length),
    (width, length): (Length, Length),
    (notch_width, notch_length): (Length, Length),
    quarter: Quarter,
) -> Option<Vec<(Length, Length)>> {
    let inside = |notch: Length, side: Length| notch > Length::ZERO && notch < side;
    if !inside(notch_width, width) || !inside(notch_length, length) {
        return None;
    }
    let ((x, y), (w, l)) = (from, (notch_width, notch_length));
    let (right, top) = (x + width, y + length);
    Some(match quarter {
        Quarter::LowerLeft => vec![
            (x, y + l),
            (x + w, y + l),
            (x + w, y),
            (right, y),
            (right, top),
            (x, top),
        ],
        Quarter::LowerRight => vec![
            (x, y),
            (right - w, y),
            (right - w, y + l),
            (right, y + l),
            (right, top),
            (x, top),
        ],
        Quarter::UpperRight => vec![
            (x, y),
            (right, y),
            (right, top - l),
            (right - w, top - l),
            (right - w, top),
            (x, top),
        ],
        Quarter::UpperLeft => vec![
            (x, y),
            (right, y),
            (right, top),
            (x + w, top),
            (x + w, top - l),
            (x, top - l),
        ],
    })
}
