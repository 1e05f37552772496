//! The levels of the rack on show, by hand and by keyboard: chosen, dragged, nudged, added, taken away. One edit a gesture;
//! what a level is in the plan is for [`Plan`](crate::plan::Plan) to say.

use egui::{
    Align2, EventFilter, Key, Layout as Flow, Modifiers, PointerButton, Rect, Response, Role,
    Sense, Shape, Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::Drawing;
use crate::editor::action::{Action, Actions};
use crate::editor::floor::{fine_step, grid, grid_step};
use crate::editor::panels::wall_elevation::WallView;
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::{self, line, text};
use crate::editor::widgets;
use crate::layout::{Layout, Level, Part, RackParts};
use crate::plan::{Edit, Id, Plan};
use crate::stock::LevelKind;
use crate::units::Length;

/// How near a board the pointer takes it, in points.
const GRASP: f32 = 9.0;

/// Height of the tag at the left of a level: at least the 24 points that WCAG 2.2 asks of a target (success criterion 2.5.8).
const TAG_HEIGHT: f32 = 24.0;

/// Width of the tag at the left of a level.
pub(super) const TAG_WIDTH: f32 = 84.0;

/// The elevation's own state.
#[derive(Debug, Default)]
pub struct ElevationView {
    /// The wall that is shown in the rack's place.
    pub wall: WallView,
    drag: Option<LevelDrag>,
}

/// A level in hand.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LevelDrag {
    rack: Id,
    level: u8,
    /// Its height when it was taken.
    from: Length,
    /// How far the hand has moved up since, in millimetres.
    by_mm: f64,
    /// The scale when it was taken: what is dragged must not change it.
    points_per_mm: f64,
    /// True while it need not keep to the grid.
    free: bool,
}

impl ElevationView {
    /// What the plan becomes when the level in hand is let go here, and what is selected then.
    pub fn edit(&self, layout: &Layout) -> Option<(Edit, Selection)> {
        let drag = self.drag?;
        let (rack, level) = found(layout, drag.rack, drag.level)?;
        let raw = drag.from + Length::from_mm(drag.by_mm);
        let to = if drag.free {
            let fine = fine_step(layout.plan());
            Length::from_mm((raw.mm() / fine.mm()).round() * fine.mm())
        } else {
            grid(raw, layout.plan())
        };
        let edit = moved_to(layout, drag.rack, rack, level, to)?;
        Some((edit, Selection::level_of(drag.rack, drag.level)))
    }

    /// Lets what is in hand go where it was.
    pub fn leave(&mut self) {
        self.leave_level();
        self.wall.leave();
    }

    /// Lets the level in hand go where it was.
    pub(super) fn leave_level(&mut self) {
        self.drag = None;
    }

    /// The scale of the drawing while a level is in hand.
    pub(super) fn scale(&self) -> Option<f64> {
        self.drag.map(|drag| drag.points_per_mm)
    }
}

fn found(layout: &Layout, rack: Id, level: u8) -> Option<(&RackParts, &Level)> {
    let rack = layout.part(rack)?.rack.as_ref()?;
    let level = rack.levels.iter().find(|l| l.number == level)?;
    Some((rack, level))
}

/// The heights that a level may be moved to: between its neighbours, with an opening of a step of the grid at least, and not
/// over the posts.
fn range(plan: &Plan, rack: &RackParts, level: &Level, posts: Length) -> Option<(Length, Length)> {
    let least = grid_step(plan);
    let below = rack.levels.iter().rfind(|l| l.number < level.number);
    let above = rack.levels.iter().find(|l| l.number > level.number);
    let low = below.map_or(level.board, |b| b.top + level.board + least);
    let high = above.map_or(posts, |a| a.top - a.board - least);
    (low <= high).then_some((low, high))
}

fn posts(layout: &Layout, id: Id) -> Length {
    let rack = layout.plan().rack(id);
    rack.and_then(|r| layout.stock().racks.get(&r.kind))
        .map_or(Length::ZERO, |k| k.height)
}

/// The level as the plan holds it.
fn kept(layout: &Layout, id: Id, level: u8) -> Option<LevelKind> {
    let rack = layout.plan().rack(id)?;
    let kind = layout.stock().racks.get(&rack.kind)?;
    let index = usize::from(level.checked_sub(1)?);
    rack.levels(kind).get(index).cloned()
}

/// The edit that moves a level to a height, or as near as its neighbours let it.
fn moved_to(layout: &Layout, id: Id, rack: &RackParts, level: &Level, to: Length) -> Option<Edit> {
    let plan = layout.plan();
    let (low, high) = range(plan, rack, level, posts(layout, id))?;
    let height = to.max(low).min(high);
    let kept = kept(layout, id, level.number)?;
    plan.level_set(
        layout.stock(),
        id,
        level.number,
        LevelKind { height, ..kept },
    )
}

/// A new level in the middle of the opening over `above`, or of the highest opening there is; `None` where there is no room.
fn new_level(layout: &Layout, id: Id, rack: &RackParts, above: Option<u8>) -> Option<LevelKind> {
    let plan = layout.plan();
    let top_of = |level: &Level| {
        level
            .opening
            .map_or(posts(layout, id), |opening| level.top + opening)
    };
    let room = |level: &&Level| top_of(level) - level.top;
    let chosen = rack.levels.iter().find(|l| Some(l.number) == above);
    let level = chosen.or_else(|| rack.levels.iter().max_by_key(room))?;
    let least = grid_step(plan);
    let (low, high) = (level.top + level.board + least, top_of(level) - least);
    if low > high {
        return None;
    }
    let height = grid((low + high).half(), plan).max(low).min(high);
    let kept = kept(layout, id, level.number)?;
    Some(LevelKind { height, ..kept })
}

/// One level with its tag on the screen.
struct Tag<'a> {
    level: &'a Level,
    rect: Rect,
    selected: bool,
}

/// Follows the hand over the front, draws a tag beside every level and carries out its keys.
pub(super) fn levels_ui(
    ui: &Ui,
    shown: &Shown<'_>,
    drawing: &Drawing,
    (part, rack): (&Part, &RackParts),
    view: &mut ElevationView,
    actions: &mut Actions,
) {
    drag(ui, shown, drawing, (part.id, rack), view, actions);
    for level in &rack.levels {
        let y = drawing.y(level.top.mm()) + drawing.points(level.board.mm()) * 0.5;
        let corner = pos2(drawing.front - TAG_WIDTH - 4.0, y - TAG_HEIGHT * 0.5);
        let on_show = shown.selection.lead() == Some(part.id);
        let tag = Tag {
            level,
            rect: Rect::from_min_size(corner, vec2(TAG_WIDTH, TAG_HEIGHT)),
            selected: on_show && shown.selection.level() == Some(level.number),
        };
        let response = ui.interact(tag.rect, tag_id(ui, part.id, level.number), Sense::click());
        tag.name(&response, shown, part.id);
        tag.paint(ui, &response, shown, drawing, rack);
        if response.clicked() {
            response.request_focus();
        }
        if (response.clicked() || response.gained_focus()) && !tag.selected {
            let selection = Selection::level_of(part.id, level.number);
            actions.ask(Action::Select(selection));
        }
        if response.has_focus() && !shown.read_only {
            nudge(ui, shown, (part.id, rack, level), &response, actions);
        }
    }
}

fn tag_id(ui: &Ui, rack: Id, level: u8) -> egui::Id {
    ui.unique_id().with(("level", rack, level))
}

impl Tag<'_> {
    fn name(&self, response: &Response, shown: &Shown<'_>, rack: Id) {
        let practice = shown.practice();
        let height = self.level.top.shown(practice);
        let thick = self.level.board.shown(practice);
        let pad = if self.level.lift > Length::ZERO {
            format!(", {} of pad on it", self.level.lift.shown(practice))
        } else {
            String::new()
        };
        let number = self.level.number;
        let name = format!("Board {number} of {rack} at {height}, {thick} thick{pad}");
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, self.selected, &name));
    }

    fn paint(
        &self,
        ui: &Ui,
        response: &Response,
        shown: &Shown<'_>,
        drawing: &Drawing,
        rack: &RackParts,
    ) {
        let colours = drawing.colours;
        let painter = ui.painter();
        let middle = self.rect.center().y;
        let (ink, font) = if self.selected {
            (colours.selection.text, theme::bold(text::SMALL))
        } else {
            (colours.ink_weak, theme::plain(text::SMALL))
        };
        let words = self.level.top.shown(shown.practice());
        let at = pos2(self.rect.right() - 14.0, middle);
        painter.text(at, Align2::RIGHT_CENTER, words, font, ink);
        let grip = self.rect.right() - 4.0;
        let points =
            [(-6.0, -4.0), (2.0, 0.0), (-6.0, 4.0)].map(|(x, y)| pos2(grip + x, middle + y));
        painter.add(Shape::convex_polygon(points.to_vec(), ink, Stroke::NONE));
        if self.selected {
            let width = drawing.points(rack.body.width());
            let thick = drawing.points(self.level.board.mm()).max(2.0);
            let board = Rect::from_min_size(
                pos2(drawing.front, drawing.y(self.level.top.mm())),
                vec2(width, thick),
            );
            let stroke = Stroke::new(line::SELECTION, colours.selection.line);
            painter.rect_stroke(board, 1.0, stroke, egui::StrokeKind::Outside);
        }
        if response.has_focus() {
            let ring = Stroke::new(line::FOCUS, colours.selection.line);
            painter.rect_stroke(self.rect.shrink(2.0), 4.0, ring, egui::StrokeKind::Outside);
        }
    }
}

/// The arrow keys of a level that has the keyboard.
fn nudge(
    ui: &Ui,
    shown: &Shown<'_>,
    (id, rack, level): (Id, &RackParts, &Level),
    response: &Response,
    actions: &mut Actions,
) {
    let keys = EventFilter {
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, keys));
    for (modifiers, by) in [
        (Modifiers::SHIFT, grid_step(shown.plan) * 12),
        (Modifiers::ALT, fine_step(shown.plan)),
        (Modifiers::NONE, grid_step(shown.plan)),
    ] {
        for (key, sign) in [(Key::ArrowUp, 1), (Key::ArrowDown, -1)] {
            if ui.input_mut(|i| i.consume_key(modifiers, key)) {
                let to = level.top + by * sign;
                if let Some(edit) = moved_to(shown.layout, id, rack, level, to) {
                    actions.edit(edit);
                }
            }
        }
    }
}

/// The pointer over the front: takes the board it was pressed on, follows, and lets go with one edit.
fn drag(
    ui: &Ui,
    shown: &Shown<'_>,
    drawing: &Drawing,
    (id, rack): (Id, &RackParts),
    view: &mut ElevationView,
    actions: &mut Actions,
) {
    let width = drawing.points(rack.body.width());
    let area = Rect::from_min_max(
        pos2(drawing.front - TAG_WIDTH - 4.0, drawing.rect.top() + 30.0),
        pos2(drawing.front + width, drawing.rect.bottom()),
    );
    let response = ui.interact(area, ui.unique_id().with("front"), Sense::click_and_drag());
    let under = |at: egui::Pos2| {
        let off = |level: &Level| {
            let middle = drawing.y(level.top.mm()) + drawing.points(level.board.mm()) * 0.5;
            (middle - at.y).abs()
        };
        let nearest = rack.levels.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        nearest.filter(|level| off(level) <= GRASP)
    };
    let choose = |level: &Level, actions: &mut Actions| {
        ui.memory_mut(|m| m.request_focus(tag_id(ui, id, level.number)));
        actions.ask(Action::Select(Selection::level_of(id, level.number)));
    };
    if response.hovered()
        && ui
            .input(|i| i.pointer.latest_pos())
            .and_then(under)
            .is_some()
    {
        ui.ctx().set_cursor_icon(egui::CursorIcon::ResizeVertical);
    }
    let (press, free) = ui.input(|i| (i.pointer.press_origin(), i.key_down(Key::F)));
    if response.drag_started_by(PointerButton::Primary)
        && !shown.read_only
        && let Some(level) = press.and_then(under)
    {
        choose(level, actions);
        view.drag = Some(LevelDrag {
            rack: id,
            level: level.number,
            from: level.top,
            by_mm: 0.0,
            points_per_mm: drawing.points_per_mm,
            free,
        });
    }
    if let Some(drag) = &mut view.drag {
        if let (Some(total), true) = (response.total_drag_delta(), response.dragged()) {
            drag.by_mm = -f64::from(total.y) / drag.points_per_mm;
        }
        drag.free = free;
    }
    if response.drag_stopped() {
        // What is on show has it moved already; the plan itself is the editor's.
        actions.ask(Action::LetGo);
    }
    if response.clicked()
        && let Some(level) = response.interact_pointer_pos().and_then(under)
    {
        choose(level, actions);
    }
}

/// What can be done to the rack's levels, at the top right; while one is in hand, how to free it from the grid.
pub(super) fn commands_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    rect: Rect,
    (part, rack): (&Part, &RackParts),
    view: &mut ElevationView,
    actions: &mut Actions,
) {
    let row = Rect::from_min_max(
        rect.left_top() + vec2(200.0, 6.0),
        pos2(rect.right() - 16.0, rect.top() + 32.0),
    );
    let flow = Flow::right_to_left(egui::Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(row).layout(flow));
    super::wall_behind(&mut ui, shown, part, &mut view.wall);
    if shown.read_only {
        return;
    }
    if view.drag.is_some() {
        let least = grid_step(shown.plan).shown(shown.practice());
        ui.weak(format!("Hold F to free it from the {least} grid."));
        return;
    }
    let chosen = shown.selection.level();
    let stock = shown.layout.stock();
    if widgets::action(&mut ui, "Save as own stock").clicked()
        && let Some((edit, _)) = shown.plan.rack_as_own(stock, part.id)
    {
        actions.edit(edit);
    }
    if let Some(level) = chosen.filter(|n| rack.levels.iter().any(|l| l.number == *n)) {
        let typing = ui.ctx().text_edit_focused();
        let pressed = !typing && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Delete));
        let label = format!("Remove level {level}");
        if widgets::action(&mut ui, &label).clicked() || pressed {
            match shown.plan.level_removed(stock, part.id, level) {
                Some(edit) => actions.edit(edit),
                None => say(actions, "A rack keeps at least one level."),
            }
        }
    }
    let label = chosen.map_or("Add a level".to_owned(), |n| {
        format!("Add a level over {n}")
    });
    if widgets::action(&mut ui, &label).clicked() {
        let new = new_level(shown.layout, part.id, rack, chosen);
        match new.and_then(|level| shown.plan.level_added(stock, part.id, level)) {
            Some(edit) => actions.edit(edit),
            None => say(actions, "There is no room for one more level there."),
        }
    }
}

fn say(actions: &mut Actions, words: &str) {
    actions.ask(Action::Say(words.to_owned()));
}
