//! The elevation of a wall from inside the room: what is fixed to it can be dragged along and up, what hangs before it up and down,
//! by hand or to typed measures, and what is hidden behind something is said. Measures with the layout; changes nothing itself.

mod marks;
mod overhead;
mod typed;

use egui::{
    Align2, EventFilter, Key, Modifiers, Painter, Pos2, Rect, Response, Role, Sense, Stroke,
    StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::editor::action::{Action, Actions};
use crate::editor::floor::{fine_step, grid_step};
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets;
use crate::layout::{OnFace, Overhung, Seen, WallFace};
use crate::plan::{
    Edit, FittingUse, Id, Item, ItemKind, Overhead, Plan, Record, WallEnd, WallPlace,
};
use crate::units::Length;
use typed::{Free, TypedPlace};

/// How near in points a thing is drawn to the height or edge of another.
const REACH: f32 = 7.0;
/// Height of the rows of words and measures above the wall.
const HEAD: f32 = 42.0;

/// The elevation's own state.
#[derive(Debug, Default)]
pub struct WallView {
    wall: Option<usize>,
    lead: Option<Id>,
    /// The wall that was chosen last in the room's panel.
    chosen: Option<usize>,
    slide: Option<Slide>,
}

/// A thing being dragged on its wall.
#[derive(Clone, Debug, PartialEq)]
struct Slide {
    id: Id,
    /// From the pointer to the thing's near and lower edge when it was taken hold of, in millimetres.
    grip: (f64, f64),
    /// Where the pointer has it.
    held: (Length, Length),
    /// Where it would come to lie.
    along: Length,
    height: Length,
    typed: TypedPlace,
}

impl WallView {
    /// The edit that a release would make now.
    pub fn edit(&self, plan: &Plan) -> Option<(Edit, Id)> {
        let slide = self.slide.as_ref()?;
        let item = plan.items().get(slide.id)?;
        let edit = placed(item, slide.id, slide.along, slide.height)?;
        Some((edit, slide.id))
    }

    /// Lets go of what is dragged; gives the edit that this makes.
    pub fn drop(&mut self, plan: &Plan) -> Option<(Edit, Id)> {
        let edit = self.edit(plan);
        self.slide = None;
        edit
    }

    /// Lets what is dragged go where it was.
    pub(super) fn leave(&mut self) {
        self.slide = None;
    }

    /// Follows the room's panel: turns to a wall when it is chosen there.
    pub fn follow_chosen(&mut self, chosen: Option<usize>) {
        if chosen != self.chosen {
            self.chosen = chosen;
            self.wall = chosen.or(self.wall);
        }
    }

    /// True while something is dragged.
    pub fn is_busy(&self) -> bool {
        self.slide.is_some()
    }

    /// The wall on show: that of the thing selected last, or the one turned to since; none while a rack is selected.
    pub fn wall(&mut self, shown: &Shown<'_>) -> Option<usize> {
        let lead = shown.selection.lead();
        if lead != self.lead {
            self.lead = lead;
            if let Some(id) = lead {
                self.wall = self.wall_of(shown, id);
            }
        }
        let count = shown.plan.room().walls();
        self.wall = self.wall.filter(|wall| *wall < count);
        self.wall
    }

    /// The wall that a thing is on; of what hangs under the ceiling one that it is seen before, the one on show if it can be.
    fn wall_of(&self, shown: &Shown<'_>, id: Id) -> Option<usize> {
        let item = shown.plan.items().get(id)?;
        if let Some(at) = item.wall_place() {
            return Some(usize::from(at.wall));
        }
        if !matches!(item, Item::Overhead(_)) {
            return None;
        }
        let seen = |wall: &usize| {
            let face = shown.layout.wall_face(*wall);
            face.is_some_and(|face| face.overhead.iter().any(|o| o.on.id == id))
        };
        let all = 0..shown.plan.room().walls();
        self.wall.into_iter().chain(all).find(seen)
    }

    /// Turns to a wall.
    pub fn turn_to(&mut self, wall: usize) {
        self.wall = Some(wall);
    }
}

/// The item at a place of its own wall, or what hangs under the ceiling at another height; `None` where it is there already.
fn placed(item: &Item, id: Id, along: Length, height: Length) -> Option<Edit> {
    let new = if let Item::Overhead(thing) = item {
        Item::Overhead(Overhead {
            bottom: height,
            ..thing.clone()
        })
    } else {
        let at = item.wall_place()?;
        item.with_wall_place(WallPlace { along, ..at })
            .with_wall_height(height)
    };
    (new != *item).then(|| {
        let put = Edit::Put(vec![(id, Record::Item(Box::new(new)))]);
        Edit::Several(format!("Move {id}"), vec![put])
    })
}

/// Shows a wall.
pub fn wall_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: usize,
    view: &mut WallView,
    actions: &mut Actions,
) {
    let Some(face) = shown.layout.wall_face(wall) else {
        return;
    };
    let area = ui.available_rect_before_wrap();
    head(ui, shown, &face, view);
    ui.allocate_rect(area, Sense::hover());
    let drawing = Drawing::new(area, shown, &face, palette(ui));
    let painter = ui.painter_at(area);
    let words = drawing.wall(&painter, shown);
    for body in &face.before {
        drawing.body(&painter, body);
    }
    let hidden = face.hidden();
    for thing in &face.overhead {
        let rect = drawing.overhead_rect(thing);
        let name = overhead_name(shown, thing);
        let response = node(ui, shown, thing.on.id, rect, &name);
        let hung = (&drawing, &face, &thing.on);
        follow(ui, &response, shown, hung, view, actions);
        drawing.overhead(&painter, thing);
        drawing.ring(&painter, shown, thing.on.id, &response, rect);
    }
    for thing in &face.fixed {
        let name = name_of(shown, thing, &hidden);
        let rect = drawing.rect(thing);
        let response = node(ui, shown, thing.id, rect, &name);
        let fixed = (&drawing, &face, thing);
        follow(ui, &response, shown, fixed, view, actions);
        let behind = hidden.iter().any(|(id, _)| *id == thing.id);
        drawing.thing(&painter, thing, behind);
        drawing.ring(&painter, shown, thing.id, &response, rect);
    }
    drawing.marks(&painter, &face, &words);
    let all = face.fixed.iter().chain(face.overhead.iter().map(|o| &o.on));
    for thing in all.filter(|t| shown.selection.has(t.id)) {
        drawing.measures(&painter, shown, thing);
    }
}

/// The wall's name, the buttons that turn to another, and what is hidden.
fn head(ui: &mut Ui, shown: &Shown<'_>, face: &WallFace, view: &mut WallView) {
    let count = shown.plan.room().walls();
    let now = face.wall.number;
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        ui.add_space(18.0);
        let title = format!("Elevation · {}", shown.plan.room().wall_name(now));
        widgets::section(ui, &title, "from inside");
        // From inside, the walls follow each other from right to left.
        if widgets::action_named(ui, "‹", "Wall to the left").clicked() {
            view.turn_to((now + 1) % count.max(1));
        }
        if widgets::action_named(ui, "›", "Wall to the right").clicked() {
            view.turn_to((now + count.saturating_sub(1)) % count.max(1));
        }
        if let Some(slide) = &view.slide {
            let least = grid_step(shown.plan).shown(shown.practice());
            let hint = slide.typed.hint(shown.plan, now);
            match slide.typed.words(shown.plan, now) {
                Some(words) => ui.colored_label(palette(ui).measure.text, words),
                None => ui.weak(format!("{hint} Hold F to free it from the {least} grid.")),
            };
            return;
        }
        let hidden = face.hidden();
        if let Some(words) = hidden_words(&hidden) {
            ui.colored_label(palette(ui).caution.text, words);
        }
        if face.fixed.is_empty() {
            widgets::hint(
                ui,
                "Nothing is on this wall yet. Drag an outlet, a door or a window from the stock to it.",
            );
        }
    });
}

/// What is hidden behind what: the first three.
fn hidden_words(hidden: &[(Id, Id)]) -> Option<String> {
    let few: Vec<String> = hidden
        .iter()
        .take(3)
        .map(|(thing, body)| format!("{thing} behind {body}"))
        .collect();
    let more = match hidden.len() {
        0..=3 => String::new(),
        n => format!(" and {} more", n - 3),
    };
    (!few.is_empty()).then(|| format!("Hidden: {}{more}.", few.join(", ")))
}

/// Where the wall is drawn, and at what scale.
struct Drawing {
    wall: Rect,
    length: f64,
    points_per_mm: f64,
    colours: &'static Palette,
}

impl Drawing {
    fn new(area: Rect, shown: &Shown<'_>, face: &WallFace, colours: &'static Palette) -> Self {
        let ceiling = shown.plan.room().ceiling.mm().max(500.0);
        let length = face.wall.length.max(100.0);
        let by_height = f64::from(area.height() - HEAD - 34.0) / ceiling;
        let by_width = f64::from(area.width() - 140.0) / length;
        let points_per_mm = by_height.min(by_width).max(0.005);
        let mut drawing = Self {
            wall: area,
            length,
            points_per_mm,
            colours,
        };
        let size = vec2(drawing.points(length), drawing.points(ceiling));
        let low = pos2(
            area.center().x - size.x * 0.5,
            area.bottom() - 24.0 - size.y,
        );
        drawing.wall = Rect::from_min_size(low, size);
        drawing
    }

    fn points(&self, mm: f64) -> f32 {
        widgets::on_screen(mm * self.points_per_mm)
    }

    /// A place of the wall; from inside, its first corner is at the right.
    fn at(&self, along_mm: f64, height_mm: f64) -> Pos2 {
        pos2(
            self.wall.right() - self.points(along_mm),
            self.wall.bottom() - self.points(height_mm),
        )
    }

    /// Along the wall and above the floor, in millimetres.
    fn place(&self, at: Pos2) -> (f64, f64) {
        let mm = |points: f32| f64::from(points) / self.points_per_mm;
        (mm(self.wall.right() - at.x), mm(self.wall.bottom() - at.y))
    }

    /// Where it is.
    fn true_rect(&self, thing: &OnFace) -> Rect {
        Rect::from_two_pos(
            self.at(thing.along.0, thing.heights.low),
            self.at(thing.along.1, thing.heights.high),
        )
    }

    /// Where it is drawn and taken hold of, however small it is.
    fn rect(&self, thing: &OnFace) -> Rect {
        let rect = self.true_rect(thing);
        let short = (vec2(12.0, 12.0) - rect.size()).max(egui::Vec2::ZERO);
        rect.expand2(short * 0.5)
    }

    /// The wall with its length and height; gives where these are written.
    fn wall(&self, painter: &Painter, shown: &Shown<'_>) -> [Rect; 2] {
        let edge = Stroke::new(line::BODY, self.colours.body_edge);
        painter.rect(
            self.wall,
            0.0,
            self.colours.paper,
            edge,
            StrokeKind::Outside,
        );
        let practice = shown.practice();
        let length = Length::from_mm(self.length).shown(practice);
        let height = shown.plan.room().ceiling.shown(practice);
        let font = theme::plain(text::SMALL);
        let below = painter.text(
            self.wall.center_bottom() + vec2(0.0, 4.0),
            Align2::CENTER_TOP,
            length,
            font.clone(),
            self.colours.ink_weak,
        );
        let beside = painter.text(
            self.wall.left_center() - vec2(8.0, 0.0),
            Align2::RIGHT_CENTER,
            height,
            font,
            self.colours.ink_weak,
        );
        [below, beside]
    }

    /// Something that stands before the wall: see-through, dashed.
    fn body(&self, painter: &Painter, body: &OnFace) {
        let rect = self.true_rect(body);
        let fill = self.colours.rack_body.gamma_multiply(0.35);
        painter.rect_filled(rect, 0.0, fill);
        let stroke = Stroke::new(line::EDGE, self.colours.body_edge);
        widgets::dashed(painter, rect, stroke, (6.0, 4.0));
    }

    fn thing(&self, painter: &Painter, thing: &OnFace, behind: bool) {
        let rect = self.rect(thing);
        let stroke = Stroke::new(line::BODY, self.colours.body_edge);
        let round = thing.kind == ItemKind::Outlet;
        let fill = match thing.kind {
            ItemKind::Window => self.colours.zone_jet.wash,
            ItemKind::Door => self.colours.swing,
            ItemKind::Outlet | ItemKind::Fitting(FittingUse::DataPoint) => self.colours.card,
            ItemKind::Panel
            | ItemKind::Cooling
            | ItemKind::Fitting(FittingUse::Extinguisher | FittingUse::Radiator)
            | ItemKind::Column
            | ItemKind::Overhead(_)
            | ItemKind::Light
            | ItemKind::Camera
            | ItemKind::Furniture(_)
            | ItemKind::Zone
            | ItemKind::Rack
            | ItemKind::Ups
            | ItemKind::Dimension
            | ItemKind::Note => self.colours.printer,
        };
        let radius = if round { rect.width() * 0.5 } else { 0.0 };
        painter.rect(rect, radius, fill, stroke, StrokeKind::Inside);
        if round {
            for off in [-1.8, 1.8] {
                let middle = rect.center() + vec2(off, 0.0);
                let up = vec2(0.0, 2.4);
                painter.line_segment([middle - up, middle + up], stroke);
            }
        } else if thing.kind == ItemKind::Fitting(FittingUse::Extinguisher) {
            painter.line_segment([rect.left_top(), rect.right_bottom()], stroke);
            painter.line_segment([rect.left_bottom(), rect.right_top()], stroke);
        }
        if behind {
            let stroke = Stroke::new(line::HATCH, self.colours.caution.line);
            painter.line_segment([rect.left_bottom(), rect.right_top()], stroke);
        }
    }

    /// How far what is selected lies from both corners and from the floor.
    fn measures(&self, painter: &Painter, shown: &Shown<'_>, thing: &OnFace) {
        let tone = self.colours.measure;
        let stroke = Stroke::new(line::MEASURE, tone.line);
        let practice = shown.practice();
        let rect = self.rect(thing);
        let write = |a: Pos2, b: Pos2, mm: f64| {
            painter.line_segment([a, b], stroke);
            let words = Length::from_mm(mm).shown(practice);
            let plate = painter.layout_no_wrap(words, theme::plain(text::TINY), tone.text);
            // Beside an upright line, over a level one.
            let beside = if (b.x - a.x).abs() < 1.0 { 1.0 } else { 0.0 };
            let middle = a + (b - a) * 0.5 + vec2(beside * (plate.size().x * 0.5 + 5.0), 0.0);
            let at = middle - plate.size() * 0.5;
            let back = Rect::from_min_size(at, plate.size()).expand(2.0);
            painter.rect_filled(back, 2.0, self.colours.elevation);
            painter.galley(at, plate, tone.text);
        };
        let (near, far) = thing.along;
        // Over the ceiling, clear of all that hangs under it.
        let above = self.wall.top() - 9.0;
        let thin = Stroke::new(line::HAIR, tone.line);
        let (right, left) = (self.at(near, 0.0).x, self.at(far, 0.0).x);
        for x in [left, right] {
            painter.line_segment([pos2(x, rect.top()), pos2(x, above)], thin);
        }
        write(pos2(right, above), pos2(self.wall.right(), above), near);
        write(
            pos2(self.wall.left(), above),
            pos2(left, above),
            self.length - far,
        );
        let low = self.at(near, thing.heights.low).y;
        if thing.heights.low > 0.0 {
            let x = rect.right() + 12.0;
            painter.line_segment([pos2(right, low), pos2(x, low)], thin);
            write(pos2(x, low), pos2(x, self.wall.bottom()), thing.heights.low);
        }
    }

    /// The frame round what is selected or has the keyboard.
    fn ring(&self, painter: &Painter, shown: &Shown<'_>, id: Id, node: &Response, rect: Rect) {
        if shown.selection.has(id) || node.has_focus() {
            let stroke = Stroke::new(line::SELECTION, self.colours.selection.line);
            painter.rect_stroke(rect.expand(3.0), 2.0, stroke, StrokeKind::Outside);
        }
    }
}

/// A node that can be clicked, dragged and reached by keyboard, with a name that says all there is to see.
fn node(ui: &Ui, shown: &Shown<'_>, thing: Id, rect: Rect, name: &str) -> Response {
    let id = ui.unique_id().with(("on wall", thing));
    let sense = if shown.read_only {
        Sense::click()
    } else {
        Sense::click_and_drag()
    };
    let response = ui.interact(rect.expand(2.0), id, sense);
    let selected = shown.selection.has(thing);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, name));
    response
}

fn overhead_name(shown: &Shown<'_>, thing: &Overhung) -> String {
    let seen = match thing.seen {
        Seen::Whole => "in elevation",
        Seen::Cut => "in elevation, cut",
    };
    let low = Length::from_mm(thing.on.heights.low).shown(shown.practice());
    let (word, id) = (thing.on.kind.word(), thing.on.id);
    format!("{word} {id} {seen}, {low} above the floor")
}

fn name_of(shown: &Shown<'_>, thing: &OnFace, hidden: &[(Id, Id)]) -> String {
    let practice = shown.practice();
    let item = shown.plan.items().get(thing.id);
    let end = item.and_then(Item::wall_place).map_or("first", |at| {
        shown
            .plan
            .room()
            .end_name(usize::from(at.wall), WallEnd::First)
    });
    let behind: Vec<String> = hidden
        .iter()
        .filter(|(id, _)| *id == thing.id)
        .map(|(_, body)| format!(", behind {body}"))
        .collect();
    format!(
        "{} {} in elevation, {} from the {end} end, {} above the floor{}",
        thing.kind.word(),
        thing.id,
        Length::from_mm(thing.along.0).shown(practice),
        Length::from_mm(thing.heights.low).shown(practice),
        behind.concat()
    )
}

/// What pointer and keyboard do with a thing: select it, drag it, nudge it.
fn follow(
    ui: &Ui,
    response: &Response,
    shown: &Shown<'_>,
    (drawing, face, thing): (&Drawing, &WallFace, &OnFace),
    view: &mut WallView,
    actions: &mut Actions,
) {
    if response.clicked() {
        response.request_focus();
        actions.ask(Action::Select(Selection::one(thing.id)));
    }
    let item = shown.plan.items().get(thing.id);
    if shown.read_only || item.is_some_and(|i| i.presence().pinned) {
        return;
    }
    if response.has_focus() {
        let arrows = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            // While it is dragged, Tab goes on to the next measure.
            tab: view.slide.is_some(),
            ..EventFilter::default()
        };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, arrows));
        nudge(ui, shown, thing.id, actions);
    }
    if response.drag_started()
        && let Some(at) = ui.input(|i| i.pointer.press_origin())
    {
        response.request_focus();
        let (along, height) = drawing.place(at);
        let now = (
            Length::from_mm(thing.along.0),
            Length::from_mm(thing.heights.low),
        );
        view.slide = Some(Slide {
            id: thing.id,
            grip: (thing.along.0 - along, thing.heights.low - height),
            held: now,
            along: now.0,
            height: now.1,
            typed: TypedPlace::new(free(thing)),
        });
        actions.ask(Action::Select(Selection::one(thing.id)));
    }
    let Some(slide) = view.slide.as_mut().filter(|s| s.id == thing.id) else {
        return;
    };
    if ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape)) {
        view.slide = None;
        return;
    }
    if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        let free = ui.input(|i| i.key_down(Key::F));
        let (along, height) = drawing.place(at);
        let wanted = (along + slide.grip.0, height + slide.grip.1);
        let reach = f64::from(REACH) / drawing.points_per_mm;
        let rest = if free {
            wanted
        } else {
            rested(face, thing, wanted, reach, shown)
        };
        slide.held = kept_on_wall(drawing, shown, thing, rest);
    }
    let entered = slide.typed.take(ui);
    let width = thing.along.1 - thing.along.0;
    let along = slide.typed.along(shown.plan, face.wall.length, width);
    slide.along = along.unwrap_or(slide.held.0);
    slide.height = slide.typed.height(shown.plan).unwrap_or(slide.held.1);
    if response.drag_stopped() || entered {
        // The plan on show is the one as if dropped: the edit is made by whoever holds the document.
        actions.ask(Action::DropOnWall);
    }
}

fn free(thing: &OnFace) -> Free {
    match thing.kind {
        ItemKind::Overhead(_) => Free::Height,
        ItemKind::Door => Free::Along,
        ItemKind::Window
        | ItemKind::Panel
        | ItemKind::Outlet
        | ItemKind::Cooling
        | ItemKind::Fitting(_)
        | ItemKind::Column
        | ItemKind::Light
        | ItemKind::Camera
        | ItemKind::Furniture(_)
        | ItemKind::Zone
        | ItemKind::Rack
        | ItemKind::Ups
        | ItemKind::Dimension
        | ItemKind::Note => Free::Both,
    }
}

fn is_overhead(thing: &OnFace) -> bool {
    matches!(thing.kind, ItemKind::Overhead(_))
}

/// Own height of a thing from where its height is measured; none for what reaches up to the ceiling however low it hangs.
fn rise(thing: &OnFace) -> f64 {
    if is_overhead(thing) {
        0.0
    } else {
        thing.heights.high - thing.heights.low
    }
}

/// Where a thing comes to rest: level with or beside another thing within reach, else on the grid.
fn rested(
    face: &WallFace,
    thing: &OnFace,
    (along, height): (f64, f64),
    reach: f64,
    shown: &Shown<'_>,
) -> (f64, f64) {
    let width = thing.along.1 - thing.along.0;
    let rise = rise(thing);
    let others = || face.fixed.iter().filter(|o| o.id != thing.id);
    let edges = others().flat_map(|o| {
        let (near, far) = o.along;
        [near, far, near - width, far - width]
    });
    let levels = others().flat_map(|o| {
        let h = o.heights;
        [h.low, h.high, h.low - rise, h.high - rise]
    });
    let step = grid_step(shown.plan).mm();
    let nearest = |wanted: f64, marks: &mut dyn Iterator<Item = f64>| {
        marks
            .filter(|mark| (mark - wanted).abs() <= reach)
            .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
            .unwrap_or_else(|| (wanted / step).round() * step)
    };
    (
        nearest(along, &mut edges.into_iter()),
        nearest(height, &mut levels.into_iter()),
    )
}

/// The place held between the wall's corners, floor and ceiling.
fn kept_on_wall(
    drawing: &Drawing,
    shown: &Shown<'_>,
    thing: &OnFace,
    (along, height): (f64, f64),
) -> (Length, Length) {
    let width = thing.along.1 - thing.along.0;
    let ceiling = shown.plan.room().ceiling.mm();
    let highest = if is_overhead(thing) {
        // It hangs under the ceiling by something at least.
        ceiling - grid_step(shown.plan).mm()
    } else {
        ceiling - rise(thing)
    };
    let within = |v: f64, most: f64| Length::from_mm(v.min(most).max(0.0));
    (
        within(along, drawing.length - width),
        within(height, highest),
    )
}

/// The arrow keys: along the wall and up and down, by the grid, by a foot or tenfold with Shift, by the finest step with Alt.
fn nudge(ui: &Ui, shown: &Shown<'_>, id: Id, actions: &mut Actions) {
    let Some(item) = shown.plan.items().get(id) else {
        return;
    };
    let (along, height) = if let Item::Overhead(thing) = item {
        (Length::ZERO, thing.bottom)
    } else if let Some(at) = item.wall_place() {
        (at.along, item.wall_height())
    } else {
        return;
    };
    let grid = grid_step(shown.plan);
    for (modifiers, step) in [
        (Modifiers::SHIFT, grid * 12),
        (Modifiers::ALT, fine_step(shown.plan)),
        (Modifiers::NONE, grid),
    ] {
        // From inside, the wall runs from right to left.
        for (key, on, up) in [
            (Key::ArrowLeft, 1, 0),
            (Key::ArrowRight, -1, 0),
            (Key::ArrowUp, 0, 1),
            (Key::ArrowDown, 0, -1),
        ] {
            if ui.input_mut(|i| i.consume_key(modifiers, key)) {
                let height = (height + step * up).max(Length::ZERO);
                if let Some(edit) = placed(item, id, along + step * on, height) {
                    actions.edit(edit);
                }
            }
        }
    }
}
