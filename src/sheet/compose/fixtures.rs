//! Small fixed things: what is fixed to a wall and what hangs from the ceiling. Things above the floor are drawn dashed, as
//! hidden lines are (ISO 128-2). Measures nothing.

use super::canvas::{Canvas, hatch};
use super::floor::{SPACE, THIN};
use super::view::View;
use crate::geometry::Point;
use crate::layout::Part;
use crate::plan::{FittingUse, ItemKind, OverheadUse};
use crate::sheet::{Fill, Mark, Pen};

/// Half the side of a symbol on the paper, in millimetres.
const HALF_MM: f64 = 1.4;

/// The fixed things that this file draws, those under the ceiling last.
pub(super) const KINDS: [ItemKind; 7] = [
    ItemKind::Fitting(FittingUse::DataPoint),
    ItemKind::Fitting(FittingUse::Extinguisher),
    ItemKind::Fitting(FittingUse::Radiator),
    ItemKind::Overhead(OverheadUse::Beam),
    ItemKind::Overhead(OverheadUse::Pipe),
    ItemKind::Overhead(OverheadUse::Sprinkler),
    ItemKind::Overhead(OverheadUse::Detector),
];

/// Draws one of them.
pub(super) fn draw(view: &View, part: &Part, inward: Point, pen: Pen, canvas: &mut Canvas) {
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

fn circle(centre: Point, radius: f64, fill: Fill) -> Mark {
    Mark::Circle {
        centre,
        radius,
        pen: Some(THIN),
        fill,
    }
}
