//! The tape on the floor: from point to point by clicks, between two things, or round one. It shows and says what it reads and
//! changes nothing in the plan; what is kept of it is another's to ask for.

use egui::{Key, PointerButton, Rect, Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2};

use super::paint::Brush;
use super::{Camera, reach_mm};
use crate::editor::action::{Actions, Command};
use crate::editor::shown::Shown;
use crate::editor::theme::line;
use crate::editor::widgets;
use crate::geometry::Point;
use crate::layout::{Layout, Met};
use crate::plan::{End, Id, WallPlace};
use crate::units::{Length, Practice};

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// From one end to another.
    Between(End, End),
    /// The gap between two things.
    Things(Id, Id),
    /// How far a thing is clear on each side.
    Around(Id),
}

/// The tape: whether it is in hand, and what it reads.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasureView {
    on: bool,
    /// The first point, once it was clicked.
    first: Option<End>,
    /// What the pointer is drawn to now.
    over: Option<End>,
    measured: Option<Reading>,
    free: bool,
}

/// A line that is measured, with its words.
struct Line {
    from: Point,
    to: Point,
    words: String,
}

impl MeasureView {
    /// Takes the tape in hand: for what is given, or to click two points.
    pub fn begin(&mut self, measured: Option<Reading>) {
        *self = Self {
            on: true,
            measured,
            ..Self::default()
        };
    }

    /// Puts it away.
    pub fn leave(&mut self) {
        *self = Self::default();
    }

    /// True while it is in hand.
    pub fn is_on(&self) -> bool {
        self.on
    }

    /// What it reads now, the point under the pointer counted as the second while there is none.
    pub fn measured(&self) -> Option<Reading> {
        let under_way = || Some(Reading::Between(self.first?, self.over?));
        self.measured.or_else(under_way)
    }

    /// The measure that can be kept: both its points were set.
    pub fn settled(&self) -> Option<Reading> {
        self.measured
    }
}

impl Reading {
    /// The dimensions that would keep it: their ends.
    pub fn ends(self, layout: &Layout) -> Vec<(End, End)> {
        match self {
            Self::Between(from, to) => vec![(from, to)],
            Self::Things(a, b) => layout
                .gap(a, b)
                .map(|gap| layout.fastened((gap.from, Some(a)), (gap.to, Some(b))))
                .into_iter()
                .collect(),
            Self::Around(id) => layout
                .clear_around(id)
                .into_iter()
                .filter(|clear| clear.mm() > 0.0)
                .map(|clear| {
                    let met = match clear.met {
                        Met::Thing(other) => Some(other),
                        Met::Wall(_) => None,
                    };
                    layout.fastened((clear.from, Some(id)), (clear.to, met))
                })
                .collect(),
        }
    }

    fn readings(self, layout: &Layout, practice: Practice) -> Vec<Line> {
        let length = |mm: f64| Length::from_mm(mm).shown(practice);
        match self {
            Self::Between(a, b) => layout
                .ends(a, b)
                .map(|(from, to)| Line {
                    from,
                    to,
                    words: length(from.distance(to)),
                })
                .into_iter()
                .collect(),
            Self::Things(a, b) => layout
                .gap(a, b)
                .map(|gap| Line {
                    from: gap.from,
                    to: gap.to,
                    words: length(gap.mm()),
                })
                .into_iter()
                .collect(),
            Self::Around(id) => layout
                .clear_around(id)
                .into_iter()
                .map(|clear| Line {
                    from: clear.from,
                    to: clear.to,
                    words: length(clear.mm()),
                })
                .collect(),
        }
    }

    /// What it reads, in a sentence; `None` where what it was measured from is not there any more.
    pub fn words(self, layout: &Layout) -> Option<String> {
        let practice = layout.plan().practice();
        let length = |mm: f64| Length::from_mm(mm).shown(practice);
        let parts = |from: Point, to: Point| {
            let (along, across) = layout.along_and_across(from, to);
            let wall = "the longest wall";
            format!("{} along {wall}, {} across", length(along), length(across))
        };
        match self {
            Self::Between(a, b) => {
                let (from, to) = layout.ends(a, b)?;
                let long = length(from.distance(to));
                Some(format!("Measured {long}: {}", parts(from, to)))
            }
            Self::Things(a, b) => {
                let gap = layout.gap(a, b)?;
                Some(format!(
                    "{a} to {b}: gap {}; {}; {} from middle to middle",
                    length(gap.mm()),
                    parts(gap.from, gap.to),
                    length(gap.middles_mm)
                ))
            }
            Self::Around(id) => {
                let sides = layout.clear_around(id);
                let words: Vec<String> = sides
                    .iter()
                    .map(|clear| {
                        let met = match clear.met {
                            Met::Thing(other) => other.to_string(),
                            Met::Wall(k) => format!("the {}", layout.plan().room().wall_name(k)),
                        };
                        format!("{} {} to {met}", length(clear.mm()), clear.side.word())
                    })
                    .collect();
                (!words.is_empty()).then(|| format!("{id} is clear: {}", words.join(", ")))
            }
        }
    }
}

/// What the pointer at a place is drawn to: the nearest place on a thing or corner of the room within reach; for a second point the
/// side or wall straight across; a point of a wall; else the place itself.
fn drawn(layout: &Layout, at: Point, first: Option<End>, reach: f64) -> End {
    let nearest = |found: Vec<(End, Point)>| {
        let mut near: Vec<(f64, End)> = found
            .into_iter()
            .map(|(end, p)| (p.distance(at), end))
            .filter(|(off, _)| *off <= reach)
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.first().map(|(_, end)| *end)
    };
    let square = || {
        let first = first?;
        let across = layout.edges().into_iter().filter_map(|(end, (a, b))| {
            let (_, foot) = layout.ends(first, end)?;
            let way = (b - a).normalize_or_zero();
            let along = (foot - a).dot(way);
            let on = (0.0..=a.distance(b)).contains(&along);
            on.then_some((end, foot))
        });
        nearest(across.collect())
    };
    let on_wall = || {
        let points = layout.walls().filter_map(|wall| {
            let along = (at - wall.start).dot(wall.along).max(0.0).min(wall.length);
            let place = WallPlace::new(u16::try_from(wall.number).ok()?, Length::from_mm(along));
            Some((End::Wall(place), wall.point(along, 0.0)))
        });
        nearest(points.collect())
    };
    nearest(layout.anchors())
        .or_else(square)
        .or_else(on_wall)
        .unwrap_or_else(|| Layout::free_end(at))
}

/// One frame of the pointer while the tape is in hand: a click sets a point, and so do both ends of a drag.
pub(super) fn pointer(
    ui: &Ui,
    response: &Response,
    shown: &Shown<'_>,
    view: &mut MeasureView,
    camera: &Camera,
) {
    let (latest, press, free) = ui.input(|i| {
        (
            i.pointer.latest_pos(),
            i.pointer.press_origin(),
            i.key_down(Key::F),
        )
    });
    view.free = free;
    let reach = if free { 0.0 } else { reach_mm(camera.mm(1.0)) };
    let at = |p| camera.to_floor(p);
    if response.drag_started_by(PointerButton::Primary)
        && view.first.is_none()
        && let Some(press) = press
    {
        response.request_focus();
        view.measured = None;
        view.first = Some(drawn(shown.layout, at(press), None, reach));
    }
    let over = latest.filter(|p| response.rect.contains(*p));
    view.over = over.map(|p| drawn(shown.layout, at(p), view.first, reach));
    let dropped = response.drag_stopped_by(PointerButton::Primary);
    if !dropped && !response.clicked() {
        return;
    }
    response.request_focus();
    let Some(here) = view.over else {
        return;
    };
    let first = view.first.take().filter(|first| *first != here);
    view.measured = first.map(|first| Reading::Between(first, here));
    if first.is_none() {
        view.first = Some(here);
    }
}

/// The switch of the tape, and what can be done with what it reads.
pub(super) fn bar(ui: &mut Ui, shown: &Shown<'_>, view: &MeasureView, actions: &mut Actions) {
    if widgets::pill(ui, "Measure", view.on).clicked() {
        actions.command(Command::Measure);
    }
    if view.settled().is_some()
        && !shown.read_only
        && widgets::action(ui, "Keep as a dimension").clicked()
    {
        actions.command(Command::KeepDimension);
    }
}

/// Says to screen readers what is read; it is painted over the floor too.
pub(super) fn node(ui: &Ui, floor: &Response, shown: &Shown<'_>, view: &MeasureView) {
    if !view.on {
        return;
    }
    let words = words(shown, view);
    let at = Rect::from_center_size(floor.rect.center_bottom(), Vec2::ZERO);
    let node = ui.interact(at, floor.id.with("measured"), Sense::hover());
    node.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
}

fn words(shown: &Shown<'_>, view: &MeasureView) -> String {
    match view.measured() {
        Some(measured) => measured
            .words(shown.layout)
            .unwrap_or_else(|| "What was measured is not there in this phase.".to_owned()),
        None if view.first.is_some() => "Measuring: choose the second point.".to_owned(),
        None => "Measuring: choose the first point.".to_owned(),
    }
}

/// Paints what is read, with the point that the pointer is drawn to.
pub(super) fn paint(brush: &Brush<'_>, view: &MeasureView) {
    if !view.on {
        return;
    }
    let tone = brush.colours.measure;
    let (layout, practice) = (brush.shown.layout, brush.shown.practice());
    if let Some(measured) = view.measured() {
        let readings = measured.readings(layout, practice);
        if let (Reading::Between(..), [only]) = (measured, readings.as_slice()) {
            legs(brush, only);
        }
        for reading in &readings {
            brush.dimension(reading.from, reading.to, &reading.words, tone.text);
        }
    }
    for end in [view.first, view.over].into_iter().flatten() {
        let at = match (end.is_square(), view.first) {
            (true, Some(first)) => layout.ends(first, end).map(|(_, to)| to),
            _ => layout.end_at(end),
        };
        if let Some(at) = at {
            let stroke = Stroke::new(line::MEASURE, tone.line);
            let filled = !matches!(end, End::Point(..));
            brush.painter.circle_stroke(brush.at(at), 4.5, stroke);
            if filled {
                brush.painter.circle_filled(brush.at(at), 2.0, tone.line);
            }
        }
    }
    let foot = brush.camera.view().center_bottom();
    let keep = if view.settled().is_some() && !brush.shown.read_only {
        "Shift+F4: keep it as a dimension · "
    } else {
        ""
    };
    let hint = if view.free {
        "free: nothing snaps".to_owned()
    } else {
        format!("{keep}click two points · hold F: nothing snaps · Esc: put the tape away")
    };
    brush.plate(foot - vec2(0.0, 14.0), &hint, brush.colours.ink);
    let words = words(brush.shown, view);
    brush.plate(foot - vec2(0.0, 36.0), &words, tone.text);
}

/// The ways along and across that make up a slanting one, dashed.
fn legs(brush: &Brush<'_>, reading: &Line) {
    let along = brush.shown.layout.main_direction();
    let way = reading.to - reading.from;
    let corner = reading.from + along * way.dot(along);
    let (first, second) = (corner.distance(reading.from), corner.distance(reading.to));
    if first.min(second) < brush.camera.mm(12.0) {
        return;
    }
    let tone = brush.colours.measure;
    let points = [reading.from, corner, reading.to].map(|p| brush.at(p));
    let stroke = Stroke::new(line::HAIR, tone.line);
    brush
        .painter
        .extend(egui::Shape::dashed_line(&points, stroke, 4.0, 3.0));
}
