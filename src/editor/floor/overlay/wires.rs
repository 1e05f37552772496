//! The overlay of wires: for each circuit its cable along the way reckoned for it, the cords of what hangs on it, and its number at
//! outlets and panel. Where circuits are chosen, only these are strong. Decides nothing.

use std::collections::BTreeSet;

use egui::{Color32, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2};

use crate::editor::floor::paint::Brush;
use crate::editor::floor::written::note_rect;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, line, text};
use crate::geometry::Point;
use crate::layout::{CableWay, Plugged};
use crate::plan::{Id, ItemKind};

/// Lengths of dashes and of the gaps after them, in points; a whole line where there are none.
const PATTERNS: [(&[f32], &[f32]); 6] = [
    (&[], &[]),
    (&[8.0], &[4.0]),
    (&[2.0], &[3.0]),
    (&[11.0, 2.0], &[3.0, 3.0]),
    (&[11.0, 2.0, 2.0], &[3.0, 3.0, 3.0]),
    (&[4.0], &[8.0]),
];

/// From a wall to the first cable before it, from one cable to the next, and all of them together at most, in points.
const LANES: (f32, f32, f32) = (5.0, 4.0, 44.0);
/// From a wall's outer face to the middle of the first row of tags, in points.
const TAG_OFF: f32 = 16.0;
/// Size of a tag's edge round its words.
const TAG_EDGE: Vec2 = vec2(3.0, 1.0);
/// With more circuits than these the panel says how many they are.
const AT_PANEL_MOST: usize = 6;
/// How faint a circuit is while others are chosen.
const FAINT: f32 = 0.3;

/// One circuit with how it is drawn.
struct Wire {
    id: Id,
    colour: Color32,
    pattern: (&'static [f32], &'static [f32]),
    strong: bool,
    ways: Vec<CableWay>,
    outlets: Vec<Id>,
}

/// A cable in the plan: where it starts and ends, and how it goes along the walls between, at some distance from them.
struct Cable<'a> {
    wire: &'a Wire,
    path: &'a [Point],
    length: f64,
    /// True where it leaves its panel with the room's inside to its left.
    left: bool,
}

pub(super) fn paint(brush: &Brush<'_>) {
    let chosen = chosen(brush.shown);
    let wires = wires(brush, &chosen);
    // The strong ones last, so that nothing faint lies over them.
    for strong in [false, true] {
        cords(brush, &wires, strong);
        cables(brush, &wires, strong);
    }
    tags(brush, &wires);
}

/// The circuits that a person chose: by themselves, by what hangs on them, or by a finding about them.
fn chosen(shown: &Shown<'_>) -> BTreeSet<Id> {
    let power = shown.layout.power();
    let pointed = shown.pointed_finding();
    let pointed = pointed.into_iter().flat_map(|f| f.items.iter().copied());
    let marks: Vec<Id> = shown.selection.iter().chain(pointed).collect();
    let about = |id: &Id, outlets: &[Id], supplies: &[Id]| {
        let mut marks = marks.iter();
        marks.any(|m| m == id || outlets.contains(m) || supplies.contains(m))
    };
    let circuits = power.circuits.iter();
    circuits
        .filter(|(id, load)| about(id, &load.outlets, &load.supplies))
        .map(|(id, _)| *id)
        .collect()
}

fn wires(brush: &Brush<'_>, chosen: &BTreeSet<Id>) -> Vec<Wire> {
    let layout = brush.shown.layout;
    let colours = brush.colours.wires.into_iter().cycle();
    let looks = PATTERNS.into_iter().cycle().zip(colours);
    let circuits = layout.power().circuits.iter().zip(looks);
    circuits
        .map(|((id, load), (pattern, colour))| {
            let strong = chosen.is_empty() || chosen.contains(id);
            Wire {
                id: *id,
                colour: if strong {
                    colour
                } else {
                    colour.gamma_multiply(FAINT)
                },
                pattern,
                strong,
                ways: layout.cable_ways(*id),
                outlets: load.outlets.clone(),
            }
        })
        .collect()
}

fn draw(brush: &Brush<'_>, path: &[Pos2], wire: &Wire, width: f32) {
    let stroke = Stroke::new(width, wire.colour);
    let (dashes, gaps) = wire.pattern;
    if dashes.is_empty() {
        brush.painter.add(Shape::line(path.to_vec(), stroke));
    } else {
        let dashed = Shape::dashed_line_with_offset(path, stroke, dashes, gaps, 0.0);
        brush.painter.extend(dashed);
    }
}

fn cords(brush: &Brush<'_>, wires: &[Wire], strong: bool) {
    let layout = brush.shown.layout;
    let circuits = &layout.power().circuits;
    for cord in layout.cords() {
        let wire = wires.iter().find(|wire| {
            let load = circuits.get(&wire.id);
            load.is_some_and(|l| l.outlets.contains(&cord.to) || l.supplies.contains(&cord.to))
        });
        let Some(wire) = wire.filter(|wire| wire.strong == strong) else {
            continue;
        };
        let Plugged { way, over_door, .. } = cord;
        let way = way.as_ref().or(over_door.as_ref());
        let path = way.map_or(&[][..], |way| way.path.as_slice());
        let path: Vec<Pos2> = path.iter().map(|p| brush.at(*p)).collect();
        draw(brush, &path, wire, line::EDGE);
    }
}

fn cables(brush: &Brush<'_>, wires: &[Wire], strong: bool) {
    let all = wires.iter().flat_map(|wire| {
        let ways = wire.ways.iter();
        ways.filter_map(|way| {
            Some(Cable {
                wire,
                path: &way.path,
                length: way.length_mm,
                left: is_left(brush, &way.path)?,
            })
        })
    });
    let all: Vec<Cable<'_>> = all.collect();
    for left in [true, false] {
        let mut side: Vec<&Cable<'_>> = all.iter().filter(|c| c.left == left).collect();
        // The nearest box first: its cable lies at the wall, and no other crosses the end of it.
        side.sort_by(|a, b| a.length.total_cmp(&b.length));
        let (first, step, most) = LANES;
        let lanes = side.iter().fold(1.0_f32, |n, _| n + 1.0);
        let step = step.min(most / lanes);
        let mut off = first;
        for cable in side {
            if cable.wire.strong == strong {
                let lane = before_walls(cable.path, brush.camera.mm(off), left);
                let path: Vec<Pos2> = lane.iter().map(|p| brush.at(*p)).collect();
                // Where they lie close, thin enough for paper between them.
                draw(brush, &path, cable.wire, line::BODY.min(step * 0.45));
            }
            off += step;
        }
    }
}

/// True where the room's inside is to the left of a way along its walls.
fn is_left(brush: &Brush<'_>, path: &[Point]) -> Option<bool> {
    let (a, b) = legs(path).next()?;
    let beside = a.midpoint(b) + (b - a).normalize_or_zero().perp();
    Some(brush.shown.layout.room().contains(beside))
}

fn legs(path: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    let ends = path.iter().copied().zip(path.iter().copied().skip(1));
    ends.filter(|(a, b)| a.distance(*b) > 1.0)
}

/// A way along the walls, so many millimetres before them; its ends stay on the wall.
fn before_walls(path: &[Point], off_mm: f64, left: bool) -> Vec<Point> {
    let side = if left { off_mm } else { -off_mm };
    let legs: Vec<(Point, Point)> = legs(path).collect();
    let normal = |(a, b): &(Point, Point)| (*b - *a).normalize_or_zero().perp();
    let (Some(first), Some(last)) = (legs.first(), legs.last()) else {
        return path.to_vec();
    };
    let mut lane = vec![first.0, first.0 + normal(first) * side];
    for (leg, next) in legs.iter().zip(legs.iter().skip(1)) {
        let (n, m) = (normal(leg), normal(next));
        // Two walls that nearly turn back would send the corner far away.
        let share = (1.0 + n.dot(m)).max(0.3);
        lane.push(leg.1 + (n + m) * (side / share));
    }
    lane.extend([last.1 + normal(last) * side, last.1]);
    lane
}

/// Where a tag is wanted: from a point on a wall outwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Where the first row of tags has its middle.
    pub at: Pos2,
    /// The way out of the room, of length 1.
    pub out: Vec2,
    /// How large it is.
    pub size: Vec2,
}

/// Places for tags, none over another or over what is taken, and all in view: row by row outwards, to both sides of where each is wanted. None for a tag that
/// finds no place.
pub fn apart(wanted: &[Wanted], taken: &[Rect], view: Rect) -> Vec<Option<Rect>> {
    let mut taken = taken.to_vec();
    let mut find = |tag: &Wanted| {
        let (across, step) = (tag.out.rot90(), tag.size + vec2(2.0, 2.0));
        let reach = |way: Vec2| (way.x * step.x).abs() + (way.y * step.y).abs();
        let rows = [0.0, 1.0, 2.0, 3.0, 4.0_f32];
        let sides = [0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0_f32];
        let places = rows.into_iter().flat_map(|row| {
            sides.map(|side| {
                tag.at + tag.out * (row * reach(tag.out)) + across * (side * reach(across))
            })
        });
        let place = places
            .map(|at| Rect::from_center_size(at, tag.size))
            .find(|rect| {
                view.contains_rect(*rect) && !taken.iter().any(|t| t.expand(0.5).intersects(*rect))
            })?;
        taken.push(place);
        Some(place)
    };
    wanted.iter().map(&mut find).collect()
}

/// A tag: its words, where it hangs, how it looks.
struct Tag {
    words: String,
    spot: Pos2,
    wanted: Wanted,
    colour: Color32,
    strong: bool,
}

fn tags(brush: &Brush<'_>, wires: &[Wire]) {
    let mut tags: Vec<Tag> = wires
        .iter()
        .flat_map(|wire| {
            let at_outlets = wire.outlets.iter();
            at_outlets.filter_map(|outlet| tag(brush, *outlet, wire.id.to_string(), wire))
        })
        .chain(at_panels(brush, wires))
        .collect();
    tags.sort_by_key(|tag| !tag.strong);
    let wanted: Vec<Wanted> = tags.iter().map(|tag| tag.wanted).collect();
    // Notes are painted later, over the tags.
    let notes = brush.shown.layout.of_kind(ItemKind::Note);
    let notes = notes.filter_map(|note| note_rect(brush.shown, note, brush.camera));
    let outside = brush.outside.borrow();
    let taken: Vec<Rect> = outside.iter().copied().chain(notes).collect();
    let placed = apart(&wanted, &taken, brush.camera.view());
    let placed = tags.iter().zip(placed);
    let placed: Vec<(&Tag, Rect)> = placed.filter_map(|(t, rect)| Some((t, rect?))).collect();
    // All leaders first, so that none runs through a tag.
    for (tag, rect) in &placed {
        let leader = Stroke::new(line::HAIR, tag.colour);
        let ends = [tag.spot, rect.center()];
        brush.painter.line_segment(ends, leader);
    }
    for (tag, rect) in placed {
        let edge = Stroke::new(line::EDGE, tag.colour);
        brush
            .painter
            .rect(rect, 3.0, brush.colours.card, edge, StrokeKind::Inside);
        let ink = if tag.strong {
            brush.colours.ink
        } else {
            brush.colours.ink_weak
        };
        let (middle, font) = (egui::Align2::CENTER_CENTER, theme::plain(text::TINY));
        brush.write(rect.center(), middle, &tag.words, font, ink);
    }
}

/// The tags at the panels: each circuit by number, or how many there are.
fn at_panels<'a>(brush: &'a Brush<'_>, wires: &'a [Wire]) -> impl Iterator<Item = Tag> + 'a {
    let layout = brush.shown.layout;
    let panel_of = |wire: &Wire| {
        let circuit = brush.shown.plan.circuits().get(wire.id)?;
        layout.panel_of(circuit)
    };
    layout.panels().flat_map(move |(part, _)| {
        let here: Vec<&Wire> = wires
            .iter()
            .filter(|wire| panel_of(wire) == Some(part.id) && !wire.ways.is_empty())
            .collect();
        let strong = here.iter().filter(|wire| wire.strong);
        let strong: Vec<&Wire> = strong.copied().collect();
        let words = format!("{} circuits", here.len());
        let by_number = if strong.len() <= AT_PANEL_MOST {
            strong
        } else {
            Vec::new()
        };
        let many = by_number.is_empty().then(|| here.first()).flatten();
        let many = many.and_then(|wire| tag(brush, part.id, words, wire));
        let each = by_number.into_iter();
        let each = each.filter_map(|wire| tag(brush, part.id, wire.id.to_string(), wire));
        many.into_iter().chain(each.collect::<Vec<Tag>>())
    })
}

/// A tag for a thing on a wall.
fn tag(brush: &Brush<'_>, thing: Id, words: String, wire: &Wire) -> Option<Tag> {
    let part = brush.shown.layout.part(thing)?;
    let wall = brush.wall_of(part)?;
    let spot = brush.at(part.spot);
    let beyond = brush.wall_thickness(part) + brush.camera.mm(TAG_OFF);
    let at = brush.at(part.spot - wall.inward * beyond);
    let font = theme::plain(text::TINY);
    let galley = brush
        .painter
        .layout_no_wrap(words.clone(), font, brush.colours.ink);
    Some(Tag {
        words,
        spot,
        wanted: Wanted {
            at: pos2(at.x, at.y),
            out: (at - spot).normalized(),
            size: galley.size() + TAG_EDGE * 2.0,
        },
        colour: wire.colour,
        strong: wire.strong,
    })
}
