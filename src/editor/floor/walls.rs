//! The walls as things to be taken hold of: which is chosen, what a drag of one or of a new room means, and how they are shown
//! while the room's panel is open. Sends edits, writes nothing.

use egui::{Rect, Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2};

use super::paint::Brush;
use super::{Camera, Gesture, Typed, gesture, hit};
use crate::editor::action::{Action, Actions};
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::line;
use crate::geometry::{Convex, Point, Polygon};
use crate::layout::{Layout, Wall};
use crate::plan::{Library, Plan, Quarter, Rebuild, l_shape_at, rectangle_at};
use crate::units::Length;

/// A shape that a room can be drawn as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shape {
    /// A rectangle.
    #[default]
    Rectangle,
    /// A rectangle without one of its quarters.
    L,
}

impl Shape {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Rectangle, Self::L];

    /// As it is called.
    pub fn word(self) -> &'static str {
        match self {
            Self::Rectangle => "rectangle",
            Self::L => "L",
        }
    }
}

/// What the floor knows of working on walls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WallTools {
    /// True while the room's panel is open: walls can be chosen and dragged.
    pub open: bool,
    /// The wall that is chosen.
    pub chosen: Option<usize>,
    /// What the next drag over the floor draws.
    pub draw: Option<Shape>,
    /// Why what is dragged now cannot be dropped.
    pub refused: Option<String>,
    /// What dropping it would let go of.
    pub lets_go: Option<String>,
    /// The place of the dragged wall among the walls as they would be.
    pub moved: Option<usize>,
}

impl WallTools {
    /// Follows the panel and the plan: nothing is chosen or drawn without the panel, nor a wall that is gone.
    pub fn follow(&mut self, open: bool, plan: &Plan) {
        self.open = open;
        if !open {
            self.draw = None;
        }
        self.chosen = self.chosen.filter(|k| open && *k < plan.room().walls());
    }

    /// Follows a drag: what dropping it here would mean.
    pub fn foresee(&mut self, gesture: &Gesture, library: &Library, layout: &Layout) {
        let room = layout.plan().room();
        let change = change(gesture, layout);
        self.refused = refusal(gesture, library, layout);
        self.lets_go = change.as_ref().and_then(|change| room.lets_go(change));
        self.moved = match (gesture, &change) {
            (Gesture::Wall { wall, .. }, Some(change)) if self.refused.is_none() => {
                Some(room.wall_after(change, *wall))
            }
            _ => None,
        };
    }

    /// Asks for a change of the walls that keeps the same wall chosen, or says why there can be none.
    pub(super) fn ask(&mut self, shown: &Shown<'_>, change: &Rebuild, actions: &mut Actions) {
        let room = shown.plan.room();
        if ask_for(shown, change, actions) {
            self.chosen = self.chosen.map(|k| room.wall_after(change, k));
        }
    }
}

/// What is typed while a room is drawn: its width, and after Tab its length.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TypedSize {
    sides: [Typed; 2],
    at_length: bool,
}

impl TypedSize {
    /// Takes the keys of a frame; true for Enter, which draws it.
    pub(super) fn take(&mut self, ui: &Ui, layout: &Layout) -> bool {
        let Some(side) = self.sides.get_mut(usize::from(self.at_length)) else {
            return false;
        };
        let before = side.far;
        let enter = side.take(ui, layout, None);
        self.at_length ^= side.far != before;
        enter
    }

    /// Where the drag would end for the sizes typed.
    fn end(&self, plan: &Plan, from: Point, to: Point) -> Point {
        let [width, length] = &self.sides;
        let step = gesture::step(plan).mm();
        let side = |typed: &Typed, from: f64, to: f64| match typed.length(plan) {
            Some(length) if to < from => (from / step).round() * step - length.mm(),
            Some(length) => (from / step).round() * step + length.mm(),
            None => (to / step).round() * step,
        };
        Point::new(side(width, from.x, to.x), side(length, from.y, to.y))
    }

    /// What is typed, in words.
    fn words(&self) -> Option<String> {
        let [width, length] = &self.sides;
        match (width.text.as_str(), length.text.as_str()) {
            ("", "") => None,
            (width, "") => Some(format!("{width} wide")),
            ("", length) => Some(format!("{length} long")),
            (width, length) => Some(format!("{width} wide, {length} long")),
        }
    }
}

/// A wall is taken hold of within so many points of its inner face.
const REACH_POINTS: f32 = 7.0;

/// Sides of a drawn room below this were no drag that anybody meant.
const LEAST_MM: f64 = 300.0;

/// The wall at a place of the floor: on its face or in its thickness.
pub(super) fn under(shown: &Shown<'_>, at: Point, camera: &Camera) -> Option<usize> {
    let reach = camera.mm(REACH_POINTS);
    let room = shown.plan.room();
    let near = shown.layout.walls().filter_map(|wall| {
        let (along, out) = (
            (at - wall.start).dot(wall.along),
            -(at - wall.start).dot(wall.inward),
        );
        let thick = room.wall_thickness(wall.number).mm();
        let beside = (0.0..=wall.length).contains(&along);
        (beside && out >= -reach && out <= thick.max(reach)).then_some((out.abs(), wall.number))
    });
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, k)| k)
}

/// What a drag of a wall is measured by: the length of a neighbour, or how deep the step is where that goes straight on.
struct Follows {
    wall: usize,
    length_mm: f64,
    /// What it grows by for each millimetre that the wall moves out.
    pace: f64,
}

fn follows(room: &Polygon, wall: usize, far: bool) -> Option<Follows> {
    const STRAIGHT_ON: f64 = 0.02;
    let n = room.points().len();
    let outward = -Wall::of(room, wall)?.inward;
    let number = (wall + if far { 1 } else { n - 1 }) % n;
    let neighbour = Wall::of(room, number)?;
    // From the far end of the neighbour to the wall.
    let towards = if far {
        -neighbour.along
    } else {
        neighbour.along
    };
    let steep = towards.dot(outward);
    Some(if steep.abs() > STRAIGHT_ON {
        Follows {
            wall: number,
            length_mm: neighbour.length,
            pace: 1.0 / steep,
        }
    } else {
        Follows {
            wall,
            length_mm: 0.0,
            pace: 1.0,
        }
    })
}

/// How far out a wall is dragged: so that its neighbour's length is whole steps of the grid, or the length typed.
fn out_of_drag(
    layout: &Layout,
    wall: usize,
    (from, to): (Point, Point),
    free: bool,
    typed: &Typed,
) -> Option<Length> {
    let outward = -Wall::of(layout.room(), wall)?.inward;
    let dragged = (to - from).dot(outward);
    let by = follows(layout.room(), wall, typed.far)?;
    let step = gesture::step(layout.plan()).mm();
    let raw = by.length_mm + dragged * by.pace;
    let wanted = match typed.length(layout.plan()) {
        // A step is as deep as typed, on the side that it was dragged to.
        Some(length) if by.length_mm <= 0.0 => length.mm() * dragged.signum(),
        Some(length) => length.mm(),
        None if free => raw,
        None => (raw / step).round() * step,
    };
    let still = typed.text.is_empty() && dragged.abs() < step * 0.5;
    let out = Length::from_mm((wanted - by.length_mm) / by.pace);
    (!still && out != Length::ZERO).then_some(out)
}

/// The corners that a drag from one to the other draws; the notch of an L lies where the drag ends.
fn drawn(layout: &Layout, shape: Shape, from: Point, to: Point) -> Option<Vec<(Length, Length)>> {
    let step = gesture::step(layout.plan()).mm();
    let whole = |p: Point| (p / step).round() * step;
    // What is typed need not be whole steps.
    let (a, b) = (whole(from), to);
    let (low, high) = (a.min(b), a.max(b));
    let size = high - low;
    if size.min_element() < LEAST_MM {
        return None;
    }
    let length = |p: Point| (Length::from_mm(p.x), Length::from_mm(p.y));
    let (width, depth) = length(size);
    match shape {
        Shape::Rectangle => Some(rectangle_at(length(low), width, depth)),
        Shape::L => {
            let quarter = match (b.x > a.x, b.y > a.y) {
                (true, true) => Quarter::UpperRight,
                (false, true) => Quarter::UpperLeft,
                (true, false) => Quarter::LowerRight,
                (false, false) => Quarter::LowerLeft,
            };
            let notch = whole(size / 3.0).max(Point::splat(step));
            l_shape_at(length(low), (width, depth), length(notch), quarter)
        }
    }
}

/// The change of the walls that a release would make now; `None` where it would change nothing.
pub(super) fn change(gesture: &Gesture, layout: &Layout) -> Option<Rebuild> {
    match gesture {
        Gesture::Wall {
            wall,
            from,
            to,
            free,
            typed,
        } => Some(Rebuild::Shift {
            wall: *wall,
            out: out_of_drag(layout, *wall, (*from, *to), *free, typed)?,
        }),
        Gesture::Draw {
            shape,
            from,
            to,
            typed,
        } => {
            let to = typed.end(layout.plan(), *from, *to);
            Some(Rebuild::Outline(drawn(layout, *shape, *from, to)?))
        }
        Gesture::Idle
        | Gesture::Pan
        | Gesture::Drag { .. }
        | Gesture::Marquee { .. }
        | Gesture::Carry { .. } => None,
    }
}

/// Why what is dragged cannot be dropped, if it cannot.
pub fn refusal(gesture: &Gesture, library: &Library, layout: &Layout) -> Option<String> {
    let change = change(gesture, layout)?;
    let edit = layout.plan().rebuilt(&library.stock, &change);
    match edit.map(|edit| layout.plan().edited(&library.stock, &edit)) {
        Ok(Ok(_)) => None,
        Ok(Err(refused)) => Some(refused.to_string()),
        Err(why) => Some(why),
    }
}

/// Asks for a change of the walls, or says why there can be none; true where it was asked for.
pub fn ask_for(shown: &Shown<'_>, change: &Rebuild, actions: &mut Actions) -> bool {
    match shown.plan.rebuilt(&shown.library.stock, change) {
        Ok(edit) => {
            actions.edit(edit);
            true
        }
        Err(why) => {
            actions.ask(Action::Say(crate::units::capital(&format!("{why}."))));
            false
        }
    }
}

/// The split of a wall at a place of the floor, in whole steps of the grid from its first corner.
pub(super) fn split_at(shown: &Shown<'_>, wall: usize, at: Point) -> Option<Rebuild> {
    let wall = Wall::of(shown.layout.room(), wall)?;
    let step = gesture::step(shown.plan).mm();
    let along = ((at - wall.start).dot(wall.along) / step).round() * step;
    Some(Rebuild::Split {
        wall: wall.number,
        along: Length::from_mm(along),
    })
}

/// The chosen wall moved by a step towards an arrow's direction.
pub(super) fn nudged(shown: &Shown<'_>, wall: usize, (x, y): (i32, i32)) -> Option<Rebuild> {
    let outward = -Wall::of(shown.layout.room(), wall)?.inward;
    let share = outward.dot(Point::new(f64::from(x), f64::from(y)));
    let step = gesture::step(shown.plan);
    (share.abs() > 0.5).then_some(Rebuild::Shift {
        wall,
        out: if share > 0.0 { step } else { -step },
    })
}

/// The wall's name, number and length for people.
pub fn wall_words(plan: &Plan, wall: usize, length_mm: f64) -> String {
    let room = plan.room();
    format!(
        "Wall {}, {}, {}",
        room.wall_number(wall),
        room.wall_name(wall),
        Length::from_mm(length_mm).shown(plan.practice())
    )
}

/// A node for every wall, so that it can be named, found and chosen; and one for what is typed.
pub(super) fn nodes(
    ui: &Ui,
    floor: &Response,
    shown: &Shown<'_>,
    camera: &Camera,
    (tools, gesture): (&mut WallTools, &Gesture),
    actions: &mut Actions,
) {
    if !tools.open {
        return;
    }
    for wall in shown.layout.walls() {
        let thick = shown.plan.room().wall_thickness(wall.number).mm();
        let middle = camera.to_screen(wall.point(wall.length * 0.5, -thick * 0.5));
        let rect = Rect::from_center_size(middle, Vec2::splat(26.0)).intersect(floor.rect);
        if !rect.is_positive() {
            continue;
        }
        let response = ui.interact(rect, floor.id.with(("wall", wall.number)), Sense::CLICK);
        let chosen = tools.chosen == Some(wall.number);
        let name = format!(
            "{}, on the floor",
            wall_words(shown.plan, wall.number, wall.length)
        );
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
        if response.clicked() {
            floor.request_focus();
            // A door or an outlet may lie on the wall's middle.
            let at = response.interact_pointer_pos().map(|p| camera.to_floor(p));
            let thing = at.and_then(|at| hit::under(shown.layout, at, camera.mm(8.0)));
            tools.chosen = thing.is_none().then_some(wall.number);
            let selection = thing.map_or_else(Selection::default, Selection::one);
            actions.ask(Action::Select(selection));
        }
        if response.double_clicked() && !shown.read_only {
            let at = response.interact_pointer_pos().map(|p| camera.to_floor(p));
            if let Some(change) = at.and_then(|at| split_at(shown, wall.number, at)) {
                tools.ask(shown, &change, actions);
            }
        }
    }
    let typed = match gesture {
        Gesture::Wall { typed, .. } => Some(&typed.text).filter(|text| !text.is_empty()).cloned(),
        Gesture::Draw { typed, .. } => typed.words(),
        Gesture::Idle
        | Gesture::Pan
        | Gesture::Drag { .. }
        | Gesture::Marquee { .. }
        | Gesture::Carry { .. } => None,
    };
    let typed = typed.map(|text| format!("typed: {text}"));
    let words = tools.refused.clone().or(typed).or(tools.lets_go.clone());
    if let Some(words) = words {
        let at = Rect::from_center_size(floor.rect.center_bottom(), Vec2::ZERO);
        let node = ui.interact(at, floor.id.with("wall words"), Sense::hover());
        node.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    }
}

/// Paints each wall's number and length, the chosen wall, and what a drag would make.
pub(super) fn paint(brush: &Brush<'_>, tools: &WallTools, gesture: &Gesture) {
    if !tools.open {
        return;
    }
    for wall in brush.shown.layout.walls() {
        label(brush, tools, gesture, &wall);
    }
    let hint = match (gesture, tools.draw) {
        (Gesture::Wall { .. }, _) => {
            "type the new length, Tab: of the other neighbour · hold F: nothing snaps · Esc: leave it where it was"
        }
        (Gesture::Draw { .. }, _) => {
            "let go: this is the room · type its width, Tab: its length · Esc: leave it as it was"
        }
        (_, Some(Shape::Rectangle)) => {
            "drag from one corner of the room to the other · Esc leaves it"
        }
        (_, Some(Shape::L)) => {
            "drag from corner to corner; the notch lies where the drag ends · Esc leaves it"
        }
        (_, None) => return,
    };
    let at = brush.camera.view().center_bottom() - vec2(0.0, 14.0);
    brush.plate(at, hint, brush.colours.ink);
    if let Some(why) = &tools.refused {
        brush.plate(at - vec2(0.0, 22.0), why, brush.colours.broken.text);
    } else if let Some(what) = &tools.lets_go {
        brush.plate(at - vec2(0.0, 22.0), what, brush.colours.caution.text);
    }
}

fn label(brush: &Brush<'_>, tools: &WallTools, gesture: &Gesture, wall: &Wall) {
    let plan = brush.shown.plan;
    let thick = plan.room().wall_thickness(wall.number).mm();
    if tools.moved.or(tools.chosen) == Some(wall.number) {
        let corners = [
            (0.0, 0.0),
            (wall.length, 0.0),
            (wall.length, -thick),
            (0.0, -thick),
        ];
        let band = corners.map(|(along, out)| wall.point(along, out)).to_vec();
        let tone = brush.colours.selection;
        let stroke = Stroke::new(line::SELECTION, tone.line);
        if let Some(shape) = Convex::new(band) {
            brush.fill(&shape, tone.wash, stroke);
        }
        let ends = [
            brush.at(wall.point(0.0, 0.0)),
            brush.at(wall.point(wall.length, 0.0)),
        ];
        brush.painter.line_segment(ends, stroke);
    }
    if brush.camera.points(wall.length) < 46.0 {
        return;
    }
    let typed = match gesture {
        Gesture::Wall {
            wall: moved, typed, ..
        } if !typed.text.is_empty() => follows(
            brush.shown.layout.room(),
            tools.moved.unwrap_or(*moved),
            typed.far,
        )
        .filter(|by| by.wall == wall.number)
        .map(|_| format!("{} = {}", plan.room().wall_number(wall.number), typed.text)),
        Gesture::Wall { .. }
        | Gesture::Draw { .. }
        | Gesture::Idle
        | Gesture::Pan
        | Gesture::Drag { .. }
        | Gesture::Marquee { .. }
        | Gesture::Carry { .. } => None,
    };
    let colour = if typed.is_some() {
        brush.colours.measure.text
    } else {
        brush.colours.ink
    };
    let words = typed.unwrap_or_else(|| {
        let length = Length::from_mm(wall.length).shown(plan.practice());
        format!("{} · {length}", plan.room().wall_number(wall.number))
    });
    let off = if wall.along.y.abs() > 0.7 { 40.0 } else { 14.0 };
    let at = brush.at(wall.point(wall.length * 0.5, brush.camera.mm(off)));
    brush.plate(at, &words, colour);
}
