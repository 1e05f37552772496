//! The written SVG is inert: only these elements and attributes, and text of every kind reads back as it was.

use std::collections::BTreeSet;

use aislewright::geometry::Point;
use aislewright::sheet::{Fill, Mark, Pen, Sheet, Text, svg};
use proptest::prelude::*;
use resvg::usvg;
use roxmltree::Document;

use crate::rooms::{bottling, cellar, sheet_of};

/// Everything that a sheet may hold. SVG 1.1 has much more; nothing here can run, fetch or point anywhere.
const ELEMENTS: [&str; 8] = [
    "svg", "title", "desc", "rect", "g", "path", "circle", "text",
];
const ATTRIBUTES: [&str; 19] = [
    "width",
    "height",
    "viewBox",
    "font-family",
    "id",
    "d",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "cx",
    "cy",
    "r",
    "x",
    "y",
    "font-size",
    "text-anchor",
    "font-weight",
    "transform",
];

pub(crate) fn assert_inert(text: &str) {
    let document = Document::parse(text).expect("well-formed XML");
    let mut ids = BTreeSet::new();
    for node in document.descendants() {
        assert!(
            !node.is_comment() && !node.is_pi(),
            "no comment, no instruction"
        );
        if !node.is_element() {
            continue;
        }
        let name = node.tag_name().name();
        assert!(ELEMENTS.contains(&name), "element {name}");
        assert_eq!(
            node.tag_name().namespace(),
            Some("http://www.w3.org/2000/svg"),
            "{name} is of SVG itself"
        );
        for attribute in node.attributes() {
            assert!(
                ATTRIBUTES.contains(&attribute.name()),
                "attribute {}",
                attribute.name()
            );
            assert!(!attribute.value().contains("url("), "{}", attribute.value());
            let numbers = attribute
                .value()
                .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
            assert!(
                numbers.into_iter().all(|n| n != "-0"),
                "{}",
                attribute.value()
            );
            if attribute.name() == "id" {
                let own = |c: char| c.is_ascii_lowercase() || c == '-';
                assert!(attribute.value().chars().all(own), "{}", attribute.value());
                assert!(
                    ids.insert(attribute.value().to_owned()),
                    "id {} twice",
                    attribute.value()
                );
            }
        }
    }
    assert!(!text.contains("<!"), "no DOCTYPE, comment or CDATA");
}

#[test]
fn only_allowed_elements_and_attributes() {
    for plan in [bottling("Bottling room"), cellar()] {
        assert_inert(&svg(&sheet_of(&plan)).unwrap());
    }
}

#[test]
fn an_independent_renderer_reads_it_at_its_size() {
    let sheet = sheet_of(&bottling("Bottling room"));
    let tree = usvg::Tree::from_str(&svg(&sheet).unwrap(), &usvg::Options::default()).unwrap();
    // CSS: 1 in is 96 px.
    let expected = sheet.width_mm / 25.4 * 96.0;
    assert!(
        (f64::from(tree.size().width()) - expected).abs() < 0.01,
        "{} {expected}",
        tree.size().width()
    );
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let one = svg(&sheet_of(&bottling("Bottling room"))).unwrap();
    let two = svg(&sheet_of(&bottling("Bottling room"))).unwrap();
    assert_eq!(one, two);
}

fn sheet_with(marks: Vec<Mark>, title: &str) -> Sheet {
    Sheet {
        paper: "ISO A3",
        width_mm: 420.0,
        height_mm: 297.0,
        ratio: 50.0,
        scale: "1:50",
        title: title.to_owned(),
        description: title.to_owned(),
        left_out: Vec::new(),
        marks,
    }
}

#[test]
fn places_that_are_no_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e12] {
        let at = Point::new(bad, 10.0);
        let marks = [
            Mark::line(at, Point::ZERO, Pen::black(0.25)),
            Mark::area(vec![Point::ZERO, at, Point::X], None, Fill::Black),
            Mark::Circle {
                centre: Point::ZERO,
                radius: bad,
                pen: None,
                fill: Fill::None,
            },
            Mark::Arc {
                from: Point::ZERO,
                to: at,
                radius: 1.0,
                clockwise: true,
                pen: Pen::black(0.25),
            },
            Mark::Text(Text::new(at, "word", 2.5)),
            Mark::Text(Text::new(Point::ZERO, "word", bad)),
            Mark::Text(Text::new(Point::ZERO, "word", 2.5).turned(bad)),
        ];
        for mark in marks {
            let group = Mark::Group {
                name: "bodies",
                marks: vec![mark.clone()],
            };
            let error = svg(&sheet_with(vec![group], "t")).expect_err("refused");
            assert!(error.to_string().contains("bodies"), "{error} says where");
        }
    }
}

/// What XML 1.0 (section 2.2) cannot hold becomes the replacement character.
fn as_xml_keeps_it(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => c,
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            _ => c,
        })
        .collect()
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        proptest::collection::vec(any::<char>(), 1..40).prop_map(String::from_iter),
        proptest::string::string_regex(
            "[<>&\"'\\]\\[!\\-?/a-z=;#x\\x00-\\x20\u{202e}\u{200d}\u{fdfd}\u{fffe}]{1,40}"
        )
        .unwrap(),
        Just("</text><script>alert(1)</script>".to_owned()),
        Just("]]>&#0;&lt;<!--".to_owned()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000,
        failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn texts_of_every_kind_read_back_equal(words in any_text()) {
        let text = Mark::Text(Text::new(Point::new(10.0, 10.0), words.clone(), 2.5));
        let written = svg(&sheet_with(vec![text], &words)).unwrap();
        let document = Document::parse(&written).unwrap();
        for name in ["title", "desc", "text"] {
            let node = document.descendants().find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", name))).unwrap();
            prop_assert_eq!(node.text().unwrap_or(""), as_xml_keeps_it(&words), "{}", name);
        }
        prop_assert_eq!(document.descendants().filter(roxmltree::Node::is_element).count(), 5);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60,
        failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_plan_of_any_name_gives_an_inert_sheet(
        name in any_text().prop_map(|t| t.chars().filter(|c| !c.is_control()).collect::<String>())
    ) {
        let plan = bottling(&name);
        let written = svg(&sheet_of(&plan)).unwrap();
        assert_inert(&written);
        let document = Document::parse(&written).unwrap();
        let title = document.descendants().find(|n| n.tag_name().name() == "title").unwrap();
        let expected = format!("{}, Phase 1", plan.head().name);
        prop_assert_eq!(title.text().unwrap_or(""), as_xml_keeps_it(&expected));
    }
}
