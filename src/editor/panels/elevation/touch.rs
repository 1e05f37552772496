//! The marks of what an operator reaches for: bed, screen and spool, each with a shape of its own, so that they are told apart
//! without colour; how each is reached, as the check says; and the legend of all of them.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, Vec2, pos2, vec2};

use super::Drawing;
use crate::checks::{Severity, Standing};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::layout::{PlacedPrinter, RackParts};
use crate::stock::PrinterKind;

/// What is reached for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Bed,
    Screen,
    Spool,
}

/// How a point is reached, as the check found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reached {
    /// Standing.
    Well,
    /// By stooping.
    Stooping,
    /// Not at all.
    Beyond,
}

/// A point of a printer as it stands.
pub(super) struct Point {
    what: What,
    pub(super) name: &'static str,
    /// Above the floor.
    pub(super) height_mm: f64,
    /// Behind the front of the printer.
    pub(super) depth_mm: f64,
    pub(super) reached: Reached,
}

/// The points of a printer that somebody entered.
pub(super) fn points<'a>(
    shown: &'a Shown<'_>,
    printer: &'a PlacedPrinter,
    kind: &PrinterKind,
) -> impl Iterator<Item = Point> + use<'a> {
    let shapes = [What::Bed, What::Screen, What::Spool];
    let all = shapes.into_iter().zip(kind.touches());
    all.filter_map(|(what, (name, touch))| {
        let touch = touch?;
        Some(Point {
            what,
            name,
            height_mm: printer.low + touch.height.mm(),
            depth_mm: touch.depth.mm(),
            reached: reached(shown, printer, name),
        })
    })
}

/// What the check says of a printer's point: out of reach is a caution, stooping a note.
fn reached(shown: &Shown<'_>, printer: &PlacedPrinter, name: &str) -> Reached {
    let about = shown.findings.of_check("reach").iter().filter(|f| {
        f.standing == Standing::Broken
            && f.items.contains(&printer.id)
            && f.facet.split(' ').any(|word| word == name)
    });
    about
        .map(|f| f.severity)
        .min()
        .map_or(Reached::Well, |worst| {
            if worst == Severity::Note {
                Reached::Stooping
            } else {
                Reached::Beyond
            }
        })
}

/// Half the size of a mark, in points.
const HALF: f32 = 3.0;

/// Draws a point over the sign of how it is reached.
pub(super) fn mark(painter: &Painter, drawing: &Drawing, at: Pos2, point: &Point) {
    sign(painter, drawing, at, point.reached);
    shape(painter, drawing, at, point.what);
}

/// A flat bar for the bed, a diamond for the screen, a ring for the spool.
fn shape(painter: &Painter, drawing: &Drawing, at: Pos2, what: What) {
    let ink = drawing.colours.ink;
    let ground = drawing.colours.card;
    let edge = Stroke::new(line::EDGE, ink);
    match what {
        What::Bed => {
            let bar = Rect::from_center_size(at, vec2(HALF * 2.4, HALF));
            painter.rect(bar, 0.0, ink, edge, StrokeKind::Inside);
        }
        What::Screen => {
            let corners = [(0.0, -1.2), (1.2, 0.0), (0.0, 1.2), (-1.2, 0.0)];
            let corners = corners.map(|(x, y)| at + Vec2::new(x, y) * HALF);
            painter.add(Shape::convex_polygon(corners.to_vec(), ground, edge));
        }
        What::Spool => {
            painter.circle(at, HALF, ground, edge);
            painter.circle_filled(at, 1.0, ink);
        }
    }
}

/// A cross behind what is out of reach, a wedge beside what is reached by stooping.
fn sign(painter: &Painter, drawing: &Drawing, at: Pos2, reached: Reached) {
    match reached {
        Reached::Well => {}
        Reached::Stooping => {
            let wedge = [vec2(5.0, -1.5), vec2(8.0, 2.0), vec2(11.0, -1.5)].map(|by| at + by);
            let stroke = Stroke::new(line::MEASURE, drawing.colours.note.line);
            painter.line(wedge.to_vec(), stroke);
        }
        Reached::Beyond => {
            let stroke = Stroke::new(line::WAY, drawing.colours.caution.line);
            for arm in [vec2(5.0, 5.0), vec2(5.0, -5.0)] {
                painter.line_segment([at - arm, at + arm], stroke);
            }
        }
    }
}

/// The points of a printer at their heights, on the edge of its envelope in the front view: how far left or right they are nobody
/// enters. What is reached by stooping the side tells.
pub(super) fn beside(
    painter: &Painter,
    shown: &Shown<'_>,
    drawing: &Drawing,
    (envelope, share_mm): (Rect, f64),
    printer: &PlacedPrinter,
    kind: &PrinterKind,
) {
    // In the gap to the next printer or post where there is one, away from the printer's mark.
    let gap = drawing.points((share_mm - printer.footprint.width()) * 0.5);
    let x = envelope.right() + (gap - HALF - 1.0).max(0.5).min(HALF);
    for point in points(shown, printer, kind) {
        let at = pos2(x, drawing.y(point.height_mm));
        if point.reached == Reached::Beyond {
            sign(painter, drawing, at, point.reached);
        }
        shape(painter, drawing, at, point.what);
    }
}

/// Space of a mark before its words in the legend, and between two entries, in points.
const MARK: f32 = 12.0;
const BETWEEN: f32 = 8.0;

/// How the mark of an entry is drawn.
type Draw = fn(&Painter, &Drawing, Pos2);

/// What the marks mean, in a row under the commands; what has no room is left out from the end.
pub(super) fn legend(ui: &Ui, drawing: &Drawing, rack: &RackParts) {
    let stands = rack.slots.iter().any(|s| s.printer.is_some());
    if !stands {
        return;
    }
    let painter = ui.painter();
    let ink = drawing.colours.ink_weak;
    let entries: [(&str, Draw); 6] = [
        ("bed", |p, d, at| shape(p, d, at, What::Bed)),
        ("screen", |p, d, at| shape(p, d, at, What::Screen)),
        ("spool", |p, d, at| shape(p, d, at, What::Spool)),
        ("out of reach", |p, d, at| sign(p, d, at, Reached::Beyond)),
        ("by stooping", |p, d, at| {
            sign(p, d, at - vec2(8.0, 0.0), Reached::Stooping);
        }),
        ("reach", |p, d, at| {
            let ends = [at - vec2(5.0, 0.0), at + vec2(5.0, 0.0)];
            p.line_segment(ends, Stroke::new(line::MEASURE, d.colours.met.line));
        }),
    ];
    // Right of the front, and of the kind's name in any case.
    let beside = drawing.front + drawing.points(rack.body.width()) + 14.0;
    let left = beside.max(drawing.rect.left() + 200.0);
    let right = drawing.rect.right() - 16.0;
    let mut x = left;
    let y = drawing.rect.top() + 41.0;
    for (words, draw) in entries {
        let font = theme::plain(text::TINY);
        let galley = painter.layout_no_wrap(words.to_owned(), font, ink);
        let end = x + MARK + galley.size().x;
        if end > right {
            break;
        }
        draw(painter, drawing, pos2(x + MARK * 0.5 - 2.0, y));
        let words = Align2::LEFT_CENTER.anchor_size(pos2(x + MARK, y), galley.size());
        painter.galley(words.min, galley, ink);
        x = end + BETWEEN;
    }
}
