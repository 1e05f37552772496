//! What stands on the floor in other phases: faint outlines of what went before and of what comes later, and an arrow where a
//! thing moved. Only for the eye: nothing here is clicked or checked.

use egui::{Stroke, vec2};

use super::paint::Brush;
use crate::editor::shown::Shown;
use crate::editor::theme::line;
use crate::geometry::{Oblong, Point};
use crate::plan::{Id, Item, PhaseNo, Presence, UpsPlace};

/// Paints what is not there in the phase on show, and where what is there came from.
pub(super) fn paint(brush: &Brush<'_>) {
    let shown = brush.shown;
    let phase = shown.phase();
    for (id, item) in shown.plan.items().iter() {
        let Some(body) = body(shown, item) else {
            continue;
        };
        let presence = item.presence();
        if presence.holds_in(phase) {
            came_from(brush, presence, &body);
        } else {
            outline(brush, id, presence, &body, phase);
        }
    }
}

/// The outline of what stands on the floor by itself.
fn body(shown: &Shown<'_>, item: &Item) -> Option<Oblong> {
    let stock = shown.layout.stock();
    match item {
        Item::Rack(rack) => {
            let kind = stock.racks.get(&rack.kind)?;
            Some(rack.at.oblong(kind.width, kind.depth))
        }
        Item::Ups(ups) => {
            let UpsPlace::OnFloor(at) = ups.stands else {
                return None;
            };
            let kind = stock.ups.get(&ups.kind)?;
            Some(at.oblong(kind.width, kind.depth))
        }
        Item::Column(column) => Some(column.at.oblong(column.width, column.depth)),
        Item::Zone(zone) => Some(zone.at.oblong(zone.width, zone.depth)),
        Item::Light(light) => {
            let kind = stock.lights.get(&light.kind)?;
            Some(light.at.oblong(kind.width, kind.depth))
        }
        Item::Furniture(thing) => Some(thing.at.oblong(thing.width, thing.depth)),
        Item::Overhead(thing) => Some(thing.at.oblong(thing.width, thing.depth)),
        Item::Door(_)
        | Item::Window(_)
        | Item::Panel(_)
        | Item::Outlet(_)
        | Item::Cooling(_)
        | Item::Fitting(_)
        | Item::Camera(_)
        | Item::Dimension(_)
        | Item::Note(_) => None,
    }
}

/// Long dashes for what comes later, short ones for what went before, with the phase in words.
fn outline(brush: &Brush<'_>, id: Id, presence: &Presence, body: &Oblong, phase: PhaseNo) {
    let later = presence.arrives > phase;
    let shape = body.convex();
    let colour = brush.colours.ink_weak.gamma_multiply(0.75);
    let dash = if later { 9.0 } else { 2.5 };
    brush.outline(&shape, Stroke::new(line::EDGE, colour), dash);
    let words = match presence.leaves {
        _ if later => format!("{id}, from phase {}", presence.arrives),
        Some(gone) => format!("{id}, until phase {}", gone.0.saturating_sub(1)),
        None => return,
    };
    let room = brush.camera.points(shape.bounds().size().x);
    if room > 90.0 {
        // Off the middle, where the words of what stands there now are.
        let at = brush.at(Point::new(body.centre().x, shape.bounds().low.y)) - vec2(0.0, 9.0);
        brush.plate(at, &words, brush.colours.ink_weak);
    }
}

/// An arrow from where a thing stood before it moved.
fn came_from(brush: &Brush<'_>, presence: &Presence, body: &Oblong) {
    let shown = brush.shown;
    let before = presence
        .moved_from
        .filter(|_| presence.arrives == shown.phase())
        .and_then(|id| shown.plan.items().get(id))
        .and_then(|item| self::body(shown, item));
    let Some(before) = before else { return };
    let (from, to) = (brush.at(before.centre()), brush.at(body.centre()));
    let tone = brush.colours.measure.line;
    let along = (to - from).normalized() * 9.0;
    brush.painter.extend(egui::Shape::dashed_line(
        &[from, to],
        Stroke::new(line::MEASURE, tone),
        6.0,
        4.0,
    ));
    for side in [along.rot90(), -along.rot90()] {
        let foot = to - along + side * 0.5;
        brush
            .painter
            .line_segment([foot, to], Stroke::new(line::MEASURE, tone));
    }
}
