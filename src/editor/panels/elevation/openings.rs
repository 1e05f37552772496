//! Each opening of the rack on show against the printers that stand in it: what is clear, what is needed, what is over.

use egui::{Painter, Rect, Stroke, StrokeKind, pos2};

use super::Drawing;
use crate::editor::shown::Shown;
use crate::editor::theme::line;
use crate::editor::widgets;
use crate::layout::{Level, RackParts, over};
use crate::stock::{PrinterKind, Stores};
use crate::units::Length;

/// Gap between the strokes of a hatch, in points.
const HATCH_GAP: f32 = 5.0;

/// How the printers of a level stand in its opening.
pub(super) struct Standing {
    /// In words.
    pub(super) words: String,
    /// True where they fit.
    pub(super) fits: bool,
}

/// The opening of a level in words, and how the printers on it stand in it, if there are any.
pub(super) fn words_of(
    shown: &Shown<'_>,
    rack: &RackParts,
    level: &Level,
) -> (String, Option<Standing>) {
    let practice = shown.practice();
    let mut opening = level.opening.map_or("open above".to_owned(), |o| {
        format!("opening {}", o.shown(practice))
    });
    if level.lift > Length::ZERO {
        opening = format!("{opening}, {} of pad", level.lift.shown(practice));
    }
    if level.slots == 0 {
        opening.push_str(match level.stores {
            Stores::Spools => ", spools and boxes",
            Stores::Nothing => ", kept empty",
        });
    }
    let kinds: Vec<&PrinterKind> = rack
        .slots
        .iter()
        .filter(|s| s.name.level == level.number)
        .filter_map(|s| s.printer.as_ref())
        .filter_map(|p| shown.layout.stock().printers.get(&p.kind))
        .collect();
    (opening, standing(shown, level, &kinds))
}

/// The first of height, width, share and depth that does not fit, else the height to spare.
fn standing(shown: &Shown<'_>, level: &Level, kinds: &[&PrinterKind]) -> Option<Standing> {
    let practice = shown.practice();
    let high = kinds.iter().map(|k| k.height).max()?;
    let wide = kinds.iter().map(|k| k.width).max()?;
    let deep = kinds.iter().map(|k| k.depth).max()?;
    let all: Length = kinds.iter().map(|k| k.width).sum();
    let clear = level.opening_under(shown.plan.room().ceiling);
    let who = match kinds.len() {
        1 => "printer".to_owned(),
        n => format!("{n} printers"),
    };
    let lift = level.lift;
    let upright = if lift > Length::ZERO {
        "printer and pad"
    } else {
        "printer"
    };
    let measures = [
        (upright, lift + high, clear, "low"),
        (who.as_str(), all, level.clear_width, "narrow"),
        ("printer", wide, level.share(), "narrow"),
        ("printer", deep, level.depth, "shallow"),
    ];
    let broken = measures
        .iter()
        .find(|(_, needs, has, _)| over(*needs, *has));
    let words = match broken {
        Some((who, needs, has, too)) => format!(
            "{who} {}: too {too} by {}",
            needs.shown(practice),
            (*needs - *has).shown(practice)
        ),
        None => format!(
            "{upright} {}, {} to spare",
            (lift + high).shown(practice),
            (clear - lift - high).shown(practice)
        ),
    };
    Some(Standing {
        words,
        fits: broken.is_none(),
    })
}

/// Hatches what of a printer stands over its opening: `envelope` is the printer on the screen, `low` its board's top.
pub(super) fn hatch_over(
    painter: &Painter,
    drawing: &Drawing,
    envelope: Rect,
    level: &Level,
    (high_mm, ceiling): (f64, Length),
) {
    let top = level.top + level.opening_under(ceiling);
    if !over(Length::from_mm(high_mm), top) {
        return;
    }
    let tone = drawing.colours.broken;
    let bottom = drawing.y(top.mm());
    let area = Rect::from_min_max(
        envelope.min,
        pos2(envelope.right(), bottom.max(envelope.top() + 4.0)),
    );
    painter.rect_stroke(
        envelope,
        0.0,
        Stroke::new(line::MEASURE, tone.line),
        StrokeKind::Inside,
    );
    widgets::slanting(
        &painter.with_clip_rect(area),
        area,
        HATCH_GAP,
        Stroke::new(line::EDGE, tone.line),
    );
}

/// Diameter of a spool of a kilogram, and the least gap to the next, in millimetres. Common practice, no source.
const SPOOL_MM: (f64, f64) = (200.0, 30.0);

/// Draws a row of spools on a level that is for them; `left` and `width` are those of the rack.
pub(super) fn spools(painter: &Painter, drawing: &Drawing, level: &Level, left: f32, width: f32) {
    if level.slots > 0 || level.stores == Stores::Nothing {
        return;
    }
    let (diameter, pitch) = (
        drawing.points(SPOOL_MM.0),
        drawing.points(SPOOL_MM.0 + SPOOL_MM.1),
    );
    let edge = Stroke::new(line::PART, drawing.colours.body_edge);
    let y = drawing.y(level.top.mm()) - diameter * 0.5;
    let mut x = left + pitch;
    while x + pitch * 0.5 < left + width && pitch > 1.0 {
        painter.circle(pos2(x, y), diameter * 0.5, drawing.colours.card, edge);
        painter.circle_stroke(pos2(x, y), diameter * 0.14, edge);
        x += pitch;
    }
}
