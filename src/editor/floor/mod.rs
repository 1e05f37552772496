//! The floor view: the room from above, with everything in it to be picked, dragged and dropped. Sends edits, writes nothing.

mod air;
mod camera;
mod empty;
mod fixtures;
mod gesture;
mod ghosts;
mod hit;
mod measure;
mod other_phases;
mod overlay;
mod paint;
mod placing;
mod snap;
mod tracing;
mod typed;
mod walls;
mod written;

pub(super) use air::air_pen;
pub use camera::Camera;
pub(super) use gesture::grid;
pub use gesture::{Gesture, fine_step, reach_mm, step as grid_step};
pub use measure::{MeasureView, Reading};
pub use overlay::{Overlay, Overlays, Wanted, apart};
pub use placing::put;
pub use tracing::step as picture_step;
pub use typed::{Keys, Typed, type_length};
pub use walls::{Shape, TypedSize, WallTools, ask_for, refusal, wall_words};
pub use written::end_words;

use std::collections::BTreeSet;

use egui::{
    EventFilter, Key, Modifiers, PointerButton, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo,
};

use super::action::{Action, Actions, Command, FillAction, StockEntry};
use super::shown::{Selection, Shown};
use super::tracing::TracingView;
use crate::geometry::Point;
use crate::layout::Part;
use crate::plan::{Edit, Id, Item, ItemKind, PhaseNo};
use crate::units::{Angle, Length};

/// The floor's own view state.
#[derive(Debug, Default)]
pub struct FloorView {
    /// Where it looks; `None` until the first frame fits the room.
    pub camera: Option<Camera>,
    /// What the pointer is doing.
    pub gesture: Gesture,
    /// What is shown besides the things.
    pub overlays: Overlays,
    /// The picture under the floor, and what the pointer does with it.
    pub tracing: TracingView,
    /// True once a person zoomed or pushed the paper; until then the whole room is kept in view.
    pub held: bool,
    /// Working on the walls.
    pub walls: WallTools,
    /// The tape that measures.
    pub measure: MeasureView,
    /// What is marked besides what is selected: the things of the bad day chosen.
    pub marked: BTreeSet<Id>,
    /// Where what is dragged is meant for another panel and stays in its place on the floor.
    pub not_floor: Option<Rect>,
}

impl FloorView {
    /// Takes something from the stock drawer in hand.
    pub fn carry(&mut self, entry: StockEntry) {
        self.gesture = Gesture::Carry {
            entry,
            at: None,
            turn: None,
            free: false,
            typed: Typed::default(),
        };
    }

    /// Fits the room into the view at the next frame.
    pub fn fit(&mut self) {
        self.held = false;
    }

    /// Looks elsewhere, and stays there.
    pub fn look(&mut self, camera: Camera) {
        self.camera = Some(camera);
        self.held = true;
    }

    /// Brings a place of the floor into view where it is not.
    pub fn show_place(&mut self, at: Point) {
        if let Some(camera) = self.camera
            && !camera.view().shrink(30.0).contains(camera.to_screen(at))
        {
            self.look(camera.centred(at));
        }
    }

    /// Millimetres of the floor that a point of the screen takes; 1 before the first frame.
    pub fn mm_per_point(&self) -> f64 {
        self.camera.map_or(1.0, |c| c.mm(1.0))
    }
}

/// Shows the floor and sends what a person does on it.
pub fn floor_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut FloorView, actions: &mut Actions) {
    overlay_bar(ui, shown, view, actions);
    let on_show = view.overlays.on_show(shown);
    overlay::legend(ui, shown, &on_show);
    let rect = ui.available_rect_before_wrap();
    let response = ui.allocate_rect(rect, Sense::click_and_drag());
    let name = format!(
        "Floor of {}, {} things in phase {}",
        shown.plan.head().name,
        shown.layout.parts().count(),
        shown.phase()
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &name));
    // What is carried from the drawer is put down by the floor's keys too.
    if matches!(view.gesture, Gesture::Carry { .. }) {
        response.request_focus();
    }
    // Arrow keys nudge things here; they do not walk from widget to widget.
    let keys_of_floor = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        // While something is dragged, Tab goes on to the next wall that is measured from.
        tab: view.gesture != Gesture::Idle,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, keys_of_floor));
    let camera = look(shown, view, rect);
    let camera = zoom_and_pan(ui, &response, view, camera);
    view.camera = Some(camera);
    let for_picture = tracing::has_pointer(view);
    if for_picture {
        tracing::pointer(ui, &response, shown, &mut view.tracing, &camera, actions);
    } else if measures(shown, view) && view.gesture == Gesture::Idle {
        measure::pointer(ui, &response, shown, &mut view.measure, &camera);
    } else {
        pointer(ui, &response, shown, view, camera, actions);
    }
    if response.has_focus() || shown_floor_keys(ui) {
        keys(ui, shown, view, &camera, actions);
    }
    let painter = ui.painter_at(rect);
    paint::paint(&painter, shown, view, &on_show, &camera);
    // A click meant for the picture or the tape must not pick the thing that stands there.
    if !for_picture {
        let sense = if measures(shown, view) {
            Sense::hover()
        } else {
            Sense::CLICK
        };
        things(ui, &response, shown, (&camera, sense), actions);
        ghosts::nodes(ui, &response, shown, &camera, actions);
    }
    tracing::node(ui, &response, shown, &view.tracing);
    typed_node(ui, &response, shown, view);
    if view.gesture == Gesture::Idle {
        empty::hint(ui, rect, shown);
    }
    measure::node(ui, &response, shown, &view.measure);
    walls::nodes(
        ui,
        &response,
        shown,
        &camera,
        (&mut view.walls, &view.gesture),
        actions,
    );
}

/// True where the pointer is the tape's: nothing else waits to be drawn on the floor.
fn measures(shown: &Shown<'_>, view: &FloorView) -> bool {
    view.measure.is_on() && !shown.filling.is_marking() && view.walls.draw.is_none()
}

/// Says to screen readers what is typed while something is dragged; it is painted beside the thing.
fn typed_node(ui: &Ui, floor: &Response, shown: &Shown<'_>, view: &FloorView) {
    if let Gesture::Drag { typed, .. } | Gesture::Carry { typed, .. } = &view.gesture
        && !typed.text.is_empty()
    {
        let at = Rect::from_center_size(floor.rect.center_bottom(), egui::Vec2::ZERO);
        let node = ui.interact(at, floor.id.with("typed"), Sense::hover());
        let words = typed.words(shown.plan);
        node.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    }
}

/// True where keys mean the floor: nothing else wants the keyboard.
fn shown_floor_keys(ui: &Ui) -> bool {
    !ui.ctx().egui_wants_keyboard_input() && ui.memory(|m| m.focused().is_none())
}

fn overlay_bar(ui: &mut Ui, shown: &Shown<'_>, view: &mut FloorView, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        // In a small window closer together, so that they stay in one row.
        let wide = ui.available_width() > 700.0;
        if !wide {
            ui.spacing_mut().item_spacing.x = 3.0;
        }
        ui.add_space(if wide { 12.0 } else { 4.0 });
        overlay::bar(ui, view);
        ui.add_space(if wide { 8.0 } else { 2.0 });
        measure::bar(ui, shown, &view.measure, actions);
    });
}

fn look(shown: &Shown<'_>, view: &mut FloorView, rect: Rect) -> Camera {
    // What a drag makes of the room must not move the floor under the pointer.
    let walls = matches!(view.gesture, Gesture::Wall { .. } | Gesture::Draw { .. });
    view.camera.filter(|_| view.held || walls).map_or_else(
        || Camera::fitting(shown.layout.room().bounds(), rect),
        |camera| camera.in_view(rect),
    )
}

fn zoom_and_pan(ui: &Ui, response: &Response, view: &mut FloorView, camera: Camera) -> Camera {
    let mut camera = camera;
    if let Some(at) = response.hover_pos() {
        let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta().y, i.zoom_delta()));
        let factor = (scroll * 0.003).exp() * pinch;
        if (factor - 1.0).abs() > 1e-4 {
            camera = camera.zoomed(factor, at);
            view.held = true;
        }
    }
    let pushing = response.dragged_by(PointerButton::Middle)
        || response.dragged_by(PointerButton::Secondary)
        || view.gesture == Gesture::Pan;
    if pushing {
        camera = camera.pushed(response.drag_delta());
        view.held = true;
    }
    camera
}

/// One frame of the pointer: begins, follows and ends gestures.
fn pointer(
    ui: &Ui,
    response: &Response,
    shown: &Shown<'_>,
    view: &mut FloorView,
    camera: Camera,
    actions: &mut Actions,
) {
    let (pointer, press, released, free, in_phase) = ui.input(|i| {
        (
            i.pointer.latest_pos(),
            i.pointer.press_origin(),
            i.pointer.primary_released(),
            i.key_down(Key::F),
            i.key_down(Key::P),
        )
    });
    if response.drag_started_by(PointerButton::Primary)
        && view.gesture == Gesture::Idle
        && let Some(press) = press
    {
        response.request_focus();
        view.gesture = begin(ui, shown, &mut view.walls, &camera, press, actions);
    }
    let over_floor = pointer.filter(|p| response.rect.contains(*p));
    let away = pointer.is_some_and(|p| view.not_floor.is_some_and(|rect| rect.contains(p)));
    match &mut view.gesture {
        Gesture::Drag {
            to,
            from,
            free: f,
            from_phase,
            ..
        } => {
            *from_phase = in_phase && shown.phase() > PhaseNo(1);
            if let (Some(total), true) = (response.total_drag_delta(), response.dragged()) {
                *to = *from + camera.drag(total);
            }
            *f = free;
            if away {
                if *to != *from {
                    // It is back in its place in the next frame, which the pointer need not ask for.
                    ui.ctx().request_repaint();
                }
                // Not even drawn to a neighbour.
                (*to, *f) = (*from, true);
            }
        }
        Gesture::Wall {
            to, from, free: f, ..
        } => {
            if let (Some(total), true) = (response.total_drag_delta(), response.dragged()) {
                *to = *from + camera.drag(total);
            }
            *f = free;
        }
        Gesture::Marquee { to, .. } | Gesture::Draw { to, .. } => {
            if let Some(p) = pointer {
                *to = camera.to_floor(p);
            }
        }
        Gesture::Carry { at, free: f, .. } => {
            *at = over_floor.map(|p| camera.to_floor(p));
            *f = free;
        }
        Gesture::Idle | Gesture::Pan => {}
    }
    // Escape ends a drag while the button is still down: that leaves it, and drops nothing.
    let left = response.drag_stopped() && ui.input(|i| i.pointer.primary_down());
    if left && view.gesture != Gesture::Idle {
        view.gesture = Gesture::Idle;
        view.walls.draw = None;
    }
    let ends = match &view.gesture {
        Gesture::Carry { .. } => released,
        Gesture::Drag { .. }
        | Gesture::Marquee { .. }
        | Gesture::Pan
        | Gesture::Wall { .. }
        | Gesture::Draw { .. } => response.drag_stopped(),
        Gesture::Idle => false,
    };
    if ends && away && matches!(view.gesture, Gesture::Drag { .. }) {
        view.gesture = Gesture::Idle;
    } else if ends {
        end(shown, view, &camera, actions);
    }
    if response.clicked() {
        click(ui, response, shown, &mut view.walls, &camera, actions);
    }
}

/// What a press that became a drag begins.
fn begin(
    ui: &Ui,
    shown: &Shown<'_>,
    tools: &mut WallTools,
    camera: &Camera,
    press: Pos2,
    actions: &mut Actions,
) -> Gesture {
    let from = camera.to_floor(press);
    let (space, adding) = ui.input(|i| {
        (
            i.key_down(Key::Space),
            i.modifiers.shift || i.modifiers.command,
        )
    });
    if space {
        return Gesture::Pan;
    }
    if shown.filling.is_marking() {
        return Gesture::Marquee { from, to: from };
    }
    if let Some(shape) = tools.draw.filter(|_| !shown.read_only) {
        tools.chosen = None;
        return Gesture::Draw {
            shape,
            from,
            to: from,
            typed: TypedSize::default(),
        };
    }
    let Some(id) = hit::under(shown.layout, from, camera.mm(8.0)) else {
        let wall = walls::under(shown, from, camera).filter(|_| tools.open && !shown.read_only);
        return wall.map_or(Gesture::Marquee { from, to: from }, |wall| {
            tools.chosen = Some(wall);
            Gesture::Wall {
                wall,
                from,
                to: from,
                free: false,
                typed: Typed::default(),
            }
        });
    };
    let ids: Vec<Id> = if shown.selection.has(id) {
        shown.selection.iter().collect()
    } else if adding {
        shown.selection.iter().chain([id]).collect()
    } else {
        vec![id]
    };
    actions.ask(Action::Select(Selection::of(
        ids.iter().copied().filter(|i| *i != id).chain([id]),
    )));
    let loose: Vec<Id> = ids
        .into_iter()
        .filter(|id| {
            shown
                .plan
                .items()
                .get(*id)
                .is_some_and(|i| !i.presence().pinned)
        })
        .collect();
    if shown.read_only || loose.is_empty() {
        return Gesture::Idle;
    }
    Gesture::Drag {
        ids: loose,
        from,
        to: from,
        free: false,
        typed: Typed::default(),
        from_phase: false,
    }
}

/// A release: one edit at most.
fn end(shown: &Shown<'_>, view: &mut FloorView, camera: &Camera, actions: &mut Actions) {
    let gesture = std::mem::take(&mut view.gesture);
    if let Gesture::Marquee { from, to } = gesture {
        if shown.filling.is_marking() {
            actions.ask(Action::Fill(FillAction::Part(Some((from, to)))));
            return;
        }
        actions.ask(Action::Select(Selection::of(hit::within(
            shown.layout,
            from,
            to,
        ))));
        return;
    }
    if matches!(gesture, Gesture::Draw { .. }) {
        view.walls.draw = None;
    }
    view.walls.chosen = view.walls.moved.take().or(view.walls.chosen);
    actions.ask(Action::Drop(gesture, camera.mm(1.0)));
}

fn click(
    ui: &Ui,
    response: &Response,
    shown: &Shown<'_>,
    tools: &mut WallTools,
    camera: &Camera,
    actions: &mut Actions,
) {
    response.request_focus();
    let Some(at) = response.interact_pointer_pos() else {
        return;
    };
    let adding = ui.input(|i| i.modifiers.shift || i.modifiers.command);
    let hit = hit::under(shown.layout, camera.to_floor(at), camera.mm(8.0));
    let wall = walls::under(shown, camera.to_floor(at), camera);
    tools.chosen = wall.filter(|_| tools.open && hit.is_none());
    if let (Some(wall), true) = (tools.chosen, response.double_clicked())
        && !shown.read_only
        && let Some(change) = walls::split_at(shown, wall, camera.to_floor(at))
    {
        tools.ask(shown, &change, actions);
    }
    let selection = match hit {
        Some(id) if adding => shown.selection.toggled(id),
        Some(id) => Selection::one(id),
        None if adding => shown.selection.clone(),
        None => Selection::default(),
    };
    actions.ask(Action::Select(selection));
}

/// The keys of the floor: nudge, turn, step from thing to thing, leave a gesture.
fn keys(ui: &Ui, shown: &Shown<'_>, view: &mut FloorView, camera: &Camera, actions: &mut Actions) {
    let pressed = |modifiers: Modifiers, key: Key| ui.input_mut(|i| i.consume_key(modifiers, key));
    if view.gesture != Gesture::Idle {
        if pressed(Modifiers::NONE, Key::Escape) {
            view.gesture = Gesture::Idle;
            view.walls.draw = None;
        }
        if let Gesture::Carry { turn, .. } = &mut view.gesture
            && pressed(Modifiers::NONE, Key::R)
        {
            *turn = Some(turn.unwrap_or_default() + Angle::QUARTER);
        }
        if let Gesture::Draw { typed, .. } = &mut view.gesture {
            if typed.take(ui, shown.layout) {
                end(shown, view, camera, actions);
            }
            return;
        }
        if let Gesture::Wall { typed, .. } = &mut view.gesture {
            if typed.take(ui, shown.layout, None) {
                end(shown, view, camera, actions);
            }
            return;
        }
        if let Gesture::Drag { typed, .. } | Gesture::Carry { typed, .. } = &mut view.gesture {
            let lead = shown.selection.lead().and_then(|id| shown.layout.part(id));
            let body = lead.and_then(|part| part.solid.as_ref()).map(|s| &s.shape);
            if typed.take(ui, shown.layout, body) {
                end(shown, view, camera, actions);
            }
        }
        return;
    }
    for (modifiers, step) in [
        (Modifiers::SHIFT, step_of(shown, 12)),
        (Modifiers::ALT, fine_step(shown.plan)),
        (Modifiers::NONE, step_of(shown, 1)),
    ] {
        for (key, x, y) in [
            (Key::ArrowLeft, -1, 0),
            (Key::ArrowRight, 1, 0),
            (Key::ArrowUp, 0, 1),
            (Key::ArrowDown, 0, -1),
        ] {
            if let (Some(wall), true) = (view.walls.chosen, shown.selection.is_empty())
                && modifiers.is_none()
                && pressed(modifiers, key)
                && let Some(change) = walls::nudged(shown, wall, (x, y))
            {
                view.walls.ask(shown, &change, actions);
            }
            if let Some(edit) = written::nudged(shown, (step * x, step * y))
                && pressed(modifiers, key)
            {
                actions.edit(edit);
            }
            // A dimension alone moves across its line only: along it, its ends would measure something else.
            let stays = written::only_a_dimension(shown);
            if !shown.selection.is_empty() && pressed(modifiers, key) && !stays {
                let ids: Vec<Id> = shown
                    .selection
                    .iter()
                    .filter(|id| {
                        let item = shown.plan.items().get(*id);
                        item.is_some_and(|i| !i.presence().pinned)
                    })
                    .collect();
                if !ids.is_empty() {
                    actions.edit(Edit::Move(ids, (step * x, step * y)));
                }
            }
        }
    }
    for (key, forward) in [(Key::PageDown, true), (Key::PageUp, false)] {
        if pressed(Modifiers::NONE, key) {
            actions.ask(Action::Select(next_thing(shown, forward)));
        }
    }
    if pressed(Modifiers::NONE, Key::R) {
        actions.command(Command::TurnLeft);
    }
}

fn step_of(shown: &Shown<'_>, times: i32) -> Length {
    grid_step(shown.plan) * times
}

/// The thing after or before the selected one, by mark.
fn next_thing(shown: &Shown<'_>, forward: bool) -> Selection {
    let ids: Vec<Id> = shown.layout.parts().map(|p| p.id).collect();
    let now = shown
        .selection
        .lead()
        .and_then(|lead| ids.iter().position(|id| *id == lead));
    let count = ids.len().max(1);
    let next = match now {
        None => 0,
        Some(k) if forward => (k + 1) % count,
        Some(k) => (k + count - 1) % count,
    };
    ids.get(next)
        .map_or_else(Selection::default, |id| Selection::one(*id))
}

/// A node for every thing on the floor, so that screen readers and tests can name, find and click it.
fn things(
    ui: &Ui,
    floor: &Response,
    shown: &Shown<'_>,
    (camera, sense): (&Camera, Sense),
    actions: &mut Actions,
) {
    for part in shown.layout.parts() {
        let rect =
            written::note_rect(shown, part, camera).unwrap_or_else(|| screen_rect(part, camera));
        if !rect.intersects(floor.rect) {
            continue;
        }
        let id = floor.id.with(("thing", part.id));
        let response = ui.interact(rect.intersect(floor.rect), id, sense);
        let selected = shown.selection.has(part.id);
        response.widget_info(|| {
            WidgetInfo::selected(Role::Button, true, selected, thing_name(shown, part))
        });
        if response.clicked() {
            // The pointer may have landed on something that lies above within the same box.
            let at = response.interact_pointer_pos().map(|p| camera.to_floor(p));
            let hit = at.and_then(|at| hit::under(shown.layout, at, camera.mm(8.0)));
            let target = if at.is_some() { hit } else { Some(part.id) };
            let adding = ui.input(|i| i.modifiers.shift || i.modifiers.command);
            floor.request_focus();
            actions.ask(Action::Select(match target {
                Some(id) if adding => shown.selection.toggled(id),
                Some(id) => Selection::one(id),
                None => Selection::default(),
            }));
        }
    }
}

fn screen_rect(part: &Part, camera: &Camera) -> Rect {
    let points: Vec<Pos2> = hit::outline(part).map_or_else(
        || vec![camera.to_screen(part.spot)],
        |shape| {
            shape
                .points()
                .iter()
                .map(|p| camera.to_screen(*p))
                .collect()
        },
    );
    let rect = Rect::from_points(&points);
    let short = (egui::vec2(16.0, 16.0) - rect.size()).max(egui::Vec2::ZERO);
    rect.expand2(short * 0.5)
}

/// The accessible name of a thing: what it is, its mark, where it stands, what it holds.
fn thing_name(shown: &Shown<'_>, part: &Part) -> String {
    let practice = shown.practice();
    let origin = shown.plan.room().datum_corner();
    let corner = part
        .solid
        .as_ref()
        .map_or(part.spot, |s| s.shape.bounds().low);
    let (x, y) = (corner.x - origin.x, corner.y - origin.y);
    let place = format!(
        "at {}, {}",
        Length::from_mm(x).shown(practice),
        Length::from_mm(y).shown(practice)
    );
    let holds = match part.kind {
        ItemKind::Rack => {
            let printers = part.slots().iter().filter(|s| s.printer.is_some()).count();
            format!(", {printers} printers")
        }
        ItemKind::Outlet => match shown.plan.items().get(part.id) {
            Some(Item::Outlet(o)) => o
                .circuit
                .map_or(", no circuit".to_owned(), |c| format!(", circuit {c}")),
            _ => String::new(),
        },
        ItemKind::Door
        | ItemKind::Window
        | ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Cooling
        | ItemKind::Fitting(_)
        | ItemKind::Overhead(_)
        | ItemKind::Light
        | ItemKind::Camera
        | ItemKind::Furniture(_)
        | ItemKind::Zone
        | ItemKind::Ups => String::new(),
        ItemKind::Dimension | ItemKind::Note => written::words(shown, part),
    };
    let mut word = part.kind.word().to_owned();
    if let Some(first) = word.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    format!("{word} {} {place}{holds}, on the floor", part.id)
}

/// The place on the floor to put something without a pointer: the first free place along the walls, else the middle.
pub fn sensible_place(shown: &Shown<'_>, entry: &StockEntry) -> Point {
    let middle = shown.layout.room().bounds().centre();
    let candidates = shown.layout.walls().flat_map(|wall| {
        let count = (wall.length / 150.0).floor().max(1.0).min(400.0);
        std::iter::successors(Some(0.5), move |k| (k + 1.0 < count).then_some(k + 1.0))
            .map(move |k| wall.point(wall.length * k / count, 380.0))
    });
    let is_rack = matches!(entry, StockEntry::Rack(..) | StockEntry::Ups(_));
    if !is_rack {
        return middle;
    }
    candidates
        .into_iter()
        .find(|at| {
            put(shown.layout, entry, *at, None)
                .and_then(|(edit, id)| fits_there(shown, &edit, id))
                .unwrap_or(false)
        })
        .unwrap_or(middle)
}

/// True where the thing would stand without a must-fix of its own.
fn fits_there(shown: &Shown<'_>, edit: &Edit, id: Id) -> Option<bool> {
    let plan = shown.plan.edited(&shown.library.stock, edit).ok()?;
    let layout = shown.layout.step(shown.library, &std::sync::Arc::new(plan));
    let findings = crate::checks::Findings::of(&layout);
    let bodily = [
        "fits",
        "service-strip",
        "door-swing",
        "panel-space",
        "keep-out",
    ];
    let clear = !findings
        .about(id)
        .any(|f| f.stops() && bodily.contains(&f.check));
    Some(clear)
}
