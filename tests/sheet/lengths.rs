//! Lengths on paper: what is drawn measures right at the scale that the sheet states, and dimensions say what they should.

use std::sync::Arc;

use aislewright::plan::{Head, Plan, Record, Room, Status};
use aislewright::sheet::{Sheet, svg};
use aislewright::units::Practice;
use roxmltree::Document;

use crate::lettering::assert_readable;
use crate::rooms::{
    bottling, bottling_of, id, label, length, on_wall, outlet, plan_of, pose, rack, sheet_of,
};

/// Least and greatest x and y of the paths in a group of the SVG, in millimetres on paper.
fn extent(text: &str, group: &str) -> (f64, f64, f64, f64) {
    let document = Document::parse(text).unwrap();
    let group = document
        .descendants()
        .find(|n| n.attribute("id") == Some(group))
        .unwrap();
    let mut box_ = (
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
    );
    for path in group
        .descendants()
        .filter(|n| n.tag_name().name() == "path")
    {
        let d = path.attribute("d").unwrap();
        let numbers: Vec<f64> = d
            .split(|c: char| c.is_ascii_alphabetic() || c == ' ')
            .filter(|t| !t.is_empty())
            .map(|t| t.parse().unwrap())
            .collect();
        for pair in numbers.chunks(2) {
            box_ = (
                box_.0.min(pair[0]),
                box_.1.max(pair[0]),
                box_.2.min(pair[1]),
                box_.3.max(pair[1]),
            );
        }
    }
    box_
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.0025
}

#[test]
fn the_check_bar_is_100_mm_long() {
    for plan in [bottling("A"), bottling_of("A", Practice::Metric)] {
        let (x0, x1, ..) = extent(&svg(&sheet_of(&plan)).unwrap(), "check-bar");
        assert!(near(x1 - x0, 100.0), "{}", x1 - x0);
    }
}

#[test]
fn the_paper_is_a_standard_size_and_the_view_box_is_in_millimetres() {
    // ISO 216 and ASME Y14.1, in millimetres.
    let sizes = [
        (420.0, 297.0),
        (594.0, 420.0),
        (841.0, 594.0),
        (431.8, 279.4),
        (457.2, 304.8),
        (558.8, 431.8),
        (609.6, 457.2),
        (863.6, 558.8),
        (914.4, 609.6),
    ];
    for plan in [bottling("A"), bottling_of("A", Practice::Metric)] {
        let sheet = sheet_of(&plan);
        assert!(
            sizes
                .iter()
                .any(|(w, h)| near(sheet.width_mm, *w) && near(sheet.height_mm, *h))
        );
        let text = svg(&sheet).unwrap();
        let document = Document::parse(&text).unwrap();
        let root = document.root_element();
        let of = |name| root.attribute(name).unwrap();
        assert_eq!(of("width"), format!("{}mm", sheet.width_mm));
        assert_eq!(of("height"), format!("{}mm", sheet.height_mm));
        assert_eq!(
            of("viewBox"),
            format!("0 0 {} {}", sheet.width_mm, sheet.height_mm)
        );
    }
}

#[test]
fn the_room_measures_right_at_the_stated_scale() {
    // 11' 8" by 26' 4" with walls of 6 in: 3860.8 mm by 8331.2 mm outside.
    for plan in [bottling("A"), bottling_of("A", Practice::Metric)] {
        let sheet = sheet_of(&plan);
        let (x0, x1, y0, y1) = extent(&svg(&sheet).unwrap(), "walls");
        assert!(
            near(x1 - x0, 3860.8 / sheet.ratio),
            "{} at 1:{}",
            x1 - x0,
            sheet.ratio
        );
        assert!(
            near(y1 - y0, 8331.2 / sheet.ratio),
            "{} at 1:{}",
            y1 - y0,
            sheet.ratio
        );
    }
}

#[test]
fn the_scale_bar_measures_right_and_says_so() {
    let sheet = sheet_of(&bottling("A"));
    assert_eq!(
        (sheet.scale, sheet.paper),
        ("1/4\" = 1'-0\"", "Arch C, 18 × 24 in")
    );
    let (x0, x1, ..) = extent(&svg(&sheet).unwrap(), "scale-bar");
    // 1/4 in on paper for a foot: ten feet are 2 1/2 in, 63.5 mm.
    assert!(near(x1 - x0, 63.5), "{}", x1 - x0);
    assert!(texts(&sheet).iter().any(|t| t == "10 ft"));
    let metric = sheet_of(&bottling_of("A", Practice::Metric));
    assert_eq!(metric.scale, "1:50");
    let (x0, x1, ..) = extent(&svg(&metric).unwrap(), "scale-bar");
    assert!(near(x1 - x0, 100.0), "5 m at 1:50: {}", x1 - x0);
    assert!(texts(&metric).iter().any(|t| t == "5 m"));
}

fn texts(sheet: &Sheet) -> Vec<String> {
    sheet.texts().iter().map(|t| t.words.clone()).collect()
}

fn small_room(practice: Practice, datum: u16) -> Arc<Plan> {
    let head = Head {
        name: label("Small"),
        practice,
        ..Head::default()
    };
    let mut room = Room::rectangle(
        length("10ft"),
        length("12ft 3-1/2in"),
        length("8ft"),
        length("5in"),
    );
    room.datum = datum;
    let records = vec![
        (
            id("R1"),
            Record::Item(Box::new(rack(
                pose("2ft", "10ft 1-1/2in", 180.0).moved(length("0in"), length("0in")),
            ))),
        ),
        (
            id("O1"),
            Record::Item(Box::new(outlet(
                on_wall(0, "4ft 6-1/2in"),
                None,
                Status::New,
            ))),
        ),
    ];
    plan_of(head, room, records)
}

#[test]
fn dimensions_of_a_small_room_are_literally_right() {
    let words = texts(&sheet_of(&small_room(Practice::Us, 0)));
    for expected in [
        "south wall · 10' 0\"",
        "west wall · 12' 3 1/2\"",
        "O1 (N) 4' 6 1/2\" · 1' 6\" AFF",
        "R1 2' 0\"",
        "R1 8' 0\"",
    ] {
        assert!(
            words.iter().any(|w| w == expected),
            "{expected} in {words:?}"
        );
    }
}

#[test]
fn dimensions_start_at_the_datum_corner() {
    // The datum at the upper right: the outlet 4' 6 1/2" from the left stands 5' 5 1/2" from it.
    let words = texts(&sheet_of(&small_room(Practice::Us, 2)));
    for expected in ["O1 (N) 5' 5 1/2\" · 1' 6\" AFF", "R1 2' 0\"", "R1 8' 0\""] {
        assert!(
            words.iter().any(|w| w == expected),
            "{expected} in {words:?}"
        );
    }
    let metric = texts(&sheet_of(&small_room(Practice::Metric, 0)));
    // 54 1/2 in is 1384.3 mm, 18 in is 457.2 mm (1 in is 25.4 mm).
    assert!(
        metric.iter().any(|w| w == "O1 (N) 1384.3 · 457.2 AFF"),
        "{metric:?}"
    );
}

#[test]
fn rooms_of_hostile_sizes_give_a_sheet() {
    for (width, height) in [
        ("1mm", "1mm"),
        ("100m", "100m"),
        ("1mm", "100m"),
        ("900m", "20m"),
        ("900m", "900m"),
    ] {
        for practice in [Practice::Us, Practice::Metric] {
            let head = Head {
                name: label("Hall"),
                practice,
                ..Head::default()
            };
            let room =
                Room::rectangle(length(width), length(height), length("3m"), length("200mm"));
            let records = vec![(
                id("R1"),
                Record::Item(Box::new(rack(pose("0mm", "0mm", 0.0)))),
            )];
            let sheet = sheet_of(&plan_of(head, room, records));
            let text = svg(&sheet).unwrap();
            let (x0, x1, ..) = extent(&text, "walls");
            let outside = length(width).mm() + 400.0;
            assert!(
                (x1 - x0 - outside / sheet.ratio).abs() < 0.01,
                "{width} at 1:{}",
                sheet.ratio
            );
            assert!(
                x0 > 20.0 && x1 < sheet.width_mm - 10.0,
                "{width}: {x0} to {x1} on {}",
                sheet.paper
            );
            assert_readable(&sheet);
        }
    }
}

#[test]
fn three_hundred_racks_are_listed_or_counted() {
    let head = Head {
        name: label("Loft"),
        ..Head::default()
    };
    let room = Room::rectangle(length("60m"), length("60m"), length("4m"), length("200mm"));
    let mut records = Vec::new();
    for k in 0..300_i32 {
        let (column, row) = (k % 20, k / 20);
        let at = pose("0mm", "0mm", 0.0).moved(
            length("2m") + length("2200mm") * column,
            length("2m") + length("3m") * row,
        );
        let mark = format!("R{}", k + 1);
        records.push((id(&mark), Record::Item(Box::new(rack(at)))));
        let at = on_wall(0, &format!("{}mm", 1000 + 190 * k));
        records.push((
            id(&format!("O{}", k + 1)),
            Record::Item(Box::new(outlet(at, None, Status::New))),
        ));
    }
    let sheet = sheet_of(&plan_of(head, room, records));
    svg(&sheet).unwrap();
    assert_readable(&sheet);
    let words = texts(&sheet);
    let listed = |prefix: char| {
        (1..=300)
            .filter(|k| {
                let mark = format!("{prefix}{k}");
                words.iter().filter(|w| **w == mark).count() > 0
            })
            .count()
    };
    if sheet.left_out.is_empty() {
        assert_eq!(listed('R'), 300);
    } else {
        let said = words
            .iter()
            .find(|w| w.starts_with("NOT LISTED"))
            .expect("said in the title block");
        for left in &sheet.left_out {
            assert!(said.contains(left.as_str()), "{left} in {said}");
        }
    }
}
