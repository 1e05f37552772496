//! The title block at the lower right (ISO 7200), with the stamp that says whether the sheet may be built from.

use super::block::WIDTH_MM;
use super::paper::{Arrangement, title_corner};
use super::{Made, Subject};
use crate::geometry::Point;
use crate::sheet::{Anchor, Fill, Ink, LEAST_LETTERING_MM, Mark, Pen, Text, Weight, shortened};
use crate::units::Practice;

/// Height of the title block in millimetres.
pub(super) const HEIGHT_MM: f64 = 65.0;
/// Height of the stamp.
const STAMP_MM: f64 = 9.0;
/// Height of a row of fields.
const FIELD_MM: f64 = 11.0;
const NAME_LETTERING_MM: f64 = 5.0;
const FIELD_LETTERING_MM: f64 = 3.5;

/// A field: its caption, its words, its width in millimetres.
type Field = (&'static str, String, f64);

/// The whole block.
pub(super) fn block(subject: &Subject<'_>, made: &Made, arrangement: &Arrangement) -> Vec<Mark> {
    let low = title_corner(arrangement.paper);
    let size = Point::new(WIDTH_MM, HEIGHT_MM);
    let mut marks = vec![Mark::rectangle(
        low,
        low + size,
        Some(Pen::black(0.7)),
        Fill::White,
    )];
    stamp(subject.stops, low, &mut marks);
    let inner = WIDTH_MM - 5.0;
    let plan = subject.layout.plan();
    let line = |words: &str, y: f64, height: f64, weight: Weight| {
        let mut text = Text::new(low + Point::new(2.5, y), "", height);
        text.words = shortened(words, inner, height, weight);
        text.weight = weight;
        Mark::Text(text)
    };
    let name = plan.head().name.as_str();
    let name = if name.is_empty() {
        "Room without a name"
    } else {
        name
    };
    marks.push(line(name, STAMP_MM + 8.0, NAME_LETTERING_MM, Weight::Bold));
    marks.push(line(
        &format!("Floor plan · {}", subject.phase_words()),
        STAMP_MM + 14.6,
        FIELD_LETTERING_MM,
        Weight::Plain,
    ));
    let left_out = if arrangement.blocks.left_out.is_empty() {
        "Schedules complete on this sheet.".to_owned()
    } else {
        format!(
            "NOT LISTED for want of room: {}",
            arrangement.blocks.left_out.join(", ")
        )
    };
    let top = STAMP_MM + 23.0;
    fields(
        &row_of_sheet(made, arrangement),
        low + Point::new(0.0, top),
        &mut marks,
    );
    fields(
        &row_of_maker(made),
        low + Point::new(0.0, top + FIELD_MM),
        &mut marks,
    );
    fields(
        &row_of_measures(subject),
        low + Point::new(0.0, top + 2.0 * FIELD_MM),
        &mut marks,
    );
    marks.push(Mark::Text(Text::new(
        low + Point::new(2.5, STAMP_MM + 20.3),
        shortened(&left_out, inner, LEAST_LETTERING_MM, Weight::Plain),
        LEAST_LETTERING_MM,
    )));
    marks
}

fn row_of_sheet(made: &Made, arrangement: &Arrangement) -> Vec<Field> {
    vec![
        ("Scale", arrangement.scale.words.to_owned(), 50.0),
        ("Paper", arrangement.paper.name.to_owned(), 60.0),
        ("Sheet", "1 of 1".to_owned(), 25.0),
        ("Date", made.date.clone(), 45.0),
    ]
}

fn row_of_maker(made: &Made) -> Vec<Field> {
    vec![
        ("Revision", made.revision.clone(), 50.0),
        ("Drawn by", made.drawn_by.clone(), 60.0),
        ("Checked in the field by", String::new(), 70.0),
    ]
}

fn row_of_measures(subject: &Subject<'_>) -> Vec<Field> {
    let units = match subject.practice() {
        Practice::Us => "feet, inches",
        Practice::Metric => "millimetres",
    };
    let tolerance = subject.layout.plan().room().tape_tolerance.map_or_else(
        || "not stated: verify in field".to_owned(),
        |t| format!("±{}, verify in field", t.shown(subject.practice())),
    );
    vec![
        ("Units", units.to_owned(), 50.0),
        ("Tolerance of the room's measures", tolerance, 130.0),
    ]
}

/// One row of fields with captions.
fn fields(row: &[Field], low: Point, marks: &mut Vec<Mark>) {
    marks.push(Mark::line(
        low,
        low + Point::new(WIDTH_MM, 0.0),
        Pen::black(0.25),
    ));
    let mut x = 0.0;
    for (caption, words, width) in row {
        let at = low + Point::new(x + 2.5, 0.0);
        let mut small = Text::new(at + Point::new(0.0, 3.9), *caption, LEAST_LETTERING_MM);
        small.ink = Ink::Grey;
        marks.push(Mark::Text(small));
        let words = shortened(words, width - 3.5, FIELD_LETTERING_MM, Weight::Plain);
        if !words.is_empty() {
            marks.push(Mark::Text(Text::new(
                at + Point::new(0.0, 9.4),
                words,
                FIELD_LETTERING_MM,
            )));
        }
        x += width;
        if x < WIDTH_MM {
            let edge = low + Point::new(x, 0.0);
            marks.push(Mark::line(
                edge,
                edge + Point::new(0.0, FIELD_MM),
                Pen::black(0.25),
            ));
        }
    }
}

/// Whether the plan has open must-fix findings, in words that cannot be overlooked.
fn stamp(stops: usize, low: Point, marks: &mut Vec<Mark>) {
    let (words, fill, ink) = match stops {
        0 => (
            "No must-fix finding open".to_owned(),
            Fill::None,
            Ink::Black,
        ),
        1 => (
            "1 must-fix finding open: not for construction".to_owned(),
            Fill::Black,
            Ink::White,
        ),
        n => (
            format!("{n} must-fix findings open: not for construction"),
            Fill::Black,
            Ink::White,
        ),
    };
    let high = low + Point::new(WIDTH_MM, STAMP_MM);
    marks.push(Mark::rectangle(low, high, Some(Pen::black(0.7)), fill));
    let middle = low + Point::new(WIDTH_MM * 0.5, STAMP_MM - 2.7);
    let mut text = Text::new(middle, words, FIELD_LETTERING_MM)
        .anchored(Anchor::Middle)
        .bold();
    text.ink = ink;
    marks.push(Mark::Text(text));
}
