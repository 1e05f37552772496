//! Pages for the room's own walls: the cards of bad days and the labels of racks, slots, cords and breakers, on ordinary paper. Composes
//! marks as the floor sheet does; decides nothing.

mod cards;
mod labels;

use super::export::{ExportError, svg};
use super::lettering::{LEAST_LETTERING_MM, rise_and_fall_mm, shortened};
use super::model::{Ink, Mark, Sheet, Text, Weight};
use crate::geometry::Point;
use crate::layout::Layout;
use crate::units::Practice;

pub use labels::LABEL_MM;

/// Paper that is left free at every edge, in millimetres: most printers leave no more than 6 free (common practice, no source).
const MARGIN_MM: f64 = 10.0;

/// A page with the name of the file that holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Name of the file, as in "labels-1-of-3.svg".
    pub file: String,
    /// The page.
    pub sheet: Sheet,
}

/// The cards of bad days and the labels of the layout's phase. The date is that of the pages' heads.
pub fn cards_and_labels(layout: &Layout, date: &str) -> Vec<Page> {
    let paper = Paper::of(layout.plan().practice());
    let head = Head {
        plan: layout.plan().head().name.to_string(),
        phase: format!("phase {}", layout.phase()),
        date: date.to_owned(),
    };
    let cards = cards::pages(layout, paper);
    let labels = labels::pages(layout, paper);
    let mut pages = head.pages(paper, &cards::ABOUT, cards);
    pages.extend(head.pages(paper, &labels::ABOUT, labels));
    pages
}

/// The same as files in SVG: names and bytes.
pub fn cards_and_labels_as_svg(
    layout: &Layout,
    date: &str,
) -> Result<Vec<(String, Vec<u8>)>, ExportError> {
    cards_and_labels(layout, date)
        .into_iter()
        .map(|page| Ok((page.file, svg(&page.sheet)?.into_bytes())))
        .collect()
}

/// Upright paper.
#[derive(Clone, Copy, Debug)]
struct Paper {
    name: &'static str,
    width: f64,
    height: f64,
}

impl Paper {
    /// ISO 216 A4, or US letter (ANSI/ASME Y14.1 size A).
    fn of(practice: Practice) -> Self {
        match practice {
            Practice::Metric => Self {
                name: "ISO A4",
                width: 210.0,
                height: 297.0,
            },
            Practice::Us => Self {
                name: "US letter, 8 1/2 × 11 in",
                width: 215.9,
                height: 279.4,
            },
        }
    }
}

/// What a kind of page is.
struct About {
    /// How its files' names begin.
    file: &'static str,
    /// Its title.
    title: &'static str,
    /// Said in its head.
    said: &'static str,
    /// Name of the group of its marks.
    group: &'static str,
}

/// What stands in the head of every page.
struct Head {
    plan: String,
    phase: String,
    date: String,
}

impl Head {
    fn pages(&self, paper: Paper, about: &About, drawn: Vec<Vec<Mark>>) -> Vec<Page> {
        let all = drawn.len();
        (1..)
            .zip(drawn)
            .map(|(number, marks)| {
                let count = format!("page {number} of {all}");
                Page {
                    file: format!("{}-{number}-of-{all}.svg", about.file),
                    sheet: self.sheet(paper, about, &count, marks),
                }
            })
            .collect()
    }

    fn sheet(&self, paper: Paper, about: &About, count: &str, marks: Vec<Mark>) -> Sheet {
        let plan = if self.plan.is_empty() {
            "Room without a name"
        } else {
            &self.plan
        };
        let words = format!(
            "{}, {count} · {} · {} · {} · {plan}",
            about.title, about.said, self.phase, self.date
        );
        let room = paper.width - 2.0 * MARGIN_MM;
        let words = shortened(&words, room, LEAST_LETTERING_MM, Weight::Plain);
        let mut line = Text::new(
            Point::new(MARGIN_MM, MARGIN_MM + 0.5),
            words,
            LEAST_LETTERING_MM,
        );
        line.ink = Ink::Grey;
        Sheet {
            paper: paper.name,
            width_mm: paper.width,
            height_mm: paper.height,
            ratio: 1.0,
            scale: "1:1",
            title: format!("{plan}, {}, {}, {count}", self.phase, about.title),
            description: format!(
                "{} on {}. Planning aid: a licensed electrician and the local code decide.",
                about.title, paper.name
            ),
            left_out: Vec::new(),
            marks: vec![
                Mark::Group {
                    name: "page-head",
                    marks: vec![Mark::Text(line)],
                },
                Mark::Group {
                    name: about.group,
                    marks,
                },
            ],
        }
    }
}

/// A line of words in a stack of lines.
#[derive(Clone, Debug)]
struct Line {
    words: String,
    height_mm: f64,
    weight: Weight,
    /// Free paper above it.
    above_mm: f64,
}

impl Line {
    fn new(words: impl Into<String>, height_mm: f64, weight: Weight) -> Self {
        Self {
            words: words.into(),
            height_mm,
            weight,
            above_mm: 0.7,
        }
    }

    fn below(mut self, above_mm: f64) -> Self {
        self.above_mm = above_mm;
        self
    }

    /// The paper that it takes from the line before to its own lower edge.
    fn takes_mm(&self) -> f64 {
        let (rise, fall) = rise_and_fall_mm(self.height_mm);
        self.above_mm + rise + fall
    }

    /// The line with its upper edge at a place; gives the height of its lower edge.
    fn write(&self, left: f64, top: f64, marks: &mut Vec<Mark>) -> f64 {
        let (rise, _) = rise_and_fall_mm(self.height_mm);
        let at = Point::new(left, top + self.above_mm + rise);
        if !self.words.is_empty() {
            let mut text = Text::new(at, self.words.clone(), self.height_mm);
            text.weight = self.weight;
            marks.push(Mark::Text(text));
        }
        top + self.takes_mm()
    }
}
