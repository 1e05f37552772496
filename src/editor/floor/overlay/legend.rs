//! The legend of what is laid over the floor: a sample of each line or hatch with its words, above the floor, where it hides
//! nothing.

use std::collections::BTreeSet;

use egui::{
    Frame, Margin, Painter, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo,
    pos2, vec2,
};

use super::{Overlay, cameras, load};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::units::Lux;

/// Size of a sample, in points.
const SAMPLE: Vec2 = vec2(24.0, 10.0);
/// Between a sample and its words.
const GAP: f32 = 6.0;

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
    /// Words alone.
    Nothing,
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
        Overlay::Wires => vec![
            row(
                Sample::Heavy,
                "cable of the circuit of that number, along the way reckoned for it",
            ),
            row(Sample::Line(4.0), "cord, dashed like the cable it hangs on"),
        ],
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
    let average = average.map(|words| (Sample::Nothing, words));
    runs.into_iter().chain(average).collect()
}

/// Shows the legend of what is on show, as wide as the floor; it takes no room where there is nothing to say.
pub(in crate::editor::floor) fn legend(
    ui: &mut Ui,
    shown: &Shown<'_>,
    on_show: &BTreeSet<Overlay>,
) {
    let rows: Vec<_> = on_show.iter().flat_map(|o| rows(*o, shown)).collect();
    if rows.is_empty() {
        return;
    }
    let inset = Margin {
        left: 12,
        right: 8,
        top: 1,
        bottom: 2,
    };
    Frame::new().inner_margin(inset).show(ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(14.0, 1.0);
        // Rows of small words, not of buttons.
        ui.spacing_mut().interact_size.y = SAMPLE.y;
        ui.horizontal_wrapped(|ui| {
            for (sample, words) in rows {
                entry(ui, sample, &words);
            }
        });
    });
}

/// A sample with its words, which stay together.
fn entry(ui: &mut Ui, sample: Sample, words: &str) {
    let colours = theme::palette(ui);
    let font = theme::plain(text::TINY);
    let galley = ui
        .painter()
        .layout_no_wrap(words.to_owned(), font, colours.ink);
    let before = if sample == Sample::Nothing {
        0.0
    } else {
        SAMPLE.x + GAP
    };
    let size = vec2(before + galley.size().x, galley.size().y.max(SAMPLE.y));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let at = Rect::from_center_size(pos2(rect.left() + SAMPLE.x * 0.5, rect.center().y), SAMPLE);
    paint_sample(ui.painter(), at, sample, colours.ink);
    let words_at = pos2(
        rect.left() + before,
        rect.center().y - galley.size().y * 0.5,
    );
    ui.painter().galley(words_at, galley, colours.ink);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
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
        Sample::Nothing => {}
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
