//! Small things: what is fixed to a wall, what hangs from the ceiling, and furniture. Things above the floor are drawn dashed, as
//! hidden lines are (ISO 128-2). Measures nothing.

use super::Subject;
use super::canvas::{Canvas, hatch};
use super::floor::{SPACE, THIN, access_faces};
use super::view::View;
use crate::geometry::Point;
use crate::layout::Part;
use crate::plan::{FittingUse, FurnitureUse, Item, ItemKind, OverheadUse};
use crate::sheet::{Fill, Mark, Pen};

/// Half the side of a symbol on the paper, in millimetres.
const HALF_MM: f64 = 1.4;

/// The fixed things that this file draws, those under the ceiling last.
pub(super) const KINDS: [ItemKind; 13] = [
    ItemKind::Furniture(FurnitureUse::Bench),
    ItemKind::Furniture(FurnitureUse::Bin),
    ItemKind::Furniture(FurnitureUse::Cart),
    ItemKind::Furniture(FurnitureUse::SpoolStore),
    ItemKind::Fitting(FittingUse::DataPoint),
    ItemKind::Fitting(FittingUse::Extinguisher),
    ItemKind::Fitting(FittingUse::Radiator),
    ItemKind::Overhead(OverheadUse::Beam),
    ItemKind::Overhead(OverheadUse::Pipe),
    ItemKind::Overhead(OverheadUse::Sprinkler),
    ItemKind::Overhead(OverheadUse::Detector),
    ItemKind::Light,
    ItemKind::Camera,
];

/// Draws one of them.
pub(super) fn draw(
    subject: &Subject<'_>,
    view: &View,
    part: &Part,
    (inward, pen): (Point, Pen),
    canvas: &mut Canvas,
) {
    let at = view.paper(part.spot);
    let area = part
        .solid
        .as_ref()
        .map(|s| view.papers(s.shape.points()))
        .unwrap_or_default();
    match part.kind {
        ItemKind::Fitting(FittingUse::DataPoint) => {
            data_point(at, View::direction(inward), pen, canvas);
        }
        ItemKind::Fitting(FittingUse::Extinguisher) => {
            canvas.push(Mark::area(area, Some(pen), Fill::White));
            extinguisher(at, canvas);
        }
        ItemKind::Fitting(FittingUse::Radiator) => {
            canvas.push(hatch(&area, 1.0, false, THIN));
            canvas.push(Mark::area(area, Some(pen), Fill::None));
        }
        ItemKind::Overhead(OverheadUse::Beam) => {
            canvas.push(Mark::area(area, Some(SPACE), Fill::None));
        }
        ItemKind::Overhead(OverheadUse::Pipe) => {
            canvas.push(hatch(&area, 2.4, true, THIN));
            canvas.push(Mark::area(area, Some(SPACE), Fill::None));
        }
        ItemKind::Overhead(OverheadUse::Sprinkler) => sprinkler(at, canvas),
        ItemKind::Overhead(OverheadUse::Detector) => detector(at, canvas),
        ItemKind::Light => {
            canvas.push(Mark::area(area, Some(SPACE), Fill::White));
            light(at, canvas);
        }
        ItemKind::Camera => camera(at, View::direction(looks(subject, part)), canvas),
        ItemKind::Furniture(purpose) => {
            canvas.push(Mark::area(area, Some(pen), Fill::White));
            match purpose {
                FurnitureUse::Bench => bench(at, canvas),
                FurnitureUse::Bin => bin(at, canvas),
                FurnitureUse::Cart => cart(at, canvas),
                FurnitureUse::SpoolStore => spool_store(at, canvas),
            }
            access_faces(view, part, canvas);
        }
        ItemKind::Door
        | ItemKind::Window
        | ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Outlet
        | ItemKind::Cooling
        | ItemKind::Zone
        | ItemKind::Rack
        | ItemKind::Ups
        | ItemKind::Dimension
        | ItemKind::Note => {}
    }
}

/// A triangle that stands on the wall.
pub(super) fn data_point(at: Point, inward: Point, pen: Pen, canvas: &mut Canvas) {
    let side = inward.perp() * HALF_MM;
    let corners = vec![at - side, at + side, at + inward * (2.0 * HALF_MM)];
    canvas.push(Mark::area(corners, Some(pen), Fill::White));
}

/// A square with both diagonals.
pub(super) fn extinguisher(at: Point, canvas: &mut Canvas) {
    let p = |x: f64, y: f64| at + Point::new(x, y) * HALF_MM;
    let corners = vec![p(-1.0, -1.0), p(1.0, -1.0), p(1.0, 1.0), p(-1.0, 1.0)];
    canvas.push(Mark::area(corners, Some(THIN), Fill::White));
    canvas.push(Mark::Strokes {
        lines: vec![(p(-1.0, -1.0), p(1.0, 1.0)), (p(-1.0, 1.0), p(1.0, -1.0))],
        pen: THIN,
    });
}

/// A circle with a spot.
pub(super) fn sprinkler(at: Point, canvas: &mut Canvas) {
    canvas.push(circle(at, HALF_MM, Fill::White));
    canvas.push(circle(at, 0.5, Fill::Black));
}

/// A circle with an upright cross.
pub(super) fn detector(at: Point, canvas: &mut Canvas) {
    canvas.push(circle(at, HALF_MM, Fill::White));
    let (x, y) = (Point::new(HALF_MM, 0.0), Point::new(0.0, HALF_MM));
    canvas.push(Mark::Strokes {
        lines: vec![(at - x, at + x), (at - y, at + y)],
        pen: THIN,
    });
}

/// A circle with a slanting cross.
pub(super) fn light(at: Point, canvas: &mut Canvas) {
    let p = |x: f64, y: f64| at + Point::new(x, y) * (HALF_MM * std::f64::consts::FRAC_1_SQRT_2);
    canvas.push(circle(at, HALF_MM, Fill::White));
    canvas.push(Mark::Strokes {
        lines: vec![(p(-1.0, -1.0), p(1.0, 1.0)), (p(-1.0, 1.0), p(1.0, -1.0))],
        pen: THIN,
    });
}

/// The way a camera looks on the floor.
fn looks(subject: &Subject<'_>, part: &Part) -> Point {
    let item = subject.layout.plan().items().get(part.id);
    let turn = item.and_then(Item::pose).map(|pose| pose.turn);
    let (sin, cos) = turn.unwrap_or_default().sin_cos();
    Point::new(sin, -cos)
}

/// A triangle that opens the way it looks.
pub(super) fn camera(at: Point, looks: Point, canvas: &mut Canvas) {
    let (out, side) = (looks * (2.0 * HALF_MM), looks.perp() * HALF_MM);
    let corners = vec![at, at + out + side, at + out - side];
    canvas.push(Mark::area(corners, Some(THIN), Fill::White));
}

/// Two lines: a table seen from above.
pub(super) fn bench(at: Point, canvas: &mut Canvas) {
    let (x, y) = (Point::new(HALF_MM, 0.0), Point::new(0.0, HALF_MM * 0.4));
    canvas.push(Mark::Strokes {
        lines: vec![(at - x + y, at + x + y), (at - x - y, at + x - y)],
        pen: THIN,
    });
}

/// Three upright lines.
pub(super) fn bin(at: Point, canvas: &mut Canvas) {
    let line = |k: f64| {
        let x = at + Point::new(k * HALF_MM * 0.7, 0.0);
        let y = Point::new(0.0, HALF_MM);
        (x - y, x + y)
    };
    canvas.push(Mark::Strokes {
        lines: vec![line(-1.0), line(0.0), line(1.0)],
        pen: THIN,
    });
}

/// Two wheels.
pub(super) fn cart(at: Point, canvas: &mut Canvas) {
    let x = Point::new(HALF_MM * 0.7, 0.0);
    canvas.push(circle(at - x, HALF_MM * 0.4, Fill::Black));
    canvas.push(circle(at + x, HALF_MM * 0.4, Fill::Black));
}

/// A ring in a ring: a spool.
pub(super) fn spool_store(at: Point, canvas: &mut Canvas) {
    canvas.push(circle(at, HALF_MM, Fill::White));
    canvas.push(circle(at, HALF_MM * 0.4, Fill::White));
}

fn circle(centre: Point, radius: f64, fill: Fill) -> Mark {
    Mark::Circle {
        centre,
        radius,
        pen: Some(THIN),
        fill,
    }
}
