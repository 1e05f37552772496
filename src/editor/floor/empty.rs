//! What an empty floor says: how to begin. Gone with the first rack, and while anything is in hand.

use egui::{Align2, Rect, Role, Sense, Ui, Vec2, WidgetInfo, vec2};

use crate::editor::shown::Shown;
use crate::editor::theme::{self, palette, text};
use crate::plan::ItemKind;

const WORDS: &str = "No rack yet. Drag one here from the stock, or press F9 to let Fill count what the floor holds.";

/// Writes the words at the foot of the floor.
pub(super) fn hint(ui: &Ui, floor: Rect, shown: &Shown<'_>) {
    if shown.read_only || shown.layout.of_kind(ItemKind::Rack).next().is_some() {
        return;
    }
    let colours = palette(ui);
    let galley = ui.painter_at(floor).layout(
        WORDS.to_owned(),
        theme::plain(text::LABEL),
        colours.ink_weak,
        (floor.width() - 24.0).max(80.0),
    );
    let foot = floor.center_bottom() - vec2(0.0, 8.0);
    let rect = Align2::CENTER_BOTTOM.anchor_size(foot, galley.size());
    let patch = rect.expand2(vec2(6.0, 3.0));
    let painter = ui.painter_at(floor);
    painter.rect_filled(patch, f32::from(theme::corner::FLAG), colours.paper);
    painter.galley(rect.min, galley, colours.ink_weak);
    let at = Rect::from_center_size(rect.center(), Vec2::ZERO);
    let node = ui.interact(at, ui.unique_id().with("empty floor"), Sense::hover());
    node.widget_info(|| WidgetInfo::labeled(Role::Label, true, WORDS));
}
