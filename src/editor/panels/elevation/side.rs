//! The rack on show from the side, its face to the left: boards, printers, and the arc of the operator's arm before it. Judges nothing.

use std::collections::BTreeSet;

use egui::{
    Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use super::touch::{self, Reached};
use super::{Drawing, posts_mm};
use crate::editor::shown::Shown;
use crate::editor::theme::line;
use crate::handbook::reach;
use crate::layout::{Part, PlacedPrinter, RackParts};
use crate::stock::{KindId, PrinterKind};

/// Draws the side; of printers that are alike on a level, one stands for all.
pub(super) fn side(ui: &Ui, shown: &Shown<'_>, drawing: &Drawing, part: &Part, rack: &RackParts) {
    let painter = ui.painter();
    let depth = drawing.points(rack.body.depth());
    let posts = Rect::from_min_size(
        pos2(drawing.side, drawing.y(posts_mm(shown, part))),
        vec2(depth, drawing.points(posts_mm(shown, part))),
    );
    painter.rect_stroke(posts, 0.0, drawing.edge(), StrokeKind::Inside);
    for level in &rack.levels {
        drawing.board(painter, drawing.side, depth, level);
    }
    let middle = drawing.side + depth * 0.5;
    let seen = seen_from_the_side(shown, rack);
    for (number, printer, kind) in &seen {
        let width = printer.footprint.depth();
        let (body, _) = drawing.printer(painter, middle, width, printer, kind);
        if let Some(level) = rack.levels.iter().find(|l| l.number == *number) {
            drawing.pad(painter, body, level);
        }
    }
    arm(painter, shown, drawing);
    // The points go over every line, so that none is hidden.
    let mut told = Told::default();
    for (number, printer, kind) in &seen {
        let inset = (rack.body.depth() - printer.footprint.depth()) * 0.5;
        for point in touch::points(shown, printer, kind) {
            let at = pos2(
                drawing.side + drawing.points(inset + point.depth_mm),
                drawing.y(point.height_mm),
            );
            touch::mark(painter, drawing, at, &point);
            told.tell(point.reached, format!("{} on level {number}", point.name));
        }
    }
    let name = told.words(shown, part);
    let area = posts.expand2(vec2(8.0, 0.0));
    let response = ui.interact(area, ui.unique_id().with("side"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &name));
}

/// One printer of each kind on each level, with the level's number.
fn seen_from_the_side<'a>(
    shown: &'a Shown<'_>,
    rack: &'a RackParts,
) -> Vec<(u8, &'a PlacedPrinter, &'a PrinterKind)> {
    let mut alike: BTreeSet<(u8, &KindId)> = BTreeSet::new();
    let stand = rack
        .slots
        .iter()
        .filter_map(|s| Some((s.name.level, s.printer.as_ref()?)));
    stand
        .filter(|(level, printer)| alike.insert((*level, &printer.kind)))
        .filter_map(|(level, printer)| {
            let kind = shown.layout.stock().printers.get(&printer.kind)?;
            Some((level, printer, kind))
        })
        .collect()
}

/// The shoulder at its stand-off, and the arc that the hand draws before it.
fn arm(painter: &Painter, shown: &Shown<'_>, drawing: &Drawing) {
    let limits = shown.layout.limits();
    let shoulder = limits.reach_shoulder.value.mm();
    let Some(arm) = reach::arm_mm(limits.reach_grip.value.mm(), shoulder) else {
        return;
    };
    let x = drawing.side - drawing.points(limits.reach_stand_off.value.mm());
    let tone = drawing.colours.met.line;
    let centre = pos2(x, drawing.y(shoulder));
    painter.line_segment(
        [pos2(x, drawing.floor), centre],
        Stroke::new(line::WAY, tone),
    );
    painter.circle_filled(centre, 4.0, tone);
    let arc: Vec<Pos2> = (0_u8..=40)
        .map(|k| {
            let angle = std::f32::consts::PI * (f32::from(k) / 40.0 - 0.5);
            centre + vec2(angle.cos(), -angle.sin()) * drawing.points(arm)
        })
        .collect();
    painter.add(Shape::line(arc, Stroke::new(line::MEASURE, tone)));
}

/// What a screen reader is told of the side.
#[derive(Default)]
struct Told {
    beyond: BTreeSet<String>,
    low: BTreeSet<String>,
}

impl Told {
    fn tell(&mut self, reached: Reached, point: String) {
        match reached {
            Reached::Well => {}
            Reached::Stooping => {
                self.low.insert(point);
            }
            Reached::Beyond => {
                self.beyond.insert(point);
            }
        }
    }

    fn words(&self, shown: &Shown<'_>, part: &Part) -> String {
        let limits = shown.layout.limits();
        let practice = shown.practice();
        let mut words = format!(
            "Side of {}: the operator's shoulder at {}, {} off the face, grip at {}",
            part.id,
            limits.reach_shoulder.value.shown(practice),
            limits.reach_stand_off.value.shown(practice),
            limits.reach_grip.value.shown(practice)
        );
        for (says, points) in [("out of reach", &self.beyond), ("by stooping", &self.low)] {
            if !points.is_empty() {
                let all: Vec<&str> = points.iter().map(String::as_str).collect();
                words = format!("{words}; {says}: {}", all.join(", "));
            }
        }
        words
    }
}
