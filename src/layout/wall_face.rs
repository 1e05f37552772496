//! A wall seen from inside the room: what is fixed to it, what stands before it, what hangs before it, and what that hides. Measures along the wall and
//! above the floor, in millimetres; judges nothing.

use super::{Heights, Layout, Part, Wall};
use crate::geometry::TOLERANCE_MM;
use crate::plan::{Id, ItemKind};

/// A rectangle on a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnFace {
    /// What it is.
    pub id: Id,
    /// Its kind.
    pub kind: ItemKind,
    /// From where to where along the wall, from its first corner.
    pub along: (f64, f64),
    /// From where to where above the floor.
    pub heights: Heights,
}

impl OnFace {
    /// True where the other covers part of this; of a box without a size, the place.
    fn is_covered_by(&self, other: &Self) -> bool {
        let meets = |(a, b): (f64, f64), (c, d): (f64, f64)| {
            c.max(a - TOLERANCE_MM) < d.min(b + TOLERANCE_MM) - TOLERANCE_MM
        };
        let upright = |h: Heights| (h.low, h.high);
        meets(self.along, other.along) && meets(upright(self.heights), upright(other.heights))
    }
}

/// How a thing under the ceiling is seen from where one looks at a wall: from the middle of the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// It ends before one's eyes: seen whole.
    Whole,
    /// It goes on over one's head or behind: cut through.
    Cut,
}

/// A thing under the ceiling as it is seen before a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overhung {
    /// Where it is seen.
    pub on: OnFace,
    /// How it is seen.
    pub seen: Seen,
}

/// A wall from inside.
#[derive(Clone, Debug, PartialEq)]
pub struct WallFace {
    /// The wall.
    pub wall: Wall,
    /// What is fixed to it, by mark.
    pub fixed: Vec<OnFace>,
    /// Bodies that stand nearer to it than the aisle is deep, by mark.
    pub before: Vec<OnFace>,
    /// What hangs under the ceiling on this side of the room's middle, by mark.
    pub overhead: Vec<Overhung>,
}

impl WallFace {
    /// What is fixed to the wall and at least partly hidden, with what hides it.
    pub fn hidden(&self) -> Vec<(Id, Id)> {
        self.fixed
            .iter()
            .flat_map(|thing| {
                let bodies = self
                    .before
                    .iter()
                    .chain(self.overhead.iter().map(|o| &o.on));
                let hides = bodies.filter(|body| thing.is_covered_by(body));
                hides.map(|body| (thing.id, body.id))
            })
            .collect()
    }
}

impl Layout {
    /// The wall of that number from inside; `None` where there is none.
    pub fn wall_face(&self, number: usize) -> Option<WallFace> {
        let wall = Wall::of(self.room(), number)?;
        Some(WallFace {
            fixed: self
                .parts()
                .filter_map(|p| self.fixed_on(&wall, p))
                .collect(),
            before: self.parts().filter_map(|p| self.before(&wall, p)).collect(),
            overhead: self
                .parts()
                .filter_map(|p| self.overhead(&wall, p))
                .collect(),
            wall,
        })
    }

    fn fixed_on(&self, wall: &Wall, part: &Part) -> Option<OnFace> {
        let item = self.plan().items().get(part.id)?;
        let at = item
            .wall_place()
            .filter(|at| usize::from(at.wall) == wall.number)?;
        let near = at.along.mm();
        let low = item.wall_height().mm();
        Some(OnFace {
            id: part.id,
            kind: part.kind,
            along: (near, near + item.wall_width(self.stock()).mm()),
            heights: Heights {
                low,
                high: low + item.wall_rise(self.stock()).mm(),
            },
        })
    }

    /// A body before the wall, where a person does not pass between the two.
    fn before(&self, wall: &Wall, part: &Part) -> Option<OnFace> {
        let solid = part.solid.as_ref()?;
        let item = self.plan().items().get(part.id)?;
        if item.wall_place().is_some()
            || matches!(part.kind, ItemKind::Overhead(_) | ItemKind::Light)
        {
            return None;
        }
        let (near, far) = solid.shape.along(wall.along);
        let (back, _) = solid.shape.along(wall.inward);
        let start = wall.start.dot(wall.along);
        let along = ((near - start).max(0.0), (far - start).min(wall.length));
        let gap = back - wall.start.dot(wall.inward);
        let behind = -self.plan().room().wall_thickness(wall.number).mm();
        let stands = (behind..self.limits().aisle.value.mm()).contains(&gap);
        (stands && along.1 - along.0 > TOLERANCE_MM).then_some(OnFace {
            id: part.id,
            kind: part.kind,
            along,
            heights: solid.heights,
        })
    }

    /// A thing under the ceiling between the wall and the middle of the room, cut off there.
    fn overhead(&self, wall: &Wall, part: &Part) -> Option<Overhung> {
        let solid = part.solid.as_ref()?;
        if !matches!(part.kind, ItemKind::Overhead(_)) {
            return None;
        }
        let corners = self.room().points().iter();
        let deepest = corners
            .map(|p| (*p - wall.start).dot(wall.inward))
            .fold(0.0, f64::max);
        let depth = (deepest * 0.5).max(self.limits().aisle.value.mm());
        let eyes = wall.start + wall.inward * depth;
        let (_, far) = solid.shape.along(wall.inward);
        let goes_on = far - eyes.dot(wall.inward) > TOLERANCE_MM;
        let behind = wall.start - wall.inward * self.plan().room().wall_thickness(wall.number).mm();
        let shape = solid.shape.cut(behind, wall.inward)?;
        let shape = shape.cut(eyes, -wall.inward)?;
        let (near, far) = shape.along(wall.along);
        let start = wall.start.dot(wall.along);
        let along = ((near - start).max(0.0), (far - start).min(wall.length));
        (along.1 - along.0 > TOLERANCE_MM).then_some(Overhung {
            on: OnFace {
                id: part.id,
                kind: part.kind,
                along,
                heights: solid.heights,
            },
            seen: if goes_on { Seen::Cut } else { Seen::Whole },
        })
    }
}
