//! The help behind a figure: shown beside it while it is pointed at or has the keyboard, and told to screen readers. The words
//! stand beside what they explain; here is only how they are shown.

use egui::{PopupAnchor, Rect, RectAlign, Response, RichText, Tooltip};

use super::theme::text;

/// The width of the words, in points.
const WIDTH: f32 = 250.0;

/// Puts words behind something on the screen.
pub(super) fn behind(response: Response, words: &str) -> Response {
    let row = response.rect;
    beside(response, row, words)
}

/// The same, shown beside the row that the thing is a part of.
pub(super) fn beside(response: Response, row: Rect, words: &str) -> Response {
    if words.is_empty() {
        return response;
    }
    // The names of checks are marked in the words; on the screen they read as any other word.
    let words = &words.replace('`', "");
    let mut tooltip = if response.has_focus() {
        Tooltip::for_widget(&response)
    } else {
        Tooltip::for_enabled(&response)
    };
    // To the side, so that the next field below stays in view.
    tooltip.popup = tooltip
        .popup
        .anchor(PopupAnchor::ParentRect(row))
        .align(RectAlign::LEFT_START)
        .align_alternatives(&[RectAlign::RIGHT_START, RectAlign::BOTTOM_START]);
    tooltip.gap(10.0).width(WIDTH).show(|ui| {
        ui.label(RichText::new(words).size(text::LABEL));
    });
    response.ctx.accesskit_node_builder(response.id, |node| {
        let said = node.description().map(str::to_owned);
        node.set_description(
            said.map_or_else(|| words.to_owned(), |said| format!("{said} {words}")),
        );
    });
    response
}
