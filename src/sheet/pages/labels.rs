//! Labels to cut out: one for every rack, slot and breaker, and two for every cord, one an end. On a grid with cut marks, at true size.

use super::{About, Line, MARGIN_MM, Paper};
use crate::geometry::Point;
use crate::layout::Layout;
use crate::plan::{Id, Item, ItemKind, UpsPlace};
use crate::sheet::lettering::{LEAST_LETTERING_MM, broken, shortened, width_mm};
use crate::sheet::model::{Mark, Pen, Weight};
use crate::wiring::schedule::{Row, schedule};

/// Width and height of a label, in millimetres.
pub const LABEL_MM: (f64, f64) = (60.0, 25.0);

pub(super) const ABOUT: About = About {
    file: "labels",
    title: "Labels",
    said: "60 × 25 mm each, print at 100 %",
    group: "labels",
};

/// Columns and rows of a page: they fit ISO A4 and US letter alike.
const GRID: (usize, usize) = (3, 10);
/// Free paper inside a label's edge.
const PAD_MM: f64 = 2.5;
/// Heights of the large line, the largest that fits.
const LARGE_MM: [f64; 4] = [5.0, 4.0, 3.2, LEAST_LETTERING_MM];
/// Lines below it.
const LINES: usize = 3;
/// Cut marks: how far outside the grid they begin and end, and half the width of the crosses inside.
const TICK_MM: (f64, f64) = (1.0, 3.5);
const CROSS_MM: f64 = 1.0;

/// A label's words.
struct Label {
    large: String,
    small: Vec<String>,
}

impl Label {
    fn new(large: &impl ToString, small: impl IntoIterator<Item = String>) -> Self {
        Self {
            large: large.to_string(),
            small: small.into_iter().collect(),
        }
    }

    /// The large line and those below it, none wider than the label: broken where there is room for more lines, else shortened.
    fn lines(&self) -> Vec<Line> {
        let room = LABEL_MM.0 - 2.0 * PAD_MM;
        let fits = |height: &f64| width_mm(&self.large, *height, Weight::Bold) <= room;
        let height = LARGE_MM
            .into_iter()
            .find(fits)
            .unwrap_or(LEAST_LETTERING_MM);
        let large = shortened(&self.large, room, height, Weight::Bold);
        let mut lines = vec![Line::new(large, height, Weight::Bold).below(0.0)];
        let mut left = LINES;
        for (k, words) in self.small.iter().enumerate() {
            let others = self.small.len() - k - 1;
            let may_take = left.saturating_sub(others);
            let shown = folded(words, room, may_take);
            left = left.saturating_sub(shown.len());
            let below = shown
                .into_iter()
                .map(|words| Line::new(words, LEAST_LETTERING_MM, Weight::Plain).below(0.4));
            lines.extend(below);
        }
        lines
    }
}

/// Words in at most so many lines; what is too long for them is shortened at its end.
fn folded(words: &str, room: f64, most: usize) -> Vec<String> {
    let (height, weight) = (LEAST_LETTERING_MM, Weight::Plain);
    let all = broken(words, room, height, weight);
    if all.len() <= most {
        return all;
    }
    let whole = most.saturating_sub(1);
    let (kept, rest) = all.split_at(whole.min(all.len()));
    let mut kept = kept.to_vec();
    if most > 0 {
        kept.push(shortened(&rest.join(" "), room, height, weight));
    }
    kept
}

/// The marks of every page.
pub(super) fn pages(layout: &Layout, paper: Paper) -> Vec<Vec<Mark>> {
    let (columns, rows) = GRID;
    let (width, height) = LABEL_MM;
    let size = Point::new(width * columns as f64, height * rows as f64);
    let low = Point::new(
        (paper.width - size.x) * 0.5,
        (paper.height - size.y - MARGIN_MM).max(0.0) * 0.5 + MARGIN_MM,
    );
    labels(layout)
        .chunks(columns * rows)
        .map(|chunk| {
            let mut page = cut_marks(low);
            for (k, label) in chunk.iter().enumerate() {
                let (column, row) = (k % columns, k / columns);
                let at = low + Point::new(width * column as f64, height * row as f64);
                let mut top = at.y + PAD_MM;
                for line in label.lines() {
                    top = line.write(at.x + PAD_MM, top, &mut page);
                }
            }
            page
        })
        .collect()
}

/// Ticks outside the grid and crosses where labels meet.
fn cut_marks(low: Point) -> Vec<Mark> {
    let (columns, rows) = GRID;
    let x = |k: usize| low.x + LABEL_MM.0 * k as f64;
    let y = |k: usize| low.y + LABEL_MM.1 * k as f64;
    let (near, far) = TICK_MM;
    let mut lines = Vec::new();
    for k in 0..=columns {
        lines.push((Point::new(x(k), y(0) - far), Point::new(x(k), y(0) - near)));
        lines.push((
            Point::new(x(k), y(rows) + near),
            Point::new(x(k), y(rows) + far),
        ));
    }
    for k in 0..=rows {
        lines.push((Point::new(x(0) - far, y(k)), Point::new(x(0) - near, y(k))));
        lines.push((
            Point::new(x(columns) + near, y(k)),
            Point::new(x(columns) + far, y(k)),
        ));
    }
    for column in 0..=columns {
        for row in 0..=rows {
            let at = Point::new(x(column), y(row));
            let (across, up) = (Point::new(CROSS_MM, 0.0), Point::new(0.0, CROSS_MM));
            lines.push((at - across, at + across));
            lines.push((at - up, at + up));
        }
    }
    vec![Mark::Strokes {
        lines,
        pen: Pen::black(0.13),
    }]
}

/// Racks, slots, cords, breakers.
fn labels(layout: &Layout) -> Vec<Label> {
    let racks = layout.of_kind(ItemKind::Rack).map(|part| {
        let rack = layout.plan().rack(part.id);
        let kind = rack.and_then(|rack| layout.stock().racks.get(&rack.kind));
        Label::new(&part.id, kind.map(|k| k.name.clone()))
    });
    let slots = layout.slots().map(|(_, slot)| {
        let holds = match &slot.printer {
            None => vec!["no printer in this phase".to_owned()],
            Some(printer) => {
                let kind = layout.stock().printers.get(&printer.kind);
                let name = kind.map(|k| k.name.clone());
                std::iter::once(printer.id.to_string())
                    .chain(name)
                    .collect()
            }
        };
        Label::new(&slot.name, holds)
    });
    let breakers = schedule(layout);
    let breakers = breakers.iter().map(breaker);
    racks
        .chain(slots)
        .chain(cords(layout).into_iter().flat_map(Cord::both_ends))
        .chain(breakers)
        .collect()
}

/// A cord with both its ends.
struct Cord {
    from: Id,
    to: Id,
    /// Where each end is, in words.
    at: [String; 2],
}

impl Cord {
    /// A label for each end.
    fn both_ends(self) -> [Label; 2] {
        let name = format!("{} → {}", self.from, self.to);
        let [near, far] = self.at;
        let end = |this: &str, other: &str| {
            let words = [format!("this end: {this}"), format!("other end: {other}")];
            Label::new(&name, words)
        };
        [end(&near, &far), end(&far, &near)]
    }
}

/// Cords of UPS and of printers that are plugged in.
fn cords(layout: &Layout) -> Vec<Cord> {
    let power = layout.power();
    let supplies = power.supplies.keys().filter_map(|id| {
        let Some(Item::Ups(ups)) = layout.plan().items().get(*id) else {
            return None;
        };
        let to = ups.outlet.filter(|to| power.outlets.contains_key(to))?;
        Some((*id, to, supply_words(layout, *id)))
    });
    let printers = layout.printers().filter_map(|(slot, placed)| {
        let printer = layout.plan().printers().get(placed.id)?;
        let to = printer
            .power
            .filter(|to| power.outlets.contains_key(to) || power.supplies.contains_key(to))?;
        Some((placed.id, to, format!("{} in {}", placed.id, slot.name)))
    });
    supplies
        .chain(printers)
        .map(|(from, to, near)| Cord {
            from,
            to,
            at: [near, far_end(layout, to)],
        })
        .collect()
}

/// A UPS with its rack.
fn supply_words(layout: &Layout, id: Id) -> String {
    match layout.plan().items().get(id) {
        Some(Item::Ups(ups)) => match ups.stands {
            UpsPlace::OnRack(rack) => format!("{id} at {rack}"),
            UpsPlace::OnFloor(_) => format!("{id} on the floor"),
        },
        _ => id.to_string(),
    }
}

/// The outlet with its circuit, or the UPS with its rack.
fn far_end(layout: &Layout, to: Id) -> String {
    match layout.plan().items().get(to) {
        Some(Item::Outlet(outlet)) => match outlet.circuit {
            Some(circuit) => format!("{to} on {circuit}"),
            None => format!("{to}, circuit not traced"),
        },
        _ => supply_words(layout, to),
    }
}

/// A breaker with what hangs on it.
fn breaker(row: &Row) -> Label {
    let poles = match row.poles {
        1 => "1 pole".to_owned(),
        n => format!("{n} poles"),
    };
    let legs = row.legs.as_ref().map(|legs| format!(", {legs}"));
    let rating = format!(
        "{}, {}, {poles}{}",
        row.circuit.breaker.shown(),
        row.circuit.volts.shown(),
        legs.unwrap_or_default()
    );
    let printers = match row.printers {
        0 => None,
        1 => Some("1 printer".to_owned()),
        n => Some(format!("{n} printers")),
    };
    let ids = row
        .outlets
        .iter()
        .chain(&row.supplies)
        .map(ToString::to_string);
    let holds: Vec<String> = ids
        .chain(printers)
        .chain(row.others.iter().cloned())
        .collect();
    let holds = if holds.is_empty() {
        "nothing on it".to_owned()
    } else {
        holds.join(", ")
    };
    Label::new(&row.id, [rating, holds])
}
