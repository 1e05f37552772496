//! The cards of bad days on paper: four strips a page; a card takes one, two or all four of them, and goes on where that is too little.

use super::{About, Line, MARGIN_MM, Paper};
use crate::geometry::Point;
use crate::layout::Layout;
use crate::sheet::lettering::{LEAST_LETTERING_MM, broken, shortened};
use crate::sheet::model::{Fill, Mark, Pen, Weight};
use crate::wiring::day_card::{CAUTION, DayCard, day_cards};

pub(super) const ABOUT: About = About {
    file: "bad-days",
    title: "Bad days",
    said: "hang up by the panel",
    group: "cards",
};

/// Strips of a page.
const STRIPS: usize = 4;
/// Paper above the first strip and below the last.
const HEAD_MM: f64 = 4.0;
const FOOT_MM: f64 = 14.0;
/// Free paper between a card's edge and its words, and between two cards.
const PAD_MM: f64 = 4.0;
const GAP_MM: f64 = 2.0;
const TITLE_MM: f64 = 4.0;
const SUMMARY_MM: f64 = 3.0;

/// The marks of every page.
pub(super) fn pages(layout: &Layout, paper: Paper) -> Vec<Vec<Mark>> {
    let room = Room::of(paper);
    let mut pages: Vec<Vec<Mark>> = Vec::new();
    let mut taken = STRIPS;
    for card in day_cards(layout) {
        for lines in room.parts_of(&card) {
            let strips = room.strips_for(&lines);
            if taken + strips > STRIPS {
                pages.push(room.foot());
                taken = 0;
            }
            if let Some(page) = pages.last_mut() {
                room.draw(&lines, (taken, strips), page);
            }
            taken += strips;
        }
    }
    pages
}

/// The paper for cards.
struct Room {
    top: f64,
    bottom: f64,
    width: f64,
    strip: f64,
}

impl Room {
    fn of(paper: Paper) -> Self {
        let top = MARGIN_MM + HEAD_MM;
        let bottom = paper.height - MARGIN_MM - FOOT_MM;
        Self {
            top,
            bottom,
            width: paper.width - 2.0 * MARGIN_MM,
            strip: (bottom - top) / STRIPS as f64,
        }
    }

    /// The height for words in a card of so many strips.
    fn height(&self, strips: usize) -> f64 {
        self.strip * strips as f64 - GAP_MM - 2.0 * PAD_MM
    }

    fn words_width(&self) -> f64 {
        self.width - 2.0 * PAD_MM
    }

    /// One, two or all strips: the least that holds the lines.
    fn strips_for(&self, lines: &[Line]) -> usize {
        let takes: f64 = lines.iter().map(Line::takes_mm).sum();
        let holds = |strips: &usize| takes <= self.height(*strips) + 1e-9;
        [1, 2].into_iter().find(holds).unwrap_or(STRIPS)
    }

    /// The lines of a card; several parts where a whole page does not hold them.
    fn parts_of(&self, card: &DayCard) -> Vec<Vec<Line>> {
        let most = self.height(STRIPS);
        let mut parts: Vec<Vec<Line>> = Vec::new();
        let mut used = f64::INFINITY;
        for line in self.body(card) {
            if used + line.takes_mm() > most {
                let head = self.head(card, !parts.is_empty());
                used = head.iter().map(Line::takes_mm).sum();
                parts.push(head);
            }
            used += line.takes_mm();
            if let Some(part) = parts.last_mut() {
                part.push(line);
            }
        }
        parts
    }

    fn head(&self, card: &DayCard, goes_on: bool) -> Vec<Line> {
        let title = if goes_on {
            format!("{}, continued", card.title)
        } else {
            card.title.clone()
        };
        let title = shortened(&title, self.words_width(), TITLE_MM, Weight::Bold);
        let mut head = vec![Line::new(title, TITLE_MM, Weight::Bold).below(0.0)];
        if !goes_on {
            let words = broken(&card.summary, self.words_width(), SUMMARY_MM, Weight::Plain);
            let lines = words
                .into_iter()
                .map(|words| Line::new(words, SUMMARY_MM, Weight::Plain));
            head.extend(lines);
        }
        head
    }

    fn body(&self, card: &DayCard) -> Vec<Line> {
        let mut body = Vec::new();
        let least = LEAST_LETTERING_MM;
        for part in &card.parts {
            body.push(Line::new(part.heading, least, Weight::Bold).below(2.0));
            for words in &part.lines {
                let lines = broken(words, self.words_width(), least, Weight::Plain);
                body.extend(
                    lines
                        .into_iter()
                        .map(|l| Line::new(l, least, Weight::Plain)),
                );
            }
        }
        body
    }

    fn draw(&self, lines: &[Line], (from, strips): (usize, usize), page: &mut Vec<Mark>) {
        let low = Point::new(MARGIN_MM, self.top + self.strip * from as f64);
        let size = Point::new(self.width, self.strip * strips as f64 - GAP_MM);
        let edge = Some(Pen::black(0.5));
        page.push(Mark::rectangle(low, low + size, edge, Fill::None));
        let mut top = low.y + PAD_MM;
        for line in lines {
            top = line.write(low.x + PAD_MM, top, page);
        }
    }

    /// A new page with who decides at its foot.
    fn foot(&self) -> Vec<Mark> {
        let mut page = Vec::new();
        let mut top = self.bottom;
        for words in broken(CAUTION, self.width, LEAST_LETTERING_MM, Weight::Plain) {
            top = Line::new(words, LEAST_LETTERING_MM, Weight::Plain)
                .write(MARGIN_MM, top, &mut page);
        }
        page
    }
}
