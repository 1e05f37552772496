//! What a person wrote on the floor: dimensions that are kept, and notes. Paints them, says them, and makes the edits that drags
//! and arrow keys ask for; writes nothing.

use egui::{Align2, Rect, Shape, Stroke, StrokeKind, Vec2, vec2};

use super::Camera;
use super::gesture::grid;
use super::paint::Brush;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::geometry::Point;
use crate::layout::{Layout, Measured, Part};
use crate::plan::{Dimension, Edit, End, Id, Item, Note, Record, Room};
use crate::sheet::{CAPITAL_SHARE, Weight, broken, width_mm};
use crate::units::Length;

/// How wide the text of a note is at most, in points.
const NOTE_WIDTH: f64 = 190.0;
/// The most lines of a note that are shown on the floor; the card has them all.
const NOTE_LINES: usize = 7;
/// From line to line.
const PITCH: f64 = 14.0;
/// Paper round the text.
const MARGIN: f64 = 5.0;

/// The lines of a note as the floor shows them.
fn lines_of(note: &Note) -> Vec<String> {
    let capitals = f64::from(text::SMALL) * CAPITAL_SHARE;
    let mut lines = broken(note.text.as_str(), NOTE_WIDTH, capitals, Weight::Plain);
    if lines.len() > NOTE_LINES {
        lines.truncate(NOTE_LINES - 1);
        lines.push("…".to_owned());
    }
    lines
}

/// Size of a note on the screen, in points.
fn size_of(note: &Note) -> (f64, f64) {
    let lines = lines_of(note);
    let capitals = f64::from(text::SMALL) * CAPITAL_SHARE;
    let wide = lines
        .iter()
        .map(|line| width_mm(line, capitals, Weight::Plain))
        .fold(12.0, f64::max);
    let high = lines.len() as f64 * PITCH;
    (wide + 2.0 * MARGIN, high + 2.0 * MARGIN)
}

/// True where a note, whose upper left corner stands at its place, covers a place of the floor.
pub(super) fn covers(note: &Note, at: Point, mm_per_point: f64) -> bool {
    let (wide, high) = size_of(note);
    let off = (at - Point::new(note.at.0.mm(), note.at.1.mm())) / mm_per_point;
    (0.0..=wide).contains(&off.x) && (-high..=0.0).contains(&off.y)
}

/// Where a note stands on the screen; `None` for anything else.
pub(super) fn note_rect(shown: &Shown<'_>, part: &Part, camera: &Camera) -> Option<Rect> {
    let Some(Item::Note(note)) = shown.plan.items().get(part.id) else {
        return None;
    };
    let (wide, high) = size_of(note);
    let mm = camera.mm(1.0);
    let low = part.spot - Point::new(0.0, high * mm);
    let far = part.spot + Point::new(wide * mm, 0.0);
    Some(Rect::from_two_pos(
        camera.to_screen(low),
        camera.to_screen(far),
    ))
}

/// Paints the dimensions, then the notes over them.
pub(super) fn paint(brush: &Brush<'_>) {
    let shown = brush.shown;
    for part in shown.layout.parts() {
        if let Some(measured) = &part.dimension {
            dimension(brush, measured);
        }
    }
    for part in shown.layout.parts() {
        if let Some(Item::Note(item)) = shown.plan.items().get(part.id) {
            note(brush, part, item);
        }
    }
}

/// The line with its value, and thin lines from what is measured to it.
fn dimension(brush: &Brush<'_>, measured: &Measured) {
    let colour = brush.colours.ink;
    let thin = Stroke::new(line::HAIR, brush.colours.ink_weak);
    let ends = [measured.ends.0, measured.ends.1];
    for (end, on_line) in ends.into_iter().zip([measured.line.0, measured.line.1]) {
        let way = on_line - end;
        let out = way.normalize_or_zero();
        let (gap, past) = (brush.camera.mm(3.0), brush.camera.mm(5.0));
        if way.length() > gap {
            let ends = [brush.at(end + out * gap), brush.at(on_line + out * past)];
            brush.painter.line_segment(ends, thin);
        }
    }
    let words = Length::from_mm(measured.length_mm()).shown(brush.shown.practice());
    let (a, b) = measured.line;
    let room = brush.camera.points(a.distance(b));
    let wide = width_mm(
        &words,
        f64::from(text::LABEL) * CAPITAL_SHARE,
        Weight::Plain,
    );
    if f64::from(room) > wide + 18.0 {
        brush.dimension(a, b, &words, colour);
        return;
    }
    // A short one has its value past its end, where it hides nothing of the line.
    brush.dimension(a, b, "", colour);
    let along = (brush.at(b) - brush.at(a)).normalized();
    let along = if along == Vec2::ZERO { Vec2::X } else { along };
    let at = brush.at(b) + along * 9.0;
    let align = if along.x.abs() < 0.5 {
        if along.y > 0.0 {
            Align2::CENTER_TOP
        } else {
            Align2::CENTER_BOTTOM
        }
    } else if along.x > 0.0 {
        Align2::LEFT_CENTER
    } else {
        Align2::RIGHT_CENTER
    };
    let galley = brush
        .painter
        .layout_no_wrap(words, theme::plain(text::LABEL), colour);
    let rect = align.anchor_size(at, galley.size());
    let paper = brush.colours.paper.gamma_multiply(0.85);
    brush
        .painter
        .rect_filled(rect.expand2(vec2(3.0, 0.0)), 2.0, paper);
    brush.painter.galley(rect.min, galley, colour);
}

fn note(brush: &Brush<'_>, part: &Part, note: &Note) {
    let Some(rect) = note_rect(brush.shown, part, brush.camera) else {
        return;
    };
    if !rect.intersects(brush.camera.view()) {
        return;
    }
    let edge = Stroke::new(line::EDGE, brush.colours.ink_weak);
    if let Some(pointer) = part.pointer {
        let tip = brush.at(pointer);
        let start = rect.clamp(tip);
        if start.distance(tip) > 3.0 {
            brush.painter.line_segment([start, tip], edge);
            brush
                .painter
                .circle_filled(tip, 2.6, brush.colours.ink_weak);
        }
    }
    brush
        .painter
        .rect(rect, 2.0, brush.colours.card, edge, StrokeKind::Inside);
    // A bar at the side on which its place is.
    let bar = [
        rect.left_top() + vec2(1.0, 1.0),
        rect.left_bottom() + vec2(1.0, -1.0),
    ];
    let thick = Stroke::new(line::SELECTION, brush.colours.ink_weak);
    brush.painter.add(Shape::line_segment(bar, thick));
    let mm = brush.camera.mm(1.0);
    for (k, words) in lines_of(note).iter().enumerate() {
        let off = Point::new(MARGIN + 1.0, -(MARGIN + PITCH * (k as f64 + 0.5))) * mm;
        brush.painter.text(
            brush.at(part.spot + off),
            Align2::LEFT_CENTER,
            words,
            theme::plain(text::SMALL),
            brush.colours.ink,
        );
    }
}

/// What a dimension measures, or what a note says, behind its mark and place in its accessible name.
pub(super) fn words(shown: &Shown<'_>, part: &Part) -> String {
    match shown.plan.items().get(part.id) {
        Some(Item::Dimension(dimension)) => {
            let value = part.dimension.map_or(0.0, |d| d.length_mm());
            format!(
                ", {} from {} to {}",
                Length::from_mm(value).shown(shown.practice()),
                end_words(shown.plan.room(), dimension.from),
                end_words(shown.plan.room(), dimension.to)
            )
        }
        Some(Item::Note(note)) => {
            let points = note.pointer.map_or_else(String::new, |end| {
                format!(", pointing at {}", end_words(shown.plan.room(), end))
            });
            format!(": {}{points}", note.text.as_str().replace('\n', " "))
        }
        _ => String::new(),
    }
}

/// What an end is fastened to, in words.
pub fn end_words(room: &Room, end: End) -> String {
    match end {
        End::Point(..) => "a free point".to_owned(),
        End::Of(id, spot) => format!("{id} {}", spot.word()),
        End::Wall(at) if at.along == Length::ZERO => {
            format!("corner {}", u32::from(at.wall) + 1)
        }
        End::Wall(at) => format!("a point of the {}", room.wall_name(usize::from(at.wall))),
        End::SquareTo(id, side) => {
            format!(
                "{id} {} straight across",
                crate::plan::Spot::from(side).word()
            )
        }
        End::SquareToWall(wall) => {
            format!("the {} straight across", room.wall_name(usize::from(wall)))
        }
    }
}

/// The step that sets how far the line of a dimension stands off.
fn stood_off(id: Id, dimension: &Dimension, offset: Length) -> Option<Edit> {
    let changed = Dimension {
        offset,
        ..dimension.clone()
    };
    (offset != dimension.offset).then(|| {
        let record = Record::Item(Box::new(Item::Dimension(changed)));
        Edit::Several(format!("Move {id}"), vec![Edit::Put(vec![(id, record)])])
    })
}

/// The line of a dimension drawn to where the pointer is, in whole steps of the grid unless it is free, or the distance typed off.
pub(super) fn line_dragged(
    layout: &Layout,
    id: Id,
    to: Point,
    (typed, in_steps): (Option<Length>, bool),
) -> Option<Edit> {
    let Some(Item::Dimension(dimension)) = layout.plan().items().get(id) else {
        return None;
    };
    let ends = layout.part(id)?.dimension?.ends;
    let drawn = Length::from_mm((to - ends.0).dot(Measured::left_of(ends)));
    let offset = match typed {
        Some(typed) if drawn < Length::ZERO => -typed,
        Some(typed) => typed,
        None if in_steps => grid(drawn, layout.plan()),
        None => drawn,
    };
    stood_off(id, dimension, offset)
}

/// The one dimension that is selected and nothing else.
fn lone_dimension<'a>(shown: &Shown<'a>) -> Option<(Id, &'a Dimension)> {
    let lead = shown.selection.lead();
    let id = lead.filter(|_| shown.selection.len() == 1)?;
    match shown.plan.items().get(id) {
        Some(Item::Dimension(dimension)) => Some((id, dimension)),
        _ => None,
    }
}

/// True where one dimension is selected and nothing else.
pub(super) fn only_a_dimension(shown: &Shown<'_>) -> bool {
    lone_dimension(shown).is_some()
}

/// The step that an arrow key takes with one dimension selected: its line goes off by the share of the step across it.
pub(super) fn nudged(shown: &Shown<'_>, (x, y): (Length, Length)) -> Option<Edit> {
    let (id, dimension) = lone_dimension(shown)?;
    let ends = shown.layout.part(id)?.dimension?.ends;
    let across = Point::new(x.mm(), y.mm()).dot(Measured::left_of(ends));
    let offset = dimension.offset + Length::from_mm(across);
    stood_off(id, dimension, offset).filter(|_| !dimension.presence.pinned && !shown.read_only)
}
