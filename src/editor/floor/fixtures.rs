//! How small things look on the floor: what is fixed to a wall, furniture, and, dashed because it hangs above, what is under the
//! ceiling.
//! Decides nothing.

use egui::{Shape, Stroke, pos2, vec2};

use super::paint::Brush;
use crate::editor::theme::line;
use crate::geometry::Point;
use crate::layout::Part;
use crate::plan::{FittingUse, FurnitureUse, Item, ItemKind, OverheadUse};

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
        ItemKind::Light => light(brush, part),
        ItemKind::Camera => camera(brush, part, edge),
        ItemKind::Furniture(purpose) => furniture(brush, part, purpose),
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

/// A dashed outline with a slanting cross: a light above, and a line to the one it is linked to.
fn light(brush: &Brush<'_>, part: &Part) {
    let Some(solid) = &part.solid else { return };
    let stroke = Stroke::new(line::EDGE, brush.colours.body_edge);
    brush.outline(&solid.shape, stroke, 5.0);
    let at = brush.at(part.spot);
    let hair = Stroke::new(line::HAIR, brush.colours.body_edge);
    for by in [vec2(HALF, HALF), vec2(HALF, -HALF)] {
        brush.painter.line_segment([at - by, at + by], hair);
    }
    let layout = &brush.shown.layout;
    let from = match layout.plan().items().get(part.id) {
        Some(Item::Light(light)) => light.linked_to.and_then(|id| layout.part(id)),
        _ => None,
    };
    if let Some(from) = from {
        let line = [at, brush.at(from.spot)];
        brush
            .painter
            .extend(Shape::dashed_line(&line, hair, 2.0, 3.0));
    }
}

/// A triangle that opens the way it looks.
fn camera(brush: &Brush<'_>, part: &Part, edge: Stroke) {
    let item = brush.shown.layout.plan().items().get(part.id);
    let turn = item.and_then(Item::pose).map(|pose| pose.turn);
    let (sin, cos) = turn.unwrap_or_default().sin_cos();
    let looks = Point::new(sin, -cos);
    let ahead = part.spot + looks * brush.camera.mm(2.2 * HALF);
    let side = looks.perp() * brush.camera.mm(HALF);
    let corners = vec![
        brush.at(part.spot),
        brush.at(ahead + side),
        brush.at(ahead - side),
    ];
    brush
        .painter
        .add(Shape::convex_polygon(corners, brush.colours.card, edge));
}

/// Its outline with the sides that a person works at heavy, and its mark with the word for it where there is room.
fn furniture(brush: &Brush<'_>, part: &Part, purpose: FurnitureUse) {
    let Some(solid) = &part.solid else { return };
    let edge = Stroke::new(line::BODY, brush.colours.body_edge);
    brush.fill(&solid.shape, brush.colours.card, edge);
    if purpose == FurnitureUse::SpoolStore {
        let hair = Stroke::new(line::HAIR, brush.colours.body_edge);
        brush.hatch(&solid.shape, hair, 6.0);
    }
    brush.faces(part, brush.colours.body_edge);
    let width = brush.camera.points(solid.oblong.width());
    let word = format!("{} {}", part.id, ItemKind::Furniture(purpose).word());
    // A letter of a plate is about 7 points wide.
    let whole = f32::from(u8::try_from(word.len()).unwrap_or(u8::MAX)) * 7.0;
    let words = if width > whole {
        word
    } else {
        part.id.to_string()
    };
    if width > 26.0 {
        brush.plate(brush.at(solid.oblong.centre()), &words, brush.colours.ink);
    }
}

fn ring(brush: &Brush<'_>, part: &Part, edge: Stroke) {
    brush
        .painter
        .circle(brush.at(part.spot), HALF, brush.colours.card, edge);
}
