//! The picture under the floor on the floor view: drawn beneath everything, and moved or marked by the pointer while its tool is in
//! hand. Asks for edits, writes nothing.

use egui::{
    Key, Mesh, Modifiers, Pos2, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2,
};

use super::paint::Brush;
use super::{Camera, FloorView};
use crate::editor::action::Actions;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::editor::tracing::{Purpose, Tool, TracingView, corners, levelled, moved};
use crate::geometry::Point;
use crate::plan::{Edit, Tracing};
use crate::units::Length;

/// True while the pointer belongs to the picture.
pub(super) fn has_pointer(view: &FloorView) -> bool {
    view.tracing.tool != Tool::Rest
}

/// One step that changes where the picture lies, by its name.
pub fn step(name: &str, tracing: Tracing) -> Edit {
    Edit::Several(name.to_owned(), vec![Edit::Trace(Some(Box::new(tracing)))])
}

/// One frame of the pointer while it belongs to the picture.
pub(super) fn pointer(
    ui: &Ui,
    response: &Response,
    shown: &Shown<'_>,
    view: &mut TracingView,
    camera: &Camera,
    actions: &mut Actions,
) {
    let Some((tracing, _)) = shown.plan.traced() else {
        view.tool = Tool::Rest;
        return;
    };
    if ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape)) {
        view.tool = Tool::Rest;
        return;
    }
    match &mut view.tool {
        Tool::Rest => {}
        Tool::Move(drag) => {
            let (press, now) = ui.input(|i| (i.pointer.press_origin(), i.pointer.latest_pos()));
            if response.drag_started()
                && let Some(press) = press
            {
                let at = camera.to_floor(press);
                *drag = Some((at, at));
            }
            if let (Some((_, to)), Some(now)) = (drag.as_mut(), now) {
                *to = camera.to_floor(now);
            }
            if response.drag_stopped()
                && let Some((from, to)) = drag.take()
            {
                actions.edit(step("Move the picture", moved(tracing, to - from)));
            }
        }
        Tool::Points(purpose, points) => {
            let clicked = response.clicked().then(|| response.interact_pointer_pos());
            let Some(at) = clicked.flatten() else {
                return;
            };
            if points.len() > 1 {
                points.clear();
            }
            points.push(camera.to_floor(at));
            if let (Purpose::Level, [a, b]) = (*purpose, points.as_slice()) {
                if let Some(level) = levelled(tracing, (*a, *b)) {
                    actions.edit(step("Turn the picture", level));
                }
                view.tool = Tool::Rest;
            }
        }
    }
}

/// Draws the picture; called before anything else of the floor.
pub(super) fn paint(brush: &Brush<'_>, view: &TracingView) {
    let Some((tracing, _)) = brush.shown.plan.traced().filter(|(t, _)| !t.hidden) else {
        return;
    };
    let Some((texture, tall)) = view.drawn() else {
        return;
    };
    let tracing = match view.tool {
        Tool::Move(Some((from, to))) => moved(tracing, to - from),
        Tool::Rest | Tool::Move(None) | Tool::Points(..) => tracing.clone(),
    };
    let percent = view.opacity.unwrap_or(tracing.opacity).min(100);
    let tint = egui::Color32::WHITE.gamma_multiply(f32::from(percent) / 100.0);
    let mut mesh = Mesh::with_texture(texture);
    let uv = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    for (corner, (u, v)) in corners(&tracing, tall).into_iter().zip(uv) {
        mesh.vertices.push(egui::epaint::Vertex {
            pos: brush.at(corner),
            uv: pos2(u, v),
            color: tint,
        });
    }
    mesh.indices = vec![0, 1, 2, 0, 2, 3];
    brush.painter.add(Shape::mesh(mesh));
}

/// Draws what the tool does, over everything.
pub(super) fn paint_tool(brush: &Brush<'_>, view: &TracingView) {
    let Some((tracing, _)) = brush.shown.plan.traced() else {
        return;
    };
    match &view.tool {
        Tool::Rest => {}
        Tool::Move(_) => {
            let by = match view.tool {
                Tool::Move(Some((from, to))) => to - from,
                Tool::Rest | Tool::Move(None) | Tool::Points(..) => Point::ZERO,
            };
            if let Some((_, tall)) = view.drawn() {
                let mut edge: Vec<Pos2> = corners(&moved(tracing, by), tall)
                    .into_iter()
                    .map(|c| brush.at(c))
                    .collect();
                edge.extend(edge.first().copied());
                let stroke = Stroke::new(line::MEASURE, brush.colours.measure.line);
                brush
                    .painter
                    .extend(Shape::dashed_line(&edge, stroke, 6.0, 4.0));
            }
        }
        Tool::Points(_, points) => {
            let stroke = Stroke::new(line::MEASURE, brush.colours.measure.line);
            let on_screen: Vec<Pos2> = points.iter().map(|p| brush.at(*p)).collect();
            if let [a, b] = on_screen.as_slice() {
                brush.painter.line_segment([*a, *b], stroke);
            }
            for (at, name) in on_screen.iter().zip(["A", "B"]) {
                cross(brush, *at, stroke);
                brush.painter.text(
                    *at + egui::vec2(9.0, -9.0),
                    egui::Align2::LEFT_BOTTOM,
                    name,
                    theme::bold(text::SECTION),
                    brush.colours.measure.text,
                );
            }
        }
    }
}

fn cross(brush: &Brush<'_>, at: Pos2, stroke: Stroke) {
    const ARM: f32 = 8.0;
    for arm in [egui::vec2(ARM, 0.0), egui::vec2(0.0, ARM)] {
        brush.painter.line_segment([at - arm, at + arm], stroke);
    }
}

/// Tells screen readers of the picture and of the points marked on it.
pub(super) fn node(ui: &Ui, floor: &Response, shown: &Shown<'_>, view: &TracingView) {
    let Some((tracing, _)) = shown.plan.traced() else {
        return;
    };
    let practice = shown.practice();
    let said = |mm: f64| Length::from_mm(mm).shown(practice);
    let marked = match &view.tool {
        Tool::Points(_, points) => points.as_slice(),
        Tool::Rest | Tool::Move(_) => &[],
    };
    let marked: Vec<String> = marked
        .iter()
        .zip(["A", "B"])
        .map(|(p, name)| format!("; point {name} at {}, {}", said(p.x), said(p.y)))
        .collect();
    let words = format!(
        "Picture {} under the floor, {} wide{}",
        tracing.name,
        tracing.width.shown(practice),
        marked.concat()
    );
    let at = egui::Rect::from_center_size(floor.rect.center_top(), egui::Vec2::ZERO);
    let node = ui.interact(at, floor.id.with("picture"), Sense::hover());
    node.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
}
