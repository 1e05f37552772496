//! How a cooling unit blows: vane, deflector, louvres, fan, and the air in a section along its jet. Judges nothing.

use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::form::{Form, put};
use crate::editor::action::Action;
use crate::editor::floor::air_pen;
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets;
use crate::geometry::Point;
use crate::layout::{Section, Sees};
use crate::plan::{Blow, CoolingUnit, Edit, Fan, Id, Item};
use crate::stock::{CoolingKind, FanSpeed};
use crate::units::{Angle, CubicMetresPerHour, Length};

use crate::editor::figure::read_maybe;

/// Least and greatest height of the section, in points.
const SECTION_HEIGHT: (f32, f32) = (70.0, 150.0);

/// The fields of a placed unit, and its section.
pub(super) fn blow(form: &mut Form<'_, '_>, id: Id, unit: &CoolingUnit, kind: &CoolingKind) {
    let with = |change: &dyn Fn(&mut Blow)| -> Result<Edit, String> {
        let mut unit = unit.clone();
        change(&mut unit.blow);
        match unit.blow.fault() {
            Some(fault) => Err(fault.to_owned()),
            None => Ok(put(id, Item::Cooling(unit))),
        }
    };
    let vane = unit.blow.down.unwrap_or(kind.vane_down);
    form.text("vane set", pitch_words(vane), |typed| {
        let down = pitch(typed)?;
        with(&|blow| blow.down = down)
    });
    let plate = unit.blow.deflector.map(pitch_words).unwrap_or_default();
    form.text("deflector", plate, |typed| {
        let plate = pitch(typed)?;
        with(&|blow| blow.deflector = plate)
    });
    form.text("louvres turn", aside_words(unit.blow.aside), |typed| {
        let aside = aside(typed)?;
        with(&|blow| blow.aside = aside)
    });
    form.text("swing each way", unit.blow.swing.shown(), |typed| {
        let swing = match typed {
            "" => Angle::ZERO,
            _ => Angle::parse(typed).map_err(|e| e.to_string())?,
        };
        with(&|blow| blow.swing = swing)
    });
    let speeds: Vec<(Fan, String)> = Fan::all(kind)
        .into_iter()
        .map(|fan| {
            let flow = fan.flow(kind);
            let flow = flow.map_or_else(|| "flow unknown".to_owned(), CubicMetresPerHour::shown);
            (fan, format!("{}, {flow}", fan.name(kind)))
        })
        .collect();
    form.choice("fan speed", &unit.blow.fan, &speeds, |fan| {
        with(&|blow| blow.fan = fan).ok()
    });
    lines_at(form);
    section(form, id);
}

/// The height above the floor at which the lines of equal air speed are drawn.
fn lines_at(form: &mut Form<'_, '_>) {
    let practice = form.shown.practice();
    let height = Length::from_mm(form.shown.air_height_mm().round());
    form.asking("air drawn at", height.shown(practice), |typed| {
        if typed.is_empty() {
            return Ok(Action::AirHeight(None));
        }
        let height = Length::parse(typed, Some(practice)).map_err(|e| e.to_string())?;
        if height < Length::ZERO {
            return Err("write it as 0 or more above the floor".to_owned());
        }
        Ok(Action::AirHeight(Some(height)))
    });
}

/// An angle below the level in words.
pub(super) fn pitch_words(down: Angle) -> String {
    let degrees = down.signed_degrees();
    if degrees < 0.0 {
        format!("{} up", (-down).shown())
    } else if degrees > 0.0 {
        format!("{} down", down.shown())
    } else {
        "level".to_owned()
    }
}

/// An angle to the left in words.
fn aside_words(left: Angle) -> String {
    let degrees = left.signed_degrees();
    if degrees < 0.0 {
        format!("{} right", (-left).shown())
    } else if degrees > 0.0 {
        format!("{} left", left.shown())
    } else {
        "straight".to_owned()
    }
}

/// The angle below the level that is typed, such as 15° down, 10 up, level; `None` where nothing is.
fn pitch(typed: &str) -> Result<Option<Angle>, String> {
    match typed {
        "" => Ok(None),
        "level" => Ok(Some(Angle::ZERO)),
        _ => one_of_two(typed, ("down", "up")).map(Some),
    }
}

/// The angle to the left that is typed, such as 20° left, 15 right, straight.
fn aside(typed: &str) -> Result<Angle, String> {
    match typed {
        "" | "straight" => Ok(Angle::ZERO),
        _ if typed.ends_with("left") || typed.ends_with("right") => {
            one_of_two(typed, ("left", "right"))
        }
        _ => Err("say which way: such as 20 left, 20 right or straight".to_owned()),
    }
}

/// An angle with the word for its direction behind it, the first being meant where there is none.
fn one_of_two(typed: &str, (first, second): (&str, &str)) -> Result<Angle, String> {
    let (angle, turned) = match typed.strip_suffix(second) {
        Some(angle) => (angle, true),
        None => (typed.strip_suffix(first).unwrap_or(typed), false),
    };
    let angle = Angle::parse(angle).map_err(|e| e.to_string())?;
    Ok(if turned { -angle } else { angle })
}

/// The lower fan speeds of a kind as they are typed: `medium 800 m³/h, low 600 m³/h`.
pub(super) fn speeds_words(kind: &CoolingKind) -> String {
    let speeds = kind.lower_speeds.iter().map(|speed| {
        let flow = speed.flow.map(CubicMetresPerHour::shown);
        format!("{} {}", speed.name, flow.unwrap_or_default())
            .trim()
            .to_owned()
    });
    speeds.collect::<Vec<_>>().join(", ")
}

/// The same read back; a speed without a number is one whose flow is unknown.
pub(super) fn speeds(typed: &str) -> Result<Vec<FanSpeed>, String> {
    let named = typed.split(',').map(str::trim).filter(|t| !t.is_empty());
    named
        .map(|one| {
            let number = one.find(|c: char| c.is_ascii_digit());
            let (name, flow) = one.split_at(number.unwrap_or(one.len()));
            if name.trim().is_empty() {
                return Err(format!("{one:?}: a speed has a name before its flow"));
            }
            Ok(FanSpeed {
                name: name.trim().to_owned(),
                flow: read_maybe(flow.trim(), "m3/h", CubicMetresPerHour::parse)?,
            })
        })
        .collect()
}

/// The air in the upright plane along the jet, drawn, and told in words for who cannot see it.
fn section(form: &mut Form<'_, '_>, id: Id) {
    let shown = form.shown;
    let Some(part) = shown.layout.part(id) else {
        return;
    };
    let Some(section) = shown.layout.air_section(part, Sees::All) else {
        widgets::hint(form.ui, "A figure is missing, so its air cannot be drawn.");
        return;
    };
    let practice = shown.practice();
    let reaches: Vec<String> = section
        .contours
        .iter()
        .map(|contour| {
            let far = contour.lines.iter().flatten().map(|p| p.x);
            match far.max_by(f64::total_cmp) {
                Some(x) if x >= section.length - 1.0 => {
                    format!("{:.2} m/s up to the far wall", contour.speed)
                }
                Some(x) => format!(
                    "{:.2} m/s up to {}",
                    contour.speed,
                    Length::from_mm(x.round()).shown(practice)
                ),
                None => format!("{:.2} m/s nowhere", contour.speed),
            }
        })
        .collect();
    let words = format!("Section along the jet: {}", reaches.join(", "));
    draw(form.ui, &section, shown.air_height_mm(), &words);
    widgets::hint(form.ui, &format!("{words} before the outlet."));
}

fn draw(ui: &mut Ui, section: &Section, height_mm: f64, words: &str) {
    let width = ui.available_width();
    let wanted = width * widgets::share(section.ceiling, section.length);
    let height = wanted.max(SECTION_HEIGHT.0).min(SECTION_HEIGHT.1);
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
    let paper = Paper {
        rect: rect.shrink(1.0),
        section,
        colours: palette(ui),
    };
    let painter = ui.painter().with_clip_rect(rect);
    paper.room(&painter, height_mm);
    paper.air(&painter);
}

/// Where a section is drawn.
struct Paper<'a> {
    rect: Rect,
    section: &'a Section,
    colours: &'static Palette,
}

impl Paper<'_> {
    fn at(&self, p: Point) -> Pos2 {
        let (x, y) = (
            widgets::share(p.x, self.section.length),
            widgets::share(p.y, self.section.ceiling),
        );
        pos2(
            self.rect.left() + self.rect.width() * x,
            self.rect.bottom() - self.rect.height() * y,
        )
    }

    /// Floor, ceiling and walls, and the height that the floor's lines are drawn at.
    fn room(&self, painter: &Painter, height_mm: f64) {
        painter.rect(
            self.rect,
            0.0,
            self.colours.paper,
            Stroke::new(line::EDGE, self.colours.body_edge),
            egui::StrokeKind::Inside,
        );
        let level = |x: f64| self.at(Point::new(x, height_mm));
        let ends = [level(0.0), level(self.section.length)];
        let stroke = Stroke::new(line::HAIR, self.colours.ink_weak);
        painter.extend(Shape::dashed_line(&ends, stroke, 1.5, 3.0));
    }

    fn air(&self, painter: &Painter) {
        let middle: Vec<Pos2> = self.section.middle.iter().map(|p| self.at(*p)).collect();
        let hair = Stroke::new(line::HAIR, self.colours.zone_jet.line);
        painter.add(Shape::line(middle, hair));
        for contour in &self.section.contours {
            for run in &contour.lines {
                let run: Vec<Pos2> = run.iter().map(|p| self.at(*p)).collect();
                air_pen(painter, &run, contour.speed, self.colours);
            }
            let far = contour.lines.iter().flatten().copied();
            if let Some(far) = far.max_by(|a, b| a.x.total_cmp(&b.x)) {
                let at = self.at(far);
                let inside = pos2(
                    at.x.min(self.rect.right() - 14.0),
                    at.y.min(self.rect.bottom() - 7.0),
                );
                label(painter, inside, contour.speed, self.colours);
            }
        }
    }
}

/// The speed on its line.
fn label(painter: &Painter, at: Pos2, speed: f64, colours: &Palette) {
    let words = format!("{speed:.2}");
    let galley = painter.layout_no_wrap(words, theme::plain(text::TINY), colours.ink);
    let rect = Align2::CENTER_CENTER.anchor_size(at, galley.size());
    painter.rect_filled(rect, 0.0, colours.paper);
    painter.galley(rect.min, galley, colours.ink);
}
