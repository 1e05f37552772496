//! The overlay of reach: racks with something too high are hatched, those with something low are dotted, and a dashed line before
//! each face shows where the operator's shoulder is. Decides nothing.

use egui::{Shape, Stroke};

use crate::checks::{Severity, Standing};
use crate::editor::floor::paint::Brush;
use crate::editor::theme::line;
use crate::layout::Part;
use crate::plan::ItemKind;

pub(super) fn paint(brush: &Brush<'_>) {
    let layout = brush.shown.layout;
    let stand_off = layout.limits().reach_stand_off.value.mm();
    let stroke = Stroke::new(line::EDGE, brush.colours.way.line);
    for part in layout.of_kind(ItemKind::Rack) {
        if part.slots().is_empty() {
            continue;
        }
        for strip in part.strips() {
            let c = strip.corridor;
            let middle = c.origin + c.forward * stand_off;
            let side = c.forward.perp() * c.half_width;
            let ends = [brush.at(middle - side), brush.at(middle + side)];
            brush
                .painter
                .extend(Shape::dashed_line(&ends, stroke, 6.0, 4.0));
        }
        marked(brush, part);
    }
}

/// How the rack is hatched, and in words what is the matter.
fn marked(brush: &Brush<'_>, part: &Part) {
    let found = brush.shown.findings.of_check("reach").iter();
    let broken =
        found.filter(|f| f.standing == Standing::Broken && f.items.first() == Some(&part.id));
    let (high, low): (Vec<_>, Vec<_>) = broken.partition(|f| f.severity < Severity::Note);
    let Some(solid) = &part.solid else { return };
    if !low.is_empty() {
        brush.dots(&solid.shape, brush.colours.ink);
    }
    if !high.is_empty() {
        let stroke = Stroke::new(line::HATCH, brush.colours.caution.line);
        brush.hatch(&solid.shape, stroke, 9.0);
    }
    let words = match (high.len(), low.len()) {
        (0, 0) => return,
        (0, _) => "low",
        (_, 0) => "high",
        (_, _) => "high and low",
    };
    brush.plate(brush.at(solid.oblong.centre()), words, brush.colours.ink);
}
