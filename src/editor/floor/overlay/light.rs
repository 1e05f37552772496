//! The overlay of lights: a ring at every feed with how many hang on it, a line along each run, heavy where there are too many.
//! Decides nothing.

use egui::{Shape, Stroke};

use crate::editor::floor::paint::Brush;
use crate::editor::theme::line;
use crate::plan::Id;

pub(super) fn paint(brush: &Brush<'_>) {
    let layout = brush.shown.layout;
    for run in layout.light_runs() {
        let over = run.is_over();
        let stroke = if over {
            Stroke::new(line::SELECTION, brush.colours.note.line)
        } else {
            Stroke::new(line::MEASURE, brush.colours.measure.line)
        };
        let at = |id: Id| layout.part(id).map(|part| brush.at(part.spot));
        let Some(feed) = run.lights.first().and_then(|id| at(*id)) else {
            continue;
        };
        let links = run.links.iter();
        for pair in links.filter_map(|(to, from)| Some([at(*from)?, at(*to)?])) {
            if over {
                brush
                    .painter
                    .extend(Shape::dashed_line(&pair, stroke, 6.0, 4.0));
            } else {
                brush.painter.line_segment(pair, stroke);
            }
        }
        let most = run.most.map_or("?".to_owned(), |most| most.to_string());
        brush.painter.circle(feed, 7.0, brush.colours.card, stroke);
        let words = format!("{} of {most}", run.lights.len());
        brush.plate(feed + egui::vec2(0.0, 16.0), &words, brush.colours.ink);
    }
}
