//! The legend of what is laid over the floor: a sample of each line or hatch with its words, in the floor's lower left corner.

use std::collections::BTreeSet;

use egui::{
    Painter, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2,
    vec2,
};

use super::{Overlay, cameras, load};
use crate::editor::floor::paint::Brush;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::units::Lux;

/// Size of a sample, in points.
const SAMPLE: Vec2 = vec2(26.0, 10.0);
const ROW: f32 = 15.0;

/// What a row shows before its words.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Sample {
    /// A line: dashes that long, whole where that is none.
    Line(f32),
    /// A heavy dashed line.
    Heavy,
    /// Dots.
    Dots,
    /// A hatch with that gap.
    Hatch(f32),
    /// A ring.
    Ring,
    /// A cross.
    Cross,
}

/// The rows of one overlay.
fn rows(overlay: Overlay, shown: &Shown<'_>) -> Vec<(Sample, String)> {
    let row = |sample, words: &str| (sample, words.to_owned());
    match overlay {
        Overlay::Air => vec![row(
            Sample::Line(3.0),
            "air as fast as is written on its edge",
        )],
        Overlay::Ways => vec![row(Sample::Dots, "floor kept free to work and walk")],
        Overlay::Reach => vec![
            row(Sample::Hatch(5.0), "something out of reach"),
            row(Sample::Dots, "something low: people stoop"),
            row(Sample::Line(4.0), "where the operator's shoulder is"),
        ],
        Overlay::Load => load_rows(shown),
        Overlay::Light => light_rows(shown),
        Overlay::Cameras => vec![
            row(Sample::Line(5.0), "ground seen at the lens's height"),
            row(Sample::Ring, "printer seen"),
            row(Sample::Cross, "printer that no camera sees"),
        ],
        Overlay::Power => vec![row(Sample::Line(4.0), "plugged in there")],
        Overlay::Phases => vec![row(Sample::Line(6.0), "stands there in another phase")],
    }
}

fn load_rows(shown: &Shown<'_>) -> Vec<(Sample, String)> {
    if shown.plan.head().floor_rating.is_none() {
        let words = "mass and load on each footprint; the floor's rating is not entered";
        return vec![(Sample::Hatch(load::GAPS[0]), words.to_owned())];
    }
    let words = ["under half of the floor's rating", "up to it", "over it"];
    let rows = load::GAPS.into_iter().zip(words);
    rows.map(|(gap, words)| (Sample::Hatch(gap), words.to_owned()))
        .collect()
}

fn light_rows(shown: &Shown<'_>) -> Vec<(Sample, String)> {
    let average = shown.findings.of_check("light").iter();
    let mut average = average.filter_map(|f| f.measured.filter(|_| f.facet == "average"));
    let lux = average.next().and_then(|lux| Lux::new(lux.round()).ok());
    let average = lux.map(|lux| format!("about {} on average over the empty floor", lux.shown()));
    let runs = [
        (
            Sample::Ring,
            "a feed, with the lights on it of the most allowed",
        ),
        (Sample::Line(0.0), "linked in one run"),
        (Sample::Heavy, "a run of too many"),
    ];
    let runs = runs.map(|(sample, words)| (sample, words.to_owned()));
    let average = average.map(|words| (Sample::Dots, words));
    runs.into_iter().chain(average).collect()
}

fn all(on_show: &BTreeSet<Overlay>, shown: &Shown<'_>) -> Vec<(Sample, String)> {
    on_show.iter().flat_map(|o| rows(*o, shown)).collect()
}

/// Paints the legend of what is on show.
pub(in crate::editor::floor) fn legend(brush: &Brush<'_>, on_show: &BTreeSet<Overlay>) {
    let rows = all(on_show, brush.shown);
    if rows.is_empty() {
        return;
    }
    let font = theme::plain(text::TINY);
    let ink = brush.colours.ink;
    let words: Vec<_> = rows
        .iter()
        .map(|(_, words)| {
            brush
                .painter
                .layout_no_wrap(words.clone(), font.clone(), ink)
        })
        .collect();
    let widest = words.iter().map(|g| g.size().x).fold(0.0, f32::max);
    let count = rows.iter().map(|_| ROW).sum::<f32>();
    let size = vec2(widest + SAMPLE.x + 22.0, count + 8.0);
    let view = brush.camera.view();
    let low = view.left_bottom() + vec2(8.0, -8.0);
    let card = Rect::from_min_size(pos2(low.x, low.y - size.y), size);
    let edge = Stroke::new(line::HAIR, brush.colours.ink_weak);
    brush
        .painter
        .rect(card, 3.0, brush.colours.card, edge, StrokeKind::Inside);
    let mut y = card.top() + 4.0;
    for ((sample, _), galley) in rows.iter().zip(words) {
        let at = Rect::from_min_size(pos2(card.left() + 7.0, y + 2.5), SAMPLE);
        paint_sample(brush.painter, at, *sample, ink);
        let words_at = pos2(at.right() + 7.0, y + (ROW - galley.size().y) * 0.5);
        brush.painter.galley(words_at, galley, ink);
        y += ROW;
    }
}

fn paint_sample(painter: &Painter, rect: Rect, sample: Sample, ink: egui::Color32) {
    let stroke = Stroke::new(line::EDGE, ink);
    let middle = [rect.left_center(), rect.right_center()];
    match sample {
        Sample::Line(dash) if dash > 0.0 => {
            painter.extend(Shape::dashed_line(&middle, stroke, dash, 3.0));
        }
        Sample::Line(_) => {
            painter.line_segment(middle, stroke);
        }
        Sample::Heavy => {
            let heavy = Stroke::new(line::SELECTION, ink);
            painter.extend(Shape::dashed_line(&middle, heavy, 6.0, 4.0));
        }
        Sample::Dots => {
            for k in [3.0, 9.0, 15.0, 21.0] {
                for y in [2.5, 7.5] {
                    painter.circle_filled(rect.min + vec2(k, y), 0.9, ink);
                }
            }
        }
        Sample::Hatch(gap) => {
            painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
            let clipped = painter.with_clip_rect(rect);
            let mut x = rect.left() - rect.height();
            while x < rect.right() {
                let ends = [pos2(x, rect.bottom()), pos2(x + rect.height(), rect.top())];
                clipped.line_segment(ends, stroke);
                x += gap * 1.2;
            }
        }
        Sample::Ring => {
            painter.circle_stroke(rect.center(), cameras::HALF, stroke);
        }
        Sample::Cross => {
            let c = rect.center();
            for by in [
                vec2(cameras::HALF, cameras::HALF),
                vec2(cameras::HALF, -cameras::HALF),
            ] {
                painter.line_segment([c - by, c + by], stroke);
            }
        }
    }
}

/// Says the legend to screen readers.
pub(in crate::editor::floor) fn node(
    ui: &Ui,
    floor: &Response,
    shown: &Shown<'_>,
    on_show: &BTreeSet<Overlay>,
) {
    let rows = all(on_show, shown);
    if rows.is_empty() {
        return;
    }
    let words: Vec<String> = rows.into_iter().map(|(_, words)| words).collect();
    let words = format!("Legend: {}", words.join("; "));
    let at = Rect::from_center_size(floor.rect.left_bottom(), Vec2::ZERO);
    let node = ui.interact(at, floor.id.with("legend"), Sense::hover());
    node.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
}
