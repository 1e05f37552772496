//! The answer of a search as ghosts on the floor: dashed outlines with their count, their working sides and faint strips,
//! each to be chosen by a click. Moves nothing.

use egui::{Color32, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, vec2};

use super::Camera;
use super::paint::Brush;
use crate::editor::action::{Action, Actions, FillAction};
use crate::editor::panels::fill::placement_name;
use crate::editor::shown::Shown;
use crate::editor::theme::line;
use crate::editor::widgets::Sign;
use crate::fill::{Placement, may_all_go};
use crate::geometry::{Convex, Oblong, Point};
use crate::layout::RackParts;
use crate::stock::Face;
use crate::units::Length;

/// Paints the part of the floor that is to be filled, and the ghosts of what was found.
pub(super) fn paint(brush: &Brush<'_>) {
    let shown = brush.shown;
    if let Some((a, b)) = shown.filling.part() {
        part(brush, a.min(b), a.max(b));
    }
    let Some(proposal) = shown.filling.proposal_in(shown.phase()) else {
        return;
    };
    for rack in may_all_go(shown.layout, proposal.ask.part) {
        if let Some(parts) = &rack.rack {
            makes_room(brush, parts);
        }
    }
    let placements = &proposal.answer.placements;
    for placement in placements {
        strips(brush, placement);
    }
    for (number, placement) in placements.iter().enumerate() {
        ghost(brush, number, placement, proposal.chosen.contains(&number));
    }
}

/// A node for every ghost, so that it can be named, found and chosen.
pub(super) fn nodes(
    ui: &Ui,
    floor: &Response,
    shown: &Shown<'_>,
    camera: &Camera,
    actions: &mut Actions,
) {
    let Some(proposal) = shown.filling.proposal_in(shown.phase()) else {
        return;
    };
    for (number, placement) in proposal.answer.placements.iter().enumerate() {
        let corners = body(placement).corners().map(|p| camera.to_screen(p));
        let rect = Rect::from_points(&corners).intersect(floor.rect);
        if !rect.is_positive() {
            continue;
        }
        let response = ui.interact(rect, floor.id.with(("ghost", number)), Sense::CLICK);
        let chosen = proposal.chosen.contains(&number);
        let name = name(shown, number, placement);
        response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, chosen, &name));
        if response.clicked() {
            floor.request_focus();
            actions.ask(Action::Fill(FillAction::Choose(number)));
        }
    }
}

fn name(shown: &Shown<'_>, number: usize, placement: &Placement) -> String {
    let practice = shown.practice();
    let origin = shown.plan.room().datum_corner();
    let low = body(placement).convex().bounds().low - origin;
    format!(
        "Ghost {}: {} at {}, {}",
        number + 1,
        placement_name(shown, placement),
        Length::from_mm(low.x).shown(practice),
        Length::from_mm(low.y).shown(practice)
    )
}

fn body(placement: &Placement) -> Oblong {
    let (width, depth) = placement.size_mm;
    placement
        .at
        .oblong(Length::from_mm(width), Length::from_mm(depth))
}

/// The sides that a person works at; a thing that is no rack has none of its own.
fn faces<'a>(shown: &'a Shown<'_>, placement: &Placement) -> &'a [Face] {
    let rack = shown
        .layout
        .stock()
        .racks
        .get(&placement.kind)
        .filter(|_| placement.must.is_none());
    rack.map_or(&[], |kind| kind.faces.as_slice())
}

/// A side of a body: its middle, the way out of it, and half its length.
fn side(body: &Oblong, face: Face) -> (Point, Point, f64) {
    let (w, d) = (body.width() * 0.5, body.depth() * 0.5);
    match face {
        Face::Front => (body.at(0.0, -d), -body.up(), w),
        Face::Back => (body.at(0.0, d), body.up(), w),
        Face::Left => (body.at(-w, 0.0), -body.across(), d),
        Face::Right => (body.at(w, 0.0), body.across(), d),
    }
}

/// A rack that would be taken away: covered with paper, its outline left.
fn makes_room(brush: &Brush<'_>, rack: &RackParts) {
    let shape = rack.body.convex();
    let cover = brush.colours.paper.gamma_multiply(0.78);
    brush.fill(
        &shape,
        cover,
        Stroke::new(line::HAIR, brush.colours.ink_weak),
    );
}

fn strips(brush: &Brush<'_>, placement: &Placement) {
    let body = body(placement);
    let deep = brush.shown.layout.limits().aisle.value.mm();
    for face in faces(brush.shown, placement) {
        let (middle, out, half) = side(&body, *face);
        let along = out.perp() * half;
        let corners = vec![
            middle - along,
            middle + along,
            middle + along + out * deep,
            middle - along + out * deep,
        ];
        if let Some(strip) = Convex::hull(&corners) {
            brush.dots(&strip, brush.colours.strip.gamma_multiply(0.6));
        }
    }
}

fn ghost(brush: &Brush<'_>, number: usize, placement: &Placement, chosen: bool) {
    let body = body(placement);
    let shape = body.convex();
    let colours = brush.colours;
    let (wash, edge, width) = if chosen {
        (colours.ghost, colours.selection.line, line::SELECTION)
    } else {
        (colours.selection.wash, colours.body_edge, line::BODY)
    };
    brush.fill(&shape, wash, Stroke::NONE);
    brush.outline(&shape, Stroke::new(width, edge), 7.0);
    for face in faces(brush.shown, placement) {
        working_side(brush, side(&body, *face), edge);
    }
    label(brush, number, placement, chosen);
}

/// A thick edge where a person works, and a short arrow out of it, so that it is told without colour.
fn working_side(brush: &Brush<'_>, (middle, out, half): (Point, Point, f64), edge: Color32) {
    let along = out.perp() * half;
    let ends = [brush.at(middle - along), brush.at(middle + along)];
    let painter = brush.painter;
    painter.line_segment(ends, Stroke::new(line::SELECTION, edge));
    let tip = brush.at(middle + out * brush.camera.mm(9.0));
    for sign in [-1.0, 1.0] {
        let foot = brush.at(middle + out.perp() * (brush.camera.mm(5.0) * sign));
        painter.line_segment([foot, tip], Stroke::new(line::MEASURE, edge));
    }
}

/// Number and printers, as long as there is room for the words, with a tick before them where it is chosen.
fn label(brush: &Brush<'_>, number: usize, placement: &Placement, chosen: bool) {
    let body = body(placement);
    let room = brush.camera.points(body.convex().bounds().size().x);
    let (n, printers) = (number + 1, placement.printers);
    let words = match &placement.must {
        Some(thing) if room > 110.0 => format!("{n}: {thing}"),
        None if room > 110.0 => format!("{n}: {printers} printers"),
        None if room > 40.0 => format!("{n}: {printers}"),
        Some(_) | None => n.to_string(),
    };
    let plate = brush.plate(brush.at(body.centre()), &words, brush.colours.ink);
    if chosen {
        let tick = Rect::from_center_size(plate.left_center() - vec2(9.0, 0.0), vec2(16.0, 16.0));
        brush.painter.rect_filled(tick, 3.0, brush.colours.card);
        Sign::Met.paint(brush.painter, tick, brush.colours.selection.text);
    }
}

/// The part of the floor that is to be filled.
fn part(brush: &Brush<'_>, low: Point, high: Point) {
    let corners = vec![
        low,
        Point::new(high.x, low.y),
        high,
        Point::new(low.x, high.y),
    ];
    let Some(shape) = Convex::hull(&corners) else {
        return;
    };
    let tone = brush.colours.measure;
    brush.outline(&shape, Stroke::new(line::WAY, tone.line), 12.0);
    let at = brush.at(Point::new((low.x + high.x) * 0.5, high.y));
    brush.plate(at, "the part to fill", tone.text);
}
