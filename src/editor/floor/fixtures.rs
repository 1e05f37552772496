//! How small fixed things look on the floor: what is fixed to a wall, and, dashed because it hangs above, what is under the ceiling.
//! Decides nothing.

use egui::{Shape, Stroke, pos2, vec2};

use super::paint::Brush;
use crate::editor::theme::line;
use crate::geometry::Point;
use crate::layout::Part;
use crate::plan::{FittingUse, ItemKind, OverheadUse};

/// Half the side of a symbol, in points.
const HALF: f32 = 4.0;

pub(super) fn paint(brush: &Brush<'_>, part: &Part) {
    let edge = Stroke::new(line::EDGE, brush.colours.body_edge);
    match part.kind {
        ItemKind::Fitting(FittingUse::DataPoint) => data_point(brush, part, edge),
        ItemKind::Fitting(FittingUse::Extinguisher) => extinguisher(brush, part, edge),
        ItemKind::Fitting(FittingUse::Radiator) => {
            if let Some(solid) = &part.solid {
                brush.fill(&solid.shape, brush.colours.card, edge);
                brush.hatch(
                    &solid.shape,
                    Stroke::new(line::HAIR, brush.colours.body_edge),
                    4.0,
                );
            }
        }
        ItemKind::Overhead(OverheadUse::Beam) => above(brush, part, false),
        ItemKind::Overhead(OverheadUse::Pipe) => above(brush, part, true),
        ItemKind::Overhead(OverheadUse::Sprinkler) => {
            ring(brush, part, edge);
            brush
                .painter
                .circle_filled(brush.at(part.spot), 1.5, edge.color);
        }
        ItemKind::Overhead(OverheadUse::Detector) => {
            ring(brush, part, edge);
            let at = brush.at(part.spot);
            for by in [vec2(HALF, 0.0), vec2(0.0, HALF)] {
                brush.painter.line_segment([at - by, at + by], edge);
            }
        }
        ItemKind::Door
        | ItemKind::Window
        | ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Outlet
        | ItemKind::Cooling
        | ItemKind::Zone
        | ItemKind::Dimension
        | ItemKind::Note
        | ItemKind::Rack
        | ItemKind::Ups => {}
    }
}

/// A triangle that stands on the wall.
fn data_point(brush: &Brush<'_>, part: &Part, edge: Stroke) {
    let inward = brush.wall_of(part).map_or(Point::Y, |w| w.inward);
    let tip = brush.at(part.spot + inward * brush.camera.mm(9.0));
    let side = inward.perp() * brush.camera.mm(HALF);
    let corners = vec![brush.at(part.spot - side), brush.at(part.spot + side), tip];
    brush
        .painter
        .add(Shape::convex_polygon(corners, brush.colours.card, edge));
}

/// A square with both diagonals, never smaller than can be seen.
fn extinguisher(brush: &Brush<'_>, part: &Part, edge: Stroke) {
    let rect = egui::Rect::from_center_size(brush.at(part.spot), vec2(2.0 * HALF, 2.0 * HALF));
    brush.painter.rect(
        rect,
        0.0,
        brush.colours.card,
        edge,
        egui::StrokeKind::Middle,
    );
    for (a, b) in [
        (rect.left_top(), rect.right_bottom()),
        (rect.left_bottom(), rect.right_top()),
    ] {
        brush.painter.line_segment([a, b], edge);
    }
}

/// A thing that hangs across the room: dashed, hatched where it is a pipe.
fn above(brush: &Brush<'_>, part: &Part, hatched: bool) {
    let Some(solid) = &part.solid else { return };
    if hatched {
        brush.hatch(
            &solid.shape,
            Stroke::new(line::HAIR, brush.colours.wall_hatch),
            9.0,
        );
    }
    let stroke = Stroke::new(line::EDGE, brush.colours.body_edge);
    brush.outline(&solid.shape, stroke, 6.0);
    let low = brush.at(solid.shape.bounds().low);
    brush.painter.text(
        pos2(low.x + 4.0, low.y - 2.0),
        egui::Align2::LEFT_BOTTOM,
        format!("{} {}", part.id, part.kind.word()),
        crate::editor::theme::plain(crate::editor::theme::text::TINY),
        brush.colours.ink_weak,
    );
}

fn ring(brush: &Brush<'_>, part: &Part, edge: Stroke) {
    brush
        .painter
        .circle(brush.at(part.spot), HALF, brush.colours.card, edge);
}
