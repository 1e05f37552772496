//! Dimensions and notes on the sheet: true values, readable, over no other lettering; too long ones among the schedules.

use std::sync::Arc;

use aislewright::geometry::Point;
use aislewright::plan::{
    Dimension, Edit, End, Id, Item, Library, Note, NoteText, Plan, Presence, Record, Spot,
};
use aislewright::sheet::{Mark, Sheet};
use aislewright::units::Practice;

use crate::lettering::assert_readable;
use crate::rooms::{bottling_of, id, length, sheet_of};

fn with(plan: &Arc<Plan>, records: Vec<(Id, Record)>) -> Arc<Plan> {
    let stock = Library::builtin().unwrap().stock;
    Arc::new(plan.edited(&stock, &Edit::Put(records)).unwrap())
}

fn dimension(mark: &str, from: End, to: End, offset: &str) -> (Id, Record) {
    let item = Item::Dimension(Dimension {
        from,
        to,
        offset: length(offset),
        presence: Presence::default(),
    });
    (id(mark), Record::Item(Box::new(item)))
}

fn note(mark: &str, text: &str, x: &str, y: &str, pointer: Option<End>) -> (Id, Record) {
    let item = Item::Note(Note {
        text: NoteText::new(text).unwrap(),
        at: (length(x), length(y)),
        pointer,
        presence: Presence::default(),
    });
    (id(mark), Record::Item(Box::new(item)))
}

fn words(sheet: &Sheet) -> Vec<String> {
    sheet.texts().iter().map(|t| t.words.clone()).collect()
}

fn group<'a>(marks: &'a [Mark], wanted: &str) -> Option<&'a [Mark]> {
    marks.iter().find_map(|mark| {
        let Mark::Group { name, marks } = mark else {
            return None;
        };
        if *name == wanted {
            Some(marks.as_slice())
        } else {
            group(marks, wanted)
        }
    })
}

/// The words of a group, line by line.
fn lines(marks: &[Mark]) -> Vec<&str> {
    let mut found = Vec::new();
    for mark in marks {
        if let Mark::Text(text) = mark {
            found.push(text.words.as_str());
        }
    }
    found
}

/// 1234 mm between two free points of a metric plan: the value stands there, its line is as long at the sheet's scale (ISO 129-1:
/// the value is the true size whatever the scale), and its ends carry the oblique strokes of the other dimensions.
#[test]
fn a_dimension_is_true() {
    let plan = bottling_of("true", Practice::Metric);
    let point = |x: &str| End::Point(length(x), length("4m"));
    let plan = with(
        &plan,
        vec![dimension("M1", point("1m"), point("2234mm"), "150mm")],
    );
    let sheet = sheet_of(&plan);
    assert_readable(&sheet);
    let marks = group(&sheet.marks, "kept-dimensions").unwrap();
    assert_eq!(lines(marks), ["1234"]);
    let drawn: Vec<(Point, Point)> = marks
        .iter()
        .filter_map(|mark| {
            let Mark::Strokes { lines, .. } = mark else {
                return None;
            };
            lines.first().copied()
        })
        .collect();
    let (a, b) = drawn[0];
    assert!((a.distance(b) * sheet.ratio - 1234.0).abs() < 1e-6);
    assert!((a.y - b.y).abs() < 1e-9);
    let strokes = drawn.iter().skip(1).filter(|(a, b)| {
        let way = *b - *a;
        (way.x + way.y).abs() < 1e-9 && way.x.abs() > 1.0
    });
    assert_eq!(strokes.count(), 2);
}

#[test]
fn many_dimensions_and_notes_stay_readable() {
    for practice in [Practice::Us, Practice::Metric] {
        let plan = bottling_of("many", practice);
        let racks: Vec<Id> = plan
            .items()
            .iter()
            .filter(|(_, i)| matches!(i, Item::Rack(_)))
            .map(|(id, _)| id)
            .collect();
        let mut records = Vec::new();
        for (k, rack) in racks.iter().enumerate() {
            let offset = ["0mm", "200mm", "-200mm"][k % 3];
            for (n, wall) in [0_u16, 1, 2, 3].into_iter().enumerate() {
                let mark = format!("M{}", k * 4 + n + 1);
                let from = End::Of(*rack, Spot::ALL[n]);
                records.push(dimension(&mark, from, End::SquareToWall(wall), offset));
            }
            let text = "Keep this bay free until the wall is dry; ask on site before drilling.";
            let y = format!("{}ft", 3 + 4 * k);
            let pointer = Some(End::Of(*rack, Spot::Middle));
            records.push(note(&format!("Q{}", k + 1), text, "5ft", &y, pointer));
        }
        let sheet = sheet_of(&with(&plan, records));
        assert_readable(&sheet);
        let words = words(&sheet);
        // In the drawing or among the schedules: each note says its words once.
        for k in 1..=racks.len() {
            let begins = format!("Q{k}: Keep this bay free");
            let told = words.iter().filter(|w| w.starts_with(&begins));
            assert_eq!(told.count(), 1, "{begins} in {words:?}");
        }
        let drawn = group(&sheet.marks, "floor-notes").unwrap();
        assert!(lines(drawn).len() >= racks.len(), "at least by their marks");
    }
}

/// A note of many lines stands in the drawing by its mark; all its words are among the schedules. A word wider than a note is
/// broken, and nothing of it lost.
#[test]
fn long_notes_are_told_in_full() {
    let plan = bottling_of("long", Practice::Us);
    let long: Vec<String> = (1..=60).map(|n| format!("word{n}")).collect();
    let wide = "x".repeat(70);
    let plan = with(
        &plan,
        vec![
            note("Q1", &long.join(" "), "4ft", "9ft", None),
            note("Q2", &wide, "4ft", "12ft", None),
        ],
    );
    let sheet = sheet_of(&plan);
    assert_readable(&sheet);
    let words = words(&sheet);
    let drawn = group(&sheet.marks, "floor-notes").unwrap();
    let in_drawing = lines(drawn);
    assert_eq!(in_drawing.first(), Some(&"Q1"), "the long one by its mark");
    assert!(
        in_drawing.get(1).is_some_and(|w| w.starts_with("Q2:")),
        "the short one in full: {in_drawing:?}"
    );
    assert!(words.iter().any(|w| w == "Notes on the floor"));
    let all = words.join(" ");
    for word in &long {
        assert!(all.contains(word.as_str()), "{word} is lost");
    }
    let letters: usize = words
        .iter()
        .filter(|w| w.contains("xxxx"))
        .map(|w| w.matches('x').count())
        .sum();
    assert_eq!(letters, 70);
}

/// A plan without them has the sheet that it always had: no group of theirs.
#[test]
fn a_plan_without_them_has_no_trace_of_them() {
    let sheet = sheet_of(&bottling_of("none", Practice::Us));
    assert!(group(&sheet.marks, "kept-dimensions").is_none());
    assert!(group(&sheet.marks, "floor-notes").is_none());
    assert!(!words(&sheet).iter().any(|w| w == "Notes on the floor"));
}

/// A dimension far out of the room would run over the schedules: it is left out, and the sheet stays readable.
#[test]
fn a_dimension_far_from_the_room_is_left_out() {
    let plan = bottling_of("far", Practice::Metric);
    let point = |x: &str| End::Point(length(x), length("4m"));
    let plan = with(
        &plan,
        vec![
            dimension("M1", point("1m"), point("2234mm"), "150mm"),
            dimension("M2", point("1m"), point("3m"), "60m"),
            dimension("M3", point("1m"), point("90m"), "150mm"),
        ],
    );
    let sheet = sheet_of(&plan);
    assert_readable(&sheet);
    assert_eq!(
        lines(group(&sheet.marks, "kept-dimensions").unwrap()),
        ["1234"]
    );
}
