//! What a person wrote on the floor: the dimensions that are kept, and the notes. Each finds a place where it covers no other
//! lettering; a note for which the drawing has no place stands there by its mark and is written among the schedules.

use std::collections::BTreeSet;

use super::Subject;
use super::block::Block;
use super::canvas::Canvas;
use super::dimensions::{EXTENSION, THIN, oblique, readable_turn, text_along};
use super::floor::over_bodies;
use super::view::{View, dimension_mm};
use crate::geometry::{Bounds, Convex, Point};
use crate::layout::{Measured, Part};
use crate::plan::{Id, Item, ItemKind, Note};
use crate::sheet::{Anchor, Fill, LEAST_LETTERING_MM, Mark, Pen, Text, Weight, broken, width_mm};

/// From the line of a dimension to its value.
const ABOVE_MM: f64 = 1.3;
/// Free paper between what is measured and its extension line, and how far that runs past the dimension line.
const EXTENSION_MM: (f64, f64) = (0.8, 1.2);
/// How far beyond the room a dimension may lie and still be on the drawing, in millimetres of paper.
const BEYOND_MM: f64 = 20.0;
/// How wide a note is at most on the drawing; narrower where there is no place for that.
const NOTE_MM: [f64; 2] = [46.0, 31.0];
/// The most lines of a note on the drawing.
const NOTE_LINES: usize = 6;
/// From base line to base line.
const PITCH_MM: f64 = 4.2;
/// White paper round a note.
const MARGIN_MM: f64 = 1.0;
const FRAME: Pen = Pen::grey(0.13);
const POINTER: Pen = Pen::black(0.18);

/// Draws the dimensions, each with its value; gives how many found no place for it and are left out.
pub(super) fn dimensions(subject: &Subject<'_>, view: &View, canvas: &mut Canvas) -> usize {
    let all: Vec<Measured> = subject
        .layout
        .of_kind(ItemKind::Dimension)
        .filter_map(|part| part.dimension)
        .collect();
    let room = Bounds::of(&view.papers(subject.layout.room().points()));
    let near = |at: Point| {
        let (at, reach) = (view.paper(at), Point::splat(BEYOND_MM));
        room.is_some_and(|r| at.cmpge(r.low - reach).all() && at.cmple(r.high + reach).all())
    };
    let mut kept = Vec::new();
    for measured in &all {
        let (ends, line) = (measured.ends, measured.line);
        if ![ends.0, ends.1, line.0, line.1].into_iter().all(near) {
            continue;
        }
        let words = dimension_mm(measured.length_mm(), subject.practice());
        let mut places = value_places(view, measured, &words).into_iter();
        if let Some(text) = places.find(|text| canvas.claim(text)) {
            kept.push((*measured, text));
        }
    }
    // All the lines before the values, whose white ground keeps them readable.
    for (measured, _) in &kept {
        dimension_lines(view, measured, canvas);
    }
    let lost = all.len() - kept.len();
    for (_, text) in kept {
        canvas.write_claimed(text);
    }
    lost
}

/// Where the value of a dimension may stand: above its line, or below; then past either end.
fn value_places(view: &View, measured: &Measured, words: &str) -> Vec<Text> {
    let (a, b) = (view.paper(measured.line.0), view.paper(measured.line.1));
    let along = (b - a).normalize_or(Point::X);
    let turn = readable_turn(along);
    let (sin, cos) = libm::sincos(turn.to_radians());
    let up = Point::new(-sin, -cos);
    let width = width_mm(words, LEAST_LETTERING_MM, Weight::Plain);
    let on_line = |share: f64, off: f64| {
        let at = a + (b - a) * share + up * off;
        Text::new(at, words, LEAST_LETTERING_MM)
            .anchored(Anchor::Middle)
            .turned(turn)
    };
    let below = -ABOVE_MM - LEAST_LETTERING_MM;
    let mut places = Vec::new();
    if width + 2.0 < a.distance(b) {
        for share in [0.5, 0.3, 0.7] {
            places.push(on_line(share, ABOVE_MM));
            places.push(on_line(share, below));
        }
    }
    for past in [2.0, 6.0, 12.0] {
        for (end, out) in [(b, along), (a, -along)] {
            places.push(text_along(
                end + out * past,
                out,
                words.to_owned(),
                LEAST_LETTERING_MM,
            ));
        }
    }
    for step in [0.0, 1.0, 2.0] {
        places.push(on_line(0.5, ABOVE_MM + step * PITCH_MM));
        places.push(on_line(0.5, below - step * PITCH_MM));
    }
    places
}

/// The line with an oblique stroke at each end, and the extension lines to what is measured (ISO 129-1).
fn dimension_lines(view: &View, measured: &Measured, canvas: &mut Canvas) {
    let line = [view.paper(measured.line.0), view.paper(measured.line.1)];
    let ends = [view.paper(measured.ends.0), view.paper(measured.ends.1)];
    canvas.push(Mark::line(line[0], line[1], THIN));
    for (end, on_line) in ends.into_iter().zip(line) {
        let way = on_line - end;
        let out = way.normalize_or_zero();
        if way.length() > EXTENSION_MM.0 {
            canvas.push(Mark::line(
                end + out * EXTENSION_MM.0,
                on_line + out * EXTENSION_MM.1,
                EXTENSION,
            ));
        }
        canvas.push(oblique(on_line));
    }
}

/// The notes of the phase with their parts.
fn all_notes<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (&'a Part, &'a Note)> {
    let layout = subject.layout;
    layout
        .of_kind(ItemKind::Note)
        .filter_map(|part| match layout.plan().items().get(part.id) {
            Some(Item::Note(note)) => Some((part.as_ref(), note)),
            _ => None,
        })
}

/// The lines of a note on the drawing, its mark before the first.
fn lines_of(part: &Part, note: &Note, width_mm: f64) -> Vec<String> {
    let words = format!("{}: {}", part.id, note.text.as_str());
    broken(&words, width_mm, LEAST_LETTERING_MM, Weight::Plain)
}

/// The notes that are too long for the drawing.
pub(super) fn long_notes(subject: &Subject<'_>) -> BTreeSet<Id> {
    all_notes(subject)
        .filter(|(part, note)| lines_of(part, note, NOTE_MM[0]).len() > NOTE_LINES)
        .map(|(part, _)| part.id)
        .collect()
}

/// The block that tells notes in full which the drawing shows by their marks alone; `None` where there are none.
pub(super) fn listed_notes(subject: &Subject<'_>, listed: &BTreeSet<Id>) -> Option<Block> {
    let texts: Vec<String> = all_notes(subject)
        .filter(|(part, _)| listed.contains(&part.id))
        .map(|(part, note)| format!("{}: {}", part.id, note.text.as_str()))
        .collect();
    let block = || Block::paragraphs("Notes on the floor", "lines of notes on the floor", &texts);
    (!texts.is_empty()).then(block)
}

/// Writes the notes, those that are listed by their marks alone, and lists those for which there is no place; gives how many found
/// none for their mark either.
pub(super) fn notes(
    subject: &Subject<'_>,
    view: &View,
    listed: &mut BTreeSet<Id>,
    canvas: &mut Canvas,
) -> usize {
    let mut lost = 0;
    for (part, note) in all_notes(subject) {
        let whole = !listed.contains(&part.id);
        let shapes = NOTE_MM.map(|width| lines_of(part, note, width));
        let mut fitting = shapes.iter().filter(|lines| lines.len() <= NOTE_LINES);
        if whole && fitting.any(|lines| write(subject, view, (part, lines), canvas)) {
            continue;
        }
        listed.insert(part.id);
        let mark = [part.id.to_string()];
        lost += usize::from(!write(subject, view, (part, &mark), canvas));
    }
    lost
}

/// Writes the lines of a note at its place, or near it where other lettering stands there: first where it covers no body. Says
/// whether it found a place inside the room.
fn write(
    subject: &Subject<'_>,
    view: &View,
    (part, lines): (&Part, &[String]),
    canvas: &mut Canvas,
) -> bool {
    let widths = lines
        .iter()
        .map(|line| width_mm(line, LEAST_LETTERING_MM, Weight::Plain));
    let width = widths.fold(0.0, f64::max);
    let height = PITCH_MM * (lines.len() as f64 - 1.0) + LEAST_LETTERING_MM * 1.44;
    let size = Point::new(width, height) + Point::splat(2.0 * MARGIN_MM);
    let spot = view.paper(part.spot);
    let room = Bounds::of(&view.papers(subject.layout.room().points()));
    let inside = |low: &Point| {
        room.is_some_and(|room| low.cmpge(room.low).all() && (*low + size).cmple(room.high).all())
    };
    let places: Vec<Point> = places_round(spot, size)
        .into_iter()
        .filter(inside)
        .collect();
    // Where neither it nor its line lies over anything; then where its line does; then where it hides a body's inside.
    for (may_cover, may_cross) in [(false, false), (false, true), (true, true)] {
        for low in &places {
            let area = rectangle(*low, size);
            let crosses = || {
                let (start, target) = leader(view, part, (*low, size));
                !canvas.is_free(&Convex::line(start, target))
            };
            if canvas.is_free(&area)
                && (may_cover || !over_bodies(subject, view, &area))
                && (may_cross || !crosses())
            {
                put(view, part, (*low, size, lines), canvas);
                canvas.keep(area);
                return true;
            }
        }
    }
    false
}

/// The upper left corners of a box about its own place: with its corner there, then beside it, each time farther.
fn places_round(spot: Point, size: Point) -> Vec<Point> {
    let mut places = vec![spot];
    for far in [2.0, 6.0, 11.0, 17.0, 24.0, 32.0] {
        for (x, y) in [
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, -1.0),
            (0.0, 1.0),
            (1.0, 0.5),
            (-1.0, 0.5),
            (1.0, -0.5),
            (-1.0, -0.5),
            (0.5, 1.0),
            (-0.5, 1.0),
            (0.5, -1.0),
            (-0.5, -1.0),
            (1.0, 1.0),
            (-1.0, 1.0),
            (1.0, -1.0),
            (-1.0, -1.0),
        ] {
            let way = Point::new(x, y);
            places.push(spot + way * (size * 0.5 + Point::splat(far)) - size * 0.5);
        }
    }
    places
}

fn rectangle(low: Point, size: Point) -> Convex {
    let corners = [
        low,
        Point::new(low.x + size.x, low.y),
        low + size,
        Point::new(low.x, low.y + size.y),
    ];
    Convex::hull(&corners).unwrap_or_else(|| Convex::line(low, low + size))
}

/// The line from the box of a note to what it points at, or to its own place.
fn leader(view: &View, part: &Part, (low, size): (Point, Point)) -> (Point, Point) {
    let target = view.paper(part.pointer.unwrap_or(part.spot));
    (target.max(low).min(low + size), target)
}

/// Draws a note in its box, with a line to what it points at, or to its own place where it stands beside that.
fn put(
    view: &View,
    part: &Part,
    (low, size, lines): (Point, Point, &[String]),
    canvas: &mut Canvas,
) {
    let high = low + size;
    let (start, target) = leader(view, part, (low, size));
    if start.distance(target) > 0.5 {
        canvas.push(Mark::line(start, target, POINTER));
        canvas.push(Mark::Circle {
            centre: target,
            radius: 0.6,
            pen: None,
            fill: Fill::Black,
        });
    }
    canvas.push(Mark::rectangle(low, high, Some(FRAME), Fill::White));
    let first = low + Point::splat(MARGIN_MM) + Point::new(0.0, LEAST_LETTERING_MM * 1.1);
    let mut at = first;
    for line in lines {
        canvas.push(Mark::Text(Text::new(at, line.as_str(), LEAST_LETTERING_MM)));
        at.y += PITCH_MM;
    }
}
