//! The elevation under the floor: the selected rack from the front, and from the side with the operator's reach.

mod levels;
mod openings;
mod side;
mod touch;

pub use levels::ElevationView;

use super::wall_elevation::{WallView, wall_ui};
use egui::{
    Align2, Painter, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use crate::editor::action::{Action, Actions};
use crate::editor::shown::{Selection, Shown};
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets;
use crate::editor::widgets::Sign;
use crate::geometry::Convex;
use crate::layout::{Level, Part, PlacedPrinter, RackParts};
use crate::stock::PrinterKind;
use crate::units::Length;

/// Shows the elevation of the selected rack, of the rack that the selected printer stands in, or of a wall.
pub fn elevation_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut ElevationView,
    actions: &mut Actions,
) {
    let on_show = rack_on_show(shown);
    if let Some(wall) = view.wall.wall(shown).or(on_show.is_none().then_some(0)) {
        view.leave_level();
        wall_ui(ui, shown, wall, &mut view.wall, actions);
        return;
    }
    let Some((part, rack)) = on_show else {
        return;
    };
    let colours = palette(ui);
    let rect = ui.available_rect_before_wrap();
    ui.allocate_rect(rect, Sense::hover());
    let highest = rack.height.max(shown.layout.limits().reach_grip.value.mm());
    let mut drawing = Drawing::new(rect, highest, rack, colours);
    if let Some(scale) = view.scale() {
        drawing.points_per_mm = scale;
    }
    drawing.titles(ui, shown, part);
    levels::commands_ui(ui, shown, rect, (part, rack), view, actions);
    levels::levels_ui(ui, shown, &drawing, (part, rack), view, actions);
    drawing.front(ui, shown, part, rack, actions);
    drawing.openings(ui, shown, rack);
    side::side(ui, shown, &drawing, part, rack);
    touch::legend(ui, &drawing, rack);
}

/// A button that turns to the wall at the rack's back.
fn wall_behind(ui: &mut Ui, shown: &Shown<'_>, part: &Part, view: &mut WallView) {
    let Some(solid) = &part.solid else { return };
    let nearest = shown.layout.walls().min_by(|a, b| {
        let far = |w: &crate::layout::Wall| {
            solid
                .shape
                .distance(&Convex::line(w.start, w.point(w.length, 0.0)))
        };
        far(a).total_cmp(&far(b))
    });
    if let Some(wall) = nearest
        && widgets::action(ui, "Wall behind").clicked()
    {
        view.turn_to(wall.number);
    }
}

fn rack_on_show<'a>(shown: &Shown<'a>) -> Option<(&'a Part, &'a RackParts)> {
    let lead = shown.selection.lead()?;
    let rack = shown
        .plan
        .printers()
        .get(lead)
        .map_or(lead, |p| p.slot.rack);
    let layout: &'a crate::layout::Layout = shown.layout;
    let part = layout.part(rack)?;
    Some((part, part.rack.as_ref()?))
}

/// Height of a line of words about an opening.
const LINE: f32 = 14.0;

/// Height of title, kind and legend at the top.
const HEAD: f32 = 50.0;

/// Points between the front and the side of a rack.
const WORDS_AND_OPERATOR: f32 = 320.0;

/// Where the front and the side are drawn, and at what scale.
struct Drawing {
    rect: Rect,
    floor: f32,
    /// Left edge of the rack's front.
    front: f32,
    /// Left edge of the rack's side.
    side: f32,
    points_per_mm: f64,
    colours: &'static Palette,
}

impl Drawing {
    fn new(rect: Rect, highest_mm: f64, rack: &RackParts, colours: &'static Palette) -> Self {
        let room = f64::from(rect.height()) - 62.0;
        let by_height = room / highest_mm.max(500.0);
        // Beside the front stand the openings in words, then the operator, then the side.
        let margin = if rect.width() > 900.0 {
            150.0
        } else {
            levels::TAG_WIDTH + 14.0
        };
        let by_width = f64::from(rect.width() - margin - WORDS_AND_OPERATOR - 30.0)
            / (rack.body.width() + rack.body.depth());
        let front = rect.left() + margin;
        let mut drawing = Self {
            rect,
            floor: rect.bottom() - 14.0,
            front,
            side: front,
            points_per_mm: by_height.min(by_width).max(0.02),
            colours,
        };
        drawing.side = front + drawing.points(rack.body.width()) + WORDS_AND_OPERATOR;
        drawing
    }

    fn points(&self, mm: f64) -> f32 {
        widgets::on_screen(mm * self.points_per_mm)
    }

    fn y(&self, height_mm: f64) -> f32 {
        self.floor - self.points(height_mm)
    }

    fn edge(&self) -> Stroke {
        Stroke::new(line::EDGE, self.colours.body_edge)
    }

    fn titles(&self, ui: &Ui, shown: &Shown<'_>, part: &Part) {
        let painter = ui.painter();
        let title = format!("Elevation · {}", part.id);
        let at = self.rect.left_top() + vec2(18.0, 10.0);
        painter.text(
            at,
            Align2::LEFT_TOP,
            title,
            theme::bold(text::SECTION),
            self.colours.ink,
        );
        let kind = shown
            .plan
            .rack(part.id)
            .and_then(|r| shown.layout.stock().racks.get(&r.kind))
            .map_or("", |k| k.name.as_str());
        painter.text(
            at + vec2(0.0, 22.0),
            Align2::LEFT_TOP,
            kind,
            theme::plain(text::SMALL),
            self.colours.ink_weak,
        );
        painter.hline(
            (self.front - 20.0)..=self.rect.right() - 30.0,
            self.floor,
            Stroke::new(line::BODY, self.colours.body_edge),
        );
    }

    fn front(
        &self,
        ui: &Ui,
        shown: &Shown<'_>,
        part: &Part,
        rack: &RackParts,
        actions: &mut Actions,
    ) {
        let painter = ui.painter();
        let width = self.points(rack.body.width());
        let post = vec2(
            self.points(38.0).max(2.0),
            self.points(posts_mm(shown, part)),
        );
        for x in [self.front, self.front + width - post.x] {
            let rect = Rect::from_min_size(pos2(x, self.floor - post.y), post);
            painter.rect_filled(rect, 0.0, self.colours.body_edge);
        }
        for level in &rack.levels {
            self.board(painter, self.front, width, level);
            openings::spools(painter, self, level, self.front, width);
        }
        for slot in &rack.slots {
            let Some(printer) = &slot.printer else {
                continue;
            };
            let Some(kind) = shown.layout.stock().printers.get(&printer.kind) else {
                continue;
            };
            let x = (slot.middle - rack.body.centre()).dot(rack.body.across());
            let middle = self.front + width * 0.5 + self.points(x);
            let (body, case) =
                self.printer(painter, middle, printer.footprint.width(), printer, kind);
            if let Some(level) = rack.levels.iter().find(|l| l.number == slot.name.level) {
                self.pad(painter, body, level);
                let heights = (printer.high, shown.plan.room().ceiling);
                openings::hatch_over(painter, self, body, level, heights);
                let place = (body, level.share().mm());
                touch::beside(painter, shown, self, place, printer, kind);
            }
            let selected = shown.selection.has(printer.id);
            if selected {
                let stroke = Stroke::new(line::SELECTION, self.colours.selection.line);
                painter.rect_stroke(body, 1.0, stroke, StrokeKind::Outside);
            }
            if body.width() > 30.0 {
                painter.text(
                    case.center(),
                    Align2::CENTER_CENTER,
                    printer.id.to_string(),
                    theme::plain(text::TINY),
                    self.colours.ink,
                );
            }
            let response = ui.interact(
                body,
                ui.unique_id().with(("elevation", printer.id)),
                Sense::click(),
            );
            let name = format!("{} in {}, {}", printer.id, slot.name, kind.name);
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, &name));
            if response.clicked() {
                actions.ask(Action::Select(Selection::one(printer.id)));
            }
        }
    }

    fn board(&self, painter: &Painter, left: f32, width: f32, level: &Level) {
        let thick = self.points(level.board.mm()).max(2.0);
        let rect = Rect::from_min_size(pos2(left, self.y(level.top.mm())), vec2(width, thick));
        painter.rect(
            rect,
            0.0,
            self.colours.board,
            Stroke::new(line::HAIR, self.colours.body_edge),
            StrokeKind::Inside,
        );
    }

    /// The pad under a printer whose envelope is drawn there.
    fn pad(&self, painter: &Painter, envelope: Rect, level: &Level) {
        if level.lift == Length::ZERO {
            return;
        }
        let thick = self.points(level.lift.mm()).max(2.0);
        let pad = Rect::from_min_size(envelope.left_bottom(), vec2(envelope.width(), thick));
        painter.rect_filled(pad, 0.0, self.colours.strip);
    }

    /// A printer with its envelope in use dashed, its case inside, and its spool; gives envelope and case.
    fn printer(
        &self,
        painter: &Painter,
        middle: f32,
        width_mm: f64,
        printer: &PlacedPrinter,
        kind: &PrinterKind,
    ) -> (Rect, Rect) {
        let size = vec2(
            self.points(width_mm),
            self.points(printer.high - printer.low),
        );
        let envelope = Rect::from_min_size(pos2(middle - size.x * 0.5, self.y(printer.high)), size);
        let spool_on_top = kind.spool.is_some_and(|s| s.height > kind.height.half());
        let spool = self.points(100.0);
        let top = if spool_on_top { spool * 1.6 } else { 0.0 };
        let case = Rect::from_min_max(
            envelope.min + vec2(size.x * 0.06, top.min(size.y * 0.4)),
            envelope.max - vec2(size.x * 0.06, 0.0),
        );
        painter.rect(
            case,
            1.0,
            self.colours.printer,
            self.edge(),
            StrokeKind::Inside,
        );
        if spool_on_top {
            let centre = pos2(middle, case.top() - spool * 0.8);
            painter.circle(centre, spool * 0.8, self.colours.printer, self.edge());
        }
        let stroke = Stroke::new(line::HAIR, self.colours.ink_weak);
        widgets::dashed(painter, envelope, stroke, (3.0, 3.0));
        (envelope, case)
    }

    /// Opening, printer and spare of every level: in words beside it where there is height for them, and by name.
    fn openings(&self, ui: &Ui, shown: &Shown<'_>, rack: &RackParts) {
        let x = self.front + self.points(rack.body.width()) + 14.0;
        let mut free_above = self.floor;
        for level in &rack.levels {
            let (opening, stands) = openings::words_of(shown, rack, level);
            let sign = stands
                .as_ref()
                .map(|s| if s.fits { Sign::Met } else { Sign::Broken });
            let tone = sign.map_or(self.colours.ink_weak, |s| s.tone(self.colours).text);
            let stands = stands.map(|s| s.words);
            let bottom = self.y(level.top.mm()).min(free_above);
            let name = match &stands {
                Some(stands) => format!("Level {}: {opening}, {stands}", level.number),
                None => format!("Level {}: {opening}", level.number),
            };
            let lines = 1.0 + f32::from(u8::from(stands.is_some()));
            let area = Rect::from_min_max(pos2(x, bottom - LINE * lines), pos2(x + 180.0, bottom));
            ui.interact(
                area,
                ui.unique_id().with(("opening", level.number)),
                Sense::hover(),
            )
            .widget_info(|| WidgetInfo::labeled(Role::Label, true, &name));
            if self.rect.top() + HEAD > area.top() {
                continue;
            }
            let font = theme::plain(text::SMALL);
            ui.painter().text(
                area.left_top(),
                Align2::LEFT_TOP,
                opening,
                font.clone(),
                self.colours.ink_weak,
            );
            if let Some(stands) = stands {
                let at = area.left_top() + vec2(0.0, LINE);
                if let Some(sign) = sign {
                    let square = Rect::from_min_size(at + vec2(0.0, 1.0), Vec2::splat(11.0));
                    sign.paint(ui.painter(), square.shrink(1.0), tone);
                }
                let at = at + vec2(15.0, 0.0);
                ui.painter().text(at, Align2::LEFT_TOP, stands, font, tone);
            }
            free_above = area.top();
        }
    }
}

/// Height of the posts of a rack's kind.
fn posts_mm(shown: &Shown<'_>, part: &Part) -> f64 {
    shown
        .plan
        .rack(part.id)
        .and_then(|r| shown.layout.stock().racks.get(&r.kind))
        .map_or(0.0, |k| k.height.mm())
}
