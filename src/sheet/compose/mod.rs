//! Composing a sheet: one file a block. Each block turns a part of the layout into marks in millimetres on paper.

mod block;
mod canvas;
mod dimensions;
mod fixtures;
mod floor;
mod legend;
mod panel_schedule;
mod paper;
mod schedules;
mod title;
mod view;
mod written;

use std::collections::BTreeSet;

use self::block::Block;
use self::canvas::Canvas;
use self::dimensions::Dimensions;
use self::paper::{Arrangement, Wanted};
use self::view::{View, dimension_mm};
use super::LEAST_LETTERING_MM;
use super::model::{Anchor, Mark, Sheet, Text};
use crate::checks::{Finding, Findings};
use crate::fill::{Answer, Headroom};
use crate::geometry::Point;
use crate::layout::{Layout, Wall};
use crate::plan::{Id, Item, Status, WallPlace};
use crate::units::{Length, Practice};

/// Who made the sheet and when; passed in, so that the same plan gives the same sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// The date as it is to be written.
    pub date: String,
    /// The revision's letter or number.
    pub revision: String,
    /// Who drew it.
    pub drawn_by: String,
}

/// What the sheet is about, with the questions that several blocks ask.
#[derive(Clone, Copy, Debug)]
struct Subject<'a> {
    layout: &'a Layout,
    /// Open must-fix findings.
    stops: usize,
}

impl Subject<'_> {
    fn practice(&self) -> Practice {
        self.layout.plan().practice()
    }

    /// The signs of the two axes that lead from the datum corner into the room.
    fn axes(&self) -> Point {
        let datum = self.layout.plan().room().datum_corner();
        let middle = self.layout.room().bounds().centre();
        let sign = |v: f64| if v < 0.0 { -1.0 } else { 1.0 };
        Point::new(sign(middle.x - datum.x), sign(middle.y - datum.y))
    }

    fn phase_words(&self) -> String {
        let number = self.layout.phase();
        let phases = self.layout.plan().phases();
        let name = phases
            .get(usize::from(number.0).saturating_sub(1))
            .map_or("", |p| p.name.as_str());
        let plain = format!("Phase {number}");
        if name.is_empty() || name == plain {
            plain
        } else {
            format!("{plain}: {name}")
        }
    }

    fn wall_words(&self, number: usize) -> String {
        self.layout.plan().room().wall_name(number)
    }

    /// The direction into the room from the wall that a thing is on.
    fn inward_at(&self, id: Id) -> Point {
        let place = self
            .layout
            .plan()
            .items()
            .get(id)
            .and_then(Item::wall_place);
        place
            .and_then(|p| Wall::at(self.layout.room(), p))
            .map_or(Point::Y, |w| w.inward)
    }

    fn has_slant(&self) -> bool {
        self.layout.walls().any(|w| is_slanted(&w))
    }

    /// How far from the datum a place on a wall is: the edge nearer the datum of what is `width` wide.
    fn along_words(&self, place: WallPlace, width: Length) -> String {
        let (a, b) = (
            self.along_mm(place, Length::ZERO),
            self.along_mm(place, width),
        );
        let value = dimension_mm(a.min(b), self.practice());
        let slanted = Wall::at(self.layout.room(), place).is_some_and(|w| is_slanted(&w));
        if slanted { format!("{value} *") } else { value }
    }

    /// The same for one place `beyond` the near edge.
    fn along_value(&self, place: WallPlace, beyond: Length) -> String {
        dimension_mm(self.along_mm(place, beyond), self.practice())
    }

    fn along_mm(&self, place: WallPlace, beyond: Length) -> f64 {
        let Some(wall) = Wall::at(self.layout.room(), place) else {
            return place.along.mm();
        };
        let datum = self.layout.plan().room().datum_corner();
        let along = (place.along + beyond).mm();
        let (start, end) = (wall.point(0.0, 0.0), wall.point(wall.length, 0.0));
        if is_slanted(&wall) {
            if start.distance(datum) <= end.distance(datum) {
                along
            } else {
                wall.length - along
            }
        } else {
            let from_datum = (wall.point(along, 0.0) - datum) * self.axes();
            if wall.along.x.abs() > 0.5 {
                from_datum.x
            } else {
                from_datum.y
            }
        }
    }
}

/// True for a wall along none of the sheet's edges.
fn is_slanted(wall: &Wall) -> bool {
    wall.along.x.abs().max(wall.along.y.abs()) < 1.0 - 1e-9
}

/// " (N)" behind the mark of what is not there already.
fn status_letter(subject: &Subject<'_>, id: Id) -> &'static str {
    let status = subject
        .layout
        .plan()
        .items()
        .get(id)
        .map(|i| (i.kind(), i.presence().status));
    match status {
        // Racks have their status in the schedule.
        Some((crate::plan::ItemKind::Rack, _) | (_, Status::Existing)) | None => "",
        Some((_, Status::New)) => " (N)",
        Some((_, Status::Moved)) => " (M)",
        Some((_, Status::Removed)) => " (R)",
    }
}

/// The floor of one phase as a sheet. The findings and the headroom are those of the same layout; `fullest` is what a
/// search found for it, where one was made.
pub fn floor_sheet(
    layout: &Layout,
    findings: &Findings,
    headroom: &Headroom,
    fullest: Option<&Answer>,
    made: &Made,
) -> Sheet {
    let subject = Subject {
        layout,
        stops: findings.iter().filter(|f| Finding::stops(f)).count(),
    };
    let dimensions = Dimensions::of(&subject);
    let mut schedules = schedules::blocks(&subject, findings, headroom);
    schedules.extend(fullest.map(|answer| schedules::fullest(&subject, answer)));
    let arrange = |lost: usize, listed: &BTreeSet<Id>| {
        let legend = legend::legend(&subject);
        let notes = legend::notes(&subject, lost);
        let told = written::listed_notes(&subject, listed);
        let schedules = || schedules.iter().cloned().chain(told.clone());
        let in_order: Vec<Block> = schedules().chain([legend.clone(), notes.clone()]).collect();
        let by_weight: Vec<Block> = [notes, legend].into_iter().chain(schedules()).collect();
        paper::arrange(
            subject.practice(),
            &Wanted {
                drawing: &|ratio| drawing_size(&subject, &dimensions, 1.0 / ratio),
                blocks: &in_order,
                by_weight: &by_weight,
            },
        )
    };
    let mut listed = written::long_notes(&subject);
    let mut arrangement = arrange(0, &listed);
    let (mut drawing, lost) = draw(&subject, &dimensions, (&arrangement, &mut listed));
    if lost > 0 || listed != written::long_notes(&subject) {
        // The line that says so, and the notes that are listed, take paper, which may ask for another size.
        arrangement = arrange(lost, &listed);
        drawing = draw(&subject, &dimensions, (&arrangement, &mut listed)).0;
    }
    finish(&subject, made, arrangement, drawing)
}

/// Paper that the drawing takes with its dimensions and the strip of bars below it.
fn drawing_size(subject: &Subject<'_>, dimensions: &Dimensions, share: f64) -> Point {
    let room = subject.layout.room().bounds().size() * share;
    let [bottom, right, top, left] = dimensions.margins(subject, share);
    Point::new(
        (room.x + left + right).max(legend::STRIP_WIDTH_MM),
        room.y + top + bottom + legend::STRIP_MM,
    )
}

/// The drawing in its place, and how many marks and dimensions found no room; the notes that found none are listed from then on.
fn draw(
    subject: &Subject<'_>,
    dimensions: &Dimensions,
    (arrangement, listed): (&Arrangement, &mut BTreeSet<Id>),
) -> (Vec<Mark>, usize) {
    let share = 1.0 / arrangement.scale.ratio;
    let (low, size) = arrangement.drawing;
    let [bottom, right, top, left] = dimensions.margins(subject, share);
    let room = *subject.layout.room().bounds();
    let used = room.size() * share + Point::new(left + right, top + bottom);
    // The drawing stands in the middle of its paper, the strip of bars at the foot.
    let spare = (size - Point::new(0.0, legend::STRIP_MM) - used).max(Point::ZERO) * 0.5;
    let view = View {
        room,
        at: low + spare + Point::new(left, top),
        share,
    };
    let mut canvas = Canvas::default();
    let mut lost = 0;
    canvas.group("dimensions", |c| lost += dimensions.draw(subject, &view, c));
    canvas.group("floor", |c| lost += floor::draw(subject, &view, c));
    canvas.group("floor-notes", |c| {
        lost += written::notes(subject, &view, listed, c);
    });
    canvas.group("datum", |c| datum(subject, &view, c));
    let foot = Point::new(low.x, low.y + size.y - legend::STRIP_MM);
    canvas.group("bars", |c| legend::strip_marks(subject, &view, foot, c));
    (canvas.into_marks(), lost)
}

/// The datum mark with its word, outside the corner.
fn datum(subject: &Subject<'_>, view: &View, canvas: &mut Canvas) {
    let at = view.paper(subject.layout.plan().room().datum_corner());
    legend::datum(at, canvas);
    let toward = subject.axes();
    let wall = subject.layout.plan().room().wall.mm() * view.share;
    let out = Point::new(-toward.x, toward.y);
    let anchor = if out.x < 0.0 {
        Anchor::End
    } else {
        Anchor::Start
    };
    for step in [1.0, 2.0, 3.0, 4.0] {
        let down = if out.y > 0.0 { LEAST_LETTERING_MM } else { 0.0 };
        let place = at + out * (wall + 1.5 * step) + Point::new(0.0, down);
        let text = Text::new(place, "DATUM 0, 0", LEAST_LETTERING_MM)
            .anchored(anchor)
            .bold();
        if canvas.try_text(text) {
            break;
        }
    }
}

fn finish(
    subject: &Subject<'_>,
    made: &Made,
    arrangement: Arrangement,
    drawing: Vec<Mark>,
) -> Sheet {
    let group = |name, marks| Mark::Group { name, marks };
    let title = title::block(subject, made, &arrangement);
    let name = &subject.layout.plan().head().name;
    Sheet {
        paper: arrangement.paper.name,
        width_mm: arrangement.paper.width,
        height_mm: arrangement.paper.height,
        ratio: arrangement.scale.ratio,
        scale: arrangement.scale.words,
        title: format!("{name}, {}", subject.phase_words()),
        description: format!(
            "Floor plan at {} on {}. Planning aid: a licensed electrician, the local code, the landlord and the insurer decide.",
            arrangement.scale.words, arrangement.paper.name
        ),
        left_out: arrangement.blocks.left_out.clone(),
        marks: vec![
            group("frame", paper::frame(arrangement.paper)),
            group("drawing", drawing),
            group("schedules", arrangement.blocks.marks),
            group("title-block", title),
        ],
    }
}
