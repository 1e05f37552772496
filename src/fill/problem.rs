//! The packing problem: rectangles to be placed in a right-angled frame, round what stays. Whole units of 1/320 mm, so
//! that every comparison is exact. Knows no plan, no stock and no wall: `room` makes it from a layout.

use crate::geometry::{Convex, Point, Polygon};
use crate::units::Length;

/// A rectangle with sides along the frame's axes, in units of 1/320 mm; the low edges are below the high ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rect {
    /// Low edge across.
    pub x0: i64,
    /// Low edge along.
    pub y0: i64,
    /// High edge across.
    pub x1: i64,
    /// High edge along.
    pub y1: i64,
}

impl Rect {
    /// The rectangle of that size with its low corner at `(x, y)`.
    pub const fn sized(x: i64, y: i64, width: i64, depth: i64) -> Self {
        Self {
            x0: x,
            y0: y,
            x1: x + width,
            y1: y + depth,
        }
    }

    /// True where the insides of the two meet; touching does not count.
    pub const fn meets(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// True where the other lies in this one; edges may touch.
    pub const fn holds(&self, other: &Self) -> bool {
        self.x0 <= other.x0 && other.x1 <= self.x1 && self.y0 <= other.y0 && other.y1 <= self.y1
    }

    /// The rectangle as a shape in millimetres.
    pub fn convex(&self) -> Convex {
        let mm =
            |x: i64, y: i64| Point::new(Length::from_units(x).mm(), Length::from_units(y).mm());
        let corners = [
            mm(self.x0, self.y0),
            mm(self.x1, self.y0),
            mm(self.x1, self.y1),
            mm(self.x0, self.y1),
        ];
        Convex::new(corners.to_vec()).unwrap_or_else(|| Convex::line(corners[0], corners[2]))
    }

    /// Size across.
    pub const fn width(&self) -> i64 {
        self.x1 - self.x0
    }

    /// Size along.
    pub const fn depth(&self) -> i64 {
        self.y1 - self.y0
    }
}

/// The outline of something that stays.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A rectangle along the axes: its edges give the lattice its lines.
    Rect(Rect),
    /// Anything else (a door's swing, a jet, a column at an odd angle), in millimetres of the frame: counted as the cells
    /// of the lattice that it touches.
    Convex(Convex),
}

/// Something that stays where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Its outline.
    pub shape: Shape,
    /// The kinds whose bodies may not meet it: bit `k` for kind `k` of [`Problem::kinds`]. A low rack may stand under a window.
    pub bodies: u32,
    /// True where it stands in a person's way: service strips and the walker may not meet it.
    pub walk: bool,
    /// True where the back of a rack that may not meet it needs the gap for plugs as well.
    pub gap: bool,
}

/// The sides of a body that a person works at, before any turn: front down the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "a body has four sides, each with a face or without"
)]
pub struct Faces {
    /// Down the sheet (low y).
    pub front: bool,
    /// Up the sheet (high y); without it the back needs the gap for plugs.
    pub back: bool,
    /// Low x.
    pub left: bool,
    /// High x.
    pub right: bool,
}

/// A kind of body that may be placed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackKind {
    /// Width at turn 0.
    pub width: i64,
    /// Depth at turn 0.
    pub depth: i64,
    /// Printers it holds.
    pub printers: u32,
    /// Sides that need a service strip.
    pub faces: Faces,
    /// True where the back needs the gap for plugs to what is fixed.
    pub plugs: bool,
    /// Placed exactly so often (the bench, the spool store); any number of times where `None`.
    pub exactly: Option<u8>,
}

/// Where the walker may come in: a range of places for its low corner, all of them free to move along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// Low corners of the walker's square: a rectangle that may be a line or a point.
    pub corners: Rect,
}

/// The whole problem.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The frame is `0..width` across.
    pub width: i64,
    /// The frame is `0..depth` along.
    pub depth: i64,
    /// Depth of service strips and side of the walker.
    pub aisle: i64,
    /// Gap behind a back to what is fixed, the frame's edges included.
    pub gap: i64,
    /// The kinds to choose from, at most 32.
    pub kinds: Vec<PackKind>,
    /// The floor's outline in millimetres of the frame, where it is not all right angles; what lies outside is fixed. A
    /// right-angled floor is the whole frame, and what its corners cut off stands among the blocks.
    pub floor: Option<Polygon>,
    /// What stays: columns, other rooms' corners, racks that are pinned, zones, swings.
    pub blocks: Vec<Block>,
    /// Where the walker comes in. Empty with `way_out`: nothing can be reached.
    pub starts: Vec<Start>,
    /// Strips of what stays, which must stay reachable as they are now.
    pub reach: Vec<Rect>,
    /// True where every strip must be reachable.
    pub way_out: bool,
}

/// A quarter turn anticlockwise about the body's centre, so many times (0 to 3).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Turn(pub u8);

/// One body where it was put.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Put {
    /// Number of its kind.
    pub kind: usize,
    /// Its turn.
    pub turn: Turn,
    /// Low edge across of the turned body.
    pub x: i64,
    /// Low edge along of the turned body.
    pub y: i64,
}

impl PackKind {
    /// Size (across, along) after a turn.
    pub fn turned(&self, turn: Turn) -> (i64, i64) {
        if turn.0.is_multiple_of(2) {
            (self.width, self.depth)
        } else {
            (self.depth, self.width)
        }
    }

    /// True where half a turn changes nothing.
    pub fn is_symmetric(&self) -> bool {
        let f = self.faces;
        f.front == f.back && f.left == f.right && (!self.plugs || f.back)
    }

    /// The sides that need a strip after a turn.
    pub fn faces(&self, turn: Turn) -> Faces {
        turned_sides(self.faces, turn)
    }

    /// The side that needs the gap for plugs after a turn, if any: as [`Faces`] with that one side set.
    pub fn plug_side(&self, turn: Turn) -> Faces {
        let back = Faces {
            back: self.plugs && !self.faces.back,
            ..Faces::default()
        };
        turned_sides(back, turn)
    }
}

/// Sides after so many quarter turns anticlockwise: the front (down) comes to look right, the right up, and so on.
fn turned_sides(sides: Faces, turn: Turn) -> Faces {
    (0..turn.0 % 4).fold(sides, |s, _| Faces {
        right: s.front,
        back: s.right,
        left: s.back,
        front: s.left,
    })
}

impl Put {
    /// Its body.
    pub fn body(&self, kind: &PackKind) -> Rect {
        let (w, d) = kind.turned(self.turn);
        Rect::sized(self.x, self.y, w, d)
    }

    /// The strips before its faces.
    pub fn strips(&self, kind: &PackKind, aisle: i64) -> Vec<Rect> {
        let b = self.body(kind);
        around(b, kind.faces(self.turn), aisle)
    }

    /// The gap behind its back, if it needs one.
    pub fn gap(&self, kind: &PackKind, gap: i64) -> Option<Rect> {
        let b = self.body(kind);
        around(b, kind.plug_side(self.turn), gap).pop()
    }
}

/// The bands of that depth before the sides named.
fn around(b: Rect, sides: Faces, depth: i64) -> Vec<Rect> {
    let bands = [
        (
            sides.front,
            Rect {
                y0: b.y0 - depth,
                y1: b.y0,
                ..b
            },
        ),
        (
            sides.back,
            Rect {
                y0: b.y1,
                y1: b.y1 + depth,
                ..b
            },
        ),
        (
            sides.left,
            Rect {
                x0: b.x0 - depth,
                x1: b.x0,
                ..b
            },
        ),
        (
            sides.right,
            Rect {
                x0: b.x1,
                x1: b.x1 + depth,
                ..b
            },
        ),
    ];
    bands
        .into_iter()
        .filter_map(|(is, band)| is.then_some(band))
        .collect()
}

impl Problem {
    /// The same problem in a frame turned by so many quarter turns anticlockwise.
    pub fn turned(&self, quarters: u8) -> Self {
        (0..quarters % 4).fold(self.clone(), |p, _| p.quarter())
    }

    fn quarter(&self) -> Self {
        let depth = self.depth;
        let rect = |r: &Rect| turned_rect(r, depth);
        let height = Length::from_units(depth).mm();
        let point = |p: &Point| Point::new(height - p.y, p.x);
        let shape = |s: &Shape| match s {
            Shape::Rect(r) => Shape::Rect(rect(r)),
            Shape::Convex(c) => {
                let points: Vec<Point> = c.points().iter().map(point).collect();
                Shape::Convex(Convex::new(points).unwrap_or_else(|| c.clone()))
            }
        };
        let outline = |f: &Polygon| Polygon::new(f.points().iter().map(point).collect());
        Self {
            width: self.depth,
            depth: self.width,
            floor: self.floor.as_ref().and_then(outline),
            blocks: self
                .blocks
                .iter()
                .map(|b| Block {
                    shape: shape(&b.shape),
                    ..b.clone()
                })
                .collect(),
            starts: self
                .starts
                .iter()
                .map(|s| Start {
                    corners: turned_rect(&s.corners, depth - self.aisle),
                })
                .collect(),
            reach: self.reach.iter().map(rect).collect(),
            ..self.clone()
        }
    }

    /// A placement of the problem turned by so many quarter turns, seen in this one again.
    pub fn turned_back(&self, put: &Put, quarters: u8) -> Put {
        let turned = quarters % 4;
        let mut sizes = (self.width, self.depth);
        if turned % 2 == 1 {
            sizes = (sizes.1, sizes.0);
        }
        let mut put = *put;
        for _ in 0..(4 - turned) % 4 {
            let Some(kind) = self.kinds.get(put.kind) else {
                break;
            };
            let body = turned_rect(&put.body(kind), sizes.1);
            sizes = (sizes.1, sizes.0);
            put = Put {
                turn: Turn((put.turn.0 + 1) % 4),
                x: body.x0,
                y: body.y0,
                ..put
            };
        }
        put
    }

    /// Printers of an arrangement.
    pub fn printers(&self, puts: &[Put]) -> u32 {
        puts.iter()
            .filter_map(|p| self.kinds.get(p.kind))
            .map(|k| k.printers)
            .sum()
    }
}

/// A rectangle turned a quarter anticlockwise with a frame of that depth.
fn turned_rect(r: &Rect, depth: i64) -> Rect {
    Rect {
        x0: depth - r.y1,
        y0: r.x0,
        x1: depth - r.y0,
        y1: r.x1,
    }
}
