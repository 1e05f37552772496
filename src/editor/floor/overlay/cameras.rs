//! The overlay of cameras: the ground that each sees, rings at the fronts of printers that one sees and crosses at those that none
//! does. Decides nothing.

use std::collections::BTreeSet;

use egui::{Mesh, Shape, Stroke, vec2};

use crate::editor::floor::paint::Brush;
use crate::editor::theme::line;
use crate::layout::View;
use crate::plan::{Id, ItemKind};

/// Radius of a ring and half a cross, in points.
pub(super) const HALF: f32 = 4.0;

pub(super) fn paint(brush: &Brush<'_>) {
    let layout = brush.shown.layout;
    let cameras = layout.of_kind(ItemKind::Camera);
    let views: Vec<View> = cameras
        .filter_map(|part| layout.view_of(part)?.ok())
        .collect();
    if views.is_empty() {
        return;
    }
    for view in &views {
        ground(brush, view);
    }
    let mut drawn: BTreeSet<Id> = BTreeSet::new();
    let edge = Stroke::new(line::MEASURE, brush.colours.measure.line);
    let dark = Stroke::new(line::MEASURE, brush.colours.ink);
    for (slot, printer) in layout.printers() {
        let sees = |view: &View| layout.looks_at(view, slot.name.rack, printer).is_ok();
        let at = brush.at(printer.footprint.at(0.0, -printer.footprint.depth() * 0.25));
        if views.iter().any(sees) {
            brush.painter.circle(at, HALF, brush.colours.card, edge);
        } else if drawn.insert(printer.id) {
            for by in [vec2(HALF, HALF), vec2(HALF, -HALF)] {
                brush.painter.line_segment([at - by, at + by], dark);
            }
        }
    }
}

/// The outline of the ground, with a faint wash: triangles about the lens, as it may be of any shape. A mesh, since the soft edges
/// of a shape would make long spikes of thin ones.
fn ground(brush: &Brush<'_>, view: &View) {
    let tone = brush.colours.measure;
    let outline = brush.shown.layout.seen_ground(view);
    let points: Vec<_> = outline.iter().map(|p| brush.at(*p)).collect();
    let eye = brush.at(view.sight.from);
    let mut wash = Mesh::default();
    for (k, place) in (0_u32..).zip(std::iter::once(&eye).chain(&points)) {
        wash.colored_vertex(*place, tone.wash);
        if k > 1 {
            wash.add_triangle(0, k - 1, k);
        }
    }
    brush.painter.add(wash);
    let stroke = Stroke::new(line::EDGE, tone.line);
    let closed: Vec<_> = points.iter().chain(points.first()).copied().collect();
    brush
        .painter
        .extend(Shape::dashed_line(&closed, stroke, 7.0, 4.0));
}
