//! The floor as shapes. Decides nothing: draws what is shown, in the theme's roles.

use std::cell::RefCell;
use std::collections::BTreeSet;

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2};

use super::{
    Camera, FloorView, Gesture, Overlay, Typed, air, fixtures, ghosts, hit, measure, other_phases,
    overlay, snap, tracing, walls, written,
};
use crate::checks::{Finding, Severity, Standing};
use crate::editor::shown::Shown;
use crate::editor::theme::{self, Palette, line, text};
use crate::editor::widgets::Sign;
use crate::geometry::{Convex, Oblong, Point};
use crate::layout::{Part, RackParts, Wall};
use crate::plan::{Id, Item, ItemKind, ZoneUse};
use crate::stock::Face;
use crate::units::Length;

/// What one frame is painted with.
pub(super) struct Brush<'a> {
    pub(super) painter: &'a Painter,
    pub(super) camera: &'a Camera,
    pub(super) colours: &'static Palette,
    pub(super) shown: &'a Shown<'a>,
    /// What a broken must-fix is about.
    broken: BTreeSet<Id>,
    /// Where words stand beyond the walls, so that no tag is put over them.
    pub(super) outside: RefCell<Vec<Rect>>,
}

/// Paints the floor.
pub(super) fn paint(
    painter: &Painter,
    shown: &Shown<'_>,
    view: &FloorView,
    on_show: &BTreeSet<Overlay>,
    camera: &Camera,
) {
    let dark = painter.ctx().global_style().visuals.dark_mode;
    let colours = Palette::of(if dark {
        egui::Theme::Dark
    } else {
        egui::Theme::Light
    });
    let brush = Brush {
        painter,
        camera,
        colours,
        shown,
        broken: broken(shown),
        outside: RefCell::default(),
    };
    painter.rect_filled(camera.view(), 0.0, colours.paper);
    tracing::paint(&brush, &view.tracing);
    brush.grid();
    brush.walls();
    // Below the names of what is on the walls, which interrupt their lines.
    brush.room_dimensions();
    let chosen = air::chosen(shown);
    let blown = if on_show.contains(&Overlay::Air) {
        brush.air(&chosen)
    } else {
        Vec::new()
    };
    if on_show.contains(&Overlay::Ways) {
        brush.ways();
    }
    if on_show.contains(&Overlay::Phases) {
        other_phases::paint(&brush);
    }
    for part in shown.layout.parts() {
        brush.thing(part);
    }
    ghosts::paint(&brush);
    // Over the things, so that no swing or rack washes the words out.
    brush.speed_labels(&blown);
    for unit in &chosen {
        brush.air_lines(unit);
    }
    if on_show.contains(&Overlay::Power) {
        brush.power();
    }
    overlay::paint(&brush, on_show);
    written::paint(&brush);
    for part in view.marked.iter().filter_map(|id| shown.layout.part(*id)) {
        brush.marked(part);
    }
    for id in shown.selection.iter() {
        let circuit = shown.layout.power().circuits.get(&id);
        // A circuit is on the floor where its outlets are.
        let outlets = circuit.into_iter().flat_map(|c| c.outlets.iter().copied());
        for part in std::iter::once(id)
            .chain(outlets)
            .filter_map(|id| shown.layout.part(id))
        {
            brush.selected(part);
        }
    }
    walls::paint(&brush, &view.walls, &view.gesture);
    measure::paint(&brush, &view.measure);
    brush.gesture(&view.gesture);
    tracing::paint_tool(&brush, &view.tracing);
    if let Some(finding) = shown.pointed_finding() {
        brush.pointed(finding);
    }
}

fn broken(shown: &Shown<'_>) -> BTreeSet<Id> {
    let stops = shown.findings.iter().filter(|f| f.stops());
    stops.flat_map(|f| f.items.iter().copied()).collect()
}

impl Brush<'_> {
    pub(super) fn at(&self, p: Point) -> Pos2 {
        self.camera.to_screen(p)
    }

    fn corners(&self, shape: &Convex) -> Vec<Pos2> {
        shape.points().iter().map(|p| self.at(*p)).collect()
    }

    pub(super) fn fill(&self, shape: &Convex, fill: Color32, stroke: Stroke) {
        self.painter
            .add(Shape::convex_polygon(self.corners(shape), fill, stroke));
    }

    pub(super) fn outline(&self, shape: &Convex, stroke: Stroke, dash: f32) {
        let mut corners = self.corners(shape);
        corners.extend(corners.first().copied());
        self.painter
            .extend(Shape::dashed_line(&corners, stroke, dash, dash * 0.7));
    }

    pub(super) fn write(
        &self,
        at: Pos2,
        align: Align2,
        words: &str,
        font: egui::FontId,
        colour: Color32,
    ) -> Rect {
        self.painter.text(at, align, words, font, colour)
    }

    fn grid(&self) {
        let step_mm = if self.camera.points(304.8) > 14.0 {
            304.8
        } else {
            3048.0
        };
        let view = self.camera.view();
        let (low, high) = (
            self.camera.to_floor(view.left_bottom()),
            self.camera.to_floor(view.right_top()),
        );
        let stroke = Stroke::new(line::HAIR, self.colours.grid);
        let lines = |from: f64, to: f64| {
            let first = (from / step_mm).ceil();
            let count = ((to - from) / step_mm).ceil().max(0.0).min(400.0);
            std::iter::successors(Some(0.0), move |k| (k + 1.0 < count).then_some(k + 1.0))
                .map(move |k| (first + k) * step_mm)
        };
        for x in lines(low.x, high.x) {
            let x = self.at(Point::new(x, 0.0)).x;
            self.painter.vline(x, view.y_range(), stroke);
        }
        for y in lines(low.y, high.y) {
            let y = self.at(Point::new(0.0, y)).y;
            self.painter.hline(view.x_range(), y, stroke);
        }
    }

    fn walls(&self) {
        let room = self.shown.plan.room();
        let inner = self.shown.layout.room().points();
        let outer = self
            .shown
            .layout
            .room()
            .outset(|k| room.wall_thickness(k).mm());
        let count = inner.len();
        let edge = Stroke::new(line::BODY, self.colours.wall_hatch);
        for k in 0..count {
            let j = (k + 1) % count;
            let (Some(a), Some(b), Some(c), Some(d)) =
                (inner.get(k), inner.get(j), outer.get(j), outer.get(k))
            else {
                continue;
            };
            let quad: Vec<Point> = vec![*d, *c, *b, *a];
            let points = quad.iter().map(|p| self.at(*p)).collect();
            self.painter.add(Shape::convex_polygon(
                points,
                self.colours.wall,
                Stroke::NONE,
            ));
            if let Some(shape) = Convex::new(quad) {
                self.hatch(
                    &shape,
                    Stroke::new(line::HAIR, self.colours.wall_hatch),
                    7.0,
                );
            }
            self.painter.line_segment([self.at(*a), self.at(*b)], edge);
            self.painter.line_segment([self.at(*d), self.at(*c)], edge);
        }
    }

    /// Slanting lines inside a shape, `gap` points apart.
    pub(super) fn hatch(&self, shape: &Convex, stroke: Stroke, gap: f32) {
        let along = Point::new(1.0, 1.0).normalize();
        let (low, high) = shape.along(along.perp());
        let step = self.camera.mm(gap).max((high - low) / 600.0);
        let mut v = (low / step).ceil() * step;
        while v < high {
            if let Some((a, b)) = chord(shape, along.perp() * v, along) {
                self.painter.line_segment([self.at(a), self.at(b)], stroke);
            }
            v += step;
        }
    }

    pub(super) fn dots(&self, shape: &Convex, colour: Color32) {
        let gap = self.camera.mm(6.0);
        let bounds = shape.bounds();
        let columns = (bounds.size().x / gap).ceil().min(300.0);
        let rows = (bounds.size().y / gap).ceil().min(300.0);
        // On one grid for the whole floor, so that strips that overlap do not make a pattern.
        let first = (bounds.low / gap).ceil();
        let mut i = 0.0;
        while i < columns {
            let mut j = 0.0;
            while j < rows {
                let p = (first + Point::new(i, j)) * gap;
                if shape.contains(p) {
                    self.painter.circle_filled(self.at(p), 0.75, colour);
                }
                j += 1.0;
            }
            i += 1.0;
        }
    }

    fn ways(&self) {
        for part in self.shown.layout.parts() {
            for strip in part.strips() {
                self.dots(&strip.shape, self.colours.strip);
            }
            if let Some(space) = &part.space {
                let (a, b) = space.case;
                let middle = (a + b) * 0.5;
                let wall = space.wall;
                let half = space.width * 0.5;
                let far = space.front + space.depth;
                let corners = vec![
                    wall.point(middle - half, space.front),
                    wall.point(middle + half, space.front),
                    wall.point(middle + half, far),
                    wall.point(middle - half, far),
                ];
                if let Some(shape) = Convex::new(corners) {
                    self.outline(&shape, Stroke::new(line::EDGE, self.colours.way.line), 5.0);
                }
            }
        }
    }

    fn thing(&self, part: &Part) {
        match part.kind {
            ItemKind::Door => self.door(part),
            ItemKind::Window => self.window(part),
            ItemKind::Outlet => self.outlet(part),
            ItemKind::Fitting(_)
            | ItemKind::Overhead(_)
            | ItemKind::Light
            | ItemKind::Camera
            | ItemKind::Furniture(_) => fixtures::paint(self, part),
            ItemKind::Zone => self.zone(part),
            ItemKind::Rack => self.rack(part),
            ItemKind::Column => self.solid(part, self.colours.wall, true),
            ItemKind::Panel => self.panel(part),
            ItemKind::Cooling => self.cooling(part),
            ItemKind::Ups => self.ups(part),
            // Over everything else.
            ItemKind::Dimension | ItemKind::Note => {}
        }
    }

    fn door(&self, part: &Part) {
        let Some(door) = &part.doorway else {
            return;
        };
        self.gap_in_wall(part, door.opening);
        if let Some(sweep) = &door.sweep {
            self.fill(
                sweep,
                self.colours.swing,
                Stroke::new(line::EDGE, self.colours.ink_weak),
            );
        }
        if let Some((hinge, edge)) = door.leaf {
            let stroke = Stroke::new(line::HATCH, self.colours.body_edge);
            self.painter
                .line_segment([self.at(hinge), self.at(edge)], stroke);
        }
        self.outside_label(part, &part.id.to_string());
    }

    /// A gap in the wall behind an opening, as deep as the wall.
    fn gap_in_wall(&self, part: &Part, (a, b): (Point, Point)) {
        let Some(wall) = self.wall_of(part) else {
            return;
        };
        let thickness = self.shown.plan.room().wall_thickness(wall.number).mm();
        let out = -wall.inward * (thickness + self.camera.mm(1.0));
        let back = wall.inward * self.camera.mm(1.2);
        if let Some(gap) = Convex::new(vec![a + back, a + out, b + out, b + back]) {
            self.fill(&gap, self.colours.paper, Stroke::NONE);
            let edge = Stroke::new(line::EDGE, self.colours.wall_hatch);
            self.painter
                .line_segment([self.at(a), self.at(a + out)], edge);
            self.painter
                .line_segment([self.at(b), self.at(b + out)], edge);
        }
    }

    /// Thickness of the wall that a thing is on, in millimetres.
    pub(super) fn wall_thickness(&self, part: &Part) -> f64 {
        self.wall_of(part).map_or(0.0, |wall| {
            self.shown.plan.room().wall_thickness(wall.number).mm()
        })
    }

    pub(super) fn wall_of(&self, part: &Part) -> Option<Wall> {
        let place = self.shown.plan.items().get(part.id)?.wall_place()?;
        Wall::at(self.shown.layout.room(), place)
    }

    /// A short label beyond the wall that a thing is on.
    pub(super) fn outside_label(&self, part: &Part, words: &str) {
        let Some(wall) = self.wall_of(part) else {
            return;
        };
        let thickness = self.shown.plan.room().wall_thickness(wall.number).mm();
        let along = (part.spot - wall.start).dot(wall.along);
        let at = self.at(wall.point(along, -thickness - self.camera.mm(8.0)));
        let align = if wall.inward.x > 0.5 {
            Align2::RIGHT_CENTER
        } else if wall.inward.x < -0.5 {
            Align2::LEFT_CENTER
        } else if wall.inward.y > 0.5 {
            Align2::CENTER_TOP
        } else {
            Align2::CENTER_BOTTOM
        };
        let (font, colour) = (theme::plain(text::SMALL), self.colours.ink_weak);
        let galley = self.painter.layout_no_wrap(words.to_owned(), font, colour);
        let rect = align.anchor_size(at, galley.size());
        let patch = rect.expand2(vec2(3.0, 0.0));
        self.painter.rect_filled(patch, 2.0, self.colours.paper);
        self.painter.galley(rect.min, galley, colour);
        self.outside.borrow_mut().push(patch);
    }

    fn window(&self, part: &Part) {
        let Some(opening) = &part.opening else {
            return;
        };
        let (a, b) = opening.line;
        self.gap_in_wall(part, (a, b));
        let thickness = self
            .shown
            .plan
            .room()
            .wall_thickness(opening.wall.number)
            .mm();
        let stroke = Stroke::new(line::EDGE, self.colours.body_edge);
        for share in [0.25, 0.6] {
            let out = -opening.wall.inward * (thickness * share);
            self.painter
                .line_segment([self.at(a + out), self.at(b + out)], stroke);
        }
        let sill = Length::from_mm(opening.heights.low).shown(self.shown.practice());
        self.outside_label(part, &format!("{}, sill {sill}", part.id));
    }

    fn outlet(&self, part: &Part) {
        let inward = self.wall_of(part).map_or(Point::Y, |w| w.inward);
        let at = self.at(part.spot + inward * self.camera.mm(9.0));
        let stroke = Stroke::new(line::EDGE, self.colours.body_edge);
        self.painter.line_segment([self.at(part.spot), at], stroke);
        self.painter.circle(at, 4.0, self.colours.card, stroke);
        for off in [-1.4, 1.4] {
            self.painter
                .line_segment([at + vec2(off, -1.8), at + vec2(off, 1.8)], stroke);
        }
    }

    fn zone(&self, part: &Part) {
        let Some(zone) = &part.zone else {
            return;
        };
        let (tone, word) = match zone.purpose {
            ZoneUse::KeepClear => (self.colours.zone_keep_out, "keep clear"),
            ZoneUse::Wet { .. } => (self.colours.zone_wet, "wet"),
        };
        self.fill(&zone.shape, tone.wash, Stroke::new(line::EDGE, tone.line));
        self.hatch(&zone.shape, Stroke::new(line::HAIR, tone.line), 8.0);
        self.plate(
            self.at(zone.shape.middle()),
            &format!("{} {word}", part.id),
            tone.text,
        );
    }

    fn solid(&self, part: &Part, fill: Color32, hatched: bool) {
        let Some(solid) = &part.solid else {
            return;
        };
        self.fill(
            &solid.shape,
            fill,
            Stroke::new(line::BODY, self.colours.body_edge),
        );
        if hatched {
            self.hatch(
                &solid.shape,
                Stroke::new(line::HAIR, self.colours.wall_hatch),
                5.0,
            );
        }
        if self.camera.points(solid.oblong.width()) > 26.0 {
            self.plate(
                self.at(solid.oblong.centre()),
                &part.id.to_string(),
                self.colours.ink,
            );
        }
    }

    fn panel(&self, part: &Part) {
        let Some(solid) = &part.solid else {
            return;
        };
        let stroke = Stroke::new(line::BODY, self.colours.body_edge);
        self.fill(&solid.shape, self.colours.body_edge, stroke);
        self.outside_label(part, &format!("{} panel", part.id));
    }

    fn cooling(&self, part: &Part) {
        let Some(solid) = &part.solid else {
            return;
        };
        self.fill(&solid.shape, self.colours.zone_jet.wash, Stroke::NONE);
        self.outline(
            &solid.shape,
            Stroke::new(line::BODY, self.colours.body_edge),
            6.0,
        );
        self.outside_label(part, &format!("{} cooling unit", part.id));
    }

    fn ups(&self, part: &Part) {
        if let Some(solid) = &part.solid {
            self.fill(
                &solid.shape,
                self.colours.printer,
                Stroke::new(line::BODY, self.colours.body_edge),
            );
            self.plate(
                self.at(solid.oblong.centre()),
                &part.id.to_string(),
                self.colours.ink,
            );
        }
    }

    fn rack(&self, part: &Part) {
        let Some(rack) = &part.rack else {
            return;
        };
        let low = rack.height < 1_300.0;
        let fill = if low || rack.slots.is_empty() {
            self.colours.low_body
        } else {
            self.colours.rack_body
        };
        let shape = rack.body.convex();
        let edge = if self.broken.contains(&part.id) {
            self.colours.broken.line
        } else {
            self.colours.body_edge
        };
        self.fill(&shape, fill, Stroke::new(line::BODY, edge));
        self.top_printers(rack);
        self.faces(part, edge);
        self.rack_label(part, rack);
    }

    /// The printers of the highest level that holds any: what one sees from above.
    fn top_printers(&self, rack: &RackParts) {
        let top = rack
            .slots
            .iter()
            .filter(|s| s.printer.is_some())
            .map(|s| s.name.level)
            .max();
        let stroke = Stroke::new(line::PART, self.colours.body_edge);
        for printer in rack
            .slots
            .iter()
            .filter(|s| Some(s.name.level) == top)
            .filter_map(|s| s.printer.as_ref())
        {
            self.fill(&printer.footprint.convex(), self.colours.printer, stroke);
        }
    }

    /// A thicker edge on every side that a person works at.
    pub(super) fn faces(&self, part: &Part, edge: Color32) {
        for strip in part.strips() {
            let c = strip.corridor;
            let side = c.forward.perp() * c.half_width;
            let inset = if strip.face == Face::Front { 3.0 } else { 2.0 };
            let ends = [self.at(c.origin - side), self.at(c.origin + side)];
            self.painter.line_segment(ends, Stroke::new(inset, edge));
        }
    }

    fn rack_label(&self, part: &Part, rack: &RackParts) {
        let printers = rack.slots.iter().filter(|s| s.printer.is_some()).count();
        let room = self.camera.points(rack.body.width().min(rack.body.depth()));
        if room < 14.0 {
            return;
        }
        let across = self.camera.points(rack.body.convex().bounds().size().x);
        let words = if across < 70.0 {
            part.id.to_string()
        } else if rack.slots.is_empty() {
            format!("{} spools", part.id)
        } else {
            format!("{} · {printers}", part.id)
        };
        self.plate(self.at(rack.body.centre()), &words, self.colours.ink);
    }

    /// Words on a small plate, so that they stay readable over lines.
    pub(super) fn plate(&self, at: Pos2, words: &str, colour: Color32) -> Rect {
        let galley =
            self.painter
                .layout_no_wrap(words.to_owned(), theme::bold(text::LABEL), colour);
        let rect = Rect::from_center_size(at, galley.size()).expand2(vec2(3.0, 1.0));
        self.painter
            .rect_filled(rect, 3.0, self.colours.card.gamma_multiply(0.85));
        self.painter
            .galley(rect.min + vec2(3.0, 1.0), galley, colour);
        rect
    }

    /// Circuit tags at the outlets, and the cords along the ways they take.
    fn power(&self) {
        let stroke = Stroke::new(line::EDGE, self.colours.action.line);
        let layout = self.shown.layout;
        for cord in layout.cords() {
            let way = cord.way.as_ref().or(cord.over_door.as_ref());
            let path = way.map_or(&[][..], |way| way.path.as_slice());
            let path: Vec<Pos2> = path.iter().map(|p| self.at(*p)).collect();
            self.painter
                .extend(Shape::dashed_line(&path, stroke, 4.0, 3.0));
        }
        for outlet in self.shown.layout.power().outlets.keys() {
            let Some(part) = self.shown.layout.part(*outlet) else {
                continue;
            };
            let Some(Item::Outlet(item)) = self.shown.plan.items().get(*outlet) else {
                continue;
            };
            let inward = self.wall_of(part).map_or(Point::Y, |w| w.inward);
            // Beyond the wall, where no rack can hide it.
            let at =
                self.at(part.spot - inward * (self.camera.mm(16.0) + self.wall_thickness(part)));
            let words = item.circuit.map_or("?".to_owned(), |c| c.to_string());
            self.painter.circle(
                at,
                11.0,
                self.colours.card,
                Stroke::new(line::EDGE, self.colours.body_edge),
            );
            self.write(
                at,
                Align2::CENTER_CENTER,
                &words,
                theme::plain(text::TINY),
                self.colours.ink,
            );
        }
    }

    /// Width and length of the room beyond its walls.
    fn room_dimensions(&self) {
        let bounds = *self.shown.layout.room().bounds();
        let off = self.shown.plan.room().wall.mm().max(self.camera.mm(8.0)) + self.camera.mm(26.0);
        let practice = self.shown.practice();
        let (low, high) = (bounds.low, bounds.high);
        let top = (
            Point::new(low.x, high.y + off),
            Point::new(high.x, high.y + off),
        );
        let left = (
            Point::new(low.x - off, low.y),
            Point::new(low.x - off, high.y),
        );
        let width = Length::from_mm(high.x - low.x).shown(practice);
        let length = Length::from_mm(high.y - low.y).shown(practice);
        self.dimension(top.0, top.1, &width, self.colours.ink_weak);
        self.dimension(left.0, left.1, &length, self.colours.ink_weak);
    }

    /// A dimension line with its ends ticked and the words in its middle.
    pub(super) fn dimension(&self, a: Point, b: Point, words: &str, colour: Color32) {
        let (p, q) = (self.at(a), self.at(b));
        let stroke = Stroke::new(line::EDGE, colour);
        self.painter.line_segment([p, q], stroke);
        let across = (q - p).normalized().rot90() * 4.0;
        for end in [p, q] {
            self.painter
                .line_segment([end - across, end + across], stroke);
        }
        let galley =
            self.painter
                .layout_no_wrap(words.to_owned(), theme::plain(text::LABEL), colour);
        let rect = Rect::from_center_size(p.lerp(q, 0.5), galley.size()).expand2(vec2(4.0, 0.0));
        self.painter.rect_filled(rect, 2.0, self.colours.paper);
        self.painter
            .galley(rect.min + vec2(4.0, 0.0), galley, colour);
        self.outside.borrow_mut().push(rect);
    }

    /// What a bad day is about: a dashed outline.
    fn marked(&self, part: &Part) {
        let shape = part.solid.as_ref().map(|solid| solid.shape.clone());
        let Some(shape) = shape.or_else(|| hit::outline(part)) else {
            return;
        };
        let mut corners = self.corners(&shape);
        corners.extend(corners.first().copied());
        let stroke = Stroke::new(line::SELECTION, self.colours.selection.line);
        self.painter
            .extend(Shape::dashed_line(&corners, stroke, 7.0, 4.0));
    }

    /// The selection: tape ends at both ends of the body, and a strong outline.
    fn selected(&self, part: &Part) {
        let tone = self.colours.selection;
        let stroke = Stroke::new(line::SELECTION, tone.line);
        let Some(solid) = &part.solid else {
            if let Some(rect) = written::note_rect(self.shown, part, self.camera) {
                self.painter
                    .rect_stroke(rect.expand(2.0), 2.0, stroke, StrokeKind::Outside);
            } else if let Some(shape) = hit::outline(part) {
                let corners = self.corners(&shape);
                self.painter.add(Shape::closed_line(corners, stroke));
            } else {
                self.painter.circle_stroke(self.at(part.spot), 10.0, stroke);
            }
            return;
        };
        self.fill(&solid.shape, Color32::TRANSPARENT, stroke);
        for sign in [-1.0, 1.0] {
            self.tape_end(&solid.oblong, sign);
        }
    }

    /// One end of a tape measure laid along the body: a short rule with ticks.
    fn tape_end(&self, body: &Oblong, sign: f64) {
        let thick = self.camera.mm(6.0);
        let x = (body.width() * 0.5 + thick * 0.5) * sign;
        let (sin, cos) = (body.across().y, body.across().x);
        let rule = Oblong::new(body.at(x, 0.0), thick, body.depth() + thick, (sin, cos));
        let edge = Stroke::new(line::EDGE, self.colours.body_edge);
        self.fill(&rule.convex(), self.colours.rule, edge);
        let ticks = (self.camera.points(body.depth()) / 6.0)
            .floor()
            .max(2.0)
            .min(60.0);
        let mut k = 1.0;
        while k < ticks {
            let y = f64::from(k / ticks - 0.5) * rule.depth();
            let ends = [
                self.at(rule.at(-thick * 0.5, y)),
                self.at(rule.at(thick * 0.1, y)),
            ];
            self.painter
                .line_segment(ends, Stroke::new(line::HAIR, self.colours.body_edge));
            k += 1.0;
        }
    }

    fn gesture(&self, gesture: &Gesture) {
        match gesture {
            Gesture::Idle | Gesture::Pan | Gesture::Wall { .. } => {}
            Gesture::Marquee { from, to } | Gesture::Draw { from, to, .. } => {
                let rect = Rect::from_two_pos(self.at(*from), self.at(*to));
                let tone = self.colours.selection;
                let draws = matches!(gesture, Gesture::Draw { .. });
                let wash = if draws {
                    Color32::TRANSPARENT
                } else {
                    tone.wash
                };
                self.painter.rect(
                    rect,
                    0.0,
                    wash,
                    Stroke::new(line::EDGE, tone.line),
                    StrokeKind::Inside,
                );
            }
            Gesture::Drag {
                ids,
                free,
                typed,
                from_phase,
                ..
            } => {
                for id in ids.iter().take(1) {
                    self.guides_of(*id, typed);
                }
                if *from_phase {
                    let words = format!("it moves from phase {} on", self.shown.phase());
                    let at = self.camera.view().center_bottom() - vec2(0.0, 34.0);
                    self.plate(at, &words, self.colours.ink);
                }
                self.hint(*free);
            }
            Gesture::Carry { free, typed, .. } => {
                if let Some(id) = self.shown.selection.lead() {
                    self.guides_of(id, typed);
                }
                self.hint(*free);
            }
        }
    }

    /// The distances of a thing to the walls, written.
    fn guides_of(&self, id: Id, typed: &Typed) {
        let Some(part) = self.shown.layout.part(id) else {
            return;
        };
        if part.kind.is_written() {
            return;
        }
        let shape = part
            .solid
            .as_ref()
            .map_or_else(|| Convex::line(part.spot, part.spot), |s| s.shape.clone());
        for guide in snap::guides(self.shown.layout, &shape) {
            let tone = self.colours.measure;
            let is_typed = !typed.text.is_empty() && typed.wall == Some(guide.wall);
            if guide.rests && !is_typed {
                self.painter
                    .circle_filled(self.at(guide.to), 3.5, tone.line);
                continue;
            }
            let words = if is_typed {
                format!("= {}", typed.text)
            } else {
                guide.distance.shown(self.shown.practice())
            };
            self.dimension(guide.from, guide.to, &words, tone.text);
        }
    }

    /// The key that frees snapping, on screen while something is dragged.
    fn hint(&self, free: bool) {
        let words = if free {
            "free: nothing snaps"
        } else {
            "hold F: nothing snaps · type a distance, Tab: from another wall · Esc: leave it where it was"
        };
        let at = self.camera.view().center_bottom() - vec2(0.0, 14.0);
        self.plate(at, words, self.colours.ink);
    }

    /// The place of the finding that is pointed at, with its sentence in a callout.
    fn pointed(&self, finding: &Finding) {
        let (tone, sign) = match (finding.standing, finding.severity) {
            (Standing::Broken, Severity::MustFix) => (self.colours.broken, Sign::Broken),
            (Standing::Broken, Severity::Caution) => (self.colours.caution, Sign::Caution),
            (Standing::Broken, Severity::Note) => (self.colours.note, Sign::Note),
            (Standing::Unknown, _) => (self.colours.unknown, Sign::Unknown),
            (Standing::Met, _) => (self.colours.met, Sign::Met),
        };
        if let Some(region) = &finding.region {
            self.hatch(region, Stroke::new(line::HATCH, tone.line), 11.0);
            self.outline(region, Stroke::new(line::WAY, tone.line), 8.0);
        }
        let Some(place) = finding.at else {
            return;
        };
        let at = self.at(place.point);
        self.painter
            .circle_stroke(at, 7.0, Stroke::new(line::WAY, tone.line));
        let width = 250.0_f32.min(self.camera.view().width() - 40.0).max(60.0);
        let words = |words: &str, size: f32, ink: Color32| {
            self.painter
                .layout(words.to_owned(), theme::plain(size), ink, width)
        };
        let galley = words(&finding.text, text::BODY, self.colours.ink);
        let caution = finding.caution();
        let caution =
            (!caution.is_empty()).then(|| words(caution, text::SMALL, self.colours.ink_weak));
        let below = caution
            .as_ref()
            .map_or(Vec2::ZERO, |g| vec2(0.0, g.size().y + 4.0));
        let widest = caution
            .as_ref()
            .map_or(0.0, |g| g.size().x)
            .max(galley.size().x);
        let size = vec2(widest, galley.size().y) + below + vec2(36.0, 14.0);
        let view = self.camera.view().shrink(8.0);
        let corner = pos2(
            (at.x + 16.0).min(view.right() - size.x).max(view.left()),
            (at.y - size.y - 16.0)
                .min(view.bottom() - size.y)
                .max(view.top()),
        );
        let rect = Rect::from_min_size(corner, size);
        let stroke = Stroke::new(line::WAY, tone.line);
        self.painter.rect(
            rect,
            f32::from(theme::corner::CARD),
            self.colours.card,
            stroke,
            StrokeKind::Inside,
        );
        let icon = Rect::from_min_size(rect.min + vec2(9.0, 9.0), vec2(13.0, 13.0));
        sign.paint(self.painter, icon, tone.text);
        let under = rect.min + vec2(28.0, 11.0 + galley.size().y);
        self.painter
            .galley(rect.min + vec2(28.0, 7.0), galley, self.colours.ink);
        if let Some(caution) = caution {
            self.painter.galley(under, caution, self.colours.ink_weak);
        }
    }
}

/// The part of a line inside a convex shape.
fn chord(shape: &Convex, at: Point, along: Point) -> Option<(Point, Point)> {
    let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
    for (a, b) in shape.sides() {
        let inward = (b - a).perp();
        let pace = along.dot(inward);
        let depth = (at - a).dot(inward);
        if pace.abs() < 1e-12 {
            if depth < 0.0 {
                return None;
            }
        } else if pace > 0.0 {
            from = from.max(-depth / pace);
        } else {
            to = to.min(-depth / pace);
        }
    }
    (from < to).then(|| (at + along * from, at + along * to))
}
