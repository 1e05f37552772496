//! No text is small, none lies over another, none leaves the frame: by the sheet's own table of widths and by an independent
//! renderer with a real face.

use std::sync::Arc;

use aislewright::geometry::{Bounds, Point};
use aislewright::plan::Plan;
use aislewright::sheet::{
    CAPITAL_SHARE, LEAST_LETTERING_MM, Sheet, Text, Weight, shortened, svg, width_mm,
};
use aislewright::units::Practice;
use resvg::usvg;

use crate::rooms::{bottling, bottling_of, cellar, sheet_of};

fn plans() -> Vec<Arc<Plan>> {
    vec![
        bottling("Bottling room"),
        bottling_of(
            "Abfüllraum mit einem sehr langen Namen, der auf kein Blatt dieser Größe passen kann, auch nicht klein",
            Practice::Metric,
        ),
        bottling("瓶詰め室 — 三階 🧪 ﷽"),
        cellar(),
    ]
}

pub(crate) fn assert_readable(sheet: &Sheet) {
    let texts = sheet.texts();
    let boxes: Vec<_> = texts.iter().map(|t| t.outline()).collect();
    let paper = Bounds {
        low: Point::ZERO,
        high: Point::new(sheet.width_mm, sheet.height_mm),
    };
    for (k, (text, place)) in texts.iter().zip(&boxes).enumerate() {
        assert!(
            text.height_mm >= LEAST_LETTERING_MM,
            "{} is {} mm high",
            text.words,
            text.height_mm
        );
        let low = place.bounds().low.min(paper.low);
        let high = place.bounds().high.max(paper.high);
        assert!(
            low == paper.low && high == paper.high,
            "{} leaves the paper",
            text.words
        );
        for (other, their_place) in texts.iter().zip(&boxes).skip(k + 1) {
            assert!(
                !place.overlaps(their_place),
                "{:?} lies over {:?}",
                text.words,
                other.words
            );
        }
    }
}

#[test]
fn texts_are_large_enough_apart_and_on_the_paper() {
    for plan in plans() {
        let sheet = sheet_of(&plan);
        assert!(sheet.texts().len() > 20, "{} texts", sheet.texts().len());
        assert_readable(&sheet);
    }
}

/// The places of texts as a renderer sets them in `DejaVu Sans`, in millimetres.
fn rendered(sheet: &Sheet) -> Vec<(String, usvg::Rect)> {
    let mut options = usvg::Options::default();
    let fonts = options.fontdb_mut();
    fonts.load_font_data(include_bytes!("../../assets/fonts/DejaVuSans.ttf").to_vec());
    fonts.load_font_data(include_bytes!("../../assets/fonts/DejaVuSans-Bold.ttf").to_vec());
    let tree = usvg::Tree::from_str(&svg(sheet).unwrap(), &options).unwrap();
    let mut found = Vec::new();
    let mut open = vec![tree.root()];
    while let Some(group) = open.pop() {
        for node in group.children() {
            match node {
                usvg::Node::Group(inner) => open.push(inner),
                usvg::Node::Text(text) => {
                    let words: String = text.chunks().iter().map(usvg::TextChunk::text).collect();
                    found.push((words, text.flattened().abs_bounding_box()));
                }
                usvg::Node::Path(_) | usvg::Node::Image(_) => {}
            }
        }
    }
    found
}

#[test]
fn a_real_face_leaves_texts_apart() {
    for plan in [
        bottling("Bottling room"),
        bottling_of("Bottling room", Practice::Metric),
    ] {
        let sheet = sheet_of(&plan);
        let set = rendered(&sheet);
        assert_eq!(set.len(), sheet.texts().len());
        for (k, (words, place)) in set.iter().enumerate() {
            for (others, theirs) in set.iter().skip(k + 1) {
                let over = place.right().min(theirs.right()) - place.left().max(theirs.left());
                let up = place.bottom().min(theirs.bottom()) - place.top().max(theirs.top());
                assert!(over <= 0.01 || up <= 0.01, "{words:?} lies over {others:?}");
            }
        }
    }
}

#[test]
fn the_table_of_widths_holds_for_a_real_face() {
    let sheet = sheet_of(&bottling("Bottling room"));
    let set = rendered(&sheet);
    // Millimetres for a pixel of 1/96 in.
    let mm = 25.4 / 96.0;
    for text in sheet
        .texts()
        .into_iter()
        .filter(|t| t.turn_deg.abs() < 1e-9)
    {
        let own = width_mm(&text.words, text.height_mm, text.weight);
        let widest = set
            .iter()
            .filter(|(words, _)| *words == text.words)
            .map(|(_, r)| f64::from(r.width().min(r.height().max(r.width()))) * mm)
            .fold(0.0, f64::max);
        assert!(widest > 0.0, "{} is drawn", text.words);
        // The same words may also stand in another size elsewhere; the largest size of those counts.
        let largest = sheet
            .texts()
            .iter()
            .filter(|t| t.words == text.words)
            .map(|t| width_mm(&t.words, t.height_mm, Weight::Bold))
            .fold(own, f64::max);
        assert!(
            widest <= largest + 0.2,
            "{}: {widest} mm drawn, {largest} mm reckoned",
            text.words
        );
    }
}

#[test]
fn capitals_reach_their_height_in_the_usual_faces() {
    // Cap heights: Arial 1467/2048, DejaVu Sans 1493/2048 (from memory: OS/2 tables of the faces).
    for (face, share) in [("Arial", 1467.0 / 2048.0), ("DejaVu Sans", 1493.0 / 2048.0)] {
        let text = Text::new(Point::ZERO, "H", LEAST_LETTERING_MM);
        let capital = text.height_mm / CAPITAL_SHARE * share;
        assert!(capital >= LEAST_LETTERING_MM, "{capital} mm in {face}");
    }
}

#[test]
fn long_labels_are_cut_with_an_ellipsis() {
    let long = "A label that is much too long for its cell";
    let cut = shortened(long, 30.0, 2.5, Weight::Plain);
    assert!(
        cut.ends_with('…') && long.starts_with(cut.trim_end_matches('…')),
        "{cut}"
    );
    assert!(width_mm(&cut, 2.5, Weight::Plain) <= 30.0);
    assert_eq!(shortened("short", 30.0, 2.5, Weight::Plain), "short");
}
