//! Dimensions outside the walls. Every wall feature, rack and column is measured from the datum corner along its side by
//! running dimensions (ISO 129-1): one line a side with an origin at the datum, an oblique stroke at each place and the value
//! beside it, so that no error adds up and no chain closes itself. Each wall's whole length stands outermost.
//!
//! A wall at a slant gets a line of its own, measured from its own end nearer the datum.

use std::collections::BTreeMap;

use super::canvas::{Canvas, spread};
use super::view::{View, dimension, dimension_mm};
use super::{Subject, status_letter};
use crate::geometry::{Bounds, Convex, Point};
use crate::layout::{Part, Wall};
use crate::plan::{Id, Item, ItemKind};
use crate::sheet::{Anchor, Fill, LEAST_LETTERING_MM, Mark, Pen, Text, Weight, width_mm};

/// From the wall's outer face to the dimension line.
const LINE_MM: f64 = 6.0;
/// From the dimension line to the lettering: room for a leader that bends aside.
const LEADER_MM: f64 = 6.0;
/// Distance of neighbouring labels.
const PITCH_MM: f64 = 4.9;
/// How far labels may run past the ends of a line.
const PAST_MM: f64 = 5.0;
/// Free paper before the outermost line.
const OUTER_GAP_MM: f64 = 5.5;
/// Height of the outermost line with its lettering.
const OUTER_MM: f64 = 5.5;
/// Half an oblique stroke, along each axis.
const STROKE_MM: f64 = 1.1;
/// Places nearer to one another than this are one place, in millimetres of the room.
const SAME_MM: f64 = 0.5;
/// Most marks named at one place.
const MARKS_MOST: usize = 3;

pub(super) const THIN: Pen = Pen::black(0.18);
pub(super) const EXTENSION: Pen = Pen::grey(0.13);

/// A place that is measured.
#[derive(Clone, Debug)]
struct Feature {
    /// Along the chain's axis from its origin, in millimetres of the room.
    value: f64,
    marks: Vec<Id>,
    /// Written behind the value: heights.
    tail: String,
    /// The circuit of an outlet.
    circuit: Option<String>,
    /// Where the extension line starts, in the room.
    from: Point,
    /// What must not be lost comes first: 0 outlets, 1 openings and equipment, 2 racks and columns.
    rank: u8,
}

/// A line of running dimensions.
#[derive(Clone, Debug)]
struct Chain {
    /// Unit vector in the room along which values grow.
    axis: Point,
    /// Unit vector in the room away from the drawing.
    outward: Point,
    /// The point of value 0, on the inner face of the outermost wall of the side.
    origin: Point,
    /// Values of the two ends of the side.
    ends: (f64, f64),
    /// Thickness of the wall, in millimetres of the room.
    wall_mm: f64,
    features: Vec<Feature>,
    /// The walls whose whole length is written here: their ends as values, and the words.
    walls: Vec<(f64, f64, String)>,
}

/// All dimensions of a sheet.
#[derive(Debug)]
pub(super) struct Dimensions {
    sides: [Chain; 4],
    slanted: Vec<Chain>,
}

/// The four sides: bottom, right, top, left, each the way out of the drawing.
const OUTWARD: [Point; 4] = [Point::NEG_Y, Point::X, Point::Y, Point::NEG_X];

/// The side that a direction of the room looks to, where it is along the axes.
fn side_of(outward: Point) -> Option<usize> {
    OUTWARD
        .iter()
        .position(|side| side.dot(outward) > 1.0 - 1e-9)
}

impl Dimensions {
    pub(super) fn of(subject: &Subject<'_>) -> Self {
        let mut all = Self {
            sides: OUTWARD.map(|outward| side_chain(subject, outward)),
            slanted: Vec::new(),
        };
        let mut slanted: BTreeMap<usize, Chain> = BTreeMap::new();
        for wall in subject.layout.walls() {
            let words = format!(
                "{} · {}",
                subject.wall_words(wall.number),
                dimension_mm(wall.length, subject.practice())
            );
            match side_of(-wall.inward) {
                Some(side) => {
                    let chain = &mut all.sides[side];
                    let (a, b) = (
                        chain.value(wall.point(0.0, 0.0)),
                        chain.value(wall.point(wall.length, 0.0)),
                    );
                    chain.walls.push((a.min(b), a.max(b), words));
                }
                None => {
                    slanted.insert(wall.number, slanted_chain(subject, &wall, words));
                }
            }
        }
        for part in subject.layout.parts() {
            all.measure(subject, part, &mut slanted);
        }
        all.slanted = slanted.into_values().collect();
        for chain in all.sides.iter_mut().chain(&mut all.slanted) {
            chain.merge();
        }
        all
    }

    fn measure(
        &mut self,
        subject: &Subject<'_>,
        part: &Part,
        slanted: &mut BTreeMap<usize, Chain>,
    ) {
        let Some(item) = subject.layout.plan().items().get(part.id) else {
            return;
        };
        if let Some(place) = item.wall_place() {
            let Some(wall) = Wall::at(subject.layout.room(), place) else {
                return;
            };
            let chain = match side_of(-wall.inward) {
                Some(side) => Some(&mut self.sides[side]),
                None => slanted.get_mut(&wall.number),
            };
            if let Some(chain) = chain {
                wall_features(subject, part.id, item, &wall, chain);
            }
        } else if matches!(part.kind, ItemKind::Rack | ItemKind::Column)
            && let Some(solid) = &part.solid
        {
            self.measure_body(part.id, solid.shape.bounds());
        }
    }

    /// Both edges of a body, along the side that it stands nearest to.
    fn measure_body(&mut self, id: Id, bounds: &Bounds) {
        let distance = |chain: &Chain| {
            let reach = bounds
                .low
                .dot(chain.outward)
                .max(bounds.high.dot(chain.outward));
            chain.origin.dot(chain.outward) - reach
        };
        let nearest = self
            .sides
            .iter_mut()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let Some(chain) = nearest else {
            return;
        };
        let corners = [bounds.low, bounds.high];
        let far = |p: &Point| p.dot(chain.outward);
        let outer = if far(&corners[0]) > far(&corners[1]) {
            corners[0]
        } else {
            corners[1]
        };
        for corner in corners {
            // The place on the body's side that looks to the chain.
            let from =
                chain.axis * corner.dot(chain.axis) + chain.outward * outer.dot(chain.outward);
            chain.features.push(Feature {
                value: chain.value(corner),
                marks: vec![id],
                tail: String::new(),
                circuit: None,
                from,
                rank: 2,
            });
        }
    }

    /// Paper needed beyond the inner faces of the walls at a scale: bottom, right, top, left.
    pub(super) fn margins(&self, subject: &Subject<'_>, share: f64) -> [f64; 4] {
        let beyond = self.slanted_reach(subject, share);
        std::array::from_fn(|k| beyond[k] + self.sides[k].reach(subject, share))
    }

    /// How far the lines of slanted walls reach beyond the room's box, on paper.
    fn slanted_reach(&self, subject: &Subject<'_>, share: f64) -> [f64; 4] {
        let room = subject.layout.room().bounds();
        let mut beyond = [0.0_f64; 4];
        for chain in &self.slanted {
            let reach = chain.outward * chain.reach(subject, share) / share;
            let along = chain.axis * (PAST_MM / share);
            for end in [chain.ends.0, chain.ends.1] {
                let foot = chain.origin + chain.axis * end;
                for p in [foot + reach + along, foot + reach - along] {
                    let over = [
                        room.low.y - p.y,
                        p.x - room.high.x,
                        p.y - room.high.y,
                        room.low.x - p.x,
                    ];
                    for (most, over) in beyond.iter_mut().zip(over) {
                        *most = most.max(over * share);
                    }
                }
            }
        }
        beyond
    }

    /// Draws everything; gives how many places found no room for their value.
    pub(super) fn draw(&self, subject: &Subject<'_>, view: &View, canvas: &mut Canvas) -> usize {
        let beyond = self.slanted_reach(subject, view.share);
        let mut lost = 0;
        for (chain, beyond) in self.sides.iter().zip(beyond) {
            lost += chain.draw(subject, view, beyond, canvas);
        }
        for chain in &self.slanted {
            lost += chain.draw(subject, view, 0.0, canvas);
        }
        lost
    }
}

fn side_chain(subject: &Subject<'_>, outward: Point) -> Chain {
    let room = subject.layout.room();
    let bounds = room.bounds();
    let datum = subject.layout.plan().room().datum_corner();
    let toward = subject.axes();
    let axis = if outward.x.abs() > 0.5 {
        Point::Y * toward.y
    } else {
        Point::X * toward.x
    };
    let face = bounds.low.dot(outward).max(bounds.high.dot(outward));
    let value = |p: Point| (p - datum).dot(axis);
    let (a, b) = (value(bounds.low), value(bounds.high));
    let thickness = subject
        .layout
        .walls()
        .filter(|w| side_of(-w.inward).is_some_and(|k| OUTWARD[k] == outward))
        .map(|w| subject.layout.plan().room().wall_thickness(w.number).mm())
        .fold(0.0, f64::max);
    Chain {
        axis,
        outward,
        origin: axis * datum.dot(axis) + outward * face,
        ends: (a.min(b), a.max(b)),
        wall_mm: thickness,
        features: Vec::new(),
        walls: Vec::new(),
    }
}

fn slanted_chain(subject: &Subject<'_>, wall: &Wall, words: String) -> Chain {
    let datum = subject.layout.plan().room().datum_corner();
    let (start, end) = (wall.point(0.0, 0.0), wall.point(wall.length, 0.0));
    let from_start = start.distance(datum) <= end.distance(datum);
    Chain {
        axis: if from_start { wall.along } else { -wall.along },
        outward: -wall.inward,
        origin: if from_start { start } else { end },
        ends: (0.0, wall.length),
        wall_mm: subject
            .layout
            .plan()
            .room()
            .wall_thickness(wall.number)
            .mm(),
        features: Vec::new(),
        walls: vec![(0.0, wall.length, words)],
    }
}

/// The places of one thing on a wall.
fn wall_features(subject: &Subject<'_>, id: Id, item: &Item, wall: &Wall, chain: &mut Chain) {
    let Some(place) = item.wall_place() else {
        return;
    };
    let practice = subject.practice();
    let stock = subject.layout.stock();
    let height = |what: &str, h| format!("· {what}{} AFF", dimension(h, practice));
    let (width, tail, circuit, rank) = match item {
        Item::Outlet(o) => {
            let circuit = o.circuit.map_or_else(|| "C?".to_owned(), |c| c.to_string());
            (None, height("", o.height), Some(circuit), 0)
        }
        Item::Door(d) => (Some(d.width), String::new(), None, 1),
        Item::Window(w) => (Some(w.width), height("sill ", w.sill), None, 1),
        Item::Panel(p) => (Some(p.width), String::new(), None, 1),
        Item::Cooling(c) => (
            stock.cooling.get(&c.kind).map(|k| k.width),
            height("", c.bottom),
            None,
            1,
        ),
        Item::Fitting(f) => (Some(f.width), height("", f.bottom), None, 1),
        Item::Column(_)
        | Item::Overhead(_)
        | Item::Light(_)
        | Item::Camera(_)
        | Item::Furniture(_)
        | Item::Zone(_)
        | Item::Rack(_)
        | Item::Ups(_)
        | Item::Dimension(_)
        | Item::Note(_) => return,
    };
    let near = place.along.mm();
    let mut edges = vec![near];
    edges.extend(width.map(|w| near + w.mm()));
    // The height is written once, at the edge nearer the datum.
    let first = edges.iter().copied().min_by(|a, b| {
        chain
            .value(wall.point(*a, 0.0))
            .total_cmp(&chain.value(wall.point(*b, 0.0)))
    });
    for along in edges {
        let from = wall.point(along, 0.0);
        let is_first = first.is_some_and(|f| f.total_cmp(&along).is_eq());
        chain.features.push(Feature {
            value: chain.value(from),
            marks: vec![id],
            tail: if is_first {
                tail.clone()
            } else {
                String::new()
            },
            circuit: circuit.clone(),
            from,
            rank,
        });
    }
}

impl Feature {
    /// What is written, without the circuit.
    fn words(&self, subject: &Subject<'_>) -> String {
        let named: Vec<String> = self
            .marks
            .iter()
            .take(MARKS_MOST)
            .map(|id| format!("{id}{}", status_letter(subject, *id)))
            .collect();
        let more = if self.marks.len() > MARKS_MOST {
            format!(" +{}", self.marks.len() - MARKS_MOST)
        } else {
            String::new()
        };
        let value = dimension_mm(self.value, subject.practice());
        let tail = if self.tail.is_empty() {
            String::new()
        } else {
            format!(" {}", self.tail)
        };
        format!("{}{more} {value}{tail}", named.join(" "))
    }
}

impl Chain {
    fn value(&self, p: Point) -> f64 {
        (p - self.origin).dot(self.axis)
    }

    /// Sorts the places and makes one of those that coincide; an outlet, which has a circuit to show, stays by itself.
    fn merge(&mut self) {
        self.features
            .sort_by(|a, b| a.value.total_cmp(&b.value).then(a.rank.cmp(&b.rank)));
        let mut merged: Vec<Feature> = Vec::new();
        for feature in self.features.drain(..) {
            match merged.last_mut() {
                Some(last)
                    if feature.value - last.value <= SAME_MM
                        && last.circuit.is_none()
                        && feature.circuit.is_none()
                        && (last.tail.is_empty() || feature.tail.is_empty()) =>
                {
                    last.marks.extend(feature.marks);
                    last.marks.sort_unstable();
                    last.rank = last.rank.min(feature.rank);
                    if last.tail.is_empty() {
                        last.tail = feature.tail;
                    }
                }
                _ => merged.push(feature),
            }
        }
        self.features = merged;
    }

    /// Length of the longest label.
    fn label_mm(&self, subject: &Subject<'_>) -> f64 {
        self.features
            .iter()
            .map(|f| {
                let words = width_mm(&f.words(subject), LEAST_LETTERING_MM, Weight::Plain);
                words + f.circuit.as_ref().map_or(0.0, |c| tag_width(c) + 1.0)
            })
            .fold(0.0, f64::max)
    }

    /// From the inner face of the wall to the outermost lettering, on paper.
    fn reach(&self, subject: &Subject<'_>, share: f64) -> f64 {
        self.outer_line(subject, share) + OUTER_MM
    }

    /// From the inner face to the line of whole lengths, on paper.
    fn outer_line(&self, subject: &Subject<'_>, share: f64) -> f64 {
        let wall = self.wall_mm * share;
        if self.features.is_empty() {
            wall + LINE_MM
        } else {
            wall + LINE_MM + LEADER_MM + self.label_mm(subject) + OUTER_GAP_MM
        }
    }

    fn draw(&self, subject: &Subject<'_>, view: &View, beyond: f64, canvas: &mut Canvas) -> usize {
        let line = beyond + self.wall_mm * view.share + LINE_MM;
        let lost = if self.features.is_empty() {
            0
        } else {
            self.draw_running(subject, view, line, canvas)
        };
        let outer = beyond + self.outer_line(subject, view.share);
        for (from, to, words) in &self.walls {
            self.draw_whole(view, outer, (*from, *to), words, canvas);
        }
        lost
    }

    /// The paper place of a value at a distance outside the inner face.
    fn place(&self, view: &View, value: f64, out_mm: f64) -> Point {
        view.paper(self.origin + self.axis * value) + View::direction(self.outward) * out_mm
    }

    fn draw_running(
        &self,
        subject: &Subject<'_>,
        view: &View,
        line: f64,
        canvas: &mut Canvas,
    ) -> usize {
        let low = self.ends.0.min(0.0) * view.share - PAST_MM;
        let high = self.ends.1 * view.share + PAST_MM;
        let capacity = ((high - low) / PITCH_MM).floor() + 1.0;
        let (kept, lost) = self.kept(capacity);
        let wishes: Vec<f64> = kept.iter().map(|f| f.value * view.share).collect();
        let places = spread(&wishes, PITCH_MM, low, high);
        let far = kept.iter().map(|f| f.value).fold(0.0, f64::max);
        let near = kept.iter().map(|f| f.value).fold(0.0, f64::min);
        canvas.push(Mark::line(
            self.place(view, near, line),
            self.place(view, far, line),
            THIN,
        ));
        canvas.push(Mark::Circle {
            centre: self.place(view, 0.0, line),
            radius: 0.9,
            pen: Some(THIN),
            fill: Fill::White,
        });
        let out = View::direction(self.outward);
        for (feature, place) in kept.iter().zip(places) {
            let stroke = self.place(view, feature.value, line);
            let start = view.paper(feature.from) + out * 0.8;
            canvas.push(Mark::line(start, stroke + out * 1.2, EXTENSION));
            if feature.value.abs() > SAME_MM {
                canvas.push(oblique(stroke));
            }
            let bend = self.place(view, place / view.share, line + LEADER_MM - 0.8);
            canvas.push(Mark::line(stroke + out * 1.2, bend, EXTENSION));
            self.label(subject, feature, bend + out * 0.8, canvas);
        }
        lost
    }

    /// The places whose values find room, those of little rank left out first, and how many those are.
    fn kept(&self, capacity: f64) -> (Vec<&Feature>, usize) {
        let mut kept: Vec<&Feature> = self.features.iter().collect();
        let all = kept.len();
        if all as f64 > capacity {
            let mut by_rank = kept.clone();
            by_rank.sort_by_key(|f| f.rank);
            let mut room = capacity;
            by_rank.retain(|_| {
                room -= 1.0;
                room >= 0.0
            });
            kept = by_rank;
            kept.sort_by(|a, b| a.value.total_cmp(&b.value));
        }
        let lost = all - kept.len();
        (kept, lost)
    }

    /// The circuit's tag and the words, away from the wall.
    fn label(&self, subject: &Subject<'_>, feature: &Feature, at: Point, canvas: &mut Canvas) {
        let out = View::direction(self.outward);
        let mut at = at;
        if let Some(circuit) = &feature.circuit {
            let width = tag_width(circuit);
            tag(at + out * (width * 0.5), out, circuit, canvas);
            at += out * (width + 1.0);
        }
        canvas.try_text(text_along(
            at,
            out,
            feature.words(subject),
            LEAST_LETTERING_MM,
        ));
    }

    /// The whole length of a wall.
    fn draw_whole(
        &self,
        view: &View,
        outer: f64,
        (from, to): (f64, f64),
        words: &str,
        canvas: &mut Canvas,
    ) {
        let (a, b) = (self.place(view, from, outer), self.place(view, to, outer));
        let out = View::direction(self.outward);
        canvas.push(Mark::line(a, b, THIN));
        for end in [a, b] {
            canvas.push(Mark::line(end - out * 1.5, end + out * 1.5, THIN));
            canvas.push(oblique(end));
        }
        let along = View::direction(self.axis);
        let turn = readable_turn(along);
        let (sin, cos) = libm::sincos(turn.to_radians());
        let up = Point::new(-sin, -cos);
        let middle = (a + b) * 0.5 + up * 1.3;
        let text = Text::new(middle, words, LEAST_LETTERING_MM)
            .anchored(Anchor::Middle)
            .turned(turn);
        let beside = Text {
            at: b + along * 2.0,
            ..text.clone()
        };
        if width_mm(words, LEAST_LETTERING_MM, Weight::Plain) > a.distance(b)
            || !canvas.try_text(text)
        {
            // A wall shorter than its words has them beside its end.
            let start = text_along(beside.at, along, words.to_owned(), LEAST_LETTERING_MM);
            canvas.try_text(start);
        }
    }
}

/// The turn in degrees at which a text along a direction of the paper is read from below or from the right (ISO 129-1).
pub(super) fn readable_turn(along: Point) -> f64 {
    let turn = (-along.y).atan2(along.x).to_degrees();
    if turn <= -90.0 + 1e-6 {
        turn + 180.0
    } else if turn > 90.0 + 1e-6 {
        turn - 180.0
    } else {
        turn
    }
}

/// A text that starts at `at` and runs along `out`, or ends there where it would stand on its head; centred on the line.
pub(super) fn text_along(at: Point, out: Point, words: String, height_mm: f64) -> Text {
    let turn = readable_turn(out);
    let (sin, cos) = libm::sincos(turn.to_radians());
    let along = Point::new(cos, -sin);
    let down = Point::new(sin, cos);
    let anchor = if along.dot(out) > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    Text::new(at + down * (height_mm * 0.5), words, height_mm)
        .anchored(anchor)
        .turned(turn)
}

/// An oblique stroke, which ends a dimension.
pub(super) fn oblique(at: Point) -> Mark {
    let half = Point::new(STROKE_MM, -STROKE_MM);
    Mark::line(at - half, at + half, Pen::black(0.5))
}

/// Width of a circuit's tag.
pub(super) fn tag_width(circuit: &str) -> f64 {
    width_mm(circuit, LEAST_LETTERING_MM, Weight::Bold) + 3.0
}

/// A circuit's tag about a middle: its mark in a box with pointed ends, along a direction of the paper.
pub(super) fn tag(middle: Point, along: Point, circuit: &str, canvas: &mut Canvas) {
    let half = tag_width(circuit) * 0.5;
    let (side, depth) = (along.perp(), 2.1);
    let corner = |x: f64, y: f64| middle + along * x + side * y;
    let outline = vec![
        corner(-half, 0.0),
        corner(-half + 1.1, -depth),
        corner(half - 1.1, -depth),
        corner(half, 0.0),
        corner(half - 1.1, depth),
        corner(-half + 1.1, depth),
    ];
    canvas.push(Mark::area(
        outline.clone(),
        Some(Pen::black(0.25)),
        Fill::White,
    ));
    let turn = readable_turn(along);
    let (sin, cos) = libm::sincos(turn.to_radians());
    let at = middle + Point::new(sin, cos) * (LEAST_LETTERING_MM * 0.5);
    let text = Text::new(at, circuit, LEAST_LETTERING_MM)
        .anchored(Anchor::Middle)
        .turned(turn)
        .bold();
    canvas.try_text(text);
    if let Some(place) = Convex::hull(&outline) {
        canvas.keep(place);
    }
}
