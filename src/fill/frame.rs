//! The frame of the packing problem: axes along the room's longest wall, whole units of 1/320 mm, the low corner of the
//! room at the origin; and the floor's outline in it. Knows geometry and nothing of what stands in the room.

use super::problem::{Rect, Shape};
use crate::geometry::{Convex, Point, Polygon};
use crate::units::{Angle, Length};

/// Units of 1/320 mm in a millimetre.
const PER_MM: f64 = Length::from_mm_whole(1).units() as f64;

/// A side that stands less than this out of the axes' directions over its whole length counts as straight; a wall at its
/// innermost, a body at its outermost line, in millimetres. Far below what a tape can measure.
pub(super) const SQUARE_WITHIN_MM: f64 = 0.1;

/// By how many units a bound may be passed so that half units (the centre of an odd size) do not cost a whole one. Less
/// than the tolerance of every check.
const SLACK_UNITS: f64 = 0.6;

/// Walls up to which an outline is looked at corner by corner; a longer one counts as a polygon.
const WALLS_MOST: usize = 200;

/// Directions and origin of the frame in the plan.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// How far the frame is turned in the plan.
    pub(super) turn: Angle,
    across: Point,
    /// The origin, measured along the frame's own directions.
    origin: Point,
}

/// The floor in its frame.
#[derive(Clone, Debug)]
pub(super) struct Floor {
    pub(super) frame: Frame,
    /// Size of the frame across and along.
    pub(super) size: (i64, i64),
    /// What a right-angled outline cuts off the frame.
    pub(super) outside: Vec<Rect>,
    /// The outline where it is not right-angled.
    pub(super) polygon: Option<Polygon>,
    /// True where a wall is a hair out of square and was taken for straight.
    pub(super) straightened: bool,
    outline: Polygon,
}

/// The inner face of a wall along one of the axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct WallLine {
    /// True where the wall runs across, false where it runs along.
    pub(super) across: bool,
    /// True where the room lies on its high side.
    pub(super) low: bool,
    /// Its place on the other axis, rounded into the room.
    pub(super) at: i64,
}

/// The greatest whole unit at or under `mm`, but for the slack.
pub(super) fn under(mm: f64) -> i64 {
    whole((mm * PER_MM + SLACK_UNITS).floor())
}

/// The least whole unit at or over `mm`, but for the slack.
pub(super) fn over(mm: f64) -> i64 {
    whole((mm * PER_MM - SLACK_UNITS).ceil())
}

fn whole(units: f64) -> i64 {
    Length::from_mm(units / PER_MM).units()
}

/// Units in millimetres.
pub(super) fn mm(units: i64) -> f64 {
    units as f64 / PER_MM
}

impl Frame {
    /// The frame along the longest wall, its origin not yet moved.
    fn along(outline: &Polygon) -> Option<Self> {
        let longest = outline
            .sides()
            .fold(None, |best: Option<Point>, (a, b)| {
                let side = b - a;
                best.filter(|known| known.length() >= side.length() - SQUARE_WITHIN_MM)
                    .or(Some(side))
            })
            .filter(|side| side.length() > 0.0)?;
        let turn = Angle::from_degrees(longest.y.atan2(longest.x).to_degrees());
        let (sin, cos) = turn.sin_cos();
        Some(Self {
            turn,
            across: Point::new(cos, sin),
            origin: Point::ZERO,
        })
    }

    /// A place of the plan in millimetres of the frame.
    pub(super) fn place(&self, p: Point) -> Point {
        self.direction(p) - self.origin
    }

    /// A direction of the plan in the frame.
    pub(super) fn direction(&self, d: Point) -> Point {
        Point::new(d.dot(self.across), d.dot(self.across.perp()))
    }

    /// A place of the frame, in millimetres, in the plan.
    pub(super) fn plan(&self, q: Point) -> Point {
        let moved = q + self.origin;
        self.across * moved.x + self.across.perp() * moved.y
    }

    /// A shape of the plan in millimetres of the frame.
    fn convex(&self, shape: &Convex) -> Option<Convex> {
        Convex::new(shape.points().iter().map(|p| self.place(*p)).collect())
    }

    /// A shape of the plan in the frame: the rectangle round it where it stands along the axes. `None` where nothing is
    /// left of it.
    pub(super) fn shape(&self, shape: &Convex) -> Option<Shape> {
        shape_of(&self.convex(shape)?)
    }
}

/// A shape of the frame, as a rectangle where it stands along the axes. `None` where nothing is left of it.
pub(super) fn shape_of(shape: &Convex) -> Option<Shape> {
    let square = shape.points().len() == 4 && shape.sides().all(|(a, b)| straight(b - a));
    if !square {
        return Some(Shape::Convex(shape.clone()));
    }
    let round = shape.bounds();
    let rect = Rect {
        x0: under(round.low.x),
        y0: under(round.low.y),
        x1: over(round.high.x),
        y1: over(round.high.y),
    };
    (rect.x0 < rect.x1 && rect.y0 < rect.y1).then_some(Shape::Rect(rect))
}

/// True for a side along one of the axes.
fn straight(side: Point) -> bool {
    side.x.abs().min(side.y.abs()) <= SQUARE_WITHIN_MM
}

impl Floor {
    /// The floor of a room with that outline, anticlockwise; `None` where it has no size.
    pub(super) fn of(room: &Polygon) -> Option<Self> {
        let mut frame = Frame::along(room)?;
        let turned = |frame: &Frame| {
            Polygon::new(
                room.points()
                    .iter()
                    .map(|p| frame.place(*p))
                    .collect::<Vec<_>>(),
            )
        };
        let first = turned(&frame)?;
        let square =
            first.points().len() <= WALLS_MOST && first.sides().all(|(a, b)| straight(b - a));
        frame.origin = if square {
            low_walls(&first)
        } else {
            first.bounds().low
        };
        let outline = turned(&frame)?;
        let high = outline.bounds().high;
        let (across, along) = lines(&outline);
        let last = |cuts: &[i64], edge: f64| cuts.last().copied().unwrap_or_else(|| under(edge));
        let size = if square {
            (last(&across, high.x), last(&along, high.y))
        } else {
            (under(high.x), under(high.y))
        };
        let straightened = outline
            .sides()
            .any(|(a, b)| straight(b - a) && (b - a).abs().min_element() > 2.0 / PER_MM);
        (size.0 > 0 && size.1 > 0).then(|| Self {
            frame,
            size,
            outside: if square {
                cut_off(&outline, &across, &along)
            } else {
                Vec::new()
            },
            polygon: (!square).then(|| outline.clone()),
            straightened,
            outline,
        })
    }

    /// The frame as a rectangle.
    pub(super) fn whole(&self) -> Rect {
        Rect::sized(0, 0, self.size.0, self.size.1)
    }

    /// Wall `k` where it runs along one of the axes.
    pub(super) fn wall_line(&self, k: usize) -> Option<WallLine> {
        let (a, b) = self.outline.side(k)?;
        straight(b - a).then(|| line_of(a, b))
    }
}

/// The innermost line of a straight wall from `a` to `b`, the room on its left.
fn line_of(a: Point, b: Point) -> WallLine {
    let side = b - a;
    let across = side.y.abs() <= side.x.abs();
    let (p, q) = if across { (a.y, b.y) } else { (a.x, b.x) };
    let low = if across { side.x > 0.0 } else { side.y < 0.0 };
    WallLine {
        across,
        low,
        at: if low { over(p.max(q)) } else { under(p.min(q)) },
    }
}

/// The corner at which the lowest walls of a right-angled outline meet.
fn low_walls(outline: &Polygon) -> Point {
    outline
        .sides()
        .fold(Point::splat(f64::INFINITY), |low, (a, b)| {
            match line_of(a, b) {
                WallLine { low: false, .. } => low,
                WallLine { across: true, .. } => Point::new(low.x, low.y.min(a.y.max(b.y))),
                WallLine { across: false, .. } => Point::new(low.x.min(a.x.max(b.x)), low.y),
            }
        })
}

/// The places of all straight walls across (x) and along (y), rising.
fn lines(outline: &Polygon) -> (Vec<i64>, Vec<i64>) {
    let (mut xs, mut ys) = (Vec::new(), Vec::new());
    for (a, b) in outline.sides().filter(|(a, b)| straight(*b - *a)) {
        let line = line_of(a, b);
        if line.across { &mut ys } else { &mut xs }.push(line.at);
    }
    for cuts in [&mut xs, &mut ys] {
        cuts.sort_unstable();
        cuts.dedup();
    }
    (xs, ys)
}

/// The rectangles of the frame that do not belong to the floor.
fn cut_off(outline: &Polygon, xs: &[i64], ys: &[i64]) -> Vec<Rect> {
    let mut rects: Vec<Rect> = Vec::new();
    for (y0, y1) in pairs(ys) {
        let mut row: Vec<Rect> = Vec::new();
        for (x0, x1) in pairs(xs) {
            let cell = Rect { x0, y0, x1, y1 };
            if lies_in(outline, &cell) {
                continue;
            }
            match row.last_mut() {
                Some(last) if last.x1 == x0 => last.x1 = x1,
                _ => row.push(cell),
            }
        }
        for run in row {
            let below = rects
                .iter_mut()
                .find(|r| r.y1 == run.y0 && r.x0 == run.x0 && r.x1 == run.x1);
            match below {
                Some(below) => below.y1 = run.y1,
                None => rects.push(run),
            }
        }
    }
    rects
}

fn pairs(cuts: &[i64]) -> impl Iterator<Item = (i64, i64)> {
    cuts.iter().copied().zip(cuts.iter().copied().skip(1))
}

/// True where a cell between neighbouring wall lines is floor.
fn lies_in(outline: &Polygon, cell: &Rect) -> bool {
    let shape = cell.convex();
    outline.contains(shape.middle())
        && !outline
            .sides()
            .any(|(a, b)| Convex::line(a, b).overlaps(&shape))
}
