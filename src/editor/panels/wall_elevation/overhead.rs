//! What hangs under the ceiling, drawn before a wall at its height: beams and pipes cut or seen whole, sprinkler heads, detectors.

use egui::{Painter, Pos2, Rect, Stroke, StrokeKind, pos2, vec2};

use super::Drawing;
use crate::editor::theme::line;
use crate::editor::widgets;
use crate::layout::{Overhung, Seen};
use crate::plan::{ItemKind, OverheadUse};

/// Gap between the strokes of what is cut, in points.
const HATCH_GAP: f32 = 6.0;

impl Drawing {
    /// Where a thing under the ceiling is drawn and taken hold of.
    pub(super) fn overhead_rect(&self, thing: &Overhung) -> Rect {
        let rect = self.rect(&thing.on);
        // A thing wider on the screen than in the room still hangs from the ceiling.
        let down = (self.wall.top() - rect.top()).max(0.0);
        rect.translate(vec2(0.0, down))
    }

    pub(super) fn overhead(&self, painter: &Painter, thing: &Overhung) {
        let rect = self.overhead_rect(thing);
        let ItemKind::Overhead(purpose) = thing.on.kind else {
            return;
        };
        match purpose {
            OverheadUse::Sprinkler => self.head(painter, rect),
            OverheadUse::Detector => self.detector(painter, rect),
            OverheadUse::Beam | OverheadUse::Pipe => self.bar(painter, rect, thing),
        }
    }

    /// A beam or a pipe: cut through it is hatched, a pipe with its round section; seen whole it is plain.
    fn bar(&self, painter: &Painter, rect: Rect, thing: &Overhung) {
        let edge = Stroke::new(line::BODY, self.colours.body_edge);
        let fill = self.colours.wall.gamma_multiply(0.6);
        painter.rect_filled(rect, 0.0, fill);
        match thing.seen {
            Seen::Cut => {
                let stroke = Stroke::new(line::HATCH, self.colours.wall_hatch);
                widgets::slanting(&painter.with_clip_rect(rect), rect, HATCH_GAP, stroke);
                painter.rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
            }
            Seen::Whole => {
                painter.rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
            }
        }
        if thing.on.kind == ItemKind::Overhead(OverheadUse::Pipe) {
            let thin = Stroke::new(line::EDGE, self.colours.body_edge);
            match thing.seen {
                Seen::Cut => {
                    let radius = (rect.width().min(rect.height()) * 0.5 - 1.0).max(2.0);
                    let middle = pos2(rect.center().x, rect.bottom() - radius - 1.0);
                    painter.circle(middle, radius, self.colours.paper, thin);
                }
                Seen::Whole => {
                    let y = rect.bottom() - rect.height() * 0.3;
                    painter.line_segment([pos2(rect.left(), y), pos2(rect.right(), y)], thin);
                }
            }
        }
    }

    /// A sprinkler head: its stem, and the deflector at its lower edge.
    fn head(&self, painter: &Painter, rect: Rect) {
        let stroke = Stroke::new(line::BODY, self.colours.body_edge);
        let segment = |a: Pos2, b: Pos2| {
            painter.line_segment([a, b], stroke);
        };
        let low = rect.bottom() - 1.0;
        segment(rect.center_top(), pos2(rect.center().x, low));
        segment(pos2(rect.left(), low), pos2(rect.right(), low));
        segment(
            rect.center(),
            pos2(rect.left() + rect.width() * 0.2, low - 1.0),
        );
        segment(
            rect.center(),
            pos2(rect.right() - rect.width() * 0.2, low - 1.0),
        );
    }

    /// A detector: a case under the ceiling with its narrower lower part.
    fn detector(&self, painter: &Painter, rect: Rect) {
        let stroke = Stroke::new(line::EDGE, self.colours.body_edge);
        let middle = rect.center().y;
        let upper = Rect::from_min_max(rect.min, pos2(rect.right(), middle));
        let narrow = rect.width() * 0.22;
        let lower = Rect::from_min_max(
            pos2(rect.left() + narrow, middle),
            pos2(rect.right() - narrow, rect.bottom()),
        );
        for part in [upper, lower] {
            painter.rect(part, 1.0, self.colours.card, stroke, StrokeKind::Inside);
        }
    }
}
