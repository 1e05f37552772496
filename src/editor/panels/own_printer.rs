//! A printer of one's own from what was measured: case, what goes beyond it in use, power, reach. Keeps a draft and asks for one
//! edit; a figure left empty stays unknown.

use std::collections::BTreeMap;

use egui::{
    Align2, Color32, ComboBox, Painter, Pos2, Rect, Role, ScrollArea, Sense, Shape, Stroke,
    StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::editor::action::Actions;
use crate::editor::figure;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets::{self, Field, FieldEvent};
use crate::stock::{FigureOrigin, KindId, MeasuredEnvelope, PrinterKind, Touch};
use crate::units::{Kilograms, Length, Practice, Ratio, Watts};

/// The draft of a printer.
#[derive(Debug, Default)]
pub struct OwnPrinterView {
    typed: BTreeMap<&'static str, String>,
    enclosed: bool,
    figures: FigureOrigin,
    /// True once saving was tried: from then on what is missing is said.
    tried: bool,
}

/// What the form did.
#[derive(Debug)]
pub enum Done {
    /// It was left.
    Left,
    /// The printer was put into stock under this name.
    Saved(KindId),
}

const NAME: &str = "printer's name";
const CASE: [&str; 3] = ["case width", "case depth", "case height"];
const BEYOND: [&str; 6] = [
    "bed to the front",
    "bed to the back",
    "lid open, above",
    "spool above",
    "spool beside",
    "cable behind",
];
const TOUCHES: [&str; 3] = ["bed at", "screen at", "spool at"];
const POWERS: [&str; 3] = ["peak power", "running power", "standby power"];
const MASS: &str = "mass";
const FACTOR: &str = "power factor";
const CORD: &str = "mains cord";

/// Shows the form; says when it is done with.
pub fn own_printer_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut OwnPrinterView,
    actions: &mut Actions,
) -> Option<Done> {
    ui.add_space(8.0);
    let left = ui
        .horizontal(|ui| {
            widgets::section(ui, "Own printer", "");
            widgets::action_named(ui, "Stock", "Back to the stock drawer").clicked()
        })
        .inner;
    let margin = egui::Margin::symmetric(8, 2);
    let foot = 40.0;
    ScrollArea::vertical()
        .max_height((ui.available_height() - foot).max(60.0))
        .auto_shrink([false, false])
        .show(ui, |ui| {
            egui::Frame::new()
                .inner_margin(margin)
                .show(ui, |ui| fields(ui, shown, view));
        });
    let foot = egui::Frame::new().inner_margin(margin);
    let saved = foot.show(ui, |ui| save(ui, shown, view, actions)).inner;
    if left {
        Some(Done::Left)
    } else {
        saved.map(Done::Saved)
    }
}

fn fields(ui: &mut Ui, shown: &Shown<'_>, view: &mut OwnPrinterView) {
    let practice = shown.practice();
    widgets::hint(
        ui,
        "Measure the machine at work. Write 0 where there is nothing, and leave empty what is not known: it stays unknown.",
    );
    field(ui, view, NAME, "such as Open printer, 235 mm bed", |_| {
        Ok(())
    });
    ui.checkbox(&mut view.enclosed, "In a closed case");
    let length = |typed: &str| length_of(typed, practice).map(|_| ());
    head(ui, "The case at rest");
    for label in CASE {
        field(ui, view, label, "", length);
    }
    head(ui, "Beyond the case, in use");
    for label in BEYOND {
        field(ui, view, label, "unknown", length);
    }
    drawing(ui, shown, view);
    head(ui, "Touched at: height, depth");
    for label in TOUCHES {
        field(ui, view, label, "unknown", |typed| {
            touch_of(typed, practice).map(|_| ())
        });
    }
    head(ui, "Power and mass");
    for label in POWERS {
        field(ui, view, label, "unknown, W", |t| watts_of(t).map(|_| ()));
    }
    field(ui, view, FACTOR, "unknown", |t| factor_of(t).map(|_| ()));
    origin(ui, view);
    field(ui, view, CORD, "unknown", length);
    field(ui, view, MASS, "unknown, kg", |t| mass_of(t).map(|_| ()));
}

fn head(ui: &mut Ui, words: &str) {
    ui.add_space(5.0);
    ui.label(egui::RichText::new(words).strong());
}

/// A field over a part of the draft; what is typed stays, and what is wrong with it is said below.
fn field(
    ui: &mut Ui,
    view: &mut OwnPrinterView,
    label: &'static str,
    hint: &str,
    read: impl Fn(&str) -> Result<(), String>,
) {
    let needed = label == NAME || CASE.contains(&label);
    let tried = view.tried;
    let draft = view.typed.entry(label).or_default();
    let before = draft.clone();
    let error = match draft.trim() {
        "" if needed && tried => "this figure is needed".to_owned(),
        "" => String::new(),
        typed => read(typed).err().unwrap_or_default(),
    };
    let event = Field::new(label)
        .hint(hint)
        .label_width(98.0)
        .help(help(label))
        .error(&error)
        .ui(ui, draft);
    if event == FieldEvent::Abandoned && draft.is_empty() {
        *draft = before;
    }
}

/// How a figure is come by.
fn help(label: &str) -> &'static str {
    match label {
        NAME => "Your own name for the kind, as it will stand in the stock drawer.",
        "case width" | "case depth" | "case height" => {
            "With a tape, over everything that always stands out: handles, feet, screen."
        }
        "bed to the front" | "bed to the back" => {
            "Push the bed to its end and measure how far it stands beyond the case."
        }
        "lid open, above" => {
            "From the top of the case to the highest point of the lid as it opens."
        }
        "spool above" => "From the top of the case to the top of a full spool on its holder.",
        "spool beside" => "How far a spool on its holder stands out at one side.",
        "cable behind" => "How far plug and cable stand out at the back, without being bent.",
        "bed at" | "screen at" | "spool at" => {
            "Where a hand goes: the height above the feet, and how far behind the front of the case. `reach` goes by it."
        }
        "peak power" => "The most a plug-in meter shows while bed and nozzle heat together.",
        "running power" => "Watt-hours of a whole print by its hours, from a plug-in meter.",
        "standby power" => "What a plug-in meter shows while it waits.",
        MASS => "With a spool on it, from scales or the data sheet.",
        FACTOR => "Watts by volt-amperes, both from a plug-in meter while printing.",
        CORD => "From the case to the plug.",
        _ => "",
    }
}

fn origin(ui: &mut Ui, view: &mut OwnPrinterView) {
    ui.horizontal(|ui| {
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        let height = ui.spacing().interact_size.y;
        ui.allocate_ui_with_layout(vec2(98.0, height), layout, |ui| {
            ui.set_min_width(98.0);
            ui.weak("figures from");
        });
        ComboBox::from_id_salt("own printer figures")
            .selected_text(view.figures.words())
            .width(ui.available_width())
            .truncate()
            .show_ui(ui, |ui| {
                for origin in FigureOrigin::ALL {
                    ui.selectable_value(&mut view.figures, origin, origin.words());
                }
            })
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, "figures from"));
    });
}

fn save(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut OwnPrinterView,
    actions: &mut Actions,
) -> Option<KindId> {
    if shown.read_only || !widgets::action(ui, "Put into own stock").clicked() {
        return None;
    }
    view.tried = true;
    let kind = view.kind(shown.practice())?;
    let (edit, id) = shown.plan.own_printer(shown.layout.stock(), kind)?;
    actions.edit(edit);
    Some(id)
}

impl OwnPrinterView {
    fn typed(&self, label: &str) -> &str {
        self.typed.get(label).map_or("", |t| t.trim())
    }

    /// A figure of the draft; `Ok(None)` where nothing is typed.
    fn read<T>(
        &self,
        label: &str,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Result<Option<T>, String> {
        match self.typed(label) {
            "" => Ok(None),
            typed => read(typed).map(Some),
        }
    }

    /// The envelope as far as it can be read; `None` without the case.
    fn envelope(&self, practice: Practice) -> Option<MeasuredEnvelope> {
        let length = |label| self.read(label, |t| length_of(t, practice)).ok().flatten();
        let [width, depth, height] = CASE.map(length);
        let [bed_front, bed_back, lid, spool_above, spool_beside, cable] = BEYOND.map(length);
        Some(MeasuredEnvelope {
            width: width?,
            depth: depth?,
            height: height?,
            bed_front,
            bed_back,
            lid,
            spool_above,
            spool_beside,
            cable,
        })
    }

    /// The printer, where everything that is typed can be read and name and case are there.
    fn kind(&self, practice: Practice) -> Option<PrinterKind> {
        let length = |t: &str| length_of(t, practice);
        for label in CASE.iter().chain(&BEYOND) {
            self.read(label, length).ok()?;
        }
        let touch = |label| self.read(label, |t| touch_of(t, practice)).ok();
        let power = |label| self.read(label, watts_of).ok();
        let measured = self.envelope(practice)?;
        let (width, depth, height) = measured.in_use();
        let name = self.typed(NAME);
        if name.is_empty() {
            return None;
        }
        let [bed, screen, spool] = TOUCHES.map(touch);
        let [peak, running, standby] = POWERS.map(power);
        Some(PrinterKind {
            name: name.to_owned(),
            enclosed: self.enclosed,
            width,
            depth,
            height,
            mass: self.read(MASS, mass_of).ok()?,
            peak: peak?,
            running: running?,
            standby: standby?,
            power_factor: self.read(FACTOR, factor_of).ok()?,
            leakage: None,
            inrush: None,
            auto_ranging: None,
            figures: self.figures,
            cord: self.read(CORD, length).ok()?,
            draught: None,
            prints: None,
            bed: bed?,
            screen: screen?,
            spool: spool?,
            measured: Some(Box::new(measured)),
        })
    }
}

fn length_of(typed: &str, practice: Practice) -> Result<Length, String> {
    let length = Length::parse(typed, Some(practice)).map_err(|e| e.to_string())?;
    if length < Length::ZERO {
        return Err("write it as 0 or more".to_owned());
    }
    Ok(length)
}

/// "6in, 9in": height above the board and depth behind the front of the envelope.
fn touch_of(typed: &str, practice: Practice) -> Result<Touch, String> {
    let (height, depth) = typed
        .split_once(',')
        .ok_or("write height and depth behind the front, such as 6in, 9in")?;
    Ok(Touch {
        height: length_of(height.trim(), practice)?,
        depth: length_of(depth.trim(), practice)?,
    })
}

fn watts_of(typed: &str) -> Result<Watts, String> {
    figure::read(typed, "W", Watts::parse)
}

fn mass_of(typed: &str) -> Result<Kilograms, String> {
    figure::read(typed, "kg", Kilograms::parse)
}

fn factor_of(typed: &str) -> Result<Ratio, String> {
    let factor = Ratio::parse(typed).map_err(|e| e.to_string())?;
    if factor.value() > 0.0 && factor.value() <= 1.0 {
        Ok(factor)
    } else {
        Err("a power factor lies above 0 and up to 1, such as 0.95".to_owned())
    }
}

/// The envelope from the side and from the front, as far as it is known, and what it comes to.
fn drawing(ui: &mut Ui, shown: &Shown<'_>, view: &OwnPrinterView) {
    let practice = shown.practice();
    let Some(envelope) = view.envelope(practice) else {
        return;
    };
    let (width, depth, height) = envelope.in_use();
    let size = vec2(ui.available_width(), 112.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let [w, d, h] = [width, depth, height].map(|l| l.shown(practice));
    let words = format!("In use: {w} wide, {d} deep, {h} high");
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("Envelope. {words}")));
    let room = vec2(rect.width() * 0.5 - 12.0, rect.height() - 24.0);
    let scale = |room: f32, mm: f64| f64::from(room) / mm.max(1.0);
    let points_per_mm = scale(room.x, depth.mm())
        .min(scale(room.x, width.mm()))
        .min(scale(room.y, height.mm()));
    let sketch = Sketch {
        painter: ui.painter().with_clip_rect(rect.expand(2.0)),
        colours: palette(ui),
        points_per_mm,
    };
    let floor = rect.bottom() - 16.0;
    let left = pos2(rect.left() + 4.0, floor);
    sketch.side(left, &envelope);
    let right = pos2(rect.center().x + 8.0, floor);
    sketch.front(right, &envelope);
    for (x, words) in [(left.x, "from its left"), (right.x, "from the front")] {
        sketch.painter.text(
            pos2(x, rect.bottom()),
            Align2::LEFT_BOTTOM,
            words,
            theme::plain(text::TINY),
            sketch.colours.ink_weak,
        );
    }
    ui.label(words);
    let missing = envelope.missing();
    if !missing.is_empty() {
        let words = format!("Not measured yet: {}.", missing.join(", "));
        widgets::hint(ui, &words);
    }
}

/// A small drawing of an envelope in use.
struct Sketch {
    painter: Painter,
    colours: &'static Palette,
    points_per_mm: f64,
}

impl Sketch {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "bounded just before; the screen has no finer places"
    )]
    fn points(&self, length: Length) -> f32 {
        (length.mm() * self.points_per_mm).max(-1e4).min(1e4) as f32
    }

    /// The front to the left: bed to both sides, lid open, spool above, cable behind.
    fn side(&self, low: Pos2, e: &MeasuredEnvelope) {
        let known = |l: Option<Length>| self.points(l.unwrap_or_default());
        let (_, depth, height) = e.in_use();
        self.dashed(low, vec2(self.points(depth), self.points(height)));
        let case = self.case(low + vec2(known(e.bed_front), 0.0), e.depth, e.height);
        let bed_at = case.bottom() - case.height() * 0.3;
        let stroke = Stroke::new(line::MEASURE, self.colours.measure.line);
        let bed = (case.left() - known(e.bed_front))..=(case.right() + known(e.bed_back));
        if e.bed_front.or(e.bed_back).is_some() {
            self.painter.hline(bed, bed_at, stroke);
        }
        if known(e.cable) > 0.0 {
            let plug = pos2(
                case.right() + known(e.cable),
                case.bottom() - case.height() * 0.15,
            );
            let from = pos2(case.right(), plug.y - 6.0);
            let bend = pos2(plug.x, plug.y - 6.0);
            let points = vec![from, bend, plug];
            self.painter.add(Shape::line(points, stroke));
        }
        if known(e.lid) > 0.0 {
            let hinge = case.right_top();
            let tip = hinge - vec2(0.0, known(e.lid));
            self.painter.line_segment([hinge, tip], stroke);
        }
        self.spool_above(case, e);
    }

    fn front(&self, low: Pos2, e: &MeasuredEnvelope) {
        let (width, _, height) = e.in_use();
        self.dashed(low, vec2(self.points(width), self.points(height)));
        let case = self.case(low, e.width, e.height);
        self.spool_above(case, e);
        let beside = self.points(e.spool_beside.unwrap_or_default());
        if beside > 0.0 {
            let size = vec2(beside, (case.height() * 0.45).max(4.0));
            let at = pos2(case.right(), case.center().y - size.y * 0.5);
            self.body(Rect::from_min_size(at, size), self.colours.card);
        }
    }

    fn spool_above(&self, case: Rect, e: &MeasuredEnvelope) {
        let above = self.points(e.spool_above.unwrap_or_default());
        if above > 2.0 {
            let centre = pos2(case.center().x, case.top() - above * 0.5);
            let edge = Stroke::new(line::PART, self.colours.body_edge);
            self.painter
                .circle(centre, above * 0.5, self.colours.card, edge);
        }
    }

    fn case(&self, low: Pos2, wide: Length, high: Length) -> Rect {
        let size = vec2(self.points(wide), self.points(high));
        let case = Rect::from_min_size(low - vec2(0.0, size.y), size);
        self.body(case, self.colours.printer);
        case
    }

    fn body(&self, rect: Rect, fill: Color32) {
        let edge = Stroke::new(line::EDGE, self.colours.body_edge);
        self.painter.rect(rect, 1.0, fill, edge, StrokeKind::Inside);
    }

    /// The envelope from its lower left corner.
    fn dashed(&self, low: Pos2, size: egui::Vec2) {
        let high = low + vec2(size.x, -size.y);
        let stroke = Stroke::new(line::EDGE, self.colours.ink_weak);
        widgets::dashed(
            &self.painter,
            Rect::from_two_pos(low, high),
            stroke,
            (3.0, 3.0),
        );
    }
}
