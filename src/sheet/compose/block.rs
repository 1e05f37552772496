//! Blocks of the margin: tables, legend, notes. A block is rows of marks under a title; a long one is split between columns.
//! Knows nothing of what the rows say.

use crate::geometry::Point;
use crate::sheet::lettering::wrapped;
use crate::sheet::{LEAST_LETTERING_MM, Mark, Pen, Text, Weight, shortened};

/// Width of every block, in millimetres; also that of the title block (ISO 7200: at most 180 mm).
pub(super) const WIDTH_MM: f64 = 180.0;
/// Height of a row of small lettering.
const ROW_MM: f64 = 4.7;
/// Distance of the lines in a cell.
const LINE_MM: f64 = 4.0;
/// Most lines in a cell.
const LINES_MOST: usize = 6;
/// Height of a block's title.
const TITLE_MM: f64 = 7.2;
/// Free paper below a block.
const GAP_MM: f64 = 3.5;
/// Height of title lettering.
const TITLE_LETTERING_MM: f64 = 3.5;

/// One row: its height and its marks from its upper left corner.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) height: f64,
    pub(super) marks: Vec<Mark>,
}

/// A block under a title.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub(super) title: String,
    /// What the rows are, for "12 more racks are not listed".
    pub(super) things: &'static str,
    /// True where the rows belong together: moved on to the next column rather than split, where one is free.
    pub(super) whole: bool,
    /// Repeated where the block goes on in the next column.
    pub(super) header: Option<Row>,
    pub(super) rows: Vec<Row>,
}

/// A column of free paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Region {
    pub(super) at: Point,
    pub(super) height: f64,
}

/// A column of a table: heading, in several lines where it holds line breaks, and width in millimetres.
pub(super) type Heading = (&'static str, f64);

/// What has been placed, and what found no room.
#[derive(Debug, Default)]
pub(super) struct Placed {
    pub(super) marks: Vec<Mark>,
    pub(super) left_out: Vec<String>,
}

impl Block {
    /// A table. Cells that are too long, or hold line breaks, take more lines; what is longer still is cut with "…".
    pub(super) fn table(
        title: &str,
        things: &'static str,
        headings: &[Heading],
        cells: &[Vec<String>],
    ) -> Self {
        let header = table_row(
            headings,
            &headings
                .iter()
                .map(|(h, _)| (*h).to_owned())
                .collect::<Vec<_>>(),
            Weight::Bold,
        );
        Self {
            title: title.to_owned(),
            things,
            whole: false,
            header: Some(header),
            rows: cells
                .iter()
                .map(|row| table_row(headings, row, Weight::Plain))
                .collect(),
        }
    }

    /// Paragraphs, each broken into lines.
    pub(super) fn paragraphs(title: &str, things: &'static str, texts: &[String]) -> Self {
        let rows = texts
            .iter()
            .flat_map(|text| {
                wrapped(text, WIDTH_MM - 5.0, LEAST_LETTERING_MM, Weight::Plain)
                    .into_iter()
                    .enumerate()
                    .map(|(k, line)| line_row(&line, k == 0))
            })
            .collect();
        Self {
            title: title.to_owned(),
            things,
            whole: true,
            header: None,
            rows,
        }
    }

    fn head_height(&self) -> f64 {
        TITLE_MM + self.header.as_ref().map_or(0.0, |h| h.height)
    }
}

fn table_row(headings: &[Heading], cells: &[String], weight: Weight) -> Row {
    let mut marks = Vec::new();
    let mut x = 0.0;
    let mut height = ROW_MM;
    for ((_, width), words) in headings.iter().zip(cells) {
        let mut y = ROW_MM - 1.3;
        for line in cell_lines(words, width - 1.6, weight) {
            height = height.max(y + 1.3);
            let mut text = Text::new(Point::new(x + 0.8, y), line, LEAST_LETTERING_MM);
            text.weight = weight;
            marks.push(Mark::Text(text));
            y += LINE_MM;
        }
        x += width;
    }
    let pen = match weight {
        Weight::Plain => Pen::grey(0.13),
        Weight::Bold => Pen::black(0.35),
    };
    marks.push(Mark::line(
        Point::new(0.0, height),
        Point::new(x, height),
        pen,
    ));
    Row { height, marks }
}

/// The words of a cell in as many lines as they need, of which the last is cut where there would be too many.
fn cell_lines(words: &str, most_mm: f64, weight: Weight) -> Vec<String> {
    let mut lines: Vec<String> = words
        .lines()
        .flat_map(|line| wrapped(line, most_mm, LEAST_LETTERING_MM, weight))
        .collect();
    if lines.len() > LINES_MOST {
        let rest = lines.split_off(LINES_MOST - 1).join(" ");
        lines.push(shortened(&rest, most_mm, LEAST_LETTERING_MM, weight));
    }
    lines
}

fn line_row(line: &str, first: bool) -> Row {
    let mut marks = vec![Mark::Text(Text::new(
        Point::new(4.0, ROW_MM - 1.3),
        line,
        LEAST_LETTERING_MM,
    ))];
    if first {
        marks.push(Mark::rectangle(
            Point::new(1.2, ROW_MM - 2.9),
            Point::new(2.2, ROW_MM - 1.9),
            None,
            crate::sheet::Fill::Black,
        ));
    }
    Row {
        height: ROW_MM,
        marks,
    }
}

/// The blocks one after the other down the columns. With `cut`, what finds no room is left out, which is said in the place
/// of the last row and in the list; without, `None` where not everything fits.
pub(super) fn flow(blocks: &[Block], regions: &[Region], cut: bool) -> Option<Placed> {
    let mut placed = Placed::default();
    let mut columns = regions.iter();
    let mut column = columns.next().copied();
    let mut used = 0.0;
    for block in blocks {
        let mut rows = block.rows.as_slice();
        let mut part = 0;
        while !rows.is_empty() {
            let Some(here) = column else {
                if !cut {
                    return None;
                }
                placed
                    .left_out
                    .push(format!("{} {}", rows.len(), block.things));
                break;
            };
            let free = here.height - used - block.head_height();
            let fit = rows_in(rows, free);
            let next_takes_all = || {
                let next = columns.clone().next();
                next.is_some_and(|n| rows_in(rows, n.height - block.head_height()) == rows.len())
            };
            // A block is not begun for a row or two.
            let split = fit < rows.len();
            if fit == 0 || (split && (fit < 3 || (block.whole && next_takes_all()))) {
                column = columns.next().copied();
                used = 0.0;
                continue;
            }
            let (now, later) = rows.split_at(fit);
            let top = here.at + Point::new(0.0, used);
            used += draw(block, now, part, top, &mut placed.marks) + GAP_MM;
            rows = later;
            part += 1;
            if !rows.is_empty() {
                column = columns.next().copied();
                used = 0.0;
            }
        }
    }
    Some(placed)
}

fn rows_in(rows: &[Row], free: f64) -> usize {
    let mut height = 0.0;
    rows.iter()
        .take_while(|row| {
            height += row.height;
            height <= free
        })
        .count()
}

/// Draws a part of a block and gives its height.
fn draw(block: &Block, rows: &[Row], part: usize, top: Point, marks: &mut Vec<Mark>) -> f64 {
    let title = if part == 0 {
        block.title.clone()
    } else {
        format!("{} (continued)", block.title)
    };
    let title = shortened(&title, WIDTH_MM, TITLE_LETTERING_MM, Weight::Bold);
    let base = top + Point::new(0.0, TITLE_MM - 2.6);
    marks.push(Mark::Text(
        Text::new(base, title, TITLE_LETTERING_MM).bold(),
    ));
    let rule = top + Point::new(0.0, TITLE_MM - 0.8);
    marks.push(Mark::line(
        rule,
        rule + Point::new(WIDTH_MM, 0.0),
        Pen::black(0.5),
    ));
    let mut y = TITLE_MM;
    for row in block.header.iter().chain(rows) {
        marks.extend(row.marks.iter().map(|m| m.moved(top + Point::new(0.0, y))));
        y += row.height;
    }
    y
}
